//! What a phone sends home: through the same gate as its file, in order, once, and told of each what
//! became of it.

use serde_json::{Value, json};

use super::access::{signed_in, with_accounts};
use super::browser::Browser;
use super::schemas::hold;
use super::served::{Desk, Reply, TODAY};

const BANK: &str = "Wendlestow/Mill bank";
const WALL: &str = "Gullhythe/Sea wall";

/// An id as a phone draws it: UUID version 7 (RFC 9562, 5.7).
fn id(number: u64) -> String {
    format!("01960000-0000-7000-8000-{number:012x}")
}

fn cut(number: u64, patch: &str, grams: &str) -> Value {
    json!({
        "kind": "cut", "fact": id(number), "patch": patch, "date": TODAY, "by": "Ida",
        "mass_g": grams, "taken": "part", "people": "2", "recorded_on": TODAY,
    })
}

/// A letter as a page writes it, but for what is wrong in it on purpose.
fn letter(told: &Value) -> String {
    let mut all = json!({ "schema": "stintbook-field-records/1", "book": "b", "made": TODAY });
    let (all_of, told) = (all.as_object_mut().unwrap(), told.as_object().unwrap());
    all_of.extend(told.clone());
    all.to_string()
}

/// Asks for the token, and sends.
fn sends(someone: &mut Browser<'_>, told: &Value) -> Value {
    let hello = someone.get("/field/hello");
    let hello = read(&hello);
    let sent = someone.writes("/field/send", hello["token"].as_str().unwrap(), &letter(told));
    read(&sent)
}

fn read(reply: &Reply) -> Value {
    assert_eq!(reply.status, 200, "{}", reply.body);
    hold(&reply.body, "an answer of the desk");
    serde_json::from_str(&reply.body).unwrap()
}

fn became(answer: &Value) -> Vec<&str> {
    let told = answer["told"].as_array().unwrap();
    told.iter().map(|one| one["became"].as_str().unwrap()).collect()
}

fn week(desk: &Desk) -> String {
    desk.typed(&["week", "--format", "csv"])
}

#[test]
fn records_are_taken_in_order_and_once_and_are_those_that_a_file_brings() {
    let mut desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let records = json!([cut(1, BANK, "200"), cut(2, WALL, "90"), cut(3, BANK, "150")]);
    let first = sends(&mut ida, &json!({ "records": records }));
    assert_eq!(became(&first), ["recorded"; 3], "{first:#}");
    let facts: Vec<&str> =
        first["told"].as_array().unwrap().iter().map(|one| one["fact"].as_str().unwrap()).collect();
    assert_eq!(facts, [id(1), id(2), id(3)]);
    let moved = week(&desk);
    let again = sends(&mut ida, &json!({ "records": records }));
    assert_eq!(became(&again), ["known"; 3]);
    desk.falls_silent();
    desk.answers_again();
    let after = sends(&mut Browser::at(&desk), &json!({ "records": records }));
    assert_eq!(became(&after), ["known"; 3]);
    assert_eq!(week(&desk), moved);

    let other = Desk::open();
    let file = letter(&json!({ "records": records }));
    std::fs::write(other.folder.path().join("field.json"), file).unwrap();
    other.typed(&["load", "field.json"]);
    assert_eq!(week(&other), moved);
    assert_ne!(moved, week(&Desk::open()));
}

#[test]
fn what_does_not_fit_is_named_and_keeps_nothing_else_back() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let mut strange = cut(6, BANK, "200");
    strange["colour"] = "green".into();
    let records = json!([
        cut(4, BANK, "-3"),
        cut(5, "Wendlestow/Nowhere", "10"),
        strange,
        cut(7, BANK, "900000"),
        cut(8, BANK, "120"),
        { "kind": "patch", "fact": id(9), "patch": BANK },
    ]);
    let said = sends(&mut ida, &json!({ "records": records }));
    assert_eq!(
        became(&said),
        ["refused", "refused", "refused", "refused", "recorded", "refused"],
        "{said:#}"
    );
    let told = said["told"].as_array().unwrap();
    assert!(told[0]["said"].as_str().unwrap().contains("`-3`"), "{}", told[0]);
    assert!(told[2]["said"].as_str().unwrap().contains("colour"), "{}", told[2]);
    let slip = &told[3];
    assert_eq!(slip["asks"], true, "{slip}");
    for one in told {
        assert!(!one["said"].as_str().unwrap().contains("--"), "{one}");
    }
    // Right all the same, it is taken.
    let sure = json!({ "records": [cut(7, BANK, "900000")], "sure": [id(7)] });
    assert_eq!(became(&sends(&mut ida, &sure)), ["recorded"]);
}

#[test]
fn an_account_signs_and_reaches_its_own_sites_alone() {
    let desk = with_accounts();
    let mut bea = signed_in(&desk, "Bea");
    let said = sends(&mut bea, &json!({ "records": [cut(1, WALL, "90"), cut(2, BANK, "90")] }));
    assert_eq!(became(&said), ["recorded", "refused"]);
    let other = said["told"][1]["said"].as_str().unwrap();
    let nowhere = sends(&mut bea, &json!({ "records": [cut(3, "Gullhythe/None", "90")] }));
    let nowhere = nowhere["told"][0]["said"].as_str().unwrap();
    assert_eq!(other.replace(BANK, ""), nowhere.replace("Gullhythe/None", ""));
    let history = desk.typed(&["history", "sea wall", "--format", "csv"]);
    let line = history.lines().find(|line| line.contains(&id(1))).unwrap();
    assert!(line.contains("Bea") && !line.contains("Ida"), "{line}");

    // A visit's site is asked about too, and what others wrote is not taken back.
    let visit = json!({
        "kind": "visit", "fact": id(4), "site": "Wendlestow", "date": TODAY, "by": "Bea",
        "note": "x", "recorded_on": TODAY,
    });
    assert_eq!(became(&sends(&mut bea, &json!({ "records": [visit] }))), ["refused"]);
    let line = history.lines().find(|line| line.contains("Tomas")).unwrap();
    let theirs = json!({ "kind": "cut", "fact": line.split(',').next().unwrap(), "by": "Bea" });
    assert_eq!(became(&sends(&mut bea, &json!({ "struck": [theirs] }))), ["refused"]);
    let own = json!({ "struck": [cut(1, WALL, "90")] });
    assert_eq!(became(&sends(&mut bea, &own)), ["withdrawn"]);
    assert_eq!(became(&sends(&mut bea, &own)), ["withdrawn"], "twice is once");

    // Who only gathers settles no walk, and no one that of another site.
    let back = |walk: &str| json!({ "returns": { "walk": walk, "rows": [] }, "key": "k" });
    for (name, walk) in [("Bea", "creek walk"), ("Tomas", "lea walk")] {
        let mut someone = signed_in(&desk, name);
        assert_eq!(sends(&mut someone, &back(walk))["walk"]["became"], "refused", "{name}");
    }
}

#[test]
fn a_settle_that_comes_twice_is_answered_as_the_first_time() {
    let desk = Desk::on(super::served::folder(), &["--on", "2027-03-18"]);
    let mut ida = Browser::at(&desk);
    let patch = "Gullhythe/Old mill creek";
    let split = desk.typed(&["walk", "split", "creek walk", "--format", "json"]);
    let split: Value = serde_json::from_str(&split).unwrap();
    let patch = split["stops"][0]["patch"].as_str().unwrap_or(patch);
    let site = split["stops"][0]["site"].as_str().unwrap_or("Gullhythe");
    let patch = if patch.contains('/') { patch.to_owned() } else { format!("{site}/{patch}") };
    let rows = json!([{ "party": "1", "patch": patch, "mass_g": "100" }]);
    let returns = json!({ "walk": "creek walk", "day": "2027-03-18", "rows": rows });
    let asked = sends(&mut ida, &json!({ "returns": returns, "key": "one" }));
    assert_eq!(asked["walk"]["asks"], true, "{asked:#}");
    let told = json!({ "returns": returns, "key": "two", "assume": true });
    let first = sends(&mut ida, &told);
    assert_eq!(first["walk"]["became"], "recorded", "{first:#}");
    assert_eq!(sends(&mut ida, &told), first);
    let other = json!({ "returns": returns, "key": "three", "assume": true });
    assert_eq!(sends(&mut ida, &other)["walk"]["became"], "refused");
}

#[test]
fn nothing_is_taken_from_another_page_or_of_another_make() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let body = letter(&json!({ "records": [cut(1, BANK, "200")] }));
    let before = week(&desk);
    assert_eq!(ida.writes("/field/send", "", &body).status, 403);
    let hello: Value = serde_json::from_str(&ida.get("/field/hello").body).unwrap();
    let token = hello["token"].as_str().unwrap().to_owned();
    assert_eq!(ida.writes("/field/send", &token[1..], &body).status, 403);
    // A form cannot speak JSON, and no other page may send any.
    assert_eq!(ida.sends("/field/send", &[("records", "x")]).status, 415);
    let from = format!(
        "POST /field/send HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\nOrigin: http://hill.example\r\n\
         Content-Type: application/json\r\nX-Stintbook-Token: {token}\r\n",
        desk.address, ida.cookie
    );
    assert_eq!(desk.sends(&from, &body).status, 403);
    for broken in ["{", "[]", "{\"schema\":\"other/1\"}", "{\"records\":[3]}"] {
        let refused = ida.writes("/field/send", &token, broken);
        assert_eq!(refused.status, 400, "{broken}");
        hold(&refused.body, broken);
    }
    let many: Vec<Value> = (0..101).map(|n| cut(n, BANK, "1")).collect();
    let many = letter(&json!({ "records": many }));
    assert_eq!(ida.writes("/field/send", &token, &many).status, 400);
    let large = ida.writes("/field/send", &token, &"x".repeat(2 << 20));
    assert!(matches!(large.status, 413 | 0), "{}", large.status);
    assert_eq!(week(&desk), before);
}

#[test]
fn a_served_field_page_runs_the_desks_own_script_and_nothing_that_stands_in_it() {
    let desk = Desk::open();
    let page = desk.get("/field/page?site=Wendlestow");
    let policy = page.header("content-security-policy").unwrap();
    assert!(policy.contains("script-src 'self'; connect-src 'self'"), "{policy}");
    assert!(!policy.contains("unsafe"), "{policy}");
    let scripts: Vec<&str> = page.body.split("<script").skip(1).collect();
    assert_eq!(scripts.len(), 2);
    assert!(scripts[0].starts_with(" src=\"/field/app.js?v="), "{}", &scripts[0][..60]);
    assert!(scripts[1].starts_with(" type=\"application/json\""), "{}", &scripts[1][..60]);
    let worker = desk.get("/field/worker.js");
    assert_eq!(worker.header("content-type"), Some("text/javascript; charset=utf-8"));
    // The same answers as those of the file.
    let file = desk.get("/field/page.html?site=Wendlestow");
    let name = "attachment; filename=\"field-wendlestow.html\"";
    assert_eq!(file.header("content-disposition"), Some(name));
    let patches = |body: &str| {
        let data = body.split("id=\"answers\">").nth(1).unwrap();
        let data: Value = serde_json::from_str(data.split("</script>").next().unwrap()).unwrap();
        (data["patches"].clone(), data["app"].is_null())
    };
    let (served, kept) = (patches(&page.body), patches(&file.body));
    assert_eq!(served.0, kept.0);
    assert_eq!((served.1, kept.1), (false, true));
    // Elsewhere than on this machine nothing hides what is sent, and the page says so.
    let ways = desk.get("/field").body;
    assert!(ways.contains("keeps itself there") && !ways.contains("no HTTPS"));
}
