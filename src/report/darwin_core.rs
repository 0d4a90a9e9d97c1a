//! What was found to stand, as a Darwin Core archive: an occurrence core with measurements.
//!
//! Terms are those of the Darwin Core list of terms (TDWG, <http://rs.tdwg.org/dwc/terms/>), laid
//! out by the Darwin Core text guide (TDWG 2023, <http://rs.tdwg.org/dwc/terms/guides/text/>); the
//! description is EML 2.1.1 by the GBIF metadata profile, version 1.1.
//!
//! An occurrence's id is made of what is told of it, and of nothing of the book: it is the same each
//! time, and leads nowhere.

use jiff::civil::Date;

use super::column::{Column, Measured, csv};
use super::markup::escaped;
use crate::assess::{Found, Occurrence, ToldPlace};
use crate::ground::Blur;
use crate::json::Degrees;
use crate::records::Crop;
use crate::units::Measure;

const TERMS: &str = "http://rs.tdwg.org/dwc/terms/";

/// Six decimals of a degree are a tenth of a metre.
const DECIMALS: i32 = 6;

/// One table of the archive; its columns are called as their terms.
struct Sheet {
    file: &'static str,
    class: &'static str,
    columns: Vec<Column<Occurrence>>,
}

/// Each file of the archive by its name. With `named`, it is said who found what.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn darwin_core(
    found: &[Occurrence],
    on: Date,
    blur: Option<Blur>,
    named: bool,
) -> Result<Vec<(String, String)>, csv::Error> {
    let core = Sheet { file: "occurrence.csv", class: "Occurrence", columns: core(blur, named) };
    let facts =
        Sheet { file: "measurement.csv", class: "MeasurementOrFact", columns: measurement(named) };
    let mut files = vec![
        ("meta.xml".to_owned(), meta(&core, &facts)),
        ("eml.xml".to_owned(), eml(found, on, blur)),
    ];
    for sheet in [core, facts] {
        files.push((sheet.file.to_owned(), csv(&sheet.columns, found)?));
    }
    Ok(files)
}

impl Measured for Occurrence {
    fn measure(&self) -> Measure {
        self.crop.measure
    }
}

fn core(blur: Option<Blur>, named: bool) -> Vec<Column<Occurrence>> {
    let mut columns = vec![
        Column::text("occurrenceID", id),
        Column::text("basisOfRecord", |_| "HumanObservation".to_owned()),
        Column::text("occurrenceStatus", |found| {
            if found.standing > 0.0 { "present" } else { "absent" }.to_owned()
        }),
        Column::day("eventDate", |found| found.day),
        Column::text("samplingProtocol", |found| protocol(found.how).to_owned()),
        Column::maybe_text("samplingEffort", |found| {
            Some(format!("{} measurements", found.estimate?.n))
        }),
        Column::text("scientificName", |found| found.crop.scientific_name.to_string()),
        Column::text("vernacularName", |found| found.crop.common_name.to_string()),
        Column::number("organismQuantity", as_known),
        Column::text("organismQuantityType", |found| quantity(&found.crop)),
        Column::degrees("decimalLatitude", |found| Some(at(found).1)),
        Column::degrees("decimalLongitude", |found| Some(at(found).0)),
        Column::text("geodeticDatum", |_| "EPSG:4326".to_owned()),
        Column::number("coordinateUncertaintyInMeters", uncertainty),
        Column::text("coordinatePrecision", |_| "0.000001".to_owned()),
    ];
    if blur.is_some() {
        columns.push(Column::text("dataGeneralizations", |found| {
            format!(
                "Coordinates generalized from the middle of the stand to that of the square of {} \
                 that it lies in; amounts are those of the whole stand",
                found.square.blur()
            )
        }));
        columns.push(Column::text("informationWithheld", |_| {
            "Exact place, name of the place, and recorder; ask the keeper of the book".to_owned()
        }));
    }
    if named {
        columns.push(Column::text("recordedBy", |found| found.by.to_string()));
    }
    columns
}

fn measurement(named: bool) -> Vec<Column<Occurrence>> {
    let mut columns = vec![
        Column::text("occurrenceID", id),
        Column::text("measurementID", |found| format!("{}/standing", id(found))),
        Column::text("measurementType", |found| {
            format!("standing crop of the whole stand, {}", found.crop.part.name())
        }),
        Column::number("measurementValue", as_known),
        Column::maybe_number("measurementAccuracy", |found| {
            let error = found.estimate?.standard_error;
            Some(to_two_figures(error, error))
        }),
        Column::text("measurementUnit", |found| unit(&found.crop)),
        Column::day("measurementDeterminedDate", |found| found.day),
        Column::text("measurementMethod", |found| protocol(found.how).to_owned()),
        Column::text("measurementRemarks", |found| {
            match found.estimate {
                Some(_) => "The accuracy is one standard error.",
                None => "By eye; an eye may be wrong by half.",
            }
            .to_owned()
        }),
    ];
    if named {
        columns.push(Column::text("measurementDeterminedBy", |found| found.by.to_string()));
    }
    columns
}

/// `stintbook:1km-16022-9934:ramsons-leaf:2:2027-03-01:quadrats:1`.
fn id(found: &Occurrence) -> String {
    let Occurrence { square, crop, number, day, again, how, .. } = found;
    let how = match how {
        Found::Quadrats => "quadrats",
        Found::Judged => "judged",
        Found::Units => "units",
        Found::Cover => "cover",
        Found::Glance => "glance",
    };
    format!("stintbook:{}:{}:{number}:{day}:{how}:{again}", square.name(), crop.name)
}

fn protocol(how: Found) -> &'static str {
    match how {
        Found::Quadrats => "quadrats, what stands in each weighed or counted",
        Found::Judged => "quadrats judged by eye, some of them weighed or counted too",
        Found::Units => "units counted, some of them weighed",
        Found::Cover => "cover read, and weighed where it is full",
        Found::Glance => "judged by eye from a look at the whole stand",
    }
}

fn quantity(crop: &Crop) -> String {
    match crop.measure {
        Measure::Mass => "fresh biomass in grams".to_owned(),
        Measure::Count => format!("number of {}s", crop.piece),
    }
}

fn unit(crop: &Crop) -> String {
    match crop.measure {
        Measure::Mass => "g".to_owned(),
        Measure::Count => format!("{}s", crop.piece),
    }
}

/// No finer than it is known: to the second figure of its standard error (JCGM 100:2008, 7.2.6).
fn as_known(found: &Occurrence) -> f64 {
    let error = found.estimate.map_or(0.0, |estimate| estimate.standard_error);
    to_two_figures(found.standing, error)
}

fn to_two_figures(value: f64, error: f64) -> f64 {
    if error <= 0.0 || !error.is_finite() {
        return value;
    }
    let step = 10_f64.powf(error.log10().floor() - 1.0);
    (value / step).round() * step
}

/// Longitude and latitude.
fn at(found: &Occurrence) -> (Degrees, Degrees) {
    let place = match found.place {
        ToldPlace::Blurred => found.square.middle(),
        ToldPlace::Exact(middle, _) => middle,
    };
    let rounded = |degrees: f64| {
        let steps = 10_f64.powi(DECIMALS);
        Degrees((degrees * steps).round() / steps)
    };
    (rounded(place.x()), rounded(place.y()))
}

/// The smallest circle that holds all of the place; whole metres, upward.
fn uncertainty(found: &Occurrence) -> f64 {
    let reach = match found.place {
        ToldPlace::Blurred => found.square.reach(),
        ToldPlace::Exact(_, reach) => reach,
    };
    // What the rounding of the coordinates moves is under a tenth of a metre.
    (reach.0 + 0.1).ceil()
}

fn meta(core: &Sheet, facts: &Sheet) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <archive xmlns=\"http://rs.tdwg.org/dwc/text/\" metadata=\"eml.xml\">\n{}{}</archive>\n",
        described("core", "id", core),
        described("extension", "coreid", facts),
    )
}

fn described(element: &str, key: &str, sheet: &Sheet) -> String {
    let names = sheet.columns.iter().map(Column::name).enumerate();
    // The key of an extension is no field of it.
    let fields = names.filter(|(index, _)| element == "core" || *index > 0);
    let fields: String = fields
        .map(|(index, name)| format!("    <field index=\"{index}\" term=\"{TERMS}{name}\"/>\n"))
        .collect();
    format!(
        "  <{element} encoding=\"UTF-8\" fieldsTerminatedBy=\",\" linesTerminatedBy=\"\\n\" \
         fieldsEnclosedBy=\"&quot;\" ignoreHeaderLines=\"1\" rowType=\"{TERMS}{}\">\n    \
         <files><location>{}</location></files>\n    <{key} index=\"0\"/>\n{fields}  </{element}>\n",
        sheet.class, sheet.file
    )
}

fn eml(found: &[Occurrence], on: Date, blur: Option<Blur>) -> String {
    let keeper = "<positionName>keeper of the book</positionName>";
    let told = match blur {
        Some(blur) => format!(
            "Places are generalised to squares of {blur}, and nobody is named; exact ones may be \
             asked for."
        ),
        None => {
            "Places are exact and recorders are named: not to be published as it is.".to_owned()
        }
    };
    let about = format!(
        "Surveys and glances of wild plants, seaweeds and fungi that are gathered: what stood on \
         each stand on a day, with its standard error where it was measured. {told}"
    );
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <eml:eml xmlns:eml=\"eml://ecoinformatics.org/eml-2.1.1\" \
         xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\" \
         xsi:schemaLocation=\"eml://ecoinformatics.org/eml-2.1.1 \
         http://rs.gbif.org/schema/eml-gbif-profile/1.1/eml.xsd\" \
         packageId=\"stintbook/{on}\" system=\"stintbook\" scope=\"system\" xml:lang=\"en\">\n\
         <dataset>\n<title>Stands of gathered wild plants, by {on}</title>\n\
         <creator>{keeper}</creator>\n<metadataProvider>{keeper}</metadataProvider>\n\
         <pubDate>{on}</pubDate>\n<language>en</language>\n\
         <abstract><para>{}</para></abstract>\n\
         <intellectualRights><para>As the keeper of the book says; none are given by this \
         file.</para></intellectualRights>\n{}<contact>{keeper}</contact>\n</dataset>\n</eml:eml>\n",
        escaped(&about),
        coverage(found),
    )
}

/// Where and when; nothing of an archive without occurrences.
fn coverage(found: &[Occurrence]) -> String {
    let days = || found.iter().map(|found| found.day);
    let (Some(first), Some(last)) = (days().min(), days().max()) else { return String::new() };
    let bound = |of: fn(&Occurrence) -> f64, pick: fn(f64, f64) -> f64| {
        found.iter().map(of).reduce(pick).unwrap_or_default()
    };
    let lon = |found: &Occurrence| at(found).0.0;
    let lat = |found: &Occurrence| at(found).1.0;
    let (west, east) = (bound(lon, f64::min), bound(lon, f64::max));
    let (south, north) = (bound(lat, f64::min), bound(lat, f64::max));
    let day =
        |name: &str, day: Date| format!("<{name}><calendarDate>{day}</calendarDate></{name}>");
    format!(
        "<coverage><geographicCoverage><geographicDescription>Between the coordinates \
         given</geographicDescription><boundingCoordinates>\
         <westBoundingCoordinate>{west}</westBoundingCoordinate>\
         <eastBoundingCoordinate>{east}</eastBoundingCoordinate>\
         <northBoundingCoordinate>{north}</northBoundingCoordinate>\
         <southBoundingCoordinate>{south}</southBoundingCoordinate>\
         </boundingCoordinates></geographicCoverage>\n<temporalCoverage><rangeOfDates>{}{}\
         </rangeOfDates></temporalCoverage></coverage>\n",
        day("beginDate", first),
        day("endDate", last),
    )
}
