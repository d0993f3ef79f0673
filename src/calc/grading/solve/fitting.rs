//! Whether anything fits in one size by itself, without listing what.

use rustc_hash::FxHashMap;

use super::{Choice, Forest, Join, Parent};

/// Whether these sections, each behind its parent, can be selected in a size with differences up to `worst`.
pub(super) fn fits(forest: &Forest, nodes: &[usize], size: usize, worst: u64) -> bool {
    let mut lost: FxHashMap<usize, Vec<bool>> = FxHashMap::default();
    for at in nodes.iter().rev() {
        let node = &forest.nodes[*at];
        let choices = &node.choices[size];
        let lost_here = lost.remove(at);
        let alive = choices
            .iter()
            .enumerate()
            .filter(|(choice, own)| own.worst <= worst && !lost_here.as_ref().is_some_and(|lost| lost[*choice]));
        let Some(link) = node.parent else {
            if alive.count() == 0 {
                return false;
            }
            continue;
        };
        let entries = Entries::of(alive.map(|(_, choice)| choice));
        let below = &forest.nodes[link.node].choices[size];
        let lost_below = lost.entry(link.node).or_insert_with(|| vec![false; below.len()]);
        for (from, lost) in below.iter().zip(lost_below) {
            *lost |= !entries.meet(from, link);
        }
    }
    true
}

/// The counts on which a section may begin, by what it asks of the piece before it.
#[derive(Default)]
struct Entries {
    of: FxHashMap<Option<u64>, Counts>,
}

/// In order, each once.
#[derive(Default)]
struct Counts {
    /// Those that may follow without a spread round.
    equal: Vec<u64>,
    /// Those that may follow one.
    spread: Vec<u64>,
}

impl Entries {
    fn of<'a>(choices: impl Iterator<Item = &'a Choice>) -> Self {
        let mut found = Self::default();
        for choice in choices {
            let counts = found.of.entry(choice.before).or_default();
            if choice.after_spread != Some(true) {
                counts.equal.push(choice.entry);
            }
            if choice.after_spread != Some(false) {
                counts.spread.push(choice.entry);
            }
        }
        for counts in found.of.values_mut().flat_map(|counts| [&mut counts.equal, &mut counts.spread]) {
            counts.sort_unstable();
            counts.dedup();
        }
        found
    }

    /// Whether any of them meets what a choice leaves: as [`meet`](super::meet) says of one.
    fn meet(&self, from: &Choice, link: Parent) -> bool {
        let Some(left) = from.exits.get(link.exit).copied() else { return false };
        let asked = [None, Some(from.behind)].into_iter().filter_map(|before| self.of.get(&before));
        asked.into_iter().any(|counts| {
            let near = || {
                let first = counts.spread.partition_point(|count| *count < left.div_ceil(2));
                counts.spread[first..].iter().take_while(|count| **count <= left.saturating_mul(2))
            };
            counts.equal.binary_search(&left).is_ok() || link.join == Join::Spread && near().any(|count| *count != left)
        })
    }
}
