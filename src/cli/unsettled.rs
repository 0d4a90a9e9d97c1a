//! What a book holds that only a person can settle, for `merge` and `verify`.

use super::context::Context;
use super::failure::Failure;
use crate::assess::{
    Asker, Double, Namesakes, SharedGround, namesakes, overpromised, prepare_for, shared_ground,
};
use crate::book::HistoryLine;
use crate::records::{Clash, Ending, Kind, Ledger};
use crate::report::layout::list;
use crate::units::spoken_day;

const PERHAPS_TWICE: &str = "PERHAPS RECORDED TWICE";

pub struct Unsettled<'a> {
    pub clashes: &'a [Clash],
    /// Facts that count on places that were withdrawn.
    pub misplaced: &'a [HistoryLine],
    pub ledger: &'a Ledger,
    /// Facts that may be one with another.
    pub likely: &'a [Double],
}

impl Unsettled<'_> {
    /// A section for each sort of thing there is.
    pub fn sections(&self, context: &Context) -> Result<String, Failure> {
        let today = context.on;
        let asker = Asker { today, walk: None };
        let prepared = prepare_for(self.ledger, context.catalogue()?, today, asker)?;
        let promises = overpromised(&prepared, today).map(|(patch, promise)| {
            format!(
                "{}: {} for {} on {} is more than the other walks leave it; hold less, or \
                 `stintbook walk cancel` one",
                patch.facts.patch.record.name,
                patch.crop().show(promise.amount),
                promise.walk,
                spoken_day(promise.day)
            )
        });
        let sections = [
            ("PUT RIGHT IN TWO WAYS", self.clashes.iter().map(clash).collect()),
            ("TWO OF ONE NAME", namesakes(self.ledger).iter().map(namesake).collect()),
            ("ON THE SAME GROUND", shared_ground(self.ledger, today).iter().map(shared).collect()),
            ("ON A PLACE THAT WAS WITHDRAWN", self.misplaced.iter().map(misplaced).collect()),
            (PERHAPS_TWICE, self.likely.iter().map(double).collect()),
            ("PROMISED MORE THAN THERE IS", promises.collect::<Vec<String>>()),
        ];
        let told = sections.iter().filter(|(_, sentences)| !sentences.is_empty());
        let section = |(heading, sentences): &(&str, Vec<String>)| {
            list(heading, sentences.iter().map(String::as_str), context.width)
        };
        Ok(told.map(section).collect())
    }
}

/// What may be one of two facts, and need not: it is told, and settles itself if they are two.
pub fn perhaps_twice(likely: &[Double], width: usize) -> String {
    if likely.is_empty() {
        return String::new();
    }
    let sentences: Vec<String> = likely.iter().map(double).collect();
    list(PERHAPS_TWICE, sentences.iter().map(String::as_str), width)
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
