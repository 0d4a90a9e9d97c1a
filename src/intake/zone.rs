//! No-take zones: a feature of any shape, and how far it reaches beyond it.

use geo::Geometry;

use super::column::{BY, Column, Need, RECORDED_ON};
use super::feature;
use super::fields::Fields;
use super::tally::Reported;
use super::value;
use super::version::Cell;
use crate::records::{SiteName, Zone};
use crate::units::Metres;

/// In metres.
const WIDEST_BUFFER: f64 = 5000.0;

pub(super) const PROPERTIES: &[Column] = &[
    feature::KIND,
    Column::text("name", Need::Filled, "a name that no other zone of the site has", "path edge"),
    feature::SITE,
    Column::number(
        "buffer_m",
        Need::Optional,
        "how far the zone reaches beyond its shape in metres, 0 to 5000; empty for 0",
        "2",
    ),
    Column::text("reason", Need::Optional, "why nothing is cut there", "dogs"),
    feature::DATE,
    BY,
    RECORDED_ON,
    feature::FACT,
];

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

pub(super) fn cells(zone: &Zone) -> Vec<Cell> {
    let mut cells = vec![
        ("kind", "zone".to_owned()),
        ("name", zone.name.to_string()),
        ("site", zone.site.to_string()),
        ("buffer_m", zone.buffer.0.to_string()),
    ];
    cells.extend(zone.reason.as_ref().map(|reason| ("reason", reason.to_string())));
    cells
}
