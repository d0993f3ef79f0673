//! Rules about sums: stitches against stitches, against chains, against inches.

use super::Page;
use crate::verify::Rule;

pub(super) const COUNT_MISMATCH: Page = Page {
    rule: Rule::CountMismatch,
    summary: "The count printed after a row is not the number of stitches that the row makes.",
    why: "A maker counts at the end of the row, gets another number, and cannot know which of the two is wrong. Most unpick a \
          row that was right.",
    working: "\"12 made, 13 printed\" is the row as its words say it, beside the figure after it. Where the next row fits one of \
              the two, the message says so: that one is probably meant.",
    remedy: "If the next row fits what this row makes, correct the printed count. If it fits the printed count, look for a slip \
             in the words: an increase too few, \"each\" for \"next\", a repeat number.",
    fails: "\
Tidepool Coaster

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (13)
",
    near_miss: "\
Tidepool Coaster

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: *Sc in next st, ch 1; rep from * around. (24)
",
    near_miss_because: "Round 3 makes 12 stitches and 12 chains. 24 is the sum of both, which is a way to count lace, and the \
                        answer says that it was counted so.",
    repaired: "\
Tidepool Coaster

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
",
};

pub(super) const STITCHES_RUN_OUT: Page = Page {
    rule: Rule::StitchesRunOut,
    summary: "A row asks for more stitches than the row below has.",
    why: "It cannot be worked as written: the maker comes to the end of the row with instructions left over. The count at the \
          end may still look right, so adding up what a row makes does not show it.",
    working: "\"16 available\" are the stitches of the row below, \"17 used\" those that this row works into or skips. The mark \
              stands under the words at which they run out.",
    remedy: "Take out what is too much in this row (a stitch number, a phrase printed twice), or see whether the row below should \
             have had more.",
    fails: "\
Eelgrass Mitts

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 3: Sc in next 10 sts, sk next 2 sts, sc in next 5 sts. (15)
",
    near_miss: "\
Eelgrass Mitts

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 3: Sc in next 10 sts, sk next st, sc in next 5 sts. (15)
",
    near_miss_because: "10, one skipped and 5 are 16, exactly what there is.",
    repaired: "\
Eelgrass Mitts

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 3: Sc in next 10 sts, sk next 2 sts, sc in next 4 sts. (14)
",
};

pub(super) const STITCHES_LEFT_OVER: Page = Page {
    rule: Rule::StitchesLeftOver,
    summary: "A row ends before the row below does, and does not say that this is meant.",
    why: "The maker stands there with stitches unworked and has to guess whether the row is short, or whether these are left for \
          a thumb, an ear flap or a neck.",
    working: "\"16 available, 14 used\": two stitches of the row below are neither worked into nor skipped.",
    remedy: "Where it is meant, say so: \"leave remaining sts unworked\". Where it is not, look for the missing stitches: a number \
             too low, or an \"in each st around\" that was dropped.",
    fails: "\
Curlew Cap

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 3: Sc in next 14 sts. (14)
",
    near_miss: "\
Curlew Cap

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 3: Sc in next 14 sts, leave remaining sts unworked. (14)
",
    near_miss_because: "The same stitches, but the row says what becomes of the last two.",
    repaired: "\
Curlew Cap

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 3: Sc in next 16 sts. (16)
",
};

pub(super) const REPEAT_DOES_NOT_DIVIDE: Page = Page {
    rule: Rule::RepeatDoesNotDivide,
    summary: "A repeat that should fill the row does not go into its stitches without a remainder.",
    why: "The last repeat breaks off in the middle, and the pattern of the fabric no longer meets itself at the seam.",
    working: "\"A repeat of 3 over 16 stitches leaves 1\": one pass uses 3, the row below has 16. The two numbers that follow are \
              the nearest stitch counts that would come out.",
    remedy: "Give the remainder its own stitches (\"rep from * to last st, sc in last st\"), move the star, or begin with a count \
             that the repeat divides.",
    fails: "\
Redshank Cowl

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 3: *Sc in next 2 sts, 2 sc in next st; rep from * around. (21)
",
    near_miss: "\
Redshank Cowl

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 3: *Sc in next 2 sts, 2 sc in next st; rep from * to last st, sc in last st. (21)
",
    near_miss_because: "The repeat fills 15 of the 16 stitches, and the row says what happens in the last one.",
    repaired: "\
Redshank Cowl

Rnd 1: 8 sc in magic ring. (8)
Rnd 2: 2 sc in each st around. (16)
Rnd 3: *Sc in next 3 sts, 2 sc in next st; rep from * around. (20)
",
};

pub(super) const FOUNDATION_MISMATCH: Page = Page {
    rule: Rule::FoundationMismatch,
    summary: "The foundation chain, the first chain worked into, and the first count do not agree.",
    why: "Everything stands on it. A chain that is one too short is found out a hundred stitches later, and then all of it is \
          pulled back.",
    working: "Working into the 2nd chain from the hook leaves one chain out, so 24 chains take 23 stitches. Skipped chains that \
              count as a stitch add one again.",
    remedy: "Chain as many as the first row needs, and say whether the skipped chains count as a stitch.",
    fails: "\
Samphire Scarf

Ch 24.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (24)
Row 2: Ch 1, sc in each st across. (24)
",
    near_miss: "\
Samphire Scarf

Ch 24.
Row 1: Dc in 4th ch from hook (3 skipped ch count as first dc) and in each ch across, turn. (22)
Row 2: Ch 1, sc in each st across. (22)
",
    near_miss_because: "Three chains are skipped and stand for one stitch: 24 - 3 + 1 = 22.",
    repaired: "\
Samphire Scarf

Ch 25.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (24)
Row 2: Ch 1, sc in each st across. (24)
",
};

pub(super) const TURNING_CHAIN_DRIFT: Page = Page {
    rule: Rule::TurningChainDrift,
    summary: "A row is off by one, and comes out if its beginning chain is read the other way.",
    why: "A turning chain that counts in one place and not in another makes a straight piece grow or shrink by a stitch a row, \
          slowly enough that it shows only at the edges.",
    working: "A chain that counts stands on the first stitch, so the next stitch goes into the second. One that is only height \
              leaves the first stitch to be worked.",
    remedy: "If the chain counts, skip the first stitch and work into the top of the chain at the end of the next row. If it does \
             not, work into the first stitch. Say once, in the notes, which it is.",
    fails: "\
Saltpan Blanket

Ch 22.
Row 1: Dc in 4th ch from hook (3 skipped ch count as first dc) and in each ch across, turn. (20)
Row 2: Ch 3 (counts as dc), dc in first st and in each st across, turn. (20)
Row 3: Ch 3 (counts as dc), sk first st, dc in each st across. (20)
",
    near_miss: "\
Saltpan Blanket

Ch 22.
Row 1: Dc in 4th ch from hook (3 skipped ch count as first dc) and in each ch across, turn. (20)
Row 2: Ch 3 (counts as dc), dc in first st and in each st across, turn. (21)
Row 3: Ch 3 (counts as dc), dc in first st and in each st across. (22)
",
    near_miss_because: "The printed counts grow with the rows: here the edge is meant to widen.",
    repaired: "\
Saltpan Blanket

Ch 22.
Row 1: Dc in 4th ch from hook (3 skipped ch count as first dc) and in each ch across, turn. (20)
Row 2: Ch 3 (counts as dc), sk first st, dc in each st across, turn. (20)
Row 3: Ch 3 (counts as dc), sk first st, dc in each st across. (20)
",
};

pub(super) const MULTIPLE_MISMATCH: Page = Page {
    rule: Rule::MultipleMismatch,
    summary: "The foundation is not of the multiple that the pattern states.",
    why: "Makers who want another width rely on the stated multiple. If the pattern's own numbers do not follow it, every other \
          width goes wrong as well.",
    working: "A multiple of 6 + 2 means 2 more than some number of sixes: 20, 26, 32. The message gives the nearest ones on \
              either side of the chain in the text.",
    remedy: "Correct the chain, or state the multiple that the rows really need.",
    fails: "\
Samphire Scarf

Foundation chain: multiple of 6 + 2.

Ch 27.
Row 1: Sc in 2nd ch from hook and in each ch across, turn.
Row 2: Ch 1, sc in each st across.
",
    near_miss: "\
Samphire Scarf

Foundation chain: multiple of 6 + 3.

Ch 27.
Row 1: Sc in 2nd ch from hook and in each ch across, turn.
Row 2: Ch 1, sc in each st across.
",
    near_miss_because: "27 is four sixes and 3.",
    repaired: "\
Samphire Scarf

Foundation chain: multiple of 6 + 2.

Ch 26.
Row 1: Sc in 2nd ch from hook and in each ch across, turn.
Row 2: Ch 1, sc in each st across.
",
};

pub(super) const PIECES_DO_NOT_MEET: Page = Page {
    rule: Rule::PiecesDoNotMeet,
    summary: "A row that joins pieces asks one of them for another number of stitches than it ends with.",
    why: "The total of the joining row can look right although one leg or panel lends a stitch that it does not have. The maker \
          finds out with two pieces in hand.",
    working: "The message gives what each piece ended with beside what the joining row asks of it.",
    remedy: "Make the joining row ask for what the pieces have, or end the pieces with what it needs.",
    fails: "\
Limpet Toy

FIRST LEG
Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Fasten off.

SECOND LEG
Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Do not fasten off.

BODY
Rnd 3: Sc in each of 12 sts of second leg, sc in each of 14 sts of first leg. (26)
",
    near_miss: "\
Limpet Toy

FIRST LEG
Rnd 1: 7 sc in magic ring. (7)
Rnd 2: 2 sc in each st around. (14)
Fasten off.

SECOND LEG
Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Do not fasten off.

BODY
Rnd 3: Sc in each of 12 sts of second leg, sc in each of 14 sts of first leg. (26)
",
    near_miss_because: "The legs differ, and the joining round takes from each what it has.",
    repaired: "\
Limpet Toy

FIRST LEG
Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Fasten off.

SECOND LEG
Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Do not fasten off.

BODY
Rnd 3: Sc in each of 12 sts of second leg, sc in each of 12 sts of first leg. (24)
",
};

pub(super) const PIECE_DOES_NOT_ADD_UP: Page = Page {
    rule: Rule::PieceDoesNotAddUp,
    summary: "More than a third of a piece's rows fail, so the piece as a whole never added up.",
    why: "With so many slips it is no use to mend rows one by one: numbers of another size, of an older version or out of a \
          machine have got into the text.",
    working: "It is one finding for the whole piece and stands in place of those of the single rows. The table of counts still \
              shows every row, with what it makes and what is printed.",
    remedy: "Go back to the last version that was worked, or count the piece anew from the first row on.",
    fails: "\
Sandpiper Ball

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (13)
Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (20)
Rnd 4: *Sc in next 2 sts, 2 sc in next st; rep from * around. (25)
Rnd 5: *Sc in next 3 sts, 2 sc in next st; rep from * around. (33)
Rnd 6: *Sc in next 4 sts, 2 sc in next st; rep from * around. (37)
",
    near_miss: "\
Sandpiper Ball

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (13)
Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (18)
Rnd 4: *Sc in next 2 sts, 2 sc in next st; rep from * around. (24)
Rnd 5: *Sc in next 3 sts, 2 sc in next st; rep from * around. (30)
Rnd 6: *Sc in next 4 sts, 2 sc in next st; rep from * around. (37)
",
    near_miss_because: "Two rows of six fail. That is not more than a third, and each is named by itself.",
    repaired: "\
Sandpiper Ball

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (18)
Rnd 4: *Sc in next 2 sts, 2 sc in next st; rep from * around. (24)
Rnd 5: *Sc in next 3 sts, 2 sc in next st; rep from * around. (30)
Rnd 6: *Sc in next 4 sts, 2 sc in next st; rep from * around. (36)
",
};

pub(super) const MEASUREMENT_MISMATCH: Page = Page {
    rule: Rule::MeasurementMismatch,
    summary: "A stated measurement is not what the stitches give at the stated gauge.",
    why: "A maker who gets the gauge still gets another size than promised, and blames the gauge.",
    working: "Stitches divided by stitches to the inch: 45 sts at 18 sts to 4 in are 45 / 4.5 = 10 in. The message shows both \
              lengths and the row that was measured.",
    remedy: "Correct the measurement, the gauge, or the number of stitches; they must agree in every size.",
    fails: "\
Samphire Scarf

Gauge: 18 sts = 4 in
Finished width: 8 in

Ch 46.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (45)
Row 2: Ch 1, sc in each st across. (45)
",
    near_miss: "\
Samphire Scarf

Gauge: 18 sts = 4 in
Finished width: 9¾ in

Ch 45.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (44)
Row 2: Ch 1, sc in each st across. (44)
",
    near_miss_because: "44 sts are 9.78 in, which is 9¾ in to the nearest quarter.",
    repaired: "\
Samphire Scarf

Gauge: 18 sts = 4 in
Finished width: 10 in

Ch 46.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (45)
Row 2: Ch 1, sc in each st across. (45)
",
};

pub(super) const TOO_LARGE: Page = Page {
    rule: Rule::TooLarge,
    summary: "A count goes beyond what can be counted exactly (2^53 - 1), or the row would cost more work than a text is given.",
    why: "Nobody makes so many stitches: such a number is a slip, most often a row that increases and is repeated although it \
          should have been worked even.",
    working: "The row is the first whose count is too large. In a range that grows, the table shows how the counts ran away.",
    remedy: "Look for a misprinted number, or for a repeated row that doubles the stitches each time.",
    fails: "\
Limpet Toy

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnds 3-60: Rep Rnd 2.
",
    near_miss: "\
Limpet Toy

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnds 3-51: Rep Rnd 2.
",
    near_miss_because: "6 x 2^50 stitches can still be counted exactly, for whoever has the time.",
    repaired: "\
Limpet Toy

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Sc in each st around. (12)
Rnds 4-60: Rep Rnd 3. (12)
",
};
