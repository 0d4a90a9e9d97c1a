//! Numbers as they are typed: what is wrong with one, and what would be right.

use std::ops::{Bound, RangeBounds};

use crate::units::comma_meant;

/// Any finite number. Whether it will do is for the records to say.
pub fn number(text: &str) -> Result<f64, String> {
    let text = text.trim();
    if let Some(wrong) = comma(text) {
        return Err(wrong);
    }
    let read = text.parse().ok().filter(|value: &f64| value.is_finite());
    read.ok_or_else(|| format!("`{text}` is not a number; write one like `12.5` or `30`"))
}

/// A number for which the bounds hold; `like` says what would be right.
pub fn number_that(
    text: &str,
    holds: impl Fn(f64) -> bool,
    what: &str,
    like: &str,
) -> Result<f64, String> {
    if let Some(wrong) = comma(text.trim()) {
        return Err(wrong);
    }
    let read = text.trim().parse().ok().filter(|value: &f64| value.is_finite() && holds(*value));
    read.ok_or_else(|| format!("`{text}` is not {what}; write {like}"))
}

/// Reads whole numbers within bounds.
pub fn whole<T: TryFrom<u64>>(
    bounds: impl RangeBounds<u64> + Clone + Send + Sync + 'static,
) -> impl Fn(&str) -> Result<T, String> + Clone + Send + Sync + 'static {
    move |text| {
        let text = text.trim();
        if let Some(wrong) = comma(text) {
            return Err(wrong);
        }
        let read = text.parse().ok().filter(|value| bounds.contains(value));
        read.and_then(|value: u64| T::try_from(value).ok()).ok_or_else(|| {
            let least = match bounds.start_bound() {
                Bound::Included(least) => *least,
                Bound::Excluded(below) => below + 1,
                Bound::Unbounded => 0,
            };
            match bounds.end_bound() {
                Bound::Included(most) => {
                    format!("`{text}` is not a whole number from {least} to {most}")
                }
                _ => format!("`{text}` is not a whole number, {least} or more"),
            }
        })
    }
}

/// What is wrong with a number that has a comma in it, and nothing else.
pub fn comma(text: &str) -> Option<String> {
    let meant = comma_meant(text)?;
    Some(format!("`{text}` has a comma in it; write {meant}, with a point"))
}
