//! Pairing the rows of two revisions: by what they say first, by what they are called where they say something else.

use super::side::{Worked, WorkedPiece, WorkedRow, works};
use super::{ChangeKind, RowChange};
use crate::notation::tree::SizeSet;
use crate::notation::write::alike;

/// With more pairs of rows than this left after what is equal at both ends, rows are paired by their labels alone.
const MOST_PAIRS: usize = 250_000;

/// The rows of one size that differ.
pub fn rows(old: &Worked, new: &Worked, redefined: &[&str], other_terms: bool) -> Vec<RowChange> {
    let mut changes = Vec::new();
    let alone = old.pieces.len() == 1 && new.pieces.len() == 1;
    let context = Context { old, new, redefined, other_terms };
    let mut taken = vec![false; old.pieces.len()];
    for piece in &new.pieces {
        let found = old
            .pieces
            .iter()
            .enumerate()
            .position(|(at, other)| !taken[at] && (alone || other.name.eq_ignore_ascii_case(&piece.name)));
        if let Some(at) = found {
            taken[at] = true;
            context.piece(&old.pieces[at], piece, &mut changes);
        }
    }
    changes
}

struct Context<'a> {
    old: &'a Worked,
    new: &'a Worked,
    redefined: &'a [&'a str],
    other_terms: bool,
}

/// How well two rows go together: the more, the better; 0 for not at all.
type Fit = u32;

impl Context<'_> {
    fn piece(&self, old: &WorkedPiece, new: &WorkedPiece, changes: &mut Vec<RowChange>) {
        let mut before: Option<String> = None;
        for pair in self.pairs(&old.rows, &new.rows) {
            match pair {
                (Some(at_old), Some(at_new)) => {
                    let (one, other) = (&old.rows[at_old], &new.rows[at_new]);
                    if let Some(change) = self.change(&new.name, one, other) {
                        changes.push(change);
                    }
                    before = Some(one.state.label.clone());
                }
                (Some(at), None) => {
                    let row = &old.rows[at];
                    changes.push(only(&new.name, ChangeKind::Removed, row, before.clone()));
                    before = Some(row.state.label.clone());
                }
                (None, Some(at)) => {
                    changes.push(only(&new.name, ChangeKind::Added, &new.rows[at], before.clone()));
                }
                (None, None) => {}
            }
        }
    }

    /// Whether two rows say the same, their numbers and counts aside.
    fn alike(&self, one: &WorkedRow, other: &WorkedRow) -> bool {
        if !one.is_read() || !other.is_read() {
            return one.state.text == other.state.text;
        }
        let (first, second) = (self.old.side(), self.new.side());
        alike::steps(&one.row.steps, first, &other.row.steps, second, SizeSet::ALL, 1).is_ok()
    }

    fn fit(&self, one: &WorkedRow, other: &WorkedRow) -> Fit {
        let same_label = !one.state.label.is_empty() && one.state.label.eq_ignore_ascii_case(&other.state.label);
        if self.alike(one, other) {
            8 + if same_label { 4 } else { 0 }
                + if one.times == other.times { 2 } else { 0 }
                + u32::from(one.state.made == other.state.made)
        } else if same_label {
            2
        } else {
            0
        }
    }

    /// Which old row is which new one, in order.
    fn pairs(&self, old: &[WorkedRow], new: &[WorkedRow]) -> Vec<(Option<usize>, Option<usize>)> {
        let equal = |one: &WorkedRow, other: &WorkedRow| {
            self.alike(one, other)
                && one.times == other.times
                && one.state.label.eq_ignore_ascii_case(&other.state.label)
        };
        let head = old.iter().zip(new).take_while(|(one, other)| equal(one, other)).count();
        let (old_rest, new_rest) = (&old[head..], &new[head..]);
        let tail =
            old_rest.iter().rev().zip(new_rest.iter().rev()).take_while(|(one, other)| equal(one, other)).count();
        let (old_middle, new_middle) = (&old_rest[..old_rest.len() - tail], &new_rest[..new_rest.len() - tail]);
        let middle = if old_middle.len().saturating_mul(new_middle.len()) > MOST_PAIRS {
            by_label(old_middle, new_middle)
        } else {
            self.best(old_middle, new_middle)
        };
        let mut pairs: Vec<_> = (0..head).map(|at| (Some(at), Some(at))).collect();
        pairs.extend(middle.into_iter().map(|(one, other)| (one.map(|at| at + head), other.map(|at| at + head))));
        let (old_tail, new_tail) = (old.len() - tail, new.len() - tail);
        pairs.extend((0..tail).map(|at| (Some(old_tail + at), Some(new_tail + at))));
        pairs
    }

    /// The pairing with the best sum of fits (Needleman and Wunsch 1970, without a cost for gaps).
    fn best(&self, old: &[WorkedRow], new: &[WorkedRow]) -> Vec<(Option<usize>, Option<usize>)> {
        let wide = new.len() + 1;
        let mut fits = vec![0; old.len() * new.len()];
        // best[i][j] is the best sum for what follows old row i and new row j.
        let mut best = vec![0 as Fit; (old.len() + 1) * wide];
        for i in (0..old.len()).rev() {
            for j in (0..new.len()).rev() {
                let fit = self.fit(&old[i], &new[j]);
                fits[i * new.len() + j] = fit;
                let both = if fit > 0 { best[(i + 1) * wide + j + 1] + fit } else { 0 };
                best[i * wide + j] = both.max(best[(i + 1) * wide + j]).max(best[i * wide + j + 1]);
            }
        }
        let mut pairs = Vec::new();
        let (mut i, mut j) = (0, 0);
        while i < old.len() && j < new.len() {
            let fit = fits[i * new.len() + j];
            let here = best[i * wide + j];
            if fit > 0 && here == best[(i + 1) * wide + j + 1] + fit {
                pairs.push((Some(i), Some(j)));
                (i, j) = (i + 1, j + 1);
            } else if here == best[(i + 1) * wide + j] {
                pairs.push((Some(i), None));
                i += 1;
            } else {
                pairs.push((None, Some(j)));
                j += 1;
            }
        }
        pairs.extend((i..old.len()).map(|at| (Some(at), None)));
        pairs.extend((j..new.len()).map(|at| (None, Some(at))));
        pairs
    }

    /// In what way two rows that belong together differ.
    fn change(&self, piece: &str, one: &WorkedRow, other: &WorkedRow) -> Option<RowChange> {
        let same_text = one.state.text == other.state.text;
        let unread = !one.is_read() || !other.is_read();
        let because = works(other, self.new, self.redefined);
        let same_words = same_text || self.other_terms;
        let made = |row: &WorkedRow| row.counts.iter().map(|count| count.0).collect::<Vec<_>>();
        let stated = |row: &WorkedRow| row.counts.iter().map(|count| count.1).collect::<Vec<_>>();
        let known = |row: &WorkedRow| row.counts.iter().all(|count| count.0.is_some());
        let kind = if unread {
            if same_text {
                return None;
            }
            ChangeKind::Unread
        } else if !because.is_empty() || !self.alike(one, other) {
            ChangeKind::Work
        } else if one.times != other.times {
            ChangeKind::Times
        } else if made(one) != made(other) && known(one) && known(other) {
            ChangeKind::Follows
        } else if stated(one) != stated(other) {
            ChangeKind::Count
        } else if !one.state.label.eq_ignore_ascii_case(&other.state.label) {
            ChangeKind::Number
        } else if !same_words {
            ChangeKind::Wording
        } else {
            return None;
        };
        Some(RowChange {
            piece: piece.to_owned(),
            kind,
            before: Some(one.state.clone()),
            now: Some(other.state.clone()),
            after: None,
            because,
        })
    }
}

fn only(piece: &str, kind: ChangeKind, row: &WorkedRow, after: Option<String>) -> RowChange {
    let state = Some(row.state.clone());
    let (before, now) = if kind == ChangeKind::Added { (None, state) } else { (state, None) };
    RowChange { piece: piece.to_owned(), kind, before, now, after, because: Vec::new() }
}

/// Pairs by labels that stand in the same order.
fn by_label(old: &[WorkedRow], new: &[WorkedRow]) -> Vec<(Option<usize>, Option<usize>)> {
    let mut places = std::collections::HashMap::new();
    for (at, row) in old.iter().enumerate() {
        places.entry(row.state.label.to_lowercase()).or_insert(at);
    }
    let mut pairs = Vec::new();
    let mut next = 0;
    for (at, row) in new.iter().enumerate() {
        match places.get(&row.state.label.to_lowercase()).copied().filter(|found| *found >= next) {
            Some(found) => {
                pairs.extend((next..found).map(|gone| (Some(gone), None)));
                pairs.push((Some(found), Some(at)));
                next = found + 1;
            }
            None => pairs.push((None, Some(at))),
        }
    }
    pairs.extend((next..old.len()).map(|gone| (Some(gone), None)));
    pairs
}
