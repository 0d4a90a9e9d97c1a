//! A visit that measured a patch.

use std::sync::Arc;

use jiff::civil::Date;

use super::column::{Column, NOTE, Need, RIPE, STAND};
use super::declared::fields;
use super::measured::MEASURED;
use super::{CoverClass, CoverScale, Land, PatchName, Placement, Recorded, Ripe, SiteName};
use crate::units::{Metres, SquareMetres};

/// One survey of one patch on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// What was measured.
    pub patch: PatchName,
    /// How the places that were looked at were chosen.
    pub placement: Placement,
    /// How much was ripe of what will ripen this season, where only that was measured; `None`
    /// for a crop that stood whole.
    pub ripe: Option<Ripe>,
    /// How it was measured, with all that was.
    pub method: SurveyMethod,
    /// In words of one's own.
    pub note: Option<Arc<str>>,
}

fields! { Survey {
    patch: stand(STAND),
    placement: written([Column::text(
        "placed",
        Need::Optional,
        "who chose the places: `drawn` by chance, `drawn: PLAN`, or `by choice`; empty counts as \
         drawn",
        "",
    )]),
    ripe: maybe_written([RIPE]),
    method: method(MEASURED),
    note: maybe_word([NOTE]),
} }

impl Recorded for Survey {
    const NAME: &'static str = "survey";
    const PLURAL: &'static str = "surveys";
    const WHAT: &'static str = "Surveys: a row for each quadrat or weighing; rows of one patch, day and person \
         are a survey. Fill in the columns of one way: quadrats, judged by eye, units, or \
         cover.";
    const LAND: Land = Land::Patch;
    const IS_DEED: bool = true;

    fn site(&self) -> &SiteName {
        self.patch.site()
    }

    fn patch(&self) -> Option<&str> {
        Some(self.patch.patch())
    }

    fn key(&self, happened_on: Date, by: &str) -> String {
        format!("{} {happened_on} {by}", self.patch)
    }

    fn gist(&self) -> String {
        let placed = match self.placement {
            Placement::ByChoice => ", placed by choice",
            Placement::Drawn { .. } => ", drawn by chance",
            Placement::NotSaid => "",
        };
        let ripe = self.ripe.map_or(String::new(), |ripe| format!(", {ripe} ripe"));
        format!("{} on {}{placed}{ripe}", self.method.gist(), self.patch)
    }

    fn method(&self) -> Option<&SurveyMethod> {
        Some(&self.method)
    }

    fn method_mut(&mut self) -> Option<&mut SurveyMethod> {
        Some(&mut self.method)
    }
}

/// How a stand was measured; one variant for each file of methods in `crop/`.
#[derive(Clone, Debug, PartialEq)]
pub enum SurveyMethod {
    /// What stood in each sampling unit was weighed, or its pieces counted.
    Quadrats(Vec<Stratum>),
    /// All sampling units were judged by eye, some of them also measured.
    Judged(JudgedSurvey),
    /// Units were counted, and some of them weighed.
    Units(UnitSurvey),
    /// How much of the ground the crop covers, and what fully covered ground bears.
    Cover(CoverSurvey),
}

/// The quadrats of one stratum; a simple random sample is a single stratum without a name.
#[derive(Clone, Debug, PartialEq)]
pub struct Stratum {
    /// Empty for a patch that was sampled as one.
    pub name: Arc<str>,
    /// How much of the patch the stratum covers; `None` for a patch sampled as one.
    pub area: Option<SquareMetres>,
    /// What was measured out at each place.
    pub frame: Frame,
    /// Each place that was looked at, 1 or more.
    pub quadrats: Vec<Quadrat>,
}

/// What one sampling unit is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Frame {
    /// A frame laid on the ground, of this area.
    Area(SquareMetres),
    /// A stretch of a hedge or verge, of this length and the patch's full width.
    Length(Metres),
    /// One plant or tree of a patch whose plants are counted.
    Plant,
}

/// One sampling unit and what stood in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Quadrat {
    /// Where it was, if anyone noted it: of millions hardly one, so that it lies elsewhere.
    pub at: Option<Box<GpsPoint>>,
    /// Grams or pieces, as the crop is reckoned; for [`Counted::Sampled`] a number of units.
    pub amount: f64,
}

/// Double sampling: the eye sees much, the scale puts the eye right.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedSurvey {
    /// What was looked at in each place.
    pub frame: Frame,
    /// Each place that was looked at, measured or not.
    pub quadrats: Vec<JudgedQuadrat>,
}

/// Amounts in grams or pieces, as the crop is reckoned.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedQuadrat {
    /// Where it was, if anyone noted it.
    pub at: Option<GpsPoint>,
    /// By eye, before anything was measured.
    pub judged: f64,
    /// By scale or count, where that was done too.
    pub measured: Option<f64>,
}

/// Counted units times what one of them weighs.
///
/// A unit is whatever the surveyor weighed as one: a rosette, a head, or a handful, bunch or
/// basket of their own. No unit has a weight of its own accord.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitSurvey {
    /// What a unit is called.
    pub unit: Arc<str>,
    /// How many units there are.
    pub counted: Counted,
    /// Grams of one unit, each weighed by itself. Empty where the crop is reckoned in the
    /// very units counted.
    pub weighings: Vec<f64>,
}

/// How the units of a patch were counted.
#[derive(Clone, Debug, PartialEq)]
pub enum Counted {
    /// All units of the patch.
    InAll(f64),
    /// The units in sampling units, by stratum.
    Sampled(Vec<Stratum>),
}

/// Cover times weight at full cover.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverSurvey {
    /// What the classes of cover stand for.
    pub scale: CoverScale,
    /// Each place whose cover was read.
    pub quadrats: Vec<CoverQuadrat>,
    /// Grams a square metre where the crop covers the ground fully, one for each weighing.
    pub full_cover: Vec<f64>,
}

/// The cover of the crop in one place.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverQuadrat {
    /// Where it was, if anyone noted it.
    pub at: Option<GpsPoint>,
    /// As a class of the survey's scale.
    pub cover: CoverClass,
}

/// A position as a phone gives it, WGS84 degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GpsPoint {
    /// East of Greenwich, in degrees.
    pub lon: f64,
    /// North of the equator, in degrees.
    pub lat: f64,
    /// How far off it may be, as the phone says.
    pub accuracy: Metres,
}

impl SurveyMethod {
    /// How many sampling units were looked at, and what each is called.
    pub fn gist(&self) -> String {
        let quadrats = |strata: &[Stratum]| -> usize {
            strata.iter().map(|stratum| stratum.quadrats.len()).sum()
        };
        match self {
            Self::Quadrats(strata) => format!("{} quadrats", quadrats(strata)),
            Self::Judged(judged) => {
                let measured = judged.quadrats.iter().filter(|one| one.measured.is_some());
                let (all, measured) = (judged.quadrats.len(), measured.count());
                format!("{all} quadrats by eye, {measured} of them measured")
            }
            Self::Units(UnitSurvey { unit, counted, weighings }) => {
                let counted = match counted {
                    Counted::InAll(units) => format!("{units} × {unit} in all"),
                    Counted::Sampled(strata) => format!("{unit} in {} quadrats", quadrats(strata)),
                };
                match weighings.len() {
                    0 => counted,
                    weighed => format!("{counted}, {weighed} weighed"),
                }
            }
            Self::Cover(cover) => {
                let (quadrats, weighed) = (cover.quadrats.len(), cover.full_cover.len());
                format!("cover of {quadrats} quadrats, full cover weighed {weighed} times")
            }
        }
    }
}
