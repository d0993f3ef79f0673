//! Whether two trees say the same: spans aside, numbers by what they are in each size.

use super::super::number::{Num, Numbers};
use super::super::token::Span;
use super::super::tree::{
    Act, Again, Extent, Own, Pattern, Place, Repeat, Resume, Row, RowNumbers, RowWord, Rows, SizeSet, Stated, Step,
    Work,
};
use super::clause::called;

/// What one of two trees is read with.
#[derive(Debug, Clone, Copy)]
pub struct Side<'a> {
    /// Its numbers.
    pub numbers: &'a Numbers,
    /// The text that its spans point to; empty for a tree that was made.
    pub text: &'a str,
}

/// Where two trees part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// What differs, in a maker's words.
    pub what: &'static str,
    /// Both sides.
    pub why: String,
}

type Same = Result<(), Difference>;

fn differs(what: &'static str, one: impl std::fmt::Debug, other: impl std::fmt::Debug) -> Difference {
    Difference { what, why: format!("{one:?} became {other:?}") }
}

/// Two trees side by side, in the sizes that matter.
#[derive(Clone, Copy)]
struct Both<'a> {
    one: Side<'a>,
    other: Side<'a>,
    sizes: SizeSet,
    count: usize,
}

/// Whether two rows say the same in every size that works them: header, steps, printed count. Remarks that make no
/// stitches and other readings of the same words are left aside.
///
/// # Errors
/// With the first difference.
///
/// ```
/// use evenround_calc::notation::read;
/// use evenround_calc::notation::write::alike::{Side, rows};
/// use evenround_calc::verify::Request;
///
/// let (one, other) = ("Row 2: sc in next 3 sts. (3)", "Row 2: Sc in each of the next 3 sts. (3)");
/// let (a, b) = (read(one, &Request::of(one)).unwrap(), read(other, &Request::of(other)).unwrap());
/// let side = |pattern, text| Side { numbers: pattern, text };
/// assert!(rows(&a.pieces[0].rows[0], side(&a.numbers, one), &b.pieces[0].rows[0], side(&b.numbers, other), 1).is_ok());
/// ```
pub fn rows(one: &Row, of_one: Side<'_>, other: &Row, of_other: Side<'_>, sizes: usize) -> Same {
    let all = if sizes >= 64 { u64::MAX } else { (1u64 << sizes) - 1 };
    if one.sizes.0 & all != other.sizes.0 & all {
        return Err(differs("the sizes of a row", one.sizes, other.sizes));
    }
    let both = Both { one: of_one, other: of_other, sizes: one.sizes, count: sizes };
    let named = one.word == RowWord::Named || other.word == RowWord::Named;
    if one.word != other.word || named && !both.same_words(one.label, other.label) {
        return Err(differs("what a row is called", one.word, other.word));
    }
    both.row_numbers(&one.numbers, &other.numbers)?;
    both.steps(&one.steps, &other.steps)?;
    both.stated(one.stated.as_ref(), other.stated.as_ref())
}

/// Whether two lists of steps say the same in the given sizes.
///
/// # Errors
/// With the first difference.
///
/// ```
/// use evenround_calc::notation::read;
/// use evenround_calc::notation::tree::SizeSet;
/// use evenround_calc::notation::write::alike::{Side, steps};
/// use evenround_calc::verify::Request;
///
/// let text = "Row 2: sc in next 3 sts.\nRow 3: sc in next 2 sts.";
/// let pattern = read(text, &Request::of(text)).unwrap();
/// let side = Side { numbers: &pattern.numbers, text };
/// let rows = &pattern.pieces[0].rows;
/// assert!(steps(&rows[0].steps, side, &rows[1].steps, side, SizeSet::ALL, 1).is_err());
/// ```
pub fn steps(one: &[Step], of_one: Side<'_>, other: &[Step], of_other: Side<'_>, sizes: SizeSet, count: usize) -> Same {
    Both { one: of_one, other: of_other, sizes, count }.steps(one, other)
}

/// Whether two patterns say the same: terms, sizes, pieces by their names, rows.
///
/// # Errors
/// With the first difference.
///
/// ```
/// use evenround_calc::notation::read;
/// use evenround_calc::notation::write::alike::patterns;
/// use evenround_calc::verify::Request;
///
/// let text = "Rnd 1: 6 sc in magic ring. (6)";
/// let pattern = read(text, &Request::of(text)).unwrap();
/// assert!(patterns(&pattern, text, &pattern, text).is_ok());
/// ```
pub fn patterns(one: &Pattern, text: &str, other: &Pattern, other_text: &str) -> Same {
    if one.sizes != other.sizes {
        return Err(differs("the sizes", &one.sizes, &other.sizes));
    }
    let (first, second) = (Side { numbers: &one.numbers, text }, Side { numbers: &other.numbers, text: other_text });
    let names = |pattern: &Pattern| -> Vec<(String, usize)> {
        pattern.pieces.iter().map(|piece| (piece.name.to_lowercase(), piece.rows.len())).collect()
    };
    if names(one) != names(other) {
        return Err(differs("the pieces", names(one), names(other)));
    }
    let all =
        |pattern: &'_ Pattern| -> Vec<Row> { pattern.pieces.iter().flat_map(|piece| piece.rows.clone()).collect() };
    for (this, that) in all(one).iter().zip(&all(other)) {
        rows(this, first, that, second, one.sizes.len())?;
    }
    Ok(())
}

impl Both<'_> {
    fn num(&self, one: Num, other: Num) -> bool {
        (0..self.count)
            .filter(|size| self.sizes.has(*size))
            .all(|size| self.one.numbers.value(one, size) == self.other.numbers.value(other, size))
    }

    fn nums(&self, one: Option<Num>, other: Option<Num>) -> bool {
        match (one, other) {
            (Some(one), Some(other)) => self.num(one, other),
            (None, None) => true,
            _ => false,
        }
    }

    fn same_words(&self, one: Span, other: Span) -> bool {
        let (one, other) = (one.of(self.one.text).trim(), other.of(self.other.text).trim());
        one.is_empty() || one.eq_ignore_ascii_case(other)
    }

    fn names(&self, one: Option<Span>, other: Option<Span>) -> bool {
        match (one, other) {
            (Some(one), Some(other)) => self.same_words(one, other),
            (None, None) => true,
            _ => false,
        }
    }

    fn row_numbers(&self, one: &RowNumbers, other: &RowNumbers) -> Same {
        let same = match (one, other) {
            (RowNumbers::None, RowNumbers::None) | (RowNumbers::Next, RowNumbers::Next) => true,
            (RowNumbers::NextRows(one), RowNumbers::NextRows(other))
            | (RowNumbers::One(one), RowNumbers::One(other)) => self.num(*one, *other),
            (RowNumbers::Range(from, to), RowNumbers::Range(other_from, other_to)) => {
                self.num(*from, *other_from) && self.num(*to, *other_to)
            }
            (RowNumbers::List(one), RowNumbers::List(other)) => {
                one.len() == other.len() && one.iter().zip(other).all(|(one, other)| self.num(*one, *other))
            }
            _ => false,
        };
        if same { Ok(()) } else { Err(differs("the numbers of a row", one, other)) }
    }

    fn stated(&self, one: Option<&Stated>, other: Option<&Stated>) -> Same {
        let same = match (one, other) {
            (None, None) => true,
            (Some(one), Some(other)) => {
                one.parts.len() == other.parts.len()
                    && one
                        .parts
                        .iter()
                        .zip(&other.parts)
                        .all(|((one, unit), (other, other_unit))| self.num(*one, *other) && unit == other_unit)
            }
            _ => false,
        };
        if same { Ok(()) } else { Err(differs("a printed count", one, other)) }
    }

    fn steps(&self, one: &[Step], other: &[Step]) -> Same {
        let worked = |steps: &'_ [Step]| -> Vec<Act> {
            steps.iter().map(|step| step.act.clone()).filter(|act| !matches!(act, Act::Aside)).collect()
        };
        let (one, other) = (worked(one), worked(other));
        for (one, other) in one.iter().zip(&other) {
            self.act(one, other)?;
        }
        if one.len() == other.len() {
            return Ok(());
        }
        let what = one.get(other.len()).or(other.get(one.len())).map_or("a row", called);
        Err(differs(what, one, other))
    }

    fn act(&self, one: &Act, other: &Act) -> Same {
        let same = match (one, other) {
            (Act::Work(one), Act::Work(other)) => self.work(one, other),
            (
                Act::Skip { places, target, first },
                Act::Skip { places: other_places, target: other_target, first: other_first },
            ) => self.num(*places, *other_places) && target == other_target && first == other_first,
            (Act::Chain { length, counts }, Act::Chain { length: other_length, counts: other_counts }) => {
                self.num(*length, *other_length) && counts == other_counts
            }
            (Act::Repeat(one), Act::Repeat(other)) => {
                let stop = |repeat: &Repeat| {
                    repeat.stop.map(|stop| {
                        repeat.steps.iter().take(stop).filter(|step| !matches!(step.act, Act::Aside)).count()
                    })
                };
                if !self.extent(one.extent, other.extent) || stop(one) != stop(other) {
                    return Err(differs("a repeat", one, other));
                }
                return self.steps(&one.steps, &other.steps);
            }
            (
                Act::Group { steps, place, extent },
                Act::Group { steps: other_steps, place: other_place, extent: other_extent },
            ) => {
                if !self.place(*place, *other_place) || !self.extent(*extent, *other_extent) {
                    return Err(differs("a group", one, other));
                }
                return self.steps(steps, other_steps);
            }
            (
                Act::FoundationStitches { stitch, count },
                Act::FoundationStitches { stitch: other_stitch, count: other_count },
            ) => stitch == other_stitch && self.num(*count, *other_count),
            (Act::Leave(one), Act::Leave(other)) => self.nums(*one, *other),
            (Act::SkippedChains(one), Act::SkippedChains(other)) => one == other,
            (Act::Again(one), Act::Again(other)) => self.again(one, other),
            (Act::Own(one), Act::Own(other)) => self.own(one, other),
            (Act::Along { kinds, extent }, Act::Along { kinds: other_kinds, extent: other_extent }) => {
                if kinds.len() != other_kinds.len() || !self.extent(*extent, *other_extent) {
                    return Err(differs("work along several kinds of places", one, other));
                }
                for (kind, other_kind) in kinds.iter().zip(other_kinds) {
                    if kind.target != other_kind.target {
                        return Err(differs("work along several kinds of places", one, other));
                    }
                    self.steps(&kind.steps, &other_kind.steps)?;
                }
                true
            }
            (Act::OnPiece(one), Act::OnPiece(other)) => self.same_words(*one, *other),
            (Act::Spread { count, more }, Act::Spread { count: other_count, more: other_more }) => {
                self.num(*count, *other_count) && more == other_more
            }
            (Act::EveryNth { nth, more }, Act::EveryNth { nth: other_nth, more: other_more }) => {
                self.num(*nth, *other_nth) && more == other_more
            }
            (Act::Called(one), Act::Called(other)) => one == other,
            (Act::Resume(one), Act::Resume(other)) => self.resume(one, other),
            (Act::Edited(one), Act::Edited(other)) => one == other,
            (Act::Picot(one), Act::Picot(other)) => match (one, other) {
                (Some(one), Some(other)) => self.num(*one, *other),
                (one, other) => one.is_none() && other.is_none(),
            },
            (Act::Ring, Act::Ring)
            | (Act::Join, Act::Join)
            | (Act::Turn, Act::Turn)
            | (Act::FastenOff, Act::FastenOff)
            | (Act::FarSide, Act::FarSide)
            | (Act::UntilMeasured, Act::UntilMeasured)
            | (Act::Attach, Act::Attach)
            | (Act::Aside, Act::Aside)
            | (Act::Unread, Act::Unread) => true,
            _ => false,
        };
        if same { Ok(()) } else { Err(differs(called(one), one, other)) }
    }

    fn work(&self, one: &Work, other: &Work) -> bool {
        one.stitch == other.stitch
            && self.num(one.takes, other.takes)
            && self.num(one.makes, other.makes)
            && self.place(one.place, other.place)
            && self.extent(one.extent, other.extent)
            && one.bare_number == other.bare_number
    }

    fn own(&self, one: &Own, other: &Own) -> bool {
        let place = match (one.place, other.place) {
            (Some(one), Some(other)) => self.place(one, other),
            (None, None) => true,
            _ => false,
        };
        one.definition == other.definition && place && self.extent(one.extent, other.extent)
    }

    fn again(&self, one: &Again, other: &Again) -> bool {
        let rows = match (&one.rows, &other.rows) {
            (Rows::Last(one), Rows::Last(other)) => self.num(*one, *other),
            (Rows::Numbers(one), Rows::Numbers(other)) => {
                one.len() == other.len()
                    && one.iter().zip(other).all(|(one, other)| self.num(one.0, other.0) && self.num(one.1, other.1))
            }
            _ => false,
        };
        let times = match (one.times, other.times) {
            (Some(one), Some(other)) => self.extent(one, other),
            (None, None) => true,
            _ => false,
        };
        rows && times && self.names(one.of, other.of)
    }

    fn resume(&self, one: &Resume, other: &Resume) -> bool {
        match (one, other) {
            (Resume::Sewn, Resume::Sewn) => true,
            (Resume::Opening { skipped: one }, Resume::Opening { skipped: other }) => self.nums(*one, *other),
            (Resume::Unworked { of, row }, Resume::Unworked { of: other_of, row: other_row }) => {
                self.names(*of, *other_of) && self.nums(*row, *other_row)
            }
            _ => false,
        }
    }

    fn place(&self, one: Place, other: Place) -> bool {
        match (one, other) {
            (Place::FromHook(one), Place::FromHook(other)) => self.num(one, other),
            _ => one == other,
        }
    }

    fn extent(&self, one: Extent, other: Extent) -> bool {
        match (one, other) {
            (Extent::Times(one), Extent::Times(other))
            | (Extent::More(one), Extent::More(other))
            | (Extent::Open(one), Extent::Open(other))
            | (Extent::Fill(one), Extent::Fill(other)) => self.num(one, other),
            _ => one == other,
        }
    }
}
