//! How far it is, on standard error, where a person watches.

use std::io::{IsTerminal, stderr};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// A bar, or nothing.
#[derive(Debug)]
pub struct Progress(ProgressBar);

impl Progress {
    /// A bar over so many texts; hidden where it is not wanted, where there is but one, and where standard error is no
    /// terminal.
    pub fn over(texts: usize, wanted: bool) -> Self {
        if !wanted || texts < 2 || !stderr().is_terminal() {
            return Self(ProgressBar::hidden());
        }
        let bar = ProgressBar::with_draw_target(Some(texts as u64), ProgressDrawTarget::stderr());
        if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos} of {len} {wide_msg}") {
            bar.set_style(style);
        }
        Self(bar)
    }

    /// One more is done.
    pub fn step(&self, name: &str) {
        self.0.set_message(name.to_owned());
        self.0.inc(1);
    }

    /// Does something that may write to the same screen.
    pub fn beside<T>(&self, write: impl FnOnce() -> T) -> T {
        self.0.suspend(write)
    }

    /// Takes the bar away.
    pub fn end(&self) {
        self.0.finish_and_clear();
    }
}
