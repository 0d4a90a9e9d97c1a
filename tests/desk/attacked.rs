//! Script and forged names in every field of every form there is, a new one's too: fields are read off
//! the pages. And what is sent by whoever speaks no browser's HTTP.

use std::io::Write;
use std::net::TcpStream;

use stintbook::desk::addresses;

use super::access::{signed_in, with_accounts};
use super::browser::Browser;
use super::served::{Desk, Reply};

const SCRIPT: &str = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>";

struct Form {
    action: String,
    /// By POST.
    is_sent: bool,
    /// What one fills in, by name.
    fields: Vec<String>,
}

/// The forms of a page.
fn forms(page: &str) -> Vec<Form> {
    let read = |form: &str| {
        let (head, inside) = form.split_once('>').unwrap();
        let action = head.split("action=\"").nth(1).unwrap().split('"').next().unwrap();
        let is_sent = head.contains("method=\"post\"");
        let inside = inside.split("</form>").next().unwrap();
        let marks = inside.split('<').filter(|mark| {
            ["input", "select", "textarea"].iter().any(|kind| mark.starts_with(kind))
        });
        let open = marks.filter_map(|mark| {
            let mark = mark.split('>').next().unwrap();
            let name = mark.split(" name=\"").nth(1)?.split('"').next().unwrap();
            (!mark.contains("type=\"hidden\"")).then(|| name.to_owned())
        });
        Form { action: action.to_owned(), is_sent, fields: open.collect() }
    };
    page.split("<form").skip(1).map(read).collect()
}

fn holds(reply: &Reply, what: &str) {
    assert!(reply.status < 500, "{what}: {}", reply.status);
    let body = &reply.body;
    for open in ["<script>alert", "<img src=x", "=\"<", "\"\"'>"] {
        assert!(!body.contains(open), "{what}: {body}");
    }
    if reply.header("content-type").is_some_and(|kind| kind.starts_with("text/html")) {
        let policy = reply.header("content-security-policy").unwrap();
        assert!(!policy.contains("unsafe-inline") && !policy.contains("unsafe-eval"), "{policy}");
    }
}

fn paths() -> Vec<&'static str> {
    let own = ["/sign-out", "/done", "/link", "/bring/read", "/bring/unread.csv"];
    let all = addresses().into_iter().map(|(path, _)| path);
    all.filter(|path| !own.contains(path)).collect()
}

#[test]
fn script_in_any_field_of_any_form_stays_text() {
    let desk = Desk::open();
    let (mut forms_met, mut fields_met) = (0, 0);
    for path in paths() {
        let mut ida = Browser::at(&desk);
        let page = ida.get(path);
        for Form { action, is_sent, fields } in forms(&page.body) {
            if action == "/bring" || action == "/sign-in" {
                continue;
            }
            forms_met += 1;
            let open: Vec<&str> = fields.iter().map(String::as_str).collect();
            fields_met += open.len();
            let all: Vec<(&str, &str)> = open.iter().map(|name| (*name, SCRIPT)).collect();
            // All at once, and each alone beside what is plain.
            let alone = |which: usize| {
                let plain = open
                    .iter()
                    .enumerate()
                    .map(|(n, name)| (*name, if n == which { SCRIPT } else { plain(name) }));
                plain.collect::<Vec<(&str, &str)>>()
            };
            let tries = (0..open.len()).map(alone).chain([all.clone()]);
            for fields in tries {
                let reply = if is_sent {
                    let sent = ida.again(&page, &action, &fields);
                    if sent.status == 303 { ida.follows(&sent) } else { sent }
                } else {
                    let query: Vec<String> = fields
                        .iter()
                        .map(|(name, value)| format!("{name}={}", super::browser::encoded(value)))
                        .collect();
                    ida.get(&format!("{action}?{}", query.join("&")))
                };
                holds(&reply, &format!("{action} {fields:?}"));
            }
        }
    }
    assert!(forms_met > 45 && fields_met > 150, "{forms_met} forms, {fields_met} fields");
    // What was recorded of it is shown on all pages.
    let mut ida = Browser::at(&desk);
    for path in paths() {
        holds(&ida.get(path), path);
    }
    let records = ida.get("/records").body;
    assert!(records.contains("&lt;script&gt;"), "something was recorded");
}

/// What fits a field, so that the others of its form are reached.
fn plain(name: &str) -> &'static str {
    match name {
        "patch" | "place" => "Wendlestow/Mill bank",
        "site" => "Wendlestow",
        "walk" => "creek walk",
        "on" | "until" | "to" | "from" => "2027-03-15",
        "month" => "2027-04",
        "amount" | "standing" => "200g",
        "want" | "each" => "green leaf=150g",
        "by" | "name" => "Ida",
        "why" => "rain",
        "count" | "people" | "adults" | "quadrats" => "4",
        "season" => "2026/27",
        _ => "",
    }
}

#[test]
fn script_in_the_form_to_sign_in_and_in_a_link_stays_text() {
    let desk = with_accounts();
    let mut nobody = Browser::at(&desk);
    for fields in
        [[("name", SCRIPT), ("passphrase", SCRIPT)], [("name", "Ida"), ("passphrase", SCRIPT)]]
    {
        holds(&nobody.fills("/sign-in", &fields), "/sign-in");
    }
    let script = super::browser::encoded(SCRIPT);
    for path in [
        "/link?key=",
        "/sign-in?back=",
        "/done?form=",
        "/bring/unread.csv?file=",
        "/field/hello?a=",
    ] {
        holds(&nobody.get(&format!("{path}{script}")), path);
        holds(&signed_in(&desk, "Ida").get(&format!("{path}{script}")), path);
    }
}

#[test]
fn a_form_of_ten_megabytes_is_refused_at_every_address() {
    let desk = Desk::open();
    let large = "a".repeat(10 << 20);
    // Maps and tables may be that large, and have a limit of their own.
    for path in paths().into_iter().filter(|path| *path != "/bring") {
        for media in ["application/x-www-form-urlencoded", "application/json"] {
            let head =
                format!("POST {path} HTTP/1.1\r\nHost: {}\r\nContent-Type: {media}\r\n", desk.host);
            let reply = desk.sends(&head, &large);
            assert!(matches!(reply.status, 413 | 415 | 0), "{path}: {}", reply.status);
        }
    }
    assert_eq!(desk.get("/week").status, 200);
}

#[test]
fn over_plain_http_the_desk_says_that_no_page_is_kept_and_offers_the_file() {
    let desk = Desk::on(super::served::folder(), &["--host", "hill.example"]);
    let port = desk.address.port();
    let ways = |host: &str| {
        desk.sends(&format!("GET /field HTTP/1.1\r\nHost: {host}:{port}\r\n"), "").body
    };
    let plain = ways("hill.example");
    assert!(plain.contains("no HTTPS") && plain.contains("Take the file along"), "{plain}");
    assert!(plain.contains("href=\"/field/page.html?site=Wendlestow\""), "{plain}");
    assert!(!plain.contains("keeps itself there"));
    for here in ["localhost", "127.0.0.1", "[::1]"] {
        let trusted = ways(here);
        assert!(trusted.contains("keeps itself there") && !trusted.contains("no HTTPS"), "{here}");
    }
}

/// Of another site than the accounts are held to.
fn elsewhere(name: &str, fact: &str) -> Option<String> {
    Some(match name {
        "patch" | "place" => "Wendlestow/Mill bank".to_owned(),
        "site" | "site-2" => "Wendlestow".to_owned(),
        "walk" => "first nettles".to_owned(),
        "fact" => fact.to_owned(),
        _ => return None,
    })
}

#[test]
fn no_form_of_who_is_held_to_a_site_reaches_another() {
    let desk = with_accounts();
    let history = ["history", "mill bank", "--format", "csv"];
    let told = desk.typed(&history);
    let id = told.lines().nth(1).unwrap().split(',').next().unwrap();
    let fact = &id[id.len() - 8..];
    let whole = || desk.typed(&["history", "--format", "csv"]);
    let (before, mut tried) = (whole(), 0);
    for name in ["Tomas", "Bea", "Reed"] {
        let mut held = signed_in(&desk, name);
        for path in paths() {
            let page = held.get(path);
            for Form { action, is_sent, fields } in forms(&page.body) {
                let named: Vec<&String> =
                    fields.iter().filter(|field| elsewhere(field, fact).is_some()).collect();
                for forged in named {
                    let filled: Vec<(&str, String)> = fields
                        .iter()
                        .map(|field| match elsewhere(field, fact).filter(|_| field == forged) {
                            Some(other) => (field.as_str(), other),
                            None => (field.as_str(), near(field).to_owned()),
                        })
                        .collect();
                    let filled: Vec<(&str, &str)> =
                        filled.iter().map(|(field, said)| (*field, said.as_str())).collect();
                    let reply = if is_sent {
                        held.again(&page, &action, &filled)
                    } else {
                        let query: Vec<String> = filled
                            .iter()
                            .map(|(field, said)| {
                                format!("{field}={}", super::browser::encoded(said))
                            })
                            .collect();
                        held.get(&format!("{action}?{}", query.join("&")))
                    };
                    tried += 1;
                    let what = format!("{name}: {action} with another's {forged}");
                    assert!(matches!(reply.status, 403 | 404), "{what}: {}", reply.status);
                    // Its name comes back as it was typed, and nothing that stands there.
                    assert!(!reply.body.contains("ramsons"), "{what}");
                }
            }
        }
    }
    assert!(tried > 50, "{tried}");
    assert_eq!(whole(), before);
}

/// What fits a field, on the site that the accounts are held to.
fn near(name: &str) -> &'static str {
    match name {
        "patch" | "place" => "Gullhythe/Sea wall",
        "site" => "Gullhythe",
        "site-2" => "",
        "walk" => "creek walk",
        other => plain(other),
    }
}

#[test]
fn heads_that_are_made_to_deceive_are_refused_and_carry_nothing_along() {
    let desk = Desk::open();
    let host = desk.host.clone();
    let form = "Content-Type: application/x-www-form-urlencoded\r\n";
    let second = format!("GET /verify HTTP/1.1\r\nHost: {host}\r\n\r\n");
    for (what, head) in [
        ("two lengths", format!("{form}Content-Length: 3\r\nContent-Length: 90\r\n")),
        ("a length of another kind", format!("{form}Content-Length: +3\r\n")),
        ("a length below nothing", format!("{form}Content-Length: -1\r\n")),
        ("an encoding that is none", format!("{form}Transfer-Encoding: chunked, gate\r\n")),
        ("a folded line", format!("{form}X-A: b\r\n c: d\r\nContent-Length: 3\r\n")),
        ("a space before the colon", format!("{form}Content-Length : 3\r\n")),
        ("a line without a name", format!("{form}: a\r\n")),
        ("a letter that is none", format!("{form}X-A: \0\r\n")),
        ("too many lines", format!("{form}{}", "X-A: b\r\n".repeat(100))),
        ("a line too long", format!("{form}X-A: {}\r\n", "b".repeat(64 * 1024))),
    ] {
        let sent = format!("POST /week HTTP/1.1\r\nHost: {host}\r\n{head}\r\na=b{second}");
        let reply = desk.raw(sent.as_bytes());
        assert!(matches!(reply.status, 400 | 405 | 431 | 0), "{what}: {}", reply.status);
        assert!(!reply.body.contains("fingerprint"), "{what}: another answer came along");
    }
    // A length beside pieces: pieces count, and the line is closed behind them (RFC 9112, 6.3).
    let both = format!(
        "POST /week HTTP/1.1\r\nHost: {host}\r\n{form}Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n\
         0\r\n\r\n{second}"
    );
    let reply = desk.raw(both.as_bytes());
    assert!(matches!(reply.status, 400 | 405 | 0), "{}", reply.status);
    assert!(!reply.body.contains("HTTP/1.1 200"), "another answer came along");
    for first in ["GET http://hill.example/week HTTP/1.1", "GET /week HTTP/3.7", "get /week", "\0"]
    {
        let reply = desk.sends(&format!("{first}\r\nHost: {host}\r\n"), "");
        assert!(matches!(reply.status, 400 | 404 | 405 | 421 | 0), "{first}: {}", reply.status);
    }
    assert_eq!(desk.get("/week").status, 200);
}

#[test]
fn a_form_that_never_ends_keeps_nobody_from_recording() {
    let desk = Desk::open();
    let half = format!(
        "POST /cut HTTP/1.1\r\nHost: {}\r\nContent-Type: application/x-www-form-urlencoded\r\n\
         Content-Length: 200000\r\n\r\npatch=",
        desk.host
    );
    let _open: Vec<TcpStream> = (0..64)
        .map(|_| {
            let mut stream = TcpStream::connect(desk.address).unwrap();
            stream.write_all(half.as_bytes()).unwrap();
            stream
        })
        .collect();
    let mut ida = Browser::at(&desk);
    let closed = [("place", "Wendlestow/Mill bank"), ("why", "a nest in it"), ("by", "Ida")];
    assert!(ida.does("/close", &closed).contains("Recorded"));
}
