//! What happened to one patch, in order.

use std::borrow::Cow;
use std::sync::Arc;

use jiff::civil::Date;

use super::{Growth, RecoveryTest, Terms, marked_squares};
use crate::crop::{Extent, standing_crop};
use crate::estimate::Estimate;
use crate::records::{PatchFacts, Taken};

/// Dated events of one patch. On one day, what befell it comes first, then what was judged by eye,
/// what was measured, and what was cut.
///
/// Where the ground changed on a day, what happened before is told as it stands for the ground
/// since: that is what is believed from that day on. Before it, the earlier history holds; and what
/// was cut is what was cut.
#[derive(Clone, Debug, Default)]
pub struct History {
    /// Shared by what knows less of it: a patch of many cuts is ruled on as many days.
    events: Arc<Vec<Event>>,
    /// So many of them are known here.
    known: usize,
    earlier: Option<Arc<Earlier>>,
}

/// What happened on the ground as it was before a day.
#[derive(Clone, Debug)]
struct Earlier {
    until: Date,
    /// Empty where the patch was none of its own.
    history: History,
}

/// One thing that was seen or done on a patch.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// When.
    pub day: Date,
    /// By whom; an observer is told by this name.
    pub by: Arc<str>,
    /// What.
    pub seen: Seen,
}

/// What was seen or done; amounts in the crop's measure.
#[derive(Clone, Debug, PartialEq)]
pub enum Seen {
    /// Others took of the crop, nobody knows how much.
    Disturbed,
    /// This part of what will ripen in the season was ripe, more than 0 and at most 1.
    Ripe(f64),
    /// So much was judged to stand, by eye.
    Glance(f64),
    /// So much was found to stand.
    Survey(Estimate),
    /// A recovery test, on the day of its second cut.
    Tested(RecoveryTest),
    /// What a day of a recovery test cut from its squares: charged by weight, and no visit, so
    /// that a patch is not thought to have borne one.
    Clipped(f64),
    /// A visit cut of the crop.
    Cut {
        /// What came off; may be 0.
        amount: f64,
        /// How much of what was allowed it used.
        taken: Taken,
        /// How many people cut; `None` where nobody counted.
        people: Option<u32>,
    },
    /// The stand came to cover less ground: this part of what it did.
    Shrunk(f64),
}

impl History {
    /// Sorts events into the order in which they count.
    pub fn new(mut events: Vec<Event>) -> Self {
        events.sort_by_key(|event| (event.day, event.seen.order()));
        Self { known: events.len(), events: events.into(), earlier: None }
    }

    /// `self` is told for the ground since `day`; until then `earlier` holds.
    pub fn since(self, day: Date, earlier: Self) -> Self {
        Self { earlier: Some(Arc::new(Earlier { until: day, history: earlier })), ..self }
    }

    /// The day on which the ground changed last, and the history until then.
    pub fn earlier(&self) -> Option<(Date, &Self)> {
        self.earlier.as_ref().map(|earlier| (earlier.until, &earlier.history))
    }

    /// The history in a patch's facts. Surveys that do not fit the patch's extent, glances of
    /// nothing and tests that tell nothing are left out.
    pub fn of(facts: &PatchFacts, extent: &Extent, terms: &Terms, growth: &Growth) -> Self {
        // A patch surveyed while ripe has two events of one survey; few are.
        let most = facts.surveys.len() + facts.glances.len() + facts.cuts.len();
        let mut events = Vec::with_capacity(most);
        events.extend(facts.surveys.iter().filter_map(|fact| {
            let estimate = standing_crop(&fact.record, extent)?;
            Some(event(fact.happened_on, &fact.by, Seen::Survey(estimate)))
        }));
        events.extend(facts.surveys.iter().filter_map(|fact| {
            let ripe = fact.record.ripe?.part();
            Some(event(fact.happened_on, &fact.by, Seen::Ripe(ripe)))
        }));
        events.extend(facts.glances.iter().filter_map(|fact| {
            let amount = fact.record.standing.value;
            (amount > 0.0).then(|| event(fact.happened_on, &fact.by, Seen::Glance(amount)))
        }));
        events.extend(facts.cuts.iter().map(|fact| {
            let cut = &fact.record;
            let (amount, taken, people) = (cut.amount.value, cut.taken, cut.people);
            let seen = match facts.clippings.iter().any(|clipping| clipping.id == fact.id) {
                true => Seen::Clipped(amount),
                false => Seen::Cut { amount, taken, people },
            };
            event(fact.happened_on, &fact.by, seen)
        }));
        events.extend(tests(facts, terms, growth));
        Self::new(events)
    }

    /// The same history with its tests read by other terms, up to `day`.
    pub fn tested_by(
        &self,
        facts: &PatchFacts,
        terms: &Terms,
        growth: &Growth,
        day: Date,
    ) -> Cow<'_, Self> {
        if facts.clippings.is_empty() {
            return Cow::Borrowed(self);
        }
        let from = self.earlier.as_ref().map_or(Date::MIN, |earlier| earlier.until);
        let is_own_test =
            |event: &Event| matches!(event.seen, Seen::Tested(_)) && event.day >= from;
        let others = self.events().iter().filter(|event| !is_own_test(event));
        let own = from..=day;
        let tests = tests(facts, terms, growth).filter(|event| own.contains(&event.day));
        let events = others.cloned().chain(tests).collect();
        Cow::Owned(Self { earlier: self.earlier.clone(), ..Self::new(events) })
    }

    /// All that is believed in the end.
    pub fn events(&self) -> &[Event] {
        &self.events[..self.known]
    }

    /// All that was seen and done on this patch itself, as it was.
    pub fn recorded(&self) -> Vec<&Event> {
        let Some(earlier) = &self.earlier else { return self.events().iter().collect() };
        let mut recorded = earlier.history.recorded();
        recorded.retain(|event| event.day < earlier.until);
        recorded.extend(self.events().iter().filter(|event| event.day >= earlier.until));
        recorded
    }

    /// The same history without what happened after `day`.
    pub fn known_until(self, day: Date) -> Self {
        Self { known: self.until(day).len(), ..self }
    }

    /// The same history with further events.
    pub fn with(&self, more: impl IntoIterator<Item = Event>) -> Self {
        let mut more = more.into_iter().peekable();
        if more.peek().is_none() {
            return self.clone();
        }
        let events = self.events().iter().cloned().chain(more).collect();
        Self { earlier: self.earlier.clone(), ..Self::new(events) }
    }

    /// What had happened by the morning of `day`: without its cuts, and without what came later.
    pub fn without_cuts_of(&self, day: Date) -> Self {
        let (events, known) = (self.ground_of(day).events.clone(), self.morning_of(day).len());
        Self { events, known, earlier: None }
    }

    /// What is believed at the end of `day`.
    pub fn until(&self, day: Date) -> &[Event] {
        let events = self.ground_of(day).events();
        &events[..events.partition_point(|event| event.day <= day)]
    }

    /// The history that holds on `day`.
    fn ground_of(&self, day: Date) -> &Self {
        match &self.earlier {
            Some(earlier) if self.is_before_change(day) => earlier.history.ground_of(day),
            _ => self,
        }
    }

    /// What is believed on the morning of `day`: a day's cuts are its last events.
    pub fn morning_of(&self, day: Date) -> &[Event] {
        let is_by_then =
            |event: &Event| event.day < day || event.day == day && !event.seen.is_cut();
        let events = self.ground_of(day).events();
        &events[..events.partition_point(is_by_then)]
    }

    /// Whether the ground changed after `day`.
    pub fn is_before_change(&self, day: Date) -> bool {
        self.earlier.as_ref().is_some_and(|earlier| day < earlier.until)
    }

    /// Takes in one more event, behind those that count before it.
    pub fn add(&mut self, event: Event) {
        let order = |event: &Event| (event.day, event.seen.order());
        let place = self.events().partition_point(|other| order(other) <= order(&event));
        let events = Arc::make_mut(&mut self.events);
        events.truncate(self.known);
        events.insert(place, event);
        self.known += 1;
    }

    /// What was cut from `from` to `to`, both included.
    pub fn cut_between(&self, from: Date, to: Date) -> f64 {
        let own = cuts_in(self.own_between(from, to)).map(|(_, amount)| amount).sum();
        match &self.earlier {
            Some(earlier) if from < earlier.until => {
                earlier.history.cut_between(from, to.min(earlier.last_day())) + own
            }
            _ => own,
        }
    }

    /// Days from `from` to `to`, both included, on which something was cut.
    pub fn cut_days_between(&self, from: Date, to: Date) -> u32 {
        let cuts = cuts_in(self.between(from, to)).filter(|(_, amount)| *amount > 0.0);
        count_days(cuts.map(|(day, _)| day))
    }

    /// Days from `from` to `to`, both included, on which anyone came to cut.
    pub fn visit_days_between(&self, from: Date, to: Date) -> u32 {
        let own = count_days(visits_in(self.own_between(from, to)).map(|(day, _)| day));
        match &self.earlier {
            Some(earlier) if from < earlier.until => {
                earlier.history.visit_days_between(from, to.min(earlier.last_day())) + own
            }
            _ => own,
        }
    }

    /// Each day with a cut, and what it took together, recovery tests too.
    pub fn cuts(&self) -> impl Iterator<Item = (Date, f64)> {
        self.recorded().into_iter().filter_map(cut_in)
    }

    /// Days from `from` to `to`, both included, on which a party came to cut, with its people if
    /// they were counted; a party that took nothing stood there too.
    pub fn visits_between(
        &self,
        from: Date,
        to: Date,
    ) -> impl Iterator<Item = (Date, Option<u32>)> {
        visits_in(self.between(from, to))
    }

    /// What happened on the ground as it is since it changed last.
    fn own_between(&self, from: Date, to: Date) -> &[Event] {
        match &self.earlier {
            Some(earlier) if to < earlier.until => &[],
            Some(earlier) => self.between(from.max(earlier.until), to),
            None => self.between(from, to),
        }
    }

    /// What is believed at the end of `to` to have happened from `from` on.
    pub fn between(&self, from: Date, to: Date) -> &[Event] {
        let until = self.until(to);
        &until[until.partition_point(|event| event.day < from)..]
    }
}

/// The tests of a patch, each on the day of its second cut.
fn tests(facts: &PatchFacts, terms: &Terms, growth: &Growth) -> impl Iterator<Item = Event> {
    let (squares, _) = marked_squares(&facts.clippings);
    squares.into_iter().filter_map(move |squares| {
        let second = squares.second?;
        let test = squares.result(terms, growth)?.ok()?;
        Some(event(second.happened_on, &second.by, Seen::Tested(test)))
    })
}

fn cuts_in(events: &[Event]) -> impl Iterator<Item = (Date, f64)> {
    events.iter().filter_map(cut_in)
}

fn cut_in(event: &Event) -> Option<(Date, f64)> {
    match event.seen {
        Seen::Cut { amount, .. } | Seen::Clipped(amount) => Some((event.day, amount)),
        _ => None,
    }
}

fn visits_in(events: &[Event]) -> impl Iterator<Item = (Date, Option<u32>)> {
    events.iter().filter_map(|event| match event.seen {
        Seen::Cut { people, .. } => Some((event.day, people)),
        Seen::Clipped(_) => Some((event.day, None)),
        _ => None,
    })
}

/// Different days, from days in order.
fn count_days(days: impl Iterator<Item = Date>) -> u32 {
    let mut last = None;
    days.filter(|day| last.replace(*day) != Some(*day)).count() as u32
}

impl Earlier {
    /// The last day on which it holds.
    fn last_day(&self) -> Date {
        self.until.yesterday().unwrap_or(self.until)
    }
}

impl Event {
    /// The same on a part of the ground, as large as `part` of it: amounts and people in
    /// proportion, people in whole ones. What each plant was asked for stays what it was.
    pub fn on_part(&self, part: f64) -> Self {
        let seen = match self.seen.clone() {
            Seen::Glance(amount) => Seen::Glance(amount * part),
            Seen::Survey(estimate) => Seen::Survey(estimate.scaled(part)),
            Seen::Clipped(amount) => Seen::Clipped(amount * part),
            Seen::Cut { amount, taken, people } => Seen::Cut {
                amount: amount * part,
                taken,
                people: people.map(|people| (f64::from(people) * part).ceil() as u32),
            },
            same @ (Seen::Disturbed | Seen::Ripe(_) | Seen::Tested(_) | Seen::Shrunk(_)) => same,
        };
        Self { seen, day: self.day, by: self.by.clone() }
    }
}

impl Seen {
    /// Whether something left the patch for good.
    pub fn is_cut(&self) -> bool {
        matches!(self, Self::Cut { .. } | Self::Clipped(_))
    }

    fn order(&self) -> u8 {
        match self {
            // The ground first: what else is told of the day is told of it.
            Self::Shrunk(_) | Self::Disturbed | Self::Ripe(_) => 0,
            Self::Glance(_) => 1,
            Self::Survey(_) => 2,
            Self::Tested(_) => 3,
            Self::Cut { .. } | Self::Clipped(_) => 4,
        }
    }
}

fn event(day: Date, by: &Arc<str>, seen: Seen) -> Event {
    Event { day, by: by.clone(), seen }
}
