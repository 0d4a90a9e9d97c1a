//! One season that might be: walks, surveys and regrowth, day by day.

use jiff::ToSpan;
use jiff::civil::Date;

use super::cast::{Cast, Player, Role};
use super::errand::{Ask, Errand, errands};
use super::{Plan, Surveys, Visit};
use crate::records::Taken;
use crate::regrowth::Eyes;
use crate::rules::{Ruling, Verdict};

/// What stands is kept as a part of the undisturbed twin, in steps of this.
const STEP: f64 = 0.005;
/// A basket that lacks less than this part of what was wanted lacks nothing.
const ROUNDING: f64 = 1e-6;

/// What came of one run.
#[derive(Clone, Debug, Default)]
pub(super) struct Run {
    pub patches: Vec<Fate>,
    /// In the order of the plan: one walk's wants follow those of the walk before it.
    pub wants: Vec<Catch>,
}

/// What came of one want in one run.
#[derive(Clone, Copy, Debug)]
pub(super) struct Catch {
    /// In the crop's measure, all groups together.
    pub found: f64,
    /// Whether every group found all that it wanted; where all that is allowed is wanted,
    /// anything at all.
    pub satisfied: bool,
    /// What kept the first patch shut that was.
    pub shut: Option<Verdict>,
}

/// What came of one patch in one run.
#[derive(Clone, Debug, Default)]
pub(super) struct Fate {
    pub dips: bool,
    pub taken: f64,
    pub surveys: u32,
    pub visits: u32,
    /// How often each verdict kept it shut, in their order.
    pub shut: [u32; Verdict::ALL.len()],
    /// The part of its twin that stood at the end of each week.
    pub weeks: Vec<CoarseShare>,
}

/// A part of a whole, 0 to 1.275, in coarse steps.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct CoarseShare(u8);

impl CoarseShare {
    fn of(part: f64) -> Self {
        Self((part / STEP).round().clamp(0.0, f64::from(u8::MAX)) as u8)
    }

    pub fn value(self) -> f64 {
        f64::from(self.0) * STEP
    }
}

/// What all runs of a plan share.
#[derive(Debug)]
pub(super) struct Script<'a> {
    pub cast: &'a Cast<'a>,
    pub plan: &'a Plan,
    pub errands: Vec<Errand>,
    /// How many wants there are over all walks.
    pub wants: usize,
    /// The first day of each week, and the day after the last.
    pub weeks: Vec<Date>,
}

/// A run under way.
struct Playing<'s, 'a> {
    script: &'s Script<'a>,
    players: Vec<Player<'a>>,
    fates: Vec<Fate>,
    eyes: Vec<Eyes>,
    site_cuts: Vec<Vec<(Date, f64)>>,
    wants: Vec<Catch>,
    today: Date,
}

/// What one visit to one patch may take.
struct Allowed {
    ruling: Ruling,
    /// One in N, as the party counts it; what the kilo limit leaves of it.
    amount: f64,
}

impl<'a> Script<'a> {
    pub fn new(cast: &'a Cast<'a>, plan: &'a Plan) -> Self {
        let last = plan.season.last_day();
        let end = last.tomorrow().unwrap_or(last);
        let weeks = plan.weeks().chain([end]).collect();
        let wants = (0..plan.walk_days().len()).map(|walk| plan.wants(walk).len()).sum();
        Self { cast, plan, errands: errands(plan, cast), wants, weeks }
    }

    /// Plays the run of that number.
    pub fn run(&self, seed: u64, number: u64) -> Run {
        let mut playing = Playing {
            script: self,
            players: self.cast.players(seed, number),
            fates: vec![Fate::default(); self.cast.roles.len()],
            eyes: vec![Eyes::default(); self.cast.crops],
            site_cuts: self.cast.site_cuts.iter().map(|cuts| cuts.to_vec()).collect(),
            wants: vec![Catch { found: 0.0, satisfied: true, shut: None }; self.wants],
            today: self.plan.from,
        };
        let mut errands = self.errands.iter().peekable();
        for week in self.weeks.windows(2) {
            while let Some(errand) = errands.next_if(|errand| errand.day < week[1]) {
                playing.grow_until(errand.day);
                playing.go(errand);
            }
            playing.grow_until(week[1]);
            playing.end_week(week[0], week[1]);
        }
        Run { patches: playing.fates, wants: playing.wants }
    }
}

impl<'s, 'a> Playing<'s, 'a> {
    /// Tests that end on the way are in the book by then.
    fn grow_until(&mut self, day: Date) {
        for (player, role) in self.players.iter_mut().zip(&self.script.cast.roles) {
            if let Some((end, test)) = player.test.take_if(|(end, _)| *end <= day) {
                player.book.tested(end, test, &self.eyes[role.crop]);
            }
        }
        if day > self.today {
            for (player, role) in self.players.iter_mut().zip(&self.script.cast.roles) {
                player.stand.grow(role.growth.days_between(self.today, day), 1.0);
                if let Some((curve, ..)) = role.season {
                    let swing = player.depth * (curve.log_on(day) - curve.log_on(self.today));
                    player.stand = player.stand.scaled(swing.exp());
                }
            }
            self.today = day;
        }
    }

    /// The week's weather, and what then stands.
    fn end_week(&mut self, from: Date, to: Date) {
        let weeks = f64::from((to - from).get_days()) / 7.0;
        let cast = &self.script.cast.roles;
        for ((player, role), fate) in self.players.iter_mut().zip(cast).zip(&mut self.fates) {
            let weather = player.weather.factor(role.nature.week_log_sd * weeks.sqrt());
            player.stand.grow(0.0, weather);
            fate.weeks.push(CoarseShare::of(player.stand.part()));
        }
    }

    /// One group sets out.
    fn go(&mut self, errand: &'s Errand) {
        for ask in &errand.asks {
            let came_to = match ask.amount {
                None => {
                    let patches = ask.patches.iter();
                    patches.map(|&patch| self.visit(errand, ask, patch, f64::INFINITY)).sum()
                }
                Some(wanted) => self.gather(errand, ask, wanted),
            };
            if let Some(catch) = ask.want.map(|want| &mut self.wants[want]) {
                catch.found += came_to;
                catch.satisfied &= match ask.amount {
                    Some(wanted) => came_to >= wanted * (1.0 - ROUNDING),
                    None => came_to > 0.0,
                };
            }
        }
    }

    /// Every patch gives the same part of what it may, so that none is used harder than it need
    /// be; what one fails to give, those after it make up.
    fn gather(&mut self, errand: &'s Errand, ask: &Ask, wanted: f64) -> f64 {
        let patches = ask.patches.iter();
        let most: Vec<f64> = patches.map(|&patch| self.most(errand, ask, patch)).collect();
        let (mut missing, mut left) = (wanted, most.iter().sum::<f64>());
        for (&patch, most) in ask.patches.iter().zip(most) {
            if most > 0.0 && missing > 0.0 {
                missing -= self.visit(errand, ask, patch, missing * (most / left).min(1.0));
            }
            left -= most;
        }
        wanted - missing
    }

    /// What may be taken from the patch by the book, before anyone has counted.
    fn most(&mut self, errand: &'s Errand, ask: &Ask, patch: usize) -> f64 {
        let ruling = self.look_up(errand, patch);
        self.note(&ruling, ask, patch);
        let standing = self.players[patch].stand.standing;
        ruling.most.map_or(standing, |most| most.min(standing))
    }

    /// Keeps count of what is shut, and why.
    fn note(&mut self, ruling: &Ruling, ask: &Ask, patch: usize) {
        if ruling.verdict == Verdict::Open {
            return;
        }
        self.fates[patch].shut[ruling.verdict as usize] += 1;
        if let Some(want) = ask.want {
            self.wants[want].shut.get_or_insert(ruling.verdict);
        }
    }

    /// What the visit takes, of what it wants.
    fn visit(&mut self, errand: &'s Errand, ask: &Ask, patch: usize, wanted: f64) -> f64 {
        let Some(allowed) = self.allowed(errand, ask, patch) else { return 0.0 };
        let (amount, taken) = if wanted < allowed.amount {
            (wanted, Taken::ByWeight)
        } else {
            (allowed.amount, allowed.ruling.all_taken())
        };
        let role = &self.script.cast.roles[patch];
        let visit = self.visit_to(errand, patch);
        let (player, fate) = (&mut self.players[patch], &mut self.fates[patch]);
        let amount = player.stand.cut(amount);
        if amount > 0.0 {
            player.book.cut(&visit, amount, taken, &self.eyes[role.crop]);
            self.site_cuts[role.site_and_crop].push((self.today, amount));
            fate.taken += amount;
            fate.visits += 1;
            // Whoever cuts an invasive crop back means it to dip.
            fate.dips |= player.stand.dips() && !player.book.case().is_invasive();
        }
        amount
    }

    fn allowed(&mut self, errand: &'s Errand, ask: &Ask, patch: usize) -> Option<Allowed> {
        let ruling = self.look_up(errand, patch);
        self.note(&ruling, ask, patch);
        if ruling.verdict != Verdict::Open {
            return None;
        }
        let days = f64::from((self.today - self.script.plan.from).get_days());
        let player = &mut self.players[patch];
        let standing = player.stand.standing;
        let counted = match ruling.one_in {
            Some(n) => standing * player.eye.errs(&mut player.looks, days) / f64::from(n),
            None => standing,
        };
        let amount = ruling.most.map_or(counted, |most| most.min(counted));
        Some(Allowed { ruling, amount })
    }

    /// What the rules say today, once the patch is glanced at and surveyed, if it is to be.
    fn look_up(&mut self, errand: &'s Errand, patch: usize) -> Ruling {
        let ruling = self.ruling(errand, patch);
        let may_be_seen =
            matches!(ruling.verdict, Verdict::Open | Verdict::Resting | Verdict::NotKnown);
        let role = &self.script.cast.roles[patch];
        if may_be_seen && self.see(patch, role, ruling.verdict) {
            return self.ruling(errand, patch);
        }
        ruling
    }

    fn ruling(&self, errand: &Errand, patch: usize) -> Ruling {
        let cuts = &self.site_cuts[self.script.cast.roles[patch].site_and_crop];
        self.players[patch].book.ruling(&self.visit_to(errand, patch), cuts)
    }

    fn visit_to<'e>(&self, errand: &'e Errand, patch: usize) -> Visit<'e> {
        let role = &self.script.cast.roles[patch];
        Visit {
            day: self.today,
            people: errand.people,
            in_turns: errand.in_turns,
            purpose: errand.purpose,
            promises: &errand.set_aside.on_patch[patch],
            site_promises: &errand.set_aside.on_site[role.site_and_crop],
        }
    }

    /// Glances and surveys; says whether there was anything of the kind.
    fn see(&mut self, patch: usize, role: &Role, verdict: Verdict) -> bool {
        let today = self.today;
        let days = f64::from((today - self.script.plan.from).get_days());
        let is_due = self.survey_is_due(patch, verdict);
        let player = &mut self.players[patch];
        let standing = player.stand.standing;
        let glances = role.glances && player.last_seen != Some(today) && standing > 0.0;
        player.last_seen = Some(today);
        let glanced = glances.then(|| standing * player.eye.errs(&mut player.looks, days));
        let surveyed = if is_due {
            let extent = &player.book.case().extent;
            role.quadrats.survey(standing, extent, &mut player.surveys)
        } else {
            None
        };
        let eyes = &mut self.eyes[role.crop];
        if let (Some(glanced), Some(surveyed)) = (glanced, surveyed) {
            eyes.learn(player.book.by(), today, glanced, surveyed.best);
        }
        if let Some(glanced) = glanced {
            player.book.glance(today, glanced, eyes);
        }
        if let Some(surveyed) = surveyed {
            player.book.survey(today, surveyed, eyes);
            self.fates[patch].surveys += 1;
        }
        glanced.is_some() || surveyed.is_some()
    }

    fn survey_is_due(&self, patch: usize, verdict: Verdict) -> bool {
        let Some(state) = self.players[patch].book.state_on(self.today) else { return false };
        let last = state.last_survey.day;
        match self.script.plan.surveys {
            _ if last == self.today => false,
            Surveys::Never => false,
            Surveys::WhenLapsed => verdict == Verdict::NotKnown,
            Surveys::Every { days } => {
                let due = last.checked_add(days.days()).unwrap_or(Date::MAX);
                verdict == Verdict::NotKnown || self.today >= due
            }
        }
    }
}
