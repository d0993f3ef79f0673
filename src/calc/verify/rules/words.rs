//! Rules about words: what a row names, and what a text leaves unsaid.

use super::Page;
use crate::verify::Rule;

pub(super) const PLACE_NOT_FOUND: Page = Page {
    rule: Rule::PlaceNotFound,
    summary: "A row names a stitch or a space that the row below does not have, or not there.",
    why: "The count is usually right, but the maker looks for a dc among hdc and doubts the row, or the row before. It is a sign \
          of a line copied and not edited.",
    working: "Where the row below has none, the next stitch was taken, so the counts after it are those of the row as it was \
              probably meant. Where it has one, but others stand before it of which nothing is said, the hook went to it over \
              them.",
    remedy: "Name the stitch that the row below really has, say \"st\", or say what is skipped. Look at the lines around it too: \
             copies come in pairs.",
    fails: "\
Glasswort Dishcloth

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10)
Row 2: Ch 1, hdc in each sc across, turn. (10)
Row 3: Ch 1, sc in each dc across. (10)
",
    near_miss: "\
Glasswort Dishcloth

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10)
Row 2: Ch 1, *hdc in next sc, dc in next sc; rep from * across, turn. (10)
Row 3: Ch 1, *sc in next dc, sc in next hdc; rep from * across. (10)
",
    near_miss_because: "The row below has both, in the order in which they are named once the work is turned.",
    repaired: "\
Glasswort Dishcloth

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10)
Row 2: Ch 1, hdc in each sc across, turn. (10)
Row 3: Ch 1, sc in each hdc across. (10)
",
};

pub(super) const TERMS_MIXED: Page = Page {
    rule: Rule::TermsMixed,
    summary: "A row uses a word of the other vocabulary: a UK word in a pattern in US terms, or the other way about.",
    why: "The same letters mean another stitch across the water: a UK dc is a US sc. Counts agree either way, heights do not, and \
          the piece comes out half as tall again or half as short.",
    working: "The message names the word and the vocabulary of the rest. No count depends on it.",
    remedy: "Use one vocabulary throughout and name it at the top.",
    fails: "\
Eelgrass Mitts

US terms.

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10)
Row 2: Ch 1, htr in each st across. (10)
",
    near_miss: "\
Eelgrass Mitts

US terms. Read htr for hdc if you use UK terms.

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10)
Row 2: Ch 1, hdc in each st across. (10)
",
    near_miss_because: "The UK word stands in a note that explains it, not in a row.",
    repaired: "\
Eelgrass Mitts

US terms.

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10)
Row 2: Ch 1, hdc in each st across. (10)
",
};

pub(super) const UNKNOWN_STITCH: Page = Page {
    rule: Rule::UnknownStitch,
    summary: "A row uses the name of a stitch that is not in the trade's list and that the pattern does not explain.",
    why: "A maker cannot work it. It may be a slip of the pen, or a stitch of your own whose explanation is in another pattern.",
    working: "The row is unverified, not wrong: without knowing how many stitches it takes and leaves there is no sum. Rows after \
              it go on from its printed count.",
    remedy: "Correct the spelling, explain the stitch in the pattern, or give its numbers with the request under `stitches`.",
    fails: "\
Limpet Toy

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Whelk st in each st around. (12)
",
    near_miss: "\
Limpet Toy

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Crab st in each st around. (12)
",
    near_miss_because: "Seldom used, but in the list: another name of reverse single crochet.",
    repaired: "\
Limpet Toy

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Sc in each st around. (12)
",
};

pub(super) const DEFINITION_UNCLEAR: Page = Page {
    rule: Rule::DefinitionUnclear,
    summary: "The pattern has a stitch of its own, and its explanation does not tell how many stitches it takes and leaves.",
    why: "A photograph is no help to whoever works from a printed page, and none to a row that has to be counted.",
    working: "Three numbers are looked for: the stitches of the row below that one takes, the stitches that one leaves, and the \
              chains of the space behind it, if there is one. Rows that use the stitch are unverified.",
    remedy: "Write where the hook goes, what is worked there, and how it is closed; or give the three numbers with the request \
             under `stitches`.",
    fails: "\
Glasswort Dishcloth

SPECIAL STITCH
Pebble stitch (pb): see the photograph.

Ch 12.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (11)
Row 2: Ch 1, sc in first st, *pb in next st, sc in next st; rep from * across. (11)
",
    near_miss: "\
Glasswort Dishcloth

SPECIAL STITCH
Pebble stitch (pb): as in the photograph, [yo, insert hook in st, pull up a loop] 3 times in same st, yo and draw through all 7 loops on hook.

Ch 12.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (11)
Row 2: Ch 1, sc in first st, *pb in next st, sc in next st; rep from * across. (11)
",
    near_miss_because: "The photograph is still mentioned, but the words alone tell it: one stitch taken, one left.",
    repaired: "\
Glasswort Dishcloth

SPECIAL STITCH
Pebble stitch (pb): tr in next st, pushed out to the front.

Ch 12.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (11)
Row 2: Ch 1, sc in first st, *pb in next st, sc in next st; rep from * across. (11)
",
};

pub(super) const CONVENTION_OPEN: Page = Page {
    rule: Rule::ConventionOpen,
    summary: "The text does not say how a convention is meant, and its counts fit either way.",
    why: "Makers learn such things from different books. Half of them will make this piece a stitch wider than the other half.",
    working: "Each reading was worked through all rows of the piece, and none contradicts a printed count. The answer names the \
              one that was taken, under `assumptions`, with `tie`.",
    remedy: "Say it once in the notes (\"ch 2 does not count as a st\"), or print counts. If you only check the pattern, settle it \
             in the request under `conventions`.",
    fails: "\
Driftline Blanket

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn.
Row 2: Ch 2, hdc in first st and in each st across, turn.
Row 3: Ch 2, hdc in first st and in each st across.
",
    near_miss: "\
Driftline Blanket

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn.
Row 2: Ch 2, hdc in first st and in each st across, turn. (10)
Row 3: Ch 2, hdc in first st and in each st across. (10)
",
    near_miss_because: "The text is as silent as before, but the counts come out only if the chain is no stitch.",
    repaired: "\
Driftline Blanket

Ch 2 at the beginning of a row does not count as a st.

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn.
Row 2: Ch 2, hdc in first st and in each st across, turn.
Row 3: Ch 2, hdc in first st and in each st across.
",
};

pub(super) const UNREAD: Page = Page {
    rule: Rule::Unread,
    summary: "A part of a row could not be read, or what it does could not be decided, so the row is not verified.",
    why: "It is no fault of the pattern by itself. But a silent gap would be taken for praise, so every gap is named.",
    working: "The row's verdict is unverified, `reading` says whether all of it or only a part was not read, and the mark stands \
              under the words. Rows after it go on from its printed count.",
    remedy: "Write the clause with stitch names and numbers, or check the row by hand.",
    fails: "\
Sea Lavender Cap

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Sc around as the chart shows, 18 in all.
",
    near_miss: "\
Sea Lavender Cap

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Sc in each st around, not too tightly. (12)
",
    near_miss_because: "Advice on the hand changes no count, and is passed over.",
    repaired: "\
Sea Lavender Cap

Rnd 1: 6 sc in magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (18)
",
};
