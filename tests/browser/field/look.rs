//! How the page looks and is used: axe in light and dark, thumbs, a keyboard, figures.

use serde_json::Value;
use stintbook::units::Amount;

use super::{DAY, PATCH, WALK_DAY, card, clock, ground, has, opened};
use crate::Outcome;
use crate::accessible::axe;
use crate::driven::{Driven, Tab};
use crate::narrow::{SMALLEST, well_shown};

const RUN: &str = "axe.run().then(result => ({ passes: result.passes.length, \
    violations: result.violations.map(rule => \
      [rule.id, ...rule.nodes.map(node => node.html + node.failureSummary)].join('\\n')) }))";

const SMALL: &str = "[...document.querySelectorAll('button, summary, input, .chip, a:not(.skip)')]\
    .filter(it => it.offsetParent && !it.closest('.chip > *')) \
    .map(it => [it.outerHTML.slice(0, 90), it.getBoundingClientRect()])\
    .filter(([, box]) => box.width < 44 || box.height < 44)\
    .map(([what, box]) => `${what} ${box.width} by ${box.height}`)";

/// Every view and form of a page, one after the other.
fn each_view(phone: &mut Driven, tab: &Tab, page: &str, look: &mut dyn FnMut(&mut Driven, &str)) {
    look(phone, "list");
    let number = match page {
        "walk.html" => 1,
        _ => ground().number(PATCH),
    };
    phone.touch(tab, &format!("#more-{number}"));
    look(phone, "details");
    let forms: &[&str] = if page == "walk.html" { &["other-0-1"] } else { &["cut-N", "glance-N"] };
    for form in forms.iter().chain(&["note-N"]) {
        phone.touch(tab, &format!("#{}", form.replace('N', &number.to_string())));
        look(phone, form);
        phone.touch(tab, "#keep");
        if phone.value(tab, "!!document.querySelector('dialog .warning:not([hidden])')") == true {
            look(phone, "what is missing");
            phone.touch(tab, "#cancel");
        }
        phone.wait_for(tab, "!document.querySelector('dialog')");
    }
    for view in ["maps", "records"] {
        phone.touch(tab, &format!("#to-{view}"));
        look(phone, view);
    }
}

pub fn no_rule_of_accessibility_is_broken_in_any_view() -> Outcome {
    let axe = axe()?;
    let mut phone = Driven::start()?;
    for (page, day) in [("field.html", DAY), ("walk.html", WALK_DAY), ("field.html", "2028-01-01")]
    {
        for scheme in ["light", "dark"] {
            let tab = opened(&mut phone, page, &clock(day));
            phone.scheme(&tab, scheme);
            phone.value(&tab, &format!("{axe}; 0"));
            let mut look = |phone: &mut Driven, view: &str| {
                let said = phone.value(&tab, RUN);
                assert!(said["passes"].as_u64().unwrap() > 10, "{said:#}");
                let violations = said["violations"].as_array().unwrap();
                assert!(violations.is_empty(), "{page}, {scheme}, {view}: {violations:#?}");
                let smallest = phone.value(&tab, SMALLEST);
                well_shown(smallest.as_str().unwrap(), &format!("{page}, {view}"));
            };
            if day == "2028-01-01" {
                look(&mut phone, "too old");
            } else {
                each_view(&mut phone, &tab, page, &mut look);
            }
        }
    }
    Ok(())
}

pub fn a_thumb_reaches_everything_and_nothing_is_wider_than_the_phone() -> Outcome {
    let mut phone = Driven::start()?;
    for (page, day) in [("field.html", DAY), ("walk.html", WALK_DAY)] {
        let tab = opened(&mut phone, page, &clock(day));
        each_view(&mut phone, &tab, page, &mut |phone, view| {
            let wide = phone.value(&tab, "document.documentElement.scrollWidth");
            assert_eq!(wide, 390, "{page}, {view}");
            let small = phone.value(&tab, SMALL);
            assert_eq!(small.as_array().unwrap().len(), 0, "{page}, {view}: {small:#}");
        });
    }
    Ok(())
}

pub fn a_keyboard_is_enough() -> Outcome {
    const TAB: u32 = 9;
    const ENTER: u32 = 13;
    const ESCAPE: u32 = 27;
    let mut phone = Driven::start()?;
    let tab = opened(&mut phone, "field.html", &clock(DAY));
    let cut = format!("cut-{}", ground().number(PATCH));
    let press_until = |phone: &mut Driven, id: &str| {
        for _ in 0..200 {
            phone.key(&tab, "Tab", TAB, "");
            if phone.value(&tab, "document.activeElement.id") == id {
                return;
            }
        }
        panic!("Tab never reaches #{id}");
    };
    press_until(&mut phone, &cut);
    phone.key(&tab, "Enter", ENTER, "\r");
    phone.wait_for(&tab, "document.querySelector('dialog[open]')");
    phone.key(&tab, "Escape", ESCAPE, "");
    phone.wait_for(&tab, "!document.querySelector('dialog')");
    // Back where one was.
    assert_eq!(phone.value(&tab, "document.activeElement.id"), cut.as_str());
    phone.key(&tab, "Enter", ENTER, "\r");
    press_until(&mut phone, "amount");
    phone.value(&tab, "document.activeElement.select()");
    for letter in ["7", "5"] {
        phone.key(&tab, letter, letter.as_bytes()[0].into(), letter);
    }
    press_until(&mut phone, "by");
    for letter in ["I", "d", "a"] {
        phone.key(&tab, letter, 65, letter);
    }
    phone.key(&tab, "Enter", ENTER, "\r");
    phone.wait_for(&tab, "!document.querySelector('dialog')");
    has(&card(&mut phone, &tab, PATCH), "left today");
    phone.wait_for(
        &tab,
        "document.querySelector('#status').innerText.includes('Kept: Mill bank, 75 g')",
    );
    Ok(())
}

/// The script's figures are the book's.
pub fn amounts_are_written_as_the_book_writes_them() -> Outcome {
    const FIGURES: &str = include_str!("../../../src/report/field/script/figure.js");
    let mut phone = Driven::start()?;
    let tab = phone.tab("");
    let all = [0.0, 0.4, 1.0, 7.5, 9.9, 10.0, 47.0, 640.0, 999.0, 1000.0, 1010.0, 1230.0, 9980.0];
    for grams in all.into_iter().chain([10_000.0, 12_300.0, 250_000.0]) {
        let said = phone.value(&tab, &format!("{{{FIGURES}; weight({grams})}}"));
        assert_eq!(said, Amount::grams(grams).to_string().as_str());
    }
    // What is left is never shown larger than it is, and what is whole stays whole.
    let left = |phone: &mut Driven, grams: f64| -> f64 {
        let safe = format!("{{{FIGURES}; toTheSafeSide({{ weighed: true }}, {grams})}}");
        phone.value(&tab, &safe).as_f64().unwrap()
    };
    for (grams, shown) in [(1239.0, 1230.0), (999.9, 999.0), (0.37, 0.3), (7.3, 7.3), (-5.0, 0.0)] {
        assert!((left(&mut phone, grams) - shown).abs() < 1e-9, "{grams}");
    }
    // Typed amounts are read as they are meant, or not at all.
    let patch = "{ weighed: true }";
    for (typed, grams) in [
        ("250", Some(250.0)),
        ("1.2kg", Some(1200.0)),
        (" .5 KG ", Some(500.0)),
        ("1,2 kg", None),
        ("-3", None),
        ("", None),
        ("1e3", None),
        ("3 heads", None),
    ] {
        let read =
            format!("{{{FIGURES}; readAmount({}, {patch}) ?? null}}", serde_json::json!(typed));
        let said: Value = phone.value(&tab, &read);
        assert_eq!(said.as_f64(), grams, "`{typed}`");
    }
    Ok(())
}
