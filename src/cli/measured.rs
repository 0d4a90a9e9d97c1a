//! What `stintbook survey` was told of a stand, as rows of a surveys CSV.

use std::str::FromStr;

use super::numbers::number;
use crate::records::Ripe;
use crate::units::Measure;

/// The name of a column and the text in it.
pub type Cell = (&'static str, String);

/// One way of measuring at a time; lists are separated by blanks.
#[derive(Debug, clap::Args)]
#[group(skip)]
#[command(group = clap::ArgGroup::new("way").multiple(false))]
pub struct Measured {
    /// What stood in each quadrat.
    #[arg(group = "way", allow_negative_numbers = true, value_parser = number)]
    amounts: Vec<f64>,
    /// A part of the patch with its own quadrats: "NAME AREA_M2: AMOUNTS".
    #[arg(long, value_name = "PART", group = "way")]
    stratum: Vec<StratumArg>,
    /// What each quadrat held by eye, and what it then weighed: "30=27 45 20=21 10=8".
    #[arg(long, value_name = "LIST", group = "way")]
    judged: Option<String>,
    /// How many units each quadrat held: "12 9 14".
    #[arg(long, value_name = "LIST", group = "way", requires = "unit")]
    units: Option<String>,
    /// How many units the whole patch holds, where every one was counted.
    #[arg(long, value_name = "N", group = "way", requires = "unit")]
    units_in_all: Option<String>,
    /// The cover of each quadrat, in per cent or classes: "35 60 20", "D F F".
    #[arg(long, value_name = "LIST", group = "way", requires = "scale")]
    cover: Option<String>,

    /// Area of the frame in square metres.
    #[arg(long, value_name = "M2", conflicts_with = "length", allow_negative_numbers = true, value_parser = number)]
    frame: Option<f64>,
    /// Length of each sampled stretch of a hedge in metres.
    #[arg(long, value_name = "M", allow_negative_numbers = true, value_parser = number)]
    length: Option<f64>,
    /// What a unit is called: rosette, handful, basket.
    #[arg(long, value_name = "NAME")]
    unit: Option<String>,
    /// What units weighed, one by one, in grams: "31 28 30".
    #[arg(long, value_name = "LIST", requires = "unit")]
    unit_grams: Option<String>,
    /// The scale of cover: percent, domin, braun-blanquet, or limits like "D 75-100; A 50-75".
    #[arg(long, value_name = "SCALE", requires = "cover")]
    scale: Option<String>,
    /// What fully covered ground bore at each weighing, in grams a square metre: "900 1100".
    #[arg(long, value_name = "LIST", requires = "cover")]
    full_cover: Option<String>,
    /// Who chose the places: "drawn", "drawn: PLAN" or "by choice".
    #[arg(long, value_name = "HOW")]
    placed: Option<String>,
    /// Of fruit: how much of what will ripen this season is ripe, where only that was measured.
    #[arg(long, value_name = "PERCENT")]
    ripe: Option<Ripe>,
}

/// `dense 120: 31 40 27`.
#[derive(Clone, Debug, PartialEq)]
struct StratumArg {
    name: String,
    area_m2: f64,
    amounts: Vec<f64>,
}

impl FromStr for StratumArg {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let unreadable = || {
            format!(
                "`{text}` is not a part of a patch; write `dense 120: 31 40 27`, with the area in m²"
            )
        };
        let (head, amounts) = text.split_once(':').ok_or_else(unreadable)?;
        let (name, area) = head.trim().rsplit_once(' ').ok_or_else(unreadable)?;
        let amounts: Vec<f64> = amounts.split_whitespace().map(number).collect::<Result<_, _>>()?;
        if amounts.is_empty() {
            return Err(unreadable());
        }
        Ok(Self { name: name.trim().to_owned(), area_m2: number(area)?, amounts })
    }
}

impl Measured {
    /// One row for each quadrat or weighing; none where nothing was measured.
    pub fn rows(&self, measure: Measure) -> Vec<Vec<Cell>> {
        let (amount, judged) = match measure {
            Measure::Mass => ("mass_g", "judged_g"),
            Measure::Count => ("count", "judged_count"),
        };
        let mut rows = self.sampled(amount, judged);
        add_beside(&mut rows, "unit_g", &self.unit_grams);
        add_beside(&mut rows, "full_cover_g_per_m2", &self.full_cover);
        for row in rows.iter_mut().take(1) {
            let once = [("unit", &self.unit), ("cover_scale", &self.scale)];
            let once = once.into_iter().chain([("placed", &self.placed)]);
            row.extend(once.filter_map(|(name, text)| Some((name, text.clone()?))));
            row.extend(self.ripe.map(|ripe| ("ripe", ripe.to_string())));
        }
        rows
    }

    fn sampled(&self, amount: &'static str, judged: &'static str) -> Vec<Vec<Cell>> {
        let framed =
            |cells: Vec<Cell>| -> Vec<Cell> { cells.into_iter().chain(self.frame()).collect() };
        let single = |value: &f64| framed(vec![(amount, value.to_string())]);
        let mut rows: Vec<Vec<Cell>> = self.amounts.iter().map(single).collect();
        for stratum in &self.stratum {
            rows.extend(stratum.amounts.iter().map(|value| {
                let (name, area) = (stratum.name.clone(), stratum.area_m2.to_string());
                let part = [("stratum", name), ("stratum_area_m2", area)];
                single(value).into_iter().chain(part).collect()
            }));
        }
        rows.extend(items(&self.judged).map(|item| {
            let (seen, measured) = item.split_once('=').unwrap_or((item, ""));
            framed(vec![(judged, seen.to_owned()), (amount, measured.to_owned())])
        }));
        rows.extend(items(&self.units).map(|item| framed(vec![("units", item.to_owned())])));
        rows.extend(items(&self.units_in_all).map(|item| vec![("units_in_all", item.to_owned())]));
        rows.extend(items(&self.cover).map(|item| vec![("cover", item.to_owned())]));
        rows
    }

    fn frame(&self) -> impl Iterator<Item = Cell> {
        let area = self.frame.map(|area| ("frame_area_m2", area.to_string()));
        let length = self.length.map(|length| ("frame_length_m", length.to_string()));
        area.into_iter().chain(length)
    }
}

fn items(list: &Option<String>) -> impl Iterator<Item = &str> {
    list.as_deref().unwrap_or_default().split_whitespace()
}

fn add_beside(rows: &mut Vec<Vec<Cell>>, column: &'static str, list: &Option<String>) {
    for (at, item) in items(list).enumerate() {
        if at == rows.len() {
            rows.push(Vec::new());
        }
        rows[at].push((column, item.to_owned()));
    }
}
