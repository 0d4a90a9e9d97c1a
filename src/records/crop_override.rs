//! What a user knows better about a crop than the catalogue does.

use std::sync::Arc;

use super::{CropField, SiteName};

/// One value of one crop, replaced on a site or on a single patch.
#[derive(Clone, Debug, PartialEq)]
pub struct CropOverride {
    pub site: SiteName,
    /// The patch's name on its site; `None` for the whole site.
    pub patch: Option<Arc<str>>,
    pub crop: Arc<str>,
    pub field: CropField,
    /// As written; `Crop::set` reads it.
    pub value: Arc<str>,
    pub source: Arc<str>,
}
