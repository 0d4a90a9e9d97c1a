//! What is recorded outlives a reload, is the same in two tabs, and is never lost in silence.

use stintbook::units::Amount;

use super::{DAY, PATCH, card, clock, cut, ground, has, has_not, opened};
use crate::Outcome;
use crate::driven::{Driven, Tab};
use crate::schemas::hold;

fn records(phone: &mut Driven, tab: &Tab) -> String {
    phone.touch(tab, "#to-records");
    phone.text(tab, "#records")
}

pub fn a_reload_in_the_middle_loses_nothing() -> Outcome {
    let mut phone = Driven::start()?;
    let tab = opened(&mut phone, "field.html", &clock(DAY));
    cut(&mut phone, &tab, PATCH, "100");
    let most = ground().patch(PATCH)["days"][0]["most"].as_f64().unwrap();
    // To the last figure that is shown, on the safe side.
    let left = Amount::grams(((most - 100.0) / 10.0).floor() * 10.0);
    let left = format!("{left} left today");
    has(&card(&mut phone, &tab, PATCH).replace('\n', " "), &left);
    // A form half filled in is gone, a record is not.
    phone.touch(&tab, &format!("#glance-{}", ground().number(PATCH)));
    phone.open(&tab, &ground().page("field.html"));
    phone.wait_for(&tab, "document.querySelector('#to-records')?.innerText.includes('(1)')");
    has(&card(&mut phone, &tab, PATCH).replace('\n', " "), &left);
    // For any later day only the book knows.
    phone.touch(&tab, &format!("#more-{}", ground().number(PATCH)));
    let rows = card(&mut phone, &tab, PATCH);
    let tomorrow = rows.lines().find(|line| line.starts_with("Tue 16 Mar"));
    has(tomorrow.unwrap(), "Ask the book");
    has(&records(&mut phone, &tab), "100 g");
    has(&phone.text(&tab, "#records"), "only on this phone");
    // Struck out, it counts no more; put back, it does.
    phone.touch(&tab, "[id^='strike-']");
    phone.wait_for(&tab, "document.querySelector('#records .struck')");
    phone.touch(&tab, "#to-list");
    has_not(&card(&mut phone, &tab, PATCH), "left today");
    // Another page of the same book, opened from another file, has it too.
    let later = tempfile::tempdir().unwrap();
    let other = later.path().join("later.html");
    std::fs::copy(ground().page("field.html"), &other).unwrap();
    phone.open(&tab, &other);
    phone.wait_for(&tab, "document.body.classList.contains('runs')");
    phone.wait_for(&tab, "(document.querySelector('#to-records').click(), true) && document.querySelector('#records .struck')");
    Ok(())
}

/// What the day's most leaves is never worked out where nobody can know it.
pub fn after_a_cut_the_page_says_what_is_left_or_asks_the_book() -> Outcome {
    let mut phone = Driven::start()?;
    let tab = opened(&mut phone, "field.html", &clock(DAY));
    let number = ground().number(PATCH);
    phone.touch(&tab, &format!("#cut-{number}"));
    phone.write(&tab, "#amount", "120");
    phone.write(&tab, "#by", "Ida");
    phone.touch(&tab, "#taken-1");
    phone.touch(&tab, "#keep");
    phone.wait_for(&tab, "!document.querySelector('dialog')");
    has(&card(&mut phone, &tab, PATCH).replace('\n', " "), "0 g left today");
    // On the next day of the same page.
    phone.value(&tab, &clock("2027-03-16"));
    phone.value(&tab, "dispatchEvent(new Event('focus'))");
    phone.wait_for(&tab, "document.querySelector('#day').textContent.includes('16 March')");
    has(&card(&mut phone, &tab, PATCH), "Ask the book");
    // Sprayed: no amount at all.
    phone.touch(&tab, &format!("#note-{number}"));
    phone.touch(&tab, "input[name='trouble'][value='sprayed']");
    phone.touch(&tab, "#keep");
    phone.wait_for(&tab, "!document.querySelector('dialog')");
    let card = card(&mut phone, &tab, PATCH);
    has(&card, "Recorded on this phone: sprayed. Cut nothing here");
    Ok(())
}

/// A permission's cap is for all patches of a site: what is cut on one comes off what is left for
/// another.
pub fn a_cap_of_the_site_is_shared_by_its_patches() -> Outcome {
    const EDGE: &str = "Wendlestow/Drive edge";
    let room = ground().patch(EDGE)["days"][0]["room"].as_f64().unwrap();
    let most = ground().patch(EDGE)["days"][0]["most"].as_f64().unwrap();
    assert!(most > room - 1000.0, "the cap does not bind: {most} of {room}");
    let mut phone = Driven::start()?;
    let tab = opened(&mut phone, "field.html", &clock(DAY));
    cut(&mut phone, &tab, PATCH, "1.5 kg");
    let left = format!("{} left today", Amount::grams(room - 1500.0));
    let edge = card(&mut phone, &tab, EDGE).replace('\n', " ");
    has(&edge, &left);
    has(&edge, "which share its cap");
    // Of another site's patch nothing goes.
    has_not(&card(&mut phone, &tab, "Ammerlow/Upper lea"), "left today");
    Ok(())
}

const REFUSED: &str = "Object.defineProperty(IDBFactory.prototype, 'open', \
    { value() { throw new DOMException('no', 'SecurityError'); } });";

const FULL: &str = "IDBObjectStore.prototype.put = function () { \
    throw new DOMException('full', 'QuotaExceededError'); };";

pub fn where_nothing_is_kept_the_page_says_so_and_offers_the_file() -> Outcome {
    let mut phone = Driven::start()?;
    for (fault, name) in [(REFUSED, "SecurityError"), (FULL, "QuotaExceededError")] {
        let tab = opened(&mut phone, "field.html", &(clock(DAY) + fault));
        cut(&mut phone, &tab, PATCH, "100");
        has(&phone.text(&tab, "#notices"), "This phone does not keep what you record");
        has(&phone.text(&tab, "#notices"), name);
        has(&phone.text(&tab, "#hand-over-now"), "Hand over as one file");
        has(&card(&mut phone, &tab, PATCH), "left today");
        let text = handed_over(&mut phone, &tab, "#hand-over-now");
        has(&text, "\"mass_g\": \"100\"");
        // Whoever closes the page is asked first.
        let stays = "!dispatchEvent(new Event('beforeunload', { cancelable: true }))";
        assert_eq!(phone.value(&tab, stays), true, "{name}");
    }
    Ok(())
}

/// Room again: what was in memory alone is kept after all.
pub fn what_was_not_kept_is_kept_once_there_is_room() -> Outcome {
    let mut phone = Driven::start()?;
    let full = "const real = IDBObjectStore.prototype.put; globalThis.isFull = true; \
        IDBObjectStore.prototype.put = function (...all) { \
        if (globalThis.isFull) throw new DOMException('full', 'QuotaExceededError'); \
        return real.apply(this, all); };";
    let tab = opened(&mut phone, "field.html", &(clock(DAY) + full));
    cut(&mut phone, &tab, PATCH, "100");
    has(&phone.text(&tab, "#notices"), "does not keep");
    phone.value(&tab, "globalThis.isFull = false; dispatchEvent(new Event('focus'))");
    phone.wait_for(&tab, "!document.querySelector('#notices').innerText.includes('does not keep')");
    phone.open(&tab, &ground().page("field.html"));
    phone.wait_for(&tab, "document.querySelector('#to-records')?.innerText.includes('(1)')");
    Ok(())
}

pub fn two_tabs_show_the_same() -> Outcome {
    let mut phone = Driven::start()?;
    let one = opened(&mut phone, "field.html", &clock(DAY));
    let other = opened(&mut phone, "field.html", &clock(DAY));
    cut(&mut phone, &one, PATCH, "100");
    phone.wait_for(&other, "document.querySelector('#to-records').innerText.includes('(1)')");
    has(&card(&mut phone, &other, PATCH), "left today");
    cut(&mut phone, &other, PATCH, "50");
    phone.wait_for(&one, "document.querySelector('#to-records').innerText.includes('(2)')");
    let (one, other) = (card(&mut phone, &one, PATCH), card(&mut phone, &other, PATCH));
    assert_eq!(one, other);
    Ok(())
}

/// What the page hands over, caught on its way to the disk.
pub fn handed_over(phone: &mut Driven, tab: &Tab, button: &str) -> String {
    let catch = "globalThis.caught = undefined; \
        globalThis.realUrl ??= URL.createObjectURL; \
        URL.createObjectURL = blob => { blob.text().then(text => globalThis.caught = text); \
        return globalThis.realUrl.call(URL, blob); };";
    phone.value(tab, catch);
    phone.touch(tab, button);
    phone.wait_for(tab, "globalThis.caught");
    let text = phone.value(tab, "globalThis.caught").as_str().unwrap().to_owned();
    hold(&text, "what a phone hands over");
    text
}
