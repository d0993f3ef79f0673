//! The graded pattern as a tree, row by row, for all sizes at once.
//!
//! Each section writes its rows for all sizes together: what the sizes share stands once, with size lists where only numbers
//! differ, and what only some sizes work is theirs alone. The tree is the reader's, so the reader's writer gives it words.

mod corners;
mod even;
mod raglan;
mod round;
mod spread;
mod taper;

use super::choices::{Detail, Known, Picked, Sections, Selected};
use super::plan::{Start, Worked};
use crate::notation::number::{Num, Numbers};
use crate::notation::token::Span;
use crate::notation::tree::{
    Act, Again, Extent, Place, Repeat, Row, RowNumbers, RowWord, Rows, SizeSet, Stated, Step, Target, Unit, Work,
};
use crate::standards::{StitchId, stitch};
use crate::verify::Reading;

/// A line of the pattern.
#[derive(Debug, Clone)]
pub(super) enum Line {
    /// The name of a section.
    Section(String),
    /// A row, and its words where they are the designer's own.
    Row { row: Row, words: Option<String> },
    /// Where a section ends: something to measure can be said here.
    End { node: usize },
}

/// A piece as it is written.
#[derive(Debug, Clone)]
pub(super) struct Written {
    pub piece: usize,
    pub lines: Vec<Line>,
}

/// Numbers of the rows of a section in one size: the first and the last.
pub(super) type RowNumbersOf = Option<(u64, u64)>;

/// Everything written.
pub(super) struct Manuscript {
    pub numbers: Numbers,
    pub pieces: Vec<Written>,
    /// For each section and size: the numbers of its rows.
    pub rows: Vec<Vec<RowNumbersOf>>,
    /// For each section and size: the number and the count of the spread round before it.
    pub spreads: Vec<Vec<Option<u64>>>,
    /// For each size: the numbers that it leaves out, by piece.
    pub left_out: Vec<Vec<(usize, u64)>>,
}

/// Writes all pieces.
pub(super) fn write(sections: &Sections<'_>, selected: Selected<'_>) -> Manuscript {
    let sizes = sections.plan.sizes.len();
    let mut manuscript = Manuscript {
        numbers: Numbers::default(),
        pieces: Vec::new(),
        rows: vec![vec![None; sizes]; sections.known.len()],
        spreads: vec![vec![None; sizes]; sections.known.len()],
        left_out: vec![Vec::new(); sizes],
    };
    for piece in 0..sections.plan.pieces.len() {
        let mut hand = Hand {
            sizes,
            worked: sections.plan.pieces[piece].worked,
            numbers: &mut manuscript.numbers,
            next: vec![1; sizes],
            lines: Vec::new(),
            left_out: vec![Vec::new(); sizes],
        };
        for (node, known) in sections.known.iter().enumerate().filter(|(_, known)| known.at.piece == piece) {
            let picked: Vec<Picked<'_>> = (0..sizes).map(|size| selected.picked(node, size)).collect();
            let below: Option<(Vec<Picked<'_>>, Vec<u64>)> = (0..sizes)
                .map(|size| selected.below(node, size))
                .collect::<Option<Vec<_>>>()
                .map(|all| all.into_iter().unzip());
            let from = hand.next.clone();
            hand.lines.push(Line::Section(known.section.name.clone()));
            if let Some((parents, below)) = &below {
                if let Some(Start::Sleeve(_)) = known.start {
                    hand.take_up_sleeve(known, parents, below);
                }
                let entries: Vec<u64> = picked.iter().map(|picked| picked.choice.entry).collect();
                for size in hand.spread(known, below, &entries) {
                    manuscript.spreads[node][size] = Some(entries[size]);
                }
            }
            hand.section(known, &picked);
            for (size, (first, next)) in from.into_iter().zip(&hand.next).enumerate() {
                manuscript.rows[node][size] = (*next > first).then(|| (first, next - 1));
            }
            hand.lines.push(Line::End { node });
        }
        for (size, left_out) in hand.left_out.iter().enumerate() {
            manuscript.left_out[size].extend(left_out.iter().map(|number| (piece, *number)));
        }
        let lines = std::mem::take(&mut hand.lines);
        manuscript.pieces.push(Written { piece, lines });
    }
    manuscript
}

/// The hand that writes a piece down.
struct Hand<'a> {
    sizes: usize,
    worked: Worked,
    numbers: &'a mut Numbers,
    /// The number of the next row in each size.
    next: Vec<u64>,
    lines: Vec<Line>,
    /// Numbers that a size leaves out.
    left_out: Vec<Vec<u64>>,
}

/// The words of a row: steps, or the designer's own.
enum Body {
    Steps(Vec<Step>),
    Words(String),
}

impl Hand<'_> {
    fn section(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        match picked.first().map(|picked| picked.detail) {
            Some(Detail::Circle { .. }) => self.circle(known, picked),
            Some(Detail::Even) => self.even(known, picked),
            Some(Detail::Taper { .. }) => self.taper(known, picked),
            Some(Detail::Rounds { .. }) => self.rounds(known, picked),
            Some(Detail::CircularYoke { .. }) => self.circular_yoke(known, picked),
            Some(Detail::Oval { .. }) => self.oval(known, picked),
            Some(Detail::Polygon { .. }) => self.polygon(known, picked),
            Some(Detail::Triangle { .. }) => self.triangle(known, picked),
            Some(Detail::Raglan { .. }) => self.raglan(known, picked),
            None => {}
        }
    }

    fn all(&self) -> Vec<usize> {
        (0..self.sizes).collect()
    }

    /// A number that is one in each of these sizes, and nothing in the others.
    fn number(&mut self, among: &[usize], value: impl Fn(usize) -> u64) -> Num {
        let values: Vec<u64> = among.iter().map(|size| value(*size)).collect();
        match values.split_first() {
            Some((first, rest)) if rest.iter().all(|value| value == first) => self.numbers.whole(*first),
            _ => {
                let list: Vec<Option<u64>> =
                    (0..self.sizes).map(|size| among.contains(&size).then(|| value(size))).collect();
                self.numbers.list(&list)
            }
        }
    }

    /// One row for some sizes.
    fn row(&mut self, among: &[usize], body: Body, count: impl Fn(usize) -> u64) {
        if among.is_empty() {
            return;
        }
        let next = self.next.clone();
        let number = self.number(among, |size| next[size]);
        self.push(among, RowNumbers::One(number), body, &count);
        self.advance(among, |_| 1);
    }

    /// The same row several times over, so many in each size; sizes that work none are left out.
    fn range(&mut self, among: &[usize], rows: impl Fn(usize) -> u64, body: Body, count: impl Fn(usize) -> u64) {
        let among: Vec<usize> = among.iter().copied().filter(|size| rows(*size) > 0).collect();
        if among.iter().all(|size| rows(*size) == 1) {
            return self.row(&among, body, count);
        }
        let next = self.next.clone();
        let from = self.number(&among, |size| next[size]);
        let to = self.number(&among, |size| next[size] + rows(size) - 1);
        self.push(&among, RowNumbers::Range(from, to), body, &count);
        self.advance(&among, rows);
    }

    /// Rows that were written are worked again: in each size the rows `first(size)` to `last(size)`, `times(size)` times.
    fn again(
        &mut self,
        among: &[usize],
        first: impl Fn(usize) -> u64,
        last: impl Fn(usize) -> u64,
        times: impl Fn(usize) -> u64,
        count: impl Fn(usize) -> u64,
    ) {
        let among: Vec<usize> = among.iter().copied().filter(|size| times(*size) > 0).collect();
        if among.is_empty() {
            return;
        }
        let once = among.iter().all(|size| times(*size) == 1);
        let alike = among.iter().all(|size| first(*size) == first(among[0]) && last(*size) == last(among[0]));
        let block = |size: usize| last(size) - first(size) + 1;
        let latest = among.iter().all(|size| last(*size) + 1 == self.next[*size]);
        let times_number = self.number(&among, &times);
        let again = if latest && !alike {
            // Numbers that differ from size to size are harder to follow than how many rows it is.
            let count = self.number(&among, block);
            let times = (!once).then_some(Extent::More(times_number));
            Again { rows: Rows::Last(count), times, of: None }
        } else {
            let (from, to) = (self.number(&among, &first), self.number(&among, &last));
            let single = among.iter().all(|size| block(*size) == 1);
            Again {
                rows: Rows::Numbers(vec![(from, if single { from } else { to })]),
                times: (!once).then_some(Extent::Times(times_number)),
                of: None,
            }
        };
        let body = Body::Steps(vec![step(Act::Again(again))]);
        let rows = |size: usize| (last(size) - first(size) + 1) * times(size);
        self.range(&among, rows, body, count);
    }

    fn push(&mut self, among: &[usize], numbers: RowNumbers, body: Body, count: &dyn Fn(usize) -> u64) {
        let stated = Stated { span: Span::default(), parts: vec![(self.number(among, count), Unit::Stitches)] };
        let sizes = if among.len() == self.sizes {
            SizeSet::ALL
        } else {
            SizeSet(among.iter().fold(0, |set, size| set | 1 << size))
        };
        let (steps, words) = match body {
            Body::Steps(steps) => (steps, None),
            Body::Words(words) => (Vec::new(), Some(words)),
        };
        let row = Row {
            span: Span::default(),
            label: Span::default(),
            word: if self.worked.is_round() { RowWord::Round } else { RowWord::Row },
            numbers,
            sizes,
            steps,
            rivals: Vec::new(),
            stated: Some(stated),
            reading: Reading::Read,
        };
        self.lines.push(Line::Row { row, words });
    }

    /// Counts rows on. As long as all sizes have worked as many, a row of some sizes only keeps its number to itself: the
    /// others leave that number out, and all go on with the same one.
    fn advance(&mut self, among: &[usize], rows: impl Fn(usize) -> u64) {
        let alike = self.next.iter().all(|next| *next == self.next[0]);
        let one = among.iter().all(|size| rows(*size) == 1);
        if alike && one && among.len() < self.sizes {
            for size in 0..self.sizes {
                if !among.contains(&size) {
                    self.left_out[size].push(self.next[size]);
                }
                self.next[size] += 1;
            }
            return;
        }
        for size in among {
            self.next[*size] += rows(*size);
        }
    }

    /// What begins a row or round of a stitch: the chain that gives it height.
    fn begin(&self, of: StitchId) -> Vec<Step> {
        if self.worked == Worked::Spiral {
            return Vec::new();
        }
        vec![step(Act::Chain { length: Num::small(beginning_chain(of)), counts: None })]
    }

    /// What ends it.
    fn end(&self) -> Vec<Step> {
        match self.worked {
            Worked::Spiral => Vec::new(),
            Worked::JoinedRounds => vec![step(Act::Join)],
            Worked::Rows => vec![step(Act::Turn)],
        }
    }

    /// A row of these steps with its beginning and its end.
    fn framed(&self, of: StitchId, steps: impl IntoIterator<Item = Step>) -> Body {
        let mut all = self.begin(of);
        all.extend(steps);
        all.extend(self.end());
        Body::Steps(all)
    }

    /// A row of the designer's own words with its beginning and its end, as far as she has not written them herself.
    fn framed_words(&self, of: StitchId, terms: crate::verify::Terms, words: &str) -> Body {
        let words = words.trim().trim_end_matches('.');
        let lower = words.to_lowercase();
        let mut text = String::new();
        if self.worked != Worked::Spiral && !lower.starts_with("ch ") && !lower.starts_with("ch-") {
            text.push_str(&format!("ch {}, ", beginning_chain(of)));
            text.push_str(&uncapital(words));
        } else {
            text.push_str(words);
        }
        let join = match terms {
            crate::verify::Terms::Us => ", join with sl st to first st",
            crate::verify::Terms::Uk => ", join with ss to first st",
        };
        match self.worked {
            Worked::JoinedRounds if !lower.contains("join") => text.push_str(join),
            Worked::Rows if !lower.contains("turn") => text.push_str(", turn"),
            _ => {}
        }
        Body::Words(text)
    }

    /// A line of its own without a number or a count.
    fn bare(&mut self, steps: Vec<Step>) {
        let row = Row {
            span: Span::default(),
            label: Span::default(),
            word: RowWord::None,
            numbers: RowNumbers::None,
            sizes: SizeSet::ALL,
            steps,
            rivals: Vec::new(),
            stated: None,
            reading: Reading::Read,
        };
        self.lines.push(Line::Row { row, words: None });
    }

    /// Makes the foundation: a chain, closed to a round for work in rounds.
    fn foundation(&mut self, known: &Known<'_>, count: impl Fn(usize) -> u64) {
        let all = self.all();
        let extra = if self.worked.is_round() { 0 } else { u64::from(beginning_chain(known.section.stitch)) };
        let length = self.number(&all, |size| count(size) + extra);
        let mut steps = vec![step(Act::Chain { length, counts: None })];
        if self.worked.is_round() {
            steps.push(step(Act::Join));
        }
        self.bare(steps);
        let of = known.section.stitch;
        let mut first = Vec::new();
        if self.worked.is_round() {
            first.push(work(of, 1, 1, Place::Next(Target::Chain), Extent::Fill(Num::ZERO)));
            let body = self.framed(of, first);
            self.row(&all, body, count);
        } else {
            let chains = beginning_chain(of);
            first.push(work(of, 1, 1, Place::FromHook(Num::small(chains + 1)), Extent::Times(Num::ONE)));
            if chains > 1 {
                first.push(step(Act::SkippedChains(crate::notation::tree::ChainCounts { counts: false, space: 0 })));
            }
            first.push(work(of, 1, 1, Place::Next(Target::Chain), Extent::Fill(Num::ZERO)));
            first.extend(self.end());
            self.row(&all, Body::Steps(first), count);
        }
    }
}

/// Chains at the beginning of a row that give height and count as no stitch: one less than the trade's turning chain, so
/// that no gap opens beside the first stitch, and at least one. Source: common practice.
pub(super) fn beginning_chain(of: StitchId) -> u32 {
    stitch(of).turning_chain.map_or(1, |chains| chains.saturating_sub(1).max(1))
}

fn uncapital(words: &str) -> String {
    let mut chars = words.chars();
    match chars.next() {
        Some('*' | '[' | '(') => {
            let first: String = words.chars().take(1).collect();
            format!("{first}{}", uncapital(&words[1..]))
        }
        Some(first) => first.to_lowercase().chain(chars).collect(),
        None => String::new(),
    }
}

fn step(act: Act) -> Step {
    Step { span: Span::default(), act }
}

fn work(of: StitchId, takes: u32, makes: u32, place: Place, extent: Extent) -> Step {
    step(Act::Work(Work {
        stitch: Some(of),
        takes: Num::small(takes),
        makes: Num::small(makes),
        place,
        extent,
        bare_number: false,
    }))
}

/// So many plain stitches.
fn plain(of: StitchId, count: Num) -> Step {
    work(of, 1, 1, Place::Next(Target::Any), Extent::Times(count))
}

/// The stitch in each stitch, but for the last so many.
fn fill(of: StitchId, leaving: u32) -> Step {
    work(of, 1, 1, Place::Next(Target::Any), Extent::Fill(Num::small(leaving)))
}

fn increase(of: StitchId) -> Step {
    work(of, 1, 2, Place::Next(Target::Any), Extent::Times(Num::ONE))
}

fn decrease(of: StitchId) -> Step {
    work(of, 2, 1, Place::Next(Target::Any), Extent::Times(Num::ONE))
}

fn repeat(steps: Vec<Step>, extent: Extent) -> Step {
    step(Act::Repeat(Repeat { steps, extent, stop: None }))
}

/// Sizes that agree in something, in the order of the smallest of each.
fn groups<K: PartialEq>(among: &[usize], key: impl Fn(usize) -> K) -> Vec<Vec<usize>> {
    let mut groups: Vec<(K, Vec<usize>)> = Vec::new();
    for size in among {
        let own = key(*size);
        match groups.iter_mut().find(|(key, _)| *key == own) {
            Some((_, sizes)) => sizes.push(*size),
            None => groups.push((own, vec![*size])),
        }
    }
    groups.into_iter().map(|(_, sizes)| sizes).collect()
}

/// Whether a section begins on a foundation chain.
fn on_a_chain(known: &Known<'_>) -> bool {
    known.start == Some(Start::Chain)
}
