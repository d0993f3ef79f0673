//! Noting where each stitch stands: only where the piece is spelled out.

use super::Worker;
use crate::fabric::{Builder, Cursor, Foot, Item, Knot, LoopOnly, Unit};
use crate::notation::token::Span;
use crate::notation::tree::Part;
use crate::standards::StitchId;

/// Where the hook has just been.
#[derive(Debug, Clone, Default)]
pub(super) struct Spell {
    /// Places used, for which nothing is worked yet.
    feet: Vec<Foot>,
    /// Where the last stitch stands: "the same place".
    last: Vec<Foot>,
    /// The loop that the row goes into, by its words.
    loop_only: Option<LoopOnly>,
    /// The same for the words in hand alone.
    loop_now: Option<LoopOnly>,
    /// The place in hand is further down.
    pub(super) lower: bool,
    /// Places passed over that may be worked yet.
    passed: Vec<Foot>,
}

/// Places of one act that are looked at one by one.
const MOST_FEET: u64 = crate::fabric::MOST_KNOTS as u64;
/// More places than one stitch is ever drawn together over.
const MOST_TOGETHER: usize = 64;

impl<'w> Worker<'w> {
    /// The place under the hook, to be handed to [`stand`](Self::stand) once it is used.
    pub(super) fn foot(&mut self) -> Option<Foot> {
        self.spell.as_ref()?;
        let cursor = self.cursor.as_mut()?;
        if self.ground.is_piece() || self.ground.is_side() {
            return Some(Foot::Elsewhere);
        }
        Some(cursor.knot().map_or(Foot::Elsewhere, Foot::Knot))
    }

    /// A place is used: what is worked next stands there.
    pub(super) fn stand(&mut self, foot: Option<Foot>) {
        if let (Some(spell), Some(foot)) = (&mut self.spell, foot) {
            spell.feet.push(foot);
        }
    }

    /// The next so many places are used.
    pub(super) fn stand_on_next(&mut self, count: u64) {
        if self.spell.is_none() || self.cursor.is_none() {
            return;
        }
        let kept = self.cursor.clone();
        for _ in 0..count.min(MOST_FEET) {
            let Some(cursor) = &mut self.cursor else { break };
            if cursor.seek(crate::fabric::Wanted::Place).is_none() {
                break;
            }
            let foot = self.foot();
            self.stand(foot);
            if let Some(cursor) = &mut self.cursor {
                cursor.use_item();
            }
        }
        self.cursor = kept;
    }

    /// What was used is passed over.
    pub(super) fn stand_nowhere(&mut self) {
        if let Some(spell) = &mut self.spell {
            spell.feet.clear();
        }
    }

    /// "The same place" is the one just used.
    pub(super) fn stand_here(&mut self) {
        if let Some(spell) = &mut self.spell
            && !spell.feet.is_empty()
        {
            spell.last = std::mem::take(&mut spell.feet);
        }
    }

    /// Puts what is worked on the places used for it: shared out evenly where it is worked several times, all of them under
    /// each where that does not go.
    pub(super) fn put(&mut self, pass: Builder, times: u64) {
        let ring = self.cursor.is_none() && !self.ground.is_elsewhere();
        let (Some(spell), false) = (&mut self.spell, self.grouped) else { return self.out.repeat(pass, times) };
        let mut feet = std::mem::take(&mut spell.feet);
        if feet.is_empty() {
            feet = if ring { vec![Foot::Ring] } else { spell.last.clone() };
        }
        if feet.is_empty() {
            feet = vec![Foot::Elsewhere];
        }
        let (loop_only, lower) = (spell.loop_now.or(spell.loop_only), std::mem::take(&mut spell.lower));
        let each = usize::try_from(times).ok().filter(|times| *times > 1 && feet.len().is_multiple_of(*times));
        match each {
            Some(times) => {
                let chunk = feet.len() / times;
                for feet in feet.chunks(chunk.max(1)) {
                    let mut one = pass.clone();
                    place(&mut one, feet, loop_only, lower);
                    self.out.repeat(one, 1);
                }
                feet.drain(..feet.len() - chunk.min(feet.len()));
            }
            None => {
                // So many are no stitches together, but a count that does not come out.
                feet.truncate(MOST_TOGETHER);
                let mut pass = pass;
                place(&mut pass, &feet, loop_only, lower);
                self.out.repeat(pass, times);
            }
        }
        if let Some(spell) = &mut self.spell {
            spell.last = feet;
        }
    }

    /// Where the last stitch stands.
    pub(super) fn stood(&self) -> Vec<Foot> {
        self.spell.as_ref().map(|spell| spell.last.clone()).unwrap_or_default()
    }

    /// These places are used.
    pub(super) fn stand_on(&mut self, feet: Vec<Foot>) {
        if let Some(spell) = &mut self.spell {
            spell.feet = feet;
        }
    }

    /// What was used is passed over, and may be worked into later.
    pub(super) fn stand_passed_over(&mut self) {
        if let Some(spell) = &mut self.spell {
            spell.passed.append(&mut spell.feet);
        }
    }

    /// The first so many of those.
    pub(super) fn stand_on_passed_over(&mut self, times: u64) {
        if let Some(spell) = &mut self.spell {
            let times = usize::try_from(times).unwrap_or(usize::MAX).min(spell.passed.len());
            spell.feet = spell.passed.drain(..times).collect();
        }
    }

    /// Into a part of the unit at whose beginning the hook is.
    pub(super) fn stand_in_unit(&mut self, unit: Unit, part: Part) {
        if self.spell.is_none() {
            return;
        }
        let Some(mut ahead) = self.cursor.clone() else { return };
        ahead.use_item();
        let (mut places, mut spaces) = (Vec::new(), Vec::new());
        while let Some(item) = ahead.item().filter(|item| *item != Item::Close(unit)) {
            match ahead.knot() {
                Some(knot) if item.is_place() => places.push(knot),
                Some(knot) if item.is_space() => spaces.push(knot),
                _ => {}
            }
            ahead.use_item();
        }
        let nth = |at: usize| places.get(at).copied();
        let middle = nth(places.len() / 2);
        let knot = match part {
            Part::Whole => spaces.get(spaces.len() / 2).copied().or(middle),
            Part::Space(_) => spaces.first().copied(),
            Part::First => nth(0),
            Part::Last => places.last().copied(),
            Part::Center => middle,
            Part::Nth(at) => usize::from(at).checked_sub(1).and_then(nth),
        };
        self.stand_nowhere();
        self.stand(Some(knot.map_or(Foot::Elsewhere, Foot::Knot)));
    }

    /// Into a part of the run of stitches at whose beginning the hook is.
    pub(super) fn stand_in_run(&mut self, run: u64, part: Part) {
        if self.spell.is_none() {
            return;
        }
        let Some(mut ahead) = self.cursor.clone() else { return };
        let passed = match part {
            Part::First => 0,
            Part::Last => run.saturating_sub(1),
            Part::Nth(nth) => u64::from(nth).saturating_sub(1).min(run),
            Part::Whole | Part::Space(_) | Part::Center => run / 2,
        };
        for _ in 0..passed.min(MOST_FEET) {
            ahead.use_item();
        }
        let knot = ahead.knot();
        self.stand_nowhere();
        self.stand(Some(knot.map_or(Foot::Elsewhere, Foot::Knot)));
    }

    /// So many stitches over all the places just used, spread evenly.
    pub(super) fn spread_over(&mut self, kind: StitchId, made: u64) {
        let before = self.out.knots().map_or(0, <[Knot]>::len);
        self.out.push(Item::Stitch(kind), made);
        let Some(spell) = &mut self.spell else { return };
        let feet = std::mem::take(&mut spell.feet);
        let Some(knots) = self.out.knots_mut() else { return };
        let knots = &mut knots[before..];
        let (places, made) = (feet.len(), knots.len());
        for (at, knot) in knots.iter_mut().enumerate() {
            let (from, to) = (at * places / made, ((at + 1) * places / made).max(at * places / made + 1));
            knot.feet = feet.get(from..to.min(places)).unwrap_or(&[]).to_vec();
        }
    }

    /// Puts what goes into the very first place of the row below, where the round began.
    pub(super) fn put_in_first(&mut self, pass: Builder, times: u64) {
        if self.spell.is_some() {
            let first = self.fabric.and_then(|fabric| {
                let mut cursor = Cursor::new(fabric);
                cursor.station()?;
                cursor.knot()
            });
            self.stand_nowhere();
            self.stand(first.map(Foot::Knot));
        }
        self.put(pass, times);
    }

    /// Puts what goes somewhere that the row below does not show.
    pub(super) fn put_elsewhere(&mut self, pass: Builder, times: u64) {
        if let Some(spell) = &mut self.spell {
            spell.feet = vec![Foot::Elsewhere];
        }
        self.put(pass, times);
    }

    /// What is worked goes into what this row has made last.
    pub(super) fn stand_on_made(&mut self) {
        if self.spell.is_none() {
            return;
        }
        let base = self.base;
        let made = self.out.knots().unwrap_or(&[]).iter().rposition(|knot| !knot.is_mark());
        // Within a part of the row the place in the whole row is not known yet.
        let foot = match made {
            Some(at) if self.whole => Foot::Knot(base + u32::try_from(at).unwrap_or(u32::MAX)),
            _ => Foot::Elsewhere,
        };
        if let Some(spell) = &mut self.spell {
            spell.feet = vec![foot];
        }
    }

    /// The chain that begins the row stands where the first stitch would.
    pub(super) fn stand_chain(&mut self) {
        let Some(spell) = &mut self.spell else { return };
        let mut feet = std::mem::take(&mut spell.feet);
        if feet.is_empty() {
            feet.clone_from(&spell.last);
        }
        let used = !feet.is_empty();
        if !used {
            feet = match &mut self.cursor {
                None => vec![Foot::Ring],
                Some(cursor) => {
                    let mut ahead = cursor.clone();
                    let _ = ahead.station();
                    ahead.knot().map(Foot::Knot).into_iter().collect()
                }
            };
        }
        let chain = self
            .out
            .knots_mut()
            .and_then(|knots| knots.iter_mut().rev().find(|knot| matches!(knot.item, Item::TurningChain { .. })));
        if let Some(chain) = chain {
            chain.feet.clone_from(&feet);
        }
        if let Some(spell) = &mut self.spell
            && used
        {
            spell.last = feet;
        }
    }

    /// What the words of a step say of loops and legs.
    pub(super) fn read_words(&mut self, span: Span, works: bool) {
        let text = self.setting.text;
        let Some(spell) = &mut self.spell else { return };
        let said = loop_in(span.of(text));
        spell.loop_now = if works { said } else { None };
        if !works && said.is_some() {
            spell.loop_only = said;
        }
    }
}

/// Says of everything in a pass where it stands, unless it knows that already.
fn place(pass: &mut Builder, feet: &[Foot], loop_only: Option<LoopOnly>, lower: bool) {
    for knot in pass.knots_mut().into_iter().flatten() {
        let stands = matches!(knot.item, Item::Stitch(_) | Item::TurningChain { .. } | Item::Picot);
        if stands && knot.feet.is_empty() {
            knot.feet = feet.to_vec();
            knot.loop_only = loop_only;
            knot.lower = lower;
        }
    }
}

/// "BLO", "in back loops only", "front lp".
fn loop_in(words: &str) -> Option<LoopOnly> {
    let lower = words.to_lowercase();
    let has = |short: &str, long: &str| {
        lower.split(|c: char| !c.is_alphanumeric()).any(|word| word == short)
            || lower.contains(&format!("{long} loop"))
            || lower.contains(&format!("{long} lp"))
    };
    match (has("blo", "back"), has("flo", "front")) {
        (true, false) => Some(LoopOnly::Back),
        (false, true) => Some(LoopOnly::Front),
        _ => None,
    }
}

/// A row's knots, handed over.
#[derive(Debug, Clone, Default)]
pub(in crate::verify) struct Spelt {
    /// Chains that the row made to stand on.
    pub(in crate::verify) chain: u32,
    /// The chain is a circle.
    pub(in crate::verify) circle: bool,
    /// It stands in a ring.
    pub(in crate::verify) ring: bool,
    /// What it worked.
    pub(in crate::verify) knots: Vec<Knot>,
    /// There was more than is spelled out.
    pub(in crate::verify) over: bool,
}
