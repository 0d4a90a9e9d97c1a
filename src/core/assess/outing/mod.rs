//! An outing made ready: limits, what is taken where, who cuts it, where each party starts.

mod ahead;
mod boxes;
mod brief;
mod errand;
mod planned;
mod promises;
mod quota;
mod settle;
mod shares;
mod shortage;
mod turns;
mod wishes;

pub use ahead::{PlannedTake, PlannedTakes, PlannedTakesError, PlannedVisit, planned_takes};
pub use boxes::{
    BoxError, BoxOrder, BoxPlan, BoxWant, BoxWeek, LeftOut, Packed, PackedBox, plan_boxes,
};
pub use brief::brief;
pub use errand::{Outing, Route};
pub use planned::{PlannedStop, WalkPlan, WantMet, plan_outing};
pub use promises::{Promises, promises};
pub use quota::{Quota, Quotas, quotas};
pub use settle::{
    Remark, STOPPED_SHORT, SettledCut, Settlement, TakenFrom, Taker, Taking, Untold, UntoldShare,
    settle,
};
pub use shortage::{First, Lack, Shortage};
pub use wishes::{UnfitWant, crops_for, understood};
