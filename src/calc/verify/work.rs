//! Working one row in one size on the row below. Cost follows the steps of the text: repeats are worked in closed form, and
//! where the kinds of stitches below matter, until the work comes round to where it was.

mod repeat;

use super::conventions::{Conventions, Question};
use crate::fabric::{Builder, Cursor, Item, Row as Fabric, Wanted};
use crate::notation::number::{MAX_COUNT, Num, Numbers};
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Place, Said, Step, Target, Work};
use crate::standards::StitchId;

/// What lies under the hook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Below {
    /// Nothing yet.
    Nothing,
    /// A ring: room for any number of stitches.
    Ring,
    /// A foundation chain, worked back along.
    Chain(Fabric),
    /// A foundation chain joined into a circle.
    Circle(Fabric),
    /// A row.
    Row(Fabric),
}

impl Below {
    fn fabric(&self) -> Option<&Fabric> {
        match self {
            Self::Chain(row) | Self::Circle(row) | Self::Row(row) => Some(row),
            Self::Nothing | Self::Ring => None,
        }
    }

    /// As the next row meets it when the work is turned.
    pub(super) fn turned(self) -> Self {
        match self {
            Self::Row(row) => Self::Row(row.reversed()),
            other => other,
        }
    }
}

/// A chain made at the end of a row for the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Carried {
    pub(super) length: u64,
    pub(super) counts: Option<bool>,
}

/// What went wrong while working.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Trouble {
    /// The row wants more stitches than there are.
    RunOut { span: Span },
    /// Stitches are left, and the row does not say so.
    LeftOver { left: u64 },
    /// A repeat leaves a remainder.
    Divide { span: Span, over: u64, unit: u64, remainder: u64 },
    /// A number beyond what is exact, or too much work.
    TooLarge { span: Span },
}

/// One row worked.
#[derive(Debug, Clone)]
pub(super) struct Worked {
    pub(super) below: Below,
    pub(super) available: u64,
    pub(super) used: u64,
    pub(super) trouble: Option<Trouble>,
    /// A partial last pass was taken: right only if the printed count agrees.
    pub(super) partial: bool,
    /// False where something could not be decided (a repeat that uses nothing, "each" in a ring).
    pub(super) known: bool,
    pub(super) carried: Option<Carried>,
    pub(super) turned: bool,
    pub(super) joined: bool,
    pub(super) foundation: bool,
    /// The first row along a foundation chain.
    pub(super) on_chain: bool,
    pub(super) in_use: Option<StitchId>,
    /// The beginning chain that this row stands on, where it has one.
    pub(super) chain: Option<u64>,
    /// A kind of stitch named that the row below does not have.
    pub(super) stale: Option<(Span, Target)>,
}

/// What a row is worked with.
pub(super) struct Setting<'a> {
    pub(super) numbers: &'a Numbers,
    pub(super) said: &'a Said,
    pub(super) size: usize,
    /// Read the beginning chain the other way in this row, to see whether that is the fault.
    pub(super) flip_chain: bool,
}

/// Works `steps` on `below`.
#[expect(clippy::too_many_arguments, reason = "what lies below, what the row says, and the ledger")]
pub(super) fn work(
    setting: &Setting<'_>,
    conventions: &mut Conventions,
    fuel: &mut u64,
    below: &Below,
    carried: Option<Carried>,
    in_use: Option<StitchId>,
    steps: &[Step],
    fresh: bool,
) -> Worked {
    let (founded, first) = if fresh || *below == Below::Nothing { found(setting, steps) } else { (None, 0) };
    let local = founded.as_ref().unwrap_or(below);
    let assumed_ring = Below::Ring;
    let local = if *local == Below::Nothing { &assumed_ring } else { local };
    let rest = &steps[first..];
    let only_foundation = founded.is_some() && !rest.iter().any(|step| works(&step.act));
    if only_foundation {
        return Worked {
            below: local.clone(),
            available: 0,
            used: 0,
            trouble: local
                .fabric()
                .filter(|row| row.totals().places > MAX_COUNT)
                .map(|_| Trouble::TooLarge { span: steps.first().map_or(Span::default(), |step| step.span) }),
            partial: false,
            known: true,
            carried: None,
            turned: false,
            joined: matches!(local, Below::Circle(_) | Below::Ring),
            foundation: true,
            on_chain: false,
            in_use,
            chain: None,
            stale: None,
        };
    }
    let carried = if founded.is_some() { None } else { carried };
    Worker::new(setting, conventions, fuel, local, in_use).row(rest, carried)
}

pub(super) fn works(act: &Act) -> bool {
    matches!(
        act,
        Act::Work(_)
            | Act::Repeat(_)
            | Act::Group { .. }
            | Act::FoundationStitches { .. }
            | Act::Skip { .. }
            | Act::Unread
    )
}

/// The foundation that a row makes for itself: `Ch 21,` or `Ch 4, join to form a ring,` or `MR,`.
fn found(setting: &Setting<'_>, steps: &[Step]) -> (Option<Below>, usize) {
    let mut made: Option<Below> = None;
    for (at, step) in steps.iter().enumerate() {
        match &step.act {
            Act::Aside | Act::Turn => {}
            Act::Ring => made = Some(Below::Ring),
            // "Ch 3, 11 dc in ring": the ring is there already, the chain begins the round.
            Act::Chain { .. } if made.is_none() && into_ring(&steps[at..]) => return (Some(Below::Ring), at),
            // "Ch 4, join to form a ring. Ch 1, 8 sc in ring"
            Act::Chain { .. } | Act::Work(_) | Act::Repeat(_) | Act::Group { .. } if into_ring(&steps[at..]) => {
                return (Some(Below::Ring), at);
            }
            Act::Chain { length, .. } if made.is_none() => {
                let count = setting.numbers.value(*length, setting.size).unwrap_or(0);
                made = Some(Below::Chain(Fabric::of(Item::Chain, count)));
            }
            Act::Join => match made.take() {
                Some(Below::Chain(row)) => made = Some(Below::Circle(row)),
                other => made = other,
            },
            _ => return (made, at),
        }
        if at + 1 == steps.len() {
            return (made, steps.len());
        }
    }
    (made, steps.len())
}

/// Whether the first stitches go into a ring that these steps do not make themselves.
fn into_ring(steps: &[Step]) -> bool {
    for step in steps {
        match &step.act {
            Act::Work(work) => return work.place == Place::Ring,
            Act::Repeat(repeat) => return into_ring(&repeat.steps),
            Act::Group { place, .. } => return *place == Place::Ring,
            Act::Join => return false,
            _ => {}
        }
    }
    false
}

struct Worker<'w> {
    setting: &'w Setting<'w>,
    conventions: &'w mut Conventions,
    fuel: &'w mut u64,
    cursor: Option<Cursor<'w>>,
    fabric: Option<&'w Fabric>,
    out: Builder,
    available: u64,
    used: u64,
    trouble: Option<Trouble>,
    partial: bool,
    known: bool,
    in_use: Option<StitchId>,
    /// A place of the row below has been used.
    begun: bool,
    /// The beginning chain stands on the first place.
    counted: bool,
    /// Everything goes into one place.
    grouped: bool,
    /// Stitches of a kind were looked for, so others may be left.
    leapt: Option<Wanted>,
    chain: Option<u64>,
    stale: Option<(Span, Target)>,
    on_chain: bool,
    left_said: bool,
}

impl<'w> Worker<'w> {
    fn new(
        setting: &'w Setting<'w>,
        conventions: &'w mut Conventions,
        fuel: &'w mut u64,
        below: &'w Below,
        in_use: Option<StitchId>,
    ) -> Self {
        let fabric = below.fabric();
        Self {
            setting,
            conventions,
            fuel,
            cursor: fabric.map(Cursor::new),
            fabric,
            out: Builder::default(),
            available: fabric.map_or(0, |row| row.totals().places),
            used: 0,
            trouble: None,
            partial: false,
            known: true,
            in_use,
            begun: false,
            counted: false,
            grouped: false,
            leapt: None,
            chain: None,
            stale: None,
            on_chain: matches!(below, Below::Chain(_)),
            left_said: false,
        }
    }

    fn value(&self, number: Num) -> Option<u64> {
        self.setting.numbers.value(number, self.setting.size)
    }

    fn row(mut self, steps: &[Step], carried: Option<Carried>) -> Worked {
        let (body, next_chain) = self.ending_chain(steps);
        let own_chain = body
            .iter()
            .find(|step| works(&step.act) || matches!(step.act, Act::Chain { .. }))
            .is_some_and(|step| matches!(step.act, Act::Chain { .. }));
        if let Some(carried) = carried
            && !own_chain
        {
            self.beginning_chain(carried.length, carried.counts, 0);
        }
        self.run(body);
        let mut turned = false;
        let mut joined = false;
        let mut worked = false;
        for step in steps {
            match step.act {
                Act::Turn if worked => turned = true,
                Act::Join => joined = true,
                _ => worked |= works(&step.act),
            }
        }
        let left = self.left();
        if self.trouble.is_none() && left > 0 && !self.left_said && self.fabric.is_some() {
            let reaches = match (self.leapt, &mut self.cursor) {
                // Only what was looked for can be left over.
                (Some(wanted), Some(cursor)) => cursor.seek(wanted).is_some(),
                _ => true,
            };
            if reaches {
                self.trouble = Some(Trouble::LeftOver { left });
            }
        }
        let totals = self.out.totals();
        if totals.places.max(totals.spaces).max(totals.chains) > MAX_COUNT || self.used > MAX_COUNT {
            self.trouble = Some(Trouble::TooLarge { span: steps.first().map_or(Span::default(), |step| step.span) });
        }
        Worked {
            available: self.available,
            used: self.used,
            trouble: self.trouble,
            partial: self.partial,
            known: self.known,
            carried: next_chain,
            turned,
            joined,
            foundation: self.fabric.is_none()
                && steps.iter().all(|step| !works(&step.act) || matches!(step.act, Act::FoundationStitches { .. })),
            on_chain: self.on_chain,
            in_use: self.in_use,
            chain: self.chain,
            stale: self.stale,
            below: Below::Row(self.out.finish()),
        }
    }

    /// A chain at the row's end that belongs to the next row: `ch 1, turn`, `turn, ch 1`, `join, ch 1`.
    fn ending_chain<'s>(&self, steps: &'s [Step]) -> (&'s [Step], Option<Carried>) {
        let mut turned = false;
        let mut joined_after = false;
        for (at, step) in steps.iter().enumerate().rev() {
            match &step.act {
                Act::Turn => turned = true,
                Act::Join => joined_after = true,
                Act::Aside | Act::FastenOff | Act::Leave(_) | Act::SkippedChains(_) => {}
                Act::Chain { length, counts } => {
                    let worked = steps[..at].iter().any(|step| works(&step.act));
                    let joined_before = matches!(
                        steps[..at].iter().rev().find(|step| !matches!(step.act, Act::Aside)).map(|step| &step.act),
                        Some(Act::Join | Act::Turn)
                    );
                    let ends = turned || joined_before || !joined_after;
                    if worked && ends && !(joined_after && !turned && !joined_before) {
                        let carried = Carried {
                            length: self.value(*length).unwrap_or(0),
                            counts: counts.map(|counts| counts.counts),
                        };
                        return (&steps[..at], Some(carried));
                    }
                    break;
                }
                _ => break,
            }
        }
        (steps, None)
    }

    fn left(&self) -> u64 {
        self.cursor.as_ref().map_or(0, Cursor::left)
    }

    /// Uses places; beyond the row's end the need is still counted.
    fn take(&mut self, count: u64, span: Span) {
        if self.grouped || count == 0 {
            return;
        }
        self.begun = true;
        let Some(cursor) = &mut self.cursor else { return };
        self.used = self.used.saturating_add(count);
        if !cursor.take(count) {
            self.trouble.get_or_insert(Trouble::RunOut { span });
        }
    }

    fn burn(&mut self, span: Span) -> bool {
        if *self.fuel == 0 {
            self.trouble.get_or_insert(Trouble::TooLarge { span });
            self.known = false;
            return false;
        }
        *self.fuel -= 1;
        true
    }

    fn run(&mut self, steps: &[Step]) {
        for (at, step) in steps.iter().enumerate() {
            if !self.burn(step.span) {
                return;
            }
            let rest = &steps[at + 1..];
            match &step.act {
                Act::Work(work) => self.stitches(work, step.span, rest),
                Act::Skip { places, target, first } => self.skip(*places, *target, *first, step.span),
                Act::Chain { length, counts } => {
                    let Some(length) = self.value(*length).filter(|length| *length > 0) else { continue };
                    if !self.begun
                        && !self.grouped
                        && self.out.totals().places == 0
                        && self.out.totals().spaces == 0
                        && self.chain.is_none()
                    {
                        self.beginning_chain(
                            length,
                            counts.map(|counts| counts.counts),
                            counts.map_or(0, |counts| counts.space),
                        );
                    } else {
                        self.out.push(Item::Space(u32::try_from(length).unwrap_or(u32::MAX)), 1);
                    }
                }
                Act::Repeat(repeat) => self.repeat(repeat, step.span, rest),
                Act::Group { steps, place, extent } => self.group(steps, *place, *extent, step.span, rest),
                Act::FoundationStitches { stitch, count } => {
                    let Some(count) = self.value(*count) else { continue };
                    self.in_use = Some(*stitch);
                    self.out.push(Item::Stitch(*stitch), count);
                }
                Act::Leave(count) => {
                    self.left_said = true;
                    let left = self.left();
                    let said = count.and_then(|count| self.value(count));
                    if said.is_some_and(|said| said != left) && self.fabric.is_some() {
                        self.trouble.get_or_insert(if left > said.unwrap_or(0) {
                            Trouble::LeftOver { left }
                        } else {
                            Trouble::RunOut { span: step.span }
                        });
                    }
                }
                Act::Unread | Act::Again(_) => self.known = false,
                Act::Ring | Act::Join | Act::Turn | Act::FastenOff | Act::SkippedChains(_) | Act::Aside => {}
            }
        }
    }

    fn beginning_chain(&mut self, length: u64, own: Option<bool>, space: u32) {
        self.chain = Some(length);
        let counts = self.conventions.chain(length, own, self.setting.said) != (self.setting.flip_chain && length > 1);
        let chains = u32::try_from(length).unwrap_or(u32::MAX);
        if counts {
            let stitch = stands_for(length - u64::from(space).min(length)).or(self.in_use);
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
            // It stands on the first stitch. On a foundation chain it stands on the chains that were skipped.
            if self.cursor.is_some() {
                self.take(1, Span::default());
            }
            self.counted = true;
        } else {
            self.out.push(Item::TurningChain { length: chains, counts_as: None }, 1);
        }
    }

    fn skip(&mut self, places: Num, target: Target, first: bool, span: Span) {
        let Some(count) = self.value(places) else { return };
        match target {
            Target::Space(length) => {
                for _ in 0..count.min(1000) {
                    if let Some(cursor) = &mut self.cursor
                        && let Some(passed) = cursor.seek(Wanted::Space(length))
                    {
                        cursor.use_item();
                        self.used = self.used.saturating_add(passed);
                        self.begun = true;
                    }
                }
            }
            // "ch 3, sk first st": the chain stands on that stitch already.
            _ if first && self.counted && count == 1 && self.only_chain_used() => {}
            _ if self.on_chain && !self.begun => self.skip_foundation(count, None),
            _ => self.take(count, span),
        }
    }

    fn only_chain_used(&self) -> bool {
        self.used == 1 && self.out.totals().places == 1
    }

    /// Chains passed over at the beginning of a foundation: they are height, or the row's first stitch.
    fn skip_foundation(&mut self, count: u64, own: Option<bool>) {
        if let Some(cursor) = &mut self.cursor {
            let there = cursor.left();
            if !cursor.take(count) {
                self.trouble.get_or_insert(Trouble::RunOut { span: Span::default() });
            }
            self.available = there.saturating_sub(count);
        }
        self.begun = true;
        if count > 0 && self.conventions.skipped(count, own, self.setting.said) {
            let stitch = stands_for(count).or(self.in_use).unwrap_or(StitchId::DOUBLE_CROCHET);
            self.out.push(
                Item::TurningChain { length: u32::try_from(count).unwrap_or(u32::MAX), counts_as: Some(stitch) },
                1,
            );
        }
    }

    /// Stitches.
    fn stitches(&mut self, work: &Work, span: Span, rest: &[Step]) {
        let (Some(takes), Some(makes)) = (self.value(work.takes), self.value(work.makes)) else { return };
        let kind = work.stitch.or(self.in_use).unwrap_or(StitchId::SINGLE_CROCHET);
        if work.stitch.is_some() && work.stitch != Some(StitchId::SLIP_STITCH) {
            self.in_use = work.stitch;
        }
        let mut pass = Builder::default();
        let mut extent = work.extent;
        let mut made = makes;
        if work.bare_number && self.cursor.is_some() && !self.grouped {
            let Extent::Times(times) = extent else { return };
            let Some(times) = self.value(times) else { return };
            if times > 1 && self.conventions.ask(Question::NumberFirstInOne) {
                made = times;
                extent = Extent::Times(Num::ONE);
            }
        }
        pass.push(Item::Stitch(kind), made);
        self.act(work.place, extent, takes, pass, span, rest);
    }

    fn group(&mut self, steps: &[Step], place: Place, extent: Extent, span: Span, rest: &[Step]) {
        let outer = std::mem::take(&mut self.out);
        let grouped = std::mem::replace(&mut self.grouped, true);
        let chain = self.chain.replace(self.chain.unwrap_or(0));
        self.run(steps);
        self.chain = chain;
        self.grouped = grouped;
        let pass = std::mem::replace(&mut self.out, outer);
        self.act(place, extent, 1, pass, span, rest);
    }

    /// Does `pass` at `place`, so often as `extent` says; each time `takes` places are used.
    fn act(&mut self, place: Place, extent: Extent, takes: u64, pass: Builder, span: Span, rest: &[Step]) {
        let times = match extent {
            Extent::Times(count) | Extent::More(count) | Extent::Open(count) => match self.value(count) {
                Some(count) => Some(count),
                None => return,
            },
            Extent::Fill(_) | Extent::Unsaid => None,
        };
        if self.grouped {
            return self.out.repeat(pass, times.unwrap_or(1));
        }
        match place {
            Place::Ring => self.out.repeat(pass, times.unwrap_or(1)),
            Place::Same => {
                if !self.begun {
                    self.take(1, span);
                }
                self.out.repeat(pass, times.unwrap_or(1));
            }
            Place::First(_) if times == Some(1) && self.counted && self.only_chain_used() => self.out.repeat(pass, 1),
            Place::FromHook(nth) => {
                let Some(nth) = self.value(nth).filter(|nth| *nth > 0) else { return };
                if self.cursor.is_some() && !self.begun {
                    let own = self.skipped_said(rest);
                    self.skip_foundation(nth - 1, own);
                    self.take(takes, span);
                    self.out.repeat(pass, times.unwrap_or(1));
                } else {
                    self.out.repeat(pass, times.unwrap_or(1));
                }
            }
            Place::Next(target) | Place::First(target) | Place::Last(target) => {
                self.next(target, extent, times, takes, pass, span, rest, matches!(place, Place::Last(_)))
            }
        }
    }

    fn skipped_said(&self, rest: &[Step]) -> Option<bool> {
        rest.iter().find_map(|step| match step.act {
            Act::SkippedChains(counts) => Some(counts),
            _ => None,
        })
    }

    /// The places that a target means here, and whether they must be looked for one by one.
    fn wanted(&mut self, target: Target, span: Span) -> Option<Wanted> {
        let fabric = self.fabric?;
        let wanted = match target {
            Target::Any => return None,
            Target::Kind(kind) => Wanted::Kind(kind),
            Target::Space(length) => {
                if length.is_some()
                    && !fabric.any(|item| Wanted::Space(length).is(item))
                    && fabric.any(|item| matches!(item, Item::Space(_)))
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
                if counted || !any {
                    return None;
                }
                return Some(Wanted::TurningChain);
            }
        };
        if let Wanted::Kind(_) = wanted {
            let others = fabric.any(|item| item.is_place() && !wanted.is(item));
            let some = fabric.any(|item| wanted.is(item));
            if !some {
                // A chain has no kinds; elsewhere the name is stale and the stitch there is meant.
                if fabric.any(|item| item.kind().is_some()) {
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
    fn next(
        &mut self,
        target: Target,
        extent: Extent,
        times: Option<u64>,
        takes: u64,
        pass: Builder,
        span: Span,
        rest: &[Step],
        last: bool,
    ) {
        if self.cursor.is_none() {
            // In a ring every stitch has room; "each" means nothing there.
            match times {
                Some(times) => self.out.repeat(pass, times),
                None => self.known = false,
            }
            return;
        }
        if let Some(wanted) = self.wanted(target, span) {
            if wanted == Wanted::TurningChain {
                // A chain that counts for nothing can still be worked into: it is no stitch that is used.
                self.out.repeat(pass, times.unwrap_or(1));
                return;
            }
            if takes <= 1 {
                return self.leap(wanted, times, &pass, span);
            }
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
        let _ = last;
    }
}

/// The stitch whose height a chain has (published turning-chain tables).
fn stands_for(chains: u64) -> Option<StitchId> {
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
