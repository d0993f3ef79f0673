//! Rules about how rows, sizes and repeats are put in order.

use super::Page;
use crate::verify::Rule;

pub(super) const ROW_NUMBER_GAP: Page = Page {
    rule: Rule::RowNumberGap,
    summary: "A number is missing in the sequence of rows.",
    why: "A maker stops and looks for the row. Either it was lost in an edit, and the piece comes out too short, or the rows \
          only need new numbers.",
    working: "It is a warning where the row fits the row before it, and an error where it does not: then a row's stitches are \
              missing too, and the working shows how many.",
    remedy: "Put the missing row back, or number the rows anew.",
    fails: "\
Plover Cap

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 4: Sc in each st around. (12)
",
    near_miss: "\
Plover Cap

Sizes: Small (Large)

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)

Large only:
Rnd 3: Sc in each st around. (12)

All sizes:
Rnd 4: Sc in each st around. (12)
",
    near_miss_because: "Small has no round 3 either, but the text says whose it is.",
    repaired: "\
Plover Cap

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Sc in each st around. (12)
",
};

pub(super) const ROW_NUMBER_REPEATED: Page = Page {
    rule: Rule::RowNumberRepeated,
    summary: "A row number comes twice, or out of order.",
    why: "A maker cannot tell whether the row is worked once or twice, and a row counter goes wrong from here on.",
    working: "It is a warning where the row fits the row before it, and an error where it does not.",
    remedy: "Take the doubled row out, or number the rows anew. If a new piece begins, give it a heading.",
    fails: "\
Eelgrass Mitts

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 2: Sc in each st around. (16)
",
    near_miss: "\
Eelgrass Mitts

HAND
Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Fasten off.

THUMB
Rnd 1: 5 sc in magic ring. (5)
Rnd 2: 2 sc in each st around. (10)
Fasten off.
",
    near_miss_because: "The thumb is a piece of its own and counts its rounds from 1.",
    repaired: "\
Eelgrass Mitts

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 3: Sc in each st around. (16)
",
};

pub(super) const SIZE_LIST_LENGTH: Page = Page {
    rule: Rule::SizeListLength,
    summary: "A list of numbers has more or fewer entries than the pattern has sizes.",
    why: "From the missing number on, every larger size reads its neighbour's figure.",
    working: "The message gives the length of this list and the number of sizes. The row is not worked in any size, since nobody \
              can say which number is missing; the rows after it go on from the next count that is whole.",
    remedy: "Give one number for each size, a dash or 0 where a size does not work the row, or a single number for all.",
    fails: "\
Curlew Cap

Sizes: Small (Medium, Large)

Rnd 1: 6 (8, 10) sc in magic ring. 6 (8, 10) sc.
Rnd 2: 2 sc in each st around. 12 (16) sc.
",
    near_miss: "\
Curlew Cap

Sizes: Small (Medium, Large)

Rnd 1: 6 (8, 10) sc in magic ring. 6 (8, 10) sc.
Rnd 2: Sc in next 4 sts, 2 sc in each st to end. 8 (12, 16) sc.
",
    near_miss_because: "A single number, like the 4 here, is for all sizes.",
    repaired: "\
Curlew Cap

Sizes: Small (Medium, Large)

Rnd 1: 6 (8, 10) sc in magic ring. 6 (8, 10) sc.
Rnd 2: 2 sc in each st around. 12 (16, 20) sc.
",
};

pub(super) const REPEAT_WITHOUT_EXTENT: Page = Page {
    rule: Rule::RepeatWithoutExtent,
    summary: "A repeat does not say how often or how far; it was taken to fill the row.",
    why: "Most makers will do the same, but some will repeat once and stop.",
    working: "The row was worked with the repeat going to its end, and the count agrees or there is none. Where it did not agree \
              the row has an error instead, and this is not said in addition.",
    remedy: "Add \"around\", \"across\", \"to last 2 sts\" or a number.",
    fails: "\
Tidepool Coaster

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: *Sc in next st, 2 sc in next st; rep from *. (9)
",
    near_miss: "\
Tidepool Coaster

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: *Sc in next st, 2 sc in next st; rep from * twice more. (9)
",
    near_miss_because: "A number is as good as \"around\": three passes of two stitches fill the six.",
    repaired: "\
Tidepool Coaster

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: *Sc in next st, 2 sc in next st; rep from * around. (9)
",
};

pub(super) const ROW_NOT_FOUND: Page = Page {
    rule: Rule::RowNotFound,
    summary: "A row refers to a row that the piece has not worked before it.",
    why: "There is nothing to repeat: the maker leafs back and finds no such row.",
    working: "The message names the number that was looked for. Rows of another piece, and rows further on, do not count.",
    remedy: "Correct the number, or write the row out.",
    fails: "\
Redshank Cowl

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Rep Rnd 5. (24)
",
    near_miss: "\
Redshank Cowl

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Sc in each st around. (12)
Rnds 4-5: Rep Rnds 2 and 3. (24)
",
    near_miss_because: "Both rows referred to stand before this one; they are worked again on what is there now.",
    repaired: "\
Redshank Cowl

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Rep Rnd 2. (24)
",
};

pub(super) const TURN_MISSING: Page = Page {
    rule: Rule::TurnMissing,
    summary: "A row of a flat piece does not say \"turn\" although the rows around it do.",
    why: "Counts are not touched, but a maker who does not turn works two rows from the same side, and ridges, colours and \
          shaping at one edge change places.",
    working: "The rows before and after it turn, and this one goes on from its own end.",
    remedy: "Add \"turn\", or say that the right side stays in front.",
    fails: "\
Mudflat Dishcloth

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10)
Row 2: Ch 1, sc in each st across, turn. (10)
Row 3: Ch 1, sc in each st across. (10)
Row 4: Ch 1, sc in each st across, turn. (10)
Row 5: Ch 1, sc in each st across, turn. (10)
",
    near_miss: "\
Mudflat Dishcloth

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10)
Row 2: Ch 1, sc in each st across, turn. (10)
Row 3: Ch 1, sc in each st across, turn. (10)
Row 4: Ch 1, sc in each st across, turn. (10)
Row 5: Ch 1, sc in each st across. (10)
",
    near_miss_because: "After the last row there is nothing to turn for.",
    repaired: "\
Mudflat Dishcloth

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10)
Row 2: Ch 1, sc in each st across, turn. (10)
Row 3: Ch 1, sc in each st across, turn. (10)
Row 4: Ch 1, sc in each st across, turn. (10)
Row 5: Ch 1, sc in each st across, turn. (10)
",
};
