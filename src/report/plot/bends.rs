//! The corners of a line that a reader can see.

use geo::{LineString, Simplify};

use super::pen::Place;

/// Corners nearer than this to the line without them are left out, in page units: some 0.04 mm
/// in print, and a quarter of a pixel on a screen that shows two for each page unit.
const SEEN: f64 = 0.15;

/// A line through fewer places that runs nowhere farther than `SEEN` from the places left out.
pub(super) fn bends(places: &[Place]) -> Vec<Place> {
    let line: LineString = places.to_vec().into();
    line.simplify(SEEN).into_iter().map(|corner| corner.x_y()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Distance, Euclidean, Point};

    #[test]
    fn only_corners_that_show_are_kept() {
        assert_eq!(bends(&[]), []);
        assert_eq!(bends(&[(1.0, 2.0)]), [(1.0, 2.0)]);
        let flat: Vec<Place> = (0..100).map(|x| (f64::from(x), 5.0)).collect();
        assert_eq!(bends(&flat), [(0.0, 5.0), (99.0, 5.0)]);
        let step = [(0.0, 5.0), (1.0, 5.0), (2.0, 9.0), (3.0, 9.05), (4.0, 9.0)];
        assert_eq!(bends(&step), [(0.0, 5.0), (1.0, 5.0), (2.0, 9.0), (4.0, 9.0)]);
    }

    #[test]
    fn no_place_is_farther_from_the_line_than_can_be_seen() {
        let curve: Vec<Place> = (0..400)
            .map(|n| f64::from(n) / 2.0)
            .map(|x| (x, 40.0 * (-x / 30.0).exp() + 3.0 * (x / 9.0).sin()))
            .collect();
        let kept = bends(&curve);
        assert!(kept.len() < curve.len() / 3, "{}", kept.len());
        let kept: LineString = kept.into();
        for place in curve {
            let off = Euclidean.distance(&Point::from(place), &kept);
            assert!(off <= SEEN + 1e-9, "{place:?}");
        }
    }
}
