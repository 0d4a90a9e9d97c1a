//! From a figure of the report back to the facts behind it.

use jiff::civil::Date;

use super::{FigureId, OfPatch, OfSite, PatchReport, SeasonReport, Span, UnknownFigure};
use crate::pressure::Footfall;
use crate::records::{Cut, Fact, FactId, Kind};
use crate::units::Amount;

/// A fact behind a figure; who recorded it is left to `history`.
#[derive(Clone, Debug, PartialEq)]
pub struct TracedFact {
    /// By which `history` finds it.
    pub id: FactId,
    /// When it happened.
    pub day: Date,
    /// What kind of record it is.
    pub kind: Kind,
    /// The patch's name, for what is about one.
    pub patch: Option<String>,
    /// What it says, where it says an amount.
    pub amount: Option<Amount>,
}

impl SeasonReport<'_> {
    /// The facts behind a figure, by day.
    ///
    /// # Errors
    /// A patch number that the report does not have.
    pub fn trace(&self, figure: FigureId) -> Result<Vec<TracedFact>, UnknownFigure> {
        let mut facts = match figure {
            FigureId::Site(figure) => self.behind_site(figure),
            FigureId::Patch(number, figure) => {
                let patch = self.patches.iter().find(|patch| patch.number == number);
                let patch = patch
                    .ok_or_else(|| UnknownFigure(FigureId::Patch(number, figure).to_string()))?;
                self.behind_patch(patch, figure)
            }
        };
        facts.sort_by_key(|fact| (fact.day, fact.kind, fact.id));
        facts.dedup();
        Ok(facts)
    }

    fn behind_site(&self, figure: OfSite) -> Vec<TracedFact> {
        let cuts = || self.patches.iter().flat_map(|patch| season_cuts(patch, self.span));
        match figure {
            OfSite::Visits => cuts().collect(),
            OfSite::People => cuts().chain(self.walked()).collect(),
            OfSite::Terms => {
                self.terms().into_iter().chain(self.told_of(None)).chain(cuts()).collect()
            }
            OfSite::Overruns => {
                let over = self.patches.iter().filter(|patch| patch.overruns().next().is_some());
                over.flat_map(|patch| self.behind_patch(patch, OfPatch::Allowed)).collect()
            }
            OfSite::Corrections => {
                let sides = self.righted.iter().flat_map(|righted| {
                    std::iter::once(&righted.was).chain(&righted.now).map(move |fact| TracedFact {
                        id: fact.id,
                        day: fact.happened_on,
                        kind: fact.record.kind(),
                        patch: righted.patch().map(|name| name.patch().to_owned()),
                        amount: None,
                    })
                });
                sides.collect()
            }
        }
    }

    fn behind_patch(&self, patch: &PatchReport, figure: OfPatch) -> Vec<TracedFact> {
        let span = self.span;
        match figure {
            OfPatch::Taken | OfPatch::Visits => season_cuts(patch, span).collect(),
            OfPatch::Feet => feet(patch, span).collect(),
            OfPatch::Trend => surveys(patch, span).collect(),
            OfPatch::Stood | OfPatch::BelowFull => {
                let told = self.told_of(Some(patch)).filter(|fact| fact.patch.is_some());
                seen_and_cut(patch, span).chain(told).collect()
            }
            OfPatch::Allowed | OfPatch::Hardest => {
                let told = self.told_of(Some(patch));
                seen_and_cut(patch, span).chain(self.terms()).chain(told).collect()
            }
        }
    }

    fn walked(&self) -> impl Iterator<Item = TracedFact> {
        let came = self.walks.came.iter();
        came.map(|walk| TracedFact { day: walk.record.day, ..of_site(walk, Kind::Walk) })
    }

    /// The visits until its last day that bear on what may be cut: what was seen of trouble, of
    /// look-alikes and nests, and what the occupier answered; with a patch, those of it and of the
    /// site as a whole.
    fn told_of<'p>(&'p self, patch: Option<&'p PatchReport>) -> impl Iterator<Item = TracedFact> {
        let span = self.span;
        let visits = self.site.visits.iter().filter(move |fact| {
            let is_here = patch.is_none_or(|patch| fact.record.covers_patch(patch.name()));
            fact.happened_on <= span.to && is_here && fact.record.bears_on_cuts()
        });
        visits.map(|fact| {
            let patch = fact.record.patch.as_ref().map(ToString::to_string);
            TracedFact { patch, ..of_site(fact, Kind::Visit) }
        })
    }

    /// What was agreed, and what the keeper of the book knows better of the crops.
    fn terms(&self) -> Vec<TracedFact> {
        let site = self.site;
        let permissions = site.permissions.iter().map(|fact| of_site(fact, Kind::Permission));
        let closures = site.closures.iter().map(|fact| of_site(fact, Kind::Closure));
        let overrides = site.overrides.iter().map(|fact| of_site(fact, Kind::Override));
        permissions.chain(closures).chain(overrides).collect()
    }
}

fn of_site<T>(fact: &Fact<T>, kind: Kind) -> TracedFact {
    TracedFact { id: fact.id, day: fact.happened_on, kind, patch: None, amount: None }
}

fn of_patch<T>(
    fact: &Fact<T>,
    kind: Kind,
    patch: &PatchReport,
    amount: Option<Amount>,
) -> TracedFact {
    TracedFact { patch: Some(patch.name().to_owned()), amount, ..of_site(fact, kind) }
}

fn cut(fact: &Fact<Cut>, patch: &PatchReport) -> TracedFact {
    of_patch(fact, Kind::Cut, patch, Some(fact.record.amount))
}

fn season_cuts<'p>(patch: &'p PatchReport, span: Span) -> impl Iterator<Item = TracedFact> + 'p {
    patch.cuts(span).map(|fact| cut(fact, patch))
}

/// The patch, whose ground bears the feet, and the cuts of the year for which they count.
fn feet<'p>(patch: &'p PatchReport, span: Span) -> impl Iterator<Item = TracedFact> + 'p {
    let year = Footfall::year_to(span.to);
    let cuts = patch.facts.cuts.iter().filter(move |fact| year.contains(&fact.happened_on));
    let itself = of_patch(&patch.facts.patch, Kind::Patch, patch, None);
    std::iter::once(itself).chain(cuts.map(|fact| cut(fact, patch)))
}

fn surveys<'p>(patch: &'p PatchReport, span: Span) -> impl Iterator<Item = TracedFact> + 'p {
    let told = patch.facts.surveys.iter().filter(move |fact| fact.happened_on <= span.to);
    told.map(|fact| of_patch(fact, Kind::Survey, patch, None))
}

/// The patch itself, and all of it that was seen or cut up to the span's last day.
fn seen_and_cut<'p>(patch: &'p PatchReport, span: Span) -> impl Iterator<Item = TracedFact> + 'p {
    let glances = patch.facts.glances.iter().filter(move |fact| fact.happened_on <= span.to);
    let glances =
        glances.map(|fact| of_patch(fact, Kind::Glance, patch, Some(fact.record.standing)));
    let cuts = patch.facts.cuts.iter().filter(move |fact| fact.happened_on <= span.to);
    let itself = of_patch(&patch.facts.patch, Kind::Patch, patch, None);
    let cuts = cuts.map(|fact| cut(fact, patch));
    std::iter::once(itself).chain(surveys(patch, span)).chain(glances).chain(cuts)
}
