//! Lines that were walked: what strayed dropped, what is closed closed, thinned to what the
//! receiver knew.

use std::fmt;
use std::str::FromStr;

use geo::{
    Area, BoundingRect, Coord, Distance, Euclidean, Geometry, Length, LineString, MapCoords,
    MultiLineString, Point, Polygon, RemoveRepeatedPoints, Simplify,
};

use crate::ground::LocalMetres;
use crate::records::Kind;
use crate::units::{Metres, noun_for};

/// What a line encloses that ends where it began.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Closed {
    /// The ground inside.
    Ground,
    /// Nothing: it is a hedge or a verge all the way round.
    Line,
}

impl Closed {
    /// The word for it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Ground => "ground",
            Self::Line => "line",
        }
    }
}

impl FromStr for Closed {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text {
            "ground" => Ok(Self::Ground),
            "line" => Ok(Self::Line),
            _ => Err(format!("`{text}` is neither `ground` nor `line`")),
        }
    }
}

/// Why it must be asked what a line encloses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Asked {
    /// It was drawn by hand.
    Drawn,
    /// Its ends lie apart, and not very far.
    Nearly(Metres),
    /// It encloses hardly more than a receiver strays: an out and back, perhaps.
    Narrow,
}

impl fmt::Display for Asked {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Drawn => write!(out, "it ends where it begins"),
            Self::Nearly(gap) => write!(out, "its ends lie {gap} apart"),
            Self::Narrow => {
                write!(
                    out,
                    "it ends where it begins, and encloses hardly more than a receiver strays"
                )
            }
        }
    }
}

/// How a line came to be, and what was told of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Walked {
    /// How far off the receiver may be, in metres.
    pub accuracy: f64,
    pub walked: bool,
    pub closed: Option<Closed>,
}

/// A shape, and what was done to it.
#[derive(Debug)]
pub(super) struct Straight {
    pub shape: Geometry,
    pub said: Vec<String>,
}

// As multiples of the accuracy.
/// A step out and a step back that are both longer are one stray position.
const STRAY: f64 = 6.0;
/// Ends that lie no further apart are one place, under two readings of it.
const ONE_PLACE: f64 = 3.0;
/// Pieces between which the receiver lost its way are joined up to here.
const LOST: f64 = 10.0;
/// Ground is wider.
const NARROW: f64 = 1.0;
/// As a part of its length: ends further apart close nothing.
const FAR_APART: f64 = 0.2;
/// Thinning may change an area by this part of it.
const AREA_KEPT: f64 = 0.05;
/// Past which a step is no step but a leap, as a multiple of the usual one.
const LEAP: f64 = 4.0;
/// Of a walk round: where its end may lie over its beginning.
const OVERLAP: f64 = 0.2;
/// A centimetre, in decimals of a degree.
const DECIMALS: f64 = 1e7;

impl Walked {
    /// # Errors
    /// What must be asked: whether a line is ground or a line.
    pub fn straight(
        &self,
        shape: Geometry,
        kind: Kind,
        has_width: bool,
    ) -> Result<Straight, Asked> {
        let as_it_is = |shape| Ok(Straight { shape, said: Vec::new() });
        let pieces = match shape {
            Geometry::LineString(line) => vec![line],
            Geometry::MultiLineString(lines) if self.walked => lines.0,
            other => return as_it_is(other),
        };
        let whole = MultiLineString(pieces);
        let Some(middle) = whole.bounding_rect().map(|bounds| Point(bounds.center())) else {
            return as_it_is(whole.into());
        };
        let local = LocalMetres::at(middle);
        let mut said = Vec::new();
        let lines: Vec<LineString> = whole.0.iter().map(|line| local.metres(line)).collect();
        let mut lines = if self.walked { self.walked_lines(lines, &mut said) } else { lines };
        let encloses = match lines.as_slice() {
            [line] => self.encloses(line, kind, has_width)?,
            _ => None,
        };
        let shape: Geometry = match encloses {
            Some(gap) => self.ground(lines.remove(0), gap, &mut said).into(),
            None if self.walked => {
                let before = positions(&lines);
                lines.iter_mut().for_each(|line| *line = line.simplify(self.accuracy));
                self.say_thinned(before, positions(&lines), self.accuracy, &mut said);
                one_or_several(lines)
            }
            None => one_or_several(lines),
        };
        if !self.walked && encloses.is_none() {
            return as_it_is(one_or_several(whole.0));
        }
        Ok(Straight { shape: in_degrees(&local, &shape), said })
    }

    /// Without strays, and joined where the receiver lost its way for a moment.
    fn walked_lines(&self, lines: Vec<LineString>, said: &mut Vec<String>) -> Vec<LineString> {
        let mut joined: Vec<LineString> = Vec::new();
        let (mut strays, mut gaps) = (0, Vec::new());
        for line in lines {
            let line = line.remove_repeated_points();
            let (line, dropped) = self.without_strays(line);
            strays += dropped;
            let gap =
                joined.last().and_then(|last| Some(distance(*last.0.last()?, *line.0.first()?)));
            match (gap, joined.last_mut()) {
                (Some(gap), Some(last)) if gap <= LOST * self.accuracy => {
                    gaps.push(gap);
                    last.0.extend(line.0);
                }
                _ => joined.push(line),
            }
        }
        if strays > 0 {
            said.push(format!("{strays} stray {} dropped", noun_for(strays, "position")));
        }
        if let Some(widest) = gaps.iter().copied().reduce(f64::max) {
            said.push(format!(
                "{} pieces joined, {} apart at most",
                gaps.len() + 1,
                Metres(widest.round())
            ));
        }
        joined
    }

    /// A stray is a leap out and back: both steps long, and what they part close together.
    fn without_strays(&self, line: LineString) -> (LineString, usize) {
        let mut steps: Vec<f64> = line.lines().map(|step| Euclidean.length(&step)).collect();
        steps.sort_by(f64::total_cmp);
        let usual = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
        let leap = (STRAY * self.accuracy).max(LEAP * usual);
        let mut kept: Vec<Coord> = Vec::with_capacity(line.0.len());
        let mut dropped = 0;
        for (at, place) in line.0.iter().enumerate() {
            let is_stray = match (kept.last(), line.0.get(at + 1)) {
                (Some(before), Some(next)) => {
                    let (out, back) = (distance(*before, *place), distance(*place, *next));
                    out.min(back) > leap && distance(*before, *next) < out.min(back) / 3.0
                }
                _ => false,
            };
            match is_stray {
                true => dropped += 1,
                false => kept.push(*place),
            }
        }
        (LineString(kept), dropped)
    }

    /// How far its ends lie apart, where it encloses ground.
    fn encloses(
        &self,
        line: &LineString,
        kind: Kind,
        has_width: bool,
    ) -> Result<Option<f64>, Asked> {
        let may_be_ground = matches!(kind, Kind::Site | Kind::Zone | Kind::Patch | Kind::Redraw);
        let (Some(first), Some(last)) = (line.0.first(), line.0.last()) else { return Ok(None) };
        let gap = distance(*first, *last);
        if !may_be_ground || line.0.len() < 4 {
            return Ok(None);
        }
        let length = Euclidean.length(line);
        let one_place = if self.walked { ONE_PLACE * self.accuracy } else { 0.0 };
        let is_closed = gap <= one_place && length > 4.0 * gap;
        match self.closed {
            Some(Closed::Line) => return Ok(None),
            Some(Closed::Ground) if gap <= FAR_APART * length => return Ok(Some(gap)),
            Some(Closed::Ground) => return Ok(None),
            None if kind == Kind::Site => return Ok(is_closed.then_some(gap)),
            None => {}
        }
        if is_closed && !self.walked {
            return if has_width { Ok(None) } else { Err(Asked::Drawn) };
        }
        let area = Polygon::new(line.clone(), Vec::new()).unsigned_area();
        // Of an out and back twice as long as it is far.
        let width = 2.0 * area / length.max(f64::MIN_POSITIVE);
        match () {
            () if is_closed && width < NARROW * self.accuracy => Err(Asked::Narrow),
            () if is_closed => Ok(Some(gap)),
            () if self.walked && gap <= FAR_APART * length && width >= NARROW * self.accuracy => {
                Err(Asked::Nearly(Metres(gap.round())))
            }
            () => Ok(None),
        }
    }

    /// A walk round, its end cut where it comes nearest to its beginning.
    fn ground(&self, line: LineString, gap: f64, said: &mut Vec<String>) -> Polygon {
        let mut ring = line.0;
        let first = ring[0];
        if self.walked {
            let from =
                ring.len() - ((ring.len() as f64 * OVERLAP) as usize).clamp(1, ring.len() - 3);
            let nearest = (from..ring.len())
                .min_by(|a, b| distance(ring[*a], first).total_cmp(&distance(ring[*b], first)));
            ring.truncate(nearest.map_or(ring.len(), |at| at + 1));
            said.push(format!("closed, its ends {} apart", Metres((gap * 10.0).round() / 10.0)));
        }
        let whole = Polygon::new(LineString(ring), Vec::new());
        if !self.walked {
            return whole;
        }
        let area = whole.unsigned_area();
        let mut within = self.accuracy;
        let mut thin = whole.simplify(within);
        let is_like = |thin: &Polygon| {
            let corners = thin.exterior().0.len();
            corners >= 4 && (thin.unsigned_area() - area).abs() <= AREA_KEPT * area
        };
        while !is_like(&thin) && within > 0.01 {
            within /= 2.0;
            thin = whole.simplify(within);
        }
        self.say_thinned(whole.exterior().0.len(), thin.exterior().0.len(), within, said);
        thin
    }

    fn say_thinned(&self, before: usize, after: usize, within: f64, said: &mut Vec<String>) {
        if after < before {
            let within = Metres((within * 10.0).round() / 10.0);
            said.push(format!(
                "thinned from {before} positions to {after}, none off by more than {within}"
            ));
        }
    }
}

fn positions(lines: &[LineString]) -> usize {
    lines.iter().map(|line| line.0.len()).sum()
}

fn one_or_several(mut lines: Vec<LineString>) -> Geometry {
    match lines.len() {
        1 => lines.remove(0).into(),
        _ => MultiLineString(lines).into(),
    }
}

fn in_degrees(local: &LocalMetres, shape: &Geometry) -> Geometry {
    let rounded = |degrees: f64| (degrees * DECIMALS).round() / DECIMALS;
    local.degrees(shape).map_coords(|at| Coord { x: rounded(at.x), y: rounded(at.y) })
}

fn distance(one: Coord, other: Coord) -> f64 {
    Euclidean.distance(one, other)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HERE: Point = Point(Coord { x: -20.0, y: 48.0 });

    /// Pieces walked with a receiver that may be 3 m off, in metres.
    fn straight(pieces: &[&[(f64, f64)]]) -> Result<Straight, Asked> {
        let local = LocalMetres::at(HERE);
        let lines = pieces.iter().map(|piece| local.degrees(&LineString::from(piece.to_vec())));
        let walked = Walked { accuracy: 3.0, walked: true, closed: None };
        walked.straight(MultiLineString::new(lines.collect()).into(), Kind::Patch, false)
    }

    /// Every ten metres round a square of 100 m, a metre in and out by turns.
    fn round() -> Vec<(f64, f64)> {
        let along = |n: i32| f64::from(n) * 10.0;
        let off = |n: i32| f64::from(n % 2);
        let south = (0..10).map(|n| (along(n), off(n)));
        let east = (0..10).map(|n| (100.0 - off(n), along(n)));
        let north = (0..10).map(|n| (100.0 - along(n), 100.0 - off(n)));
        let west = (0..=10).map(|n| (off(n), 100.0 - along(n)));
        south.chain(east).chain(north).chain(west).collect()
    }

    #[test]
    fn a_walk_round_is_closed_and_thinned_to_what_the_receiver_knew() {
        let found = straight(&[&round()]).unwrap();
        let thinned = "thinned from 41 positions to 5, none off by more than 3 m";
        assert_eq!(found.said, ["closed, its ends 0 m apart", thinned]);
    }

    #[test]
    fn an_out_and_back_is_asked_about() {
        let way = [(0.0, 0.0), (50.0, 1.0), (100.0, 0.0), (50.0, 2.0), (0.0, 0.5)];
        assert_eq!(straight(&[&way]).unwrap_err(), Asked::Narrow);
    }

    #[test]
    fn a_leap_out_and_back_is_dropped_and_a_step_three_times_as_long_as_usual_is_not() {
        let mut round = round();
        round.insert(5, (45.0, -300.0));
        let found = straight(&[&round]).unwrap();
        assert_eq!(found.said[0], "1 stray position dropped");
        round[5] = (45.0, -32.0);
        let found = straight(&[&round]).unwrap();
        assert_eq!(found.said[0], "closed, its ends 0 m apart");
    }

    #[test]
    fn pieces_are_joined_where_the_receiver_lost_its_way_and_not_over_a_field() {
        let piece = |from: f64| [(from, 0.0), (from + 20.0, 50.0), (from + 40.0, 0.0)];
        let found = straight(&[&piece(0.0), &piece(52.0), &piece(97.0), &piece(500.0)]).unwrap();
        assert_eq!(found.said[0], "3 pieces joined, 12 m apart at most");
        assert!(matches!(found.shape, Geometry::MultiLineString(lines) if lines.0.len() == 2));
    }
}
