//! Days on which something was cut anywhere on the site, and who came by number.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::walks::walk_of;
use super::{PatchReport, Span};
use crate::records::{Cut, Fact, Walk};

/// One day out on the site.
#[derive(Clone, Debug, PartialEq)]
pub struct Visit<'a> {
    /// Which day.
    pub day: Date,
    /// The numbers of the patches, with what was cut there in the measure of their crop.
    pub cuts: Vec<(usize, f64)>,
    /// The recorded walks that cut that day.
    pub walks: Vec<&'a Fact<Walk>>,
    /// Whether something was cut on no recorded walk.
    pub beside_walks: bool,
    /// Of those cuts, the largest party written down for one patch: the same people may have
    /// cut several patches.
    pub largest_party: Option<u32>,
    /// Whether for some patch of them nobody wrote down how many people came.
    pub uncounted: bool,
}

pub(super) fn visits<'a>(
    patches: &[PatchReport<'a>],
    walks: &[&'a Fact<Walk>],
    span: Span,
) -> Vec<Visit<'a>> {
    let mut days: BTreeMap<Date, Visit> = BTreeMap::new();
    for patch in patches {
        for cut in patch.cut_days() {
            let visit = days.entry(cut.day).or_insert_with(|| Visit::on(cut.day));
            visit.cuts.push((patch.number, cut.take.taken));
            let of_day = patch.cuts(span).filter(|fact| fact.happened_on == cut.day);
            visit.count(&of_day.collect::<Vec<_>>(), walks);
        }
    }
    days.into_values().collect()
}

impl<'a> Visit<'a> {
    fn on(day: Date) -> Self {
        Self {
            day,
            cuts: Vec::new(),
            walks: Vec::new(),
            beside_walks: false,
            largest_party: None,
            uncounted: false,
        }
    }

    /// The people behind the cuts of one patch.
    fn count(&mut self, cuts: &[&Fact<Cut>], walks: &[&'a Fact<Walk>]) {
        for walk in cuts.iter().filter_map(|cut| walk_of(cut, walks)) {
            if !self.walks.contains(&walk) {
                self.walks.push(walk);
            }
        }
        let beside: Vec<&Fact<Cut>> =
            cuts.iter().copied().filter(|cut| walk_of(cut, walks).is_none()).collect();
        if !beside.is_empty() {
            let party =
                beside.iter().filter_map(|cut| cut.record.people).reduce(u32::saturating_add);
            self.beside_walks = true;
            self.largest_party = self.largest_party.max(party);
            self.uncounted |= party.is_none();
        }
    }

    /// Those of its walks, children too; or the largest party beside them, where that is larger.
    pub fn people(&self) -> Option<u32> {
        let walked = self.walks.iter().map(|walk| walk.record.people()).reduce(u32::saturating_add);
        walked.max(self.largest_party)
    }

    /// Whether there may have been more than `people`.
    pub fn may_be_more(&self) -> bool {
        self.uncounted || (self.beside_walks && !self.walks.is_empty())
    }

    /// As far as walks tell.
    pub fn children(&self) -> u32 {
        let children = self.walks.iter().map(|walk| walk.record.children());
        children.fold(0, u32::saturating_add)
    }
}
