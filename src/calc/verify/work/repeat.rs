//! Repeats, fills and places that are looked for: worked in closed form where a unit uses the same number of places
//! wherever it stands, else pass by pass until the work comes round.

use super::places::Stop;
use super::{Misnamed, Trouble, Worker, works};
use crate::fabric::{Builder, Cursor, Item, Wanted};
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Own, Place, Repeat, Step, Target};
use crate::standards::{StitchId, StitchKind, stitch};
use crate::verify::conventions::Question;

impl<'w> Worker<'w> {
    /// Stitches that a fill leaves: those it names, else those that the rest of the row asks for.
    pub(super) fn leaving(&mut self, extent: Extent, rest: &[Step], each: bool) -> u64 {
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
        if let Extent::Until(target, last) = extent {
            return self.places_from(target, last);
        }
        if self.between && self.wrapped > 0 && rest.iter().all(|step| !works(&step.act)) {
            // The round ends in the gap where it began.
            return self.wrapped;
        }
        if each && !asks_last || self.left() == 0 {
            return 0;
        }
        self.consumes(rest).unwrap_or(0)
    }

    /// Places from the next such thing to the row's end, or from the last so many of them.
    fn places_from(&mut self, target: Target, last: u16) -> u64 {
        match self.stop_before(Extent::Until(target, last)) {
            Stop::Before(wanted) => {
                let Some(cursor) = &self.cursor else { return 0 };
                let mut ahead = cursor.clone();
                match ahead.seek(wanted) {
                    Some(_) => ahead.left(),
                    None => 0,
                }
            }
            Stop::Stations(stations) => {
                let Some(cursor) = &self.cursor else { return 0 };
                // Walk from the end: what lies behind the mark.
                let (_, after) = cursor.cut();
                let back = after.reversed();
                let mut behind = Cursor::new(&back);
                let mut passed = 0u64;
                while passed < stations && passed < 100_000 && behind.station().is_some() {
                    behind.use_item();
                    passed += 1;
                }
                after.totals().places - behind.left()
            }
            _ => 0,
        }
    }

    /// Places that steps use, where that does not depend on what lies below.
    pub(super) fn consumes(&self, steps: &[Step]) -> Option<u64> {
        let mut sum = 0u64;
        let mut covered = false;
        for step in steps {
            let now = matches!(&step.act, Act::Work(work) if matches!(work.place, Place::Lower(_)))
                || covered && matches!(step.act, Act::Aside);
            let covered = std::mem::replace(&mut covered, now);
            let part = match &step.act {
                Act::Work(work) => {
                    let Extent::Times(times) = work.extent else { return None };
                    let (Some(times), Some(takes)) = (self.value(times), self.value(work.takes)) else { continue };
                    match work.place {
                        Place::Same | Place::Ring | Place::Made | Place::Skipped | Place::Unworked | Place::FarSide => {
                            0
                        }
                        Place::FromHook(_) | Place::Edge | Place::Bridge { .. } => return None,
                        Place::Lower(target) => {
                            if self.fabric.is_some_and(|fabric| fabric.totals().spaces > 0)
                                || matches!(target, Target::Space(_))
                            {
                                return None;
                            }
                            times
                        }
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
                    if matches!(target, Target::Space(_) | Target::Unit(..)) || covered {
                        return None;
                    }
                    self.value(*places).unwrap_or(0)
                }
                Act::Group { place, extent, .. } => {
                    let Extent::Times(times) = extent else { return None };
                    match place {
                        Place::Same | Place::Ring | Place::Made => 0,
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
                Act::Own(own) => self.consumed_by(own)?,
                Act::Unread | Act::Again(_) | Act::Along { .. } | Act::Spread { .. } | Act::EveryNth { .. } => {
                    return None;
                }
                Act::FarSide | Act::OnPiece(_) => return None,
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
            Target::Space(_) | Target::Unit(..) | Target::Gap | Target::Corner => true,
            Target::Both(..) | Target::BothChains => fabric.totals().spaces > 0,
            Target::Chain => fabric.totals().spaces > 0,
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
            Extent::Fill(_) | Extent::Unsaid | Extent::Until(..) => None,
        }
    }

    /// Places that an own stitch uses, where that is fixed.
    fn consumed_by(&self, own: &Own) -> Option<u64> {
        let definition = self.setting.pattern.definitions.get(own.definition as usize)?;
        if definition.unclear || self.deep.get() >= super::MOST_DEEP {
            return None;
        }
        let Extent::Times(times) = own.extent else { return None };
        let times = self.value(times).unwrap_or(0);
        if definition.in_one_place {
            return match own.place.unwrap_or(definition.place) {
                Place::Same | Place::Ring | Place::Made => Some(0),
                Place::Next(target) | Place::First(target) | Place::Last(target) if !self.must_leap(target) => {
                    Some(times)
                }
                _ => None,
            };
        }
        self.deep.set(self.deep.get() + 1);
        let unit = self.consumes(&definition.steps);
        self.deep.set(self.deep.get() - 1);
        let times = if own.place.is_some_and(|place| place != Place::Same) { 1 } else { times };
        unit.map(|unit| unit.saturating_mul(times))
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
        let unit = self.unit_open.take();
        let stop = repeat.stop.map(|stop| stop.min(repeat.steps.len()));
        let short = match stop {
            Some(stop) => self.consumes(&repeat.steps[..stop]),
            None => Some(0),
        };
        match (self.consumes(&repeat.steps), short) {
            (Some(takes), Some(short)) if !matches!(repeat.extent, Extent::Until(..)) => {
                let partial = stop.map(|stop| (&repeat.steps[..stop], short));
                self.unit_open = unit;
                self.plain(repeat, times, takes, partial, span, rest);
            }
            _ => {
                self.unit_open = unit;
                self.looked_for(repeat, times, stop, span, rest);
            }
        }
        self.unit_open = None;
    }

    pub(super) fn pass(&mut self, steps: &[Step]) -> Builder {
        let outer = self.part();
        let unit = self.unit_open.take();
        if let Some(unit) = unit {
            self.out.push(Item::Open(unit), 1);
        }
        self.skipped = 0;
        self.repeats += 1;
        self.run(steps);
        self.repeats -= 1;
        if let Some(unit) = unit {
            self.out.push(Item::Close(unit), 1);
        }
        self.unit_open = unit;
        self.back_to(outer)
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
                    self.trouble.get_or_insert(Trouble::RunOut { span, target: None });
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
            // Spelled out, each pass stands on places of its own.
            let mut whole = whole;
            while self.spell.is_some() && whole > 1 && !self.out.is_over() && self.burn(span) {
                let pass = self.pass(&repeat.steps);
                self.out.repeat(pass, 1);
                whole -= 1;
            }
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
                        let made = self.out.totals().places;
                        self.run(&repeat.steps[..end]);
                        self.partial = self.out.totals().places > made;
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
        let ending = match repeat.extent {
            Extent::Until(..) => match self.stop_before(repeat.extent) {
                // A pass may not step over where it is to end.
                Stop::Before(wanted) => {
                    let ahead =
                        self.cursor.clone().and_then(|mut ahead| ahead.seek(wanted).map(|_| ahead.stations_left()));
                    ahead.map_or(Stop::AtEnd, Stop::Stations)
                }
                other => other,
            },
            _ if times.is_none() => Stop::Leaving(self.leaving(repeat.extent, rest, false)),
            _ => Stop::AtEnd,
        };
        let fills = times.is_none();
        let whole = times.map(|times| times - u64::from(stop.is_some()));
        let steps = &repeat.steps;
        // A fill takes as many passes as there is room for; where what follows it then finds no place, one fewer.
        let before = (fills && self.depth == 0 && rest.iter().any(|step| works(&step.act))).then(|| self.keep());
        let done = self.fill(steps, whole, fills, ending, span);
        if let Some(before) = before
            && done > 1
            && self.trouble.is_none()
            && !matches!(ending, Stop::Before(_) | Stop::Stations(_))
            && !self.comes_out(rest)
        {
            let after = self.keep();
            self.give(before);
            self.fill(steps, Some(done - 1), false, ending, span);
            if self.trouble.is_some() || !self.comes_out(rest) {
                self.give(after);
            }
        }
        if fills && done > 0 && stop.is_none() && self.trouble.is_none() {
            let ends = !rest.iter().any(|step| works(&step.act) || matches!(step.act, Act::Leave(_)));
            self.cut_short(ending, ends, done, span);
        }
        if let Some(stop) = stop {
            let inner: Vec<Step> = steps[..stop].to_vec();
            if fills {
                self.last_part(&inner, steps, span);
            } else {
                self.run(&inner);
            }
        }
    }

    /// A fill that ended before its end, with places of the kind that it looks for still there: a pass did not fit.
    fn cut_short(&mut self, ending: Stop, ends: bool, done: u64, span: Span) {
        let Some(cursor) = &self.cursor else { return };
        let Some(wanted) = self.leapt else {
            let left = cursor.left();
            if ends && left > self.wrapped && left != self.last_skip && matches!(ending, Stop::AtEnd | Stop::Leaving(0))
            {
                let unit = (self.used / done).max(1);
                self.trouble =
                    Some(Trouble::Divide { span, over: self.used.saturating_add(left), unit, remainder: left });
            }
            return;
        };
        let mark = match ending {
            Stop::Stations(mark) => mark,
            Stop::AtEnd | Stop::Leaving(0) if ends => 0,
            _ => return,
        };
        if self.left() <= self.wrapped {
            return;
        }
        let here = cursor.stations_left();
        let mut ahead = cursor.clone();
        if here <= mark || ahead.seek(wanted).is_none() || ahead.stations_left() <= mark {
            return;
        }
        let left = cursor.left();
        let remainder = (here - mark).min(left).max(1);
        let over = self.used.saturating_add(remainder);
        self.trouble = Some(Trouble::Divide { span, over, unit: (self.used / done).max(1), remainder });
    }

    fn fill(&mut self, steps: &[Step], whole: Option<u64>, fills: bool, ending: Stop, span: Span) -> u64 {
        let unit = self.unit_open.take();
        self.passes(whole, ending, span, |worker| {
            let kept = (worker.trouble, worker.used, worker.cursor.clone(), worker.leapt, worker.stale);
            let spell = worker.spell.clone();
            if let Some(unit) = unit {
                worker.out.push(Item::Open(unit), 1);
            }
            worker.skipped = 0;
            worker.repeats += 1;
            worker.run(steps);
            worker.repeats -= 1;
            if let Some(unit) = unit {
                worker.out.push(Item::Close(unit), 1);
            }
            let beyond = match (ending, &worker.cursor) {
                (Stop::Stations(left), Some(cursor)) => cursor.stations_left() < left,
                _ => false,
            };
            if fills && (worker.trouble != kept.0 || beyond) {
                // No whole pass any more: what it looked for is not there.
                let missing = matches!(worker.trouble, Some(Trouble::NoPlace { .. }));
                let trouble = worker.trouble;
                (worker.trouble, worker.used, worker.cursor, worker.leapt, worker.stale) = kept;
                worker.spell = spell;
                if missing && worker.out_is_first() {
                    worker.trouble = trouble;
                }
                return false;
            }
            true
        })
    }

    /// The last pass of a fill stops at its mark: one pass is given back where nothing is left for the part.
    fn last_part(&mut self, inner: &[Step], steps: &[Step], span: Span) {
        let _ = (steps, span);
        self.run(inner);
    }

    /// Whether the rest of the row then works without trouble and leaves nothing that it looks for.
    fn comes_out(&mut self, rest: &[Step]) -> bool {
        let kept = self.keep();
        let known = self.known;
        self.depth += 1;
        self.run(rest);
        self.depth -= 1;
        let fine =
            self.trouble.is_none() && (self.left() <= self.wrapped || self.left_said || !self.leaves_work_copy());
        self.give(kept);
        self.known = known;
        fine
    }

    fn leaves_work_copy(&mut self) -> bool {
        let cursor = self.cursor.clone();
        let leaves = self.leaves_work();
        self.cursor = cursor;
        leaves
    }

    fn out_is_first(&self) -> bool {
        self.passes_done.get() == 0
    }

    fn keep(&self) -> Kept<'w> {
        Kept {
            cursor: self.cursor.clone(),
            out: self.out.clone(),
            used: self.used,
            trouble: self.trouble,
            leapt: self.leapt,
            stale: self.stale,
            begun: self.begun,
            skipped: self.skipped,
            covers: self.covers,
            chains_left: self.chains_left,
            left_said: self.left_said,
            in_use: self.in_use,
            spell: self.spell.clone(),
        }
    }

    fn give(&mut self, kept: Kept<'w>) {
        self.cursor = kept.cursor;
        self.out = kept.out;
        self.used = kept.used;
        self.trouble = kept.trouble;
        self.leapt = kept.leapt;
        self.stale = kept.stale;
        self.begun = kept.begun;
        self.skipped = kept.skipped;
        self.covers = kept.covers;
        self.chains_left = kept.chains_left;
        self.left_said = kept.left_said;
        self.in_use = kept.in_use;
        self.spell = kept.spell;
    }

    /// Stitches in places that are looked for.
    pub(super) fn leap(
        &mut self,
        wanted: Wanted,
        target: Target,
        extent: Extent,
        times: Option<u64>,
        pass: &Builder,
        span: Span,
    ) {
        let from_stitch = matches!(self.leapt.replace(wanted), Some(Wanted::Kind(_))) && times == Some(1);
        let stop = self.stop_before(extent);
        let watched = matches!(wanted, Wanted::Kind(_)) && !matches!(extent, Extent::Until(..));
        let (mut again, mut between) = (self.after_skip, false);
        let done = self.passes(times, stop, span, |worker| {
            let Some(cursor) = &mut worker.cursor else { return false };
            let before = watched.then(|| cursor.clone());
            let Some(passed) = cursor.seek(wanted) else { return false };
            if let Some(mut before) = before.filter(|_| passed > 0) {
                between |= from_stitch && stands_behind_plain(before.clone(), passed, wanted)
                    || again && before.station().is_some_and(is_plain);
            }
            let place = cursor.item().is_some_and(Item::is_place);
            let foot = worker.foot();
            worker.stand_nowhere();
            worker.stand(foot);
            let Some(cursor) = &mut worker.cursor else { return false };
            cursor.use_item();
            again = true;
            worker.used = worker.used.saturating_add(passed.saturating_add(u64::from(place)));
            worker.begun = true;
            worker.put(pass.clone(), 1);
            true
        });
        // "sc in each of next 4 sc" are four that stand side by side; others between them belong to another row.
        if between {
            self.stale.get_or_insert(Misnamed::others_first(span, target));
        }
        if times.is_none() && done == 0 {
            // "each dc and 3 sc in each space": the second begins where the first has been already.
            let none = self.no_such(target, span);
            if matches!(none, Trouble::NoPlace { .. }) {
                self.trouble.get_or_insert(none);
            } else {
                self.known = false;
            }
        }
        if let Some(times) = times
            && done < times
        {
            // What it asks for beyond the row's end is still counted.
            self.put_elsewhere(pass.clone(), times - done);
            if matches!(target, Target::Any | Target::Kind(_)) {
                self.used = self.used.saturating_add(times - done);
            }
            self.trouble.get_or_insert(self.no_such(target, span));
        }
    }

    /// Does passes until a limit, or until the row is used up; where the work comes round to the same place of the pattern
    /// below, the rest of the rounds is taken in one step. Answers how many passes were done.
    pub(super) fn passes(
        &mut self,
        limit: Option<u64>,
        stop: Stop,
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
        let (mut main, whole) = self.part();
        loop {
            if limit.is_some_and(|limit| done >= limit) || !self.burn(span) {
                break;
            }
            let Some(cursor) = &mut self.cursor else { break };
            let leaving = match stop {
                Stop::AtEnd | Stop::Before(_) => 0,
                Stop::Leaving(places) => places,
                Stop::Stations(_) => 0,
            };
            let ended = match stop {
                Stop::AtEnd | Stop::Leaving(_) => {
                    limit.is_none()
                        && cursor.left() <= leaving
                        && cursor.clone().seek(Wanted::Space(None)).is_none_or(|passed| leaving > 0 && passed > 0)
                }
                Stop::Before(wanted) => stands_before(cursor, wanted),
                Stop::Stations(left) => cursor.stations_left() <= left,
            };
            if ended {
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
                if cycles > 0 && passes > 0 && self.jump_within(stop, leaving, left, places, cycles) {
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
                if cycles > 0 && self.jump_within(stop, leaving, left, each, cycles) {
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
            // Spelled out, each pass is done for itself.
            if self.spell.is_none() {
                seen.push(Seen { phase, left, used: self.used, done });
            }
            let outer_done = self.passes_done.replace(done);
            let went = pass(self);
            self.passes_done.set(outer_done);
            if !went {
                self.out = main.alike();
                break;
            }
            let empty = main.alike();
            let out = std::mem::replace(&mut self.out, empty);
            main.repeat(out.clone(), 1);
            if self.spell.is_none() {
                outs.push(out);
            }
            done += 1;
        }
        self.out = main;
        self.whole = whole;
        done
    }

    pub(super) fn jump_within(&self, stop: Stop, leaving: u64, left: u64, places: u64, cycles: u64) -> bool {
        // How many spaces a jump passes is not counted, so it never goes near a mark among them.
        let leaving = if let Stop::Stations(stations) = stop { stations.saturating_add(places) } else { leaving };
        places.checked_mul(cycles).is_some_and(|all| all <= left.saturating_sub(leaving))
    }
}

/// Whether the next stitch or space is such a one; units are met at their mark.
fn stands_before(cursor: &Cursor<'_>, wanted: Wanted) -> bool {
    let mut ahead = cursor.clone();
    if let Wanted::Unit(_) = wanted {
        return ahead.item().is_some_and(|item| wanted.is(item));
    }
    loop {
        match ahead.item() {
            Some(item) if wanted.is(item) => return true,
            Some(Item::Open(_) | Item::Close(_) | Item::Picot) => ahead.use_item(),
            Some(_) => return false,
            None => return true,
        }
    }
}

/// What a trial may change.
pub(super) struct Kept<'w> {
    cursor: Option<Cursor<'w>>,
    out: Builder,
    used: u64,
    trouble: Option<Trouble>,
    leapt: Option<Wanted>,
    stale: Option<Misnamed>,
    begun: bool,
    skipped: u64,
    covers: u64,
    chains_left: u64,
    left_said: bool,
    in_use: Option<StitchId>,
    spell: Option<super::spell::Spell>,
}

/// The same run of the same pass, another stitch of it.
fn same_run(before: &[(usize, u64)], now: &[(usize, u64)]) -> bool {
    before.len() == now.len()
        && before[..before.len() - 1] == now[..now.len() - 1]
        && before.last().map(|last| last.0) == now.last().map(|last| last.0)
}

/// A stitch of the common sort, which nobody passes over without a word.
pub(super) fn is_plain(item: Item) -> bool {
    matches!(item, Item::Stitch(kind) if kind != StitchId::SLIP_STITCH && stitch(kind).kind == StitchKind::Basic)
}

/// Whether nothing but plain stitches was passed over, one after the other, on the way.
fn stands_behind_plain(mut cursor: Cursor<'_>, passed: u64, wanted: Wanted) -> bool {
    (1..=8).contains(&passed)
        && (0..passed).all(|_| {
            let plain = cursor.station().is_some_and(is_plain);
            cursor.use_item();
            plain
        })
        && cursor.station().is_some_and(|item| wanted.is(item))
}
