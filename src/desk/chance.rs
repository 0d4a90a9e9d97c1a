//! Words that nobody can guess.

use std::fmt::Write;

/// 256 bits, as 64 letters.
///
/// # Errors
/// Where the system gives no chance: then nothing that rests on it may be done.
pub fn secret() -> Result<String, getrandom::Error> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes)?;
    Ok(hex(&bytes))
}

pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Whether two words are the same, in a time that tells nothing of where they part.
pub fn same(one: &str, other: &str) -> bool {
    let apart = one.bytes().zip(other.bytes()).fold(0, |apart, (a, b)| apart | (a ^ b));
    one.len() == other.len() && apart == 0
}
