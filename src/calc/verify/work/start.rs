//! Where a row begins: beginning chains, chains skipped on a foundation, slip stitches that only carry the yarn along.

use super::{Below, Setting, Trouble, Worker};
use crate::fabric::{Builder, Cursor, Item, Labour, Row as Fabric, Wanted};
use crate::notation::number::Num;
use crate::notation::tree::{Act, ChainCounts, Extent, Place, Step, Target, Work};
use crate::standards::{StitchId, stitch as entry};

/// What a row is worked on, once the yarn has been carried to where it begins.
pub(super) struct Moved {
    /// The row below from there on, where it is not simply as it was.
    pub(super) below: Option<Fabric>,
    /// The yarn stands in a place: "same sp" is that one.
    pub(super) landed: bool,
    /// It stands between stitches, which uses none.
    pub(super) between: bool,
    /// Places passed over, and places at the end that were passed over at the beginning.
    pub(super) passed: u64,
    pub(super) wrapped: u64,
    /// Steps that this used up.
    pub(super) steps: usize,
}

/// Slip stitches before the beginning chain, and the loop in whose middle the last round ended.
pub(super) fn carry(setting: &Setting<'_>, below: &Below, travels: &[Work], steps: &[Step]) -> Moved {
    let none = Moved { below: None, landed: false, between: false, passed: 0, wrapped: 0, steps: 0 };
    let Some(fabric) = below.fabric().filter(|_| matches!(below, Below::Row(_))) else { return none };
    let first = first_place(steps);
    // "Ch 1, sc in same lp": the loop that closed the last round comes first.
    if matches!(fabric.last(), Some(Item::Loop(_))) && travels.is_empty() {
        if first != Some(Place::Same) {
            return none;
        }
        let mut whole = Builder::default();
        let mut cursor = Cursor::new(fabric);
        while let Some(passed) = cursor.seek(Wanted::Space(None)) {
            let _ = passed;
            if matches!(cursor.item(), Some(Item::Loop(_))) {
                break;
            }
            let count = cursor.run_left();
            for _ in 0..count.min(1) {
                cursor.skip_run();
            }
        }
        let (before, after) = cursor.cut();
        whole.append(after);
        whole.append(before);
        return Moved { below: Some(whole.finish()), landed: true, ..none };
    }
    let mut slips: Vec<Work> = travels.to_vec();
    let mut used = 0;
    let chained = steps.iter().position(|step| matches!(step.act, Act::Chain { .. } | Act::Own(_) | Act::Group { .. }));
    if let Some(chained) = chained {
        for (at, step) in steps[..chained].iter().enumerate() {
            match &step.act {
                Act::Work(work) if is_travel(work) => {
                    slips.push(*work);
                    used = at + 1;
                }
                Act::Aside | Act::Turn => {}
                _ => break,
            }
        }
        // Only slip stitches may stand before the chain.
        if !steps[..chained].iter().all(|step| match &step.act {
            Act::Work(work) => is_travel(work),
            Act::Aside | Act::Turn | Act::Join => true,
            _ => false,
        }) {
            used = 0;
            slips.truncate(travels.len());
        }
    }
    if slips.is_empty() {
        return none;
    }
    let mut cursor = Cursor::new(fabric);
    let mut landing = cursor.clone();
    // The join stands on the first stitch: "sl st in next dc" goes into the second.
    let into_stitch = |slip: &Work| matches!(slip.place, Place::Next(Target::Any | Target::Kind(_)));
    if setting.joined
        && setting.round
        && slips.first().is_some_and(into_stitch)
        && cursor.station().is_some_and(Item::is_place)
    {
        cursor.use_item();
    }
    let mut between = false;
    for slip in &slips {
        let times = match slip.extent {
            Extent::Times(times) => setting.value(times).unwrap_or(1),
            Extent::Until(target, _) => {
                // "Sl st across to corner sp": up to and into it.
                if let Some(wanted) = super::seek_for(fabric, target)
                    && cursor.seek(wanted).is_some()
                {
                    landing = cursor.clone();
                    cursor.use_item();
                }
                continue;
            }
            _ => 1,
        };
        let (Place::Next(target) | Place::First(target) | Place::Last(target)) = slip.place else { continue };
        between = target == Target::Gap;
        if between {
            if cursor.seek(Wanted::Gap).is_some() {
                cursor.use_item();
            }
            landing = cursor.clone();
            continue;
        }
        let chains = target == Target::Chain && !fabric.any(|item| item == Item::Chain);
        let target = if chains { Target::Space(None) } else { target };
        // "sl st in next 2 ch" walks along one loop.
        let times = if chains { 1 } else { times.min(4096) };
        for _ in 0..times {
            let found = match super::seek_for(fabric, target) {
                Some(wanted) => cursor.seek(wanted).is_some(),
                None => {
                    let mut ahead = cursor.clone();
                    let found = ahead.seek(Wanted::Place).is_some();
                    if found {
                        cursor = ahead;
                    }
                    found
                }
            };
            if !found {
                return none;
            }
            landing = cursor.clone();
            cursor.use_item();
        }
    }
    let (before, mut after) = landing.cut();
    let passed = before.totals().places;
    let mut wrapped = 0;
    if setting.round {
        // A round comes back to where it began.
        wrapped = passed;
        let mut whole = Builder::default();
        whole.append(after);
        whole.append(before);
        after = whole.finish();
    }
    Moved { below: Some(after), landed: true, between, passed: passed - wrapped, wrapped, steps: used }
}

/// A slip stitch into the row below, as it carries the yarn along.
pub(super) fn is_travel(work: &Work) -> bool {
    work.stitch == Some(StitchId::SLIP_STITCH)
        && matches!(work.place, Place::Next(_) | Place::First(_) | Place::Last(_))
        && matches!(work.extent, Extent::Times(_) | Extent::Until(..))
}

/// Whether the row begins with "each", behind a chain that is only height.
pub(super) fn first_fills(steps: &[Step]) -> bool {
    let fills = |extent: &Extent| matches!(extent, Extent::Fill(_) | Extent::Until(..));
    match steps.iter().find(|step| super::works(&step.act)).map(|step| &step.act) {
        Some(Act::Work(work)) => fills(&work.extent) && matches!(work.place, Place::Next(_)),
        Some(Act::Group { extent, place, .. }) => fills(extent) && matches!(place, Place::Next(_)),
        Some(Act::Own(own)) => fills(&own.extent) && matches!(own.place, Some(Place::Next(_))),
        Some(Act::Along { .. }) => true,
        _ => false,
    }
}

/// Where the first stitches of a row go.
fn first_place(steps: &[Step]) -> Option<Place> {
    steps.iter().find_map(|step| match &step.act {
        Act::Work(work) => Some(work.place),
        Act::Group { place, .. } => Some(*place),
        Act::Own(own) => own.place,
        Act::Repeat(repeat) => first_place(&repeat.steps),
        Act::Skip { .. } => Some(Place::Next(Target::Any)),
        _ => None,
    })
}

/// The kind of stitch that a row works first, after its chain.
fn first_kind(steps: &[Step]) -> Option<StitchId> {
    steps.iter().find_map(|step| match &step.act {
        Act::Work(work) => work.stitch,
        Act::Repeat(repeat) => first_kind(&repeat.steps),
        Act::Group { steps, .. } => first_kind(steps),
        _ => None,
    })
}

/// Legs that a stitch right behind the beginning chain closes together: 0 for a cluster in the same place.
fn first_leg(rest: &[Step]) -> Option<u64> {
    let step = rest.iter().find(|step| !matches!(step.act, Act::Aside))?;
    let Act::Work(work) = &step.act else { return None };
    if work.makes == Num::ZERO && work.place == Place::Same {
        return Some(0);
    }
    if work.stitch == cluster() && matches!(work.place, Place::Same | Place::Ring) {
        return Some(0);
    }
    let takes = work.takes.plain()?;
    (takes > 1 && work.makes == Num::ONE && matches!(work.place, Place::Next(_))).then_some(takes)
}

/// Whether so many are worked together further on.
fn later_together(steps: &[Step], legs: u64) -> bool {
    steps.iter().any(|step| match &step.act {
        Act::Work(work) => work.takes.plain() == Some(legs) && work.makes == Num::ONE,
        Act::Repeat(repeat) => later_together(&repeat.steps, legs),
        _ => false,
    })
}

fn cluster() -> Option<StitchId> {
    crate::standards::by_name("cluster")
}

impl Worker<'_> {
    pub(super) fn beginning_chain(&mut self, length: u64, own: Option<ChainCounts>, rest: &[Step]) {
        self.chain = Some(length);
        let kind = first_kind(rest).map(|kind| entry(kind).base.unwrap_or(kind));
        let height = kind.and_then(|kind| entry(kind).height_in_chains).map(u64::from).filter(|height| *height > 0);
        let said = own.or_else(|| self.setting.pattern.said.chain(length));
        let chains = u32::try_from(length).unwrap_or(u32::MAX);
        // "Ch 5, sc in next lp": nobody counts that chain as a stitch; it is the row's first loop.
        let low = kind.is_some_and(|kind| matches!(kind, StitchId::SINGLE_CROCHET | StitchId::SLIP_STITCH));
        if said.is_none() && low && length >= 4 {
            self.note(Labour::Chain, length);
            self.out.push(Item::Space(chains), 1);
            return;
        }
        // "Ch 3, dc2tog in same sp" is the first cluster, "ch 2, dc2tog over next 2" the first of three together: the chain
        // is one of their legs (common practice).
        if let Some(legs) = first_leg(rest)
            && own.is_none_or(|own| !own.counts)
            && (legs == 0 || later_together(rest, legs + 1))
        {
            self.note(Labour::TurningChain, length);
            self.out.push(Item::TurningChain { length: chains, counts_as: None }, 1);
            if legs > 0 && !self.landed && !self.grouped && self.cursor.is_some() {
                self.take(1, Default::default());
            }
            self.stand_chain();
            return;
        }
        let counts =
            self.conventions.chain(length, said.map(|said| said.counts)) != (self.setting.flip_chain && length > 1);
        if !counts {
            self.note(Labour::TurningChain, length);
            self.out.push(Item::TurningChain { length: chains, counts_as: None }, 1);
            self.stand_chain();
            return;
        }
        // "Ch 4, dc in next dc": one dc and the chain of the first space.
        let space = match said {
            Some(said) if said.space > 0 => u64::from(said.space),
            Some(_) => 0,
            None => height.map_or(0, |height| if height >= 2 { length.saturating_sub(height) } else { 0 }),
        };
        let space = u32::try_from(space.min(length)).unwrap_or(u32::MAX);
        let stitch = stands_for(length - u64::from(space)).or(self.in_use);
        self.note(Labour::TurningChain, length - u64::from(space));
        self.note(Labour::Chain, u64::from(space));
        self.out.push(
            Item::TurningChain {
                length: chains.saturating_sub(space),
                counts_as: Some(stitch.unwrap_or(StitchId::SINGLE_CROCHET)),
            },
            1,
        );
        if space > 0 {
            self.out.push(Item::Space(space), 1);
        }
        // It stands on the first stitch, or where the yarn was carried to. On a foundation chain it stands on the chains that
        // were skipped.
        if self.cursor.is_some() && !self.landed && !self.grouped {
            self.take(1, Default::default());
        }
        self.stand_chain();
        self.counted = true;
    }

    /// Chains passed over at the beginning of a foundation: they are height, or the row's first stitch, and with it perhaps
    /// the first space of a mesh.
    pub(super) fn skip_foundation(
        &mut self,
        count: u64,
        own: Option<ChainCounts>,
        rest: &[Step],
        kind: Option<StitchId>,
    ) {
        if let Some(cursor) = &mut self.cursor {
            let there = cursor.left();
            if !cursor.take(count) {
                self.trouble.get_or_insert(Trouble::RunOut { span: Default::default(), target: None });
            }
            self.available = there.saturating_sub(count);
        }
        self.begun = true;
        if count == 0 {
            return;
        }
        let height = kind
            .map(|kind| entry(kind).base.unwrap_or(kind))
            .and_then(|kind| entry(kind).height_in_chains)
            .map_or(3, u64::from);
        let mesh = self.mesh_space(count, height, rest);
        let space = match own {
            Some(own) if own.space > 0 => u64::from(own.space),
            Some(_) if mesh.is_none() => 0,
            _ => mesh.unwrap_or(0),
        };
        if own.is_none() && mesh.is_some()
            || self.conventions.skipped(count, own.map(|own| own.counts), &self.setting.pattern.said)
        {
            let stitch = if space > 0 { kind } else { stands_for(count).or(kind).or(self.in_use) };
            let stitch = stitch.map(|stitch| entry(stitch).base.unwrap_or(stitch)).unwrap_or(StitchId::DOUBLE_CROCHET);
            let chains = u32::try_from(count).unwrap_or(u32::MAX);
            self.out.push(Item::TurningChain { length: chains, counts_as: Some(stitch) }, 1);
            if space > 0 {
                self.out.push(Item::Space(u32::try_from(space).unwrap_or(u32::MAX)), 1);
            }
        }
    }

    /// "Dc in 8th ch from hook, *ch 2, sk 2 ch, dc in next ch": 7 chains are 2 skipped, a dc, and the first space of 2.
    fn mesh_space(&self, count: u64, height: u64, rest: &[Step]) -> Option<u64> {
        let steps = match rest.iter().find(|step| !matches!(step.act, Act::Aside | Act::SkippedChains(_))) {
            Some(Step { act: Act::Repeat(repeat), .. }) => repeat.steps.as_slice(),
            _ => rest,
        };
        let mut steps = steps.iter().filter(|step| !matches!(step.act, Act::Aside | Act::SkippedChains(_)));
        let (Some(Step { act: Act::Chain { length, .. }, .. }), Some(Step { act: Act::Skip { places, .. }, .. })) =
            (steps.next(), steps.next())
        else {
            return None;
        };
        let (space, skipped) = (self.value(*length)?, self.value(*places)?);
        (Some(count) == height.checked_add(space).and_then(|sum| sum.checked_add(skipped))).then_some(space)
    }
}

/// The stitch whose height a chain has (published turning-chain tables).
pub(super) fn stands_for(chains: u64) -> Option<StitchId> {
    Some(match chains {
        1 => StitchId::SINGLE_CROCHET,
        2 => StitchId::HALF_DOUBLE_CROCHET,
        3 => StitchId::DOUBLE_CROCHET,
        4 => StitchId::TREBLE,
        5 => StitchId::DOUBLE_TREBLE,
        6 => StitchId::TRIPLE_TREBLE,
        _ => return None,
    })
}
