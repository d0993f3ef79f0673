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

use std::collections::HashMap;
use std::rc::Rc;

use super::MAX_SELECTIONS;

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
    /// The counts that a body measure speaks of, in the same order in all choices of a section.
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
    for tree in &trees {
        worst = worst.max(tree.least_worst(worst)?);
    }
    let mut chosen = vec![vec![0; forest.nodes.len()]; forest.sizes];
    for tree in &trees {
        let best = tree.best(worst)?.ok_or(Failure::NothingFits)?;
        for (size, selection) in best.iter().enumerate() {
            for (at, choice) in tree.nodes.iter().zip(selection) {
                chosen[size][*at] = *choice;
            }
        }
    }
    let cost = cost(forest, &chosen).ok_or(Failure::NothingFits)?;
    Ok(Solution { chosen, cost })
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
                cost.steps = cost.steps.saturating_add(step(node, size, before, choice)?);
            }
        }
    }
    Some(cost)
}

/// The squares of the steps from one size to the next, `None` where a count shrinks that must not.
fn step(node: &Node, size: usize, before: &Choice, now: &Choice) -> Option<u128> {
    let mut squares = 0u128;
    for (which, (before, now)) in before.measured.iter().zip(&now.measured).enumerate() {
        let grows = node.grows.get(size - 1).and_then(|grows| grows.get(which)).copied().unwrap_or(false);
        if grows && now < before {
            return None;
        }
        let step = u128::from(now.abs_diff(*before));
        squares = squares.saturating_add(step.saturating_mul(step));
    }
    Some(squares)
}

/// In one size, for each section: what meets the choices of its parent.
type Meeting = Vec<Meets>;

/// What meets the choices of a parent. Those that end on the same count after the same length are of one kind, for they
/// meet the same.
#[derive(Default)]
struct Meets {
    /// The kind of each choice of the parent.
    kinds: Vec<usize>,
    /// For each kind: the choices that meet it, and whether a spread round lies between.
    choices: Vec<Vec<(usize, bool)>>,
}

impl Meets {
    fn of(parents: &[Choice], link: Parent, own: &[Choice]) -> Self {
        let mut meets = Self::default();
        let mut known = HashMap::new();
        for from in parents {
            let kind = *known.entry((from.exits.get(link.exit), from.behind)).or_insert_with(|| {
                let choices = own.iter().enumerate().filter_map(|(at, to)| Some((at, meet(from, link, to)?)));
                meets.choices.push(choices.collect());
                meets.choices.len() - 1
            });
            meets.kinds.push(kind);
        }
        meets
    }

    /// For each choice of the parent: the least of what meets it.
    fn least(&self, own: &[Option<u64>]) -> Vec<Option<u64>> {
        let least = |choices: &Vec<(usize, bool)>| choices.iter().filter_map(|(to, _)| own[*to]).min();
        let of_kind: Vec<Option<u64>> = self.choices.iter().map(least).collect();
        self.kinds.iter().map(|kind| of_kind[*kind]).collect()
    }
}

/// A chain of selections, one a size, and its whole excess over what each size costs by itself.
type Chain = (u64, Vec<Vec<usize>>);

/// The sections that depend on one another: a beginning and all that goes on from it.
struct Tree<'a> {
    forest: &'a Forest,
    /// Its sections, parents first.
    nodes: Vec<usize>,
    /// For each of them: the place of its parent in `nodes`.
    parents: Vec<Option<usize>>,
    /// What meets what, in each size.
    meeting: Vec<Meeting>,
}

fn trees(forest: &Forest) -> Vec<Tree<'_>> {
    let mut root_of: Vec<usize> = Vec::with_capacity(forest.nodes.len());
    let mut trees: Vec<Tree<'_>> = Vec::new();
    let mut place_of: Vec<usize> = Vec::with_capacity(forest.nodes.len());
    for (at, node) in forest.nodes.iter().enumerate() {
        let tree = match node.parent {
            Some(link) => root_of[link.node],
            None => {
                trees.push(Tree { forest, nodes: Vec::new(), parents: Vec::new(), meeting: Vec::new() });
                trees.len() - 1
            }
        };
        root_of.push(tree);
        let parent = node.parent.map(|link| place_of[link.node]);
        place_of.push(trees[tree].nodes.len());
        trees[tree].nodes.push(at);
        trees[tree].parents.push(parent);
    }
    for tree in &mut trees {
        tree.meeting = (0..forest.sizes).map(|size| tree.meeting_in(size)).collect();
    }
    trees
}

/// One size of a tree with its choices up to some worst difference.
struct Alone {
    /// For each section and choice: what it costs with the cheapest of all that hangs on it; `None` where nothing fits.
    lowest: Vec<Vec<Option<u64>>>,
}

/// A selection in one size, with its excess over the cheapest one of that size.
struct Selection {
    choices: Vec<usize>,
    excess: u64,
    spread_rounds: u64,
    counts: u128,
}

impl Tree<'_> {
    fn choices(&self, place: usize, size: usize) -> &[Choice] {
        &self.forest.nodes[self.nodes[place]].choices[size]
    }

    fn meeting_in(&self, size: usize) -> Meeting {
        let of_place = |place: usize| match (self.forest.nodes[self.nodes[place]].parent, self.parents[place]) {
            (Some(link), Some(parent)) => Meets::of(self.choices(parent, size), link, self.choices(place, size)),
            _ => Meets::default(),
        };
        (0..self.nodes.len()).map(of_place).collect()
    }

    /// The smallest worst difference with which every size, and then all together, can be selected; at least `least`.
    fn least_worst(&self, least: u64) -> Result<u64, Failure> {
        let mut differences: Vec<u64> = (0..self.forest.sizes)
            .flat_map(|size| (0..self.nodes.len()).flat_map(move |place| self.choices(place, size)))
            .map(|choice| choice.worst.max(least))
            .collect();
        differences.sort_unstable();
        differences.dedup();
        // No size can do better by itself, so nothing below that is worth trying.
        let mut alone = least;
        for size in 0..self.forest.sizes {
            alone = alone.max(self.least_worst_alone(size).ok_or(Failure::NothingFits)?);
        }
        let first = differences.partition_point(|worst| *worst < alone);
        let tried = &differences[first..];
        // What fits with some room fits with more; where too much fits to be compared, something does.
        let mut nothing_fits = |worst: &u64| matches!(self.best(*worst), Ok(None));
        let from = if tried.first().is_some_and(&mut nothing_fits) { tried.partition_point(nothing_fits) } else { 0 };
        for worst in &tried[from..] {
            if self.best(*worst)?.is_some() {
                return Ok(*worst);
            }
        }
        Err(Failure::NothingFits)
    }

    /// The smallest worst difference of one size by itself.
    fn least_worst_alone(&self, size: usize) -> Option<u64> {
        let mut least: Vec<Vec<Option<u64>>> = (0..self.nodes.len())
            .map(|place| self.choices(place, size).iter().map(|choice| Some(choice.worst)).collect())
            .collect();
        for place in (0..self.nodes.len()).rev() {
            let Some(parent) = self.parents[place] else { continue };
            for (from, best) in self.meeting[size][place].least(&least[place]).into_iter().enumerate() {
                least[parent][from] = least[parent][from].and_then(|own| Some(own.max(best?)));
            }
        }
        least.first()?.iter().flatten().min().copied()
    }

    fn alone(&self, size: usize, worst: u64) -> Alone {
        let mut lowest: Vec<Vec<Option<u64>>> = (0..self.nodes.len())
            .map(|place| {
                let choices = self.choices(place, size).iter();
                choices.map(|choice| (choice.worst <= worst).then_some(choice.sum)).collect()
            })
            .collect();
        for place in (0..self.nodes.len()).rev() {
            let Some(parent) = self.parents[place] else { continue };
            for (from, cheapest) in self.meeting[size][place].least(&lowest[place]).into_iter().enumerate() {
                let own = lowest[parent][from];
                lowest[parent][from] = own.and_then(|own| Some(own.saturating_add(cheapest?)));
            }
        }
        Alone { lowest }
    }

    /// The best chain of selections with differences up to `worst`; `None` when none fits.
    fn best(&self, worst: u64) -> Result<Option<Vec<Vec<usize>>>, Failure> {
        let sizes: Vec<Alone> = (0..self.forest.sizes).map(|size| self.alone(size, worst)).collect();
        if sizes.iter().any(|alone| alone.cheapest().is_none()) {
            return Ok(None);
        }
        let mut room = 0;
        loop {
            let mut next = None;
            let mut lists = Vec::with_capacity(sizes.len());
            for (size, alone) in sizes.iter().enumerate() {
                let (list, open) = (Vec::new(), HashMap::new());
                let mut listing = Listing { tree: self, size, alone, room, list, next: None, open };
                listing.fill()?;
                next = [next, listing.next].into_iter().flatten().min();
                lists.push(listing.list);
            }
            let found = self.chain(&lists)?;
            match (found, next) {
                (Some((excess, chain)), next) => {
                    if excess <= room || next.is_none_or(|next| next > excess) {
                        return Ok(Some(chain));
                    }
                    room = excess;
                }
                (None, Some(next)) => room = next.max(room.saturating_mul(2)),
                (None, None) => return Ok(None),
            }
        }
    }

    /// The best chain of listed selections and its whole excess.
    fn chain(&self, lists: &[Vec<Selection>]) -> Result<Option<Chain>, Failure> {
        type Reached = (u64, u128, u64, u128);
        let pairs: usize = lists.windows(2).map(|two| two[0].len().saturating_mul(two[1].len())).sum();
        if pairs > MAX_SELECTIONS * 256 {
            return Err(Failure::TooMany);
        }
        // For each selection of the size at hand: the cost of the best chain to it, and the selection before it. Of equal
        // chains the one with the earlier choices is kept: lists are in the order of their choices.
        let mut best: Vec<Vec<Option<(Reached, usize)>>> = Vec::with_capacity(lists.len());
        for (size, list) in lists.iter().enumerate() {
            let row: Vec<Option<(Reached, usize)>> = list
                .iter()
                .map(|now| {
                    let own = (now.excess, 0, now.spread_rounds, now.counts);
                    if size == 0 {
                        return Some((own, 0));
                    }
                    let mut least: Option<(Reached, usize)> = None;
                    for (at, before) in lists[size - 1].iter().enumerate() {
                        let Some((reached, _)) = best[size - 1][at] else { continue };
                        if least.is_some_and(|(least, _)| (reached.0 + own.0, reached.1) > (least.0, least.1)) {
                            continue;
                        }
                        let Some(steps) = self.steps(size, before, now) else { continue };
                        let whole =
                            (reached.0 + own.0, reached.1.saturating_add(steps), reached.2 + own.2, reached.3 + own.3);
                        if least.is_none_or(|(least, _)| whole < least) {
                            least = Some((whole, at));
                        }
                    }
                    least
                })
                .collect();
            best.push(row);
        }
        let Some(last) = best.last() else { return Ok(Some((0, Vec::new()))) };
        let reached = last.iter().enumerate().filter_map(|(at, reached)| Some((reached.as_ref()?.0, at)));
        let Some((whole, mut at)) = reached.min() else { return Ok(None) };
        let mut chain = vec![Vec::new(); lists.len()];
        for size in (0..lists.len()).rev() {
            chain[size].clone_from(&lists[size][at].choices);
            at = best[size][at].map_or(0, |(_, before)| before);
        }
        Ok(Some((whole.0, chain)))
    }

    fn steps(&self, size: usize, before: &Selection, now: &Selection) -> Option<u128> {
        let mut squares = 0u128;
        for (place, node) in self.nodes.iter().enumerate() {
            let before = &self.choices(place, size - 1)[before.choices[place]];
            let now = &self.choices(place, size)[now.choices[place]];
            squares = squares.saturating_add(step(&self.forest.nodes[*node], size, before, now)?);
        }
        Some(squares)
    }
}

impl Alone {
    fn cheapest(&self) -> Option<u64> {
        self.lowest.first()?.iter().flatten().min().copied()
    }
}

/// Lists the selections of one size whose excess is at most `room`.
struct Listing<'a> {
    tree: &'a Tree<'a>,
    size: usize,
    alone: &'a Alone,
    room: u64,
    list: Vec<Selection>,
    /// The smallest excess that was passed over.
    next: Option<u64>,
    /// What may stand at a section behind a kind of its parent's choices, the cheapest first, once it was asked for.
    open: HashMap<(usize, usize), Rc<Vec<Open>>>,
}

/// What a choice costs with all that hangs on it, the choice, and whether a spread round comes before it.
type Open = (u64, usize, bool);

impl Listing<'_> {
    fn fill(&mut self) -> Result<(), Failure> {
        let mut choices = vec![0; self.tree.nodes.len()];
        self.place(0, 0, 0, &mut choices)?;
        self.list.sort_by(|one, other| one.choices.cmp(&other.choices));
        Ok(())
    }

    /// What may stand at a section: all choices of a beginning, else those that meet what stands before.
    fn open(&mut self, place: usize, choices: &[usize]) -> Rc<Vec<Open>> {
        let (tree, lowest) = (self.tree, &self.alone.lowest[place]);
        let meets = &tree.meeting[self.size][place];
        let kind = tree.parents[place].map(|parent| meets.kinds[choices[parent]]);
        let open = self.open.entry((place, kind.unwrap_or(0))).or_insert_with(|| {
            let mut open: Vec<Open> = match kind {
                None => lowest.iter().enumerate().filter_map(|(at, lowest)| Some(((*lowest)?, at, false))).collect(),
                Some(kind) => {
                    let meet = meets.choices[kind].iter();
                    meet.filter_map(|(at, spread)| Some((lowest[*at]?, *at, *spread))).collect()
                }
            };
            open.sort_unstable();
            Rc::new(open)
        });
        Rc::clone(open)
    }

    /// Selects for one section after the other; `excess` is what the selection so far costs over the cheapest at least.
    fn place(
        &mut self,
        place: usize,
        excess: u64,
        spread_rounds: u64,
        choices: &mut Vec<usize>,
    ) -> Result<(), Failure> {
        if place == choices.len() {
            if self.list.len() >= MAX_SELECTIONS {
                return Err(Failure::TooMany);
            }
            let counts = (0..place)
                .flat_map(|at| &self.tree.choices(at, self.size)[choices[at]].exits)
                .map(|count| u128::from(*count))
                .sum();
            self.list.push(Selection { choices: choices.clone(), excess, spread_rounds, counts });
            return Ok(());
        }
        let open = self.open(place, choices);
        let Some(cheapest) = open.first().map(|(lowest, ..)| *lowest) else { return Ok(()) };
        for (lowest, choice, spread) in open.iter() {
            let with = excess.saturating_add(lowest - cheapest);
            if with > self.room {
                // The rest of this section's choices cost no less.
                self.next = Some(self.next.map_or(with, |next| next.min(with)));
                break;
            }
            choices[place] = *choice;
            let own = self.tree.choices(place, self.size)[*choice].spread_rounds + u64::from(*spread);
            self.place(place + 1, with, spread_rounds + own, choices)?;
        }
        Ok(())
    }
}

#[cfg(test)]
#[path = "solve_tests.rs"]
mod tests;
