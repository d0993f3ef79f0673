//! Short texts that were once called right or wrong against what a maker gets: what each is, whether it holds, the text.

use evenround_calc::verify::{Request, verify};

const TRIALS: &[(&str, bool, &str)] = &[
    (
        "a wrapped line is one row",
        false,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: 2 sc in each st around (12)\nRnd 3: *sc in next st, 2 sc\nin next st; rep from * around (12)\n",
    ),
    (
        "a wrapped line is one row, and comes out",
        true,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: 2 sc\nin each st around (12)\nRnd 3: *sc in next st, 2 sc\nin next st; rep from * around (18)\n",
    ),
    (
        "each dc and each space together are not worked yet",
        false,
        "Rnd 1: (3 dc in ring, ch 2) x 4 (12 dc)\nRnd 2: Sc in each dc and 3 sc in each ch-2 sp around. (12 sc)\n",
    ),
    ("colours in brackets", true, "Rnd 1: 12 sc in MR (12)\nRnd 2: (A) 5 sc, (B) 7 sc (12)\n"),
    (
        "a size in a header speaks for its row only",
        false,
        "Sizes: S (M, L)\nCh 21 (25, 29).\nRow 1: Sc in 2nd ch from hook and in each ch across. 20 (24, 28) sc\nRow 2 (L only): Ch 1, 2 sc in first st, sc in each st to end. 29 sc\nRow 3: Ch 1, sc in each st. 99 (99, 29) sc\n",
    ),
    (
        "a size before a header speaks for its row only",
        false,
        "Sizes: S (M, L)\nCh 21 (25, 29).\nRow 1: Sc in 2nd ch from hook and in each ch across. 20 (24, 28) sc\nSize L only: Row 2: Ch 1, 2 sc in first st, sc in each st to end. 29 sc\nRow 3: Ch 1, sc in each st. 99 (99, 29) sc\n",
    ),
    (
        "a bracket behind the header is work",
        false,
        "Rnd 1: 6 sc in magic ring = 6\nRnd 2: (inc) x 6 = 13\nRnd 3: sc around\n",
    ),
    (
        "a bracket behind the header, and equals",
        true,
        "Rnd 1: 6sc in MR = 6 sts\nRnd 2: (inc) x6 = 12 sts\nRnd 3: (sc1, inc) x6 = 18 sts\n",
    ),
    (
        "four remain, three are said",
        false,
        "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across. (10)\nRow 2: Ch 1, sc in next 6 sts, leave remaining 3 sts unworked, turn. (6)\n",
    ),
    (
        "the pattern's own increase",
        false,
        "inc: 3 sc in same st\nRnd 1: 6 sc in magic ring (6)\nRnd 2: inc in each st around (12)\n",
    ),
    (
        "the pattern's own increase and decrease",
        true,
        "inc: 3 sc in same st\ndec: sc3tog\nRnd 1: 6 sc in magic ring (6)\nRnd 2: inc in each st around (18)\nRnd 3: dec around (6)\n",
    ),
    ("a range that runs backwards", false, "Rnd 1: 6 sc in magic ring (6)\nRnds 5-2: sc in each st around (6)\n"),
    (
        "shaping in a sentence",
        false,
        "Rnd 1: 8 sc in magic ring. (8)\nRnd 2: 2 sc in each st around. (16)\nContinue increasing 8 sts evenly each round until you have 64 sts.\nNext rnd: sc in each st around.\n",
    ),
    (
        "each st and each chain together",
        true,
        "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across. (10 sc)\nRow 2: Ch 1, sc in next 4 sts, ch 2, skip 2 sts, sc in next 4 sts, turn. (8 sc)\nRow 3: Ch 1, sc in each sc and each ch across (10 sc)\n",
    ),
    (
        "the far side of the chain",
        false,
        "Ch 6.\nRnd 1: Sc in 2nd ch from hook, sc in next 3 chs, 3 sc in last ch; working along opposite side, sc in next 3 chs, 2 sc in last ch. (12)\n",
    ),
    (
        "a sum is the last number of it",
        true,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (6 + 6 = 12 sts)\nRnd 3: (sc, inc) x 6 (+6 = 18)\n",
    ),
    (
        "all sizes but one",
        true,
        "Sizes: S (M, L)\nCh 21 (25, 29).\nRow 1: Sc in 2nd ch from hook and in each ch across. 20 (24, 28) sc\nAll sizes except S:\nRow 2: Ch 1, sc in each st. - (24, 28) sc\n",
    ),
    ("a bare repeat before the count", true, "Rnd 1: 6 sc in magic ring (6)\nRnd 2: 1 sc, 1 inc, repeat (9)\n"),
    ("until closed", false, "Rnd 1: 8 sc in magic ring (8)\nDecrease until closed.\n"),
    ("bold headers", true, "**Round 1:** 6 sc in magic ring (6)\n**Round 2:** inc*6 (12)\n"),
    ("each across without in", true, "Ch 7.\nRow 1: sc in 2nd ch from hook and each across (6)\n"),
    (
        "a printed 13 is seen: Rnd 2 (13 sts): inc x 6",
        false,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2 (13 sts): inc x 6\n",
    ),
    ("a printed 13 is seen: Rnd 2 [13]: inc x 6", false, "Rnd 1: 6 sc in magic ring (6)\nRnd 2 [13]: inc x 6\n"),
    (
        "a printed 13 is seen: Rnd 2: inc in each st around (sts: 13)",
        false,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc in each st around (sts: 13)\n",
    ),
    (
        "a printed 13 is seen: Rnd 2: inc x 6 (sts = 13)",
        false,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (sts = 13)\n",
    ),
    (
        "a printed 13 is seen: Rnd 2: inc x 6 (13 total stitches)",
        false,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (13 total stitches)\n",
    ),
    (
        "a printed 13 is seen: Rnd 2: inc x 6 (makes 13)",
        false,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (makes 13)\n",
    ),
    (
        "a printed 13 is seen: Rnd 2: inc x 6 / Stitch count: 13.",
        false,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6\nStitch count: 13.\n",
    ),
    (
        "a printed 13 is seen: Rnd 2: inc x 6. / You should have 13 stitches.",
        false,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6.\nYou should have 13 stitches.\n",
    ),
    (
        "a printed 13 is seen: Rnd 2: inc x 6. / Total: 13 sts.",
        false,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6.\nTotal: 13 sts.\n",
    ),
    (
        "a printed 13 is seen: Rnd 2: inc x 6 [13] (12)",
        false,
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 [13] (12)\n",
    ),
    ("a printed 13 is seen: Rnd 2: inc x 6 (13 x)", false, "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (13 x)\n"),
    (
        "the count behind the slip stitch that closes the round",
        false,
        "Terms: UK\nMake 12 ch and join into a ring with a ss.\n1st rnd: 1 ch, 1 dc into each ch, ss into first dc: 12 dc.\n2nd rnd: 1 ch, 1 dc into each dc, ss into first dc: 13 dc.\n",
    ),
    (
        "a thumb round its opening",
        true,
        "Rnd 1: 12 sc in magic ring (12)\nRnd 2: Sc in next 4 sts, ch 4, skip next 4 sts, sc in next 4 sts. (8 sc, 1 ch-4 sp)\n\nTHUMB\nJoin yarn in the first of the 4 skipped sts.\nRnd 1: Ch 1, sc in each of the 4 skipped sts, sc in the other side of each of the 4 ch. (8)\n",
    ),
    (
        "a thumb that leaves a chain out",
        false,
        "Rnd 1: 12 sc in magic ring (12)\nRnd 2: Sc in next 4 sts, ch 4, skip next 4 sts, sc in next 4 sts. (8 sc, 1 ch-4 sp)\n\nTHUMB\nJoin yarn in the first of the 4 skipped sts.\nRnd 1: Ch 1, sc in each of the 4 skipped sts, sc in the other side of each of the 3 ch. (7)\n",
    ),
    (
        "legs joined over a bridge that is as long as it is worked",
        true,
        "LEG 1\nR1: 6 sc in magic ring [6]\nR2: inc x 6 [12]\n\nLEG 2\nR1-2: same as R1-2 of Leg 1 [12]\n\nBODY\nR1: ch 2, 12 sc around Leg 1, 2 sc along the ch-2, 12 sc around Leg 2, 2 sc along the other side of the ch-2 [28]\n",
    ),
    (
        "legs joined over a bridge that is shorter",
        false,
        "LEG 1\nR1: 6 sc in magic ring [6]\nR2: inc x 6 [12]\n\nLEG 2\nR1-2: same as R1-2 of Leg 1 [12]\n\nBODY\nR1: ch 2, 12 sc around Leg 1, 3 sc along the ch-2, 12 sc around Leg 2, 3 sc along the other side of the ch-2 [30]\n",
    ),
    (
        "what is left is taken up by another piece, all of it",
        false,
        "BODY\nCh 21.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (20)\n\nFRONT\nRow 1: Ch 1, sc in each of first 8 sts, turn; leave the remaining 12 sts unworked. (8)\nFasten off.\n\nBACK\nSkip next 2 unworked sts of the last Body row and join yarn in next st.\nRow 1: Ch 1, sc in same st and in each of next 8 sts. (9)\n",
    ),
    (
        "a repeat told in a sentence",
        true,
        "Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across. (11)\nRow 2. Make one chain, work one sc into the first stitch, and then do the following five times: work two sc into the next stitch, skip one stitch. The row has 11 stitches.\n",
    ),
    (
        "a repeat told in a sentence is not passed over",
        false,
        "Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across. (11)\nRow 2. Make one chain, work one sc into the first stitch, and then do the following four times: work two sc into the next stitch, skip one stitch.\n",
    ),
    (
        "a range that is one round in some sizes",
        true,
        "Sizes: S (M, L)\nRnd 1: 6 sc in magic ring. (6)\nRnds 2 (2-3, 2-4): Sc in each st around. (6)\nRnds 3-4 (4, 5-6): Sc in each st around. (6)\nRnd 5 (5, 7): 2 sc in each st around. (12)\n",
    ),
    (
        "a range that is one round in some sizes, with its count wrong in one",
        false,
        "Sizes: S (M, L)\nRnd 1: 6 sc in magic ring. (6)\nRnds 2 (2-3, 2-4): Sc in each st around. 6 (6, 7) sts.\n",
    ),
    (
        "cautions are no rows",
        true,
        "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nFasten off.\n\nSAFETY NOTES\nSmall parts: leave off buttons and beads, and sew the crochet eyes on with 2 strands.\nCords: no loops over 7 in.\n",
    ),
    (
        "rows behind a warning are rows",
        false,
        "Rnd 1: 6 sc in magic ring. (6)\nWarning: small parts come off, so 2 sts hold each bead.\nRnd 2: 2 sc in each st around. (13)\n",
    ),
    (
        "eyes are no heading of cautions",
        false,
        "Ch 7.\nSc in 2nd ch from hook and in each ch across. (6)\nSafety eyes go in now.\nCh 1, turn, 2 sc in each st across. (13)\n",
    ),
];

#[test]
fn what_once_went_wrong_stays_mended() {
    let wrong: Vec<&str> = TRIALS
        .iter()
        .filter(|(_, holds, text)| verify(&Request::of(text)).expect("a request that fits").holds != *holds)
        .map(|(name, ..)| *name)
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}
