//! Worked into units: shells, groups, runs of one kind.

use super::places::Stop;
use super::{Misnamed, Trouble, Worker, whole};
use crate::fabric::{Builder, Item, Row, Unit, Wanted};
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::{Extent, Part, Repeat, Step, Target};
use crate::standards::StitchId;

impl Worker<'_> {
    /// Into units: their space, their middle, their nth stitch. The rest of a unit is stepped over.
    pub(super) fn work_into_units(
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
            return self.put(pass.clone(), 1);
        }
        // "sk 4 dc, sc in center dc of fan": the skip has led there.
        if part == Part::Center && self.just_skipped > 0 && times == Some(1) && self.inside_unit() {
            self.take(1, span);
            return self.put(pass.clone(), 1);
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
            return self.put_elsewhere(pass.clone(), times.unwrap_or(1));
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
            self.put(pass.clone(), 1);
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
            worker.stand_in_unit(found, part);
            let Some(cursor) = &mut worker.cursor else { return false };
            cursor.use_item();
            if let Part::Space(Some(length)) = part {
                let mut inside = cursor.clone();
                inside.seek(Wanted::Space(None));
                if !matches!(inside.item(), Some(Item::Space(chains)) if chains == length)
                    && !matches!(inside.item(), Some(Item::Loop(_)))
                {
                    worker.stale.get_or_insert(Misnamed::missing(span, Target::Space(Some(length))));
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
            worker.put(pass.clone(), 1);
            true
        });
        self.beyond(times, done, pass, Trouble::RunOut { span, target: Some(target) });
    }

    /// Moves into the space of the unit in whose first stitch the hook has just been, and out of it; false where the hook
    /// is in none.
    fn work_into_begun_unit(&mut self) -> bool {
        let Some(cursor) = &mut self.cursor else { return false };
        let mut ahead = cursor.clone();
        for _ in 0..8 {
            match ahead.item() {
                Some(item) if item.is_space() => {
                    let foot = ahead.knot().map(crate::fabric::Foot::Knot);
                    let mut behind = ahead.clone();
                    behind.use_item();
                    let Some(unit) = behind.closing() else { return false };
                    let passed = ahead.leave_unit(unit);
                    *cursor = ahead;
                    self.stand(foot);
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
            worker.stand_in_run(run, part);
            let Some(cursor) = &mut worker.cursor else { return false };
            cursor.skip_run();
            worker.used = worker.used.saturating_add(passed.saturating_add(run));
            worker.begun = true;
            worker.put(pass.clone(), 1);
            true
        });
        self.beyond(times, done, pass, Trouble::RunOut { span, target: None });
    }

    /// What is asked for beyond what there is: still counted, and a fault.
    pub(super) fn beyond(&mut self, times: Option<u64>, done: u64, pass: &Builder, trouble: Trouble) {
        if let Some(more) = times.and_then(|times| times.checked_sub(done)).filter(|more| *more > 0) {
            self.put_elsewhere(pass.clone(), more);
            self.trouble.get_or_insert(trouble);
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
}

/// The longest run of such stitches.
fn longest_run(fabric: &Row, wanted: Wanted) -> u64 {
    pub(super) fn walk(runs: &[crate::fabric::Run], wanted: Wanted) -> u64 {
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
    pub(super) fn walk(runs: &[crate::fabric::Run], kinds: &mut Vec<StitchId>) {
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
pub(super) struct ClosedUnit(pub(super) Unit);

impl ClosedUnit {
    pub(super) const fn wanted(&self) -> Wanted {
        Wanted::Unit(self.0)
    }
}
