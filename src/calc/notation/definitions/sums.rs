//! What a definition takes and makes in all, and what is left of it when it is worked over several stitches.

use super::super::number::Num;
use super::super::token::Span;
use super::super::tree::{Act, Extent, Own, Place, Step, Target, Work};
use crate::standards::StitchId;

/// One stitch over several places: a decrease of the pattern's own. Where it steps over spaces, the legs keep their places.
pub(super) fn over(steps: &[Step], kind: StitchId, takes: u64, leaps: bool) -> Vec<Step> {
    let span = steps.first().map_or(Span::default(), |step| step.span);
    let work = |takes: u64, makes: u64, place: Place| Step {
        span,
        act: Act::Work(Work {
            stitch: Some(kind),
            takes: Num::small(u32::try_from(takes).unwrap_or(u32::MAX >> 1)),
            makes: Num::small(makes as u32),
            place,
            extent: Extent::Times(Num::ONE),
            bare_number: false,
        }),
    };
    if !leaps {
        return vec![work(takes, 1, Place::Next(Target::Any))];
    }
    let mut legs = Vec::new();
    collect_legs(steps, &mut legs);
    if legs.is_empty() || legs.len() > 16 {
        return Vec::new();
    }
    let mut all: Vec<Step> = legs.iter().map(|place| work(1, 0, *place)).collect();
    all.push(work(0, 1, Place::Same));
    all
}

fn collect_legs(steps: &[Step], legs: &mut Vec<Place>) {
    for step in steps {
        match &step.act {
            Act::Work(work) if work.place != Place::Same => {
                let times = match work.extent {
                    Extent::Times(times) => times.plain().unwrap_or(1).min(16),
                    _ => 1,
                };
                for _ in 0..times {
                    legs.push(work.place);
                }
            }
            Act::Skip { target: Target::Space(_), .. } => {}
            Act::Skip { places, .. } => {
                for _ in 0..places.plain().unwrap_or(1).min(16) {
                    legs.push(Place::Next(Target::Any));
                }
            }
            Act::Repeat(repeat) => {
                let times = match repeat.extent {
                    Extent::Times(times) => times.plain().unwrap_or(1).min(16),
                    _ => 1,
                };
                for _ in 0..times {
                    collect_legs(&repeat.steps, legs);
                }
            }
            _ => {}
        }
    }
}

/// What steps take and make, as far as the words tell.
#[derive(Debug, Default, Clone)]
pub(super) struct Sums {
    pub(super) takes: Option<u64>,
    pub(super) makes: Option<u64>,
    pub(super) spaces: u64,
    /// It looks for spaces or kinds.
    pub(super) leaps: bool,
    pub(super) skips: bool,
    pub(super) unread: bool,
    /// Tops that are closed by drawing through.
    pub(super) closings: u64,
    /// Whole stitches beside hook talk.
    pub(super) whole_beside_hook: bool,
}

pub(super) fn sums(steps: &[Step]) -> Sums {
    let mut sums = Sums { takes: Some(0), makes: Some(0), ..Sums::default() };
    add(steps, 1, &mut sums, 0);
    sums
}

pub(super) fn add(steps: &[Step], times: u64, sums: &mut Sums, depth: usize) {
    let grow = |slot: &mut Option<u64>, more: Option<u64>| {
        *slot = slot.zip(more).map(|(sum, more)| sum.saturating_add(more.saturating_mul(times)));
    };
    if depth > 8 {
        sums.unread = true;
        return;
    }
    for step in steps {
        match &step.act {
            Act::Work(work) => {
                let count = match work.extent {
                    Extent::Times(count) => count.plain(),
                    _ => None,
                };
                if work.takes == Num::ZERO && work.makes == Num::ONE && work.place == Place::Same {
                    sums.closings += 1;
                }
                sums.leaps |= matches!(work.place, Place::Next(Target::Space(_)));
                let takes = match work.place {
                    Place::Same | Place::Made | Place::Skipped | Place::Ring => Some(0),
                    // "insert hook in top of first dc of group": of what it has made itself.
                    Place::First(_) if sums.takes != Some(0) => Some(0),
                    _ if work.bare_number => Some(u64::from(sums.takes == Some(0))),
                    _ => count.zip(work.takes.plain()).map(|(count, takes)| count.saturating_mul(takes)),
                };
                if sums.takes != Some(0) || takes != Some(0) {
                    grow(&mut sums.takes, takes);
                }
                grow(&mut sums.makes, count.zip(work.makes.plain()).map(|(count, makes)| count.saturating_mul(makes)));
            }
            Act::Skip { places, target, .. } => {
                sums.skips = true;
                if matches!(target, Target::Space(_)) {
                    sums.leaps = true;
                } else {
                    grow(&mut sums.takes, places.plain());
                }
            }
            Act::Chain { .. } => sums.spaces += 1,
            Act::Repeat(repeat) => match repeat.extent {
                Extent::Times(count) if count.plain().is_some() => {
                    add(&repeat.steps, times.saturating_mul(count.plain().unwrap_or(1)), sums, depth + 1)
                }
                _ => sums.unread = true,
            },
            Act::Group { steps, place, extent } => {
                let mut inner = Sums { takes: Some(0), makes: Some(0), ..Sums::default() };
                add(steps, 1, &mut inner, depth + 1);
                sums.unread |= inner.unread || *extent != Extent::Times(Num::ONE);
                sums.leaps |= matches!(place, Place::Next(Target::Space(_))) && sums.takes != Some(0);
                if !matches!(place, Place::Same | Place::Made | Place::Skipped) {
                    grow(&mut sums.takes, Some(1));
                }
                grow(&mut sums.makes, inner.makes);
                sums.spaces += inner.spaces;
            }
            Act::Own(Own { .. }) => {
                sums.takes = None;
                sums.makes = None;
            }
            Act::Unread | Act::Again(_) => sums.unread = true,
            _ => {}
        }
    }
}

/// The steps of a group without the words that say where it goes: the row says that.
pub(super) fn strip(steps: &mut Vec<Step>) {
    if let [Step { act: Act::Group { steps: inner, .. }, .. }] = steps.as_mut_slice() {
        *steps = std::mem::take(inner);
        return;
    }
    steps.retain(|step| !matches!(step.act, Act::Aside));
    if let [Step { act: Act::Repeat(repeat), .. }] = steps.as_mut_slice()
        && repeat.extent == Extent::Times(Num::ONE)
    {
        *steps = std::mem::take(&mut repeat.steps);
    }
    for step in steps {
        if let Act::Work(work) = &mut step.act {
            if work.bare_number {
                // "5 dc in same st" and "5 dc": the number is of stitches in the place.
                if let Extent::Times(count) = work.extent {
                    work.makes = count;
                    work.extent = Extent::Times(Num::ONE);
                }
                work.bare_number = false;
            }
            work.place = Place::Same;
        }
    }
}
