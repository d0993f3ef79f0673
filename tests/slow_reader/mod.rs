//! The slow reader: turns a written pattern into moves and works it stitch by stitch, one size at a time.
//!
//! It is written for the manner of the shelf and for nothing else, knows no closed form, and shares no code with calc:
//! size lists become one size's numbers before anything is read, references are worked by copying, repeats pass by pass.
//! A row that it does not understand is an error of its own and no judgement; from the printed count it goes on.

mod count;
mod hand;
mod parse;
mod text;
mod words;

pub use hand::{Contradiction, Conventions};

use hand::{Below, Hand};
use parse::{Again, Tree};
use std::cell::Cell;
use std::collections::HashMap;
use text::{Book, Kind, Way};
use words::Vocabulary;

use crate::slow_worker::typed::Item;

/// What came of one row in one size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// This size does not work the row.
    NotWorked,
    /// Worked, and nothing speaks against it; so many stitches.
    Made(u64),
    /// It cannot be as it is written.
    Wrong(Vec<Contradiction>),
    /// Not understood.
    Unread(String),
}

/// One written row in every size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Line of the text, from 1.
    pub line: usize,
    /// What came of it in each size.
    pub sizes: Vec<Outcome>,
}

/// The whole text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Names of the sizes; none for a pattern in one size.
    pub sizes: Vec<String>,
    /// Written rows in text order.
    pub rows: Vec<Row>,
    /// Conventions that the text asked for.
    pub asked: Conventions,
}

impl Answer {
    /// How many row and size pairs speak against the text, and how many were not read.
    pub fn faults(&self) -> (usize, usize) {
        let all = self.rows.iter().flat_map(|row| &row.sizes);
        all.fold((0, 0), |(wrong, unread), outcome| match outcome {
            Outcome::Wrong(_) => (wrong + 1, unread),
            Outcome::Unread(_) => (wrong, unread + 1),
            _ => (wrong, unread),
        })
    }
}

/// What a text settles, said or by its counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Settled {
    /// The reading under which it holds best.
    pub conventions: Conventions,
    /// What it asked for; the rest it leaves open.
    pub asked: Conventions,
}

/// Finds the conventions under which the text holds best, the likelier first.
pub fn settle(text: &str) -> Settled {
    let mut best: Option<((usize, usize), Settled)> = None;
    'all: for in_all in [false, true] {
        for skipped in [0, 0b1_1000, 0b1_1100] {
            // 3 and 4 count and 2 does not: the habit of the trade, then everything else.
            for counted in [0b11_1000, 0, 0b11_1100, 0b100, 0b1000, 0b1100, 0b1_0000, 0b1_1000, 0b10_1000, 0b11_0000] {
                let conventions = Conventions { counted, skipped, in_all };
                let answer = work(text, conventions);
                let faults = answer.faults();
                if best.is_none_or(|(least, _)| faults < least) {
                    best = Some((faults, Settled { conventions, asked: answer.asked }));
                }
                if faults == (0, 0) {
                    break 'all;
                }
            }
        }
    }
    let Some((least, mut settled)) = best else { return Settled::default() };
    // What makes no difference is not settled.
    for bit in settled.asked.bits() {
        if work(text, settled.conventions.differing(bit)).faults() <= least {
            settled.asked = settled.asked.differing(bit);
        }
    }
    settled
}

/// Works a text that differs a little from one that is settled: what that one left open may be read either way.
pub fn work_as(text: &str, settled: Settled) -> Answer {
    let mut best = work(text, settled.conventions);
    let open = best.asked.differing(best.asked.both(settled.asked));
    for bit in open.bits() {
        let other = work(text, settled.conventions.differing(bit));
        if other.faults() < best.faults() {
            best = other;
        }
    }
    best
}

/// Works the text in every size.
pub fn work(text: &str, conventions: Conventions) -> Answer {
    let book = Book::of(text);
    let words = Vocabulary::of(text);
    let mut rows: Vec<Row> = Vec::new();
    let count = book.size_count();
    for (i, (_, kind)) in book.lines.iter().enumerate() {
        if matches!(kind, Kind::Row | Kind::Loose) {
            rows.push(Row { line: i + 1, sizes: vec![Outcome::NotWorked; count] });
        }
    }
    let mut asked = Conventions::default();
    for size in 0..count {
        let mut maker = Maker::new(&book, &words, conventions, size);
        for (line, outcome) in maker.work() {
            if let Some(row) = rows.iter_mut().find(|row| row.line == line) {
                row.sizes[size] = outcome;
            }
        }
        let more = maker.asked.get();
        asked.counted |= more.counted;
        asked.skipped |= more.skipped;
        asked.in_all |= more.in_all;
    }
    Answer { sizes: book.sizes, rows, asked }
}

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
struct Maker {
    lines: Vec<Planned>,
    not_worked: Vec<usize>,
    conventions: Conventions,
    asked: Cell<Conventions>,
    /// One, if the edge of a row counts as an own stitch.
    edge: u64,
}

/// What stands below, and what may be referred to.
#[derive(Debug, Clone)]
struct State {
    below: Below,
    /// Trees by row number, of this piece.
    known: HashMap<u64, (Way, Tree)>,
    last: Option<(Way, Tree)>,
    /// Stitches left unworked, by row.
    unworked: HashMap<u64, u64>,
}

impl Maker {
    fn new(book: &Book, words: &Vocabulary, conventions: Conventions, size: usize) -> Self {
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
                    rejoined |= low.contains("rejoin") || low.contains("join yarn");
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

    fn work(&mut self) -> Vec<(usize, Outcome)> {
        let mut outcomes: Vec<(usize, Outcome)> = self.not_worked.iter().map(|l| (*l, Outcome::NotWorked)).collect();
        let mut state = State { below: Below::Unknown, known: HashMap::new(), last: None, unworked: HashMap::new() };
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
            state.last = None;
        }
        let tree = match &planned.tree {
            Ok(tree) => tree,
            Err((why, printed)) => {
                state.below = count::stitches(printed).map_or(Below::Unknown, |n| resized(&Below::Unknown, n));
                state.last = None;
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
        let mut run: Vec<(Way, Tree)> = Vec::new();
        if let Some(again) = &tree.again {
            match repeated(again, state, rows, planned.loose) {
                Ok((mut trees, fits)) => {
                    if let Some(times) = again.brackets {
                        trees.iter_mut().for_each(|(_, tree)| parse::set_brackets(&mut tree.steps, times));
                    }
                    if !fits {
                        troubles.push(Contradiction::Rows);
                    }
                    run = trees;
                }
                Err(why) => return Outcome::Unread(why.to_owned()),
            }
        } else {
            run.extend(std::iter::repeat_n((planned.way, tree.clone()), usize::try_from(rows.min(5000)).unwrap_or(1)));
        }
        let mut made = None;
        let mut own = Vec::new();
        for (k, (way, one)) in run.iter().enumerate() {
            if state.below == Below::Unknown && !one.steps.iter().any(makes_ring) {
                return Outcome::Unread("the row below is not known".to_owned());
            }
            let mut hand = Hand::new(&state.below, *way == Way::Round, self.conventions);
            hand.unworked.clone_from(&state.unworked);
            hand.work(&one.steps);
            if let Some(why) = hand.lost {
                return Outcome::Unread(why.to_owned());
            }
            let mut asked = self.asked.get();
            asked.counted |= hand.asked.counted;
            asked.skipped |= hand.asked.skipped;
            asked.in_all |= hand.asked.in_all;
            self.asked.set(asked);
            let counted = count::agrees(&one.printed, &hand.row, &hand.own, self.edge);
            if hand.cut_short && (one.printed.is_empty() || !counted) && !troubles.contains(&Contradiction::Divides) {
                troubles.push(Contradiction::Divides);
            }
            for what in hand.troubles {
                if !troubles.contains(&what) {
                    troubles.push(what);
                }
            }
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
            state.last = Some((*way, one.clone()));
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

fn makes_ring(step: &parse::Step) -> bool {
    use parse::{Place, Step};
    matches!(step, Step::RingMade(_) | Step::Work { place: Place::Ring, .. })
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
fn repeated(again: &Again, state: &State, rows: u64, loose: bool) -> Result<(Vec<(Way, Tree)>, bool), &'static str> {
    let mut cycle = Vec::new();
    if again.rows.is_empty() {
        cycle.push(state.last.clone().ok_or("no last row")?);
    }
    for number in &again.rows {
        cycle.push(state.known.get(number).cloned().ok_or("a row that is not there")?);
    }
    let length = cycle.len() as u64;
    let times = match again.times {
        Some(times) => times,
        None if loose => 1,
        None if rows % length == 0 => rows / length,
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

/// What a change in one line changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Nothing that is worked: a colour, a remark.
    Nothing,
    /// The number of the row.
    Header,
    /// The printed count.
    Count,
    /// Which rows are worked again, or how often.
    Reference,
    /// A foundation.
    Foundation,
    /// What is worked.
    Work,
    /// The line is no longer one that can be read.
    Unread,
}

/// Lines of the text, from 1, that are rows, foundations or repeats of rows.
pub fn row_lines(text: &str) -> Vec<usize> {
    let book = Book::of(text);
    let lines = book.lines.iter().enumerate();
    lines.filter(|(_, (_, kind))| matches!(kind, Kind::Row | Kind::Loose)).map(|(i, _)| i + 1).collect()
}

/// The part of a line, from 1, that differs between two texts.
pub fn part(before: &str, after: &str, line: usize) -> Part {
    let words = Vocabulary::of(before);
    let (one, other) = (Book::of(before), Book::of(after));
    let (Some((a, kind)), Some((b, _))) = (one.lines.get(line - 1), other.lines.get(line - 1)) else {
        return Part::Unread;
    };
    let mut found = Part::Nothing;
    for size in 0..one.size_count() {
        let guard = one.lines[..line]
            .iter()
            .rev()
            .find_map(|(_, kind)| if let Kind::Guard(g) = kind { Some(g.as_slice()) } else { None });
        let (Ok(a), Ok(b)) = (one.project_for(a, size, guard), one.project_for(b, size, guard)) else {
            return Part::Unread;
        };
        let (x, y) = (one.header(&a), one.header(&b));
        // A word of the header is no word of the trade.
        if x.is_some() != y.is_some() {
            return Part::Nothing;
        }
        if x.as_ref().map(|h| h.numbers) != y.as_ref().map(|h| h.numbers) {
            return Part::Header;
        }
        let body = |line: &str, header: Option<text::Header>| header.map_or_else(|| line.to_owned(), |h| h.body);
        let trees = (parse::row(&body(&a, x), &words), parse::row(&body(&b, y), &words));
        let (Ok(a), Ok(b)) = trees else { return Part::Unread };
        let differs = if a.again != b.again {
            Part::Reference
        } else if a.steps != b.steps {
            if *kind == Kind::Loose { Part::Foundation } else { Part::Work }
        } else if a.printed != b.printed {
            Part::Count
        } else {
            Part::Nothing
        };
        found = found.max(differs);
    }
    found
}

#[cfg(test)]
mod tests;
