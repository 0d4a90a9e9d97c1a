//! What is said of tables on the command line.

use std::path::PathBuf;

use super::map_asked::MapAnswers;
use crate::bring::{Answers, Mark, Order, Rough, is_column, kind_called};
use crate::cli::failure::Failure;
use crate::cli::format::Format;
use crate::cli::recording::Answered;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook bring notebook.xlsx\n  \
    stintbook bring cuts.csv --as cuts --day-first --unit 'Weight=kg' --yes\n  \
    stintbook bring notebook.ods --sheet 2026 --column 'Picked by whom=by' --set 'patch=north wood/bank'\n\n\
    Without --yes nothing is recorded: it shows how each sheet is read, three of its rows, and \
    what is unclear, with what to say; at a terminal it asks. Answers are kept in sites/mappings/ \
    beside the book and found again by a table's headers, or by a map's layers and properties. Rows that cannot be read come back in \
    NAME-unread.csv beside the file, with why; the others are recorded. Mend that file and bring \
    it.")]
pub struct Bring {
    /// Tables: XLSX, XLS, ODS, or text with its cells parted by `;`, tabs, `,` or `|`; or maps:
    /// GPX, KML, KMZ, GeoPackage, Shapefile, FlatGeobuf, GeoJSON.
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// What the rows are: `cuts`, `surveys`, `permissions`…
    #[arg(long = "as", value_name = "KIND")]
    pub kind: Option<String>,
    /// Only the sheet of this name, or these.
    #[arg(long = "sheet", value_name = "NAME")]
    pub sheets: Vec<String>,
    /// What a column is: `Their header=field`, or `Their header=-` to leave it out.
    #[arg(long = "column", value_name = "HEADER=FIELD", value_parser = pair)]
    columns: Vec<(String, String)>,
    /// What a column's bare numbers are in: `Weight=kg`, `Picked=pieces`.
    #[arg(long = "unit", value_name = "HEADER=UNIT", value_parser = pair)]
    units: Vec<(String, String)>,
    /// What a cell means: `kowhai hedge=north wood/hedge`, `bunch=80g`.
    #[arg(long = "say", value_name = "CELL=MEANING", value_parser = pair)]
    say: Vec<(String, String)>,
    /// What all rows have in a field: `by=Ida`.
    #[arg(long = "set", value_name = "FIELD=VALUE", value_parser = pair)]
    set: Vec<(String, String)>,
    /// Days like 3/4/2027 have the day first.
    #[arg(long, conflicts_with = "month_first")]
    day_first: bool,
    /// Days like 3/4/2027 have the month first.
    #[arg(long)]
    month_first: bool,
    /// The year of days that have none.
    #[arg(long, value_name = "YEAR", value_parser = clap::value_parser!(i16).range(1900..2200))]
    year: Option<i16>,
    /// What parts a whole number from its parts: `comma` or `point`.
    #[arg(long, value_parser = ["comma", "point"])]
    decimal: Option<String>,
    /// What becomes of `approx 2kg` and `2-3 kg`: the number, or the `middle`; or its row `unread`.
    #[arg(long, value_parser = ["middle", "unread"])]
    rough: Option<String>,
    /// What becomes of gaps as merged cells leave them: `fill` them with what stands above, or
    /// `leave` them.
    #[arg(long, value_parser = ["fill", "leave"])]
    gaps: Option<String>,
    /// Record what is clear of it.
    #[arg(long)]
    pub yes: bool,
    /// Answers to what is asked, in the order in which it is asked.
    #[arg(long = "reply", hide = true, value_name = "TEXT")]
    pub replies: Vec<String>,
    /// Who brings it, where a column of names is missing.
    #[arg(long, hide = true, value_name = "NAME")]
    pub account: Option<String>,
    /// How to show what is read.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md]))]
    pub format: Format,
    #[command(flatten)]
    pub answered: Answered,
    #[command(flatten)]
    pub map: MapAnswers,
}

/// Two texts with `=` between them.
fn pair(text: &str) -> Result<(String, String), String> {
    let parted = text.split_once('=').map(|(key, value)| (key.trim(), value.trim()));
    match parted {
        Some((key, value)) if !key.is_empty() && !value.is_empty() => {
            Ok((key.to_owned(), value.to_owned()))
        }
        _ => Err("write what it is, `=`, and what it means".to_owned()),
    }
}

impl Bring {
    /// # Errors
    /// A word for no kind, or a column that no table has.
    pub fn answers(&self) -> Result<Answers, Failure> {
        let kind = match &self.kind {
            Some(name) => Some(kind_called(name).ok_or_else(|| {
                Failure::Wrong(format!(
                    "`{name}` is no kind of record that comes in a table; say what the rows are, \
                     like `cuts`, `glances`, `surveys`, `visits` or `permissions`"
                ))
            })?),
            None => None,
        };
        let fields = self.set.iter().map(|(field, _)| field);
        if let Some(strange) = fields.into_iter().find(|field| !is_column(field)) {
            return Err(Failure::Wrong(format!(
                "`{strange}` is no column of any table; sites/files.md lists them"
            )));
        }
        let order = match (self.day_first, self.month_first) {
            (true, _) => Some(Order::DayFirst),
            (_, true) => Some(Order::MonthFirst),
            _ => None,
        };
        Ok(Answers {
            kind,
            order,
            decimal: self.decimal.as_ref().map(|said| match said.as_str() {
                "comma" => Mark::Comma,
                _ => Mark::Point,
            }),
            rough: self.rough.as_ref().map(|said| match said.as_str() {
                "middle" => Rough::Middle,
                _ => Rough::Unread,
            }),
            year: self.year,
            fill_down: self.gaps.as_ref().map(|said| said == "fill"),
            columns: self.columns.iter().cloned().collect(),
            units: self.units.iter().cloned().collect(),
            say: self.say.iter().cloned().collect(),
            set: self.set.iter().cloned().collect(),
        })
    }
}
