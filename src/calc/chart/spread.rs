//! Things in a row, each as near to where it wants to be as the others let it.

/// Something that wants to stand at `at` and needs `room` around itself.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wish {
    pub(super) at: f64,
    pub(super) room: f64,
    pub(super) weight: f64,
}

/// Positions in the order of the wishes, no two nearer than half the room of both together, with the least sum of squared
/// distances from the wishes. Source: derived: isotonic regression by pooling adjacent violators (Barlow and others,
/// *Statistical Inference under Order Restrictions*, 1972) of the wishes less the room before each.
pub(super) fn spread(wishes: &[Wish]) -> Vec<f64> {
    let mut before = Vec::with_capacity(wishes.len());
    let mut sum = 0.0;
    for (at, wish) in wishes.iter().enumerate() {
        if at > 0 {
            sum += (wishes[at - 1].room + wish.room) / 2.0;
        }
        before.push(sum);
    }
    // Blocks of things that touch: their mean, their weight, how many they are.
    let mut blocks: Vec<(f64, f64, usize)> = Vec::with_capacity(wishes.len());
    for (wish, before) in wishes.iter().zip(&before) {
        let mut block = (wish.at - before, wish.weight, 1);
        while let Some(last) = blocks.last().filter(|last| last.0 > block.0) {
            let weight = last.1 + block.1;
            block = ((last.0 * last.1 + block.0 * block.1) / weight, weight, last.2 + block.2);
            blocks.pop();
        }
        blocks.push(block);
    }
    let mut positions = Vec::with_capacity(wishes.len());
    for (mean, _, count) in blocks {
        for _ in 0..count {
            positions.push(mean + before[positions.len()]);
        }
    }
    positions
}

/// The same on a circle of length 1, where the last must keep its distance from the first as well.
pub(super) fn spread_round(wishes: &[Wish]) -> Vec<f64> {
    let positions = spread(wishes);
    let (Some(first), Some(last)) = (wishes.first(), wishes.last()) else { return positions };
    let seam = (first.room + last.room) / 2.0;
    let span = positions[positions.len() - 1] - positions[0];
    if span + seam <= 1.0 + 1e-9 {
        return positions;
    }
    // All of them touch, or nearly.
    touching_round(wishes)
}

/// Room for room around the whole of that circle, turned to where they want to be on the whole.
pub(super) fn touching_round(wishes: &[Wish]) -> Vec<f64> {
    let all: f64 = wishes.iter().map(|wish| wish.room).sum();
    let mut even = Vec::with_capacity(wishes.len());
    let mut passed = 0.0;
    for wish in wishes {
        even.push((passed + wish.room / 2.0) / all);
        passed += wish.room;
    }
    let weight: f64 = wishes.iter().map(|wish| wish.weight).sum();
    let turn = wishes.iter().zip(&even).map(|(wish, even)| (wish.at - even) * wish.weight).sum::<f64>() / weight;
    even.into_iter().map(|even| even + turn).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn wishes() -> impl Strategy<Value = Vec<Wish>> {
        let wish = (0.0..20.0f64, 0.2..2.0f64).prop_map(|(at, room)| Wish { at, room, weight: 1.0 });
        prop::collection::vec(wish, 1..40)
    }

    #[test]
    fn two_in_one_place_stand_side_by_side_over_it() {
        let wish = Wish { at: 3.0, room: 1.0, weight: 1.0 };
        assert_eq!(spread(&[wish, wish]), [2.5, 3.5]);
    }

    proptest! {
        #[test]
        fn nothing_comes_nearer_than_its_room(wishes in wishes()) {
            let positions = spread(&wishes);
            for (pair, both) in positions.windows(2).zip(wishes.windows(2)) {
                prop_assert!(pair[1] - pair[0] >= (both[0].room + both[1].room) / 2.0 - 1e-9);
            }
        }

        #[test]
        fn no_small_move_brings_anything_nearer_to_its_wish(wishes in wishes(), at in 0usize..40, by in -0.01..0.01f64) {
            let positions = spread(&wishes);
            let cost = |positions: &[f64]| -> f64 {
                positions.iter().zip(&wishes).map(|(position, wish)| (position - wish.at).powi(2)).sum()
            };
            // A block moves as a whole, or a part of it away from the rest: all moves that keep the order.
            let at = at % positions.len();
            let moved: Vec<f64> = positions
                .iter()
                .enumerate()
                .map(|(other, position)| if (other >= at) == (by > 0.0) { position + by } else { *position })
                .collect();
            prop_assert!(cost(&moved) >= cost(&positions) - 1e-9);
        }
    }
}
