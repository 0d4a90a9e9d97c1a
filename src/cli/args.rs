//! Pieces of a command line that several commands take.

use std::str::FromStr;

use jiff::civil::Date;

use super::numbers::number_that;
use crate::intake::YEARS;
use crate::units::Metres;

/// When and by whom a fact was written down.
#[derive(Debug, clap::Args)]
pub struct Signed {
    /// Who saw or did it (else the variable STINTBOOK_BY, or the name in `by.txt` beside the
    /// book).
    #[arg(long, value_name = "NAME", value_parser = words)]
    pub by: String,

    /// The day from which it counts as known (default: today, or --on if that is later).
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub recorded_on: Option<Date>,
}

impl Signed {
    /// As a file would have it; empty where nothing was said.
    pub fn recorded_on(&self) -> String {
        self.recorded_on.map(|day| day.to_string()).unwrap_or_default()
    }
}

/// A day, year first.
pub fn day(text: &str) -> Result<Date, String> {
    let unreadable = |_| format!("`{text}` is not a day; write year-month-day, like `2027-03-15`");
    let day: Date = text.parse().map_err(unreadable)?;
    if YEARS.contains(&day.year()) {
        return Ok(day);
    }
    let (first, last) = (YEARS.start(), YEARS.end());
    Err(format!("`{text}` is too far off; write a year from {first} to {last}"))
}

/// How many people come along.
pub fn people(text: &str) -> Result<u32, String> {
    let unreadable = || format!("`{text}` is not a number of people; write 1 or more");
    text.parse().ok().filter(|people| *people > 0).ok_or_else(unreadable)
}

/// Words that are kept with a fact, and shown with it later.
pub fn words(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() {
        return Err("nothing is there; write it in words".to_owned());
    }
    Ok(text.to_owned())
}

/// A length such as `800m` or `1.2km`.
pub fn length(text: &str) -> Result<Metres, String> {
    let (number, metres) = match text.strip_suffix("km") {
        Some(number) => (number, 1000.0),
        None => (text.strip_suffix('m').unwrap_or(text), 1.0),
    };
    let is_length = |value: f64| value >= 0.0 && (value * metres).is_finite();
    let value = number_that(number, is_length, "a length", "`800m` or `1.2km`")?;
    Ok(Metres(value * metres))
}

/// Longitude and latitude in degrees, as `-3.21,54.05`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LonLat {
    pub lon: f64,
    pub lat: f64,
}

impl FromStr for LonLat {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let numbers: Option<Vec<f64>> =
            text.split(',').map(|number| number.trim().parse().ok()).collect();
        match numbers.as_deref() {
            Some(&[lon, lat]) if lon.abs() <= 180.0 && lat.abs() <= 90.0 => Ok(Self { lon, lat }),
            Some(&[lon, lat]) if lat.abs() <= 180.0 && lon.abs() <= 90.0 => Err(format!(
                "`{text}` has a latitude of {lat}; write longitude first, like `-3.21,54.05`"
            )),
            _ => Err(format!(
                "`{text}` is not a place; write longitude and latitude, like `-3.21,54.05`"
            )),
        }
    }
}
