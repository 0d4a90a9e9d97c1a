//! The ground laid out as a unit square, on which equal areas stay equal.
//!
//! A line sweeps over the ground, the way it runs, one stretch after the other. The first
//! share says at which part of the area the line stands, the second how far along the line
//! inside the ground. Two numbers drawn evenly so give a place drawn evenly, whatever the
//! shape, holes and detached pieces included, and none is thrown away.

use geo::{Coord, Line, LinesIter, coord};

use crate::ground::Stretch;

/// Slabs between one corner and the next, in the order swept.
#[derive(Clone, Debug)]
pub struct Sweep {
    slabs: Vec<Slab>,
    /// In square metres.
    area: f64,
    /// In metres.
    length: f64,
}

/// Ground between two positions of the sweeping line with no corner between them.
#[derive(Clone, Debug)]
struct Slab {
    along: Coord,
    /// Positions of the line, in metres.
    from: f64,
    to: f64,
    chords: Vec<Chord>,
    area_before: f64,
    area: f64,
}

/// Ground under the line: where it begins and ends, at the near and the far end of the slab.
#[derive(Clone, Copy, Debug)]
struct Chord {
    begins: (f64, f64),
    ends: (f64, f64),
}

impl Sweep {
    /// Of all stretches, laid one behind the other.
    pub fn over(stretches: &[Stretch]) -> Self {
        let mut sweep = Self { slabs: Vec::new(), area: 0.0, length: 0.0 };
        for stretch in stretches {
            sweep.add(stretch);
        }
        sweep
    }

    /// How many times longer than wide the ground is.
    pub fn slenderness(&self) -> f64 {
        self.length * self.length / self.area
    }

    /// The place at two shares from 0 to 1, in the metres of the stretches; `None` where
    /// there is no ground.
    pub fn place(&self, along: f64, across: f64) -> Option<Coord> {
        let area = along * self.area;
        let after = self.slabs.partition_point(|slab| slab.area_before <= area);
        let slab = self.slabs.get(after.saturating_sub(1))?;
        Some(slab.place(((area - slab.area_before) / slab.area).clamp(0.0, 1.0), across))
    }

    fn add(&mut self, stretch: &Stretch) {
        let along = stretch.along;
        let edges: Vec<Line> =
            stretch.ground.lines_iter().map(|edge| turned(edge, along)).collect();
        let mut corners: Vec<f64> =
            edges.iter().flat_map(|edge| [edge.start.y, edge.end.y]).collect();
        corners.sort_by(f64::total_cmp);
        corners.dedup();
        for between in corners.windows(2) {
            let (from, to) = (between[0], between[1]);
            let chords = chords(&edges, from, to);
            let area = (to - from) * (width(&chords, 0.0) + width(&chords, 1.0)) / 2.0;
            if area > 0.0 {
                self.slabs.push(Slab { along, from, to, chords, area_before: self.area, area });
                self.area += area;
                self.length += to - from;
            }
        }
    }
}

/// An edge with the way of the sweep as its second axis.
fn turned(edge: Line, along: Coord) -> Line {
    let turn = |place: Coord| {
        coord! {
            x: place.x * along.y - place.y * along.x,
            y: place.x * along.x + place.y * along.y,
        }
    };
    Line::new(turn(edge.start), turn(edge.end))
}

/// Edges that cross a slab part it into ground and none, by turns.
fn chords(edges: &[Line], from: f64, to: f64) -> Vec<Chord> {
    let middle = (from + to) / 2.0;
    let crosses = |edge: &&Line| (edge.start.y < middle) != (edge.end.y < middle);
    let mut crossing: Vec<&Line> = edges.iter().filter(crosses).collect();
    crossing.sort_by(|a, b| across_at(a, middle).total_cmp(&across_at(b, middle)));
    let ends = |edge| (across_at(edge, from), across_at(edge, to));
    let pairs = crossing.chunks_exact(2);
    pairs.map(|pair| Chord { begins: ends(pair[0]), ends: ends(pair[1]) }).collect()
}

fn across_at(edge: &Line, along: f64) -> f64 {
    edge.start.x + (along - edge.start.y) * edge.dx() / edge.dy()
}

/// The ground under the line, in metres, at a share of the slab's depth.
fn width(chords: &[Chord], depth: f64) -> f64 {
    chords.iter().map(|chord| chord.width(depth)).sum()
}

impl Slab {
    fn place(&self, share: f64, across: f64) -> Coord {
        let depth = self.depth(share);
        let mut left = across * width(&self.chords, depth);
        let mut at = 0.0;
        for chord in &self.chords {
            let width = chord.width(depth);
            at = mix(chord.begins, depth) + left.min(width);
            if left <= width {
                break;
            }
            left -= width;
        }
        let position = self.from + depth * (self.to - self.from);
        coord! {
            x: at * self.along.y + position * self.along.x,
            y: position * self.along.y - at * self.along.x,
        }
    }

    /// The depth, from 0 to 1, before which a share of the slab's area lies: the root of
    /// `(far − near)/2·depth² + near·depth = share·(near + far)/2`.
    fn depth(&self, share: f64) -> f64 {
        let (near, far) = (width(&self.chords, 0.0), width(&self.chords, 1.0));
        let area = share * (near + far) / 2.0;
        let root = (near * near + 2.0 * (far - near) * area).max(0.0).sqrt();
        if near + root > 0.0 { (2.0 * area / (near + root)).min(1.0) } else { 0.0 }
    }
}

impl Chord {
    fn width(&self, depth: f64) -> f64 {
        (mix(self.ends, depth) - mix(self.begins, depth)).max(0.0)
    }
}

fn mix((near, far): (f64, f64), depth: f64) -> f64 {
    near + depth * (far - near)
}
