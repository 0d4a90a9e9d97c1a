//! What the page answers: on its days, after them, before it was made, without a script; and where
//! one stands.

use serde_json::json;

use super::{DAY, PATCH, card, clock, ground, has, has_not, opened};
use crate::Outcome;
use crate::driven::{Driven, Tab};

/// The most of the patch as the page has it in words.
fn most(day: usize) -> String {
    let answers = &ground().answers;
    let said = ground().patch(PATCH)["days"][day]["said"].as_u64().unwrap();
    answers["texts"][said as usize].as_str().unwrap().to_owned()
}

/// Amounts that anyone could read as a limit.
fn amounts(phone: &mut Driven, tab: &Tab) -> u64 {
    let count = "document.querySelectorAll('#list .most strong, #list td').length";
    phone.value(tab, count).as_u64().unwrap()
}

pub fn each_day_shows_its_own_amounts() -> Outcome {
    let mut phone = Driven::start()?;
    let tab = opened(&mut phone, "field.html", &clock(DAY));
    has(&phone.text(&tab, "#day"), "Monday 15 March 2027");
    has(&card(&mut phone, &tab, PATCH), &most(0));
    has(&phone.text(&tab, "#notices"), "Others may have cut since");
    let tab = opened(&mut phone, "field.html", &clock("2027-03-18"));
    has(&phone.text(&tab, "#day"), "Thursday 18 March 2027");
    has(&card(&mut phone, &tab, PATCH), &most(3));
    // Of a walk to come its amounts are shown, and for which day.
    let tab = opened(&mut phone, "walk.html", &clock("2027-03-16"));
    has(&phone.text(&tab, "#notices"), "The amounts are for Thursday 18 March 2027");
    has(&phone.text(&tab, "#list"), "1.36 kg for the whole walk");
    has_not(&phone.text(&tab, "#list"), "Mill bank");
    Ok(())
}

pub fn a_wrong_clock_or_an_old_page_shows_no_amount() -> Outcome {
    let mut phone = Driven::start()?;
    for (day, said) in [
        ("2027-03-14", "before the page was made, on 2027-03-15"),
        ("2027-03-29", "This page is too old: it ends on Sunday 28 March 2027"),
        ("1999-01-01", "before the page was made"),
    ] {
        let tab = opened(&mut phone, "field.html", &clock(day));
        has(&phone.text(&tab, "#notices .across"), said);
        assert_eq!(amounts(&mut phone, &tab), 0, "on {day}");
        has_not(&phone.text(&tab, "#list"), &most(0));
    }
    let tab = opened(&mut phone, "field.html", &clock("2027-03-28"));
    assert!(amounts(&mut phone, &tab) > 3, "the last day is one of its days");
    let tab = opened(&mut phone, "walk.html", &clock("2027-03-19"));
    has(&phone.text(&tab, "#notices .across"), "too old");
    has_not(&phone.text(&tab, "#list"), "1.36 kg");
    // What came back is told all the same.
    has(&phone.text(&tab, "#list"), "Took it all");
    Ok(())
}

/// A page that stays open past midnight.
pub fn past_midnight_it_is_another_day() -> Outcome {
    let mut phone = Driven::start()?;
    let tab = opened(&mut phone, "field.html", &clock(DAY));
    phone.value(&tab, &clock("2027-03-16"));
    phone.value(&tab, "dispatchEvent(new Event('focus'))");
    phone.wait_for(&tab, "document.querySelector('#day').textContent.includes('16 March')");
    has(&card(&mut phone, &tab, PATCH), &most(1));
    Ok(())
}

pub fn without_a_script_the_first_day_stands_there() -> Outcome {
    let mut phone = Driven::start()?;
    let tab = phone.tab("");
    phone.of(&tab, "Emulation.setScriptExecutionDisabled", json!({ "value": true }));
    let address = format!("file://{}", ground().page("field.html").display());
    phone.of(&tab, "Page.navigate", json!({ "url": address }));
    std::thread::sleep(std::time::Duration::from_millis(800));
    // The protocol reads what the page's own script may not.
    let still = phone.text(&tab, "#still");
    has(&still, "For Monday 15 March 2027 and no other day");
    has(&still, "No script runs here");
    has(&still, PATCH);
    has(&still, &most(0));
    has(&still, "Fatal look-alikes");
    Ok(())
}

pub fn who_moves_is_told_on_which_patch_and_which_way_to_the_next() -> Outcome {
    let mut phone = Driven::start()?;
    phone.of_browser("Browser.grantPermissions", json!({ "permissions": ["geolocation"] }));
    let tab = opened(&mut phone, "field.html", &clock(DAY));
    let bank = ground().place(PATCH);
    phone.stand_at(&tab, bank, 6.0);
    phone.touch(&tab, "#to-maps");
    phone.touch(&tab, "#find-me");
    phone.wait_for(&tab, "document.querySelector('#where .here')");
    has(&phone.text(&tab, "#where"), "You stand on Wendlestow/Mill bank, known to 6 m.");
    let dot = "(() => { const dot = document.querySelector('#maps .map-here'); \
        return [dot.cx.baseVal.value, dot.cy.baseVal.value]; })()";
    let before = phone.value(&tab, dot);
    // 0.001 degrees south, 111 m: the bank lies north, and the dot has moved down.
    phone.stand_at(&tab, (bank.0, bank.1 - 0.001), 6.0);
    phone.wait_for(&tab, "document.querySelector('#where').innerText.includes('no patch')");
    let said = phone.text(&tab, "#where");
    let line = said.lines().find(|line| line.contains("Mill bank"));
    let line = line.unwrap_or_else(|| panic!("the bank is not among the next: {said}"));
    assert!(line.ends_with("north"), "{line}");
    let metres: f64 =
        line.split_whitespace().rev().nth(2).and_then(|word| word.parse().ok()).unwrap();
    assert!((70.0..=115.0).contains(&metres), "{line}");
    let after = phone.value(&tab, dot);
    assert!(after[1].as_f64() > before[1].as_f64(), "{before} {after}");
    assert_eq!(after[0], before[0]);
    // In the list the patch one stands on is first, and says so.
    phone.stand_at(&tab, bank, 6.0);
    phone.wait_for(&tab, "document.querySelector('#where .here')");
    phone.touch(&tab, "#to-list");
    has(&phone.text(&tab, "#list article"), "You are here");
    // Known too roughly, no patch is named.
    phone.stand_at(&tab, bank, 400.0);
    phone.touch(&tab, "#to-maps");
    phone.wait_for(&tab, "document.querySelector('#where').innerText.includes('too rough')");
    has_not(&phone.text(&tab, "#where"), "You stand on");
    Ok(())
}

pub fn a_refused_position_is_told_and_the_rest_holds() -> Outcome {
    let mut phone = Driven::start()?;
    phone.of_browser(
        "Browser.setPermission",
        json!({ "permission": { "name": "geolocation" }, "setting": "denied" }),
    );
    let tab = opened(&mut phone, "field.html", &clock(DAY));
    phone.touch(&tab, "#to-maps");
    phone.touch(&tab, "#find-me");
    phone.wait_for(&tab, "document.querySelector('#where .warning')");
    has(&phone.text(&tab, "#where"), "The browser was told to give no position");
    phone.touch(&tab, "#to-list");
    has(&card(&mut phone, &tab, PATCH), &most(0));
    Ok(())
}
