//! Texts that many patches and days share, each written once.

use std::collections::HashMap;

use serde::{Serialize, Serializer};

/// Positions in it stand for texts.
#[derive(Debug, Default)]
pub(super) struct Texts {
    all: Vec<String>,
    known: HashMap<String, usize>,
}

impl Texts {
    pub(super) fn put(&mut self, text: impl Into<String>) -> usize {
        let text = text.into();
        if let Some(known) = self.known.get(&text) {
            return *known;
        }
        self.all.push(text.clone());
        self.known.insert(text, self.all.len() - 1);
        self.all.len() - 1
    }

    pub(super) fn all<T: Into<String>>(
        &mut self,
        texts: impl IntoIterator<Item = T>,
    ) -> Vec<usize> {
        texts.into_iter().map(|text| self.put(text)).collect()
    }
}

impl Serialize for Texts {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        self.all.serialize(out)
    }
}
