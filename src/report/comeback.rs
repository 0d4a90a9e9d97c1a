//! How fast a patch comes back, as text and for machines.

use jiff::civil::Date;

use super::column::Measured;
use super::page::{Fact, Section};
use crate::assess::{Assessment, ByATest, Comeback, Outcome, Tested, Worth};
use crate::json::{InUnit, object};
use crate::records::TestDesign;
use crate::regrowth::SecondCut;
use crate::units::{counted, percent, spoken_day};

/// In full, for a crop that can be tested or a patch that was.
pub fn how_fast(patch: &Assessment, comeback: &Comeback) -> Option<Section> {
    if patch.terms.by_test.is_none() && comeback.tests.is_empty() {
        return None;
    }
    let mut facts = vec![Fact::of("in short", believed(patch, comeback))];
    facts.extend(comeback.tests.iter().map(|test| Fact::of(spoken_day(test.begun), told(test))));
    facts.extend(comeback.worth.iter().flat_map(|worth| worth_facts(patch, worth)));
    Some(Section::facts("how-fast", "How fast it comes back", facts))
}

/// For a screen: nothing of a patch that nobody has begun to test.
pub(super) fn how_fast_in_short(patch: &Assessment, comeback: &Comeback) -> Option<String> {
    let waiting = patch.test_waiting.map(|(_, when)| format!("a test waits: {}", to_cut(when)));
    let tested = (comeback.speed.tests > 0).then(|| in_a_line(patch, comeback));
    let said: Vec<String> = tested.into_iter().chain(waiting).collect();
    (!said.is_empty()).then(|| said.join("; "))
}

/// `0.66 times its profile (0.41 to 1.06, 1 test); refills at 55 %`.
fn in_a_line(patch: &Assessment, comeback: &Comeback) -> String {
    let speed = &comeback.speed;
    if patch.terms.by_test.is_none() {
        return believed(patch, comeback);
    }
    format!(
        "{} times its profile ({} to {}, {}); refills at {}",
        times(speed.best),
        times(speed.low),
        times(speed.high),
        counted(speed.tests, "test"),
        percent(comeback.refill_part)
    )
}

fn believed(patch: &Assessment, comeback: &Comeback) -> String {
    let speed = &comeback.speed;
    let terms = &patch.terms;
    if terms.by_test.is_none() {
        return "taken as its profile says, for no two cuts of a test tell of it".to_owned();
    }
    if speed.tests == 0 {
        return format!(
            "never tested: it is taken to come back as its profile says, in {:.0} growth days, but \
             nobody has seen it do so, and the share refills at {} of that until a test",
            terms.recovery_days,
            percent(comeback.refill_part)
        );
    }
    format!(
        "{} times as fast as its profile says, eight in ten: {} to {}; from {}. The share refills \
         at {} of the profile's rate, up to {} of what stands",
        times(speed.best),
        times(speed.low),
        times(speed.high),
        counted(speed.tests, "test"),
        percent(comeback.refill_part),
        percent(comeback.largest_share)
    )
}

/// Two digits are all that a test tells.
pub(super) fn times(speed: f64) -> String {
    format!("{speed:.2}")
}

/// `cut again best on 12 June 2027, from 28 May, by 9 July at the latest`.
pub(super) fn to_cut(when: SecondCut) -> String {
    format!(
        "cut again best on {}, from {} on, by {} at the latest",
        spoken_day(when.best_day),
        spoken_day(when.first_day),
        spoken_day(when.last_day)
    )
}

/// `8 pairs of squares`, `8 squares`.
pub(super) fn squares(design: TestDesign, n: u32) -> String {
    match design {
        TestDesign::Pairs if n == 1 => "1 pair of squares".to_owned(),
        TestDesign::Pairs => format!("{n} pairs of squares"),
        TestDesign::SameSquares => counted(n, "square"),
    }
}

fn told(test: &Tested) -> String {
    let what = format!("{} by {}", squares(test.design, test.squares), test.by);
    match &test.outcome {
        Outcome::Told { on, ratio, expected } => {
            let of = match test.design {
                TestDesign::Pairs => "of what the uncut ones did",
                TestDesign::SameSquares => "of what they gave at first",
            };
            format!(
                "{what}, again on {}: the cut squares gave {} {of}, where {} was to be expected",
                spoken_day(*on),
                percent(*ratio),
                percent(*expected)
            )
        }
        Outcome::Nothing { on, why } => {
            format!("{what}, again on {}, tells nothing: {why}", spoken_day(*on))
        }
        Outcome::Waiting(when) => format!("{what}, waits: {}", to_cut(*when)),
        Outcome::Missed { last_day: Some(day) } => {
            format!("{what}, was not cut again by {} and tells nothing", spoken_day(*day))
        }
        Outcome::Missed { last_day: None } => {
            format!("{what}, cannot be cut again in time and tells nothing")
        }
    }
}

fn worth_facts(patch: &Assessment, worth: &Worth) -> Vec<Fact> {
    let show = |amount| patch.crop.show(amount);
    let mut facts = Vec::new();
    if let Some(untested) = worth.untested {
        let by = match worth.now - untested {
            more if more > 0.0 => format!("{} more", show(more)),
            less => format!("{} less", show(-less)),
        };
        facts.push(Fact::of(
            "the tests",
            format!("let {} go {AFTER_ALL}, {by} than if nobody had tested", show(worth.now)),
        ));
    }
    if let Some(ByATest { half_as_fast, as_expected, twice_as_fast, on_average }) = worth.by_a_test
    {
        facts.push(Fact::of(
            "a test",
            format!(
                "{} may go {AFTER_ALL}; a test would make it {} if the patch comes back as its \
                 profile says, {} if half as fast, {} if twice, {} on average; `stintbook \
                 recovery plan` draws the squares",
                show(worth.now),
                show(as_expected),
                show(half_as_fast),
                show(twice_as_fast),
                show(on_average)
            ),
        ));
    }
    facts
}

const AFTER_ALL: &str = "a recovery interval after a visit that took all";

object! {
    /// How fast a patch comes back.
    pub(super) struct ComebackData<'a> {
        in_short: String,
        /// Of what the crop's profile says.
        times_as_fast: f64,
        times_as_fast_low: f64,
        times_as_fast_high: f64,
        tests_told: u32,
        /// Of the profile's rate.
        refill_part: f64,
        largest_share: f64,
        tests: Vec<TestData<'a>>,
        /// What may go after a visit that took all and a recovery interval.
        after_a_recovery_interval: Option<WorthData>,
    }

    struct WorthData {
        now: InUnit<f64>,
        untested: InUnit<Option<f64>>,
        by_a_test: Option<ByATestData>,
    }

    struct ByATestData {
        half_as_fast: InUnit<f64>,
        as_expected: InUnit<f64>,
        twice_as_fast: InUnit<f64>,
        on_average: InUnit<f64>,
    }

    struct TestData<'a> {
        design: TestDesign,
        squares: u32,
        begun: Date,
        by: &'a str,
        ended: Option<Date>,
        ratio: Option<f64>,
        expected_ratio: Option<f64>,
        cut_again: Option<CutAgain>,
        told: String,
    }

    struct CutAgain {
        from: Date,
        best: Date,
        until: Date,
    }
}

impl<'a> ComebackData<'a> {
    pub(super) fn of(patch: &Assessment, comeback: &'a Comeback) -> Self {
        Self {
            in_short: believed(patch, comeback),
            times_as_fast: comeback.speed.best,
            times_as_fast_low: comeback.speed.low,
            times_as_fast_high: comeback.speed.high,
            tests_told: comeback.speed.tests,
            refill_part: comeback.refill_part,
            largest_share: comeback.largest_share,
            tests: comeback.tests.iter().map(test).collect(),
            after_a_recovery_interval: comeback.worth.map(|worth| worth_data(patch, &worth)),
        }
    }
}

fn worth_data(patch: &Assessment, worth: &Worth) -> WorthData {
    let amount = |value| InUnit(patch.measure(), value);
    WorthData {
        now: amount(worth.now),
        untested: InUnit(patch.measure(), worth.untested),
        by_a_test: worth.by_a_test.map(|may| ByATestData {
            half_as_fast: amount(may.half_as_fast),
            as_expected: amount(may.as_expected),
            twice_as_fast: amount(may.twice_as_fast),
            on_average: amount(may.on_average),
        }),
    }
}

fn test(test: &Tested) -> TestData<'_> {
    let (ended, ratio, expected_ratio, when) = match &test.outcome {
        Outcome::Told { on, ratio, expected } => (Some(*on), Some(*ratio), Some(*expected), None),
        Outcome::Nothing { on, .. } => (Some(*on), None, None, None),
        Outcome::Waiting(when) => (None, None, None, Some(*when)),
        Outcome::Missed { .. } => (None, None, None, None),
    };
    TestData {
        design: test.design,
        squares: test.squares,
        begun: test.begun,
        by: &test.by,
        ended,
        ratio,
        expected_ratio,
        cut_again: when.map(|when| CutAgain {
            from: when.first_day,
            best: when.best_day,
            until: when.last_day,
        }),
        told: told(test),
    }
}
