//! Where the hook goes: the next stitch of a kind, chain spaces, units, gaps, corners, places skipped or further down.

use super::repeat::is_plain;
use super::{Misnamed, Trouble, Worker, corner};
use crate::fabric::{Builder, Foot, Item, Labour, Row, Wanted};
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Part, Place, Step, Target, Work};
use crate::standards::StitchId;

impl Worker<'_> {
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

    /// A stitch worked further down covers the next place of the row below.
    pub(super) fn work_into_lower(&mut self, target: Target, times: Option<u64>, pass: Builder, span: Span) {
        let times = times.unwrap_or(1);
        if self.cursor.is_none() {
            return self.put(pass, times);
        }
        for _ in 0..times.min(1000) {
            let item = self.cursor.as_mut().and_then(|cursor| cursor.station());
            match item {
                Some(item) if item.is_space() => {
                    let foot = self.foot();
                    self.stand(foot);
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
                            let foot = cursor.knot().map(Foot::Knot);
                            cursor.use_item();
                            self.stand(foot);
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
        if let Some(spell) = &mut self.spell {
            spell.lower = true;
        }
        self.put(pass, times);
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
                if lacks(fabric, target) {
                    self.stale.get_or_insert(Misnamed::missing(span, target));
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
                    self.stale.get_or_insert(Misnamed::missing(span, target));
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
                Some(times) => self.put(pass, times),
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
                if matches!(wanted, Wanted::Kind(_))
                    && extent == Extent::Fill(Num::ZERO)
                    && !rest.iter().any(|step| super::works(&step.act) || matches!(step.act, Act::Leave(..)))
                    && self.cursor.clone().and_then(|mut cursor| cursor.station()).is_some_and(is_plain)
                {
                    self.stale.get_or_insert(Misnamed::others_first(span, target));
                }
                return;
            }
            // "dc2tog over next 2 ch-2 sps": each leg in a space.
            if matches!(wanted, Wanted::Space(_)) {
                let mut feet = Vec::new();
                for _ in 0..takes.saturating_mul(times.unwrap_or(1)).min(1000) {
                    self.leap(wanted, target, Extent::Times(Num::ONE), Some(1), &self.out.alike(), span);
                    feet.extend(self.stood());
                }
                self.stand_on(feet);
                return self.put(pass, times.unwrap_or(1));
            }
        }
        if self.left() > 0 {
            self.leapt = None;
        }
        match times {
            Some(times) => {
                self.take(takes.saturating_mul(times), span);
                self.put(pass, times);
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
                self.put(pass, count);
            }
        }
    }

    /// The chain at the row's end. One that counts is a stitch, which is used; one that does not can still be worked into.
    fn work_into_turning_chain(&mut self, times: Option<u64>, pass: Builder, span: Span) {
        if let Some(cursor) = &mut self.cursor
            && let Some(passed) = cursor.seek(Wanted::TurningChain)
        {
            let counted = matches!(cursor.item(), Some(Item::TurningChain { counts_as: Some(_), .. }));
            let foot = cursor.knot().map(Foot::Knot);
            self.stand(foot);
            let Some(cursor) = &mut self.cursor else { return };
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
        self.put(pass, times.unwrap_or(1));
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
            self.put(pass.clone(), 1);
            return true;
        }
        if self.ground.is_elsewhere() {
            // Chains of this very round, or of a piece's edge.
            self.put_elsewhere(pass.clone(), times.unwrap_or(1));
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
                self.put_elsewhere(pass.clone(), times);
                return true;
            }
            return false;
        }
        let mut wanted = times.unwrap_or(u64::MAX);
        let mut made = 0u64;
        let mut feet = Vec::new();
        while wanted > 0 {
            if self.chains_left == 0 {
                let Some(cursor) = &mut self.cursor else { break };
                let Some(passed) = cursor.seek(Wanted::Space(None)) else { break };
                let Some(Item::Space(length) | Item::Loop(length)) = cursor.item() else { break };
                let foot = cursor.knot().map(Foot::Knot);
                cursor.use_item();
                self.space_in_hand = foot;
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
            feet.extend(std::iter::repeat_n(self.space_in_hand, usize::try_from(now.min(4096)).unwrap_or(0)).flatten());
        }
        if let Some(times) = times {
            if made < times {
                self.trouble.get_or_insert(Trouble::RunOut { span, target: Some(Target::Chain) });
            }
            made = times;
        }
        self.stand_on(feet);
        self.put(pass.clone(), made);
        true
    }

    /// Between groups, where no chain is; between plain stitches one of them is passed.
    fn work_into_gaps(&mut self, times: Option<u64>, pass: &Builder, span: Span) {
        let Some(fabric) = self.fabric else { return };
        let grouped = fabric.any(|item| matches!(item, Item::Close(_)));
        let done = self.passes(times, Stop::AtEnd, span, |worker| {
            let Some(cursor) = &mut worker.cursor else { return false };
            if grouped {
                let Some(passed) = cursor.seek(Wanted::Gap) else { return false };
                let foot = worker.foot();
                worker.stand(foot);
                let Some(cursor) = &mut worker.cursor else { return false };
                cursor.use_item();
                // A chain between two groups is the gap.
                if matches!(cursor.item(), Some(item) if item.is_space()) {
                    cursor.use_item();
                }
                worker.used = worker.used.saturating_add(passed);
            }
            worker.begun = true;
            worker.put(pass.clone(), 1);
            grouped || times.is_some()
        });
        if let Some(times) = times
            && done < times
        {
            // The gap behind the last group, where the round is closed.
            if self.left() == 0 && self.setting.round && times - done == 1 {
                self.put_elsewhere(pass.clone(), 1);
            } else {
                self.put_elsewhere(pass.clone(), times - done);
                self.trouble.get_or_insert(Trouble::RunOut { span, target: Some(Target::Gap) });
            }
        }
        if grouped {
            self.leapt = Some(Wanted::Gap);
        }
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
        let together = if more { 0 } else { count.min(made) };
        self.note(Labour::Stitch { kind, legs: 2 }, together);
        self.note(Labour::stitch(kind), made - together);
        self.spread_over(kind, made);
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
        self.note(Labour::stitch(kind), made);
        self.spread_over(kind, made);
    }
}

/// Whether a row has stitches, or spaces, but none of those that are named, nor any that go by that name.
pub(super) fn lacks(fabric: &Row, target: Target) -> bool {
    match target {
        Target::Kind(kind) => {
            fabric.any(|item| item.kind().is_some())
                && !fabric.any(|item| item.kind() == Some(kind))
                && other_top(fabric, kind).is_none()
        }
        Target::Space(length @ Some(_)) => {
            fabric.any(Item::is_space) && !fabric.any(|item| Wanted::Space(length).is(item))
        }
        _ => false,
    }
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
