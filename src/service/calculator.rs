//! Where calculations take their turn: off the threads that serve connections, a few at a time, with a short queue.

use std::sync::Arc;

use tokio::sync::OnceCell;
use tokio::task::spawn_blocking;

use crate::problem::{self, Problem};
use crate::turns::{Load, Turn, Turns};

/// A text of at most this many bytes is worked where it arrived. A full turn over the blocking threads costs more than
/// reading such a text does, and a text this short cannot hold up a connection thread for long; proving its repairs could.
const WORKED_ON_THE_SPOT: usize = 4 * 1024;

/// A cap on how many calculations run, and on how many wait.
#[derive(Debug)]
pub struct Calculator(Arc<Turns>);

impl Calculator {
    /// At most `at_once` run and at most `queue` wait.
    pub fn new(at_once: usize, queue: usize) -> Self {
        Self(Turns::new(at_once, queue))
    }

    /// How much there is to do.
    pub fn load(&self) -> Load {
        self.0.load()
    }

    /// Runs `job` when its turn comes; `size` is the length of its text.
    ///
    /// # Errors
    /// At once, when the queue is full.
    pub async fn run<T: Send + 'static>(
        &self,
        size: usize,
        job: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Problem> {
        if is_short(size) { Ok(job()) } else { self.run_in_turn(job).await }
    }

    /// Runs `job` when its turn comes, however short its text.
    ///
    /// # Errors
    /// At once, when the queue is full.
    pub async fn run_in_turn<T: Send + 'static>(&self, job: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
        match self.0.take().await {
            Some(turn) => in_turn(turn, job).await,
            None => Err(Problem::new(problem::OVERLOADED, "as many patterns as may wait are waiting already")),
        }
    }

    /// Runs `job`, a part of a stream, when its turn comes, however long that takes.
    ///
    /// # Errors
    /// When the service is stopping.
    pub async fn run_of_stream<T: Send + 'static>(
        &self,
        job: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Problem> {
        match self.0.take_for_stream().await {
            Some(turn) => in_turn(turn, job).await,
            None => Err(stopping()),
        }
    }
}

/// Whether a text of so many bytes is worked where it arrived.
pub const fn is_short(size: usize) -> bool {
    size <= WORKED_ON_THE_SPOT
}

/// What the service works once for everybody, when it is asked for first; not on a thread that serves connections.
///
/// # Errors
/// When the service is stopping.
pub async fn once<T: Send + Sync + 'static>(
    cell: &'static OnceCell<T>,
    work: fn() -> T,
) -> Result<&'static T, Problem> {
    cell.get_or_try_init(|| off_the_connections(work)).await
}

async fn in_turn<T: Send + 'static>(turn: Turn, job: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
    // The turn moves along: a caller who leaves gives up the answer, but the work goes on and still counts.
    off_the_connections(move || {
        let _held = turn;
        job()
    })
    .await
}

/// Runs `job` on a thread that serves no connections. A panic goes on in the caller.
async fn off_the_connections<T: Send + 'static>(job: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
    match spawn_blocking(job).await {
        Ok(done) => Ok(done),
        Err(failed) => match failed.try_into_panic() {
            Ok(panic) => std::panic::resume_unwind(panic),
            Err(_cancelled) => Err(stopping()),
        },
    }
}

fn stopping() -> Problem {
    Problem::new(problem::NOT_READY, "the service is stopping")
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc;

    use super::*;

    const LONG: usize = WORKED_ON_THE_SPOT + 1;

    #[tokio::test]
    async fn refuses_at_once_when_the_queue_is_full() {
        let calculator = std::sync::Arc::new(Calculator::new(1, 1));
        let (release, wait) = mpsc::channel::<()>();
        let busy = calculator.clone();
        let first = tokio::spawn(async move { busy.run(LONG, move || wait.recv().is_ok()).await });
        while calculator.load().running == 0 {
            tokio::task::yield_now().await;
        }
        let waiting = calculator.clone();
        let second = tokio::spawn(async move { waiting.run(LONG, || 2).await });
        while calculator.load().waiting == 0 {
            tokio::task::yield_now().await;
        }

        let refused = calculator.run(LONG, || 3).await.unwrap_err();
        assert_eq!(refused.kind().name, "overloaded");
        assert_eq!(calculator.run(1, || 4).await.unwrap(), 4, "short texts are worked all the same");

        release.send(()).unwrap();
        assert!(first.await.unwrap().unwrap());
        assert_eq!(second.await.unwrap().unwrap(), 2);
        assert_eq!(calculator.run(LONG, || 5).await.unwrap(), 5);
    }

    #[tokio::test]
    async fn what_is_worked_once_and_panics_is_a_fault_and_no_stop() {
        static CELL: OnceCell<u8> = OnceCell::const_new();
        let broken = tokio::spawn(once(&CELL, || panic!("on purpose")));
        assert!(broken.await.unwrap_err().is_panic());
        assert_eq!(once(&CELL, || 3).await.unwrap(), &3, "and it is tried again");
        assert_eq!(once(&CELL, || 4).await.unwrap(), &3);
    }

    #[tokio::test]
    async fn work_that_panics_gives_its_turn_back() {
        let calculator = std::sync::Arc::new(Calculator::new(1, 0));
        let other = calculator.clone();
        let broken = tokio::spawn(async move { other.run(LONG, || -> () { panic!("on purpose") }).await });
        assert!(broken.await.unwrap_err().is_panic());
        assert_eq!(calculator.run(LONG, || 1).await.unwrap(), 1);
    }
}
