//! What lies on a site on a day, for a map that leaves the book.

use jiff::civil::Date;

use crate::intake;
use crate::records::{Fact, FactId, ForOthers, Patch, PatchFacts, Record, SiteFacts};
use crate::report::Place;

/// Who gets the map.
#[derive(Debug)]
pub enum Reader {
    /// Whoever asked for the week: what the places are, and nobody who drew them.
    Week,
    /// Without what is nobody else's business; people by number.
    Others(Box<ForOthers>),
    /// The keeper of the book.
    Keeper,
}

/// The site, its no-take ground, its landmarks and its patches, as they are drawn by that day.
pub fn places_on(site: &SiteFacts, on: Date, reader: &mut Reader) -> Vec<Place> {
    let mut facts = vec![(site.site.clone().map(Record::Site), None)];
    facts.extend(site.zones.iter().map(|fact| (fact.clone().map(Record::Zone), None)));
    let patches = site.patches.iter().filter(|patch| patch.retired_by(on).is_none());
    facts.extend(patches.map(|patch| (drawn(patch, on), Some(patch.patch.id))));
    if !matches!(reader, Reader::Week) {
        facts.extend(site.landmarks.iter().map(|fact| (fact.clone().map(Record::Landmark), None)));
    }
    facts.into_iter().filter_map(|(fact, patch)| place(&fact, patch, reader)).collect()
}

/// The last drawing of a patch: its own, or a redraw.
fn drawn(patch: &PatchFacts, on: Date) -> Fact<Record> {
    let redraws = patch.changes.redraws.iter().rev();
    let mut redraws = redraws.filter(|fact| fact.happened_on <= on && fact.record.ground.is_some());
    match redraws.next() {
        Some(redraw) => redraw.clone().map(Record::Redraw),
        None => {
            let ground = patch.ground_on(on).clone();
            patch.patch.clone().map(|patch| Record::Patch(Patch { footprint: ground, ..patch }))
        }
    }
}

fn place(fact: &Fact<Record>, patch: Option<FactId>, reader: &mut Reader) -> Option<Place> {
    let mut others = ForOthers::default();
    let told = match reader {
        Reader::Keeper => fact.clone(),
        Reader::Others(others) => others.fact(fact)?,
        Reader::Week => others.fact(fact)?,
    };
    let (mut properties, shape) = intake::feature(&told)?;
    let id = match (&*reader, patch) {
        (Reader::Week, Some(patch)) => patch.to_string(),
        (Reader::Keeper, _) => fact.id.to_string(),
        _ => format!("{}/{}", told.record.kind().name(), named(&told.record)),
    };
    let hidden: &[&str] = match reader {
        Reader::Week => &["by", "date", "recorded_on", "fact"],
        Reader::Others(_) => &["fact"],
        Reader::Keeper => &[],
    };
    hidden.iter().for_each(|name| drop(properties.shift_remove(*name)));
    Some(Place { id, patch, record: told.record, properties, shape })
}

/// `Hill/path edge`.
fn named(record: &Record) -> String {
    match record {
        Record::Zone(zone) => format!("{}/{}", zone.site, zone.name),
        Record::Landmark(landmark) => format!("{}/{}", landmark.site, landmark.name),
        Record::Patch(patch) => patch.name.to_string(),
        Record::Redraw(redraw) => redraw.patch.to_string(),
        other => other.site().to_string(),
    }
}
