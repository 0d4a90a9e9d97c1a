//! Pages are kept while nothing changes: nobody ever sees what is no longer so, or another's.

use std::fs;

use stintbook::desk::addresses;

use super::access::{signed_in, with_accounts};
use super::browser::Browser;
use super::served::{Desk, folder, stintbook};

const BANK: &str = "/patch?patch=Wendlestow%2FMill+bank";
const PAGES: [&str; 4] = ["/week", BANK, "/records?site=Wendlestow", "/due"];

fn shown(desk: &Desk, path: &str) -> String {
    let page = desk.get(path);
    assert_eq!(page.status, 200, "{path}");
    page.body
}

#[test]
fn what_another_process_writes_is_on_the_very_next_page() {
    let desk = Desk::open();
    for page in PAGES {
        assert_eq!(shown(&desk, page), shown(&desk, page));
    }
    for n in 1..=5 {
        let noted = format!("seen {n} times");
        assert!(!shown(&desk, "/records?site=Wendlestow").contains(&noted));
        desk.typed(&["visit", "mill bank", "--note", &noted, "--by", "Ida"]);
        assert!(shown(&desk, "/records?site=Wendlestow").contains(&noted), "{noted}");
    }
    let before = shown(&desk, BANK);
    desk.typed(&["close", "mill bank", "--why", "a nest in it", "--by", "Ida"]);
    let after = shown(&desk, BANK);
    assert!(!before.contains("a nest in it") && after.contains("a nest in it"));
    assert!(shown(&desk, "/week?all=yes&why=yes").contains("a nest in it"));
}

#[test]
fn what_is_recorded_at_the_desk_is_on_the_very_next_page() {
    let desk = Desk::open();
    let before = shown(&desk, BANK);
    assert!(!before.contains("a nest in it"));
    let mut ida = Browser::at(&desk);
    let closed = [("place", "Wendlestow/Mill bank"), ("why", "a nest in it"), ("by", "Ida")];
    ida.does("/close", &closed);
    assert!(shown(&desk, BANK).contains("a nest in it"));
    ida.does("/undo", &[("by", "Ida")]);
    assert_eq!(shown(&desk, BANK), before);
}

#[test]
fn another_book_in_its_place_and_other_crops_are_seen_at_once() {
    let (desk, other) = (Desk::open(), folder());
    if is_on_a_server(&desk) {
        return;
    }
    let before = shown(&desk, "/week");
    let crops = desk.folder.path().join("sites");
    fs::create_dir(&crops).unwrap();
    fs::write(crops.join("crops.toml"), "this is no crop").unwrap();
    assert_eq!(desk.get("/week").status, 422);
    fs::write(crops.join("crops.toml"), "").unwrap();
    assert_eq!(shown(&desk, "/week"), before);
    let there = ["--book", "book.sqlite", "close", "mill bank", "--why", "a nest", "--by", "Ida"];
    assert!(stintbook(other.path(), &there).status.success());
    // As a backup that is brought back: under another name first.
    fs::rename(other.path().join("book.sqlite"), desk.folder.path().join("book.sqlite")).unwrap();
    assert!(shown(&desk, BANK).contains("a nest"));
}

/// What looks into files beside the book has none there.
fn is_on_a_server(desk: &Desk) -> bool {
    desk.folder.path().join(".server").exists()
}

#[test]
fn two_with_other_rights_never_share_a_page() {
    let desk = with_accounts();
    let all = ["Ida", "Tomas", "Bea", "Reed"];
    let mut sitting: Vec<Browser> = all.iter().map(|name| signed_in(&desk, name)).collect();
    for path in ["/week", "/records", "/walks", "/planned?site=Gullhythe&ahead=1+month"] {
        // Each twice, in either order.
        for turn in [0, 1, 2, 3, 3, 2, 1, 0] {
            let page = sitting[turn].get(path);
            let signed = |name: &str| page.body.contains(&format!("<span>{name}</span>"));
            for (n, name) in all.iter().enumerate() {
                assert_eq!(signed(name), n == turn, "{path} of {}: {name}", all[turn]);
            }
            assert!(turn == 0 || !page.body.contains("Wendlestow"), "{path} of {}", all[turn]);
            assert_eq!(page.status == 200, turn != 3 || path.starts_with("/planned"), "{path}");
        }
    }
    // Who may see more from now on, does; who may no more, does not.
    let folder = desk.folder.path();
    let access = ["--book", "book.sqlite", "access"];
    let told = stintbook(folder, &[&access[..], &["remove", "Bea"]].concat());
    assert!(told.status.success());
    assert_eq!(sitting[2].get("/week").status, 303);
    assert_eq!(Browser::at(&desk).get("/week").status, 303);
}

#[test]
fn a_page_that_is_kept_is_the_same_when_another_desk_makes_it() {
    let (one, other) = (Desk::open(), Desk::open());
    let mut met = 0;
    for (path, _) in addresses() {
        // Drawn anew, or of this sitting.
        if ["/patch/quadrats", "/verify"].contains(&path) {
            continue;
        }
        let filled = "?patch=slipway&site=Gullhythe&walk=creek+walk&season=2026%2F27";
        let pages: Vec<_> =
            [&one, &one, &other].map(|desk| desk.get(&format!("{path}{filled}"))).into();
        let is_page = |page: &super::served::Reply| {
            page.status == 200
                && page.header("content-type").is_some_and(|kind| kind.starts_with("text/html"))
                && page.header("set-cookie").is_none()
        };
        if is_page(&pages[0]) {
            met += 1;
            assert!(pages.iter().all(|page| page.body == pages[0].body), "{path}");
        }
    }
    assert!(met > 15, "{met}");
}
