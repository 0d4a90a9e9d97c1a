//! The recorded walks that have to do with a site. Their names and leaders stay out of reports.

use super::{Span, Visit};
use crate::records::{Cut, Fact, SiteName, Walk};

/// The recorded walks of the span that have to do with the site.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Walks<'a> {
    /// Something was cut on them here, by day.
    pub came: Vec<&'a Fact<Walk>>,
    /// They were to come here, but no cut tells whether they did.
    pub untold: Vec<&'a Fact<Walk>>,
}

impl<'a> Walks<'a> {
    pub(super) fn of(
        site: &SiteName,
        all: &[&'a Fact<Walk>],
        visits: &[Visit<'a>],
        span: Span,
    ) -> Self {
        let mut walks = Self::default();
        for walk in visits.iter().flat_map(|visit| &visit.walks) {
            if !walks.came.contains(walk) {
                walks.came.push(walk);
            }
        }
        let planned = all.iter().filter(|walk| {
            span.holds(walk.record.day) && walk.record.sites().any(|name| name == site)
        });
        walks.untold = planned.copied().filter(|walk| !walks.came.contains(walk)).collect();
        walks
    }

    pub(super) fn all(&self) -> impl Iterator<Item = &'a Fact<Walk>> {
        self.came.iter().chain(&self.untold).copied()
    }

    /// Over all that came; who came on two counts twice.
    pub fn people(&self) -> u32 {
        self.came.iter().map(|walk| walk.record.people()).fold(0, u32::saturating_add)
    }

    /// How many of `people` are children.
    pub fn children(&self) -> u32 {
        self.came.iter().map(|walk| walk.record.children()).fold(0, u32::saturating_add)
    }
}

/// The walk on which something was cut; `None` where it is not recorded.
pub(super) fn walk_of<'a>(cut: &Fact<Cut>, walks: &[&'a Fact<Walk>]) -> Option<&'a Fact<Walk>> {
    let name = cut.record.walk.as_ref()?;
    walks.iter().find(|walk| walk.record.name == *name).copied()
}
