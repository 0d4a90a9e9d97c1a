//! Who sits at which browser, and what each has sent off. Kept in memory alone: a desk that is
//! started anew knows nobody.

use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use maud::Markup;

use super::chance::secret;

pub const COOKIE: &str = "stintbook";

/// How long one may sit without doing anything, and in all.
const IDLE: Duration = Duration::from_secs(12 * 60 * 60);
const LONGEST: Duration = Duration::from_secs(7 * 24 * 60 * 60);

const MOST: usize = 2000;
/// Forms of one session that are remembered.
const MOST_SENT: usize = 50;

/// What a session is known by.
#[derive(Clone, Debug)]
pub struct Seat {
    /// In the cookie.
    pub id: String,
    /// In each form, so that no other page can send one.
    pub token: String,
    /// Who signed in.
    pub account: Option<String>,
    /// Who signed the last form, where there are no accounts.
    pub hand: String,
}

/// What became of a form.
#[derive(Clone, Debug)]
pub enum Sent {
    /// It was never seen before, and may be recorded now.
    New,
    /// It is being recorded.
    Running,
    Done,
}

/// What is said of a deed once it is done.
#[derive(Clone, Debug)]
pub struct Receipt {
    pub title: &'static str,
    pub body: Markup,
    /// Where to go on.
    pub back: Option<(String, String)>,
}

#[derive(Debug, Default)]
pub struct Sessions(Mutex<HashMap<String, Session>>);

#[derive(Debug)]
struct Session {
    seat: Seat,
    sent: Vec<(String, Option<Receipt>)>,
    begun: Instant,
    last: Instant,
}

impl Session {
    fn is_over(&self) -> bool {
        self.last.elapsed() > IDLE || self.begun.elapsed() > LONGEST
    }
}

impl Sessions {
    fn all(&self) -> MutexGuard<'_, HashMap<String, Session>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The session of a cookie, if it goes on.
    pub fn seat(&self, id: &str) -> Option<Seat> {
        let mut all = self.all();
        let session = all.get_mut(id)?;
        if session.is_over() {
            all.remove(id);
            return None;
        }
        session.last = Instant::now();
        Some(session.seat.clone())
    }

    /// A session under a name that nothing had before.
    ///
    /// # Errors
    /// Where the system gives no chance.
    pub fn begin(&self, account: Option<&str>) -> Result<Seat, getrandom::Error> {
        let account = account.map(str::to_owned);
        let seat = Seat { id: secret()?, token: secret()?, account, hand: String::new() };
        let mut all = self.all();
        all.retain(|_, session| !session.is_over());
        if all.len() >= MOST {
            // Whoever has not signed in loses the least.
            let oldest = all.iter().min_by_key(|(_, of)| (of.seat.account.is_some(), of.last));
            let oldest = oldest.map(|(id, _)| id.clone());
            oldest.and_then(|id| all.remove(&id));
        }
        let now = Instant::now();
        let session = Session { seat: seat.clone(), sent: Vec::new(), begun: now, last: now };
        all.insert(seat.id.clone(), session);
        Ok(seat)
    }

    pub fn end(&self, id: &str) {
        self.all().remove(id);
    }

    /// Ends all sessions of an account.
    pub fn end_of(&self, account: &str) {
        self.all().retain(|_, session| session.seat.account.as_deref() != Some(account));
    }

    /// Remembers who signs.
    pub fn signs(&self, id: &str, hand: &str) {
        if let Some(session) = self.all().get_mut(id) {
            hand.clone_into(&mut session.seat.hand);
        }
    }

    /// What became of a form so far; one that is new is running from now on.
    pub fn sent(&self, id: &str, form: &str) -> Sent {
        let mut all = self.all();
        let Some(session) = all.get_mut(id) else { return Sent::Running };
        match session.sent.iter().find(|(known, _)| known == form) {
            Some((_, None)) => Sent::Running,
            Some((_, Some(_))) => Sent::Done,
            None => {
                if session.sent.len() >= MOST_SENT {
                    session.sent.remove(0);
                }
                session.sent.push((form.to_owned(), None));
                Sent::New
            }
        }
    }

    /// What was recorded by a form.
    pub fn receipt(&self, id: &str, form: &str) -> Option<Receipt> {
        let all = self.all();
        let sent = all.get(id)?.sent.iter().find(|(known, _)| known == form)?;
        sent.1.clone()
    }

    /// It was recorded; or it was not, and may be sent again.
    pub fn settle(&self, id: &str, form: &str, receipt: Option<Receipt>) {
        let mut all = self.all();
        let Some(session) = all.get_mut(id) else { return };
        match receipt {
            None => session.sent.retain(|(known, _)| known != form),
            Some(receipt) => {
                let sent = session.sent.iter_mut().filter(|(known, _)| known == form);
                sent.for_each(|sent| sent.1 = Some(receipt.clone()));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_is_recorded_once() {
        let sessions = Sessions::default();
        let seat = sessions.begin(None).unwrap();
        let receipt = Receipt { title: "Cut", body: maud::html! {}, back: None };
        assert!(matches!(sessions.sent(&seat.id, "a"), Sent::New));
        assert!(matches!(sessions.sent(&seat.id, "a"), Sent::Running));
        sessions.settle(&seat.id, "a", None);
        assert!(matches!(sessions.sent(&seat.id, "a"), Sent::New));
        sessions.settle(&seat.id, "a", Some(receipt));
        assert!(matches!(sessions.sent(&seat.id, "a"), Sent::Done));
        sessions.end(&seat.id);
        assert!(sessions.seat(&seat.id).is_none());
        assert!(
            matches!(sessions.sent(&seat.id, "a"), Sent::Running),
            "nothing is recorded for it"
        );
    }

    #[test]
    fn sessions_are_bounded_and_those_who_signed_in_stay() {
        let sessions = Sessions::default();
        let ida = sessions.begin(Some("Ida")).unwrap();
        for _ in 0..MOST + 10 {
            sessions.begin(None).unwrap();
        }
        assert_eq!(sessions.all().len(), MOST);
        assert!(sessions.seat(&ida.id).is_some());
        sessions.end_of("Ida");
        assert!(sessions.seat(&ida.id).is_none());
    }
}
