//! What goes by a name, and whether two things bear one.

use crate::records::{HistoryLine, Kind, Record, folded};

/// Places, agreements and walks: there is one of each name, whoever tells of it. What was seen
/// or done on a day may have been seen or done twice.
pub(super) fn goes_by_its_name(kind: Kind) -> bool {
    !kind.is_deed()
}

/// The name that a record gives to something, without its site.
pub(super) fn own_name(record: &Record) -> Option<&str> {
    match record {
        Record::Site(site) => Some(site.name.as_str()),
        Record::Zone(zone) => Some(&zone.name),
        Record::Landmark(landmark) => Some(&landmark.name),
        Record::Patch(patch) => Some(patch.name.patch()),
        Record::Walk(walk) => Some(walk.name.as_str()),
        _ => None,
    }
}

/// Whether a fact of the book bears the name that the record does, after all that was put
/// right since.
pub(super) fn is_called_so(line: &HistoryLine, record: &Record) -> bool {
    let fact = &line.fact;
    let key = |record: &Record| folded(&record.natural_key(fact.happened_on, &fact.by));
    key(&fact.record) == key(record)
}
