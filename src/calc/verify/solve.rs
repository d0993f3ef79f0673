//! Open conventions, decided for a whole piece: every rival reading is worked, the one with the fewest contradictions wins,
//! habit breaks ties, and a tie is said.

use super::conventions::{Conventions, Question};
use super::piece::{Job, Outcome, State, run};
use super::report::Request;
use crate::notation::tree::{Act, Pattern, Piece, Row};

/// At most so many open questions are tried against each other.
const MOST_QUESTIONS: usize = 3;

/// A piece worked in every size under the conventions that fit best.
pub(super) struct Solved {
    /// By size, then by row.
    pub(super) outcomes: Vec<Vec<Option<Outcome>>>,
    pub(super) decided: Vec<Decided>,
}

/// A question and its answer.
pub(super) struct Decided {
    pub(super) question: Question,
    pub(super) answer: bool,
    pub(super) tie: bool,
    /// Rows that the other answer breaks.
    pub(super) rows: Vec<usize>,
    /// Rows that the other answer counts otherwise.
    pub(super) differing: Vec<Differing>,
}

/// A row that two answers count differently.
pub(super) struct Differing {
    pub(super) row: usize,
    /// Under the answer taken, in the first size that differs.
    pub(super) made: Option<u64>,
    /// Under the other one.
    pub(super) other: Option<u64>,
}

struct Trial {
    outcomes: Vec<Vec<Option<Outcome>>>,
    states: Vec<State>,
    asked: Vec<Question>,
    faults: usize,
}

pub(super) fn solve(
    pattern: &Pattern,
    piece: &Piece,
    request: &Request<'_>,
    census: bool,
    fuel: &mut u64,
    states: &mut Vec<State>,
) -> Solved {
    let broken = broken_rows(pattern, piece);
    let settled = Conventions::settled(request.settled);
    let starts: Vec<State> = states.iter().map(|state| into_piece(state, pattern, piece, request.pattern)).collect();
    // Numbers that go on from the piece before bring its rows along.
    let covered: Vec<_> = starts
        .iter()
        .enumerate()
        .map(|(size, start)| {
            super::covered(pattern, piece, size, if start.running.is_some() { &start.covered } else { &[] })
        })
        .collect();
    let mut attempt = |answers: Vec<(Question, bool)>| -> Trial {
        let mut conventions = settled.with(answers);
        let mut ends = starts.clone();
        let mut outcomes = Vec::with_capacity(ends.len());
        for (size, state) in ends.iter_mut().enumerate() {
            let job = Job {
                pattern,
                text: request.pattern,
                structure: request.structure,
                census,
                piece,
                size,
                covered: &covered[size],
                broken: &broken,
            };
            outcomes.push(run(&job, &mut conventions, fuel, state));
        }
        let faults = outcomes.iter().flatten().flatten().filter(|outcome| outcome.fault.is_some()).count();
        Trial { outcomes, states: ends, asked: conventions.asked().to_vec(), faults }
    };
    let mut best = attempt(Vec::new());
    let mut best_answers: Vec<(Question, bool)> = Vec::new();
    let mut asked = best.asked.clone();
    asked.truncate(MOST_QUESTIONS);
    if best.faults > 0 && !asked.is_empty() {
        for combination in 1u32..1 << asked.len() {
            let answers: Vec<(Question, bool)> = asked
                .iter()
                .enumerate()
                .map(|(at, question)| (*question, settled.answer(*question) != (combination >> at & 1 == 1)))
                .collect();
            let trial = attempt(answers.clone());
            if trial.faults < best.faults {
                best = trial;
                best_answers = answers;
            }
            if best.faults == 0 {
                break;
            }
        }
    }
    let answer_of = |question: Question, answers: &[(Question, bool)]| {
        answers
            .iter()
            .find(|(known, _)| *known == question)
            .map_or_else(|| settled.answer(question), |(_, answer)| *answer)
    };
    let mut decided = Vec::new();
    for question in asked {
        let answer = answer_of(question, &best_answers);
        let mut flipped = best_answers.clone();
        flipped.retain(|(known, _)| *known != question);
        flipped.push((question, !answer));
        let trial = attempt(flipped);
        let rows = (0..piece.rows.len())
            .filter(|row| (0..trial.outcomes.len()).any(|size| fails(&trial, size, *row) && !fails(&best, size, *row)))
            .collect::<Vec<_>>();
        let differing = differing(&best, &trial);
        let tie = !differing.is_empty() && trial.faults <= best.faults;
        decided.push(Decided { question, answer, tie, rows, differing });
    }
    *states = best.states;
    let at = pattern.pieces.iter().position(|known| std::ptr::eq(known, piece));
    for (state, covered) in states.iter_mut().zip(covered) {
        state.covered = covered;
        // What the piece ended with can be joined later.
        if let (Some(at), Some(fabric)) = (at, state.below.as_ref().and_then(super::work::Below::fabric)) {
            let fabric = fabric.clone();
            state.ends.push((at, fabric));
        }
    }
    Solved { outcomes: best.outcomes, decided }
}

fn fails(trial: &Trial, size: usize, row: usize) -> bool {
    trial.outcomes[size][row].as_ref().is_some_and(|outcome| outcome.fault.is_some())
}

fn differing(best: &Trial, trial: &Trial) -> Vec<Differing> {
    let rows = best.outcomes.first().map_or(0, Vec::len);
    let made =
        |trial: &Trial, size: usize, row: usize| trial.outcomes[size][row].as_ref().and_then(|outcome| outcome.made);
    (0..rows)
        .filter_map(|row| {
            let size = (0..best.outcomes.len()).find(|size| made(best, *size, row) != made(trial, *size, row))?;
            Some(Differing { row, made: made(best, size, row), other: made(trial, size, row) })
        })
        .collect()
}

/// What a piece begins with: its own foundation, or what the piece before it left.
fn into_piece(before: &State, pattern: &Pattern, piece: &Piece, text: &str) -> State {
    // "R1-12: same as R1-12 of Leg 1" begins as that does.
    let elsewhere = |row: &Row| {
        row.steps.iter().any(|step| match &step.act {
            Act::Again(again) => again
                .of
                .and_then(|name| super::piece::called(&pattern.pieces, name.of(text)))
                .and_then(|at| pattern.pieces.get(at))
                .filter(|other| !std::ptr::eq(*other, piece))
                .and_then(|other| other.rows.first())
                .is_some_and(crate::notation::starts_afresh),
            _ => false,
        })
    };
    let fresh = piece.rows.first().is_some_and(|row| crate::notation::starts_afresh(row) || elsewhere(row));
    if fresh {
        let start = if before.spelling { State::spelling() } else { State::start() };
        return State { ends: before.ends.clone(), past: before.past.clone(), ..start };
    }
    let mut state = before.clone();
    state.running =
        match piece.rows.first().map(|row| &row.numbers) {
            // Numbers that begin at 1 again are the piece's own.
            Some(
                crate::notation::tree::RowNumbers::One(number) | crate::notation::tree::RowNumbers::Range(number, _),
            ) if number.plain() == Some(1) => None,
            Some(crate::notation::tree::RowNumbers::None) => None,
            _ => before.running,
        };
    state
}

/// Rows that hold a size list of the wrong length: `Some(true)` in their steps, `Some(false)` in their count alone.
fn broken_rows(pattern: &Pattern, piece: &Piece) -> Vec<Option<bool>> {
    piece
        .rows
        .iter()
        .map(|row| {
            let broken = pattern.remarks_in(row.span).any(|remark| remark.rule == super::Rule::SizeListLength);
            broken.then(|| crate::notation::any_unread(&row.steps))
        })
        .collect()
}
