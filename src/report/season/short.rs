//! Page one: what a landowner asks, answered in the order in which they ask it.

use super::words::{sum_of, taken_in_all};
use super::{agreed, before, condition, ground, next, visits};
use crate::assess::DayRuling;
use crate::assess::season_report::{FigureId, OfSite, PatchReport, SeasonReport};
use crate::report::page::{Answer, Block, Section, Tally};
use crate::units::{agreeing, counted, spoken_day};

/// As many crops as one sentence tells the amounts of.
const MOST_CROPS: usize = 5;
/// As many days as one sentence can name.
const MOST_NAMED: usize = 3;

pub(super) fn section(report: &SeasonReport) -> Section {
    let answers = [
        answer("Used as agreed?", agreed::kept(report)).marked(!report.kept_terms()),
        answer("More than the patches can bear?", bearing(report))
            .marked(report.told.past_bearing > 0),
        answer("Who came, how often?", visits::who_came(report)),
        answer("What was taken?", taken(report)),
        answer("Better or worse?", condition::better_or_worse(report)),
        answer(next::heading(report), next::in_short(report)),
    ];
    let answers = answers.into_iter().filter(|answer| !answer.texts.is_empty()).collect();
    let mut blocks = vec![Block::Tally(tallies(report)), Block::Answers(answers)];
    blocks.extend(ground::beside_map(report, before::blocks(report)));
    Section { id: "short", heading: "The season in short".to_owned(), blocks }
}

fn answer(question: impl Into<String>, texts: Vec<String>) -> Answer {
    Answer { question: question.into(), texts, marked: false }
}

fn tallies(report: &SeasonReport) -> Vec<Tally> {
    let tally = |value: String, words: &str, figure: OfSite| Tally {
        value,
        words: words.to_owned(),
        id: FigureId::Site(figure).to_string(),
        marked: false,
    };
    let told = &report.told;
    let people = told.most_people.map_or("–".to_owned(), |people| people.to_string());
    let kept = if report.kept_terms() { "kept" } else { "not kept" };
    let past = told.past_bearing;
    let patches = counted(report.patches.len(), "patch");
    let of_patches = format!("taken in all, from {} of {patches}", cut_patches(report).count());
    let agreed = Tally {
        marked: !report.kept_terms(),
        ..tally(kept.to_owned(), "what was agreed", OfSite::Terms)
    };
    let agreed = if report.agreements.is_empty() && report.kept_terms() {
        Tally { value: "–".to_owned(), words: "nothing agreed is on record".to_owned(), ..agreed }
    } else {
        agreed
    };
    vec![
        agreed,
        Tally {
            marked: past > 0,
            ..tally(
                past.to_string(),
                agreeing(
                    past,
                    "cut of more than its patch can bear",
                    "cuts of more than their patch can bear",
                ),
                OfSite::Overruns,
            )
        },
        tally(
            told.days.to_string(),
            agreeing(told.days, "day with a cut", "days with a cut"),
            OfSite::Visits,
        ),
        tally(people, "people on the day with most", OfSite::People),
        tally(taken_in_all(report), &of_patches, OfSite::Visits),
    ]
}

fn cut_patches<'r, 'a>(report: &'r SeasonReport<'a>) -> impl Iterator<Item = &'r PatchReport<'a>> {
    report.patches.iter().filter(|patch| !patch.cut_days().is_empty())
}

/// Of what the patches can bear, and never of what was agreed.
fn bearing(report: &SeasonReport) -> Vec<String> {
    let cuts: usize = report.patches.iter().map(|patch| patch.cut_days().len()).sum();
    let mut past = report.past_bearing();
    if cuts == 0 {
        return Vec::new();
    }
    if past.is_empty() {
        return vec![format!(
            "No: {} took more than its patch could bear that day, as far as scales in the field \
             can tell.",
            if cuts == 1 { "the one cut never".to_owned() } else { format!("none of {cuts} cuts") }
        )];
    }
    let part = |cut: &DayRuling| cut.take.part_of_allowed().unwrap_or(0.0);
    past.sort_by(|a, b| part(b.1).total_cmp(&part(a.1)));
    let shown: Vec<String> =
        past.iter().take(MOST_NAMED).map(|(patch, cut)| one(patch, cut)).collect();
    let more = match past.len().saturating_sub(MOST_NAMED) {
        0 => String::new(),
        more => format!("; and {more} more, in the appendix"),
    };
    vec![format!("Yes, at {} of {cuts} cuts: {}{more}.", past.len(), shown.join("; "))]
}

/// `Top hedge on 1 Nov 2026, 3.9 kg where it could bear 1.6 kg`.
fn one(patch: &PatchReport, cut: &DayRuling) -> String {
    format!(
        "{} on {}, {} where {}",
        patch.name(),
        spoken_day(cut.day),
        patch.crop().show(cut.take.taken),
        could_bear(patch, cut)
    )
}

/// `it could bear 1.6 kg`, or that it could bear nothing.
pub(super) fn could_bear(patch: &PatchReport, cut: &DayRuling) -> String {
    let useful = patch.crop().smallest_useful.value.value;
    match cut.morning.bearable() {
        Some(most) if most >= useful => format!("it could bear {}", patch.crop().show(most)),
        Some(_) => "it could bear nothing".to_owned(),
        None => "nothing was allowed".to_owned(),
    }
}

fn taken(report: &SeasonReport) -> Vec<String> {
    let (from, to) = (spoken_day(report.span.from()), spoken_day(report.span.to));
    let patches = counted(report.patches.len(), "patch");
    let text = match report.told.days {
        _ if report.patches.is_empty() => {
            "No patch is recorded on this site, so there is little to report.".to_owned()
        }
        0 => format!("From {from} to {to} nothing was cut on the site's {patches}."),
        days => format!(
            "{} in all, on {}, from {} of the site's {patches}: {}.",
            taken_in_all(report),
            counted(days, "day"),
            cut_patches(report).count(),
            by_crop(report)
        ),
    };
    let left = report.span.days_left();
    let runs_on = (left > 0).then(|| {
        format!(
            "The season runs on to {}; this report ends on {to}.",
            spoken_day(report.span.season.last_day())
        )
    });
    [Some(text), runs_on].into_iter().flatten().collect()
}

/// `Common nettle, tops 9.9 kg; Elder, flower 20 heads`, the most first.
fn by_crop(report: &SeasonReport) -> String {
    let mut crops: Vec<(&PatchReport, f64)> = Vec::new();
    for patch in cut_patches(report) {
        match crops.iter_mut().find(|(known, _)| known.crop().name == patch.crop().name) {
            Some((_, sum)) => *sum += patch.taken(),
            None => crops.push((patch, patch.taken())),
        }
    }
    crops.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.number.cmp(&b.0.number)));
    let rest = crops.split_off(crops.len().min(MOST_CROPS));
    let mut told: Vec<String> = crops
        .iter()
        .map(|(patch, sum)| format!("{} {}", patch.crop().common_name, patch.crop().show(*sum)))
        .collect();
    if !rest.is_empty() {
        let sum = sum_of(rest.iter().map(|(patch, sum)| (&**patch.crop(), *sum)));
        told.push(format!("{sum} of {}", counted(rest.len(), "other crop")));
    }
    told.join("; ")
}
