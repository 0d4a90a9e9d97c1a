//! What of a delivery is new to the book, known to it, or says otherwise.
//!
//! A fact is its id. What bears none is known by what it says, and by its key in the file
//! that it came from; places and walks are known by their names, wherever they come from.

use std::sync::Arc;

use foldhash::HashMap;

use super::called::{goes_by_its_name, is_called_so, own_name};
use super::delivery::{Answers, Delivery};
use super::gatekeeper::Gate;
use super::identity::{id_of, id_of_change, id_of_correction, of_the_same_words};
use super::making_ids::{ids_of, written_among};
use super::naming::{Names, on_its_site};
use super::places::Surroundings;
use super::sorted::{Change, Fresh, Sorted};
use super::turned::{Question, Turned};
use crate::book::{BookError, Fate, Moment};
use crate::intake::diff;
use crate::records::{
    Correction, Cut, Entry, Fact, FactId, HistoryLine, Kind, Record, Replacement, SiteName,
};

/// Behind the key of what was said to be another than one alike.
const TOLD_APART: &str = " #2";

/// Entries whose ids are made at once, while those before them are sorted: a file may bring a
/// million.
const AT_ONCE: usize = 32_000;

/// Sorts the deliveries of one command, one after the other.
pub(super) struct Sorting<'a> {
    pub gate: &'a Gate<'a>,
    pub answers: &'a Answers<'a>,
    pub moment: &'a Moment<'a>,
    pub surroundings: &'a Surroundings<'a>,
    /// Whether the book has nothing yet that an entry could be.
    pub is_empty: bool,
    /// Which delivery brought a fact of that id.
    seen: HashMap<FactId, usize>,
    /// What deliveries tell of things that go by a name, with the delivery that told it first.
    told: HashMap<(Kind, String), (Fact<Record>, usize)>,
    pub questions: Vec<Question>,
    /// What a file calls a site that is called otherwise once its sites are recorded.
    pub sites_now: HashMap<SiteName, SiteName>,
}

impl<'a> Sorting<'a> {
    pub fn new(
        gate: &'a Gate<'a>,
        answers: &'a Answers<'a>,
        moment: &'a Moment<'a>,
        surroundings: &'a Surroundings<'a>,
    ) -> Result<Self, BookError> {
        let is_empty = moment.is_empty()?;
        let (seen, told, questions, sites_now) = Default::default();
        Ok(Self { gate, answers, moment, surroundings, is_empty, seen, told, questions, sites_now })
    }

    /// Sorts the entries of a delivery that are of these kinds; the others stay in it.
    ///
    /// # Errors
    /// An entry that an earlier delivery tells otherwise; a book that cannot be read.
    pub fn sort(
        &mut self,
        number: usize,
        delivery: &mut Delivery,
        kinds: &dyn Fn(Kind) -> bool,
        sorted: &mut Sorted,
    ) -> Result<(), Turned> {
        let known_as = delivery.known_as().cloned();
        let of_kinds = |entry: &mut Entry| kinds(entry.record.kind());
        if self.is_empty {
            sorted.facts.reserve(delivery.entries.len());
        }
        // Of a table, which has nothing that a map could call otherwise than its site is called now.
        let made = delivery.made.take();
        let mut entries = delivery.entries.extract_if(.., of_kinds);
        let surroundings = self.surroundings;
        if let Some(made) = made {
            entries.zip(made).try_for_each(|(entry, id)| {
                self.sort_one(sorted, number, known_as.as_ref(), entry, None, id)
            })?;
            delivery.entries = Vec::new();
            return Ok(());
        }
        let mut some = self.next_of(&mut entries);
        let mut ids = ids_of(&some, surroundings);
        while !some.is_empty() {
            let next = self.next_of(&mut entries);
            let mut next_ids = Vec::new();
            rayon::in_place_scope(|others| {
                if !next.is_empty() {
                    others.spawn(|_| next_ids = ids_of(&next, surroundings));
                }
                some.into_iter().zip(ids).try_for_each(|((entry, told), id)| {
                    self.sort_one(sorted, number, known_as.as_ref(), entry, told, id)
                })
            })?;
            (some, ids) = (next, next_ids);
        }
        drop(entries);
        delivery.entries.shrink_to_fit();
        Ok(())
    }

    /// The next entries of a file, each on its site as that is called now, and as it was told.
    fn next_of(&self, entries: &mut impl Iterator<Item = Entry>) -> Vec<(Entry, Option<Entry>)> {
        let some = entries.take(AT_ONCE);
        some.map(|entry| on_its_site(entry, &self.sites_now)).collect()
    }

    fn sort_one(
        &mut self,
        sorted: &mut Sorted,
        number: usize,
        known_as: Option<&Arc<str>>,
        entry: Entry,
        told: Option<Entry>,
        made: FactId,
    ) -> Result<(), Turned> {
        if let Some(id) = entry.id {
            return self.by_its_id(sorted, number, entry, id);
        }
        let Some(known_as) = known_as else {
            // What is typed is never taken for anything else; likely doubles are asked about.
            self.add(sorted, entry, (self.gate.draw)());
            return Ok(());
        };
        let kind = entry.record.kind();
        if goes_by_its_name(kind) && self.was_told(sorted, number, &entry)? {
            sorted.known += 1;
            return Ok(());
        }
        let id = made;
        let names = Names::of(&entry.record, &self.surroundings.known().names.former);
        let fate = self.fate_of_any(id, told.as_ref(), &entry, &names)?;
        let is_own = |fate: &&Fate| goes_by_its_name(kind) || fate.file.as_ref() == Some(known_as);
        if let Some(own) = fate.as_ref().filter(is_own) {
            match own.counts {
                true => sorted.known += 1,
                false => sorted.corrected_since += 1,
            }
            return Ok(());
        }
        let versions = self.versions(kind, &entry, &names, known_as)?;
        // By its words first: how far it used its share may have been settled since.
        let says_the_same = |version: &&HistoryLine| {
            of_the_same_words(version.fact.id, id) || self.changes(&version.fact, &entry).is_empty()
        };
        let live = versions.iter().find(|version| version.counts());
        match (versions.iter().find(says_the_same), live) {
            (Some(same), _) if same.counts() => sorted.known += 1,
            (Some(_), _) => sorted.corrected_since += 1,
            (None, Some(live)) => self.change(sorted, entry, live),
            // The same words in another file, or twice in this one: its own fact, if it is one.
            (None, None) if fate.is_some() || self.seen.contains_key(&id) => {
                sorted.digest = None;
                self.add(sorted, entry, (self.gate.draw)());
            }
            (None, None) => self.add(sorted, entry, id),
        }
        Ok(())
    }

    /// An entry that says which fact it is.
    fn by_its_id(
        &mut self,
        sorted: &mut Sorted,
        number: usize,
        entry: Entry,
        id: FactId,
    ) -> Result<(), Turned> {
        let kind = entry.record.kind();
        if let Some(first) = self.seen.insert(id, number)
            && first == number
        {
            self.questions.push(Question::copied(sorted.file.as_deref(), &entry, id));
            return Ok(());
        }
        let Some(line) = self.moment.fact_of(id)? else {
            if goes_by_its_name(kind) && self.was_told(sorted, number, &entry)? {
                sorted.known += 1;
            } else {
                self.add(sorted, entry, id);
            }
            return Ok(());
        };
        if line.fact.record.kind() != kind {
            return Err(Turned::Unfit(format!(
                "{}: fact {} is a {} in the book, not a {}; clear the cell `fact` for something \
                 new (nothing was recorded)",
                sorted.file.as_deref().unwrap_or("what was typed"),
                id.short(),
                line.fact.record.kind().name(),
                kind.name()
            )));
        }
        if self.changes(&line.fact, &entry).is_empty() {
            match line.correction {
                None => sorted.known += 1,
                Some(_) => sorted.corrected_since += 1,
            }
            return Ok(());
        }
        match self.newest(line, &entry)? {
            Newest::Says => sorted.corrected_since += 1,
            Newest::Counts(live) => self.change(sorted, entry, &live),
            Newest::Withdrawn => {
                self.questions.push(Question::withdrawn(sorted.file.as_deref(), &entry, id))
            }
        }
        Ok(())
    }

    /// Follows what took a fact's place to its end, unless a version on the way says what the
    /// entry does.
    fn newest(&self, mut line: HistoryLine, entry: &Entry) -> Result<Newest, Turned> {
        loop {
            let Some(correction) = &line.correction else {
                return Ok(Newest::Counts(Box::new(line)));
            };
            let Replacement::By(next) = correction.replacement else {
                return Ok(Newest::Withdrawn);
            };
            let Some(next) = self.moment.fact_of(next)? else { return Ok(Newest::Withdrawn) };
            if self.changes(&next.fact, entry).is_empty() {
                return Ok(Newest::Says);
            }
            line = next;
        }
    }

    /// What the entry says otherwise than the fact. Where it leaves open how much of the share
    /// a cut used, or no book had ruled it, whatever this book has is right.
    fn changes(&self, fact: &Fact<Record>, entry: &Entry) -> Vec<String> {
        let measure = self.surroundings.measure_of(&entry.record);
        if let (Record::Cut(old), Record::Cut(new)) = (&fact.record, &entry.record)
            && (entry.taken_unsaid || entry.unruled)
        {
            let record = Record::Cut(Cut { taken: old.taken, ..new.clone() });
            return diff(fact, &Entry { record, ..entry.clone() }, measure);
        }
        diff(fact, entry, measure)
    }

    /// Of the fact that the entry made, whatever its place was called then.
    fn fate_of_any(
        &self,
        id: FactId,
        told: Option<&Entry>,
        entry: &Entry,
        names: &Names,
    ) -> Result<Option<Fate>, BookError> {
        if self.is_empty {
            return Ok(None);
        }
        let kind = entry.record.kind();
        let found = self.moment.fate(kind, id)?;
        if found.is_some() {
            return Ok(found);
        }
        let mut others: Vec<FactId> =
            told.into_iter().map(|told| id_of(told, &self.written(told))).collect();
        let written = if names.were.is_empty() { String::new() } else { self.written(entry) };
        others.extend(
            names
                .earlier(&entry.key)
                .into_iter()
                .zip(names.earlier(&written))
                .map(|(key, written)| id_of(&Entry { key, ..entry.clone() }, &written)),
        );
        for id in others {
            let found = self.moment.fate(kind, id)?;
            if found.is_some() {
                return Ok(found);
            }
        }
        Ok(None)
    }

    /// What the book has under the entry's key from the same file, or under its name.
    fn versions(
        &self,
        kind: Kind,
        entry: &Entry,
        names: &Names,
        known_as: &Arc<str>,
    ) -> Result<Vec<HistoryLine>, BookError> {
        if self.is_empty {
            return Ok(Vec::new());
        }
        let mut versions = self.moment.versions(kind, &entry.key)?;
        for key in names.earlier(&entry.key) {
            versions.extend(self.moment.versions(kind, &key)?);
        }
        if goes_by_its_name(kind) {
            versions.retain(|line| !line.counts() || is_called_so(line, &entry.record));
            if versions.iter().all(|line| !line.counts())
                && let Some(name) = own_name(&entry.record)
            {
                let called = self.moment.named(kind, name)?.into_iter();
                versions.extend(called.filter(|line| is_called_so(line, &entry.record)));
            }
        } else {
            let of_file = |line: &HistoryLine| line.fact.file.as_ref() == Some(known_as);
            versions.retain(of_file);
            if versions.is_empty() && !entry.key.contains(" #") {
                versions = self.moment.versions(kind, &format!("{}{TOLD_APART}", entry.key))?;
                versions.retain(of_file);
            }
        }
        Ok(versions)
    }

    /// Whether an earlier delivery told the same of what bears this name.
    fn was_told(&mut self, sorted: &Sorted, number: usize, entry: &Entry) -> Result<bool, Turned> {
        let place = (entry.record.kind(), entry.key.clone());
        let Some((fact, _)) = self.told.get(&place).filter(|(_, first)| *first != number) else {
            let fact = self.gate.fact(entry.clone(), None, (self.gate.draw)()).fact;
            self.told.insert(place, (fact, number));
            return Ok(false);
        };
        let what = self.changes(fact, entry);
        if what.is_empty() {
            return Ok(true);
        }
        Err(Turned::Unfit(format!(
            "{} tells the {} {} otherwise than another of the files: {}\n  load the one that is \
             right; nothing was recorded",
            sorted.file.as_deref().unwrap_or("what was typed"),
            entry.record.kind().name(),
            entry.key,
            what.join("; ")
        )))
    }

    fn add(&mut self, sorted: &mut Sorted, entry: Entry, id: FactId) {
        sorted.new.push(entry.record.kind());
        self.bring(sorted, entry, id, false);
    }

    fn bring(&mut self, sorted: &mut Sorted, entry: Entry, id: FactId, replaces: bool) {
        self.seen.insert(id, usize::MAX);
        let Entry { taken_unsaid, sure, again, .. } = entry;
        let is_settled = entry.id.is_some() && !entry.unruled;
        let mut fact = self.gate.fact(entry, sorted.file.as_ref(), id);
        // So that nobody asks again whether it is one with another.
        let is_apart = again || self.answers.again;
        if is_apart && fact.fact.record.kind().is_deed() && !fact.key.contains(" #") {
            fact.key.push_str(TOLD_APART);
        }
        let is_recorded = false;
        sorted.facts.push(Fresh {
            fact,
            is_settled,
            taken_unsaid,
            sure,
            again,
            replaces,
            is_recorded,
        });
    }

    fn change(&mut self, sorted: &mut Sorted, entry: Entry, live: &HistoryLine) {
        sorted.digest = None;
        let kind = entry.record.kind();
        let what = self.changes(&live.fact, &entry);
        sorted.changed.push(Change { kind, key: entry.key.clone(), what });
        let known_since = live.fact.recorded_on;
        let own_day = self.gate.recorded_on(entry.recorded_on, entry.happened_on);
        // A file that was mended and kept its old day is known to be right only now.
        let stated_anew = entry.recorded_on.filter(|day| *day > known_since);
        let recorded_on = stated_anew.unwrap_or(self.gate.today.max(known_since).max(own_day));
        let id = id_of_change(&entry, &self.written(&entry), recorded_on);
        let id = if self.seen.contains_key(&id) { (self.gate.draw)() } else { id };
        let by = entry.by.clone();
        self.bring(sorted, entry, id, true);
        let mut correction = Correction {
            id,
            replaced: live.fact.id,
            replacement: Replacement::By(id),
            why: self.answers.replace.unwrap_or("").into(),
            recorded_on,
            by,
        };
        correction.id = id_of_correction(&correction);
        sorted.corrections.push(correction);
    }

    fn written(&self, entry: &Entry) -> String {
        written_among(entry, self.surroundings)
    }
}

/// Where the versions of a fact lead.
enum Newest {
    /// One on the way says what the entry says.
    Says,
    Counts(Box<HistoryLine>),
    Withdrawn,
}
