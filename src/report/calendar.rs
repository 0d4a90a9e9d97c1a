//! Twelve months of patches and of the kitchen, as text for a terminal.

use jiff::civil::Date;
use unicode_width::UnicodeWidthStr;

use super::cautions;
use super::layout::{hanging, left, paragraph, right, widest};
use crate::assess::{
    Ahead, Calendar, Expected, MONTHS, PatchMonth, PatchYear, RoleMonth, RoleYear, StageSpan,
};
use crate::records::{Crop, Stage};
use crate::rules::Verdict;
use crate::units::{Measure, spoken_day};

/// The cells that the amount of a month needs.
const ROLE_MONTH: usize = 5;
const INDENT: usize = 2;

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

/// A row a patch and a row a role in the kitchen, at most `width` cells wide.
pub fn calendar_table(calendar: &Calendar, width: usize) -> String {
    let mut text = paragraph(&title(calendar), width, "");
    if calendar.patches.is_empty() {
        return text + &paragraph("No patch is known that was asked about.", width, "");
    }
    text += &patches(calendar, width);
    text += &key(calendar, width);
    text += &stages(calendar, width);
    text += &kitchen(calendar, width);
    text += &paragraph(TAKEN_FOR_GRANTED, width, "");
    text + &cautions::short(calendar.patches.iter().map(|patch| &patch.crop), width)
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

/// How the months are set in lines of some width.
struct Months {
    /// The cells of one.
    cells: usize,
    /// By their first letter only.
    initials: bool,
}

impl Months {
    /// The cells of one with its name.
    const NAMED: usize = 4;

    fn heads(&self, months: &[Date]) -> String {
        let name = |month: &Date| match self.initials {
            true => right(&short(*month)[..1], self.cells - 1) + " ",
            false => right(&short(*month), self.cells),
        };
        months.iter().map(name).collect()
    }
}

fn patches(calendar: &Calendar, width: usize) -> String {
    let names = calendar.patches.iter().map(|patch| patch.patch.patch());
    let crops = calendar.patches.iter().map(|patch| &*patch.crop.name);
    let (name, crop) = (widest(names, 5, usize::MAX), widest(crops, 4, usize::MAX));
    let room = |cells: usize| width.saturating_sub(INDENT + 1 + MONTHS * cells);
    let initials = name + 1 + crop > room(Months::NAMED);
    let months = Months { cells: if initials { 3 } else { Months::NAMED }, initials };
    let row = Row { room: room(months.cells).min(name + 1 + crop), name, width };
    let mut text = String::new();
    for of_site in calendar.patches.chunk_by(|a, b| a.patch.site() == b.patch.site()) {
        text += &format!("\n{}", paragraph(of_site[0].patch.site().as_str(), width, ""));
        text += &row.line("patch", "crop", &months.heads(&calendar.months));
        for patch in of_site {
            let cells: String = patch.months.iter().map(|month| cell(month, &months)).collect();
            text += &row.line(patch.patch.patch(), &patch.crop.name, &cells);
        }
    }
    text
}

/// How a patch stands beside its months.
struct Row {
    /// For both names.
    room: usize,
    name: usize,
    width: usize,
}

impl Row {
    /// A crop that has no room stands below; where neither name has any, both stand above.
    fn line(&self, patch: &str, crop: &str, months: &str) -> String {
        let indent = " ".repeat(INDENT);
        let (names, months) = (format!("{} {crop}", left(patch, self.name)), months.trim_end());
        if names.width() <= self.room {
            format!("{indent}{} {months}\n", left(&names, self.room))
        } else if self.name <= self.room {
            format!("{indent}{} {months}\n    {crop}\n", left(patch, self.room))
        } else {
            hanging(&format!("{patch}, {crop}"), self.width, &indent, "    ")
                + &format!("{indent}{months}\n")
        }
    }
}

pub(super) fn short(month: Date) -> String {
    month.strftime("%b").to_string()
}

fn cell(month: &PatchMonth, months: &Months) -> String {
    let cut = if month.cut_in_years > 0 { "*" } else { " " };
    format!("{}{cut}", right(mark(month), months.cells - 1))
}

/// Of the marks that occur.
fn key(calendar: &Calendar, width: usize) -> String {
    let all = || calendar.patches.iter().flat_map(|patch| &patch.months);
    let occurs = |sign: &str| all().any(|month| mark(month) == sign);
    let marks = MARKS.iter().filter(|(sign, _)| occurs(sign));
    let marks = marks.map(|(sign, words)| format!("{sign} {words}"));
    let was_cut = all().any(|month| month.cut_in_years > 0);
    let cut = was_cut.then(|| "* cut in that month of an earlier year".to_owned());
    let said: Vec<String> = marks.chain(cut).collect();
    format!("\n{}", paragraph(&said.join("; "), width, "  "))
}

/// How far visits found the plants, a line a patch; nothing where nobody said.
fn stages(calendar: &Calendar, width: usize) -> String {
    let told = calendar.patches.iter().filter(|patch| !patch.stages.is_empty());
    let lines: String = told
        .map(|patch| {
            let line = format!("{}: {}", patch.patch.patch(), stages_told(patch));
            hanging(&line, width, "  ", "    ")
        })
        .collect();
    match lines.is_empty() {
        true => String::new(),
        false => format!("\nSEEN ON VISITS, this season and earlier ones\n{lines}"),
    }
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

/// What each role has on its best day of each month, in kilograms or in pieces.
fn kitchen(calendar: &Calendar, width: usize) -> String {
    let labels: Vec<String> = calendar.roles.iter().map(role_label).collect();
    let label = widest(labels.iter().map(String::as_str), 4, usize::MAX);
    let room = width.saturating_sub(INDENT + label);
    let amount = |role: &RoleYear, month: &Option<RoleMonth>| {
        month.as_ref().map_or("-".to_owned(), |month| in_short(role, month))
    };
    let all = calendar.roles.iter().flat_map(|role| role.months.iter().map(|it| amount(role, it)));
    let all: Vec<String> = all.collect();
    // No amount runs into the one before it.
    let least = 1 + widest(all.iter().map(String::as_str), ROLE_MONTH - 1, usize::MAX);
    // A part of the year at a time where a whole one has no room.
    let fits = |in_line: &usize| least * in_line <= room;
    let in_line = [MONTHS, 6, 4, 3, 2].into_iter().find(fits).unwrap_or(1);
    let cells = (room / in_line).clamp(least, least + 2);
    let said = "IN THE KITCHEN: the most that one day of the month allows, in kg or in pieces; in \
                brackets what hangs on a survey or on leave";
    let mut text = format!("\n{}", hanging(said, width, "", "  "));
    let months = Months { cells, initials: false };
    for (part, heads) in calendar.months.chunks(in_line).enumerate() {
        text += &format!("  {}{}\n", left("role", label), months.heads(heads));
        for (role, name) in calendar.roles.iter().zip(&labels) {
            let of_part = role.months.iter().skip(part * in_line).take(in_line);
            let shown = of_part.map(|month| right(&amount(role, month), cells));
            text += &format!("  {}{}\n", left(name, label), shown.collect::<String>());
        }
    }
    text + "\n"
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
