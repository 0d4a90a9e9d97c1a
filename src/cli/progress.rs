//! A bar for what takes long, on a terminal only.

use std::io::IsTerminal;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};

/// What is done sooner needs no bar.
const PATIENCE: Duration = Duration::from_millis(500);

/// Counts steps, and shows them once it has taken a while.
pub struct Progress {
    bar: ProgressBar,
    started: Instant,
    shown: Mutex<bool>,
}

impl Progress {
    pub fn of(steps: u64, what: &str) -> Self {
        let bar = ProgressBar::hidden();
        bar.set_length(steps);
        bar.set_message(what.to_owned());
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {bar:30} {percent:>3} %") {
            bar.set_style(style);
        }
        let is_over = !std::io::stderr().is_terminal();
        Self { bar, started: Instant::now(), shown: Mutex::new(is_over) }
    }

    /// The same, for what is known beforehand to take long: shown from the beginning, and moving.
    #[cfg(feature = "bring")]
    pub fn if_long(self, is_long: bool) -> Self {
        /// How often it moves while it waits for its next step.
        const TICK: Duration = Duration::from_millis(120);
        if let Ok(mut shown) = self.shown.try_lock()
            && is_long
            && !*shown
        {
            *shown = true;
            self.bar.set_draw_target(indicatif::ProgressDrawTarget::stderr());
            self.bar.enable_steady_tick(TICK);
        }
        self
    }

    pub fn step(&self) {
        self.bar.inc(1);
        if self.started.elapsed() > PATIENCE
            && let Ok(mut shown) = self.shown.try_lock()
            && !*shown
        {
            *shown = true;
            self.bar.set_draw_target(indicatif::ProgressDrawTarget::stderr());
        }
    }

    /// Takes the bar away.
    pub fn finish(&self) {
        self.bar.finish_and_clear();
    }
}
