use super::*;
use crate::standards::StitchId;

const SC: StitchId = StitchId::SINGLE_CROCHET;
const DC: StitchId = StitchId::DOUBLE_CROCHET;

/// `A: 20 sc, 3 ch; B: …` of the first size, all pieces together.
fn told(text: &str) -> String {
    let census = census(&Request::of(text)).unwrap();
    let size = &census.sizes[0];
    let mut colours = Vec::new();
    for (at, name) in census.colours.iter().enumerate() {
        let mut works: Vec<(Labour, u64)> = Vec::new();
        for (_, labour, count) in size.works().filter(|work| work.0 == at) {
            match works.iter_mut().find(|work| work.0 == labour) {
                Some(work) => work.1 += count,
                None => works.push((labour, count)),
            }
        }
        works.sort_unstable();
        let words: Vec<String> = works.into_iter().map(|(labour, count)| format!("{count} {}", word(labour))).collect();
        colours.push(format!("{name}: {}", words.join(", ")));
    }
    colours.join("; ")
}

fn word(labour: Labour) -> String {
    let name = |kind: StitchId| crate::standards::stitch(kind).us.abbreviations.first().copied().unwrap_or("?");
    match labour {
        Labour::Chain => "ch".to_owned(),
        Labour::TurningChain => "turning ch".to_owned(),
        Labour::Join => "join".to_owned(),
        Labour::Closing(kind) => format!("closing {}", name(kind)),
        Labour::Stitch { kind, legs: 1 } => name(kind).to_owned(),
        Labour::Stitch { kind, legs } => format!("{}{legs}tog", name(kind)),
        Labour::Part(kind) => format!("leg of {}", name(kind)),
    }
}

#[test]
fn a_foundation_its_turning_chains_and_every_row_are_counted() {
    let text = "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n\
                Rows 2-4: Ch 1, sc in each st across, turn. (10)";
    assert_eq!(told(text), ": 11 ch, 3 turning ch, 40 sc");
}

#[test]
fn a_decrease_is_one_stitch_on_two_legs() {
    let text = "Rnd 1: 12 sc in magic ring. (12)\nRnd 2: [Sc in next 2 sts, sc2tog] around. (9)";
    assert_eq!(told(text), ": 18 sc, 3 sc2tog");
}

#[test]
fn rounds_are_joined_with_slip_stitches_that_no_count_has() {
    let text = "Ch 4, join with sl st to form a ring.\n\
                Rnd 1: Ch 3 (counts as dc), 11 dc in ring, join with sl st to top of ch 3. (12)\n\
                Rnd 2: Ch 3 (counts as dc), dc in same st, 2 dc in each st around, join with sl st to top of ch 3. (24)";
    assert_eq!(told(text), ": 4 ch, 6 turning ch, 3 join, 34 dc");
}

#[test]
fn stripes_change_the_yarn_at_the_end_of_the_last_row() {
    let text = "With A, ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n\
                Rows 2 and 3: Ch 1, sc in each st across, turn. Change to B in last st of Row 3.\n\
                Rows 4-6: Rep Row 2. Change to A.\nRow 7: Rep Row 2.";
    assert_eq!(told(text), "A: 11 ch, 3 turning ch, 40 sc; B: 3 turning ch, 30 sc");
}

#[test]
fn a_block_of_rows_worked_again_takes_its_colours_along() {
    let text = "With A, ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n\
                Row 2: With B, ch 1, sc in each st across, turn.\nRow 3: Ch 1, sc in each st across, turn. Change to A.\n\
                Row 4: Ch 1, sc in each st across, turn.\nRep Rows 2-4 five times more.\nNext row: With A, rep Row 3.";
    assert_eq!(told(text), "A: 11 ch, 7 turning ch, 80 sc; B: 12 turning ch, 120 sc");
}

#[test]
fn a_row_worked_again_in_another_colour_is_in_that_colour() {
    let text = "With A, ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n\
                Row 2: With B, ch 1, sc in each st across, turn.\nRow 3: With C, rep Row 2.\nRow 4: As Row 2.";
    assert_eq!(told(text), "A: 11 ch, 10 sc; B: 2 turning ch, 20 sc; C: 1 turning ch, 10 sc");
}

#[test]
fn colours_change_within_a_row_and_within_its_repeats() {
    let text = "With A, ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12)\n\
                Row 2: Ch 1, *with A, sc in next 2 sts, with B, sc in next st; rep from * across, turn. (12)\n\
                Row 3: Ch 1, sc in next 3 sts in A, sc in each st across in B, turn. (12)";
    assert_eq!(told(text), "A: 13 ch, 1 turning ch, 23 sc; B: 1 turning ch, 13 sc");
}

#[test]
fn a_colour_stands_in_the_header_or_in_a_line_of_its_own() {
    let text = "With A, ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n\
                Row 2 (B): Ch 1, sc in each st across, turn. (10)\nWith A:\nRow 3: Ch 1, sc in each st across, turn. (10)";
    assert_eq!(told(text), "A: 11 ch, 1 turning ch, 20 sc; B: 1 turning ch, 10 sc");
}

#[test]
fn strands_held_together_are_counted_one_by_one() {
    let text = "With A and B held together, ch 6.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (5)\n\
                Row 2: With 2 strands of A, ch 1, sc in each st across. (5)";
    assert_eq!(told(text), "A: 6 ch, 2 turning ch, 15 sc; B: 6 ch, 5 sc");
}

#[test]
fn what_is_made_twice_is_counted_twice() {
    let text = "EAR (make 2)\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n\n\
                TAIL\nRnd 1: 5 sc in magic ring. (5)";
    assert_eq!(told(text), ": 41 sc");
}

#[test]
fn a_stitch_of_the_patterns_own_is_counted_by_its_parts() {
    let text = "Shell: 5 dc in same st.\nCh 20.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (19)\n\
                Row 2: Ch 1, sc in first st, *sk 2 sts, shell in next st, sk 2 sts, sc in next st; rep from * across. (19)";
    assert_eq!(told(text), ": 20 ch, 1 turning ch, 23 sc, 15 dc");
}

#[test]
fn picots_and_chain_spaces_are_chains() {
    let text = "Rnd 1: 6 sc in magic ring. (6)\n\
                Rnd 2: *Sc in next st, ch 4, sl st in 4th ch from hook (picot made), ch 2; rep from * around.";
    assert_eq!(told(text), ": 36 ch, 6 join, 12 sc");
}

#[test]
fn legs_that_wait_are_closed_by_one_pull() {
    let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Ch 3, *dc3tog in next st, ch 2; rep from * around, join.";
    assert_eq!(told(text), ": 10 ch, 3 turning ch, 1 join, 6 sc, 5 cl0tog, 15 leg of dc");
}

#[test]
fn a_row_that_cannot_be_read_counts_what_it_prints_and_is_named() {
    let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: Frobnicate the wibble twice around each st. (12)";
    let census = census(&Request::of(text)).unwrap();
    assert_eq!(census.sizes[0].by_print, [("Piece".to_owned(), "Rnd 2".to_owned())]);
    assert_eq!(census.sizes[0].count(0, Labour::stitch(SC)), 18);
}

#[test]
fn a_row_of_a_billion_costs_what_a_row_of_ten_costs() {
    let text = "Ch 1000000001.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn.\n\
                Rows 2-1000000: Ch 1, *with A, sc in next 2 sts, with B, dc in next 2 sts; rep from * across, turn.";
    let census = census(&Request::of(text)).unwrap();
    assert_eq!(census.sizes[0].count(1, Labour::stitch(DC)), 500_000_000 * 999_999);
}

#[test]
fn a_yarn_is_joined_by_its_letter() {
    let text = "With A, ch 4, join with sl st to form a ring.\nRnd 1: Ch 1, 8 sc in ring, join. Drop A. (8)\n\
                Rnd 2: Join B. Ch 1, 2 sc in each st around, join. (16)\n\
                Rnd 3: Ch 1, sc in each st around, join A with sl st in first sc. (16)\nRnd 4: Ch 1, sc in each st around. (16)";
    assert_eq!(told(text), "A: 4 ch, 2 turning ch, 2 join, 24 sc; B: 2 turning ch, 1 join, 32 sc");
}

#[test]
fn the_gauge_is_the_texts_own() {
    let text = "GAUGE\n15 hdc and 10 rnds = 4 in\n\nRnd 1: 6 sc in magic ring. (6)";
    let gauge = census(&Request::of(text)).unwrap().gauge;
    assert_eq!(gauge.len(), 1);
    assert_eq!(gauge[0].stitch, Some(StitchId::HALF_DOUBLE_CROCHET));
    assert!((gauge[0].width.to_inches() - 4.0 / 15.0).abs() < 1e-9);
    assert!((gauge[0].height.unwrap().to_inches() - 0.4).abs() < 1e-9);
}

#[test]
fn a_number_of_times_before_a_count_is_no_size_list() {
    let text = "Sizes: Small (Large)\nRnd 1: 12 sc in magic ring. (12)\nRnd 2: *3 sc, inc* x 3 – 15 sts.";
    assert_eq!(told(text), ": 27 sc");
    assert!(crate::verify::judge(&Request::of(text)).unwrap().holds);
}

#[test]
fn a_yarn_taken_at_the_end_of_two_rows_is_taken_there_in_every_repeat() {
    let text = "With MC, ch 60, join with sl st to form a ring.\nRnd 1: Ch 1, sc in each ch around, join. (60)\n\
                Rnds 2 and 3: Ch 2, hdc in each st around, join. Change to CC at end of Rnd 3.\n\
                Rnds 4-5: Ch 1, sc in each st around, join. Change to MC at end of Rnd 5.\n\
                Rnds 6-9: Repeat Rnds 2-5.\nRnds 10-17: Repeat Rnds 2-5.\n\
                Rnd 18: With MC, ch 1, *sc in next 4 sts, sc2tog; rep from * around, join. (50)";
    assert_eq!(
        told(text),
        "MC: 60 ch, 18 turning ch, 11 join, 100 sc, 10 sc2tog, 480 hdc; CC: 8 turning ch, 8 join, 480 sc"
    );
}

#[test]
fn a_row_that_repeats_another_takes_its_own_yarn_along_when_it_is_repeated() {
    let text = "With A, ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n\
                Row 2: Ch 1, sc in each st across, turn.\nRow 3: With B, rep Row 2. Change to A in last st.\n\
                Rows 4-9: Rep Rows 2 and 3.";
    assert_eq!(told(text), "A: 11 ch, 4 turning ch, 50 sc; B: 4 turning ch, 40 sc");
}
