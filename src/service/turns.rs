//! Turns: how many calculations run at once, who waits, and who is told at once that it is too much.
//!
//! A queue that never empties makes everybody wait and nobody's work gets done sooner. So many may wait while a burst
//! passes; once the queue has stood for a while, only half as many as run, so that what is accepted takes little longer than
//! its own work, and the others are refused on the spot.
//! Streams (batches) wait beside the queue, are never refused, and have every fourth turn when both want one.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use tokio::sync::oneshot::{self, Sender};

/// A queue that has stood for so long is no burst any more.
const BURST: Duration = Duration::from_millis(100);
/// After the last sign of too much work the queue stays short for so long.
const CALM: Duration = Duration::from_secs(1);
/// A stream that waits has one of so many turns.
const STREAM_SHARE: u8 = 4;

/// All turns there are.
#[derive(Debug)]
pub struct Turns {
    at_once: usize,
    queue: usize,
    state: Mutex<State>,
}

#[derive(Debug)]
struct State {
    free: usize,
    waiting: VecDeque<Sender<Turn>>,
    streams: VecDeque<Sender<Turn>>,
    /// Since when somebody has been waiting without a break.
    standing: Option<Instant>,
    /// Until when only half as many may wait as run.
    tight_until: Option<Instant>,
    /// Turns given to the queue since the last one that a stream had.
    since_stream: u8,
}

/// A turn; dropped, it goes to whoever is next.
#[derive(Debug)]
pub struct Turn(Option<Arc<Turns>>);

/// How many run, wait in the queue, and wait for a stream.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Load {
    /// Turns that are taken.
    pub running: usize,
    /// Who waits in the queue.
    pub waiting: usize,
    /// Streams that wait.
    pub streams: usize,
}

impl Turns {
    /// At most `at_once` run and at most `queue` wait.
    pub fn new(at_once: usize, queue: usize) -> Arc<Self> {
        let state = State {
            free: at_once,
            waiting: VecDeque::new(),
            streams: VecDeque::new(),
            standing: None,
            tight_until: None,
            since_stream: 0,
        };
        Arc::new(Self { at_once, queue, state: Mutex::new(state) })
    }

    /// A turn for one request; none if too many wait already, which is known at once.
    pub async fn take(self: &Arc<Self>) -> Option<Turn> {
        let granted = {
            let mut state = self.state();
            if state.free > 0 {
                state.free -= 1;
                return Some(Turn(Some(self.clone())));
            }
            let now = Instant::now();
            state.forget_the_gone();
            if state.waiting.len() >= self.room(&mut state, now) {
                if state.is_tight(now) {
                    state.tight_until = Some(now + CALM);
                }
                return None;
            }
            let (grant, granted) = oneshot::channel();
            state.waiting.push_back(grant);
            state.standing.get_or_insert(now);
            granted
        };
        granted.await.ok()
    }

    /// A turn for the next part of a stream, whenever it comes.
    pub async fn take_for_stream(self: &Arc<Self>) -> Option<Turn> {
        let granted = {
            let mut state = self.state();
            if state.free > 0 {
                state.free -= 1;
                return Some(Turn(Some(self.clone())));
            }
            let (grant, granted) = oneshot::channel();
            state.streams.push_back(grant);
            granted
        };
        granted.await.ok()
    }

    /// How much there is to do.
    pub fn load(&self) -> Load {
        let state = self.state();
        Load { running: self.at_once - state.free, waiting: state.waiting.len(), streams: state.streams.len() }
    }

    /// How many may wait now.
    fn room(&self, state: &mut State, now: Instant) -> usize {
        if state.standing.is_some_and(|since| now.duration_since(since) >= BURST) {
            state.tight_until = Some(now + CALM);
        }
        if state.is_tight(now) { (self.at_once / 2).min(self.queue) } else { self.queue }
    }

    /// Gives a turn that has ended to the next who still wants one.
    fn pass_on(self: Arc<Self>) {
        loop {
            let Some(next) = self.state().next() else { return };
            let turn = Turn(Some(self.clone()));
            // Whoever has left does not take it.
            match next.send(turn) {
                Ok(()) => return,
                Err(mut turn) => turn.0 = None,
            }
        }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        // Nothing in here panics; if it did, the numbers would still be whole.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl State {
    fn is_tight(&self, now: Instant) -> bool {
        self.tight_until.is_some_and(|until| now < until)
    }

    /// Takes those out of the queue who have left it, so that they keep nobody out.
    fn forget_the_gone(&mut self) {
        self.waiting.retain(|grant| !grant.is_closed());
        self.note_empty();
    }

    fn note_empty(&mut self) {
        if self.waiting.is_empty() {
            self.standing = None;
        }
    }

    /// Who is next; nobody, and the turn is free.
    fn next(&mut self) -> Option<Sender<Turn>> {
        let stream_is_due = self.since_stream + 1 >= STREAM_SHARE || self.waiting.is_empty();
        let next = if stream_is_due && !self.streams.is_empty() {
            self.since_stream = 0;
            self.streams.pop_front()
        } else {
            self.since_stream = if self.streams.is_empty() { 0 } else { self.since_stream + 1 };
            self.waiting.pop_front()
        };
        self.note_empty();
        if next.is_none() {
            self.free += 1;
        }
        next
    }
}

impl Drop for Turn {
    fn drop(&mut self) {
        if let Some(turns) = self.0.take() {
            turns.pass_on();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Starts to wait: on the one thread of these tests it has asked once the others have had a turn.
    async fn waiter(turns: &Arc<Turns>, stream: bool) -> tokio::task::JoinHandle<Option<Turn>> {
        let own = turns.clone();
        let task = tokio::spawn(async move { if stream { own.take_for_stream().await } else { own.take().await } });
        tokio::task::yield_now().await;
        task
    }

    #[tokio::test]
    async fn turns_go_round_in_the_order_of_asking() {
        let turns = Turns::new(1, 2);
        let first = turns.take().await.unwrap();
        let second = waiter(&turns, false).await;
        let third = waiter(&turns, false).await;
        assert!(turns.take().await.is_none(), "two may wait, not three");
        assert_eq!(turns.load(), Load { running: 1, waiting: 2, streams: 0 });
        drop(first);
        let second = second.await.unwrap().unwrap();
        assert!(!third.is_finished());
        drop(second);
        drop(third.await.unwrap().unwrap());
        assert_eq!(turns.load(), Load { running: 0, waiting: 0, streams: 0 });
    }

    #[tokio::test]
    async fn a_queue_that_stands_is_kept_short_until_it_has_been_calm() {
        let turns = Turns::new(1, 8);
        let mut running = turns.take().await.unwrap();
        let mut waiting = VecDeque::new();
        for _ in 0..8 {
            waiting.push_back(waiter(&turns, false).await);
        }
        assert!(turns.take().await.is_none());
        turns.state().standing = Some(Instant::now() - BURST);
        // As it shrinks nobody is let in.
        while turns.load().waiting > 0 {
            assert!(turns.take().await.is_none(), "{:?}", turns.load());
            drop(running);
            running = waiting.pop_front().unwrap().await.unwrap().unwrap();
        }
        assert!(turns.take().await.is_none(), "nobody waits, and that is no calm yet");
        turns.state().tight_until = Some(Instant::now());
        turns.state().standing = Some(Instant::now());
        let one = waiter(&turns, false).await;
        let two = waiter(&turns, false).await;
        assert_eq!(turns.load().waiting, 2, "after a while a burst may come again");
        drop(running);
        drop(one.await.unwrap());
        drop(two.await.unwrap());
        assert_eq!(turns.load().running, 0);
    }

    #[tokio::test]
    async fn streams_are_never_refused_and_have_every_fourth_turn() {
        let turns = Turns::new(1, 8);
        let first = turns.take().await.unwrap();
        let streams = [waiter(&turns, true).await, waiter(&turns, true).await];
        let mut queue = Vec::new();
        for _ in 0..5 {
            queue.push(waiter(&turns, false).await);
        }
        let mut order = String::new();
        drop(first);
        let (mut streams, mut queue) = (streams.into_iter(), queue.into_iter());
        let (mut stream, mut one) = (streams.next(), queue.next());
        while stream.is_some() || one.is_some() {
            tokio::task::yield_now().await;
            if stream.as_ref().is_some_and(tokio::task::JoinHandle::is_finished) {
                order.push('s');
                drop(stream.take().unwrap().await.unwrap());
                stream = streams.next();
            } else if one.as_ref().is_some_and(tokio::task::JoinHandle::is_finished) {
                order.push('q');
                drop(one.take().unwrap().await.unwrap());
                one = queue.next();
            }
        }
        assert_eq!(order, "qqqsqqs");
    }

    #[tokio::test]
    async fn whoever_leaves_gives_the_place_back() {
        let turns = Turns::new(1, 1);
        let first = turns.take().await.unwrap();
        let gone = waiter(&turns, false).await;
        let streaming = waiter(&turns, true).await;
        gone.abort();
        assert!(gone.await.unwrap_err().is_cancelled());
        let instead = waiter(&turns, false).await;
        assert!(!instead.is_finished(), "the place in the queue was free again");
        streaming.abort();
        assert!(streaming.await.unwrap_err().is_cancelled());
        drop(first);
        drop(instead.await.unwrap().unwrap());
        assert_eq!(turns.load(), Load { running: 0, waiting: 0, streams: 0 });
    }
}
