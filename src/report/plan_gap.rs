//! How far a plan may be from the best possible one, in words.

use crate::walk::Gap;

const PERCENT: f64 = 100.0;

/// Whether a better plan is possible, and by how much at most.
pub fn gap_sentence(gap: &Gap) -> String {
    if gap.is_none() {
        return "No other plan is better.".to_owned();
    }
    let short = format!("{} of a want more might be met", at_most(gap.met));
    let share = format!("the highest share of a limit might be {} lower", at_most(gap.share));
    let walking =
        format!("there might be {} less walking", at_most(1.0 - 1.0 / (1.0 + gap.walking)));
    let parts = [(gap.met, short), (gap.share, share), (gap.walking, walking)];
    let parts = parts.into_iter().filter(|(part, _)| *part > Gap::NONE).map(|(_, said)| said);
    format!("A better plan is not ruled out: {}.", parts.collect::<Vec<_>>().join("; "))
}

/// Rounded up to a tenth of a percent.
fn at_most(part: f64) -> String {
    format!("up to {:.1} %", (PERCENT * part * 10.0).ceil() / 10.0)
}
