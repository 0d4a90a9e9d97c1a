//! Twelve months of every patch: when it is in season, when it was cut in earlier years, and
//! what the model expects of the months to come.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;
use jiff::{Span, ToSpan};
use rayon::prelude::*;

use super::Prepared;
use super::opening::{Outlook, outlook};
use super::week::together;
use crate::records::{Crop, CropField, PatchName, Purpose, SiteName, Stage};
use crate::rules::{Case, Verdict};
use crate::units::{Measure, Season, Window};

/// The months that a calendar shows.
pub const MONTHS: usize = 12;

/// Twelve months, as they look from a day.
#[derive(Clone, Debug)]
pub struct Calendar {
    /// The day from which they are seen.
    pub on: Date,
    /// What is gathered for; `None` for whatever there is leave for.
    pub purpose: Option<Purpose>,
    /// The first day of each.
    pub months: [Date; MONTHS],
    /// By site, then by name.
    pub patches: Vec<PatchYear>,
    /// What the kitchen can hope for, by role.
    pub roles: Vec<RoleYear>,
}

/// One patch over the months.
#[derive(Clone, Debug)]
pub struct PatchYear {
    /// Which patch.
    pub patch: PatchName,
    /// With the overrides of site and patch.
    pub crop: Arc<Crop>,
    /// The days of the year on which it may be cut.
    pub window: Window,
    /// Whether the window is the site's or the patch's own, and not the catalogue's.
    pub own_window: bool,
    /// The first and the last cut of each season that is written down, in order.
    pub cut: Vec<CutSpan>,
    /// How far the plants were, by visits of this and earlier years, in the order of the days.
    pub stages: Vec<StageSpan>,
    /// One for each of [`Calendar::months`].
    pub months: [PatchMonth; MONTHS],
}

/// From the first day of a season on which the plants were seen so to the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StageSpan {
    /// Of which season.
    pub season: Season,
    /// How far the plants were.
    pub stage: Stage,
    /// The first day on which they were seen so.
    pub first: Date,
    /// The last.
    pub last: Date,
}

/// From the first cut of a season to its last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutSpan {
    /// Of which season.
    pub season: Season,
    /// The first day with a cut.
    pub first: Date,
    /// The last.
    pub last: Date,
}

/// One month of one patch.
#[derive(Clone, Debug, PartialEq)]
pub struct PatchMonth {
    /// The first and the last day of it that lie in the window; `None` out of season.
    pub in_season: Option<(Date, Date)>,
    /// In how many years before it was cut in this month.
    pub cut_in_years: u32,
    /// `None` for a month that is over.
    pub ahead: Option<Ahead>,
}

/// What the model expects of what is left of a month, if nothing is cut till then but what is
/// promised.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ahead {
    /// It is expected to open.
    Opens(Expected),
    /// What keeps it shut on most days.
    Shut(Verdict),
}

/// A patch that is expected to open, at its best day of the month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// The first and the last day that are alike in what they need.
    pub from: Date,
    /// The last of them.
    pub to: Date,
    /// The day on which most may go.
    pub best: Date,
    /// In the crop's measure; `None` where nothing sets a limit yet.
    pub most: Option<f64>,
    /// What will stand that day, and between what bounds in some eight cases of ten.
    pub standing: Option<Standing>,
    /// The last survey will be too old, or there is none.
    pub needs_survey: bool,
    /// No permission is known that holds then.
    pub needs_permission: bool,
}

/// In the crop's measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// The best estimate.
    pub best: f64,
    /// The lower bound.
    pub low: f64,
    /// The upper bound.
    pub high: f64,
}

/// What all patches of one role in the kitchen allow together on one day of each month.
#[derive(Clone, Debug)]
pub struct RoleYear {
    /// As crops name it: `green leaf`.
    pub role: Arc<str>,
    /// Whether its crops here are weighed or counted.
    pub measure: Measure,
    /// `None` for a month that is over, or in which nothing opens.
    pub months: [Option<RoleMonth>; MONTHS],
}

/// The day of the month on which a role has most.
#[derive(Clone, Debug)]
pub struct RoleMonth {
    /// Which day.
    pub day: Date,
    /// By crop, those with most first.
    pub crops: Vec<RoleCrop>,
}

/// What the patches of one crop allow together, in its measure.
#[derive(Clone, Debug)]
pub struct RoleCrop {
    /// Which crop.
    pub crop: Arc<Crop>,
    /// From patches that need nothing first; `None` for no upper limit.
    pub firm: Option<f64>,
    /// More, from patches that must be surveyed or permitted first and of which something is
    /// known; infinite where no limit would be set.
    pub hoped: f64,
    /// How many patches of it open that day.
    pub patches: usize,
}

impl Expected {
    /// Whether nothing has to be done first.
    pub fn is_firm(&self) -> bool {
        !self.needs_survey && !self.needs_permission
    }
}

impl RoleMonth {
    /// Of all its crops; `None` for no upper limit.
    pub fn firm(&self) -> Option<f64> {
        self.crops.iter().map(|crop| crop.firm).sum()
    }

    /// The sum of what its crops may have more; infinite where no limit would be set.
    pub fn hoped(&self) -> f64 {
        self.crops.iter().map(|crop| crop.hoped).sum()
    }
}

/// The twelve months from that of `first` on. `prepared` are the patches as they stand on `on`;
/// `purpose` is what is gathered for, `None` for whatever there is leave for.
pub fn calendar(
    prepared: &[Prepared],
    on: Date,
    first: Date,
    purpose: Option<Purpose>,
) -> Calendar {
    let first = first.first_of_month();
    let nth = |n: usize| first.checked_add(Span::new().months(n as i64)).unwrap_or(first);
    let months: [Date; MONTHS] = std::array::from_fn(nth);
    let days = days_ahead(&months, on);
    let mut looked: Vec<Looked> =
        prepared.par_iter().map(|patch| Looked::at(patch, on, &days, purpose)).collect();
    looked.sort_by(|one, other| one.name().cmp(other.name()));
    let patches = looked.iter().map(|looked| looked.year(&months, on)).collect();
    Calendar { on, purpose, months, patches, roles: roles(&looked, &months, &days) }
}

/// The days of these months from `on`.
fn days_ahead(months: &[Date; MONTHS], on: Date) -> Vec<Date> {
    let last = months[MONTHS - 1].last_of_month();
    let from = on.max(months[0]);
    from.series(1.day()).take_while(|day| *day <= last).collect()
}

/// A patch, and what each of the days ahead is expected to allow.
struct Looked<'p, 'a> {
    prepared: &'p Prepared<'a>,
    days: Vec<(Date, Outlook)>,
}

impl<'p, 'a> Looked<'p, 'a> {
    fn at(prepared: &'p Prepared<'a>, on: Date, days: &[Date], purpose: Option<Purpose>) -> Self {
        let case = Case { purpose, ..prepared.case(on, None, None) };
        let days = days.iter().map(|day| (*day, outlook(&case, *day))).collect();
        Self { prepared, days }
    }

    fn name(&self) -> &PatchName {
        &self.prepared.facts.patch.record.name
    }

    fn year(&self, months: &[Date; MONTHS], on: Date) -> PatchYear {
        let crop = self.prepared.crop().clone();
        let overrides = &self.prepared.profile.overrides;
        let own_window =
            overrides.iter().any(|it| it.change.field == CropField::Season && it.refused.is_none());
        PatchYear {
            patch: self.name().clone(),
            window: crop.window.value,
            own_window,
            cut: self.cut_spans(),
            stages: self.stage_spans(),
            months: months.map(|first| self.month(first, on)),
            crop,
        }
    }

    fn cut_days(&self) -> impl Iterator<Item = Date> {
        self.prepared.history.cuts().filter(|(_, amount)| *amount > 0.0).map(|(day, _)| day)
    }

    fn cut_spans(&self) -> Vec<CutSpan> {
        let mut spans: BTreeMap<Season, (Date, Date)> = BTreeMap::new();
        for day in self.cut_days() {
            let (first, last) = spans.entry(Season::containing(day)).or_insert((day, day));
            (*first, *last) = ((*first).min(day), (*last).max(day));
        }
        spans.into_iter().map(|(season, (first, last))| CutSpan { season, first, last }).collect()
    }

    fn stage_spans(&self) -> Vec<StageSpan> {
        let patch = self.name().patch();
        let seen = self.prepared.visits.iter().filter(|fact| fact.record.covers_patch(patch));
        let mut spans: BTreeMap<(Season, Stage), (Date, Date)> = BTreeMap::new();
        for fact in seen {
            let Some(stage) = fact.record.stage else { continue };
            let day = fact.happened_on;
            let span = spans.entry((Season::containing(day), stage)).or_insert((day, day));
            *span = (span.0.min(day), span.1.max(day));
        }
        let spans = spans.into_iter();
        let mut spans: Vec<StageSpan> = spans
            .map(|((season, stage), (first, last))| StageSpan { season, stage, first, last })
            .collect();
        spans.sort_by_key(|span| (span.first, span.stage));
        spans
    }

    fn month(&self, first: Date, on: Date) -> PatchMonth {
        let last = first.last_of_month();
        let window = self.prepared.crop().window.value;
        let mut inside = first
            .series(1.day())
            .take_while(|day| *day <= last)
            .filter(|day| window.contains(*day));
        let in_season = inside.next().map(|from| (from, inside.last().unwrap_or(from)));
        let mut years: Vec<i16> = self
            .cut_days()
            .filter(|day| day.month() == first.month() && *day < first)
            .map(Date::year)
            .collect();
        years.sort_unstable();
        years.dedup();
        let ahead = (last >= on).then(|| self.ahead(first, last)).flatten();
        PatchMonth { in_season, cut_in_years: years.len() as u32, ahead }
    }

    fn ahead(&self, first: Date, last: Date) -> Option<Ahead> {
        let days: Vec<&(Date, Outlook)> =
            self.days.iter().filter(|(day, _)| (first..=last).contains(day)).collect();
        let open = || days.iter().filter(|(_, it)| it.verdict == Verdict::Open).copied();
        let needs = |it: &Outlook| (it.needs_survey, it.needs_permission);
        let Some(least_needed) = open().map(|(_, it)| needs(it)).min() else {
            return most_often(days.iter().map(|(_, it)| it.verdict)).map(Ahead::Shut);
        };
        let mut alike = open().filter(|(_, it)| needs(it) == least_needed);
        let from = alike.clone().next()?.0;
        let to = alike.clone().next_back()?.0;
        let start = alike.next()?;
        // The earliest of the days on which most may go.
        let (best, of_best) =
            alike.fold(
                start,
                |best, other| {
                    if most_of(&other.1) > most_of(&best.1) { other } else { best }
                },
            );
        Some(Ahead::Opens(Expected {
            from,
            to,
            best: *best,
            most: of_best.most,
            standing: of_best.state.map(|state| {
                let (low, high) = state.eight_in_ten();
                Standing { best: state.standing, low, high }
            }),
            needs_survey: least_needed.0,
            needs_permission: least_needed.1,
        }))
    }
}

fn most_of(outlook: &Outlook) -> f64 {
    outlook.most.unwrap_or(f64::INFINITY)
}

fn most_often(verdicts: impl Iterator<Item = Verdict>) -> Option<Verdict> {
    let mut counts: BTreeMap<Verdict, usize> = BTreeMap::new();
    verdicts.for_each(|verdict| *counts.entry(verdict).or_default() += 1);
    counts.into_iter().rev().max_by_key(|(_, count)| *count).map(|(verdict, _)| verdict)
}

/// Each role and measure that any patch has.
fn roles(looked: &[Looked], months: &[Date; MONTHS], days: &[Date]) -> Vec<RoleYear> {
    let mut by_role: BTreeMap<(Arc<str>, bool), Vec<&Looked>> = BTreeMap::new();
    for patch in looked {
        let crop = patch.prepared.crop();
        let key = (crop.kitchen_role.clone(), crop.measure == Measure::Count);
        by_role.entry(key).or_default().push(patch);
    }
    let year = |((role, _), patches): ((Arc<str>, bool), Vec<&Looked>)| {
        let measure = patches.first()?.prepared.crop().measure;
        let months = months.map(|first| role_month(&patches, first, days));
        Some(RoleYear { role, measure, months })
    };
    by_role.into_iter().filter_map(year).collect()
}

/// The first day of the month on which the role has most; firm amounts come first.
fn role_month(patches: &[&Looked], first: Date, days: &[Date]) -> Option<RoleMonth> {
    let of_month = |day: &Date| day.first_of_month() == first;
    let positions = days.iter().enumerate().filter(|(_, day)| of_month(day));
    let on_day = |(n, day): (usize, &Date)| {
        let month = RoleMonth { day: *day, crops: role_crops(patches, n) };
        (!month.crops.is_empty()).then_some(month)
    };
    let worth = |month: &RoleMonth| (month.firm().unwrap_or(f64::INFINITY), month.hoped());
    positions.filter_map(on_day).reduce(
        |best, other| {
            if worth(&other) > worth(&best) { other } else { best }
        },
    )
}

/// What each crop of these patches allows on the day of that position.
fn role_crops(patches: &[&Looked], n: usize) -> Vec<RoleCrop> {
    let mut by_crop: BTreeMap<&str, Vec<(&Looked, &Outlook)>> = BTreeMap::new();
    for patch in patches {
        let (_, outlook) = &patch.days[n];
        if outlook.verdict == Verdict::Open {
            by_crop.entry(&patch.prepared.crop().name).or_default().push((patch, outlook));
        }
    }
    let crop = |open: Vec<(&Looked, &Outlook)>| {
        let firm = open.iter().filter(|(_, it)| !it.needs_survey && !it.needs_permission);
        let firm: Option<f64> = together(firm.map(|(patch, it)| offer(patch, it)));
        // One that nothing is known of adds nothing that could be counted on.
        let known = open.iter().filter(|(_, it)| it.state.is_some() || !it.needs_survey);
        let all: Option<f64> = together(known.map(|(patch, it)| offer(patch, it)));
        let hoped = match (all, firm) {
            (_, None) => 0.0,
            (None, Some(_)) => f64::INFINITY,
            (Some(all), Some(firm)) => (all - firm).max(0.0),
        };
        let crop = open[0].0.prepared.crop().clone();
        RoleCrop { crop, firm, hoped, patches: open.len() }
    };
    let mut crops: Vec<RoleCrop> = by_crop.into_values().map(crop).collect();
    let worth = |crop: &RoleCrop| crop.firm.unwrap_or(f64::INFINITY) + crop.hoped;
    crops.sort_by(|one, other| worth(other).total_cmp(&worth(one)));
    crops
}

fn offer<'l>(looked: &'l Looked, outlook: &Outlook) -> (&'l SiteName, Option<f64>, f64) {
    (looked.name().site(), outlook.most, outlook.room_on_site)
}
