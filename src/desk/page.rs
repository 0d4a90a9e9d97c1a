//! What stands around every page: who one is, where one can go, and what was just done.

use maud::{Markup, html};

use super::ask::Ask;
use super::asks::ask;
use super::person::Person;
use super::request::address;
use super::routes::way;
use super::way_out::way_out;
use crate::report::at_desk::in_markup;
use crate::report::page::{Document, Frame, Head, Leads, framed, top};
use crate::report::stress;

/// What a page is made of.
#[derive(Debug)]
pub struct Page<'a> {
    pub title: &'a str,
    pub kind: &'a str,
    pub lead: &'a str,
    pub body: Markup,
    pub foot: Markup,
}

/// Where one can go from anywhere, in this order: what is asked most, and the rest.
const FIRST: [&str; 4] = ["/week", "/patch", "/due", "/walks"];
const FURTHER: [&str; 11] = [
    "/walks/new",
    "/calendar",
    "/planned",
    "/boxes",
    "/field",
    "/records",
    "/bring",
    "/undo",
    "/report",
    "/export",
    "/crops",
];

/// The whole page.
pub fn page(page: &Page, person: &Person, here: &str) -> String {
    let (first, further) = (ways(&FIRST, person, here), ways(&FURTHER, person, here));
    let further_here =
        FURTHER.iter().find(|path| **path == here).and_then(|path| Some(way(path)?.0));
    let ways = html! {
        nav.ways aria-label="The book" {
            @match (first, further) {
                (Some(first), Some(further)) => {
                    (first)
                    details {
                        summary { "More" @if let Some(here) = further_here { ": " b { (here) } } }
                        (further)
                    }
                }
                (first, further) => { @for some in first.iter().chain(&further) { (some) } }
            }
            @if let Some(name) = &person.name {
                form.out method="post" action="/sign-out" {
                    span { (name) }
                    button type="submit" { "Sign out" }
                }
            }
        }
    };
    let sheet = html! { link rel="stylesheet" href="/style.css"; };
    let top = top(&format!("{} · Stintbook", page.title), &sheet);
    let head = Head { title: page.title, kind: page.kind, lead: page.lead };
    let frame = Frame { top, class: Some("desk"), ways };
    let markup = framed(&frame, &head, &page.body, &page.foot);
    let shown = stress::in_html(&markup.into_string());
    let labelled = |text: &str| ask(here).map_or_else(|| text.to_owned(), |ask| ask.labelled(text));
    in_markup(&shown, &|words| way_out(person, words), &labelled)
}

/// Nothing where somebody may go nowhere of these.
fn ways(paths: &[&'static str], person: &Person, here: &str) -> Option<Markup> {
    let ways = paths.iter().filter_map(|path| Some((*path, way(path)?)));
    let ways: Vec<_> = ways.filter(|(_, (_, may))| person.may(*may)).collect();
    let ways_there_are = !ways.is_empty();
    ways_there_are.then(|| {
        html! {
            ul {
                @for (path, (title, _)) in ways {
                    li { a href=(path) aria-current=[(path == here).then_some("page")] { (title) } }
                }
            }
        }
    })
}

/// A document's sections.
pub fn sections(document: &Document, leads: Leads<'_>) -> Markup {
    document.body(leads)
}

/// What a command printed: a paragraph a line, and lists where lines begin with a dash.
pub fn lines(text: &str) -> Markup {
    let mut blocks: Vec<(bool, Vec<&str>)> = Vec::new();
    for line in text.lines().filter(|line| !line.trim().is_empty()) {
        let (is_item, said) = match line.trim_start().strip_prefix("- ") {
            Some(item) => (true, item),
            None => (false, line.trim()),
        };
        match blocks.last_mut().filter(|last| last.0 && is_item) {
            Some((_, items)) => items.push(said),
            None => blocks.push((is_item, vec![said])),
        }
    }
    html! {
        @for (is_list, said) in &blocks {
            @if *is_list { ul { @for item in said { li { (item) } } } } @else { p { (said[0]) } }
        }
    }
}

/// What else can be asked or done about the same thing.
pub fn besides(asks: &[&Ask], name: &str) -> Markup {
    let to = |ask: &Ask| {
        let field = ask.subject().map_or("", |field| field.name);
        address(ask.path, &[(field, name)])
    };
    html! {
        @if !asks.is_empty() {
            nav.besides aria-label={ "More about " (name) } {
                ul { @for ask in asks { li { a href=(to(ask)) { (ask.title) } } } }
            }
        }
    }
}
