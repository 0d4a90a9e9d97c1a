//! What says the same as a fact of the book, and may be that fact.

use std::collections::hash_map::Entry;
use std::hash::BuildHasher;

use foldhash::fast::RandomState;
use foldhash::{HashMap, HashMapExt, HashSet};
use jiff::civil::Date;
use rayon::prelude::*;

use super::sorted::{Fresh, Sorted};
use super::turned::Question;
use crate::book::{BookError, Deed, Moment};
use crate::records::{Fact, FactId, Kind, PatchName, Record, folded};
use crate::units::Amount;

/// What two records of one deed have in common: the last is the number of who did it.
type Likeness<'a> = (Kind, &'a PatchName, Date, usize);

/// The first that was brought of a likeness, and the others.
type Brought<'a> = (&'a Record, Vec<&'a Record>);

/// Asks about each new survey, glance and cut of a patch, day, person and amount that the book,
/// or a delivery of the same command, has already.
pub(super) fn doubles(
    all: &[Sorted],
    moment: &Moment,
    book_is_empty: bool,
) -> Result<Vec<Question>, BookError> {
    let mut recorded = Recorded { moment, book_is_empty, deeds: HashMap::new() };
    let mut brought: HashMap<Likeness, Brought> = HashMap::new();
    let mut hands = Hands::default();
    let replaced: HashSet<FactId> =
        all.iter().flat_map(|sorted| &sorted.corrections).map(|made| made.replaced).collect();
    let mut questions = Vec::new();
    let marks = RandomState::default();
    let met_again = met_again(all, &marks);
    for sorted in all {
        for fresh in &sorted.facts {
            let is_alone = mark(fresh, &marks).is_none_or(|mark| !met_again.contains(&mark));
            if is_alone && book_is_empty {
                continue;
            }
            let fact = &fresh.fact.fact;
            let Some((patch, amount)) = deed(&fact.record) else { continue };
            let kind = fact.record.kind();
            // Rows of one survey are told from those of another by their column `visit` alone.
            if kind == Kind::Survey && fresh.fact.key.contains(" #") {
                continue;
            }
            let likeness = (kind, patch, fact.happened_on, hands.number_of(&fact.by));
            let mut of_book = None;
            for deed in recorded.of(kind, patch)? {
                let is_alike = deed.happened_on == fact.happened_on
                    && folded(&deed.by) == folded(&fact.by)
                    && deed.amount == amount
                    && !replaced.contains(&deed.id);
                if is_alike && (amount.is_some() || says(moment, deed.id, &fact.record)?) {
                    of_book = Some(deed.clone());
                    break;
                }
            }
            if fresh.again {
                // Its file says that it is another.
            } else if let Some(other) = of_book {
                questions.push(of_a_fact(sorted, fact, &other));
            } else if let Some((first, others)) = brought.get(&likeness)
                && others.iter().chain([first]).any(|other| is_like(other, &fact.record))
            {
                questions.push(of_another_row(sorted, fact));
            }
            match brought.entry(likeness) {
                Entry::Occupied(earlier) => earlier.into_mut().1.push(&fact.record),
                Entry::Vacant(none) => drop(none.insert((&fact.record, Vec::new()))),
            }
        }
    }
    Ok(questions)
}

/// The marks of more than one fact. What has a mark of its own is like nothing else that is brought:
/// of a million rows a few are left to be held against each other.
fn met_again(all: &[Sorted], marks: &RandomState) -> HashSet<u64> {
    let facts = all.par_iter().flat_map(|sorted| &sorted.facts);
    let mut all: Vec<u64> = facts.filter_map(|fresh| mark(fresh, marks)).collect();
    all.par_sort_unstable();
    let again = all.windows(2).filter(|pair| pair[0] == pair[1]);
    again.map(|pair| pair[0]).collect()
}

/// A checksum of the kind, patch and day of a deed.
fn mark(Fresh { fact, .. }: &Fresh, marks: &RandomState) -> Option<u64> {
    let (record, day) = (&fact.fact.record, fact.fact.happened_on);
    deed(record).map(|(patch, _)| marks.hash_one((record.kind(), patch, day)))
}

/// Numbers for people, the same for all ways in which one name may be typed.
#[derive(Default)]
struct Hands<'a> {
    numbers: HashMap<&'a str, usize>,
    people: HashMap<String, usize>,
}

impl<'a> Hands<'a> {
    fn number_of(&mut self, by: &'a str) -> usize {
        let Self { numbers, people } = self;
        *numbers.entry(by).or_insert_with(|| {
            let next = people.len();
            *people.entry(folded(by)).or_insert(next)
        })
    }
}

/// Whether two records of a patch, day and person may be one: of the same amount, or for a
/// survey, the same in all.
fn is_like(one: &Record, other: &Record) -> bool {
    match (deed(one), deed(other)) {
        (Some((_, Some(amount))), Some((_, Some(other)))) => amount == other,
        _ => one == other,
    }
}

/// Whether the fact of the book says just what the record does.
fn says(moment: &Moment, id: FactId, record: &Record) -> Result<bool, BookError> {
    Ok(moment.fact_of(id)?.is_some_and(|line| line.fact.record == *record))
}

/// The deeds of the book, read once for each patch.
struct Recorded<'a> {
    moment: &'a Moment<'a>,
    book_is_empty: bool,
    deeds: HashMap<(Kind, PatchName), Vec<Deed>>,
}

impl Recorded<'_> {
    fn of(&mut self, kind: Kind, patch: &PatchName) -> Result<&[Deed], BookError> {
        if self.book_is_empty {
            return Ok(&[]);
        }
        let place = (kind, patch.clone());
        if !self.deeds.contains_key(&place) {
            let found = match self.moment.deeds(kind, patch) {
                // A patch that comes along with its deeds.
                Err(BookError::Refused(_)) => Vec::new(),
                found => found?,
            };
            self.deeds.insert(place.clone(), found);
        }
        Ok(self.deeds.get(&place).map_or(&[], Vec::as_slice))
    }
}

/// The patch of a survey, glance or cut, and its amount where it has one.
fn deed(record: &Record) -> Option<(&PatchName, Option<Amount>)> {
    match record {
        Record::Survey(survey) => Some((&survey.patch, None)),
        Record::Glance(glance) => Some((&glance.patch, Some(glance.standing))),
        Record::Cut(cut) => Some((&cut.patch, Some(cut.amount))),
        Record::Clipping(clipping) => Some((&clipping.patch, Some(clipping.cut))),
        _ => None,
    }
}

fn of_a_fact(sorted: &Sorted, fact: &Fact<Record>, other: &Deed) -> Question {
    let from = match &other.file {
        Some(file) => format!("from {file}"),
        None => "typed".to_owned(),
    };
    Question {
        place: sorted.file.as_deref().unwrap_or_default().to_owned(),
        found: format!("{} is in the book already: fact {}, {from}", gist(fact), other.id.short()),
        way_out: "leave it out if it is the same; if it is another, say --again, or give its row \
                  `visit` 2"
            .to_owned(),
    }
}

fn of_another_row(sorted: &Sorted, fact: &Fact<Record>) -> Question {
    Question {
        place: sorted.file.as_deref().unwrap_or_default().to_owned(),
        found: format!("{} is there twice", gist(fact)),
        way_out: "leave one out if they are the same; if they are two, give one `visit` 2, or say \
                  --again"
            .to_owned(),
    }
}

/// `the cut of 650 g on wood/bank, 2027-03-14, by Ida`.
fn gist(fact: &Fact<Record>) -> String {
    let kind = fact.record.kind().name();
    let (patch, amount) = match deed(&fact.record) {
        Some((patch, Some(amount))) => (patch.to_string(), format!(" of {amount}")),
        Some((patch, None)) => (patch.to_string(), String::new()),
        None => Default::default(),
    };
    format!("the {kind}{amount} on {patch}, {}, by {}", fact.happened_on, fact.by)
}
