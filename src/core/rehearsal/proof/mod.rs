//! The proof: the book's rules against rules of thumb, on the same hidden patches.
//!
//! Nothing of the model is written a second time here: the patches are led through the very
//! rules that answer `week`.

mod bands;
mod equal_yield;
mod hidden;
mod plot;
mod practice;
mod score;
mod site;
mod strain;
mod swing;
mod tables;
mod tested;
mod testing;
mod together;
mod trial;

pub use bands::{Covered, Spread};
pub use equal_yield::{Tuned, at_equal_yield};
pub use plot::Plots;
pub use practice::Practice;
pub use score::{Cell, Drawn, Effort, Score};
pub use site::{Company, site_taper};
pub use strain::Strain;
pub use swing::{Known, Swing};
pub use tables::{BY_THE_BOOK, Curve, HabitProof, Proof, cells, prove};
pub use tested::{Edition, Squares, Tried};
pub use testing::Testing;
pub use together::{COMPANIES, Matched, Stake, Together};
