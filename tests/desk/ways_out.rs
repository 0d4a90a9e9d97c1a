//! At the desk the way out is a way at the desk.

use super::browser::Browser;
use super::served::Desk;

/// Text behind backticks that only a terminal understands.
fn commands(body: &str) -> Vec<&str> {
    body.split("`stintbook").skip(1).filter_map(|rest| rest.split('`').next()).collect()
}

const PAGES: [&str; 28] = [
    "/week",
    "/week?all=yes&why=yes&people=9",
    "/week?on=2027-08-20&all=yes&why=yes",
    "/patch?patch=Wendlestow%2FMill+bank",
    "/patch?patch=slipway",
    "/due?until=2027-06-30",
    "/calendar",
    "/calendar?month=2027-04",
    "/planned?site=Gullhythe&ahead=12+months",
    "/records",
    "/walks",
    "/walk?walk=creek+walk",
    "/walk?walk=lea+walk",
    "/walk?walk=nothing",
    "/walk/plan?walk=creek+walk",
    "/walk/sheet?walk=hanger+walk",
    "/walks/try?site=Wendlestow&want=no+such+crop%3D2kg&on=2027-03-20",
    "/boxes?month=2027-04&count=12&each=green+leaf%3D150g",
    "/boxes?month=2027-04&count=12&each=no+such+crop%3D150g",
    "/report?site=Wendlestow",
    "/years?site=Wendlestow&beside=2025%2F26",
    "/surveys",
    "/patch/quadrats?patch=mill+bank&quadrats=6&seed=4",
    "/verify",
    "/crops",
    "/crops?crop=ramsons-leaf",
    "/crops?crop=no+such+crop",
    "/field/page?site=Wendlestow",
];

#[test]
fn no_page_names_a_command() {
    let desk = Desk::open();
    for page in PAGES {
        let reply = desk.get(page);
        assert!(reply.status < 500, "{page}: {}", reply.status);
        assert_eq!(commands(&reply.body), Vec::<&str>::new(), "{page}");
    }
    // The commands themselves do: there was something to say otherwise.
    assert!(!commands(&desk.typed(&["due", "--until", "2027-06-30"])).is_empty());
    assert!(!commands(&desk.typed(&["crops"])).is_empty());
}

#[test]
fn a_way_out_leads_to_a_form_that_is_filled_in() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let walk = [
        ("name", "Ida's hanger walk"),
        ("on", "2027-03-15"),
        ("site", "Wendlestow"),
        ("adults", "4"),
        ("want", "ramsons-leaf=800g"),
        ("by", "Ida"),
    ];
    let told = ida.does("/walks/new", &walk);
    assert_eq!(commands(&told), Vec::<&str>::new(), "{told}");
    let to = "/walk/hold?walk=Ida%27s+hanger+walk";
    let link = format!("<a class=\"way\" href=\"{to}\">“Set its quota aside”</a>");
    assert!(told.contains(&link), "{told}");
    let form = ida.get(to);
    assert_eq!(form.status, 200);
    assert!(form.body.contains(" selected>Ida's hanger walk"), "{}", form.body);
}

#[test]
fn refusals_and_receipts_name_no_command() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let place = "Wendlestow/Mill bank";
    let by = ("by", "Ida");
    let forms: [(&str, &[(&str, &str)]); 14] = [
        ("/walk/hold", &[("walk", "lea walk"), by]),
        ("/walk/settle", &[("walk", "creek walk"), ("back", "nowhere=1kg"), by]),
        ("/walk/settle", &[("walk", "creek walk"), by]),
        ("/walk/settle", &[("walk", "lea walk"), ("all", "yes"), by]),
        ("/walk/leave", &[("walk", "creek walk"), ("party", "9"), by]),
        ("/walk/leave", &[("walk", "lea walk"), ("party", "1"), by]),
        ("/walk/move", &[("walk", "creek walk"), ("to", "2027-03-10"), by]),
        ("/walk/cancel", &[("walk", "first nettles"), ("why", "rain"), by]),
        ("/reopen", &[("place", place), ("why", "dry"), by]),
        ("/glance", &[("patch", place), ("standing", "3kg"), by]),
        ("/close", &[("place", place), ("why", "sprayed"), by]),
        ("/visit", &[("place", place), ("look-alike", "no such plant"), by]),
        ("/undo", &[("by", "Nobody")]),
        ("/withdraw", &[("fact", "00000000"), ("why", "x"), by]),
    ];
    for (path, fields) in forms {
        let sent = ida.fills(path, fields);
        let shown = if sent.status == 303 { ida.follows(&sent) } else { sent };
        assert!(shown.status < 500, "{path}: {}", shown.status);
        assert_eq!(commands(&shown.body), Vec::<&str>::new(), "{path}: {}", shown.body);
    }
}

#[test]
fn what_people_write_is_no_way_out_within_a_mark() {
    let desk = Desk::open();
    let mut ida = Browser::at(&desk);
    let note = "`stintbook undo`\" onmouseover=\"alert(1)";
    let asked = ida.fills("/visit", &[("place", "nowhere at all"), ("note", note), ("by", "Ida")]);
    assert!(asked.body.contains("value=\"`stintbook undo`&quot; onmouseover="), "{}", asked.body);
}
