//! How closely a basket can be held against a limit.

/// By this part a cut may pass its limit and still have kept it.
///
/// It is what a scale may err: one of medium accuracy (class III) in use by one of its
/// intervals at loads up to 500 of them, and it may weigh loads from 20 intervals on, so by 1 in
/// 20 at the most (OIML R 76-1:2006, tables 3 and 6; by 3.5.2 a scale in use may err twice as
/// much as a new one). Counted pieces have the same part: common practice, no source.
pub const WEIGHING_ERROR: f64 = 0.05;

/// Whether an amount passes a limit by more than a scale may err.
pub fn is_over(amount: f64, limit: f64) -> bool {
    amount > limit * (1.0 + WEIGHING_ERROR)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_amount_is_over_where_no_scale_can_be_to_blame() {
        assert!(!is_over(2040.0, 2000.0) && !is_over(2100.0, 2000.0));
        assert!(is_over(2101.0, 2000.0));
        assert!(is_over(1.0, 0.0) && !is_over(0.0, 0.0));
        assert!(!is_over(1e9, f64::INFINITY));
    }
}
