//! What files are called after a site or a walk: never two of them alike. And whether two names
//! are one file's.

use std::fs;
use std::path::Path;

use sha2::{Digest, Sha256};

/// The longest beginning of a file's name, in bytes. Systems take 255 for a whole name.
const LONGEST: usize = 120;
/// Stands in no name, and so parts a name from its mark.
const BEFORE_MARK: char = '~';

/// The beginning of a file's name for a site's or walk's name: `north-wood` for `North wood`,
/// `north--wood` for `north-wood`.
///
/// No two names of a book give the same, whatever else the book holds, nor two that a file
/// system without capitals takes for the same. A book holds no two names that differ only in
/// capitals from A to Z; where a name could be taken for another for any other reason, it gets
/// a mark made of its letters.
pub fn stem(name: &str) -> String {
    let plain = name.to_lowercase().replace('-', "--").replace(' ', "-");
    if is_like_no_other(name) && plain.len() <= LONGEST {
        return plain;
    }
    let mut short = plain;
    while short.len() > LONGEST {
        short.pop();
    }
    format!("{short}{BEFORE_MARK}{}", mark(name))
}

/// Whether the name can be read back from its plain form.
fn is_like_no_other(name: &str) -> bool {
    let is_gap = |letter: &char| matches!(letter, ' ' | '-');
    let letters: Vec<char> = name.chars().collect();
    let gaps_stand_alone = letters.windows(2).all(|pair| !pair.iter().all(is_gap));
    gaps_stand_alone && letters.iter().all(|letter| letter.is_ascii() || has_one_form(*letter))
}

/// Whether a letter beyond ASCII stays itself when it is made large and small again: `ä` does,
/// `Ä` and `ß` do not.
fn has_one_form(letter: char) -> bool {
    letter.to_uppercase().flat_map(char::to_lowercase).eq([letter])
}

/// Eight hex digits of the name's letters.
fn mark(name: &str) -> String {
    Sha256::digest(name).iter().take(4).map(|byte| format!("{byte:02x}")).collect()
}

/// Whether both names lead to one file.
pub fn same_file(one: &Path, other: &Path) -> bool {
    let real = |path: &Path| fs::canonicalize(path).ok();
    real(one).is_some_and(|one| Some(one) == real(other))
}

#[cfg(test)]
mod tests {
    use std::collections::HashMap;

    use super::*;

    #[test]
    fn plain_names_stay_readable() {
        assert_eq!(stem("Wendlestow"), "wendlestow");
        assert_eq!(stem("north wood"), "north-wood");
        assert_eq!(stem("north-wood"), "north--wood");
        assert_eq!(stem("täl"), "täl");
    }

    /// Every name of up to five of these letters, as a system without capitals sees its file.
    #[test]
    fn no_two_names_of_a_book_share_a_file() {
        const LETTERS: [char; 9] = ['a', 'B', ' ', '-', '_', '.', 'ä', 'Ä', 'ß'];
        let mut names = vec![String::new()];
        let mut seen: HashMap<String, String> = HashMap::new();
        for _ in 0..5 {
            let longer = |name: &String| LETTERS.map(|letter| format!("{name}{letter}"));
            names = names.iter().flat_map(longer).collect();
            for name in names.iter().filter(|name| name.trim() == name.as_str()) {
                let file = stem(name).to_uppercase();
                if let Some(other) = seen.insert(file, name.clone()) {
                    panic!("`{name}` and `{other}` share `{}`", stem(name));
                }
            }
        }
        assert!(seen.len() > 40_000);
    }

    #[test]
    fn the_longest_names_fit_beside_their_endings_and_stay_apart() {
        let (one, other) = ("\u{20000}".repeat(60), "\u{20000}".repeat(59));
        assert!(stem(&one).len() <= LONGEST + 9);
        assert_ne!(stem(&one), stem(&other));
    }
}
