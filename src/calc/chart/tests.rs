use super::{Chart, Drawn, HIGHEST, Hand, Point, Shape, Symbol, WIDEST, chart};
use crate::fabric::{Foot, Item, Spelled};
use crate::verify::{Request, Terms, spelled};

fn charts() -> impl Iterator<Item = (String, Spelled, Chart)> {
    crate::shelf::holding().into_iter().flat_map(|(name, text)| {
        let sizes = crate::verify::verify(&Request::of(&text)).unwrap().sizes.len();
        (0..sizes).flat_map(move |size| {
            let name = name.clone();
            let pieces = spelled(&Request::of(&text), size).unwrap();
            pieces.into_iter().filter_map(move |piece| {
                let drawn = chart(&piece, Terms::Us, Hand::Right)?;
                Some((format!("{name}, {} in size {size}", piece.names.join(" + ")), piece, drawn))
            })
        })
    })
}

#[test]
fn stitches_of_a_whole_chart_are_the_stitches_of_the_fabric() {
    let mut whole = 0;
    for (name, piece, chart) in charts() {
        if chart.drawn != Drawn::Whole {
            continue;
        }
        whole += 1;
        let mut drawn_rows: Vec<usize> = chart.symbols.iter().map(|symbol| symbol.row).collect();
        drawn_rows.dedup();
        for row in drawn_rows {
            let (from, to) = piece.rows[row].knots;
            let made = piece.knots[from as usize..to as usize].iter().filter(|knot| knot.item.is_place()).count();
            let drawn = chart.symbols.iter().filter(|symbol| symbol.row == row && symbol.stitch).count();
            assert_eq!(drawn, made, "{name}, {}", piece.rows[row].label);
        }
    }
    assert!(whole >= 20, "{whole} charts are whole");
}

#[test]
fn each_symbol_stands_on_the_place_it_was_worked_into() {
    let mut standing = 0;
    for (name, piece, chart) in charts() {
        let heads: std::collections::HashMap<u32, &Symbol> = chart
            .symbols
            .iter()
            .filter(|symbol| !chart.key[symbol.key].name.starts_with("join"))
            .map(|symbol| (symbol.knot, symbol))
            .collect();
        for symbol in &chart.symbols {
            let knot = &piece.knots[symbol.knot as usize];
            // A chain that only lifts the yarn goes straight up.
            let lifts = matches!(knot.item, Item::TurningChain { counts_as: None, .. });
            if symbol.feet.is_empty() || knot.lower || lifts {
                continue;
            }
            let places: Vec<u32> = knot
                .feet
                .iter()
                .filter_map(|foot| if let Foot::Knot(id) = foot { Some(*id) } else { None })
                .filter(|id| !piece.knots[*id as usize].is_mark())
                .collect();
            for (at, place) in symbol.feet.iter().zip(&places) {
                let Some(below) = heads.get(place) else { continue };
                // Around a post: within the stitch. In a space: within its arc, which is as long as its chains.
                let reach = match piece.knots[*place as usize].item {
                    Item::Space(length) | Item::Loop(length) => f64::from(length) * 0.54 / 2.0 + 0.4,
                    _ if below.feet.is_empty() => 0.01,
                    _ => below.head.distance(below.feet[0]) * 0.31 + 0.01,
                };
                let off = at.distance(below.head);
                assert!(off <= reach, "{name}, {}: {off:.2} off", piece.rows[symbol.row].label);
                standing += 1;
            }
        }
    }
    assert!(standing > 15_000, "{standing} stand on something");
}

/// The convex hull of a symbol (Andrew's monotone chain).
fn hull(symbol: &Symbol) -> Vec<Point> {
    let mut points: Vec<Point> = symbol.shapes.iter().flat_map(Shape::outline).collect();
    points.sort_by(|one, other| (one.x, one.y).partial_cmp(&(other.x, other.y)).unwrap());
    let turn = |a: Point, b: Point, c: Point| (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    let half = |points: &mut dyn Iterator<Item = Point>| {
        let mut half: Vec<Point> = Vec::new();
        for point in points {
            while half.len() > 1 && turn(half[half.len() - 2], half[half.len() - 1], point) <= 0.0 {
                half.pop();
            }
            half.push(point);
        }
        half.pop();
        half
    };
    let mut all = half(&mut points.iter().copied());
    all.extend(half(&mut points.iter().rev().copied()));
    all
}

fn area(points: &[Point]) -> f64 {
    let pairs = points.iter().zip(points.iter().cycle().skip(1));
    pairs.map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>().abs() / 2.0
}

/// What two convex outlines share (Sutherland and Hodgman).
fn shared(one: &[Point], other: &[Point]) -> f64 {
    let mut kept = one.to_vec();
    for (from, to) in other.iter().zip(other.iter().cycle().skip(1)) {
        let side = |point: Point| (to.x - from.x) * (point.y - from.y) - (to.y - from.y) * (point.x - from.x);
        let mut next = Vec::new();
        for (a, b) in kept.iter().zip(kept.iter().cycle().skip(1)) {
            let (at, bt) = (side(*a), side(*b));
            if at >= 0.0 {
                next.push(*a);
            }
            if at * bt < 0.0 {
                next.push(a.towards(*b, at / (at - bt)));
            }
        }
        kept = next;
        if kept.len() < 3 {
            return 0.0;
        }
    }
    area(&kept)
}

#[test]
fn no_two_symbols_overlap_by_more_than_a_tenth() {
    let (mut pairs, mut worst) = (0, Vec::new());
    for (name, piece, chart) in charts() {
        // An arc of chains is as many symbols as it has chains; stitches of one cable cross each other, as they do in it.
        let mut parts: Vec<(usize, Vec<Point>, f64, bool)> = Vec::new();
        for (at, symbol) in chart.symbols.iter().enumerate() {
            let ovals = symbol.shapes.iter().all(|shape| matches!(shape, Shape::Oval { .. }));
            let single: Vec<Symbol> = if ovals {
                symbol.shapes.iter().map(|shape| Symbol { shapes: vec![shape.clone()], ..symbol.clone() }).collect()
            } else {
                vec![symbol.clone()]
            };
            for symbol in single {
                let outline = hull(&symbol);
                let size = area(&outline);
                let post = symbol.shapes.iter().any(|shape| matches!(shape, Shape::Letters { .. }));
                parts.push((at, outline, size, post));
            }
        }
        let mut order: Vec<usize> = (0..parts.len()).collect();
        let left = |at: &usize| parts[*at].1.iter().map(|point| point.x).fold(f64::INFINITY, f64::min);
        order.sort_by(|one, other| left(one).partial_cmp(&left(other)).unwrap());
        for (nth, one) in order.iter().enumerate() {
            let right = parts[*one].1.iter().map(|point| point.x).fold(f64::NEG_INFINITY, f64::max);
            for other in order[nth + 1..].iter().take_while(|other| left(other) < right) {
                let ((at, a, a_size, a_post), (bt, b, b_size, b_post)) = (&parts[*one], &parts[*other]);
                if at == bt || *a_post && *b_post {
                    continue;
                }
                pairs += 1;
                let part = shared(a, b) / a_size.min(*b_size).max(1e-6);
                if part > 0.1 {
                    let row = |at: usize| piece.rows[chart.symbols[at].row].label.clone();
                    let words = |at: usize| chart.key[chart.symbols[at].key].name.clone();
                    worst.push(format!(
                        "{name}: {part:.2} of {} in {} and {} in {}",
                        words(*at),
                        row(*at),
                        words(*bt),
                        row(*bt)
                    ));
                }
            }
        }
    }
    assert!(pairs > 15_000, "{pairs} pairs lie near each other");
    assert!(worst.is_empty(), "{} overlap:\n{}", worst.len(), worst.join("\n"));
}

#[test]
fn the_left_hand_sees_the_mirror_image() {
    let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n";
    let pieces = spelled(&Request::of(text), 0).unwrap();
    let (right, left) =
        (chart(&pieces[0], Terms::Us, Hand::Right).unwrap(), chart(&pieces[0], Terms::Us, Hand::Left).unwrap());
    for (one, other) in right.symbols.iter().zip(&left.symbols) {
        assert_eq!((one.head.x, one.head.y), (-other.head.x, other.head.y));
    }
    let angle = |chart: &Chart, at: usize| chart.symbols[at].head.y.atan2(chart.symbols[at].head.x);
    let step = |chart: &Chart| (angle(chart, 1) - angle(chart, 0)).rem_euclid(std::f64::consts::TAU);
    assert!(step(&right) < std::f64::consts::PI, "the right hand goes counter-clockwise");
    assert!(step(&left) > std::f64::consts::PI, "the left hand goes clockwise");
}

#[test]
fn rows_go_to_and_fro_and_the_first_right_side_row_from_right_to_left() {
    let text = "Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (8)\nRow 2: Ch 1, sc in each st across, turn. (8)\n";
    let pieces = spelled(&Request::of(text), 0).unwrap();
    let chart = chart(&pieces[0], Terms::Us, Hand::Right).unwrap();
    let xs = |row: usize| -> Vec<f64> {
        chart.symbols.iter().filter(|symbol| symbol.row == row && symbol.stitch).map(|symbol| symbol.head.x).collect()
    };
    let rows: Vec<usize> = (0..pieces[0].rows.len()).filter(|row| !xs(*row).is_empty()).collect();
    assert!(xs(rows[0]).is_sorted_by(|one, next| one > next), "{:?}", xs(rows[0]));
    assert!(xs(rows[1]).is_sorted(), "{:?}", xs(rows[1]));
}

#[test]
fn a_size_too_large_says_so_and_shows_a_repeat() {
    let text = "Ch 401.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (400)\n\
                Row 2: Ch 1, sc in first 2 sts, *ch 2, sk 2 sts, sc in next 2 sts; rep from * to last 2 sts, sc in last 2 sts, turn.\n";
    let pieces = spelled(&Request::of(text), 0).unwrap();
    let drawn = chart(&pieces[0], Terms::Us, Hand::Right).unwrap();
    let Drawn::Window { stitches, of } = drawn.drawn else { panic!("{:?}", drawn.drawn) };
    assert!(of == 400 && (6..40).contains(&stitches), "{stitches} of {of}");
    assert!(drawn.notes[0].contains("too large to draw whole"), "{:?}", drawn.notes);
    let mut rounds = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n".to_owned();
    for round in 3..=60 {
        rounds += &format!(
            "Rnd {round}: *Sc in next {} sts, 2 sc in next st; rep from * around. ({})\n",
            round - 2,
            6 * round
        );
    }
    let pieces = spelled(&Request::of(&rounds), 0).unwrap();
    let drawn = chart(&pieces[0], Terms::Us, Hand::Right).unwrap();
    assert_eq!(drawn.drawn, Drawn::Wedge { of: 6 });
    let (low, high) = drawn.bounds;
    assert!(high.x - low.x <= WIDEST + 4.0 && high.y - low.y <= HIGHEST + 4.0, "{low:?} {high:?}");
}
