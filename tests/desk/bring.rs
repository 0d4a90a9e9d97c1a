//! A table from somebody's machine, brought by a browser with its questions.

use super::browser::{Browser, hidden};
use super::served::{Desk, Reply};

const NOTEBOOK: &str = "Where;When;Picked by;Weight;Weather\n\
    Wendlestow/Mill bnk;3/4/2026;Ida;1,2;dry\n\
    Gullhythe/Sea wall;14/4/2026;Bea;0,3;wet\n\
    Gullhythe/Sea wall;15/4/2026;Bea;some;wet\n";

fn begins<'d>(desk: &'d Desk, name: &str, bytes: &[u8]) -> (Browser<'d>, Reply) {
    let mut ida = Browser::at(desk);
    let form = ida.get("/bring");
    let token = hidden(&form.body).into_iter().find(|(name, _)| name == "token").unwrap().1;
    let read = ida.brings(&token, name, bytes);
    (ida, read)
}

/// Replies by a button that says so, or by typing.
fn replies(ida: &mut Browser<'_>, page: &Reply, reply: &str) -> Reply {
    let name = if page.body.contains(&format!("value=\"{reply}\"")) { "reply" } else { "typed" };
    ida.again(page, "/bring/read", &[(name, reply)])
}

fn cuts(desk: &Desk) -> usize {
    desk.typed(&["history", "--format", "csv"]).matches(",cut,").count()
}

#[test]
fn a_notebook_is_shown_asked_about_and_recorded_where_it_is_wished() {
    let desk = Desk::open();
    let before = cuts(&desk);
    let (mut ida, read) = begins(&desk, "notebook.csv", NOTEBOOK.as_bytes());
    assert_eq!(read.status, 200, "{}", read.body);
    for option in ["--as", "--column", "--unit", "--say", "--set", "--day-first", "--yes"] {
        assert!(!read.body.contains(option), "`{option}` is for a command line");
    }
    let mut page = read;
    let mut asked = Vec::new();
    while page.body.contains("class=\"deed asks\"") {
        let question = page.body.split("<h2>").nth(1).unwrap().split("</h2>").next().unwrap();
        asked.push(question.to_owned());
        assert!(asked.len() < 12, "{asked:#?}");
        let reply = match question {
            it if it.contains("Mill bnk") => "Wendlestow/Mill bank",
            it if it.contains("what its numbers are in") => "kg",
            it if it.contains("what the rows are") || it.contains("rows may be") => "cuts",
            it if it.contains("two ways") => "day",
            it if it.contains("Weather") => "no",
            it => panic!("{it}"),
        };
        page = replies(&mut ida, &page, reply);
    }
    assert!(asked.iter().any(|it| it.contains("Mill bnk")), "{asked:#?}");
    assert!(page.body.contains("1 row cannot be read and would come back:"), "{}", page.body);
    assert_eq!(cuts(&desk), before, "nothing is recorded before it is wished");
    let done = ida.again(&page, "/bring/read", &[]);
    assert_eq!(done.status, 200);
    assert_eq!(cuts(&desk), before + 2, "{}", done.body);
    let bank = desk.typed(&["history", "mill bank", "--format", "csv"]);
    let line = bank.lines().find(|line| line.contains("2026-04-03")).unwrap();
    assert!(line.contains("1200") || line.contains("1.2"), "{line}");

    // The row that cannot be read comes back with why.
    let link = done.body.split("href=\"/bring/unread.csv").nth(1).unwrap();
    let link = format!("/bring/unread.csv{}", link.split('"').next().unwrap());
    let unread = ida.get(&link.replace("&amp;", "&"));
    assert!(unread.body.contains("some") && !unread.body.contains("1,2"), "{}", unread.body);
    let name = "attachment; filename=\"notebook-unread.csv\"";
    assert_eq!(unread.header("content-disposition"), Some(name));
    assert_eq!(Browser::at(&desk).get(&link).status, 404, "nobody else has it");

    // Twice is once.
    ida.again(&page, "/bring/read", &[]);
    assert_eq!(cuts(&desk), before + 2);
}

#[test]
fn a_wrong_reply_is_asked_again_and_what_is_no_table_is_told() {
    let desk = Desk::open();
    let (mut ida, read) = begins(&desk, "notebook.csv", NOTEBOOK.as_bytes());
    let question = |page: &Reply| page.body.split("<h2>").nth(2).map(str::to_owned);
    let again = ida.again(&read, "/bring/read", &[("typed", "neither this nor that")]);
    assert!(matches!(again.status, 200 | 422), "{}", again.status);
    assert!(question(&again).is_some() || question(&read).is_none());
    let (_, none) = begins(&desk, "photo.xlsx", b"\xff\xd8\xff\xe0 no table");
    assert!(matches!(none.status, 200 | 422), "{}", none.status);
    let (_, empty) = begins(&desk, "", b"");
    assert_eq!(empty.status, 422);
    assert!(empty.body.contains("choose a file first"));
}

#[test]
fn a_map_is_shown_and_recorded() {
    let desk = Desk::open();
    let map = r#"{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"kind":"landmark","name":"Stile by the ash","site":"Wendlestow","what":"gate","by":"Ida","recorded_on":"2027-03-01"},"geometry":{"type":"Point","coordinates":[0.0,0.0]}}]}"#;
    let week = desk.typed(&["week", "--format", "geojson"]);
    let week: serde_json::Value = serde_json::from_str(&week).unwrap();
    let mut at = &week["features"][0]["geometry"]["coordinates"];
    while at[0].is_array() {
        at = &at[0];
    }
    let map = map.replace("[0.0,0.0]", &at.to_string());
    let (mut ida, read) = begins(&desk, "gates.geojson", map.as_bytes());
    assert_eq!(read.status, 200, "{}", read.body);
    assert!(
        read.body.contains("Stile by the ash") && !read.body.contains("--yes"),
        "{}",
        read.body
    );
    let done = ida.again(&read, "/bring/read", &[]);
    assert_eq!(done.status, 200, "{}", done.body);
    let exported = desk.typed(&["history", "--site", "Wendlestow", "--format", "csv"]);
    assert!(exported.contains("Stile by the ash"), "{exported}");
}

/// As a phone makes it: nothing says what it is.
#[test]
fn a_map_that_does_not_say_what_it_is_is_asked_about() {
    let desk = Desk::open();
    let week = desk.typed(&["week", "--format", "geojson"]);
    let week: serde_json::Value = serde_json::from_str(&week).unwrap();
    let mut at = &week["features"][0]["geometry"]["coordinates"];
    while at[0].is_array() {
        at = &at[0];
    }
    let gpx = format!(
        "<gpx><wpt lat=\"{}\" lon=\"{}\"><time>2027-03-01T10:00:00Z</time><name>Stile by the \
         ash</name></wpt></gpx>",
        at[1], at[0]
    );
    let (mut ida, read) = begins(&desk, "gate.gpx", gpx.as_bytes());
    assert_eq!(read.status, 200, "{}", read.body);
    let mut page = read;
    let mut asked = Vec::new();
    while page.body.contains("class=\"deed asks\"") {
        assert!(!page.body.contains("--"), "{}", page.body.split("<main").nth(1).unwrap());
        let question = page.body.split("<h2>").nth(1).unwrap().split("</h2>").next().unwrap();
        asked.push(question.to_owned());
        assert!(asked.len() < 6, "{asked:#?}");
        let reply = match question {
            it if it.contains("say what it is") => "landmark",
            it if it.contains("what the landmark is") => "gate",
            it if it.contains("a site") => "Wendlestow",
            it if it.contains("who set it down") => "Ida",
            it => panic!("{it}"),
        };
        page = replies(&mut ida, &page, reply);
    }
    assert_eq!(asked.len(), 4, "{asked:#?}");
    let done = ida.again(&page, "/bring/read", &[]);
    assert_eq!(done.status, 200, "{}", done.body);
    let exported = desk.typed(&["history", "--site", "Wendlestow", "--format", "csv"]);
    assert!(exported.contains("Stile by the ash, gate"), "{exported}");
}

#[test]
fn no_file_of_the_desks_own_disk_is_ever_opened() {
    let desk = Desk::open();
    std::fs::write(desk.folder.path().join("secret.csv"), "party,patch,mass_g\n1,x,3\n").unwrap();
    let mut ida = Browser::at(&desk);
    for path in ["secret.csv", "/etc/passwd", "book.sqlite"] {
        let back = [("walk", "creek walk"), ("back", path), ("by", "Ida")];
        let sent = ida.fills("/walk/settle", &back);
        assert_eq!(sent.status, 422, "{path}");
        assert!(sent.body.contains("did not come along"), "{path}: {}", sent.body);
        let form = ida.get("/bring");
        let token = hidden(&form.body).into_iter().find(|(name, _)| name == "token").unwrap().1;
        let named = ida.brings(&token, path, b"a,b\n1,2\n");
        assert!(!named.body.contains("root:"), "{path}");
    }
    let other = ida.brings("0000", "a.csv", b"a");
    assert_eq!(other.status, 403, "a form that another page sends");
}

#[test]
fn a_file_that_is_too_large_is_refused() {
    let desk = Desk::open();
    let (_, large) = begins(&desk, "a.csv", &vec![b'a'; 17 << 20]);
    assert!(matches!(large.status, 413 | 0), "{}", large.status);
    assert_eq!(desk.get("/week").status, 200);
}
