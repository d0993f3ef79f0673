//! One piece worked in one size: row after row, references followed, ranges kept compressed.

mod listing;
mod notes;
mod plan;

use super::conventions::Conventions;
use super::earlier::Earlier;
use super::judge;
use super::kinds::{self, Kinds};
use super::report::{Reading, SizeCount, Verdict};
use super::work::{Below, Carried, Misnamed, Setting, Spelt, Trouble, Worked, Yarns, work};
use crate::fabric::{Item, Ledger, MOST_KNOTS, Row as Fabric};
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Pattern, Piece, Resume, Row, RowWord, Step, Work};
use crate::standards::StitchId;
use listing::{push, skip_blocks};
pub(super) use plan::called;

/// What one written row came to in one size.
#[derive(Debug, Clone, Default)]
pub(super) struct Outcome {
    pub(super) counts: Vec<SizeCount>,
    pub(super) fault: Option<Fault>,
    pub(super) gap: Option<Gap>,
    pub(super) stale: Option<Misnamed>,
    pub(super) foundation: bool,
    pub(super) chain: Option<u64>,
    pub(super) made: Option<u64>,
    /// A repeat without an extent came out only by filling the row.
    pub(super) filled: Option<Span>,
    /// It was read, but where it goes could not be decided.
    pub(super) undecided: bool,
    /// What its rows are made of.
    pub(super) kinds: Kinds,
    /// Chains in the spaces of the last of them.
    pub(super) chains: u64,
    /// The tallest stitch of them, where they are mixed.
    pub(super) tallest: Option<StitchId>,
    /// What was worked, where that is asked for.
    pub(super) ledger: Ledger,
    /// Rows that could not be worked: what is noted of them is what the text prints.
    pub(super) by_print: bool,
    /// Where each of its stitches stands, where that is asked for: row by row, with the number of each.
    pub(super) spelled: Vec<Spelling>,
}

/// A row that was spelled out.
#[derive(Debug, Clone)]
pub(super) struct Spelling {
    pub(super) number: Option<u64>,
    pub(super) round: bool,
    pub(super) turned: bool,
    pub(super) joined: bool,
    pub(super) first: u32,
    pub(super) spelt: Spelt,
}

/// What went wrong in a row, with the working.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Fault {
    pub(super) kind: FaultKind,
    pub(super) span: Option<Span>,
    pub(super) available: u64,
    pub(super) used: u64,
    pub(super) made: u64,
    pub(super) stated: Option<u64>,
    pub(super) on_chain: bool,
    pub(super) chain_turns_it: bool,
    /// Which number the next row fits.
    pub(super) next_fits: Option<Fits>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fits {
    Printed,
    Made,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FaultKind {
    RunOut,
    /// It works into something that is not there at all.
    NoPlace,
    LeftOver {
        left: u64,
    },
    /// A piece that is joined has another number of stitches than the row asks of it.
    Unmet {
        piece: Span,
        has: u64,
        asked: u64,
    },
    Divide {
        over: u64,
        unit: u64,
        remainder: u64,
    },
    Count {
        expected: u64,
        actual: u64,
    },
    TooLarge,
    /// A reference to a row that is not there.
    NoRow {
        number: u64,
    },
    /// A size list of the wrong length stands in the row.
    List,
}

/// A place where the numbers of the rows do not go on by one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Gap {
    Missing {
        from: u64,
        to: u64,
    },
    Again {
        number: u64,
    },
    /// The row's own numbers stand for other than what it says to work.
    Rows {
        numbered: u64,
        worked: u64,
    },
}

/// What goes from one piece to the next that has no beginning of its own.
#[derive(Debug, Clone)]
pub(super) struct State {
    pub(super) below: Option<Below>,
    pub(super) carried: Option<Carried>,
    pub(super) running: Option<u64>,
    pub(super) in_use: Option<StitchId>,
    pub(super) turned: bool,
    pub(super) joined: bool,
    /// Row numbers of the pieces whose numbering goes on here.
    pub(super) covered: Vec<(u64, u64)>,
    /// Slip stitches behind the last join.
    pub(super) travels: Vec<Work>,
    /// What rows left unworked, the latest last.
    pub(super) unworked: Vec<u64>,
    /// Rows worked back and forth so far, which the side of the piece shows.
    pub(super) rows: u64,
    /// Chains of the foundation that its first row worked.
    pub(super) foundation: u64,
    /// What the pieces before ended with.
    pub(super) ends: Earlier<(usize, Fabric)>,
    /// The numbered rows of the pieces before.
    pub(super) past: Earlier<(usize, Vec<Numbered>)>,
    /// What rows left unworked, the latest last, as it can be taken up by a piece.
    pub(super) left: Vec<Left>,
    /// Openings, the latest last.
    pub(super) openings: Vec<Opening>,
    /// The opening that is being worked round.
    pub(super) opening: Option<Opening>,
    /// The piece and number of the row below.
    pub(super) made_in: (usize, Option<u64>),
    /// The size is to be spelled out.
    pub(super) spelling: bool,
    /// How much is spelled out so far; `None` where nothing is, or nothing more.
    pub(super) spell: Option<u32>,
}

impl State {
    /// At the beginning of a text that is to be spelled out in this size.
    pub(super) fn spelling() -> Self {
        Self { spelling: true, spell: Some(0), ..Self::start() }
    }

    pub(super) fn start() -> Self {
        Self {
            below: Some(Below::Nothing),
            carried: None,
            running: None,
            in_use: None,
            turned: false,
            joined: false,
            covered: Vec::new(),
            travels: Vec::new(),
            unworked: Vec::new(),
            rows: 0,
            foundation: 0,
            ends: Earlier::default(),
            past: Earlier::default(),
            left: Vec::new(),
            openings: Vec::new(),
            opening: None,
            made_in: (0, None),
            spelling: false,
            spell: None,
        }
    }
}

/// A written row: its piece, and which of its rows.
type Leaf = (usize, usize);

/// A stretch of row numbers and the written rows behind them.
#[derive(Debug, Clone)]
pub(super) struct Numbered {
    from: u64,
    to: u64,
    leaves: Vec<Leaf>,
    /// The row that says so.
    said: Leaf,
}

/// Stitches that a row left unworked.
#[derive(Debug, Clone)]
pub(super) struct Left {
    /// The piece and the number of the row whose stitches they are.
    of: (usize, Option<u64>),
    count: u64,
    rest: Fabric,
}

/// Stitches passed over under a chain: the opening of a thumb, an armhole, a handle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Opening {
    pub(super) skipped: u64,
    pub(super) chain: u64,
}

pub(super) struct Job<'a> {
    pub(super) pattern: &'a Pattern,
    pub(super) text: &'a str,
    pub(super) piece: &'a Piece,
    pub(super) size: usize,
    /// Row numbers that this size works or that only other sizes work, as (from, to) stretches in order.
    pub(super) covered: &'a [(u64, u64)],
    /// Counts are to hold what stands in each row.
    pub(super) structure: bool,
    /// What is worked is to be noted.
    pub(super) census: bool,
    /// Rows with a size list of the wrong length: in the steps, or only in the count.
    pub(super) broken: &'a [Option<bool>],
}

/// Works a piece in one size; one outcome a row, `None` where the size leaves the row out.
pub(super) fn run(
    job: &Job<'_>,
    conventions: &mut Conventions,
    fuel: &mut u64,
    state: &mut State,
) -> Vec<Option<Outcome>> {
    let mut flow = Flow {
        job,
        conventions,
        fuel,
        state,
        history: Vec::new(),
        pending: None,
        trying: false,
        headed: job.piece.rows.iter().any(|row| row.word != RowWord::None),
        own: job.pattern.pieces.iter().position(|known| std::ptr::eq(known, job.piece)).unwrap_or(usize::MAX),
        noting: None,
    };
    let mut outcomes: Vec<Option<Outcome>> = Vec::with_capacity(job.piece.rows.len());
    for (at, row) in job.piece.rows.iter().enumerate() {
        let outcome = if row.sizes.has(job.size) { flow.row(at, row, &mut outcomes) } else { None };
        outcomes.push(outcome);
    }
    let (own, history) = (flow.own, std::mem::take(&mut flow.history));
    state.past.push((own, history));
    outcomes
}

struct Flow<'a, 'f> {
    job: &'a Job<'a>,
    conventions: &'f mut Conventions,
    fuel: &'f mut u64,
    state: &'f mut State,
    history: Vec<Numbered>,
    /// A failed row waits for the next one to say which of its numbers is right.
    pending: Option<Pending>,
    /// Looking ahead: nothing is settled.
    trying: bool,
    headed: bool,
    /// This piece among all of them.
    own: usize,
    /// Where in the text the row in hand changes its yarn.
    noting: Option<(u32, u32)>,
}

struct Pending {
    row: usize,
    made: Option<Below>,
    printed: Option<Below>,
}

/// What setting a row up costs, in steps.
const COST_OF_A_ROW: u64 = 16;
/// Rows that are tried before it is decided what a failed row leaves behind.
const LOOK_AHEAD: usize = 4;

#[derive(Clone, Copy)]
struct Ahead {
    faults: usize,
    /// The very next row fails.
    first: bool,
}

struct Plan {
    number: Option<u64>,
    rows: u64,
    /// For how many rows its numbers stand, where what it refers to says how many are worked.
    numbered: Option<u64>,
    /// How many it says to work.
    said: u64,
    leaves: Vec<Leaf>,
    /// The numbers by which they are referred to, where they are.
    numbers: Vec<Option<u64>>,
    missing: Option<u64>,
    unknown: bool,
}

impl<'a> Flow<'a, '_> {
    fn value(&self, number: Num) -> Option<u64> {
        self.job.pattern.numbers.value(number, self.job.size)
    }

    /// A written row, of whichever piece.
    fn written(&self, leaf: Leaf) -> &'a Row {
        &self.job.pattern.pieces.get(leaf.0).unwrap_or(self.job.piece).rows[leaf.1]
    }

    /// Takes work up where earlier rows left it; what cannot be found stays unknown.
    fn resume(&mut self, row: &Row) {
        let Some(resume) = row.steps.iter().find_map(|step| match step.act {
            Act::Resume(resume) => Some(resume),
            _ => None,
        }) else {
            return;
        };
        self.state.carried = None;
        self.state.turned = false;
        self.state.travels.clear();
        self.state.below = match resume {
            Resume::Unworked { of, row: number } => {
                let piece = of.and_then(|name| plan::called(&self.job.pattern.pieces, name.of(self.job.text)));
                let number = number.and_then(|number| self.value(number));
                let found = (0..self.state.left.len()).rev().find(|at| {
                    let left = &self.state.left[*at];
                    left.count > 0
                        && (of.is_none() || piece == Some(left.of.0))
                        && (number.is_none() || number == left.of.1)
                });
                found.map(|at| {
                    let left = self.state.left.remove(at);
                    if let Some(at) = self.state.unworked.iter().rposition(|count| *count == left.count) {
                        self.state.unworked.remove(at);
                    }
                    self.state.joined = false;
                    self.state.made_in = left.of;
                    Below::Row(if row.word == RowWord::Row { left.rest.reversed() } else { left.rest })
                })
            }
            Resume::Sewn => Some(Below::Ring),
            Resume::Opening { skipped } => {
                let skipped = skipped.and_then(|number| self.value(number));
                let openings = &self.state.openings;
                self.state.opening = openings
                    .iter()
                    .rev()
                    .find(|opening| skipped.is_none_or(|skipped| skipped == opening.skipped))
                    .copied();
                self.state.opening.map(|_| Below::Ring)
            }
        };
    }

    fn row(&mut self, at: usize, row: &Row, outcomes: &mut [Option<Outcome>]) -> Option<Outcome> {
        // "- (14, 16) sc": a size whose count is left out does not work the row.
        if let Some(stated) = &row.stated
            && stated.parts.iter().all(|(number, _)| self.value(*number).is_none())
        {
            return None;
        }
        let plan = self.plan(at, row)?;
        let gap = self.sequence(&plan, row);
        let mut outcome = Outcome { gap, ..Outcome::default() };
        let stated = judge::stated(row.stated.as_ref(), &self.job.pattern.numbers, self.job.size);
        let first = plan.leaves.first().filter(|leaf| leaf.0 != self.own).map_or(row, |leaf| self.written(*leaf));
        let fresh =
            crate::notation::starts_afresh(first) && (self.state.below.is_none() || self.starts_over(row, &plan));
        let broken = self.job.broken[at];
        let unread = row.reading != Reading::Read || plan.unknown || plan.missing.is_some();
        if unread && broken.is_none() || broken == Some(true) {
            self.not_worked(at, row, &plan, stated.as_ref(), broken, &mut outcome);
            self.remember(at, &plan);
            return Some(outcome);
        }
        if !self.trying {
            self.settle(at, fresh, outcomes);
        }
        self.resume(row);
        self.work_rows(at, row, &plan, stated.as_ref(), fresh, broken, &mut outcome);
        if let Some(fault) = &mut outcome.fault {
            fault.next_fits = None;
            let made = self.state.below.take().filter(|_| fault.kind != FaultKind::TooLarge);
            let printed = stated.as_ref().and_then(judge::Printed::plain).map(|count| self.uniform(count));
            self.state.below = printed.clone().or_else(|| made.clone());
            if self.trying {
                self.remember(at, &plan);
                return Some(outcome);
            }
            self.pending = Some(Pending { row: at, made, printed });
        }
        self.remember(at, &plan);
        Some(outcome)
    }

    fn starts_over(&self, row: &Row, plan: &Plan) -> bool {
        // "Ch 3." or "Ch 1, turn." between rows is no new foundation, "Ch 21." before row 1 is.
        let only_chain =
            row.steps.iter().all(|step| matches!(step.act, Act::Chain { .. } | Act::Aside | Act::Turn | Act::Join));
        !only_chain
            || self.state.running.is_none()
            || plan.number == Some(1)
            || !self.history.is_empty() && matches!(self.state.below, None | Some(Below::Nothing))
    }

    fn uniform(&self, count: u64) -> Below {
        Below::Row(Fabric::of(Item::Stitch(self.state.in_use.unwrap_or(StitchId::SINGLE_CROCHET)), count))
    }

    /// A row that cannot be worked: the printed count binds what follows.
    fn not_worked(
        &mut self,
        at: usize,
        row: &Row,
        plan: &Plan,
        stated: Option<&judge::Printed>,
        broken: Option<bool>,
        outcome: &mut Outcome,
    ) {
        let available = self.state.below.as_ref().and_then(judge::places);
        outcome.counts.push(SizeCount {
            number: plan.number,
            times: plan.rows.max(1),
            available,
            used: None,
            made: None,
            spaces: None,
            stated: stated.map(judge::Printed::number),
            stated_as: None,
            made_as_stated: None,
            structure: None,
            verdict: if broken.is_some() || plan.missing.is_some() { Verdict::Wrong } else { Verdict::Unverified },
        });
        self.note_print(at, row, plan, stated, outcome);
        if let Some(number) = plan.missing {
            outcome.fault = Some(Fault { kind: FaultKind::NoRow { number }, ..Fault::bare(FaultKind::List) });
        } else if broken.is_some() {
            outcome.fault = Some(Fault::bare(FaultKind::List));
        }
        self.pending = None;
        self.state.carried = None;
        self.state.below = stated.and_then(judge::Printed::plain).map(|count| self.uniform(count));
        if let Some(kind) =
            row.steps.iter().find_map(|step| if let Act::Work(work) = &step.act { work.stitch } else { None })
        {
            self.state.in_use.get_or_insert(kind);
        }
    }

    /// The row before failed: the next rows show which of its numbers to go on with.
    fn settle(&mut self, at: usize, fresh: bool, outcomes: &mut [Option<Outcome>]) {
        let Some(pending) = self.pending.take() else { return };
        if fresh {
            return;
        }
        let none = Ahead { faults: usize::MAX, first: true };
        let printed = if pending.printed.is_some() { self.ahead(&pending.printed, at) } else { none };
        let made = if pending.made.is_some() { self.ahead(&pending.made, at) } else { none };
        let evidence = match (printed.faults.cmp(&made.faults), printed.first, made.first) {
            (_, false, true) => Some(Fits::Printed),
            (_, true, false) => Some(Fits::Made),
            (std::cmp::Ordering::Less, ..) => Some(Fits::Printed),
            (std::cmp::Ordering::Greater, ..) => Some(Fits::Made),
            (std::cmp::Ordering::Equal, ..) => None,
        };
        self.state.below = if pending.printed.is_none() && made.first {
            // Neither number is known to be right: what follows stands on something unknown, until a count binds it.
            None
        } else if made.faults < printed.faults {
            pending.made
        } else {
            pending.printed.or(pending.made)
        };
        if let Some(Some(outcome)) = outcomes.get_mut(pending.row)
            && let Some(fault) = &mut outcome.fault
        {
            fault.next_fits = evidence.filter(|_| fault.stated.is_some());
        }
    }

    /// How the next rows come out on `below`.
    fn ahead(&mut self, below: &Option<Below>, from: usize) -> Ahead {
        let state = self.state.clone();
        let history = self.history.len();
        self.state.below.clone_from(below);
        self.trying = true;
        let mut ahead = Ahead { faults: 0, first: false };
        let mut rows = 0;
        for at in from..self.job.piece.rows.len() {
            let row = &self.job.piece.rows[at];
            if !row.sizes.has(self.job.size) {
                continue;
            }
            if rows > 0 && crate::notation::starts_afresh(row) || rows == LOOK_AHEAD {
                break;
            }
            let failed = self.row(at, row, &mut []).is_some_and(|outcome| outcome.fault.is_some());
            ahead.faults += usize::from(failed);
            ahead.first |= rows == 0 && failed;
            rows += 1;
        }
        self.trying = false;
        *self.state = state;
        self.history.truncate(history);
        ahead
    }

    fn once(&mut self, below: &Below, steps: &[Step], fresh: bool, row: &Row) -> Worked {
        *self.fuel = self.fuel.saturating_sub(COST_OF_A_ROW);
        let oriented = self.oriented(below.clone(), steps, row);
        let (carried, in_use) = (self.state.carried, self.state.in_use);
        let mut conventions = std::mem::take(self.conventions);
        let mut fuel = std::mem::take(self.fuel);
        let setting = self.setting(false, row);
        let worked = work(&setting, &mut conventions, &mut fuel, &oriented, carried, in_use, steps, fresh);
        *self.conventions = conventions;
        *self.fuel = fuel;
        worked
    }

    fn setting(&self, flip_chain: bool, row: &Row) -> Setting<'_> {
        let job = self.job;
        Setting {
            pattern: job.pattern,
            text: job.text,
            size: job.size,
            flip_chain,
            round: self.is_round(row),
            joined: self.state.joined,
            travels: &self.state.travels,
            side: Fabric::of(Item::Chain, self.state.rows),
            foundation: Fabric::of(Item::Chain, self.state.foundation),
            unworked: &self.state.unworked,
            ends: &self.state.ends,
            opening: self.state.opening,
            own_name: &job.piece.name,
            spell: self.state.spell,
            yarns: self.noting.map(|(from, until)| Yarns { changes: &job.pattern.yarns.changes, from, until }),
        }
    }

    /// What stands in a row.
    fn words(&self, row: &Below) -> Option<String> {
        let pattern = self.job.pattern;
        let name = |unit: crate::fabric::Unit| {
            unit.definition().and_then(|at| pattern.definitions.get(at)).map(|definition| definition.name.as_str())
        };
        row.fabric().map(|row| row.words(pattern.terms, name))
    }

    /// Worked round: it joins, or calls itself a round and does not turn.
    fn is_round(&self, row: &Row) -> bool {
        let joins = row.steps.iter().any(|step| matches!(step.act, Act::Join));
        let turns = row.steps.iter().any(|step| matches!(step.act, Act::Turn));
        joins || !turns && (row.word == RowWord::Round || self.state.joined)
    }

    /// The row below as this row meets it.
    fn oriented(&self, below: Below, steps: &[Step], row: &Row) -> Below {
        let turns_first =
            steps.iter().take_while(|step| !super::work::works(&step.act)).any(|step| matches!(step.act, Act::Turn));
        let flat = row.word == RowWord::Row && !self.state.joined;
        if self.state.turned || turns_first || flat { below.turned() } else { below }
    }

    #[expect(clippy::too_many_arguments, reason = "the row, what it stands on, and what it is held against")]
    fn work_rows(
        &mut self,
        at: usize,
        row: &Row,
        plan: &Plan,
        stated: Option<&judge::Printed>,
        fresh: bool,
        broken: Option<bool>,
        outcome: &mut Outcome,
    ) {
        let block = plan.leaves.len().max(1) as u64;
        let mut done = 0u64;
        let mut at_block: Option<(Below, Option<Carried>)> = None;
        let each = stated.filter(|stated| plan.rows > 1 && stated.lists(plan.rows));
        let mut listed: Vec<SizeCount> = Vec::new();
        let mut notes = self.notes(at, row, plan, outcome);
        while done < plan.rows {
            let Some(below) = self.state.below.take().or_else(|| fresh.then_some(Below::Nothing)) else {
                push(
                    &mut listed,
                    SizeCount {
                        number: plan.number.map(|number| number.saturating_add(done)),
                        times: plan.rows - done,
                        verdict: Verdict::Unverified,
                        ..judge::unknown(stated)
                    },
                );
                self.state.below = stated.and_then(judge::Printed::plain).map(|count| self.uniform(count));
                outcome.by_print = true;
                outcome.counts = listed;
                return;
            };
            if plan.rows > block && done.is_multiple_of(block) {
                let now = (below.clone(), self.state.carried);
                // The last rows are worked themselves, for the printed count.
                let blocks = (plan.rows - done - 1) / block;
                if at_block.as_ref() == Some(&now) && blocks > 0 {
                    self.state.below = Some(below);
                    skip_blocks(&mut listed, block, blocks);
                    outcome.ledger.append(&notes.last, blocks);
                    done += blocks * block;
                    self.state.rows = self.state.rows.saturating_add(blocks * block);
                    at_block = None;
                    continue;
                }
                at_block = Some(now);
                notes.last = Ledger::default();
            }
            let at_leaf = plan.leaves[(done % block) as usize];
            let leaf = self.written(at_leaf);
            let before = self.note_leaf(&mut notes, plan, (done % block) as usize, leaf);
            let last = done + 1 == plan.rows;
            let expected = match each {
                Some(each) => each.nth(done),
                None if last => stated.cloned(),
                None => None,
            };
            let fresh = fresh && done == 0;
            let (worked, verdict, filled) = self.best(&below, leaf, fresh, expected.as_ref());
            self.note_worked(&mut notes, before, &worked, leaf, outcome);
            outcome.filled = outcome.filled.or(filled);
            let available = judge::places(&below);
            let mut count = judge::count(&worked, expected.as_ref(), available);
            let number = plan.number.map(|number| number.saturating_add(done));
            count.number = number;
            if self.job.structure && !self.trying {
                count.structure = self.words(&worked.below);
            }
            outcome.foundation |= worked.foundation;
            outcome.chain = outcome.chain.or(worked.chain);
            if outcome.stale.is_none() {
                outcome.stale = worked.stale;
            }
            outcome.made = count.made;
            if let Some(row) = worked.below.fabric().filter(|_| !self.trying && !worked.foundation) {
                let before = outcome.kinds;
                outcome.kinds.add(row);
                if outcome.kinds == Kinds::Mixed {
                    let known = outcome.tallest.or(before.one());
                    outcome.tallest = kinds::taller(known, kinds::tallest(row));
                }
                outcome.chains = row.totals().chains;
            }
            self.spell_out(&below, leaf, number, &worked, outcome);
            done += 1;
            if !worked.known {
                outcome.undecided = true;
                count.verdict = Verdict::Unverified;
                push(&mut listed, count);
                self.advance(worked, leaf, number);
                self.state.below = expected.as_ref().and_then(judge::Printed::plain).map(|count| self.uniform(count));
                if done < plan.rows {
                    break;
                }
                continue;
            }
            if let Some(kind) = verdict {
                count.verdict = Verdict::Wrong;
                let span = match worked.trouble {
                    Some(
                        Trouble::RunOut { span, .. }
                        | Trouble::NoPlace { span, .. }
                        | Trouble::Divide { span, .. }
                        | Trouble::TooLarge { span },
                    ) => Some(span),
                    _ => None,
                };
                outcome.fault = Some(Fault {
                    kind,
                    span: span.filter(|span| span.end > span.start),
                    available: worked.available,
                    used: worked.used,
                    made: count.made.unwrap_or(0),
                    stated: expected.as_ref().map(judge::Printed::number),
                    on_chain: worked.on_chain,
                    chain_turns_it: self.chain_turns_it(&below, leaf, fresh, &worked, expected.as_ref(), kind),
                    next_fits: None,
                });
                count.times = plan.rows - done + 1;
                outcome.ledger.append(&notes.row, plan.rows - done);
                push(&mut listed, count);
                self.advance(worked, leaf, number);
                break;
            }
            if broken == Some(false) {
                count.verdict = Verdict::Wrong;
                outcome.fault = Some(Fault::bare(FaultKind::List));
            }
            push(&mut listed, count);
            self.advance(worked, leaf, number);
        }
        if let Some(yarn) = notes.tail {
            outcome.ledger.change(yarn);
        }
        self.noting = None;
        outcome.counts = listed;
    }

    /// Keeps what was spelled out of a row, as far as there is room.
    fn spell_out(&mut self, below: &Below, leaf: &Row, number: Option<u64>, worked: &Worked, outcome: &mut Outcome) {
        let Some(first) = self.state.spell.filter(|_| !self.trying) else { return };
        let spelt = worked.spelt.clone();
        let more = u32::try_from(spelt.knots.len()).unwrap_or(u32::MAX).saturating_add(spelt.chain);
        let next = first.saturating_add(more);
        self.state.spell = (worked.known && !spelt.over && next <= MOST_KNOTS).then_some(next);
        if self.state.spell.is_some() {
            outcome.spelled.push(Spelling {
                number,
                round: self.is_round(leaf),
                turned: self.oriented(below.clone(), &leaf.steps, leaf) != *below || matches!(below, Below::Chain(_)),
                joined: worked.joined,
                first,
                spelt,
            });
        }
    }

    /// The first reading of the row that comes out; the first of all where none does.
    fn best(
        &mut self,
        below: &Below,
        row: &Row,
        fresh: bool,
        expected: Option<&judge::Printed>,
    ) -> (Worked, Option<FaultKind>, Option<Span>) {
        let worked = self.once(below, &row.steps, fresh, row);
        let verdict = judge::fault(&worked, expected, judge::places(below));
        if verdict.is_none() || row.rivals.is_empty() {
            return (worked, verdict, None);
        }
        for rival in &row.rivals {
            let other = self.once(below, rival, fresh, row);
            if other.known && judge::fault(&other, expected, judge::places(below)).is_none() {
                return (
                    other,
                    None,
                    rival
                        .iter()
                        .find(|step| matches!(&step.act, Act::Repeat(repeat) if repeat.extent == Extent::Unsaid))
                        .map(|step| step.span),
                );
            }
        }
        (worked, verdict, None)
    }

    /// Whether reading this row's beginning chain the other way mends it.
    fn chain_turns_it(
        &mut self,
        below: &Below,
        row: &Row,
        fresh: bool,
        worked: &Worked,
        expected: Option<&judge::Printed>,
        kind: FaultKind,
    ) -> bool {
        let by_one = match kind {
            FaultKind::Count { expected, actual } => expected.abs_diff(actual) == 1,
            FaultKind::LeftOver { left } => left == 1,
            FaultKind::RunOut => worked.used == worked.available.saturating_add(1),
            _ => false,
        };
        if !by_one || worked.chain.is_none_or(|length| length < 2) {
            return false;
        }
        let oriented = self.oriented(below.clone(), &row.steps, row);
        let (carried, in_use) = (self.state.carried, self.state.in_use);
        let mut conventions = std::mem::take(self.conventions);
        let mut fuel = std::mem::take(self.fuel);
        let setting = self.setting(true, row);
        let other = work(&setting, &mut conventions, &mut fuel, &oriented, carried, in_use, &row.steps, fresh);
        *self.conventions = conventions;
        *self.fuel = fuel;
        other.known && judge::fault(&other, expected, judge::places(below)).is_none()
    }

    fn advance(&mut self, worked: Worked, row: &Row, number: Option<u64>) {
        self.state.carried = worked.carried;
        self.state.in_use = worked.in_use;
        // A ring, or a circle of chains, is worked on without turning.
        self.state.turned = worked.turned;
        self.state.joined = worked.joined || self.state.joined && row.word != RowWord::Row;
        self.state.travels = worked.travels;
        if worked.on_chain {
            self.state.foundation = worked.available;
        }
        if !worked.foundation {
            self.state.rows = self.state.rows.saturating_add(1);
        } else {
            self.state.rows = 0;
        }
        let mut taken = worked.taken_up;
        while taken > 0
            && let Some(most) = (0..self.state.unworked.len()).max_by_key(|at| self.state.unworked[*at])
        {
            let now = taken.min(self.state.unworked[most]);
            self.state.unworked[most] -= now;
            taken -= now;
            self.state.unworked.retain(|left| *left > 0);
            if now == 0 {
                break;
            }
        }
        if worked.unworked > 0 && self.state.unworked.len() < 64 {
            self.state.unworked.push(worked.unworked);
            if let Some(rest) = worked.rest {
                self.state.left.push(Left { of: self.state.made_in, count: worked.unworked, rest });
            }
        }
        self.state.opening = None;
        self.state.openings.extend(worked.openings);
        let stale = self.state.openings.len().saturating_sub(64);
        self.state.openings.drain(..stale);
        self.state.made_in = (self.own, number);
        self.state.below = Some(worked.below);
    }
}

impl Fault {
    fn bare(kind: FaultKind) -> Self {
        Self {
            kind,
            span: None,
            available: 0,
            used: 0,
            made: 0,
            stated: None,
            on_chain: false,
            chain_turns_it: false,
            next_fits: None,
        }
    }
}

fn first_uncovered(covered: &[(u64, u64)], from: u64, to: u64) -> Option<(u64, u64)> {
    let mut at = from;
    for (low, high) in covered {
        if *low > at {
            return Some((at, to.min(low - 1)));
        }
        at = at.max(high.saturating_add(1));
        if at > to {
            return None;
        }
    }
    (at <= to).then_some((at, to))
}
