//! What is proposed for the next season, and why.

use super::agreed::crops;
use super::words::{named, sentence};
use crate::assess::season_report::{Proposal, Renewal, SeasonReport};
use crate::assess::{Opening, PatchAdvice, Response, WhySurvey};
use crate::report::page::{Block, Section};
use crate::rules::{CODE_OF_PRACTICE, CUTS_PER_SEASON, FEET, RESERVE};
use crate::units::{counted, percent, spoken_day};

/// As many of a kind as page one tells; an appendix tells all of what is left.
const MOST_SHOWN: usize = 4;

type Said = fn(&SeasonReport, &Proposal) -> Option<String>;

const KINDS: [(&str, Said); 5] = [
    ("Take less", share),
    ("Rest", rest),
    ("Survey", survey),
    ("Renew", renew),
    ("Close again?", close_again),
];

pub(super) fn heading(report: &SeasonReport) -> String {
    let (season, next) = (report.span.season, report.span.season.following());
    if report.span.days_left() > 0 {
        format!("Proposed for the rest of {season}, and for {next}")
    } else {
        format!("Proposed for {next}")
    }
}

/// A paragraph a kind, on page one.
pub(super) fn in_short(report: &SeasonReport) -> Vec<String> {
    let kinds = KINDS.into_iter().filter_map(|(kind, said)| {
        let mut all = of_kind(report, said);
        let more = all.split_off(all.len().min(MOST_SHOWN)).len();
        if more > 0 {
            all.push(format!("{more} more, in the appendix"));
        }
        (!all.is_empty()).then(|| format!("{kind}: {}.", all.join("; ")))
    });
    let kinds: Vec<String> = kinds.collect();
    if kinds.is_empty() {
        return vec!["Nothing but to go on by the rules of the share.".to_owned()];
    }
    let decides = "Nothing of this is decided: the occupier's word comes first.";
    kinds.into_iter().chain([decides.to_owned()]).collect()
}

/// All of those kinds of which page one could not tell all.
pub(super) fn section(report: &SeasonReport) -> Option<Section> {
    let kinds = KINDS.into_iter().map(|(kind, said)| (kind, of_kind(report, said)));
    let long = kinds.filter(|(_, all)| all.len() > MOST_SHOWN);
    let blocks: Vec<Block> = long
        .flat_map(|(kind, all)| {
            let all = all.iter().map(|text| sentence(text)).collect();
            [Block::Subheading(kind.trim_end_matches('?').to_owned()), Block::Columns(all)]
        })
        .collect();
    (!blocks.is_empty()).then(|| Section { id: "next", heading: heading(report), blocks })
}

/// Without their full stops.
fn of_kind(report: &SeasonReport, said: Said) -> Vec<String> {
    report.proposals.iter().filter_map(|proposal| said(report, proposal)).collect()
}

fn share(report: &SeasonReport, proposal: &Proposal) -> Option<String> {
    let Proposal::LowerShare { patch, response } = proposal else { return None };
    let name = named(report, *patch);
    Some(match response {
        Response::Proposed { kept_standing_now, kept_standing, .. } => format!(
            "{name}: keep {:.1} % standing instead of {:.1} %, because the patch declines; the \
             share falls by as much as the patch loses in a year",
            100.0 * kept_standing,
            100.0 * kept_standing_now
        ),
        Response::Made { on, kept_standing } => format!(
            "{name}: on {} the part that is always kept standing was set to {:.1} %, because the \
             patch declines; leave it there until a survey says otherwise",
            spoken_day(*on),
            100.0 * kept_standing
        ),
    })
}

fn rest(report: &SeasonReport, proposal: &Proposal) -> Option<String> {
    let Proposal::Rest { patch, opening } = proposal else { return None };
    let until = match opening {
        Some(Opening { day, needs_survey: true, .. }) => {
            format!("until {}, then a survey first", spoken_day(*day))
        }
        Some(Opening { day, .. }) => format!("until {}", spoken_day(*day)),
        None => "until a new survey".to_owned(),
    };
    let resting = report.patches.iter().find(|resting| resting.number == *patch)?;
    let why = match resting.now.ruling.binding_rule() {
        Some(CODE_OF_PRACTICE) => "the code's part is taken",
        Some(CUTS_PER_SEASON) => "its cuts of the season are made",
        Some(RESERVE) => "no more stands than is kept",
        Some(FEET) => "its ground has had its feet",
        _ => "its share has not refilled",
    };
    Some(format!("{} {until} ({why})", named(report, *patch)))
}

fn survey(report: &SeasonReport, proposal: &Proposal) -> Option<String> {
    let Proposal::Survey { patch, advice } = proposal else { return None };
    let name = named(report, *patch);
    let quadrats = counted(advice.quadrats, "sample");
    Some(format!("{name}, {quadrats}, because {}", why(advice)))
}

fn why(advice: &PatchAdvice) -> String {
    match advice.why {
        WhySurvey::Never { .. } => "it was never measured".to_owned(),
        WhySurvey::Lapsed(last) => {
            format!("its survey was believed only until {}", spoken_day(last))
        }
        WhySurvey::Lapses(last) => {
            format!("its survey is believed only until {}", spoken_day(last))
        }
        WhySurvey::Doubt { costs } => {
            format!("doubt takes {} off what could be allowed", percent(costs))
        }
        WhySurvey::Untested { .. } => "nobody knows how fast it comes back".to_owned(),
    }
}

fn renew(report: &SeasonReport, proposal: &Proposal) -> Option<String> {
    let Proposal::Renew { permission, renewal } = proposal else { return None };
    let record = &permission.record;
    let ends = match renewal {
        Renewal::Lapsed(last) => format!("ended on {}", spoken_day(*last)),
        Renewal::EndsWithin(last) => format!("ends on {}", spoken_day(*last)),
    };
    Some(format!("{}, {} ({ends})", crops(report, record), record.basis.name()))
}

fn close_again(report: &SeasonReport, proposal: &Proposal) -> Option<String> {
    let Proposal::CloseAgain { closure } = proposal else { return None };
    let record = &closure.record;
    let place = record.patch.as_deref().unwrap_or("the whole site");
    let season = report.span.season;
    Some(match record.to {
        Some(last) => format!(
            "{place} was closed from {} to {}; if the reason comes again after {season}, close it \
             again",
            spoken_day(record.from),
            spoken_day(last)
        ),
        None => format!("{place} stays closed until further notice"),
    })
}
