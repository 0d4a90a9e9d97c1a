//! Commas where a number has its point.

/// What was meant by a number with a comma in it, in quotes; `None` for anything else. With three
/// digits behind it the comma may part thousands too: then both readings.
pub fn comma_meant(text: &str) -> Option<String> {
    let (whole, part) = text.split_once(',')?;
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    if text.len() >= 20 || !digits(whole.trim_start_matches('-')) || !digits(part) {
        return None;
    }
    Some(match part.len() {
        3 => format!("`{whole}.{part}`, or `{whole}{part}` if that is meant"),
        _ => format!("`{whole}.{part}`"),
    })
}

#[cfg(test)]
mod tests {
    use super::comma_meant;

    #[test]
    fn a_comma_before_three_digits_may_mean_two_numbers() {
        assert_eq!(comma_meant("12,5").as_deref(), Some("`12.5`"));
        assert_eq!(comma_meant("-0,25").as_deref(), Some("`-0.25`"));
        assert_eq!(comma_meant("1,250").as_deref(), Some("`1.250`, or `1250` if that is meant"));
        for other in ["12.5", "1,2,3", ",5", "5,", "a,b", "1,5g"] {
            assert_eq!(comma_meant(other), None, "{other}");
        }
    }
}
