//! Middling plans against a solver of mixed-integer programmes (`fixtures/walk/make_plans.py`).

use geo::Point;
use serde_json::Value;
use stintbook_core::ground::LocalMetres;
use stintbook_core::units::{Amount, Measure};
use stintbook_core::walk::{Demand, Errand, Offer, Plan, RoundingUnit, Start, Wanted, plan};

const SOLVED: &str = include_str!("../../fixtures/walk/plans.json");

/// On open water.
const START: Point = Point(geo::Coord { x: -5.2, y: 54.3 });

struct Solved {
    offers: Vec<Offer>,
    metres: Vec<f64>,
    group_limits: Vec<Amount>,
    demands: Vec<Demand>,
    slack: f64,
    met: f64,
    share: f64,
    walking: f64,
}

fn word(value: &Value) -> &str {
    value.as_str().unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().unwrap().iter()
}

fn offer(offered: &Value) -> Offer {
    let groups = list(&offered[5]).map(|group| group.as_u64().unwrap() as usize);
    Offer {
        crop: word(&offered[0]).into(),
        kitchen_role: word(&offered[1]).into(),
        measure: Measure::Mass,
        limit: Some(number(&offered[2])),
        groups: groups.collect(),
        at: LocalMetres::at(START).degrees(&Point::new(number(&offered[4]), 0.0)),
        least: number(&offered[3]),
        unit: RoundingUnit::of(Measure::Mass),
    }
}

fn demand(wanted: &Value) -> Demand {
    let name = word(&wanted[1]);
    let kitchen_role = if name == "d" { "sour" } else { "leaf" };
    let what = match word(&wanted[0]) {
        "crop" => Wanted::Crop { crop: name.into(), kitchen_role: kitchen_role.into() },
        _ => Wanted::Role(name.into()),
    };
    Demand { wanted: what, amount: Amount::grams(number(&wanted[2])) }
}

fn solved(case: &Value) -> Solved {
    Solved {
        offers: list(&case["offers"]).map(offer).collect(),
        metres: list(&case["offers"]).map(|offer| number(&offer[4])).collect(),
        group_limits: list(&case["group_limits"]).map(|g| Amount::grams(number(g))).collect(),
        demands: list(&case["demands"]).map(demand).collect(),
        slack: number(&case["slack"]),
        met: number(&case["best"]["met"]),
        share: number(&case["best"]["share"]),
        walking: number(&case["best"]["walking"]),
    }
}

impl Solved {
    fn plan(&self) -> Plan {
        let start = Some(Start { at: START, within: None });
        let Solved { offers, group_limits, demands, slack, .. } = self;
        plan(&Errand { offers, group_limits, demands, start, slack: *slack }).unwrap()
    }

    fn met(&self, plan: &Plan) -> f64 {
        let part = |take: &stintbook_core::walk::Take| {
            take.amount as f64 / self.demands[take.demand].amount.value
        };
        plan.takes.iter().map(part).sum()
    }

    fn walking(&self, plan: &Plan) -> f64 {
        let furthest = self.metres.iter().copied().fold(0.0, f64::max);
        let way = |take: &stintbook_core::walk::Take| {
            let offer = &self.offers[take.offer];
            let wanted = self.demands.iter().filter(|demand| offer.serves(demand));
            let wanted: f64 = wanted.map(|demand| demand.amount.value).sum();
            let all = offer.limit.unwrap().min(wanted);
            self.metres[take.offer] / furthest * take.amount as f64 / all
        };
        plan.takes.iter().map(way).sum()
    }
}

#[test]
fn plans_are_as_good_as_those_of_a_solver_and_never_further_off_than_they_say() {
    let cases: Vec<Value> = serde_json::from_str(SOLVED).unwrap();
    assert_eq!(cases.len(), 40);
    let (mut exact, mut excess) = (0, Vec::new());
    for (n, case) in cases.iter().enumerate() {
        let case = solved(case);
        let plan = case.plan();
        let (met, walking, gap) = (case.met(&plan), case.walking(&plan), plan.gap);
        assert!(met <= case.met + 1e-9 && met + gap.met >= case.met - 1e-9, "{n}: {met} {gap:?}");
        assert!(met >= case.met - 1e-9, "{n}: {met}, and {} could be met", case.met);
        let most = case.share + case.slack + gap.share;
        assert!(plan.highest_share <= most + 1e-6, "{n}: {} {gap:?}", plan.highest_share);
        assert!(gap.share < 0.02, "{n}: {gap:?}");
        let least = walking / (1.0 + gap.walking);
        assert!(least <= case.walking + 1e-6, "{n}: {walking}, {} would do", case.walking);
        excess.push(walking / case.walking - 1.0);
        exact += usize::from(gap.is_none());
    }
    // As good as the solver's in most cases, and never much further to walk.
    assert!(exact >= 20, "only {exact} of {} are known to be the best", cases.len());
    assert!(excess.iter().all(|excess| *excess < 0.06), "{excess:?}");
    let as_good = excess.iter().filter(|excess| **excess < 1e-3).count();
    assert!(as_good >= 28, "{excess:?}");
}
