//! What the gate asks of the command line: ids, the clock's day, the crops that count.

use uuid::Uuid;

use super::context::Context;
use super::failure::Failure;
use crate::book::{Book, Moment};
use crate::gate::{Admitted, Answers, Delivery, Gate, Places};
use crate::records::{Entry, FactId, KnownPatch};

/// A seed drawn by a command is at most this, so that it is easily typed again.
const SHORT_SEEDS: u128 = 999_999;

/// Up to six digits of what makes an id unlike every other, and never 0.
pub fn drawn_seed() -> u32 {
    (new_id().0.as_u128() % SHORT_SEEDS) as u32 + 1
}

pub fn new_id() -> FactId {
    FactId(Uuid::now_v7())
}

/// Answers to what the gate may ask, on the command line.
#[derive(Clone, Copy, Debug, Default, clap::Args)]
pub struct Answered {
    /// It is another, though the book has one that says the same.
    #[arg(long)]
    pub again: bool,
    /// It is right, though it looks like a slip.
    #[arg(long)]
    pub sure: bool,
}

impl Answered {
    pub fn answers(self) -> Answers<'static> {
        Answers { replace: None, again: self.again, sure: self.sure }
    }
}

impl Context {
    pub fn gate(&self) -> Result<Gate<'_>, Failure> {
        Ok(Gate { catalogue: self.catalogue()?, today: self.today, on: self.on, draw: &new_id })
    }

    /// Records one thing about a patch that was typed.
    pub fn record(
        &self,
        book: &mut Book,
        patch: &KnownPatch,
        entry: Entry,
        answered: Answered,
    ) -> Result<Admitted, Failure> {
        let bring =
            |_: &Moment<'_>| Ok((Places::only(patch.clone()), vec![Delivery::typed(entry)]));
        Ok(self.gate()?.admit(book, &answered.answers(), bring)?)
    }
}
