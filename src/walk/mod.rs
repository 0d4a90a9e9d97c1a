//! A walk of several parties: who may cut how much, where, and in which order.
//!
//! Plain amounts in, plain amounts out, all in whole grams, pieces or units of the caller's;
//! nothing here is ever over what it was given.

mod split;
mod weight;

pub use split::{Claim, Split, split};
pub use weight::Weight;
