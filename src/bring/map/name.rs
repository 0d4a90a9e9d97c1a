//! Names as other programs have them, as they can stand in a book.

use crate::records::composed;

/// With accents composed, straight apostrophes and short dashes; a slash becomes a dash, and what
/// else has no place in a name a blank.
pub(super) fn plain(name: &str) -> String {
    let letter = |c: char| match c {
        '’' | '‘' | '`' | '´' | 'ʼ' => '\'',
        '–' | '—' | '‐' | '‑' | '−' | '/' | '\\' => '-',
        ' ' | '-' | '\'' | '.' | '_' => c,
        c if c.is_alphanumeric() => c,
        _ => ' ',
    };
    let plain: String = composed(name).chars().map(letter).collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn marks_that_have_no_place_in_a_name_go_and_letters_stay() {
        for (name, stays) in [
            ("Miller’s bank", "Miller's bank"),
            ("Bank (west), upper", "Bank west upper"),
            ("Ash/Elm hedge", "Ash-Elm hedge"),
            ("Café e\u{301}tang", "Café étang"),
            ("  No. 7: the “long” one ", "No. 7 the long one"),
        ] {
            assert_eq!(plain(name), stays);
        }
    }
}
