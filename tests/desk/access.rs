//! Who may open what, and what those who may not are told.

use std::path::{Path, PathBuf};

use stintbook::desk::addresses;

use super::browser::Browser;
use super::served::{Desk, folder, stintbook};

pub const PASSPHRASE: &str = "a gate by the mill";

/// Every address and who may open it: keeper, leader, forager, owner, and `-` for nobody. A new
/// one has to be written down here too.
const WHO: [(&str, &str); 70] = [
    ("/", "klfo-"),
    ("/done", "klfo"),
    ("/sign-in", "klfo-"),
    ("/sign-out", "klfo-"),
    ("/link", "klfo-"),
    ("/style.css", "klfo-"),
    ("/bring", "k"),
    ("/bring/read", "k"),
    ("/bring/unread.csv", "k"),
    ("/export", "klf"),
    ("/export/map.gpkg", "klf"),
    ("/export/map.kml", "klf"),
    ("/export/map.gpx", "klf"),
    ("/export/map.geojson", "klf"),
    ("/export/records.zip", "kl"),
    ("/export/for-others.zip", "k"),
    ("/export/whole.zip", "k"),
    ("/field", "klf"),
    ("/field/hello", "klf"),
    ("/field/send", "klf"),
    ("/field/app.js", "klfo-"),
    ("/field/app.css", "klfo-"),
    ("/field/worker.js", "klfo-"),
    ("/field/icon.svg", "klfo-"),
    ("/field/app.webmanifest", "klfo-"),
    ("/field/page", "klf"),
    ("/field/page.html", "klf"),
    ("/field/walk", "klf"),
    ("/field/walk.html", "klf"),
    ("/week", "klf"),
    ("/week.csv", "klf"),
    ("/week.geojson", "klf"),
    ("/due", "klf"),
    ("/due.ics", "klf"),
    ("/calendar", "klf"),
    ("/planned", "klfo"),
    ("/patch", "klf"),
    ("/records", "klf"),
    ("/walks", "klf"),
    ("/walk", "klf"),
    ("/walk/plan", "kl"),
    ("/walk/sheet", "klf"),
    ("/walks/try", "kl"),
    ("/boxes", "kl"),
    ("/report", "klfo"),
    ("/report/print", "klfo"),
    ("/report/patches.csv", "klfo"),
    ("/report/visits.csv", "klfo"),
    ("/years", "klf"),
    ("/surveys", "klf"),
    ("/patch/quadrats", "klf"),
    ("/verify", "k"),
    ("/crops", "klfo"),
    ("/cut", "klf"),
    ("/glance", "klf"),
    ("/survey", "klf"),
    ("/visit", "klf"),
    ("/close", "kl"),
    ("/reopen", "kl"),
    ("/undo", "klf"),
    ("/correct", "klf"),
    ("/withdraw", "klf"),
    ("/walks/new", "kl"),
    ("/walk/hold", "kl"),
    ("/walk/join", "kl"),
    ("/walk/leave", "kl"),
    ("/walk/move", "kl"),
    ("/walk/settle", "kl"),
    ("/walk/cancel", "kl"),
    ("/boxes/hold", "kl"),
];

/// A desk with an account of each role; leader, forager and owner are held to Gullhythe.
pub fn with_accounts() -> Desk {
    let folder = folder();
    let held = ["--site", "Gullhythe"];
    let mut keys = Vec::new();
    for (name, role) in
        [("Ida", "keeper"), ("Tomas", "leader"), ("Bea", "forager"), ("Reed", "owner")]
    {
        let mut words = vec!["--book", "book.sqlite", "access", "add", name, "--as", role];
        if role != "keeper" {
            words.extend(held);
        }
        let told = stintbook(folder.path(), &words);
        let said = String::from_utf8(told.stdout).unwrap();
        keys.push(said.split("key=").nth(1).unwrap().trim().to_owned());
    }
    let desk = Desk::on(folder, &[]);
    for key in keys {
        let mut someone = Browser::at(&desk);
        let sent = someone.fills(&format!("/link?key={key}"), &[("passphrase", PASSPHRASE)]);
        assert_eq!(sent.status, 303, "{}", sent.body);
    }
    desk
}

pub fn signed_in<'d>(desk: &'d Desk, name: &str) -> Browser<'d> {
    let mut browser = Browser::at(desk);
    let sent = browser.fills("/sign-in", &[("name", name), ("passphrase", PASSPHRASE)]);
    assert_eq!(sent.status, 303, "{}", sent.body);
    browser
}

/// The form to sign in that leads back to a path.
fn to_sign_in(path: &str) -> String {
    format!("/sign-in?back={}", path.replace('/', "%2F"))
}

#[test]
fn every_address_is_open_to_those_who_may_and_to_nobody_else() {
    let known: Vec<&str> = addresses().into_iter().map(|(path, _)| path).collect();
    let written: Vec<&str> = WHO.iter().map(|(path, _)| *path).collect();
    for path in &known {
        assert!(written.contains(path), "nobody wrote down who may open {path}");
    }
    assert_eq!(known.len(), written.len());
    let desk = with_accounts();
    for (letter, name) in [('k', "Ida"), ('l', "Tomas"), ('f', "Bea"), ('o', "Reed"), ('-', "")] {
        let mut someone = if name.is_empty() { Browser::at(&desk) } else { signed_in(&desk, name) };
        let mut cookie = someone.cookie.clone();
        for (path, who) in WHO.iter().filter(|(path, _)| *path != "/sign-in") {
            let got = someone.get(path);
            let sent = match *path {
                "/bring" => someone.brings("", "a.csv", b"a"),
                "/field/send" => someone.writes(path, "", "{}"),
                _ => someone.sends(path, &[("a", "b")]),
            };
            someone.cookie.clone_from(&cookie);
            if *path == "/sign-out" && !name.is_empty() {
                someone = signed_in(&desk, name);
                cookie.clone_from(&someone.cookie);
                continue;
            }
            if who.contains(letter) {
                let to_sign_in =
                    got.header("location").is_some_and(|to| to.starts_with("/sign-in"));
                assert!(!to_sign_in || *path == "/", "{path} for {name}");
                assert!(
                    matches!(got.status, 200 | 303 | 404 | 422),
                    "{path} for {name}: {}",
                    got.status
                );
            } else if letter == '-' {
                assert_eq!(got.header("location"), Some(&*to_sign_in(path)), "{path}");
                assert_eq!(sent.status, 403, "{path} for nobody");
            } else {
                assert_eq!((got.status, sent.status), (403, 403), "{path} for {name}");
            }
        }
    }
}

#[test]
fn what_is_recorded_is_signed_by_the_account_whatever_the_form_says() {
    let desk = with_accounts();
    let mut bea = signed_in(&desk, "Bea");
    let form = bea.get("/cut?patch=Gullhythe%2FSea+wall");
    assert!(!form.body.contains("name=\"by\""), "no form asks for a name");
    let cut = [("patch", "Gullhythe/Sea wall"), ("amount", "200g"), ("by", "Ida")];
    let sent = bea.again(&form, "/cut", &cut);
    assert_eq!(bea.follows(&sent).status, 200);
    let history = desk.typed(&["history", "sea wall", "--format", "csv"]);
    let line = history.lines().find(|line| line.contains("200")).unwrap();
    assert!(line.contains("Bea") && !line.contains("Ida"), "{line}");
}

#[test]
fn nobody_reaches_a_site_that_is_not_theirs() {
    let desk = with_accounts();
    let other = "Wendlestow%2FMill+bank";
    let fact = desk.typed(&["history", "mill bank", "--format", "csv"]);
    let fact = fact.lines().nth(1).unwrap().split(',').next().unwrap().to_owned();
    let fact = &fact[fact.len() - 8..];
    for name in ["Tomas", "Bea"] {
        let mut held = signed_in(&desk, name);
        for path in [
            format!("/patch?patch={other}"),
            format!("/patch?patch={}", "mill+bank"),
            "/week?site=Wendlestow".to_owned(),
            "/calendar?site=wendle".to_owned(),
            format!("/records?patch={other}"),
            "/walk?walk=first+nettles".to_owned(),
            "/walk/sheet?walk=lea+walk".to_owned(),
            "/report/print?site=Ammerlow".to_owned(),
            format!("/correct?fact={fact}"),
            format!("/cut?patch={other}"),
            "/field/page?site=Wendlestow".to_owned(),
            "/field/page.html?site=Wendlestow".to_owned(),
            "/field/walk?walk=lea+walk".to_owned(),
        ] {
            let reply = held.get(&path);
            assert_eq!(reply.status, 404, "{path} for {name}");
            assert!(!reply.body.contains("did you mean"), "{path}");
        }
        for path in [
            "/week",
            "/due",
            "/calendar",
            "/records",
            "/walks",
            "/surveys",
            "/cut",
            "/field",
            "/field/page",
            "/field/page.html",
        ] {
            let body = held.get(path).body;
            assert!(!body.contains("Mill bank") && !body.contains("Allotment edge"), "{path}");
        }
        let cut = [("patch", "Wendlestow/Mill bank"), ("amount", "200g")];
        assert_eq!(held.fills("/cut", &cut).status, 404);
    }
    let mut tomas = signed_in(&desk, "Tomas");
    let took = [("walk", "creek walk"), ("back", "mill=1kg")];
    assert_eq!(tomas.fills("/walk/settle", &took).status, 403);
    let mut reed = signed_in(&desk, "Reed");
    assert_eq!(reed.get("/report?site=Gullhythe").status, 200);
    assert_eq!(reed.get("/planned?site=Gullhythe&ahead=1+month").status, 200);
    assert_eq!(reed.get("/report?site=Wendlestow").status, 404);
}

#[test]
fn a_forager_puts_right_what_they_wrote_down_themselves() {
    let desk = with_accounts();
    let mut bea = signed_in(&desk, "Bea");
    let history = desk.typed(&["history", "slipway", "--format", "csv"]);
    let fact = history.lines().find(|line| line.contains("Tomas")).unwrap();
    let fact = fact.split(',').next().unwrap();
    let right = [("fact", &fact[fact.len() - 8..]), ("change", "note=x"), ("why", "y")];
    assert_eq!(bea.fills("/correct", &right).status, 403);
    let mut tomas = signed_in(&desk, "Tomas");
    let moved = [("fact", right[0].1), ("change", "patch=Wendlestow/Mill bank"), ("why", "y")];
    assert_eq!(tomas.fills("/correct", &moved).status, 403);
}

#[test]
fn a_session_begins_anew_at_signing_in_and_ends_on_the_server() {
    let desk = with_accounts();
    let mut ida = Browser::at(&desk);
    ida.get("/sign-in");
    let before = ida.cookie.clone();
    let sent = ida.fills("/sign-in", &[("name", "ida"), ("passphrase", PASSPHRASE)]);
    let set = sent.header("set-cookie").unwrap();
    assert!(set.contains("HttpOnly") && set.contains("SameSite=Strict"), "{set}");
    assert_ne!(ida.cookie, before);
    let mut fixed = Browser { desk: &desk, cookie: before };
    assert_eq!(fixed.get("/week").header("location"), Some("/sign-in?back=%2Fweek"));
    let mut stolen = Browser { desk: &desk, cookie: ida.cookie.clone() };
    assert_eq!(stolen.get("/week").status, 200);
    ida.sends("/sign-out", &[("a", "b")]);
    assert_eq!(stolen.get("/week").header("location"), Some("/sign-in?back=%2Fweek"));
}

#[test]
fn signing_in_leads_back_to_where_one_came_from_and_nowhere_else() {
    let desk = with_accounts();
    let known = [("name", "Bea"), ("passphrase", PASSPHRASE)];
    let leads = |path: &str, from: &str| {
        let mut bea = Browser::at(&desk);
        let form = bea.get(path);
        let form = if form.status == 303 { bea.follows(&form) } else { form };
        let hidden = form.body.matches("name=\"back\"").count();
        let sent = bea.again(&form, "/sign-in", &known);
        assert_eq!(sent.status, 303, "{from}: {}", sent.body);
        (hidden, sent.header("location").unwrap().to_owned())
    };
    let patch = "/patch?patch=Gullhythe%2FSea+wall&people=4";
    assert_eq!(leads(patch, "a patch"), (1, patch.to_owned()));
    // What Bea may not open is no place to be led to.
    assert_eq!(leads("/boxes", "boxes").1, "/");
    let long = format!("/sign-in?back=%2Fweek%3Fon%3D{}", "9".repeat(3000));
    for elsewhere in [
        "/sign-in",
        "/sign-in?back=https%3A%2F%2Fhill.example%2Fweek",
        "/sign-in?back=%2F%2Fhill.example%2Fweek",
        "/sign-in?back=%2F%5Chill.example",
        "/sign-in?back=%5C%5Chill.example",
        "/sign-in?back=%2Fweek%0D%0ASet-Cookie%3A+a%3Db",
        "/sign-in?back=%2Fweek%3F%3Cscript%3E+",
        "/sign-in?back=%2Fsign-out",
        "/sign-in?back=javascript%3Aalert(1)",
        "/sign-in?back=%2Fnothing",
        &long,
    ] {
        assert_eq!(leads(elsewhere, elsewhere), (0, "/".to_owned()), "{elsewhere}");
    }
    // A wrong passphrase does not forget it.
    let mut bea = Browser::at(&desk);
    let form = bea.get("/sign-in?back=%2Fdue");
    let again = bea.again(&form, "/sign-in", &[("name", "Bea"), ("passphrase", "a gate")]);
    assert_eq!(again.status, 403);
    assert_eq!(bea.again(&again, "/sign-in", &known).header("location"), Some("/due"));
}

#[test]
fn a_form_that_comes_once_its_session_is_over_leads_to_the_sign_in() {
    let desk = with_accounts();
    let mut bea = signed_in(&desk, "Bea");
    let form = bea.get("/cut?patch=Gullhythe%2FSea+wall");
    bea.sends("/sign-out", &[("a", "b")]);
    let cut = [("patch", "Gullhythe/Sea wall"), ("amount", "200g")];
    let sent = bea.again(&form, "/cut", &cut);
    assert_eq!(sent.status, 403);
    assert!(sent.body.contains("Nothing was recorded"), "{}", sent.body);
    assert!(sent.body.contains("href=\"/sign-in?back=%2Fcut\""), "{}", sent.body);
}

#[test]
fn whoever_guesses_has_to_wait() {
    let desk = with_accounts();
    let mut guesser = Browser::at(&desk);
    let mut tries = |name: &str, passphrase: &str| {
        guesser.fills("/sign-in", &[("name", name), ("passphrase", passphrase)]).status
    };
    for n in 0..5 {
        assert_eq!(tries("Ida", &format!("a gate by the mile {n}")), 403);
    }
    assert_eq!(tries("Ida", PASSPHRASE), 429, "even the right one");
    assert_eq!(tries("IDA", PASSPHRASE), 429);
    for _ in 0..5 {
        assert_eq!(tries("Nobody", PASSPHRASE), 403);
    }
    assert_eq!(tries("Nobody", PASSPHRASE), 429, "a name without an account is no other");
    let bare = Browser::at(&desk).sends("/sign-in", &[("name", "Ida"), ("passphrase", PASSPHRASE)]);
    assert_eq!(bare.status, 403, "a form that another page sends");
}

/// Where they are kept, whatever the book is.
fn accounts(folder: &Path) -> PathBuf {
    let mut files = std::fs::read_dir(folder).unwrap().map(|file| file.unwrap().path());
    files.find(|file| file.to_string_lossy().ends_with(".access.json")).unwrap()
}

#[test]
pub fn with_accounts_it_may_listen_elsewhere_and_without_the_last_one_it_opens_to_nobody() {
    let folder = folder();
    let add = ["--book", "book.sqlite", "access", "add", "Ida", "--as", "keeper"];
    assert!(stintbook(folder.path(), &add).status.success());
    let desk = Desk::on(folder, &["--listen", "0.0.0.0:0"]);
    assert_eq!(desk.get("/week").header("location"), Some("/sign-in?back=%2Fweek"));
    desk.typed(&["access", "remove", "Ida"]);
    assert_eq!(desk.get("/week").header("location"), Some("/sign-in?back=%2Fweek"));
    std::fs::write(accounts(desk.folder.path()), "{").unwrap();
    assert_eq!(desk.get("/week").status, 503);
}
