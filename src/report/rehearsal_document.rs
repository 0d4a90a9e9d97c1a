//! What a planned season may come to, in words and tables.

use super::page::{Block, Cell, Column, Document, Drawing, Section, Table};
use super::rehearsal_played::{LeftOut, PlanFrom, left_out, played};
use super::rehearsal_walks::{walks, walks_in_short};
use super::rehearsal_words::{assumptions, in_100, in_100_with_doubt, range, shown, variation};
use crate::assess::Prepared;
use crate::records::PatchName;
use crate::rehearsal::{Demand, Outcome, PatchOutcome, Plan, Repeats, Variation};
use crate::units::{Measure, percent, spoken_day};

/// A rehearsal with all that belongs to it.
#[derive(Debug)]
pub struct Rehearsal<'a> {
    /// What was played.
    pub plan: &'a Plan,
    /// Where its walks come from.
    pub plan_from: &'a PlanFrom,
    /// Walks that were not played.
    pub left_out: LeftOut,
    /// How often it was played, and from which seed.
    pub repeats: Repeats,
    /// What it came to.
    pub outcome: &'a Outcome,
    /// The plan again over the first of the same seasons, and what each change makes of them.
    pub again: Option<&'a Outcome>,
    /// What might be done otherwise, each over the same seasons.
    pub changes: &'a [(Variation, Outcome)],
    /// Patches that play no part since nobody ever surveyed them.
    pub unknown: &'a [PatchName],
}

/// The answer first, then walks, patches, what would change, and what is taken for granted.
/// `drawing` is what [`super::rehearsal_svg`] made of it; a terminal shows none.
pub fn rehearsal_document(rehearsal: &Rehearsal, drawing: Option<String>) -> Document {
    let (kind, lead, foot) = ("Rehearsal", String::new(), Vec::new());
    if rehearsal.outcome.patches.is_empty() {
        let title =
            "There is nothing to rehearse: no patch that was asked about was ever surveyed.";
        return Document { title: title.to_owned(), kind, lead, sections: Vec::new(), foot };
    }
    let Plan { season, from, .. } = rehearsal.plan;
    let title = format!(
        "Rehearsal of the season {season}, played {} times from {} to {}",
        rehearsal.outcome.runs,
        spoken_day(*from),
        spoken_day(season.last_day())
    );
    let told = [Some(played(rehearsal)), left_out(rehearsal)];
    let lead = told.into_iter().flatten().collect::<Vec<_>>().join(" ");
    let sections = [
        Some(Section::said(in_short(rehearsal))),
        walks(rehearsal),
        Some(patches(rehearsal.outcome, drawing)),
        changes(rehearsal),
        Some(closing(rehearsal)),
    ];
    Document { title, kind, lead, sections: sections.into_iter().flatten().collect(), foot }
}

fn in_short(rehearsal: &Rehearsal) -> String {
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
    text
}

fn patches(outcome: &Outcome, drawing: Option<String>) -> Section {
    let mut cut: Vec<&PatchOutcome> = outcome.patches.iter().filter(|it| it.is_cut()).collect();
    cut.sort_by_key(|patch| std::cmp::Reverse(patch.dips.hits));
    let columns = vec![
        Column::name("patch"),
        Column::name("crop"),
        Column::figures("dips"),
        Column::figures("taken"),
        Column::figures("likely range"),
        Column::figures("visits"),
        Column::note("mostly shut"),
    ];
    let caption = "Each patch that is cut in it".to_owned();
    let rows = cut.into_iter().map(patch).collect();
    let mut blocks = vec![Block::Table(Table { caption, columns, rows })];
    let idle = outcome.patches.iter().filter(|patch| !patch.is_cut());
    let idle: Vec<String> = idle
        .map(|patch| match patch.mostly_shut {
            Some((verdict, _)) => format!("{} ({verdict})", patch.patch),
            None => patch.patch.to_string(),
        })
        .collect();
    if !idle.is_empty() {
        blocks.push(Block::Paragraph(format!("Never cut in it: {}.", idle.join(", "))));
    }
    blocks.push(Block::Note(DIPS.to_owned()));
    blocks.extend(drawing.map(drawn));
    Section { id: "patches", heading: "Patches".to_owned(), blocks }
}

const DIPS: &str = "Dips: of 100 seasons, those in which the patch falls under half of what it would \
    carry undisturbed, with the doubt of that figure. A likely range holds eight seasons of ten.";

fn drawn(svg: String) -> Block {
    let caption = "Each patch as a part of the same patch never cut, week by week".to_owned();
    Block::Drawing(Drawing { svg, caption, wide: true, on_paper: true, key: Vec::new() })
}

fn patch(patch: &PatchOutcome) -> Vec<Cell> {
    let measure = patch.crop.measure;
    let dips =
        if patch.is_invasive() { "invasive".to_owned() } else { in_100_with_doubt(patch.dips) };
    let cells = [
        patch.patch.to_string(),
        patch.crop.name.to_string(),
        dips,
        shown(measure, patch.mean_taken),
        range(measure, patch.taken[0], patch.taken[4]),
        format!("{:.0}", patch.mean_visits),
        why_shut(patch),
    ];
    cells.map(Cell::of).to_vec()
}

/// `resting 40 %`: of the days on which it was wanted.
fn why_shut(patch: &PatchOutcome) -> String {
    match patch.mostly_shut {
        Some((verdict, part)) if part > 0.02 => format!("{verdict} {}", percent(part)),
        _ => String::new(),
    }
}

fn changes(rehearsal: &Rehearsal) -> Option<Section> {
    let again = rehearsal.again?;
    let weak = again.weakest().map(|patch| &patch.patch);
    let row = |what: String, outcome: &Outcome| {
        let same = outcome.patches.iter().find(|patch| Some(&patch.patch) == weak);
        let cells = [
            what,
            format!("{:.0}", 100.0 * outcome.walks_found()),
            in_100(outcome.any_dip),
            same.map_or("–".to_owned(), |patch| in_100(patch.dips)),
            taken(outcome),
        ];
        cells.map(Cell::of).to_vec()
    };
    let changes = rehearsal.changes.iter();
    let changes = changes.map(|(change, outcome)| row(variation(change, rehearsal.plan), outcome));
    let rows = [row("as planned".to_owned(), again)].into_iter().chain(changes).collect();
    let found = match rehearsal.plan.demand {
        Demand::AllAllowed => "weeks in which anything may be cut",
        _ => "walks that find all they want",
    };
    let notes = format!(
        "Of 100 each: {found}; seasons in which some patch dips; seasons in which {} does. Taken \
         is what a season comes to on average.",
        weak.map_or("the weak one".to_owned(), ToString::to_string)
    );
    let columns = vec![
        Column::name("change"),
        Column::figures("walks"),
        Column::figures("some dip"),
        Column::figures("weak one"),
        Column::figures("taken"),
    ];
    let heading = format!("What would change, by the first {} of the same seasons", again.runs);
    let table = Table { caption: "What each change would come to".to_owned(), columns, rows };
    Some(Section { id: "changes", heading, blocks: vec![Block::Table(table), Block::Note(notes)] })
}

fn taken(outcome: &Outcome) -> String {
    let mass = outcome.mean_taken(Measure::Mass);
    if mass > 0.0 {
        shown(Measure::Mass, mass)
    } else {
        shown(Measure::Count, outcome.mean_taken(Measure::Count))
    }
}

fn closing(rehearsal: &Rehearsal) -> Section {
    let names: Vec<String> = rehearsal.unknown.iter().map(ToString::to_string).collect();
    let unknown = (!names.is_empty())
        .then(|| format!("Never surveyed, so nobody can tell: {}.", names.join(", ")));
    let mut blocks: Vec<Block> = unknown.map(Block::Paragraph).into_iter().collect();
    blocks.push(Block::Listed("Taken for granted:".to_owned(), assumptions(rehearsal)));
    blocks.push(Block::Paragraph(CAUTION.to_owned()));
    Section { id: "granted", heading: String::new(), blocks }
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
