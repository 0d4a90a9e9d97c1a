//! What the gate asks of the command line: ids, the clock's day, the crops that count.

use std::cell::Cell;

use uuid::Uuid;

use super::context::Context;
use super::failure::Failure;
use crate::book::{Book, Moment, Scope};
use crate::gate::{Admitted, Answers, Delivery, Gate, Places};
use crate::records::{Entry, FactId, KnownPatch};

/// A seed drawn by a command is at most this, so that it is easily typed again.
const SHORT_SEEDS: u128 = 999_999;

/// Up to six digits of what makes an id unlike every other, and never 0.
pub fn drawn_seed() -> u32 {
    (new_id().0.as_u128() % SHORT_SEEDS) as u32 + 1
}

thread_local! {
    /// The first id that this thread's command drew, and how many it drew.
    static DRAWN: Cell<Option<(Uuid, u32)>> = const { Cell::new(None) };
}

/// From now on ids are of another command. A command draws its ids on one thread.
pub fn begin_command() {
    DRAWN.set(None);
}

/// An id that nothing else has: UUID version 7. All that one command draws bear the moment of the
/// first, by which they are known to belong together, and sort in the order in which they were
/// drawn: a count stands in front of what is random.
pub fn new_id() -> FactId {
    let (first, number) = DRAWN.get().unwrap_or_else(|| (Uuid::now_v7(), 0));
    DRAWN.set(Some((first, number.wrapping_add(1))));
    let number = number.to_be_bytes();
    let mut bytes = Uuid::now_v7().into_bytes();
    bytes[..6].copy_from_slice(&first.as_bytes()[..6]);
    bytes[6] = 0x70;
    bytes[7] = number[0];
    bytes[8] = 0x80 | number[1] >> 2;
    bytes[9] = number[1] << 6 | number[2] >> 2;
    bytes[10] = number[2] << 6 | number[3] >> 2;
    bytes[11] = number[3] << 6 | bytes[11] & 0x3f;
    FactId(Uuid::from_bytes(bytes))
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
        book.is_about(Scope::Site(patch.name.site().clone()), None);
        let bring =
            |_: &Moment<'_>| Ok((Places::only(patch.clone()), vec![Delivery::typed(entry)]));
        Ok(self.gate()?.admit(book, &answered.answers(), bring)?)
    }
}
