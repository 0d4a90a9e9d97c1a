//! What is proposed for the next season, and why.

use super::agreed::crops;
use super::words::{named, sentence};
use crate::assess::season_report::{Proposal, Renewal, SeasonReport};
use crate::assess::{Opening, PatchAdvice, Response, WhySurvey};
use crate::report::page::{Block, Section};
use crate::units::{percent, spoken_day};

pub(super) fn section(report: &SeasonReport) -> Section {
    let (season, next) = (report.span.season, report.span.season.following());
    let heading = if report.span.days_left() > 0 {
        format!("Proposed for the rest of {season}, and for {next}")
    } else {
        format!("Proposed for {next}")
    };
    let mut blocks = vec![Block::Paragraph(INTRODUCTION.to_owned())];
    blocks.push(Block::Subheading("Share".to_owned()));
    let shares = of_kind(report, share);
    blocks.push(if shares.is_empty() {
        Block::Paragraph(
            "As now: no patch is seen to decline, so no share needs to be lowered for that."
                .to_owned(),
        )
    } else {
        Block::List(shares)
    });
    for (heading, texts) in [
        ("Rest", of_kind(report, rest)),
        ("Surveys wanted", of_kind(report, survey)),
        ("Permissions to renew", of_kind(report, renew)),
        ("Closures", of_kind(report, close_again)),
    ] {
        if !texts.is_empty() {
            blocks.extend([Block::Subheading(heading.to_owned()), Block::List(texts)]);
        }
    }
    Section { id: "next", heading, blocks }
}

const INTRODUCTION: &str = "Nothing here is decided: the occupier's word comes first. The rules of \
    the share go on by themselves, and let no patch be cut that has not refilled.";

fn of_kind(
    report: &SeasonReport,
    said: fn(&SeasonReport, &Proposal) -> Option<String>,
) -> Vec<String> {
    report.proposals.iter().filter_map(|proposal| said(report, proposal)).collect()
}

fn share(report: &SeasonReport, proposal: &Proposal) -> Option<String> {
    let Proposal::LowerShare { patch, response } = proposal else { return None };
    let name = named(report, *patch);
    Some(match response {
        Response::Proposed { kept_standing_now, kept_standing, .. } => format!(
            "{name}: keep {:.1} % standing instead of {:.1} %, because the patch declines; the \
             share falls by as much as the patch loses in a year.",
            100.0 * kept_standing,
            100.0 * kept_standing_now
        ),
        Response::Made { on, kept_standing } => format!(
            "{name}: on {} the part that is always kept standing was set to {:.1} %, because the \
             patch declines; leave it there until a survey says otherwise.",
            spoken_day(*on),
            100.0 * kept_standing
        ),
    })
}

fn rest(report: &SeasonReport, proposal: &Proposal) -> Option<String> {
    let Proposal::Rest { patch, opening } = proposal else { return None };
    let until = match opening {
        Some(Opening { day, needs_survey: true, .. }) => {
            format!("until {}, and survey it first", spoken_day(*day))
        }
        Some(Opening { day, .. }) => format!("until {}", spoken_day(*day)),
        None => "until a new survey".to_owned(),
    };
    let name = named(report, *patch);
    Some(format!("{name}: {until}, because its share has not refilled."))
}

fn survey(report: &SeasonReport, proposal: &Proposal) -> Option<String> {
    let Proposal::Survey { patch, advice } = proposal else { return None };
    let name = named(report, *patch);
    let quadrats = match advice.quadrats {
        1 => "1 sample".to_owned(),
        n => format!("{n} samples"),
    };
    Some(format!("{name}: {quadrats}, because {}.", why(advice)))
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
    }
}

fn renew(report: &SeasonReport, proposal: &Proposal) -> Option<String> {
    let Proposal::Renew { permission, renewal } = proposal else { return None };
    let record = &permission.record;
    let ends = match renewal {
        Renewal::Lapsed(last) => format!("ended on {}", spoken_day(*last)),
        Renewal::EndsWithin(last) => format!("ends on {}", spoken_day(*last)),
    };
    let what = format!("{} permission for {} {ends}", record.basis.name(), crops(report, record));
    Some(sentence(&format!("the {what}")))
}

fn close_again(report: &SeasonReport, proposal: &Proposal) -> Option<String> {
    let Proposal::CloseAgain { closure } = proposal else { return None };
    let record = &closure.record;
    let place = record.patch.as_deref().unwrap_or("the whole site");
    let season = report.span.season;
    Some(match record.to {
        Some(last) => format!(
            "{place} was closed from {} to {}; if the reason comes again after {season}, close it \
             again.",
            spoken_day(record.from),
            spoken_day(last)
        ),
        None => format!("{place} stays closed until further notice."),
    })
}
