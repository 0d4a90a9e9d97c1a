//! Which pages a phone can have, and what all of them share.

use axum::http::StatusCode;
use maud::{Markup, html};

use super::Desk;
use super::known::Known;
use super::page::{Page, page};
use super::person::Person;
use super::reading::out_of_order;
use super::reply::{Policy, Reply};
use super::request::{Filled, address};
use super::routes::Part;
use crate::report::field::{ICON, STYLE, WORKER, manifest, script};
use crate::units::spoken_day;

/// Every site and every walk to come, as a page to open and as a file to take along.
pub fn ways(desk: &Desk, person: &Person, is_trusted: bool) -> Reply {
    let known = match Known::read(desk) {
        Ok(known) => known,
        Err(error) => return out_of_order(person, &error.to_string()),
    };
    let sites = known.sites(person);
    let walks = known.walks_from(desk.commands.on(), person);
    let body = html! {
        @if is_trusted { p { (TRUSTED) } } @else { div.asks { p { (NOT_TRUSTED) } } }
        section aria-labelledby="sites" {
            h2 #sites { "A site for the coming days" }
            ul.taken-along {
                @for site in &sites { li { (both("/field/page", ("site", site), site)) } }
            }
        }
        @if !walks.is_empty() {
            section aria-labelledby="walks" {
                h2 #walks { "A walk, for who leads it" }
                ul.taken-along {
                    @for (walk, day) in &walks {
                        li { (both("/field/walk", ("walk", walk), &format!("{walk}, {}", spoken_day(*day)))) }
                    }
                }
            }
        }
    };
    let (title, foot) = ("On a phone", html! {});
    let shown = Page { title, kind: "", lead: "", body, foot };
    Reply::page(StatusCode::OK, page(&shown, person, "/field"))
}

const TRUSTED: &str = "A page that is opened on the phone keeps itself there: it opens again without a \
    signal, as it last was, and what is recorded on it goes into the book by itself once there is \
    a signal.";

const NOT_TRUSTED: &str = "This address is not one that browsers trust, since nothing hides what is sent \
    (no HTTPS): a page that is opened from here does not open again without a signal and is told no \
    position. Take the file along, and bring back what it hands over.";

fn both(path: &str, asked: (&str, &str), said: &str) -> Markup {
    let query = address(path, &[asked]);
    let file = address(&format!("{path}.html"), &[asked]);
    html! {
        a href=(query) { (said) }
        a href=(file) download aria-label={ "as a file: " (said) } { "as a file" }
    }
}

/// A file beside the pages. Script and sheet have their version in the address.
pub fn part(part: Part, filled: &Filled) -> Reply {
    match part {
        Part::Script => Reply::fixed("text/javascript; charset=utf-8", script()),
        Part::Sheet => Reply::fixed("text/css; charset=utf-8", STYLE.to_owned()),
        Part::Icon => Reply::fixed("image/svg+xml", ICON.to_owned()),
        Part::Worker => {
            let worker = Reply::fixed("text/javascript; charset=utf-8", WORKER.to_owned());
            worker.under(Policy::Worker)
        }
        Part::Manifest => {
            let text = manifest(filled.get("site"), filled.get("walk"));
            Reply::fixed("application/manifest+json", text)
        }
    }
}
