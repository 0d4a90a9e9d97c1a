//! The values of a crop's profile, each in words and with its source.

use crate::records::{Crop, Recovery, Sourced, Status};
use crate::regrowth::Terms;
use crate::units::{Amount, Measure, counted, percent};

use super::cautions::look_alikes_in_words;

/// One value: what it is called, what it is, and where it comes from.
pub(super) struct CropFact<'a> {
    pub name: &'static str,
    pub value: String,
    pub source: &'a str,
}

const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// Every sourced value of the profile; those the crop does not have are left out.
pub(super) fn crop_facts(crop: &Crop) -> Vec<CropFact<'_>> {
    let mut facts = vec![
        fact("season", &crop.window, |window| window.spoken()),
        fact("recovery", &crop.recovery, recovery),
        fact("kept standing", &crop.kept_standing, |part| percent(*part)),
        fact("reserve", &crop.reserve, |part| format!("{} of the full crop", percent(*part))),
        fact("smallest useful", &crop.smallest_useful, |amount| shown(crop, *amount)),
    ];
    facts.insert(2, growing(crop));
    facts.extend(full_crop(crop));
    facts.extend(limits(crop));
    facts.extend(status(&crop.status));
    facts.push(fact("how to cut", &crop.cut_method, |text| text.to_string()));
    facts.push(look_alikes(crop));
    facts.push(fact("cautions", &crop.cautions, |text| text.to_string()));
    facts.push(fact("law", &crop.legal_note, |text| text.to_string()));
    facts
}

/// What only some crops have.
fn limits(crop: &Crop) -> impl Iterator<Item = CropFact<'_>> {
    let unit = if crop.measure == Measure::Mass { "g" } else { &crop.piece };
    [
        crop.leave_per_m2
            .as_ref()
            .map(|it| fact("left standing", it, |least| format!("{least} {unit} on each m²"))),
        crop.cuts_per_season
            .as_ref()
            .map(|it| fact("cuts a season", it, |most| format!("{most} at most"))),
        crop.code_cap.as_ref().map(|it| {
            fact("code of practice", it, |cap| format!("{} of a stand", percent(cap.fraction)))
        }),
        crop.per_person_visit.as_ref().map(|it| {
            fact("per person", it, |amount| format!("{} in a visit", shown(crop, *amount)))
        }),
    ]
    .into_iter()
    .flatten()
}

fn fact<'a, T>(
    name: &'static str,
    sourced: &'a Sourced<T>,
    in_words: impl FnOnce(&T) -> String,
) -> CropFact<'a> {
    CropFact { name, value: in_words(&sourced.value), source: &sourced.source }
}

fn recovery(recovery: &Recovery) -> String {
    let (taken, days) = (percent(recovery.take_fraction), recovery.days);
    format!("cut by {taken}, back to 95 % of full in {days} days")
}

fn shown(crop: &Crop, amount: Amount) -> String {
    crop.show(amount.value)
}

/// How the model takes a crop to grow through the year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Growing<'a> {
    WholeYears,
    ByMonth(&'a Sourced<[f64; 12]>),
    /// No months are known: the guard against winter stands in.
    ByDayLength,
}

pub(super) fn growth(crop: &Crop) -> Growing<'_> {
    match &crop.growth_by_month {
        _ if Terms::of(crop).counts_whole_years() => Growing::WholeYears,
        Some(months) => Growing::ByMonth(months),
        None => Growing::ByDayLength,
    }
}

impl Growing<'_> {
    pub(super) fn name(&self) -> &'static str {
        match self {
            Self::WholeYears => "whole years",
            Self::ByMonth(_) => "by month",
            Self::ByDayLength => "by day length",
        }
    }
}

fn growing(crop: &Crop) -> CropFact<'_> {
    const NAME: &str = "growing months";
    match growth(crop) {
        Growing::ByMonth(months) => fact(NAME, months, growing_months),
        Growing::WholeYears => CropFact {
            name: NAME,
            value: "counted in whole years, winters included".to_owned(),
            source: "the recovery above, which is a year or more",
        },
        Growing::ByDayLength => CropFact {
            name: NAME,
            value: "not known: growth follows day length, none in winter, and spring comes four \
                    weeks late"
                .to_owned(),
            source: "the model's guard where no months are given; give yours as `growth_by_month`",
        },
    }
}

/// How a full crop swings through the year, and by how much later than that.
fn full_crop(crop: &Crop) -> impl Iterator<Item = CropFact<'_>> {
    let swings = crop.full_swings().map(|months| fact("full crop", months, full_months));
    let late = crop.full_late_days.as_ref().map(|late| {
        fact("its season", late, |days| match days {
            0.. => format!("{} later", counted(*days, "day")),
            _ => format!("{} earlier", counted(-*days, "day")),
        })
    });
    swings.into_iter().chain(late)
}

/// `Jan 40 %, Feb 50 %, …` of the month in which most stands.
fn full_months(months: &[f64; 12]) -> String {
    let most = months.iter().copied().fold(0.0, f64::max);
    let told = MONTHS.iter().zip(months);
    let told: Vec<String> =
        told.map(|(month, stands)| format!("{month} {}", percent(stands / most))).collect();
    format!("{} of its peak in the middle of each month", told.join(", "))
}

/// `Mar 50 %, Apr, May`: the months with any growth, and how much where it is not full.
fn growing_months(growth: &[f64; 12]) -> String {
    let growing = MONTHS.iter().zip(growth).filter(|(_, part)| **part > 0.0);
    let months: Vec<String> =
        growing
            .map(|(month, part)| {
                if *part < 1.0 {
                    format!("{month} {}", percent(*part))
                } else {
                    (*month).to_owned()
                }
            })
            .collect();
    if months.is_empty() { "none".to_owned() } else { months.join(", ") }
}

fn status(status: &Status) -> Option<CropFact<'_>> {
    match status {
        Status::Ordinary => None,
        Status::Protected(reason) => Some(fact("protected", reason, |text| text.to_string())),
        Status::Invasive(caution) => Some(fact("invasive", caution, |text| text.to_string())),
    }
}

fn look_alikes(crop: &Crop) -> CropFact<'_> {
    let named = look_alikes_in_words(crop);
    let value = if named.is_empty() { "none on record".to_owned() } else { named };
    CropFact { name: "look-alikes", value, source: &crop.look_alikes_source }
}
