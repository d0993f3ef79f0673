//! The same pair of hands, for lace and texture: it looks at what it works into.
//!
//! A row is a list of items in working order: stitches by kind (`dc`), a beginning chain that counts as a stitch (`tc`),
//! spaces of so many chains (`ch2`), a space closed by a stitch (`loop`), closed picots, chains of a foundation (`ch`), a
//! ring. A move is written `PLACES>MADE`: the places that it takes from the row below, one after the other, and the
//! items that it leaves. `2st>dc` is a decrease, `sp>2dc+ch2+2dc` a shell in a space, `3st>0` a skip, `0>ch2` a chain over
//! nothing. `3*dc>dc` and `n*( … )` repeat.

use super::{MOST_ACTIONS, Slip};
use std::fmt;
use std::str::FromStr;

/// How deep repeats may be nested.
const DEEPEST: usize = 64;
/// The longest name of a stitch, in bytes.
const LONGEST_NAME: usize = 15;

/// The name of a stitch, short enough to be copied about.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Name {
    bytes: [u8; LONGEST_NAME],
    length: u8,
}

impl Name {
    /// The name, cut where it would be too long.
    pub fn new(name: &str) -> Self {
        let mut bytes = [0; LONGEST_NAME];
        let mut length = 0;
        for c in name.chars() {
            let end = length + c.len_utf8();
            if end > LONGEST_NAME {
                break;
            }
            c.encode_utf8(&mut bytes[length..end]);
            length = end;
        }
        Self { bytes, length: u8::try_from(length).unwrap_or_default() }
    }

    /// As it was written.
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.bytes[..usize::from(self.length)]).unwrap_or_default()
    }
}

impl fmt::Debug for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// One thing that stands in a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Item {
    /// A stitch of this kind; `st` is a stitch whose kind is of no matter.
    Stitch(Name),
    /// A beginning chain that counts as a stitch.
    TurningChain,
    /// A space of so many chains.
    Space(u32),
    /// A space closed by a stitch instead of chains.
    Loop,
    /// A closed picot: neither stitch nor space.
    Picot,
    /// One chain of a foundation.
    Chain,
    /// A ring.
    Ring,
    /// The gap between two stitches.
    Gap,
}

impl Item {
    /// A stitch of this kind.
    pub fn stitch(kind: &str) -> Self {
        Self::Stitch(Name::new(kind))
    }

    /// True for what counts as a stitch, the chains of a foundation among it.
    pub const fn is_stitch(self) -> bool {
        matches!(self, Self::Stitch(_) | Self::TurningChain | Self::Chain)
    }

    /// True for a space of chains, however it is closed.
    pub const fn is_space(self) -> bool {
        matches!(self, Self::Space(_) | Self::Loop)
    }

    /// A stitch of a kind that the whole trade knows by that name, so that it cannot be taken for another.
    pub fn is_plain(self) -> bool {
        let Self::Stitch(name) = self else {
            return matches!(self, Self::TurningChain | Self::Chain);
        };
        let name = name.as_str();
        if name == "slst" {
            return true;
        }
        let kind = ["fp", "bp"].iter().find_map(|post| name.strip_prefix(post)).unwrap_or(name);
        ["sc", "hdc", "dc", "tr", "dtr"].contains(&kind)
    }

    /// True if both may name the same thing: `st` and the names that a pattern gives may stand for any stitch.
    pub fn agrees(self, other: Self) -> bool {
        self == other || (self.is_stitch() && other.is_stitch() && !(self.is_plain() && other.is_plain()))
    }
}

impl fmt::Display for Item {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stitch(name) => f.write_str(name.as_str()),
            Self::TurningChain => f.write_str("tc"),
            Self::Space(chains) => write!(f, "ch{chains}"),
            Self::Loop => f.write_str("loop"),
            Self::Picot => f.write_str("picot"),
            Self::Chain => f.write_str("ch"),
            Self::Ring => f.write_str("ring"),
            Self::Gap => f.write_str("gap"),
        }
    }
}

/// What a move looks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    Stitch,
    Space,
    Any,
    This(Item),
}

impl Place {
    fn fits(self, item: Item) -> bool {
        match self {
            Self::Stitch => item.is_stitch(),
            Self::Space => item.is_space(),
            Self::Any => true,
            Self::This(wanted) => wanted == item,
        }
    }
}

/// One thing that the hook does: places taken, items left.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Move {
    written: String,
    takes: Vec<Place>,
    leaves: Vec<Item>,
}

/// What came out of working one typed row.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Worked {
    /// The row made.
    pub row: Vec<Item>,
    /// Places that were not reached.
    pub left: usize,
    /// Every place that was not what the move wanted, or was not there.
    pub trouble: Vec<String>,
}

/// `3*( … )` written out: the words of a list, one after the other.
fn unfold(list: &str) -> Result<Vec<String>, Slip> {
    let mut open: Vec<(usize, Vec<String>)> = vec![(1, Vec::new())];
    let spaced = list.replace('(', "( ").replace(')', " ) ");
    for word in spaced.split_whitespace() {
        if word == ")" {
            let (times, body) = open.pop().ok_or(Slip::Brackets)?;
            let outer = &mut open.last_mut().ok_or(Slip::Brackets)?.1;
            if body.len().saturating_mul(times) + outer.len() > MOST_ACTIONS {
                return Err(Slip::TooLong);
            }
            for _ in 0..times {
                outer.extend_from_slice(&body);
                if body.is_empty() {
                    break;
                }
            }
        } else if let Some(times) = word.strip_suffix("*(") {
            if open.len() > DEEPEST {
                return Err(Slip::TooLong);
            }
            open.push((times.parse().map_err(|_| Slip::Unreadable(word.to_owned()))?, Vec::new()));
        } else {
            open.last_mut().ok_or(Slip::Brackets)?.1.push(word.to_owned());
        }
    }
    match <[_; 1]>::try_from(open) {
        Ok([(_, words)]) => Ok(words),
        Err(_) => Err(Slip::Brackets),
    }
}

/// `3dc` as three and `dc`.
fn counted(word: &str) -> Result<(usize, &str), Slip> {
    let unreadable = || Slip::Unreadable(word.to_owned());
    let digits = word.find(|c: char| !c.is_ascii_digit()).ok_or_else(unreadable)?;
    let (number, name) = word.split_at(digits);
    let times = if number.is_empty() { 1 } else { number.parse().map_err(|_| unreadable())? };
    let letters = name.find(|c: char| !c.is_ascii_lowercase()).unwrap_or(name.len());
    let rest = name[letters..].trim_start_matches(|c: char| c.is_ascii_digit());
    if letters == 0 || !matches!(rest, "" | "tog") {
        return Err(unreadable());
    }
    if times > MOST_ACTIONS {
        return Err(Slip::TooLong);
    }
    Ok((times, name))
}

impl FromStr for Item {
    type Err = Slip;

    fn from_str(name: &str) -> Result<Self, Slip> {
        Ok(match name {
            "tc" => Self::TurningChain,
            "loop" => Self::Loop,
            "picot" => Self::Picot,
            "ch" => Self::Chain,
            "ring" => Self::Ring,
            "gap" => Self::Gap,
            _ => match name.strip_prefix("ch").map(str::parse) {
                Some(Ok(chains)) => Self::Space(chains),
                _ if name.len() > LONGEST_NAME => return Err(Slip::Unreadable(name.to_owned())),
                _ => Self::stitch(name),
            },
        })
    }
}

/// A structure such as `tc 2dc ch2 3*(3dc ch2)`, written out.
///
/// # Errors
/// When it cannot be read.
pub fn items(list: &str) -> Result<Vec<Item>, Slip> {
    let mut row = Vec::new();
    if matches!(list.trim(), "ring" | "nothing") {
        return Ok(row);
    }
    for word in unfold(list)? {
        let (times, name) = counted(&word)?;
        let item: Item = name.parse()?;
        if row.len() + times > MOST_ACTIONS {
            return Err(Slip::TooLong);
        }
        row.extend(std::iter::repeat_n(item, times));
    }
    Ok(row)
}

fn moves(list: &str) -> Result<Vec<Move>, Slip> {
    let mut all: Vec<Move> = Vec::new();
    for word in unfold(list)? {
        let unreadable = || Slip::Unreadable(word.clone());
        let (times, one) = match word.split_once('*') {
            Some((times, one)) => (times.parse::<usize>().map_err(|_| unreadable())?, one),
            None => (1, word.as_str()),
        };
        let (places, made) = one.split_once('>').ok_or_else(unreadable)?;
        let mut takes = Vec::new();
        for place in places.split('+').filter(|_| places != "0") {
            let (times, name) = counted(place)?;
            let place = match name {
                "st" => Place::Stitch,
                "sp" => Place::Space,
                "any" => Place::Any,
                _ => Place::This(name.parse()?),
            };
            takes.extend(std::iter::repeat_n(place, times));
        }
        let mut leaves = Vec::new();
        for item in made.split('+').filter(|_| made != "0") {
            let (times, name) = counted(item)?;
            leaves.extend(std::iter::repeat_n(name.parse::<Item>()?, times));
        }
        if all.len() + times > MOST_ACTIONS {
            return Err(Slip::TooLong);
        }
        all.extend(std::iter::repeat_n(Move { written: one.to_owned(), takes, leaves }, times));
    }
    Ok(all)
}

/// Works the moves into the row below, one after the other.
///
/// # Errors
/// When either list cannot be read.
pub fn work(on: &str, list: &str) -> Result<Worked, Slip> {
    let below = items(on)?;
    let mut worked = Worked::default();
    let mut at = 0;
    for one in moves(list)? {
        for place in &one.takes {
            match below.get(at) {
                None => worked.trouble.push(format!("{}: nothing is left", one.written)),
                Some(item) => {
                    if !place.fits(*item) {
                        worked.trouble.push(format!("{}: finds {item} at place {}", one.written, at + 1));
                    }
                    at += 1;
                }
            }
        }
        worked.row.extend_from_slice(&one.leaves);
    }
    worked.left = below.len() - at;
    Ok(worked)
}

/// Where two rows first differ, in a sentence; nothing if they are the same row.
pub fn difference(wanted: &[Item], found: &[Item]) -> Option<String> {
    let shown = |item: Option<&Item>| item.map_or_else(|| "the end".to_owned(), ToString::to_string);
    let length = wanted.len().max(found.len());
    let at = (0..length).find(|i| match (wanted.get(*i), found.get(*i)) {
        (Some(a), Some(b)) => !a.agrees(*b),
        _ => true,
    })?;
    Some(format!("item {} is {}, not {}", at + 1, shown(found.get(at)), shown(wanted.get(at))))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn worked(on: &str, list: &str) -> Worked {
        work(on, list).expect("readable lists")
    }

    fn row(list: &str) -> Vec<Item> {
        items(list).expect("a readable row")
    }

    #[test]
    fn a_granny_round_goes_into_the_corner_spaces() {
        let round = worked("3dc ch2 3*(3dc ch2)", "3st>0 sp>tc+2dc+ch2+3dc 0>ch1 3*(3st>0 sp>3dc+ch2+3dc 0>ch1)");
        assert_eq!(round.row, row("tc 2dc ch2 3dc ch1 3*(3dc ch2 3dc ch1)"));
        assert_eq!((round.left, round.trouble.len()), (0, 0));
    }

    #[test]
    fn a_mesh_row_goes_back_over_stitches_and_spaces() {
        let mesh = worked("dc 5*(ch1 dc)", "st>tc 5*(0>ch1 ch1>0 dc>dc)");
        assert_eq!(mesh.row, row("tc 5*(ch1 dc)"));
        assert_eq!((mesh.left, mesh.trouble), (0, Vec::new()));
    }

    #[test]
    fn a_space_of_another_length_is_not_the_place() {
        let round = worked("4*(dc ch4)", "4*(st>0 ch5>7dc)");
        assert_eq!(round.trouble.len(), 4);
        assert_eq!(round.trouble[0], "ch5>7dc: finds ch4 at place 2");
        assert_eq!(worked("4*(dc ch4)", "4*(st>0 sp>7dc)").trouble.len(), 0);
    }

    #[test]
    fn a_stitch_is_looked_for_by_its_kind() {
        assert_eq!(worked("2*(sc cl)", "2*(sc>sc cl>sc)").trouble.len(), 0);
        assert_eq!(worked("2*(sc cl)", "2*(st>sc st>sc)").trouble.len(), 0);
        assert_eq!(worked("2*(sc cl)", "4*cl>sc").trouble.len(), 2);
    }

    #[test]
    fn places_run_out_or_are_left() {
        let short = worked("6dc", "4*2st>dc");
        assert_eq!(short.trouble, ["2st>dc: nothing is left", "2st>dc: nothing is left"]);
        assert_eq!(worked("6dc", "2*2st>dc").left, 2);
    }

    #[test]
    fn post_stitches_and_rows_below_claim_the_stitch_in_front() {
        let ribbing = worked("tc 6dc", "st>tc 3*(st>fpdc dc>bpdc)");
        assert_eq!(ribbing.row, row("tc 3*(fpdc bpdc)"));
        assert_eq!(worked("4sc", "2*(st>sc st>dc)").row, row("2*(sc dc)"));
    }

    #[test]
    fn a_foundation_gives_its_skipped_chains_to_the_first_stitch() {
        let first = worked("20ch", "3ch>tc 17*ch>dc");
        assert_eq!((first.row, first.left), (row("tc 17dc"), 0));
        assert_eq!(worked("20ch", "ch>0 19*ch>sc").row.len(), 19);
    }

    #[test]
    fn a_ring_takes_what_it_is_given() {
        let round = worked("ring", "4*(0>3dc 0>ch2)");
        assert_eq!((round.row, round.left), (row("4*(3dc ch2)"), 0));
    }

    #[test]
    fn a_picot_is_no_place_and_a_loop_is_a_space() {
        let edge = row("sc picot sc loop");
        assert_eq!(edge.iter().filter(|item| item.is_stitch()).count(), 2);
        assert_eq!(edge.iter().filter(|item| item.is_space()).count(), 1);
    }

    #[test]
    fn only_names_that_the_trade_shares_must_be_the_same() {
        let same = |a: &str, b: &str| difference(&row(a), &row(b)).is_none();
        assert!(same("3dc ch2", "3dc ch2"));
        assert!(same("st cl", "dc dc"));
        assert!(same("puff", "cl"));
        for (a, b) in [("dc", "tr"), ("tc", "dc"), ("ch2", "ch3"), ("fpdc", "bpdc"), ("dc", "ch1"), ("2dc", "3dc")] {
            assert!(!same(a, b), "{a} and {b}");
        }
        assert_eq!(difference(&row("2dc"), &row("3dc")), Some("item 3 is dc, not the end".to_owned()));
    }

    #[test]
    fn a_list_that_cannot_be_read_is_a_slip() {
        assert_eq!(items("3 dc"), Err(Slip::Unreadable("3".to_owned())));
        assert_eq!(items("2*(dc"), Err(Slip::Brackets));
        assert_eq!(items("9999999dc"), Err(Slip::TooLong));
        assert_eq!(work("dc", "dc"), Err(Slip::Unreadable("dc".to_owned())));
        assert_eq!(work("dc", "Dc>dc"), Err(Slip::Unreadable("Dc".to_owned())));
        assert_eq!(work("dc", "2*(dc>dc"), Err(Slip::Brackets));
    }
}
