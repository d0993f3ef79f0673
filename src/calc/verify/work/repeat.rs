//! Repeats, fills and places that are looked for: worked in closed form where a unit uses the same number of places
//! wherever it stands, else pass by pass until the work comes round.

use super::{Trouble, Worker, works};
use crate::fabric::{Builder, Item, Wanted};
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Place, Repeat, Step, Target};
use crate::verify::conventions::Question;

impl Worker<'_> {
    /// Stitches that a fill leaves: those it names, else those that the rest of the row asks for.
    pub(super) fn leaving(&self, extent: Extent, rest: &[Step], each: bool) -> u64 {
        if let Extent::Fill(number) = extent
            && let Some(leaving) = self.value(number)
            && leaving > 0
        {
            return leaving;
        }
        // "… in each st across, dc in top of ch-3" leaves that one; "each st" and then more plain stitches contradict.
        let asks_last = rest.iter().find(|step| works(&step.act)).is_some_and(|step| match &step.act {
            Act::Work(work) => matches!(work.place, Place::Last(_) | Place::Next(Target::TurningChain)),
            _ => false,
        });
        if each && !asks_last || self.left() == 0 {
            return 0;
        }
        self.consumes(rest).unwrap_or(0)
    }

    /// Places that steps use, where that does not depend on what lies below.
    pub(super) fn consumes(&self, steps: &[Step]) -> Option<u64> {
        let mut sum = 0u64;
        for step in steps {
            let part = match &step.act {
                Act::Work(work) => {
                    let Extent::Times(times) = work.extent else { return None };
                    let (Some(times), Some(takes)) = (self.value(times), self.value(work.takes)) else { continue };
                    match work.place {
                        Place::Same | Place::Ring => 0,
                        Place::FromHook(_) => return None,
                        Place::Next(target) | Place::First(target) | Place::Last(target) => {
                            if self.must_leap(target) {
                                return None;
                            }
                            if work.bare_number && times > 1 && self.conventions.answer(Question::NumberFirstInOne) {
                                takes
                            } else {
                                times.saturating_mul(takes)
                            }
                        }
                    }
                }
                Act::Skip { places, target, .. } => {
                    if matches!(target, Target::Space(_)) {
                        return None;
                    }
                    self.value(*places).unwrap_or(0)
                }
                Act::Group { place, extent, .. } => {
                    let Extent::Times(times) = extent else { return None };
                    match place {
                        Place::Same | Place::Ring => 0,
                        Place::Next(target) | Place::First(target) | Place::Last(target)
                            if !self.must_leap(*target) =>
                        {
                            self.value(*times).unwrap_or(0)
                        }
                        _ => return None,
                    }
                }
                Act::Repeat(repeat) => {
                    let times = self.passes_of(repeat.extent)?;
                    let unit = self.consumes(&repeat.steps)?;
                    match repeat.stop {
                        Some(stop) if times > 0 => unit
                            .saturating_mul(times - 1)
                            .saturating_add(self.consumes(&repeat.steps[..stop.min(repeat.steps.len())])?),
                        _ => unit.saturating_mul(times),
                    }
                }
                Act::Unread | Act::Again(_) => return None,
                _ => 0,
            };
            sum = sum.saturating_add(part);
        }
        Some(sum)
    }

    pub(super) fn must_leap(&self, target: Target) -> bool {
        let Some(fabric) = self.fabric else { return false };
        match target {
            Target::Any => false,
            Target::Kind(kind) => {
                let wanted = Wanted::Kind(kind);
                fabric.any(|item| wanted.is(item)) && fabric.any(|item| item.is_place() && !wanted.is(item))
            }
            Target::Space(_) => true,
            Target::TurningChain => {
                !fabric.any(|item| matches!(item, Item::TurningChain { counts_as: Some(_), .. }))
                    && fabric.any(|item| matches!(item, Item::TurningChain { .. }))
            }
        }
    }

    /// How many passes a numbered extent means; `None` for one that fills.
    pub(super) fn passes_of(&self, extent: Extent) -> Option<u64> {
        match extent {
            Extent::Times(count) => Some(self.value(count).unwrap_or(0)),
            Extent::More(count) => Some(self.value(count).map_or(0, |count| count.saturating_add(1))),
            Extent::Open(count) => {
                Some(self.value(count).map_or(0, |count| {
                    count.saturating_add(u64::from(!self.conventions.answer(Question::RepeatInAll)))
                }))
            }
            Extent::Fill(_) | Extent::Unsaid => None,
        }
    }

    pub(super) fn repeat(&mut self, repeat: &Repeat, span: Span, rest: &[Step]) {
        if matches!(repeat.extent, Extent::Open(_)) {
            self.conventions.ask(Question::RepeatInAll);
        }
        let times = self.passes_of(repeat.extent);
        if times == Some(0) {
            return;
        }
        if self.grouped || self.cursor.is_none() {
            let Some(times) = times else {
                self.known = false;
                return;
            };
            let pass = self.pass(&repeat.steps);
            return self.out.repeat(pass, times);
        }
        let stop = repeat.stop.map(|stop| stop.min(repeat.steps.len()));
        let short = match stop {
            Some(stop) => self.consumes(&repeat.steps[..stop]),
            None => Some(0),
        };
        match (self.consumes(&repeat.steps), short) {
            (Some(unit), Some(short)) => {
                let partial = stop.map(|stop| (&repeat.steps[..stop], short));
                self.plain(repeat, times, unit, partial, span, rest);
            }
            _ => self.looked_for(repeat, times, stop, span, rest),
        }
    }

    pub(super) fn pass(&mut self, steps: &[Step]) -> Builder {
        let outer = std::mem::take(&mut self.out);
        self.run(steps);
        std::mem::replace(&mut self.out, outer)
    }

    /// A unit that uses the same number of places wherever it is worked.
    pub(super) fn plain(
        &mut self,
        repeat: &Repeat,
        times: Option<u64>,
        unit: u64,
        partial: Option<(&[Step], u64)>,
        span: Span,
        rest: &[Step],
    ) {
        let mut remainder = 0;
        let mut over = 0;
        let whole = match times {
            Some(times) => times - u64::from(partial.is_some()),
            None => {
                if unit == 0 {
                    self.known = false;
                    return;
                }
                let leaving = self.leaving(repeat.extent, rest, false);
                over = self.left().saturating_sub(leaving);
                if let Extent::Fill(number) = repeat.extent
                    && self.value(number).is_some_and(|leaving| leaving > self.left())
                {
                    self.trouble.get_or_insert(Trouble::RunOut { span });
                }
                match partial {
                    // The last pass stops at the mark.
                    Some((_, short)) => {
                        let full = over.saturating_sub(short);
                        remainder = if over < short { over } else { full % unit };
                        full / unit
                    }
                    None => {
                        remainder = over % unit;
                        over / unit
                    }
                }
            }
        };
        if whole > 0 {
            let pass = self.pass(&repeat.steps);
            if whole > 1 {
                self.take(unit.saturating_mul(whole - 1), span);
            }
            self.out.repeat(pass, whole);
        }
        if let Some((steps, _)) = partial {
            self.run(steps);
        }
        if remainder > 0 && times.is_none() {
            self.trouble.get_or_insert(Trouble::Divide { span, over, unit, remainder });
            // A last pass that stops early is right only if the printed count says so.
            if partial.is_none() {
                for end in 1..repeat.steps.len() {
                    if self.consumes(&repeat.steps[..end]) == Some(remainder)
                        && self.consumes(&repeat.steps[..end + 1]) != Some(remainder)
                    {
                        self.run(&repeat.steps[..end]);
                        self.partial = true;
                        break;
                    }
                }
            }
        }
    }

    /// A unit that looks for kinds of stitches or for spaces.
    pub(super) fn looked_for(
        &mut self,
        repeat: &Repeat,
        times: Option<u64>,
        stop: Option<usize>,
        span: Span,
        rest: &[Step],
    ) {
        let leaving = if times.is_none() { self.leaving(repeat.extent, rest, false) } else { 0 };
        let whole = times.map(|times| times - u64::from(stop.is_some()));
        let steps = &repeat.steps;
        self.passes(whole, leaving, span, |worker| {
            let trouble = worker.trouble;
            let (used, cursor) = (worker.used, worker.cursor.clone());
            worker.run(steps);
            if times.is_none() && worker.trouble != trouble {
                // No whole pass any more: what it looked for is not there.
                worker.trouble = trouble;
                worker.used = used;
                worker.cursor = cursor;
                return false;
            }
            true
        });
        if let Some(stop) = stop {
            let inner: Vec<Step> = steps[..stop].to_vec();
            self.run(&inner);
        }
    }

    /// Stitches in places that are looked for.
    pub(super) fn leap(&mut self, wanted: Wanted, times: Option<u64>, pass: &Builder, span: Span) {
        self.leapt = Some(wanted);
        let mut found = 0u64;
        let done = self.passes(times, 0, span, |worker| {
            let Some(cursor) = &mut worker.cursor else { return false };
            let Some(passed) = cursor.seek(wanted) else { return false };
            let place = cursor.item().is_some_and(Item::is_place);
            cursor.use_item();
            worker.used = worker.used.saturating_add(passed.saturating_add(u64::from(place)));
            worker.begun = true;
            worker.out.repeat(pass.clone(), 1);
            found += 1;
            true
        });
        if times.is_none() && done == 0 {
            // "each dc and 3 sc in each space": the second begins where the first has been already.
            self.known = false;
        }
        if times.is_some_and(|times| done < times) {
            self.trouble.get_or_insert(Trouble::RunOut { span });
        }
    }

    /// Does passes until a limit, or until the row is used up; where the work comes round to the same place of the pattern
    /// below, the rest of the rounds is taken in one step. Answers how many passes were done.
    pub(super) fn passes(
        &mut self,
        limit: Option<u64>,
        leaving: u64,
        span: Span,
        mut pass: impl FnMut(&mut Self) -> bool,
    ) -> u64 {
        struct Seen {
            phase: (Vec<(usize, u64)>, u64),
            left: u64,
            used: u64,
            done: u64,
        }
        let mut done = 0u64;
        let mut seen: Vec<Seen> = Vec::new();
        let mut outs: Vec<Builder> = Vec::new();
        let mut main = std::mem::take(&mut self.out);
        loop {
            if limit.is_some_and(|limit| done >= limit) || !self.burn(span) {
                break;
            }
            let Some(cursor) = &mut self.cursor else { break };
            if limit.is_none() && cursor.left() <= leaving && cursor.seek(Wanted::Space(None)).is_none() {
                break;
            }
            let phase = cursor.phase();
            let (left, run_left) = (cursor.left(), cursor.run_left());
            let room = limit.map_or(u64::MAX, |limit| limit - done);
            let mut jumped = false;
            if let Some(at) = seen.iter().position(|seen| seen.phase.0 == phase.0 && seen.phase.1 > phase.1) {
                let from = &seen[at];
                let (rounds, passes, places, used) =
                    (from.phase.1 - phase.1, done - from.done, from.left - left, self.used - from.used);
                let cycles = ((phase.1 - 1) / rounds).min(room / passes.max(1));
                if cycles > 0 && passes > 0 && self.jump_within(leaving, left, places, cycles) {
                    let mut block = Builder::default();
                    for out in &outs[at..] {
                        block.repeat(out.clone(), 1);
                    }
                    main.repeat(block, cycles);
                    if let Some(cursor) = &mut self.cursor {
                        cursor.jump(rounds * cycles, places * cycles);
                    }
                    self.used = self.used.saturating_add(used.saturating_mul(cycles));
                    done += passes * cycles;
                    jumped = true;
                }
            } else if let Some(last) = seen.last()
                && same_run(&last.phase.0, &phase.0)
                && last.phase.1 == phase.1
                && last.left > left
            {
                // The whole pass lay within one run of equal stitches: as many more as the run holds.
                let each = last.left - left;
                let passes = done - last.done;
                let cycles = (run_left / each).saturating_sub(1).min(room / passes.max(1));
                if cycles > 0 && self.jump_within(leaving, left, each, cycles) {
                    if let (Some(out), Some(cursor)) = (outs.last(), &mut self.cursor) {
                        main.repeat(out.clone(), cycles);
                        cursor.take(each * cycles);
                    }
                    self.used = self.used.saturating_add(each.saturating_mul(cycles));
                    done += passes * cycles;
                    jumped = true;
                }
            }
            if jumped {
                seen.clear();
                outs.clear();
                continue;
            }
            if seen.len() >= 64 {
                seen.clear();
                outs.clear();
            }
            seen.push(Seen { phase, left, used: self.used, done });
            if !pass(self) {
                self.out = Builder::default();
                break;
            }
            let out = std::mem::take(&mut self.out);
            main.repeat(out.clone(), 1);
            outs.push(out);
            done += 1;
        }
        self.out = main;
        done
    }

    pub(super) fn jump_within(&self, leaving: u64, left: u64, places: u64, cycles: u64) -> bool {
        places.checked_mul(cycles).is_some_and(|all| all <= left.saturating_sub(leaving))
    }
}

/// The same run of the same pass, another stitch of it.
fn same_run(before: &[(usize, u64)], now: &[(usize, u64)]) -> bool {
    before.len() == now.len()
        && before[..before.len() - 1] == now[..now.len() - 1]
        && before.last().map(|last| last.0) == now.last().map(|last| last.0)
}
