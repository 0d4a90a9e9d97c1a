//! A request, read.

use std::fmt::Write;

use super::ask::Field;

/// What was filled in, in the order in which it was sent.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Filled(Vec<(String, String)>);

impl Filled {
    /// Of a query or of a form that was sent off.
    pub fn read(text: &[u8]) -> Self {
        Self(form_urlencoded::parse(text).into_owned().collect())
    }

    pub fn get(&self, name: &str) -> Option<&str> {
        self.0.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    /// All that was said under this name, in order.
    pub fn all<'f>(&'f self, name: &'f str) -> impl Iterator<Item = &'f str> {
        self.0.iter().filter(move |(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    pub fn set(&mut self, name: &str, value: &str) {
        self.0.retain(|(known, _)| known != name);
        self.0.push((name.to_owned(), value.to_owned()));
    }

    /// How much was filled in.
    pub fn bytes(&self) -> usize {
        self.0.iter().map(|(name, value)| name.len() + value.len()).sum()
    }

    /// What was said in this field.
    pub fn of(&self, field: &Field) -> Option<String> {
        self.get(field.name).map(|value| value.trim().to_owned()).filter(|value| !value.is_empty())
    }
}

/// A path with a query.
pub fn address(path: &str, query: &[(&str, &str)]) -> String {
    let mut address = path.to_owned();
    for (n, (name, value)) in query.iter().enumerate() {
        let mark = if n == 0 { '?' } else { '&' };
        let value: String = form_urlencoded::byte_serialize(value.as_bytes()).collect();
        // Writing to a string cannot fail.
        let _ = write!(address, "{mark}{name}={value}");
    }
    address
}
