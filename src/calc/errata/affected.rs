//! Whether a maker who has worked so far has to go back.

use super::{ChangeKind, Changes, RowChange, RowState};

/// The answer to a maker.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Affected {
    /// Whether something that is worked already has changed.
    pub affected: bool,
    /// The last row of the old revision that stands as it is, where the maker goes back to.
    pub back_to: Option<String>,
    /// The first row that is different now.
    pub first: Option<String>,
    /// The piece that these rows are in.
    pub piece: String,
    /// The same in words.
    pub words: String,
}

/// Why a maker's place cannot be told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unplaced {
    /// Both revisions do not have this size; the ones that they have.
    Size(Vec<String>),
    /// There is no such piece; the ones that there are.
    Piece(Vec<String>),
    /// Several pieces have such a row; which ones.
    Which(Vec<String>),
    /// No row has this number; the last number that there is.
    Row(u64),
}

impl Changes {
    /// Whether a maker of the old revision who has worked to the end of row `row` in this size is affected. Pieces before
    /// that one are taken for finished, later ones for not begun.
    ///
    /// # Errors
    /// Where there is no such place, or several.
    pub fn affects(&self, size: &str, piece: Option<&str>, row: u64) -> Result<Affected, Unplaced> {
        let found = self.sizes.iter().find(|known| known.size.eq_ignore_ascii_case(size));
        let of_size =
            found.ok_or_else(|| Unplaced::Size(self.sizes.iter().map(|known| known.size.clone()).collect()))?;
        let names = || of_size.before.iter().map(|known| known.0.clone()).collect::<Vec<_>>();
        let has = |last: Option<u64>| last.is_some_and(|last| row <= last);
        let at = match piece {
            Some(piece) => of_size
                .before
                .iter()
                .position(|known| known.0.eq_ignore_ascii_case(piece))
                .ok_or_else(|| Unplaced::Piece(names()))?,
            None => {
                let mut with = of_size.before.iter().enumerate().filter(|(_, known)| has(known.1));
                match (with.next(), with.next()) {
                    (Some((at, _)), None) => at,
                    (Some(_), Some(_)) => return Err(Unplaced::Which(names())),
                    (None, _) => {
                        let last = of_size.before.iter().filter_map(|known| known.1).max();
                        return Err(Unplaced::Row(last.unwrap_or(0)));
                    }
                }
            }
        };
        if let Some((_, last)) = of_size.before.get(at)
            && !has(*last)
        {
            return Err(Unplaced::Row(last.unwrap_or(0)));
        }
        let place =
            |name: &str| of_size.before.iter().position(|known| known.0.eq_ignore_ascii_case(name)).unwrap_or(0);
        let reworked = |change: &&RowChange| change.kind.is_reworked();
        let worked = of_size.rows.iter().filter(reworked).find(|change| match place(&change.piece) {
            before if before < at => true,
            after if after > at => false,
            _ => is_worked(change, &of_size.rows, row),
        });
        Ok(match worked {
            Some(change) => affected(change),
            None => {
                let next = of_size.rows.iter().filter(reworked).find(|change| place(&change.piece) >= at);
                unaffected(next, of_size.rows.is_empty())
            }
        })
    }
}

/// Whether a maker who is through with this row of the old revision has worked what the change is about.
fn is_worked(change: &RowChange, all: &[RowChange], row: u64) -> bool {
    let before = change.before.as_ref();
    let first = before.and_then(|state| state.first);
    match change.kind {
        // More rows come behind the last one that there was; fewer leave the first one too many.
        ChangeKind::Times => {
            let last = before.and_then(|state| state.last);
            let now = change.now.as_ref();
            let rows = |state: Option<&RowState>| state.and_then(RowState::rows);
            match (first, last, rows(before), rows(now)) {
                (_, Some(last), Some(were), Some(are)) if are > were => row > last,
                (Some(first), _, _, Some(are)) => row >= first.saturating_add(are),
                _ => true,
            }
        }
        // A new row concerns whoever has worked the row that now follows it.
        ChangeKind::Added => match behind(change, all) {
            Some(number) => row > number,
            None => change.now.as_ref().and_then(|state| state.first).is_none_or(|number| row >= number),
        },
        _ => first.is_none_or(|first| row >= first),
    }
}

/// The number of the old row after which a new one comes; 0 at the beginning.
fn behind(change: &RowChange, all: &[RowChange]) -> Option<u64> {
    let Some(label) = &change.after else { return Some(0) };
    let known = all.iter().filter_map(|other| other.before.as_ref()).find(|state| state.label == *label);
    known.and_then(|state| state.last).or_else(|| last_number(label))
}

/// The last number in a label, such as 12 of `Rnds 8-12`.
fn last_number(label: &str) -> Option<u64> {
    label.rsplit(|c: char| !c.is_ascii_digit()).find(|digits| !digits.is_empty())?.parse().ok()
}

fn affected(change: &RowChange) -> Affected {
    let now = change.now.as_ref().map(|state| state.label.clone());
    let was = change.before.as_ref().map(|state| state.label.clone());
    let first = now.clone().or_else(|| was.clone()).filter(|label| !label.is_empty());
    let back_to = change.after.clone().or_else(|| change.before.as_ref().and_then(|state| stands(state, change)));
    let name = first.clone().unwrap_or_else(|| "a row without a name".to_owned());
    let in_piece = if change.piece.is_empty() { String::new() } else { format!(" of {}", change.piece) };
    let what = match change.kind {
        ChangeKind::Added => format!("{name}{in_piece} is new"),
        ChangeKind::Removed => format!("{name}{in_piece} is no longer worked"),
        ChangeKind::Times => format!("{name}{in_piece}: more or fewer of them are worked now"),
        ChangeKind::Follows => format!("{name}{in_piece}: the count is another one now"),
        ChangeKind::Unread => {
            format!("{name}{in_piece} reads differently and could not be checked; compare it yourself")
        }
        _ => format!("{name}{in_piece} has changed"),
    };
    let words = match &back_to {
        Some(row) => format!("Go back to the end of {row}: {what}."),
        None => format!("Begin this piece again: {what}."),
    };
    Affected { affected: true, back_to, first, piece: change.piece.clone(), words }
}

/// The last row that stands as it is, by its number.
fn stands(state: &RowState, change: &RowChange) -> Option<String> {
    let (first, last) = (state.first?, state.last?);
    let word = state.label.split(|c: char| c.is_ascii_digit()).next().unwrap_or_default().trim();
    let singular = match word.to_lowercase().as_str() {
        "rnds" => "Rnd",
        "rows" => "Row",
        "rounds" => "Round",
        _ => word,
    };
    let number = match change.kind {
        // Those that there were and still are stand; more come behind them, or some are too many.
        ChangeKind::Times => {
            let now = change.now.as_ref().and_then(RowState::rows)?;
            last.min(first.checked_add(now)?.checked_sub(1)?)
        }
        _ => first.checked_sub(1)?,
    };
    (number > 0).then(|| format!("{singular} {number}").trim().to_owned())
}

fn unaffected(next: Option<&RowChange>, nothing: bool) -> Affected {
    let first = next.and_then(|change| {
        let state = change.now.as_ref().or(change.before.as_ref())?;
        (!state.label.is_empty()).then(|| state.label.clone())
    });
    let piece = next.map(|change| change.piece.clone()).unwrap_or_default();
    let words = match (&first, next) {
        (Some(label), Some(change)) => {
            let of = if change.piece.is_empty() { String::new() } else { format!(" of {}", change.piece) };
            format!("You are not affected: go on, and follow the new text from {label}{of} on.")
        }
        _ if nothing => "You are not affected: nothing in the rows of your size has changed.".to_owned(),
        _ => "You are not affected: what you have worked is the same in the new text.".to_owned(),
    };
    Affected { affected: false, back_to: None, first, piece, words }
}
