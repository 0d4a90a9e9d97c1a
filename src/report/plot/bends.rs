//! The corners of a line that a reader can see.

use super::pen::Place;

/// Corners nearer than this to the line without them are left out, in page units: some 0.04 mm
/// in print, and a quarter of a pixel on a screen that shows two for each page unit.
const SEEN: f64 = 0.15;

/// A line through fewer places that runs nowhere farther than `SEEN` from the places left out
/// (Douglas and Peucker 1973, Cartographica 10).
pub(super) fn bends(places: &[Place]) -> Vec<Place> {
    let mut kept = vec![false; places.len()];
    let mut spans = vec![(0, places.len().saturating_sub(1))];
    while let Some((first, last)) = spans.pop() {
        for end in [first, last] {
            kept.get_mut(end).into_iter().for_each(|end| *end = true);
        }
        let between = (first + 1)..last;
        let farthest = between
            .map(|n| (n, distance(places[n], places[first], places[last])))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((n, _)) = farthest.filter(|(_, distance)| *distance > SEEN) {
            spans.extend([(first, n), (n, last)]);
        }
    }
    places.iter().zip(kept).filter(|(_, kept)| *kept).map(|(place, _)| *place).collect()
}

/// From a place to the line between two others.
fn distance(place: Place, from: Place, to: Place) -> f64 {
    let (along, away) = ((to.0 - from.0, to.1 - from.1), (place.0 - from.0, place.1 - from.1));
    let length = along.0.hypot(along.1);
    if length == 0.0 {
        return away.0.hypot(away.1);
    }
    let part = (away.0 * along.0 + away.1 * along.1) / length.powi(2);
    let part = part.clamp(0.0, 1.0);
    (away.0 - part * along.0).hypot(away.1 - part * along.1)
}

#[cfg(test)]
mod tests {
    use super::*;

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
        for place in curve {
            let near = kept.windows(2).map(|pair| distance(place, pair[0], pair[1]));
            assert!(near.fold(f64::INFINITY, f64::min) <= SEEN, "{place:?}");
        }
    }
}
