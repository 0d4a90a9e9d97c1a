//! What was found where a book was looked through, for `verify`: in words and for machines.

use super::contradictions::contradiction;
use super::page::{Block, Document, Section};
use super::unsettled::perhaps_twice;
use crate::assess::{Contradiction, Double};
use crate::json::{Declared, Shape, object, written};
use crate::units::counted;

/// The name and version of what [`looked_through_json`] writes.
pub const VERIFY_SCHEMA: &str = "stintbook.verify/1";

/// What was found in a book.
#[derive(Debug)]
pub struct LookedThrough {
    /// How many facts it holds; 0 where it is damaged, since nobody counted them.
    pub facts: u64,
    /// A damaged part each; where there is one, nothing else was looked at.
    pub damage: Vec<String>,
    /// Facts that do not agree.
    pub contradictions: Vec<Contradiction>,
    /// A photo each that is missing or another by now.
    pub photos: Vec<String>,
    /// What only a person can settle, a section a sort.
    pub unsettled: Vec<Section>,
    /// Facts of two hands that may be one; both count.
    pub likely: Vec<Double>,
}

impl LookedThrough {
    /// Nothing that keeps the book from being trusted: photos and likely doubles do not.
    pub fn is_in_order(&self) -> bool {
        self.damage.is_empty() && self.contradictions.is_empty() && self.unsettled.is_empty()
    }
}

/// What was found, the gravest first.
pub fn looked_through_document(found: LookedThrough) -> Document {
    let facts = counted(usize::try_from(found.facts).unwrap_or(usize::MAX), "fact");
    let title = match found.damage.is_empty() {
        true => format!("The book is whole: {facts}, every reference holds."),
        false => "The book is damaged; `stintbook restore` puts a backup in its place.".to_owned(),
    };
    let agrees = found.damage.is_empty() && found.contradictions.is_empty();
    let lead = if agrees { "No facts contradict each other." } else { "" };
    let contradictions = found.contradictions.iter().map(contradiction).collect();
    let before = [
        Section::list("damage", "The book is damaged", found.damage),
        Section::list("contradictions", "Facts that do not agree", contradictions),
        Section::list("photos", "Photos", found.photos),
    ];
    let before = before.into_iter().flatten();
    let sections = before.chain(found.unsettled).chain(perhaps_twice(&found.likely)).collect();
    Document { title, kind: "Verify", lead: lead.to_owned(), sections, foot: Vec::new() }
}

object! {
    /// The whole answer.
    struct LookedThroughData {
        /// 0 where the book is damaged, since nobody counted them.
        facts: u64,
        in_order: bool,
        /// The gravest first.
        found: Vec<SortData>,
    }

    struct SortData {
        sort: String,
        /// A sentence each.
        said: Vec<String>,
    }
}

/// The same sentences under the names of their sections.
pub fn looked_through_json(found: LookedThrough) -> String {
    let (facts, in_order) = (found.facts, found.is_in_order());
    let found = looked_through_document(found).sections.iter().map(section).collect();
    written(VERIFY_SCHEMA, LookedThroughData { facts, in_order, found })
}

pub(super) fn declared() -> Declared {
    (VERIFY_SCHEMA, Shape::of_version::<LookedThroughData>(VERIFY_SCHEMA))
}

fn section(section: &Section) -> SortData {
    let said = section.blocks.iter().flat_map(|block| match block {
        Block::List(texts) => texts.clone(),
        _ => Vec::new(),
    });
    SortData { sort: section.id.to_owned(), said: said.collect() }
}
