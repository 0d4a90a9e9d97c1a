//! A leader's week at the desk: what may be cut, a cut, a walk from the wish to what came back, and
//! something taken back. Told once, and done by clicking, without a script, and by keyboard.

use serde_json::json;

use super::served::{Desk, TODAY, folder};
use crate::Outcome;
use crate::driven::{Driven, Tab};
use crate::field::has;

/// Who does it.
struct Someone<'a> {
    browser: &'a mut Driven,
    tab: Tab,
    by_keyboard: bool,
}

pub fn by_clicking() -> Outcome {
    let mut browser = Driven::start()?;
    let tab = browser.tab_in_the_net("");
    week(Someone { browser: &mut browser, tab, by_keyboard: false })
}

pub fn without_a_script() -> Outcome {
    let mut browser = Driven::start()?;
    let tab = browser.tab_in_the_net("");
    browser.without_script(&tab);
    week(Someone { browser: &mut browser, tab, by_keyboard: false })
}

pub fn by_keyboard() -> Outcome {
    let mut browser = Driven::start()?;
    let tab = browser.tab_in_the_net("");
    week(Someone { browser: &mut browser, tab, by_keyboard: true })
}

fn week(mut ida: Someone<'_>) -> Outcome {
    let desk = Desk::on(folder(), &[]);
    let tab = ida.tab.clone();
    ida.browser.wide(&tab, 1200);
    ida.browser.go(&tab, &format!("http://{}/", desk.address));
    ida.sees("Wendlestow");

    ida.follows("Mill bank");
    ida.sees("refilling share");
    ida.follows("Record a cut");
    ida.fills("amount", "210g");
    ida.fills("people", "2");
    ida.fills("by", "Ida");
    ida.sends("form.deed");
    ida.sees("Recorded as");

    ida.follows("Record a walk");
    ida.fills("name", "noon walk");
    ida.chooses_day("on", TODAY);
    ida.chooses("site", "Wendlestow");
    ida.fills("adults", "4");
    ida.fills("want", "green leaf=300g");
    ida.sends("form.deed");
    ida.sees("noon walk");

    ida.follows("Walks");
    ida.follows("noon walk");
    ida.follows("Someone joins");
    ida.fills("party", "2+1");
    ida.sends("form.deed");
    ida.sees("Recorded as");
    ida.follows("noon walk");
    ida.follows("Set its quota aside");
    ida.sends("form.deed");
    ida.sees("Set aside for noon walk");
    ida.follows("noon walk");
    ida.follows("Settle what came back");
    ida.ticks("all");
    ida.sends("form.deed");
    ida.sees("300 g");

    ida.follows("Due");
    ida.follows("Calendar");
    ida.follows("Take back my last deed");
    ida.ticks("dry");
    ida.sends("form.deed");
    ida.follows("This week");
    ida.sees("Wendlestow");

    let history = desk.typed(&["history", "--site", "Wendlestow", "--format", "csv"]);
    let of_today = history.lines().filter(|line| line.contains(TODAY) && line.contains("Ida"));
    assert!(
        of_today.clone().any(|line| line.contains(",cut,") && line.contains("210")),
        "{history}"
    );
    assert!(of_today.clone().any(|line| line.contains(",walk,")), "{history}");
    let settled = of_today.filter(|line| line.contains(",cut,") && line.contains("noon walk"));
    assert!(settled.count() > 0, "{history}");
    Ok(())
}

impl Someone<'_> {
    fn sees(&mut self, words: &str) {
        let tab = self.tab.clone();
        has(&self.browser.text(&tab, "main").replace('\u{a0}', " "), words);
    }

    /// Comes to what an expression names: by Tab alone, where it is by keyboard.
    fn reaches(&mut self, element: &str) {
        let tab = self.tab.clone();
        self.browser.wait_for(&tab, element);
        if !self.by_keyboard {
            self.browser.value(&tab, &format!("{element}.focus()"));
            return;
        }
        for _ in 0..400 {
            if self.browser.value(&tab, &format!("document.activeElement === {element}")) == true {
                return;
            }
            self.browser.key(&tab, "Tab", 9, "");
        }
        panic!("no Tab leads to {element}");
    }

    /// Something that leads to another page.
    fn leaves_by(&mut self, element: &str) {
        let tab = self.tab.clone();
        self.reaches(element);
        let here = "performance.timeOrigin";
        let before = self.browser.value(&tab, here);
        if self.by_keyboard {
            self.browser.key(&tab, "Enter", 13, "\r");
        } else {
            self.browser.value(&tab, &format!("{element}.click()"));
        }
        let is_there = format!("{here} !== {before} && document.readyState === 'complete'");
        self.browser.wait_for(&tab, &is_there);
    }

    /// A link, in what is folded away too.
    fn follows(&mut self, link: &str) {
        let tab = self.tab.clone();
        let link = format!(
            "[...document.querySelectorAll('a')].find(it => it.textContent.trim() === {})",
            json!(link)
        );
        self.browser.wait_for(&tab, &link);
        let folded = format!("{link}.closest('details:not([open])')?.querySelector('summary')");
        if self.browser.value(&tab, &format!("!!{folded}")) == true {
            let summary = "document.querySelector('nav.ways summary')";
            self.reaches(summary);
            self.browser.key(&tab, "Enter", 13, "\r");
            self.browser.wait_for(&tab, &format!("!{folded}"));
        }
        self.leaves_by(&link);
    }

    fn sends(&mut self, form: &str) {
        self.leaves_by(&format!("document.querySelector('{form} button[type=submit]')"));
    }

    fn field(name: &str) -> String {
        format!("document.querySelector('form.deed [name=\"{name}\"]')")
    }

    fn fills(&mut self, name: &str, text: &str) {
        let tab = self.tab.clone();
        self.reaches(&Self::field(name));
        self.browser.value(&tab, &format!("{}.select()", Self::field(name)));
        self.browser.of(&tab, "Input.insertText", json!({ "text": text }));
        self.has_value(name, text);
    }

    fn chooses(&mut self, name: &str, option: &str) {
        let tab = self.tab.clone();
        self.reaches(&Self::field(name));
        for letter in option.chars() {
            let key = letter.to_string();
            self.browser.key(&tab, &key, u32::from(letter.to_ascii_uppercase()), &key);
        }
        self.has_value(name, option);
    }

    /// Month, day and year, as a browser asks for them in English.
    fn chooses_day(&mut self, name: &str, day: &str) {
        let tab = self.tab.clone();
        self.reaches(&Self::field(name));
        let typed = format!("{}{}{}", &day[5..7], &day[8..], &day[..4]);
        for digit in typed.chars() {
            let key = digit.to_string();
            self.browser.key(&tab, &key, u32::from(digit), &key);
        }
        self.has_value(name, day);
    }

    fn ticks(&mut self, name: &str) {
        let tab = self.tab.clone();
        self.reaches(&Self::field(name));
        self.browser.key(&tab, " ", 32, " ");
        self.browser.wait_for(&tab, &format!("{}.checked", Self::field(name)));
    }

    fn has_value(&mut self, name: &str, value: &str) {
        let tab = self.tab.clone();
        self.browser.wait_for(&tab, &format!("{}.value === {}", Self::field(name), json!(value)));
    }
}
