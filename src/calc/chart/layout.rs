//! Where everything stands: along the row, and above what it was worked into.

use super::segment::Segment;
use super::shape::Point;
use super::sign::height_of;
use super::spread::{Wish, spread, spread_round, touching_round};
use crate::fabric::{Foot, Foundation, Item, Knot, Spelled};
use crate::standards::{StitchKind, stitch};
use std::f64::consts::{FRAC_PI_2, TAU};

/// A chain circle of no more chains is a middle to work around; a longer one is the edge of a tube.
const MOST_IN_A_MIDDLE: u32 = 10;
/// What a chain takes of the length of its arc.
pub(super) const CHAIN: f64 = 0.54;
/// How much higher than its foot a stitch of solid fabric begins, at most.
const MOST_EVENED: f64 = 0.4;
/// How far down a post the hook goes around it.
const POST: f64 = 0.12;
/// What a stitch takes at least of the row.
const NARROWEST: f64 = 0.78;
/// How far a round evens out.
const EVENED: f64 = 0.7;
/// The room of a row's number, where it stands in the row.
const LABEL: f64 = 1.4;

/// Where something is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Spot {
    /// Along the row: units, or turns around the middle.
    pub(super) along: f64,
    /// Above the foundation, or from the middle.
    pub(super) up: f64,
}

/// Something placed.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Placed {
    /// Where it can be worked into.
    pub(super) head: Spot,
    /// Where it stands.
    pub(super) feet: Vec<Spot>,
    /// What it hangs between, for chains.
    pub(super) between: Option<(Spot, Spot)>,
}

/// One row placed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlacedRow {
    /// The row, by its position in the piece.
    pub(super) row: usize,
    /// What is seen of it, by position among the knots, in the order in which it is worked.
    pub(super) stations: Vec<u32>,
    /// Where its number stands.
    pub(super) label: Spot,
    /// Where its join stands.
    pub(super) join: Option<Spot>,
}

/// A part of a piece, placed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Layout {
    /// By position among the knots of the piece.
    pub(super) placed: Vec<Option<Placed>>,
    pub(super) rows: Vec<PlacedRow>,
    /// Drawn around a middle.
    pub(super) round: bool,
    /// The radius of the ring in the middle, where it is a ring.
    pub(super) ring: Option<f64>,
    /// By how many turns all of it is turned.
    pub(super) turn: f64,
    /// The foundation's last chains, which are passed over: how many, and whether a row draws them as its first stitch.
    pub(super) standing: (u32, bool),
}

impl Layout {
    /// A spot as a point of the chart.
    pub(super) fn point(&self, spot: Spot) -> Point {
        if self.round {
            let (sin, cos) = (FRAC_PI_2 + (spot.along + self.turn) * TAU).sin_cos();
            Point::new(cos * spot.up, sin * spot.up)
        } else {
            Point::new(spot.along, spot.up)
        }
    }

    /// The direction away from the foundation.
    pub(super) fn upright(&self, at: Point) -> Point {
        if self.round { Point::default().direction(at) } else { Point::new(0.0, 1.0) }
    }

    pub(super) fn head(&self, knot: u32) -> Option<Spot> {
        self.placed.get(knot as usize)?.as_ref().map(|placed| placed.head)
    }
}

/// Something of a row while it is placed.
struct Station {
    /// Its knot; none for the row's number.
    knot: Option<u32>,
    width: f64,
    feet: Vec<Spot>,
    /// How high it is, where that is its own.
    height: f64,
    /// Its head is on the level of its neighbours.
    level: bool,
    /// It hangs between its neighbours, with so many chains.
    hangs: Option<u32>,
    /// It is a chain that only lifts the yarn.
    lifts: bool,
    /// It stands in a space.
    in_space: bool,
}

pub(super) fn lay_out(piece: &Spelled, segment: &Segment) -> Layout {
    let (from, to) = segment.chain;
    let round = match segment.foundation {
        Foundation::Ring => true,
        Foundation::Circle => to - from <= MOST_IN_A_MIDDLE,
        Foundation::Chain | Foundation::None => false,
    };
    let first = piece.rows[segment.rows.0..segment.rows.1].iter().find(|row| row.knots.1 > row.knots.0);
    let back = first.is_some_and(|row| row.wrong_side && !row.round);
    let along_chain = match segment.foundation {
        _ if round => 1.0,
        // A tube is read like right-side rows.
        Foundation::Circle => -1.0,
        _ if back => -1.0,
        _ => 1.0,
    };
    let mut layout = Layout {
        placed: vec![None; piece.knots.len()],
        rows: Vec::new(),
        round,
        ring: None,
        turn: 0.0,
        standing: (0, false),
    };
    let radius = if round && to > from { (f64::from(to - from) * CHAIN / TAU).max(0.6) } else { 0.6 };
    layout.ring = (round && to == from).then_some(radius);
    for (at, knot) in (from..to).enumerate() {
        let at = at as f64;
        let head = if round {
            Spot { along: at / f64::from(to - from), up: radius }
        } else {
            Spot { along: along_chain * at, up: 0.0 }
        };
        layout.placed[knot as usize] = Some(Placed { head, ..Placed::default() });
    }
    layout.standing = standing(piece, segment);
    // Where the first row stands on nothing, it goes as the chain would have gone, and is not turned.
    let mut sign = along_chain;
    for at in segment.rows.0..segment.rows.1 {
        let row = &piece.rows[at];
        if row.knots.1 == row.knots.0 {
            continue;
        }
        if row.turned {
            sign = -sign;
        } else if layout.rows.is_empty() && !round && segment.foundation == Foundation::None {
            sign = -along_chain;
        }
        place_row(piece, &mut layout, at, sign, radius);
    }
    layout
}

/// The chains of the foundation behind the last one that the first row uses.
fn standing(piece: &Spelled, segment: &Segment) -> (u32, bool) {
    let (from, to) = segment.chain;
    if segment.foundation != Foundation::Chain {
        return (0, false);
    }
    let Some(row) = piece.rows[segment.rows.0..segment.rows.1].iter().find(|row| row.knots.1 > row.knots.0) else {
        return (0, false);
    };
    let knots = &piece.knots[row.knots.0 as usize..row.knots.1 as usize];
    let used = knots
        .iter()
        .flat_map(|knot| &knot.feet)
        .filter_map(|foot| match foot {
            Foot::Knot(id) if (from..to).contains(id) => Some(*id),
            _ => None,
        })
        .max();
    let drawn = knots.iter().any(|knot| matches!(knot.item, Item::TurningChain { .. }) && knot.feet.is_empty());
    (used.map_or(0, |used| to - 1 - used), drawn)
}

fn place_row(piece: &Spelled, layout: &mut Layout, at: usize, sign: f64, ring: f64) {
    let row = &piece.rows[at];
    let mut stations: Vec<Station> = Vec::new();
    if layout.round {
        stations.push(Station {
            knot: None,
            width: LABEL,
            feet: Vec::new(),
            height: 1.0,
            level: true,
            hangs: None,
            lifts: false,
            in_space: false,
        });
    }
    for id in row.knots.0..row.knots.1 {
        let knot = &piece.knots[id as usize];
        if !knot.is_mark() {
            let station = station(piece, layout, id, knot, ring);
            stations.push(station);
        }
    }
    let wishes = wishes(layout, &stations, sign);
    let levels = heads(layout, &stations);
    let room =
        |station: &Station, up: f64| if layout.round { station.width / (TAU * up.max(0.3)) } else { station.width };
    let wishes: Vec<Wish> = stations
        .iter()
        .zip(&wishes)
        .zip(&levels)
        .map(|((station, wish), up)| Wish {
            at: wish.0,
            room: room(station, *up),
            weight: if wish.1 { 1.0 } else { 0.02 },
        })
        .collect();
    let along = if layout.round && row.round { spread_round(&evened(wishes)) } else { spread(&wishes) };
    let mut placed_row = PlacedRow { row: at, stations: Vec::new(), label: Spot::default(), join: None };
    let spots: Vec<Spot> = along.iter().zip(&levels).map(|(along, up)| Spot { along: along * sign, up: *up }).collect();
    // What hangs, hangs between those beside it that stand.
    let standing: Vec<bool> =
        stations.iter().map(|station| station.hangs.is_none() && station.knot.is_some()).collect();
    let neighbours = beside(&standing);
    let first_standing = standing.iter().position(|stands| *stands);
    for (here, station) in stations.iter().enumerate() {
        let Some(knot) = station.knot else { continue };
        placed_row.stations.push(knot);
        let mut head = spots[here];
        let mut between = None;
        if let Some(chains) = station.hangs {
            let (before, after) = neighbours[here];
            let turn = if layout.round { sign } else { 0.0 };
            let (from, to) = match (before, after) {
                (Some(before), Some(after)) => (spots[before], spots[after]),
                // A round's last chains lead to its first stitch.
                (Some(before), None) => {
                    let first = first_standing.filter(|_| layout.round && row.round);
                    let to = first.map(|at| Spot { along: spots[at].along + turn, up: spots[at].up });
                    (spots[before], to.unwrap_or(head))
                }
                (None, Some(after)) => (Spot { up: spots[after].up - 0.4, ..head }, spots[after]),
                (None, None) => (head, head),
            };
            let chord = layout.point(from).distance(layout.point(to));
            head = Spot { along: head.along, up: (from.up + to.up) / 2.0 + sagitta(f64::from(chains) * CHAIN, chord) };
            between = Some((from, to));
        }
        let mut feet = station.feet.clone();
        // A chain that only lifts the yarn goes straight up beside the first stitch.
        if station.lifts {
            feet = vec![Spot { along: head.along, up: (head.up - station.height).max(0.0) }];
        }
        layout.placed[knot as usize] = Some(Placed { head, feet, between });
    }
    share_spaces(piece, layout, row.knots);
    place_marks(piece, layout, row.knots);
    let first = first_standing.unwrap_or(0);
    let Some(spot) = spots.get(first) else { return };
    // The number and the join share their room.
    let aside = |by: f64| {
        let up = (spot.up - 0.5).max(0.3);
        Spot { along: spots[0].along + sign * by / (TAU * up), up }
    };
    placed_row.label =
        if layout.round { aside(-0.3) } else { Spot { along: spot.along - sign * 1.1, up: spot.up - 0.5 } };
    placed_row.join = (layout.round && row.joined).then(|| aside(0.3));
    layout.rows.push(placed_row);
}

/// The wishes of a round, most of the way to where they would be if all had their room and no more: fabric evens out what was
/// increased in one spot.
fn evened(mut wishes: Vec<Wish>) -> Vec<Wish> {
    let even = touching_round(&wishes);
    for (wish, even) in wishes.iter_mut().zip(even) {
        wish.at += (even - wish.at) * EVENED;
    }
    wishes
}

/// How far an arc of a length bulges over its chord. Source: derived: the length of a flat parabola.
fn sagitta(length: f64, chord: f64) -> f64 {
    (0.375 * (length * length - chord * chord).max(0.0)).sqrt().min(length / 2.0)
}

/// A knot with the places that it stands on.
fn station(piece: &Spelled, layout: &Layout, id: u32, knot: &Knot, ring: f64) -> Station {
    let mut feet: Vec<Spot> = Vec::with_capacity(knot.feet.len());
    let mut level = knot.lower;
    for foot in &knot.feet {
        match foot {
            Foot::Ring => {}
            Foot::Knot(below) => {
                let mut below = *below;
                // Further down: what the covered stitch stands on.
                if knot.lower
                    && let Some(Foot::Knot(lower)) =
                        piece.knots.get(below as usize).and_then(|covered| covered.feet.first())
                {
                    below = *lower;
                }
                if let Some(spot) = layout.head(below) {
                    feet.push(spot);
                }
            }
            Foot::Elsewhere => {}
        }
    }
    let (mut width, mut height, mut hangs) = (NARROWEST, 1.0, None);
    match knot.item {
        Item::Stitch(kind) => {
            height = height_of(kind);
            if stitch(kind).kind == StitchKind::Post {
                level = true;
                height = (height * 0.95).max(1.8);
                // Around the post of what is there, not into its top.
                for (spot, foot) in feet.iter_mut().zip(&knot.feet) {
                    if let Foot::Knot(below) = foot
                        && let Some(placed) = layout.placed.get(*below as usize).and_then(Option::as_ref)
                        && let Some(stands) = placed.feet.first()
                    {
                        spot.along += (stands.along - spot.along) * POST;
                        spot.up += (stands.up - spot.up) * POST;
                    }
                }
            }
            // A box wants room over its leaders.
            if knot.feet.len() > 1 {
                height = height.max(1.3);
            }
            if kind == crate::standards::StitchId::SLIP_STITCH {
                width = 0.7;
            }
        }
        Item::TurningChain { length, counts_as } => {
            width = if counts_as.is_some() { NARROWEST } else { 0.7 };
            height = counts_as.map_or(f64::from(length) * CHAIN + 0.1, height_of);
            if feet.is_empty()
                && !layout.round
                && let Some(under) = beside_the_chain(layout, id, piece)
            {
                feet.push(under);
            }
        }
        Item::Space(length) | Item::Loop(length) => {
            hangs = Some(length);
            width = (f64::from(length) * CHAIN).clamp(0.7, 2.4);
            feet.clear();
        }
        Item::Picot => {
            level = true;
            width = 0.8;
        }
        Item::Chain | Item::Open(_) | Item::Close(_) => {}
    }
    if knot.feet.contains(&Foot::Ring) {
        // Where around the ring is for the row to say; how far from the middle is the ring's.
        feet.clear();
        height += ring;
    }
    let lifts = matches!(knot.item, Item::TurningChain { counts_as: None, .. });
    let in_space = knot.feet.iter().any(|foot| match foot {
        Foot::Knot(id) => !piece.knots[*id as usize].item.is_place(),
        _ => false,
    });
    Station { knot: Some(id), width, feet, height, level, hangs, lifts, in_space }
}

/// Chains that were passed over at the hook's end of a foundation stand beside the last one that was used.
fn beside_the_chain(layout: &Layout, id: u32, piece: &Spelled) -> Option<Spot> {
    let row = piece.rows.iter().find(|row| (row.knots.0..row.knots.1).contains(&id))?;
    let (passed, _) = layout.standing;
    let row_before =
        piece.rows.iter().rev().find(|other| other.chain.1 > other.chain.0 && other.knots.0 <= row.knots.0)?;
    let used = row_before.chain.1.checked_sub(1 + passed)?;
    let last = layout.head(used)?;
    let before = layout.head(used.checked_sub(1)?)?;
    Some(Spot { along: last.along + (last.along - before.along).signum(), up: 0.0 })
}

/// Where each wants to be, in the direction of the work; and whether it says so itself.
fn wishes(layout: &Layout, stations: &[Station], sign: f64) -> Vec<(f64, bool)> {
    let mut last: Option<f64> = None;
    let own: Vec<Option<f64>> = stations
        .iter()
        .map(|station| {
            if station.feet.is_empty() {
                return None;
            }
            let mut sum = 0.0;
            for spot in &station.feet {
                let mut along = spot.along * sign;
                // Around the middle, the nearest way round.
                if layout.round
                    && let Some(last) = last
                {
                    along += (last - along).round();
                }
                last = Some(along);
                sum += along;
            }
            Some(sum / station.feet.len() as f64)
        })
        .collect();
    if own.iter().all(Option::is_none) {
        let all: f64 = stations.iter().map(|station| station.width).sum();
        let mut passed = 0.0;
        return stations
            .iter()
            .map(|station| {
                let at = passed + station.width / 2.0;
                passed += station.width;
                (if layout.round { at / all } else { at }, true)
            })
            .collect();
    }
    // What has no place of its own stands between its neighbours.
    let beside = beside(&own.iter().map(Option::is_some).collect::<Vec<_>>());
    let mut wishes: Vec<(f64, bool)> = Vec::with_capacity(own.len());
    for (at, wish) in own.iter().enumerate() {
        if let Some(wish) = wish {
            wishes.push((*wish, true));
            continue;
        }
        let with_wish = |other: Option<usize>| other.and_then(|other| own[other].map(|wish| (other, wish)));
        let (before, after) = (with_wish(beside[at].0), with_wish(beside[at].1));
        let wish = match (before, after) {
            (Some((from, low)), Some((to, high))) => low + (high - low) * (at - from) as f64 / (to - from) as f64,
            (Some((_, low)), None) => low,
            (None, Some((_, high))) => high,
            (None, None) => 0.0,
        };
        wishes.push((wish, false));
    }
    wishes
}

/// For each of a row the nearest before it and the nearest behind it of which something holds.
pub(super) fn beside(holds: &[bool]) -> Vec<(Option<usize>, Option<usize>)> {
    let mut beside = vec![(None, None); holds.len()];
    let (mut before, mut after) = (None, None);
    for at in 0..holds.len() {
        beside[at].0 = before;
        before = if holds[at] { Some(at) } else { before };
        let back = holds.len() - 1 - at;
        beside[back].1 = after;
        after = if holds[back] { Some(back) } else { after };
    }
    beside
}

/// How high the head of each is: over what it stands on, and in rounds so far out that all of them have room.
fn heads(layout: &Layout, stations: &[Station]) -> Vec<f64> {
    let highest = |station: &Station| station.feet.iter().map(|spot| spot.up).fold(f64::NAN, f64::max);
    // Solid fabric evens itself out: what stands lower than its neighbours comes up to them, half the way with every row.
    let solid = stations.iter().all(|station| station.hangs.is_none() && !station.in_space);
    let top = stations.iter().filter(|station| !station.lifts).map(highest).fold(f64::NAN, f64::max);
    let mut heads: Vec<Option<f64>> = stations
        .iter()
        .map(|station| {
            if station.level || station.hangs.is_some() {
                return None;
            }
            let mut foot = highest(station);
            if solid && !station.lifts && top.is_finite() && foot.is_finite() {
                foot += ((top - foot) / 2.0).min(MOST_EVENED);
            }
            Some(if foot.is_nan() { station.height } else { foot + station.height })
        })
        .collect();
    // A chain that only lifts the yarn is lower than its row.
    let known: Vec<bool> = heads.iter().zip(stations).map(|(head, station)| head.is_some() && !station.lifts).collect();
    let beside = beside(&known);
    let told = heads.clone();
    for at in 0..heads.len() {
        if heads[at].is_some() {
            continue;
        }
        let nearest = match beside[at] {
            (Some(before), Some(after)) => told[if at - before <= after - at { before } else { after }],
            (before, after) => before.or(after).and_then(|other| told[other]),
        };
        let foot = highest(&stations[at]);
        let own = if foot.is_nan() { stations[at].height } else { foot + stations[at].height };
        // A post reaches the level of the row, and is never lower than where it stands.
        heads[at] = Some(match nearest {
            Some(nearest) if foot.is_nan() || nearest > foot + 0.6 => nearest,
            _ => own,
        });
    }
    let mut heads: Vec<f64> = heads.into_iter().flatten().collect();
    if layout.round {
        let full = |more: f64| -> f64 {
            stations.iter().zip(&heads).map(|(station, head)| station.width / (TAU * (head + more))).sum()
        };
        let mut low = 0.0;
        if full(low) > 1.0 {
            let mut high = stations.iter().map(|station| station.width).sum::<f64>() / TAU;
            for _ in 0..40 {
                let middle = (low + high) / 2.0;
                if full(middle) > 1.0 { low = middle } else { high = middle }
            }
            for head in &mut heads {
                *head += high;
            }
        }
    }
    heads
}

/// Several stitches in one space stand side by side in it: their feet do not touch.
fn share_spaces(piece: &Spelled, layout: &mut Layout, knots: (u32, u32)) {
    let mut at = knots.0;
    while at < knots.1 {
        let foot = match piece.knots[at as usize].feet.as_slice() {
            [Foot::Knot(foot)] if piece.knots[*foot as usize].item.is_space() => *foot,
            _ => {
                at += 1;
                continue;
            }
        };
        let mut same: Vec<u32> = Vec::new();
        let mut end = at;
        while end < knots.1 {
            let knot = &piece.knots[end as usize];
            if knot.feet.as_slice() == [Foot::Knot(foot)] {
                same.push(end);
            } else if !knot.feet.is_empty() {
                break;
            }
            end += 1;
        }
        let between = layout.placed[foot as usize].as_ref().and_then(|placed| placed.between);
        if let Some((from, to)) = between
            && same.len() > 1
        {
            let width = (to.along - from.along).abs();
            let room = width * 0.55;
            let unit =
                if layout.round { 1.0 / (TAU * layout.head(foot).map_or(1.0, |spot| spot.up.max(0.5))) } else { 1.0 };
            let step = (0.34 * unit).min(room / same.len() as f64);
            let first = layout.head(same[0]).map_or(0.0, |spot| spot.along);
            let last = layout.head(same[same.len() - 1]).map_or(0.0, |spot| spot.along);
            let sign = if last < first { -1.0 } else { 1.0 };
            for (nth, knot) in same.iter().enumerate() {
                let by = sign * step * (nth as f64 - (same.len() - 1) as f64 / 2.0);
                if let Some(placed) = layout.placed[*knot as usize].as_mut() {
                    for spot in &mut placed.feet {
                        spot.along += by;
                    }
                }
            }
        }
        at = end.max(at + 1);
    }
}

/// Marks stand between what is beside them: a gap between two groups is there.
fn place_marks(piece: &Spelled, layout: &mut Layout, knots: (u32, u32)) {
    let seen: Vec<bool> = piece.knots[knots.0 as usize..knots.1 as usize].iter().map(|knot| !knot.is_mark()).collect();
    let neighbours = beside(&seen);
    for at in knots.0..knots.1 {
        if !piece.knots[at as usize].is_mark() {
            continue;
        }
        let near = |other: Option<usize>| other.and_then(|other| layout.placed[knots.0 as usize + other].clone());
        let (before, after) = neighbours[(at - knots.0) as usize];
        let (before, after) = (near(before), near(after));
        let head = match (before, after) {
            (Some(before), Some(after)) => {
                let foot = before.feet.first().map_or(before.head.up - 1.0, |spot| spot.up);
                Spot { along: (before.head.along + after.head.along) / 2.0, up: foot + 0.4 }
            }
            (Some(one), None) | (None, Some(one)) => one.head,
            (None, None) => continue,
        };
        layout.placed[at as usize] = Some(Placed { head, ..Placed::default() });
    }
}
