//! How much of a piece is drawn: all of it, or what repeats.

use super::layout::{Layout, beside};
use super::segment::Segment;
use super::{Drawn, HIGHEST, WIDEST};
use crate::fabric::{Foot, Item, Spelled};
use std::f64::consts::TAU;

/// The widest chart of rounds that is drawn whole on more than a page, in units: two sheets of A4 side by side.
const SHEET: f64 = 120.0;
/// The fewest stitches of the widest row that a part shows.
const FEWEST: u64 = 6;

/// So many rows show how a piece grows.
const MANY_ROWS: usize = 12;

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Crop {
    pub(super) drawn: Drawn,
    /// From the first placed row to behind the last.
    pub(super) rows: (usize, usize),
    /// By position among the knots; none where everything is kept.
    pub(super) kept: Option<Vec<bool>>,
    /// By how many turns all of it is turned.
    pub(super) turn: f64,
    /// It is drawn whole although it is large: how wide it is, in units.
    large: Option<f64>,
}

impl Crop {
    pub(super) fn keeps(&self, knot: u32) -> bool {
        self.kept.as_ref().is_none_or(|kept| kept.get(knot as usize).copied().unwrap_or(false))
    }

    /// Every stitch of the rows that are drawn.
    pub(super) const fn is_whole(&self) -> bool {
        self.kept.is_none()
    }

    /// What must be said.
    pub(super) fn notes(&self, piece: &Spelled, segment: &Segment) -> Vec<String> {
        let mut notes = Vec::new();
        match self.drawn {
            Drawn::Whole => {}
            Drawn::Wedge { of } => notes.push(format!(
                "This size is too large to draw whole: one of its {of} equal parts is drawn, to be worked {of} times around; the chain that begins the round is worked once, and joins are not drawn."
            )),
            Drawn::Window { stitches, of } => notes.push(format!(
                "This size is too large to draw whole: the first {stitches} of {of} stitches are drawn, the edge and a \
                 repeat."
            )),
        }
        if let Some(width) = self.large {
            notes.push(format!("It is larger than a page: print it {:.0} cm wide or larger.", (width * 0.32).ceil()));
        }
        let worked: Vec<usize> =
            (segment.rows.0..segment.rows.1).filter(|at| piece.rows[*at].knots.1 > piece.rows[*at].knots.0).collect();
        if let (Some(first), Some(last)) = (worked.get(self.rows.1), worked.last()) {
            let (first, last) = (&piece.rows[*first].label, &piece.rows[*last].label);
            let which =
                if first == last { first.clone() } else { format!("{first} and what follows it, up to {last}") };
            notes.push(format!("There is no room for {which}."));
        }
        notes
    }
}

pub(super) fn crop(piece: &Spelled, segment: &Segment, layout: &Layout) -> Crop {
    let rows = (0, layout.rows.len());
    let heads = layout.rows.iter().flat_map(|row| &row.stations).filter_map(|knot| layout.head(*knot));
    let highest = heads.map(|spot| spot.up).fold(0.0, f64::max);
    let whole = Crop { drawn: Drawn::Whole, rows, kept: None, large: None, turn: 0.0 };
    if layout.round {
        if 2.0 * highest <= WIDEST + 2.0 {
            return whole;
        }
        return wedge(piece, layout, whole, highest);
    }
    let rows = (0, fitting(layout, HIGHEST));
    // What grows from a corner is drawn as far as it fits.
    let narrow = (0..rows.1).take_while(|row| width_of(layout, row + 1) <= WIDEST).count();
    if width_of(layout, layout.rows.len()) <= WIDEST || narrow >= MANY_ROWS {
        return Crop { rows: (0, narrow.max(1)), ..whole };
    }
    // Two repeats, since a part of one leans out of the other where columns lean.
    let width = (2.0 * repeat_width(piece, layout) + 6.0).clamp(FEWEST as f64 + 4.0, WIDEST);
    let kept = window(piece, segment, layout, width);
    let stitches = |row: &super::layout::PlacedRow, kept: &dyn Fn(u32) -> bool| {
        row.stations.iter().filter(|knot| kept(**knot) && piece.knots[**knot as usize].item.is_place()).count() as u64
    };
    let widest = layout.rows.iter().max_by_key(|row| stitches(row, &|_| true));
    let drawn = widest.map_or(Drawn::Whole, |row| Drawn::Window {
        stitches: stitches(row, &|knot| kept.get(knot as usize).copied().unwrap_or(false)),
        of: stitches(row, &|_| true),
    });
    Crop { drawn, rows, kept: Some(kept), large: None, turn: 0.0 }
}

/// How wide so many rows are.
fn width_of(layout: &Layout, rows: usize) -> f64 {
    let spots = || layout.rows[..rows].iter().flat_map(|row| &row.stations).filter_map(|knot| layout.head(*knot));
    let low = spots().map(|spot| spot.along).fold(f64::INFINITY, f64::min);
    let high = spots().map(|spot| spot.along).fold(f64::NEG_INFINITY, f64::max);
    high - low
}

/// What grows out of the beginning of the first row, so wide.
fn window(piece: &Spelled, segment: &Segment, layout: &Layout, width: f64) -> Vec<bool> {
    let mut kept = vec![false; layout.placed.len()];
    let Some(first) = layout.rows.first() else { return kept };
    let spots: Vec<(u32, f64)> = (segment.chain.0..segment.chain.1)
        .chain(first.stations.iter().copied())
        .filter_map(|knot| Some((knot, layout.head(knot)?.along)))
        .collect();
    let begins = first.stations.first().and_then(|knot| layout.head(*knot)).map_or(0.0, |spot| spot.along);
    for (knot, along) in spots {
        kept[knot as usize] = (along - begins).abs() <= width;
    }
    for row in &layout.rows[1..] {
        for knot in &row.stations {
            let feet = &piece.knots[*knot as usize].feet;
            kept[*knot as usize] = !feet.is_empty()
                && feet.iter().all(|foot| match foot {
                    Foot::Knot(below) => kept[*below as usize],
                    _ => false,
                });
        }
        // What hangs is kept with both its neighbours, or at the end of the row with the one that it has.
        let stands: Vec<bool> = row.stations.iter().map(|knot| !piece.knots[*knot as usize].feet.is_empty()).collect();
        for (knot, (before, after)) in row.stations.iter().zip(beside(&stands)) {
            if piece.knots[*knot as usize].feet.is_empty() {
                let keeps = |at: Option<usize>| at.is_none_or(|at| kept[row.stations[at] as usize]);
                kept[*knot as usize] = keeps(before) && keeps(after);
            }
        }
    }
    kept
}

/// How many rows fit below a height.
fn fitting(layout: &Layout, height: f64) -> usize {
    let fits = |row: &super::layout::PlacedRow| {
        row.stations.iter().filter_map(|knot| layout.head(*knot)).all(|spot| spot.up <= height)
    };
    layout.rows.iter().take_while(|row| fits(row)).count().max(1)
}

/// One of the equal parts of which every round has the same number.
fn wedge(piece: &Spelled, layout: &Layout, whole: Crop, highest: f64) -> Crop {
    let rounds: Vec<Vec<(Seen, u32)>> = layout.rows.iter().map(|row| seen(piece, row)).collect();
    let common = rounds.iter().fold(0u64, |common, round| gcd(common, round.len() as u64));
    let widest = rounds.iter().map(Vec::len).max().unwrap_or(0) as u64;
    let all: Vec<u64> = (2..=common)
        .filter(|parts| common.is_multiple_of(*parts) && widest / parts >= FEWEST)
        .filter(|parts| rounds.iter().all(|round| repeats(round, round.len() / *parts as usize)))
        .collect();
    // No more parts than make it fit: the larger the part, the more it shows.
    let fits = |parts: &u64| TAU * highest / *parts as f64 <= WIDEST;
    let Some(parts) = all.iter().copied().find(fits).or(all.last().copied()) else {
        return Crop { large: Some(2.0 * highest), ..whole };
    };
    let rows = (0, fitting(layout, HIGHEST.min(WIDEST * parts as f64 / TAU)));
    // A part that has no room for all rounds shows less than a large sheet with all of them.
    if rows.1 < layout.rows.len() && 2.0 * highest <= SHEET {
        return Crop { large: Some(2.0 * highest), ..whole };
    }
    let mut kept = vec![false; layout.placed.len()];
    for (row, round) in layout.rows.iter().zip(&rounds) {
        let part = round.len() as u64 / parts;
        for (_, knot) in round.iter().take(part as usize) {
            kept[*knot as usize] = true;
        }
        // The chain that lifts the yarn belongs to the beginning.
        for knot in &row.stations {
            if matches!(piece.knots[*knot as usize].item, Item::TurningChain { .. }) {
                kept[*knot as usize] = true;
            }
        }
    }
    // The middle of the part comes to the top.
    let along: Vec<f64> = rounds
        .iter()
        .flatten()
        .filter(|(_, knot)| kept[*knot as usize])
        .filter_map(|(_, knot)| layout.head(*knot))
        .map(|spot| spot.along)
        .collect();
    let turn = -along.iter().sum::<f64>() / along.len().max(1) as f64;
    Crop { drawn: Drawn::Wedge { of: parts }, rows, kept: Some(kept), large: None, turn }
}

/// What is seen of a round, chains apart that only lift the yarn.
fn seen(piece: &Spelled, row: &super::layout::PlacedRow) -> Vec<(Seen, u32)> {
    let mut before: &[Foot] = &[];
    row.stations
        .iter()
        .filter_map(|knot| {
            let made = &piece.knots[*knot as usize];
            let item = match made.item {
                Item::TurningChain { counts_as: None, .. } => return None,
                Item::TurningChain { counts_as: Some(kind), .. } => Item::Stitch(kind),
                Item::Loop(length) => Item::Space(length),
                item => item,
            };
            let again = matches!(made.feet.first(), Some(Foot::Knot(_))) && made.feet == before;
            before = &made.feet;
            Some(((item, made.feet.len(), again), *knot))
        })
        .collect()
}

/// What a maker sees of a thing: what it is, how many places it draws together, and whether it shares its place with the one
/// before.
type Seen = (Item, usize, bool);

/// Whether a sequence is made of equal parts of a length.
fn repeats(round: &[(Seen, u32)], part: usize) -> bool {
    part > 0 && round.iter().zip(round.iter().skip(part)).all(|(one, next)| one.0 == next.0)
}

/// How wide one repeat is, of the row whose repeat is the widest.
fn repeat_width(piece: &Spelled, layout: &Layout) -> f64 {
    let mut widest = 0.0f64;
    for row in &layout.rows {
        let items = seen(piece, row);
        let edge = 3.min(items.len() / 4);
        let middle = &items[edge..items.len() - edge];
        let period = (1..=middle.len() / 2).find(|period| repeats(middle, *period)).unwrap_or(middle.len());
        let spots: Vec<f64> =
            row.stations.iter().filter_map(|knot| layout.head(*knot)).map(|spot| spot.along).collect();
        let low = spots.iter().copied().fold(f64::INFINITY, f64::min);
        let high = spots.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if !items.is_empty() {
            widest = widest.max((high - low) * period as f64 / items.len() as f64);
        }
    }
    widest
}

const fn gcd(one: u64, other: u64) -> u64 {
    let (mut one, mut other) = (one, other);
    while other > 0 {
        (one, other) = (other, one % other);
    }
    one
}
