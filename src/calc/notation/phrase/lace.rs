//! Lace and the pattern's own stitches: calls of defined stitches, picots, lists into one place, several kinds of place
//! worked along a row, the far side of the chain, changes spread over a row.

use super::super::body::Parser;
use super::super::number::Num;
use super::super::place::{self, Found};
use super::super::token::{Kind, Span};
use super::super::tree::{Act, Extent, Own, Place, Step, Target, Work, Working};
use super::super::words::Key;
use crate::standards::StitchId;

impl Parser<'_, '_> {
    /// `shell in next ch-2 sp`, `3 pb`, `X-st across`, `2 puffs in same sp`.
    pub(in crate::notation) fn own(
        &mut self,
        number: Option<Num>,
        definition: u16,
        at: usize,
        end: usize,
        steps: &mut Vec<Step>,
    ) -> bool {
        let start = self.at;
        let mut i = at + 1;
        if self.scan.key(i) == Some(Key::Stitch) {
            i += 1;
        }
        // "pb 3 times", "cl twice"
        let mut times = None;
        if number.is_none()
            && let Some(count) = self.scan.number(i)
            && self.scan.is(i + 1, &[Key::Time, Key::X])
            && place::place(&self.scan, i + 2, end).is_some()
        {
            times = Some(count);
            i += 2;
        } else if number.is_none()
            && let Some(word) = self.scan.key(i).and_then(|key| match key {
                Key::Twice => Some(2),
                Key::Thrice => Some(3),
                _ => None,
            })
            && place::place(&self.scan, i + 1, end).is_some()
        {
            times = Some(Num::small(word));
            i += 1;
        }
        while self.scan.is(i, &[Key::All]) && self.scan.key(i + 1) == Some(Key::In) {
            i += 1;
        }
        let found = place::place(&self.scan, i, end);
        self.at = found.map_or(i, |found| found.next);
        let call = |place: Option<Place>, extent: Extent| Act::Own(Own { definition, place, extent });
        let several = number.or(times).filter(|count| *count != Num::ONE);
        let act = match (found, several) {
            (None, several) => call(None, Extent::Times(several.unwrap_or(Num::ONE))),
            (Some(found), None) => call(Some(found.place), found.extent.unwrap_or(Extent::Times(Num::ONE))),
            // "3 pb in next 3 sts" is one in each.
            (Some(Found { place, extent: Some(Extent::Times(over)), each: false, .. }), Some(several))
                if over == several =>
            {
                call(Some(place), Extent::Times(over))
            }
            (Some(found), Some(several)) => {
                let inner = Step { span: self.scan.span(at), act: call(Some(Place::Same), Extent::Times(several)) };
                Act::Group {
                    steps: vec![inner],
                    place: found.place,
                    extent: found.extent.unwrap_or(Extent::Times(Num::ONE)),
                }
            }
        };
        self.push(start, act, steps)
    }

    /// A V-stitch that the pattern does not define: two tall stitches with a chain between them, in one place.
    pub(in crate::notation) fn v_stitch(
        &mut self,
        number: Option<Num>,
        next: usize,
        end: usize,
        steps: &mut Vec<Step>,
    ) -> bool {
        let start = self.at;
        let Some(found) = place::place(&self.scan, next, end) else { return false };
        self.at = found.next;
        let span = self.scan.span(start);
        let leg = Work {
            stitch: Some(StitchId::DOUBLE_CROCHET),
            takes: Num::ONE,
            makes: Num::ONE,
            place: Place::Same,
            extent: Extent::Times(Num::ONE),
            bare_number: false,
        };
        let inner = vec![
            Step { span, act: Act::Work(leg) },
            Step { span, act: Act::Chain { length: Num::ONE, counts: None } },
            Step { span, act: Act::Work(leg) },
        ];
        let extent = found.extent.or(number.map(Extent::Times)).unwrap_or(Extent::Times(Num::ONE));
        self.push(start, Act::Group { steps: inner, place: found.place, extent }, steps)
    }

    /// `holding back last loop of each, work 2 dc in same sp`: legs, until the loops are drawn through.
    pub(in crate::notation) fn hold_back(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let word = self.scan.span(start).of(self.scan.text);
        if !["holding", "keeping", "retaining", "hold", "keep"].iter().any(|hold| word.eq_ignore_ascii_case(hold)) {
            return false;
        }
        let stop = self.clause_end(start, end);
        let order = |parser: &Self, from: usize, stop: usize| {
            (from..stop).find(|i| {
                (parser.scan.number(*i).is_some() || parser.scan.is(*i - 1, &[Key::Work]))
                    && parser.scan.making(if parser.scan.number(*i).is_some() { *i + 1 } else { *i }).is_some()
            })
        };
        let mut at = order(self, start + 1, stop);
        if at.is_none() && matches!(self.scan.kind(stop), Some(Kind::Comma)) {
            let behind = self.clause_end(stop + 1, end);
            at = order(self, stop + 1, behind);
        }
        let Some(at) = at else { return false };
        self.at = at;
        let count = steps.len();
        if !self.known(end, steps) || steps.len() == count {
            self.at = start;
            return false;
        }
        if let Some(Step { act: Act::Work(work), .. }) = steps.last_mut() {
            work.makes = Num::ZERO;
        }
        true
    }

    /// Chains closed by a slip stitch into themselves or into what was just made: a picot.
    pub(in crate::notation) fn closes_picot(&self, place: Option<Place>, steps: &[Step]) -> bool {
        let Some(Step { act: Act::Chain { length, .. }, .. }) = steps.last() else { return false };
        match place {
            Some(Place::FromHook(nth)) => match (nth.plain(), length.plain()) {
                (Some(nth), Some(length)) => nth <= length && length <= 8 && steps.len() > 1,
                _ => false,
            },
            Some(Place::Made) => true,
            _ => false,
        }
    }

    /// Behind "in next sp make": `2 dc, ch 3 and 2 dc`, up to what is worked elsewhere.
    pub(in crate::notation) fn list_in_place(&mut self, end: usize) -> Option<Vec<Step>> {
        let start = self.at;
        let mut inner: Vec<Step> = Vec::new();
        let mut ends = false;
        while self.at < end && !ends {
            let before = self.at;
            while matches!(self.scan.kind(self.at), Some(Kind::Comma)) || self.scan.is(self.at, &[Key::Then]) {
                self.at += 1;
            }
            if self.scan.key(self.at) == Some(Key::And) {
                self.at += 1;
                ends = true;
            }
            let item = self.at;
            if self.scan.is(item, &[Key::Join, Key::Repeat, Key::End, Key::Skip, Key::Turn, Key::In])
                || !matches!(self.scan.kind(item), Some(Kind::Word(_) | Kind::Number(_) | Kind::Own(_)))
            {
                self.at = before;
                break;
            }
            let count = inner.len();
            let picots = |steps: &[Step]| steps.iter().filter(|step| matches!(step.act, Act::Picot(_))).count();
            let before_picots = picots(&inner);
            // A picot takes the place of the chain before it.
            if !self.known(end, &mut inner) || inner.len() == count && picots(&inner) == before_picots {
                self.at = before;
                inner.truncate(count);
                break;
            }
            let placed = match inner.last().map(|step| &step.act) {
                Some(Act::Work(work)) => {
                    !work.bare_number
                        && (!matches!(work.place, Place::Next(Target::Any)) || work.extent != Extent::Times(Num::ONE))
                }
                Some(Act::Chain { .. } | Act::Picot(_) | Act::Own(Own { place: None, .. })) => false,
                Some(Act::Join | Act::Turn) => true,
                _ => true,
            };
            let picot = matches!(inner.last().map(|step| &step.act), Some(Act::Picot(_)));
            if placed && !picot {
                self.at = before;
                inner.truncate(count);
                break;
            }
            // "for a p" behind a picot.
            if picot {
                while self.scan.is(self.at, &[Key::For, Key::A]) && self.scan.picot(self.at).is_none()
                    || self.scan.picot(self.at).is_some() && self.at < end
                {
                    self.at += 1;
                }
            }
            // "slip stitch in next ch-1 loop" is worked elsewhere.
            if matches!(self.scan.kind(self.at), Some(Kind::Semicolon | Kind::Stop)) {
                break;
            }
        }
        if inner.is_empty() {
            self.at = start;
            return None;
        }
        in_one(&mut inner);
        Some(inner)
    }

    /// `3 d c, ch 3, 3 d c all in same sp`, `1 tr, 1 ch and 1 tr in next sp`: what stands before goes into the same place.
    pub(in crate::notation) fn gathers(&mut self, all: bool, steps: &mut Vec<Step>) {
        let Some(Step { act: Act::Work(last), span }) = steps.last() else { return };
        let (last, span) = (*last, *span);
        let one = matches!(last.extent, Extent::Times(Num::ONE))
            || matches!(last.extent, Extent::Fill(_)) && !matches!(last.place, Place::Next(Target::Any));
        if !one || last.bare_number || matches!(last.place, Place::Next(Target::Any)) && !all {
            return;
        }
        let mut first = steps.len() - 1;
        let mut chains = false;
        while first > 0 {
            match &steps[first - 1].act {
                // "2 sc in next st" has its own place, though the tree has no more than the stitch.
                Act::Work(work) if bare(work) && !self.says_next(steps[first - 1].span) => {}
                Act::Chain { counts: None, .. } if first > 1 => chains = true,
                Act::Picot(_) | Act::Own(Own { place: None, .. }) => {}
                _ => break,
            }
            first -= 1;
        }
        while first < steps.len() - 1 && matches!(steps[first].act, Act::Chain { .. }) {
            first += 1;
        }
        if first + 1 >= steps.len() {
            return;
        }
        let joined = (first..steps.len() - 1).next_back().is_some_and(|_| self.joined_by_and(span.start));
        let group = |steps: &[Step]| {
            let mut inner: Vec<Step> = steps[first..].to_vec();
            if let Some(Step { act: Act::Work(work), .. }) = inner.last_mut() {
                work.place = Place::Same;
                work.extent = Extent::Times(Num::ONE);
            }
            in_one(&mut inner);
            Step {
                span: steps[first].span.to(span),
                act: Act::Group { steps: inner, place: last.place, extent: last.extent },
            }
        };
        let into_space = matches!(
            last.place,
            Place::Next(Target::Space(_) | Target::Corner) | Place::Same | Place::Last(Target::Space(_))
        );
        // "1 sc, 1 hdc, 5 dc, 1 hdc, 1 sc in each loop": nothing else stands in the row.
        let alone =
            matches!(last.extent, Extent::Fill(_)) && into_space && !steps[..first].iter().any(|step| works(&step.act));
        if all || alone || joined && (chains || into_space) {
            let whole = group(steps);
            steps.truncate(first);
            steps.push(whole);
        } else if matches!(last.extent, Extent::Fill(_)) && into_space && self.body.rivals.len() < 4 {
            let mut rival = steps[..first].to_vec();
            rival.push(group(steps));
            self.grouped_rival = Some((self.body.rivals.len(), steps.len()));
            self.body.rivals.push(rival);
        }
    }

    /// `…, all in same st`: the stitches before go into one place.
    pub(in crate::notation) fn gather_before(&mut self, found: Found, steps: &mut Vec<Step>) {
        let extent = found.extent.unwrap_or(Extent::Times(Num::ONE));
        // "(yo, insert hook in next sc, …) 4 times all in the same sc": the legs of one stitch.
        if let Some(Step { act: Act::Repeat(repeat), span }) = steps.last()
            && repeat.steps.iter().any(|step| matches!(&step.act, Act::Work(work) if work.makes == Num::ZERO))
        {
            let span = *span;
            steps.pop();
            let leg = Work {
                stitch: None,
                takes: Num::ONE,
                makes: Num::ZERO,
                place: Place::Next(Target::Any),
                extent: Extent::Times(Num::ONE),
                bare_number: false,
            };
            steps.push(Step { span, act: Act::Work(leg) });
            return;
        }
        let mut first = steps.len();
        while first > 0 {
            match &steps[first - 1].act {
                Act::Work(work) if bare(work) => {}
                Act::Own(Own { place: None, .. }) | Act::Picot(_) | Act::Aside => {}
                Act::Chain { counts: None, .. } if first > 1 => {}
                _ => break,
            }
            first -= 1;
        }
        while first < steps.len() && matches!(steps[first].act, Act::Chain { .. } | Act::Aside) {
            first += 1;
        }
        if first >= steps.len() {
            return;
        }
        let mut inner = steps.split_off(first);
        in_one(&mut inner);
        let span = inner[0].span;
        steps.push(Step { span, act: Act::Group { steps: inner, place: found.place, extent } });
    }

    /// Whether the words there say "next".
    fn says_next(&self, span: Span) -> bool {
        let from = self.scan.tokens.partition_point(|token| token.span.start < span.start);
        let to = self.scan.tokens.partition_point(|token| token.span.start < span.end);
        (from..to).any(|i| self.scan.is(i, &[Key::Next]))
    }

    /// Whether "and" stands right before the words at this byte.
    fn joined_by_and(&self, byte: u32) -> bool {
        let at = self.scan.tokens.partition_point(|token| token.span.start < byte);
        at > 0 && self.scan.is(at - 1, &[Key::And])
    }

    /// `dc in each dc, 2 dc in each ch-1 sp`: two fills one behind the other are one way along the row.
    pub(in crate::notation) fn merge_along(&mut self, steps: &mut Vec<Step>) {
        let Some(last) = steps.last() else { return };
        let Some(second) = each_of(&last.act) else { return };
        let Some(before) = (0..steps.len() - 1).rev().find(|i| !matches!(steps[*i].act, Act::Aside)) else { return };
        let extent = match (&steps[before].act, extent_of(&last.act)) {
            (Act::Along { extent, .. }, other) => wider(*extent, other),
            (first, other) => wider(extent_of(first), other),
        };
        let mut kinds = match &steps[before].act {
            Act::Along { kinds, .. } => kinds.clone(),
            first => match each_of(first) {
                Some(first) => vec![first],
                None => return,
            },
        };
        if kinds.len() >= 8 || kinds.iter().any(|kind| kind.target == second.target) {
            return;
        }
        // The more particular place decides.
        let general = |target: Target| matches!(target, Target::Any | Target::Both(..) | Target::BothChains);
        if general(second.target) {
            kinds.push(second)
        } else {
            kinds.insert(0, second)
        }
        let span = steps[before].span.to(last.span);
        steps.truncate(before);
        steps.push(Step { span, act: Act::Along { kinds, extent } });
    }

    /// `increasing 6 sc evenly spaced`, `dec 4 sts evenly`: only the total is said.
    pub(in crate::notation) fn spread(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let mut i = start;
        while self.scan.is(i, &[Key::Work, Key::Made]) {
            i += 1;
        }
        // "work 8 sc evenly along side": a number of its own, whatever lies there.
        if let Some(number) = self.scan.number(i)
            && let Some(making) = self.scan.making(i + 1)
            && self.scan.key(making.next) == Some(Key::Evenly)
        {
            self.at = stop;
            let work = Work {
                stitch: making.stitch,
                takes: making.takes,
                makes: making.makes,
                place: Place::Made,
                extent: Extent::Times(number),
                bare_number: false,
            };
            let along = (making.next..stop).any(|j| self.scan.is(j, &[Key::Side, Key::Edge]));
            if !along {
                self.at = start;
                return false;
            }
            return self.push(start, Act::Work(work), steps);
        }
        // "working sc2tog at each end of row"
        if let Some(making) = self.scan.making(i)
            && making.takes != making.makes
            && self.scan.is(making.next, &[Key::At])
            && self.scan.is(making.next + 1, &[Key::Each, Key::Both])
            && (making.next..stop).any(|j| self.scan.key(j) == Some(Key::End))
            && let Some(before) = (0..steps.len()).rev().find(|at| !matches!(steps[*at].act, Act::Aside))
            && let Act::Work(fill) = &steps[before].act
            && fill.extent == Extent::Fill(Num::ZERO)
        {
            self.at = stop;
            let span = self.scan.span(start).to(self.scan.span(stop - 1));
            let (mut fill, stitch) = (*fill, making.stitch.or(fill.stitch));
            let end_stitch = Work {
                stitch,
                takes: making.takes,
                makes: making.makes,
                place: Place::Next(Target::Any),
                extent: Extent::Times(Num::ONE),
                bare_number: false,
            };
            fill.extent = Extent::Fill(making.takes);
            steps.truncate(before);
            steps.push(Step { span, act: Act::Work(end_stitch) });
            steps.push(Step { span, act: Act::Work(fill) });
            return self.push(start, Act::Work(end_stitch), steps);
        }
        let more = match self.scan.key(i) {
            Some(Key::Increase | Key::Increased) => true,
            Some(Key::Decrease | Key::Decreased | Key::Skip) => false,
            _ => return false,
        };
        let skips = self.scan.key(i) == Some(Key::Skip);
        let evenly = (i..stop).any(|j| self.scan.is(j, &[Key::Evenly]));
        // "skipping every 6th st", "increasing in every 4th st"
        if let Some(every) = (i + 1..stop.min(i + 4)).find(|j| self.scan.key(*j) == Some(Key::Each))
            && let Some((nth, next)) = self.scan.ordinal(every + 1)
        {
            let next = place::target(&self.scan, next, stop).map_or(next, |found| found.1);
            self.at = next;
            self.take_plain_fill(steps);
            return self.push(start, Act::EveryNth { nth, more }, steps);
        }
        if !evenly || skips {
            return false;
        }
        let Some(count) = (i + 1..stop.min(i + 5)).find_map(|j| self.scan.number(j)) else { return false };
        self.at = stop;
        self.take_plain_fill(steps);
        self.push(start, Act::Spread { count, more }, steps)
    }

    /// The "sc around" before such a clause says which stitch; the clause says how they go.
    fn take_plain_fill(&mut self, steps: &mut Vec<Step>) {
        while matches!(steps.last(), Some(Step { act: Act::Aside, .. })) {
            steps.pop();
        }
        if let Some(Step { act: Act::Work(work), .. }) = steps.last_mut()
            && matches!(work.extent, Extent::Fill(Num::ZERO))
            && matches!(work.place, Place::Next(_))
        {
            // It stays as a step that uses nothing, so that the stitch is known.
            work.extent = Extent::Times(Num::ZERO);
        }
    }

    /// `working along other side of ch`: the chain is worked once more, from its other end.
    pub(in crate::notation) fn far_side(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let stop = (start..self.clause_end(start, end))
            .find(|i| matches!(self.scan.kind(*i), Some(Kind::Colon)))
            .unwrap_or_else(|| self.clause_end(start, end));
        let far = (start..stop).find(|i| {
            self.scan.key(*i) == Some(Key::Opposite)
                || self.scan.key(*i) == Some(Key::Other) && self.scan.is(i + 1, &[Key::Side, Key::Edge])
                // "working along foundation ch"
                || self.scan.is(start, &[Key::Work, Key::Across, Key::Rotate])
                    && self.scan.key(*i) == Some(Key::Across)
                    && (i + 1..stop).any(|j| self.scan.key(j) == Some(Key::Foundation))
        });
        let Some(far) = far else { return false };
        // "… along other side of ch 1 dc in each of next 4 ch": the work goes on without a mark.
        let stop = (far + 1..stop)
            .find(|i| {
                self.scan.number(*i).is_some()
                    && self.scan.making(i + 1).is_some_and(|making| self.scan.is(making.next, &[Key::In]))
            })
            .unwrap_or(stop);
        // "turn the chain upside down and go along its other edge"
        let its = far > start
            && self.scan.span(far - 1).of(self.scan.text).eq_ignore_ascii_case("its")
            && (start..far).any(|i| self.scan.chain(i).is_some());
        let of_chain = its || (far..stop).any(|i| self.scan.chain(i).is_some() || self.scan.is(i, &[Key::Foundation]));
        if !of_chain {
            return false;
        }
        // "sc in other side of each of 3 ch": stitches with a place of their own.
        let number = self.scan.number(start);
        let making = self.scan.making(if number.is_some() { start + 1 } else { start });
        if let Some(making) = making
            && making.next < far
        {
            let count = (far..stop).find_map(|i| self.scan.number(i));
            let extent = count.map_or(Extent::Fill(Num::ZERO), Extent::Times);
            self.at = stop;
            let work = Work {
                stitch: making.stitch,
                takes: making.takes,
                makes: making.makes,
                place: Place::FarSide,
                extent,
                bare_number: false,
            };
            return self.push(start, Act::Work(work), steps);
        }
        self.at = stop;
        self.push(start, Act::FarSide, steps)
    }
}

/// `3 sc` without a place, or `dc`.
fn bare(work: &Work) -> bool {
    work.bare_number
        || work.place == Place::Next(Target::Any) && work.extent == Extent::Times(Num::ONE) && work.takes == Num::ONE
}

fn works(act: &Act) -> bool {
    matches!(act, Act::Work(_) | Act::Repeat(_) | Act::Group { .. } | Act::Own(_) | Act::Along { .. })
}

/// What stands in one place: bare numbers are of stitches in it.
fn in_one(steps: &mut [Step]) {
    for step in steps {
        if let Act::Work(work) = &mut step.act
            && bare(work)
        {
            work.place = Place::Same;
            work.bare_number = false;
        }
    }
}

/// What is done in each place of a kind, where a step does so.
fn each_of(act: &Act) -> Option<Working> {
    match act {
        Act::Work(work) if fills(work.extent) && work.takes == Num::ONE => {
            let Place::Next(target) = work.place else { return None };
            let inner = Work { place: Place::Same, extent: Extent::Times(Num::ONE), ..*work };
            Some(Working { target, steps: vec![Step { span: Default::default(), act: Act::Work(inner) }] })
        }
        Act::Group { steps, place: Place::Next(target), extent } if fills(*extent) => {
            Some(Working { target: *target, steps: steps.clone() })
        }
        Act::Own(own) if fills(own.extent) => {
            let Some(Place::Next(target)) = own.place else { return None };
            let inner = Own { place: Some(Place::Same), extent: Extent::Times(Num::ONE), ..*own };
            Some(Working { target, steps: vec![Step { span: Default::default(), act: Act::Own(inner) }] })
        }
        _ => None,
    }
}

const fn fills(extent: Extent) -> bool {
    matches!(extent, Extent::Fill(_) | Extent::Until(..))
}

fn extent_of(act: &Act) -> Extent {
    match act {
        Act::Work(work) => work.extent,
        Act::Group { extent, .. } => *extent,
        Act::Own(own) => own.extent,
        _ => Extent::Fill(Num::ZERO),
    }
}

/// The one that says where it ends.
fn wider(first: Extent, second: Extent) -> Extent {
    if second == Extent::Fill(Num::ZERO) { first } else { second }
}
