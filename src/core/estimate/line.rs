//! Straight lines by least squares: one slope, through one group of points or several.
//!
//! Groups share the slope and keep an intercept each, so that what sets the groups apart does
//! not pass for slope (regression with dummy variables; Draper & Smith 1998, Applied
//! Regression Analysis, 3rd ed., ch. 14).

use super::Estimate;

/// A measured point of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// What was set or known beforehand, in any unit.
    pub x: f64,
    /// What was measured there, in any unit.
    pub y: f64,
    /// Variance of y's own error, as far as the measurement knows it; 0 where it knows none.
    pub variance: f64,
}

/// Lines of one slope, in the units of the points.
#[derive(Clone, Debug, PartialEq)]
pub struct ParallelLines {
    /// Units of y for each unit of x.
    pub slope: Estimate,
    /// One a group, in the order given.
    pub intercepts: Vec<Estimate>,
    /// Of the points about their lines.
    pub residual_sd: f64,
    /// The standard error of the slope that the points' own errors alone would make, however
    /// well the points happen to lie on the lines.
    pub slope_error_of_points: f64,
}

/// The line through the origin. `None` without two points, or where no x differs from 0.
pub fn line_through_origin(points: &[Point]) -> Option<Estimate> {
    slope_of_deviations(points, 1)
}

/// Lines of one slope through each group. `None` where the points are too few to judge the
/// doubt (groups + 2 are needed), or where no group spreads along x.
pub fn parallel_lines(groups: &[Vec<Point>]) -> Option<ParallelLines> {
    let means: Option<Vec<Point>> = groups.iter().map(|group| mean(group)).collect();
    let means = means?;
    let deviations: Vec<Point> = groups
        .iter()
        .zip(&means)
        .flat_map(|(group, mean)| group.iter().map(move |point| point.less(mean)))
        .collect();
    let slope = slope_of_deviations(&deviations, groups.len() + 1)?;
    let spread = spread(&deviations);
    let residual_sd = slope.standard_error * spread.sqrt();
    let intercepts = groups.iter().zip(&means).map(|(group, mean)| {
        let n = group.len() as f64;
        let standard_error = residual_sd * (1.0 / n + mean.x * mean.x / spread).sqrt();
        Estimate { best: mean.y - slope.best * mean.x, standard_error, ..slope }
    });
    let own: f64 = deviations.iter().map(|point| point.x * point.x * point.variance).sum();
    Some(ParallelLines {
        slope,
        intercepts: intercepts.collect(),
        residual_sd,
        slope_error_of_points: own.sqrt() / spread,
    })
}

/// The slope through the origin, when so many parameters in all were fitted to the points.
fn slope_of_deviations(points: &[Point], parameters: usize) -> Option<Estimate> {
    let degrees_of_freedom = points.len().checked_sub(parameters).filter(|df| *df > 0)? as f64;
    let spread = spread(points);
    if !(spread > 0.0 && spread.is_finite()) {
        return None;
    }
    let best = points.iter().map(|point| point.x * point.y).sum::<f64>() / spread;
    let residuals: f64 = points.iter().map(|point| (point.y - best * point.x).powi(2)).sum();
    let standard_error = (residuals / degrees_of_freedom / spread).sqrt();
    Some(Estimate { best, standard_error, degrees_of_freedom, n: points.len() })
}

fn spread(points: &[Point]) -> f64 {
    points.iter().map(|point| point.x * point.x).sum()
}

fn mean(points: &[Point]) -> Option<Point> {
    let n = points.len() as f64;
    let (x, y) = points.iter().fold((0.0, 0.0), |(x, y), point| (x + point.x, y + point.y));
    (n > 0.0).then_some(Point { x: x / n, y: y / n, variance: 0.0 })
}

impl Point {
    fn less(&self, mean: &Self) -> Self {
        Self { x: self.x - mean.x, y: self.y - mean.y, variance: self.variance }
    }
}
