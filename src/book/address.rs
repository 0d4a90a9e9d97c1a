//! What a book on a server is called, and where the files lie that go with a book.

use std::fmt;
use std::path::{Path, PathBuf};

/// How the name of a book on a server begins.
const BEGINNINGS: [&str; 2] = ["postgres://", "postgresql://"];

/// The name of a book on a server: `postgres://NAME@HOST/DATABASE`.
#[derive(Clone, PartialEq, Eq)]
pub(super) struct Address {
    url: String,
}

impl Address {
    /// `None` for a path of a file.
    pub(super) fn of(path: &Path) -> Option<Self> {
        let url = path.to_str()?;
        let is_server = BEGINNINGS.iter().any(|start| url.starts_with(start));
        is_server.then(|| Self { url: url.to_owned() })
    }

    /// With its password, if it has one.
    #[cfg(feature = "shared")]
    pub(super) fn url(&self) -> &str {
        &self.url
    }

    /// As people may see it: without a password.
    pub(super) fn shown(&self) -> PathBuf {
        let Some((start, rest)) = self.url.split_once("://") else {
            return self.url.clone().into();
        };
        let (whose, options) = match rest.split_once('?') {
            Some((whose, options)) => (whose, Some(options)),
            None => (rest, None),
        };
        let whose = match whose.rsplit_once('@') {
            Some((name, host)) => format!("{}@{host}", name.split(':').next().unwrap_or_default()),
            None => whose.to_owned(),
        };
        let open = |option: &&str| !option.starts_with("password=");
        let options: Vec<&str> =
            options.into_iter().flat_map(|all| all.split('&')).filter(open).collect();
        let options =
            if options.is_empty() { String::new() } else { format!("?{}", options.join("&")) };
        format!("{start}://{whose}{options}").into()
    }
}

impl fmt::Debug for Address {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}", self.shown().display())
    }
}

/// Whether a book of that name lies on a server.
pub fn is_on_a_server(book: &Path) -> bool {
    Address::of(book).is_some()
}

/// The name of a book as people may see it: without a password.
pub fn shown(book: &Path) -> PathBuf {
    Address::of(book).map_or_else(|| book.to_owned(), |address| address.shown())
}

/// What stands for the book where one looks for files beside it: its own path, or for a book on a
/// server one in the folder where one works.
pub fn beside(book: &Path) -> &Path {
    if is_on_a_server(book) { Path::new("shared") } else { book }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_is_never_shown() {
        let shown = |url: &str| Address::of(Path::new(url)).unwrap().shown().display().to_string();
        assert_eq!(shown("postgres://ida:se:cr@t@host:5433/wood"), "postgres://ida@host:5433/wood");
        assert_eq!(shown("postgresql://host/wood"), "postgresql://host/wood");
        let options = "postgres:///wood?host=/run/a&password=secret&user=ida";
        assert_eq!(shown(options), "postgres:///wood?host=/run/a&user=ida");
        assert!(Address::of(Path::new("wood.sqlite")).is_none());
    }

    #[test]
    fn files_beside_a_book_on_a_server_lie_where_one_works() {
        assert_eq!(beside(Path::new("postgres://host/wood")).parent(), Some(Path::new("")));
        assert_eq!(beside(Path::new("a/wood.sqlite")), Path::new("a/wood.sqlite"));
    }
}
