//! Which holes of a row a maker would call its corners.

use crate::fabric::{Item, Row, Run, Unit, Wanted};

/// The longest spaces of one sort, and how many there are.
#[derive(Default, Clone, Copy)]
struct Longest {
    length: Option<u32>,
    count: u64,
}

impl Longest {
    fn see(&mut self, length: u32, count: u64) {
        if self.length.is_none_or(|longest| length > longest) {
            *self = Self { length: Some(length), count };
        } else if self.length == Some(length) {
            self.count = self.count.saturating_add(count);
        }
    }
}

/// Spaces within a group worked into one place, and spaces outside of any.
#[derive(Default, Clone, Copy)]
struct Spaces {
    within: Longest,
    outside: Longest,
}

fn walk(runs: &[Run], times: u64, depth: &mut u64, spaces: &mut Spaces) {
    for run in runs {
        match run {
            Run::Items(Item::Space(length) | Item::Loop(length), count) => {
                let sort = if *depth > 0 { &mut spaces.within } else { &mut spaces.outside };
                sort.see(*length, count.saturating_mul(times));
            }
            Run::Items(Item::Open(_), count) => *depth = depth.saturating_add(*count),
            Run::Items(Item::Close(_), count) => *depth = depth.saturating_sub(*count),
            Run::Items(..) => {}
            Run::Repeat(runs, more, _) => walk(runs, times.saturating_mul(*more), depth, spaces),
        }
    }
}

/// Corners are the longest spaces of a row. "(sc, ch 3, sc) in corner" between many ch-4 loops is one all the same: the
/// sort of which there are fewer is meant. A row without spaces has the middles of its groups.
pub(super) fn corner(fabric: &Row) -> Option<Wanted> {
    let mut spaces = Spaces::default();
    walk(fabric.runs(), 1, &mut 0, &mut spaces);
    let Spaces { within, outside } = spaces;
    let length = match (within.length, outside.length) {
        (Some(inner), Some(outer)) if inner < outer => Some(if within.count < outside.count { inner } else { outer }),
        (inner, outer) => inner.max(outer),
    };
    match length {
        Some(length) => Some(Wanted::Space(Some(length))),
        None => fabric.any(|item| matches!(item, Item::Open(_))).then_some(Wanted::Unit(Unit::GROUP)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fabric::Builder;
    use crate::standards::StitchId;

    fn side(loops: u64) -> Row {
        let mut side = Builder::default();
        side.push(Item::Open(Unit::GROUP), 1);
        side.push(Item::Stitch(StitchId::SINGLE_CROCHET), 1);
        side.push(Item::Space(3), 1);
        side.push(Item::Stitch(StitchId::SINGLE_CROCHET), 1);
        side.push(Item::Close(Unit::GROUP), 1);
        side.push(Item::Space(4), loops);
        let mut row = Builder::default();
        row.repeat(side, 6);
        row.finish()
    }

    #[test]
    fn six_corners_of_three_chains_stand_out_between_thirty_loops_of_four() {
        assert_eq!(corner(&side(5)), Some(Wanted::Space(Some(3))));
    }

    #[test]
    fn where_there_are_as_many_the_longest_are_the_corners() {
        assert_eq!(corner(&side(1)), Some(Wanted::Space(Some(4))));
    }
}
