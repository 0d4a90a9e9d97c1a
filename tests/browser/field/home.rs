//! From the phone into the book, by the file that the page hands over.

use std::fs;

use serde_json::Value;

use super::kept::handed_over;
use super::{DAY, WALK_DAY, clock, ground, has, opened, run};
use crate::Outcome;
use crate::driven::Driven;

const PATCHES: [&str; 4] =
    ["Wendlestow/Mill bank", "Ammerlow/Upper lea", "Gullhythe/Sea wall", "Ammerlow/Allotment edge"];

/// Records as fast as a script can touch: amounts from 1 g on, a glance at each patch before the cuts,
/// so that the order of a day's records says nothing.
const RECORD: &str = "(async () => { \
    const wait = async () => { while (document.querySelector('dialog')) \
      await new Promise(done => setTimeout(done, 1)); }; \
    const write = (id, text) => document.getElementById(id).value = text; \
    for (let n = 0; n < 200; n += 1) { \
      const number = NUMBERS[n % NUMBERS.length]; \
      const kind = n < NUMBERS.length ? 'glance' : 'cut'; \
      document.getElementById(`${kind}-${number}`).click(); \
      write('amount', String(1 + n)); write('by', 'Ida'); \
      if (kind === 'cut') document.getElementById('taken-2').click(); \
      document.getElementById('keep').click(); \
      await wait(); \
    } })()";

/// Every patch's verdict and amounts of a day.
fn week(folder: &std::path::Path, on: &str) -> Value {
    let said = run(folder, &format!("week --book demo.sqlite --on {on} --format json"));
    let mut week: Value = serde_json::from_str(&said).unwrap();
    week["patches"].take()
}

pub fn two_hundred_records_come_home_twice_and_are_the_same_as_typed() -> Outcome {
    let mut phone = Driven::start()?;
    let tab = opened(&mut phone, "field.html", &clock(DAY));
    let numbers: Vec<u64> = PATCHES.map(|patch| ground().number(patch)).to_vec();
    phone.value(&tab, &RECORD.replace("NUMBERS", &format!("{numbers:?}")));
    phone.touch(&tab, "#to-records");
    let text = handed_over(&mut phone, &tab, "#hand-over");

    let home = ground().copied();
    fs::write(home.path().join("field.json"), &text).unwrap();
    let load = format!("load field.json --sure --book demo.sqlite --on {DAY}");
    let first = run(home.path(), &load).replace('\n', " ");
    has(&first, "4 glances, 196 cuts");
    let again = text.replace("\"made\"", "\"made_again\"");
    fs::write(home.path().join("again.json"), again).unwrap();
    let second = run(home.path(), &load.replace("field.json", "again.json")).replace('\n', " ");
    has(&second, "nothing new; 200 known already");

    // The same as tables that somebody typed.
    let sent: Value = serde_json::from_str(&text).unwrap();
    let mut cuts = "patch,date,by,mass_g,taken,people,recorded_on\n".to_owned();
    let mut glances = "patch,date,by,standing,recorded_on\n".to_owned();
    for row in sent["records"].as_array().unwrap() {
        let cell = |name: &str| row[name].as_str().unwrap().to_owned();
        let all = |names: &[&str]| names.iter().map(|name| cell(name)).collect::<Vec<_>>();
        match row["kind"].as_str().unwrap() {
            "cut" => {
                let names = ["patch", "date", "by", "mass_g", "taken", "people", "recorded_on"];
                cuts += &(all(&names).join(",") + "\n");
            }
            _ => {
                let names = ["patch", "date", "by", "standing", "recorded_on"];
                glances += &(all(&names).join(",") + "\n");
            }
        }
    }
    let typed = ground().copied();
    fs::write(typed.path().join("cuts.csv"), cuts).unwrap();
    fs::write(typed.path().join("glances.csv"), glances).unwrap();
    run(typed.path(), &format!("load cuts.csv glances.csv --sure --book demo.sqlite --on {DAY}"));
    for on in [DAY, "2027-04-01", "2027-06-01"] {
        assert_eq!(week(home.path(), on), week(typed.path(), on), "on {on}");
    }

    // A new page knows that the book has them: nothing waits, and they can be cleared.
    run(home.path(), &format!("field --on {DAY} -o field.html --book demo.sqlite"));
    phone.open(&tab, &home.path().join("field.html"));
    phone.wait_for(&tab, "document.querySelector('#to-records')?.innerText === 'Records'");
    phone.touch(&tab, "#to-records");
    phone.wait_for(&tab, "document.querySelector('#clear-known')");
    has(&phone.text(&tab, "#clear-known"), "Clear 200 that the book has");
    phone.touch(&tab, "#clear-known");
    phone.wait_for(&tab, "document.querySelectorAll('#records li').length === 0");
    Ok(())
}

pub fn a_walk_ticked_off_becomes_its_settle() -> Outcome {
    let mut phone = Driven::start()?;
    let tab = opened(&mut phone, "walk.html", &clock(WALK_DAY));
    has(&phone.text(&tab, "#list"), "0 of 1 stops told");
    for party in [1, 2, 4] {
        phone.touch(&tab, &format!("#tick-0-{party}"));
        phone.wait_for(
            &tab,
            &format!("document.querySelector('#tick-0-{party}').innerText === 'Not yet'"),
        );
    }
    phone.touch(&tab, "#other-0-3");
    phone.write(&tab, "#amount", "0.1 kg");
    phone.touch(&tab, "#taken-2");
    phone.touch(&tab, "#keep");
    phone.wait_for(&tab, "document.querySelector('#list').innerText.includes('1 of 1 stops told')");
    // Ticked by mistake, and ticked again after a reload.
    phone.touch(&tab, "#tick-0-2");
    phone.wait_for(&tab, "document.querySelector('#list').innerText.includes('0 of 1')");
    phone.open(&tab, &ground().page("walk.html"));
    phone.wait_for(&tab, "document.querySelector('#tick-0-1')?.innerText === 'Not yet'");
    phone.touch(&tab, "#tick-0-2");
    phone.wait_for(&tab, "document.querySelector('#list').innerText.includes('1 of 1')");
    phone.touch(&tab, "#to-records");
    let text = handed_over(&mut phone, &tab, "#hand-over");

    let home = ground().copied();
    fs::write(home.path().join("back.json"), text).unwrap();
    let settle =
        "walk settle creek back.json --book demo.sqlite --on 2027-03-18 --recorded-on 2027-03-18";
    let said = run(home.path(), settle).replace('\n', " ");
    // 400 g, 160 g and 320 g of three shares, 100 g of the fourth; 1.4 kg was set aside.
    has(&said, "980 g of 1.4 kg");
    Ok(())
}
