//! Runs the model in order, for one patch, one week, one season.

mod advice;
mod all_eyes;
mod assessment;
mod assumptions;
mod blurred;
mod briefing;
mod calendar;
mod comeback;
mod coming;
mod contested;
mod contradictions;
mod day_ruling;
mod decline;
mod due;
mod evidence;
mod fall;
mod found_growing;
mod if_surveyed;
mod lineage;
mod meeting;
mod new_cut;
mod occurrences;
mod opening;
mod outing;
mod outlook;
mod peers;
mod prepared;
mod preparing;
mod profile;
mod season;
pub mod season_report;
mod test_plan;
mod week;

pub use advice::{
    HORIZON_DAYS, PRECISION, PatchAdvice, SurveyAdvice, WhySurvey, advise, advise_beside, guessed,
};
pub use all_eyes::{AllEyes, eyes_taught};
pub use assessment::{Assessment, assess, assess_case, assess_case_in_brief, assess_in_brief};
pub use assumptions::{Granted, assumptions};
pub use blurred::{Blurred, BlurredPatch, blurred, blurred_numbers};
pub use briefing::{Briefing, Each, PartyStint, Stop, StopShare};
pub use calendar::{
    Ahead, Calendar, CutSpan, Expected, MONTHS, PatchMonth, PatchYear, RoleCrop, RoleMonth,
    RoleYear, StageSpan, Standing, calendar,
};
pub use comeback::{ByATest, Comeback, Outcome, Speed, Tested, Worth, comeback};
pub use coming::{PatchComing, coming, days_from};
pub use contested::{MOST_SHARED, SharedGround, shared_ground, sites_that_meet};
pub use contradictions::{Contradiction, Contradicts, contradictions};
pub use day_ruling::{DayFigures, DayRuling, day_rulings};
pub use decline::Response;
pub use due::{DueList, Task, What, due};
pub use evidence::{BearsOn, Evidence, Eye, How, Sighting, Sureness, evidence};
pub use fall::{Cause, Fall, LastSeen};
pub use found_growing::{FoundGrowing, found_growing, still_growing};
pub use lineage::SAME_PLANTS;
pub use meeting::{
    Double, Namesakes, Overpromised, doubles_by_two_hands, likely_doubles, namesakes, overpromised,
};
pub use new_cut::{CutRuling, Left, NewCut, rule_cut, rule_cuts, stood_before};
pub use occurrences::{Found, Occurrence, ToldPlace, occurrences};
pub use opening::{Closing, Opening};
pub use outing::{
    BoxError, BoxOrder, BoxPlan, BoxWant, BoxWeek, First, Lack, LeftOut, Outing, Packed, PackedBox,
    PlannedStop, PlannedTake, PlannedTakes, PlannedTakesError, PlannedVisit, Promises, Quota,
    Quotas, Remark, Route, STOPPED_SHORT, SettledCut, Settlement, Shortage, TakenFrom, Taker,
    Taking, UnfitWant, Untold, UntoldShare, WalkPlan, WantMet, brief, crops_for, plan_boxes,
    plan_outing, planned_takes, promises, quotas, settle, understood,
};
pub use outlook::{Effect, Effects, Outlook, Shift};
pub use prepared::{Asker, DatedAmounts, Prepared, UnknownCrop};
pub use preparing::{Shared, prepare, prepare_for, prepare_part};
pub use profile::Profile;
pub use season::{PatchSeason, season_of};
pub use test_plan::{RatioLine, TestPlan, plan_test};
pub use week::{CropTotal, WeekAnswer, WeekPlace, week};
