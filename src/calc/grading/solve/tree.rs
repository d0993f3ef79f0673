//! Sections that depend on one another, and the best chain of their selections along the sizes.

use rustc_hash::FxHashMap;
use std::collections::BTreeMap;
use std::collections::hash_map::Entry;

use super::{Choice, Failure, Forest, Join, Parent, fitting, meet, steps};

/// So many selections of one size, with measured counts of their own, are compared with the next size at most.
const MAX_SELECTIONS: usize = 1 << 14;
/// So many are looked at to find those.
const MAX_SEEN: usize = 1 << 16;
/// So many pairs of selections are compared along all sizes.
const MAX_COMPARED: usize = 1 << 20;

/// For each size: the choice of each section of a tree.
pub(super) type Chosen = Vec<Vec<usize>>;

/// A chain of selections, one a size, and its whole excess over what each size costs by itself.
type Chain = (u64, Chosen);

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
    /// The measured counts of all sections.
    measured: Vec<u64>,
    excess: u64,
    spread_rounds: u64,
    counts: u128,
}

impl Selection {
    /// Of two with the same measured counts the one that comes first is better.
    fn order(&self) -> (u64, u64, u128, &[usize]) {
        (self.excess, self.spread_rounds, self.counts, &self.choices)
    }
}

impl Tree<'_> {
    fn choices(&self, place: usize, size: usize) -> &[Choice] {
        &self.forest.nodes[self.nodes[place]].choices[size]
    }

    /// The smallest worst difference with which every size, and then all together, can be selected; at least `least`. With
    /// it the best chain of those selections, unless too many would have to be compared.
    pub(super) fn least_worst(&self, least: u64) -> Result<(u64, Option<Chosen>), Failure> {
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
        let mut chosen = None;
        let mut nothing_fits = |at: usize| {
            let best = self.best(differences[at]);
            let nothing = matches!(best, Ok(None));
            if !nothing {
                chosen = best.ok().flatten();
            }
            nothing
        };
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
        Ok((differences[last], chosen))
    }

    /// The best chain of selections with differences up to `worst`; `None` when none fits.
    pub(super) fn best(&self, worst: u64) -> Result<Option<Chosen>, Failure> {
        let sizes: Vec<Alone> = (0..self.forest.sizes).map(|size| Alone::of(self, size, worst)).collect();
        if sizes.iter().any(|alone| alone.cheapest().is_none()) {
            return Ok(None);
        }
        let mut room = 0;
        loop {
            let mut next = None;
            let mut lists = Vec::with_capacity(sizes.len());
            for (size, alone) in sizes.iter().enumerate() {
                let mut listing = Listing {
                    tree: self,
                    size,
                    alone,
                    room,
                    list: Vec::new(),
                    listed: FxHashMap::default(),
                    seen: 0,
                    next: None,
                };
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
        let mut compared = 0;
        // For each selection of the size at hand: the cost of the best chain to it, and the selection before it. Of equal
        // chains the one with the earlier choices is kept: lists are in the order of their choices.
        let mut best: Vec<Vec<Option<(Reached, usize)>>> = Vec::with_capacity(lists.len());
        for (size, list) in lists.iter().enumerate() {
            let Some(size_before) = size.checked_sub(1) else {
                let alone = |own: &Selection| Some(((own.excess, 0, own.spread_rounds, own.counts), 0));
                best.push(list.iter().map(alone).collect());
                continue;
            };
            let reached = best[size_before].iter().enumerate();
            let mut cheapest_first: Vec<(Reached, usize)> =
                reached.filter_map(|(at, reached)| Some((reached.as_ref()?.0, at))).collect();
            cheapest_first.sort_unstable();
            let grows = self.grows(size);
            let mut row = Vec::with_capacity(list.len());
            for now in list {
                let mut least: Option<(Reached, usize)> = None;
                for (reached, at) in &cheapest_first {
                    let excess = reached.0 + now.excess;
                    if least.is_some_and(|(least, _)| excess > least.0) {
                        break;
                    }
                    compared += 1;
                    let Some(steps) = steps(&lists[size_before][*at].measured, &now.measured, |which| grows[which])
                    else {
                        continue;
                    };
                    let whole = (
                        excess,
                        reached.1.saturating_add(steps),
                        reached.2 + now.spread_rounds,
                        reached.3 + now.counts,
                    );
                    if least.is_none_or(|least| (whole, *at) < least) {
                        least = Some((whole, *at));
                    }
                }
                if compared > MAX_COMPARED {
                    return Err(Failure::TooMany);
                }
                row.push(least);
            }
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

    /// For each measured count, in the order of [`Selection::measured`]: whether it must not shrink from the size before.
    fn grows(&self, size: usize) -> Vec<bool> {
        let mut grows = Vec::new();
        for (place, node) in self.nodes.iter().enumerate() {
            let measured = self.choices(place, size).first().map_or(0, |choice| choice.measured.len());
            grows.extend((0..measured).map(|which| self.forest.nodes[*node].grows(size, which)));
        }
        grows
    }
}

/// Lists the selections of one size whose excess is at most `room`; of those with the same measured counts the best alone,
/// for whatever chain one of them is part of, the other sizes say the same of all.
struct Listing<'a> {
    tree: &'a Tree<'a>,
    size: usize,
    alone: &'a Alone,
    room: u64,
    list: Vec<Selection>,
    /// Where in the list those with these measured counts are.
    listed: FxHashMap<Vec<u64>, usize>,
    /// How many were looked at.
    seen: usize,
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
            return self.keep(excess, spread_rounds, choices);
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

    fn keep(&mut self, excess: u64, spread_rounds: u64, choices: &[usize]) -> Result<(), Failure> {
        self.seen += 1;
        let chosen = || choices.iter().enumerate().map(|(at, choice)| &self.tree.choices(at, self.size)[*choice]);
        let counts = chosen().flat_map(|choice| &choice.exits).map(|count| u128::from(*count)).sum();
        let measured: Vec<u64> = chosen().flat_map(|choice| &choice.measured).copied().collect();
        let found = Selection { choices: choices.to_vec(), measured, excess, spread_rounds, counts };
        match self.listed.entry(found.measured.clone()) {
            Entry::Occupied(listed) => {
                let listed = &mut self.list[*listed.get()];
                if found.order() < listed.order() {
                    *listed = found;
                }
            }
            Entry::Vacant(free) => {
                free.insert(self.list.len());
                self.list.push(found);
            }
        }
        if self.list.len() > MAX_SELECTIONS || self.seen > MAX_SEEN { Err(Failure::TooMany) } else { Ok(()) }
    }
}
