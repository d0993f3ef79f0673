use super::spelled;
use crate::fabric::{Foot, Item, Spelled, SpelledRow};
use crate::standards::{StitchId, stitch};
use crate::verify::{Request, Verdict, verify};

/// What a row shows, in a line: stitches with the places they stand on, as counted from the first of what they stand on.
fn shown(piece: &Spelled, row: &SpelledRow) -> String {
    let (from, to) = row.knots;
    let mut words = Vec::new();
    for knot in piece.knots[from as usize..to as usize].iter().filter(|knot| !knot.is_mark()) {
        let name = match knot.item {
            Item::Stitch(kind) => stitch(kind).us.abbreviations[0].to_owned(),
            Item::TurningChain { length, .. } => format!("t{length}"),
            Item::Space(length) => format!("ch{length}"),
            Item::Loop(length) => format!("loop{length}"),
            Item::Picot => "picot".to_owned(),
            other => format!("{other:?}"),
        };
        let feet: Vec<String> = knot
            .feet
            .iter()
            .map(|foot| match foot {
                Foot::Knot(id) => {
                    let below = piece.rows.iter().find(|row| (row.chain.0..row.knots.1).contains(id)).unwrap();
                    let seen = piece.knots[below.chain.0 as usize..*id as usize].iter().filter(|knot| !knot.is_mark());
                    format!("{}", seen.count())
                }
                Foot::Ring => "o".to_owned(),
                Foot::Elsewhere => "?".to_owned(),
            })
            .collect();
        words.push(if feet.is_empty() { name } else { format!("{name}/{}", feet.join("+")) });
    }
    words.join(" ")
}

fn rows(text: &str) -> Vec<String> {
    let pieces = spelled(&Request::of(text), 0).unwrap();
    pieces.iter().flat_map(|piece| piece.rows.iter().map(|row| shown(piece, row))).collect()
}

#[test]
fn increases_share_a_place_and_decreases_stand_on_two() {
    let rows = rows(
        "Rnd 1: 4 sc in magic ring. (4)\nRnd 2: *Sc in next st, 2 sc in next st; rep from * around. (6)\n\
         Rnd 3: *Sc in next st, sc2tog; rep from * around. (4)\n",
    );
    assert_eq!(rows[0], "sc/o sc/o sc/o sc/o");
    assert_eq!(rows[1], "sc/0 sc/1 sc/1 sc/2 sc/3 sc/3");
    assert_eq!(rows[2], "sc/0 sc/1+2 sc/3 sc/4+5");
}

#[test]
fn a_turned_row_is_met_from_its_last_stitch() {
    let rows = rows(
        "Ch 5.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (4)\n\
         Row 2: Ch 1, sc in first 2 sts, 2 sc in next st, sc in last st, turn. (5)\n",
    );
    assert_eq!(rows[1], "sc/3 sc/2 sc/1 sc/0");
    assert_eq!(rows[2], "t1/3 sc/3 sc/2 sc/1 sc/1 sc/0");
}

#[test]
fn shells_stand_in_one_stitch_and_in_spaces() {
    let rows = rows(
        "Ch 14.\nRow 1: Sc in 2nd ch from hook, *sk 2 ch, 5 dc in next ch, sk 2 ch, sc in next ch; rep from * across, turn. (13)\n\
         Row 2: Ch 1, sc in first st, *ch 2, sk 2 dc, sc in next dc, ch 2, sk 2 dc, sc in next sc; rep from * across, turn.\n\
         Row 3: Ch 3, *2 dc in next ch-2 sp, dc in next sc; rep from * across. (13)\n",
    );
    assert_eq!(rows[1], "sc/12 dc/9 dc/9 dc/9 dc/9 dc/9 sc/6 dc/3 dc/3 dc/3 dc/3 dc/3 sc/0");
    assert_eq!(rows[2], "t1/12 sc/12 ch2 sc/9 ch2 sc/6 ch2 sc/3 ch2 sc/0");
    assert_eq!(rows[3], "t3/9 dc/8 dc/8 dc/7 dc/6 dc/6 dc/5 dc/4 dc/4 dc/3 dc/2 dc/2 dc/1");
}

#[test]
fn a_cable_crosses_over_the_stitches_that_it_skipped() {
    let rows = rows(
        "Rnd 1: Ch 2, 8 dc in magic ring; join. (8)\n\
         Rnd 2: Ch 2, *skip next 2 sts, FPtr around each of next 2 sts, FPtr around each of the 2 skipped sts; rep from * around; join. (8)\n",
    );
    assert_eq!(rows[1], "t2/1 fptr/3 fptr/4 fptr/1 fptr/2 fptr/7 fptr/8 fptr/5 fptr/6");
}

#[test]
fn what_is_spelled_out_is_what_is_counted_and_everything_stands_on_a_place() {
    let (mut rows_seen, mut stitches) = (0, 0);
    for (name, text) in crate::shelf::holding() {
        let answer = verify(&Request::of(&text)).unwrap();
        for size in 0..answer.sizes.len() {
            let pieces = spelled(&Request::of(&text), size).unwrap();
            let mut rows = pieces.iter().flat_map(|piece| piece.rows.iter().map(move |row| (piece, row)));
            let counted = answer.pieces.iter().flat_map(|piece| &piece.rows).filter_map(|row| {
                row.counts[size].as_ref().filter(|count| count.verdict == Verdict::Right).map(|count| (row, count))
            });
            for (report, count) in counted {
                for _ in 0..count.times {
                    let Some((piece, row)) = rows.next() else { panic!("{name}: {} is not spelled out", report.label) };
                    assert_eq!(row.label, report.label, "{name}");
                    let knots = &piece.knots[row.knots.0 as usize..row.knots.1 as usize];
                    let chain = u64::from(row.chain.1 - row.chain.0);
                    let places = knots.iter().filter(|knot| knot.item.is_place()).count() as u64;
                    let spaces = knots.iter().filter(|knot| knot.item.is_space()).count() as u64;
                    let made = if places == 0 && knots.is_empty() { chain } else { places };
                    if let (Some(counted), false) = (count.made, knots.is_empty()) {
                        assert_eq!(made, counted, "{name}, {}, size {size}", row.label);
                        assert_eq!(Some(spaces), count.spaces, "{name}, {}, size {size}", row.label);
                    }
                    for knot in knots {
                        let stands = matches!(knot.item, Item::Stitch(kind) if kind != StitchId::CHAIN);
                        assert!(!stands || !knot.feet.is_empty(), "{name}, {}: {knot:?}", row.label);
                        for foot in &knot.feet {
                            if let Foot::Knot(id) = foot {
                                assert!(*id < row.knots.1, "{name}, {}: {knot:?}", row.label);
                            }
                        }
                    }
                    rows_seen += 1;
                    stitches += places;
                }
            }
        }
    }
    assert!(rows_seen > 400 && stitches > 20_000, "{rows_seen} rows, {stitches} stitches");
}
