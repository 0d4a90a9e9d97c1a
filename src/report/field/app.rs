//! The page as the desk serves it: its script and sheet at addresses of their own, a worker that
//! keeps them for where no signal is, and what a phone asks before it puts it beside its apps.

use maud::{Markup, html};
use serde_json::json;
use sha2::{Digest, Sha256};

use super::{FieldPage, STYLE, script, words};

/// Shows the page as it last was where nothing answers.
pub const WORKER: &str = include_str!("script/worker.js");

/// What stands on a phone's screen for it.
pub const ICON: &str = include_str!("icon.svg");

/// The page's own colour, around it.
const THEME: &str = "#0b4f76";

/// Letters of a version.
const LETTERS: usize = 12;

/// A page that comes from a desk.
#[derive(Clone, Copy, Debug)]
pub struct App<'a> {
    /// Whose account signs what is recorded on it.
    pub account: Option<&'a str>,
}

impl App<'_> {
    pub(super) fn head(self, page: &FieldPage) -> Markup {
        let [script, sheet] = addresses();
        html! {
            link rel="stylesheet" href=(sheet);
            link rel="manifest" href={ "/field/app.webmanifest?" (query(page)) };
            meta name="theme-color" content=(THEME);
            link rel="icon" href="/field/icon.svg" type="image/svg+xml";
            script src=(script) defer {}
        }
    }
}

/// What of the page is asked for by itself: its site or its walk, as a query.
fn query(page: &FieldPage) -> String {
    match (page.walk, page.ledger.sites.as_slice()) {
        (Some(walk), _) => asked(("walk", walk.walk.as_str())),
        (None, [site]) => asked(("site", site.site.record.name.as_str())),
        _ => String::new(),
    }
}

fn asked((name, value): (&str, &str)) -> String {
    form_urlencoded::Serializer::new(String::new()).append_pair(name, value).finish()
}

/// Where it is.
pub(super) fn address(page: &FieldPage) -> String {
    at(page.walk.is_some(), &query(page))
}

fn at(is_of_walk: bool, query: &str) -> String {
    let path = if is_of_walk { "/field/walk" } else { "/field/page" };
    if query.is_empty() { path.to_owned() } else { format!("{path}?{query}") }
}

/// Script and sheet, each with what tells this version of it from others, so that a kept page
/// never meets the script of another.
fn addresses() -> [String; 2] {
    let version = version();
    [format!("/field/app.js?v={version}"), format!("/field/app.css?v={version}")]
}

/// Tells this version of script and sheet from others.
pub fn version() -> String {
    let whole = Sha256::digest((script() + STYLE).as_bytes());
    let hex = whole.iter().map(|byte| format!("{byte:02x}"));
    hex.collect::<String>().chars().take(LETTERS).collect()
}

pub(super) fn parts() -> Vec<String> {
    let [script, sheet] = addresses();
    vec![script, sheet, "/field/icon.svg".to_owned()]
}

/// The manifest (W3C Web Application Manifest) of the page of a site, of a walk, or of all sites.
pub fn manifest(site: Option<&str>, walk: Option<&str>) -> String {
    let of = walk.map(|walk| ("walk", walk)).or(site.map(|site| ("site", site)));
    let address = at(walk.is_some(), &of.map_or_else(String::new, asked));
    let name = of.map_or(words::FIELD_PAGE, |(_, name)| name);
    json!({
        "id": address,
        "name": name,
        "short_name": name,
        "start_url": address,
        "scope": "/field/",
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": THEME,
        "icons": [{ "src": "/field/icon.svg", "sizes": "any", "type": "image/svg+xml", "purpose": "any" }],
    })
    .to_string()
}
