//! Plans drawn at random, graded: an answer holds in every respect that a maker could check with a hook and a tape, and a
//! refusal names what to drop.

#[path = "graded/answered.rs"]
mod answered;
#[path = "graded/refused.rs"]
mod refused;
#[path = "graded/smaller.rs"]
mod smaller;

use evenround_calc::grading::plan::Plan;
use evenround_calc::grading::{Graded, Problem, grade};
use evenround_tests::generator::Tape;
use evenround_tests::generator::tape::seeded;
use evenround_tests::plans::draw;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::channel;
use std::time::{Duration, Instant};

/// Plans drawn; ten times as many in a long run.
const PLANS: u32 = 10_000;
/// A plan is graded within so long, and mostly within a hundredth of it; so is every plan that it becomes by dropping what
/// a refusal names.
const LONGEST: Duration = Duration::from_secs(5);
/// What is not judged by then hangs.
const HANGS: Duration = Duration::from_secs(120);
/// Numbers on a tape.
const TAPE: usize = 400;

/// What is wrong with the answer to a plan: a kind of fault, and the working.
pub type Fault = (&'static str, String);

/// A plan at fault, and the working.
type Example = (Plan, String);

/// What came of all plans.
#[derive(Default)]
struct Tally {
    plans: u64,
    answered: u64,
    refused: BTreeMap<&'static str, u64>,
    by_hand: answered::ByHand,
    faulty: u64,
    kinds: BTreeMap<&'static str, (u64, Option<Example>)>,
    slowest: Duration,
    grading: Duration,
}

impl Tally {
    fn add(&mut self, other: Self) {
        self.plans += other.plans;
        self.answered += other.answered;
        self.faulty += other.faulty;
        self.grading += other.grading;
        self.slowest = self.slowest.max(other.slowest);
        self.by_hand.add(other.by_hand);
        for (kind, count) in other.refused {
            *self.refused.entry(kind).or_default() += count;
        }
        for (kind, (count, example)) in other.kinds {
            let entry = self.kinds.entry(kind).or_default();
            entry.0 += count;
            if entry
                .1
                .as_ref()
                .is_none_or(|(plan, _)| example.as_ref().is_some_and(|(other, _)| bulk(other) < bulk(plan)))
            {
                entry.1 = example;
            }
        }
    }

    /// Judges a plan on a thread of its own, which is left to itself if it takes too long.
    fn judge(&mut self, number: u64, plan: &Plan) {
        let (send, receive) = channel();
        let own = plan.clone();
        std::thread::spawn(move || {
            // Nobody listens any more if it took too long.
            let _ = send.send(catch_unwind(|| {
                let mut tally = Self::default();
                tally.judge_here(&own);
                tally
            }));
        });
        match receive.recv_timeout(HANGS) {
            Ok(Ok(tally)) => {
                if tally.faulty > 0 {
                    println!("plan {number}: {}", tally.kinds.keys().copied().collect::<Vec<_>>().join(", "));
                }
                self.add(tally);
            }
            outcome => {
                let kind = if outcome.is_ok() { "panic" } else { "hangs" };
                println!("plan {number}: {kind}");
                self.plans += 1;
                self.faulty += 1;
                let kinds = [(kind, (1, Some((plan.clone(), String::new()))))].into();
                self.add(Self { kinds, ..Self::default() });
            }
        }
    }

    fn judge_here(&mut self, plan: &Plan) {
        self.plans += 1;
        let (faults, took) = faults(plan, Some(self));
        self.grading += took;
        self.slowest = self.slowest.max(took);
        self.faulty += u64::from(!faults.is_empty());
        for (kind, what) in faults {
            self.kinds.insert(kind, (1, Some((plan.clone(), what))));
        }
    }
}

/// Grades a plan, and how long that took.
fn timed(plan: &Plan) -> (Result<Graded, Vec<Problem>>, Duration) {
    let begun = Instant::now();
    let answer = grade(plan);
    (answer, begun.elapsed())
}

/// How large a plan is to look at.
fn bulk(plan: &Plan) -> usize {
    let sections: usize = plan.pieces.iter().map(|piece| piece.sections.len()).sum();
    sections * 10
        + plan.sizes.len()
        + plan.pieces.iter().flat_map(|piece| &piece.sections).map(|s| s.rows.len()).sum::<usize>()
}

/// Every fault of one plan, one of each kind, and how long grading took.
fn faults(plan: &Plan, tally: Option<&mut Tally>) -> (Vec<Fault>, Duration) {
    let Ok((answer, took)) = catch_unwind(AssertUnwindSafe(|| timed(plan))) else {
        return (vec![("panic", String::new())], Duration::ZERO);
    };
    let mut found = Vec::new();
    let mut by_hand = answered::ByHand::default();
    match &answer {
        Ok(graded) => {
            found = answered::faults(plan, graded, &mut by_hand);
            if let Some(tally) = tally {
                tally.answered += 1;
                tally.by_hand.add(by_hand);
            }
        }
        Err(problems) => {
            let kind = refused::faults(plan, problems, &mut found);
            if let Some(tally) = tally {
                *tally.refused.entry(kind).or_default() += 1;
            }
        }
    }
    if took > LONGEST {
        found.push(("takes too long", format!("{took:?}")));
    }
    found.sort_by_key(|(kind, _)| *kind);
    found.dedup_by_key(|(kind, _)| *kind);
    (found, took)
}

#[test]
fn plans_are_answered_in_full_or_refused_with_a_way_out() {
    // One plan by its number, to look at it closely.
    let only: Option<u64> = std::env::var("EVENROUND_PLAN").ok().and_then(|number| number.parse().ok());
    let plans = only.map_or(u64::from(evenround_tests::cases(PLANS)), |number| number + 1);
    let next = AtomicU64::new(only.unwrap_or(0));
    let threads = std::thread::available_parallelism().map_or(2, usize::from).min(8);
    let mut all = Tally::default();
    std::thread::scope(|scope| {
        let work = || {
            let mut tally = Tally::default();
            loop {
                let number = next.fetch_add(1, Ordering::Relaxed);
                if number >= plans {
                    return tally;
                }
                tally.judge(number, &draw(&mut Tape::new(&seeded(number, TAPE))));
            }
        };
        let running: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        for one in running {
            all.add(one.join().expect("plans that are judged"));
        }
    });
    for (kind, (count, example)) in &all.kinds {
        println!("--- {count} x {kind}");
        let Some((plan, what)) = example else { continue };
        // What hangs is not made smaller: that may hang too.
        if *kind == "hangs" {
            println!("{plan:?}");
            continue;
        }
        let plan = smaller::smallest(plan, |plan| faults(plan, None).0.iter().any(|(other, _)| other == kind));
        let what =
            faults(&plan, None).0.into_iter().find(|(other, _)| other == kind).map_or(what.clone(), |(_, what)| what);
        println!("{what}\n{plan:?}");
        if let Ok(graded) = grade(&plan) {
            println!("{}\nnotes: {:?}", graded.pattern, graded.notes);
        }
    }
    println!("{} plans drawn, {} answered, refused: {:?}", all.plans, all.answered, all.refused);
    println!("{}", all.by_hand);
    println!(
        "grading took {:.1} ms a plan, at most {:.0} ms",
        all.grading.as_secs_f64() * 1e3 / all.plans as f64,
        all.slowest.as_secs_f64() * 1e3
    );
    let kinds: Vec<String> = all.kinds.iter().map(|(kind, (count, _))| format!("{count} x {kind}")).collect();
    println!("{} of {} plans are at fault: {}", all.faulty, all.plans, kinds.join(", "));
    assert!(all.faulty == 0, "{} of {} plans are at fault", all.faulty, all.plans);
}
