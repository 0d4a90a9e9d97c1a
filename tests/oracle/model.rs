//! The take limit once more, from its formulas alone: as slow and as plain as can be, a day at a
//! time, with none of the library's own sums. It reads the crop's figures and the calendar of its
//! window from the library, and what the survey's ground measures; all else is typed here.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;
use stintbook::records::{Crop, Habit, Purpose};

/// What happened on a patch.
#[derive(Clone, Debug)]
pub enum What {
    /// Grams in each quadrat.
    Survey(Vec<f64>),
    Glance(f64),
    Cut(f64, Took),
    /// Marked squares of a recovery test are cut.
    Clipping(Clipped),
    /// Others were there; nobody knows what they took.
    Raided,
    /// Spray; and somebody who says that it is over.
    Sprayed,
    Clean,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Took {
    All,
    ByWeight,
    OneIn(u32),
}

/// What marked squares gave, three parts in four of what stood there.
#[derive(Clone, Copy, Debug)]
pub struct Clipped {
    /// The first of the two days; `None` on that day itself.
    pub begun: Option<Date>,
    pub pairs: bool,
    pub squares: u32,
    pub cut: f64,
    /// Of pairs, on the second day.
    pub uncut: Option<f64>,
    pub disturbed: bool,
}

impl Clipped {
    fn all(&self) -> f64 {
        self.cut + self.uncut.unwrap_or(0.0)
    }
}

impl What {
    /// What left the patch.
    fn taken(&self) -> f64 {
        match self {
            Self::Cut(amount, _) => *amount,
            Self::Clipping(clipped) => clipped.all(),
            _ => 0.0,
        }
    }
}

#[derive(Clone, Debug)]
pub struct Event {
    pub patch: usize,
    pub day: Date,
    pub by: &'static str,
    pub what: What,
}

#[derive(Clone, Debug)]
pub struct Leave {
    pub from: Date,
    pub to: Option<Date>,
    pub this_crop: bool,
    pub a_day: Option<f64>,
    pub a_season: Option<f64>,
    pub lifts_code: bool,
    pub largest_party: Option<u32>,
    /// Empty where nobody said: then it is for own use.
    pub purposes: Vec<Purpose>,
}

impl Leave {
    fn is_for(&self, purpose: Option<Purpose>) -> bool {
        match purpose {
            None => true,
            Some(Purpose::OwnUse) if self.purposes.is_empty() => true,
            Some(purpose) => self.purposes.contains(&purpose),
        }
    }
}

#[derive(Clone, Debug)]
pub struct Shut {
    pub patch: Option<usize>,
    pub from: Date,
    pub to: Option<Date>,
}

/// A site with patches of one crop, and all that happened there, in the order of its telling.
#[derive(Clone, Debug)]
pub struct World {
    pub latitude: f64,
    /// Square metres of each patch.
    pub areas: Vec<f64>,
    pub frame: f64,
    pub events: Vec<Event>,
    pub leaves: Vec<Leave>,
    /// What is asked for; `None` for any purpose.
    pub purpose: Option<Purpose>,
    pub shuts: Vec<Shut>,
}

/// What may be done on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    pub verdict: &'static str,
    pub most: Option<f64>,
    pub one_in: Option<u32>,
    /// The first later day on which a shut patch is open, whether it must be surveyed by then,
    /// and whether leave must be asked for.
    pub opens: Option<(Date, bool, bool)>,
}

/// How far ahead a day of opening is looked for.
pub const AHEAD: i32 = 400;

/// One rule's word: its verdict if it shuts, the most, the count, whether it goes by a survey.
#[derive(Clone, Debug)]
struct Rule {
    verdict: &'static str,
    most: f64,
    one_in: Option<u32>,
    is_survey: bool,
    by_survey: bool,
}

fn rule(verdict: &'static str, most: f64) -> Rule {
    Rule { verdict, most: most.max(0.0), one_in: None, is_survey: false, by_survey: false }
}

fn count(fraction: f64) -> Option<u32> {
    (fraction > 0.0).then(|| (1.0 / fraction - 1e-9).ceil().max(1.0) as u32)
}

/// One in 200 is the least that anyone counts off.
fn is_countable(part: f64) -> bool {
    count(part).is_some_and(|n| n <= 200)
}

/// The looks at a patch: n, X, Gbar and G4 of the model, and each observer's own offset.
#[derive(Clone, Debug, Default)]
struct Looks {
    n: f64,
    x: f64,
    mean: f64,
    first_four: f64,
    /// An eye lowered it, and no basket came since.
    eye_lowered: bool,
    offsets: BTreeMap<&'static str, (f64, f64)>,
}

impl Looks {
    fn look(&mut self, by: &'static str, seen: f64, is_basket: bool) {
        let y = seen.ln();
        if self.offsets.is_empty() {
            // The first observer is the measure.
            self.offsets.insert(by, (4.0, 0.0));
        }
        let (looks, offset) = self.offsets.entry(by).or_insert((0.0, 0.0));
        if *looks < 4.0 {
            *looks += 1.0;
            *offset += (y - self.x - *offset) / *looks;
        }
        let y = y - *offset;
        let was = if self.n > 0.0 { self.x } else { y };
        match (is_basket, y <= was) {
            (true, _) => self.eye_lowered = false,
            (false, true) => self.eye_lowered = true,
            (false, false) => {}
        }
        self.n += 1.0;
        self.x += f64::max(0.3, 1.0 / self.n) * (y - self.x);
        self.mean += (y - self.mean) / self.n;
        if self.n <= 4.0 {
            self.first_four = self.mean;
        }
    }

    fn usual(&self) -> f64 {
        f64::max(self.first_four, self.mean)
    }

    fn thin(&self) -> f64 {
        let least = if self.eye_lowered { 0.0 } else { 0.25 };
        if self.n < 2.0 {
            1.0
        } else {
            (2.0 * (self.x - self.usual()).exp() - 1.0).clamp(least, 1.0)
        }
    }

    /// A survey is a look where the patch is shut.
    fn surveyed(&mut self, part_of_base: f64) {
        if self.thin() <= 0.0 {
            let weight = f64::max(0.3, 1.0 / f64::max(1.0, self.n));
            self.x += weight * (self.usual() + part_of_base.ln() - self.x);
        }
    }
}

/// Log-sd of a square's ratio about the patch's, and of the error that all squares share.
const SQUARE: f64 = 0.45;
const SHARED: f64 = 0.2;

/// What is believed of ln(r/r of the profile), on the day of the last test.
#[derive(Clone, Copy, Debug)]
struct Pace {
    mu: f64,
    s2: f64,
    tested_on: Option<Date>,
}

impl Pace {
    const UNTESTED: Self = Self { mu: 0.0, s2: 0.25, tested_on: None };

    fn s2_on(&self, day: Date) -> f64 {
        let Some(last) = self.tested_on else { return self.s2 };
        let mut years = 0;
        while last.checked_add((years + 1).years()).unwrap() <= day {
            years += 1;
        }
        f64::min(0.25, self.s2 + 0.01 * f64::from(years))
    }

    /// r_q as a part of r.
    fn refill(&self, day: Date) -> f64 {
        f64::min(1.25, (self.mu - 0.5 * self.s2_on(day).sqrt()).exp())
    }

    /// After a test of so many squares over `growth` = r·T, with that ratio of its baskets.
    fn after(&self, day: Date, pairs: bool, squares: u32, growth: f64, ratio: f64) -> Self {
        let (s2, grown) = (self.s2_on(day), growth * self.mu.exp());
        let (expected, slope) = expected(pairs, grown);
        let e = SQUARE * SQUARE / f64::from(squares) + SHARED * SHARED;
        let k = s2 * slope / (s2 * slope * slope + e);
        let most = 3.0 * s2.sqrt();
        let moved = (k * (ratio / expected).ln()).clamp(-most, most);
        Self { mu: self.mu + moved, s2: s2 * (1.0 - k * slope), tested_on: Some(day) }
    }
}

/// y^ and S of the model: an undisturbed square is 0.85 full, of which a quarter was left.
fn expected(pairs: bool, grown: f64) -> (f64, f64) {
    let be = 0.85;
    let full = |part: f64| part * grown.exp() / (1.0 + part * (grown.exp() - 1.0));
    let (left, uncut) = (full(0.25 * be), full(be));
    match pairs {
        true => (left / uncut, grown * (uncut - left)),
        false => (left / be, grown * (1.0 - left)),
    }
}

/// A patch on the evening of a day.
#[derive(Clone, Debug)]
struct Patch<'w> {
    world: &'w World,
    crop: &'w Crop,
    /// Which patch.
    which: usize,
    /// What is known of eyes: all that happened until this day.
    until: Date,
    day: Date,
    b: f64,
    v: f64,
    phi: f64,
    /// As found, and brought to the peak of the season.
    found: Vec<f64>,
    at_peak: Vec<f64>,
    /// How deep the season of the full crop is here.
    gamma: f64,
    surveyed_on: Option<Date>,
    looks: Looks,
    looks_in_season: Looks,
    thin: f64,
    thin_tomorrow: f64,
    visits: u32,
    /// By visits, and not by tests.
    used_today: f64,
    glanced: bool,
    glanced_today: bool,
    /// In the crop year, before any survey.
    cut_before: f64,
    /// How much the guard grows in a year with a rise over three hours, against one over seven.
    steeper: f64,
    /// What each day took, as a part of what was allowed when each party came.
    cut_days: BTreeMap<Date, f64>,
    pace: Pace,
}

impl<'w> Patch<'w> {
    fn new(world: &'w World, crop: &'w Crop, which: usize, until: Date) -> Self {
        let day = world.events.iter().map(|event| event.day).min().unwrap_or(until).min(until);
        Self {
            world,
            crop,
            which,
            until,
            day,
            b: 0.0,
            v: 0.0,
            phi: 0.0,
            found: Vec::new(),
            at_peak: Vec::new(),
            gamma: gamma(world, crop, which, until),
            surveyed_on: None,
            looks: Looks::default(),
            looks_in_season: Looks::default(),
            thin: 1.0,
            thin_tomorrow: 1.0,
            visits: 0,
            used_today: 0.0,
            glanced: false,
            glanced_today: false,
            cut_before: 0.0,
            steeper: guard_year(world.latitude, 3.0) / guard_year(world.latitude, 7.0),
            cut_days: BTreeMap::new(),
            pace: Pace::UNTESTED,
        }
    }

    fn is_leaf(&self) -> bool {
        matches!(self.crop.habit, Habit::FastLeaf | Habit::SlowLeaf)
    }

    /// The largest share, from a first test on a larger one.
    fn m(&self) -> f64 {
        let m = 1.0 - self.crop.kept_standing.value;
        match (self.pace.tested_on, self.crop.habit) {
            (None, _) | (_, Habit::Slow) => m,
            (_, Habit::FastLeaf) => f64::min(1.0, m * self.larger(0.240 / 0.22)),
            (_, Habit::SlowLeaf) => f64::min(1.0, m * self.larger(0.255 / 0.23)),
            (_, Habit::OnceAYear) => f64::min(1.0, m * self.larger(0.374 / 0.35)),
        }
    }

    /// So much larger that what comes back as its profile says, by eight pairs that show just that
    /// after an interval, has no less after an interval than it had untested.
    fn larger(&self, tuned: f64) -> f64 {
        let any_day = self.day;
        let growth = self.r() * self.crop.recovery.value.days;
        let (as_expected, _) = expected(true, growth);
        let pace = Pace::UNTESTED.after(any_day, true, 8, growth, as_expected);
        let back = |part: f64| 1.0 - (-part * growth).exp();
        f64::max(tuned, back(1.0) / back(pace.refill(any_day)))
    }

    /// How fast the share refills today, as a part of the profile's rate: with the doubt that is
    /// left. What needs years is not tested.
    fn refill(&self) -> f64 {
        if self.crop.habit == Habit::Slow { 1.0 } else { self.pace.refill(self.day) }
    }

    fn r(&self) -> f64 {
        let recovery = self.crop.recovery.value;
        let f = recovery.take_fraction;
        ((0.95 / 0.05) * (f / (1.0 - f))).ln() / recovery.days
    }

    fn has_season(&self) -> bool {
        season(self.crop).is_some()
    }

    /// The part of its peak that a full crop comes to today: c^gamma.
    fn part(&self) -> f64 {
        part_on(self.crop, self.day).powf(self.gamma)
    }

    fn k(&self) -> f64 {
        self.part() * mean(&self.at_peak)
    }

    fn k_base(&self) -> f64 {
        let first = &self.at_peak[..self.at_peak.len().min(3)];
        f64::max(self.part() * mean(first), self.k())
    }

    /// What it is held against where the season is left out of it.
    fn plain_base(&self) -> f64 {
        if self.has_season() { mean(&self.found) } else { self.k_base() }
    }

    /// How far the share refills and the crop grows on a day.
    fn g(&self, day: Date) -> f64 {
        let recovery = self.crop.recovery.value.days;
        if recovery >= 365.0 {
            return 1.0;
        }
        if let Some(months) = &self.crop.growth_by_month {
            return months.value[day.month() as usize - 1];
        }
        guard(self.world.latitude, f64::from(day.day_of_year()), 7.0) * self.steeper
    }

    /// Night falls: a day's growth, and the next day begins.
    fn sleep(&mut self) {
        if self.is_last_of_season(self.day) {
            self.cut_before = 0.0;
        }
        let grown = self.r() * self.g(self.day);
        let refilled = grown * self.refill();
        self.day = self.day.tomorrow().unwrap();
        self.glanced_today = false;
        if self.surveyed_on.is_none() {
            return;
        }
        let today = part_on(self.crop, self.day.yesterday().unwrap()).powf(self.gamma);
        let (k, swing) = (self.k() / self.part() * today, self.part() / today);
        if self.b > 0.0 && k > 0.0 {
            self.b = k * self.b * grown.exp() / (k + self.b * (grown.exp() - 1.0));
        }
        self.b *= swing;
        self.phi = self.m() - (self.m() - self.phi) * (-refilled).exp();
        let doubt = 0.25 / self.crop.recovery.value.days;
        self.v = f64::max(self.v, f64::min(1.0, self.v + doubt));
        self.thin = self.thin_tomorrow;
        if self.used_today >= 0.5 {
            self.visits += 1;
        }
        self.used_today = 0.0;
    }

    fn is_last_of_season(&self, day: Date) -> bool {
        let window = self.crop.window.value;
        window.contains(day) && window.closing(day) == Some(day)
    }

    /// The day after the last day of the season before.
    fn crop_year(&self, day: Date) -> Date {
        let mut start = day;
        while !self.is_last_of_season(start.yesterday().unwrap()) {
            start = start.yesterday().unwrap();
        }
        start
    }

    fn taper(&self) -> f64 {
        match self.crop.habit {
            Habit::OnceAYear => 1.0,
            _ if self.k_base() <= 0.0 => 0.0,
            _ => {
                let below = |base: f64| ((self.b / base - 0.3) / 0.5).clamp(0.0, 1.0);
                f64::max(below(self.k_base()), below(self.plain_base()))
            }
        }
    }

    /// What shrinks the share.
    fn shrunk(&self) -> f64 {
        let thin = if self.is_leaf() { self.thin } else { 1.0 };
        f64::min(self.taper(), thin) * self.begun()
    }

    /// The part of the share that the first visits take.
    fn begun(&self) -> f64 {
        if self.is_leaf() && self.visits < 4 { 0.5 } else { 1.0 }
    }

    /// Whether the patch rests for what was spent, whatever a survey found.
    fn owes_time(&self) -> bool {
        let part = f64::max(0.0, self.phi) * self.pv() * self.begun();
        let would_give = self.slack(self.share()) * part * self.low();
        let wants = self.phi < 0.95 * self.m() && self.b > 0.0 && would_give < self.useful();
        self.surveyed_on.is_some() && (self.phi <= 0.0 || wants)
    }

    fn pv(&self) -> f64 {
        if self.crop.habit == Habit::OnceAYear { 1.0 / 3.0 } else { 1.0 }
    }

    /// Where nobody counts off so few as that part of what stands, its weight is all there is.
    fn slack(&self, part: f64) -> f64 {
        let is_counted = self.is_leaf() && self.crop.countable && is_countable(part);
        match (is_counted, self.glanced || self.has_season()) {
            (false, _) => 1.0,
            (true, false) => 1.5,
            (true, true) => 1.25,
        }
    }

    fn low(&self) -> f64 {
        self.b * (-0.5 * self.v.sqrt()).exp()
    }

    fn share(&self) -> f64 {
        f64::max(0.0, self.phi) * self.pv() * self.shrunk()
    }

    fn kilos(&self) -> f64 {
        self.slack(self.share()) * self.share() * self.low()
    }

    /// All that happened on this day: eyes first, then quadrats, tests, and then knives.
    fn live(&mut self) {
        let events = self.world.events.iter();
        let today: Vec<&Event> = events
            .filter(|event| event.patch == self.which && event.day == self.day)
            .filter(|event| event.day <= self.until)
            .collect();
        for event in &today {
            if matches!(event.what, What::Raided) && self.surveyed_on.is_some() {
                self.v = f64::max(self.v, f64::min(1.0, self.v + 0.16));
                self.looked(false);
            }
        }
        for event in &today {
            if let What::Glance(seen) = event.what {
                self.glance(event.by, seen);
            }
        }
        for event in &today {
            if let What::Survey(quadrats) = &event.what {
                self.survey(quadrats);
            }
        }
        for event in &today {
            if let What::Clipping(clipped) = &event.what {
                self.test(clipped);
            }
        }
        for event in &today {
            match &event.what {
                What::Cut(amount, took) => {
                    self.used_today += self.cut(event.by, *amount, *took);
                }
                // Charged by its weight, and no visit.
                What::Clipping(clipped) => {
                    self.cut(event.by, clipped.all(), Took::ByWeight);
                }
                _ => {}
            }
        }
    }

    /// The second day of a recovery test, if the two tell anything.
    fn test(&mut self, second: &Clipped) {
        let Some(begun) = second.begun else { return };
        let first = self.world.events.iter().find_map(|event| match &event.what {
            What::Clipping(first) if (event.patch, event.day) == (self.which, begun) => Some(first),
            _ => None,
        });
        let Some(first) = first else { return };
        let interval = self.crop.recovery.value.days;
        let (mut days, mut day) = (0.0, begun);
        while day < self.day {
            days += self.g(day);
            day = day.tomorrow().unwrap();
        }
        let tells = match self.crop.habit {
            Habit::Slow => false,
            Habit::OnceAYear => second.pairs,
            _ => true,
        };
        let is_in_time = days >= 0.5 * interval && days <= 2.0 * interval;
        if !tells || second.disturbed || !is_in_time {
            return;
        }
        let ratio = second.cut / second.uncut.unwrap_or(first.cut);
        let swing = match second.pairs {
            true => 1.0,
            false => part_on(self.crop, self.day) / part_on(self.crop, begun),
        };
        let (growth, ratio) = (self.r() * days, ratio / swing.powf(self.gamma));
        self.pace = self.pace.after(self.day, second.pairs, second.squares, growth, ratio);
    }

    fn looked(&mut self, is_cut: bool) {
        self.thin_tomorrow = self.looks.thin();
        if self.has_season() {
            self.thin_tomorrow = f64::max(self.thin_tomorrow, self.looks_in_season.thin());
        }
        self.thin =
            if is_cut { f64::min(self.thin, self.thin_tomorrow) } else { self.thin_tomorrow };
    }

    fn glance(&mut self, by: &'static str, seen: f64) {
        (self.glanced, self.glanced_today) = (true, true);
        if self.surveyed_on.is_some() {
            let e = seen.ln() - self.bias(by);
            if self.b > 0.0 {
                let w = self.v / (self.v + 0.16);
                self.b = (self.b.ln() + w * (e - self.b.ln())).exp();
                self.v = 0.16 * self.v / (self.v + 0.16);
            } else {
                (self.b, self.v) = (e.exp(), 0.16);
            }
        }
        self.look(by, seen, false);
        self.looked(false);
    }

    fn look(&mut self, by: &'static str, seen: f64, is_basket: bool) {
        self.looks.look(by, seen, is_basket);
        self.looks_in_season.look(by, seen / self.part(), is_basket);
    }

    /// From all visits of this observer with both a glance and a survey, to this day.
    fn bias(&self, by: &str) -> f64 {
        let mut pairs: Vec<(Date, f64)> = Vec::new();
        for glance in self.world.events.iter().filter(|event| event.by == by) {
            let What::Glance(seen) = glance.what else { continue };
            let same = |event: &&Event| (event.patch, event.day) == (glance.patch, glance.day);
            for survey in self.world.events.iter().filter(same) {
                let What::Survey(quadrats) = &survey.what else { continue };
                let (found, _) = stands(self.world, survey.patch, quadrats);
                if glance.day <= self.day && found > 0.0 {
                    pairs.push((glance.day, (seen / found).ln()));
                }
            }
        }
        pairs.sort_by(|one, other| one.partial_cmp(other).unwrap());
        let mut bias = 0.0;
        for (n, (_, ratio)) in pairs.iter().rev().take(30).rev().enumerate() {
            bias += f64::max(0.2, 1.0 / (n + 2) as f64) * (ratio - bias);
        }
        bias
    }

    fn survey(&mut self, quadrats: &[f64]) {
        let (found, error) = stands(self.world, self.which, quadrats);
        let is_first = self.surveyed_on.is_none();
        self.found.push(found);
        self.at_peak.push(found / self.part());
        (self.b, self.v) = (found, (1.0 + (error / found).powi(2)).ln());
        self.surveyed_on = Some(self.day);
        if is_first {
            self.phi = match self.crop.habit {
                Habit::OnceAYear => {
                    let growth = self.r() * self.crop.recovery.value.days;
                    let refilled = 1.0 - (-growth * self.refill()).exp();
                    self.m() * refilled - self.cut_before / (self.cut_before + found)
                }
                _ => self.m(),
            };
        } else {
            self.looks.surveyed(found / self.plain_base());
            self.looks_in_season.surveyed(found / self.k_base());
        }
        self.looked(false);
    }

    /// What it used of what was allowed.
    fn cut(&mut self, by: &'static str, amount: f64, took: Took) -> f64 {
        if self.surveyed_on.is_none() {
            self.cut_before += amount;
            if amount > 0.0 {
                self.cut_days.insert(self.day, f64::INFINITY);
            }
            return 0.0;
        }
        let (share, kilos, shrunk) = (self.share(), self.kilos(), self.shrunk());
        let shrunk = if shrunk > 0.0 { shrunk } else { 1.0 };
        let is_over = amount > 1.05 * kilos;
        let by_weight = f64::min(1.0, amount / (self.slack(share) * self.low() * shrunk));
        let spent = match took {
            _ if amount <= 0.0 => 0.0,
            Took::All if !is_over => self.phi * self.pv(),
            Took::OneIn(n) => {
                let counted = f64::min(1.0, 1.0 / f64::from(n) / shrunk);
                if is_over { f64::max(counted, by_weight) } else { counted }
            }
            Took::All | Took::ByWeight => by_weight,
        };
        let allowed = f64::max(0.0, self.phi) * self.pv();
        let used = match amount > 0.0 {
            true if share > 0.0 => spent / allowed,
            true => f64::INFINITY,
            false => 0.0,
        };
        if amount > 0.0 {
            *self.cut_days.entry(self.day).or_insert(0.0) += used;
        }
        self.phi -= spent;
        let left = f64::max(self.b - amount, 0.02 * self.k());
        self.b = f64::min(self.b, left);
        let stopped_by_count = took == Took::All && amount < 0.95 * kilos;
        if stopped_by_count && amount > 0.0 && share > 0.0 && !self.glanced_today {
            self.look(by, amount / share, true);
        }
        self.looked(true);
        used
    }

    /// Every rule's word on this day, in the order in which they are asked.
    fn rules(&self) -> Vec<Rule> {
        let endless = f64::INFINITY;
        let (day, crop) = (self.day, self.crop);
        let cut = |of: &dyn Fn(&Event) -> bool| -> f64 {
            let cuts = self.world.events.iter().filter(|event| event.day <= self.until);
            cuts.filter(|event| of(event)).map(|event| event.what.taken()).sum()
        };
        let today = cut(&|event| event.day == day);
        let autumn = |day: Date| if day.month() >= 9 { day.year() } else { day.year() - 1 };
        let season = cut(&|event| autumn(event.day) == autumn(day) && event.day <= day);

        // The last word of all that was said of spray, up to this day.
        let is_sprayed = self
            .world
            .events
            .iter()
            .filter(|event| event.patch == self.which && event.day <= Date::min(day, self.until))
            .filter(|event| matches!(event.what, What::Sprayed | What::Clean))
            .max_by_key(|event| event.day)
            .is_some_and(|event| matches!(event.what, What::Sprayed));
        let is_shut = self.world.shuts.iter().any(|shut| {
            shut.patch.is_none_or(|patch| patch == self.which)
                && shut.from <= day
                && shut.to.is_none_or(|to| day <= to)
        });
        let room = self.leave(day, today, season);
        let by_survey = |verdict: &'static str, most: f64, one_in: Option<u32>| Rule {
            one_in: one_in.filter(|_| crop.countable),
            by_survey: true,
            ..rule(verdict, most)
        };
        let is_believed = self.surveyed_on.is_some_and(|surveyed| day <= self.believed(surveyed));
        let had = crop.cuts_per_season.as_ref().is_some_and(|cap| {
            let start = self.crop_year(day);
            let season = self.cut_days.range(start..day);
            season.filter(|(_, used)| **used >= 0.5).count() as u32 >= cap.value
        });
        let known = self.surveyed_on.is_some();
        let code = crop.code_cap.as_ref().filter(|_| !self.code_is_lifted());
        let code_left = code.map(|cap| f64::max(0.0, cap.value.fraction - self.code_taken()));
        let reserve = crop.reserve.value;
        let kept = |keeps: bool, kept: &dyn Fn() -> f64| match (keeps, known) {
            (false, _) => endless,
            (true, false) => 0.0,
            (true, true) => self.low() - kept(),
        };
        let each = crop.per_person_visit.as_ref().map_or(endless, |cap| cap.value.value - today);
        let density = crop.leave_per_m2.as_ref();
        vec![
            rule("closed", if is_shut { 0.0 } else { endless }),
            rule("closed", if is_sprayed { 0.0 } else { endless }),
            rule("no permission", room),
            rule("out of season", if crop.window.value.contains(day) { endless } else { 0.0 }),
            Rule {
                is_survey: true,
                ..by_survey("not known", if is_believed { endless } else { 0.0 }, None)
            },
            rule("resting", if had { 0.0 } else { endless }),
            match known {
                true => by_survey("resting", self.kilos(), count(self.share())),
                false => by_survey("resting", 0.0, None),
            },
            match code_left {
                None => by_survey("resting", endless, None),
                Some(_) if !known => by_survey("resting", 0.0, None),
                Some(left) => {
                    // A share too small to count takes the slack of all that is measured by it.
                    let slack = f64::min(self.slack(left), self.slack(self.share()));
                    by_survey("resting", slack * left * self.low(), count(left))
                }
            },
            rule("resting", each),
            by_survey(
                "resting",
                kept(reserve > 0.0, &|| reserve * f64::min(self.k_base(), self.plain_base())),
                None,
            ),
            by_survey(
                "resting",
                kept(density.is_some(), &|| density.unwrap().value * self.world.areas[self.which]),
                None,
            ),
        ]
    }

    /// What the best of the permissions leaves; nothing without one.
    fn leave(&self, day: Date, today: f64, season: f64) -> f64 {
        let holding = self.world.leaves.iter().filter(|leave| {
            let is_then = leave.from <= day && leave.to.is_none_or(|to| day <= to);
            leave.this_crop && is_then && leave.is_for(self.world.purpose)
        });
        let room = holding.map(|leave| match leave.largest_party {
            Some(0) => 0.0,
            _ => f64::min(
                leave.a_day.map_or(f64::INFINITY, |cap| f64::max(0.0, cap - today)),
                leave.a_season.map_or(f64::INFINITY, |cap| f64::max(0.0, cap - season)),
            ),
        });
        room.fold(0.0, f64::max)
    }

    fn code_is_lifted(&self) -> bool {
        self.world.leaves.iter().any(|leave| {
            leave.lifts_code
                && leave.this_crop
                && leave.from <= self.day
                && leave.to.is_none_or(|to| self.day <= to)
        })
    }

    /// The part of the stand that was cut here today already.
    fn code_taken(&self) -> f64 {
        let cap = self.crop.code_cap.as_ref().unwrap().value.fraction;
        let days = self.crop.recovery.value.days.ceil() as i64;
        let since = match self.crop.habit {
            Habit::OnceAYear => self.crop_year(self.day),
            _ => self.day.checked_sub((days - 1).days()).unwrap(),
        };
        let cuts: Vec<(f64, Took)> = self
            .world
            .events
            .iter()
            .filter(|event| event.patch == self.which)
            .filter(|event| since <= event.day && event.day <= Date::min(self.day, self.until))
            .filter_map(|event| match event.what {
                What::Cut(amount, took) if amount > 0.0 => Some((amount, took)),
                What::Clipping(clipped) => Some((clipped.all(), Took::ByWeight)),
                _ => None,
            })
            .collect();
        let weighed: f64 =
            cuts.iter().filter(|(_, took)| *took == Took::ByWeight).map(|(amount, _)| amount).sum();
        let stood = self.b + weighed;
        let part = |&(amount, took): &(f64, Took)| match took {
            Took::All => f64::min(cap, self.m() * self.pv()),
            Took::OneIn(n) => 1.0 / f64::from(n),
            Took::ByWeight => amount / stood,
        };
        cuts.iter().map(part).sum()
    }

    /// The last day on which a survey is believed.
    fn believed(&self, surveyed: Date) -> Date {
        let days = match self.crop.habit {
            Habit::FastLeaf => 90,
            Habit::SlowLeaf => 180,
            Habit::Slow => 5 * 365,
            Habit::OnceAYear => return self.crop.window.value.closing(surveyed).unwrap(),
        };
        surveyed.checked_add(days.days()).unwrap()
    }

    /// Whether some later day, with nothing more cut, has leave for a useful amount.
    fn leave_will_come(&self) -> bool {
        let mut later = self.clone();
        (0..2 * AHEAD).any(|_| {
            later.day = later.day.tomorrow().unwrap();
            let autumn = |day: Date| if day.month() >= 9 { day.year() } else { day.year() - 1 };
            let cuts = self.world.events.iter().filter(|event| event.day <= self.until);
            let season: f64 = cuts
                .filter(|event| autumn(event.day) == autumn(later.day))
                .map(|event| event.what.taken())
                .sum();
            later.leave(later.day, 0.0, season) >= self.useful()
        })
    }

    fn useful(&self) -> f64 {
        self.crop.smallest_useful.value.value
    }

    /// Waits, day by day, till each rule that shuts the patch has opened, and looks again. Rules
    /// that go by a survey are waited for last; where none is believed any more one has to be made
    /// by that day, and only the share that was spent is waited for. Nor is a leave waited for that nobody gave. No day is
    /// told where only these two are missing today.
    fn opens(&self) -> Option<(Date, bool, bool)> {
        let last = self.day.checked_add(AHEAD.days()).unwrap();
        let mut now = self.clone();
        loop {
            let is_today = now.day == self.day;
            let rules = now.rules();
            let mut shut: Vec<usize> = (0..rules.len()).collect();
            shut.retain(|&n| rules[n].most < self.useful());
            let is_leave = |n: &usize| rules[*n].verdict == "no permission";
            let needs_leave = !is_today && shut.iter().any(is_leave) && !now.leave_will_come();
            shut.retain(|n| !needs_leave || !is_leave(n));
            let needs_survey = shut.iter().any(|&n| rules[n].is_survey);
            let (by_survey, mut waiting): (Vec<usize>, Vec<usize>) =
                shut.into_iter().partition(|&n| rules[n].by_survey);
            let owes_time = now.owes_time();
            if waiting.is_empty() && (by_survey.is_empty() || needs_survey && !owes_time) {
                return (!is_today).then_some((now.day, needs_survey, needs_leave));
            }
            if waiting.is_empty() && needs_survey {
                while now.owes_time() && now.day <= last {
                    now.sleep();
                }
                if now.day > last {
                    return None;
                }
                continue;
            }
            if waiting.is_empty() {
                waiting = by_survey;
            }
            while !waiting.is_empty() {
                now.sleep();
                if now.day > last {
                    return None;
                }
                let rules = now.rules();
                waiting.retain(|&n| rules[n].most < self.useful());
            }
        }
    }
}

fn mean(amounts: &[f64]) -> f64 {
    amounts.iter().sum::<f64>() / amounts.len() as f64
}

/// The months of a leaf whose full crop swings through the year, as parts of the peak, 0.15 at the
/// least.
fn season(crop: &Crop) -> Option<[f64; 12]> {
    let months = crop.full_by_month.as_ref()?.value;
    let peak = months.iter().copied().fold(0.0, f64::max);
    let is_leaf = matches!(crop.habit, Habit::FastLeaf | Habit::SlowLeaf);
    let swings = is_leaf && months.iter().any(|month| *month != months[0]);
    swings.then(|| months.map(|month| f64::max(0.15, month / peak)))
}

/// What the guard leaves of a day's growth, where it rises over so many hours of day length.
fn guard(latitude: f64, day_of_year: f64, over: f64) -> f64 {
    let h = |d: f64| {
        let turn = 2.0 * std::f64::consts::PI * (d + 10.0) / 365.0;
        let dec = (-23.44 * turn.cos()).to_radians();
        let cosine = -latitude.to_radians().tan() * dec.tan();
        let hours = 24.0 / std::f64::consts::PI * cosine.clamp(-1.0, 1.0).acos();
        ((hours - 9.0) / over).clamp(0.0, 1.0)
    };
    f64::min(h(day_of_year), h(day_of_year - 28.0))
}

fn guard_year(latitude: f64, over: f64) -> f64 {
    (1..=365).map(|d| guard(latitude, f64::from(d), over)).sum()
}

/// c of a day: straight in the logarithm from the middle of one month, each a twelfth of the
/// year, to that of the next.
fn part_on(crop: &Crop, day: Date) -> f64 {
    let Some(months) = season(crop) else { return 1.0 };
    let noon = f64::from(day.day_of_year()) - 0.5;
    let twelfths = 12.0 * noon / f64::from(day.days_in_year());
    for month in 0..13 {
        // From the middle of the month before, December for January.
        let (from, to) = (month as f64 - 0.5, month as f64 + 0.5);
        if (from..to).contains(&twelfths) {
            let (before, after) = (months[(month + 11) % 12], months[month % 12]);
            return before * (after / before).powf(twelfths - from);
        }
    }
    unreachable!("every day lies between two middles")
}

/// The slope of ln M on ln c, drawn towards 1, from two surveys on.
fn gamma(world: &World, crop: &Crop, which: usize, until: Date) -> f64 {
    let of_patch = world.events.iter().filter(|event| event.patch == which && event.day <= until);
    let surveys: Vec<(f64, f64, f64)> = of_patch
        .filter_map(|event| {
            let What::Survey(quadrats) = &event.what else { return None };
            let (found, error) = stands(world, which, quadrats);
            let v = (1.0 + (error / found).powi(2)).ln();
            let weight = 1.0 / (v + 0.15 * 0.15 + 0.1 * 0.1);
            Some((weight, part_on(crop, event.day).ln(), found.ln()))
        })
        .collect();
    if surveys.len() < 2 {
        return 1.0;
    }
    let sum = |of: &dyn Fn(f64, f64) -> f64| -> f64 {
        surveys.iter().map(|(weight, z, y)| weight * of(*z, *y)).sum()
    };
    let (all, z, y) = (sum(&|_, _| 1.0), sum(&|z, _| z), sum(&|_, y| y));
    let (z, y) = (z / all, y / all);
    let prior = 1.0 / (0.35 * 0.35);
    let above = prior + sum(&|it, found| (it - z) * (found - y));
    (above / (prior + sum(&|it, _| (it - z) * (it - z)))).clamp(0.0, 2.5)
}

/// What stands on a patch by its quadrats, and the error of that.
fn stands(world: &World, patch: usize, quadrats: &[f64]) -> (f64, f64) {
    let n = quadrats.len() as f64;
    let mean = quadrats.iter().sum::<f64>() / n;
    let squares = quadrats.iter().map(|amount| (amount - mean).powi(2)).sum::<f64>();
    // Plants never stand more evenly than this.
    let sd = f64::max((squares / (n - 1.0)).sqrt(), 0.2 * mean);
    let all = world.areas[patch] / world.frame;
    // Sampled without putting back: the part that was weighed is known.
    let error = sd / n.sqrt() * f64::max(0.0, 1.0 - n / all).sqrt();
    (all * mean, all * error)
}

/// What may be done on a patch on a day, as far as is known by then.
pub fn answer(world: &World, crop: &Crop, which: usize, day: Date) -> Answer {
    let mut patch = Patch::new(world, crop, which, day);
    patch.live();
    while patch.day < day {
        patch.sleep();
        patch.live();
    }
    let rules = patch.rules();
    let lowest = rules.iter().map(|rule| rule.most).fold(f64::INFINITY, f64::min);
    let is_open = lowest >= patch.useful();
    let first = rules.iter().find(|rule| rule.most == lowest).unwrap();
    Answer {
        verdict: if is_open { "open" } else { first.verdict },
        most: if !is_open { Some(0.0) } else { Some(lowest).filter(|most| most.is_finite()) },
        one_in: rules.iter().filter_map(|rule| rule.one_in).max().filter(|n| is_open && *n <= 200),
        opens: if is_open { None } else { patch.opens() },
    }
}
