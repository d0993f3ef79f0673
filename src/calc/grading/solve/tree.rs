//! Sections that depend on one another, and the best chain of their selections along the sizes.

use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

use super::super::MAX_SELECTIONS;
use super::{Choice, Failure, Forest, Join, Parent, fitting, meet, step};

/// A chain of selections, one a size, and its whole excess over what each size costs by itself.
type Chain = (u64, Vec<Vec<usize>>);

/// The sections that depend on one another: a beginning and all that goes on from it.
pub(super) struct Tree<'a> {
    forest: &'a Forest,
    /// Its sections, parents first.
    pub(super) nodes: Vec<usize>,
    /// For each of them: the place of its parent in `nodes`.
    parents: Vec<Option<usize>>,
}

pub(super) fn trees(forest: &Forest) -> Vec<Tree<'_>> {
    let mut root_of: Vec<usize> = Vec::with_capacity(forest.nodes.len());
    let mut trees: Vec<Tree<'_>> = Vec::new();
    let mut place_of: Vec<usize> = Vec::with_capacity(forest.nodes.len());
    for (at, node) in forest.nodes.iter().enumerate() {
        let tree = match node.parent {
            Some(link) => root_of[link.node],
            None => {
                trees.push(Tree { forest, nodes: Vec::new(), parents: Vec::new() });
                trees.len() - 1
            }
        };
        root_of.push(tree);
        let parent = node.parent.map(|link| place_of[link.node]);
        place_of.push(trees[tree].nodes.len());
        trees[tree].nodes.push(at);
        trees[tree].parents.push(parent);
    }
    trees
}

/// One size of a tree with its choices up to some worst difference.
struct Alone {
    /// For each section and choice of its parent: the group of choices that meet it. Choices that leave the same are of one
    /// group, for there are far fewer of those than of choices. The beginning of a piece has group 0 alone.
    group: Vec<Vec<usize>>,
    /// For each section and group: its choices, the cheapest first.
    open: Vec<Vec<Vec<Open>>>,
}

/// What a choice costs together with the cheapest of all that hangs on it, the choice, and whether a spread round lies before.
type Open = (u64, usize, bool);

impl Alone {
    fn of(tree: &Tree<'_>, size: usize, worst: u64) -> Self {
        let places = tree.nodes.len();
        let mut lowest: Vec<Vec<Option<u64>>> = (0..places)
            .map(|place| {
                let choices = tree.choices(place, size).iter();
                choices.map(|choice| (choice.worst <= worst).then_some(choice.sum)).collect()
            })
            .collect();
        let mut found = Self { group: vec![Vec::new(); places], open: vec![Vec::new(); places] };
        for place in (0..places).rev() {
            let own = std::mem::take(&mut lowest[place]);
            let choices = tree.choices(place, size);
            let Some((parent, link)) = tree.parents[place].zip(tree.forest.nodes[tree.nodes[place]].parent) else {
                let mut all: Vec<Open> =
                    own.iter().enumerate().filter_map(|(at, lowest)| Some(((*lowest)?, at, false))).collect();
                all.sort_unstable();
                found.open[place] = vec![all];
                continue;
            };
            let (group, open) = groups(tree.choices(parent, size), &mut lowest[parent], link, choices, &own);
            found.group[place] = group;
            found.open[place] = open;
        }
        found
    }

    fn cheapest(&self) -> Option<u64> {
        self.open.first()?.first()?.first().map(|(lowest, ..)| *lowest)
    }

    /// What may stand at a place behind the choices before it.
    fn open(&self, tree: &Tree<'_>, place: usize, choices: &[usize]) -> &[Open] {
        let group = tree.parents[place].map_or(0, |parent| self.group[place][choices[parent]]);
        &self.open[place][group]
    }
}

/// Which choices of a section meet each choice below, in groups; what the ones below cost grows by the cheapest that meets them.
fn groups(
    below: &[Choice],
    below_costs: &mut [Option<u64>],
    link: Parent,
    own: &[Choice],
    costs: &[Option<u64>],
) -> (Vec<usize>, Vec<Vec<Open>>) {
    // Only sections that are measured from the start of the piece ask for the length before them.
    let by_length = own.iter().any(|choice| choice.before.is_some());
    let mut by_entry: BTreeMap<u64, Vec<(u64, usize)>> = BTreeMap::new();
    for (at, (choice, cost)) in own.iter().zip(costs).enumerate() {
        if let Some(cost) = cost {
            by_entry.entry(choice.entry).or_default().push((*cost, at));
        }
    }
    let mut known: FxHashMap<(Option<u64>, u64), usize> = FxHashMap::default();
    let mut groups: Vec<Vec<Open>> = Vec::new();
    let mut of_below = Vec::with_capacity(below.len());
    for (from, cost) in below.iter().zip(below_costs) {
        let Some(whole) = *cost else {
            // Nothing stands behind a choice that is out.
            of_below.push(usize::MAX);
            continue;
        };
        let left = from.exits.get(link.exit).copied();
        let group = *known.entry((left, if by_length { from.behind } else { 0 })).or_insert_with(|| {
            let near = left.map(|left| match link.join {
                Join::Equal => left..=left,
                Join::Spread => left / 2..=left.saturating_mul(2),
            });
            let meets = near.into_iter().flat_map(|near| by_entry.range(near)).flat_map(|(_, of_entry)| of_entry);
            let mut open: Vec<Open> =
                meets.filter_map(|(cost, at)| Some((*cost, *at, meet(from, link, &own[*at])?))).collect();
            open.sort_unstable();
            groups.push(open);
            groups.len() - 1
        });
        let cheapest = groups[group].first().map(|(cheapest, ..)| *cheapest);
        *cost = cheapest.map(|cheapest| whole.saturating_add(cheapest));
        of_below.push(group);
    }
    (of_below, groups)
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

    /// The smallest worst difference with which every size, and then all together, can be selected; at least `least`.
    pub(super) fn least_worst(&self, least: u64) -> Result<u64, Failure> {
        let mut differences: Vec<u64> = (0..self.forest.sizes)
            .flat_map(|size| (0..self.nodes.len()).flat_map(move |place| self.choices(place, size)))
            .map(|choice| choice.worst.max(least))
            .collect();
        differences.sort_unstable();
        differences.dedup();
        // No size can do better by itself, so nothing below that is worth trying.
        let mut first = 0;
        for size in 0..self.forest.sizes {
            let fits = |worst: &u64| fitting::fits(self.forest, &self.nodes, size, *worst);
            first += differences[first..].partition_point(|worst| !fits(worst));
        }
        // What fits with one difference fits with every larger one: in growing strides to one that does, then back to the
        // first. Where too many would have to be compared, it is not known, and a smaller one may do.
        let nothing_fits = |at: usize| matches!(self.best(differences[at]), Ok(None));
        let (mut low, mut at, mut stride) = (first, first, 1);
        let mut last = loop {
            if at >= differences.len() {
                if low >= differences.len() {
                    return Err(Failure::NothingFits);
                }
                at = differences.len() - 1;
            }
            if !nothing_fits(at) {
                break at;
            }
            low = at + 1;
            at += stride;
            stride *= 2;
        };
        while low < last {
            let middle = low + (last - low) / 2;
            if nothing_fits(middle) {
                low = middle + 1;
            } else {
                last = middle;
            }
        }
        Ok(differences[last])
    }

    /// The best chain of selections with differences up to `worst`; `None` when none fits.
    pub(super) fn best(&self, worst: u64) -> Result<Option<Vec<Vec<usize>>>, Failure> {
        let sizes: Vec<Alone> = (0..self.forest.sizes).map(|size| Alone::of(self, size, worst)).collect();
        if sizes.iter().any(|alone| alone.cheapest().is_none()) {
            return Ok(None);
        }
        let mut room = 0;
        loop {
            let mut next = None;
            let mut lists = Vec::with_capacity(sizes.len());
            for (size, alone) in sizes.iter().enumerate() {
                let mut listing = Listing { tree: self, size, alone, room, list: Vec::new(), next: None };
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

/// Lists the selections of one size whose excess is at most `room`.
struct Listing<'a> {
    tree: &'a Tree<'a>,
    size: usize,
    alone: &'a Alone,
    room: u64,
    list: Vec<Selection>,
    /// The smallest excess that was passed over.
    next: Option<u64>,
}

impl Listing<'_> {
    fn fill(&mut self) -> Result<(), Failure> {
        let mut choices = vec![0; self.tree.nodes.len()];
        self.place(0, 0, 0, &mut choices)?;
        self.list.sort_by(|one, other| one.choices.cmp(&other.choices));
        Ok(())
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
        let open = self.alone.open(self.tree, place, choices);
        let Some(cheapest) = open.first().map(|(lowest, ..)| *lowest) else { return Ok(()) };
        for (lowest, choice, spread) in open {
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
