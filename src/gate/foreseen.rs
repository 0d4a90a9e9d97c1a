//! What a deed changes in the coming weeks: the ruling before it and after it, side by side.

use super::gatekeeper::Gate;
use super::turned::Turned;
use crate::assess::{Effects, Outlook};
use crate::book::{Book, BookError, Decision, Moment, Scope};

/// A deed with what it changes.
#[derive(Debug)]
pub struct Foreseen<T> {
    /// What the deed comes to.
    pub answer: T,
    /// What is otherwise in the coming fortnight.
    pub effects: Effects,
}

/// Why nothing stays in the book.
enum Stopped<T, E> {
    /// It was only tried out.
    Tried(Box<Foreseen<T>>),
    Failed(E),
}

impl Gate<'_> {
    /// Records what `decide` decides, and says what it changes on the patches of the scope that
    /// it gives. Where it is only tried out, nothing is recorded.
    ///
    /// # Errors
    /// Those of `decide`; a book that cannot be read or written, a crop that is not known.
    pub fn foresee<T, E: From<Turned> + From<BookError>>(
        &self,
        book: &mut Book,
        is_tried_out: bool,
        scope: impl FnOnce(&Moment) -> Result<Scope, E>,
        decide: impl FnOnce(&Moment) -> Result<Decision<T>, E>,
    ) -> Result<Foreseen<T>, E> {
        let decided = book.decide(|moment| {
            let scope = scope(moment).map_err(Stopped::Failed)?;
            let before =
                self.outlook(moment, &scope).map_err(|turned| Stopped::Failed(turned.into()))?;
            let decision = decide(moment).map_err(Stopped::Failed)?;
            moment
                .record(&decision.facts, &decision.corrections)
                .map_err(|error| Stopped::Failed(error.into()))?;
            let after =
                self.outlook(moment, &scope).map_err(|turned| Stopped::Failed(turned.into()))?;
            let Decision { going, names, answer, .. } = decision;
            let answer = Foreseen { answer, effects: after.effects_since(&before) };
            if is_tried_out {
                return Err(Stopped::Tried(Box::new(answer)));
            }
            Ok(Decision { going, names, ..Decision::new(Vec::new(), Vec::new(), answer) })
        })?;
        match decided {
            Ok(foreseen) => Ok(foreseen),
            Err(Stopped::Tried(foreseen)) => Ok(*foreseen),
            Err(Stopped::Failed(error)) => Err(error),
        }
    }

    fn outlook(&self, moment: &Moment, scope: &Scope) -> Result<Outlook, Turned> {
        Ok(Outlook::of(&moment.ledger(scope)?, self.catalogue, self.on)?)
    }
}
