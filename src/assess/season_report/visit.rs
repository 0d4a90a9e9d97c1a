//! Days on which something was cut anywhere on the site.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::PatchReport;

/// One day out on the site.
#[derive(Clone, Debug, PartialEq)]
pub struct Visit {
    pub day: Date,
    /// The numbers of the patches, with what was cut there in the measure of their crop.
    pub cuts: Vec<(usize, f64)>,
    /// The largest party written down for one patch that day: the same people may have cut
    /// several patches.
    pub people: Option<u32>,
    /// Whether for some patch nobody wrote down how many came.
    pub uncounted: bool,
}

pub(super) fn visits(patches: &[PatchReport]) -> Vec<Visit> {
    let mut days: BTreeMap<Date, Visit> = BTreeMap::new();
    for patch in patches {
        for cut in &patch.cut_days {
            let visit = days.entry(cut.day).or_insert_with(|| Visit::on(cut.day));
            visit.cuts.push((patch.number, cut.taken));
            visit.people = visit.people.max(cut.people);
            visit.uncounted |= cut.people.is_none();
        }
    }
    days.into_values().collect()
}

impl Visit {
    fn on(day: Date) -> Self {
        Self { day, cuts: Vec::new(), people: None, uncounted: false }
    }
}
