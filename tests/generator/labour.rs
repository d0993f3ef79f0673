//! Works a made-up pattern the slow way: each row of each size becomes a list of actions for the slow worker.

use super::model::{Clause, Extent, Manner, Pattern};
use crate::slow_worker::{self, Worked};

/// Actions, nested as the text nests them, so that a row of millions can still be added up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// So many actions `uses>makes`.
    Do {
        /// How often.
        times: u64,
        /// Places used.
        uses: u64,
        /// Stitches made.
        makes: u64,
    },
    /// Steps worked so many times.
    Again(u64, Vec<Step>),
}

/// The steps as a list for the slow worker.
pub fn list(steps: &[Step]) -> String {
    let words: Vec<String> = steps
        .iter()
        .map(|step| match step {
            Step::Do { times, uses, makes } => format!("{times}*{uses}>{makes}"),
            Step::Again(times, body) => format!("{times}*({})", list(body)),
        })
        .collect();
    words.join(" ")
}

/// Places used and stitches made, by plain sums.
pub fn sums(steps: &[Step]) -> (u64, u64) {
    steps.iter().fold((0, 0), |(used, made), step| {
        let (times, (uses, makes)) = match step {
            Step::Do { times, uses, makes } => (*times, (*uses, *makes)),
            Step::Again(times, body) => (*times, sums(body)),
        };
        (used + times * uses, made + times * makes)
    })
}

/// One row in one size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowWork {
    /// Stitches of the row below, or chains that can be worked.
    pub available: u64,
    /// What is done.
    pub steps: Vec<Step>,
    /// A repeat that fills the row had to stop in the middle of a pass.
    pub broken_pass: bool,
    /// Something that no maker can do.
    pub absurd: bool,
    /// The printed count.
    pub stated: Option<u64>,
    /// How many rows are worked so.
    pub times: u64,
}

impl RowWork {
    /// Works it stitch by stitch.
    ///
    /// # Panics
    /// When there are too many stitches to work by hand.
    pub fn by_hand(&self) -> Worked {
        slow_worker::work_list(self.available, &list(&self.steps)).expect("few enough stitches to work by hand")
    }

    /// True if a maker gets through the row and ends with the printed count.
    ///
    /// A pass that breaks off is forgiven where the printed count says the same, as makers forgive it.
    pub fn holds(&self, worked: &Worked) -> bool {
        let count_agrees = self.stated.is_none_or(|stated| stated == worked.made);
        let forgiven = !self.broken_pass || (self.stated.is_some() && count_agrees);
        worked.fits() && count_agrees && forgiven && !self.absurd
    }
}

/// What becomes of a row while its phrases are followed.
struct Pass {
    size: usize,
    left: u64,
    broken: bool,
    absurd: bool,
}

impl Pass {
    fn follow(&mut self, clauses: &[Clause]) -> Vec<Step> {
        clauses.iter().flat_map(|clause| self.one(clause)).collect()
    }

    fn step(&mut self, times: u64, uses: u64, makes: u64) -> Vec<Step> {
        self.left = self.left.saturating_sub(times * uses);
        vec![Step::Do { times, uses, makes }]
    }

    fn one(&mut self, clause: &Clause) -> Vec<Step> {
        let size = self.size;
        match clause {
            Clause::Plain { count, .. } => self.step(count.each[size], 1, 1),
            Clause::Increase { .. } => self.step(1, 1, 2),
            Clause::Decrease { .. } => self.step(1, 2, 1),
            Clause::Skip { count } => self.step(count.each[size], 1, 0),
            Clause::ToEnd { each } => self.step(self.left, 1, *each),
            Clause::ToLast { leave } => self.step(self.left.saturating_sub(leave.each[size]), 1, 1),
            Clause::FirstAgain => self.step(1, 0, 1),
            Clause::FirstSkipped => self.step(1, 1, 0),
            Clause::EachForNext { each } => {
                self.absurd = true;
                self.step(self.left, 1, *each)
            }
            Clause::Repeat { body, extent, .. } => match extent {
                Extent::Times(times) => self.again(body, times.each[size]),
                Extent::Fill | Extent::Unsaid => self.fill(body, 0),
                Extent::ToLast(leave) => self.fill(body, leave.each[size]),
            },
        }
    }

    /// So many passes. Every pass of these patterns does the same, so one is followed for all.
    fn again(&mut self, body: &[Clause], times: u64) -> Vec<Step> {
        let before = self.left;
        let steps = self.follow(body);
        let uses = sums(&steps).0;
        self.left = before.saturating_sub(times * uses);
        vec![Step::Again(times, steps)]
    }

    /// As many passes as fit, and the beginning of one more if stitches are left then.
    fn fill(&mut self, body: &[Clause], leave: u64) -> Vec<Step> {
        let room = self.left.saturating_sub(leave);
        let mut trial = Pass { size: self.size, left: room, broken: false, absurd: false };
        let pass = trial.follow(body);
        self.absurd |= trial.absurd;
        let uses = sums(&pass).0;
        if uses == 0 {
            self.absurd = true;
            return Vec::new();
        }
        let (passes, mut over) = (room / uses, room % uses);
        self.left -= room;
        self.broken |= over != 0;
        let mut steps = vec![Step::Again(passes, pass.clone())];
        for step in pass {
            let Step::Do { times, uses, makes } = step else {
                break;
            };
            let fits = over.checked_div(uses).map_or(times, |most| times.min(most));
            over -= fits * uses;
            steps.push(Step::Do { times: fits, uses, makes });
            if fits < times || over == 0 {
                break;
            }
        }
        // What is left of a broken pass stays unworked, and the slow worker finds it so.
        self.left += over;
        steps
    }
}

/// The first row of the pattern in one size: what can be worked into, and what is done.
fn first_row(pattern: &Pattern, size: usize) -> (u64, Vec<Step>) {
    let foundation = pattern.foundation.each[size];
    match pattern.manner {
        Manner::Spiral | Manner::Joined => (0, vec![Step::Do { times: foundation, uses: 0, makes: 1 }]),
        Manner::Flat => {
            let chains = foundation.saturating_sub(pattern.first_chain() - 1);
            let skipped = Step::Do { times: pattern.chain_counts(), uses: 0, makes: 1 };
            (chains, vec![skipped, Step::Do { times: chains, uses: 1, makes: 1 }])
        }
    }
}

/// One row in one size, worked into so many stitches.
pub fn row_work(pattern: &Pattern, row: usize, size: usize, below: u64) -> RowWork {
    let this = &pattern.rows[row];
    let mut work = RowWork {
        available: below,
        steps: Vec::new(),
        broken_pass: false,
        absurd: false,
        stated: this.stated.as_ref().map(|count| count.each[size]),
        times: this.last - this.first + 1,
    };
    match pattern.phrases(row) {
        None => (work.available, work.steps) = first_row(pattern, size),
        Some(clauses) => {
            let chain = pattern.chain_counts();
            let mut pass = Pass { size, left: below.saturating_sub(chain), broken: false, absurd: false };
            work.steps.push(Step::Do { times: chain, uses: 1, makes: 1 });
            work.steps.extend(pass.follow(clauses));
            (work.broken_pass, work.absurd) = (pass.broken, pass.absurd);
        }
    }
    work
}

/// Every row in every size, worked on from whatever the row before left: `[row][size]`.
pub fn work_by_sums(pattern: &Pattern) -> Vec<Vec<RowWork>> {
    let mut below = vec![0; pattern.sizes.len()];
    let mut rows = Vec::new();
    for row in 0..pattern.rows.len() {
        let works: Vec<RowWork> = below.iter().enumerate().map(|(size, n)| row_work(pattern, row, size, *n)).collect();
        below = works.iter().map(|work| sums(&work.steps).1).collect();
        rows.push(works);
    }
    rows
}

/// The first row that does not hold in one size when the pattern is worked by hand.
pub fn first_failure(pattern: &Pattern, size: usize) -> Option<usize> {
    let mut below = 0;
    (0..pattern.rows.len()).find(|row| {
        let work = row_work(pattern, *row, size, below);
        let worked = work.by_hand();
        // A row that is worked several times must leave itself the stitches that it found.
        let keeps = work.times == 1 || worked.made == work.available;
        below = worked.made;
        !work.holds(&worked) || !keeps
    })
}
