//! What is recorded by a form is what the command would have recorded.

use super::browser::{Browser, hidden};
use super::served::Desk;

const CUT: &str = "/cut?patch=Wendlestow%2FMill+bank";
const OF_THE_BANK: [(&str, &str); 3] =
    [("patch", "Wendlestow/Mill bank"), ("amount", "650g"), ("by", "Ida")];

fn cuts(desk: &Desk) -> usize {
    desk.typed(&["history", "mill bank", "--format", "csv"]).matches(",cut,").count()
}

#[test]
fn a_cut_is_recorded_with_the_commands_own_receipt() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let before = cuts(&desk);
    let receipt = ida.does(CUT, &[&OF_THE_BANK[..], &[("people", "9")]].concat());
    assert!(receipt.contains("Recorded as "), "{receipt}");
    assert!(receipt.contains("650\u{a0}g") || receipt.contains("650 g"), "{receipt}");
    assert_eq!(cuts(&desk), before + 1);
    let history = desk.typed(&["history", "mill bank", "--format", "csv"]);
    assert!(history.contains("2027-03-15") && history.contains("Ida"), "{history}");
    // The same as if it had been typed: the answer of the day moves alike.
    let other = Desk::open();
    other.typed(&["cut", "mill bank", "650g", "--people", "9", "--by", "Ida"]);
    let check = ["check", "mill bank", "--format", "json"];
    let most = |text: &str| {
        let value: serde_json::Value = serde_json::from_str(text).unwrap();
        value["patch"].clone()["standing"].clone()
    };
    assert_eq!(most(&desk.typed(&check)), most(&other.typed(&check)));
    assert_eq!(desk.typed(&["week", "--format", "csv"]), other.typed(&["week", "--format", "csv"]));
}

#[test]
fn a_form_that_is_sent_twice_records_once() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let before = cuts(&desk);
    let form = ida.get(CUT);
    let first = ida.again(&form, CUT, &OF_THE_BANK);
    let second = ida.again(&form, CUT, &OF_THE_BANK);
    assert_eq!(first.status, 303);
    assert_eq!(first.header("location"), second.header("location"));
    assert_eq!(cuts(&desk), before + 1);
}

#[test]
fn what_is_hard_to_believe_is_asked_and_recorded_once_it_is_said() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let before = cuts(&desk);
    let huge = [("patch", "Wendlestow/Mill bank"), ("amount", "650kg"), ("by", "Ida")];
    let asked = ida.fills(CUT, &huge);
    assert_eq!(asked.status, 422);
    assert!(asked.body.contains("name=\"sure\""), "{}", asked.body);
    assert!(!asked.body.contains("--sure"), "{}", asked.body);
    assert!(asked.body.contains("value=\"650kg\""), "what was typed stays");
    assert_eq!(cuts(&desk), before);
    let sent = ida.again(&asked, CUT, &[&huge[..], &[("sure", "yes")]].concat());
    assert_eq!(ida.follows(&sent).status, 200);
    assert_eq!(cuts(&desk), before + 1);
}

#[test]
fn whoever_meets_a_changed_book_is_told_what_changed() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let form = ida.get(CUT);
    desk.typed(&["glance", "mill bank", "9kg", "--by", "Tomas"]);
    let before = cuts(&desk);
    let met = ida.again(&form, CUT, &OF_THE_BANK);
    assert_eq!(met.status, 409);
    assert!(met.body.contains("Tomas") && met.body.contains("9\u{a0}kg"), "{}", met.body);
    assert_eq!(cuts(&desk), before);
    let sent = ida.again(&met, CUT, &OF_THE_BANK);
    assert_eq!(ida.follows(&sent).status, 200);
    assert_eq!(cuts(&desk), before + 1);
}

#[test]
fn a_form_that_another_page_sends_records_nothing() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let before = cuts(&desk);
    let form = ida.get(CUT);
    let hidden = hidden(&form.body);
    let token = |name: &str| hidden.iter().find(|(known, _)| known == name).unwrap().1.clone();
    let (token, sent) = (token("token"), token("form"));
    let wrong = "0".repeat(64);
    for (token, form) in [("", &*sent), (&*wrong, &*sent), (&*token, "short"), (&*token, "")] {
        let fields = [&OF_THE_BANK[..], &[("token", token), ("form", form)]].concat();
        assert_eq!(ida.sends("/cut", &fields).status, 403);
    }
    let fields = [&OF_THE_BANK[..], &[("token", &*token), ("form", &*sent)]].concat();
    // With another's session, or none.
    assert_eq!(Browser::at(&desk).sends("/cut", &fields).status, 403);
    let body = "patch=Wendlestow%2FMill+bank&amount=650g";
    for other in [
        "Origin: http://hill.example\r\nContent-Type: application/x-www-form-urlencoded\r\n",
        "Origin: null\r\nContent-Type: application/x-www-form-urlencoded\r\n",
        "Sec-Fetch-Site: cross-site\r\nContent-Type: application/x-www-form-urlencoded\r\n",
    ] {
        let head = format!("POST /cut HTTP/1.1\r\nHost: {}\r\n{other}", desk.address);
        assert_eq!(desk.sends(&head, body).status, 403, "{other}");
    }
    let json =
        format!("POST /cut HTTP/1.1\r\nHost: {}\r\nContent-Type: text/plain\r\n", desk.address);
    assert_eq!(desk.sends(&json, body).status, 415);
    assert_eq!(cuts(&desk), before);
    assert_eq!(ida.sends("/week", &[("token", &*token)]).status, 405);
}

#[test]
fn a_receipt_is_for_who_sent_the_form_alone() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let sent = ida.fills(CUT, &OF_THE_BANK);
    let to = sent.header("location").unwrap().to_owned();
    assert_eq!(ida.get(&to).status, 200);
    assert_eq!(Browser::at(&desk).get(&to).status, 404);
}

#[test]
fn script_in_every_text_field_stays_text() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let script = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>";
    let note = [
        ("place", "Wendlestow/Mill bank"),
        ("note", script),
        ("weather", script),
        ("ground", script),
        ("by", script),
    ];
    let receipt = ida.does("/visit", &note);
    let why = [("place", "Wendlestow/Mill bank"), ("why", script), ("by", script)];
    let closed = ida.does("/close", &why);
    let pages = ["/records", "/week?all=yes", "/due", "/visit", "/cut", "/report?site=Wendlestow"];
    let bodies = pages.map(|path| ida.get(path).body);
    for body in bodies.iter().chain([&receipt, &closed]) {
        assert!(!body.contains("<script") && !body.contains("<img"), "{body}");
        assert!(!body.contains("value=\"<"), "{body}");
    }
    assert!(ida.get("/records").body.contains("&lt;script&gt;"));
}

#[test]
fn a_leaders_week_goes_from_the_wish_to_what_came_back() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let walk = [
        ("name", "hanger walk"),
        ("on", "2027-03-15"),
        ("site", "Wendlestow"),
        ("adults", "4"),
        ("children", "2"),
        ("want", "ramsons-leaf=800g"),
        ("by", "Ida"),
    ];
    let told = ida.does("/walks/new", &walk);
    assert!(told.contains("hanger walk"), "{told}");
    let told = ida.does("/walk/hold?walk=hanger+walk", &[("walk", "hanger walk")]);
    assert!(told.contains("800"), "{told}");
    assert!(ida.get("/walk?walk=hanger+walk").body.contains("hanger walk"));
    assert!(ida.get("/walk/sheet?walk=hanger+walk").body.contains("hanger walk"));
    let joined = [("walk", "hanger walk"), ("party", "2"), ("called", "Cleo"), ("by", "Ida")];
    ida.does("/walk/join?walk=hanger+walk", &joined);
    let settled = [("walk", "hanger walk"), ("all", "yes"), ("by", "Ida")];
    let told = ida.does("/walk/settle?walk=hanger+walk", &settled);
    assert!(told.contains("settled") || told.contains("ettled"), "{told}");
    let listed = desk.typed(&["walk", "list"]);
    assert!(listed.contains("hanger walk") && listed.contains("settled"), "{listed}");
    let undone = ida.does("/undo", &[("by", "Ida")]);
    assert!(undone.contains("hanger walk") || undone.contains("cut"), "{undone}");
}

#[test]
fn a_fact_is_put_right_from_the_records() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    ida.does(CUT, &OF_THE_BANK);
    let records = ida.get("/records?patch=Wendlestow%2FMill+bank").body;
    let link = records.split("/correct?fact=").nth(1).expect("a fact leads to its correction");
    assert_eq!(link.find('"'), Some(8));
    let id = desk.typed(&["history", "mill bank", "--format", "csv"]);
    let id =
        id.lines().find(|line| line.contains("650")).unwrap().split(',').next().unwrap().to_owned();
    let id = &id[id.len() - 8..];
    let right = [("fact", id), ("change", "mass_g=560"), ("why", "misread"), ("by", "Ida")];
    let told = ida.does("/correct", &right);
    assert!(told.contains("560"), "{told}");
}

#[test]
fn how_much_is_ripe_is_said_by_forms_as_it_is_typed() {
    let (desk, typed) = (Desk::open(), Desk::open());
    let mut ida = Browser::at(&desk);
    let hedge = "Wendlestow/Mill hedge";
    let state = |desk: &Desk| {
        let check = desk.typed(&["check", hedge, "--format", "json"]);
        let value: serde_json::Value = serde_json::from_str(&check).unwrap();
        value["state"].clone()
    };
    let amounts = ("amounts", "31 18 40 22 20 27");
    let measured = [("patch", hedge), amounts, ("frame", "0.25"), ("ripe", "60%"), ("by", "Ida")];
    ida.does("/survey", &measured);
    let survey = ["survey", hedge, "31", "18", "40", "22", "20", "27", "--frame", "0.25"];
    typed.typed(&[&survey[..], &["--ripe", "60%", "--by", "Ida"]].concat());
    assert_eq!(state(&desk)["ripe"]["part"], 0.6);
    assert_eq!(state(&desk), state(&typed));

    let seen = [("place", hedge), ("stage", "fruit"), ("ripe", "80%"), ("by", "Ida")];
    let told = ida.does("/visit", &seen).replace('\u{a0}', " ");
    assert!(told.contains("in fruit; 80 % ripe"), "{told}");
    typed.typed(&["visit", hedge, "--stage", "fruit", "--ripe", "80%", "--by", "Ida"]);
    assert_eq!(state(&desk)["ripe"]["part"], 0.8);
    assert_eq!(state(&desk), state(&typed));
}
