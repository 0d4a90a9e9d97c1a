//! Script in every field of every form there is, a new one's too: fields are read off the pages.

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
