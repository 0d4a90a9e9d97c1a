//! What the records do not tell.

use jiff::civil::Date;

use super::{PatchReport, Span};
use crate::assess::Prepared;
use crate::records::{PatchFacts, SiteFacts};
use crate::regrowth::Seen;

/// Written down so many days after it happened, a fact is late: our own choice, no source.
const LATE_DAYS: i32 = 14;

/// What nobody wrote down or looked at, in numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Gaps {
    /// Cuts of which nobody wrote down how many came.
    pub cuts_without_people: u32,
    /// Numbers of the patches that nobody ever measured.
    pub never_surveyed: Vec<usize>,
    /// Patches whose last survey was too old to be believed for some of the days told: the
    /// number, and how many days.
    pub days_not_known: Vec<(usize, u32)>,
    /// Cuts of a patch on a day when nobody knew what stood: the number, and the day.
    pub cut_unseen: Vec<(usize, Date)>,
    /// Cuts that were written down more than two weeks after they were made.
    pub late_cuts: u32,
    /// The longest run of days without any record of the site: its first and last day.
    pub longest_silence: Option<(Date, Date)>,
}

pub(super) fn gaps(
    site: &SiteFacts,
    prepared: &[&Prepared],
    patches: &[PatchReport],
    span: Span,
) -> Gaps {
    let unknown = |day: Date, known: &[(Date, Date)]| {
        !known.iter().any(|(first, last)| (*first..=*last).contains(&day))
    };
    let mut gaps = Gaps {
        cuts_without_people: 0,
        never_surveyed: Vec::new(),
        days_not_known: Vec::new(),
        cut_unseen: Vec::new(),
        late_cuts: 0,
        longest_silence: longest_silence(site, span),
    };
    for (patch, report) in prepared.iter().zip(patches) {
        let known = believed(patch);
        if known.is_empty() {
            gaps.never_surveyed.push(report.number);
        } else {
            let days = span.season.days().take_while(|day| *day <= span.to);
            let count = days.filter(|day| unknown(*day, &known)).count() as u32;
            gaps.days_not_known.extend((count > 0).then_some((report.number, count)));
        }
        let unseen = report.cut_days().iter().filter(|cut| unknown(cut.day, &known));
        gaps.cut_unseen.extend(unseen.map(|cut| (report.number, cut.day)));
        gaps.cuts_without_people += report.season.visits_without_people;
        let late = report
            .cuts(span)
            .filter(|cut| (cut.recorded_on - cut.happened_on).get_days() > LATE_DAYS);
        gaps.late_cuts += late.count() as u32;
    }
    gaps
}

/// Spans of days, both ends included, over which some survey of the patch is believed.
fn believed(patch: &Prepared) -> Vec<(Date, Date)> {
    let surveys =
        patch.history.events().iter().filter(|event| matches!(event.seen, Seen::Survey(_)));
    surveys.map(|survey| (survey.day, patch.terms.valid_until(survey.day))).collect()
}

fn longest_silence(site: &SiteFacts, span: Span) -> Option<(Date, Date)> {
    let mut told: Vec<Date> = site
        .patches
        .iter()
        .flat_map(PatchFacts::days_told)
        .filter(|day| span.holds(*day))
        .collect();
    told.sort_unstable();
    let before = span.from().yesterday().ok();
    let after = span.to.tomorrow().ok();
    let ends: Vec<Date> = before.into_iter().chain(told).chain(after).collect();
    let silences = ends.windows(2).filter_map(|pair| {
        let (first, last) = (pair[0].tomorrow().ok()?, pair[1].yesterday().ok()?);
        (first <= last).then_some((first, last))
    });
    silences.max_by_key(|(first, last)| ((*last - *first).get_days(), std::cmp::Reverse(*first)))
}
