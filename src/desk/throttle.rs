//! Whoever tries passphrases waits longer each time.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use crate::records::folded;

/// So many may be wrong before anyone waits.
const FREE: u32 = 5;
const LONGEST: Duration = Duration::from_secs(15 * 60);
/// Names that are remembered.
const MOST: usize = 10_000;

#[derive(Debug, Default)]
pub struct Throttle(Mutex<HashMap<String, (u32, Instant)>>);

impl Throttle {
    /// How long this name has to wait still.
    pub fn wait(&self, name: &str) -> Option<Duration> {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let (wrong, last) = all.get(&folded(name))?;
        let wait = Duration::from_secs(1_u64 << wrong.checked_sub(FREE)?.min(20)).min(LONGEST);
        wait.checked_sub(last.elapsed()).filter(|left| !left.is_zero())
    }

    pub fn failed(&self, name: &str) {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if all.len() >= MOST {
            all.retain(|_, (_, last)| last.elapsed() < LONGEST);
        }
        if all.len() < MOST || all.contains_key(&folded(name)) {
            let entry = all.entry(folded(name)).or_insert((0, Instant::now()));
            *entry = (entry.0.saturating_add(1), Instant::now());
        }
    }

    pub fn passed(&self, name: &str) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&folded(name));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn five_may_be_wrong_and_then_each_waits_longer() {
        let throttle = Throttle::default();
        for _ in 0..FREE - 1 {
            throttle.failed("Ida");
            assert_eq!(throttle.wait("ida"), None);
        }
        throttle.failed("ida");
        assert!(throttle.wait("Ida").unwrap() <= Duration::from_secs(1));
        for _ in 0..40 {
            throttle.failed("Ida");
        }
        assert!(throttle.wait("Ida").unwrap() > LONGEST - Duration::from_secs(5));
        assert_eq!(throttle.wait("Tomas"), None);
        throttle.passed("Ida");
        assert_eq!(throttle.wait("Ida"), None);
    }
}
