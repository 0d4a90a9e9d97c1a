//! The five steps in which pressure is shaded, on paper and on a terminal.

/// Lower bounds of the steps but the first: of the full crop, the part that is missing. A visit
/// takes a fifth of a leaf crop at most, so they are finest there.
pub(super) const MISSING: [f64; 4] = [0.05, 0.1, 0.2, 0.4];
/// The steps of `MISSING` on a terminal.
pub(super) const SHADES: [char; 5] = ['·', '░', '▒', '▓', '█'];
/// Of what the ground bears in a year, the part that was trodden.
pub(super) const FEET: [f64; 4] = [0.05, 0.2, 0.5, 1.0];

/// 0 to 4; a bound belongs to the step above it.
pub(super) fn step(value: f64, bounds: &[f64; 4]) -> usize {
    bounds.iter().filter(|bound| value >= **bound).count()
}

/// What the shades mean.
pub(super) fn shades_in_words() -> String {
    let [under_5, under_10, under_20, under_40, more] = SHADES;
    format!(
        "{under_5} under 5 %, {under_10} under 10 %, {under_20} under 20 %, {under_40} under \
         40 %, {more} more; blank where nothing is known"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bound_belongs_to_the_step_above_it() {
        let values = [0.0, 0.049, 0.05, 0.2, 0.5, 0.999, 1.0, f64::INFINITY];
        assert_eq!(values.map(|value| step(value, &FEET)), [0, 0, 1, 2, 3, 3, 4, 4]);
    }
}
