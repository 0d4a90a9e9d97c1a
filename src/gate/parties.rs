//! A party that comes along to a recorded walk, or stays away.

use super::delivery::{Answers, Because};
use super::gatekeeper::Gate;
use super::righting::Righted;
use super::turned::Turned;
use crate::book::{Attendee, BookError, Decision, Going, Moment, Scope};
use crate::records::{Fact, Party, Walk, WalkName};

/// Parties of one walk; more is a slip of the pen.
pub const MOST_PARTIES: usize = 1000;

impl Gate<'_> {
    /// A walk to which one more party comes, the last by its number, and what it is called. What
    /// is set aside for the walk stays as it is.
    ///
    /// # Errors
    /// Why nothing can be recorded, with the way out.
    pub fn joined(
        &self,
        moment: &Moment,
        walk: &Fact<Walk>,
        party: Party,
        called: Option<String>,
        because: Because,
        answers: &Answers,
    ) -> Result<Decision<Righted>, Turned> {
        let mut parties = walk.record.parties.clone();
        if parties.len() >= MOST_PARTIES {
            return Err(Turned::Unfit(format!(
                "`{}` has {MOST_PARTIES} parties, the most there may be (nothing was recorded)",
                walk.record.name
            )));
        }
        parties.push(party);
        let number = u32::try_from(parties.len()).unwrap_or(u32::MAX);
        let mut decision = self.with_parties(moment, walk, &parties, because, answers)?;
        // What was left under numbers without a party belongs to nobody who comes. The last goes
        // first, so that none moves up.
        let left = moment.attendees(&walk.record.name)?.into_iter().map(|named| named.party);
        let left = left.filter(|of| *of >= number).rev();
        decision.going = left.map(|of| self.going(&walk.record.name, of)).collect();
        decision.names.extend(called.map(|name| {
            let walk = walk.record.name.clone();
            Attendee { walk, party: number, name }
        }));
        Ok(decision)
    }

    /// A walk without one of its parties, by its number. Those after it move up by one, and
    /// their names with them; its own is forgotten. What is set aside stays as it is.
    ///
    /// # Errors
    /// Why nothing can be recorded, with the way out.
    pub fn left(
        &self,
        moment: &Moment,
        walk: &Fact<Walk>,
        number: u32,
        because: Because,
        answers: &Answers,
    ) -> Result<Decision<Righted>, Turned> {
        let numbered = walk.record.parties.iter().zip(1..);
        let parties: Vec<Party> =
            numbered.filter(|(_, of)| *of != number).map(|(party, _)| *party).collect();
        if parties.is_empty() {
            return Err(Turned::Unfit(format!(
                "nobody else comes along to `{name}`; `stintbook walk cancel \"{name}\"` gives it \
                 up (nothing was recorded)",
                name = walk.record.name
            )));
        }
        let mut decision = self.with_parties(moment, walk, &parties, because, answers)?;
        decision.going = self.beyond(moment, &walk.record)?;
        decision.going.push(self.going(&walk.record.name, number));
        Ok(decision)
    }

    /// What a walk as it is to be has no party for, though a name is kept under its number: the
    /// last goes first, so that none moves up.
    ///
    /// # Errors
    /// A book that cannot be read.
    pub(super) fn beyond(&self, moment: &Moment, walk: &Walk) -> Result<Vec<Going>, BookError> {
        let parties = walk.parties.len().max(1);
        let named = moment.attendees(&walk.name)?.into_iter().map(|named| named.party);
        let beyond = named.filter(|number| *number as usize > parties).rev();
        Ok(beyond.map(|number| self.going(&walk.name, number)).collect())
    }

    /// The same, and the names themselves.
    pub(super) fn names_beyond(
        &self,
        moment: &Moment,
        walk: &Walk,
    ) -> Result<(Vec<Going>, Vec<String>), BookError> {
        let going = self.beyond(moment, walk)?;
        let is_gone = |named: &Attendee| going.iter().any(|going| going.left == Some(named.party));
        let named = moment.attendees(&walk.name)?.into_iter().filter(is_gone);
        Ok((going.clone(), named.map(|named| named.name).collect()))
    }

    fn going(&self, walk: &WalkName, number: u32) -> Going {
        Going { walk: walk.clone(), left: Some(number), on: self.today }
    }

    fn with_parties(
        &self,
        moment: &Moment,
        walk: &Fact<Walk>,
        parties: &[Party],
        because: Because,
        answers: &Answers,
    ) -> Result<Decision<Righted>, Turned> {
        let name = &walk.record.name;
        if !moment.ledger(&Scope::Walk(name.to_string()))?.cuts_of(name).is_empty() {
            return Err(Turned::Unfit(format!(
                "`{name}` is settled among those who came; if that was wrong, withdraw its cuts \
                 first, and settle it when its parties are right (nothing was recorded)"
            )));
        }
        let line = moment.fact(&walk.id.to_string())?;
        let parties: Vec<String> = parties.iter().map(ToString::to_string).collect();
        let changes = [("parties".to_owned(), parties.join("; "))];
        self.corrected(moment, line, &changes, because, answers)
    }
}
