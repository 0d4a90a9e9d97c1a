//! The names that the figures of a report go by, so that each can be traced.

use std::fmt;
use std::str::FromStr;

/// `visits`, or `p3-taken` for the patch that bears number 3.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FigureId {
    /// Of the site as a whole.
    Site(OfSite),
    /// Of a patch, by its number.
    Patch(usize, OfPatch),
}

/// The figures of a site.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OfSite {
    /// Days on which something was cut.
    Visits,
    /// People who came, as far as they were counted.
    People,
    /// Days on which a patch gave more than it could bear.
    Overruns,
    /// Records that were put right or withdrawn.
    Corrections,
    /// Whether what was agreed was kept.
    Terms,
}

/// The figures of a patch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OfPatch {
    /// What stood on the last day told.
    Stood,
    /// What the limits of the days with a cut come to.
    Allowed,
    /// What was cut.
    Taken,
    /// Days on which people came to cut.
    Visits,
    /// The hardest cut as a part of what was allowed that day.
    Hardest,
    /// How much of the full crop was missing on the last day told.
    BelowFull,
    /// What part of the ground's limit feet come to.
    Feet,
    /// Whether it holds, gains or loses from year to year.
    Trend,
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
/// A text that names no figure; has the text.
#[error(
    "`{0}` is no figure of this report; write one like `visits` or `p3-taken`, as they stand at \
     its end"
)]
pub struct UnknownFigure(pub String);

impl OfSite {
    /// Every figure of a site.
    pub const ALL: [Self; 5] =
        [Self::Visits, Self::People, Self::Overruns, Self::Corrections, Self::Terms];

    /// As it stands in a figure's name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Visits => "visits",
            Self::People => "people",
            Self::Overruns => "overruns",
            Self::Corrections => "corrections",
            Self::Terms => "terms",
        }
    }
}

impl OfPatch {
    /// Every figure of a patch.
    pub const ALL: [Self; 8] = [
        Self::Stood,
        Self::Allowed,
        Self::Taken,
        Self::Visits,
        Self::Hardest,
        Self::BelowFull,
        Self::Feet,
        Self::Trend,
    ];

    /// As it stands in a figure's name, behind the patch's number.
    pub fn name(self) -> &'static str {
        match self {
            Self::Stood => "stood",
            Self::Allowed => "allowed",
            Self::Taken => "taken",
            Self::Visits => "visits",
            Self::Hardest => "hardest",
            Self::BelowFull => "below-full",
            Self::Feet => "feet",
            Self::Trend => "trend",
        }
    }
}

impl fmt::Display for FigureId {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Site(figure) => out.pad(figure.name()),
            Self::Patch(number, figure) => out.pad(&format!("p{number}-{}", figure.name())),
        }
    }
}

impl FromStr for FigureId {
    type Err = UnknownFigure;

    fn from_str(text: &str) -> Result<Self, UnknownFigure> {
        let unknown = || UnknownFigure(text.to_owned());
        let text = text.trim();
        if let Some(figure) = OfSite::ALL.into_iter().find(|figure| figure.name() == text) {
            return Ok(Self::Site(figure));
        }
        let (patch, name) = text.split_once('-').ok_or_else(unknown)?;
        let number = patch.strip_prefix('p').and_then(|number| number.parse().ok());
        let figure = OfPatch::ALL.into_iter().find(|figure| figure.name() == name);
        Ok(Self::Patch(number.ok_or_else(unknown)?, figure.ok_or_else(unknown)?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_is_read_as_it_is_written() {
        let of_site = OfSite::ALL.map(FigureId::Site);
        let of_patch = OfPatch::ALL.map(|figure| FigureId::Patch(12, figure));
        for figure in of_site.into_iter().chain(of_patch) {
            assert_eq!(figure.to_string().parse(), Ok(figure));
        }
        for bad in ["", "p3", "taken", "p-taken", "px-taken", "p3-", "3-taken"] {
            assert!(bad.parse::<FigureId>().is_err(), "`{bad}` was taken");
        }
    }
}
