//! From the words of a command to the page that runs it.

use super::ask::{Ask, Form, Goes, Shows};
use super::asks::asks;
use super::person::Person;
use super::request::address;
use super::routes::way;
use crate::report::at_desk::Way;

/// The page that runs these words, with its form filled in as far as they say.
pub fn way_out(person: &Person, words: &[String]) -> Option<Way> {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let own = match words.first() {
        Some(&"load") => Some("/bring"),
        Some(&"field") => Some("/field"),
        _ => None,
    };
    if let Some((path, (title, may))) = own.and_then(|path| Some((path, way(path)?))) {
        let address = person.may(may).then(|| path.to_owned());
        return Some(Way { title, address });
    }
    let fits = |ask: &&Ask| {
        matches!(ask.shows, Shows::Page | Shows::Anew | Shows::Deed | Shows::Brings | Shows::Sheet)
            && words.starts_with(named(ask))
    };
    // The longest of them is meant, and of those the first.
    let ask = asks().filter(fits).min_by_key(|ask| std::cmp::Reverse(named(ask).len()))?;
    let filled = filled(ask, &words[named(ask).len()..]);
    let address = person.may(ask.may).then(|| address(ask.path, &filled));
    Some(Way { title: ask.title, address })
}

/// The words that a command is called by.
fn named(ask: &Ask) -> &'static [&'static str] {
    let options = ask.command.iter().position(|word| word.starts_with('-'));
    &ask.command[..options.unwrap_or(ask.command.len())]
}

/// What these words fill in of a form. What stands for something to be filled in is left out.
fn filled<'w>(ask: &Ask, words: &[&'w str]) -> Vec<(&'static str, &'w str)> {
    let mut filled = Vec::new();
    let mut alone = ask.fields.iter().filter(|field| field.option().is_none());
    let mut words = words.iter().copied();
    while let Some(word) = words.next() {
        if !word.starts_with("--") {
            filled.extend(alone.next().map(|field| (field.name, word)));
            continue;
        }
        let Some(field) = ask.fields.iter().find(|field| field.option() == Some(word)) else {
            continue;
        };
        match field.goes {
            Goes::Flag(_) => filled.push((field.name, "yes")),
            _ => filled.extend(words.next().map(|value| (field.name, value))),
        }
    }
    filled.retain(|(name, value)| {
        let is_answer = ask.fields.iter().any(|it| it.name == *name && it.form == Form::Answer);
        !is_answer && !is_placeholder(value)
    });
    filled
}

/// `NAME`, `…`.
fn is_placeholder(value: &str) -> bool {
    value.contains('…') || value.chars().all(|letter| letter.is_ascii_uppercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn to(words: &[&str]) -> Option<(&'static str, Option<String>)> {
        let words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
        way_out(&Person::alone(), &words).map(|way| (way.title, way.address))
    }

    #[test]
    fn a_command_leads_to_its_page_with_its_form_filled_in() {
        let at = |words: &[&str]| to(words).and_then(|(_, address)| address);
        assert_eq!(at(&["walk", "hold", "creek walk"]).unwrap(), "/walk/hold?walk=creek+walk");
        assert_eq!(at(&["walk", "list"]).unwrap(), "/walks");
        assert_eq!(at(&["walk", "new"]).unwrap(), "/walks/new");
        assert_eq!(at(&["crops", "CROP"]).unwrap(), "/crops");
        assert_eq!(at(&["week"]).unwrap(), "/week");
        assert_eq!(at(&["load"]).unwrap(), "/bring");
        assert_eq!(
            at(&["correct", "1a2b3c4d", "for=own use; walk"]).unwrap(),
            "/correct?fact=1a2b3c4d&change=for%3Down+use%3B+walk"
        );
        assert_eq!(
            at(&["visit", "north wood/edge", "--cleared", "arum"]).unwrap(),
            "/visit?place=north+wood%2Fedge&cleared=arum"
        );
        assert_eq!(to(&["restore", "OLD"]), None);
    }

    #[test]
    fn whoever_may_not_open_a_page_is_given_no_link() {
        let words = ["walk", "cancel", "creek walk"].map(str::to_owned);
        let way = way_out(&Person::nobody(), &words).unwrap();
        assert_eq!(way, Way { title: "Give it up", address: None });
    }
}
