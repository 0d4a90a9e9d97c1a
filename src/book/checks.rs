//! What a command must leave true: names that stand for one place, corrections that lead
//! somewhere, places that are not withdrawn from under what was recorded on them.

use std::collections::hash_map::Entry;
use std::collections::{BTreeSet, HashMap};

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, params};

use super::append::NewFact;
use super::branches::{Branches, clash, kind_of};
use super::error::{Bearer, Bearers, Failure, Refusal};
use super::fields::{Fields, bytes};
use super::history::fact_of;
use super::places::is_live;
use super::words::Words;
use crate::records::{Correction, FactId, Kind, Land, Record, Replacement, folded};

pub(super) fn unknown_fact(id: FactId) -> Refusal {
    Refusal::UnknownFact { asked: id.short(), near: None }
}

/// The kind of the fact to be corrected, where it may be corrected so. `coming` has the kinds
/// of the facts that are recorded along with the correction.
pub(super) fn kind_to_correct(
    correction: &Correction,
    coming: &HashMap<FactId, Kind>,
    book: &Connection,
) -> Result<Kind, Failure> {
    let id = correction.replaced;
    if let Some(end) = end_of_chain(id, book)? {
        return Err(end.into());
    }
    let was = match coming.get(&id) {
        Some(&kind) => kind,
        None => match kind_of(id, book)? {
            Some(kind) => kind,
            None => kind_withdrawn(id, book)?.ok_or_else(|| unknown_fact(id))?,
        },
    };
    if let Replacement::By(replacement) = correction.replacement {
        let becomes = *coming.get(&replacement).ok_or(Refusal::NoReplacement(id))?;
        if becomes != was {
            return Err(Refusal::OtherKind { id, was, becomes }.into());
        }
    }
    Ok(was)
}

pub(super) fn read_kind(fields: &mut Fields) -> rusqlite::Result<Kind> {
    fields.text_as("kind of fact", |text| Kind::ALL.into_iter().find(|kind| kind.name() == text))
}

/// The kind of what was withdrawn by the correction of that id, which can be undone like a fact.
fn kind_withdrawn(id: FactId, book: &Connection) -> rusqlite::Result<Option<Kind>> {
    let mut words = Words::default();
    let sql = "SELECT kind FROM correction WHERE id = ? AND replacement IS NULL";
    book.prepare_cached(sql)?
        .query_row([bytes(&id)], |row| read_kind(&mut Fields::of(row, &mut words)))
        .optional()
}

/// Why a fact that was replaced already cannot be corrected again. Where several facts end its
/// corrections, any of them may be, and settles them all; the one that counts is named.
fn end_of_chain(id: FactId, book: &Connection) -> Result<Option<Refusal>, Failure> {
    let branches = Branches::around(id, book)?;
    if branches.steps_after(id).is_empty() {
        return Ok(None);
    }
    if branches.leads_back(id) {
        return Ok(Some(Refusal::Circle(id)));
    }
    let ends = branches.ends_around(id);
    let newest = match clash(&ends, book)? {
        Some(clash) => clash.standing().id(),
        None => match ends.facts.first().or(ends.withdrawals.first()) {
            Some(newest) => *newest,
            None => return Ok(Some(Refusal::Circle(id))),
        },
    };
    if ends.facts.contains(&newest) {
        return Ok(Some(Refusal::AlreadyReplaced { old: id, newest }));
    }
    let withdrawn = branches.steps_before(newest).iter().map(|step| step.replaced).min();
    let on = recorded_on(newest, book)?;
    Ok(Some(Refusal::AlreadyWithdrawn { id: withdrawn.unwrap_or(id), on }))
}

/// The other ends of the clash that a correction of this end settles.
pub(super) fn other_ends(
    correction: &Correction,
    book: &Connection,
) -> Result<Vec<FactId>, Failure> {
    let ends = Branches::around(correction.replaced, book)?.ends_around(correction.replaced);
    if clash(&ends, book)?.is_none() {
        return Ok(Vec::new());
    }
    let withdrawals = match correction.replacement {
        Replacement::By(_) => ends.withdrawals,
        // They say so already.
        Replacement::Withdrawn => BTreeSet::new(),
    };
    let all = ends.facts.into_iter().chain(withdrawals);
    Ok(all.filter(|end| *end != correction.replaced).collect())
}

/// From when a fact counts, and until when.
#[derive(Clone, Copy)]
struct Span {
    since: Date,
    until: Option<Date>,
}

impl Span {
    fn of(id: FactId, recorded_on: Date, book: &Connection) -> rusqlite::Result<Self> {
        let mut words = Words::default();
        let mut first = |column: &str| {
            book.prepare_cached(&format!(
                "SELECT min(recorded_on) FROM correction WHERE {column} = ?"
            ))?
            .query_row([bytes(&id)], |row| Fields::of(row, &mut words).maybe_day())
        };
        let (came_on, until) = (first("replacement")?, first("replaced")?);
        Ok(Self { since: came_on.unwrap_or(recorded_on), until })
    }

    fn is_empty(self) -> bool {
        self.until.is_some_and(|until| until <= self.since)
    }

    fn meets(self, other: Self) -> bool {
        let starts_before_end = |one: Self, two: Self| two.until.is_none_or(|end| one.since < end);
        !self.is_empty()
            && !other.is_empty()
            && starts_before_end(self, other)
            && starts_before_end(other, self)
    }
}

/// No two sites, walks, patches of a site or zones of a site bear one name on one day, but for
/// those that came from another book and keep theirs when they are put right.
pub(super) fn names_are_free(facts: &[&NewFact], book: &Connection) -> Result<(), Failure> {
    let mut of_sites = NamesOfSites::default();
    for new in facts {
        let id = new.fact.id;
        let Some(naming) = Naming::of(&new.fact.record) else { continue };
        if let Record::Patch(patch) = &new.fact.record
            && !of_sites.has_twice(patch.name.patch(), id, book)?
        {
            continue;
        }
        if naming.is_kept(id, book)? {
            continue;
        }
        let span = Span::of(id, new.fact.recorded_on, book)?;
        for (other, of_other) in naming.namesakes(id, book)? {
            if of_other.meets(span) {
                let (what, name) = (naming.what, naming.full_name.clone());
                let Some(other) = fact_of(other, book)? else { continue };
                let (new, other) = (Bearer::of(&new.fact), Bearer::of(&other.fact));
                let bearers = Box::new(Bearers { new, other });
                return Err(Refusal::NameTaken { what, name, bearers }.into());
            }
        }
    }
    Ok(())
}

/// What the patches of sites are and were ever called, each site read once: a map may bring
/// hundreds to one.
#[derive(Default)]
struct NamesOfSites(HashMap<i64, HashMap<String, BTreeSet<i64>>>);

impl NamesOfSites {
    /// Whether two places of the fact's site bear or bore that name.
    fn has_twice(&mut self, name: &str, id: FactId, book: &Connection) -> rusqlite::Result<bool> {
        let site: i64 = book
            .prepare_cached("SELECT site FROM patch WHERE id = ?")?
            .query_row([bytes(&id)], |row| row.get(0))?;
        let names = match self.0.entry(site) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(unread) => unread.insert(names_on(site, book)?),
        };
        Ok(names.get(&folded(name)).is_some_and(|places| places.len() > 1))
    }
}

fn names_on(site: i64, book: &Connection) -> rusqlite::Result<HashMap<String, BTreeSet<i64>>> {
    let mut names: HashMap<String, BTreeSet<i64>> = HashMap::new();
    let mut patches = book.prepare_cached("SELECT name, place FROM patch WHERE site = ?")?;
    let mut rows = patches.query([site])?;
    while let Some(row) = rows.next()? {
        let (name, place): (String, i64) = (row.get(0)?, row.get(1)?);
        names.entry(folded(&name)).or_default().insert(place);
    }
    Ok(names)
}

/// A record that names something.
struct Naming<'a> {
    what: &'static str,
    name: &'a str,
    full_name: String,
    /// SQL for those among which the name must be the only one; `?2` is the fact's id.
    among: &'static str,
}

impl<'a> Naming<'a> {
    fn of(record: &'a Record) -> Option<Self> {
        match record {
            Record::Site(site) => Some(Self {
                what: "site",
                name: site.name.as_str(),
                full_name: site.name.to_string(),
                among: "TRUE",
            }),
            Record::Walk(walk) => Some(Self {
                what: "walk",
                name: walk.name.as_str(),
                full_name: walk.name.to_string(),
                among: "TRUE",
            }),
            Record::Patch(patch) => Some(Self {
                what: "patch",
                name: patch.name.patch(),
                full_name: patch.name.to_string(),
                among: "site = (SELECT site FROM patch WHERE id = ?2)",
            }),
            Record::Zone(zone) => Some(Self {
                what: "zone",
                name: &zone.name,
                full_name: format!("{}/{}", zone.site, zone.name),
                among: "place = (SELECT place FROM zone WHERE id = ?2)",
            }),
            Record::Landmark(landmark) => Some(Self {
                what: "landmark",
                name: &landmark.name,
                full_name: format!("{}/{}", landmark.site, landmark.name),
                among: "place = (SELECT place FROM landmark WHERE id = ?2)",
            }),
            _ => None,
        }
    }

    /// Whether what the fact takes the place of bore the same name.
    fn is_kept(&self, id: FactId, book: &Connection) -> rusqlite::Result<bool> {
        let Self { what, name, among, .. } = self;
        book.prepare_cached(&format!(
            "SELECT 1 FROM {what} WHERE name = ?1 AND {among} AND id IN \
             (SELECT replaced FROM correction WHERE replacement = ?2)"
        ))?
        .exists(params![name, bytes(&id)])
    }

    /// The others of the same name, and when they bear it.
    fn namesakes(&self, id: FactId, book: &Connection) -> rusqlite::Result<Vec<(FactId, Span)>> {
        // SQLite knows the case of ASCII letters only; others are compared here.
        const FURTHER: &str = "NOT ?3 OR name GLOB '*[^ -~]*'";
        let Self { what, name, among, .. } = self;
        let wanted = folded(name);
        let mut words = Words::default();
        // Two books may have given one place the same name anew.
        let of_others = match *what {
            "site" | "patch" => format!("place <> (SELECT place FROM {what} WHERE id = ?2)"),
            _ => "id <> ?2".to_owned(),
        };
        book.prepare_cached(&format!(
            "SELECT id, recorded_on, name FROM {what} WHERE (name = ?1 OR {FURTHER}) AND \
             {of_others} AND {among}"
        ))?
        .query_map(params![name, bytes(&id), name.is_ascii()], |row| {
            let mut fields = Fields::of(row, &mut words);
            let (id, recorded_on) = (fields.id()?, fields.day()?);
            let is_same = folded(fields.text()?) == wanted;
            is_same.then(|| Ok((id, Span::of(id, recorded_on, book)?))).transpose()
        })?
        .filter_map(Result::transpose)
        .collect()
    }
}

/// Each correction comes after what it corrects and brings what should take its place.
pub(super) fn corrections_fit(
    corrections: &[Correction],
    book: &Connection,
) -> Result<(), Failure> {
    for correction in corrections {
        if Branches::around(correction.replaced, book)?.leads_back(correction.replaced) {
            return Err(Refusal::Circle(correction.replaced).into());
        }
        comes_after(correction, book)?;
        if correction.replacement == Replacement::Withdrawn {
            nothing_rests_on(correction.replaced, book)?;
        }
    }
    Ok(())
}

fn comes_after(correction: &Correction, book: &Connection) -> Result<(), Failure> {
    let on = correction.recorded_on;
    let replaced = correction.replaced;
    let known_from = Span::of(replaced, recorded_on(replaced, book)?, book)?.since;
    if known_from > on {
        return Err(Refusal::CorrectedTooEarly { id: replaced, known_from, on }.into());
    }
    if let Replacement::By(id) = correction.replacement {
        let known_from = recorded_on(id, book)?;
        if known_from > on {
            return Err(Refusal::CorrectedTooEarly { id, known_from, on }.into());
        }
    }
    Ok(())
}

/// Of a fact, or of a correction that withdrew one.
fn recorded_on(id: FactId, book: &Connection) -> rusqlite::Result<Date> {
    let mut words = Words::default();
    book.prepare_cached(
        "SELECT recorded_on FROM fact WHERE id = ?1 \
         UNION ALL SELECT recorded_on FROM correction WHERE id = ?1",
    )?
    .query_row([bytes(&id)], |row| Fields::of(row, &mut words).day())
}

/// A site or patch is withdrawn only once nothing that still counts was recorded on it.
fn nothing_rests_on(id: FactId, book: &Connection) -> Result<(), Failure> {
    for what in ["site", "patch"] {
        let sql = format!("SELECT place, name FROM {what} WHERE id = ?");
        let found = book
            .prepare_cached(&sql)?
            .query_row([bytes(&id)], |row| Ok((row.get(0)?, row.get(1)?)))
            .optional()?;
        if let Some((place, name)) = found {
            let uses = uses_of(place, book)?;
            if !uses.is_empty() {
                return Err(Refusal::StillUsed { what, name, uses: uses.join(", ") }.into());
            }
        }
    }
    Ok(())
}

/// `3 cuts`, `1 survey`.
fn uses_of(place: i64, book: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut uses = Vec::new();
    for kind in Kind::ALL {
        let table = kind.name();
        let column = match kind.land() {
            Land::NewSite => continue,
            Land::NewPatch => "site",
            Land::Site | Land::Patch | Land::SiteOrPatch => "place",
        };
        let sql = format!("SELECT count(*) FROM {table} WHERE {column} = ? AND {}", is_live(table));
        let count: u32 = book.prepare_cached(&sql)?.query_row([place], |row| row.get(0))?;
        if count > 0 {
            uses.push(kind.counted(count as usize));
        }
    }
    Ok(uses)
}

/// Refuses corrections that lead in a circle.
pub(super) fn leads_somewhere(id: FactId, book: &Connection) -> Result<(), Failure> {
    if Branches::around(id, book)?.leads_back(id) {
        return Err(Refusal::Circle(id).into());
    }
    Ok(())
}
