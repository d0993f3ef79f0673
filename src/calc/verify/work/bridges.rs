//! Chains between two parts, worked along both of their sides: a bridge between two legs, the chain over an opening.

use super::{Trouble, Worker};
use crate::fabric::Builder;
use crate::notation::number::Num;
use crate::notation::token::Span;
use crate::notation::tree::{Act, Extent, Place, Step, Target};
use crate::verify::piece::Opening;

/// The bridge of this round, how much of its two sides is worked, and the openings that the row makes.
#[derive(Default)]
pub(super) struct Bridges {
    length: Option<u64>,
    worked: [u64; 2],
    skipped: u64,
    pub(super) openings: Vec<Opening>,
}

fn goes_along(steps: &[Step]) -> bool {
    steps.iter().any(|step| match &step.act {
        Act::Work(work) => matches!(work.place, Place::Bridge { .. }),
        Act::Repeat(repeat) => goes_along(&repeat.steps),
        _ => false,
    })
}

/// Whether the first stitch goes where the yarn already is.
pub(super) fn first_is_same(steps: &[Step]) -> bool {
    steps
        .iter()
        .find_map(|step| match &step.act {
            Act::Work(work) => Some(work.place == Place::Same),
            Act::Group { place, .. } => Some(*place == Place::Same),
            Act::Repeat(repeat) => Some(first_is_same(&repeat.steps)),
            _ => None,
        })
        .unwrap_or(false)
}

impl Worker<'_> {
    /// "Join in the first sc, ch 1, sc in each of the 20 sc": where there are 20, the first of them is that one.
    pub(super) fn first_takes_all(&self, steps: &[Step]) -> bool {
        let Some(Act::Work(work)) = steps.iter().find(|step| super::works(&step.act)).map(|step| &step.act) else {
            return false;
        };
        let Extent::Times(times) = work.extent else { return false };
        work.takes == Num::ONE
            && matches!(work.place, Place::Next(Target::Any | Target::Kind(_)))
            && self.cursor.is_some()
            && self.value(times) == Some(self.left())
    }

    /// The row takes work up that was left.
    pub(super) fn resumes(&self, steps: &[Step]) -> bool {
        steps.iter().any(|step| matches!(step.act, Act::Resume(_)))
    }

    /// A chain that this very round works along is no space of it.
    pub(super) fn bridge_made(&mut self, length: u64, rest: &[Step]) -> bool {
        let made = self.bridges.length.is_none()
            && self.repeats == 0
            && !self.grouped
            && self.setting.opening.is_none()
            && !self.on_chain
            && goes_along(rest);
        if made {
            self.bridges.length = Some(length);
        }
        made
    }

    /// The row passes stitches over, and chains over them.
    pub(super) fn opens(&mut self, steps: &[Step], at: usize) {
        let Act::Skip { places, target: Target::Any | Target::Kind(_), .. } = steps[at].act else { return };
        let chain = |step: Option<&Step>| match step.map(|step| &step.act) {
            Some(Act::Chain { length, .. }) => self.value(*length),
            _ => None,
        };
        let before = at.checked_sub(1).and_then(|before| chain(steps.get(before)));
        if let (Some(chain), Some(skipped)) = (before.or_else(|| chain(steps.get(at + 1))), self.value(places))
            && skipped > 1
            && self.repeats == 0
            && self.bridges.openings.len() < 16
        {
            self.bridges.openings.push(Opening { skipped, chain });
        }
    }

    /// Along one side of the bridge, or of the chain over the opening that the row goes round.
    pub(super) fn along_bridge(&mut self, far: bool, times: Option<u64>, takes: u64, pass: Builder, span: Span) {
        if self.bridges.length.is_none() && self.setting.opening.is_none() && self.on_chain && far {
            // The other side of the foundation chain.
            if !self.far_side {
                self.go_to_far_side(span);
            }
            let times = times.unwrap_or(1);
            self.take(takes.saturating_mul(times), span);
            return self.put(pass, times);
        }
        let round = self.setting.opening.is_some();
        if self.bridges.length.is_none() && !round {
            self.known = false;
            return;
        }
        let side = usize::from(far || round);
        let times = times.unwrap_or(1);
        let stitches = pass.totals().places;
        // "3 sc along the ch-3" says how many stitches, "in each of the 3 ch" how many chains.
        let along = if times == 1 { stitches } else { times };
        self.bridges.worked[side] = self.bridges.worked[side].saturating_add(along);
        self.elsewhere = true;
        self.put_elsewhere(pass, times);
    }

    /// Into the stitches that the opening passed over; false where the row goes round none.
    pub(super) fn round_opening(&mut self, times: Option<u64>, pass: &Builder) -> bool {
        let Some(opening) = self.setting.opening else { return false };
        let times = times.unwrap_or(opening.skipped);
        self.bridges.skipped = self.bridges.skipped.saturating_add(times);
        self.put_elsewhere(pass.clone(), times);
        true
    }

    /// Into the chain space over the opening: it holds any number of stitches.
    pub(super) fn fills_opening(&mut self) {
        if let Some(opening) = self.setting.opening {
            self.bridges.worked[1] = opening.chain;
        }
    }

    /// What was not worked along, or too often, is a fault.
    pub(super) fn bridges_left(&mut self, steps: &[Step]) {
        let span = steps.first().map_or(Span::default(), |step| step.span);
        let mut held: Vec<(u64, u64)> = Vec::new();
        match (self.setting.opening, self.bridges.length) {
            (Some(opening), _) => {
                held.push((opening.skipped, self.bridges.skipped));
                held.push((opening.chain, self.bridges.worked[1]));
            }
            (None, Some(length)) => {
                held.push((length, self.bridges.worked[0]));
                // One side alone may be worked where the other stays open.
                if self.bridges.worked[1] > 0 {
                    held.push((length, self.bridges.worked[1]));
                }
            }
            (None, None) => {}
        }
        for (there, used) in held {
            self.available = self.available.saturating_add(there);
            self.used = self.used.saturating_add(used);
            if used < there {
                self.trouble.get_or_insert(Trouble::LeftOver { left: there - used });
            } else if used > there {
                self.trouble.get_or_insert(Trouble::RunOut { span, target: None });
            }
        }
    }
}
