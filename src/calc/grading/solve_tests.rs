//! The solver against a search of every selection there is, which shares no code with it.

use super::*;
use proptest::prelude::*;

/// Counts the cost of one selection in its own way: size by size, straight from the words of the objectives.
fn by_hand(forest: &Forest, chosen: &[Vec<usize>]) -> Option<(u64, u64, u128, u64, u128)> {
    let pick = |size: usize, node: usize| &forest.nodes[node].choices[size][chosen[size][node]];
    let (mut worst, mut sum, mut squares, mut spreads, mut stitches) = (0, 0, 0u128, 0, 0u128);
    for size in 0..forest.sizes {
        for node in 0..forest.nodes.len() {
            let choice = pick(size, node);
            worst = worst.max(choice.worst);
            sum += choice.sum;
            spreads += choice.spread_rounds;
            stitches += choice.exits.iter().map(|exit| *exit as u128).sum::<u128>();
            if let Some(Parent { node: from, exit, join }) = forest.nodes[node].parent {
                let below = pick(size, from);
                let (had, needs) = (below.exits[exit], choice.entry);
                let spread = had != needs;
                if spread && (join == Join::Equal || needs > 2 * had || had > 2 * needs) {
                    return None;
                }
                if matches!(choice.after_spread, Some(wanted) if wanted != spread) {
                    return None;
                }
                if matches!(choice.before, Some(before) if before != below.behind) {
                    return None;
                }
                spreads += u64::from(spread);
            }
            if size > 0 {
                for (which, count) in choice.measured.iter().enumerate() {
                    let smaller = pick(size - 1, node).measured[which];
                    if forest.nodes[node].grows[size - 1][which] && *count < smaller {
                        return None;
                    }
                    let step = *count as i128 - smaller as i128;
                    squares += (step * step) as u128;
                }
            }
        }
    }
    Some((worst, sum, squares, spreads, stitches))
}

fn search(forest: &Forest) -> Option<(u64, u64, u128, u64, u128)> {
    let wheels: Vec<usize> =
        (0..forest.sizes).flat_map(|size| forest.nodes.iter().map(move |node| node.choices[size].len())).collect();
    if wheels.contains(&0) {
        return None;
    }
    let mut at = vec![0; wheels.len()];
    let mut best = None;
    loop {
        let chosen: Vec<Vec<usize>> = at.chunks(forest.nodes.len()).map(<[usize]>::to_vec).collect();
        if let Some(cost) = by_hand(forest, &chosen) {
            best = Some(best.map_or(cost, |best| cost.min(best)));
        }
        let Some(wheel) = (0..at.len()).find(|wheel| at[*wheel] + 1 < wheels[*wheel]) else { return best };
        at[wheel] += 1;
        at[..wheel].fill(0);
    }
}

fn choice() -> impl Strategy<Value = Choice> {
    let counts = (prop_oneof![4u64..12, Just(8u64)], prop_oneof![Just(0u64), 0u64..3], 0u64..4);
    let ends = (
        prop::option::weighted(0.2, any::<bool>()),
        prop::option::weighted(0.2, 0u64..2),
        0u64..2,
        0u64..2,
        any::<bool>(),
        4u64..12,
    );
    (counts, ends).prop_map(|((entry, more, miss), (after_spread, before, behind, spread_rounds, same, exit))| Choice {
        entry,
        exits: vec![if same { entry } else { exit }],
        measured: vec![entry + more],
        worst: miss * 1000,
        sum: miss * 1000 + more,
        spread_rounds,
        after_spread,
        before,
        behind,
        rows: 1,
    })
}

fn forest() -> impl Strategy<Value = Forest> {
    (1usize..4, 1usize..4).prop_flat_map(|(sizes, nodes)| {
        let node = (
            prop::collection::vec(prop::collection::vec(choice(), 1..4), sizes),
            prop::collection::vec(prop::bool::weighted(0.7), sizes),
            any::<prop::sample::Index>(),
            prop::bool::weighted(0.75),
            any::<bool>(),
        );
        prop::collection::vec(node, nodes).prop_map(move |drawn| {
            let mut nodes: Vec<Node> = Vec::new();
            for (at, (choices, grows, from, goes_on, equal)) in drawn.into_iter().enumerate() {
                let parent = (at > 0 && goes_on).then(|| {
                    let join = if equal { Join::Equal } else { Join::Spread };
                    Parent { node: from.index(at), exit: 0, join }
                });
                nodes.push(Node { parent, choices, grows: grows[1..].iter().map(|grows| vec![*grows]).collect() });
            }
            Forest { nodes, sizes }
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, max_shrink_iters: 2000, ..ProptestConfig::default() })]

    #[test]
    fn the_best_selection_is_the_best_of_all_selections(forest in forest()) {
        let found = solve(&forest);
        match search(&forest) {
            None => prop_assert_eq!(found, Err(Failure::NothingFits)),
            Some(best) => {
                let found = found.expect("a selection fits");
                let cost = by_hand(&forest, &found.chosen).expect("what is answered fits");
                prop_assert_eq!(cost, best);
                let said = found.cost;
                prop_assert_eq!((said.worst, said.sum, said.steps, said.spread_rounds, said.counts), cost);
            }
        }
    }
}

/// A size of a forest with no other size beside it.
fn alone(forest: &Forest, size: usize) -> Forest {
    let node = |node: &Node| Node { choices: vec![node.choices[size].clone()], ..node.clone() };
    Forest { nodes: forest.nodes.iter().map(node).collect(), sizes: 1 }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, max_shrink_iters: 2000, ..ProptestConfig::default() })]

    #[test]
    fn whether_a_size_fits_alone_is_what_a_search_finds(forest in forest()) {
        for size in 0..forest.sizes {
            prop_assert_eq!(fits_alone(&forest, size), search(&alone(&forest, size)).is_some());
        }
    }
}

#[test]
fn a_cap_of_64_sizes_and_a_hundred_choices_each_is_chosen_at_once() {
    let choices = |size: u64| {
        let target = 60.0 + size as f64 * 2.3;
        (40..240)
            .map(|count| {
                let miss = ((count as f64 - target).abs() / target * 1e6).round() as u64;
                Choice {
                    entry: count,
                    exits: vec![count],
                    measured: vec![count],
                    worst: miss,
                    sum: miss,
                    ..Choice::default()
                }
            })
            .collect::<Vec<_>>()
    };
    let node = Node { parent: None, choices: (0..64).map(choices).collect(), grows: vec![vec![true]; 63] };
    let solution = solve(&Forest { nodes: vec![node], sizes: 64 }).unwrap();
    assert!(solution.cost.worst < 9000, "{:?}", solution.cost);
}
