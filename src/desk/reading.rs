//! Questions, answered.

use axum::http::StatusCode;
use maud::{Markup, html};

use super::Desk;
use super::ask::{Ask, Form, Shows};
use super::asks::asks;
use super::back::sign_in_first;
use super::form::{Around, asking, otherwise};
use super::kept::Question;
use super::known::Known;
use super::page::{Page, besides, lines, page};
use super::person::Person;
use super::reply::{Policy, Reply};
use super::request::{Filled, address};
use super::settled::{Unsettled, settle};
use super::told::{Ended, Told};
use super::zipped::zipped;

/// What an ask that records nothing answers.
pub fn answer(desk: &Desk, ask: &'static Ask, person: &Person, filled: Filled) -> Reply {
    let rests = if ask.shows == Shows::Page { desk.commands.rests() } else { None };
    let Some(rests) = rests else { return made(desk, ask, person, filled) };
    let asked = Question { path: ask.path, filled: filled.clone(), person: person.clone() };
    desk.kept.page(rests, asked, || made(desk, ask, person, filled))
}

fn made(desk: &Desk, ask: &'static Ask, person: &Person, mut filled: Filled) -> Reply {
    let known = match Known::read(desk) {
        Ok(known) => known,
        Err(error) => return out_of_order(person, &error.to_string()),
    };
    let settled = settle(ask, &known, person, &mut filled);
    let around = Around { known: &known, person, filled: &filled };
    match settled {
        Ok(()) => told(desk, ask, around),
        Err(Unsettled::Lacking) => {
            let body = html! { (asking(ask, around)) };
            titled(ask, person, StatusCode::OK, &body)
        }
        Err(Unsettled::Unknown(sentence)) => {
            let body = html! { (refused(&sentence)) (asking(ask, around)) };
            titled(ask, person, StatusCode::NOT_FOUND, &body)
        }
        Err(Unsettled::NotTheirs) => not_yours(person),
    }
}

fn told(desk: &Desk, ask: &'static Ask, around: Around) -> Reply {
    let mut words = ask.words(&|field| around.filled.of(field));
    if let (Shows::App, Some(name)) = (ask.shows, &around.person.name) {
        words.push(format!("--account={name}"));
    }
    let (ended, said) = desk.commands.run(&words);
    match (ended, ask.shows) {
        (Ended::Wrong(sentence), _) => {
            let body = html! { (refused(&ask.labelled(&sentence))) (asking(ask, around)) };
            titled(ask, around.person, StatusCode::UNPROCESSABLE_ENTITY, &body)
        }
        (Ended::Storage(sentence), _) => out_of_order(around.person, &sentence),
        (_, Shows::Download { name, media }) => download(ask, name, media, said),
        (_, Shows::App) => match said.files.into_iter().next() {
            Some((_, text)) => Reply::page(StatusCode::OK, text).under(Policy::Field),
            None => not_found(around.person),
        },
        (_, Shows::Sheet) => match said.files.into_iter().next() {
            Some((_, text)) => Reply::page(StatusCode::OK, text),
            None => not_found(around.person),
        },
        _ => shown(ask, around, &said),
    }
}

fn download(ask: &Ask, name: &str, media: &'static str, told: Told) -> Reply {
    let called = ask.path.rsplit('/').next().unwrap_or_default();
    if let [_, _, ..] = told.files[..]
        && called.ends_with(".zip")
    {
        return match zipped(&told.files) {
            Ok(bytes) => Reply::download(called, media, bytes),
            Err(error) => out_of_order(&Person::nobody(), &error.to_string()),
        };
    }
    match told.files.into_iter().find(|(file, _)| file.ends_with(name)) {
        Some((file, text)) => Reply::download(&file, media, text),
        None => Reply::download(name, media, told.text.into_bytes()),
    }
}

fn shown(ask: &'static Ask, around: Around, told: &Told) -> Reply {
    let Around { known, person, filled } = around;
    let first = told.documents.first();
    let documents = told.documents.iter();
    let sections = documents.flat_map(|it| it.parts(&|over, name| known.leads(over, name)));
    let sections: Vec<Markup> = sections.collect();
    // What is asked first is told first, where it is told in short.
    let is_short =
        first.is_some_and(|it| it.sections.first().is_some_and(|it| it.heading.is_empty()));
    let body = html! {
        (otherwise(ask, around))
        @if !is_short { (more(ask, person, filled)) }
        @for (n, section) in sections.iter().enumerate() {
            (section)
            @if n == 0 && is_short { (more(ask, person, filled)) }
        }
        (lines(&told.text))
        (downloads(ask, person, filled))
    };
    let foot = html! { @for document in &told.documents { (document.foot()) } };
    let shown = Page {
        title: first.map_or(ask.title, |document| &document.title),
        kind: first.map_or("", |document| document.kind),
        lead: first.map_or("", |document| &document.lead),
        body,
        foot,
    };
    Reply::page(StatusCode::OK, page(&shown, person, ask.path))
}

/// What else can be asked and done about what this is about.
pub fn more(ask: &Ask, person: &Person, filled: &Filled) -> Markup {
    let subject = ask.subject().and_then(|field| Some((field.form, filled.of(field)?)));
    let Some((form, name)) = subject else { return html! {} };
    let fits = |other: &&'static Ask| {
        let about = other.subject().map(|field| field.form);
        let same = about == Some(form) || (form == Form::Patch && about == Some(Form::Place));
        same && other.path != ask.path
            && person.may(other.may)
            && !matches!(other.shows, Shows::Download { .. })
            && (form != Form::Site || other.subject().is_some_and(|field| field.needed))
    };
    let others: Vec<&Ask> = asks().filter(fits).collect();
    besides(&others, &name)
}

fn downloads(ask: &Ask, person: &Person, filled: &Filled) -> Markup {
    let of_this = |other: &&'static Ask| {
        matches!(other.shows, Shows::Download { .. })
            && other.command[0] == ask.command[0]
            && person.may(other.may)
    };
    let others: Vec<&Ask> = asks().filter(of_this).collect();
    let to = |other: &Ask| {
        let said = other.fields.iter().filter_map(|field| Some((field.name, filled.of(field)?)));
        let said: Vec<(&str, String)> = said.collect();
        let said: Vec<(&str, &str)> = said.iter().map(|(name, value)| (*name, &**value)).collect();
        address(other.path, &said)
    };
    html! {
        @if !others.is_empty() {
            nav.besides aria-label="To keep" {
                ul { @for other in others { li { a href=(to(other)) { (other.title) } } } }
            }
        }
    }
}

/// A page of the desk's own under an ask's name.
pub fn titled(ask: &Ask, person: &Person, status: StatusCode, body: &Markup) -> Reply {
    let shown = Page { title: ask.title, kind: "", lead: "", body: body.clone(), foot: html! {} };
    Reply::page(status, page(&shown, person, ask.path))
}

/// A page of the desk's own under any name.
pub fn under(title: &str, person: &Person, status: StatusCode, body: &Markup) -> Reply {
    let shown = Page { title, kind: "", lead: "", body: body.clone(), foot: html! {} };
    Reply::page(status, page(&shown, person, ""))
}

/// What is wrong, and the way out.
pub fn refused(sentence: &str) -> Markup {
    html! { div.refused role="alert" { h2 { "That did not work" } (lines(sentence)) } }
}

pub fn not_found(person: &Person) -> Reply {
    plain(person, StatusCode::NOT_FOUND, "There is no such page", "Nothing is at this address.")
}

/// A form that came once its session was over.
pub fn signed_out(path: &str) -> Reply {
    let body = html! {
        p { "Nothing was recorded: you are not signed in, or not any longer." }
        p { a href=(sign_in_first(path)) { "Sign in and open the form anew" } }
    };
    under("Sign in first", &Person::nobody(), StatusCode::FORBIDDEN, &body)
}

pub fn not_yours(person: &Person) -> Reply {
    let said = "Your account does not open this. Whoever keeps the book can change that.";
    plain(person, StatusCode::FORBIDDEN, "This is not for you to see", said)
}

pub fn out_of_order(person: &Person, sentence: &str) -> Reply {
    plain(person, StatusCode::SERVICE_UNAVAILABLE, "The book cannot be read now", sentence)
}

/// A page that says one thing.
pub fn plain(person: &Person, status: StatusCode, title: &str, said: &str) -> Reply {
    let body = html! { (lines(said)) };
    let shown = Page { title, kind: "", lead: "", body, foot: html! {} };
    Reply::page(status, page(&shown, person, ""))
}
