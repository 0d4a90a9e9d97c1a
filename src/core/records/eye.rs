//! How an eye erred, told without the land on which it did.

use std::sync::Arc;

use jiff::civil::Date;

/// One visit on which somebody's glance could be held against a survey.
#[derive(Clone, Debug, PartialEq)]
pub struct EyeTold {
    /// What was judged.
    pub crop: Arc<str>,
    /// Who glanced.
    pub observer: Arc<str>,
    /// When.
    pub day: Date,
    /// The logarithm of what was glanced, as a part of what was surveyed.
    pub log_ratio: f64,
}
