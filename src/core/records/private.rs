//! What of a record is nobody else's business: who people are, how to reach them, photos, and
//! what was written in words of one's own.

use std::collections::HashMap;
use std::sync::Arc;

use super::{Emergency, Fact, Record, Site, Visit};

/// Makes facts fit to be handed to others: people become `person 1`, `person 2`, the same one
/// each time.
#[derive(Debug, Default)]
pub struct ForOthers {
    people: HashMap<Arc<str>, Arc<str>>,
}

impl ForOthers {
    /// `None` where nothing is left to be told.
    pub fn fact(&mut self, fact: &Fact<Record>) -> Option<Fact<Record>> {
        let mut told = fact.clone();
        told.by = self.person(&fact.by);
        told.file = None;
        without_private(&mut told.record);
        match &told.record {
            Record::Visit(visit) if visit.told().is_empty() => None,
            _ => Some(told),
        }
    }

    fn person(&mut self, name: &Arc<str>) -> Arc<str> {
        let number = self.people.len() + 1;
        let person = self.people.entry(name.clone());
        person.or_insert_with(|| format!("person {number}").into()).clone()
    }
}

fn without_private(record: &mut Record) {
    match record {
        Record::Site(Site { occupier, .. }) => *occupier = None,
        Record::Emergency(Emergency { occupier_phone, note, .. }) => {
            (*occupier_phone, *note) = (None, None);
        }
        Record::Visit(visit) => {
            let Visit { asked_of, photo, note, .. } = &mut **visit;
            (*asked_of, *photo, *note) = (None, None, None);
        }
        Record::Patch(patch) => patch.note = None,
        Record::Permission(permission) => permission.note = None,
        Record::Survey(survey) => survey.note = None,
        Record::Clipping(clipping) => clipping.note = None,
        Record::Redraw(redraw) => redraw.note = None,
        // A ditch or a bull is everyone's business; a reason is what was agreed.
        Record::Zone(_)
        | Record::Closure(_)
        | Record::Override(_)
        | Record::Walk(_)
        | Record::Glance(_)
        | Record::Hold(_)
        | Record::Cut(_)
        | Record::Landmark(_) => {}
    }
}
