//! The symbols of a placed piece.

use super::crop::Crop;
use super::key::{Key, KeyEntry, What};
use super::layout::{CHAIN, Layout, Placed};
use super::segment::Segment;
use super::shape::{Point, Shape};
use super::sign::{Sign, oval};
use super::{RowLabel, Symbol};
use crate::fabric::{Item, LoopOnly, Spelled};
use crate::verify::Terms;

/// What was drawn.
pub(super) struct Drawing {
    pub(super) symbols: Vec<Symbol>,
    pub(super) labels: Vec<RowLabel>,
    pub(super) key: Vec<KeyEntry>,
    pub(super) notes: Vec<String>,
}

impl Drawing {
    /// For the left hand.
    pub(super) fn mirror(&mut self) {
        let flip = |point: &mut Point| point.x = -point.x;
        for symbol in &mut self.symbols {
            symbol.feet.iter_mut().for_each(flip);
            flip(&mut symbol.head);
            symbol.shapes = symbol.shapes.iter().map(Shape::mirrored).collect();
        }
        for label in &mut self.labels {
            flip(&mut label.at);
        }
        for entry in &mut self.key {
            entry.sample = entry.sample.iter().map(Shape::mirrored).collect();
        }
    }

    /// The corners of all of it.
    pub(super) fn bounds(&self, ring: Option<f64>) -> (Point, Point) {
        let mut low = Point::new(f64::INFINITY, f64::INFINITY);
        let mut high = Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
        let mut take = |point: Point, by: f64| {
            low = Point::new(low.x.min(point.x - by), low.y.min(point.y - by));
            high = Point::new(high.x.max(point.x + by), high.y.max(point.y + by));
        };
        for symbol in &self.symbols {
            symbol.shapes.iter().flat_map(Shape::outline).for_each(|point| take(point, 0.0));
            symbol.feet.iter().for_each(|point| take(*point, 0.0));
        }
        self.labels.iter().for_each(|label| take(label.at, 0.6));
        if let Some(ring) = ring {
            take(Point::default(), ring);
        }
        if low.x > high.x { (Point::default(), Point::default()) } else { (low, high) }
    }
}

pub(super) fn draw(piece: &Spelled, segment: &Segment, layout: &Layout, crop: &Crop, terms: Terms) -> Drawing {
    let mut drawing = Drawing { symbols: Vec::new(), labels: Vec::new(), key: Vec::new(), notes: Vec::new() };
    let mut key = Key::default();
    foundation(segment, layout, crop, terms, &mut key, &mut drawing);
    let mut loops: Vec<(LoopOnly, String)> = Vec::new();
    for placed_row in &layout.rows[crop.rows.0..crop.rows.1] {
        let row = &piece.rows[placed_row.row];
        let all = whole_row_loop(piece, row.knots);
        if let Some(which) = all {
            loops.push((which, row.number.map_or_else(|| row.label.clone(), |number| number.to_string())));
        }
        for knot in placed_row.stations.iter().filter(|knot| crop.keeps(**knot)) {
            let Some(placed) = layout.placed[*knot as usize].as_ref() else { continue };
            let item = piece.knots[*knot as usize].item;
            let what = What::of(&piece.knots[*knot as usize]);
            let entry = key.entry(what, terms);
            let feet: Vec<Point> = placed.feet.iter().map(|spot| layout.point(*spot)).collect();
            let head = layout.point(placed.head);
            let shapes = match item {
                Item::Space(length) | Item::Loop(length) => arc(layout, placed, length),
                Item::TurningChain { length, .. } => stack(foot_of(layout, placed, &feet), head, length),
                Item::Picot => boxed(head, layout, placed, key.letter(entry)),
                _ => {
                    let only = piece.knots[*knot as usize].loop_only.filter(|_| all.is_none());
                    stitch_shapes(layout, placed, &feet, what.sign(), key.letter(entry), only)
                }
            };
            let stitch = item.is_place();
            drawing.symbols.push(Symbol { knot: *knot, stitch, row: placed_row.row, feet, head, shapes, key: entry });
        }
        let begins = placed_row.stations.first().is_some_and(|knot| crop.keeps(*knot));
        if begins {
            let text = row.number.map_or_else(String::new, |number| number.to_string());
            if !text.is_empty() {
                drawing.labels.push(RowLabel { row: placed_row.row, text, at: layout.point(placed_row.label) });
            }
        }
        if let (Some(join), true, Some(last)) = (placed_row.join, crop.is_whole(), placed_row.stations.last()) {
            let entry = key.entry(What::Join, terms);
            let head = layout.point(join);
            let up = layout.upright(head);
            let shapes = vec![Shape::Oval { centre: head, long: 0.2, short: 0.13, axis: up.left(), filled: true }];
            drawing.symbols.push(Symbol {
                knot: *last,
                stitch: false,
                row: placed_row.row,
                feet: Vec::new(),
                head,
                shapes,
                key: entry,
            });
        }
    }
    for which in [LoopOnly::Back, LoopOnly::Front] {
        let rows: Vec<&str> = loops.iter().filter(|(other, _)| *other == which).map(|(_, row)| row.as_str()).collect();
        if !rows.is_empty() {
            let loops = if which == LoopOnly::Back { "back" } else { "front" };
            drawing.notes.push(format!("Into the {loops} loops only: {}.", rows.join(", ")));
        }
    }
    let letters = |wanted: &str| {
        drawing
            .symbols
            .iter()
            .flat_map(|symbol| &symbol.shapes)
            .any(|shape| matches!(shape, Shape::Letters { text, .. } if text == wanted))
    };
    if letters("b") || letters("f") {
        drawing
            .notes
            .push("A small b at the foot: into the back loop only; a small f: into the front loop only.".into());
    }
    if letters("F") || letters("B") {
        drawing.notes.push(
            "A hook at the foot: worked around the post, F from the front, B from the back, as the right side shows it."
                .into(),
        );
    }
    drawing.key = key.entries;
    drawing
}

/// The loop that every stitch of a row goes into, where it is the same.
fn whole_row_loop(piece: &Spelled, knots: (u32, u32)) -> Option<LoopOnly> {
    let mut stitches = piece.knots[knots.0 as usize..knots.1 as usize]
        .iter()
        .filter(|knot| matches!(knot.item, Item::Stitch(_)))
        .map(|knot| knot.loop_only);
    let first = stitches.next()??;
    stitches.all(|only| only == Some(first)).then_some(first)
}

/// The chain that everything stands on.
fn foundation(segment: &Segment, layout: &Layout, crop: &Crop, terms: Terms, key: &mut Key, drawing: &mut Drawing) {
    let (from, to) = segment.chain;
    let (standing, drawn_by_row) = layout.standing;
    let lying = to - standing.min(to - from);
    for knot in from..to {
        let Some(placed) = layout.placed[knot as usize].as_ref() else { continue };
        if !crop.keeps(knot) || knot >= lying && drawn_by_row {
            continue;
        }
        let mut head = layout.point(placed.head);
        let mut axis = if layout.round { Point::default().direction(head).left() } else { Point::new(1.0, 0.0) };
        if knot >= lying {
            // Passed over at the hook's end: they stand up beside the first stitch.
            let last = layout
                .point(layout.placed[lying.saturating_sub(1) as usize].as_ref().map_or(placed.head, |last| last.head));
            let outwards = (head.x - last.x).signum() * 0.8;
            head = Point::new(last.x + outwards, 0.1 + (f64::from(knot - lying) + 0.5) * CHAIN);
            axis = Point::new(0.0, 1.0);
        }
        let entry = key.entry(What::Chain, terms);
        let shapes = vec![oval(head, axis, false)];
        drawing.symbols.push(Symbol {
            knot,
            stitch: false,
            row: segment.rows.0,
            feet: Vec::new(),
            head,
            shapes,
            key: entry,
        });
    }
}

/// A symbol on its places: one with several is a box over lines that lead to each.
fn stitch_shapes(
    layout: &Layout,
    placed: &Placed,
    feet: &[Point],
    sign: Sign,
    letter: &str,
    only: Option<LoopOnly>,
) -> Vec<Shape> {
    let head = layout.point(placed.head);
    let foot = foot_of(layout, placed, feet);
    let upright = layout.upright(head);
    let mut shapes = sign.draw(foot, head, upright, letter, only);
    if matches!(sign, Sign::Cross | Sign::CurvedCross | Sign::Filled) && foot.distance(head) > 1.6 {
        // It has no stem that shows where it stands.
        shapes.push(Shape::leader(foot.towards(head, 0.05), head.along(upright, -0.8)));
    }
    if sign == Sign::Box {
        let under = head.along(upright, -0.77);
        let feet = if feet.is_empty() { &[foot][..] } else { feet };
        shapes.extend(feet.iter().map(|foot| Shape::leader(foot.towards(under, 0.1), under)));
    }
    shapes
}

/// Where it stands on the whole; in a ring, right under its head.
fn foot_of(layout: &Layout, placed: &Placed, feet: &[Point]) -> Point {
    if feet.is_empty() {
        let head = placed.head;
        return if layout.round {
            layout.point(super::layout::Spot { up: layout.ring.unwrap_or(0.6).min(head.up), ..head })
        } else {
            layout.point(super::layout::Spot { up: (head.up - 1.0).max(0.0), ..head })
        };
    }
    let count = feet.len() as f64;
    Point::new(feet.iter().map(|foot| foot.x).sum::<f64>() / count, feet.iter().map(|foot| foot.y).sum::<f64>() / count)
}

/// Chains that stand on one another.
fn stack(foot: Point, head: Point, length: u32) -> Vec<Shape> {
    let up = foot.direction(head);
    let count = length.clamp(1, 12);
    let step = (foot.distance(head) - 0.1) / f64::from(count);
    (0..count)
        .map(|nth| {
            let centre = foot.along(up, 0.05 + step * (f64::from(nth) + 0.5));
            Shape::Oval { centre, long: (step * 0.46).min(0.3), short: 0.13, axis: up, filled: false }
        })
        .collect()
}

/// Chains in an arc from one head to the next.
fn arc(layout: &Layout, placed: &Placed, length: u32) -> Vec<Shape> {
    let Some((from, to)) = placed.between else { return Vec::new() };
    let point = |spot| {
        let at = layout.point(spot);
        at.along(layout.upright(at), 0.1)
    };
    let (from, to) = (point(from), point(to));
    let top = layout.point(placed.head);
    let chord = from.distance(to);
    let inset = (0.5 / chord.max(0.9)).min(0.42);
    let (from, to) = (from.towards(to, inset), to.towards(from, inset));
    // Through the top: the middle of a curve lies half way between the middle of its ends and its handle.
    let middle = from.towards(to, 0.5);
    let handle = middle.towards(top, 2.0);
    let on = |part: f64| from.towards(handle, part).towards(handle.towards(to, part), part);
    let count = length.clamp(1, 60);
    (0..count)
        .map(|nth| {
            let part = (f64::from(nth) + 0.5) / f64::from(count);
            let (before, after) = (on((part - 0.02).max(0.0)), on((part + 0.02).min(1.0)));
            oval(on(part), before.direction(after), false)
        })
        .collect()
}

/// A box that sits on what was made before it.
fn boxed(head: Point, layout: &Layout, placed: &Placed, letter: &str) -> Vec<Shape> {
    let foot = foot_of(layout, placed, &[]);
    let up = foot.direction(head);
    vec![Shape::Lettered { centre: head.along(up, 0.35), half: 0.3, text: letter.to_owned() }]
}
