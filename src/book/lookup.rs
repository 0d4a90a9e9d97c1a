//! Facts by what people call them: the end of their id.

use rusqlite::{Connection, params};

use super::checks::read_kind;
use super::error::{Failure, Refusal};
use super::fields::Fields;
use super::words::Words;
use crate::records::{FactId, Kind};

const SHORT: usize = 8;
const WHOLE: usize = 32;

/// How many digits of a short id may be wrong for "did you mean": one, or two swapped.
const SLIPS: u32 = 2;

/// The fact whose id ends so.
pub(super) fn fact_called(asked: &str, book: &Connection) -> Result<(FactId, Kind), Failure> {
    let wanted = Ending::read(asked).ok_or_else(|| Refusal::NotAFactName(asked.to_owned()))?;
    let mut matches = Vec::new();
    let mut words = Words::default();
    let mut statement =
        book.prepare_cached("SELECT id, kind FROM fact WHERE substr(id, 13) = ?")?;
    let mut rows = statement.query(params![wanted.last_four_bytes()])?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        let (id, kind) = (fields.id()?, read_kind(&mut fields)?);
        if wanted.ends(id) {
            matches.push((id, kind));
        }
    }
    match matches.as_slice() {
        [one] => Ok(*one),
        [] => Err(Refusal::UnknownFact {
            asked: asked.to_owned(),
            near: wanted.nearest(book)?.map(FactId::short),
        }
        .into()),
        several => Err(Refusal::SeveralFacts {
            asked: asked.to_owned(),
            all: several.iter().map(|(id, _)| format!("`{id}`")).collect(),
        }
        .into()),
    }
}

/// The last digits of an id.
struct Ending {
    digits: u128,
    mask: u128,
}

impl Ending {
    /// Takes 8 to 32 hexadecimal digits, with or without hyphens.
    fn read(text: &str) -> Option<Self> {
        let hex: String = text.trim().chars().filter(|c| *c != '-').collect();
        let fits =
            (SHORT..=WHOLE).contains(&hex.len()) && hex.chars().all(|c| c.is_ascii_hexdigit());
        let digits = fits.then(|| u128::from_str_radix(&hex, 16).ok())??;
        Some(Self { digits, mask: u128::MAX >> (4 * (WHOLE - hex.len())) })
    }

    fn ends(&self, id: FactId) -> bool {
        id.0.as_u128() & self.mask == self.digits
    }

    fn last_four_bytes(&self) -> [u8; 4] {
        let [.., a, b, c, d] = self.digits.to_be_bytes();
        [a, b, c, d]
    }

    /// The one fact whose short id differs the least, by a slip or two.
    fn nearest(&self, book: &Connection) -> rusqlite::Result<Option<FactId>> {
        let mut nearest = Vec::new();
        let mut fewest = SLIPS;
        let mut words = Words::default();
        let mut statement = book.prepare_cached("SELECT id FROM fact")?;
        let mut rows = statement.query([])?;
        while let Some(row) = rows.next()? {
            let id = Fields::of(row, &mut words).id()?;
            let slips = self.slips(id);
            if slips < fewest {
                nearest.clear();
                fewest = slips;
            }
            if slips == fewest {
                nearest.push(id);
            }
        }
        Ok(nearest.pop().filter(|_| nearest.is_empty()))
    }

    /// How many digits of the short ids differ.
    fn slips(&self, id: FactId) -> u32 {
        let differing = id.0.as_u128() ^ self.digits;
        let digits = (0..SHORT).filter(|digit| (differing >> (4 * digit)) & 0xf != 0);
        u32::try_from(digits.count()).unwrap_or(u32::MAX)
    }
}
