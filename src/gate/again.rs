//! Files that are loaded again as they were.

use std::sync::Arc;

use xxhash_rust::xxh3::xxh3_128;

use super::admit::Admitted;
use super::gatekeeper::Gate;
use super::sorted::Sorted;
use super::turned::Turned;
use crate::book::{Book, BookError, Decision, FileMark, Moment, Recognised};

impl Gate<'_> {
    /// What admitting these files would say, where it would record nothing: each of them says
    /// what it said when it was last loaded, and so does all that it is read against. `None`
    /// where any of them has to be read.
    ///
    /// # Errors
    /// A book that cannot be read.
    pub fn known_again(
        &self,
        book: &Book,
        files: &[FileMark],
    ) -> Result<Option<Admitted>, BookError> {
        let Some(all) = book.recognised(files, self.reader())? else { return Ok(None) };
        let sorted = |Recognised { mark, known, corrected_since }| Sorted {
            file: Some(mark.file),
            digest: Some(mark.digest),
            known: known as usize,
            corrected_since: corrected_since as usize,
            ..Sorted::default()
        };
        let sorted = all.into_iter().map(sorted).collect();
        Ok(Some(Admitted { sorted, ..Admitted::default() }))
    }

    /// Records the decision, and which of its files would be told of as known if they were
    /// loaded again.
    pub(super) fn recognise_from_now(
        &self,
        moment: &Moment,
        decision: Decision<Admitted>,
    ) -> Result<Decision<Admitted>, Turned> {
        let Admitted { sorted, facts, .. } = &decision.answer;
        let files: Vec<Recognised> = sorted.iter().filter_map(as_known).collect();
        // What was put right before it came is not among the known.
        let has_old = || facts.iter().any(|id| moment.is_put_right(*id).unwrap_or(true));
        if files.is_empty() || (moment.has_corrections()? && has_old()) {
            return Ok(decision);
        }
        let Decision { facts, corrections, going, names, answer } = decision;
        moment.record(&facts, &corrections)?;
        moment.recognise(&files, self.reader())?;
        Ok(Decision { going, names, ..Decision::new(Vec::new(), Vec::new(), answer) })
    }

    /// Stands for the crops and the program that files are read by.
    fn reader(&self) -> u128 {
        let version = env!("CARGO_PKG_VERSION");
        xxh3_128(format!("{version} {:?}", self.catalogue).as_bytes())
    }
}

/// What loading the file once more would come to; `None` where it would say more than a count.
fn as_known(sorted: &Sorted) -> Option<Recognised> {
    let file: Arc<str> = sorted.file.clone()?;
    let mark = FileMark { file, digest: sorted.digest? };
    let is_plain = sorted.remarks.is_empty() && sorted.changed.is_empty();
    let known = u32::try_from(sorted.known + sorted.new.len() + sorted.told).ok()?;
    let corrected_since = u32::try_from(sorted.corrected_since).ok()?;
    is_plain.then_some(Recognised { mark, known, corrected_since })
}
