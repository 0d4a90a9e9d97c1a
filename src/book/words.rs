//! Strings that repeat from row to row, kept once.

use std::collections::HashSet;
use std::sync::Arc;

/// Hands out one shared string for each text it is shown.
#[derive(Debug, Default)]
pub(super) struct Words {
    known: HashSet<Arc<str>>,
}

impl Words {
    pub(super) fn share(&mut self, text: &str) -> Arc<str> {
        if let Some(word) = self.known.get(text) {
            return word.clone();
        }
        let word: Arc<str> = text.into();
        self.known.insert(word.clone());
        word
    }
}
