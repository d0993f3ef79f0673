//! Clauses around the stitches: stitches together, spelled-out stitches, joins, colours, skips, what is left unworked.

use super::super::body::Parser;
use super::super::number::Num;
use super::super::place;
use super::super::token::Kind;
use super::super::tree::{Act, Extent, Part, Place, Resume, Step, Target, Work};
use super::super::words::Key;
use crate::standards::StitchId;

impl Parser<'_, '_> {
    /// `work first 2 sc together`, `last 2 sts tog`.
    pub(in crate::notation) fn together(&mut self, start: usize, at: usize, end: usize, steps: &mut Vec<Step>) -> bool {
        let Some(found) = place::place(&self.scan, at, end).filter(|found| found.together) else { return false };
        let Some(Extent::Times(legs)) = found.extent else { return false };
        let stitch = match found.place {
            Place::Next(Target::Kind(kind)) | Place::First(Target::Kind(kind)) | Place::Last(Target::Kind(kind)) => {
                Some(kind)
            }
            _ => None,
        };
        self.at = found.next;
        let work = Work {
            stitch,
            takes: legs,
            makes: Num::ONE,
            place: found.place,
            extent: Extent::Times(Num::ONE),
            bare_number: false,
        };
        self.push(start, Act::Work(work), steps)
    }

    /// A stitch spelled out: each place that the hook enters is used, and one stitch is left when the loops are drawn
    /// through.
    pub(in crate::notation) fn hook_talk(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let stop = (start..end)
            .find(|i| {
                matches!(
                    self.scan.kind(*i),
                    Some(Kind::Comma | Kind::Semicolon | Kind::Stop | Kind::Newline | Kind::Open(_) | Kind::Close(_))
                )
            })
            .unwrap_or(end);
        let through = (start..stop).any(|i| self.scan.key(i) == Some(Key::Through));
        let place = (start..stop)
            .find(|i| self.scan.is(*i, &[Key::In, Key::Each, Key::Next, Key::Same]))
            .and_then(|i| place::place(&self.scan, i, stop));
        self.at = stop;
        if through && self.leaves_loops(stop) {
            return self.push(start, Act::Aside, steps);
        }
        if through {
            let open = |step: &Step| -> bool {
                match &step.act {
                    Act::Work(work) => work.makes == Num::ZERO,
                    Act::Repeat(repeat) => {
                        repeat.steps.iter().any(|step| matches!(&step.act, Act::Work(work) if work.makes == Num::ZERO))
                    }
                    _ => false,
                }
            };
            let waiting = steps.iter().rev().take_while(|step| open(step) || matches!(step.act, Act::Aside)).any(open);
            if waiting {
                // Legs that all stand in one place close to a cluster, legs in several to a decrease.
                let one_place = matches!(
                    steps.iter().rev().find(|step| !matches!(step.act, Act::Aside)).map(|step| &step.act),
                    Some(Act::Work(Work { makes: Num::ZERO, takes: Num::ONE, extent: Extent::Times(Num::ONE), .. }))
                );
                let legs = steps
                    .iter()
                    .rev()
                    .take_while(|step| open(step) || matches!(step.act, Act::Aside))
                    .filter(|step| open(step))
                    .count();
                let work = Work {
                    stitch: if one_place && legs == 1 { crate::standards::by_name("cluster") } else { None },
                    takes: Num::ZERO,
                    makes: Num::ONE,
                    place: Place::Same,
                    extent: Extent::Times(Num::ONE),
                    bare_number: false,
                };
                return self.push(start, Act::Work(work), steps);
            }
            return self.push(start, Act::Aside, steps);
        }
        let enters = self.scan.span(start).of(self.scan.text).to_lowercase();
        match place {
            Some(found) if !enters.starts_with('y') => {
                let extent = found.extent.unwrap_or(Extent::Times(Num::ONE));
                let work = Work {
                    stitch: None,
                    takes: Num::ONE,
                    makes: Num::ZERO,
                    place: found.place,
                    extent,
                    bare_number: false,
                };
                self.push(start, Act::Work(work), steps)
            }
            _ => self.push(start, Act::Aside, steps),
        }
    }

    /// `join with sl st to first sc`; `join B` brings a yarn.
    pub(in crate::notation) fn join(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let mut stop = start + 1;
        while stop < end {
            // "sl. st." has dots of its own.
            if let Some((_, next)) = self.scan.stitch(stop)
                && next > stop + 1
            {
                stop = next.min(end);
                continue;
            }
            match self.scan.kind(stop) {
                Some(
                    Kind::Comma
                    | Kind::Semicolon
                    | Kind::Stop
                    | Kind::Newline
                    | Kind::Open(_)
                    | Kind::Equals
                    | Kind::Star(_),
                ) => break,
                Some(Kind::Dash | Kind::Colon) if !(self.scan.glued(stop) && self.scan.glued(stop + 1)) => break,
                Some(Kind::Word(_))
                    if self.scan.is(stop, &[Key::Turn, Key::Fasten, Key::FastenOff])
                        && self.scan.chain(stop + 1).is_none() =>
                {
                    break;
                }
                Some(Kind::Word(_))
                    if self.scan.is(stop, &[Key::And, Key::Then])
                        && (self.scan.is(stop + 1, &[Key::Turn, Key::Fasten, Key::FastenOff])
                            || self.scan.chain(stop + 1).is_some()) =>
                {
                    break;
                }
                _ => stop += 1,
            }
        }
        let slips =
            (start..stop).any(|i| self.scan.stitch(i).is_some_and(|(stitch, _)| stitch == StitchId::SLIP_STITCH));
        let yarn = (start + 1..stop).any(|i| self.scan.is(i, &[Key::Yarn, Key::Colour]) || self.scan.is_capital(i))
            && !slips
            || self.scan.is(start + 1, &[Key::Yarn, Key::Colour])
            || self.scan.is_capital(start + 1);
        self.at = stop;
        // "join MC in first of the 6 underarm chs": round the opening that a row left there.
        if !steps.iter().any(|step| !matches!(step.act, Act::Aside | Act::Turn))
            && (start + 1..stop).any(|i| place::bridging(&self.scan, i) && self.scan.chain(i + 1).is_some())
        {
            return self.push(start, Act::Resume(Resume::Opening { skipped: None }), steps);
        }
        // "Join new colour with sl st in any ch-2 sp": the round begins there.
        if !steps.iter().any(|step| !matches!(step.act, Act::Aside | Act::Turn))
            && let Some(place) = (start + 1..stop).find(|i| self.scan.is(*i, &[Key::In, Key::To]))
            && let Some(found) = place::place(&self.scan, place, stop)
            && matches!(found.place, Place::Next(_) | Place::First(_) | Place::Same)
        {
            let landing = match found.place {
                Place::Same => Place::First(Target::Any),
                other => other,
            };
            let work = Work {
                stitch: Some(StitchId::SLIP_STITCH),
                takes: Num::ONE,
                makes: Num::ONE,
                place: landing,
                extent: Extent::Times(Num::ONE),
                bare_number: false,
            };
            return self.push(start, Act::Work(work), steps);
        }
        // "Skip first 14 sts, join yarn in next st"
        if yarn
            && steps.iter().any(|step| matches!(step.act, Act::Skip { .. }))
            && steps.iter().all(|step| matches!(step.act, Act::Skip { .. } | Act::Aside | Act::Turn))
            && (start + 1..stop).any(|i| self.scan.is(i, &[Key::In, Key::To]))
        {
            return self.push(start, Act::Attach, steps);
        }
        // "join to first leg with sc in any st": a stitch of the round.
        if let Some(with) = (start + 1..stop).find(|i| self.scan.key(*i) == Some(Key::With))
            && let Some(making) = self.scan.making(with + 1)
            && making.stitch.is_some_and(|stitch| stitch != StitchId::SLIP_STITCH)
            && let Some(found) = place::place(&self.scan, making.next, stop)
            && !steps.iter().any(|step| matches!(step.act, Act::Work(_) | Act::Repeat(_) | Act::Group { .. }))
        {
            if self.scan.is(start + 1, &[Key::To])
                && let Some((name, _)) = self.piece_name(start + 2, with)
            {
                steps.push(Step { span: name, act: Act::OnPiece(name) });
            }
            let act = self.placed(None, making, found);
            return self.push(start, act, steps);
        }
        self.push(start, if yarn { Act::Aside } else { Act::Join }, steps)
    }

    /// `With A,`, `using yarn B`: up to the comma, or to where the work begins.
    pub(in crate::notation) fn colour(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let mut i = start + 1;
        while i < stop {
            let capital = self.scan.is_capital(i);
            if !capital
                && (self.scan.making(i).is_some()
                    || self.scan.chain(i).is_some()
                    || self.scan.number(i).is_some() && self.scan.starts_instruction(i)
                    || self.scan.is(i, &[Key::Work, Key::Magic, Key::Join, Key::Skip]))
            {
                break;
            }
            i += 1;
        }
        self.at = i;
        self.push(start, Act::Aside, steps)
    }

    /// `sk 2`, `skip next 2 dc`, `miss 1`, `sk first st`.
    pub(in crate::notation) fn skip(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let mut i = start + 1;
        // "dc in each sc around, skipping all hdc": what was not named is passed over anyway.
        if self.scan.is(i, &[Key::All, Key::Each]) {
            let named = matches!(
                steps.last().map(|step| &step.act),
                Some(Act::Work(Work { place: Place::Next(Target::Kind(_)), extent: Extent::Fill(_), .. }))
            );
            if named {
                self.at = self.clause_end(start, end);
                return self.push(start, Act::Aside, steps);
            }
            return false;
        }
        // "miss next row end"
        if let Some(found) = place::place(&self.scan, start + 1, end).filter(|found| found.place == Place::Edge) {
            self.at = found.next;
            let work = Work {
                stitch: None,
                takes: Num::ONE,
                makes: Num::ZERO,
                place: Place::Edge,
                extent: found.extent.unwrap_or(Extent::Times(Num::ONE)),
                bare_number: false,
            };
            return self.push(start, Act::Work(work), steps);
        }
        let mut first = false;
        let last_one = self.scan.key(i) == Some(Key::Last);
        while i < end
            && (self.scan.is(i, &[Key::The, Key::Next, Key::First, Key::Over, Key::A, Key::Last, Key::Each, Key::Of])
                && place::space(&self.scan, i).is_none()
                || self.scan.kind(i) == Some(Kind::Dash))
        {
            first |= self.scan.key(i) == Some(Key::First);
            i += 1;
        }
        let count =
            self.scan.number(i).filter(|_| place::space(&self.scan, i).is_none() && self.scan.unit(i).is_none());
        if count.is_some() {
            if self.scan.suffix(i + 1).is_some() && self.scan.key(i + 1) != Some(Key::Stitch) {
                return false;
            }
            i += 1;
        }
        // "sk sc behind FPdc", "sk next petal (7 sts)", "sk last dc and top of beg ch"
        let found = place::target(&self.scan, i, end);
        let last = self.scan.key(i) == Some(Key::Last);
        let (target, next) = match found {
            Some(found) => found,
            None if last && place::target(&self.scan, i + 1, end).is_some() => {
                (Target::Any, place::target(&self.scan, i + 1, end).map_or(i + 2, |found| found.1))
            }
            // "sk next petal (7 sts)": how many stitches that is stands behind it.
            None if self.counted_noun(i, end).is_some() => {
                let (count, next) = self.counted_noun(i, end).unwrap_or((Num::ONE, i + 1));
                self.at = next;
                return self.push(start, Act::Skip { places: count, target: Target::Any, first: false }, steps);
            }
            // "sk last petal": the word is the pattern's own; what it is worth cannot be told here.
            None if last_one && i < end && self.scan.key(i).is_none() => {
                self.at = i + 1;
                return self.push(start, Act::Leave(None), steps);
            }
            None if count.is_some() || i >= end || !matches!(self.scan.kind(i), Some(Kind::Word(_))) => {
                (Target::Any, i)
            }
            None => return false,
        };
        self.at = next;
        // "sk next dc of V-st"
        if self.scan.key(next) == Some(Key::Of)
            && let Some((_, behind)) = self.scan.unit(next + 1)
        {
            self.at = behind;
        }
        if self.scan.span(next).of(self.scan.text).eq_ignore_ascii_case("behind") {
            self.at = self.clause_end(next, end);
        }
        // "skip 3 ch" steps over chains one by one; "skip next dc" steps over that one stitch wherever it is next.
        let target = match target {
            Target::Chain | Target::Both(..) | Target::BothChains => Target::Any,
            Target::Unit(unit, _) => Target::Unit(unit, Part::Whole),
            other => other,
        };
        self.push(start, Act::Skip { places: count.unwrap_or(Num::ONE), target, first }, steps);
        self.skip_more(end, steps);
        // "… and top of beg ch"
        if self.scan.key(self.at) == Some(Key::And)
            && let Some(found) = place::place(&self.scan, self.at + 1, end)
            && found.place == Place::Next(Target::TurningChain)
        {
            self.at = found.next;
            return self.push(start, Act::Skip { places: Num::ONE, target: Target::Any, first: false }, steps);
        }
        true
    }

    /// `miss 3 tr and 3 dc`, `miss the first stitch and the two that follow it`: the skip goes on.
    fn skip_more(&mut self, end: usize, steps: &mut Vec<Step>) {
        let start = self.at;
        if self.scan.key(start) != Some(Key::And) {
            return;
        }
        let mut i = start + 1;
        while self.scan.is(i, &[Key::The, Key::Next]) {
            i += 1;
        }
        let Some(places) = self.scan.number(i).filter(|_| i < end) else { return };
        i += 1;
        let mut target = Target::Any;
        if self.scan.is(i, &[Key::That]) && self.scan.span(i + 1).of(self.scan.text).eq_ignore_ascii_case("follow") {
            i += 2;
            if self.scan.is(i, &[Key::It]) {
                i += 1;
            }
        } else if let Some((found @ (Target::Any | Target::Kind(_)), next)) = place::target(&self.scan, i, end) {
            target = found;
            i = next;
        } else {
            return;
        }
        // "skip 2 ch and 2 dc in next st" works those two.
        let ends = i >= end
            || !matches!(self.scan.kind(i), Some(Kind::Word(_) | Kind::Number(_) | Kind::Open(_) | Kind::Own(_)));
        if ends {
            self.at = i;
            self.push(start + 1, Act::Skip { places, target, first: false }, steps);
        }
    }

    /// `petal (7 sts)`: a thing of the pattern's own with its stitches.
    fn counted_noun(&self, at: usize, end: usize) -> Option<(Num, usize)> {
        let open = at + 1;
        let noun = self.scan.key(at).is_none() && matches!(self.scan.kind(at), Some(Kind::Word(_)));
        if !noun || !matches!(self.scan.kind(open), Some(Kind::Open(_))) {
            return None;
        }
        let close = self.scan.closing(open, end)?;
        let count = self.scan.number(open + 1)?;
        (self.scan.is(open + 2, &[Key::Stitch]) && close == open + 3).then_some((count, close + 1))
    }

    /// `leave rem sts unworked`, `leaving last 4 sts`.
    pub(in crate::notation) fn leave(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        // "Leave the chain nearest to the hook alone and work …": the chain that lifts the hook.
        if let Some(and) = (start..stop).find(|i| self.scan.key(*i) == Some(Key::And))
            && (start..and).any(|i| self.scan.key(i) == Some(Key::Hook))
            && self.scan.key(and + 1) == Some(Key::Work)
        {
            self.at = and;
            return self.push(start, Act::Aside, steps);
        }
        let long = (start..stop)
            .any(|i| self.scan.is(i, &[Key::Unworked, Key::Remain, Key::Last, Key::Stitch]) || self.scan.stitchy(i));
        // "leave remaining 3 sts unworked": how many is said, and is held to.
        let count = (start..stop).find_map(|i| self.scan.number(i));
        self.at = stop;
        // "leave a long tail" is about yarn.
        self.push(
            start,
            if long && !(start..stop).any(|i| self.scan.span(i).of(self.scan.text).eq_ignore_ascii_case("tail")) {
                Act::Leave(count)
            } else {
                Act::Aside
            },
            steps,
        )
    }

    /// `You will have 24 sc.`, `There should be 24 sts.`, `Total: 24 sts`.
    pub(in crate::notation) fn sentence_count(&mut self, end: usize) -> bool {
        let start = self.at;
        let stop = (start..end)
            .find(|i| matches!(self.scan.kind(*i), Some(Kind::Stop | Kind::Newline | Kind::Semicolon)))
            .unwrap_or(end);
        let Some(first) = (start..stop).find(|i| self.scan.number(*i).is_some()) else { return false };
        let Some(stated) = super::super::count::count(&self.scan, first, stop) else { return false };
        self.take_count(stated, stop)
    }
}
