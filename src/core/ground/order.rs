//! The order in which places are walked: short, from a fixed beginning to wherever it ends.

use geo::Coord;

/// Up to this many places, the start included, the shortest order is found; beyond, a good one.
const EXACT_UP_TO: usize = 11;

/// The order in which to walk places, given and answered as positions in the list; coordinates
/// in metres. The walk comes from `start`, or without one from the southernmost place, and is
/// never longer than it would be in the order in which the places were given.
pub fn walking_order(places: &[Coord], start: Option<Coord>) -> Vec<usize> {
    if places.is_empty() {
        return Vec::new();
    }
    match start {
        Some(start) => {
            let points: Vec<Coord> = std::iter::once(start).chain(places.iter().copied()).collect();
            path(&points, (0..points.len()).collect()).into_iter().skip(1).map(|n| n - 1).collect()
        }
        None => {
            let first = southernmost(places);
            let others = (0..places.len()).filter(|&n| n != first);
            path(places, std::iter::once(first).chain(others).collect())
        }
    }
}

/// The length of a walk, in metres.
fn length(points: &[Coord], order: &[usize]) -> f64 {
    order.windows(2).map(|leg| apart(points[leg[0]], points[leg[1]])).sum()
}

fn apart(a: Coord, b: Coord) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}

fn southernmost(places: &[Coord]) -> usize {
    let south = |n: &usize| places[*n].y;
    (0..places.len()).min_by(|a, b| south(a).total_cmp(&south(b))).unwrap_or(0)
}

/// A short path over all the points that keeps the first of `given` first.
fn path(points: &[Coord], given: Vec<usize>) -> Vec<usize> {
    if points.len() <= EXACT_UP_TO {
        return shortest(points, &given);
    }
    let greedy = improved(points, nearest_first(points, &given));
    let given = improved(points, given);
    if length(points, &greedy) <= length(points, &given) { greedy } else { given }
}

/// Held and Karp's way (1962, J. SIAM 10:196–210): the shortest path over each set of points
/// to each last point, from smaller sets to larger ones.
fn shortest(points: &[Coord], given: &[usize]) -> Vec<usize> {
    let (first, others) = (given[0], &given[1..]);
    if others.is_empty() {
        return vec![first];
    }
    let n = others.len();
    let leg = |a: usize, b: usize| apart(points[others[a]], points[others[b]]);
    let everywhere = (1_usize << n) - 1;
    // The length, and the last point but one.
    let mut best = vec![vec![(f64::INFINITY, 0); n]; everywhere + 1];
    for last in 0..n {
        best[1 << last][last] = (apart(points[first], points[others[last]]), last);
    }
    for set in 1..=everywhere {
        for last in (0..n).filter(|last| set & (1 << last) != 0 && set != 1 << last) {
            let before = set & !(1 << last);
            let ways = (0..n).filter(|from| before & (1 << from) != 0);
            let ways = ways.map(|from| (best[before][from].0 + leg(from, last), from));
            if let Some(way) = ways.min_by(|a, b| a.0.total_cmp(&b.0)) {
                best[set][last] = way;
            }
        }
    }
    let mut last = (0..n).min_by(|&a, &b| best[everywhere][a].0.total_cmp(&best[everywhere][b].0));
    let (mut set, mut backwards) = (everywhere, Vec::with_capacity(points.len()));
    while let Some(at) = last {
        backwards.push(others[at]);
        let (_, from) = best[set][at];
        set &= !(1 << at);
        last = (set != 0).then_some(from);
    }
    backwards.push(first);
    backwards.reverse();
    backwards
}

fn nearest_first(points: &[Coord], given: &[usize]) -> Vec<usize> {
    let mut order = given.to_vec();
    for at in 1..order.len() {
        let here = points[order[at - 1]];
        let away = |n: &usize| apart(here, points[order[*n]]);
        let nearest = (at..order.len()).min_by(|a, b| away(a).total_cmp(&away(b)));
        if let Some(nearest) = nearest {
            order.swap(at, nearest);
        }
    }
    order
}

/// 2-opt (Croes 1958, Oper. Res. 6:791–812): a run of the walk is turned round as long as
/// that makes it shorter.
fn improved(points: &[Coord], mut order: Vec<usize>) -> Vec<usize> {
    /// Rounding must not turn a run round for ever.
    const GAIN: f64 = 1e-9;
    let leg = |a: usize, b: usize| apart(points[a], points[b]);
    let mut shorter = true;
    while shorter {
        shorter = false;
        for from in 1..order.len() {
            for to in from + 1..order.len() {
                let before = leg(order[from - 1], order[from]);
                let turned = leg(order[from - 1], order[to]);
                let (after, turned_after) = order
                    .get(to + 1)
                    .map_or((0.0, 0.0), |&next| (leg(order[to], next), leg(order[from], next)));
                if turned + turned_after < before + after - GAIN {
                    order[from..=to].reverse();
                    shorter = true;
                }
            }
        }
    }
    order
}
