//! What goes into which box, so that nobody is favoured: not for coming first in the month, nor
//! in any month.

/// How many of a month's boxes are packed by the end of its week of that number, from 0.
pub fn boxes_by(boxes: u32, weeks: usize, week: usize) -> u32 {
    let (weeks, done) = (weeks.max(1) as u64, week as u64 + 1);
    let by = (u64::from(boxes) * done.min(weeks)).div_ceil(weeks);
    u32::try_from(by).unwrap_or(boxes)
}

/// Which subscriber, from 0, has the box at that position of a month: they move on by a quarter
/// of them each month, so that nobody's box is always packed in the same week. `month` counts
/// months from any one on.
pub fn subscriber_at(position: u32, boxes: u32, month: i64) -> u32 {
    let boxes = i64::from(boxes.max(1));
    let step = (boxes / 4).max(1);
    let moved = (i64::from(position) + month * step).rem_euclid(boxes);
    moved as u32
}

/// Shares `units` among boxes that have had so many and are each due `due`: those that have had
/// least come first, until all have had the same; what is left over goes one each to the first
/// of them. No box gets more than it is due.
pub fn level(had: &[u64], due: u64, units: u64) -> Vec<u64> {
    let up_to = |level: u64| had.iter().map(move |had| level.saturating_sub(*had));
    let takes = |level: u64| up_to(level).fold(0, u64::saturating_add);
    let (mut fits, mut too_high) = (0, due.saturating_add(1));
    while too_high - fits > 1 {
        let middle = fits + (too_high - fits) / 2;
        if takes(middle) <= units { fits = middle } else { too_high = middle }
    }
    let mut given: Vec<u64> = up_to(fits).collect();
    let mut left = units - takes(fits).min(units);
    for (given, had) in given.iter_mut().zip(had) {
        if left > 0 && *had + *given == fits && fits < due {
            *given += 1;
            left -= 1;
        }
    }
    given
}

/// Lays several crops into boxes that hold so many units each: of each crop in proportion to
/// what there is of it, in whole units, and never more than there is. A row a box, a column a
/// crop; a box may come out a unit a crop over or under.
pub fn laid_out(boxes: &[u64], crops: &[u64]) -> Vec<Vec<u64>> {
    let whole = crops.iter().map(|units| u128::from(*units)).sum::<u128>().max(1);
    let mut packed: u128 = 0;
    let mut rows = Vec::with_capacity(boxes.len());
    for holds in boxes {
        let before = packed;
        packed = (packed + u128::from(*holds)).min(whole);
        let part = |crop: &u64| {
            let by = |units: u128| units * u128::from(*crop) / whole;
            (by(packed) - by(before)) as u64
        };
        rows.push(crops.iter().map(part).collect());
    }
    rows
}
