//! Days in digits with the year last: whether the day or the month stands first.

/// What stands first in `3/4/2027`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    DayFirst,
    MonthFirst,
}

/// The two numbers in front of the year, and the year; `None` for anything else.
pub(super) fn parts(text: &str) -> Option<(u8, u8, u16)> {
    let mark = text.chars().find(|c| matches!(c, '/' | '.' | '-'))?;
    let mut parts = text.split(mark);
    let (first, second, year) = (parts.next()?, parts.next()?, parts.next()?);
    let is_short = |part: &str| matches!(part.len(), 1 | 2) && is_digits(part);
    let fits = is_short(first) && is_short(second) && year.len() == 4 && is_digits(year);
    if !fits || parts.next().is_some() {
        return None;
    }
    Some((first.parse().ok()?, second.parse().ok()?, year.parse().ok()?))
}

fn is_digits(text: &str) -> bool {
    text.bytes().all(|byte| byte.is_ascii_digit())
}

/// What the days of one column show; `Err` says why they do not.
pub(super) fn order<'t>(cells: impl Iterator<Item = &'t str>) -> Result<Option<Order>, String> {
    let (mut any, mut day_first, mut month_first) = (None, None, None);
    for cell in cells {
        let Some((first, second, _)) = parts(cell) else { continue };
        any = any.or(Some(cell));
        if first > 12 {
            day_first = day_first.or(Some(cell));
        }
        if second > 12 {
            month_first = month_first.or(Some(cell));
        }
    }
    match (any, day_first, month_first) {
        (None, ..) => Ok(None),
        (_, Some(one), Some(other)) => {
            Err(format!("`{one}` has the day first and `{other}` the month"))
        }
        (_, Some(_), None) => Ok(Some(Order::DayFirst)),
        (_, None, Some(_)) => Ok(Some(Order::MonthFirst)),
        (Some(cell), None, None) => Err(format!("`{cell}` may be read in two ways")),
    }
}

/// The day with its year first; as it was where it is none of this form.
pub(super) fn year_first(text: &str, order: Order) -> String {
    match (parts(text), order) {
        (None, _) => text.to_owned(),
        (Some((day, month, year)), Order::DayFirst)
        | (Some((month, day, year)), Order::MonthFirst) => format!("{year:04}-{month:02}-{day:02}"),
    }
}
