//! Nothing is cut without leave, and no more than the leave allows.
//!
//! Caps are for each crop over the whole site: per day and per season (1 September to
//! 31 August). Where several permissions hold, the one that leaves most room counts.

use jiff::civil::Date;

use super::{CapLeft, Case, Ceiling, Reason, Rule, Verdict};
use crate::records::Permission;
use crate::units::{Amount, Season};

pub(super) struct Permitted;

/// What one permission leaves, in the crop's measure; infinite without a cap.
struct Room {
    most: f64,
    reason: Reason,
}

impl Rule for Permitted {
    fn name(&self) -> &'static str {
        "permission"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::NoPermission
    }

    fn is_agreed(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let rooms = holding(case).map(|permission| room(permission, case, Promised::NotCounted));
        match rooms.max_by(|a, b| a.most.total_cmp(&b.most)) {
            None => Ceiling::nothing(self.name(), case.tell(|| why_none(case))),
            Some(Room { most, reason }) if most.is_finite() => {
                Ceiling::at_most(self.name(), most, reason)
            }
            Some(Room { reason, .. }) => Ceiling::none(self.name(), reason),
        }
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        let has_room = |later: &Case| {
            let mut rooms =
                holding(later).map(|permission| room(permission, later, Promised::NotCounted).most);
            rooms.any(|most| most >= later.smallest_useful())
        };
        let starts = fitting(case).map(|permission| permission.from);
        let tomorrow = case.day.tomorrow().ok();
        let next_season = Season::containing(case.day).last_day().tomorrow().ok();
        let mut candidates: Vec<Date> =
            starts.chain(tomorrow).chain(next_season).filter(|day| *day > case.day).collect();
        candidates.sort();
        candidates.into_iter().find(|day| has_room(&case.on(*day)))
    }

    fn closes(&self, case: &Case) -> Option<Date> {
        let lasts = holding(case).map(|permission| permission.to.unwrap_or(Date::MAX));
        lasts.max().filter(|last| *last < Date::MAX)
    }
}

fn fitting<'a>(case: &Case<'a>) -> impl Iterator<Item = &'a Permission> {
    let purpose = case.purpose;
    whatever_for(case).filter(move |permission| purpose.is_none_or(|it| permission.is_for(it)))
}

/// Those that would fit if what for made no difference.
fn whatever_for<'a>(case: &Case<'a>) -> impl Iterator<Item = &'a Permission> {
    let (crop, method) = (&case.crop.name, case.method);
    let all = case.site.permissions.iter().map(|fact| &fact.record);
    all.filter(move |permission| permission.covers_crop(crop) && permission.covers_method(method))
}

fn holding<'a>(case: &Case<'a>) -> impl Iterator<Item = &'a Permission> {
    let day = case.day;
    fitting(case).filter(move |permission| permission.holds_on(day))
}

/// Whether what is promised to other walks is taken off a cap.
#[derive(Clone, Copy, PartialEq)]
enum Promised {
    Counted,
    NotCounted,
}

/// What the caps of the site's permission leave of the crop once the promises on the site are
/// kept, in the crop's measure; infinite without a cap.
pub fn room_beside_promises(case: &Case) -> f64 {
    let rooms = holding(case).map(|permission| room(permission, case, Promised::Counted).most);
    rooms.fold(0.0, f64::max)
}

fn room(permission: &Permission, case: &Case, promised: Promised) -> Room {
    let basis = permission.basis;
    if let Some(largest) = permission.largest_party
        && case.people_or_one() > largest
    {
        let people = case.people_or_one();
        return Room { most: 0.0, reason: Reason::PartyTooLarge { basis, largest, people } };
    }
    let of_this_measure = |cap: Option<Amount>| cap.filter(|c| c.measure == case.crop.measure);
    let left = |cap: Option<Amount>, used: &dyn Fn() -> f64, a_season: bool| {
        let cap = of_this_measure(cap)?.value;
        Some(((cap - used()).max(0.0), cap, a_season))
    };
    let promised = |amount: f64| if promised == Promised::Counted { amount } else { 0.0 };
    let today = || case.cut_on_site_today() + promised(case.promised_on_site_today());
    let this_season =
        || case.cut_on_site_this_season() + promised(case.promised_on_site_this_season());
    let visit = left(permission.cap_per_visit, &today, false);
    let season = left(permission.cap_per_season, &this_season, true);
    let tightest = visit.into_iter().chain(season).min_by(|a, b| a.0.total_cmp(&b.0));
    let reason = case.tell(|| {
        let cap = tightest.map(|(left, cap, a_season)| CapLeft {
            left: case.crop.amount(left),
            cap: case.crop.amount(cap),
            a_season,
        });
        let purposes = permission.counts_for().collect();
        Reason::Permitted { basis, purposes, until: permission.to, cap }
    });
    Room { most: tightest.map_or(f64::INFINITY, |(left, ..)| left), reason }
}

/// Why no permission holds: the nearest miss.
fn why_none(case: &Case) -> Reason {
    let all = || case.site.permissions.iter().map(|fact| &fact.record);
    let lapsed = fitting(case).filter_map(|permission| permission.to);
    let coming = fitting(case).map(|permission| permission.from).filter(|from| *from > case.day);
    let last_lapse = lapsed.filter(|last| *last < case.day).max();
    let for_others = whatever_for(case).find(|permission| permission.holds_on(case.day));
    if let (Some(wanted), Some(other)) = (case.purpose, for_others) {
        let (basis, said) = (other.basis, other.purposes.is_some());
        Reason::ForAnotherUse { basis, purposes: other.counts_for().collect(), said, wanted }
    } else if let Some(from) = coming.min() {
        Reason::PermissionBegins(from)
    } else if let Some(last) = last_lapse {
        Reason::PermissionLapsed(last, (case.day - last).get_days().unsigned_abs())
    } else if all().any(|permission| permission.holds_on(case.day)) {
        Reason::NotCovered { crop: case.crop.name.clone(), method: case.method.map(Into::into) }
    } else {
        Reason::NoPermission
    }
}
