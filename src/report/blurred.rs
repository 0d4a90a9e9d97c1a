//! What may be cut, blurred (`stintbook.blurred/1`): as a map, as a page, and for machines.

use jiff::civil::Date;

use super::cautions;
use super::column::{self, Column, Columned, Line, Measured, csv};
use super::page::{Block, Cell, Column as Head, Document, Section, Table};
use super::stress::Stress;
use crate::assess::{Blurred, BlurredPatch, FoundGrowing};
use crate::json::{Declared, Degrees, Exact, Object, Shape, map_or_not, object, one_of, written};
use crate::maps::{Feature, Layer, Map, geojson_schema};
use crate::records::LookAlikeGrade;
use crate::units::{Measure, Metres, counted, spoken_day};

/// The name and version of what the blurred formats write.
pub const BLURRED_SCHEMA: &str = "stintbook.blurred/1";

const OPEN: &str = "0b4f76";
const SHUT: &str = "545454";

/// What is said of each patch, in every format.
const COLUMNS: [Column<BlurredPatch>; 12] = [
    Column::text("name", name),
    Column::text("crop", |patch| patch.crop.name.to_string()),
    Column::text("scientific_name", |patch| patch.crop.scientific_name.to_string()),
    Column::text("square", |patch| patch.square.name()),
    Column::number("square_side_m", |patch| patch.square.blur().side().0),
    Column::degrees("lon", |patch| Some(Degrees(patch.square.middle().x()))),
    Column::degrees("lat", |patch| Some(Degrees(patch.square.middle().y()))),
    Column::number("within_m", |patch| patch.square.reach().0.ceil()),
    Column::coded::<OpenOrShut>("state", |patch| state(patch).name()),
    Column::amount("most", |patch| patch.most),
    Column::maybe_day("opens_on", |patch| patch.opens_on),
    Column::maybe_text("found_growing", growing),
];

one_of! {
    enum OpenOrShut {
        Open = "open",
        Shut = "shut",
    }
}

impl Columned for BlurredPatch {
    fn columns() -> Vec<Column<Self>> {
        COLUMNS.into()
    }
}

object! {
    /// The whole answer as JSON.
    struct BlurredData<'a> {
        on: Date,
        square_side_m: Exact,
        about: String,
        patches: Vec<Line<'a, BlurredPatch>>,
        cautions: Vec<String>,
    }
}

impl Measured for BlurredPatch {
    fn measure(&self) -> Measure {
        self.crop.measure
    }
}

/// `ramsons-leaf 2 in 1km-16022-9934`.
fn name(patch: &BlurredPatch) -> String {
    format!("{} {} in {}", patch.crop.name, patch.number, patch.square.name())
}

fn state(patch: &BlurredPatch) -> OpenOrShut {
    if patch.is_open { OpenOrShut::Open } else { OpenOrShut::Shut }
}

/// Without the day on which someone was there, nor who it was.
fn growing(patch: &BlurredPatch) -> Option<String> {
    let said = |found: &FoundGrowing| {
        let grade = match found.grade {
            Some(LookAlikeGrade::Fatal) => "FATAL",
            _ => "HOW GRAVE IS NOT KNOWN",
        };
        format!("{grade}: {} grows here and is taken for it.", found.name)
    };
    let all: Vec<String> = patch.found_growing.iter().map(said).collect();
    (!all.is_empty()).then(|| all.join(" "))
}

fn title(blurred: &Blurred) -> String {
    format!(
        "What may be cut in squares of {}; as things stand on {} {}",
        blurred.blur,
        blurred.on.strftime("%a"),
        spoken_day(blurred.on)
    )
}

/// What such an answer is, for whoever gets it.
fn about(blurred: &Blurred) -> String {
    format!(
        "For others: places are the middles of squares of {}, patches have other names, shapes and \
         people are left out, and amounts keep one figure. It is no leave to go or to pick there.",
        blurred.blur
    )
}

/// One layer of points, all those of a square in its middle.
pub fn blurred_map(blurred: &Blurred) -> Map {
    let feature = |patch: &BlurredPatch| Feature {
        id: name(patch).replace(' ', "/"),
        name: name(patch),
        title: format!("{}: {}", patch.crop.common_name, state(patch).name()),
        about: said(patch),
        colour: if patch.is_open { OPEN } else { SHUT },
        properties: column::object(patch).into_iter().filter(|(_, it)| !it.is_null()).collect(),
        shape: patch.square.middle().into(),
    };
    let features: Vec<Feature> = blurred.patches.iter().map(feature).collect();
    let layer = Layer { name: "patches".to_owned(), features };
    Map {
        schema: BLURRED_SCHEMA,
        title: title(blurred),
        about: [about(blurred)].into_iter().chain(cautions_of(blurred)).collect(),
        on: blurred.on,
        layers: if layer.features.is_empty() { Vec::new() } else { vec![layer] },
    }
}

/// What may kill first.
fn said(patch: &BlurredPatch) -> String {
    let when = match (patch.is_open, patch.most, patch.opens_on) {
        (true, Some(most), _) => format!("open, at most about {}", patch.crop.show(most)),
        (true, None, _) => "open, no limit".to_owned(),
        (false, _, Some(day)) => format!("shut; opens on {}", spoken_day(day)),
        (false, _, None) => "shut".to_owned(),
    };
    let within =
        format!("Somewhere within {} of this point.", Metres(patch.square.reach().0.ceil()));
    let verdict = format!("{}: {when}.", patch.crop.common_name);
    let all = growing(patch).into_iter().chain([verdict, within]);
    let cautions = if patch.is_open { cautions::sentences([&patch.crop]) } else { Vec::new() };
    all.chain(cautions).collect::<Vec<_>>().join(" ")
}

/// One line a patch.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn blurred_csv(blurred: &Blurred) -> Result<String, csv::Error> {
    csv(&COLUMNS, &blurred.patches)
}

/// Every patch, and what goes for all.
pub fn blurred_json(blurred: &Blurred) -> String {
    let data = BlurredData {
        on: blurred.on,
        square_side_m: Exact(blurred.blur.side().0),
        about: about(blurred),
        patches: blurred.patches.iter().map(Line).collect(),
        cautions: cautions_of(blurred),
    };
    written(BLURRED_SCHEMA, data)
}

pub(super) fn declared() -> Declared {
    let mut properties = Shape::default();
    Line::<BlurredPatch>::declare_members(&mut properties);
    let map = geojson_schema(BLURRED_SCHEMA, [properties.optional()]);
    let other = Shape::of_version::<BlurredData>(BLURRED_SCHEMA);
    (BLURRED_SCHEMA, map_or_not(BLURRED_SCHEMA, map, other))
}

/// For a terminal, an e-mail or a page.
pub fn blurred_document(blurred: &Blurred) -> Document {
    let columns = vec![
        Head::name("patch"),
        Head::words("state"),
        Head::amount("at most"),
        Head::words("opens"),
        Head::words("square's middle"),
    ];
    let row = |patch: &BlurredPatch| {
        let most = patch.most.map_or(String::new(), |most| patch.crop.show(most));
        let opens = patch.opens_on.map_or(String::new(), spoken_day);
        let middle = patch.square.middle();
        let within = format!("{:.3},{:.3}", middle.x(), middle.y());
        [name(patch), state(patch).name().to_owned(), most, opens, within].map(Cell::of).to_vec()
    };
    let rows: Vec<Vec<Cell>> = blurred.patches.iter().map(row).collect();
    let found: Vec<String> = blurred
        .patches
        .iter()
        .filter_map(|patch| Some(format!("{}: {}", name(patch), growing(patch)?)))
        .map(|said| Stress::Danger.on(&said))
        .collect();
    let caption = format!("Patches in squares of {}", blurred.blur);
    let heading = counted(rows.len(), "patch");
    let table = Block::Table(Table { caption, columns, rows });
    let list = (!blurred.patches.is_empty()).then(|| Section {
        id: "patches",
        heading,
        blocks: vec![table],
    });
    let open = || blurred.patches.iter().filter(|patch| patch.is_open).map(|patch| &patch.crop);
    let cautions = if open().next().is_some() { cautions::sections(open()) } else { Vec::new() };
    Document {
        title: title(blurred),
        kind: "Week, blurred",
        lead: about(blurred),
        sections: Section::list("found", "Found growing there", found)
            .into_iter()
            .chain(list)
            .chain(cautions)
            .collect(),
        foot: Vec::new(),
    }
}

fn cautions_of(blurred: &Blurred) -> Vec<String> {
    cautions::sentences(blurred.patches.iter().map(|patch| &patch.crop))
}
