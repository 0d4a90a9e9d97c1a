//! The plan of a survey as files: GeoJSON (`stintbook.survey-plan/1`), GPX 1.1 waypoints for
//! a phone, and a CSV of surveys that waits for its amounts.

use serde_json::json;

use super::markup::escaped;
use super::survey_plan_document::PlannedSurvey;
use crate::ground::grid_reference;
use crate::json::{
    Declared, Exact, Feature, FeatureCollection, Form, Geometry, Shape, object, written,
};
use crate::sampling::{Design, Spot};
use crate::units::Measure;

/// The name and version of what [`survey_plan_geojson`] writes.
pub const SURVEY_PLAN_SCHEMA: &str = "stintbook.survey-plan/1";

object! {
    /// The whole answer.
    struct SurveyPlanData<'a> {
        r#type: FeatureCollection,
        patch: String,
        crop: &'a str,
        design: Design,
        seed: u64,
        walk_m: f64,
        to_first_m: Option<f64>,
        features: Vec<QuadratData>,
    }

    struct QuadratData {
        r#type: Feature,
        id: usize,
        geometry: Geometry,
        properties: QuadratProperties,
    }

    struct QuadratProperties {
        number: usize,
        grid_reference: Option<String>,
        to_next_m: Option<f64>,
    }
}

/// A point for each quadrat (RFC 7946), in walking order.
pub fn survey_plan_geojson(survey: &PlannedSurvey) -> String {
    let request = &survey.plan.request;
    let data = SurveyPlanData {
        r#type: FeatureCollection,
        patch: survey.patch.to_string(),
        crop: &survey.crop.name,
        design: request.design,
        seed: request.seed,
        walk_m: survey.plan.walk().0,
        to_first_m: survey.plan.to_first.map(|leg| leg.0),
        features: (1..).zip(&survey.plan.spots).map(|(n, spot)| quadrat(n, spot)).collect(),
    };
    written(SURVEY_PLAN_SCHEMA, data)
}

pub(super) fn declared() -> Declared {
    (SURVEY_PLAN_SCHEMA, Shape::of_version::<SurveyPlanData>(SURVEY_PLAN_SCHEMA))
}

fn quadrat(number: usize, spot: &Spot) -> QuadratData {
    let coordinates = [Exact(spot.at.x()), Exact(spot.at.y())].value();
    QuadratData {
        r#type: Feature,
        id: number,
        geometry: Geometry(json!({ "type": "Point", "coordinates": coordinates })),
        properties: QuadratProperties {
            number,
            grid_reference: grid_reference(spot.at),
            to_next_m: spot.to_next.map(|leg| leg.0),
        },
    }
}

/// A waypoint for each quadrat, named by its number in walking order (GPX 1.1, 2004).
pub fn survey_plan_gpx(survey: &PlannedSurvey) -> String {
    let count = survey.plan.spots.len();
    let digits = count.to_string().len();
    let waypoints: String = (1..)
        .zip(&survey.plan.spots)
        .map(|(number, spot): (usize, _)| {
            format!(
                "  <wpt lat=\"{:.6}\" lon=\"{:.6}\">\n    <name>{number:0digits$}</name>\n    \
                 <desc>{}: quadrat {number} of {count}</desc>\n  </wpt>\n",
                spot.at.y(),
                spot.at.x(),
                escaped(&survey.patch.to_string())
            )
        })
        .collect();
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <gpx version=\"1.1\" creator=\"stintbook\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n  \
         <metadata>\n    <name>{}</name>\n  </metadata>\n{waypoints}</gpx>\n",
        escaped(&survey.title())
    )
}

/// A row for each quadrat or plant, in walking order, that `load` takes once `date`, `by` and
/// the amounts are filled in.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn survey_plan_csv(survey: &PlannedSurvey) -> Result<String, csv::Error> {
    let amount = match survey.crop.measure {
        Measure::Mass => "mass_g",
        Measure::Count => "count",
    };
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record([
        "patch",
        "date",
        "by",
        "lon",
        "lat",
        "frame_area_m2",
        amount,
        "placed",
        "note",
    ])?;
    for spot in &survey.plan.spots {
        table.write_record(cells(survey, spot))?;
    }
    let bytes = table.into_inner().map_err(|error| error.into_error())?;
    let rows = String::from_utf8_lossy(&bytes);
    Ok(format!(
        "# {}, in walking order.\n# Fill in `date`, `by` and `{amount}`, 0 where nothing grows; \
         then `stintbook load` takes this file.\n{rows}",
        survey.title()
    ))
}

/// Every row says how its place was drawn, and a plant's its number.
fn cells(survey: &PlannedSurvey, spot: &Spot) -> [String; 9] {
    let request = &survey.plan.request;
    let placed = format!("drawn: {}, seed {}", request.design, request.seed);
    let note = spot.plant.map_or(String::new(), |number| format!("plant {number}"));
    let [lon, lat] = match spot.plant {
        None => [spot.at.x(), spot.at.y()].map(|degrees| format!("{degrees:.6}")),
        Some(_) => [String::new(), String::new()],
    };
    let frame = survey.frame.map_or(String::new(), |frame| frame.0.to_string());
    let nothing = String::new;
    [survey.patch.to_string(), nothing(), nothing(), lon, lat, frame, nothing(), placed, note]
}
