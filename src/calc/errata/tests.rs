//! Six kinds of edit that designers make, and what a maker is told of each.

use super::*;

const CAP: &str = "Curlew Cap\n\nSizes: Small (Medium, Large)\n\nStitches\nPebble: 3 dc in same st.\n\nCap\n\
    Rnd 1: 6 sc in magic ring. (6)\n\
    Rnd 2: 2 sc in each st around. (12)\n\
    Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (18)\n\
    Rnd 4: *Sc in next 2 sts, 2 sc in next st; rep from * around. (24)\n\
    Rnds 5-8 (5-9, 5-10): Sc in each st around. (24)\n\
    Rnd 9 (10, 11): Dc in each st around. (24)\n\
    Fasten off.\n";

fn between(old: &str, new: &str) -> Changes {
    compare(&Request::of(old), &Request::of(new)).unwrap()
}

fn edited(from: &str, to: &str) -> Changes {
    assert!(CAP.contains(from), "{from}");
    between(CAP, &CAP.replace(from, to))
}

#[test]
fn two_equal_patterns_have_nothing_to_tell() {
    let changes = between(CAP, CAP);
    assert!(changes.is_empty());
    assert_eq!(changes.note(), "Nothing has changed.\n");
}

#[test]
fn a_count_that_was_printed_wrong() {
    let wrong = CAP.replace("rep from * around. (18)", "rep from * around. (16)");
    let changes = between(&wrong, CAP);
    assert_eq!(changes.note(), "All sizes\n  Rnd 3: the count is 18, not 16. The work is the same.\n");
    let told = changes.affects("Medium", None, 9).unwrap();
    assert!(!told.affected, "{told:?}");
}

#[test]
fn a_repeat_that_was_wrong() {
    let mut said: Vec<String> = Vec::new();
    let wrong = CAP.replace(
        "*Sc in next 2 sts, 2 sc in next st; rep from * around. (24)",
        "*Sc in next 3 sts, 2 sc in next st; rep from * around. (22)",
    );
    let changes = between(&wrong, CAP);
    said.push(changes.note());
    let told = changes.affects("Small", None, 3).unwrap();
    said.push(told.words);
    let told = changes.affects("Small", None, 4).unwrap();
    said.push(told.words);
    let told = changes.affects("Small", Some("Cap"), 7).unwrap();
    said.push(told.words);
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn a_row_that_comes_in_between() {
    let mut said: Vec<String> = Vec::new();
    let longer = CAP
        .replace("Rnds 5-8 (5-9, 5-10): Sc", "Rnd 5: Hdc in each st around. (24)\nRnds 6-9 (6-10, 6-11): Sc")
        .replace("Rnd 9 (10, 11)", "Rnd 10 (11, 12)");
    let changes = between(CAP, &longer);
    said.push(changes.note());
    said.push(changes.affects("Large", None, 4).unwrap().words);
    said.push(changes.affects("Large", None, 5).unwrap().words);
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn a_size_more() {
    let mut said: Vec<String> = Vec::new();
    let more = CAP
        .replace("Small (Medium, Large)", "Small (Medium, Large, 2X-Large)")
        .replace("5-8 (5-9, 5-10)", "5-8 (5-9, 5-10, 5-11)")
        .replace("Rnd 9 (10, 11)", "Rnd 9 (10, 11, 12)");
    let changes = between(CAP, &more);
    said.push(changes.note());
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn a_stitch_that_means_something_else() {
    let mut said: Vec<String> = Vec::new();
    let with =
        CAP.replace("Dc in each st around", "Pebble in each st around").replace("Dc in each st around. (24)", "");
    let other = with.replace("Pebble: 3 dc in same st.", "Pebble: 4 dc in same st.");
    let changes = between(&with, &other);
    said.push(changes.note());
    said.push(changes.affects("Small", None, 9).unwrap().words);
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn from_us_to_uk_terms() {
    let mut said: Vec<String> = Vec::new();
    let uk = "Curlew Cap\n\nUK terms.\n\nSizes: Small (Medium, Large)\n\nStitches\nPebble: 3 tr in same st.\n\nCap\n\
    Rnd 1: 6 dc in magic ring. (6)\n\
    Rnd 2: 2 dc in each st around. (12)\n\
    Rnd 3: *Dc in next st, 2 dc in next st; rep from * around. (18)\n\
    Rnd 4: *Dc in next 2 sts, 2 dc in next st; rep from * around. (24)\n\
    Rnds 5-8 (5-9, 5-10): Dc in each st around. (24)\n\
    Rnd 9 (10, 11): Tr in each st around. (24)\n\
    Fasten off.\n";
    let changes = between(CAP, uk);
    said.push(changes.note());
    assert!(!changes.affects("Small", None, 9).unwrap().affected);
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn one_size_alone_and_a_range_that_grows() {
    let mut said: Vec<String> = Vec::new();
    let changes = edited("5-8 (5-9, 5-10)", "5-8 (5-10, 5-10)");
    said.push(changes.note());
    for row in [8, 9, 10] {
        said.push(format!("{row}: {}", changes.affects("Medium", None, row).unwrap().words));
    }
    let changes = edited("5-8 (5-9, 5-10)", "5-8 (5-8, 5-10)");
    for row in [8, 9, 10] {
        said.push(format!("{row}: {}", changes.affects("Medium", None, row).unwrap().words));
    }
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn what_could_not_be_read_is_said_to_be_so() {
    let mut said: Vec<String> = Vec::new();
    let changes =
        edited("Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (18)", "Rnd 3: Flounce the frobs. (18)");
    said.push(changes.note());
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn a_place_that_there_is_not_is_said_to_be_so() {
    let changes = edited("(18)", "(16)");
    assert_eq!(
        changes.affects("XS", None, 1).unwrap_err(),
        Unplaced::Size(["Small", "Medium", "Large"].map(str::to_owned).into())
    );
    assert_eq!(changes.affects("Small", Some("Brim"), 1).unwrap_err(), Unplaced::Piece(vec!["Cap".to_owned()]));
    assert_eq!(changes.affects("Small", None, 10).unwrap_err(), Unplaced::Row(9));
    assert!(changes.affects("Small", None, 0).is_ok());
}

#[test]
fn nothing_of_a_pattern_is_markup_in_markdown() {
    let mut said: Vec<String> = Vec::new();
    let changes = edited(
        "Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (18)",
        "Rnd 3: *Sc in next st, 2 sc in next st; rep from * around to <b>end</b> [x](y). (18)",
    );
    said.push(changes.note_markdown());
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn several_pieces_are_told_apart_and_a_row_number_alone_may_not_be_enough() {
    let old = "Eelgrass Mitts\n\nCuff\nRow 1: Ch 11, sc in 2nd ch from hook and in each ch across, turn. (10)\n\
        Row 2: Ch 1, sc in each st across, turn. (10)\n\nThumb\nRnd 1: 8 sc in magic ring. (8)\nRnd 2: Sc in each st around. (8)\n";
    let new = old.replace("Rnd 2: Sc in each st around. (8)", "Rnd 2: 2 sc in each st around. (16)");
    let changes = between(old, &new);
    insta::assert_snapshot!(changes.note());
    assert_eq!(
        changes.affects("One size", None, 2).unwrap_err(),
        Unplaced::Which(vec!["Cuff".to_owned(), "Thumb".to_owned()])
    );
    assert!(!changes.affects("One size", Some("cuff"), 2).unwrap().affected);
    assert!(changes.affects("One size", Some("Thumb"), 2).unwrap().affected);
}

#[test]
fn a_row_of_a_million_million_stitches_is_compared_like_any_other() {
    let old =
        "Rnd 1: Ch 1000000000000, join with sl st to form a ring.\nRnd 2: Sc in each ch around. (1000000000000)\n";
    let changes = between(old, &old.replace("Sc in each ch", "Hdc in each ch"));
    assert_eq!(changes.sizes[0].rows.len(), 1);
    assert_eq!(changes.sizes[0].rows[0].kind, ChangeKind::Work);
}

#[test]
fn a_row_that_goes_and_one_that_stays_the_same_under_another_number() {
    let changes = edited("Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (18)\n", "");
    insta::assert_snapshot!(changes.note());
}

mod any {
    use proptest::prelude::*;

    use super::*;

    fn line() -> impl Strategy<Value = String> {
        let words = prop::sample::select(vec![
            "Rnd 1: 6 sc in magic ring. (6)",
            "Rnds 2-4 (2-5): Sc in each st around. (12)",
            "*Sc in next 2 (3) sts, inc; rep from * around.",
            "Row 3: Ch 1, turn, dc across.",
            "Rep Rnds 2-3 5 times.",
            "Sizes: S (M, L)",
            "Pebble: 4 dc in same st.",
            "UK terms.",
            "Thumb",
            "(18)",
            "",
        ]);
        prop_oneof![words.prop_map(str::to_owned), ".{0,40}"]
    }

    fn text() -> impl Strategy<Value = String> {
        prop::collection::vec(line(), 0..12).prop_map(|lines| lines.join("\n"))
    }

    proptest! {
        #[test]
        fn whatever_is_compared_is_answered(old in text(), new in text(), row in 0u64..20) {
            if let Ok(changes) = compare(&Request::of(&old), &Request::of(&new)) {
                let _ = (changes.note(), changes.note_markdown());
                for size in &changes.sizes {
                    let _ = changes.affects(&size.size, None, row);
                }
            }
            if let Ok(changes) = compare(&Request::of(&old), &Request::of(&old)) {
                prop_assert!(changes.is_empty(), "{}", changes.note());
            }
        }
    }
}
