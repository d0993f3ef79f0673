//! Stitches and spaces of several sorts, place by place along the row.

use super::places::{Stop, lacks};
use super::repeat::is_plain;
use super::units::ClosedUnit;
use super::{Misnamed, Trouble, Worker, corner, seek_for, whole};
use crate::fabric::{Builder, Item, Row, Unit, Wanted};
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Part, Step, Target, Working};
use crate::standards::StitchId;

impl Worker<'_> {
    /// The next so many stitches and spaces, whichever come.
    pub(super) fn stations(&mut self, times: u64, chains: bool, pass: &Builder, span: Span) {
        let done = self.passes(Some(times), Stop::AtEnd, span, |worker| {
            let Some(cursor) = &mut worker.cursor else { return false };
            let Some(item) = cursor.station() else { return false };
            let foot = worker.foot();
            worker.stand(foot);
            let Some(cursor) = &mut worker.cursor else { return false };
            cursor.use_item();
            worker.used = worker.used.saturating_add(u64::from(item.is_place()));
            worker.begun = true;
            let each = match item {
                Item::Space(length) | Item::Loop(length) if chains => u64::from(length),
                _ => 1,
            };
            worker.put(pass.clone(), each);
            true
        });
        self.beyond(Some(times), done, pass, Trouble::RunOut { span, target: None });
    }

    /// Each place by the rule that names it.
    pub(super) fn along(&mut self, kinds: &[Working], extent: Extent, span: Span, rest: &[Step]) {
        let mut rules = Vec::with_capacity(kinds.len());
        for kind in kinds {
            // One stitch is no group; "3 sc in each corner" is.
            let single = matches!(kind.steps.as_slice(), [Step { act: Act::Work(work), .. }] if work.makes == Num::ONE);
            let pass = if single {
                let outer = self.part();
                let grouped = std::mem::replace(&mut self.grouped, true);
                let made_before = std::mem::replace(&mut self.made_before, true);
                self.run(&kind.steps);
                self.made_before = made_before;
                self.grouped = grouped;
                self.back_to(outer)
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
        for named in [kind.map(Target::Kind), Some(Target::Space(length))].into_iter().flatten() {
            if lacks(fabric, named) {
                self.stale.get_or_insert(Misnamed::missing(span, named));
            }
        }
    }

    /// Walks along the row, place by place.
    pub(super) fn walk(&mut self, rules: &[(Target, Builder)], extent: Extent, span: Span, rest: &[Step]) {
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
                        self.stale.get_or_insert(Misnamed::missing(span, *target));
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
                worker.stand_in_unit(found, Part::Whole);
                let Some(cursor) = &mut worker.cursor else { return false };
                cursor.use_item();
                worker.used = worker.used.saturating_add(cursor.leave_unit(found));
                worker.begun = true;
                worker.put((*pass).clone(), 1);
                return true;
            }
            let Some(item) = cursor.station() else { return false };
            let foot = worker.foot();
            worker.stand_nowhere();
            worker.stand(foot);
            let Some(cursor) = &mut worker.cursor else { return false };
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
                    worker.put(pass.clone(), 1);
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
                worker.put((*pass).clone(), each);
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
            self.stale.get_or_insert(Misnamed::others_first(span, Target::Space(length)));
        }
        if other && !rules.iter().any(|(target, _)| general(target)) {
            self.stale.get_or_insert(Misnamed::others_first(span, Target::Kind(named[0])));
        }
        if rules.iter().any(|(target, _)| matches!(target, Target::Both(..) | Target::BothChains | Target::Any)) {
            self.leapt = None;
        } else if let Some((wanted, ..)) = looks.first() {
            self.leapt = *wanted;
        }
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
