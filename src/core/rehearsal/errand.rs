//! A plan's visits, day by day, each with what is set aside for others.

use jiff::ToSpan;
use jiff::civil::Date;

use super::cast::Cast;
use super::plan::WEEK_DAYS;
use super::{Demand, Plan};
use crate::records::{Purpose, Walk, WalkName};
use crate::rules::Promise;

/// One visit of one group.
#[derive(Clone, Debug)]
pub(super) struct Errand {
    pub day: Date,
    /// `None` counts as one.
    pub people: Option<u32>,
    /// They come in turns, no more at once than the ground has room for.
    pub in_turns: bool,
    /// What for; `None` for whatever there is a permission for.
    pub purpose: Option<Purpose>,
    pub asks: Vec<Ask>,
    /// What is set aside for others when it sets out.
    pub set_aside: SetAside,
    /// The walk of this name: what is set aside for it is its own.
    walk: Option<WalkName>,
}

/// One thing that a visit is after, with the patches that would do.
#[derive(Clone, Debug)]
pub(super) struct Ask {
    /// Which want of the plan it serves; `None` where a walk that is not played takes what was
    /// set aside for it.
    pub want: Option<usize>,
    pub patches: Vec<usize>,
    /// `None` for all that is allowed.
    pub amount: Option<f64>,
}

/// Promises to others.
#[derive(Clone, Debug, Default)]
pub(super) struct SetAside {
    /// Of each patch, in the order of their days.
    pub on_patch: Vec<Vec<Promise>>,
    /// Of each crop on each site: day, and amount in the crop's measure.
    pub on_site: Vec<Vec<(Date, f64)>>,
}

/// The visits in the order in which they are made.
pub(super) fn errands(plan: &Plan, cast: &Cast) -> Vec<Errand> {
    let promised = promised(plan, cast);
    let mut errands: Vec<Errand> = promised.iter().map(Promised::errand).collect();
    errands.extend(of_walks(plan, cast));
    // Of one day, what was set aside comes first: it was asked for first.
    errands.sort_by_key(|errand| errand.day);
    let mut done: Vec<WalkName> = Vec::new();
    for errand in &mut errands {
        done.extend(errand.walk.clone());
        errand.set_aside = SetAside::on(errand.day, &done, cast, plan);
    }
    errands
}

/// What is set aside on a patch for a walk that is not played.
struct Promised<'a> {
    patch: usize,
    promise: &'a Promise,
}

fn promised<'a>(plan: &Plan, cast: &'a Cast) -> Vec<Promised<'a>> {
    let is_played = |name: &WalkName| match &plan.demand {
        Demand::AllAllowed | Demand::Weekly(_) => false,
        Demand::Walks(walks) => walks.iter().any(|walk| walk.name == *name),
    };
    let counts = |promise: &&Promise| {
        let days = plan.from..=plan.season.last_day();
        days.contains(&promise.day) && !is_played(&promise.walk)
    };
    let open = cast.patches.iter().enumerate().filter(|(_, patch)| !plan.is_rested(patch));
    open.flat_map(|(n, patch)| {
        let promises = patch.promises.iter().filter(counts);
        promises.map(move |promise| Promised { patch: n, promise })
    })
    .collect()
}

impl Promised<'_> {
    fn errand(&self) -> Errand {
        let Promise { walk, day, amount, people, .. } = self.promise;
        Errand {
            day: *day,
            people: *people,
            in_turns: true,
            // It was asked what for when it was promised.
            purpose: None,
            asks: vec![Ask { want: None, patches: vec![self.patch], amount: Some(*amount) }],
            set_aside: SetAside::default(),
            walk: Some(walk.clone()),
        }
    }
}

fn of_walks(plan: &Plan, cast: &Cast) -> Vec<Errand> {
    let mut errands: Vec<Errand> = Vec::new();
    let mut wants = 0;
    for (n, day) in plan.walk_days().into_iter().enumerate() {
        let patches = plan.patches_for(n, &cast.patches);
        let ask = |(patches, amount): (Vec<usize>, Option<_>)| {
            wants += 1;
            Ask { want: Some(wants - 1), patches, amount }
        };
        let amounts = plan.wants(n).into_iter().map(|want| want.map(|amount| amount.value));
        let asks: Vec<Ask> = patches.into_iter().zip(amounts).map(ask).collect();
        let walk = match &plan.demand {
            Demand::AllAllowed | Demand::Weekly(_) => None,
            Demand::Walks(walks) => walks.get(n),
        };
        let purpose = match &plan.demand {
            Demand::AllAllowed => None,
            Demand::Weekly(_) => Some(Purpose::Sale),
            Demand::Walks(_) => walk.map(Walk::purpose),
        };
        for group in 0..plan.groups.max(1) {
            let later = WEEK_DAYS * group as i32 / plan.groups.max(1) as i32;
            let day = day.checked_add(later.days()).unwrap_or(day);
            if day <= plan.season.last_day() {
                errands.push(Errand {
                    day,
                    people: plan.people.or(walk.map(|walk| walk.people().max(1))),
                    in_turns: walk.is_some(),
                    purpose,
                    asks: asks.clone(),
                    set_aside: SetAside::default(),
                    walk: walk.map(|walk| walk.name.clone()),
                });
            }
        }
    }
    errands
}

impl SetAside {
    /// What is yet to come, or to be done later that day; `done` are the walks that have set out.
    fn on(day: Date, done: &[WalkName], cast: &Cast, plan: &Plan) -> Self {
        let counts = |promise: &&Promise| promise.day >= day && !done.contains(&promise.walk);
        let open = |patch| !plan.is_rested(patch);
        let mut on_site = vec![Vec::new(); cast.site_cuts.len()];
        let patches = cast.patches.iter().zip(&cast.roles);
        let on_patch = patches.map(|(patch, role)| {
            let promises = patch.promises.iter().filter(|_| open(patch)).filter(counts);
            let promises: Vec<Promise> = promises.cloned().collect();
            let amounts = promises.iter().map(|promise| (promise.day, promise.amount));
            on_site[role.site_and_crop].extend(amounts);
            promises
        });
        Self { on_patch: on_patch.collect(), on_site }
    }
}
