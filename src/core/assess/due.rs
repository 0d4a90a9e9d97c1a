//! What needs a hand soon: walks to settle and to ask for, promises that no longer fit, surveys
//! that lapse, terms that end, patches that a coming walk wants and that open or shut.

use std::sync::Arc;

use jiff::civil::Date;
use rayon::prelude::*;

use super::advice::{PRECISION, PatchAdvice, WhySurvey, advise};
use super::comeback::waiting;
use super::decline::trend;
use super::outlook::unkept;
use super::{Opening, Prepared, assess_in_brief};
use crate::crop::Trend;
use crate::records::{
    Basis, Closure, Crop, Fact, FactId, Ledger, PatchName, Permission, Purpose, SiteFacts,
    SiteName, Walk, WalkName,
};
use crate::regrowth::SecondCut;
use crate::rules::{Promise, answer_for};

/// Nobody's eye tells a tenth less from as much.
const WORTH_A_LOOK: f64 = 0.9;

/// All that is due by a day.
#[derive(Clone, Debug, PartialEq)]
pub struct DueList {
    /// The day asked about.
    pub on: Date,
    /// The last day of which is told.
    pub until: Date,
    /// The most urgent first: what is late, then by day.
    pub tasks: Vec<Task>,
}

/// One thing that needs a hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// The day on which it should be done at the latest, or on which it happens.
    pub day: Date,
    /// What it is, with all that is told of it.
    pub what: What,
}

/// In the order in which things of one day are told.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// A walk whose day has passed without a word of what was taken.
    Settle {
        /// Its name.
        walk: WalkName,
        /// The sites it went to.
        sites: Vec<SiteName>,
    },
    /// Somebody wants to be asked before this walk.
    AskFirst {
        /// Its name.
        walk: WalkName,
        /// Where.
        site: SiteName,
        /// Whom to ask, as the book's keeper calls them; `None` where nobody wrote it down.
        occupier: Option<Arc<str>>,
    },
    /// What a walk was promised is no longer found on its day.
    PromiseTooLarge {
        /// Where.
        patch: PatchName,
        /// What grows there.
        crop: Arc<Crop>,
        /// What was promised.
        promise: Promise,
    },
    /// A walk that is to come.
    Walk {
        /// Its name.
        walk: WalkName,
        /// Where it goes.
        sites: Vec<SiteName>,
        /// Who leads it.
        leader: Arc<str>,
        /// How many come.
        people: u32,
    },
    /// A survey that is believed until the day, or was.
    Survey(PatchAdvice),
    /// A permission that does not say what it is for, and so counts as own use.
    SayWhatFor {
        /// Its id.
        permission: FactId,
        /// Where it holds.
        site: SiteName,
        /// How sure it is.
        basis: Basis,
        /// For which crops; empty for every crop.
        crops: Vec<Arc<str>>,
    },
    /// No permission on one of the walk's sites is for what the walk gathers for.
    NotForThis {
        /// Its name.
        walk: WalkName,
        /// Where.
        site: SiteName,
        /// What it gathers for.
        purpose: Purpose,
    },
    /// Marked squares to be cut a second time: the day is when that tells most.
    CutAgain {
        /// Where they are.
        patch: PatchName,
        /// The day of the first cut.
        begun: Date,
        /// When to cut them.
        when: SecondCut,
    },
    /// A permission that ends, and none that is known follows it.
    PermissionEnds {
        /// Where it holds.
        site: SiteName,
        /// How sure it is.
        basis: Basis,
        /// For which crops; empty for every crop.
        crops: Vec<Arc<str>>,
    },
    /// The last day of a closure.
    ClosureEnds {
        /// The site that is shut, or on which the patch lies.
        site: SiteName,
        /// The patch's name; `None` for the whole site.
        patch: Option<Arc<str>>,
        /// Why it was shut.
        reason: Arc<str>,
    },
    /// A patch of a crop that a walk wants opens in time for it, or shuts before it.
    Opens {
        /// Which patch.
        patch: PatchName,
        /// What grows there.
        crop: Arc<Crop>,
        /// The walk that wants it.
        walk: WalkName,
        /// When it opens, and what it needs.
        opening: Opening,
    },
    /// An open patch of a crop that a walk wants may be cut for the last time.
    Shuts {
        /// Which patch.
        patch: PatchName,
        /// What grows there.
        crop: Arc<Crop>,
        /// The walk that wants it.
        walk: WalkName,
        /// The rule that shuts it.
        rule: &'static str,
    },
    /// To the same eyes it looks this part as thick as it did.
    LooksThin {
        /// Which patch.
        patch: PatchName,
        /// Under 1.
        part: f64,
    },
    /// From survey to survey, by this part a year, negative.
    Declines {
        /// Which patch.
        patch: PatchName,
        /// −0.18 for a loss of 18 %.
        a_year: f64,
    },
}

impl Task {
    /// Whether its day lies before that day.
    pub fn is_late(&self, on: Date) -> bool {
        self.day < on
    }
}

impl What {
    /// Things of one day are told in this order.
    fn rank(&self) -> u8 {
        match self {
            Self::Settle { .. } => 0,
            Self::NotForThis { .. } => 1,
            Self::AskFirst { .. } => 2,
            Self::PromiseTooLarge { .. } => 3,
            Self::Walk { .. } => 4,
            Self::SayWhatFor { .. } => 5,
            Self::Survey(_) => 6,
            Self::CutAgain { .. } => 7,
            Self::PermissionEnds { .. } => 8,
            Self::ClosureEnds { .. } => 9,
            Self::Shuts { .. } => 10,
            Self::Opens { .. } => 11,
            Self::LooksThin { .. } => 12,
            Self::Declines { .. } => 13,
        }
    }

    /// The sites that it is about.
    pub fn sites(&self) -> Vec<&SiteName> {
        match self {
            Self::Settle { sites, .. } | Self::Walk { sites, .. } => sites.iter().collect(),
            Self::AskFirst { site, .. }
            | Self::SayWhatFor { site, .. }
            | Self::NotForThis { site, .. }
            | Self::PermissionEnds { site, .. }
            | Self::ClosureEnds { site, .. } => vec![site],
            Self::Survey(advice) => vec![advice.patch.site()],
            Self::PromiseTooLarge { patch, .. }
            | Self::CutAgain { patch, .. }
            | Self::Opens { patch, .. }
            | Self::Shuts { patch, .. }
            | Self::LooksThin { patch, .. }
            | Self::Declines { patch, .. } => vec![patch.site()],
        }
    }
}

/// What is due from `on` until a day, that day included, and what is late. `prepared` are the
/// ledger's patches as they stand on `on`.
pub fn due(ledger: &Ledger, prepared: &[Prepared], on: Date, until: Date) -> DueList {
    let coming: Vec<&Fact<Walk>> =
        ledger.walks().filter(|walk| (on..=until).contains(&walk.record.day)).collect();
    let mut tasks: Vec<Task> = to_settle(ledger, on).collect();
    tasks.extend(coming.iter().map(|walk| coming_walk(walk)));
    tasks.extend(coming.iter().flat_map(|walk| to_ask(walk, ledger)));
    tasks.extend(coming.iter().flat_map(|walk| not_for_this(walk, ledger)));
    tasks.extend(ledger.sites.iter().flat_map(|site| unsaid(site, on)));
    tasks.extend(surveys(prepared, on, until));
    tasks.extend(ledger.sites.iter().flat_map(|site| terms(site, on, until)));
    let of_patches: Vec<Vec<Task>> =
        prepared.par_iter().map(|patch| of_patch(patch, &coming, on, until)).collect();
    tasks.extend(of_patches.into_iter().flatten());
    tasks.sort_by_key(|task| (task.day, task.what.rank()));
    DueList { on, until, tasks }
}

fn to_settle(ledger: &Ledger, on: Date) -> impl Iterator<Item = Task> {
    let past = ledger.walks().filter(move |walk| walk.record.day < on);
    let unsettled = past.filter(|walk| ledger.cuts_of(&walk.record.name).is_empty());
    unsettled.map(|walk| Task {
        day: walk.record.day,
        what: What::Settle {
            walk: walk.record.name.clone(),
            sites: walk.record.sites().cloned().collect(),
        },
    })
}

fn coming_walk(walk: &Fact<Walk>) -> Task {
    let record = &walk.record;
    let what = What::Walk {
        walk: record.name.clone(),
        sites: record.sites().cloned().collect(),
        leader: walk.by.clone(),
        people: record.people(),
    };
    Task { day: record.day, what }
}

/// The sites of the walk on which somebody wants to be asked before each visit.
fn to_ask(walk: &Fact<Walk>, ledger: &Ledger) -> Vec<Task> {
    let day = walk.record.day;
    let asks = |site: &&SiteFacts| {
        let permissions = site.permissions.iter().map(|fact| &fact.record);
        permissions.filter(|permission| permission.holds_on(day)).any(|it| it.ask_first)
            && answer_for(&site.visits, day).is_none()
    };
    let goes_to =
        |site: &&SiteFacts| walk.record.sites().any(|name| *name == site.site.record.name);
    let ask = |site: &SiteFacts| {
        let record = &site.site.record;
        let (walk, site) = (walk.record.name.clone(), record.name.clone());
        Task { day, what: What::AskFirst { walk, site, occupier: record.occupier.clone() } }
    };
    ledger.sites.iter().filter(goes_to).filter(asks).map(ask).collect()
}

/// The sites of the walk on which there is leave, and none for what the walk gathers for.
fn not_for_this(walk: &Fact<Walk>, ledger: &Ledger) -> Vec<Task> {
    let (record, purpose) = (&walk.record, walk.record.purpose());
    let lacks_leave = |site: &&SiteFacts| {
        let goes_there = record.sites().any(|name| *name == site.site.record.name);
        let all = site.permissions.iter().map(|fact| &fact.record);
        let mut holding = all.filter(|it| it.holds_on(record.day)).peekable();
        goes_there && holding.peek().is_some() && !holding.any(|it| it.is_for(purpose))
    };
    let task = |site: &SiteFacts| {
        let (walk, site) = (record.name.clone(), site.site.record.name.clone());
        Task { day: record.day, what: What::NotForThis { walk, site, purpose } }
    };
    ledger.sites.iter().filter(lacks_leave).map(task).collect()
}

/// What an occupier agreed to without a word of what for. A right or a custom is one's own, and
/// asks nobody.
fn unsaid(site: &SiteFacts, on: Date) -> Vec<Task> {
    let agreed = |permission: &Permission| {
        matches!(permission.basis, Basis::Written | Basis::Spoken) && permission.holds_on(on)
    };
    let open = site.permissions.iter().filter(|fact| agreed(&fact.record));
    let task = |fact: &Fact<Permission>| Task {
        day: on,
        what: What::SayWhatFor {
            permission: fact.id,
            site: fact.record.site.clone(),
            basis: fact.record.basis,
            crops: fact.record.crops.clone(),
        },
    };
    open.filter(|fact| fact.record.purposes.is_none()).map(task).collect()
}

/// Surveys that lapse or have lapsed, where one would add to a limit.
fn surveys(prepared: &[Prepared], on: Date, until: Date) -> Vec<Task> {
    let advice = advise(prepared, |_| true, on, PRECISION);
    let due = advice.patches.into_iter().filter_map(|advice| match advice.why {
        WhySurvey::Lapsed(day) => Some(Task { day, what: What::Survey(advice) }),
        WhySurvey::Lapses(day) if day <= until => Some(Task { day, what: What::Survey(advice) }),
        _ => None,
    });
    due.collect()
}

/// Permissions that nothing follows, and closures, that end.
fn terms(site: &SiteFacts, on: Date, until: Date) -> Vec<Task> {
    let name = &site.site.record.name;
    let ends = |day: &Date| (on..=until).contains(day);
    let permissions = site.permissions.iter().filter_map(|fact| {
        let permission = &fact.record;
        let day = permission.to.filter(ends)?;
        let is_followed = day.tomorrow().is_ok_and(|next| follows(permission, site, next));
        (!is_followed).then(|| Task {
            day,
            what: What::PermissionEnds {
                site: name.clone(),
                basis: permission.basis,
                crops: permission.crops.clone(),
            },
        })
    });
    let closures = site.closures.iter().filter_map(|fact| {
        let Closure { patch, reason, to, .. } = &fact.record;
        let (site, patch, reason) = (name.clone(), patch.clone(), reason.clone());
        Some(Task { day: to.filter(ends)?, what: What::ClosureEnds { site, patch, reason } })
    });
    permissions.chain(closures).collect()
}

/// Whether on that day another permission covers all that this one does.
fn follows(ended: &Permission, site: &SiteFacts, day: Date) -> bool {
    let others = || site.permissions.iter().map(|fact| &fact.record);
    let covers = |crops: &[Arc<str>]| {
        others().any(|other| {
            other.holds_on(day)
                && ended.counts_for().all(|purpose| other.is_for(purpose))
                && (other.crops.is_empty()
                    || (!crops.is_empty() && crops.iter().all(|crop| other.covers_crop(crop))))
        })
    };
    covers(&ended.crops)
}

fn of_patch(patch: &Prepared, coming: &[&Fact<Walk>], on: Date, until: Date) -> Vec<Task> {
    let name = &patch.facts.patch.record.name;
    let case = patch.case(on, None, None);
    let mut tasks = Vec::new();
    for promise in unkept(&case) {
        let (day, crop) = (promise.day, patch.crop().clone());
        let what = What::PromiseTooLarge { patch: name.clone(), crop, promise };
        tasks.push(Task { day, what });
    }
    if !patch.is_kept_on(on) {
        return tasks;
    }
    for (begun, when) in waiting(patch, on).filter(|(_, when)| when.best_day <= until) {
        let what = What::CutAgain { patch: name.clone(), begun, when };
        tasks.push(Task { day: when.best_day, what });
    }
    let mut wanting = coming.iter().filter(|walk| wants(&walk.record, patch)).peekable();
    if wanting.peek().is_some() {
        tasks.extend(turn(patch, wanting.map(|walk| &walk.record), on));
    }
    // thin = 2x − 1 of the sight index x.
    let look = case.share().map_or(1.0, |share| (share.thin + 1.0) / 2.0);
    if look < WORTH_A_LOOK {
        let what = What::LooksThin { patch: name.clone(), part: look };
        tasks.push(Task { day: on, what });
    }
    if let Trend::Declining(change) = trend(patch, on) {
        let what = What::Declines { patch: name.clone(), a_year: change.best };
        tasks.push(Task { day: on, what });
    }
    tasks
}

/// A patch that opens in time for a walk that wants it, or shuts before that walk.
fn turn<'w>(
    patch: &Prepared,
    mut wanting: impl Iterator<Item = &'w Walk>,
    on: Date,
) -> Option<Task> {
    let (name, crop) = (patch.facts.patch.record.name.clone(), patch.crop().clone());
    let found = assess_in_brief(patch, on, None, None);
    match (found.opening, found.closing) {
        (Some(opening), _) => {
            let walk = wanting.find(|walk| opening.day <= walk.day)?.name.clone();
            let what = What::Opens { patch: name, crop, walk, opening };
            Some(Task { day: opening.day, what })
        }
        (_, Some(closing)) => {
            let walk = wanting.find(|walk| closing.day < walk.day)?.name.clone();
            let what = What::Shuts { patch: name, crop, walk, rule: closing.rule };
            Some(Task { day: closing.day, what })
        }
        _ => None,
    }
}

/// Whether the walk goes to the patch's site for its crop, or for what it is in the kitchen.
fn wants(walk: &Walk, patch: &Prepared) -> bool {
    let crop = patch.crop();
    walk.sites().any(|site| site == patch.facts.patch.record.name.site())
        && walk.wants.iter().any(|want| want.what == crop.name || *want.what == *crop.kitchen_role)
}
