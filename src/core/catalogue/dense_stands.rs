//! What a dense stand carries: to ask by where a figure looks like a slip, never to refuse.

use std::collections::HashMap;
use std::sync::LazyLock;

const FILE: &str = include_str!("dense_stands.csv");

/// The most that a dense stand of a crop is thought to carry.
#[derive(Clone, Debug, PartialEq)]
pub struct DenseStand {
    /// Grams fresh, or pieces for a crop that is counted: on a square metre, or on one plant.
    pub most: f64,
    /// What `most` stands on.
    pub per: Per,
    /// Where the figure comes from, or that it has no source.
    pub source: String,
}

/// What a dense stand is told by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Per {
    /// Of a crop that covers ground.
    SquareMetre,
    /// Of a crop whose plants are counted.
    Plant,
}

static STANDS: LazyLock<HashMap<String, DenseStand>> =
    LazyLock::new(|| read(FILE).expect("a test reads every row"));

/// `None` for a crop of the user's own, or one without a figure.
pub fn dense_stand(crop: &str) -> Option<&'static DenseStand> {
    STANDS.get(crop)
}

fn read(text: &str) -> Option<HashMap<String, DenseStand>> {
    let mut rows = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let stand = |row: csv::StringRecord| {
        let per = match row.get(2)? {
            "m2" => Per::SquareMetre,
            "plant" => Per::Plant,
            _ => return None,
        };
        let stand = DenseStand { most: row.get(1)?.parse().ok()?, per, source: row.get(3)?.into() };
        Some((row.get(0)?.to_owned(), stand))
    };
    rows.records().map(|row| stand(row.ok()?)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn every_dense_stand_is_of_a_catalogued_crop_and_has_a_source() {
        let stands = read(FILE).unwrap();
        assert_eq!(stands.len(), 62);
        for (crop, stand) in &stands {
            assert!(Catalogue::built_in().crop(crop).is_some(), "no crop is called {crop}");
            assert!(stand.most > 0.0 && !stand.source.is_empty(), "{crop}");
        }
    }
}
