//! Real files spoilt by chance: bytes flipped, tokens swapped, pieces cut out or told again,
//! numbers too large, nesting too deep.

use fastrand::Rng;

/// What breaks readers.
const TOKENS: [&str; 44] = [
    "",
    ",",
    ";",
    ",,,,,,",
    "\n",
    "\r\n",
    "\r",
    "\t",
    "\"",
    "\"\"",
    "'",
    "#",
    "-",
    "--",
    "/",
    "\\",
    "0",
    "-0",
    "-1",
    "1e308",
    "1e309",
    "-1e999",
    "NaN",
    "inf",
    "1e-320",
    "9223372036854775808",
    "18446744073709551616",
    "99999999999999999999999999999999999999",
    "2027-02-30",
    "0000-00-00",
    "-9999-01-01",
    "9999-12-31",
    "null",
    "true",
    "{}",
    "[]",
    "{",
    "[",
    "\u{feff}",
    "\u{0}",
    "\u{202e}",
    "e\u{301}",
    "🌿",
    "½",
];

/// The same file, spoilt in a few places.
pub fn spoilt(file: &[u8], random: &mut Rng) -> Vec<u8> {
    let mut bytes = file.to_vec();
    // Of a few words not all are to be lost.
    let most = if file.len() < 200 { 1 } else { 4 };
    for _ in 0..random.usize(1..=most) {
        spoil(&mut bytes, random);
    }
    bytes
}

fn spoil(bytes: &mut Vec<u8>, random: &mut Rng) {
    let at = random.usize(0..=bytes.len());
    let end = (at + random.usize(0..40)).min(bytes.len());
    let token = TOKENS[random.usize(0..TOKENS.len())];
    match random.u8(0..10) {
        0 if at < bytes.len() => bytes[at] ^= 1 << random.u8(0..8),
        1 if at < bytes.len() => bytes[at] = random.u8(..),
        2 => drop(bytes.drain(at..end)),
        3 => drop(bytes.splice(at..at, token.bytes())),
        4 => {
            let piece = bytes[at..end].to_vec();
            let to = random.usize(0..=bytes.len());
            drop(bytes.splice(to..to, piece));
        }
        5 => bytes.truncate(at),
        6 => {
            let (open, deep) = ([b'[', b'{', b'"', b'('][random.usize(0..4)], random.usize(1..400));
            drop(bytes.splice(at..at, vec![open; deep]));
        }
        // A whole token for another: what stands between separators.
        _ => {
            let [from, to] = token_around(bytes, at);
            let other = token_around(bytes, random.usize(0..=bytes.len()));
            let other =
                if random.bool() { bytes[other[0]..other[1]].to_vec() } else { token.into() };
            drop(bytes.splice(from..to, other));
        }
    }
}

fn token_around(bytes: &[u8], at: usize) -> [usize; 2] {
    let parts = |byte: &u8| b",;:|\"\n[]{}= ".contains(byte);
    let from = bytes[..at].iter().rposition(parts).map_or(0, |before| before + 1);
    let to = bytes[at..].iter().position(parts).map_or(bytes.len(), |behind| at + behind);
    [from, to]
}
