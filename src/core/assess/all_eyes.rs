//! How eyes err, learnt over all the land there is.

use std::collections::HashMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::prepared::{Asker, Prepared, UnknownCrop, prepare_few};
use crate::catalogue::Catalogue;
use crate::records::{EyeTold, Ledger};
use crate::regrowth::{Event, Eyes, Seen};

/// How eyes err, by the crop that they judged, whatever the site.
#[derive(Clone, Debug, Default)]
pub struct AllEyes(HashMap<Arc<str>, Arc<Eyes>>);

impl AllEyes {
    /// Learnt until that day from the patches of a ledger, which need not be all there are.
    ///
    /// # Errors
    /// A patch whose crop is not in the catalogue.
    pub fn learn(ledger: &Ledger, catalogue: &Catalogue, until: Date) -> Result<Self, UnknownCrop> {
        let asker = Asker { today: until, walk: None };
        Ok(Self::of(&prepare_few(ledger, catalogue, until, asker)?))
    }

    pub(super) fn of(patches: &[Prepared]) -> Self {
        let mut eyes: HashMap<Arc<str>, Eyes> = HashMap::new();
        for patch in patches {
            let of_crop = eyes.entry(patch.profile.crop.name.clone()).or_default();
            learn_eyes(of_crop, &patch.history.recorded());
        }
        Self(eyes.into_iter().map(|(crop, eyes)| (crop, Arc::new(eyes))).collect())
    }

    /// Takes in what was learnt from other patches.
    pub fn join(&mut self, other: Self) {
        for (crop, learnt) in other.0 {
            let eyes = Arc::make_mut(self.0.entry(crop).or_default());
            eyes.join(Arc::unwrap_or_clone(learnt));
        }
    }

    /// Takes in what was told of them until that day.
    pub(super) fn take(mut self, told: &[EyeTold], until: Date) -> Self {
        for told in told.iter().filter(|told| told.day <= until) {
            let eyes = Arc::make_mut(self.0.entry(told.crop.clone()).or_default());
            eyes.take(&told.observer, told.day, told.log_ratio);
        }
        self
    }

    pub(super) fn of_crop(&self, crop: &str) -> Option<&Arc<Eyes>> {
        self.0.get(crop)
    }

    /// All of it, as it is told to who may not see the land.
    fn told(&self) -> Vec<EyeTold> {
        let mut all = Vec::new();
        for (crop, eyes) in &self.0 {
            let crop = || crop.clone();
            all.extend(eyes.all().map(|(observer, day, log_ratio)| EyeTold {
                crop: crop(),
                observer: observer.clone(),
                day,
                log_ratio,
            }));
        }
        all
    }
}

/// What the patches of a ledger teach by a day of how eyes err, for those who may not see them.
///
/// # Errors
/// A patch whose crop is not in the catalogue.
pub fn eyes_taught(
    ledger: &Ledger,
    catalogue: &Catalogue,
    until: Date,
) -> Result<Vec<EyeTold>, UnknownCrop> {
    Ok(AllEyes::learn(ledger, catalogue, until)?.told())
}

/// A visit with both a glance and a survey teaches how that observer's eye errs.
fn learn_eyes(eyes: &mut Eyes, events: &[&Event]) {
    for day in events.chunk_by(|a, b| a.day == b.day) {
        let surveyed = day.iter().find_map(|event| match &event.seen {
            Seen::Survey(estimate) => Some(estimate.best),
            _ => None,
        });
        let Some(surveyed) = surveyed else { continue };
        // As a glance is read: of all that will ripen, where somebody said how much is ripe.
        let ripe = day.iter().rev().find_map(|event| match event.seen {
            Seen::Ripe(part) => Some(part),
            _ => None,
        });
        for event in day {
            if let Seen::Glance(glanced) = event.seen {
                let glanced = glanced / ripe.unwrap_or(1.0);
                eyes.learn(&event.by, event.day, glanced, surveyed);
            }
        }
    }
}
