//! Text inside XML.

/// Without what XML 1.0 (2.2) has no place for, and with its own signs written as it asks.
pub(super) fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\t' | '\n' | '\r' => escaped.push(letter),
            _ if letter.is_control() || matches!(letter, '\u{fffe}' | '\u{ffff}') => {}
            _ => escaped.push(letter),
        }
    }
    escaped
}

/// `<name>text</name>`.
pub(super) fn element(name: &str, text: &str) -> String {
    format!("<{name}>{}</{name}>", escaped(text))
}
