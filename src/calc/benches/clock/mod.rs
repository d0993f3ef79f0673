//! Times of several pieces of work, taken in turn: whatever disturbs the machine disturbs all of them.

use std::time::{Duration, Instant};

/// How often, and how long a pass has to be for the clock to be exact enough.
pub struct Clock {
    passes: usize,
    pass: Duration,
    tried: bool,
}

/// A piece of work: does it so many times and says how many seconds one took.
pub type Work<'a> = Box<dyn FnMut(usize) -> f64 + 'a>;

/// Work of which the results are dropped after the clock has stopped.
pub fn timed<'a, T: 'a>(mut work: impl FnMut() -> T + 'a) -> Work<'a> {
    Box::new(move |calls| {
        let mut results = Vec::with_capacity(calls);
        let start = Instant::now();
        for _ in 0..calls {
            results.push(work());
        }
        let taken = start.elapsed();
        drop(results);
        taken.as_secs_f64() / calls as f64
    })
}

impl Clock {
    /// `measure` is false where it only matters that the work can be done.
    pub const fn new(measure: bool) -> Self {
        Self {
            passes: if measure { 49 } else { 1 },
            pass: Duration::from_millis(if measure { 3 } else { 0 }),
            tried: !measure,
        }
    }

    /// For work that takes long: so many times fewer passes, though never fewer than three.
    pub const fn fewer(&self, divisor: usize) -> Self {
        let passes = self.passes / divisor;
        Self {
            passes: if self.tried {
                1
            } else if passes < 3 {
                3
            } else {
                passes
            },
            ..*self
        }
    }

    /// The largest text, which is a small one where nothing is measured.
    pub const fn largest(&self, bytes: usize) -> usize {
        if self.tried { bytes / 32 } else { bytes }
    }

    /// Seconds a call of each piece of work, one value a pass.
    pub fn race(&self, work: &mut [Work<'_>]) -> Vec<Series> {
        let calls: Vec<usize> = work
            .iter_mut()
            .map(|work| {
                // The first call warms up, the second tells how many make a pass.
                work(1);
                let one = if self.tried { 1.0 } else { work(1) };
                ((self.pass.as_secs_f64() / one.max(1e-9)) as usize).clamp(1, 512)
            })
            .collect();
        let mut times = vec![Vec::with_capacity(self.passes); work.len()];
        for _ in 0..self.passes {
            for ((work, calls), times) in work.iter_mut().zip(&calls).zip(&mut times) {
                times.push(work(*calls));
            }
        }
        times.into_iter().map(Series).collect()
    }
}

/// One value a pass.
pub struct Series(Vec<f64>);

impl Series {
    pub fn of(value: f64) -> Self {
        Self(vec![value])
    }

    pub fn times(&self, factor: f64) -> Self {
        Self(self.0.iter().map(|value| value * factor).collect())
    }

    pub fn median(&self) -> f64 {
        self.quartile(2)
    }

    pub fn quartile(&self, quarter: usize) -> f64 {
        let mut values = self.0.clone();
        values.sort_by(f64::total_cmp);
        values[(values.len() - 1) * quarter / 4]
    }
}

/// Megabytes (10⁶) a second.
pub fn rate(bytes: usize, seconds: &Series) -> Series {
    Series(seconds.0.iter().map(|seconds| bytes as f64 / seconds / 1e6).collect())
}

/// Pass by pass, so that a slow moment hits both sides.
pub fn ratio(over: &Series, under: &Series) -> Series {
    Series(over.0.iter().zip(&under.0).map(|(over, under)| over / under).collect())
}

/// Three figures or so.
pub fn figure(value: f64) -> String {
    match value.abs() {
        100.0.. => format!("{value:.0}"),
        10.0.. => format!("{value:.1}"),
        _ => format!("{value:.2}"),
    }
}
