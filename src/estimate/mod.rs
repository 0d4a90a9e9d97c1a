//! A number never travels without its doubt.

mod paired;
mod quantile;
mod sample;
mod value;

pub use paired::Paired;
pub use quantile::{t_quantile, z_quantile};
pub use sample::Sample;
pub use value::{Estimate, log_variance, lower_bound};
