//! Noting what a row works, and in which yarn: only where a census asks for it.

use super::{Setting, Worker};
use crate::fabric::{Builder, Labour, Ledger};
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Place, Step, Work};
use crate::notation::yarns::Change;
use crate::standards::{StitchId, StitchKind, by_uk_term, by_us_term, stitch};
use crate::verify::Terms;

/// The places of the text where another yarn is taken, in order, as far as they hold for a row.
#[derive(Debug, Clone, Copy)]
pub(in crate::verify) struct Yarns<'a> {
    /// All of the text.
    pub(in crate::verify) changes: &'a [Change],
    /// Where the row begins.
    pub(in crate::verify) from: u32,
    /// What stands from here on holds for the rows after this one.
    pub(in crate::verify) until: u32,
}

impl Yarns<'_> {
    /// Those that stand in a stretch of the text.
    fn between(&self, start: u32, end: u32) -> impl Iterator<Item = &Change> {
        let (start, end) = (start.max(self.from), end.min(self.until));
        let first = self.changes.partition_point(|change| change.at < start);
        self.changes[first..].iter().take_while(move |change| change.at < end)
    }
}

/// A picot is closed over three chains where the text does not say how many (common practice).
const PICOT: u64 = 3;

/// The foundation that a row makes for itself: its chains, and the stitch that joins them.
pub(super) fn founded(setting: &Setting<'_>, steps: &[Step]) -> Ledger {
    let mut ledger = Ledger::default();
    let Some(yarns) = setting.yarns else { return ledger };
    let mut before = yarns.from;
    for step in steps {
        for change in yarns.between(before, step.span.end) {
            ledger.change(change.yarn);
        }
        before = step.span.end;
        match step.act {
            Act::Chain { length, .. } => ledger.note(Labour::Chain, setting.value(length).unwrap_or(0)),
            Act::Join => ledger.note(Labour::Join, 1),
            _ => {}
        }
    }
    ledger
}

/// The legs of a stitch that closes several in one place, as its own words say: `dc3tog`, `4-dc cluster`, `bobble of 5 dc`.
pub(super) fn legs(setting: &Setting<'_>, kind: StitchId, span: Span) -> Option<(StitchId, u64)> {
    let data = stitch(kind);
    if data.kind != StitchKind::Group || data.produced != Some(1) {
        return None;
    }
    let written = span.of(setting.text);
    let called = |word: &str| match setting.pattern.terms {
        Terms::Us => by_us_term(word),
        Terms::Uk => by_uk_term(word),
    };
    let parts: Vec<&str> = written
        .split(|c: char| !c.is_ascii_alphanumeric())
        .flat_map(|word| {
            let cut = word.find(|c: char| c.is_ascii_digit()).unwrap_or(word.len());
            let (letters, rest) = word.split_at(cut);
            let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
            let (digits, behind) = rest.split_at(end);
            [letters, digits, behind]
        })
        .filter(|part| !part.is_empty())
        .collect();
    parts.windows(2).find_map(|pair| {
        let (word, number) =
            if pair[0].starts_with(|c: char| c.is_ascii_digit()) { (pair[1], pair[0]) } else { (pair[0], pair[1]) };
        let legs = number.parse().ok().filter(|legs| (2..=24).contains(legs))?;
        let leg = called(word).filter(|leg| matches!(stitch(*leg).kind, StitchKind::Basic | StitchKind::Extended))?;
        Some((leg, legs))
    })
}

/// Stitches of one kind: drawn together where fewer are made than places are taken, or legs that wait for what closes them.
pub(super) fn note_stitches(pass: &mut Builder, kind: StitchId, takes: u64, made: u64, place: Place) {
    match (takes, made) {
        // A row end that is passed over.
        (_, 0) if place == Place::Edge => {}
        (takes, 0) => pass.note(Labour::Part(kind), takes),
        (0, made) => pass.note(Labour::Stitch { kind, legs: 0 }, made),
        (takes, made) => {
            let legs = u32::try_from((takes / made).max(1)).unwrap_or(u32::MAX);
            pass.note(Labour::Stitch { kind, legs }, made);
        }
    }
}

/// Steps within a step take their yarn by themselves.
const fn nested(step: &Step) -> bool {
    matches!(step.act, Act::Repeat(_) | Act::Group { .. } | Act::Along { .. })
}

impl Worker<'_> {
    pub(super) fn note(&mut self, labour: Labour, count: u64) {
        if self.setting.yarns.is_some() {
            self.out.note(labour, count);
        }
    }

    /// Goes on from the foundation, over slip stitches that only carry the yarn.
    pub(super) fn carry_on(&mut self, founded: &Ledger, carried: &[Step]) {
        if self.setting.yarns.is_none() {
            return;
        }
        self.out.enter(founded);
        for (at, step) in carried.iter().enumerate() {
            self.change_yarns(carried, at);
            if let Act::Work(work) = &step.act {
                self.note_travel(work);
            }
        }
    }

    /// Another yarn, where the text says so before or within a step. What a step holds in itself says it there.
    pub(super) fn change_yarns(&mut self, steps: &[Step], at: usize) {
        let Some(yarns) = self.setting.yarns else { return };
        let step = &steps[at];
        let start = match at.checked_sub(1) {
            Some(before) => steps[before].span.end.min(step.span.start),
            None if self.top_level => yarns.from,
            None => step.span.start,
        };
        self.top_level = false;
        if let Some(before) = at.checked_sub(1) {
            self.change_behind(&steps[before]);
        }
        let within = if nested(step) { step.span.start } else { step.span.end };
        for change in yarns.between(start, within) {
            if !change.after || change.at < step.span.start || !super::works(&step.act) {
                self.out.change(change.yarn);
            }
        }
    }

    /// "Sc in next 3 sts changing to B in last st": B comes behind them.
    pub(super) fn change_behind(&mut self, step: &Step) {
        let Some(yarns) = self.setting.yarns else { return };
        if nested(step) || !super::works(&step.act) {
            return;
        }
        for change in yarns.between(step.span.start, step.span.end).filter(|change| change.after) {
            self.out.change(change.yarn);
        }
    }

    /// What stands behind the stitches: the join, slip stitches to where the next round begins, the next yarn.
    pub(super) fn end_of_row(&mut self, behind: &[Step], travels: &[Work]) {
        if self.setting.yarns.is_none() {
            return;
        }
        let joins = behind.iter().filter(|step| matches!(step.act, Act::Join)).count();
        self.note(Labour::Join, joins as u64);
        for travel in travels {
            self.note_travel(travel);
        }
    }

    fn note_travel(&mut self, work: &Work) {
        let times = match work.extent {
            Extent::Times(times) => self.value(times).unwrap_or(1),
            _ => 1,
        };
        self.note(Labour::Join, times);
    }

    pub(super) fn note_picot(&mut self, chains: Option<Num>) {
        let chains = chains.and_then(|chains| self.value(chains)).unwrap_or(PICOT);
        self.note(Labour::Chain, chains);
        self.note(Labour::Join, 1);
    }

    /// A stitch that the pattern explains and that is one stitch on top: its legs, where the explanation has them.
    pub(super) fn note_parts(&mut self, kind: StitchId, steps: &[Step]) {
        if self.setting.yarns.is_none() {
            return;
        }
        let mut parts = Vec::new();
        let mut chains = 0;
        self.parts(steps, 1, 0, &mut parts, &mut chains);
        if parts.is_empty() {
            return self.note(Labour::stitch(kind), 1);
        }
        for (part, count) in parts {
            self.note(Labour::Part(part), count);
        }
        self.note(Labour::Chain, chains);
        self.note(Labour::Stitch { kind, legs: 0 }, 1);
    }

    fn parts(&self, steps: &[Step], times: u64, depth: u8, parts: &mut Vec<(StitchId, u64)>, chains: &mut u64) {
        if depth > super::MOST_DEEP {
            return;
        }
        for step in steps {
            match &step.act {
                Act::Work(Work { stitch, takes, extent, place, .. }) => {
                    let kind = stitch.or(self.in_use).unwrap_or(StitchId::SINGLE_CROCHET);
                    let legs = self.value(*takes).unwrap_or(1).max(1);
                    let often = match extent {
                        Extent::Times(often) => self.value(*often).unwrap_or(1),
                        _ => 1,
                    };
                    if *place != Place::Made || kind != StitchId::SLIP_STITCH {
                        parts.push((kind, times.saturating_mul(legs).saturating_mul(often)));
                    }
                }
                Act::Chain { length, .. } => {
                    *chains = chains.saturating_add(times.saturating_mul(self.value(*length).unwrap_or(0)));
                }
                Act::Repeat(repeat) => {
                    let often = self.passes_of(repeat.extent).unwrap_or(1);
                    self.parts(&repeat.steps, times.saturating_mul(often), depth + 1, parts, chains);
                }
                Act::Group { steps, .. } => self.parts(steps, times, depth + 1, parts, chains),
                _ => {}
            }
        }
    }
}
