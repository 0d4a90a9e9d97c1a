//! What a rule answers, and what the rules answer together.

use std::fmt;

use jiff::civil::Date;

use super::{CODE_OF_PRACTICE, Case, HOLDS, REFILLING_SHARE, RESERVE, RULES, Reason};
use crate::records::Taken;
use crate::regrowth::Count;

/// What may be done with a patch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Something may be cut.
    Open,
    /// The share has not refilled to a useful amount, or the ground has had its feet.
    Resting,
    /// Promised to other walks.
    Held,
    /// The day lies outside the crop's window.
    OutOfSeason,
    /// No survey, or none that is still believed.
    NotKnown,
    /// None that holds that day, or none for this crop, party, way of cutting or use.
    NoPermission,
    /// A closure, or protected.
    Closed,
}

impl Verdict {
    /// Every verdict, as answers group them.
    pub const ALL: [Self; 7] = [
        Self::Open,
        Self::Resting,
        Self::Held,
        Self::OutOfSeason,
        Self::NotKnown,
        Self::NoPermission,
        Self::Closed,
    ];

    /// In small letters: `no permission`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Resting => "resting",
            Self::Held => "held",
            Self::OutOfSeason => "out of season",
            Self::NotKnown => "not known",
            Self::NoPermission => "no permission",
            Self::Closed => "closed",
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.name())
    }
}

/// The most that one rule allows.
#[derive(Clone, Debug, PartialEq)]
pub struct Ceiling {
    /// By its name.
    pub rule: &'static str,
    /// In the crop's measure, 0 or more; `None` where the rule sets no limit.
    pub most: Option<f64>,
    /// How much of what is seen it comes to, where that can be counted off.
    pub count: Option<Count>,
    /// Why; untold where the case asks for no reasons.
    pub reason: Reason,
}

impl Ceiling {
    /// A rule that sets no limit.
    pub fn none(rule: &'static str, reason: Reason) -> Self {
        Self { rule, most: None, count: None, reason }
    }

    /// A rule that allows nothing.
    pub fn nothing(rule: &'static str, reason: Reason) -> Self {
        Self::at_most(rule, 0.0, reason)
    }

    /// A rule that allows so much, in the crop's measure; never less than 0.
    pub fn at_most(rule: &'static str, most: f64, reason: Reason) -> Self {
        Self { rule, most: Some(most.max(0.0)), count: None, reason }
    }

    /// The same, with how much of what is seen it comes to.
    pub fn counted(self, count: Option<Count>) -> Self {
        Self { count, ..self }
    }

    /// Whether it leaves as much as is worth cutting, in the crop's measure.
    pub fn allows(&self, useful: f64) -> bool {
        self.most.is_none_or(|most| most >= useful)
    }
}

/// One rule of the take limit.
///
/// Laws (tested for each): never negative; never above what stands at the low bound and the
/// rule's slack; less crop, one more cut, or wider doubt never allow more.
pub trait Rule: Sync {
    /// As answers tell it: `refilling share`.
    fn name(&self) -> &'static str;

    /// The verdict when this rule is what keeps a patch shut.
    fn shuts_as(&self) -> Verdict;

    /// The most that it allows of this case, and why.
    fn ceiling(&self, case: &Case) -> Ceiling;

    /// Whether the rule has nothing to go by without a survey that is believed.
    fn rests_on_survey(&self) -> bool {
        false
    }

    /// Whether it keeps the patch shut though a survey be made that day.
    fn outlasts_survey(&self, _case: &Case) -> bool {
        false
    }

    /// Whether it is the occupier's word, and not what the patch can bear.
    fn is_agreed(&self) -> bool {
        false
    }

    /// The first later day on which a patch this rule keeps shut would open, as far as this
    /// rule goes; `None` where no day is known.
    fn opens(&self, case: &Case) -> Option<Date>;

    /// The last day on which an open patch stays open, as far as this rule goes.
    fn closes(&self, _case: &Case) -> Option<Date> {
        None
    }
}

/// All ceilings on one case, and the one that binds.
#[derive(Clone, Debug, PartialEq)]
pub struct Ruling {
    /// What may be done.
    pub verdict: Verdict,
    /// In the crop's measure; 0 unless open, `None` for no upper limit.
    pub most: Option<f64>,
    /// The strictest count among the rules that count; `None` unless open, and where it is
    /// fewer than anyone counts off.
    pub one_in: Option<u32>,
    /// In the order of the rules.
    pub ceilings: Vec<Ceiling>,
    /// Which ceiling binds; `None` where no rule sets any limit.
    pub binding: Option<usize>,
}

/// The reason where no rule sets any limit.
pub static UNLIMITED: Reason = Reason::Unlimited;

impl Ruling {
    /// What decides.
    pub fn why(&self) -> &Reason {
        self.binding.map_or(&UNLIMITED, |index| &self.ceilings[index].reason)
    }

    /// The rule that binds.
    pub fn binding_rule(&self) -> Option<&'static str> {
        self.binding.map(|index| self.ceilings[index].rule)
    }

    /// The least that any rule allows, whether or not it is worth a visit, in the crop's measure;
    /// `None` where none of them sets a limit.
    pub fn lowest(&self) -> Option<f64> {
        self.least(|_| true)
    }

    /// The least that the rules allow that are the occupier's word, in the crop's measure;
    /// `None` where none of them sets a limit.
    pub fn agreed(&self) -> Option<f64> {
        self.least(|rule| rule.is_agreed())
    }

    /// The least that all other rules allow: what the patch can bear, in the crop's measure;
    /// `None` where none of them sets a limit.
    pub fn bearable(&self) -> Option<f64> {
        self.least(|rule| !rule.is_agreed())
    }

    fn least(&self, among: impl Fn(&dyn Rule) -> bool) -> Option<f64> {
        let of_rules = RULES.iter().zip(&self.ceilings).filter(|(rule, _)| among(**rule));
        of_rules.filter_map(|(_, ceiling)| ceiling.most).min_by(f64::total_cmp)
    }

    /// How a visit is charged that took all it was allowed: the share is spent where the share
    /// set the limit; where a code of practice or a promise did, one in so many was taken; where the
    /// reserve did, the whole share is spent as a count, which is no look at the stand; else what it
    /// weighed counts.
    pub fn all_taken(&self) -> Taken {
        let Some(binding) = self.binding.map(|index| &self.ceilings[index]) else {
            return Taken::ByWeight;
        };
        match (binding.rule, binding.count) {
            (REFILLING_SHARE, _) => Taken::All,
            (CODE_OF_PRACTICE | HOLDS, Some(Count::OneIn(n))) => Taken::OneIn(n),
            (RESERVE, _) => self.one_in.map_or(Taken::ByWeight, Taken::OneIn),
            _ => Taken::ByWeight,
        }
    }
}

/// Applies every rule.
pub fn rule_on(case: &Case) -> Ruling {
    let ceilings: Vec<Ceiling> = RULES.iter().map(|rule| rule.ceiling(case)).collect();
    let binding = lowest(&ceilings);
    let lowest_most = binding.and_then(|index| ceilings[index].most);
    let is_open = lowest_most.is_none_or(|most| most >= case.smallest_useful());
    let verdict = match binding {
        Some(index) if !is_open => RULES[index].shuts_as(),
        _ => Verdict::Open,
    };
    let count = ceilings.iter().filter_map(|ceiling| ceiling.count).max();
    Ruling {
        verdict,
        most: if is_open { lowest_most } else { Some(0.0) },
        one_in: count.and_then(Count::one_in).filter(|_| is_open),
        ceilings,
        binding,
    }
}

/// The same with a reason for the ceiling that binds alone.
pub fn rule_in_brief(case: &Case) -> Ruling {
    let mut ruling = rule_on(&Case { in_words: false, ..*case });
    if let Some(binding) = ruling.binding {
        ruling.ceilings[binding] = RULES[binding].ceiling(case);
    }
    ruling
}

/// The first of the lowest ceilings.
fn lowest(ceilings: &[Ceiling]) -> Option<usize> {
    let limits = ceilings.iter().enumerate().filter_map(|(i, ceiling)| Some((i, ceiling.most?)));
    limits.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(index, _)| index)
}
