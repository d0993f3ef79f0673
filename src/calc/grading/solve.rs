//! The exact choice of all counts in all sizes together.
//!
//! A plan becomes a forest: each section is a node, with its choices in every size; a section that goes on from another is
//! that one's child, and the join says which pairs of choices meet. From size to size a measured count must not shrink
//! where its target grows. Among all selections that fit, the best is the one with, in this order,
//!
//! 1. the smallest worst relative difference from a target,
//! 2. the smallest sum of relative differences,
//! 3. the evenest steps from size to size: the smallest sum of their squares,
//! 4. the fewest rounds that only spread increases or decreases (the others are shared by the sizes),
//! 5. the smallest counts,
//!
//! and of those that are alike in all five always the same one. Differences are whole parts per million, so that equal means
//! equal.
//!
//! How it is exact: the sizes are first taken alone. A tree of sections has its cheapest selection by working from the leaves up,
//! and all its selections within a given excess over that are listed. Then one pass along the sizes finds the best chain of
//! listed selections. If its whole excess is no more than the excess up to which each size was listed, no selection outside
//! the lists can be part of a better chain, for alone it costs more than the whole chain. Else the lists are made longer.

mod fitting;
mod tree;

use tree::trees;

/// How a section goes on from the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Join {
    /// With the same count.
    Equal,
    /// With the same count, or over one round that spreads increases or decreases evenly; it at most doubles or halves.
    Spread,
}

/// Where a section goes on from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Parent {
    /// The section.
    pub node: usize,
    /// Which of its ends.
    pub exit: usize,
    /// How.
    pub join: Join,
}

/// What a section may be in one size.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Choice {
    /// Stitches that it begins on.
    pub entry: u64,
    /// Stitches of its ends. Most sections have one.
    pub exits: Vec<u64>,
    /// The counts that a body measure speaks of, as many and in the same order in all choices of a section.
    pub measured: Vec<u64>,
    /// Relative differences from its targets, in parts per million: the worst.
    pub worst: u64,
    /// Their sum.
    pub sum: u64,
    /// Rounds of its own that only spread increases or decreases.
    pub spread_rounds: u64,
    /// True if a spread round comes before it, false if not, `None` if that is the same to it.
    pub after_spread: Option<bool>,
    /// Length of the piece before it in micrometres, where its rows depend on that.
    pub before: Option<u64>,
    /// Length of the piece with it, in micrometres.
    pub behind: u64,
    /// Rows, without a spread round before it.
    pub rows: u64,
}

/// A section.
#[derive(Debug, Clone, Default)]
pub struct Node {
    /// Where it goes on from; `None` for the beginning of a piece.
    pub parent: Option<Parent>,
    /// Its choices, one list a size.
    pub choices: Vec<Vec<Choice>>,
    /// For each size but the first and each measured count: whether its target is larger than in the size before.
    pub grows: Vec<Vec<bool>>,
}

impl Node {
    /// Whether the target of a measured count is larger than in the size before.
    fn grows(&self, size: usize, which: usize) -> bool {
        size.checked_sub(1).and_then(|step| self.grows.get(step)?.get(which)).copied().unwrap_or(false)
    }
}

/// All sections. A parent comes before its children.
#[derive(Debug, Clone, Default)]
pub struct Forest {
    /// The sections.
    pub nodes: Vec<Node>,
    /// How many sizes.
    pub sizes: usize,
}

/// What a selection costs, by the order of the objectives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Cost {
    /// The worst relative difference, in parts per million.
    pub worst: u64,
    /// The sum of relative differences.
    pub sum: u64,
    /// The sum of the squares of all steps from size to size.
    pub steps: u128,
    /// Rounds that only spread increases or decreases.
    pub spread_rounds: u64,
    /// The sum of all counts.
    pub counts: u128,
}

/// The best selection: for each size, the choice of each section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solution {
    /// `chosen[size][node]` is an index into the choices of that node in that size.
    pub chosen: Vec<Vec<usize>>,
    /// What it costs.
    pub cost: Cost,
}

/// Why there is no best selection.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Failure {
    /// No selection fits.
    NothingFits,
    /// More selections are as good as each other than are compared.
    TooMany,
}

/// Whether two neighbouring choices meet, and whether a spread round lies between them.
pub fn meet(parent: &Choice, link: Parent, child: &Choice) -> Option<bool> {
    let from = *parent.exits.get(link.exit)?;
    if child.before.is_some_and(|before| before != parent.behind) {
        return None;
    }
    let spread = from != child.entry;
    if child.after_spread.is_some_and(|wanted| wanted != spread) {
        return None;
    }
    if !spread {
        return Some(false);
    }
    let workable = child.entry <= from.saturating_mul(2) && from <= child.entry.saturating_mul(2);
    (link.join == Join::Spread && workable).then_some(true)
}

/// The best selection of all.
///
/// # Errors
/// When none fits, or when too many would have to be compared.
pub fn solve(forest: &Forest) -> Result<Solution, Failure> {
    let trees = trees(forest);
    // The worst difference is one for all trees: a tree that could do better by itself may use the room.
    let mut worst = 0;
    let mut found = Vec::with_capacity(trees.len());
    for tree in &trees {
        let (least, best) = tree.least_worst(worst)?;
        worst = least;
        found.push((least, best));
    }
    let mut chosen = vec![vec![0; forest.nodes.len()]; forest.sizes];
    for (tree, (least, best)) in trees.iter().zip(found) {
        let best = match best.filter(|_| least == worst) {
            Some(best) => best,
            None => tree.best(worst)?.ok_or(Failure::NothingFits)?,
        };
        for (size, selection) in best.iter().enumerate() {
            for (at, choice) in tree.nodes.iter().zip(selection) {
                chosen[size][*at] = *choice;
            }
        }
    }
    let cost = cost(forest, &chosen).ok_or(Failure::NothingFits)?;
    Ok(Solution { chosen, cost })
}

/// Whether a size can be selected by itself, whatever the differences and whatever the other sizes are.
pub fn fits_alone(forest: &Forest, size: usize) -> bool {
    let nodes: Vec<usize> = (0..forest.nodes.len()).collect();
    fitting::fits(forest, &nodes, size, u64::MAX)
}

/// What a selection costs, `None` where it does not fit.
pub fn cost(forest: &Forest, chosen: &[Vec<usize>]) -> Option<Cost> {
    let mut cost = Cost::default();
    for (size, selection) in chosen.iter().enumerate() {
        for (at, node) in forest.nodes.iter().enumerate() {
            let choice = node.choices[size].get(selection[at])?;
            cost.worst = cost.worst.max(choice.worst);
            cost.sum = cost.sum.saturating_add(choice.sum);
            cost.spread_rounds += choice.spread_rounds;
            cost.counts += choice.exits.iter().map(|count| u128::from(*count)).sum::<u128>();
            if let Some(link) = node.parent {
                let parent = &forest.nodes[link.node].choices[size][selection[link.node]];
                cost.spread_rounds += u64::from(meet(parent, link, choice)?);
            }
            if size > 0 {
                let before = &node.choices[size - 1][chosen[size - 1][at]];
                let grows = |which| node.grows(size, which);
                cost.steps = cost.steps.saturating_add(steps(&before.measured, &choice.measured, grows)?);
            }
        }
    }
    Some(cost)
}

/// The squares of the steps from one size to the next, `None` where a count shrinks that must not.
fn steps(before: &[u64], now: &[u64], grows: impl Fn(usize) -> bool) -> Option<u128> {
    let mut squares = 0u128;
    for (which, (before, now)) in before.iter().zip(now).enumerate() {
        if now < before && grows(which) {
            return None;
        }
        let step = u128::from(now.abs_diff(*before));
        squares = squares.saturating_add(step.saturating_mul(step));
    }
    Some(squares)
}

#[cfg(test)]
#[path = "solve_tests.rs"]
mod tests;
