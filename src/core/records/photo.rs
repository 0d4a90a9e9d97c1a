//! A photo by reference: which file it is, and not the picture.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use jiff::civil::Date;

use super::declared::Written;

/// A photo that lies in a file of one's own. Written
/// `IMG_1.jpg, 2027-03-14, 182733 bytes, SHA-256 5f…`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// The file's name, with the folder from the book's on where it lies in one.
    pub file: Arc<str>,
    /// The day on which the file was last written.
    pub day: Date,
    /// How large the file is.
    pub bytes: u64,
    /// Of the file's bytes, in 64 hexadecimal digits.
    pub sha256: Arc<str>,
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` does not say which photo it is; write its file, day, size and checksum, like \
     `IMG_1.jpg, 2027-03-14, 182733 bytes, SHA-256 ` and 64 digits"
)]
/// A text that names no photo; has the text.
pub struct PhotoError(String);

impl FromStr for Photo {
    type Err = PhotoError;

    fn from_str(text: &str) -> Result<Self, PhotoError> {
        let unreadable = || PhotoError(text.to_owned());
        let mut parts = text.rsplitn(4, ", ");
        let mut part = || parts.next().map(str::trim).ok_or_else(unreadable);
        let (sha256, bytes, day, file) = (part()?, part()?, part()?, part()?);
        let sha256 = sha256.strip_prefix("SHA-256 ").ok_or_else(unreadable)?;
        let bytes = bytes.strip_suffix(" bytes").and_then(|bytes| bytes.parse().ok());
        let is_sum = sha256.len() == 64 && sha256.chars().all(|c| c.is_ascii_hexdigit());
        if file.is_empty() || !is_sum {
            return Err(unreadable());
        }
        Ok(Self {
            file: file.into(),
            day: day.parse().map_err(|_| unreadable())?,
            bytes: bytes.ok_or_else(unreadable)?,
            sha256: sha256.to_ascii_lowercase().into(),
        })
    }
}

impl fmt::Display for Photo {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { file, day, bytes, sha256 } = self;
        write!(out, "{file}, {day}, {bytes} bytes, SHA-256 {sha256}")
    }
}

impl Written for Photo {}
