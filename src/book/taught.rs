//! How a book learns from whoever opens it what it cannot reckon itself.

use std::fmt;
use std::sync::Arc;

use crate::records::{EyeTold, Ledger};

type Reckoning = dyn Fn(&Ledger) -> Option<Vec<EyeTold>> + Send + Sync;

/// What a site's facts teach of how eyes err. A shared book tells it to those who may not see the
/// facts; of any other book nobody asks.
#[derive(Clone, Default)]
pub struct Taught(Option<Arc<Reckoning>>);

impl Taught {
    /// By this reckoning of one site's ledger, which gives nothing where it cannot be told.
    pub fn with(
        reckoning: impl Fn(&Ledger) -> Option<Vec<EyeTold>> + Send + Sync + 'static,
    ) -> Self {
        Self(Some(Arc::new(reckoning)))
    }

    #[cfg(feature = "shared")]
    pub(super) fn by(&self, site: &Ledger) -> Option<Vec<EyeTold>> {
        self.0.as_ref().and_then(|reckoning| reckoning(site))
    }
}

impl fmt::Debug for Taught {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_tuple("Taught").field(&self.0.is_some()).finish()
    }
}
