//! `stintbook survey plan`: where to put the quadrats.

use geo::Point;

use super::args::LonLat;
use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::named;
use super::numbers::{number, whole};
use super::recording::drawn_seed;
use crate::assess::UnknownCrop;
use crate::book::Scope;
use crate::ground::SiteGround;
use crate::records::{Footprint, Patch, SiteFacts};
use crate::report::{
    PlannedSurvey, survey_plan_csv, survey_plan_document, survey_plan_geojson, survey_plan_gpx,
};
use crate::sampling::{Design, Request, plan};
use crate::units::SquareMetres;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook survey plan \"mill bank\" --quadrats 12 --seed 7\n  \
    stintbook survey plan \"mill bank\" --quadrats 12 --seed 7 --format gpx > mill-bank.gpx\n  \
    stintbook survey plan \"mill bank\" --seed 7 --format csv --frame 0.25 > surveys.csv\n\n\
    The places lie inside the patch and its site and outside no-take ground, in walking order. \
    The csv is a file of surveys: fill in the day, who measured, and the amounts, and `load` it. \
    On a patch of counted plants, plants are drawn by number.")]
pub struct SurveyPlanned {
    /// The patch: its name, site/name, or short id.
    patch: String,
    /// How many places to draw.
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = whole::<usize>(0..), allow_negative_numbers = true)]
    quadrats: usize,
    /// random, stratified (one in each of N equal parts) or systematic (the same place in each).
    #[arg(long, default_value = "random")]
    design: Design,
    /// The same seed draws the same places again (default: one drawn for you, and shown).
    #[arg(long, value_name = "NUMBER", value_parser = whole::<u64>(0..), allow_negative_numbers = true)]
    seed: Option<u64>,
    /// Where you come from: LON,LAT in degrees (default: begin with the southernmost).
    #[arg(long, value_name = "LON,LAT", allow_hyphen_values = true)]
    start: Option<LonLat>,
    /// Area of the frame in square metres, for the csv.
    #[arg(long, value_name = "M2", value_parser = number, allow_negative_numbers = true)]
    frame: Option<f64>,
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Csv, Format::Geojson, Format::Gpx]))]
    format: Format,
}

pub fn run(context: &Context, asked: &SurveyPlanned) -> Result<Status, Failure> {
    let planned = planned(context, asked)?;
    let text = match asked.format {
        Format::Csv => survey_plan_csv(&planned).map_err(Failure::wrong)?,
        Format::Geojson => survey_plan_geojson(&planned),
        Format::Gpx => survey_plan_gpx(&planned),
        format => context.laid_out(format, &survey_plan_document(&planned)),
    };
    context.print(&text)?;
    Ok(Status::Done)
}

fn planned(context: &Context, asked: &SurveyPlanned) -> Result<PlannedSurvey, Failure> {
    let book = context.open_to_read()?;
    let name = named::patch(&book, &asked.patch)?.name;
    let ledger = book.ledger(&Scope::Patch(name.clone()), None)?;
    let found = ledger.patches().find(|(_, patch)| patch.patch.record.name == name);
    let (site, facts) = found.ok_or_else(|| Failure::wrong(format!("`{name}` is not known")))?;
    let patch = &facts.patch.record;
    let frame = asked.frame_on(patch)?;
    let request = Request {
        design: asked.design,
        quadrats: asked.quadrats,
        seed: asked.seed.unwrap_or_else(|| drawn_seed().into()),
        start: asked.start.map(|start| Point::new(start.lon, start.lat)),
    };
    let plan = plan(&ground(site), &patch.footprint, request)
        .map_err(|error| Failure::wrong(format!("`{name}`: {error}")))?;
    let catalogue = context.catalogue()?;
    let crop = catalogue.crop(&patch.crop).ok_or_else(|| UnknownCrop {
        patch: name.clone(),
        crop: patch.crop.clone(),
        near: catalogue.nearest(&patch.crop),
    })?;
    let crop = crop.clone();
    Ok(PlannedSurvey { patch: name, crop, frame, plan })
}

fn ground(site: &SiteFacts) -> SiteGround {
    SiteGround::new(&site.site.record, site.zones.iter().map(|zone| &zone.record))
}

impl SurveyPlanned {
    /// Checks what the format and the patch ask of each other.
    fn frame_on(&self, patch: &Patch) -> Result<Option<SquareMetres>, Failure> {
        let is_of_plants = matches!(patch.footprint, Footprint::Plants { .. });
        if is_of_plants && matches!(self.format, Format::Geojson | Format::Gpx) {
            return Err(Failure::wrong(format!(
                "the plants of `{}` are counted, not mapped: write `table` or `csv`",
                patch.name
            )));
        }
        match self.frame {
            Some(frame) if !(frame.is_finite() && frame > 0.0) => Err(Failure::wrong(format!(
                "`--frame {frame}` is not an area; write square metres, like `--frame 0.25`"
            ))),
            Some(_) if is_of_plants => Err(Failure::wrong(format!(
                "`{}` is a patch of counted plants, which no frame is laid on; leave `--frame` out",
                patch.name
            ))),
            None if self.format == Format::Csv && !is_of_plants => Err(Failure::wrong(
                "say how large the frame is, in square metres, like `--frame 0.25`: a file of \
                 surveys takes an empty one for a single plant",
            )),
            frame => Ok(frame.map(SquareMetres)),
        }
    }
}
