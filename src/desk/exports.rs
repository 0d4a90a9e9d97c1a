//! What can be taken home, each with what it may be asked.

use axum::http::StatusCode;
use maud::html;

use super::Desk;
use super::downloads::DOWNLOADS;
use super::form::{Around, asking};
use super::known::Known;
use super::page::{Page, page};
use super::person::Person;
use super::reading::out_of_order;
use super::reply::Reply;
use super::request::Filled;

/// The files of the book; those of a page are offered on it.
pub fn list(desk: &Desk, person: &Person) -> Reply {
    let known = match Known::read(desk) {
        Ok(known) => known,
        Err(error) => return out_of_order(person, &error.to_string()),
    };
    let filled = Filled::default();
    let around = Around { known: &known, person, filled: &filled };
    let own = DOWNLOADS.iter().filter(|ask| ask.command[0] == "export" && person.may(ask.may));
    let body = html! {
        @for (n, ask) in own.enumerate() {
            section aria-labelledby={ "file-" (n) } {
                h2 id={ "file-" (n) } { (ask.title) }
                (asking(ask, around))
            }
        }
    };
    let shown = Page { title: "To take home", kind: "", lead: "", body, foot: html! {} };
    Reply::page(StatusCode::OK, page(&shown, person, "/export"))
}
