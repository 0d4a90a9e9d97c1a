//! Who writes something down, where it is not typed: as `STINTBOOK_BY` has it, or the workspace.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Error, Parser};

use super::commands::{Arguments, USUAL_BOOK};
use super::new::name_beside;

/// What people sign with.
const SIGNATURES: [&str; 2] = ["--by", "--leader"];

/// Reads the command line. Where nothing but a signature is missing, the one that is known is
/// taken as if it stood there.
///
/// # Errors
/// What clap says of it.
pub fn arguments() -> Result<Arguments, Error> {
    let typed: Vec<OsString> = std::env::args_os().collect();
    Arguments::try_parse_from(&typed).or_else(|error| {
        let Some((option, name)) = missing(&error).zip(known(&typed)) else { return Err(error) };
        let mut signed = typed;
        let end = signed.iter().position(|word| word == "--").unwrap_or(signed.len());
        signed.splice(end..end, [option.into(), name]);
        Arguments::try_parse_from(&signed).map_err(|_| error)
    })
}

/// The signature that is missing, where nothing else is.
fn missing(error: &Error) -> Option<&'static str> {
    if error.kind() != ErrorKind::MissingRequiredArgument {
        return None;
    }
    let all = error.context().find(|(kind, _)| *kind == ContextKind::InvalidArg)?;
    let ContextValue::Strings(all) = all.1 else { return None };
    let [one] = all.as_slice() else { return None };
    SIGNATURES.into_iter().find(|option| one.split(' ').next() == Some(option))
}

fn known(typed: &[OsString]) -> Option<OsString> {
    known_beside(&book(typed))
}

/// Whoever writes into this book, as far as anyone said it.
pub fn known_beside(book: &Path) -> Option<OsString> {
    name_beside(book).map(OsString::from)
}

/// The book that is meant, of a command line that cannot be read yet.
fn book(typed: &[OsString]) -> PathBuf {
    let behind = typed.iter().position(|word| word == "--book").and_then(|at| typed.get(at + 1));
    let joined =
        typed.iter().find_map(|word| word.to_str()?.strip_prefix("--book=").map(OsString::from));
    let set = || std::env::var_os("STINTBOOK");
    let named = behind.cloned().or(joined).or_else(set);
    named.map_or_else(|| PathBuf::from(USUAL_BOOK), PathBuf::from)
}
