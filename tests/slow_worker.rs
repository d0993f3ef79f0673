//! The slow worker: a patient pair of hands that knows nothing of runs, closed forms or conventions.
//!
//! It takes a list of actions and works them one at a time into a real row of stitches, taking each stitch off the row
//! below as the hook would. It is the judge of everything that the calculation says about counts, so it shares no code
//! with it.
//!
//! An action is written `C>P`: it uses C places of the row below and leaves P stitches. `n*(…)` repeats. So
//! `6*(1>1 1>1 1>2)` is "[sc in next 2 sts, 2 sc in next st] 6 times", `2>1` is a decrease, `1>0` a skipped stitch and
//! `0>1` one more stitch in a place that is already used, or in a ring.

use std::fmt;

pub mod typed;

/// The longest list of actions that the worker agrees to work.
pub const MOST_ACTIONS: usize = 1_000_000;
/// How deep repeats may be nested.
const DEEPEST: usize = 64;

/// One thing that the hook does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Action {
    /// Places of the row below that it uses.
    pub uses: u32,
    /// Stitches that it leaves.
    pub makes: u32,
}

/// Why a list of actions could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Slip {
    /// Something that is neither `C>P` nor `n*(…)`.
    Unreadable(String),
    /// A repeat is not closed, or closed twice.
    Brackets,
    /// More than [`MOST_ACTIONS`] actions, or repeats nested too deep.
    TooLong,
}

impl fmt::Display for Slip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable(what) => write!(f, "cannot read {what:?} as an action"),
            Self::Brackets => f.write_str("a repeat is not closed, or closed twice"),
            Self::TooLong => f.write_str("too many actions to work by hand"),
        }
    }
}

/// Writes the actions out, one after the other.
///
/// # Errors
/// When the list cannot be read, or is too long to work by hand.
pub fn expand(list: &str) -> Result<Vec<Action>, Slip> {
    // One list per open repeat, with how often it is to be worked.
    let mut open: Vec<(usize, Vec<Action>)> = vec![(1, Vec::new())];
    let spaced = list.replace('(', "( ").replace(')', " ) ");
    for word in spaced.split_whitespace() {
        if word == ")" {
            let (times, body) = open.pop().ok_or(Slip::Brackets)?;
            let outer = &mut open.last_mut().ok_or(Slip::Brackets)?.1;
            for _ in 0..times {
                append(outer, &body)?;
                if body.is_empty() {
                    break;
                }
            }
        } else if let Some(times) = word.strip_suffix("*(") {
            if open.len() > DEEPEST {
                return Err(Slip::TooLong);
            }
            open.push((number(times, word)?, Vec::new()));
        } else {
            let (times, action) = match word.split_once('*') {
                Some((times, action)) => (number(times, word)?, action),
                None => (1, word),
            };
            let (uses, makes) = action.split_once('>').ok_or_else(|| unreadable(word))?;
            let action = Action { uses: number(uses, word)?, makes: number(makes, word)? };
            let row = &mut open.last_mut().ok_or(Slip::Brackets)?.1;
            for _ in 0..times {
                append(row, &[action])?;
            }
        }
    }
    match <[_; 1]>::try_from(open) {
        Ok([(_, actions)]) => Ok(actions),
        Err(_) => Err(Slip::Brackets),
    }
}

fn append(row: &mut Vec<Action>, more: &[Action]) -> Result<(), Slip> {
    if row.len() + more.len() > MOST_ACTIONS {
        return Err(Slip::TooLong);
    }
    row.extend_from_slice(more);
    Ok(())
}

fn number<N: std::str::FromStr>(digits: &str, word: &str) -> Result<N, Slip> {
    digits.parse().map_err(|_| unreadable(word))
}

fn unreadable(word: &str) -> Slip {
    Slip::Unreadable(word.to_owned())
}

/// One stitch of a row: which stitches of the row below it was worked into.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Stitch {
    worked_into: Vec<usize>,
}

/// What came out of working one row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Worked {
    /// Stitches that the row used of the row below; where they ran out, what it would have needed.
    pub used: u64,
    /// Stitches made; where the row below ran out, what was asked for.
    pub made: u64,
    /// Stitches of the row below that nothing was worked into.
    pub left_over: u64,
    /// The first action (from 0) that found too few stitches left.
    pub ran_out_at: Option<usize>,
}

impl Worked {
    /// True if the row used exactly what was there.
    pub fn fits(&self) -> bool {
        self.left_over == 0 && self.ran_out_at.is_none()
    }
}

/// Works the actions into a row of `available` stitches, one after the other.
pub fn work(available: u64, actions: &[Action]) -> Worked {
    let mut below: Vec<usize> = (0..usize::try_from(available).expect("a row that fits in memory")).rev().collect();
    let mut row: Vec<Stitch> = Vec::new();
    let mut missing = 0;
    let mut ran_out_at = None;
    let mut last_place = None;
    let mut taken = 0;
    for (turn, action) in actions.iter().enumerate() {
        let mut into = Vec::new();
        for _ in 0..action.uses {
            match below.pop() {
                Some(place) => {
                    taken += 1;
                    into.push(place);
                    last_place = Some(place);
                }
                None => {
                    missing += 1;
                    ran_out_at.get_or_insert(turn);
                }
            }
        }
        if into.is_empty() {
            into.extend(last_place);
        }
        for _ in 0..action.makes {
            row.push(Stitch { worked_into: into.clone() });
        }
    }
    debug_assert!(row.windows(2).all(|pair| pair[0].worked_into.first() <= pair[1].worked_into.first()));
    Worked { used: taken + missing, made: row.len() as u64, left_over: below.len() as u64, ran_out_at }
}

/// Reads a list of actions and works it.
///
/// # Errors
/// As [`expand`].
pub fn work_list(available: u64, list: &str) -> Result<Worked, Slip> {
    Ok(work(available, &expand(list)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn worked(available: u64, list: &str) -> Worked {
        work_list(available, list).expect("a readable list")
    }

    #[test]
    fn an_increase_round_uses_every_stitch_and_makes_one_more_a_repeat() {
        assert_eq!(worked(18, "6*(1>1 1>1 1>2)"), Worked { used: 18, made: 24, left_over: 0, ran_out_at: None });
    }

    #[test]
    fn a_decrease_takes_two_stitches_together() {
        assert_eq!(worked(24, "6*(2*1>1 2>1)"), Worked { used: 24, made: 18, left_over: 0, ran_out_at: None });
    }

    #[test]
    fn a_skipped_stitch_is_used_but_leaves_nothing() {
        assert_eq!(worked(12, "4*(1>1 1>1 1>0)"), Worked { used: 12, made: 8, left_over: 0, ran_out_at: None });
    }

    #[test]
    fn stitches_into_a_ring_use_no_stitch() {
        assert_eq!(worked(0, "6*(0>1)"), Worked { used: 0, made: 6, left_over: 0, ran_out_at: None });
    }

    #[test]
    fn a_shell_stands_in_one_stitch() {
        assert_eq!(
            worked(6, "2*1>0 1>1 4*(0>1) 2*1>0 1>1"),
            Worked { used: 6, made: 6, left_over: 0, ran_out_at: None }
        );
    }

    #[test]
    fn stitches_run_out_at_the_stitch_that_finds_none() {
        let row = worked(4, "2*(1>1 2>1)");
        assert_eq!(row, Worked { used: 6, made: 4, left_over: 0, ran_out_at: Some(3) });
        assert!(!row.fits());
    }

    #[test]
    fn a_row_that_stops_early_leaves_stitches_unworked() {
        let row = worked(20, "17*1>1");
        assert_eq!(row, Worked { used: 17, made: 17, left_over: 3, ran_out_at: None });
        assert!(!row.fits());
    }

    #[test]
    fn repeats_may_stand_inside_repeats() {
        assert_eq!(worked(15, "3*(2*(1>1 1>2) 1>1)"), Worked { used: 15, made: 21, left_over: 0, ran_out_at: None });
    }

    #[test]
    fn a_row_of_nothing_leaves_everything() {
        assert_eq!(worked(5, ""), Worked { used: 0, made: 0, left_over: 5, ran_out_at: None });
        assert_eq!(worked(5, "0*(1>1)"), worked(5, ""));
    }

    #[test]
    fn a_list_that_cannot_be_read_is_a_slip() {
        assert_eq!(expand("1>1 sc"), Err(Slip::Unreadable("sc".to_owned())));
        assert_eq!(expand("1>"), Err(Slip::Unreadable("1>".to_owned())));
        assert_eq!(expand("2*(1>1"), Err(Slip::Brackets));
        assert_eq!(expand("1>1)"), Err(Slip::Brackets));
        assert_eq!(expand("999999999*(1>1)"), Err(Slip::TooLong));
        assert_eq!(expand("1001*(1000*(1>1))"), Err(Slip::TooLong));
        assert_eq!(expand(&"2*(".repeat(100)), Err(Slip::TooLong));
    }

    #[test]
    fn a_million_stitches_is_the_most() {
        assert_eq!(expand("1000*(1000*(1>1))").map(|actions| actions.len()), Ok(MOST_ACTIONS));
    }
}
