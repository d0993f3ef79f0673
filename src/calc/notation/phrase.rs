//! One clause of a row: stitches and where they go, skips, chains, joins, asides.

mod clauses;
mod hook;
pub(super) mod lace;
pub(super) mod old_style;
mod prose;
mod stitches;

use super::again;
use super::body::Parser;
use super::number::Num;
use super::place::{self};
use super::scan::Scan;
use super::token::{Kind, Span};
use super::tree::{Act, ChainCounts, Extent, Place, Stated, Step, Target, Work};
use super::words::Key;
use crate::standards::{StitchId, StitchKind, stitch as entry};

/// What a bracket or clause says about counting a chain: `counts as dc`, `does not count as a st`, `= first tr`,
/// `counts as dc, ch 1`.
pub fn counts_as(scan: &Scan<'_>, at: usize, end: usize) -> Option<ChainCounts> {
    let mut negated = false;
    let mut found = None;
    // "(for 1st d c)", "(= 1 tr)"
    if scan.key(at) == Some(Key::For) && at + 1 < end && (at + 1..end.min(at + 4)).any(|j| scan.making(j).is_some()) {
        found = Some(at + 1);
    }
    for i in at..end {
        if found.is_some() {
            break;
        }
        match scan.key(i) {
            Some(Key::Not | Key::Dont) => negated = true,
            Some(Key::Count) => {
                found = Some(i + 1);
                break;
            }
            _ => {
                let word = scan.span(i).of(scan.text);
                if ["doesn", "isn", "never"].iter().any(|no| word.eq_ignore_ascii_case(no)) {
                    negated = true;
                }
            }
        }
        if scan.kind(i) == Some(Kind::Equals) && i == at {
            let stitch = (i + 1..end.min(i + 4)).any(|j| scan.making(j).is_some());
            if stitch {
                found = Some(i + 1);
            }
            break;
        }
    }
    let behind = found?;
    if negated || (behind..end.min(behind + 3)).any(|i| scan.is(i, &[Key::Not])) {
        return Some(ChainCounts { counts: false, space: 0 });
    }
    // "counts as dc, ch 1" / "counts as first dc and ch-1 sp"
    let space = (behind..end)
        .find_map(|i| {
            let mut next = scan.chain(i)?;
            if scan.kind(next) == Some(Kind::Dash) {
                next += 1;
            }
            // "ch 1", "2 ch", "two chain"
            scan.number(next)
                .filter(|_| next < end)
                .or_else(|| scan.number(i - 1).filter(|_| i > behind))
                .and_then(Num::plain)
        })
        .unwrap_or(0);
    let stitch = (behind..end).any(|i| scan.making(i).is_some() || scan.key(i) == Some(Key::Stitch));
    stitch.then_some(ChainCounts { counts: true, space: space as u32 })
}

impl Parser<'_, '_> {
    /// Reads one clause, whatever it is.
    pub(super) fn clause(&mut self, end: usize, steps: &mut Vec<Step>) {
        let start = self.at;
        let before = steps.len();
        if let Some((name, next)) = self.on_piece(start, end) {
            self.at = next;
            steps.push(Step { span: name, act: Act::OnPiece(name) });
            return;
        }
        let read = self.far_side(end, steps) || self.spread(end, steps) || self.known(end, steps);
        let behind = if read { self.at } else { start };
        let clause_end = self.clause_end(behind, end);
        if !read {
            let span = self.scan.span(start).to(self.scan.span(clause_end - 1));
            let act = if self.critical(start, clause_end) || self.may_be_a_stitch(start, clause_end, steps) {
                Act::Unread
            } else {
                Act::Aside
            };
            steps.push(Step { span, act });
            self.at = clause_end;
            return;
        }
        self.at = self.at.max(start + 1);
        self.of_elsewhere(start, end, before, steps);
        let span = self.scan.span(start).to(self.scan.span(self.at - 1));
        if self.is_broken(span) {
            self.body.broken_steps += 1;
            steps.push(Step { span, act: Act::Unread });
        }
        self.rest(end);
        self.merge_along(steps);
        if std::mem::take(&mut self.until_measured) {
            let span = self.scan.span(start).to(self.scan.span(self.at - 1));
            steps.push(Step { span, act: Act::UntilMeasured });
        }
        if std::mem::take(&mut self.elsewhere) {
            steps.push(Step { span: self.scan.span(start).to(self.scan.span(self.at - 1)), act: Act::Unread });
        }
    }

    /// `… of first leg`, `… of 10 foundation ch`: what was read goes into another piece, or the far side of the chain.
    fn of_elsewhere(&mut self, start: usize, end: usize, before: usize, steps: &mut Vec<Step>) {
        let worked = steps.get(before).is_some_and(|step| matches!(step.act, Act::Work(_) | Act::Group { .. }));
        if !worked {
            return;
        }
        let onto = (self.at > start)
            .then(|| {
                super::pieces::onto(&self.scan, self.at, end)
                    .or_else(|| super::pieces::onto(&self.scan, self.at - 1, end))
            })
            .flatten();
        if let Some((name, next)) = onto {
            onto_piece(name, before, steps);
            self.at = next;
        } else if self.scan.key(self.at) == Some(Key::Of)
            && let Some((name, next)) = self.piece_name(self.at + 1, end)
        {
            onto_piece(name, before, steps);
            self.at = next;
        } else if (start..self.at)
            .any(|i| self.scan.key(i) == Some(Key::Foundation) && self.scan.chain(i + 1).is_some())
            || self.scan.is(self.at, &[Key::Across])
                && (self.at..self.clause_end(self.at, end)).any(|i| self.scan.key(i) == Some(Key::Foundation))
        {
            let span = self.scan.span(start);
            steps.insert(before, Step { span, act: Act::FarSide });
            self.at = self.clause_end(self.at, end).max(self.at);
        }
    }

    /// `On first leg miss 2 dc`: where the work goes on.
    fn on_piece(&self, at: usize, end: usize) -> Option<(Span, usize)> {
        (self.scan.key(at) == Some(Key::On)).then(|| self.piece_name(at + 1, end)).flatten()
    }

    /// A piece by its name.
    pub(super) fn piece_name(&self, at: usize, end: usize) -> Option<(Span, usize)> {
        super::pieces::name(&self.scan, at, end)
    }

    /// Words behind a phrase that change no count ("of previous rnd", "loosely"), up to where something else begins.
    fn rest(&mut self, end: usize) {
        while self.at < end {
            match self.scan.kind(self.at) {
                // "until closed", "until it measures 20 cm": how often is not known.
                Some(Kind::Word(_)) if self.scan.key(self.at) == Some(Key::Until) => {
                    let stop = self.clause_end(self.at, end);
                    if (self.at..stop).any(|i| self.scan.key(i) == Some(Key::Measurements)) {
                        self.until_measured = true;
                    } else {
                        self.elsewhere = true;
                    }
                    self.at = stop;
                    return;
                }
                Some(Kind::Word(_)) => {
                    if self.scan.starts_instruction(self.at) && !self.scan.is(self.at, &[Key::In, Key::Same, Key::As])
                        || self.scan.is(
                            self.at,
                            &[
                                Key::Repeat,
                                Key::And,
                                Key::Then,
                                Key::Each,
                                Key::Next,
                                Key::Around,
                                Key::To,
                                Key::Across,
                            ],
                        )
                        || self.scan.is(self.at, &[Key::In, Key::X]) && !self.neutral_in()
                        || self.scan.chain(self.at).is_some()
                        || self.scan.key(self.at) == Some(Key::End)
                    {
                        return;
                    }
                    // "… sts pebble in next st": a name that begins something of its own.
                    if self.scan.key(self.at).is_none() && self.scan.key(self.at + 1) == Some(Key::In) {
                        return;
                    }
                    if self.scan.key(self.at) == Some(Key::Of) && self.of_row(end) {
                        continue;
                    }
                    if self.scan.key(self.at) == Some(Key::Count) || self.scan.is(self.at, &[Key::Not, Key::Do]) {
                        return;
                    }
                    self.at += 1;
                }
                _ => return,
            }
        }
    }

    /// "in pattern", "in the round": an "in" that names no place.
    fn neutral_in(&self) -> bool {
        self.scan.key(self.at) == Some(Key::In)
            && (self.scan.is(self.at + 1, &[Key::Pattern])
                || self.scan.key(self.at + 1) == Some(Key::The) && self.scan.is(self.at + 2, &[Key::Row, Key::Round]))
    }

    /// `of previous rnd`, `of Rnd 3`, `of foundation ch`.
    fn of_row(&mut self, end: usize) -> bool {
        let limit = end.min(self.at + 7);
        for i in self.at + 1..limit {
            match self.scan.kind(i) {
                Some(Kind::Word(_)) => {
                    if self.scan.is(i, &[Key::Row, Key::Round]) {
                        // Stitches of another row than the one below are not worked yet.
                        let other = self.scan.number(i + 1).and_then(Num::plain);
                        if i + 1 < end
                            && other.is_some_and(|other| self.row.is_none_or(|row| other.saturating_add(1) != row))
                        {
                            self.elsewhere = true;
                        }
                        self.at = if self.scan.number(i + 1).is_some() && i + 1 < end { i + 2 } else { i + 1 };
                        return true;
                    }
                    if let Some(next) = self.scan.chain(i) {
                        self.at = next;
                        return true;
                    }
                }
                Some(Kind::Number(_)) => {}
                _ => break,
            }
        }
        false
    }

    /// A name that nobody knows, where a stitch could stand: `pebble`, `small pebble`. Longer talk, and what only says how
    /// ("being careful", "loosely"), is none.
    fn may_be_a_stitch(&self, at: usize, end: usize, steps: &[Step]) -> bool {
        let first = self.scan.span(at).of(self.scan.text).to_lowercase();
        let sentence = at == 0
            || matches!(self.scan.kind(at - 1), Some(Kind::Stop | Kind::Newline | Kind::Exclamation | Kind::Quote));
        let talk = sentence && !steps.is_empty() || first.ends_with("ing") || first.ends_with("ly");
        !talk
            && self.scan.key(at).is_none()
            && end - at <= 3
            && (at..end).all(|i| matches!(self.scan.kind(i), Some(Kind::Word(_))))
            && (at..end).any(|i| self.scan.key(i).is_none() && !self.scan.is_capital(i))
    }

    /// Whether a clause that was not read could change a count.
    fn critical(&self, at: usize, end: usize) -> bool {
        (at..end).any(|i| {
            // "not to twist the chain" makes none.
            let thing = i > at
                && self.scan.is(i - 1, &[Key::The, Key::A])
                && self.scan.chain(i).is_some_and(|next| self.scan.number(next).is_none());
            !thing
                && (self.scan.number(i).is_some()
                    || self.scan.own(i).is_some()
                    || self.scan.stitch(i).is_some_and(|(stitch, next)| {
                        next > i + 1 || !single_letter(&self.scan, i) || stitch == StitchId::CHAIN
                    })
                    || self.scan.is(
                        i,
                        &[
                            Key::Increase,
                            Key::Decrease,
                            Key::Skip,
                            Key::Repeat,
                            Key::Each,
                            Key::Next,
                            Key::Stitch,
                            Key::Space,
                            Key::Evenly,
                            Key::Unworked,
                            Key::Together,
                        ],
                    ))
        })
    }

    /// A clause that says whether the chain before it counts.
    fn says_counts(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let Some(counts) = counts_as(&self.scan, start, stop) else { return false };
        self.at = stop;
        let span = self.scan.span(start);
        self.attach(counts, span, steps);
        true
    }

    /// The forms that are known; moves on and answers true where one fits.
    pub(super) fn known(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        if steps.is_empty()
            && (self.scan.ordinal(start).is_some()
                || self.scan.is(start, &[Key::Row, Key::Rows, Key::Round, Key::Rounds]))
            && let Some((act, next)) = again::reference(&self.scan, start, end)
            && (next >= end || !matches!(self.scan.kind(next), Some(Kind::Word(_) | Kind::Number(_))))
        {
            self.at = next;
            return self.push(start, act, steps);
        }
        // "the 3 skipped ch count as dc" behind the first stitch of a foundation.
        if self.scan.is(start, &[Key::The, Key::This, Key::Skip])
            && (start..self.clause_end(start, end)).any(|i| self.scan.key(i) == Some(Key::Count))
            && self.says_counts(end, steps)
        {
            return true;
        }
        // "in front FPtr around the 2 skipped sts", "behind, tr in next st"
        let word = self.scan.span(start).of(self.scan.text);
        let beside = self.scan.key(start) == Some(Key::In) && self.scan.is(start + 1, &[Key::Front, Key::Back])
            || word.eq_ignore_ascii_case("behind")
            || self.scan.key(start) == Some(Key::Now);
        if beside && let Some(order) = self.first_order(start + 1, self.clause_end(start, end)) {
            self.at = order;
            return self.known(end, steps) || {
                self.at = start;
                false
            };
        }
        // "no turn": the next row goes on in the same direction.
        if self.scan.key(start + 1) == Some(Key::Turn) && word.eq_ignore_ascii_case("no") {
            self.at = start + 2;
            return self.push(start, Act::Aside, steps);
        }
        // "2 dc, picot, 2 dc, all in same st"
        if self.scan.key(start) == Some(Key::All)
            && self.scan.key(start + 1) == Some(Key::In)
            && let Some(found) = place::place(&self.scan, start + 1, end)
        {
            self.at = found.next;
            self.gather_before(found, steps);
            return self.push(start, Act::Aside, steps);
        }
        if matches!(steps.last().map(|step| &step.act), Some(Act::Again(_)))
            && let Some((edit, next)) = again::edit(&self.scan, start, end)
        {
            self.at = next;
            return self.push(start, Act::Edited(edit), steps);
        }
        match self.scan.key(start) {
            // "Continue to work even on these 36 sts until piece measures 10 cm"
            Some(Key::Continue)
                if !steps.is_empty()
                    && (start..self.clause_end(start, end)).any(|i| self.scan.key(i) == Some(Key::Even)) =>
            {
                self.at = self.clause_end(start, end);
                return self.push(start, Act::UntilMeasured, steps);
            }
            Some(Key::HookTalk) => return self.hook_talk(end, steps),
            Some(Key::Hook) if self.scan.is(start + 1, &[Key::In, Key::Through, Key::Around]) => {
                return self.hook_talk(end, steps);
            }
            // "to form last ch-5 lp", "omitting last sc of last rep", "starting in same st"
            Some(Key::To)
                if self.scan.is(start + 1, &[Key::Form, Key::Made])
                    || self.scan.key(start + 1) == Some(Key::Work)
                        && self.scan.is(self.clause_end(start, end) - 1, &[Key::Loop, Key::Space]) =>
            {
                self.at = self.clause_end(start, end);
                return self.push(start, Act::Aside, steps);
            }
            Some(Key::Omit) => {
                self.at = self.clause_end(start, end);
                self.omit_last(steps);
                return self.push(start, Act::Aside, steps);
            }
            Some(Key::Instead) => {
                self.at = self.clause_end(start, end);
                return self.push(start, Act::Aside, steps);
            }
            Some(Key::Work) if self.starts_from(end, steps) => return true,
            Some(Key::Work) if self.aside_of_work(end) => return self.push(start, Act::Aside, steps),
            // "At end of Rnd 7": when, not what.
            Some(Key::At)
                if self.scan.key(start + 1) == Some(Key::End) || self.scan.key(start + 2) == Some(Key::End) =>
            {
                self.at = self.clause_end(start, end);
                return self.push(start, Act::Aside, steps);
            }
            // "ending with a Row 3", "ending after a WS row": which row is last changes no count.
            Some(Key::End)
                if (start..self.clause_end(start, end)).any(|i| self.scan.is(i, &[Key::Row, Key::Round]))
                    && !(start..self.clause_end(start, end))
                        .any(|i| self.scan.making(i).is_some() || self.scan.key(i) == Some(Key::Skip)) =>
            {
                self.at = self.clause_end(start, end);
                return self.push(start, Act::Aside, steps);
            }
            Some(Key::First | Key::Last | Key::Next) if self.together(start, start, end, steps) => return true,
            Some(Key::The | Key::Last) if self.last_of_them(end, steps) => return self.push(start, Act::Aside, steps),
            Some(Key::Work) if self.rows_again(end, steps) => return true,
            Some(Key::Work | Key::Made) if self.work_word(end, steps) => return true,
            _ if self.remark(end) => return self.push(start, Act::Aside, steps),
            Some(Key::Beginning | Key::Work) if self.begins_at_join(end, steps) => {
                return self.push(start, Act::Aside, steps);
            }
            _ if self.told_count(end, steps) => return true,
            _ if self.tells_about(end, steps) => return self.push(start, Act::Aside, steps),
            None if self.so_continues(end, steps) || self.taking_as(end, steps) => {
                return self.push(start, Act::Aside, steps);
            }
            None if self.on_with(end, steps) => return true,
            None if self.of_colours(end, steps) => return self.push(start, Act::Aside, steps),
            Some(Key::Beginning) if self.scan.chain(start + 1).is_some() => self.at += 1,
            Some(Key::Join) => return self.join(end, steps),
            Some(Key::Turn) => {
                // "turning ch counts as a st" is a remark about the chain.
                if self.scan.chain(start + 1).is_none() {
                    self.at += 1;
                    return self.push(start, Act::Turn, steps);
                }
                if let Some(counts) = counts_as(&self.scan, start, self.clause_end(start, end)) {
                    self.at = self.clause_end(start, end);
                    let span = self.scan.span(start);
                    self.attach(counts, span, steps);
                    return true;
                }
            }
            Some(Key::Do | Key::Dont) => {
                if self.says_counts(end, steps) || self.did_before(end, steps) {
                    return true;
                }
                // "do not turn" is no order, "do 3 sc" is one.
                let denies = self.scan.key(start) == Some(Key::Dont) || self.scan.key(start + 1) == Some(Key::Not);
                let stop = self.clause_end(start, end);
                if !denies && self.critical(start, stop) {
                    return false;
                }
                self.at = stop;
                return self.push(start, Act::Aside, steps);
            }
            Some(Key::Count) if self.counting(end) => return self.push(start, Act::Aside, steps),
            Some(Key::Count) => return self.says_counts(end, steps),
            Some(Key::Fasten | Key::FastenOff | Key::Break | Key::Tie | Key::Cut) => {
                self.at = self.clause_end(start, end);
                return self.push(start, Act::FastenOff, steps);
            }
            Some(
                Key::Place
                | Key::Move
                | Key::Marker
                | Key::Change
                | Key::Drop
                | Key::Colour
                | Key::Yarn
                | Key::Weave
                | Key::Sew
                | Key::Stuff
                | Key::Rotate,
            ) => {
                self.at = self.clause_end(start, end);
                return self.push(start, Act::Aside, steps);
            }
            Some(Key::With | Key::Using) => return self.colour(end, steps),
            Some(Key::Skip) => return self.skip(end, steps),
            Some(Key::Leave) => return self.leave(end, steps),
            Some(Key::Both | Key::Front | Key::Back | Key::Third)
                if place::loops(&self.scan, start, end) > start
                    && matches!(
                        self.scan.kind(place::loops(&self.scan, start, end)),
                        Some(Kind::Colon | Kind::Comma)
                    ) =>
            {
                self.at = place::loops(&self.scan, start, end);
                return self.push(start, Act::Aside, steps);
            }
            Some(Key::BackLoop | Key::FrontLoop) => {
                self.at = place::loops(&self.scan, start, end).max(start + 1);
                return self.push(start, Act::Aside, steps);
            }
            // "ends 16 + 15"
            Some(Key::End)
                if !steps.is_empty()
                    && self.scan.number(start + 1).is_some()
                    && !self.scan.stitchy(start + 2)
                    && self.sentence_count(end) =>
            {
                return true;
            }
            Some(Key::You | Key::There | Key::Should | Key::Total) => {
                return self.sentence_count(end) || self.told_count(end, steps);
            }
            Some(Key::As | Key::Same | Key::Like) => {
                if let Some((act, next)) = again::reference(&self.scan, start, end) {
                    self.at = next;
                    return self.push(start, act, steps);
                }
                return false;
            }
            Some(Key::In | Key::Over) => return self.leading_place(end, steps),
            Some(Key::For) => {
                if let Some(rows) = self.scan.number(start + 1)
                    && self.scan.is(start + 2, &[Key::Row, Key::Rows, Key::Round, Key::Rounds])
                {
                    self.body.rows = Some(rows);
                    self.at = start + 3;
                    return self.push(start, Act::Aside, steps);
                }
                return false;
            }
            Some(Key::Across) if self.along_edge(end, steps) => return true,
            Some(Key::Around | Key::Across | Key::To) => return self.unmarked_fill(end, steps),
            Some(Key::Each | Key::Next | Key::Last) => return self.same_stitch_again(end, steps),
            Some(Key::X) => {
                if let Some((extent, next)) = again::times(&self.scan, start, end)
                    && !steps.is_empty()
                {
                    self.at = next;
                    let span = self.scan.span(start).to(self.scan.span(next - 1));
                    self.times_behind(span, extent, steps);
                    return true;
                }
                return false;
            }
            _ => {}
        }
        if let Some(next) = place::ring(&self.scan, self.at, end) {
            self.at = next;
            return self.push(start, Act::Ring, steps);
        }
        if let Some(making) = self.scan.clustered(self.at) {
            return self.work(None, making, self.at, end, steps);
        }
        if let Some(next) = self.scan.picot(self.at) {
            self.at = next;
            // "(ch 3, sl st in 3rd ch from hook for picot)" is one.
            if matches!(steps.last().map(|step| &step.act), Some(Act::Picot(_)))
                && self.scan.key(start - 1) == Some(Key::For)
            {
                return self.push(start, Act::Aside, steps);
            }
            return self.push(start, Act::Picot(None), steps);
        }
        if let Some(next) = self.scan.v_stitch(self.at) {
            return self.v_stitch(None, next, end, steps);
        }
        // "Slip into first space", "slip over 2 tr"
        if self.scan.key(start) == Some(Key::Slip)
            && self.scan.is(start + 1, &[Key::In, Key::Over, Key::To])
            && let Some(found) = place::place(&self.scan, start + 1, end)
        {
            self.at = found.next;
            let work = Work {
                stitch: Some(StitchId::SLIP_STITCH),
                takes: Num::ONE,
                makes: Num::ONE,
                place: found.place,
                extent: found.extent.unwrap_or(Extent::Times(Num::ONE)),
                bare_number: false,
            };
            return self.push(start, Act::Work(work), steps);
        }
        if self.hold_back(end, steps) {
            return true;
        }
        let number = self.scan.number(self.at);
        let mut i = if number.is_some() { self.at + 1 } else { self.at };
        // "2 more hdc in same st"
        if number.is_some() && self.scan.key(i) == Some(Key::More) && self.scan.making(i + 1).is_some() {
            i += 1;
        }
        // "1 loose sl st in each sc": how it is made.
        if number.is_some()
            && ["loose", "tight", "firm", "neat"]
                .iter()
                .any(|how| self.scan.span(i).of(self.scan.text).eq_ignore_ascii_case(how))
            && self.scan.making(i + 1).is_some()
        {
            i += 1;
        }
        if let Some(number) = number {
            // "24 dc. Turn.": a count that stands alone behind the work.
            if self.bare_count(end, steps) {
                return true;
            }
            if self.scan.chain(i).is_some() {
                return self.chain(end, Some(number), i, steps);
            }
            if let Some(next) = self.scan.picot(i).filter(|_| number == Num::ONE) {
                self.at = next;
                return self.push(start, Act::Picot(None), steps);
            }
            if self.more_of_it(end, steps) {
                return true;
            }
            if let Some((extent, next)) = again::times(&self.scan, self.at, end)
                && !steps.is_empty()
                && self.scan.making(next).is_none()
                && !matches!(extent, Extent::Unsaid)
            {
                self.at = next;
                let span = self.scan.span(start).to(self.scan.span(next - 1));
                self.times_behind(span, extent, steps);
                return true;
            }
        } else if self.scan.chain(i).is_some() {
            return self.chain(end, None, i, steps);
        } else if let Some((extent, next)) = again::times(&self.scan, self.at, end)
            && self.scan.is(self.at, &[Key::Twice, Key::Once, Key::Thrice])
            && !steps.is_empty()
        {
            self.at = next;
            let span = self.scan.span(start).to(self.scan.span(next - 1));
            self.times_behind(span, extent, steps);
            return true;
        }
        if let Some(own) = self.scan.own(i) {
            return self.own(number, own, i, end, steps);
        }
        if let Some(next) = self.scan.v_stitch(i) {
            return self.v_stitch(number, next, end, steps);
        }
        if let Some(making) = self.scan.clustered(i).filter(|_| number.is_some()) {
            return self.work(number, making, i, end, steps);
        }
        if let Some((stitch, next)) = self.scan.stitch(i)
            && entry(stitch).kind == StitchKind::Foundation
        {
            return self.foundation_stitches(stitch, number, next, end, steps);
        }
        if self.scan.making(i).is_none() && self.scan.key(i) == Some(Key::Stitch) && number.is_some() {
            // "next 2 sts tog" without a stitch, or stray counts, are not read.
            return false;
        }
        // "sc dec", "inc", …
        let Some(mut making) = self.scan.making(i) else { return false };
        // The pattern's own meaning of "inc" and "dec" wins.
        if making.stitch.is_none() {
            let own = if making.takes == Num::ONE { self.defined.increase } else { self.defined.decrease };
            if let Some((takes, makes)) = own {
                (making.takes, making.makes) = (takes, makes);
            }
        }
        self.work(number, making, i, end, steps)
    }

    pub(super) fn push(&mut self, start: usize, act: Act, steps: &mut Vec<Step>) -> bool {
        let span = self.scan.span(start).to(self.scan.span(self.at.max(start + 1) - 1));
        steps.push(Step { span, act });
        true
    }

    /// `working last dc in top of beg ch`, `starting in same st as join`, `working behind the petals`: how, not what.
    fn aside_of_work(&mut self, end: usize) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let last_in_chain = self.scan.key(start + 1) == Some(Key::Last)
            && (start + 2..stop)
                .find_map(|i| place::place(&self.scan, i, stop))
                .is_some_and(|found| found.place == Place::Next(Target::TurningChain));
        let from_same = self.scan.key(start + 1) == Some(Key::In)
            && self.scan.is(start + 2, &[Key::Same])
            && !(start + 3..stop).any(|i| self.scan.making(i).is_some() && self.scan.number(i - 1).is_some());
        let behind = {
            let word = self.scan.span(start + 1).of(self.scan.text);
            let beside = word.eq_ignore_ascii_case("behind")
                || self.scan.key(start + 1) == Some(Key::In) && self.scan.is(start + 2, &[Key::Front, Key::Back]);
            beside && self.first_order(start + 2, stop).is_none()
        };
        if last_in_chain || from_same || behind {
            // "… in 3rd of 4 ch: 24 lps" has the count behind it.
            let counted =
                (start..stop).find(|i| self.scan.kind(*i) == Some(Kind::Colon) && self.scan.number(*i + 1).is_some());
            self.at = counted.unwrap_or(stop);
            return true;
        }
        false
    }

    /// `starting in 2nd ch from hook`: the chains before it are passed over.
    fn starts_from(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let word = self.scan.span(start).of(self.scan.text).to_ascii_lowercase();
        if !word.starts_with("start") && !word.starts_with("begin") {
            return false;
        }
        let Some(found) = place::place(&self.scan, start + 1, end) else { return false };
        let Place::FromHook(nth) = found.place else { return false };
        let Some(nth) = nth.plain().filter(|nth| *nth > 1) else { return false };
        self.at = found.next;
        let places = self.numbers.whole(nth - 1);
        self.push(start, Act::Skip { places, target: Target::Any, first: false }, steps)
    }

    /// Where an order begins within a clause: a stitch with its number or place right behind it.
    fn first_order(&self, from: usize, stop: usize) -> Option<usize> {
        (from..stop).find(|i| {
            let number = self.scan.number(*i).is_some();
            let at = if number { *i + 1 } else { *i };
            let next = self.scan.making(at).map(|making| making.next).or_else(|| self.scan.own(at).map(|_| at + 1));
            next.is_some_and(|next| {
                self.scan.is(next, &[Key::In, Key::Around, Key::Over, Key::Each, Key::Round]) || number
            }) && !self.scan.is(*i - 1, &[Key::Of, Key::Last, Key::The, Key::Same, Key::Just])
        })
    }

    /// Words behind a stitch that tell what it is good for: `counts as last ch-5 lp`, `bobble made`.
    fn remark(&mut self, end: usize) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let word = self.scan.span(start).of(self.scan.text);
        let says = self.scan.key(start) == Some(Key::Count)
            && counts_as(&self.scan, start, stop).is_none()
            && (start..stop).any(|i| self.scan.is(i, &[Key::As, Key::For]))
            || ["thus", "thereby"].iter().any(|so| word.eq_ignore_ascii_case(so))
            || stop > start + 1
                && self.scan.key(stop - 1) == Some(Key::Made)
                && !(start..stop).any(|i| self.scan.is(i, &[Key::In, Key::Around]));
        if says {
            self.at = stop;
        }
        says
    }

    /// The last pass of the repeat before this stops before its last stitches.
    pub(super) fn omit_last(&mut self, steps: &mut [Step]) {
        for step in steps.iter_mut().rev() {
            match &mut step.act {
                Act::Aside => {}
                Act::Repeat(repeat) => {
                    let last = repeat.steps.iter().rposition(|step| !matches!(step.act, Act::Aside));
                    if repeat.stop.is_none() {
                        repeat.stop = last.filter(|last| *last > 0);
                    }
                    return;
                }
                _ => return,
            }
        }
    }

    /// `work 1 dc into`, `make a ch of 21`, `work even`, `begin with 6 sc`: the verb says nothing of its own.
    fn work_word(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let mut i = start + 1;
        if self.scan.key(i) == Some(Key::Even) {
            i += 1;
            // "work even in sc", "work even for 5 rnds", "work even around"
            let mut stitch = None;
            if self.scan.key(i) == Some(Key::In)
                && let Some(making) = self.scan.making(i + 1)
            {
                stitch = making.stitch;
                i = making.next;
            }
            if let Some((_, next)) = place::extent(&self.scan, i, end) {
                i = next;
            }
            self.at = i;
            let work = Work {
                stitch,
                takes: Num::ONE,
                makes: Num::ONE,
                place: Place::Next(Target::Any),
                extent: Extent::Fill(Num::ZERO),
                bare_number: false,
            };
            return self.push(start, Act::Work(work), steps);
        }
        while self.scan.is(i, &[Key::A, Key::With, Key::By, Key::The, Key::All]) && i < end {
            i += 1;
        }
        if i >= end {
            return false;
        }
        if self.scan.is(i, &[Key::First, Key::Last, Key::Next]) && self.together(start, i, end, steps) {
            return true;
        }
        // "Work as Row 2", "working in back loops only", "work 6 sc", "make ring"
        if self.scan.is(i, &[Key::As, Key::Same, Key::Like]) {
            if let Some((act, next)) = again::reference(&self.scan, i, end) {
                self.at = next;
                return self.push(start, act, steps);
            }
            return false;
        }
        if self.scan.is(i, &[Key::In, Key::Through, Key::BackLoop, Key::FrontLoop]) {
            let behind = place::loops(&self.scan, i, end);
            if behind > i {
                self.at = behind;
                return self.push(start, Act::Aside, steps);
            }
            if self.scan.is(i + 1, &[Key::Spiral, Key::A])
                || self.scan.is(i + 2, &[Key::Spiral])
                || self.scan.key(i + 1) == Some(Key::Pattern)
            {
                self.at = self.clause_end(start, end);
                return self.push(start, Act::Aside, steps);
            }
        }
        // "working in front of tr just made FPtr around the skipped sts"
        if self.scan.key(start) == Some(Key::Work) {
            let word = self.scan.span(i).of(self.scan.text);
            let beside = word.eq_ignore_ascii_case("behind")
                || self.scan.key(i) == Some(Key::In) && self.scan.is(i + 1, &[Key::Front, Key::Back])
                || self.scan.key(i) == Some(Key::Over);
            if beside && let Some(order) = self.first_order(i + 1, self.clause_end(i, end)) {
                self.at = order;
                return self.known(end, steps) || {
                    self.at = start;
                    false
                };
            }
        }
        let instructs = self.scan.number(i).is_some()
            || self.scan.own(i).is_some()
            || self.scan.making(i).is_some()
            || self.scan.chain(i).is_some()
            || place::ring(&self.scan, i, end).is_some()
            || matches!(self.scan.kind(i), Some(Kind::Open(_) | Kind::Star(_)));
        if !instructs {
            return false;
        }
        self.at = i;
        if matches!(self.scan.kind(i), Some(Kind::Open(_) | Kind::Star(_))) {
            return self.push(start, Act::Aside, steps);
        }
        self.known(end, steps) || {
            self.at = start;
            false
        }
    }

    /// A count without any mark: at the end of a sentence, behind the work.
    fn bare_count(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        let sentence = start > 0 && matches!(self.scan.kind(start - 1), Some(Kind::Stop | Kind::Newline | Kind::Quote));
        if !sentence {
            return false;
        }
        let worked = steps.iter().any(|step| {
            matches!(
                step.act,
                Act::Work(_)
                    | Act::Repeat(_)
                    | Act::Group { .. }
                    | Act::Own(_)
                    | Act::Along { .. }
                    | Act::Again(_)
                    | Act::FoundationStitches { .. }
            )
        });
        if !worked {
            return false;
        }
        let stop = (start..end.min(start + 62))
            .find(|i| {
                matches!(self.scan.kind(*i), Some(Kind::Stop | Kind::Newline | Kind::Semicolon | Kind::Exclamation))
            })
            .unwrap_or(end.min(start + 62));
        let Some(stated) = super::count::count(&self.scan, start, stop) else { return false };
        // Nothing but joining, turning and ending may follow.
        if stop > start + 60 {
            return false;
        }
        let follows = (stop..end.min(stop + 200)).any(|i| {
            (self.scan.making(i).is_some()
                && self.scan.stitch(i).is_none_or(|(stitch, _)| stitch != StitchId::SLIP_STITCH))
                || matches!(self.scan.kind(i), Some(Kind::Star(_)))
        });
        if follows {
            return false;
        }
        self.take_count(stated, stop)
    }

    /// A printed count that ends before `stop`.
    pub(super) fn take_count(&mut self, stated: Stated, stop: usize) -> bool {
        if self.is_broken(stated.span) {
            self.body.broken_count = true;
        } else {
            self.body.stated = Some(stated);
        }
        self.at = stop;
        true
    }

    /// `ch 3`, `3 ch`, `ch`, `ch-3`, `make a ch of 21 sts`, `ch 3 counts as dc`.
    fn chain(&mut self, end: usize, number: Option<Num>, at: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let mut i = self.scan.chain(at).unwrap_or(at + 1);
        let mut length = number;
        if length.is_none() {
            let mut j = i;
            while self.scan.is(j, &[Key::Of, Key::A])
                || matches!(self.scan.kind(j), Some(Kind::Dash))
                || matches!(self.scan.kind(j), Some(Kind::Stop))
                    && self.scan.glued(j)
                    && self.scan.number(j + 1).is_some()
            {
                j += 1;
            }
            if let Some(number) = self.scan.number(j) {
                // "chain multiple of 6 + 2" has no number here; "ch 2 sp" would be a place.
                length = Some(number);
                i = j + 1;
            } else if self.scan.is(j, &[Key::Multiple]) || self.scan.is(j + 1, &[Key::Multiple]) {
                self.at = self.clause_end(start, end);
                return self.push(start, Act::Aside, steps);
            } else {
                length = Some(Num::ONE);
            }
        }
        if self.scan.is(i, &[Key::Stitch]) || self.scan.chain(i).is_some() {
            i += 1;
        }
        if self.scan.is(i, &[Key::Space, Key::Loop]) {
            return false;
        }
        // "ch-3 picot", "3-ch picot"
        let behind = if self.scan.kind(i) == Some(Kind::Dash) { i + 1 } else { i };
        if let Some(next) = self.scan.picot(behind) {
            self.at = next;
            return self.push(start, Act::Picot(length), steps);
        }
        self.at = i;
        let _ = self.push(start, Act::Chain { length: length.unwrap_or(Num::ONE), counts: None }, steps);
        // Said without brackets: "ch 3 counts as first dc", "ch 2, not counted", "ch 3 = first tr".
        let mut j = i;
        if matches!(self.scan.kind(j), Some(Kind::Comma))
            && (self.scan.is(j + 1, &[Key::Count, Key::Not])
                || self.scan.is(j + 1, &[Key::Do]) && self.scan.key(j + 2) == Some(Key::Not))
        {
            j += 1;
        }
        if (self.scan.is(j, &[Key::Count, Key::Not, Key::Do, Key::Dont])
            || self.scan.kind(j) == Some(Kind::Equals)
            || j > i
            || self.scan.span(j).of(self.scan.text).eq_ignore_ascii_case("doesn"))
            && j < end
        {
            let stop = self.clause_end(j, end);
            if let Some(counts) = counts_as(&self.scan, j, stop) {
                let span = self.scan.span(j);
                self.at = stop;
                self.attach(counts, span, steps);
            }
        }
        true
    }

    /// `fsc 42`, `42 fsc`, `dc foundation of 64`.
    fn foundation_stitches(
        &mut self,
        stitch: StitchId,
        number: Option<Num>,
        next: usize,
        _end: usize,
        steps: &mut Vec<Step>,
    ) -> bool {
        let start = self.at;
        let mut i = next;
        let count = match number {
            Some(count) => count,
            None => {
                while self.scan.is(i, &[Key::Of, Key::A]) {
                    i += 1;
                }
                let Some(count) = self.scan.number(i) else { return false };
                i += 1;
                count
            }
        };
        if self.scan.key(i) == Some(Key::Stitch) {
            i += 1;
        }
        self.at = i;
        self.push(start, Act::FoundationStitches { stitch: entry(stitch).base.unwrap_or(stitch), count }, steps)
    }
}

/// What was read goes onto a piece; "sl st in next corner of First Hexagon" joins the two and is no stitch of this row.
fn onto_piece(name: Span, before: usize, steps: &mut Vec<Step>) {
    let joins = matches!(&steps[before].act, Act::Work(work) if work.stitch == Some(StitchId::SLIP_STITCH));
    if joins && steps.len() == before + 1 {
        steps[before].act = Act::Aside;
    } else {
        steps.insert(before, Step { span: name, act: Act::OnPiece(name) });
    }
}

fn single_letter(scan: &Scan<'_>, at: usize) -> bool {
    let span: Span = scan.span(at);
    span.end - span.start <= 2
}
