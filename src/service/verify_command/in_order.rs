//! Many pieces of work on all cores, their results in order, and never many of them at once.

use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

/// For each thread so many results may wait for those before them.
const AHEAD: usize = 2;

struct State<R> {
    /// The next task that is taken up.
    next: usize,
    /// The next result that is handed out.
    due: usize,
    done: BTreeMap<usize, thread::Result<R>>,
    stopped: bool,
}

/// Works all tasks on as many threads as there are cores, and hands each result to `each`, on this thread, in the order of
/// the tasks and as soon as it is there. `each` may put an end to it.
pub fn in_order<T: Sync, R: Send>(
    tasks: &[T],
    work: impl Fn(&T) -> R + Sync,
    mut each: impl FnMut(R) -> ControlFlow<()>,
) {
    let threads = thread::available_parallelism().map_or(1, usize::from).min(tasks.len());
    let state = Mutex::new(State { next: 0, due: 0, done: BTreeMap::new(), stopped: false });
    let lock = || -> MutexGuard<'_, State<R>> { state.lock().unwrap_or_else(PoisonError::into_inner) };
    let changed = Condvar::new();
    let wait = |guard| changed.wait(guard).unwrap_or_else(PoisonError::into_inner);
    let worker = || {
        loop {
            let mut now = lock();
            while !now.stopped && now.next < tasks.len() && now.next >= now.due + AHEAD * threads {
                now = wait(now);
            }
            let at = now.next;
            let Some(task) = tasks.get(at).filter(|_| !now.stopped) else { return };
            now.next += 1;
            drop(now);
            let result = catch_unwind(AssertUnwindSafe(|| work(task)));
            lock().done.insert(at, result);
            changed.notify_all();
        }
    };
    let stop = || {
        lock().stopped = true;
        changed.notify_all();
    };
    thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(worker);
        }
        for at in 0..tasks.len() {
            let mut now = lock();
            let result = loop {
                match now.done.remove(&at) {
                    Some(result) => break result,
                    None => now = wait(now),
                }
            };
            now.due = at + 1;
            drop(now);
            changed.notify_all();
            let flow = catch_unwind(AssertUnwindSafe(|| each(result.unwrap_or_else(|fault| resume_unwind(fault)))));
            match flow {
                Ok(ControlFlow::Continue(())) => {}
                Ok(ControlFlow::Break(())) => return stop(),
                // The workers have to be told, or the scope would wait for them for ever.
                Err(fault) => {
                    stop();
                    resume_unwind(fault);
                }
            }
        }
    });
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::*;

    #[test]
    fn results_come_in_order_and_few_wait() {
        let tasks: Vec<usize> = (0..500).collect();
        let (taken, given) = (AtomicUsize::new(0), AtomicUsize::new(0));
        let ahead = AtomicUsize::new(0);
        let mut results = Vec::new();
        in_order(
            &tasks,
            |task| {
                let open = taken.fetch_add(1, Ordering::SeqCst) + 1 - given.load(Ordering::SeqCst);
                ahead.fetch_max(open, Ordering::SeqCst);
                if task % 7 == 0 {
                    thread::sleep(std::time::Duration::from_micros(300));
                }
                *task
            },
            |result| {
                given.fetch_add(1, Ordering::SeqCst);
                results.push(result);
                ControlFlow::Continue(())
            },
        );
        assert_eq!(results, tasks);
        let most = (AHEAD + 1) * thread::available_parallelism().map_or(1, usize::from) + 1;
        assert!(ahead.load(Ordering::SeqCst) <= most, "{ahead:?} of at most {most}");
    }

    #[test]
    fn it_ends_early_where_it_is_told_to() {
        let tasks: Vec<usize> = (0..100_000).collect();
        let worked = AtomicUsize::new(0);
        let mut seen = 0;
        in_order(
            &tasks,
            |_| worked.fetch_add(1, Ordering::SeqCst),
            |_| {
                seen += 1;
                if seen == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
            },
        );
        assert_eq!(seen, 3);
        assert!(worked.load(Ordering::SeqCst) < 1000, "{worked:?}");
    }

    #[test]
    fn a_fault_in_one_task_ends_all_of_it() {
        let outcome = catch_unwind(|| {
            in_order(&[1, 2, 3, 4, 5, 6], |task| assert!(*task != 3, "a fault"), |()| ControlFlow::Continue(()));
        });
        assert!(outcome.is_err());
    }
}
