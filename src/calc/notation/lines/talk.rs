//! Lines that are no rows: headings, sections, definitions, remarks. Some of them settle how the rows are read.

use super::super::body;
use super::super::guard;
use super::super::number::Num;
use super::super::token::Kind;
use super::super::tree::{Act, Defined, SizeSet, Step};
use super::super::words::Key;
use super::{Section, Sorter};

impl Sorter<'_, '_> {
    /// `Materials`, `Gauge: 18 sts = 4 in`, `Notes`, `Abbreviations (US terms)`.
    pub(super) fn section_heading(&mut self, at: usize, end: usize) -> bool {
        let scan = &self.scan;
        let first = if scan.is(at, &[Key::Special]) { at + 1 } else { at };
        let talk = scan.is(
            first,
            &[Key::Materials, Key::Gauge, Key::Notes, Key::Abbreviations, Key::Finishing, Key::Measurements, Key::Size],
        ) || scan.is(at, &[Key::Special]) && scan.is(at + 1, &[Key::Stitch])
            || scan.is(at, &[Key::Yarn, Key::Hook, Key::Colour, Key::Uk, Key::Us, Key::TermsWord, Key::Made])
                && (at..end.min(at + 4)).any(|i| scan.kind(i) == Some(Kind::Colon))
            || scan.is(at, &[Key::Pattern, Key::Stitch]) && scan.is(at + 1, &[Key::Notes, Key::Multiple])
            // "Safety eyes" are none.
            || scan.is(at, &[Key::Cautions])
                && (at + 1 == end || scan.kind(at + 1) == Some(Kind::Colon) || scan.is(at + 1, &[Key::Notes]));
        if talk {
            // "Gauge: 4 sc = 1 in" is a line of talk; "GAUGE" alone begins a section of it.
            let alone = scan.kind(end - 1) == Some(Kind::Colon)
                || end - at <= 5 && !(at..end).any(|i| scan.kind(i) == Some(Kind::Colon));
            self.talk(at, end);
            if alone {
                self.section = Section::Talk;
            }
            return true;
        }
        if scan.is(at, &[Key::Instructions, Key::Pattern]) && end - at <= 3 {
            self.section = Section::Rows;
            return true;
        }
        false
    }

    /// A short line without a sentence's end names a piece.
    pub(super) fn heading_line(&mut self, at: usize, end: usize) -> bool {
        let words = (at..end).filter(|i| matches!(self.scan.kind(*i), Some(Kind::Word(_)))).count();
        let last = self.scan.kind(end - 1);
        let sentence = matches!(last, Some(Kind::Stop | Kind::Exclamation | Kind::Comma | Kind::Semicolon));
        let odd = (at..end).any(|i| {
            matches!(self.scan.kind(i), Some(Kind::Decimal | Kind::Equals))
                || self.scan.chain(i).is_some()
                || self.scan.making(i).is_some_and(|making| making.stitch.is_some() && making.next > i + 1)
        });
        // A heading stands alone, or shouts.
        let shouts = self
            .scan
            .span(at)
            .to(self.scan.span(end - 1))
            .of(self.scan.text)
            .chars()
            .filter(|c| c.is_alphabetic())
            .take(12)
            .all(char::is_uppercase);
        let inner_colon = (at..end - 1).any(|i| self.scan.kind(i) == Some(Kind::Colon));
        let coloured = self
            .scan
            .is(at, &[Key::With, Key::Using, Key::Change, Key::Yarn, Key::Colour, Key::Hook, Key::Continue, Key::Made]);
        let colon = last == Some(Kind::Colon);
        let apart = self.set_off || shouts || colon && self.section == Section::Rows;
        if !apart || inner_colon || coloured {
            return false;
        }
        // "What you'll need" heads a list of materials, not a piece.
        if (at..end).any(|i| self.scan.key(i) == Some(Key::You)) {
            self.section = Section::Talk;
            self.last = None;
            return false;
        }
        if words == 0
            || words > 6
            || sentence
            || odd
            || !matches!(self.scan.kind(at), Some(Kind::Word(_) | Kind::Star(_) | Kind::DoubleStar | Kind::Number(_)))
        {
            return false;
        }
        let mut stop = end;
        while stop > at && matches!(self.scan.kind(stop - 1), Some(Kind::Colon | Kind::Star(_) | Kind::DoubleStar)) {
            stop -= 1;
        }
        let mut from = at;
        while from < stop && matches!(self.scan.kind(from), Some(Kind::Star(_) | Kind::DoubleStar)) {
            from += 1;
        }
        // "EAR (make 2)", "Mitts – Make 2", "Arms (2)"
        let name_end = (from..stop)
            .find(|i| {
                matches!(self.scan.kind(*i), Some(Kind::Open(_)))
                    || self.scan.key(*i) == Some(Key::Work) && *i > from
                    || self.scan.kind(*i) == Some(Kind::Dash) && !self.scan.glued(*i)
            })
            .unwrap_or(stop);
        if name_end <= from {
            return false;
        }
        let name = self.scan.span(from).to(self.scan.span(name_end - 1)).of(self.scan.text).trim().to_owned();
        self.heading = Some(name);
        self.sizes = SizeSet::ALL;
        true
    }

    /// `inc = 2 sc in one st`, `sc - single crochet`, `BLO: back loop only`: a name and what it stands for.
    pub(super) fn defines(&self, at: usize, end: usize) -> bool {
        let scan = &self.scan;
        let name = scan.making(at).map(|making| making.next).or_else(|| scan.chain(at)).or_else(|| {
            scan.is(
                at,
                &[
                    Key::BackLoop,
                    Key::FrontLoop,
                    Key::Skip,
                    Key::Repeat,
                    Key::Stitch,
                    Key::MagicRing,
                    Key::Magic,
                    Key::FastenOff,
                ],
            )
            .then_some(at + 1)
        });
        let bracketed = matches!(scan.kind(at), Some(Kind::Open(_)));
        let Some(mut next) =
            name.or_else(|| if bracketed { scan.closing(at, end).map(|close| close + 1) } else { None })
        else {
            return false;
        };
        if matches!(scan.kind(next), Some(Kind::Open(_))) && !bracketed {
            next = scan.closing(next, end).map_or(next, |close| close + 1);
        }
        if next >= end {
            return false;
        }
        // "Ch, chain; dc, double crochet; …": another.
        if scan.kind(next) == Some(Kind::Comma)
            && (next + 1..end).any(|i| scan.kind(i) == Some(Kind::Semicolon))
            && let (Some((short, _)), Some((long, behind))) = (scan.stitch(at), scan.stitch(next + 1))
            && short == long
            && matches!(scan.kind(behind), Some(Kind::Semicolon))
        {
            return true;
        }
        // "ch chain, dc double crochet": a list of abbreviations.
        if let (Some((short, behind)), Some((long, _))) = (scan.stitch(at), scan.stitch(next))
            && short == long
            && behind == next
        {
            return true;
        }
        let mark = match scan.kind(next) {
            Some(Kind::Equals) => true,
            Some(Kind::Dash) => !scan.glued(next) && !scan.glued(next + 1),
            Some(Kind::Colon) => !bracketed,
            _ => false,
        };
        // "6 sc = …" and "(…) – 24 sc" end in a count, a definition goes on in words.
        mark && scan.number(next + 1).is_none()
            || mark && !bracketed && scan.number(next + 1).is_some() && scan.number(at).is_none() && end - next > 3
    }

    /// `and ch 4 counts as`: the next of several chains in one sentence.
    fn another_chain(&self, at: usize) -> bool {
        let scan = &self.scan;
        let between = scan.key(at) == Some(Key::And) || scan.kind(at) == Some(Kind::Comma);
        let Some(mut next) = scan.chain(at + 1).filter(|_| between) else { return false };
        if scan.kind(next) == Some(Kind::Dash) {
            next += 1;
        }
        scan.number(next).is_some()
            && (scan.is(next + 1, &[Key::Count, Key::Do]) || scan.kind(next + 1) == Some(Kind::Equals))
    }

    /// Talk: nothing is worked, but it may settle how chains count or end a piece.
    pub(super) fn talk(&mut self, at: usize, end: usize) {
        let mut from = at;
        while from < end {
            let stop = (from..end)
                .find(|i| {
                    matches!(self.scan.kind(*i), Some(Kind::Stop | Kind::Semicolon))
                        || *i > from && self.another_chain(*i)
                })
                .unwrap_or(end);
            if let Some(counts) = super::super::phrase::counts_as(&self.scan, from, stop) {
                let scan = &self.scan;
                let mut lengths = Vec::new();
                let mut turning = false;
                for i in from..stop {
                    if scan.key(i) == Some(Key::Count) {
                        break;
                    }
                    turning |= scan.is(i, &[Key::Turn, Key::Beginning, Key::TurningChain, Key::Work]);
                    if let Some(next) = scan.chain(i) {
                        let next = if scan.kind(next) == Some(Kind::Dash) { next + 1 } else { next };
                        if let Some(length) = scan.number(next).and_then(super::super::number::Num::plain) {
                            lengths.push(length);
                        } else if let Some(length) = i
                            .checked_sub(1)
                            .and_then(|before| scan.number(before))
                            .and_then(super::super::number::Num::plain)
                        {
                            lengths.push(length);
                        } else {
                            turning = true;
                        }
                    }
                }
                if lengths.is_empty() && turning {
                    lengths.push(0);
                }
                for length in lengths {
                    let said = &self.pattern.said.chains;
                    if said.len() < 64 && !said.iter().any(|(known, _)| *known == length) {
                        self.pattern.said.chains.push((length, counts));
                    }
                }
            }
            from = stop + 1;
        }
        if self.scan.is(at, &[Key::Fasten, Key::FastenOff, Key::Break]) {
            self.end_piece(end, at);
        }
        for i in at..end {
            let begins = i == at
                || matches!(
                    self.scan.kind(i - 1),
                    Some(Kind::Stop | Kind::Semicolon | Kind::Colon | Kind::Comma | Kind::Dash | Kind::Odd)
                );
            if begins && self.scan.is(i, &[Key::Increase, Key::Decrease]) {
                let stop =
                    (i..end).find(|j| matches!(self.scan.kind(*j), Some(Kind::Stop | Kind::Semicolon))).unwrap_or(end);
                self.definition(i, stop);
            }
        }
    }

    /// `inc: 3 sc in same st`, `dec = sc3tog`: the pattern's own meaning wins.
    pub(super) fn definition(&mut self, at: usize, end: usize) {
        let Some(key @ (Key::Increase | Key::Decrease)) = self.scan.key(at) else { return };
        if !matches!(self.scan.kind(at + 1), Some(Kind::Colon | Kind::Equals | Kind::Dash | Kind::Slash))
            || at + 2 >= end
        {
            return;
        }
        let body = body::body(self.scan, &mut self.pattern.numbers, &[], None, Defined::default(), at + 2, end);
        let works: Vec<_> = body.steps.iter().filter(|step| !matches!(step.act, Act::Aside)).collect();
        let [Step { act: Act::Work(work), .. }] = works.as_slice() else { return };
        let slot = if key == Key::Increase { &mut self.pattern.said.increase } else { &mut self.pattern.said.decrease };
        let one = super::super::tree::Extent::Times(Num::ONE);
        if work.extent == one && (work.takes != work.makes) {
            slot.get_or_insert((work.takes, work.makes));
        }
    }

    /// Begins like an order to work stitches, whether or not the rest can be read: "Decrease 1 st at each end …", "Sc evenly
    /// around". "Sc stitches lie flat" does not.
    pub(super) fn commands(&self, at: usize) -> bool {
        let scan = &self.scan;
        if self.section != Section::Rows || self.pattern.pieces.last().is_none_or(|piece| piece.rows.is_empty()) {
            return false;
        }
        let at = if scan.key(at) == Some(Key::Work) { at + 1 } else { at };
        if scan.key(at) == Some(Key::Repeat)
            && scan.is(at + 1, &[Key::Row, Key::Rows, Key::Round, Key::Rounds, Key::Last])
        {
            return true;
        }
        if scan.is(at, &[Key::Increase, Key::Decrease, Key::Skip])
            && (scan.number(at + 1).is_some() || scan.key(at + 1) == Some(Key::Until))
        {
            return true;
        }
        // "Continue increasing 8 sts evenly each round …"
        if scan.key(at) == Some(Key::Continue) && (at..at + 8).any(|i| scan.is(i, &[Key::Increase, Key::Decrease])) {
            return true;
        }
        let next = scan.making(at).filter(|making| making.stitch.is_some()).map(|making| making.next);
        next.is_some_and(|next| {
            scan.is(next, &[Key::In, Key::Around, Key::Across, Key::Next, Key::Each, Key::Evenly, Key::To])
        })
    }

    pub(super) fn prose(&self, at: usize, end: usize) -> bool {
        (at..end).filter(|i| self.scan.is(*i, &[Key::You, Key::It, Key::Is, Key::That, Key::This, Key::Will])).count()
            >= 2
    }

    pub(super) fn end_piece(&mut self, end: usize, at: usize) {
        self.ended = true;
        if let Some(row) = self.pattern.pieces.last_mut().and_then(|piece| piece.rows.last_mut()) {
            let span = self.scan.span(at).to(self.scan.span(end - 1));
            row.steps.push(Step { span, act: Act::FastenOff });
        }
        self.last = None;
    }

    /// `XS ends after Row 12.`, `End here for XS.`, `Small stop after row 12`: those sizes work no more of the piece.
    pub(super) fn stops(&mut self, at: usize, end: usize) -> bool {
        let end = (at..end).find(|i| self.scan.kind(*i) == Some(Kind::Stop)).unwrap_or(end);
        if self.pattern.sizes.len() < 2
            || !(at..end).any(|i| self.scan.is(i, &[Key::End, Key::StopWord]))
            || (at..end).any(|i| self.scan.is(i, &[Key::Repeat]))
            || end - at > 16
        {
            return false;
        }
        let Some(sizes) = guard::sizes_named(self.scan.tokens, self.scan.text, &self.pattern.own_sizes, at, end) else {
            return false;
        };
        let full = if self.pattern.sizes.len() >= 64 { u64::MAX } else { (1u64 << self.pattern.sizes.len()) - 1 };
        self.sizes = SizeSet(self.sizes.0 & full & !sizes.0);
        true
    }
}
