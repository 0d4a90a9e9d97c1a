//! What an entry calls its place, and what the place was called before.

use foldhash::HashMap;

use crate::records::{Entry, FormerNames, Record, SiteName};

/// What the place of a record is called, and what else it was.
pub(super) struct Names {
    now: String,
    pub were: Vec<String>,
}

impl Names {
    pub fn of(record: &Record, former: &FormerNames) -> Self {
        if former.is_empty() {
            return Self { now: String::new(), were: Vec::new() };
        }
        let site = record.site();
        match record.patch_name() {
            Some(patch) => Self { were: former.of_patch(&patch), now: patch.to_string() },
            None => Self { were: former.of_site(site), now: site.to_string() },
        }
    }

    /// The text as it was when the place was called otherwise.
    pub fn earlier(&self, text: &str) -> Vec<String> {
        self.were.iter().map(|was| text.replacen(&self.now, was, 1)).collect()
    }
}

/// A patch or zone of a map that calls its site by another name: as it is to be, and as it was
/// told.
pub(super) fn on_its_site(
    mut entry: Entry,
    sites_now: &HashMap<SiteName, SiteName>,
) -> (Entry, Option<Entry>) {
    let Some(now) = sites_now.get(entry.record.site()) else { return (entry, None) };
    let told = entry.clone();
    match &mut entry.record {
        Record::Zone(zone) => zone.site = now.clone(),
        Record::Landmark(landmark) => landmark.site = now.clone(),
        Record::Redraw(redraw) => redraw.patch = redraw.patch.on(now),
        Record::Patch(patch) => patch.name = patch.name.on(now),
        _ => return (entry, None),
    }
    entry.key = entry.record.natural_key(entry.happened_on, &entry.by);
    (entry, Some(told))
}
