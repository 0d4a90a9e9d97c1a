//! The field page that the desk serves: kept on the phone, and sending by itself what it recorded.

use super::served::{Desk, folder, stintbook};
use crate::Outcome;
use crate::driven::{Driven, Tab};
use crate::field::{DAY, WALK_DAY, clock, has, has_not};

const SITE: &str = "/field/page?site=Wendlestow";
const PATCH: &str = "Wendlestow/Mill bank";

/// Touches what stands on the card of a patch.
fn press(phone: &mut Driven, tab: &Tab, what: &str) {
    let button = format!(
        "[...document.querySelectorAll('#list button')]\
         .find(it => it.getAttribute('aria-label') === '{what}: {PATCH}')"
    );
    phone.wait_for(tab, &button);
    phone.value(tab, &format!("{button}.click()"));
}

fn opened(phone: &mut Driven, tab: &Tab, address: &str) {
    phone.go(tab, address);
    phone.wait_for(tab, "document.body.classList.contains('runs')");
}

fn kept(phone: &mut Driven, tab: &Tab) {
    phone.wait_for(tab, "!document.getElementById('notices').innerText.includes('not kept')");
}

fn cuts(desk: &Desk) -> Vec<String> {
    let history = desk.typed(&["history", PATCH, "--format", "csv"]);
    history.lines().filter(|line| line.contains(",cut,")).map(str::to_owned).collect()
}

pub fn a_served_page_opens_where_nothing_answers_and_sends_what_it_kept() -> Outcome {
    let mut phone = Driven::start()?;
    let mut desk = Desk::on(folder(), &[]);
    let address = format!("http://{}{SITE}", desk.address);
    let tab = phone.tab_in_the_net(&clock(DAY));
    opened(&mut phone, &tab, &address);
    kept(&mut phone, &tab);
    let before = cuts(&desk).len();

    desk.falls_silent();
    opened(&mut phone, &tab, &address);
    has(&phone.text(&tab, "#list"), "Mill bank");
    press(&mut phone, &tab, "Cut");
    phone.write(&tab, "#amount", "210");
    phone.write(&tab, "#by", "Ida");
    phone.touch(&tab, "#keep");
    phone.wait_for(&tab, "!document.querySelector('dialog')");
    // A reload in the middle.
    opened(&mut phone, &tab, &address);
    phone.wait_for(&tab, "document.querySelector('#to-records').innerText === 'Records (1)'");
    press(&mut phone, &tab, "Glance");
    phone.write(&tab, "#amount", "3 kg");
    phone.write(&tab, "#by", "Ida");
    phone.touch(&tab, "#keep");
    phone.wait_for(&tab, "!document.querySelector('dialog')");
    phone.touch(&tab, "#to-records");
    phone
        .wait_for(&tab, "document.querySelector('#records').innerText.includes('nothing answers')");
    has(&phone.text(&tab, "#records"), "2 on this phone, and nothing answers");

    desk.answers_again();
    phone.value(&tab, "dispatchEvent(new Event('online'))");
    phone.wait_for(&tab, "document.querySelector('#to-records').innerText === 'Records'");
    has(&phone.text(&tab, "#records"), "All that was recorded here is in the book.");
    let after = cuts(&desk);
    assert_eq!(after.len(), before + 1);
    assert!(after.iter().any(|line| line.contains("210") && line.contains("Ida")), "{after:?}");

    // Struck out on the phone, it is taken back in the book.
    phone.value(
        &tab,
        "[...document.querySelectorAll('#records li')].find(it => it.innerText.includes('210'))\
         .querySelector('button').click()",
    );
    phone.wait_for(&tab, "document.querySelectorAll('#records li button').length === 1");
    phone
        .wait_for(&tab, "document.querySelector('#records').innerText.includes('is in the book.')");
    let taken_back = desk.typed(&["history", PATCH]);
    has(&taken_back.replace('\n', " "), "struck out on the phone");

    // Asked anew, the page has the rest in its figures.
    phone.touch(&tab, "#to-list");
    phone.touch(&tab, "#ask-anew");
    phone.wait_for(
        &tab,
        "!document.querySelector('#ask-anew') && document.querySelector('#to-records')",
    );
    Ok(())
}

pub fn an_account_signs_what_its_phone_recorded_and_settles_its_walk() -> Outcome {
    let mut phone = Driven::start()?;
    let folder = folder();
    let add = ["--book", "book.sqlite", "access", "add", "Tomas", "--as", "leader"];
    let said = String::from_utf8(stintbook(folder.path(), &add).stdout).unwrap();
    let key = said.split("key=").nth(1).unwrap().trim().to_owned();
    let desk = Desk::on(folder, &["--on", WALK_DAY]);
    let tab = phone.tab_in_the_net(&clock(WALK_DAY));
    let at = format!("http://{}", desk.address);
    phone.go(&tab, &format!("{at}/link?key={key}"));
    phone.write(&tab, "#passphrase", "a gate by the mill");
    phone.touch(&tab, "form.deed button");
    phone.wait_for(&tab, "location.pathname === '/week'");

    opened(&mut phone, &tab, &format!("{at}/field/walk?walk=creek+walk"));
    kept(&mut phone, &tab);
    phone.value(&tab, "document.querySelector('[id^=glance-]').click()");
    phone.wait_for(&tab, "document.querySelector('#amount')");
    assert_eq!(
        phone.value(&tab, "document.querySelector('#by') === null"),
        true,
        "no name is asked"
    );
    phone.write(&tab, "#amount", "9 kg");
    phone.touch(&tab, "#keep");
    phone.wait_for(&tab, "!document.querySelector('dialog')");
    for party in [1, 2] {
        phone.touch(&tab, &format!("#tick-0-{party}"));
    }
    phone.touch(&tab, "#to-records");
    phone.wait_for(&tab, "document.querySelector('#records').innerText.includes('in the book')");
    phone.touch(&tab, "#settle-walk");
    // Two parties are not told of: it says which, and asks.
    phone.wait_for(&tab, "document.querySelector('#assume-taken')");
    has(&phone.text(&tab, "#records"), "nothing is told of these shares");
    has_not(&phone.text(&tab, "#records"), "--");
    phone.touch(&tab, "#assume-taken");
    phone.wait_for(
        &tab,
        "document.querySelector('#records').innerText.includes('is settled in the book')",
    );
    let history = desk.typed(&["history", "--site", "Gullhythe", "--format", "csv"]);
    let own = history.lines().filter(|line| line.contains("Tomas") && line.contains(WALK_DAY));
    assert!(own.clone().any(|line| line.contains(",glance,")), "{history}");
    assert!(own.clone().any(|line| line.contains(",cut,")), "{history}");
    Ok(())
}
