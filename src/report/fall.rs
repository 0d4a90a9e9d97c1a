//! Why a limit fell though nothing was cut, as a sentence.

use jiff::civil::Date;

use super::column::Measured;
use crate::assess::{Assessment, Cause, Fall};
use crate::json::{InUnit, object};
use crate::units::{percent, spoken_day};

/// `on 2 Mar 2027 1.84 kg might go, and nothing was cut since; …`.
pub(super) fn why_it_fell(patch: &Assessment, fall: &Fall) -> String {
    let show = |amount| patch.crop.show(amount);
    let seen = fall
        .seen
        .as_ref()
        .map(|seen| format!("the {} of {} by {}", seen.kind, spoken_day(seen.day), seen.by));
    let since = |plain: &str| seen.clone().unwrap_or_else(|| plain.to_owned());
    let cause = match fall.cause {
        Cause::LooksThinner { surveys_to_reopen } => format!(
            "by {}, the patch looks thinner than it did; glances by the same eyes that see it as \
             thick as before would bring it back{}",
            since("what was seen"),
            match surveys_to_reopen {
                0 => "",
                _ => ", and surveys that find the full crop would open it",
            }
        ),
        Cause::BelowUsual { enough, by } => format!(
            "by {}, less stands than 80 % of what its surveys found; a survey that finds {} would \
             bring it back{}",
            since("what is believed"),
            show(enough),
            by.map_or(String::new(), |day| {
                format!(", and as it grows it should be back by {}", spoken_day(day))
            })
        ),
        Cause::DrawnAnew { since } => {
            format!("it is drawn anew since {}, and stands on less ground", spoken_day(since))
        }
        Cause::Season { part } => format!(
            "by the season of the crop a full stand comes to {} of what it did then",
            percent(part)
        ),
        Cause::StandsLower => format!(
            "by {}, less stands than was believed; a survey that finds more would bring it back",
            since("what is believed")
        ),
        Cause::Doubt => "what stands is known less well by now; a new survey that finds as much \
                         would bring it back"
            .to_owned(),
        Cause::Glanced => format!(
            "since {}, the limit by weight stands closer to what is believed; it stays so, and \
             the count leads",
            since("somebody glanced")
        ),
        Cause::Rule => format!("{} took it", fall.rule),
    };
    let decides = match fall.cause {
        Cause::Rule => String::new(),
        _ => format!("{} decides: ", fall.rule),
    };
    format!(
        "on {} {} might go, and nothing was cut since; {decides}{cause}",
        spoken_day(fall.day),
        show(fall.was)
    )
}

object! {
    /// A limit that fell.
    pub(super) struct FallData<'a> {
        /// On which more might go.
        day: Date,
        was: InUnit<f64>,
        now: InUnit<f64>,
        rule: &'a str,
        why: String,
    }
}

impl<'a> FallData<'a> {
    pub(super) fn of(patch: &Assessment, fall: &'a Fall) -> Self {
        Self {
            day: fall.day,
            was: InUnit(patch.measure(), fall.was),
            now: InUnit(patch.measure(), fall.now),
            rule: fall.rule,
            why: why_it_fell(patch, fall),
        }
    }
}
