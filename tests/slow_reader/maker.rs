//! One size of one text, row after row.

use super::hand::{Below, Contradiction, Conventions, Hand};
use super::parse::{self, Again, Tree};
use super::text::{Book, Kind, Way};
use super::words::Vocabulary;
use super::{Outcome, count};
use crate::slow_worker::typed::Item;
use std::cell::Cell;
use std::collections::HashMap;
use std::rc::Rc;

/// A line that one size works.
#[derive(Debug, Clone)]
struct Planned {
    line: usize,
    way: Way,
    loose: bool,
    numbers: Option<(u64, u64)>,
    tree: Result<Tree, (String, Vec<count::Printed>)>,
    /// Number sequence or size list already speak against it.
    before: Vec<Contradiction>,
    /// It begins a piece.
    restarts: bool,
    /// The yarn is joined anew before it, nobody knows where.
    rejoined: bool,
}

/// The numbers with which a size may go on.
#[derive(Debug, Default)]
struct Sequence {
    next: Vec<u64>,
}

impl Sequence {
    fn accepts(&self, from: u64, passed: &[u64]) -> bool {
        let over = |next: &u64| *next <= from && (*next..from).all(|number| passed.contains(&number));
        from == 1 || self.next.is_empty() || self.next.iter().any(over)
    }

    /// After a slip the sequence may go on from either number.
    fn go_on(&mut self, from: u64, to: u64) {
        let by_rights = self.next.first().map(|next| next + (to - from) + 1);
        self.next = vec![to + 1];
        self.next.extend(by_rights.filter(|next| from != 1 && *next != to + 1));
    }
}

/// One size of one text.
pub struct Maker {
    lines: Vec<Planned>,
    not_worked: Vec<usize>,
    conventions: Conventions,
    pub asked: Cell<Conventions>,
    /// One, if the edge of a row counts as an own stitch.
    edge: u64,
}

/// Trees, each with the way in which it is worked.
type Trees = Vec<(Way, Rc<Tree>)>;

/// What stands below, and what may be referred to.
#[derive(Debug, Clone)]
struct State {
    below: Below,
    /// Trees by row number, of this piece.
    known: HashMap<u64, (Way, Rc<Tree>)>,
    /// The rows worked last, the latest behind.
    lasts: Vec<(Way, Rc<Tree>)>,
    /// Stitches left unworked, by row.
    unworked: HashMap<u64, u64>,
    /// Chains over an armhole and the stitches passed over there.
    opening: Option<(u64, u64)>,
}

impl Maker {
    pub fn new(book: &Book, words: &Vocabulary, conventions: Conventions, size: usize) -> Self {
        let mut lines: Vec<Planned> = Vec::new();
        let mut not_worked = Vec::new();
        let mut guard: Option<&[usize]> = None;
        let mut sequence = Sequence::default();
        let mut rejoined = false;
        // Numbers of rows that other sizes work.
        let mut passed: Vec<u64> = Vec::new();
        for (i, (line, kind)) in book.lines.iter().enumerate() {
            match kind {
                Kind::Guard(sizes) => guard = Some(sizes),
                Kind::Talk => {
                    let low = line.to_lowercase();
                    if low.contains("rejoin") || low.contains("join yarn") || low.contains("join the yarn") {
                        rejoined = true;
                        sequence = Sequence::default();
                    }
                }
                Kind::Row | Kind::Loose => {
                    let mine = guard.is_none_or(|sizes| sizes.contains(&size));
                    let projected = book.project_for(line, size, guard);
                    let one = projected.as_deref().unwrap_or(line);
                    let header = if *kind == Kind::Row { book.header(one) } else { None };
                    let numbers = header.as_ref().and_then(|header| header.numbers);
                    let mut before = Vec::new();
                    let restarts = numbers.is_some_and(|(from, _)| from == 1);
                    if let Some((from, to)) = numbers {
                        let to = to.max(from);
                        if !mine {
                            passed.extend(from..=to.min(from + 1000));
                        } else if !sequence.accepts(from, &passed) || numbers.is_some_and(|(from, to)| to < from) {
                            before.push(Contradiction::Number);
                        }
                        if mine {
                            sequence.go_on(from, to);
                        }
                    } else if *kind == Kind::Loose && one.to_lowercase().contains("rep") {
                        sequence = Sequence::default();
                    }
                    if projected.is_err() {
                        before.push(Contradiction::SizeList);
                    }
                    if !mine {
                        not_worked.push(i + 1);
                        continue;
                    }
                    let body = header.as_ref().map_or(one, |header| header.body.as_str());
                    let tree = match projected.as_ref() {
                        Ok(_) => parse::row(body, words),
                        Err(why) => Err((why.clone(), Vec::new())),
                    };
                    lines.push(Planned {
                        line: i + 1,
                        way: header.as_ref().map_or(Way::Round, |header| header.way),
                        loose: *kind == Kind::Loose,
                        numbers,
                        tree,
                        before,
                        restarts,
                        rejoined: std::mem::take(&mut rejoined),
                    });
                }
            }
        }
        Self { lines, not_worked, conventions, asked: Cell::default(), edge: u64::from(words.edge) }
    }

    pub fn work(&mut self) -> Vec<(usize, Outcome)> {
        let mut outcomes: Vec<(usize, Outcome)> = self.not_worked.iter().map(|l| (*l, Outcome::NotWorked)).collect();
        let mut state = State {
            below: Below::Unknown,
            known: HashMap::new(),
            lasts: Vec::new(),
            unworked: HashMap::new(),
            opening: None,
        };
        for i in 0..self.lines.len() {
            let (outcome, next, printed) = self.line(i, &state);
            state = next;
            // After a contradiction: from the printed count, if the next row fits it.
            if let (Outcome::Wrong(_), Some(printed)) = (&outcome, printed) {
                let other = State { below: resized(&state.below, printed), ..state.clone() };
                if i + 1 < self.lines.len() && other.below != state.below {
                    let fits = |state: &State| matches!(self.line(i + 1, state).0, Outcome::Made(_));
                    if fits(&other) || !fits(&state) && matches!(state.below, Below::Unknown) {
                        state = other;
                    }
                }
            }
            outcomes.push((self.lines[i].line, outcome));
        }
        outcomes
    }

    /// Works one line; also the state after it, and its printed stitches.
    fn line(&self, i: usize, state: &State) -> (Outcome, State, Option<u64>) {
        let planned = &self.lines[i];
        let mut state = state.clone();
        if planned.rejoined {
            state.below = Below::Unknown;
        }
        if planned.restarts {
            state.unworked.clear();
            state.known.clear();
            state.lasts.clear();
        }
        let tree = match &planned.tree {
            Ok(tree) => tree,
            Err((why, printed)) => {
                state.below = count::stitches(printed).map_or(Below::Unknown, |n| resized(&Below::Unknown, n));
                state.lasts.clear();
                let outcome = if planned.before.is_empty() {
                    Outcome::Unread(why.clone())
                } else {
                    Outcome::Wrong(planned.before.clone())
                };
                return (outcome, state, None);
            }
        };
        let printed = count::stitches(&tree.printed);
        let outcome = self.tree(planned, tree, &mut state);
        if let Outcome::Unread(_) = &outcome {
            state.below = printed.map_or(Below::Unknown, |n| resized(&Below::Unknown, n));
        }
        (outcome, state, printed)
    }

    fn tree(&self, planned: &Planned, tree: &Tree, state: &mut State) -> Outcome {
        let mut troubles = planned.before.clone();
        if planned.loose && tree.again.is_none() {
            return foundation(tree, state).unwrap_or_else(|| Outcome::Unread("a line of its own".to_owned()));
        }
        let rows = planned.numbers.map_or(1, |(from, to)| to.saturating_sub(from) + 1);
        let mut run: Trees = Vec::new();
        if let Some(again) = &tree.again {
            match repeated(again, state, rows, planned.loose) {
                Ok((mut trees, fits)) => {
                    if let Some(times) = again.brackets {
                        for (_, tree) in &mut trees {
                            parse::set_brackets(&mut Rc::make_mut(tree).steps, times);
                        }
                    }
                    if !fits {
                        troubles.push(Contradiction::Rows);
                    }
                    run = trees;
                }
                Err(why) => return Outcome::Unread(why.to_owned()),
            }
        } else {
            let tree = (planned.way, Rc::new(tree.clone()));
            run.extend(std::iter::repeat_n(tree, usize::try_from(rows.min(5000)).unwrap_or(1)));
        }
        let mut made = None;
        let mut own = Vec::new();
        for (k, (way, one)) in run.iter().enumerate() {
            if state.below == Below::Unknown && !one.steps.iter().any(begins) {
                return Outcome::Unread("the row below is not known".to_owned());
            }
            let mut hand = Hand::new(&state.below, *way == Way::Round, self.conventions);
            hand.unworked.clone_from(&state.unworked);
            hand.opening = state.opening;
            hand.work(&one.steps);
            if let Some(why) = hand.lost {
                return Outcome::Unread(why.to_owned());
            }
            self.asked.set(self.asked.get().either(hand.asked));
            let counted = count::agrees(&one.printed, &hand.row, &hand.own, self.edge);
            if hand.cut_short && (one.printed.is_empty() || !counted) && !troubles.contains(&Contradiction::Divides) {
                troubles.push(Contradiction::Divides);
            }
            for what in hand.troubles {
                if !troubles.contains(&what) {
                    troubles.push(what);
                }
            }
            state.opening = hand.opening;
            let row = hand.row;
            made = Some(row.clone());
            own = hand.own;
            let mut next = row;
            if *way == Way::Row || hand.turned {
                next.reverse();
            }
            state.below = Below::Row(next);
            if let Some((from, _)) = planned.numbers {
                if hand.left > 0 {
                    state.unworked.insert((from + k as u64).saturating_sub(1), hand.left);
                }
                state.known.insert(from + k as u64, (*way, one.clone()));
            }
            state.lasts.push((*way, one.clone()));
        }
        let made = made.unwrap_or_default();
        if !tree.printed.is_empty() && !count::agrees(&tree.printed, &made, &own, self.edge) {
            troubles.push(Contradiction::Count);
        }
        if troubles.is_empty() {
            Outcome::Made(made.iter().filter(|item| item.is_stitch()).count() as u64)
        } else {
            Outcome::Wrong(troubles)
        }
    }
}

/// Whether a row with this step goes into something else than the row below.
fn begins(step: &parse::Step) -> bool {
    use parse::{Place, Step};
    matches!(step, Step::RingMade(_) | Step::Underarm | Step::Work { place: Place::Ring, .. })
}

/// `Ch 32.`, `Make a magic ring.`
fn foundation(tree: &Tree, state: &mut State) -> Option<Outcome> {
    use parse::Step;
    state.below = match tree.steps.as_slice() {
        [Step::RingMade(0), ..] => Below::Nothing,
        [Step::RingMade(n), ..] => Below::Chain(*n),
        [Step::Chain(n, _)] => Below::Chain(*n),
        _ => {
            state.below = Below::Unknown;
            return None;
        }
    };
    let made = if let Below::Chain(n) = state.below { n } else { 0 };
    Some(Outcome::Made(made))
}

/// The trees of a reference, one after the other, and whether they are as many as the header says.
fn repeated(again: &Again, state: &State, rows: u64, loose: bool) -> Result<(Trees, bool), &'static str> {
    let mut cycle = Vec::new();
    if again.rows.is_empty() {
        let last = usize::try_from(again.last).ok().and_then(|last| state.lasts.len().checked_sub(last));
        cycle.extend_from_slice(&state.lasts[last.ok_or("no last row")?..]);
    }
    for number in &again.rows {
        cycle.push(state.known.get(number).cloned().ok_or("a row that is not there")?);
    }
    let length = cycle.len() as u64;
    let times = match again.times {
        Some(times) => times,
        None if loose => 1,
        None if rows.is_multiple_of(length) => rows / length,
        None => return Ok((cycle, false)),
    };
    let all = usize::try_from((times * length).min(20_000)).unwrap_or(0);
    let trees: Vec<_> = cycle.iter().cloned().cycle().take(all).collect();
    Ok((trees, loose || all as u64 == rows))
}

/// The row with so many stitches: cut, or filled up with stitches of no particular kind.
fn resized(below: &Below, stitches: u64) -> Below {
    let mut row: Vec<Item> = match below {
        Below::Row(row) => row.clone(),
        _ => Vec::new(),
    };
    let has = row.iter().filter(|item| item.is_stitch()).count();
    let wanted = usize::try_from(stitches).unwrap_or(0).min(100_000);
    if has < wanted {
        row.extend(std::iter::repeat_n(Item::stitch("st"), wanted - has));
    } else {
        let mut over = has - wanted;
        while over > 0 {
            match row.pop() {
                Some(item) => over -= usize::from(item.is_stitch()),
                None => break,
            }
        }
    }
    Below::Row(row)
}
