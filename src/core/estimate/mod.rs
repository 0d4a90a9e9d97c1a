//! A number never travels without its doubt.

mod line;
mod paired;
mod quantile;
mod sample;
mod value;

pub use line::{ParallelLines, Point, line_through_origin, parallel_lines};
pub use paired::Paired;
pub use quantile::{chi_square_quantile, t_for_eight_in_ten, t_quantile, z_quantile};
pub use sample::Sample;
pub use value::{Estimate, log_variance, lower_bound};
