//! What is said of the months of a patch and of the kitchen, and the months in letters.

use jiff::civil::Date;

use super::page::{Block, Cell, Column, Table};
use crate::assess::{
    Ahead, Calendar, Expected, PatchMonth, PatchYear, RoleMonth, RoleYear, StageSpan,
};
use crate::records::{Crop, Stage};
use crate::rules::Verdict;
use crate::units::{Measure, spoken_day};

/// What each mark means, in the order in which they are told.
pub(super) const MARKS: [(&str, &str); 8] = [
    ("O", "expected to open"),
    ("s", "opens if it is surveyed first"),
    ("p", "opens if leave is asked for first"),
    ("r", "rests"),
    ("h", "promised to walks"),
    ("x", "closed, or no leave"),
    ("=", "in season, month over"),
    (".", "out of season"),
];

/// Of a month of a patch. One that is cut in some month of earlier years has `*` behind it.
pub(super) fn mark(month: &PatchMonth) -> &'static str {
    match (&month.ahead, month.in_season) {
        (Some(Ahead::Opens(expected)), _) => match expected {
            Expected { needs_permission: true, .. } => "p",
            Expected { needs_survey: true, .. } => "s",
            _ => "O",
        },
        (_, None) => ".",
        (None, Some(_)) => "=",
        (Some(Ahead::Shut(verdict)), Some(_)) => match verdict {
            Verdict::OutOfSeason => ".",
            Verdict::Held => "h",
            Verdict::Closed | Verdict::NoPermission => "x",
            Verdict::NotKnown => "s",
            Verdict::Resting | Verdict::Open => "r",
        },
    }
}

/// `The months from Mar 2027 to Feb 2028, as they look on Mon 15 Mar 2027`.
pub(super) fn title(calendar: &Calendar) -> String {
    let [first, .., last] = calendar.months;
    let purpose = calendar.purpose.map_or(String::new(), |it| format!(" for {}", it.spoken()));
    format!(
        "The months from {} to {}{purpose}, as they look on {}",
        first.strftime("%b %Y"),
        last.strftime("%b %Y"),
        spoken_day(calendar.on)
    )
}

pub(super) const TAKEN_FOR_GRANTED: &str = "Each month by itself, as if nothing were cut before it but what is promised, and for one \
     visit; what is cut in one month is missing in the next. What must be surveyed first may turn \
     out otherwise.";

/// A row a patch under its site, with a letter a month.
pub(super) fn in_letters(calendar: &Calendar) -> Vec<Block> {
    let heads = |cells: usize, letters: usize| {
        let head = |month: &Date| format!("{:<cells$}", &short(*month)[..letters]);
        calendar.months.iter().map(head).collect::<String>()
    };
    let columns = vec![
        Column::name("patch"),
        Column::name("crop"),
        Column::strip(vec![heads(4, 3), heads(3, 1), heads(2, 1)]),
    ];
    let mut rows = Vec::new();
    for of_site in calendar.patches.chunk_by(|a, b| a.patch.site() == b.patch.site()) {
        rows.push(vec![Cell::of(of_site[0].patch.site().to_string())]);
        rows.extend(of_site.iter().map(|patch| {
            let line = |cells| patch.months.iter().map(|month| cell(month, cells)).collect();
            let strips = [4, 3, 2].map(|cells| vec![line(cells)]);
            vec![
                Cell::of(patch.patch.patch()),
                Cell::of(&*patch.crop.name),
                Cell::strip(strips.into()),
            ]
        }));
    }
    let months = Table { caption: String::new(), columns, rows };
    let seen: Vec<String> = calendar
        .patches
        .iter()
        .filter(|patch| !patch.stages.is_empty())
        .map(|patch| format!("{}: {}", patch.patch.patch(), stages_told(patch)))
        .collect();
    let mut blocks = vec![Block::Table(months), Block::Paragraph(key(calendar))];
    if !seen.is_empty() {
        let said = "Seen on visits, this season and earlier ones:".to_owned();
        blocks.push(Block::Listed(said, seen));
    }
    blocks
}

pub(super) fn short(month: Date) -> String {
    month.strftime("%b").to_string()
}

fn cell(month: &PatchMonth, cells: usize) -> String {
    let cut = if month.cut_in_years > 0 { "*" } else { "" };
    format!("{:<cells$}", format!("{}{cut}", mark(month)))
}

/// Of the marks that occur.
fn key(calendar: &Calendar) -> String {
    let all = || calendar.patches.iter().flat_map(|patch| &patch.months);
    let occurs = |sign: &str| all().any(|month| mark(month) == sign);
    let marks = MARKS.iter().filter(|(sign, _)| occurs(sign));
    let marks = marks.map(|(sign, words)| format!("{sign} {words}"));
    let was_cut = all().any(|month| month.cut_in_years > 0);
    let cut = was_cut.then(|| "* cut in that month of an earlier year".to_owned());
    marks.chain(cut).collect::<Vec<_>>().join("; ")
}

/// `in leaf 13 Mar 2027; in flower 20 Apr 2026 to 3 May 2026`.
pub(super) fn stages_told(patch: &PatchYear) -> String {
    let span = |span: &StageSpan| {
        let stage = match span.stage {
            Stage::DyingBack => "dying back".to_owned(),
            stage => format!("in {stage}"),
        };
        match span.first == span.last {
            true => format!("{stage} {}", spoken_day(span.first)),
            false => format!("{stage} {} to {}", spoken_day(span.first), spoken_day(span.last)),
        }
    };
    patch.stages.iter().map(span).collect::<Vec<_>>().join("; ")
}

pub(super) fn role_label(role: &RoleYear) -> String {
    match role.measure {
        Measure::Mass => role.role.to_string(),
        Measure::Count => format!("{}, pieces", role.role),
    }
}

/// `1.2`, `(0.4)` for what is hoped for only, `any`.
pub(super) fn in_short(role: &RoleYear, month: &RoleMonth) -> String {
    let shown = |amount: f64| match role.measure {
        Measure::Mass if amount >= 9_950.0 => format!("{:.0}", (amount / 1000.0).floor()),
        Measure::Mass => format!("{:.1}", (amount / 100.0).floor() / 10.0),
        Measure::Count => format!("{:.0}", amount.floor()),
    };
    match (month.firm(), month.hoped()) {
        (None, _) => "any".to_owned(),
        (Some(firm), hoped) if firm <= 0.0 && hoped.is_infinite() => "(any)".to_owned(),
        (Some(firm), hoped) if firm <= 0.0 && hoped > 0.0 => format!("({})", shown(hoped)),
        (Some(firm), _) if firm <= 0.0 => "?".to_owned(),
        (Some(firm), _) => shown(firm),
    }
}

/// `, from 3 Jan: 650 g at most; 4.1 kg will stand (2.9 kg to 6.2 kg)`.
pub(super) fn said(crop: &Crop, expected: &Expected) -> String {
    let days = match expected {
        it if it.from.day() == 1 && it.to == it.to.last_of_month() => String::new(),
        it if it.from == it.to => format!(", {} only", day(it.from)),
        it => format!(", {} to {}", day(it.from), day(it.to)),
    };
    let most = match expected.most {
        Some(most) => format!("{} at most", crop.show(most)),
        None if expected.standing.is_none() => "not known how much".to_owned(),
        None => "without a limit".to_owned(),
    };
    let standing = expected.standing.map_or(String::new(), |standing| {
        let show = |amount| crop.show(amount);
        format!(
            "; {} will stand ({} to {})",
            show(standing.best),
            show(standing.low),
            show(standing.high)
        )
    });
    let needs = match (expected.needs_survey, expected.needs_permission) {
        (true, true) => "; if it is surveyed and permitted first",
        (true, false) => "; if it is surveyed first",
        (false, true) => "; if it is permitted first",
        (false, false) => "",
    };
    format!("{days}: {most}{standing}{needs}")
}

fn day(day: Date) -> String {
    day.strftime("%-d %b").to_string()
}
