//! What is said of a command, said to somebody at the desk, who types none.
//!
//! Refusals and answers name the way out as a command line: `` `stintbook walk hold "creek walk"` ``.
//! At the desk it is the page that runs that command, by its title, and with a link that fills in
//! its form.

use maud::html;

/// A page that runs a command.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Way {
    /// What the page is called.
    pub title: &'static str,
    /// Where it is; `None` for somebody who may not open it.
    pub address: Option<String>,
}

/// From the words of a command line to its page; `None` where it has none.
pub type Ways<'w> = &'w dyn Fn(&[String]) -> Option<Way>;

const COMMAND: &str = "`stintbook";

/// In a page's markup: texts alone, never what stands inside a mark. `labelled` says a text that
/// names no command with the options of this page's own as what they are called on its form.
pub fn in_markup(markup: &str, ways: Ways<'_>, labelled: &dyn Fn(&str) -> String) -> String {
    let mut said = String::with_capacity(markup.len());
    for part in markup.split_inclusive('>') {
        let (text, mark) = part.split_at(part.find('<').unwrap_or(part.len()));
        if !text.contains("stintbook") {
            said += &if text.contains("--") { labelled(text) } else { text.to_owned() };
            said += mark;
            continue;
        }
        said += &reworded(text, &|words| {
            let words: Vec<String> = words.iter().map(|word| unescaped(word)).collect();
            let way = ways(&words);
            let plain = named(&words, way.as_ref());
            let address = way.and_then(|way| way.address);
            let link = html! {
                @match address {
                    Some(to) => a.way href=(to) { (plain) },
                    None => span.way { (plain) },
                }
            };
            link.into_string()
        });
        said += mark;
    }
    said
}

/// In a text.
pub fn in_words(text: &str, ways: Ways<'_>) -> String {
    reworded(text, &|words| named(words, ways(words).as_ref()))
}

fn named(words: &[String], way: Option<&Way>) -> String {
    match way {
        Some(way) => format!("“{}”", way.title),
        None => {
            let is_name = |word: &&String| word.chars().all(|letter| letter.is_ascii_lowercase());
            let command: Vec<&str> = words.iter().take_while(is_name).map(String::as_str).collect();
            format!("“{}”, typed where the book is kept,", command.join(" "))
        }
    }
}

/// With each command that stands between backticks said by `say`.
fn reworded(text: &str, say: &dyn Fn(&[String]) -> String) -> String {
    let mut said = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find(COMMAND) {
        let behind = &rest[start + COMMAND.len()..];
        let end = behind.find('`').filter(|_| behind.starts_with(char::is_whitespace));
        let Some(end) = end else {
            said += &rest[..start + COMMAND.len()];
            rest = behind;
            continue;
        };
        said += &rest[..start];
        said += &say(&split(&behind[..end]));
        rest = &behind[end + 1..];
    }
    said + rest
}

/// The words of a command line; quotation marks hold a word together.
fn split(line: &str) -> Vec<String> {
    let line = line.replace("&quot;", "\"");
    let mut words: Vec<String> = Vec::new();
    for (n, part) in line.split('"').enumerate() {
        if n % 2 == 1 {
            words.push(part.split_whitespace().collect::<Vec<_>>().join(" "));
        } else {
            words.extend(part.split_whitespace().map(str::to_owned));
        }
    }
    words
}

fn unescaped(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn way(words: &[String]) -> Option<Way> {
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        match words[..] {
            ["hold", walk] => {
                Some(Way { title: "Set it aside", address: Some(format!("/hold?{walk}")) })
            }
            ["close", _] => Some(Way { title: "Close it", address: None }),
            _ => None,
        }
    }

    #[test]
    fn a_command_is_said_as_its_page() {
        let text =
            "nothing is held: `stintbook hold \"creek walk\"` does it, `stintbook close bank` not";
        assert_eq!(in_words(text, &way), "nothing is held: “Set it aside” does it, “Close it” not");
        let kept = "`stintbook restore OLD NEW` puts a backup there";
        assert_eq!(
            in_words(kept, &way),
            "“restore”, typed where the book is kept, puts a backup there"
        );
        for same in ["`stintbookish` and `stintbook", "stintbook hold it", "`stintbook hold it"] {
            assert_eq!(in_words(same, &way), same);
        }
    }

    #[test]
    fn a_link_stands_in_texts_alone() {
        let page =
            "<p title=\"`stintbook hold a`\">`stintbook\u{a0}hold &quot;a &amp; b&quot;`</p>";
        assert_eq!(
            in_markup(page, &way, &str::to_owned),
            "<p title=\"`stintbook hold a`\"><a class=\"way\" href=\"/hold?a &amp; b\">“Set it aside”</a></p>"
        );
        let shut = "<p>`stintbook close bank` and `stintbook hold <b>a</b>`";
        let said = "<p><span class=\"way\">“Close it”</span> and `stintbook hold <b>a</b>`";
        assert_eq!(in_markup(shut, &way, &str::to_owned), said);
    }
}
