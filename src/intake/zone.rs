//! No-take zones: a feature of any shape, and how far it reaches beyond it.

use geo::Geometry;

use super::column::{BY, Cell, Column, Need, RECORDED_ON};
use super::fields::Fields;
use super::filed::Filed;
use super::property;
use super::tally::Reported;
use super::value;
use crate::records::{SiteName, Zone};
use crate::units::{Measure, Metres};

/// In metres.
const WIDEST_BUFFER: f64 = 5000.0;

impl Filed for Zone {
    const COLUMNS: &'static [Column] = &[
        property::KIND,
        Column::text(
            "name",
            Need::Filled,
            "a name that no other zone of the site has",
            "path edge",
        ),
        property::SITE,
        Column::number(
            "buffer_m",
            Need::Optional,
            "how far the zone reaches beyond its shape in metres, 0 to 5000; empty for 0",
            "2",
        ),
        Column::text("reason", Need::Optional, "why nothing is cut there", "dogs"),
        property::DATE,
        BY,
        RECORDED_ON,
        property::FACT,
    ];

    fn rows(&self, _: Measure) -> Vec<Vec<Cell>> {
        let mut cells = vec![
            ("kind", "zone".to_owned()),
            ("name", self.name.to_string()),
            ("site", self.site.to_string()),
            ("buffer_m", self.buffer.0.to_string()),
        ];
        cells.extend(self.reason.as_ref().map(|reason| ("reason", reason.to_string())));
        vec![cells]
    }

    fn shape(&self) -> Option<Geometry> {
        Some(self.shape.clone())
    }
}

pub(super) fn read(
    fields: &mut Fields<'_>,
    site: Result<SiteName, Reported>,
    shape: Result<Geometry, Reported>,
) -> Result<Zone, Reported> {
    let name = fields.name_on(&site);
    let buffer = fields.optional("buffer_m", |text| {
        value::number_within(text, 0.0..=WIDEST_BUFFER, "a distance").map(Metres)
    });
    Ok(Zone {
        site: site?,
        name: name?.patch().into(),
        shape: shape?,
        buffer: buffer?.unwrap_or_default(),
        reason: fields.text("reason"),
    })
}
