//! The season in one paragraph, made from the data.

use super::agreed;
use super::words::{listed, named, number_of, some_of, taken_in_all};
use crate::assess::DayRuling;
use crate::assess::season_report::{FigureId, OfSite, PatchReport, Proposal, SeasonReport, Visit};
use crate::crop::Trend;
use crate::report::page::{Block, Section, Tally};
use crate::units::{percent, spoken_day};

/// From this part of the full crop on a patch is as good as full, and below the other it is
/// worn: our own choice, no source.
const NEARLY_FULL: f64 = 0.9;
const WORN: f64 = 0.7;
/// As many broken terms as one sentence can name.
const MOST_NAMED: usize = 3;

pub(super) fn section(report: &SeasonReport) -> Section {
    let sentences = [
        cut(report),
        limits(report),
        terms(report),
        condition(report),
        trodden(report),
        trend(report),
        proposed(report),
        still_running(report),
    ];
    let paragraph = sentences.into_iter().flatten().collect::<Vec<_>>().join(" ");
    Section {
        id: "short",
        heading: "The season in short".to_owned(),
        blocks: vec![Block::Tally(tallies(report)), Block::Paragraph(paragraph)],
    }
}

fn tallies(report: &SeasonReport) -> Vec<Tally> {
    let overruns = report.overruns().len();
    let tally = |value: String, words: &str, figure: OfSite, marked: bool| Tally {
        value,
        words: words.to_owned(),
        id: FigureId::Site(figure).to_string(),
        marked,
    };
    let (visits, cut) = (report.visits.len(), cut_patches(report).count());
    let of_patches = format!(
        "cut in all, from {cut} of {}",
        number_of(report.patches.len(), "patch", "patches")
    );
    let people = report.visits.iter().filter_map(Visit::people).max();
    let largest = people.map_or("–".to_owned(), |people| people.to_string());
    let over =
        if overruns == 1 { "cut over what was allowed" } else { "cuts over what was allowed" };
    let corrected =
        if report.righted.len() == 1 { "record put right" } else { "records put right" };
    vec![
        tally(
            visits.to_string(),
            if visits == 1 { "day with a cut" } else { "days with a cut" },
            OfSite::Visits,
            false,
        ),
        tally(taken_in_all(report), &of_patches, OfSite::Visits, false),
        tally(largest, "people on the day with most", OfSite::People, false),
        tally(overruns.to_string(), over, OfSite::Overruns, overruns > 0),
        tally(report.righted.len().to_string(), corrected, OfSite::Corrections, false),
    ]
}

fn cut_patches<'r, 'a>(report: &'r SeasonReport<'a>) -> impl Iterator<Item = &'r PatchReport<'a>> {
    report.patches.iter().filter(|patch| !patch.cut_days().is_empty())
}

fn cut(report: &SeasonReport) -> Option<String> {
    let (from, to) = (spoken_day(report.span.from()), spoken_day(report.span.to));
    let patches = number_of(report.patches.len(), "patch", "patches");
    Some(match report.visits.len() {
        _ if report.patches.is_empty() => {
            "No patch is recorded on this site, so there is little to report.".to_owned()
        }
        0 => format!("From {from} to {to} nothing was cut on the site's {patches}."),
        visits => format!(
            "From {from} to {to} something was cut on {}, from {} of the site's {patches}: {} in \
             all.",
            number_of(visits, "day", "days"),
            cut_patches(report).count(),
            taken_in_all(report)
        ),
    })
}

fn limits(report: &SeasonReport) -> Option<String> {
    let cuts: usize = report.patches.iter().map(|patch| patch.cut_days().len()).sum();
    if cuts == 0 {
        return None;
    }
    let overruns = report.overruns();
    let Some((patch, worst)) = overruns.iter().max_by(|a, b| {
        let part = |cut: &DayRuling| cut.take.part_of_allowed().unwrap_or(0.0);
        part(a.1).total_cmp(&part(b.1))
    }) else {
        let used = cut_patches(report).filter_map(|patch| patch.season.hardest());
        let hardest = used.max_by(|a, b| a.1.total_cmp(&b.1));
        let most = hardest.map_or(String::new(), |(_, part)| {
            format!("; the hardest took {} of it", percent(part))
        });
        return Some(format!(
            "Every cut stayed within what was allowed that day, as far as scales in the field can \
             tell{most}."
        ));
    };
    let allowed = match worst.take.allowed {
        Some(most) if most > 0.0 => format!("{} was allowed", patch.crop().show(most)),
        _ => "nothing was allowed".to_owned(),
    };
    let which = if overruns.len() == 1 { "it was" } else { "the gravest was" };
    Some(format!(
        "{} of {cuts} went over what was allowed that day; {which} {} on {}, where {} was cut and \
         {allowed}.",
        number_of(overruns.len(), "cut", "cuts"),
        patch.name(),
        spoken_day(worst.day),
        patch.crop().show(worst.take.taken)
    ))
}

fn terms(report: &SeasonReport) -> Option<String> {
    Some(if report.agreements.is_empty() {
        "No permission for these days is recorded.".to_owned()
    } else if report.kept_terms() {
        "As far as the records tell, everything that was agreed was kept.".to_owned()
    } else {
        let broken = agreed::broken(report);
        let which = if broken.len() > MOST_NAMED {
            "the next section names what was not".to_owned()
        } else {
            listed(&broken)
        };
        format!("Not everything that was agreed was kept: {which}.")
    })
}

fn condition(report: &SeasonReport) -> Option<String> {
    let known: Vec<(&str, f64)> = report
        .patches
        .iter()
        .filter_map(|patch| Some((patch.name(), patch.season.series.latest()?.1.depletion)))
        .collect();
    let unknown = report.patches.len() - known.len();
    if report.patches.is_empty() {
        return None;
    }
    if known.is_empty() {
        return Some(
            "No patch had been measured by then, so how they stood is not known.".to_owned(),
        );
    }
    let full = known.iter().filter(|(_, depletion)| 1.0 - depletion >= NEARLY_FULL).count();
    let worn: Vec<&str> = known
        .iter()
        .filter(|(_, depletion)| 1.0 - depletion < WORN)
        .map(|(name, _)| *name)
        .collect();
    let worn = if worn.is_empty() {
        format!("none under {}", percent(WORN))
    } else {
        format!("{} under {} ({})", worn.len(), percent(WORN), some_of(&worn))
    };
    let unmeasured = match unknown {
        0 => String::new(),
        n => format!(
            "; {} not measured yet",
            if n == 1 { "1 is".to_owned() } else { format!("{n} are") }
        ),
    };
    Some(format!(
        "Of the {} whose crop is known, {full} {} at {} of the full crop or more and {worn}{unmeasured}.",
        number_of(known.len(), "patch", "patches"),
        if full == 1 { "stands" } else { "stand" },
        percent(NEARLY_FULL)
    ))
}

fn trodden(report: &SeasonReport) -> Option<String> {
    let (patch, part) = report.most_trodden()?;
    Some(format!(
        "Feet pressed {} most: roughly {} of what its ground bears in a year.",
        patch.name(),
        percent(part)
    ))
}

fn trend(report: &SeasonReport) -> Option<String> {
    let named: Vec<&str> = report
        .patches
        .iter()
        .filter(|patch| matches!(patch.evidence.trend, Trend::Declining(_)))
        .map(PatchReport::name)
        .collect();
    let told = report.patches.iter().any(|patch| patch.evidence.trend.change().is_some());
    match (named.as_slice(), told) {
        ([], _) if report.patches.is_empty() => None,
        ([], true) => Some("No patch is seen to decline from year to year.".to_owned()),
        ([], false) => Some("It is too early to tell a trend for any patch.".to_owned()),
        (names, _) => Some(format!(
            "From year to year {} {} declining.",
            some_of(names),
            if names.len() == 1 { "is" } else { "are" }
        )),
    }
}

fn proposed(report: &SeasonReport) -> Option<String> {
    let shares: Vec<&str> = report
        .proposals
        .iter()
        .filter_map(|proposal| match proposal {
            Proposal::LowerShare { patch, .. } => Some(named(report, *patch)),
            _ => None,
        })
        .collect();
    let next = report.span.season.following();
    (!shares.is_empty())
        .then(|| format!("For {next} a smaller share is proposed for {}.", some_of(&shares)))
}

fn still_running(report: &SeasonReport) -> Option<String> {
    let span = report.span;
    (span.days_left() > 0).then(|| {
        format!(
            "The season runs on to {}; this report ends on {}.",
            spoken_day(span.season.last_day()),
            spoken_day(span.to)
        )
    })
}
