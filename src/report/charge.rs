//! How a cut stood to its limit, and what it was charged, in words: for whoever records one.

use super::reasons::of_then;
use crate::assess::{CutRuling, DayFigures, DayRuling, STOPPED_SHORT};
use crate::records::{Crop, Taken};
use crate::rules::Verdict;
use crate::units::is_over;

/// `8.9 kg more than the 3.11 kg allowed`, or `though the patch was resting`: what is wrong with
/// all that was cut on a day, without its full stop. `None` where it keeps to what was allowed.
pub fn over_allowed(ruling: &DayFigures, crop: &Crop) -> Option<String> {
    let over = crop.show(ruling.take.over_by()?);
    Some(match ruling.take.allowed {
        Some(most) if ruling.was_open() => {
            format!("{over} more than the {} allowed", crop.show(most))
        }
        _ => format!("though {}", of_then(ruling.morning)),
    })
}

/// `where 3.11 kg was allowed`, for a day on which too much was cut.
pub fn where_allowed(ruling: &DayRuling, crop: &Crop) -> String {
    match ruling.take.allowed {
        Some(most) if most > 0.0 => format!("where {} was allowed", crop.show(most)),
        _ => "where nothing was allowed".to_owned(),
    }
}

/// What a cut is charged and why, without its full stop.
pub fn charged(cut: &CutRuling, amount: f64, was_said: bool, crop: &Crop) -> String {
    let over = over_allowed(&cut.day, crop).or_else(|| over_what_was_left(cut, amount, crop));
    let spent = match cut.taken {
        Taken::All => "all that was allowed, so the share is spent".to_owned(),
        Taken::OneIn(n) if was_said => format!("1 in {n} of what was seen"),
        Taken::OneIn(n) => format!("all that was allowed: 1 in {n} of what was seen"),
        Taken::ByWeight => "charged by weight".to_owned(),
    };
    match over {
        Some(over) if matches!(cut.taken, Taken::OneIn(_)) => {
            format!("{over}; said to be {spent}, and charged by weight where that is more")
        }
        Some(over) => format!("{over}; {spent}"),
        None => spent,
    }
}

/// Within what the day allowed, and yet more than was left by then.
fn over_what_was_left(cut: &CutRuling, amount: f64, crop: &Crop) -> Option<String> {
    let left = cut.before.most.filter(|most| amount > 0.0 && is_over(amount, *most))?;
    Some(match cut.before.verdict {
        Verdict::Open => format!("{} more than was left by then", crop.show(amount - left)),
        shut => format!("though {} by then", of_then(shut)),
    })
}

/// Whether a basket is so far under its limit that the party may have stopped short of it.
pub fn may_have_stopped_short(cut: &CutRuling, amount: f64) -> bool {
    cut.taken != Taken::ByWeight && amount < STOPPED_SHORT * cut.before.most.unwrap_or(0.0)
}
