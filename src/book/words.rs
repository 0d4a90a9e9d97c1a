//! Strings that repeat from row to row, kept once.

use std::collections::HashSet;
use std::sync::Arc;

/// A few dozen people, files and ways of cutting fill most of a book.
const RECENT: usize = 64;

/// Hands out one shared string for each text it is shown.
#[derive(Debug)]
pub(super) struct Words {
    known: HashSet<Arc<str>>,
    /// Words met lately, each at a place that follows from its ends: looking here first costs
    /// a comparison where the set costs a hash of the whole word.
    recent: [Option<Arc<str>>; RECENT],
}

impl Default for Words {
    fn default() -> Self {
        Self { known: HashSet::new(), recent: [const { None }; RECENT] }
    }
}

impl Words {
    pub(super) fn share(&mut self, text: &str) -> Arc<str> {
        let slot = &mut self.recent[slot(text)];
        match slot {
            Some(word) if **word == *text => word.clone(),
            _ => {
                let word = known(&mut self.known, text);
                *slot = Some(word.clone());
                word
            }
        }
    }
}

fn known(words: &mut HashSet<Arc<str>>, text: &str) -> Arc<str> {
    if let Some(word) = words.get(text) {
        return word.clone();
    }
    let word: Arc<str> = text.into();
    words.insert(word.clone());
    word
}

fn slot(text: &str) -> usize {
    match text.as_bytes() {
        [] => 0,
        bytes @ [first, ..] => {
            let last = bytes[bytes.len() - 1];
            (bytes.len() + 7 * usize::from(*first) + 3 * usize::from(last)) % RECENT
        }
    }
}
