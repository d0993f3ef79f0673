//! The body of a row: steps between separators, repeats in every marking, brackets classified by their neighbours.
//! What cannot be read stays in the tree with its span.

use super::again;
use super::count;
use super::number::{Num, Numbers};
use super::phrase;
use super::place;
use super::scan::Scan;
use super::token::{Kind, Span};
use super::tree::{Act, ChainCounts, Defined, Extent, Own, Place, Repeat, Stated, Step, Target, Work};
use super::words::Key;

/// Brackets and stars may be nested this deep; what lies deeper is unread.
pub const MAX_NESTING: u8 = 24;

/// A row's body as read.
#[derive(Debug, Clone, Default)]
pub struct Body {
    /// The steps.
    pub steps: Vec<Step>,
    /// Other readings of the same words.
    pub rivals: Vec<Vec<Step>>,
    /// The printed count.
    pub stated: Option<Stated>,
    /// For so many rows (`work even for 5 rnds`).
    pub rows: Option<Num>,
    /// A repeat had no extent; it is taken to fill the row. Where.
    pub filled: Option<Span>,
    /// A count stood on a list of the wrong length.
    pub broken_count: bool,
    /// Steps that are unread only because a list in them has the wrong length.
    pub broken_steps: usize,
}

/// Reads tokens `at..end` as a row's body.
pub fn body(
    scan: Scan<'_>,
    numbers: &mut Numbers,
    broken: &[Span],
    row: Option<u64>,
    defined: Defined,
    at: usize,
    end: usize,
) -> Body {
    let mut parser = Parser {
        scan,
        numbers,
        broken,
        at,
        depth: 0,
        wraps: 0,
        row,
        elsewhere: false,
        until_measured: false,
        defined,
        bare: Vec::new(),
        grouped_rival: None,
        body: Body::default(),
    };
    let steps = parser.sequence(end);
    if let Some((rival, from)) = parser.grouped_rival
        && let Some(rival) = parser.body.rivals.get_mut(rival)
        && from <= steps.len()
    {
        rival.extend_from_slice(&steps[from..]);
    }
    let bare = std::mem::take(&mut parser.bare);
    let mut body = parser.body;
    if !bare.is_empty() {
        // A bracket without any extent is worked once, or fills the row.
        let mut rival = steps.clone();
        for step in &mut rival {
            if let Act::Repeat(repeat) = &mut step.act
                && bare.contains(&step.span)
            {
                repeat.extent = Extent::Unsaid;
            }
        }
        body.rivals.push(rival);
    }
    body.steps = steps;
    body
}

pub(super) struct Parser<'a, 'n> {
    pub(super) scan: Scan<'a>,
    pub(super) numbers: &'n mut Numbers,
    broken: &'a [Span],
    pub(super) at: usize,
    depth: u8,
    /// Units wrapped without brackets of their own, which nest as brackets do.
    pub(super) wraps: u8,
    /// Words with the pattern's own meaning.
    pub(super) defined: Defined,
    /// The row's own number, where it has one for all sizes.
    pub(super) row: Option<u64>,
    /// The clause works into a row that is not the one below.
    pub(super) elsewhere: bool,
    /// The clause goes on until something measures so much.
    pub(super) until_measured: bool,
    /// Brackets that say nothing about how often.
    bare: Vec<Span>,
    /// A rival that goes on with the steps from there: its position, and how many steps stood in the first reading.
    pub(super) grouped_rival: Option<(usize, usize)>,
    pub(super) body: Body,
}

/// A star that waits for its repeat.
struct Open {
    first: usize,
    mark: u8,
    start: Span,
    stop: Option<usize>,
}

const DOUBLE: u8 = u8::MAX;

impl Parser<'_, '_> {
    pub(super) fn sequence(&mut self, end: usize) -> Vec<Step> {
        let mut steps: Vec<Step> = Vec::new();
        let mut open: Option<Open> = None;
        while self.at < end {
            let before = self.at;
            match self.scan.kind(self.at) {
                // "+ 4 sc, inc + 3 times": plus signs as repeat marks.
                Some(Kind::Plus)
                    if open.as_ref().is_some_and(|open| open.mark == b'+')
                        || steps.is_empty() && self.scan.starts_instruction(self.at + 1) =>
                {
                    self.star(end, b'+', &mut steps, &mut open)
                }
                // "→ 32 sc": an arrow before the count.
                Some(Kind::Odd) if self.arrow() => {
                    if !self.marked_count(end, any_order(&steps)) {
                        self.at += 1;
                    }
                }
                Some(
                    Kind::Comma
                    | Kind::Semicolon
                    | Kind::Stop
                    | Kind::Newline
                    | Kind::Odd
                    | Kind::Quote
                    | Kind::Exclamation
                    | Kind::Ampersand
                    | Kind::Plus
                    | Kind::Slash
                    | Kind::Close(_),
                ) => self.at += 1,
                Some(Kind::Dash | Kind::Equals | Kind::Colon | Kind::Times) => {
                    if !self.marked_count(end, any_order(&steps)) && !self.equals_row(end, &mut steps) {
                        self.at += 1;
                    }
                }
                // "inc*6": a star that multiplies what stands before it.
                Some(Kind::Star(b'*'))
                    if open.is_none()
                        && !steps.is_empty()
                        && self.scan.glued(self.at)
                        && self.scan.glued(self.at + 1)
                        && again::times(&self.scan, self.at, end).is_some() =>
                {
                    if let Some((extent, next)) = again::times(&self.scan, self.at, end) {
                        let span = self.scan.span(self.at);
                        self.at = next;
                        self.times_behind(span, extent, &mut steps);
                    }
                }
                Some(Kind::Star(mark)) => self.star(end, mark, &mut steps, &mut open),
                Some(Kind::DoubleStar) => self.star(end, DOUBLE, &mut steps, &mut open),
                Some(Kind::Open(_)) => self.bracket(end, &mut steps),
                Some(Kind::Number(times)) if self.times_before_bracket() => {
                    self.at += 2;
                    let before = steps.len();
                    self.bracket(end, &mut steps);
                    let unit = steps.split_off(before.min(steps.len()));
                    if let Some(first) = unit.first() {
                        let span = first.span;
                        steps.push(repeat(span, unit, Extent::Times(times), None));
                    }
                }
                Some(Kind::Word(_))
                    if self.scan.is(self.at, &[Key::And, Key::Then, Key::A]) && !self.scan.is_capital(self.at) =>
                {
                    self.at += 1
                }
                Some(Kind::Word(_)) if self.told_times(end, &mut steps) => {}
                Some(Kind::Word(_)) if self.scan.key(self.at) == Some(Key::Repeat) => {
                    self.repeat_clause(end, &mut steps, &mut open)
                }
                Some(Kind::Word(_))
                    if self.scan.key(self.at) == Some(Key::End) && open.is_none() && self.ending(end, &mut steps) => {}
                _ => self.clause(end, &mut steps),
            }
            // Every turn moves on, whatever the text.
            debug_assert!(self.at > before, "no progress at token {before}");
            self.at = self.at.max(before + 1);
        }
        if let Some(open) = open.take()
            && open.first < steps.len()
        {
            // A star without its "repeat" fills the row only where nothing else is possible: it is read so, and said so.
            let unit = steps.split_off(open.first);
            let span = open.start;
            self.body.filled = Some(span);
            steps.push(repeat(span, unit, Extent::Unsaid, open.stop.map(|stop| stop.saturating_sub(open.first))));
        }
        steps
    }

    /// `→`, `⇒`: what the row comes to.
    fn arrow(&self) -> bool {
        self.scan.span(self.at).of(self.scan.text).starts_with(['→', '⇒', '➔', '➜', '➝', '►', '▶'])
    }

    /// `6 x (sc, inc)`, `4 times [sc in next 6 sts, inc]`.
    fn times_before_bracket(&self) -> bool {
        let times = self.scan.is(self.at + 1, &[Key::X, Key::Time]) || self.scan.kind(self.at + 1) == Some(Kind::Times);
        times && matches!(self.scan.kind(self.at + 2), Some(Kind::Open(_)))
    }

    /// A repeat mark: it opens a unit, closes one, or (two stars inside a unit) marks where the last pass stops.
    fn star(&mut self, end: usize, mark: u8, steps: &mut Vec<Step>, open: &mut Option<Open>) {
        let span = self.scan.span(self.at);
        match open {
            Some(unit) if unit.mark == mark && unit.first < steps.len() => {
                self.at += 1;
                let (first, start, stop) = (unit.first, unit.start, unit.stop);
                *open = None;
                self.close(end, steps, first, start, stop);
            }
            Some(unit) if mark == DOUBLE => {
                self.at += 1;
                unit.stop = Some(steps.len());
            }
            Some(_) => self.at += 1,
            None => {
                self.at += 1;
                *open = Some(Open { first: steps.len(), mark, start: span, stop: None });
            }
        }
    }

    /// A closed pair of marks; what follows says how often.
    fn close(&mut self, end: usize, steps: &mut Vec<Step>, first: usize, start: Span, stop: Option<usize>) {
        let unit = steps.split_off(first);
        let stop = stop.map(|stop| stop.saturating_sub(first));
        let mut i = self.at;
        if matches!(self.scan.kind(i), Some(Kind::Comma | Kind::Semicolon | Kind::Stop))
            && self.scan.key(i + 1) == Some(Key::Repeat)
        {
            i += 1;
        }
        if let Some((extent, next)) = again::times(&self.scan, i, end) {
            self.at = next;
            let stop = self.stops(end, stop);
            steps.push(repeat(start.to(self.scan.span(next - 1)), unit, extent, stop));
        } else {
            self.body.filled = Some(start);
            steps.push(repeat(start.to(self.scan.span(self.at - 1)), unit, Extent::Unsaid, None));
        }
    }

    /// `, ending last rep at **`: whether the last pass stops at the mark.
    fn stops(&mut self, end: usize, stop: Option<usize>) -> Option<usize> {
        let stop = stop?;
        let mut i = self.at;
        let mut seen = false;
        while i < end && i < self.at + 10 {
            match self.scan.kind(i) {
                Some(Kind::DoubleStar) if seen => {
                    self.at = i + 1;
                    return Some(stop);
                }
                Some(Kind::Comma | Kind::Semicolon | Kind::Word(_)) => {
                    seen |= self.scan.is(i, &[Key::End, Key::StopWord])
                        || self.scan.span(i).of(self.scan.text).eq_ignore_ascii_case("stopping");
                }
                _ => return None,
            }
            i += 1;
        }
        None
    }

    /// `rep from * around`, `repeat from * to * 3 more times`, `Rep Row 2`, `repeat around`.
    fn repeat_clause(&mut self, end: usize, steps: &mut Vec<Step>, open: &mut Option<Open>) {
        let start = self.at;
        if let Some((act, next)) = again::rows(&self.scan, start, end) {
            let span = self.scan.span(start).to(self.scan.span(next - 1));
            self.at = next;
            steps.push(Step { span, act });
            return;
        }
        // "repeat [ … ] across": the bracket brings its own extent.
        if matches!(self.scan.kind(start + 1), Some(Kind::Open(_)))
            && !self.only_marks(start + 1, end)
            && self
                .scan
                .closing(start + 1, end)
                .is_some_and(|close| count::count(&self.scan, start + 2, close).is_none())
        {
            self.at += 1;
            return;
        }
        let (extent, next) = again::times(&self.scan, start, end).unwrap_or((Extent::Unsaid, start + 1));
        self.at = next;
        let span = self.scan.span(start).to(self.scan.span(next - 1));
        match open.take() {
            Some(unit) if unit.first < steps.len() => {
                let inner = steps.split_off(unit.first);
                let stop = unit.stop.map(|stop| stop.saturating_sub(unit.first));
                let partial = self.partial_after(end, stop);
                let stop_here = self.stops(end, stop);
                if extent == Extent::Unsaid {
                    self.body.filled = Some(span);
                }
                let tail = partial.then(|| inner[..stop.unwrap_or(inner.len()).min(inner.len())].to_vec());
                steps.push(repeat(unit.start.to(span), inner, extent, stop_here));
                steps.extend(tail.into_iter().flatten());
            }
            _ => {
                // No mark says where the unit begins: everything since the beginning of the row, a chain there apart.
                let first = unmarked_start(steps);
                if first < steps.len() && self.wrap() {
                    let unit = steps.split_off(first);
                    if let [Step { act: Act::Repeat(inner), .. }] = unit.as_slice()
                        && inner.extent == Extent::Unsaid
                    {
                        let inner = inner.clone();
                        steps.push(Step { span: unit[0].span.to(span), act: Act::Repeat(Repeat { extent, ..inner }) });
                        return;
                    }
                    if extent == Extent::Unsaid {
                        self.body.filled = Some(span);
                    }
                    steps.push(repeat(span, unit, extent, None));
                } else {
                    steps.push(Step { span, act: Act::Unread });
                }
            }
        }
    }

    /// `[`, `]` used as marks: "repeat from [ to ]".
    fn only_marks(&self, at: usize, end: usize) -> bool {
        self.scan.closing(at, end).is_none_or(|close| close == at + 1)
    }

    /// `9 times more, then from * to ** once`.
    fn partial_after(&mut self, end: usize, stop: Option<usize>) -> bool {
        let mut i = self.at;
        while matches!(self.scan.kind(i), Some(Kind::Comma | Kind::Semicolon))
            || self.scan.is(i, &[Key::Then, Key::And, Key::Repeat, Key::Work])
        {
            i += 1;
        }
        if stop.is_none() || self.scan.key(i) != Some(Key::From) || i == self.at {
            return false;
        }
        let marks = matches!(self.scan.kind(i + 1), Some(Kind::Star(_)))
            && self.scan.key(i + 2) == Some(Key::To)
            && matches!(self.scan.kind(i + 3), Some(Kind::DoubleStar));
        if !marks || i + 3 >= end {
            return false;
        }
        self.at = i + 4;
        if self.scan.key(self.at) == Some(Key::Once) {
            self.at += 1;
        }
        if self.scan.key(self.at) == Some(Key::More) {
            self.at += 1;
        }
        true
    }

    /// `ending with sc in last 2 sts`, `end 1 dc in last st`: what follows is worked after the repeat.
    fn ending(&mut self, end: usize, steps: &mut [Step]) -> bool {
        let mut i = self.at + 1;
        if i >= end || steps.is_empty() {
            return false;
        }
        // "ending last rep with 3 dc in last sc": that takes the place of the last stitches.
        if self.scan.key(i) == Some(Key::Last) && self.scan.key(i + 1) == Some(Key::Repeat) {
            i += 2;
            if self.scan.key(i) == Some(Key::With) {
                self.omit_last(steps);
            }
        }
        let replaces = self.ends_in_place_of(i, end, steps);
        if self.scan.key(i) == Some(Key::With) {
            i += 1;
        }
        if replaces {
            self.omit_last(steps);
        }
        let instructs = self.scan.starts_instruction(i) && self.scan.key(i) != Some(Key::In);
        if instructs {
            self.at = i;
        }
        instructs
    }

    /// "…, dc in next dc; rep from * across, ending with dc in top of ch": the last stitch goes there instead of into a dc.
    fn ends_in_place_of(&self, at: usize, end: usize, steps: &[Step]) -> bool {
        let at = if self.scan.key(at) == Some(Key::With) { at + 1 } else { at };
        let Some(Act::Repeat(unit)) =
            steps.iter().rev().find(|step| !matches!(step.act, Act::Aside)).map(|step| &step.act)
        else {
            return false;
        };
        if unit.stop.is_some() || !matches!(unit.extent, Extent::Fill(_) | Extent::Unsaid) {
            return false;
        }
        let number = self.scan.number(at).is_some();
        let Some(making) = self.scan.making(if number { at + 1 } else { at }) else { return false };
        let Some(found) = place::place(&self.scan, making.next, end) else { return false };
        let into_chain = found.place == Place::Next(Target::TurningChain);
        let last = unit.steps.iter().rev().find(|step| !matches!(step.act, Act::Aside));
        into_chain
            && unit.steps.len() > 1
            && matches!(last.map(|step| &step.act), Some(Act::Work(work)) if work.stitch == making.stitch
                && work.makes == Num::ONE
                && work.extent == Extent::Times(Num::ONE)
                && matches!(work.place, Place::Next(Target::Any | Target::Kind(_))))
    }

    /// A bracket: repeat, group in one place, count, attribute of the chain before it, or an aside.
    fn bracket(&mut self, end: usize, steps: &mut Vec<Step>) {
        let start = self.at;
        let Some(close) = self.scan.closing(start, end) else {
            self.at += 1;
            return;
        };
        let span = self.scan.span(start).to(self.scan.span(close));
        if close == start + 1 {
            self.at = close + 1;
            return;
        }
        if self.depth >= MAX_NESTING {
            self.at = close + 1;
            steps.push(Step { span, act: Act::Unread });
            return;
        }
        if let Some(counts) = phrase::counts_as(&self.scan, start + 1, close) {
            self.at = close + 1;
            self.attach(counts, span, steps);
            return;
        }
        // "(6 times)", "(rep 30 times)" behind a unit.
        if let Some((extent, next)) = again::times(&self.scan, start + 1, close)
            && next == close
            && !steps.is_empty()
        {
            self.at = close + 1;
            self.times_behind(span, extent, steps);
            return;
        }
        // "(counts as last ch-5 lp)", "(beg cl made)", "(center dc of shell)": said of what stands before.
        let said = (start + 1..close)
            .any(|i| self.scan.key(i) == Some(Key::Count) && self.scan.is(i + 1, &[Key::As, Key::For]))
            || self.scan.key(close - 1) == Some(Key::Made)
            || self.scan.key(start + 1) == Some(Key::First) && close == start + 3 && self.scan.own(start + 2).is_some()
            || self.scan.is(start + 1, &[Key::Center, Key::Corner])
                && again::bracket_suffix(&self.scan, close + 1, end).is_none()
            || self.scan.is(start + 1, &[Key::Same]) && again::bracket_suffix(&self.scan, close + 1, end).is_none()
            || place::place(&self.scan, start + 1, close)
                .is_some_and(|found| found.next == close && found.place == Place::Next(Target::TurningChain))
            || self.scan.is(start + 1, &[Key::Work])
                && (self.scan.is(start + 2, &[Key::In, Key::Over])
                    || self.scan.span(start + 2).of(self.scan.text).eq_ignore_ascii_case("behind"))
            || self.tells_which(start + 1)
            || self.says_where_it_lands(start + 1, close);
        if said && !steps.is_empty() {
            self.at = close + 1;
            let called = (start + 1..close).find_map(|i| self.scan.own(i));
            steps.push(Step { span, act: called.map_or(Act::Aside, Act::Called) });
            return;
        }
        let suffix = again::bracket_suffix(&self.scan, close + 1, end);
        // "(A) 5 sc" is no group: a group goes *into* something.
        let into = after_all(&self.scan, close + 1);
        let goes_in = suffix.is_none() && self.scan.is(into, &[Key::In, Key::Over, Key::Onto]);
        let group = if goes_in { place::place(&self.scan, into, end) } else { None };
        if suffix.is_none() && group.is_none() {
            if let Some(stated) = self.count_inside(start + 1, close) {
                self.at = close + 1;
                // "(64, 68, 72) sc": the unit stands behind the bracket.
                let goes_on = self.scan.is(
                    self.at,
                    &[Key::Fasten, Key::FastenOff, Key::Break, Key::Cut, Key::Tie, Key::Turn, Key::Join, Key::Change],
                );
                if !goes_on
                    && let Some((unit, next)) = count::unit(&self.scan, self.at, end)
                    && next > self.at
                    && (next >= end
                        || matches!(self.scan.kind(next), Some(Kind::Stop | Kind::Newline | Kind::Close(_))))
                    && let Some(mut stated) = stated.clone()
                    && let [(_, own)] = stated.parts.as_mut_slice()
                {
                    *own = unit;
                    self.body.stated = Some(stated);
                    self.at = next;
                    return;
                }
                // "[13] (12)": two counts that differ are no count.
                if let (Some(before), Some(now)) = (&self.body.stated, &stated)
                    && before.parts != now.parts
                {
                    steps.push(Step { span, act: Act::Unread });
                    return;
                }
                if stated.is_some() {
                    self.body.stated = stated;
                }
                return;
            }
            if !self.instructs(start + 1, close) {
                self.at = close + 1;
                // A number among stitch words that is no count is not passed over.
                let counts = self.scan.number(start + 1).is_some()
                    && !self.scan.is(start + 2, &[Key::Row, Key::Rows, Key::Round, Key::Rounds, Key::R])
                    || self.scan.is(start + 1, &[Key::Stitch])
                        && (start + 1..close).any(|i| self.scan.number(i).is_some());
                let measure =
                    (start + 1..close).any(|i| matches!(self.scan.kind(i), Some(Kind::Quote | Kind::Decimal)));
                steps.push(Step { span, act: if counts && !measure { Act::Unread } else { Act::Aside } });
                return;
            }
        }
        // "[2x: inc, 2 sc]": an inner number before the unit.
        let mut first = start + 1;
        let mut inner_times = None;
        if let (Some(number), Some(Key::X) | None) = (self.scan.number(first), self.scan.key(first + 1))
            && self.scan.key(first + 1) == Some(Key::X)
            && matches!(self.scan.kind(first + 2), Some(Kind::Colon))
        {
            inner_times = Some(number);
            first += 3;
        }
        self.depth += 1;
        self.at = first;
        let outer = self.body.stated.take();
        let mut inner = self.sequence(close);
        self.body.stated = outer;
        self.depth -= 1;
        if let Some(times) = inner_times {
            inner = vec![repeat(span, inner, Extent::Times(times), None)];
        }
        self.at = close + 1;
        if let Some((extent, next)) = suffix {
            self.at = next;
            let span = span.to(self.scan.span(next - 1));
            if let [Step { act: Act::Again(again), .. }] = inner.as_slice() {
                // "[Rep Rows 3 and 4] 5 times"
                let again = super::tree::Again { rows: again.rows.clone(), times: Some(extent), of: again.of };
                steps.push(Step { span, act: Act::Again(again) });
            } else if self.is_broken(Span { start: self.scan.span(close).end, end: span.end }) {
                self.body.broken_steps += 1;
                steps.push(Step { span, act: Act::Unread });
            } else if matches!(extent, Extent::Times(_))
                && self.scan.is(next, &[Key::In])
                && let Some(found) = place::place(&self.scan, next, end)
                && !inner.iter().any(|step| matches!(&step.act, Act::Work(work) if !matches!(work.place, Place::Next(Target::Any) | Place::Same)))
            {
                // "(sc, ch 5) twice in same arch"
                self.at = found.next;
                let inner = vec![repeat(span, inner, extent, None)];
                let extent = found.extent.unwrap_or(Extent::Times(Num::ONE));
                steps.push(Step { span, act: Act::Group { steps: inner, place: found.place, extent } });
            } else {
                steps.push(repeat(span, inner, extent, None));
            }
        } else if let Some(found) = group {
            self.at = found.next;
            let span = span.to(self.scan.span(found.next - 1));
            let extent = found.extent.unwrap_or(Extent::Times(Num::ONE));
            if self.is_broken(span) {
                self.body.broken_steps += 1;
                steps.push(Step { span, act: Act::Unread });
            } else {
                steps.push(Step { span, act: Act::Group { steps: inner, place: found.place, extent } });
            }
        } else if self.depth == 0 && inner.len() > 1 && self.bare.len() < 4 {
            self.bare.push(span);
            steps.push(repeat(span, inner, Extent::Times(Num::ONE), None));
        } else {
            steps.extend(inner);
        }
    }

    /// `(the one that holds the first sc)`, `(the one with the beginning)`: which place was meant.
    fn tells_which(&self, at: usize) -> bool {
        let word = self.scan.span(at + 2).of(self.scan.text);
        self.scan.key(at) == Some(Key::The)
            && self.scan.number(at + 1) == Some(Num::ONE)
            && (self.scan.is(at + 2, &[Key::That, Key::With, Key::Just, Key::Where, Key::At, Key::In])
                || ["which", "right", "nearest"].iter().any(|which| word.eq_ignore_ascii_case(which)))
    }

    /// `= last ch-5 loop`, `that is the 3rd ch of ch 4`, `the last one sits in the top of ch 3`: words about what was just
    /// worked.
    fn says_where_it_lands(&self, at: usize, close: usize) -> bool {
        let last = |i: usize| self.scan.key(i) == Some(Key::Last);
        let told = matches!(self.scan.kind(at), Some(Kind::Equals))
            || self.scan.is(at, &[Key::That, Key::This])
            || self.scan.span(at).of(self.scan.text).eq_ignore_ascii_case("which")
            || last(at)
            || self.scan.key(at) == Some(Key::The) && last(at + 1);
        told && again::bracket_suffix(&self.scan, close + 1, close + 8).is_none()
    }

    /// `x 6` or `(6 times)` behind a step without brackets: of that step, or of everything before it.
    pub(super) fn times_behind(&mut self, span: Span, extent: Extent, steps: &mut Vec<Step>) {
        let first = unmarked_start(steps);
        if steps.len() > first + 1 && self.body.rivals.len() < 4 {
            let mut rival = steps.clone();
            let unit = rival.split_off(first);
            rival.push(repeat(span, unit, extent, None));
            self.body.rivals.push(rival);
        }
        if !self.wrap() {
            steps.push(Step { span, act: Act::Unread });
            return;
        }
        if let Some(last) = steps.pop() {
            let whole = last.span.to(span);
            steps.push(repeat(whole, vec![last], extent, None));
        }
    }

    /// Whether one more unit may be wrapped around what stands before it.
    pub(super) fn wrap(&mut self) -> bool {
        self.wraps = self.wraps.saturating_add(1);
        self.wraps <= MAX_NESTING
    }

    fn count_inside(&mut self, at: usize, end: usize) -> Option<Option<Stated>> {
        let stated = count::count(&self.scan, at, end)?;
        if self.is_broken(stated.span) {
            self.body.broken_count = true;
            return Some(None);
        }
        Some(Some(stated))
    }

    /// `= 24 sc`, `– 24 sts.`, `: 24 sc.` at the end of the row or before its join and turn.
    fn marked_count(&mut self, end: usize, worked: bool) -> bool {
        if !worked
            || self.scan.number(self.at + 1).is_none()
                && !matches!(self.scan.kind(self.at + 1), Some(Kind::Open(_)))
                && self.scan.key(self.at + 1) != Some(Key::Total)
        {
            return false;
        }
        let mut stop = self.at + 1;
        while stop < end
            && stop < self.at + 60
            && !matches!(
                self.scan.kind(stop),
                Some(Kind::Stop | Kind::Semicolon | Kind::Newline | Kind::Dash | Kind::Equals)
            )
            && !self.scan.is(stop, &[Key::Turn, Key::Join, Key::Fasten, Key::FastenOff, Key::Repeat])
        {
            // A hyphen glued on both sides belongs to "ch-1 sps".
            stop += 1;
            if self.scan.kind(stop) == Some(Kind::Dash) && self.scan.glued(stop) && self.scan.glued(stop + 1) {
                stop += 1;
            }
        }
        let mut last = stop;
        while last > self.at + 1 && matches!(self.scan.kind(last - 1), Some(Kind::Comma)) {
            last -= 1;
        }
        let Some(stated) = self.count_inside(self.at + 1, last) else { return false };
        self.body.stated = stated;
        self.at = stop;
        true
    }

    /// `5th round = 2nd round`.
    fn equals_row(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        if self.scan.kind(self.at) != Some(Kind::Equals) {
            return false;
        }
        let Some((act, next)) = again::reference(&self.scan, self.at + 1, end) else { return false };
        let span = self.scan.span(self.at).to(self.scan.span(next - 1));
        self.at = next;
        steps.push(Step { span, act });
        true
    }

    /// What the text says about counting goes to the chain before it.
    pub(super) fn attach(&mut self, counts: ChainCounts, span: Span, steps: &mut Vec<Step>) {
        for step in steps.iter_mut().rev() {
            match &mut step.act {
                Act::Chain { counts: slot, .. } => {
                    *slot = Some(counts);
                    return;
                }
                Act::Work(Work { place: Place::FromHook(_), .. })
                | Act::Group { place: Place::FromHook(_), .. }
                | Act::Own(Own { place: Some(Place::FromHook(_)), .. }) => {
                    steps.push(Step { span, act: Act::SkippedChains(counts) });
                    return;
                }
                Act::Aside | Act::Turn | Act::Join => {}
                _ => break,
            }
        }
        steps.push(Step { span, act: Act::SkippedChains(counts) });
    }

    /// Whether tokens hold an instruction at all.
    fn instructs(&self, at: usize, end: usize) -> bool {
        if self.scan.is(at, &[Key::Multiple]) || self.scan.is(at + 1, &[Key::Multiple]) {
            return false;
        }
        (at..end).any(|i| {
            self.scan.making(i).is_some()
                || self.scan.chain(i).is_some()
                || self.scan.key(i) == Some(Key::Skip)
                || self.scan.key(i) == Some(Key::Repeat)
        })
    }

    pub(super) fn is_broken(&self, span: Span) -> bool {
        let first = self.broken.partition_point(|broken| broken.end <= span.start);
        self.broken.get(first).is_some_and(|broken| broken.start < span.end)
    }

    /// Up to the next separator.
    pub(super) fn clause_end(&self, at: usize, end: usize) -> usize {
        let mut i = at;
        while i < end {
            match self.scan.kind(i) {
                Some(
                    Kind::Comma
                    | Kind::Semicolon
                    | Kind::Stop
                    | Kind::Newline
                    | Kind::Star(_)
                    | Kind::DoubleStar
                    | Kind::Exclamation,
                ) => break,
                Some(Kind::Open(_) | Kind::Close(_)) => break,
                _ => i += 1,
            }
        }
        i.max(at + 1).min(end.max(at + 1))
    }
}

/// Whether anything but remarks stands before: "Both loops: 1 sc in each st" has no count yet.
fn any_order(steps: &[Step]) -> bool {
    steps.iter().any(|step| !matches!(step.act, Act::Aside))
}

/// `(sc, dc) all in next st`: the word between bracket and place.
fn after_all(scan: &Scan<'_>, at: usize) -> usize {
    let mut i = at;
    while scan.is(i, &[Key::All, Key::Work, Key::Made]) {
        i += 1;
    }
    if i > at && scan.is(i, &[Key::In, Key::Over]) { i } else { at }
}

pub(super) fn repeat(span: Span, steps: Vec<Step>, extent: Extent, stop: Option<usize>) -> Step {
    Step { span, act: Act::Repeat(Repeat { steps, extent, stop }) }
}

/// Where an unmarked unit begins: behind the chain, ring or join at the row's beginning.
pub(super) fn unmarked_start(steps: &[Step]) -> usize {
    steps
        .iter()
        .position(|step| {
            !matches!(
                step.act,
                Act::Chain { .. } | Act::Turn | Act::Join | Act::Aside | Act::Ring | Act::SkippedChains(_)
            )
        })
        .unwrap_or(steps.len())
}
