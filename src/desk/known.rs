//! The names of the book: what can be chosen on a form, where a name leads, and which sites a
//! name is about.

use std::collections::HashSet;
use std::sync::Arc;

use jiff::civil::Date;

use super::Desk;
use super::ask::Form;
use super::person::Person;
use super::request::address;
use crate::book::{Book, BookError, Scope};
use crate::records::{Directory, HistoryLine, SiteName, WalkName, begins, folded};

/// The names of the book, and what it says of one.
#[derive(Debug)]
pub struct Known {
    book: Book,
    names: Arc<Names>,
}

/// All names of a book, as it is.
#[derive(Debug)]
pub struct Names {
    directory: Directory,
    /// The whole names of patches: a table may have them all, and asks for each.
    patches: HashSet<String>,
    walks: Vec<KnownWalk>,
}

#[derive(Debug)]
struct KnownWalk {
    name: WalkName,
    day: Date,
    sites: Vec<SiteName>,
}

/// Something that was named, by its whole name, and the sites that it is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Meant {
    pub name: String,
    pub sites: Vec<SiteName>,
}

impl Names {
    fn read(book: &Book) -> Result<Self, BookError> {
        let directory = book.directory()?;
        let patches = directory.patches.iter().map(|known| known.name.to_string()).collect();
        let ledger = book.walks(None)?;
        let mut walks: Vec<_> = ledger.walks().collect();
        walks.sort_by_key(|walk| std::cmp::Reverse(walk.record.day));
        let walks = walks.iter().map(|walk| KnownWalk {
            name: walk.record.name.clone(),
            day: walk.record.day,
            sites: walk.record.sites().cloned().collect(),
        });
        let walks = walks.collect();
        Ok(Self { directory, patches, walks })
    }
}

impl Known {
    /// Names are read once while nothing changes.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn read(desk: &Desk) -> Result<Self, BookError> {
        let rests = desk.commands.rests();
        let book = Book::open_to_read(desk.commands.book())?;
        let names = desk.kept.names(rests, || Names::read(&book))?;
        Ok(Self { book, names })
    }

    /// What can be chosen, grouped by site where that helps: what is sent, and what is shown.
    pub fn choices(&self, form: Form, person: &Person) -> Vec<(String, Vec<String>)> {
        let sites = self.names.directory.sites.iter().filter(|site| person.may_see(site));
        match form {
            Form::Site => vec![(String::new(), sites.map(ToString::to_string).collect())],
            Form::Patch => self.by_site(sites, false),
            Form::Place => self.by_site(sites, true),
            Form::Walk => {
                let seen = self.names.walks.iter().filter(|walk| sees_all(person, &walk.sites));
                vec![(String::new(), seen.map(|walk| walk.name.to_string()).collect())]
            }
            _ => Vec::new(),
        }
    }

    fn by_site<'s>(
        &self,
        sites: impl Iterator<Item = &'s SiteName>,
        whole: bool,
    ) -> Vec<(String, Vec<String>)> {
        let of = |site: &SiteName| {
            let own = self.names.directory.patches.iter().filter(|known| known.name.site() == site);
            let mut all: Vec<String> = own.map(|known| known.name.to_string()).collect();
            all.sort();
            if whole {
                all.insert(0, format!("{site}/"));
            }
            (site.to_string(), all)
        };
        sites.map(of).collect()
    }

    /// The sites that somebody may see.
    pub fn sites(&self, person: &Person) -> Vec<String> {
        let seen = self.names.directory.sites.iter().filter(|site| person.may_see(site));
        seen.map(ToString::to_string).collect()
    }

    /// The walks from a day on that somebody may see, the next first.
    pub fn walks_from(&self, day: Date, person: &Person) -> Vec<(String, Date)> {
        let seen = self.names.walks.iter().filter(|walk| sees_all(person, &walk.sites));
        let coming = seen.filter(|walk| walk.day >= day).rev();
        coming.map(|walk| (walk.name.to_string(), walk.day)).collect()
    }

    /// The first site that somebody may see.
    pub fn first_site(&self, person: &Person) -> Option<String> {
        self.names.directory.sites.iter().find(|site| person.may_see(site)).map(ToString::to_string)
    }

    /// What is meant by a name, with its sites.
    ///
    /// # Errors
    /// That nothing is called so.
    pub fn meant(&self, form: Form, asked: &str) -> Result<Meant, String> {
        let of_site = |site: &SiteName| Meant { name: site.to_string(), sites: vec![site.clone()] };
        let told = |error: crate::records::NotFound| error.to_string();
        match form {
            Form::Site => self.names.directory.site_meant(asked).map(of_site).map_err(told),
            Form::Place if asked.ends_with('/') => {
                let site =
                    self.names.directory.site_meant(asked.trim_end_matches('/')).map_err(told)?;
                Ok(Meant { name: format!("{site}/"), sites: vec![site.clone()] })
            }
            Form::Patch | Form::Place => {
                let known = self.names.directory.patch_meant(asked).map_err(told)?;
                Ok(Meant { name: known.name.to_string(), sites: vec![known.name.site().clone()] })
            }
            Form::Walk => {
                let wanted = folded(asked);
                let same = |walk: &&KnownWalk| folded(walk.name.as_str()) == wanted;
                let walk = self.names.walks.iter().find(same);
                let walk = walk.ok_or_else(|| format!("no walk is called `{asked}`"))?;
                Ok(Meant { name: walk.name.to_string(), sites: walk.sites.clone() })
            }
            Form::Fact => self.fact(asked),
            _ => Ok(Meant { name: asked.to_owned(), sites: Vec::new() }),
        }
    }

    /// Whether a name, or its beginning, is or may be that of a patch which somebody may not see.
    pub fn may_be_elsewhere(&self, name: &str, person: &Person) -> bool {
        let hidden =
            self.names.directory.patches.iter().filter(|known| !person.may_see(known.name.site()));
        let meant = self.meant(Form::Patch, name);
        meant.is_ok_and(|meant| !sees_all(person, &meant.sites))
            || hidden
                .map(|known| (known.name.patch().to_owned(), known.name.to_string()))
                .any(|(own, whole)| begins(&own, name) || begins(&whole, name))
    }

    /// A fact is about the sites in whose history it stands.
    fn fact(&self, asked: &str) -> Result<Meant, String> {
        let line = self.book.fact(asked).map_err(|error| error.to_string())?;
        let holds = |site: &&SiteName| {
            let history = self.book.history(&Scope::Site((*site).clone()));
            history.is_ok_and(|lines| lines.iter().any(|of| of.fact.id == line.fact.id))
        };
        let sites = self.names.directory.sites.iter().filter(holds).cloned().collect();
        Ok(Meant { name: line.fact.id.short(), sites })
    }

    /// All that was recorded about something; of a walk, about its sites.
    pub fn history(&self, form: Form, name: &str) -> Vec<HistoryLine> {
        let patch = self.names.directory.patch(name).map(|known| known.name.clone());
        let scopes: Vec<Scope> = match (form, patch) {
            (Form::Patch | Form::Place, Ok(patch)) => vec![Scope::Patch(patch)],
            _ => {
                let sites = self.meant(form, name).map(|meant| meant.sites).unwrap_or_default();
                sites.into_iter().map(Scope::Site).collect()
            }
        };
        scopes.iter().filter_map(|scope| self.book.history(scope).ok()).flatten().collect()
    }

    /// Who recorded a fact.
    pub fn hand_of(&self, fact: &str) -> Option<String> {
        self.book.fact(fact).ok().map(|line| line.fact.by.to_string())
    }

    /// Where a name in a table leads to; `over` is the heading over its rows.
    pub fn leads(&self, over: &str, name: &str) -> Option<String> {
        let site = over.split(':').next().unwrap_or_default();
        let names = [name.to_owned(), format!("{site}/{name}")];
        if let Some(patch) = names.iter().find(|name| self.names.patches.contains(*name)) {
            return Some(address("/patch", &[("patch", patch)]));
        }
        if self.names.walks.iter().any(|walk| walk.name.as_str() == name) {
            return Some(address("/walk", &[("walk", name)]));
        }
        let is_id = name.len() == 8 && name.bytes().all(|byte| byte.is_ascii_hexdigit());
        is_id.then(|| address("/correct", &[("fact", name)]))
    }
}

/// Whether somebody may see every one of these sites.
pub fn sees_all(person: &Person, sites: &[SiteName]) -> bool {
    !person.is_held_to_sites() || (!sites.is_empty() && sites.iter().all(|it| person.may_see(it)))
}
