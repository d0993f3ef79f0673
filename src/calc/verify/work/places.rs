//! Where the hook goes: the next stitch of a kind, chain spaces, units, gaps, corners, places skipped or further down.

use super::repeat::is_plain;
use super::{Trouble, Worker, corner, seek_for, whole};
use crate::fabric::{Builder, Item, Row, Unit, Wanted};
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Part, Place, Repeat, Step, Target, Work, Working};
use crate::standards::StitchId;

impl Worker<'_> {
    pub(super) fn skip(&mut self, places: Num, target: Target, first: bool, span: Span) {
        let Some(count) = self.value(places) else { return };
        // "FPdc around next dc 2 rows below, sk sc behind it": that stitch is covered already.
        if self.covers > 0 && count <= self.covers && matches!(target, Target::Any | Target::Kind(_)) {
            self.covers = 0;
            return;
        }
        self.covers = 0;
        match target {
            Target::Space(length) => {
                let none = length.is_some()
                    && self.fabric.is_some_and(|fabric| {
                        fabric.any(Item::is_space) && !fabric.any(|item| Wanted::Space(length).is(item))
                    });
                if none {
                    self.stale.get_or_insert((span, target));
                }
                for _ in 0..count.min(1000) {
                    if let Some(cursor) = &mut self.cursor
                        && let Some(passed) =
                            cursor.seek(Wanted::Space(length)).or_else(|| cursor.seek(Wanted::Space(None)))
                    {
                        cursor.use_item();
                        self.used = self.used.saturating_add(passed);
                        self.begun = true;
                    } else if self.cursor.is_some() && !self.grouped {
                        self.trouble.get_or_insert(self.no_such(target, span));
                    }
                }
            }
            Target::Unit(unit, _) => {
                for _ in 0..count.min(1000) {
                    if !self.pass_unit(unit) && self.cursor.is_some() && !self.grouped {
                        self.trouble.get_or_insert(self.no_such(target, span));
                    }
                }
            }
            Target::TurningChain if self.counted && self.only_chain_used() => {}
            // "ch 3, sk first st": the chain stands on that stitch already.
            _ if first && self.counted && self.only_chain_used() => {
                self.last_skip = count - 1;
                self.take(count - 1, span);
            }
            _ if self.on_chain && !self.begun => self.skip_foundation(count, None, &[], None),
            _ => {
                if let Target::Kind(kind) = target
                    && (self.fabric.is_some_and(|fabric| lacks(fabric, kind)) || self.passes_others(kind, count))
                {
                    self.stale.get_or_insert((span, target));
                }
                self.skipped = self.skipped.saturating_add(count);
                self.last_skip = count;
                self.take(count, span);
                self.just_skipped = count;
            }
        }
    }

    /// Whether a plain stitch of another kind stands among the next ones: "sk next 2 sc" over 2 dc.
    fn passes_others(&self, kind: StitchId, count: u64) -> bool {
        let Some(mut cursor) = self.cursor.clone() else { return false };
        if !is_plain(Item::Stitch(kind)) {
            return false;
        }
        let mut passed = 0;
        while passed < count.min(64) {
            let Some(item) = cursor.station() else { return false };
            if is_plain(item) && item.kind() != Some(kind) {
                return true;
            }
            passed += u64::from(item.is_place());
            cursor.use_item();
        }
        false
    }

    /// Passes over the next unit of a name; false where there is none.
    fn pass_unit(&mut self, unit: Unit) -> bool {
        let Some(cursor) = &mut self.cursor else { return false };
        let Some(passed) = cursor.seek(Wanted::Unit(unit)) else { return false };
        let Some(Item::Open(found)) = cursor.item() else { return false };
        cursor.use_item();
        let inner = cursor.leave_unit(found);
        self.used = self.used.saturating_add(passed.saturating_add(inner));
        self.begun = true;
        true
    }

    /// Why something that was looked for is not found: there is none at all, or there are no more.
    pub(super) fn no_such(&self, target: Target, span: Span) -> Trouble {
        let any = self.fabric.is_some_and(|fabric| match target {
            Target::Space(length) => fabric.any(|item| Wanted::Space(length).is(item)),
            Target::Unit(unit, _) => fabric.any(|item| Wanted::Unit(unit).is(item)),
            Target::Gap => fabric.any(|item| Wanted::Gap.is(item)),
            Target::Corner => corner(fabric).is_some(),
            _ => true,
        });
        if any { Trouble::RunOut { span, target: Some(target) } } else { Trouble::NoPlace { span, target } }
    }

    /// Places that were skipped before: nothing new is used.
    pub(super) fn work_into_skipped(&mut self, times: Option<u64>, pass: Builder, span: Span) {
        let times = times.unwrap_or(self.skipped);
        if self.skipped == 0 {
            // Skipped by an earlier row: its stitches are not counted here.
            return self.out.repeat(pass, times);
        }
        if times > self.skipped {
            self.used = self.used.saturating_add(times - self.skipped);
            self.trouble.get_or_insert(Trouble::RunOut { span, target: None });
        }
        self.skipped = self.skipped.saturating_sub(times);
        self.out.repeat(pass, times);
    }

    /// A stitch worked further down covers the next place of the row below.
    pub(super) fn work_into_lower(&mut self, target: Target, times: Option<u64>, pass: Builder, span: Span) {
        let times = times.unwrap_or(1);
        if self.cursor.is_none() {
            return self.out.repeat(pass, times);
        }
        for _ in 0..times.min(1000) {
            let item = self.cursor.as_mut().and_then(|cursor| cursor.station());
            match item {
                Some(item) if item.is_space() => {
                    if let Some(cursor) = &mut self.cursor {
                        cursor.use_item();
                    }
                    self.begun = true;
                }
                // A stitch skipped two rows down has a chain before it.
                _ if matches!(target, Target::Space(_)) => {
                    let spaces = self.fabric.is_some_and(|fabric| fabric.totals().spaces > 0);
                    if spaces {
                        if let Some(cursor) = &mut self.cursor
                            && let Some(passed) = cursor.seek(Wanted::Space(None))
                        {
                            cursor.use_item();
                            self.used = self.used.saturating_add(passed);
                        } else {
                            self.trouble.get_or_insert(Trouble::RunOut { span, target: Some(target) });
                        }
                    } else {
                        self.trouble.get_or_insert(Trouble::NoPlace { span, target });
                    }
                }
                _ => {
                    self.take(1, span);
                    self.covers += 1;
                }
            }
        }
        self.out.repeat(pass, times);
    }

    /// "in last sc" behind lace: what lies between is stepped over.
    pub(super) fn pass_to_last(&mut self, target: Target, times: Option<u64>) {
        let (Some(fabric), Some(cursor), Some(times)) = (self.fabric, self.cursor.as_mut(), times) else { return };
        if self.leapt.is_none() || matches!(target, Target::Gap | Target::TurningChain) {
            return;
        }
        let wanted = seek_for(fabric, target).unwrap_or(Wanted::Place);
        let ahead = cursor.count(wanted);
        let spare = ahead.saturating_sub(times);
        if spare == 0 || spare > 256 {
            return;
        }
        let unit = matches!(wanted, Wanted::Unit(_));
        for _ in 0..spare {
            if cursor.seek(wanted).is_none() {
                return;
            }
            if unit {
                return;
            }
            cursor.use_item();
        }
        self.used = self.used.max(self.available.saturating_sub(cursor.left()));
    }

    /// The places that a target means here, and whether they must be looked for one by one.
    pub(super) fn wanted(&mut self, target: Target, span: Span) -> Option<Wanted> {
        let fabric = self.fabric?;
        let wanted = match target {
            Target::Any | Target::Both(..) | Target::BothChains | Target::Gap | Target::Unit(..) => return None,
            Target::Chain => {
                if fabric.any(|item| item == Item::Chain) || !fabric.any(Item::is_space) {
                    return None;
                }
                Wanted::Space(None)
            }
            Target::Kind(kind) => Wanted::Kind(kind),
            Target::Corner => match corner(fabric) {
                Some(wanted) => return Some(wanted),
                None => return None,
            },
            Target::Space(length) => {
                if length.is_some() && !fabric.any(|item| Wanted::Space(length).is(item)) && fabric.any(Item::is_space)
                {
                    self.stale.get_or_insert((span, target));
                    Wanted::Space(None)
                } else {
                    Wanted::Space(length)
                }
            }
            Target::TurningChain => {
                // "in top of ch-3": the chain below, where it counts; else simply the last stitch.
                let counted = fabric.any(|item| matches!(item, Item::TurningChain { counts_as: Some(_), .. }));
                let any = fabric.any(|item| matches!(item, Item::TurningChain { .. }));
                if counted && self.leapt.is_some() {
                    return Some(Wanted::TurningChain);
                }
                if counted || !any {
                    return None;
                }
                return Some(Wanted::TurningChain);
            }
        };
        if let Wanted::Kind(_) = wanted {
            let others = fabric.any(|item| item.is_place() && !wanted.is(item));
            let some = fabric.any(|item| matches!(wanted, Wanted::Kind(kind) if item.kind() == Some(kind)));
            if !some
                && let Wanted::Kind(kind) = wanted
                && let Some(other) = other_top(fabric, kind)
            {
                return Some(Wanted::Kind(other));
            }
            if !some {
                // The name is stale, and what is there is meant: another stitch, or a chain of the foundation.
                if fabric.any(|item| item.kind().is_some() || item == Item::Chain) {
                    self.stale.get_or_insert((span, target));
                }
                return None;
            }
            if !others {
                return None;
            }
        }
        Some(wanted)
    }

    #[expect(clippy::too_many_arguments, reason = "the parts of one phrase")]
    pub(super) fn next(
        &mut self,
        target: Target,
        extent: Extent,
        times: Option<u64>,
        takes: u64,
        pass: Builder,
        span: Span,
        rest: &[Step],
    ) {
        if self.cursor.is_none() {
            if matches!(target, Target::Space(_)) {
                self.fills_opening();
            }
            // "in each of the 6 underarm chs"
            if target == Target::Chain && self.setting.opening.is_some() {
                return self.along_bridge(true, times, takes, pass, span);
            }
            // In a ring every stitch has room; "each" means nothing there.
            match times {
                Some(times) => self.out.repeat(pass, times),
                None => self.known = false,
            }
            return;
        }
        match target {
            Target::Unit(unit, part) => {
                self.stays = matches!(part, Part::Space(_))
                    && (matches!(
                        rest.first().map(|step| &step.act),
                        Some(Act::Skip { target: Target::Any | Target::Kind(_), .. })
                    ) || self.skips_rest_of(unit, rest));
                self.work_into_units(unit, part, extent, times, &pass, span);
                self.stays = false;
                return;
            }
            Target::Gap => return self.work_into_gaps(times, &pass, span),
            Target::Corner => {
                let middle = self.fabric.and_then(corner);
                if let Some(Wanted::Unit(unit)) = middle {
                    return self.work_into_units(unit, Part::Center, extent, times, &pass, span);
                }
            }
            Target::Both(..) | Target::BothChains => {
                let chains = target == Target::BothChains;
                match times {
                    Some(times) => return self.stations(times, chains, &pass, span),
                    None => {
                        let kinds = [(target, pass)];
                        return self.walk(&kinds, extent, span, rest);
                    }
                }
            }
            Target::Chain if self.work_into_chains(times, &pass, span) => return,
            _ => {}
        }
        if let Some(wanted) = self.wanted(target, span) {
            if wanted == Wanted::TurningChain {
                return self.work_into_turning_chain(times, pass, span);
            }
            if takes <= 1 {
                self.leap(wanted, target, extent, times, &pass, span);
                // "Sc in each dc around" where dc end and others go on.
                let goes_on = self.cursor.clone().and_then(|mut cursor| cursor.station()).is_some_and(is_plain);
                let last = !rest.iter().any(|step| super::works(&step.act) || matches!(step.act, Act::Leave(..)));
                if matches!(wanted, Wanted::Kind(_)) && extent == Extent::Fill(Num::ZERO) && goes_on && last {
                    self.stale.get_or_insert((span, target));
                }
                return;
            }
            // "dc2tog over next 2 ch-2 sps": each leg in a space.
            if matches!(wanted, Wanted::Space(_)) {
                for _ in 0..takes.saturating_mul(times.unwrap_or(1)).min(1000) {
                    self.leap(wanted, target, Extent::Times(Num::ONE), Some(1), &Builder::default(), span);
                }
                return self.out.repeat(pass, times.unwrap_or(1));
            }
        }
        if self.left() > 0 {
            self.leapt = None;
        }
        match times {
            Some(times) => {
                self.take(takes.saturating_mul(times), span);
                self.out.repeat(pass, times);
            }
            None => {
                let leaving = self.leaving(extent, rest, true);
                // "each st" once more, where spaces lie between: the two belong together, which is not worked yet.
                if self.left() == 0 && self.begun && self.fabric.is_some_and(|fabric| fabric.totals().spaces > 0) {
                    self.known = false;
                }
                let over = self.left().saturating_sub(leaving);
                let count = over.checked_div(takes).unwrap_or(0);
                if takes == 0 {
                    self.known = false;
                } else if !over.is_multiple_of(takes) {
                    self.trouble.get_or_insert(Trouble::Divide { span, over, unit: takes, remainder: over % takes });
                }
                self.take(takes.saturating_mul(count), span);
                self.begun = true;
                self.out.repeat(pass, count);
            }
        }
    }

    /// The chain at the row's end. One that counts is a stitch, which is used; one that does not can still be worked into.
    fn work_into_turning_chain(&mut self, times: Option<u64>, pass: Builder, span: Span) {
        if let Some(cursor) = &mut self.cursor
            && let Some(passed) = cursor.seek(Wanted::TurningChain)
        {
            let counted = matches!(cursor.item(), Some(Item::TurningChain { counts_as: Some(_), .. }));
            if counted {
                cursor.use_item();
                self.used = self.used.saturating_add(passed + 1);
                self.begun = true;
            }
        } else if self
            .fabric
            .is_some_and(|fabric| fabric.any(|item| matches!(item, Item::TurningChain { counts_as: Some(_), .. })))
            // "V-st in ch-1 sp of each V-st, one more in 3rd ch of ch 4": the chain was passed with its own V-st.
            && !(self.left() == 0 && matches!(self.leapt, Some(Wanted::Unit(_))))
        {
            self.take(1, span);
        }
        self.out.repeat(pass, times.unwrap_or(1));
    }

    /// Chains worked one by one: of a bridge or a loop of the row below. False where the row has none and they are counted
    /// as stitches.
    fn work_into_chains(&mut self, times: Option<u64>, pass: &Builder, span: Span) -> bool {
        let Some(fabric) = self.fabric else { return false };
        if self.grouped || fabric.any(|item| item == Item::Chain) {
            return false;
        }
        if self.landed && self.out.totals().places == 0 && times == Some(1) {
            // "sl st in next 3 ch, ch 1, sc in next ch": still in that loop.
            self.out.repeat(pass.clone(), 1);
            return true;
        }
        if self.ground.is_elsewhere() {
            // Chains of this very round, or of a piece's edge.
            self.out.repeat(pass.clone(), times.unwrap_or(1));
            return true;
        }
        let Some(cursor) = &mut self.cursor else { return false };
        let ahead = cursor.clone().seek(Wanted::Space(None)).is_some();
        if !ahead && self.chains_left == 0 {
            // Nothing but the foundation's edge has chains here.
            let foundation = self.setting.foundation.totals().places;
            if let Some(times) = times
                && times <= foundation
                && foundation > 0
                && cursor.left() == 0
            {
                self.out.repeat(pass.clone(), times);
                return true;
            }
            return false;
        }
        let mut wanted = times.unwrap_or(u64::MAX);
        let mut made = 0u64;
        while wanted > 0 {
            if self.chains_left == 0 {
                let Some(cursor) = &mut self.cursor else { break };
                let Some(passed) = cursor.seek(Wanted::Space(None)) else { break };
                let Some(Item::Space(length) | Item::Loop(length)) = cursor.item() else { break };
                cursor.use_item();
                self.used = self.used.saturating_add(passed);
                self.begun = true;
                self.chains_left = u64::from(length);
                if self.chains_left == 0 || !self.burn(span) {
                    break;
                }
            }
            let now = wanted.min(self.chains_left);
            self.chains_left -= now;
            wanted -= now;
            made = made.saturating_add(now);
        }
        if let Some(times) = times {
            if made < times {
                self.trouble.get_or_insert(Trouble::RunOut { span, target: Some(Target::Chain) });
            }
            made = times;
        }
        self.out.repeat(pass.clone(), made);
        true
    }

    /// Into units: their space, their middle, their nth stitch. The rest of a unit is stepped over.
    fn work_into_units(
        &mut self,
        unit: Unit,
        part: Part,
        extent: Extent,
        times: Option<u64>,
        pass: &Builder,
        span: Span,
    ) {
        let target = Target::Unit(unit, part);
        let Some(fabric) = self.fabric else { return };
        // "miss 3 tr, 1 dc into the 4th tr of the shell": the skip has led there.
        if let Part::Nth(nth) = part
            && self.just_skipped + 1 == u64::from(nth)
            && nth > 1
            && times == Some(1)
        {
            self.take(1, span);
            return self.out.repeat(pass.clone(), 1);
        }
        // "sk 4 dc, sc in center dc of fan": the skip has led there.
        if part == Part::Center && self.just_skipped > 0 && times == Some(1) && self.inside_unit() {
            self.take(1, span);
            return self.out.repeat(pass.clone(), 1);
        }
        let unit = if fabric.any(|item| Wanted::Unit(unit).is(item)) {
            unit
        } else if unit != Unit::GROUP && fabric.any(|item| matches!(item, Item::Open(_))) && unit.definition().is_none()
        {
            // "shell in next shell", where the shells were written out.
            Unit::GROUP
        } else if let (Part::Space(length), None) = (part, unit.definition()) {
            return self.leap(Wanted::Space(length), Target::Space(length), extent, times, pass, span);
        } else if let Some(kind) = group_kind(fabric).filter(|_| unit.definition().is_none()) {
            // Stitches of one kind that stand together are a group too.
            return self.work_into_runs(Wanted::Kind(kind), part, times, pass, span);
        } else if unit == Unit::GROUP && !whole(part) {
            // "center dc" of stitches that were not worked as one: where that is cannot be told.
            self.known = false;
            Unit::GROUP
        } else {
            self.trouble.get_or_insert(Trouble::NoPlace { span, target });
            return self.out.repeat(pass.clone(), times.unwrap_or(1));
        };
        let wanted = Wanted::Unit(unit);
        self.leapt = Some(wanted);
        // "dc in first dc, V-st in ch-1 sp of each V-st": the space of the one that was just begun is still ahead.
        if matches!(part, Part::Space(_))
            && times.is_none()
            && self.begun
            && !self.landed
            && self.work_into_begun_unit()
        {
            self.out.repeat(pass.clone(), 1);
        }
        let stop = self.stop_before(extent);
        let done = self.passes(times, stop, span, |worker| {
            let Some(cursor) = &mut worker.cursor else { return false };
            let Some(passed) = cursor.seek(wanted) else { return false };
            // A unit that the round cut in two at its beginning was worked there.
            let Some((before, has_space, places)) = cursor.closed_unit() else { return false };
            if matches!(part, Part::Space(_)) && !has_space {
                worker.trouble.get_or_insert(Trouble::NoPlace { span, target });
            }
            if let Part::Nth(nth) = part
                && u64::from(nth) > places
            {
                worker.trouble.get_or_insert(Trouble::NoPlace { span, target });
            }
            let _ = before;
            let Some(Item::Open(found)) = cursor.item() else { return false };
            cursor.use_item();
            if let Part::Space(Some(length)) = part {
                let mut inside = cursor.clone();
                inside.seek(Wanted::Space(None));
                if !matches!(inside.item(), Some(Item::Space(chains)) if chains == length)
                    && !matches!(inside.item(), Some(Item::Loop(_)))
                {
                    worker.stale.get_or_insert((span, Target::Space(Some(length))));
                }
            }
            let along = found
                .definition()
                .and_then(|at| worker.setting.pattern.definitions.get(at))
                .is_some_and(|definition| !definition.in_one_place);
            // "arch = ch 5, sk 3, sc in next st": in next arch is in its space, and the sc still comes.
            let inner = if (along || worker.stays) && has_space && whole(part) {
                cursor.seek(Wanted::Space(None)).inspect(|_| cursor.use_item()).unwrap_or(0)
            } else {
                cursor.leave_unit(found)
            };
            worker.used = worker.used.saturating_add(passed.saturating_add(inner));
            worker.begun = true;
            worker.out.repeat(pass.clone(), 1);
            true
        });
        if let Some(times) = times
            && done < times
        {
            self.out.repeat(pass.clone(), times - done);
            self.trouble.get_or_insert(Trouble::RunOut { span, target: Some(target) });
        }
    }

    /// Moves into the space of the unit in whose first stitch the hook has just been, and out of it; false where the hook
    /// is in none.
    fn work_into_begun_unit(&mut self) -> bool {
        let Some(cursor) = &mut self.cursor else { return false };
        let mut ahead = cursor.clone();
        for _ in 0..8 {
            match ahead.item() {
                Some(item) if item.is_space() => {
                    let mut behind = ahead.clone();
                    behind.use_item();
                    let Some(unit) = behind.closing() else { return false };
                    let passed = ahead.leave_unit(unit);
                    *cursor = ahead;
                    self.used = self.used.saturating_add(passed);
                    return true;
                }
                Some(Item::Open(_) | Item::Close(_)) | None => return false,
                Some(_) => ahead.skip_run(),
            }
        }
        false
    }

    /// Whether the hook is within a unit: its end comes before another begins.
    fn inside_unit(&self) -> bool {
        let Some(cursor) = &self.cursor else { return false };
        let mut ahead = cursor.clone();
        for _ in 0..64 {
            match ahead.item() {
                Some(Item::Close(_)) => return true,
                Some(Item::Open(_)) | None => return false,
                Some(_) => ahead.skip_run(),
            }
        }
        false
    }

    /// Into runs of equal stitches: their middle, or their nth.
    fn work_into_runs(&mut self, wanted: Wanted, part: Part, times: Option<u64>, pass: &Builder, span: Span) {
        self.leapt = Some(wanted);
        // A run that the round cut in two at its beginning was worked there.
        let longest = if self.landed { self.fabric.map_or(0, |fabric| longest_run(fabric, wanted)) } else { 0 };
        let done = self.passes(times, Stop::AtEnd, span, |worker| {
            let Some(cursor) = &mut worker.cursor else { return false };
            let Some(mut passed) = cursor.seek(wanted) else { return false };
            let mut run = cursor.run_left();
            if run < longest {
                let before = cursor.left();
                cursor.skip_run();
                if cursor.seek(wanted).is_none() {
                    return false;
                }
                passed = passed.saturating_add(before - cursor.left());
                run = cursor.run_left();
                if run < longest {
                    return false;
                }
            }
            if let Part::Nth(nth) = part
                && u64::from(nth) > run
            {
                worker.trouble.get_or_insert(Trouble::RunOut { span, target: None });
            }
            cursor.skip_run();
            worker.used = worker.used.saturating_add(passed.saturating_add(run));
            worker.begun = true;
            worker.out.repeat(pass.clone(), 1);
            true
        });
        if let Some(times) = times
            && done < times
        {
            self.out.repeat(pass.clone(), times - done);
            self.trouble.get_or_insert(Trouble::RunOut { span, target: None });
        }
    }

    /// Between groups, where no chain is; between plain stitches one of them is passed.
    fn work_into_gaps(&mut self, times: Option<u64>, pass: &Builder, span: Span) {
        let Some(fabric) = self.fabric else { return };
        let grouped = fabric.any(|item| matches!(item, Item::Close(_)));
        let done = self.passes(times, Stop::AtEnd, span, |worker| {
            let Some(cursor) = &mut worker.cursor else { return false };
            if grouped {
                let Some(passed) = cursor.seek(Wanted::Gap) else { return false };
                cursor.use_item();
                // A chain between two groups is the gap.
                if matches!(cursor.item(), Some(item) if item.is_space()) {
                    cursor.use_item();
                }
                worker.used = worker.used.saturating_add(passed);
            }
            worker.begun = true;
            worker.out.repeat(pass.clone(), 1);
            grouped || times.is_some()
        });
        if let Some(times) = times
            && done < times
        {
            // The gap behind the last group, where the round is closed.
            if self.left() == 0 && self.setting.round && times - done == 1 {
                self.out.repeat(pass.clone(), 1);
            } else {
                self.out.repeat(pass.clone(), times - done);
                self.trouble.get_or_insert(Trouble::RunOut { span, target: Some(Target::Gap) });
            }
        }
        if grouped {
            self.leapt = Some(Wanted::Gap);
        }
    }

    /// The next so many stitches and spaces, whichever come.
    fn stations(&mut self, times: u64, chains: bool, pass: &Builder, span: Span) {
        let done = self.passes(Some(times), Stop::AtEnd, span, |worker| {
            let Some(cursor) = &mut worker.cursor else { return false };
            let Some(item) = cursor.station() else { return false };
            cursor.use_item();
            worker.used = worker.used.saturating_add(u64::from(item.is_place()));
            worker.begun = true;
            let each = match item {
                Item::Space(length) | Item::Loop(length) if chains => u64::from(length),
                _ => 1,
            };
            worker.out.repeat(pass.clone(), each);
            true
        });
        if done < times {
            self.out.repeat(pass.clone(), times - done);
            self.trouble.get_or_insert(Trouble::RunOut { span, target: None });
        }
    }

    /// Each place by the rule that names it.
    pub(super) fn along(&mut self, kinds: &[Working], extent: Extent, span: Span, rest: &[Step]) {
        let mut rules = Vec::with_capacity(kinds.len());
        for kind in kinds {
            // One stitch is no group; "3 sc in each corner" is.
            let single = matches!(kind.steps.as_slice(), [Step { act: Act::Work(work), .. }] if work.makes == Num::ONE);
            let pass = if single {
                let outer = std::mem::take(&mut self.out);
                let grouped = std::mem::replace(&mut self.grouped, true);
                let made_before = std::mem::replace(&mut self.made_before, true);
                self.run(&kind.steps);
                self.made_before = made_before;
                self.grouped = grouped;
                std::mem::replace(&mut self.out, outer)
            } else {
                self.in_one_place(Unit::GROUP, &kind.steps, None, false)
            };
            rules.push((kind.target, pass));
        }
        if self.cursor.is_none() || self.grouped {
            self.known = false;
            return;
        }
        self.walk(&rules, extent, span, rest);
    }

    /// "Each dc and each ch-1 sp" where no dc, or no such space, is.
    fn check_both(&mut self, fabric: &Row, kind: Option<StitchId>, length: Option<u32>, span: Span) {
        let has = |wanted: Wanted| fabric.any(|item| wanted.is(item));
        if let Some(kind) = kind
            && lacks(fabric, kind)
        {
            self.stale.get_or_insert((span, Target::Kind(kind)));
        }
        if length.is_some() && fabric.any(Item::is_space) && !has(Wanted::Space(length)) {
            self.stale.get_or_insert((span, Target::Space(length)));
        }
    }

    /// Walks along the row, place by place.
    fn walk(&mut self, rules: &[(Target, Builder)], extent: Extent, span: Span, rest: &[Step]) {
        let Some(fabric) = self.fabric else { return };
        // The particular before the general.
        let mut looks: Vec<(Option<Wanted>, Option<Part>, bool, &Builder)> = Vec::with_capacity(rules.len());
        // Stitches that are named, and all others that stand between them.
        let mut named: Vec<StitchId> = Vec::new();
        for (target, pass) in rules {
            if let Target::Kind(kind) | Target::Both(Some(kind), _) = target {
                named.push(*kind);
            }
            if let Target::Both(kind, length) = target {
                self.check_both(fabric, *kind, *length, span);
            }
            let chains = matches!(target, Target::Chain | Target::BothChains);
            let (wanted, part) = match target {
                Target::Any => (Some(Wanted::Place), None),
                Target::Both(..) | Target::BothChains => (Some(Wanted::Station), None),
                Target::Unit(unit, part) => (Some(Wanted::Unit(*unit)), Some(*part)),
                Target::Corner => match corner(fabric) {
                    Some(Wanted::Unit(unit)) => (Some(Wanted::Unit(unit)), Some(Part::Center)),
                    other => (other, None),
                },
                _ => {
                    let found = seek_for(fabric, *target);
                    if found.is_none() || matches!(target, Target::Space(Some(_))) && found == Some(Wanted::Space(None))
                    {
                        self.stale.get_or_insert((span, *target));
                    }
                    // A kind that is not there is a stale name for the stitches that are.
                    (found.or(matches!(target, Target::Kind(_)).then_some(Wanted::Place)), None)
                }
            };
            looks.push((wanted, part, chains, pass));
        }
        let center = looks.iter().find_map(|(wanted, part, _, pass)| match (wanted, part) {
            (Some(Wanted::Unit(unit)), Some(Part::Center)) => Some((*unit, *pass)),
            _ => None,
        });
        let stop = match extent {
            Extent::Until(..) => self.stop_before(extent),
            _ => Stop::Leaving(self.leaving(extent, rest, true)),
        };
        let mut in_unit: Option<(Unit, u64)> = None;
        let (mut other, mut other_space) = (false, false);
        let length = if let [(Target::Both(_, length), _)] = rules { *length } else { None };
        let done = self.passes(None, stop, span, |worker| {
            let Some(cursor) = &mut worker.cursor else { return false };
            // The middle of a group is a corner of solid fabric.
            if let Some((unit, _)) = center
                && let Some(Item::Open(found)) = cursor.item()
                && (unit == found || unit == Unit::GROUP)
            {
                let (_, _, places) = cursor.unit();
                in_unit = (places >= 3).then_some((found, places / 2 + 1));
            }
            // A unit that is named is worked as a whole.
            if let Some(Item::Open(found)) = cursor.item()
                && let Some((.., pass)) = looks
                    .iter()
                    .find(|(wanted, part, ..)| *wanted == Some(Wanted::Unit(found)) && part.is_some_and(whole))
            {
                cursor.use_item();
                worker.used = worker.used.saturating_add(cursor.leave_unit(found));
                worker.begun = true;
                worker.out.repeat((*pass).clone(), 1);
                return true;
            }
            let Some(item) = cursor.station() else { return false };
            cursor.use_item();
            worker.begun = true;
            worker.used = worker.used.saturating_add(u64::from(item.is_place()));
            other_space |= matches!(item, Item::Space(chains) if length.is_some_and(|length| length != chains));
            if !named.is_empty() && item.kind().is_some_and(|kind| !named.contains(&kind)) && is_plain(item) {
                other |= in_unit.is_none();
            }
            if item.is_place()
                && let Some((unit, left)) = in_unit
            {
                in_unit = (left > 1).then_some((unit, left - 1));
                if left == 1
                    && let Some((_, pass)) = center
                {
                    worker.out.repeat(pass.clone(), 1);
                    return true;
                }
            }
            for (wanted, part, chains, pass) in &looks {
                if part.is_some() || !wanted.is_some_and(|wanted| wanted.is(item)) {
                    continue;
                }
                let each = match item {
                    Item::Space(length) | Item::Loop(length) if *chains => u64::from(length),
                    _ => 1,
                };
                worker.out.repeat((*pass).clone(), each);
                break;
            }
            true
        });
        if done == 0 && extent == Extent::Fill(Num::ZERO) {
            self.known = false;
        }
        // "Each dc and each ch-1 sp" where sc stand among them.
        let general = |target: &Target| matches!(target, Target::Any | Target::Both(None, _) | Target::BothChains);
        if other_space {
            self.stale.get_or_insert((span, Target::Space(length)));
        }
        if other && !rules.iter().any(|(target, _)| general(target)) {
            self.stale.get_or_insert((span, Target::Kind(named[0])));
        }
        if rules.iter().any(|(target, _)| matches!(target, Target::Both(..) | Target::BothChains | Target::Any)) {
            self.leapt = None;
        } else if let Some((wanted, ..)) = looks.first() {
            self.leapt = *wanted;
        }
    }

    /// A defined stitch that goes along the row, so often as it says.
    pub(super) fn in_units(&mut self, unit: Unit, steps: &[Step], extent: Extent, span: Span, rest: &[Step]) {
        if self.grouped {
            return self.run(steps);
        }
        let repeat = Repeat { steps: steps.to_vec(), extent, stop: None };
        let marks = self.setting.pattern.units;
        if marks && matches!(extent, Extent::Times(Num::ONE)) {
            self.out.push(Item::Open(unit), 1);
            self.run(steps);
            return self.out.push(Item::Close(unit), 1);
        }
        self.unit_open = marks.then_some(unit);
        self.repeat(&repeat, span, rest);
        self.unit_open = None;
    }

    /// Increases or decreases spread over what is left: one stitch in each, and so many more or fewer.
    pub(super) fn spread(&mut self, count: Num, more: bool, span: Span) {
        let Some(count) = self.value(count) else { return };
        if self.cursor.is_none() {
            self.known = false;
            return;
        }
        let left = self.left();
        let kind = self.in_use.unwrap_or(crate::standards::StitchId::SINGLE_CROCHET);
        self.take(left, span);
        let made = if more {
            left.saturating_add(count)
        } else if left >= count.saturating_mul(2) {
            left - count
        } else {
            self.trouble.get_or_insert(Trouble::RunOut { span, target: None });
            left.saturating_sub(count)
        };
        self.out.push(Item::Stitch(kind), made);
    }

    /// Every nth stitch is skipped or gets two; what is left at the end is plain.
    pub(super) fn every_nth(&mut self, nth: Num, more: bool, span: Span) {
        let Some(nth) = self.value(nth).filter(|nth| *nth > 0) else { return };
        if self.cursor.is_none() {
            self.known = false;
            return;
        }
        let left = self.left();
        let kind = self.in_use.unwrap_or(crate::standards::StitchId::SINGLE_CROCHET);
        self.take(left, span);
        let hit = left / nth;
        let made = if more { left.saturating_add(hit) } else { left - hit };
        self.out.push(Item::Stitch(kind), made);
    }

    /// Where a fill ends, as places of the row.
    pub(super) fn stop_before(&mut self, extent: Extent) -> Stop {
        let Extent::Until(target, last) = extent else { return Stop::AtEnd };
        let (Some(fabric), Some(cursor)) = (self.fabric, self.cursor.as_ref()) else { return Stop::AtEnd };
        let wanted = match target {
            Target::TurningChain => Wanted::TurningChain,
            other => seek_for(fabric, other).unwrap_or(Wanted::Place),
        };
        if last == 0 {
            return Stop::Before(wanted);
        }
        // From the other end: the place before the last so many.
        let (_, after) = cursor.cut();
        let back = after.reversed();
        let mut behind = crate::fabric::Cursor::new(&back);
        let look = if let Wanted::Unit(unit) = wanted { ClosedUnit(unit).wanted() } else { wanted };
        for _ in 0..last {
            if behind.seek(look).is_none() {
                return Stop::AtEnd;
            }
            if let (Wanted::Unit(_), Some(Item::Open(found))) = (look, behind.item()) {
                behind.use_item();
                behind.leave_unit(found);
            } else {
                behind.use_item();
            }
        }
        let (last_ones, _) = behind.cut();
        let stations = last_ones.count(|item| item.is_place() || item.is_space());
        Stop::Stations(stations)
    }
}

/// Whether a row of stitches has none of a kind, and none that is called by its name.
pub(super) fn lacks(fabric: &Row, kind: StitchId) -> bool {
    fabric.any(|item| item.kind().is_some())
        && !fabric.any(|item| item.kind() == Some(kind))
        && other_top(fabric, kind).is_none()
}

/// A bobble that was spelled out where it was made is found by its name later: tops of several legs without a name.
fn other_top(fabric: &Row, kind: StitchId) -> Option<StitchId> {
    use crate::standards::{StitchKind, by_name, stitch};
    let top = |kind: crate::standards::StitchId| {
        let data = stitch(kind);
        data.kind == StitchKind::Group && data.produced == Some(1)
    };
    let cluster = by_name("cluster")?;
    (top(kind) && fabric.any(|item| item.kind() == Some(cluster))).then_some(cluster)
}

/// The longest run of such stitches.
fn longest_run(fabric: &Row, wanted: Wanted) -> u64 {
    fn walk(runs: &[crate::fabric::Run], wanted: Wanted) -> u64 {
        runs.iter()
            .map(|run| match run {
                crate::fabric::Run::Items(item, count) if wanted.is(*item) => *count,
                crate::fabric::Run::Items(..) => 0,
                crate::fabric::Run::Repeat(runs, _, _) => walk(runs, wanted),
            })
            .max()
            .unwrap_or(0)
    }
    walk(fabric.runs(), wanted)
}

/// The kind whose runs are a row's groups: the taller of two kinds, or the one that spaces divide.
fn group_kind(fabric: &Row) -> Option<StitchId> {
    let mut kinds: Vec<StitchId> = Vec::new();
    fn walk(runs: &[crate::fabric::Run], kinds: &mut Vec<StitchId>) {
        for run in runs {
            match run {
                crate::fabric::Run::Items(Item::Stitch(kind), count) if *count > 1 && !kinds.contains(kind) => {
                    kinds.push(*kind)
                }
                crate::fabric::Run::Items(..) => {}
                crate::fabric::Run::Repeat(runs, _, _) => walk(runs, kinds),
            }
        }
    }
    walk(fabric.runs(), &mut kinds);
    let divided = fabric.totals().spaces > 0
        || kinds.first().is_some_and(|kind| fabric.any(|item| item.is_place() && item.kind() != Some(*kind)));
    let height = |kind: &crate::standards::StitchId| crate::standards::stitch(*kind).height_in_chains.unwrap_or(0);
    kinds.iter().copied().max_by_key(height).filter(|_| divided)
}

/// A unit met from its end is opened by its name all the same, since marks are turned with the row.
struct ClosedUnit(Unit);

impl ClosedUnit {
    const fn wanted(&self) -> Wanted {
        Wanted::Unit(self.0)
    }
}

/// Where passes along a row end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stop {
    /// At the row's end.
    AtEnd,
    /// With so many places left.
    Leaving(u64),
    /// Before the next such thing.
    Before(Wanted),
    /// With so many stitches and spaces left.
    Stations(u64),
}

/// Whether steps work into a place of this sort anywhere.
pub(in crate::verify) fn any_place(steps: &[Step], wanted: &impl Fn(Place) -> bool) -> bool {
    steps.iter().any(|step| match &step.act {
        Act::Work(Work { place, .. }) => wanted(*place),
        Act::Group { steps, place, .. } => wanted(*place) || any_place(steps, wanted),
        Act::Repeat(repeat) => any_place(&repeat.steps, wanted),
        Act::Own(own) => own.place.is_some_and(wanted),
        _ => false,
    })
}
