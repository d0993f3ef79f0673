//! Stitches and where they go.

use super::super::again;
use super::super::body::{Parser, repeat, unmarked_start};
use super::super::count;
use super::super::number::Num;
use super::super::place::{self, Found};
use super::super::scan::Making;
use super::super::token::Kind;
use super::super::tree::{Act, Extent, Own, Place, Step, Target, Work};
use super::super::words::Key;
use crate::standards::StitchId;

impl Parser<'_, '_> {
    /// `In each st around work 2 sc`, `in MR: 6 sc`, `in next st work (sc, dc)`, `in back loops only`.
    pub(in crate::notation) fn leading_place(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let behind = place::loops(&self.scan, start, end);
        if behind > start
            && place::target(&self.scan, behind, end).is_none()
            && !self.scan.is(behind, &[Key::Each, Key::Next, Key::First, Key::Last, Key::The])
        {
            self.at = behind;
            return self.push(start, Act::Aside, steps);
        }
        let Some(found) = place::place(&self.scan, start, end) else { return false };
        let mut i = found.next;
        let worked = steps.iter().any(|step| matches!(step.act, Act::Work(_)));
        while matches!(self.scan.kind(i), Some(Kind::Colon))
            || matches!(self.scan.kind(i), Some(Kind::Comma)) && !worked
            || self.scan.is(i, &[Key::Work])
        {
            i += 1;
        }
        if found.place == Place::Ring {
            self.at = i;
            return self.push(start, Act::Ring, steps);
        }
        // Behind work already done, "in next 3 sts" goes on with the same stitch.
        let number = self.scan.number(i);
        let making = self.scan.making(if number.is_some() { i + 1 } else { i });
        let own_verb = i > found.next || making.is_some() && steps.is_empty() || making.is_some() && number.is_some();
        if own_verb
            && (making.is_some()
                || self.scan.own(i).is_some()
                || self.scan.chain(i).is_some()
                || self.scan.clustered(i).is_some())
        {
            // "in next sp make 2 dc, ch 3 and 2 dc"
            let back = self.at;
            self.at = i;
            if let Some(inner) = self.list_in_place(end)
                && inner.len() > 1
            {
                let extent = found.extent.unwrap_or(Extent::Times(Num::ONE));
                return self.push(start, Act::Group { steps: inner, place: found.place, extent }, steps);
            }
            self.at = back;
        }
        if own_verb && let Some(making) = making {
            self.at = making.next;
            let step = self.placed(number, making, found);
            return self.push(start, step, steps);
        }
        if i < end
            && matches!(self.scan.kind(i), Some(Kind::Open(_)))
            && self
                .scan
                .closing(i, end)
                .is_some_and(|close| again::bracket_suffix(&self.scan, close + 1, end).is_none())
        {
            let close = self.scan.closing(i, end).unwrap_or(i);
            if self.scan.number(i + 1).is_some()
                && count::count(&self.scan, i + 1, close).is_some()
                && !steps.is_empty()
            {
                return self.same_stitch_again(end, steps);
            }
            self.at = i + 1;
            let inner = self.sequence(close);
            self.at = close + 1;
            let extent = found.extent.unwrap_or(Extent::Times(Num::ONE));
            return self.push(start, Act::Group { steps: inner, place: found.place, extent }, steps);
        }
        self.same_stitch_again(end, steps)
    }

    /// `…, and in each ch across`: the stitch of the step before goes on.
    pub(in crate::notation) fn same_stitch_again(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let last = steps.iter().rev().find_map(|step| match &step.act {
            Act::Aside | Act::SkippedChains(_) => None,
            act => Some(act.clone()),
        });
        let Some(found) = place::place(&self.scan, start, end) else { return false };
        let extent = found.extent.unwrap_or(Extent::Times(Num::ONE));
        // "1 dc worked backwards, in the st indicated": the place of what stands before.
        if let (Some(Act::Work(work)), Place::Same) = (&last, found.place)
            && work.bare_number
            && steps.iter().filter(|step| matches!(step.act, Act::Work(_))).count() == 1
        {
            self.at = found.next;
            if let Some(Step { act: Act::Work(work), .. }) =
                steps.iter_mut().rev().find(|step| matches!(step.act, Act::Work(_)))
            {
                if let Extent::Times(count) = work.extent {
                    work.makes = count;
                    work.extent = Extent::Times(Num::ONE);
                }
                work.bare_number = false;
                work.place = Place::Same;
            }
            return self.push(start, Act::Aside, steps);
        }
        let work = match last {
            Some(Act::Work(work)) => work,
            // "(2 sc, ch 3, 2 sc) in same sp and in each ch-3 sp around"
            Some(Act::Group { steps: inner, .. }) => {
                self.at = found.next;
                return self.push(start, Act::Group { steps: inner, place: found.place, extent }, steps);
            }
            Some(Act::Own(own)) => {
                self.at = found.next;
                return self.push(start, Act::Own(Own { place: Some(found.place), extent, ..own }), steps);
            }
            _ => return false,
        };
        self.at = found.next;
        // "2 sc in first st and in each st": the number goes on where it said how many stand in one place.
        let act = Act::Work(Work {
            place: found.place,
            extent: found.extent.unwrap_or(Extent::Times(Num::ONE)),
            bare_number: false,
            ..work
        });
        self.push(start, act, steps)
    }

    /// `…, around`, `…, across` without marks: the steps before it fill the row.
    pub(in crate::notation) fn unmarked_fill(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let Some((extent, next)) = place::extent(&self.scan, start, end) else { return false };
        let first = unmarked_start(steps);
        if first >= steps.len() || !self.wrap() {
            return false;
        }
        self.at = next;
        let unit = steps.split_off(first);
        let span = unit[0].span.to(self.scan.span(next - 1));
        steps.push(repeat(span, unit, extent, None));
        true
    }

    /// Stitches: the number before, the stitch, a number behind, where they go.
    pub(in crate::notation) fn work(
        &mut self,
        number: Option<Num>,
        making: Making,
        at: usize,
        end: usize,
        steps: &mut Vec<Step>,
    ) -> bool {
        let start = self.at;
        let plain = making.takes == Num::ONE && making.makes == Num::ONE;
        let mut i = making.next;
        // "2 sc together", "3 dc tog": so many become one.
        if let Some(legs) = number.filter(|_| plain && self.scan.key(i) == Some(Key::Together)) {
            let together = Making { takes: legs, makes: Num::ONE, next: i + 1, ..making };
            return self.work(None, together, at, end, steps);
        }
        if self.scan.key(i) == Some(Key::Stitch)
            && !self.scan.is(i + 1, &[Key::Together])
            && self.scan.number(i + 1).is_none()
            && plain
        {
            // "sc st", "6 dc sts"
            i += 1;
        }
        // A count of its own in a bracket: "dec (3 times)" is read by the bracket.
        let mut per_place = None;
        let mut behind = None;
        if let Some(count) = self.scan.number(i)
            && number.is_none()
            && self.scan.suffix(i + 1).is_none()
        {
            if self.scan.is(i + 1, &[Key::Time, Key::X]) {
                // "sc 3 times in next st" is three in one, "inc 6 times" is six.
                let in_one = place::place(&self.scan, i + 2, end).filter(one_place).is_some() && plain;
                if in_one {
                    per_place = Some(count);
                } else {
                    behind = Some(count);
                }
                i += 2;
            } else if !self.scan.is(i + 1, &[Key::More]) && !self.scan.stitchy(i + 1)
                || self.scan.key(i + 1) == Some(Key::Stitch)
            {
                behind = Some(count);
                i += 1;
                if self.scan.key(i) == Some(Key::Stitch) {
                    i += 1;
                }
            }
        } else if let Some(word) = self.scan.key(i).and_then(|key| match key {
            Key::Twice => Some(2),
            Key::Thrice => Some(3),
            _ => None,
        }) {
            if place::place(&self.scan, i + 1, end).filter(one_place).is_some() && plain {
                per_place = Some(Num::small(word));
            } else {
                behind = Some(Num::small(word));
            }
            i += 1;
        } else if (self.scan.key(i) == Some(Key::X) || self.scan.kind(i) == Some(Kind::Times))
            && self.scan.number(i + 1).is_some()
            && steps.is_empty()
        {
            behind = self.scan.number(i + 1);
            i += 2;
        }
        i = place::loops(&self.scan, i, end);
        if self.scan.is(i, &[Key::Evenly]) {
            return false;
        }
        // "sc even around", "sc even."
        let even = self.scan.key(i) == Some(Key::Even) && number.is_none();
        i += usize::from(even);
        if self.scan.key(i) == Some(Key::All) && self.scan.key(i + 1) == Some(Key::In) {
            i += 1;
        }
        let found = place::place(&self.scan, i, end).or(even.then_some(place::Found {
            each: true,
            ..place::at_place(Place::Next(Target::Any), Some(Extent::Fill(Num::ZERO)), i)
        }));
        self.at = found.as_ref().map_or(i, |found| found.next);
        let count = per_place.or(number);
        let act = match found {
            Some(mut found) => {
                if let Some(times) = behind {
                    match found.extent {
                        // "inc 6 times in next 6 sts", "dec 2 over next 4 sts"
                        Some(Extent::Times(_)) => {}
                        // "sc 18 around"
                        _ => found.extent = Some(Extent::Times(times)),
                    }
                    if found.place == Place::Ring {
                        found.extent = Some(Extent::Times(times));
                    }
                }
                self.placed(count, making, found)
            }
            None => {
                let times = behind.or(count).unwrap_or(Num::ONE);
                let bare_number = number.is_some() && plain && behind.is_none();
                Act::Work(Work {
                    stitch: making.stitch,
                    takes: making.takes,
                    makes: making.makes,
                    place: Place::Next(Target::Any),
                    extent: Extent::Times(times),
                    bare_number,
                })
            }
        };
        if making.stitch == Some(StitchId::SLIP_STITCH) && self.closes_picot(found.map(|found| found.place), steps) {
            let chains = match steps.pop().map(|step| step.act) {
                Some(Act::Chain { length, .. }) => Some(length),
                _ => None,
            };
            return self.push(start, Act::Picot(chains), steps);
        }
        // A slip stitch that closes the round makes nothing.
        if making.stitch == Some(StitchId::SLIP_STITCH) && self.closes_round(at, i, found, steps) {
            let stop = self.clause_end(self.at.max(start + 1) - 1, end);
            // "ss into first dc: 28 dc" has its count behind it.
            let counted = (self.at..stop).find(|i| {
                matches!(self.scan.kind(*i), Some(Kind::Colon | Kind::Equals | Kind::Dash))
                    && !(self.scan.glued(*i) && self.scan.glued(*i + 1))
                    && self.scan.number(*i + 1).is_some()
            });
            self.at = counted.unwrap_or(stop);
            return self.push(start, Act::Join, steps);
        }
        let all = self.scan.key(i.wrapping_sub(1)) == Some(Key::All);
        let pushed = self.push(start, act, steps);
        self.gathers(all, steps);
        pushed
    }

    pub(in crate::notation) fn closes_round(
        &self,
        at: usize,
        place_at: usize,
        found: Option<Found>,
        steps: &[Step],
    ) -> bool {
        if matches!(found.map(|found| found.place), Some(Place::FromHook(_))) {
            return false;
        }
        let worked = steps
            .iter()
            .any(|step| matches!(step.act, Act::Work(_) | Act::Repeat(_) | Act::Group { .. } | Act::Chain { .. }));
        let to = (at..place_at + 1).any(|i| self.scan.key(i) == Some(Key::To))
            || self.scan.is(place_at + 1, &[Key::Join])
            || self.scan.is(place_at, &[Key::Join]);
        let joins = (place_at..self.at + 3).any(|i| self.scan.key(i) == Some(Key::Join))
            && (place_at..self.at + 3).any(|i| self.scan.key(i) == Some(Key::To));
        let first = matches!(found.map(|found| found.place), Some(Place::First(_) | Place::Next(Target::TurningChain)));
        worked && (to && self.scan.number(place_at + 2).is_none() || joins || first)
    }

    /// Puts number, stitch and place together.
    pub(in crate::notation) fn placed(&mut self, number: Option<Num>, making: Making, found: Found) -> Act {
        let Making { mut stitch, mut takes, mut makes, .. } = making;
        let mut extent = found.extent.unwrap_or(Extent::Times(Num::ONE));
        let plain = takes == Num::ONE && makes == Num::ONE;
        if found.together {
            // "sc next 2 sts tog"
            if let Extent::Times(legs) = extent {
                takes = legs;
            }
            extent = Extent::Times(number.unwrap_or(Num::ONE));
        } else if takes != Num::ONE {
            match extent {
                // "dc3tog in next st" has all its legs in one place.
                Extent::Times(count)
                    if count == Num::ONE
                        && takes.plain() != Some(1)
                        && (matches!(found.place, Place::Next(_)) && found.extent.is_some()
                            || matches!(found.place, Place::Same | Place::Ring | Place::First(_) | Place::Last(_)))
                        && stitch.is_some() =>
                {
                    takes = Num::ONE;
                    stitch = crate::standards::by_name("cluster");
                }
                // "sc2tog over next 4 sts": the number is of stitches used.
                Extent::Times(count) => extent = Extent::Times(number.unwrap_or_else(|| self.divided(count, takes))),
                _ => {}
            }
        } else if let Some(number) = number {
            match (found.place, extent) {
                // "18 dc along the row ends": so many in all.
                (Place::Edge, Extent::Fill(_)) if plain && !found.each => {
                    return Act::Work(Work {
                        stitch,
                        takes,
                        makes,
                        place: Place::Made,
                        extent: Extent::Times(number),
                        bare_number: false,
                    });
                }
                // "6 sc in ring", "24 sc around"
                (Place::Ring, _) => extent = Extent::Times(number),
                (_, Extent::Times(count)) if number == count && plain && !found.each => {}
                (_, Extent::Fill(leaving))
                    if plain
                        && found.extent.is_some()
                        && leaving == Num::ZERO
                        && self.scan.key(making.next) == Some(Key::Around) =>
                {
                    extent = Extent::Times(number)
                }
                _ if plain => makes = number,
                // "2 inc in next 2 sts", "1 inc in next st"
                (_, Extent::Times(count)) if count == Num::ONE => extent = Extent::Times(number),
                _ => {}
            }
        }
        Act::Work(Work { stitch, takes, makes, place: found.place, extent, bare_number: false })
    }

    /// How many decreases a number of stitches holds, in every size.
    pub(in crate::notation) fn divided(&mut self, stitches: Num, takes: Num) -> Num {
        let Some(takes) = takes.plain().filter(|takes| *takes > 0) else { return Num::ONE };
        match self.numbers.values(stitches).map(<[Option<u64>]>::to_vec) {
            None => match stitches.plain() {
                Some(count) => self.numbers.whole((count / takes).max(1)),
                None => Num::ONE,
            },
            Some(values) => {
                let divided: Vec<Option<u64>> = values.iter().map(|value| value.map(|value| value / takes)).collect();
                self.numbers.list(&divided)
            }
        }
    }
}

fn one_place(found: &Found) -> bool {
    matches!(found.place, Place::Ring | Place::Same | Place::First(_) | Place::FromHook(_))
        || matches!(found.extent, None | Some(Extent::Times(Num::ONE)))
}
