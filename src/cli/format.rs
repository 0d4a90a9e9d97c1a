//! In which format an answer is written.

use clap::ValueEnum;
use clap::builder::{PossibleValuesParser, TypedValueParser};

use crate::report::page::Document;

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For a terminal.
    Table,
    /// A page.
    Html,
    /// For an e-mail.
    Md,
    Csv,
    Json,
    Geojson,
    Gpx,
    /// GeoPackage (OGC 12-128r18).
    Gpkg,
    /// OGC 07-147r2.
    Kml,
    /// A Darwin Core archive (TDWG text guide).
    Dwca,
    Svg,
    /// A calendar (RFC 5545).
    Ics,
}

impl Format {
    pub const TABLE: &str = "table";

    /// Takes these alone, and lists them where another is asked for.
    pub fn among(formats: &[Self]) -> impl TypedValueParser<Value = Self> + use<> {
        let names = formats.iter().filter_map(Self::to_possible_value);
        PossibleValuesParser::new(names.collect::<Vec<_>>())
            .try_map(|name| Self::from_str(&name, false))
    }

    /// A document in this format; for a terminal in any that is none of words.
    pub fn of(self, document: &Document, width: usize) -> String {
        match self {
            Self::Html => document.html(),
            Self::Md => document.markdown(),
            _ => document.text(width),
        }
    }
}
