//! Working one row in one size on the row below. Cost follows the steps of the text: repeats are worked in closed form, and
//! where the kinds of stitches below matter, until the work comes round to where it was.

mod along;
mod bridges;
mod census;
mod corners;
mod ground;
mod places;
mod repeat;
mod skip;
mod spell;
mod start;
mod units;
mod within;
mod worked;

use super::conventions::{Conventions, Question};
use crate::fabric::{Builder, Cursor, Item, Labour, Row as Fabric, Unit, Wanted};
use crate::notation::number::{MAX_COUNT, Num};
use crate::notation::token::Span;
use crate::notation::tree::{Act, ChainCounts, Extent, Own, Part, Place, Step, Target, Work};
use crate::standards::StitchId;
use bridges::Bridges;
pub(super) use census::Yarns;
use corners::corner;
use ground::Ground;
pub(super) use spell::Spelt;
use start::is_travel;
pub(super) use worked::{Below, Carried, Misnamed, Setting, Trouble, Worked};

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
    let spelt = founded.as_ref().map_or_else(Spelt::default, |founded| Spelt {
        chain: founded.fabric().map_or(0, |chain| u32::try_from(chain.ids().len()).unwrap_or(u32::MAX)),
        circle: matches!(founded, Below::Circle(_)),
        ring: *founded == Below::Ring,
        ..Spelt::default()
    });
    let local = founded.as_ref().unwrap_or(below);
    let assumed_ring = Below::Ring;
    let rest = &steps[first..];
    // A circle of chains is a ring for whoever works into the ring.
    let circle = matches!(local, Below::Circle(_) | Below::Chain(_));
    let local = if *local == Below::Nothing || circle && places::any_place(rest, &|place| place == Place::Ring) {
        &assumed_ring
    } else {
        local
    };
    let ledger = census::founded(setting, &steps[..first]);
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
            travels: Vec::new(),
            unworked: 0,
            taken_up: 0,
            rest: None,
            openings: Vec::new(),
            ledger,
            spelt,
        };
    }
    let carried = if founded.is_some() { None } else { carried };
    let travels = if founded.is_some() { &[][..] } else { setting.travels };
    let moved = start::carry(setting, local, travels, rest);
    let turned = moved.below.map(Below::Row);
    let mut worker = Worker::new(setting, conventions, fuel, turned.as_ref().unwrap_or(local), in_use);
    worker.base = setting.spell.unwrap_or(0).saturating_add(spelt.chain);
    worker.carry_on(&ledger, &rest[..moved.steps]);
    worker.landed = moved.landed;
    worker.between = moved.between;
    worker.wrapped = moved.wrapped;
    // "Sl st in next ch-2 sp" where all spaces are longer, "in next 2 dc" where all are tr.
    for step in &rest[..moved.steps] {
        if let Act::Work(Work { place: Place::Next(target), .. }) = step.act
            && local.fabric().is_some_and(|row| places::lacks(row, target))
        {
            worker.stale.get_or_insert(Misnamed::missing(step.span, target));
        }
    }
    if moved.passed > 0 {
        worker.available += moved.passed;
        worker.used = moved.passed;
    }
    worker.land(&rest[moved.steps..]);
    let ring = *local == Below::Ring;
    let mut worked = worker.row(&rest[moved.steps..], carried);
    worked.spelt = Spelt { ring, knots: worked.spelt.knots, over: worked.spelt.over, ..spelt };
    worked
}

pub(super) fn works(act: &Act) -> bool {
    matches!(
        act,
        Act::Work(_)
            | Act::Repeat(_)
            | Act::Group { .. }
            | Act::Own(_)
            | Act::Along { .. }
            | Act::Spread { .. }
            | Act::EveryNth { .. }
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
            Act::Chain { .. } | Act::Work(_) | Act::Repeat(_) | Act::Group { .. } | Act::Own(_)
                if into_ring(&steps[at..]) =>
            {
                return (Some(Below::Ring), at);
            }
            Act::Chain { length, .. } if made.is_none() => {
                let count = setting.value(*length).unwrap_or(0);
                made = Some(Below::Chain(chained(setting, count)));
            }
            Act::Join => match made.take() {
                // Worked on in the order in which it was made, where a chain is worked back.
                Some(Below::Chain(row)) => made = Some(Below::Circle(row.reversed())),
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

/// A foundation chain as it is worked back along, from the chain that was made last.
fn chained(setting: &Setting<'_>, count: u64) -> Fabric {
    let chain = Fabric::of(Item::Chain, count);
    match (setting.spell, u32::try_from(count)) {
        (Some(first), Ok(count)) if count <= crate::fabric::MOST_KNOTS => {
            chain.known_as((first..first.saturating_add(count)).rev().collect())
        }
        _ => chain,
    }
}

/// Whether the first stitches go into a ring that these steps do not make themselves.
fn into_ring(steps: &[Step]) -> bool {
    for step in steps {
        match &step.act {
            Act::Work(work) => return work.place == Place::Ring,
            Act::Repeat(repeat) => return into_ring(&repeat.steps),
            Act::Group { place, .. } => return *place == Place::Ring,
            Act::Own(own) => return own.place == Some(Place::Ring),
            Act::Join => return false,
            _ => {}
        }
    }
    false
}

/// "sl st" and no more, at a round's end: where it goes need not be said.
fn is_bare(written: &str) -> bool {
    let words = written.trim_matches(|c: char| !c.is_alphanumeric());
    ["sl st", "ss", "slst", "slip stitch"].iter().any(|slip| words.eq_ignore_ascii_case(slip))
}

struct Worker<'w> {
    setting: &'w Setting<'w>,
    conventions: &'w mut Conventions,
    fuel: &'w mut u64,
    cursor: Option<Cursor<'w>>,
    fabric: Option<&'w Fabric>,
    ground: Ground<'w>,
    bridges: Bridges,
    out: Builder,
    available: u64,
    used: u64,
    trouble: Option<Trouble>,
    partial: bool,
    known: bool,
    in_use: Option<StitchId>,
    /// Nothing of the row has been run yet.
    top_level: bool,
    /// A place of the row below has been used.
    begun: bool,
    /// The beginning chain stands on the first place.
    counted: bool,
    /// The yarn was carried into a place, which is "the same" one.
    landed: bool,
    /// That place lies between stitches.
    between: bool,
    /// Places at the end that the round passed over at its beginning.
    wrapped: u64,
    /// A slip stitch has closed the round.
    closed: bool,
    /// The step before this one skipped stitches by number, so the next one is where that leads.
    after_skip: bool,
    /// Everything goes into one place.
    grouped: bool,
    /// Stitches of a kind were looked for, so others may be left.
    leapt: Option<Wanted>,
    /// Places skipped that are still to be worked.
    skipped: u64,
    /// Chains of a space that are not worked yet.
    chains_left: u64,
    /// The last stitches stood further down, in front of the stitches that they cover.
    covers: u64,
    chain: Option<u64>,
    stale: Option<Misnamed>,
    on_chain: bool,
    left_said: bool,
    /// Own stitches within own stitches.
    depth: u8,
    /// A group is worked in a row that has begun: a chain in it is a space.
    made_before: bool,
    /// Each pass of the repeat that is worked is a unit of this name.
    unit_open: Option<Unit>,
    /// The far side of the foundation was worked.
    far_side: bool,
    /// Stitches went into places that are not of the row below.
    elsewhere: bool,
    /// What is left of a unit is named next, so the hook stays in it.
    stays: bool,
    /// Repeats in which the hook is.
    repeats: u32,
    /// The row goes on until it measures so much.
    until: bool,
    /// How many places the last skip passed.
    last_skip: u64,
    /// Places skipped right before what is worked now.
    just_skipped: u64,
    /// How deep own stitches are looked into for what they use.
    deep: std::cell::Cell<u8>,
    /// Passes done of the repeat in hand.
    passes_done: std::cell::Cell<u64>,
    /// Where each stitch stands, where the piece is spelled out.
    spell: Option<spell::Spell>,
    /// The position of the row's first knot among those of the piece.
    base: u32,
    /// What is worked is put into the row itself, not into a part of it.
    whole: bool,
    /// The space whose chains are worked one by one.
    space_in_hand: Option<crate::fabric::Foot>,
}

/// Own stitches may be made of own stitches so far down.
const MOST_DEEP: u8 = 4;

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
            ground: Ground::default(),
            bridges: Bridges::default(),
            out: if setting.spell.is_some() { Builder::spelling() } else { Builder::default() },
            available: fabric.map_or(0, |row| row.totals().places),
            used: 0,
            trouble: None,
            partial: false,
            known: true,
            in_use,
            top_level: true,
            begun: false,
            counted: false,
            landed: false,
            between: false,
            wrapped: 0,
            closed: false,
            after_skip: false,
            grouped: false,
            leapt: None,
            skipped: 0,
            chains_left: 0,
            covers: 0,
            chain: None,
            stale: None,
            on_chain: matches!(below, Below::Chain(_)),
            left_said: false,
            depth: 0,
            made_before: false,
            unit_open: None,
            far_side: false,
            elsewhere: false,
            stays: false,
            repeats: 0,
            until: false,
            last_skip: 0,
            just_skipped: 0,
            deep: std::cell::Cell::new(0),
            passes_done: std::cell::Cell::new(0),
            spell: setting.spell.map(|_| spell::Spell::default()),
            base: 0,
            whole: true,
            space_in_hand: None,
        }
    }

    /// The yarn was carried to the first place: it is used, and is the same place for what comes.
    fn land(&mut self, steps: &[Step]) {
        if !self.landed {
            return;
        }
        // "Sl st in next sp, ch 1, 3 sc in each sp": the first of them is that one.
        if start::first_fills(steps) || self.first_takes_all(steps) {
            self.landed = false;
            return;
        }
        if !self.between
            && let Some(cursor) = &mut self.cursor
            && let Some(item) = cursor.station()
        {
            self.used = self.used.saturating_add(u64::from(item.is_place()));
            let foot = self.foot();
            self.stand(foot);
            self.stand_here();
            if let Some(cursor) = &mut self.cursor {
                cursor.use_item();
            }
        }
        self.begun = true;
    }

    fn value(&self, number: Num) -> Option<u64> {
        self.setting.value(number)
    }

    /// Begins a part of the row that is put together by itself.
    fn part(&mut self) -> (Builder, bool) {
        let part = self.out.alike();
        (std::mem::replace(&mut self.out, part), std::mem::replace(&mut self.whole, false))
    }

    /// Ends it.
    fn back_to(&mut self, (outer, whole): (Builder, bool)) -> Builder {
        self.whole = whole;
        std::mem::replace(&mut self.out, outer)
    }

    /// What was spelled out of the row.
    fn spelt(&self) -> Spelt {
        Spelt { knots: self.out.knots().unwrap_or(&[]).to_vec(), over: self.out.is_over(), ..Spelt::default() }
    }

    /// The row, which the next one stands on.
    fn finished(self) -> Fabric {
        let known = self.out.knots().filter(|_| !self.out.is_over()).map(<[_]>::len);
        let base = self.base;
        let row = self.out.finish();
        match known.and_then(|known| u32::try_from(known).ok()) {
            Some(known) => row.known_as((base..base.saturating_add(known)).collect()),
            None => row,
        }
    }

    fn row(mut self, steps: &[Step], carried: Option<Carried>) -> Worked {
        let (body, next_chain) = self.ending_chain(steps);
        let (body, travels) = ending_travel(body);
        let behind = &steps[body.len()..];
        let own_chain = body
            .iter()
            .find(|step| works(&step.act) || matches!(step.act, Act::Chain { .. }))
            .is_some_and(|step| matches!(step.act, Act::Chain { .. }));
        if let Some(carried) = carried
            && !own_chain
        {
            self.beginning_chain(carried.length, carried.counts, body);
        }
        match self.beginning_group(body) {
            Some((from, to, unit)) => {
                self.run(&body[..from]);
                let outer = self.part();
                self.run(&body[from..to]);
                let group = self.back_to(outer);
                let unit = if unit == Unit::GROUP { self.named_like(&group) } else { unit };
                self.out.push(Item::Open(unit), 1);
                self.out.repeat(group, 1);
                self.out.push(Item::Close(unit), 1);
                self.run(&body[to..]);
            }
            None => self.run(body),
        }
        let mut turned = false;
        let mut joined = self.closed;
        let mut worked = false;
        for step in steps {
            match step.act {
                Act::Turn if worked => turned = true,
                Act::Join => joined = true,
                _ => worked |= works(&step.act),
            }
        }
        let mut unworked = 0;
        let mut rest = None;
        self.bridges_left(steps);
        self.come_back();
        let left = self.left();
        if self.until && self.fabric.is_some() && self.out.totals().places != self.available {
            // Rows that grow until the piece measures so much end nobody knows where.
            self.known = false;
        }
        let chain_ends = matches!(self.out.last(), Some(item) if item.is_space());
        if left > 0 && left == self.last_skip && chain_ends && self.setting.round {
            // "…, ch 5, join": the last skip is not said, for there is nothing behind it.
            self.used = self.used.saturating_add(left);
        } else if left > 0 && self.used == self.unworked_used() && !self.begun && self.ground.is_used(self.elsewhere) {
            // Everything went into other places than the row below.
        } else if left > 0 && left <= self.wrapped {
            // What the yarn was carried over at the beginning was used by that.
            self.used = self.used.saturating_add(left);
        } else if self.trouble.is_none() && left > 0 && self.fabric.is_some() {
            if self.left_said {
                unworked = left;
                rest = self.cursor.as_ref().map(|cursor| cursor.cut().1);
            } else if self.leaves_work() {
                self.trouble = Some(Trouble::LeftOver { left });
            }
        } else if self.trouble.is_none()
            && left == 0
            && self.fabric.is_some()
            && !self.left_said
            && self.spaces_left_over()
        {
            self.trouble = Some(Trouble::LeftOver { left });
        }
        self.end_of_row(behind, &travels);
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
            on_chain: self.on_chain && !self.far_side,
            in_use: self.in_use,
            chain: self.chain,
            stale: self.stale,
            travels,
            unworked,
            taken_up: self.unworked_used(),
            rest,
            openings: std::mem::take(&mut self.bridges.openings),
            ledger: self.out.ledger().clone(),
            spelt: self.spelt(),
            below: Below::Row(self.finished()),
        }
    }

    /// "Ch 3, 2 dc in same sp, ch 2, 3 dc in same sp": the steps that make the row's first group, and what it is called.
    fn beginning_group(&self, steps: &[Step]) -> Option<(usize, usize, Unit)> {
        if !self.setting.pattern.units {
            return None;
        }
        let from = steps.iter().position(|step| !matches!(step.act, Act::Aside | Act::Turn | Act::Join))?;
        if !matches!(steps[from].act, Act::Chain { .. }) {
            return None;
        }
        // "Ch 1, sc in first sc": a chain that only lifts the yarn, and one stitch.
        let lifts = matches!(steps[from].act, Act::Chain { length, .. } if self.value(length) == Some(1));
        if lifts
            && matches!(steps.get(from + 1).map(|step| &step.act), Some(Act::Work(work)) if work.makes == Num::ONE)
            && !matches!(steps.get(from + 2).map(|step| &step.act), Some(Act::Chain { .. }))
        {
            return None;
        }
        let mut to = None;
        let mut unit = Unit::GROUP;
        for (at, step) in steps.iter().enumerate().skip(from + 1) {
            match &step.act {
                Act::Work(Work { place: Place::Same | Place::First(Target::Any | Target::Kind(_)), .. })
                | Act::Group { place: Place::Same | Place::First(Target::Any | Target::Kind(_)), .. } => {
                    to = Some(at + 1)
                }
                Act::Chain { .. } | Act::Aside | Act::Picot(_) => {}
                Act::Called(name) => {
                    unit = self.setting.pattern.definitions.get(*name as usize).map_or(unit, |own| own.unit);
                    break;
                }
                _ => break,
            }
        }
        to.map(|to| (from, to, unit))
    }

    /// "Ch 4, dc in same st" where "V-st = (dc, ch 1, dc)": the beginning has the shape of what the pattern names, and is one.
    fn named_like(&mut self, group: &Builder) -> Unit {
        let pattern = self.setting.pattern;
        let Some(shape) = group.clone().finish().shape() else { return Unit::GROUP };
        let in_use = self.in_use;
        let named = pattern.definitions.iter().find(|own| {
            let whole = own.in_one_place && !own.unclear && own.one_stitch.is_none() && !own.steps.is_empty();
            whole && self.in_one_place(own.unit, &own.steps, None, false).finish().shape() == Some(shape.clone())
        });
        self.in_use = in_use;
        named.map_or(Unit::GROUP, |own| own.unit)
    }

    /// Whether what is left is something that the row should have worked.
    fn leaves_work(&mut self) -> bool {
        match (self.leapt, &mut self.cursor) {
            // Only what was looked for can be left over.
            (Some(wanted), Some(cursor)) => cursor.seek(wanted).is_some(),
            _ => true,
        }
    }

    /// Spaces at the end that the row looked for and did not work.
    fn spaces_left_over(&mut self) -> bool {
        match (self.leapt, &mut self.cursor) {
            (Some(wanted @ Wanted::Space(_)), Some(cursor)) => cursor.seek(wanted).is_some(),
            _ => false,
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
                    if worked
                        && ends
                        && !(joined_after && !turned && !joined_before)
                        && !(self.setting.round && !turned && !joined_before)
                    {
                        let carried = Carried { length: self.value(*length).unwrap_or(0), counts: *counts };
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
        self.just_skipped = 0;
        self.stand_on_next(count);
        let on_piece = self.ask_piece(count);
        let Some(cursor) = &mut self.cursor else { return };
        self.used = self.used.saturating_add(count);
        if !cursor.take(count) && !on_piece {
            self.trouble.get_or_insert(Trouble::RunOut { span, target: None });
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
            self.change_yarns(steps, at);
            self.after_skip =
                at > 0 && matches!(steps[at - 1].act, Act::Skip { target: Target::Any | Target::Kind(_), .. });
            // "3 dc in last sc (half shell made)"
            let name = match rest.first().map(|step| &step.act) {
                Some(Act::Called(name)) if self.setting.pattern.units && !self.begins() => {
                    self.setting.pattern.definitions.get(*name as usize).map(|own| own.unit)
                }
                _ => None,
            };
            if let (Some(unit), Act::Work(work)) = (name, &step.act) {
                let outer = self.part();
                let made_before = std::mem::replace(&mut self.made_before, true);
                self.read_words(step.span, true);
                self.stitches(work, step.span, rest);
                self.made_before = made_before;
                let group = self.back_to(outer);
                self.out.push(Item::Open(unit), 1);
                self.out.repeat(group, 1);
                self.out.push(Item::Close(unit), 1);
                continue;
            }
            if self.spell.is_some()
                && matches!(step.act, Act::Work(_) | Act::Aside | Act::Group { .. } | Act::Own(_) | Act::Along { .. })
            {
                self.read_words(step.span, works(&step.act));
            }
            match &step.act {
                Act::Work(work) => self.stitches(work, step.span, rest),
                Act::Skip { places, target, first } => {
                    self.opens(steps, at);
                    self.skip(*places, *target, *first, step.span)
                }
                Act::Chain { length, counts } => {
                    let Some(length) = self.value(*length).filter(|length| *length > 0) else { continue };
                    if self.bridge_made(length, rest) {
                        self.note(Labour::Chain, length);
                        continue;
                    }
                    // A chain that comes again with every pass is a space.
                    if self.begins() && (self.repeats == 0 || counts.is_some()) {
                        self.beginning_chain(length, *counts, rest);
                    } else {
                        self.note(Labour::Chain, length);
                        self.out.push(Item::Space(u32::try_from(length).unwrap_or(u32::MAX)), 1);
                    }
                }
                Act::Repeat(repeat) => self.repeat(repeat, step.span, rest),
                Act::Group { steps, place, extent } => self.group(steps, *place, *extent, step.span, rest),
                Act::Own(own) => self.own(own, step.span, rest),
                Act::Along { kinds, extent } => self.along(kinds, *extent, step.span, rest),
                Act::Picot(chains) => {
                    self.note_picot(*chains);
                    self.out.push(Item::Picot, 1);
                }
                Act::UntilMeasured => self.until = true,
                // Where a piece takes work up, the first stitch goes where the yarn is joined.
                Act::Attach if self.resumes(steps) && !bridges::first_is_same(rest) => {}
                Act::Attach => {
                    self.take(1, step.span);
                    self.stand_here();
                    self.landed = true;
                }
                Act::FarSide => self.go_to_far_side(step.span),
                Act::OnPiece(name) => self.go_to_piece(*name, step.span),
                Act::Spread { count, more } => self.spread(*count, *more, step.span),
                Act::EveryNth { nth, more } => self.every_nth(*nth, *more, step.span),
                Act::FoundationStitches { stitch, count } => {
                    let Some(count) = self.value(*count) else { continue };
                    self.in_use = Some(*stitch);
                    self.note(Labour::stitch(*stitch), count);
                    self.note(Labour::Chain, count);
                    self.out.push(Item::Stitch(*stitch), count);
                }
                Act::Leave(count) => {
                    self.left_said = true;
                    let left = self.left();
                    let said = count.and_then(|count| self.value(count));
                    // "… leaving rem 7 sts unworked", of those that an earlier row left.
                    let of_before = said.is_some_and(|said| self.unworked_left(said));
                    if of_before && left == 0 {
                        continue;
                    }
                    if said.is_some_and(|said| said != left) && self.fabric.is_some() {
                        self.trouble.get_or_insert(if left > said.unwrap_or(0) {
                            Trouble::LeftOver { left }
                        } else {
                            Trouble::RunOut { span: step.span, target: None }
                        });
                    }
                }
                Act::Unread | Act::Again(_) | Act::Edited(_) => self.known = false,
                Act::Join => self.note(Labour::Join, 1),
                Act::Ring
                | Act::Turn
                | Act::FastenOff
                | Act::SkippedChains(_)
                | Act::Aside
                | Act::Resume(_)
                | Act::Called(_) => {}
            }
        }
        if let Some(last) = steps.last() {
            self.change_behind(last);
        }
    }

    /// Whether a chain here begins the row.
    fn begins(&self) -> bool {
        self.chain.is_none()
            && self.out.totals().places == 0
            && self.out.totals().spaces == 0
            && !self.made_before
            && self.leapt.is_none()
    }

    /// Stitches.
    fn stitches(&mut self, work: &Work, span: Span, rest: &[Step]) {
        let (Some(takes), Some(makes)) = (self.value(work.takes), self.value(work.makes)) else { return };
        let kind = work.stitch.or(self.in_use).unwrap_or(StitchId::SINGLE_CROCHET);
        if work.stitch.is_some() && work.stitch != Some(StitchId::SLIP_STITCH) {
            self.in_use = work.stitch;
        }
        if self.closes_loop(work, kind, rest) {
            self.note(Labour::Closing(kind), 1);
            return;
        }
        // "sl st in next st" when the round is full: it closes the round.
        if kind == StitchId::SLIP_STITCH
            && self.setting.round
            && self.begun
            && !self.grouped
            && (self.left() == 0 || self.setting.joined && is_bare(span.of(self.setting.text)))
            && work.extent == Extent::Times(Num::ONE)
            && matches!(work.place, Place::Next(Target::Any | Target::Kind(_)))
            && !rest.iter().any(|step| works(&step.act))
        {
            self.closed |= is_bare(span.of(self.setting.text));
            self.note(Labour::Join, 1);
            return;
        }
        let mut pass = self.out.alike();
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
        let marked = self.setting.pattern.units && made > 1 && !self.grouped && takes <= 1;
        if marked {
            pass.push(Item::Open(Unit::GROUP), 1);
        }
        if self.setting.yarns.is_some() {
            match census::legs(self.setting, kind, span) {
                Some((leg, legs)) => {
                    pass.note(Labour::Part(leg), legs.saturating_mul(made));
                    pass.note(Labour::Stitch { kind, legs: 0 }, made);
                }
                None => census::note_stitches(&mut pass, kind, takes, made, work.place),
            }
        }
        pass.push(Item::Stitch(kind), made);
        if marked {
            pass.push(Item::Close(Unit::GROUP), 1);
        }
        self.act(work.place, extent, takes, pass, span, rest);
    }

    /// `ch 2, dc in first sc` at a round's end: the stitch closes the last loop and leaves the yarn in its middle.
    fn closes_loop(&mut self, work: &Work, kind: StitchId, rest: &[Step]) -> bool {
        let to_first = matches!(work.place, Place::First(_) | Place::Next(Target::TurningChain) | Place::Made);
        if !to_first
            || !self.setting.round
            || self.grouped
            || kind == StitchId::SLIP_STITCH
            || kind == StitchId::SINGLE_CROCHET
            || work.makes != Num::ONE
            || !matches!(work.extent, Extent::Times(Num::ONE))
            || rest.iter().any(|step| works(&step.act) || matches!(step.act, Act::Chain { .. }))
            || !matches!(self.out.last(), Some(Item::Space(_)))
            || self.out.totals().places == 0
        {
            return false;
        }
        self.out.close_loop()
    }

    fn group(&mut self, steps: &[Step], place: Place, extent: Extent, span: Span, rest: &[Step]) {
        let pass = self.in_one_place(Unit::GROUP, steps, None, self.begins());
        self.act(place, extent, 1, pass, span, rest);
    }

    /// Everything of `steps` in one place; `begins` when a chain in it begins the row.
    fn in_one_place(&mut self, unit: Unit, steps: &[Step], top: Option<(StitchId, u32)>, begins: bool) -> Builder {
        let outer = self.part();
        let grouped = std::mem::replace(&mut self.grouped, true);
        let made_before = std::mem::replace(&mut self.made_before, !begins);
        let chain = self.chain;
        let marks = self.setting.pattern.units;
        if marks {
            self.out.push(Item::Open(unit), 1);
        }
        match top {
            Some((kind, chains)) => {
                self.note_parts(kind, steps);
                self.note(Labour::Chain, u64::from(chains));
                self.out.push(Item::Stitch(kind), 1);
                if marks {
                    self.out.push(Item::Close(unit), 1);
                }
                if chains > 0 {
                    self.out.push(Item::Space(chains), 1);
                }
            }
            None => {
                self.run(steps);
                if marks {
                    self.out.push(Item::Close(unit), 1);
                }
            }
        }
        if !begins {
            self.chain = chain;
        }
        self.made_before = made_before;
        self.grouped = grouped;
        self.back_to(outer)
    }

    /// A stitch of the pattern's own.
    fn own(&mut self, own: &Own, span: Span, rest: &[Step]) {
        let pattern = self.setting.pattern;
        let Some(definition) = pattern.definitions.get(own.definition as usize) else { return };
        if definition.unclear || self.depth >= MOST_DEEP {
            self.known = false;
            return;
        }
        self.depth += 1;
        if definition.in_one_place || definition.one_stitch.is_some() && definition.steps.is_empty() {
            let place = own.place.unwrap_or(definition.place);
            let top = definition.one_stitch.map(|kind| (kind, definition.chains_behind));
            let begins = self.begins();
            let pass = self.in_one_place(definition.unit, &definition.steps, top, begins);
            self.act(place, own.extent, 1, pass, span, rest);
        } else {
            let steps = &definition.steps;
            let lone = match own.extent {
                // "fan over next 5 sts", "C4 over next 4 sts": once.
                // "X over next 80 sts" where X takes two: forty of them.
                Extent::Times(count) if own.place.is_some_and(|place| place != Place::Same) => {
                    let unit = self.consumes(steps).filter(|unit| *unit > 0);
                    match (self.value(count), unit) {
                        (Some(over), Some(unit)) if over > unit && over.is_multiple_of(unit) => {
                            u32::try_from(over / unit)
                                .map_or(Extent::Times(count), |times| Extent::Times(Num::small(times)))
                        }
                        _ => Extent::Times(Num::ONE),
                    }
                }
                other => other,
            };
            self.in_units(definition.unit, steps, lone, span, rest);
        }
        self.depth -= 1;
    }

    /// Does `pass` at `place`, so often as `extent` says; each time `takes` places are used.
    fn act(&mut self, place: Place, extent: Extent, takes: u64, pass: Builder, span: Span, rest: &[Step]) {
        let times = match extent {
            Extent::Times(count) | Extent::More(count) | Extent::Open(count) => match self.value(count) {
                Some(count) => Some(count),
                None => return,
            },
            Extent::Fill(_) | Extent::Unsaid | Extent::Until(..) => None,
        };
        if self.grouped {
            return self.out.repeat(pass, times.unwrap_or(1));
        }
        let covers = std::mem::take(&mut self.covers);
        if self.ground.is_edge()
            && matches!(place, Place::Next(Target::Any | Target::Kind(_)) | Place::First(Target::Any | Target::Kind(_)))
        {
            self.back_to_row();
        }
        self.elsewhere |= matches!(place, Place::Edge | Place::FarSide | Place::Unworked | Place::Made)
            || place == Place::Skipped && self.skipped == 0;
        match place {
            Place::Ring => {
                self.stand(Some(crate::fabric::Foot::Ring));
                self.put(pass, times.unwrap_or(1))
            }
            // "18 dc along the row ends" goes to no place that is known.
            Place::Made if times.is_some_and(|times| times > 1) => self.put_elsewhere(pass, times.unwrap_or(1)),
            Place::Made => {
                self.stand_on_made();
                self.put(pass, times.unwrap_or(1))
            }
            Place::Same => {
                if !self.begun {
                    self.use_first(span);
                }
                self.covers = covers;
                self.put(pass, times.unwrap_or(1));
            }
            Place::First(Target::Any | Target::Kind(_))
                if times == Some(1) && self.counted && self.only_chain_used() =>
            {
                self.put(pass, 1)
            }
            // "3 dc in first sp" at the end of a round that began in it.
            Place::First(Target::Space(_))
                if self.begun
                    && self.out.totals().places > 0
                    && self.fabric.is_some_and(|fabric| Cursor::new(fabric).station().is_some_and(Item::is_space)) =>
            {
                self.put_in_first(pass, times.unwrap_or(1))
            }
            Place::FromHook(nth) => {
                let Some(nth) = self.value(nth).filter(|nth| *nth > 0) else { return };
                if self.cursor.is_some() && !self.begun {
                    let own = self.skipped_said(rest);
                    let kind = first_of(&pass);
                    self.skip_foundation(nth - 1, own, rest, kind);
                    self.take(takes, span);
                }
                self.put(pass, times.unwrap_or(1));
            }
            Place::Bridge { far } => self.along_bridge(far, times, takes, pass, span),
            Place::Skipped if self.round_opening(times, &pass) => {}
            Place::Skipped => self.work_into_skipped(times, pass, span),
            Place::Unworked => self.work_into_unworked(times, pass, span),
            Place::Edge => self.work_into_edge(times, pass, span),
            Place::FarSide if self.setting.opening.is_some() => self.along_bridge(true, times, takes, pass, span),
            Place::FarSide => match times {
                Some(times) => self.put_elsewhere(pass, times),
                None => self.known = false,
            },
            Place::Lower(target) => self.work_into_lower(target, times, pass, span),
            Place::Last(target) => {
                self.pass_to_last(target, times);
                self.next(target, extent, times, takes, pass, span, rest);
            }
            Place::Next(target) | Place::First(target) => self.next(target, extent, times, takes, pass, span, rest),
        }
    }

    /// The place at which the row stands before anything is used.
    fn use_first(&mut self, span: Span) {
        match self.cursor.as_mut().and_then(Cursor::station) {
            Some(item) if item.is_space() => {
                let foot = self.foot();
                self.stand(foot);
                if let Some(cursor) = &mut self.cursor {
                    cursor.use_item();
                }
                self.begun = true;
            }
            _ => self.take(1, span),
        }
    }

    fn only_chain_used(&self) -> bool {
        self.used == 1 && self.out.totals().places == 1
    }

    fn skipped_said(&self, rest: &[Step]) -> Option<ChainCounts> {
        rest.iter().find_map(|step| match step.act {
            Act::SkippedChains(counts) => Some(counts),
            _ => None,
        })
    }
}

/// The first stitch of what is worked.
fn first_of(pass: &Builder) -> Option<StitchId> {
    let mut found = None;
    for run in pass.clone().finish().runs() {
        if let crate::fabric::Run::Items(Item::Stitch(kind), _) = run {
            found = Some(*kind);
            break;
        }
    }
    found
}

/// `join, sl st in next 2 dc and in ch-2 sp`: the yarn goes to where the next round begins.
fn ending_travel(steps: &[Step]) -> (&[Step], Vec<Work>) {
    let Some(joined) = steps.iter().rposition(|step| matches!(step.act, Act::Join)) else { return (steps, Vec::new()) };
    let mut travels = Vec::new();
    for step in &steps[joined + 1..] {
        match &step.act {
            Act::Work(work) if is_travel(work) && travels.len() < 16 => travels.push(*work),
            Act::Aside | Act::Turn => {}
            _ => return (steps, Vec::new()),
        }
    }
    if travels.is_empty() { (steps, travels) } else { (&steps[..=joined], travels) }
}

/// What a target looks for in a row, where it must be looked for.
fn seek_for(fabric: &Fabric, target: Target) -> Option<Wanted> {
    Some(match target {
        Target::Any => return None,
        Target::Kind(kind) => {
            let wanted = Wanted::Kind(kind);
            if !fabric.any(|item| wanted.is(item)) {
                return None;
            }
            wanted
        }
        Target::Space(length) => {
            if length.is_some() && !fabric.any(|item| Wanted::Space(length).is(item)) {
                Wanted::Space(None)
            } else {
                Wanted::Space(length)
            }
        }
        Target::Corner => corner(fabric)?,
        Target::Unit(unit, _) => Wanted::Unit(unit),
        Target::Gap => Wanted::Gap,
        Target::TurningChain => Wanted::TurningChain,
        Target::Both(..) | Target::BothChains => Wanted::Station,
        Target::Chain => Wanted::Space(None),
    })
}

fn whole(part: Part) -> bool {
    matches!(part, Part::Whole | Part::Space(_))
}
