//! A table or a map from somebody's machine: sent along, shown as it is read, asked about where it
//! is unclear, and recorded where that is wished. It stays in memory until then.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::http::StatusCode;
use maud::{Markup, html};

use super::Desk;
use super::ask::{Ask, Field, Form};
use super::asks::ask;
use super::chance::{same, secret};
use super::form::{Around, shown};
use super::known::Known;
use super::page::{lines, sections};
use super::person::Person;
use super::reading::{not_found, out_of_order, plain, refused, titled};
use super::reply::Reply;
use super::request::{Filled, address};
use super::sessions::Seat;
use super::told::{Asked, Brought, Ended, Told};
use crate::report::page::nowhere;

/// Files that are held, and bytes of all of them.
const MOST_FILES: usize = 16;
const MOST_BYTES: usize = 64 << 20;

/// What was sent along and is not recorded yet, the oldest first.
#[derive(Debug, Default)]
pub struct Files(Mutex<Vec<Held>>);

#[derive(Clone, Debug)]
struct Held {
    id: String,
    /// Whose session it is of.
    seat: String,
    file: Brought,
}

impl Files {
    fn all(&self) -> MutexGuard<'_, Vec<Held>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Holds a file for a session; the oldest give way.
    fn hold(&self, seat: &Seat, file: Brought) -> Result<String, getrandom::Error> {
        let id = secret()?;
        let mut all = self.all();
        let is_full = |all: &Vec<Held>| {
            let bytes: usize = all.iter().map(|held| held.file.bytes.len()).sum();
            all.len() >= MOST_FILES || bytes + file.bytes.len() > MOST_BYTES
        };
        while is_full(&all) && !all.is_empty() {
            all.remove(0);
        }
        all.push(Held { id: id.clone(), seat: seat.id.clone(), file });
        Ok(id)
    }

    fn of(&self, seat: &Seat, id: &str) -> Option<Brought> {
        let all = self.all();
        let held = all.iter().find(|held| same(&held.id, id) && held.seat == seat.id)?;
        Some(held.file.clone())
    }
}

/// Asks for the file.
pub fn form(desk: &Desk, ask: &'static Ask, person: &Person, seat: Option<&Seat>) -> Reply {
    let Ok(seat) = seat.cloned().map_or_else(|| desk.sessions.begin(None), Ok) else {
        return out_of_order(person, "this system gives no random numbers");
    };
    let reply =
        file_form(desk, ask, person, &seat, (StatusCode::OK, &html! {}), &Filled::default());
    reply.header("set-cookie", desk.cookie(&seat.id))
}

/// A file that was sent along.
pub fn brought(
    desk: &Desk,
    ask: &'static Ask,
    person: &Person,
    seat: Option<&Seat>,
    (filled, file): (Filled, Option<Brought>),
) -> Reply {
    let Some(seat) = of_this_sitting(seat, &filled) else { return of_another(person) };
    let Some(file) = file else {
        let said = refused("choose a file first");
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return file_form(desk, ask, person, seat, (status, &said), &filled);
    };
    match desk.brought.hold(seat, file.clone()) {
        Ok(id) => Looking { desk, ask, person, seat, filled: &filled, id: &id, file }.shown(),
        Err(error) => out_of_order(person, &error.to_string()),
    }
}

/// The same, once something was answered.
pub fn read(desk: &Desk, person: &Person, seat: Option<&Seat>, filled: &Filled) -> Reply {
    let Some(seat) = of_this_sitting(seat, filled) else { return of_another(person) };
    let Some(ask) = ask("/bring") else { return not_found(person) };
    let id = filled.get("file").unwrap_or_default();
    match desk.brought.of(seat, id) {
        Some(file) => Looking { desk, ask, person, seat, filled, id, file }.shown(),
        None => of_another(person),
    }
}

/// Rows that could not be read, with why.
pub fn unread(desk: &Desk, person: &Person, seat: Option<&Seat>, filled: &Filled) -> Reply {
    let id = filled.get("file").unwrap_or_default();
    match seat.and_then(|seat| desk.brought.of(seat, id)) {
        Some(file) => Reply::download(&file.name, "text/csv; charset=utf-8", file.bytes.to_vec()),
        None => not_found(person),
    }
}

fn of_this_sitting<'s>(seat: Option<&'s Seat>, filled: &Filled) -> Option<&'s Seat> {
    let token = filled.get("token").unwrap_or_default();
    seat.filter(|seat| same(&seat.token, token))
}

fn of_another(person: &Person) -> Reply {
    let said = "The file is no longer held here, or was sent from another page: choose it again under \
                “Bring a table or a map”.";
    plain(person, StatusCode::FORBIDDEN, "Nothing was recorded", said)
}

fn file_form(
    desk: &Desk,
    ask: &'static Ask,
    person: &Person,
    seat: &Seat,
    (status, said): (StatusCode, &Markup),
    filled: &Filled,
) -> Reply {
    let known = match Known::read(desk) {
        Ok(known) => known,
        Err(error) => return out_of_order(person, &error.to_string()),
    };
    let around = Around { known: &known, person, filled };
    let fields = || ask.fields.iter().filter(|field| field.form != Form::Answer);
    let body = html! {
        (said)
        p { "A workbook, a table or a map, as it is: it is shown as it is read, you are asked what it does not tell, and nothing is recorded before you say so." }
        form.deed method="post" action=(ask.path) enctype="multipart/form-data" {
            input type="hidden" name="token" value=(seat.token);
            p.field {
                label for="file" { "The file" }
                input id="file" name="file" type="file" required aria-describedby="file-hint";
                span.under id="file-hint" { "XLSX, XLS, ODS, CSV; GPX, KML, KMZ, GeoPackage, GeoJSON; 16 MB at most" }
            }
            details {
                summary { "What it may leave open" }
                @for field in fields() { (shown(field, around, " (if need be)")) }
            }
            p.send { button type="submit" { "Look at it" } }
        }
    };
    titled(ask, person, status, &body)
}

/// A file, with all that was answered about it so far.
struct Looking<'a> {
    desk: &'a Desk,
    ask: &'static Ask,
    person: &'a Person,
    seat: &'a Seat,
    filled: &'a Filled,
    id: &'a str,
    file: Brought,
}

impl Looking<'_> {
    fn shown(&self) -> Reply {
        let mut replies: Vec<&str> = self.filled.all("reply").collect();
        let typed = self.filled.get("typed").map(str::trim).filter(|typed| !typed.is_empty());
        replies.extend(typed);
        let is_wished = self.filled.get("yes").is_some();
        let (ended, told) = self.asked(&replies, is_wished);
        match ended {
            Ended::Done | Ended::No if is_wished && told.asked.is_none() => self.recorded(told),
            Ended::Done | Ended::No => self.looked_at(&told, &replies, &html! {}, &[]),
            Ended::Wrong(sentence) => {
                let answers: Vec<&Field> = self
                    .ask
                    .fields
                    .iter()
                    .filter(|field| field.form == Form::Answer)
                    .filter(|field| field.option().is_some_and(|option| sentence.contains(option)))
                    .collect();
                // What is no answer is asked again.
                let kept = if told.asked.is_some() && !is_wished {
                    replies.len() - 1
                } else {
                    replies.len()
                };
                let said = refused(&self.ask.labelled(&sentence));
                self.looked_at(&told, &replies[..kept.min(replies.len())], &said, &answers)
            }
            Ended::Storage(sentence) => out_of_order(self.person, &sentence),
        }
    }

    fn asked(&self, replies: &[&str], is_wished: bool) -> (Ended, Told) {
        let mut words = self.ask.words(&|field| self.filled.of(field));
        words.extend(replies.iter().map(|reply| format!("--reply={reply}")));
        words.extend(self.person.name.iter().map(|name| format!("--account={name}")));
        if is_wished {
            words.push("--yes".to_owned());
        }
        words.extend(["--".to_owned(), self.file.name.clone()]);
        self.desk.commands.run_on(&words, vec![self.file.clone()])
    }

    /// As it is read, with what is asked next.
    fn looked_at(&self, told: &Told, replies: &[&str], said: &Markup, answers: &[&Field]) -> Reply {
        let is_clear =
            told.asked.is_none() && (!told.documents.is_empty() || !told.text.is_empty());
        let body = html! {
            (said)
            @if let Some(asked) = &told.asked { (self.question(asked, replies)) }
            @for document in &told.documents { (sections(document, &nowhere)) }
            (lines(&without_options(&told.text)))
            @if is_clear || !answers.is_empty() { (self.wish(replies, answers)) }
            p { a href=(self.ask.path) { "Bring another file" } }
        };
        let status =
            if said.0.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
        titled(self.ask, self.person, status, &body)
    }

    fn recorded(&self, told: Told) -> Reply {
        let links: Vec<(String, String)> = told
            .files
            .into_iter()
            .filter_map(|(name, bytes)| {
                let file = Brought { name: name.clone(), bytes: Arc::from(bytes) };
                let id = self.desk.brought.hold(self.seat, file).ok()?;
                Some((address("/bring/unread.csv", &[("file", &id)]), name))
            })
            .collect();
        let body = html! {
            div.said role="status" {
                (lines(&told.text))
                @for (to, name) in &links { p { a href=(to) download { (name) } } }
            }
            p { a href=(self.ask.path) { "Bring another file" } }
        };
        titled(self.ask, self.person, StatusCode::OK, &body)
    }

    fn question(&self, asked: &Asked, replies: &[&str]) -> Markup {
        let has_answer = !asked.replies.is_empty() || asked.typed.is_some();
        html! {
            form.deed.asks method="post" action="/bring/read" {
                (self.hidden(replies))
                h2 { (asked.said) }
                @if !has_answer { p { "No answer helps: put it right in the file, and bring it again." } }
                p.replies {
                    @for (reply, said) in &asked.replies {
                        button type="submit" name="reply" value=(reply) { (said) }
                    }
                }
                @if let Some(typed) = &asked.typed {
                    p.field {
                        label for="typed" { (typed) }
                        input id="typed" name="typed" type="text" autocomplete="off";
                    }
                    p.send { button type="submit" { "Answer" } }
                }
            }
        }
    }

    fn wish(&self, replies: &[&str], answers: &[&Field]) -> Markup {
        html! {
            form.deed method="post" action="/bring/read" {
                (self.hidden(replies))
                input type="hidden" name="yes" value="yes";
                @for field in answers {
                    p.field.tick {
                        label for=(field.name) {
                            input type="checkbox" id=(field.name) name=(field.name) value="yes";
                            " " (field.label)
                        }
                    }
                }
                p.send { button type="submit" { "Record what is clear of it" } }
            }
        }
    }

    fn hidden(&self, replies: &[&str]) -> Markup {
        let said = self.ask.fields.iter().filter(|field| field.form != Form::Answer);
        let said = said.filter_map(|field| Some((field.name, self.filled.of(field)?)));
        html! {
            input type="hidden" name="token" value=(self.seat.token);
            input type="hidden" name="file" value=(self.id);
            @for (name, value) in said { input type="hidden" name=(name) value=(value); }
            @for reply in replies { input type="hidden" name="reply" value=(reply); }
        }
    }
}

/// What is said of a command line alone is left out.
fn without_options(text: &str) -> String {
    let kept = text.lines().filter(|line| !line.contains("--yes"));
    kept.collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oldest_of_too_many_files_give_way() {
        let words = String::new;
        let seat = Seat { id: words(), token: words(), account: None, hand: words() };
        let file = |bytes| Brought { name: words(), bytes: vec![0; bytes].into() };
        let files = Files::default();
        let hold = |bytes| files.hold(&seat, file(bytes)).unwrap();
        let is_held = |id: &String| files.of(&seat, id).is_some();
        let ids: Vec<String> = (0..=MOST_FILES).map(|_| hold(1)).collect();
        assert!(!is_held(&ids[0]) && ids[1..].iter().all(is_held));
        let large = hold(MOST_BYTES);
        assert!(is_held(&large) && !ids.iter().any(is_held));
    }
}
