//! Errata: what differs between two revisions of a written pattern, in rows and counts, size by size, in words that a maker
//! can use; and whether somebody who has worked so far has to go back.
//!
//! Both patterns are put into one size at a time and read again, so that a row is compared as the maker of that size reads
//! it. Rows are paired within a piece by what they say, not by their numbers: a row put in between does not make all later
//! ones different. Two rows say the same when their trees do, whatever their words and whether US or UK.
//!
//! ```
//! use evenround_calc::errata::compare;
//! use evenround_calc::verify::Request;
//!
//! let old = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (10)\n";
//! let new = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n";
//! let changes = compare(&Request::of(old), &Request::of(new)).unwrap();
//! assert!(changes.note().contains("Rnd 2: the count is 12, not 10. The work is the same."));
//! assert!(!changes.affects("One size", None, 2).unwrap().affected);
//! ```

mod affected;
mod align;
mod note;
mod side;

pub use affected::{Affected, Unplaced};

use crate::verify::{Request, RequestProblems, Terms};
use side::{Side, Worked};

/// What differs between two revisions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changes {
    /// The vocabularies, where they differ: before and now.
    pub terms: Option<(Terms, Terms)>,
    /// Sizes that there were not before.
    pub sizes_added: Vec<String>,
    /// Sizes that there are no more.
    pub sizes_removed: Vec<String>,
    /// Stitches whose meaning has changed.
    pub redefined: Vec<Redefined>,
    /// Pieces that there were not before.
    pub pieces_added: Vec<String>,
    /// Pieces that there are no more.
    pub pieces_removed: Vec<String>,
    /// The sizes that both have, with what differs in each.
    pub sizes: Vec<SizeChanges>,
    /// Something outside the rows reads differently.
    pub other_text: bool,
}

/// A stitch of the pattern's own whose meaning has changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Redefined {
    /// Its name.
    pub name: String,
    /// How it was explained; nothing where it was not, or not in the text.
    pub before: Option<String>,
    /// How it is explained now.
    pub now: Option<String>,
}

/// What differs in one size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SizeChanges {
    /// Its name.
    pub size: String,
    /// The rows that differ, in the order of the new text; those that are gone stand where they were.
    pub rows: Vec<RowChange>,
    /// The last row of each piece before, for telling how far a maker can have come.
    before: Vec<(String, Option<u64>)>,
}

/// A row that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowChange {
    /// Its piece; empty where pieces have no names.
    pub piece: String,
    /// In what way.
    pub kind: ChangeKind,
    /// As it was.
    pub before: Option<RowState>,
    /// As it is.
    pub now: Option<RowState>,
    /// Where a new row comes in, or where one was: the label of the old row before it.
    pub after: Option<String>,
    /// The stitches whose new meaning makes the difference.
    pub because: Vec<String>,
}

/// In what way a row differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ChangeKind {
    /// Something else is worked.
    Work,
    /// The same is worked more or fewer times.
    Times,
    /// It is new.
    Added,
    /// It is gone.
    Removed,
    /// The same words come to another count, because of a row before it.
    Follows,
    /// The printed count was another; the work is the same.
    Count,
    /// Its number is another; the work is the same.
    Number,
    /// Its words are others; the work is the same.
    Wording,
    /// It could not be read, before or now, and its words are others.
    Unread,
}

impl ChangeKind {
    /// Its name in answers.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Work => "work",
            Self::Times => "times",
            Self::Added => "added",
            Self::Removed => "removed",
            Self::Follows => "follows",
            Self::Count => "count",
            Self::Number => "number",
            Self::Wording => "wording",
            Self::Unread => "unread",
        }
    }

    /// Whether a maker who has worked it has to work it again.
    pub const fn is_reworked(self) -> bool {
        matches!(self, Self::Work | Self::Times | Self::Added | Self::Removed | Self::Follows | Self::Unread)
    }
}

/// A row as one size has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowState {
    /// What it is called, such as `Rnd 7` or `Rnds 8-12`.
    pub label: String,
    /// Its number, or that of its first row.
    pub first: Option<u64>,
    /// The number of its last row.
    pub last: Option<u64>,
    /// What stands behind its label.
    pub text: String,
    /// Stitches at its end, as they come out.
    pub made: Option<u64>,
    /// Stitches at its end, as they are printed.
    pub stated: Option<u64>,
}

/// Compares two revisions.
///
/// # Errors
/// Where a request does not fit its pattern.
pub fn compare(before: &Request<'_>, now: &Request<'_>) -> Result<Changes, RequestProblems> {
    let (old, new) = (Side::read(before)?, Side::read(now)?);
    let alone = old.sizes.len() == 1 && new.sizes.len() == 1;
    let mut pairs = Vec::new();
    for (at, name) in old.sizes.iter().enumerate() {
        let found = if alone { Some(0) } else { new.sizes.iter().position(|other| other == name) };
        if let Some(found) = found {
            pairs.push((name.clone(), at, found));
        }
    }
    let mut changes = Changes {
        terms: (old.terms != new.terms).then_some((old.terms, new.terms)),
        sizes_added: missing(&new.sizes, &old.sizes, alone),
        sizes_removed: missing(&old.sizes, &new.sizes, alone),
        redefined: Vec::new(),
        pieces_added: Vec::new(),
        pieces_removed: Vec::new(),
        sizes: Vec::new(),
        other_text: false,
    };
    for (size, at_old, at_new) in pairs {
        let (old, new) = (old.worked(at_old)?, new.worked(at_new)?);
        for redefined in side::redefined(&old, &new, before, now) {
            if !changes.redefined.contains(&redefined) {
                changes.redefined.push(redefined);
            }
        }
        let names: Vec<&str> = changes.redefined.iter().map(|one| one.name.as_str()).collect();
        let rows = align::rows(&old, &new, &names, changes.terms.is_some());
        push_new(&mut changes.pieces_added, side::pieces_only_in(&new, &old));
        push_new(&mut changes.pieces_removed, side::pieces_only_in(&old, &new));
        let before = ends(&old);
        changes.sizes.push(SizeChanges { size, rows, before });
        changes.other_text |= old.outside_rows() != new.outside_rows();
    }
    Ok(changes)
}

fn missing(of: &[String], from: &[String], alone: bool) -> Vec<String> {
    if alone { Vec::new() } else { of.iter().filter(|name| !from.contains(name)).cloned().collect() }
}

fn push_new(list: &mut Vec<String>, names: Vec<String>) {
    for name in names {
        if !list.contains(&name) {
            list.push(name);
        }
    }
}

fn ends(worked: &Worked) -> Vec<(String, Option<u64>)> {
    worked
        .pieces
        .iter()
        .map(|piece| (piece.name.clone(), piece.rows.iter().filter_map(|row| row.state.last).max()))
        .collect()
}

impl Changes {
    /// The sizes that have the same changes, together: those that differ in nothing but the numbers of rows. Sizes without
    /// any change are left out.
    pub fn groups(&self) -> Vec<Vec<&SizeChanges>> {
        let mut groups: Vec<Vec<&SizeChanges>> = Vec::new();
        for size in self.sizes.iter().filter(|size| !size.rows.is_empty()) {
            match groups.iter_mut().find(|group| group.first().is_some_and(|first| alike(&first.rows, &size.rows))) {
                Some(group) => group.push(size),
                None => groups.push(vec![size]),
            }
        }
        groups
    }

    /// Whether nothing in the rows and sizes differs.
    pub fn is_empty(&self) -> bool {
        self.terms.is_none()
            && self.sizes_added.is_empty()
            && self.sizes_removed.is_empty()
            && self.redefined.is_empty()
            && self.pieces_added.is_empty()
            && self.pieces_removed.is_empty()
            && self.sizes.iter().all(|size| size.rows.is_empty())
    }
}

/// Whether two sizes differ from before in the same way, numbers aside: those of their rows, and those in size lists.
fn alike(one: &[RowChange], other: &[RowChange]) -> bool {
    fn told(state: Option<&RowState>) -> Option<(Vec<&str>, bool, bool)> {
        state.map(|state| (note::skeleton(&state.text), state.made.is_some(), state.stated.is_some()))
    }
    let rows = |state: Option<&RowState>| state.and_then(RowState::rows);
    one.len() == other.len()
        && one.iter().zip(other).all(|(one, other)| {
            let times = (rows(one.before.as_ref()), rows(one.now.as_ref()))
                == (rows(other.before.as_ref()), rows(other.now.as_ref()));
            one.piece == other.piece
                && one.kind == other.kind
                && one.because == other.because
                && one.after.is_some() == other.after.is_some()
                && (one.kind != ChangeKind::Times || times)
                && told(one.before.as_ref()) == told(other.before.as_ref())
                && told(one.now.as_ref()) == told(other.now.as_ref())
        })
}

impl RowState {
    /// How many rows it stands for, by their numbers.
    pub fn rows(&self) -> Option<u64> {
        Some(self.last?.saturating_sub(self.first?).saturating_add(1))
    }
}

#[cfg(test)]
mod tests;
