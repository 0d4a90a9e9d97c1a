//! What was found so far, and how much of it there may be.

use std::collections::BTreeMap;

use geo::{CoordsIter, Geometry};

use super::{Drawing, Drawn, Properties};

/// The most features of a file, and positions in all of them.
const MOST_FEATURES: usize = 20_000;
pub(super) const MOST_POSITIONS: usize = 1_000_000;
/// The most properties of one feature.
const MOST_PROPERTIES: usize = 500;
/// The most properties of all features together.
pub(super) const MOST_OF_ALL: usize = 500_000;
/// The most remarks of a file.
const MOST_REMARKS: usize = 50;

#[derive(Debug)]
pub(super) struct Gathering {
    found: Drawing,
    positions: usize,
    properties: usize,
    numbers: BTreeMap<String, usize>,
}

impl Gathering {
    pub fn new(format: &'static str) -> Self {
        let found = Drawing { format, ..Drawing::default() };
        Self { found, positions: 0, properties: 0, numbers: BTreeMap::new() }
    }

    /// What was packed is called by what it is.
    pub fn call(&mut self, format: &'static str) {
        self.found.format = format;
    }

    /// Whether nothing was drawn yet.
    pub fn is_empty(&self) -> bool {
        self.found.drawn.is_empty()
    }

    /// Takes in a feature.
    ///
    /// # Errors
    /// That there is too much of it.
    pub fn draw(
        &mut self,
        layer: &str,
        properties: Properties,
        shape: Option<Geometry>,
    ) -> Result<(), String> {
        self.take(layer, properties, shape, false)
    }

    /// The same of what a receiver recorded on its way.
    pub fn walk(
        &mut self,
        layer: &str,
        properties: Properties,
        shape: Geometry,
    ) -> Result<(), String> {
        self.take(layer, properties, Some(shape), true)
    }

    fn take(
        &mut self,
        layer: &str,
        properties: Properties,
        shape: Option<Geometry>,
        walked: bool,
    ) -> Result<(), String> {
        self.positions += shape.as_ref().map_or(0, CoordsIter::coords_count);
        if self.found.drawn.len() == MOST_FEATURES || self.positions > MOST_POSITIONS {
            return Err(format!(
                "it has more than {MOST_FEATURES} features or {MOST_POSITIONS} positions; bring it \
                 in parts"
            ));
        }
        if properties.len() > MOST_PROPERTIES {
            let n = properties.len();
            return Err(format!(
                "a feature has {n} properties; leave out those that are not wanted, to \
                 {MOST_PROPERTIES} at most"
            ));
        }
        self.properties += properties.len();
        if self.properties > MOST_OF_ALL {
            return Err(format!(
                "its features have more than {MOST_OF_ALL} properties; leave out those that are not \
                 wanted"
            ));
        }
        let number = self.numbers.entry(layer.to_owned()).or_default();
        *number += 1;
        self.found.drawn.push(Drawn {
            layer: layer.to_owned(),
            number: *number,
            properties,
            shape,
            walked,
        });
        Ok(())
    }

    /// Once, however often it is so.
    pub fn remark(&mut self, remark: impl Into<String>) {
        let remark = remark.into();
        if self.found.remarks.len() < MOST_REMARKS && !self.found.remarks.contains(&remark) {
            self.found.remarks.push(remark);
        }
    }

    /// # Errors
    /// That nothing was drawn.
    pub fn done(self) -> Result<Drawing, String> {
        if self.found.drawn.is_empty() {
            let format = self.found.format;
            return Err(format!("nothing is drawn in it; it was read as {format}"));
        }
        Ok(self.found)
    }
}
