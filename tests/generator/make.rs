//! Draws a whole pattern from a tape: forwards, so that every row fits the one below it in every size.

use super::labour::{row_work, sums};
use super::model::{
    Beginning, Body, Clause, Extent, Height, Manner, Marking, Number, Pattern, Row, Said, Style, Words,
};
use super::tape::Tape;

/// What kind of pattern is wanted.
#[derive(Debug, Clone, Copy)]
pub struct Wishes {
    /// At most so many sizes (1 to 4).
    pub most_sizes: usize,
    /// At least so many sizes.
    pub fewest_sizes: usize,
    /// Stitch numbers start this many times larger.
    pub scale: u64,
    /// The text says what its beginning chains are, so that nothing is left to guess.
    pub all_said: bool,
}

impl Default for Wishes {
    fn default() -> Self {
        Self { most_sizes: 4, fewest_sizes: 1, scale: 1, all_said: false }
    }
}

const SIZE_NAMES: [&[&str]; 4] =
    [&["One size"], &["Small", "Large"], &["Child", "Woman", "Man"], &["S", "M", "L", "XL"]];

/// Draws a pattern.
pub fn make(tape: &mut Tape<'_>, wishes: Wishes) -> Pattern {
    let size_count = tape.between(wishes.fewest_sizes as u64, wishes.most_sizes as u64) as usize;
    let words = if tape.once_in(4) { Words::Uk } else { Words::Us };
    let manner = tape.pick(&[Manner::Spiral, Manner::Joined, Manner::Flat]);
    let height = match manner {
        Manner::Spiral => Height::One,
        _ => tape.pick(&[Height::One, Height::Three, Height::Two]),
    };
    let beginning = beginning(tape, manner, height, wishes);
    let style = Style {
        header: tape.below(6) as u8,
        count: tape.below(8) as u8,
        list: tape.below(4) as u8,
        toy: manner == Manner::Spiral && tape.once_in(2),
        dressing: tape.below(4) as u8,
    };
    let (base, step) = match manner {
        Manner::Flat => (tape.between(12, 40), tape.between(1, 8)),
        _ => (tape.between(5, 12), tape.below(4)),
    };
    let counts: Vec<u64> = (0..size_count as u64).map(|size| (base + size * step) * wishes.scale).collect();
    let mut pattern = Pattern {
        sizes: SIZE_NAMES[size_count - 1].to_vec(),
        words,
        height,
        manner,
        beginning,
        style,
        foundation: Number::new(counts.clone()),
        rows: Vec::new(),
    };
    if manner == Manner::Flat {
        let skipped = pattern.first_chain() - 1 - pattern.chain_counts();
        pattern.foundation = Number::new(counts.iter().map(|n| n + skipped).collect());
    }
    rows(tape, &mut pattern, counts, wishes);
    pattern
}

fn beginning(tape: &mut Tape<'_>, manner: Manner, height: Height, wishes: Wishes) -> Option<Beginning> {
    if manner == Manner::Spiral {
        return None;
    }
    let said = if wishes.all_said {
        tape.pick(&[Said::AtTop, Said::OnTheLine])
    } else {
        tape.pick(&[Said::AtTop, Said::OnTheLine, Said::Nowhere])
    };
    let (length, counts) = match height {
        Height::One => (1, false),
        Height::Two => (2, tape.once_in(3)),
        // A tall chain that does not count is too rare to be left unsaid.
        Height::Three => (3, said == Said::Nowhere || !tape.once_in(3)),
    };
    Some(Beginning { length, counts, said })
}

fn rows(tape: &mut Tape<'_>, pattern: &mut Pattern, mut counts: Vec<u64>, wishes: Wishes) {
    let chain_is_a_guess = pattern.beginning.is_some_and(|chain| chain.said == Said::Nowhere);
    let how_many = tape.between(4, 9);
    let mut number = 1;
    pattern.rows.push(Row {
        first: 1,
        last: 1,
        body: Body::First,
        stated: Some(Number::new(counts.clone())),
        foreign_word: false,
    });
    for _ in 1..how_many {
        number += 1;
        let mut row = Row { first: number, last: number, body: Body::First, stated: None, foreign_word: false };
        row.body = match same_as(tape, pattern, &counts, wishes) {
            Some(body) => body,
            None => Body::Phrases(phrases(tape, &places(pattern, &counts), wishes.scale)),
        };
        pattern.rows.push(row);
        let index = pattern.rows.len() - 1;
        let made = made(pattern, index, &counts);
        if made == counts && tape.once_in(3) {
            number += tape.between(1, 4);
            pattern.rows[index].last = number;
        }
        counts = made;
        if chain_is_a_guess || !tape.once_in(9) {
            pattern.rows[index].stated = Some(Number::new(counts.clone()));
        }
    }
}

/// The places that are left for phrases once the beginning chain stands.
fn places(pattern: &Pattern, counts: &[u64]) -> Vec<u64> {
    counts.iter().map(|n| n - pattern.chain_counts()).collect()
}

fn made(pattern: &Pattern, row: usize, below: &[u64]) -> Vec<u64> {
    below.iter().enumerate().map(|(size, n)| sums(&row_work(pattern, row, size, *n).steps).1).collect()
}

/// Now and then a row that is worked as an earlier one, where that fits.
fn same_as(tape: &mut Tape<'_>, pattern: &Pattern, counts: &[u64], wishes: Wishes) -> Option<Body> {
    if pattern.rows.len() < 2 || !tape.once_in(5) {
        return None;
    }
    let row = 1 + tape.index(pattern.rows.len() - 1);
    let fits = counts.iter().enumerate().all(|(size, n)| {
        let work = row_work(pattern, row, size, *n);
        let (used, made) = sums(&work.steps);
        used == *n && !work.broken_pass && (4..400 * wishes.scale).contains(&made)
    });
    (matches!(pattern.rows[row].body, Body::Phrases(_)) && fits).then_some(Body::SameAs(row))
}

/// The phrases of one row over these places.
fn phrases(tape: &mut Tape<'_>, places: &[u64], scale: u64) -> Vec<Clause> {
    let least = places.iter().copied().min().unwrap_or(0);
    let most = places.iter().copied().max().unwrap_or(0);
    // Shrinking rows only where enough is left, growing ones only up to a limit.
    let may_shrink = least >= 16;
    let may_grow = most < 150 * scale;
    let drawn = match tape.below(9) {
        1 if most < 50 * scale => Some(vec![Clause::ToEnd { each: 2 }]),
        2 => filling(tape, places, may_grow, may_shrink, false),
        3 => filling(tape, places, may_grow, may_shrink, true),
        4 => counted(tape, places, may_grow, may_shrink),
        5 => spread(tape, places, may_grow, may_shrink),
        6 => spelled_out(tape, places, may_grow, may_shrink),
        7 => edges(tape, places, may_grow, may_shrink),
        8 => nested(tape, places, may_grow),
        _ => None,
    };
    drawn.unwrap_or_else(|| vec![Clause::ToEnd { each: 1 }])
}

fn plain(each: Vec<u64>, last: bool, tape: &mut Tape<'_>) -> Clause {
    Clause::Plain { count: Number::new(each), last, say: tape.below(3) as u8 }
}

/// An increase, a decrease or a skip: the clause and the places that it uses.
fn shaping(tape: &mut Tape<'_>, sizes: usize, may_grow: bool, may_shrink: bool) -> Option<(Clause, u64)> {
    let say = tape.below(3) as u8;
    let skipped = tape.between(1, 2);
    match tape.below(4) {
        0 | 3 if may_grow => Some((Clause::Increase { last: false, say }, 1)),
        1 if may_shrink => Some((Clause::Decrease { say }, 2)),
        2 if may_shrink => Some((Clause::Skip { count: Number::new(vec![skipped; sizes]) }, skipped)),
        _ if may_grow => Some((Clause::Increase { last: false, say }, 1)),
        _ if may_shrink => Some((Clause::Decrease { say }, 2)),
        _ => None,
    }
}

/// `[sc in next p sts, 2 sc in next st]`, the same in every size: the phrases and the places of one pass.
fn unit(tape: &mut Tape<'_>, places: &[u64], may_grow: bool, may_shrink: bool) -> Option<(Vec<Clause>, u64)> {
    let least = places.iter().copied().min()?;
    let (shape, uses) = shaping(tape, places.len(), may_grow, may_shrink)?;
    let plain_count = tape.between(1, 6.min(least / 3).max(1));
    let first = plain(vec![plain_count; places.len()], false, tape);
    let mut body = vec![first, shape];
    if tape.once_in(4) {
        body.reverse();
    }
    Some((body, plain_count + uses))
}

/// Stitches before a repeat so that whole passes are left, one number a size: all 0, or none.
fn odd_stitches(places: &[u64], after: u64, uses: u64) -> Option<Vec<u64>> {
    let mut before: Vec<u64> = places.iter().map(|n| n.checked_sub(after).map(|n| n % uses)).collect::<Option<_>>()?;
    if before.iter().any(|n| *n > 0) {
        for n in &mut before {
            *n = if *n == 0 { uses } else { *n };
        }
    }
    let two_passes = places.iter().zip(&before).all(|(n, before)| before + after + 2 * uses <= *n);
    two_passes.then_some(before)
}

fn with_edges(tape: &mut Tape<'_>, before: Vec<u64>, repeat: Clause, after: u64) -> Vec<Clause> {
    let sizes = before.len();
    let mut clauses = Vec::new();
    if before[0] > 0 {
        clauses.push(plain(before, false, tape));
    }
    clauses.push(repeat);
    if after > 0 {
        clauses.push(plain(vec![after; sizes], true, tape));
    }
    clauses
}

/// A repeat without a number: to the end, or to the last so many.
fn filling(tape: &mut Tape<'_>, places: &[u64], grow: bool, shrink: bool, to_last: bool) -> Option<Vec<Clause>> {
    let (body, uses) = unit(tape, places, grow, shrink)?;
    let after = if to_last { tape.between(1, 3) } else { 0 };
    let before = odd_stitches(places, after, uses)?;
    let marking = tape.pick(&[Marking::OpenStar, Marking::StarPair, Marking::Square, Marking::Round]);
    // "To last" is said after a star; brackets that stop early are told by a number.
    let (extent, marking) = if to_last {
        (Extent::ToLast(Number::new(vec![after; places.len()])), Marking::OpenStar)
    } else {
        (Extent::Fill, marking)
    };
    Some(with_edges(tape, before, Clause::Repeat { body, extent, marking }, after))
}

/// A repeat with a number, odd stitches before it and after it.
fn counted(tape: &mut Tape<'_>, places: &[u64], grow: bool, shrink: bool) -> Option<Vec<Clause>> {
    let (body, uses) = unit(tape, places, grow, shrink)?;
    let after = tape.below(3);
    let mut before = odd_stitches(places, after, uses)?;
    let mut times: Vec<u64> = places.iter().zip(&before).map(|(n, before)| (n - before - after) / uses).collect();
    if tape.once_in(3) {
        // The same number of passes in every size, the rest before them.
        let fewest = times.iter().copied().min()?;
        for (times, before) in times.iter_mut().zip(&mut before) {
            *before += (*times - fewest) * uses;
            *times = fewest;
        }
        if before.contains(&0) && before.iter().any(|n| *n > 0) {
            return None;
        }
    }
    let marking = tape.pick(&[Marking::Square, Marking::Round, Marking::OpenStar, Marking::StarPair]);
    let repeat = Clause::Repeat { body, extent: Extent::Times(Number::new(times)), marking };
    Some(with_edges(tape, before, repeat, after))
}

/// The same number of passes in every size, with more stitches in each for the larger ones.
fn spread(tape: &mut Tape<'_>, places: &[u64], grow: bool, shrink: bool) -> Option<Vec<Clause>> {
    let least = places.iter().copied().min()?;
    let (shape, uses) = shaping(tape, places.len(), grow, shrink)?;
    let times = tape.between(2, 8.min(least / (uses + 2)));
    let mut between: Vec<u64> = places.iter().map(|n| (n / times).checked_sub(uses)).collect::<Option<_>>()?;
    let mut before: Vec<u64> = places.iter().map(|n| n % times).collect();
    if before.iter().any(|n| *n > 0) {
        for (before, between) in before.iter_mut().zip(&mut between).filter(|(before, _)| **before == 0) {
            *before = times;
            *between = between.checked_sub(1)?;
        }
    }
    if between.contains(&0) {
        return None;
    }
    let body = vec![plain(between, false, tape), shape];
    let marking = tape.pick(&[Marking::Square, Marking::Round, Marking::OpenStar, Marking::StarPair]);
    let extent = Extent::Times(Number::new(vec![times; places.len()]));
    Some(with_edges(tape, before, Clause::Repeat { body, extent, marking }, 0))
}

/// Every stitch of the row by number.
fn spelled_out(tape: &mut Tape<'_>, places: &[u64], grow: bool, shrink: bool) -> Option<Vec<Clause>> {
    let least = places.iter().copied().min()?;
    let (shape, uses) = shaping(tape, places.len(), grow, shrink)?;
    let spare = least.checked_sub(uses + 2)?;
    let before: Vec<u64> = if tape.once_in(2) {
        places.iter().map(|n| (n - uses) / 2).collect()
    } else {
        vec![1 + tape.below(spare + 1); places.len()]
    };
    let after: Vec<u64> = places.iter().zip(&before).map(|(n, before)| n - uses - before).collect();
    if before.contains(&0) || after.contains(&0) {
        return None;
    }
    let last = tape.once_in(3);
    Some(vec![plain(before, false, tape), shape, plain(after, last, tape)])
}

/// Shaping at both ends, plain stitches between them.
fn edges(tape: &mut Tape<'_>, places: &[u64], grow: bool, shrink: bool) -> Option<Vec<Clause>> {
    let least = places.iter().copied().min()?;
    let say = tape.below(3) as u8;
    let leave = |n: u64| Clause::ToLast { leave: Number::new(vec![n; places.len()]) };
    if tape.once_in(2) && shrink {
        Some(vec![Clause::Decrease { say }, leave(2), Clause::Decrease { say }])
    } else if grow && least >= 4 {
        Some(vec![Clause::Increase { last: false, say }, leave(1), Clause::Increase { last: true, say }])
    } else {
        None
    }
}

/// A repeat inside a repeat, as motifs have it.
fn nested(tape: &mut Tape<'_>, places: &[u64], grow: bool) -> Option<Vec<Clause>> {
    if !grow {
        return None;
    }
    let sizes = places.len();
    let (inside, times, beside) = (tape.between(1, 3), tape.between(2, 3), tape.between(1, 3));
    let increase = Clause::Increase { last: false, say: tape.below(3) as u8 };
    let inner = Clause::Repeat {
        body: vec![plain(vec![inside; sizes], false, tape), increase],
        extent: Extent::Times(Number::new(vec![times; sizes])),
        marking: Marking::Round,
    };
    let body = vec![inner, plain(vec![beside; sizes], false, tape)];
    let uses = (inside + 1) * times + beside;
    let before = odd_stitches(places, 0, uses)?;
    let passes = places.iter().zip(&before).map(|(n, before)| (n - before) / uses).collect();
    let repeat = Clause::Repeat { body, extent: Extent::Times(Number::new(passes)), marking: Marking::Square };
    Some(with_edges(tape, before, repeat, 0))
}
