//! What a planned season may come to, as text for a terminal.

use super::layout::{hanging, left, paragraph, right, widest};
use super::rehearsal_played::{LeftOut, PlanFrom, left_out, played};
use super::rehearsal_walks::{walks, walks_in_short};
use super::rehearsal_words::{assumptions, in_100, in_100_with_doubt, range, shown, variation};
use crate::assess::Prepared;
use crate::records::PatchName;
use crate::rehearsal::{Demand, Outcome, PatchOutcome, Plan, Repeats, Variation};
use crate::units::{Measure, percent, spoken_day};

/// From this width on, what kept a patch shut stands on the patch's own line.
const WIDE: usize = 110;
pub(super) const ODDS: usize = 14;
const TAKEN: usize = 9;
const RANGE: usize = 15;
const VISITS: usize = 6;
/// `no permission 100 %`.
const SHUT: usize = 19;
const GAP: &str = "  ";

/// A rehearsal with all that belongs to it.
#[derive(Debug)]
pub struct Rehearsal<'a> {
    pub plan: &'a Plan,
    pub plan_from: &'a PlanFrom,
    pub left_out: LeftOut,
    pub repeats: Repeats,
    pub outcome: &'a Outcome,
    /// The plan again over the first of the same seasons, and what each change makes of them.
    pub again: Option<&'a Outcome>,
    pub changes: &'a [(Variation, Outcome)],
    /// Patches that play no part since nobody ever surveyed them.
    pub unknown: &'a [PatchName],
}

/// The answer in lines of at most `width` cells.
pub fn rehearsal_table(rehearsal: &Rehearsal, width: usize) -> String {
    let outcome = rehearsal.outcome;
    if outcome.patches.is_empty() {
        return paragraph(
            "There is nothing to rehearse: no patch that was asked about was ever surveyed.",
            width,
            "",
        );
    }
    [
        title(rehearsal, width),
        in_short(rehearsal, width),
        walks(rehearsal, width),
        patches(outcome, width),
        changes(rehearsal, width),
        closing(rehearsal, width),
    ]
    .concat()
}

fn title(rehearsal: &Rehearsal, width: usize) -> String {
    let Plan { season, from, .. } = rehearsal.plan;
    let runs = rehearsal.outcome.runs;
    let title = format!(
        "Rehearsal of the season {season}, played {runs} times from {} to {}",
        spoken_day(*from),
        spoken_day(season.last_day())
    );
    let told = [Some(played(rehearsal)), left_out(rehearsal)];
    let told: Vec<String> = told.into_iter().flatten().collect();
    [&title, &told.join(" ")].map(|text| paragraph(text, width, "")).concat() + "\n"
}

fn in_short(rehearsal: &Rehearsal, width: usize) -> String {
    let outcome = rehearsal.outcome;
    let mut text = walks_in_short(rehearsal);
    text += &match outcome.any_dip.hits {
        0 => format!(
            "In none of the {} seasons played did a patch fall under half of what it would carry \
             undisturbed.",
            outcome.runs
        ),
        _ => format!(
            "In 100 seasons like this, in about {} some patch would fall under half of what it \
             would carry undisturbed.",
            in_100_with_doubt(outcome.any_dip)
        ),
    };
    if let Some(weak) = outcome.weakest() {
        let dips = match weak.dips.hits {
            0 => String::new(),
            _ => format!(" about {} in 100;", in_100(weak.dips)),
        };
        text += &format!(
            " The weak one is {}:{dips} in one season of ten it stands as low as {} of it.",
            weak.patch,
            percent(weak.lowest())
        );
    }
    paragraph(&text, width, "") + "\n"
}

fn patches(outcome: &Outcome, width: usize) -> String {
    let mut cut: Vec<&PatchOutcome> = outcome.patches.iter().filter(|it| it.is_cut()).collect();
    cut.sort_by_key(|patch| std::cmp::Reverse(patch.dips.hits));
    let columns = Columns::of(&cut, width);
    let mut text = columns.row(["patch", "dips in 100", "taken", "8 in 10", "visits"], HEADS);
    for patch in &cut {
        text += &columns.patch(patch);
    }
    let idle: Vec<String> = outcome
        .patches
        .iter()
        .filter(|patch| !patch.is_cut())
        .map(|patch| match patch.mostly_shut {
            Some((verdict, _)) => format!("{} ({verdict})", patch.patch),
            None => patch.patch.to_string(),
        })
        .collect();
    if !idle.is_empty() {
        text += &paragraph(&format!("Never cut in it: {}.", idle.join(", ")), width, "");
    }
    text + "\n"
}

/// Where each column stands; what does not fit stands in a second line.
struct Columns {
    name: usize,
    crop: usize,
    is_wide: bool,
}

const HEADS: [&str; 2] = ["crop", "mostly shut"];

impl Columns {
    fn of(patches: &[&PatchOutcome], width: usize) -> Self {
        let names: Vec<String> = patches.iter().map(|patch| patch.patch.to_string()).collect();
        let is_wide = width >= WIDE;
        let crop = widest(patches.iter().map(|patch| &*patch.crop.name), 4, 22);
        let figures = 2 + ODDS + TAKEN + RANGE + VISITS + 4 * GAP.len();
        let beside = if is_wide { crop + SHUT + 2 * GAP.len() } else { 0 };
        let room = width.saturating_sub(figures + beside);
        let name = widest(names.iter().map(String::as_str), 12, room.max(12));
        Self { name, crop, is_wide }
    }

    fn row(&self, cells: [&str; 5], [of, shut]: [&str; 2]) -> String {
        let [patch, dips, taken, likely, visits] = cells;
        let figures =
            [right(dips, ODDS), right(taken, TAKEN), left(likely, RANGE), right(visits, VISITS)];
        let name = left(patch, self.name);
        let figures = figures.join(GAP);
        if self.is_wide {
            let line = [name, left(of, self.crop), figures, shut.to_owned()].join(GAP);
            return format!("  {}\n", line.trim_end());
        }
        let second = if shut.is_empty() { of.to_owned() } else { format!("{of}; {shut}") };
        format!("  {}\n      {second}\n", [name, figures].join(GAP).trim_end())
    }

    fn patch(&self, patch: &PatchOutcome) -> String {
        let measure = patch.crop.measure;
        let dips =
            if patch.is_invasive() { "invasive".to_owned() } else { in_100_with_doubt(patch.dips) };
        let cells = [
            &patch.patch.to_string(),
            &dips,
            &shown(measure, patch.mean_taken),
            &range(measure, patch.taken[0], patch.taken[4]),
            &format!("{:.0}", patch.mean_visits),
        ];
        self.row(cells.map(String::as_str), [&patch.crop.name, &why_shut(patch)])
    }
}

/// `resting 40 %`: of the days on which it was wanted.
fn why_shut(patch: &PatchOutcome) -> String {
    match patch.mostly_shut {
        Some((verdict, part)) if part > 0.02 => format!("{verdict} {}", percent(part)),
        _ => String::new(),
    }
}

fn changes(rehearsal: &Rehearsal, width: usize) -> String {
    let Some(again) = rehearsal.again else { return String::new() };
    let rows = rehearsal
        .changes
        .iter()
        .map(|(change, outcome)| (variation(change, rehearsal.plan), outcome));
    let rows: Vec<(String, &Outcome)> =
        [("as planned".to_owned(), again)].into_iter().chain(rows).collect();
    let name = widest(rows.iter().map(|(name, _)| name.as_str()), 10, width.saturating_sub(46));
    let weak = again.weakest().map(|patch| patch.patch.clone());
    let line = |cells: [&str; 5]| {
        let [what, found, any, weak, taken] = cells;
        let cells = [left(what, name), right(found, 8), right(any, 8), right(weak, 8)];
        format!("  {}  {}\n", cells.join("  "), right(taken, 9))
    };
    let mut text = paragraph(
        &format!("What would change, by the first {} of the same seasons", again.runs),
        width,
        "",
    );
    text += &line(["", "walks", "some dip", "weak one", "taken"]);
    for (what, outcome) in &rows {
        let same = outcome.patches.iter().find(|patch| Some(&patch.patch) == weak.as_ref());
        let part = |part: f64| format!("{:.0}", 100.0 * part);
        text += &line([
            what,
            &part(outcome.walks_found()),
            &in_100(outcome.any_dip),
            &same.map_or("–".to_owned(), |patch| in_100(patch.dips)),
            &taken(outcome),
        ]);
    }
    let found = match rehearsal.plan.demand {
        Demand::AllAllowed => "weeks in which anything may be cut",
        _ => "walks that find all they want",
    };
    let notes = format!(
        "Of 100 each: {found}; seasons in which some patch dips; seasons in which {} does. Taken \
         is what a season comes to on average.",
        weak.map_or("the weak one".to_owned(), |name| name.to_string())
    );
    text + &paragraph(&notes, width, "") + "\n"
}

fn taken(outcome: &Outcome) -> String {
    let mass = outcome.mean_taken(Measure::Mass);
    if mass > 0.0 {
        shown(Measure::Mass, mass)
    } else {
        shown(Measure::Count, outcome.mean_taken(Measure::Count))
    }
}

fn closing(rehearsal: &Rehearsal, width: usize) -> String {
    let mut text = String::new();
    if !rehearsal.unknown.is_empty() {
        let names: Vec<String> = rehearsal.unknown.iter().map(ToString::to_string).collect();
        let names = names.join(", ");
        let told = format!("Never surveyed, so nobody can tell: {names}.");
        text += &paragraph(&told, width, "");
    }
    text += &paragraph("Taken for granted:", width, "");
    for sentence in assumptions(rehearsal) {
        text += &hanging(&sentence, width, "  - ", "    ");
    }
    text + "\n" + &paragraph(CAUTION, width, "")
}

/// What a rehearsal does not say.
pub(super) const CAUTION: &str = "A rehearsal invites nobody to pick: it says nothing of what a \
    plant is, nor of leave on the day. `stintbook week` answers before each walk.";

/// The patches that were asked about and never surveyed.
pub fn never_surveyed(patches: &[Prepared], outcome: &Outcome) -> Vec<PatchName> {
    let names = patches.iter().map(|patch| &patch.facts.patch.record.name);
    let plays = |name: &PatchName| outcome.patches.iter().any(|patch| patch.patch == *name);
    names.filter(|name| !plays(name)).cloned().collect()
}
