//! Deeds: a form, its questions, and what was recorded.

use axum::http::StatusCode;
use maud::{Markup, html};

use super::Desk;
use super::ask::{Ask, Field, Form};
use super::chance::{same, secret};
use super::changed::{Seen, since};
use super::form::{Around, deed};
use super::known::Known;
use super::page::{lines, sections};
use super::person::Person;
use super::reading::{self, more, not_yours, out_of_order, plain, refused, titled};
use super::reply::Reply;
use super::request::{Filled, address};
use super::sessions::{COOKIE, Receipt, Seat, Sent};
use super::settled::{Unsettled, settle};
use super::told::Ended;
use crate::records::HistoryLine;

/// Sent along with a form.
const TOKEN: &str = "token";
const FORM: &str = "form";
const SEEN: &str = "seen";
const STILL: &str = "still";

/// Shown where the book has changed since.
const STILL_FIELD: Field =
    Field::new(STILL, "Record it all the same", Form::Answer, super::ask::Goes::Itself);

/// A deed that somebody opens or sends off.
#[derive(Clone, Copy, Debug)]
pub struct Doing<'a> {
    pub desk: &'a Desk,
    pub ask: &'static Ask,
    pub person: &'a Person,
    pub known: &'a Known,
}

/// The form.
pub fn opened(
    desk: &Desk,
    ask: &'static Ask,
    person: &Person,
    seat: Option<&Seat>,
    mut filled: Filled,
) -> Reply {
    let known = match Known::read(desk) {
        Ok(known) => known,
        Err(error) => return out_of_order(person, &error.to_string()),
    };
    let doing = Doing { desk, ask, person, known: &known };
    let Ok(seat) = seat.cloned().map_or_else(|| desk.sessions.begin(None), Ok) else {
        return no_chance(person);
    };
    let seat = &seat;
    let reply = match settle(ask, &known, person, &mut filled) {
        Ok(()) | Err(Unsettled::Lacking) => {
            doing.form(seat, &filled, &[], StatusCode::OK, &html! {})
        }
        Err(Unsettled::Unknown(sentence)) => {
            doing.form(seat, &filled, &[], StatusCode::NOT_FOUND, &refused(&sentence))
        }
        Err(Unsettled::NotTheirs) => return not_yours(person),
    };
    reply.header("set-cookie", desk.cookie(&seat.id))
}

/// What becomes of a form that was sent off.
pub fn sent(
    desk: &Desk,
    ask: &'static Ask,
    person: &Person,
    seat: Option<&Seat>,
    mut filled: Filled,
) -> Reply {
    let token = filled.get(TOKEN).unwrap_or_default();
    let Some(seat) = seat.filter(|seat| same(&seat.token, token)) else {
        return of_another_sitting(person, ask);
    };
    let form = filled.get(FORM).unwrap_or_default().to_owned();
    if form.len() != 64 || !form.bytes().all(|byte| byte.is_ascii_hexdigit()) {
        return of_another_sitting(person, ask);
    }
    match desk.sessions.sent(&seat.id, &form) {
        Sent::Done => return done_at(&form),
        Sent::Running => return still_running(person),
        Sent::New => {}
    }
    let known = match Known::read(desk) {
        Ok(known) => known,
        Err(error) => {
            desk.sessions.settle(&seat.id, &form, None);
            return out_of_order(person, &error.to_string());
        }
    };
    let doing = Doing { desk, ask, person, known: &known };
    match doing.recorded(seat, &mut filled) {
        Ok(receipt) => {
            desk.sessions.settle(&seat.id, &form, Some(receipt));
            done_at(&form)
        }
        Err(reply) => {
            desk.sessions.settle(&seat.id, &form, None);
            reply
        }
    }
}

/// What was recorded by a form of this session.
pub fn done(desk: &Desk, person: &Person, seat: Option<&Seat>, filled: &Filled) -> Reply {
    let form = filled.get(FORM).unwrap_or_default();
    let receipt = seat.and_then(|seat| desk.sessions.receipt(&seat.id, form));
    let Some(receipt) = receipt else { return reading::not_found(person) };
    let body = html! {
        div.said role="status" { (receipt.body) }
        @if let Some((to, said)) = &receipt.back { p { a href=(to) { (said) } } }
    };
    reading::under(receipt.title, person, StatusCode::OK, &body)
}

impl Doing<'_> {
    /// # Errors
    /// The form once more, with what is asked or wrong.
    fn recorded(&self, seat: &Seat, filled: &mut Filled) -> Result<Receipt, Reply> {
        let again = |filled: &Filled, status, said: &Markup, asked: &[&Field]| {
            Err(self.form(seat, filled, asked, status, said))
        };
        match settle(self.ask, self.known, self.person, filled) {
            Ok(()) => {}
            Err(Unsettled::Lacking) => {
                let said = refused("something is missing; fill in what is not marked “if need be”");
                return again(filled, StatusCode::UNPROCESSABLE_ENTITY, &said, &[]);
            }
            Err(Unsettled::Unknown(sentence)) => {
                return again(filled, StatusCode::NOT_FOUND, &refused(&sentence), &[]);
            }
            Err(Unsettled::NotTheirs) => return Err(not_yours(self.person)),
        }
        let now = self.seen(filled);
        let then = filled.get(SEEN).and_then(Seen::read);
        if let Some(then) = then.filter(|then| then.is_other(&now) && filled.get(STILL).is_none()) {
            let said = since(&self.lines(filled), &then);
            return again(filled, StatusCode::CONFLICT, &said, &[&STILL_FIELD]);
        }
        if let Some(hand) = self.hand(filled) {
            self.desk.sessions.signs(&seat.id, &hand);
        }
        let words = self.ask.words(&|field| match field.form {
            Form::Hand => self.hand(filled),
            _ => filled.of(field),
        });
        let (ended, told) = self.desk.commands.run(&words);
        match ended {
            Ended::Done | Ended::No => {
                let body = html! {
                    (lines(&told.text))
                    @for document in &told.documents {
                        (sections(document, &|over, name| self.known.leads(over, name)))
                    }
                };
                Ok(Receipt { title: self.ask.title, body, back: self.back(filled) })
            }
            Ended::Wrong(sentence) => {
                let asked = self.ask.fields.iter().filter(|field| {
                    field.form == Form::Answer
                        && field.option().is_some_and(|option| sentence.contains(option))
                });
                let asked: Vec<&Field> = asked.collect();
                let said = self.ask.labelled(&sentence);
                again(filled, StatusCode::UNPROCESSABLE_ENTITY, &refused(&said), &asked)
            }
            Ended::Storage(sentence) => Err(out_of_order(self.person, &sentence)),
        }
    }

    /// An account signs what it does, whatever a form says.
    fn hand(&self, filled: &Filled) -> Option<String> {
        let field = self.ask.fields.iter().find(|field| field.form == Form::Hand)?;
        self.person.name.clone().or_else(|| filled.of(field))
    }

    fn form(
        &self,
        seat: &Seat,
        filled: &Filled,
        asked: &[&Field],
        status: StatusCode,
        said: &Markup,
    ) -> Reply {
        let Ok(fresh) = secret() else { return no_chance(self.person) };
        let form = filled.get(FORM).filter(|form| form.len() == 64).unwrap_or(&fresh);
        // What was looked at is what stands there now, once it has been shown.
        let seen = self.seen(filled).written();
        let hidden = [(TOKEN, &*seat.token), (FORM, form), (SEEN, &seen)];
        let mut filled = filled.clone();
        let hand = self.ask.fields.iter().find(|field| field.form == Form::Hand);
        if let Some(field) = hand.filter(|field| filled.get(field.name).is_none()) {
            filled.set(field.name, &seat.hand);
        }
        let around = Around { known: self.known, person: self.person, filled: &filled };
        let body = html! {
            (said)
            (deed(self.ask, around, &hidden, asked))
            (more(self.ask, self.person, &filled))
        };
        titled(self.ask, self.person, status, &body)
    }

    fn lines(&self, filled: &Filled) -> Vec<HistoryLine> {
        let named = self.about(filled);
        named.map_or_else(Vec::new, |(form, name)| self.known.history(form, &name))
    }

    fn about(&self, filled: &Filled) -> Option<(Form, String)> {
        let field = self.ask.subject()?;
        Some((field.form, filled.of(field)?))
    }

    fn seen(&self, filled: &Filled) -> Seen {
        let name = self.about(filled).map(|(_, name)| name).unwrap_or_default();
        Seen::now(name, &self.lines(filled))
    }

    /// To what it was about.
    fn back(&self, filled: &Filled) -> Option<(String, String)> {
        let (form, name) = self.about(filled)?;
        let (path, form) = match form {
            Form::Patch => ("/patch", "patch"),
            Form::Place if !name.ends_with('/') => ("/patch", "patch"),
            Form::Walk => ("/walk", "walk"),
            _ => return None,
        };
        Some((address(path, &[(form, &name)]), name))
    }
}

fn done_at(form: &str) -> Reply {
    Reply::see(address("/done", &[(FORM, form)]))
}

fn no_chance(person: &Person) -> Reply {
    let said = "This system gives no random numbers, and without them nobody can be told apart.";
    plain(person, StatusCode::SERVICE_UNAVAILABLE, "Nothing can be recorded now", said)
}

fn still_running(person: &Person) -> Reply {
    let said = "It was sent before and is still being recorded; look at the records in a moment.";
    plain(person, StatusCode::CONFLICT, "One moment", said)
}

fn of_another_sitting(person: &Person, ask: &Ask) -> Reply {
    let said = html! {
        p { "Nothing was recorded: the form is of an earlier sitting, or of another page." }
        p { a href=(ask.path) { "Open it anew" } }
    };
    titled(ask, person, StatusCode::FORBIDDEN, &said)
}

/// What a browser is to send back.
pub fn cookie(id: &str, is_secure: bool) -> String {
    let secure = if is_secure { "; Secure" } else { "" };
    format!("{COOKIE}={id}; Path=/; HttpOnly; SameSite=Strict{secure}")
}
