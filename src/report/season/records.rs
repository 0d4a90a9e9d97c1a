//! Where more was cut than allowed, what was put right, and what the records do not tell.

use super::words::{named, some_of};
use crate::assess::DayRuling;
use crate::assess::season_report::{Gaps, Righted, SeasonReport};
use crate::records::{Kind, Record};
use crate::report::page::{Block, Section};
use crate::report::where_allowed;
use crate::units::{agreeing, counted, spoken_day};

/// Only what there is to tell.
pub(super) fn section(report: &SeasonReport) -> Option<Section> {
    let righted = report.righted.iter().map(|righted| put_right(report, righted)).collect();
    let parts: [(&str, Vec<String>); 3] = [
        ("Cuts over the day's limit", overruns(report)),
        ("Records put right", righted),
        ("Gaps", gaps(report)),
    ];
    let blocks: Vec<Block> = parts
        .into_iter()
        .filter(|(_, texts)| !texts.is_empty())
        .flat_map(|(heading, texts)| [Block::Subheading(heading.to_owned()), Block::Columns(texts)])
        .collect();
    (!blocks.is_empty()).then(|| Section {
        id: "records",
        heading: "What went over, what was put right, and what is missing".to_owned(),
        blocks,
    })
}

/// As many overruns as are listed, the gravest; the table of visits holds all.
const OVERRUNS_SHOWN: usize = 20;

fn overruns(report: &SeasonReport) -> Vec<String> {
    let mut all = report.overruns();
    let part = |cut: &DayRuling| cut.take.part_of_allowed().unwrap_or(0.0);
    all.sort_by(|a, b| part(b.1).total_cmp(&part(a.1)));
    let left_out = all.split_off(all.len().min(OVERRUNS_SHOWN)).len();
    all.sort_by_key(|(patch, cut)| (cut.day, patch.number));
    let more = (left_out > 0).then(|| {
        format!(
            "{} not quite as far over; the table of visits beside this report holds them all.",
            counted(left_out, "more cut")
        )
    });
    let told = all.into_iter().map(|(patch, cut)| {
        let crop = patch.crop();
        let allowed = where_allowed(cut, crop);
        let rule = cut.take.decided_by.map_or(String::new(), |rule| format!(" by the {rule}"));
        let passed = if cut.is_past_bearing() { "than it could bear" } else { "than was agreed" };
        format!(
            "{}, {}: {} cut {allowed}{rule}; more {passed}.",
            spoken_day(cut.day),
            patch.name(),
            crop.show(cut.take.taken)
        )
    });
    told.chain(more).collect()
}

/// The reason is left out: people write it in words of their own.
fn put_right(report: &SeasonReport, righted: &Righted) -> String {
    let what = righted.was.record.kind();
    let of = righted.patch().map_or(String::new(), |name| format!(" of {}", name.patch()));
    let article = if matches!(what, Kind::Override) { "an" } else { "a" };
    let was = format!("{article} {}{of}, {}", what.name(), spoken_day(righted.was.happened_on));
    let on = spoken_day(righted.correction.recorded_on);
    match &righted.now {
        None => format!("{on}: {was}, was withdrawn."),
        Some(now) => {
            let change = changed(report, &righted.was.record, &now.record);
            let moved = if now.happened_on == righted.was.happened_on {
                String::new()
            } else {
                format!(", now of {}", spoken_day(now.happened_on))
            };
            format!("{on}: {was}, was put right{change}{moved}.")
        }
    }
}

/// `: 640 g, not 6.4 kg`.
fn changed(report: &SeasonReport, was: &Record, now: &Record) -> String {
    let (Record::Cut(was), Record::Cut(now)) = (was, now) else { return String::new() };
    if was.amount == now.amount {
        return String::new();
    }
    let crop = report.patches.iter().find(|patch| patch.patch().name == now.patch);
    match crop.map(|patch| patch.crop()) {
        Some(crop) => {
            format!(": {}, not {}", crop.show(now.amount.value), crop.show(was.amount.value))
        }
        None => format!(": {}, not {}", now.amount, was.amount),
    }
}

fn gaps(report: &SeasonReport) -> Vec<String> {
    let gaps = &report.gaps;
    let lines = [
        not_told(report),
        uncounted(gaps),
        untold(report),
        silence(gaps),
        not_measured(report, gaps),
        lapsed(report, gaps),
        unseen(report, gaps),
        late(gaps),
    ];
    lines.into_iter().flatten().collect()
}

fn not_told(report: &SeasonReport) -> Option<String> {
    let left = report.span.days_left();
    (left > 0).then(|| {
        format!(
            "{} of the season, after {}, are not told yet.",
            counted(left, "day"),
            spoken_day(report.span.to)
        )
    })
}

fn uncounted(gaps: &Gaps) -> Option<String> {
    let cuts = gaps.cuts_without_people as usize;
    (cuts > 0).then(|| format!("{} without a count of people.", counted(cuts, "cut")))
}

fn untold(report: &SeasonReport) -> Option<String> {
    let walks = report.walks.untold.len();
    (walks > 0).then(|| {
        format!(
            "{} {} to come here, but no cut here is recorded of {}.",
            counted(walks, "recorded walk"),
            agreeing(walks, "was", "were"),
            agreeing(walks, "it", "them")
        )
    })
}

fn silence(gaps: &Gaps) -> Option<String> {
    let (first, last) = gaps.longest_silence?;
    let days = (last - first).get_days().unsigned_abs() as usize + 1;
    Some(format!(
        "The longest time without any record of this site is {}, from {} to {}; if anything was \
         cut then, it is not in this report.",
        counted(days, "day"),
        spoken_day(first),
        spoken_day(last)
    ))
}

fn not_measured(report: &SeasonReport, gaps: &Gaps) -> Option<String> {
    let names: Vec<&str> = gaps.never_surveyed.iter().map(|patch| named(report, *patch)).collect();
    (!names.is_empty()).then(|| format!("Not measured yet: {}.", some_of(&names)))
}

fn lapsed(report: &SeasonReport, gaps: &Gaps) -> Option<String> {
    let days = report.span.days();
    let mut worst = gaps.days_not_known.clone();
    worst.sort_by_key(|(patch, days)| (std::cmp::Reverse(*days), *patch));
    let told: Vec<String> =
        worst.iter().map(|(patch, days)| format!("{} ({days})", named(report, *patch))).collect();
    let told: Vec<&str> = told.iter().map(String::as_str).collect();
    (!told.is_empty()).then(|| {
        format!(
            "Without a survey young enough to be believed, for so many of the {days} days told: {}.",
            some_of(&told)
        )
    })
}

fn unseen(report: &SeasonReport, gaps: &Gaps) -> Option<String> {
    let told: Vec<String> = gaps
        .cut_unseen
        .iter()
        .map(|(patch, day)| format!("{} on {}", named(report, *patch), spoken_day(*day)))
        .collect();
    let told: Vec<&str> = told.iter().map(String::as_str).collect();
    (!told.is_empty())
        .then(|| format!("Cut while no survey of the patch was believed: {}.", some_of(&told)))
}

fn late(gaps: &Gaps) -> Option<String> {
    (gaps.late_cuts > 0).then(|| {
        format!(
            "{} {} written down more than two weeks later.",
            counted(gaps.late_cuts, "cut"),
            agreeing(gaps.late_cuts, "was", "were")
        )
    })
}
