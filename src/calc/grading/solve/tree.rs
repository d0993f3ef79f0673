//! Sections that depend on one another, and the best chain of their selections along the sizes.

use std::collections::{BTreeMap, HashMap};

use super::super::MAX_SELECTIONS;
use super::{Choice, Failure, Forest, Join, Parent, meet, step};

/// In one size, which choices of a section meet those of its parent. Choices of the parent that leave the same are one
/// group, for there are far fewer of those than of choices.
struct Meeting {
    /// For each choice of the parent: its group. Empty for the beginning of a piece, which has group 0 alone.
    group: Vec<usize>,
    /// For each group: the choices that meet it, and whether a spread round lies between.
    groups: Vec<Vec<(usize, bool)>>,
}

impl Meeting {
    fn of_beginning(own: &[Choice]) -> Self {
        Self { group: Vec::new(), groups: vec![(0..own.len()).map(|at| (at, false)).collect()] }
    }

    fn of(below: &[Choice], link: Parent, own: &[Choice]) -> Self {
        // Only sections that are measured from the start of the piece ask for the length before them.
        let by_length = own.iter().any(|choice| choice.before.is_some());
        let mut by_entry: BTreeMap<u64, Vec<usize>> = BTreeMap::new();
        for (at, choice) in own.iter().enumerate() {
            by_entry.entry(choice.entry).or_default().push(at);
        }
        let mut known: HashMap<(Option<u64>, u64), usize> = HashMap::new();
        let mut groups: Vec<Vec<(usize, bool)>> = Vec::new();
        let of_choice = |from: &Choice| {
            let left = from.exits.get(link.exit).copied();
            *known.entry((left, if by_length { from.behind } else { 0 })).or_insert_with(|| {
                let near = left.map_or(1..=0, |left| match link.join {
                    Join::Equal => left..=left,
                    Join::Spread => left / 2..=left.saturating_mul(2),
                });
                let meets = by_entry.range(near).flat_map(|(_, of_entry)| of_entry);
                groups.push(meets.filter_map(|at| Some((*at, meet(from, link, &own[*at])?))).collect());
                groups.len() - 1
            })
        };
        let group = below.iter().map(of_choice).collect();
        Self { group, groups }
    }
}

/// A chain of selections, one a size, and its whole excess over what each size costs by itself.
type Chain = (u64, Vec<Vec<usize>>);

/// The sections that depend on one another: a beginning and all that goes on from it.
pub(super) struct Tree<'a> {
    forest: &'a Forest,
    /// Its sections, parents first.
    pub(super) nodes: Vec<usize>,
    /// For each of them: the place of its parent in `nodes`.
    parents: Vec<Option<usize>>,
    /// What meets what, in each size and for each section.
    meeting: Vec<Vec<Meeting>>,
}

pub(super) fn trees(forest: &Forest) -> Vec<Tree<'_>> {
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
    /// For each section and group of what stands before it: the choices that meet it, the cheapest first, each with what it
    /// costs together with the cheapest of all that hangs on it, and whether a spread round lies between.
    open: Vec<Vec<Vec<(u64, usize, bool)>>>,
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

    fn meeting_in(&self, size: usize) -> Vec<Meeting> {
        let of_place = |place: usize| {
            let own = self.choices(place, size);
            match (self.forest.nodes[self.nodes[place]].parent, self.parents[place]) {
                (Some(link), Some(parent)) => Meeting::of(self.choices(parent, size), link, own),
                _ => Meeting::of_beginning(own),
            }
        };
        (0..self.nodes.len()).map(of_place).collect()
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
        let mut alone = least;
        for size in 0..self.forest.sizes {
            alone = alone.max(self.least_worst_alone(size).ok_or(Failure::NothingFits)?);
        }
        let first = differences.partition_point(|worst| *worst < alone);
        for worst in &differences[first..] {
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
            let meeting = &self.meeting[size][place];
            let best = |group: &Vec<(usize, bool)>| group.iter().filter_map(|(to, _)| least[place][*to]).min();
            let best: Vec<Option<u64>> = meeting.groups.iter().map(best).collect();
            for (own, group) in least[parent].iter_mut().zip(&meeting.group) {
                *own = own.and_then(|own| Some(own.max(best[*group]?)));
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
        let mut open = vec![Vec::new(); self.nodes.len()];
        for place in (0..self.nodes.len()).rev() {
            let meeting = &self.meeting[size][place];
            let of_group = |group: &Vec<(usize, bool)>| {
                let costs = group.iter().filter_map(|(to, spread)| Some((lowest[place][*to]?, *to, *spread)));
                let mut costs: Vec<(u64, usize, bool)> = costs.collect();
                costs.sort_unstable();
                costs
            };
            let groups: Vec<_> = meeting.groups.iter().map(of_group).collect();
            if let Some(parent) = self.parents[place] {
                for (own, group) in lowest[parent].iter_mut().zip(&meeting.group) {
                    let cheapest = groups[*group].first().map(|(lowest, ..)| *lowest);
                    *own = own.and_then(|own| Some(own.saturating_add(cheapest?)));
                }
            }
            open[place] = groups;
        }
        Alone { open }
    }

    /// The best chain of selections with differences up to `worst`; `None` when none fits.
    pub(super) fn best(&self, worst: u64) -> Result<Option<Vec<Vec<usize>>>, Failure> {
        let sizes: Vec<Alone> = (0..self.forest.sizes).map(|size| self.alone(size, worst)).collect();
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

impl Alone {
    fn cheapest(&self) -> Option<u64> {
        self.open.first()?.first()?.first().map(|(lowest, ..)| *lowest)
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
        // What may stand here: all choices of a beginning, else those that meet what stands before.
        let alone = self.alone;
        let group = self.tree.parents[place].map_or(0, |parent| {
            self.tree.meeting[self.size][place].group[choices[parent]]
        });
        let open = &alone.open[place][group];
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
