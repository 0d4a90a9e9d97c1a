//! What a book holds that only a person can settle, for `merge` and `verify`.

use super::page::Section;
use crate::assess::{Double, Namesakes, Overpromised, SharedGround};
use crate::records::{Clash, Ending, HistoryLine, Kind};
use crate::units::spoken_day;

/// What two books or two hands see differently.
#[derive(Debug)]
pub struct Unsettled<'a> {
    /// Facts that were put right in two ways.
    pub clashes: &'a [Clash],
    /// Places and walks of one name.
    pub namesakes: &'a [Namesakes],
    /// Patches of one crop on the same ground.
    pub shared: &'a [SharedGround],
    /// Facts that count on places that were withdrawn.
    pub misplaced: &'a [HistoryLine],
    /// Facts that may be one with another.
    pub likely: &'a [Double],
    /// Promises larger than what the other walks leave them.
    pub promises: &'a [Overpromised],
}

impl Unsettled<'_> {
    /// A section for each sort of thing there is.
    pub fn sections(&self) -> Vec<Section> {
        let promises = self.promises.iter().map(promised);
        let sections = [
            ("clashes", "Put right in two ways", self.clashes.iter().map(clash).collect()),
            ("namesakes", "Two of one name", self.namesakes.iter().map(namesake).collect()),
            ("shared-ground", "On the same ground", self.shared.iter().map(shared).collect()),
            (
                "misplaced",
                "On a place that was withdrawn",
                self.misplaced.iter().map(misplaced).collect(),
            ),
            ("twice", PERHAPS_TWICE, self.likely.iter().map(double).collect()),
            ("promises", "Promised more than there is", promises.collect()),
        ];
        sections
            .into_iter()
            .filter_map(|(id, heading, said)| Section::list(id, heading, said))
            .collect()
    }
}

const PERHAPS_TWICE: &str = "Perhaps recorded twice";

/// What may be one of two facts, and need not: it is told, and settles itself if they are two.
pub(super) fn perhaps_twice(likely: &[Double]) -> Option<Section> {
    Section::list("twice", PERHAPS_TWICE, likely.iter().map(double).collect())
}

fn promised(Overpromised { patch, crop, promise }: &Overpromised) -> String {
    format!(
        "{patch}: {} for {} on {} is more than the other walks leave it; hold less, or `stintbook walk \
         cancel` one",
        crop.show(promise.amount),
        promise.walk,
        spoken_day(promise.day)
    )
}

fn clash(clash: &Clash) -> String {
    let ends: Vec<String> = clash.ends.iter().map(ending).collect();
    let standing = match clash.standing() {
        Ending::Says(fact, _) => format!("{} counts", fact.id.short()),
        Ending::Withdrawn(_) => "it does not count".to_owned(),
    };
    let fact = clash.ends.iter().find_map(|end| match end {
        Ending::Says(fact, _) => Some(fact.id),
        Ending::Withdrawn(_) => None,
    });
    let way_out = fact.map_or_else(String::new, |id| {
        let id = id.short();
        format!(
            "; `stintbook correct {id} …` or `stintbook withdraw {id}` settles it for all of them"
        )
    });
    format!(
        "{} {}: {}. Until it is settled {standing}{way_out}",
        clash.kind.name(),
        clash.of.short(),
        ends.join("; or ")
    )
}

fn ending(ending: &Ending) -> String {
    match ending {
        Ending::Says(fact, by) => {
            let (gist, on) = (fact.record.gist(), spoken_day(fact.happened_on));
            format!("{gist} on {on} ({}, as {by} put it right)", fact.id.short())
        }
        Ending::Withdrawn(correction) => {
            let on = spoken_day(correction.recorded_on);
            format!("withdrawn on {on} by {}: {}", correction.by, correction.why)
        }
    }
}

fn namesake(found: &Namesakes) -> String {
    let Namesakes { what, keeps, shown_as, fact } = found;
    let way_out = match *what {
        "walk" => format!("`stintbook walk cancel \"{shown_as}\"` gives it up if it is the same"),
        _ => format!(
            "`stintbook correct {0} name=…` renames it, `stintbook withdraw {0}` takes it back \
             if it is the same",
            fact.short()
        ),
    };
    format!("another {what} is called {keeps} too; it is shown as {shown_as}; {way_out}")
}

fn shared(found: &SharedGround) -> String {
    let SharedGround { patches: [one, other], ground } = found;
    format!(
        "{one} and {other} bear one crop and share {:.0} m²; until that is settled no limit is \
         given from either; withdraw or redraw one of the two, so that nothing is counted twice",
        ground.0
    )
}

fn misplaced(line: &HistoryLine) -> String {
    let kind = line.fact.record.kind();
    let id = line.fact.id.short();
    let way_out = match kind {
        Kind::Patch => format!("withdraw it too: `stintbook withdraw {id}`"),
        _ => format!("withdraw it too, or record it on another place: `stintbook correct {id} …`"),
    };
    format!(
        "{} {id}, {} on {}, does not count, since its place was withdrawn; {way_out}",
        kind.name(),
        line.fact.record.gist(),
        spoken_day(line.fact.happened_on)
    )
}

fn double(found: &Double) -> String {
    let Double { what, patch, day, amounts, facts: [old, new], by: [one, other] } = found;
    let amounts = match amounts {
        Some([one, other]) if one == other => format!(", {one} each"),
        Some([one, other]) => format!(", {one} and {other}"),
        None => String::new(),
    };
    let people = if one == other { format!("by {one}") } else { format!("by {one} and {other}") };
    format!(
        "{patch}: two {what}s of {} {people}{amounts}; both count; if they are one, \
         `stintbook withdraw {}` (or {})",
        spoken_day(*day),
        new.short(),
        old.short()
    )
}
