//! Pages that were made, and the names of the book, for whoever asks again while nothing has changed.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::http::StatusCode;

use super::known::Names;
use super::person::Person;
use super::reply::Reply;
use super::request::Filled;
use super::told::Rests;

/// In bytes: a thousand weeks of 25 patches, or three of ten thousand.
const MOST: usize = 32 << 20;
const MOST_PAGES: usize = 512;

/// Who asks what. A page is for nobody else: it shows what its reader may see, and their name.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Question {
    pub path: &'static str,
    pub filled: Filled,
    pub person: Person,
}

#[derive(Debug, Default)]
pub struct Kept {
    pages: Mutex<Pages>,
    names: Mutex<Option<(Rests, Arc<Names>)>>,
}

#[derive(Debug, Default)]
struct Pages {
    /// What all of them rest on.
    on: Option<Rests>,
    bytes: usize,
    by_question: HashMap<Question, Page>,
}

/// Empty until it is made.
type Page = Arc<Mutex<Option<Reply>>>;

impl Kept {
    /// The page that answers this, made if there is none. `on` was found before it is made, so that
    /// what is written meanwhile is never missed. Who asks the same meanwhile waits for it.
    pub fn page(&self, on: Rests, asked: Question, make: impl FnOnce() -> Reply) -> Reply {
        let page = self.place(&on, &asked);
        let mut made = page.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(reply) = &*made {
            return reply.clone();
        }
        let reply = make();
        if reply.status == StatusCode::OK {
            *made = Some(reply.clone());
            self.all().weigh(&on, asked.filled.bytes() + reply.body.len());
        }
        reply
    }

    /// The names of the book, read if they are other than they were. `on` was found before.
    ///
    /// # Errors
    /// Those of `read`.
    pub fn names<E>(
        &self,
        on: Option<Rests>,
        read: impl FnOnce() -> Result<Names, E>,
    ) -> Result<Arc<Names>, E> {
        let kept = || self.names.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, names)) = kept().as_ref().filter(|(then, _)| Some(then) == on.as_ref()) {
            return Ok(names.clone());
        }
        let names = Arc::new(read()?);
        *kept() = on.map(|on| (on, names.clone()));
        Ok(names)
    }

    fn place(&self, on: &Rests, asked: &Question) -> Page {
        let mut all = self.all();
        if all.on.as_ref() != Some(on) {
            *all = Pages { on: Some(on.clone()), ..Pages::default() };
        }
        if let Some(page) = all.by_question.get(asked) {
            return page.clone();
        }
        if all.by_question.len() >= MOST_PAGES {
            all.forget();
        }
        all.by_question.entry(asked.clone()).or_default().clone()
    }

    fn all(&self) -> MutexGuard<'_, Pages> {
        self.pages.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Pages {
    fn weigh(&mut self, on: &Rests, bytes: usize) {
        if self.on.as_ref() == Some(on) {
            self.bytes += bytes;
        }
        if self.bytes > MOST {
            self.forget();
        }
    }

    fn forget(&mut self) {
        self.bytes = 0;
        self.by_question.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::may::Role;

    fn ask(kept: &Kept, on: &str, query: &str, person: &Person, body: &str) -> Vec<u8> {
        let filled = Filled::read(query.as_bytes());
        let asked = Question { path: "/week", filled, person: person.clone() };
        let make = || Reply::page(StatusCode::OK, body.to_owned());
        kept.page(Rests(on.to_owned()), asked, make).body.to_vec()
    }

    #[test]
    fn a_page_is_kept_for_the_same_question_of_the_same_person_on_the_same_book() {
        let (kept, ida) = (Kept::default(), Person::of_account("Ida", Role::Forager, &[]));
        assert_eq!(ask(&kept, "1", "site=a", &ida, "first"), b"first");
        assert_eq!(ask(&kept, "1", "site=a", &ida, "second"), b"first");
        assert_eq!(ask(&kept, "1", "site=b", &ida, "third"), b"third");
        let held = Person::of_account("Ida", Role::Forager, &["a".to_owned()]);
        let leader = Person::of_account("Ida", Role::Leader, &[]);
        let tomas = Person::of_account("Tomas", Role::Forager, &[]);
        for (other, body) in [(&held, "held"), (&leader, "leader"), (&tomas, "tomas")] {
            assert_eq!(ask(&kept, "1", "site=a", other, body), body.as_bytes());
        }
        assert_eq!(ask(&kept, "2", "site=a", &ida, "later"), b"later");
        assert_eq!(ask(&kept, "1", "site=a", &ida, "once more"), b"once more");
    }

    #[test]
    fn what_is_wrong_is_not_kept() {
        let kept = Kept::default();
        let asked = Question { path: "/week", filled: Filled::default(), person: Person::alone() };
        let on = Rests("1".to_owned());
        let wrong = || Reply::page(StatusCode::SERVICE_UNAVAILABLE, "no");
        kept.page(on.clone(), asked.clone(), wrong);
        let right = || Reply::page(StatusCode::OK, "yes");
        assert_eq!(kept.page(on, asked, right).body, &b"yes"[..]);
    }

    #[test]
    fn pages_are_bounded_by_their_number_and_by_their_size() {
        let (kept, ida) = (Kept::default(), Person::alone());
        for n in 0..3 * MOST_PAGES {
            ask(&kept, "1", &format!("on={n}"), &ida, "a page");
            assert!(kept.all().by_question.len() <= MOST_PAGES);
        }
        let large = "a".repeat(MOST / 4);
        for n in 0..12 {
            ask(&kept, "1", &format!("on={n}"), &ida, &large);
            assert!(kept.all().bytes <= MOST);
            let held =
                |page: &Page| page.lock().unwrap().as_ref().map_or(0, |page| page.body.len());
            assert!(kept.all().by_question.values().map(held).sum::<usize>() <= MOST);
        }
        // Keys count too.
        for n in 0..12 {
            ask(&kept, "2", &format!("on={n}{large}"), &ida, "a page");
            assert!(kept.all().bytes <= MOST);
        }
    }
}
