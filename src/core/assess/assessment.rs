//! The answer for one patch on one day.

use std::sync::Arc;

use geo::Point;
use jiff::civil::Date;

use super::comeback::waiting;
use super::opening::{closing, opening};
use super::{Closing, FoundGrowing, Opening, Prepared, found_growing};
use crate::ground::Harvestable;
use crate::pressure::TroddenGround;
use crate::records::{Answer, Crop, FactId, PatchName};
use crate::regrowth::{SecondCut, Share, State, Terms};
use crate::rules::{
    Case, Reduction, Ruling, Verdict, answer_for, reductions, room_beside_promises, rule_in_brief,
    rule_on,
};
use crate::units::Metres;

/// Everything there is to say of one patch on one day.
#[derive(Clone, Debug)]
pub struct Assessment {
    /// Which patch.
    pub patch: PatchName,
    /// Of the fact that it is as it is drawn now.
    pub id: FactId,
    /// With the overrides of site and patch.
    pub crop: Arc<Crop>,
    /// Which day.
    pub day: Date,
    /// In degrees; `None` for a footprint without any position.
    pub centre: Option<Point>,
    /// From the place asked about, if one was.
    pub distance: Option<Metres>,
    /// What of its ground may be cut.
    pub ground: Harvestable,
    /// What every rule allows, and which of them binds.
    pub ruling: Ruling,
    /// What the permission leaves of this crop on the whole site beside what is promised, in
    /// the crop's measure; infinite without a cap.
    pub room_on_site: f64,
    /// How many people its ground has room for at once; `None` for any number.
    pub people_at_once: Option<u32>,
    /// For a patch that is shut.
    pub opening: Option<Opening>,
    /// For a patch that is open.
    pub closing: Option<Closing>,
    /// What is believed of it; `None` before a first survey.
    pub state: Option<State>,
    /// The share that may be cut; `None` before a first survey.
    pub share: Option<Share>,
    /// What the crop's habit sets.
    pub terms: Terms,
    /// What makes the share smaller than it might be, each above 0.
    pub reductions: Vec<Reduction>,
    /// The occupier wants to be asked before each visit, and has not said yes to this day.
    pub ask_first: bool,
    /// What was found growing there that is taken for the crop, what may kill first.
    pub found_growing: Vec<FoundGrowing>,
    /// What to know before going to the site.
    pub site_cautions: Option<Arc<str>>,
    /// Squares of a recovery test that wait for their second cut: the day on which the test was
    /// begun, and when to cut.
    pub test_waiting: Option<(Date, SecondCut)>,
}

impl Assessment {
    /// Whether anything may be cut.
    pub fn is_open(&self) -> bool {
        self.ruling.verdict == Verdict::Open
    }
}

/// Assesses one patch on `day`, for `people` who cut by `method`.
pub fn assess(
    patch: &Prepared,
    day: Date,
    people: Option<u32>,
    method: Option<&str>,
) -> Assessment {
    assess_case(patch, &patch.case(day, people, method))
}

/// The same with words for the rule that decides alone, for those who ask about many patches.
pub fn assess_in_brief(
    patch: &Prepared,
    day: Date,
    people: Option<u32>,
    method: Option<&str>,
) -> Assessment {
    assess_case_in_brief(patch, &patch.case(day, people, method))
}

/// The same for a party that the case describes further.
pub fn assess_case_in_brief(patch: &Prepared, case: &Case) -> Assessment {
    assessed(patch, case, rule_in_brief(case))
}

/// The same for a party that the case describes further.
pub fn assess_case(patch: &Prepared, case: &Case) -> Assessment {
    assessed(patch, case, rule_on(case))
}

fn assessed(patch: &Prepared, case: &Case, ruling: Ruling) -> Assessment {
    let is_open = ruling.verdict == Verdict::Open;
    Assessment {
        patch: case.patch.name.clone(),
        id: patch.facts.patch.id,
        crop: patch.crop().clone(),
        day: case.day,
        centre: patch.centre(),
        distance: None,
        ground: patch.ground.clone(),
        opening: if is_open { None } else { opening(case, &ruling) },
        closing: if is_open { closing(case) } else { None },
        state: case.state,
        share: case.share(),
        terms: patch.terms,
        reductions: reductions(case),
        ask_first: asks_first(case),
        found_growing: found_growing(case.visits, case.patch.name.patch(), patch.crop(), case.day),
        site_cautions: patch.site.site.record.cautions.clone(),
        test_waiting: waiting(patch, case.day).next(),
        room_on_site: room_beside_promises(case),
        people_at_once: TroddenGround::of(case.patch, &case.extent).room(),
        ruling,
    }
}

fn asks_first(case: &Case) -> bool {
    if matches!(answer_for(case.visits, case.day), Some((Answer::Yes, _))) {
        return false;
    }
    case.site.permissions.iter().map(|fact| &fact.record).any(|permission| {
        permission.ask_first
            && permission.holds_on(case.day)
            && permission.covers_crop(&case.crop.name)
    })
}
