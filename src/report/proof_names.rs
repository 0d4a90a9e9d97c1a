//! What the proof's tables and plots call what was played in it.

use std::borrow::Cow;

use crate::rehearsal::proof::{Edition, Known, Practice, Squares, Strain, Testing};

/// What has a name in the proof.
pub trait Named {
    /// As its tables have it.
    fn name(self) -> Cow<'static, str>;
}

impl Named for Strain {
    fn name(self) -> Cow<'static, str> {
        match self {
            Self::None => "nothing more than usual".into(),
            Self::WinterKnown => "a winter, known".into(),
            Self::WinterGuarded => "a winter, not known: the guard".into(),
            Self::WinterDenied => "a winter, wrongly denied".into(),
            Self::HalfRate => "recovery half as fast".into(),
            Self::Misled => "surveys × 1.3, to 40 % kept quiet".into(),
            Self::AllAtOnce => "that, and recovery × 0.7".into(),
            Self::TwoParties => "two parties a week".into(),
            Self::Unwritten => "1 visit in 5 not written down".into(),
            Self::DriftingEye => "an eye that drifts 15 % a year".into(),
            Self::DepletedAtFirst => "depleted when first surveyed".into(),
            Self::SlowFromFew => "slower than logistic from few".into(),
            Self::StopsShort => "1 visit in 5 stops short and says all".into(),
            Self::Measured => "measured months and years".into(),
            Self::MeasuredHalfRate => "measured, recovery half as fast".into(),
            Self::MeasuredDry => "measured, dry ground".into(),
            Self::MeasuredDryTest => "measured, dry ground, tested in July".into(),
            Self::MeasuredRemembers => "measured, plants that remember, 6 years".into(),
            Self::SlowingDown => "a tenth slower each year".into(),
            Self::ByQuota => "visits written down by a walk's quota".into(),
            Self::MixedLooks => "a glance at every second visit".into(),
            Self::Unripe => "surveyed unripe, and nobody says so".into(),
            Self::UnripeSaid => "surveyed unripe, and said each time".into(),
        }
    }
}

impl Named for Known {
    fn name(self) -> Cow<'static, str> {
        match self {
            Self::Nothing => "no curve".into(),
            Self::Right => "the curve is right".into(),
            Self::Late => "the curve is four weeks late".into(),
            Self::TooDeep => "the curve is twice as deep in the logarithm".into(),
            Self::Unfounded => "by the curve, and none in truth".into(),
        }
    }
}

impl Named for Edition {
    fn name(self) -> Cow<'static, str> {
        match self {
            Self::ByProfile => "as the profile says".into(),
            Self::Untested => "untested".into(),
            Self::Tested(Squares::Pairs) => "tested by pairs".into(),
            Self::Tested(Squares::Same) => "tested by the same squares".into(),
        }
    }
}

impl Named for Practice {
    fn name(self) -> Cow<'static, str> {
        match self {
            Self::Book { glances: false } => "the book".into(),
            Self::Book { glances: true } => "the book, with glances".into(),
            Self::Fraction(part) => format!("{} at each visit", in_words(part)).into(),
            Self::ThenRest(part) => format!("{}, then rest", in_words(part)).into(),
        }
    }
}

/// Of a test that is not done as it should be.
impl Named for Testing {
    fn name(self) -> Cow<'static, str> {
        match self {
            Self { yearly: false, .. } => "once, and never again".into(),
            Self { faster, .. } if faster > 1.0 => {
                format!("squares that neighbours help, × {faster}").into()
            }
            Self { sloppy, .. } if sloppy > 1.0 => "four pairs, sloppily".into(),
            _ => "four pairs".into(),
        }
    }
}

/// A rule from strict to loose, of which `practice` is one setting.
pub(super) fn of_curve(practice: Practice) -> Cow<'static, str> {
    match practice {
        Practice::Book { .. } => practice.name(),
        Practice::Fraction(_) => "one in N at each visit".into(),
        Practice::ThenRest(_) => "a part, then rest".into(),
    }
}

fn in_words(part: f64) -> String {
    let n = 1.0 / part;
    match n.round() as u32 {
        2 if (n - 2.0).abs() < 1e-9 => "a half".to_owned(),
        3 if (n - 3.0).abs() < 1e-9 => "a third".to_owned(),
        10 if (n - 10.0).abs() < 1e-9 => "a tenth".to_owned(),
        whole if (n - f64::from(whole)).abs() < 1e-9 => format!("one in {whole}"),
        _ => format!("one in {n:.1}"),
    }
}
