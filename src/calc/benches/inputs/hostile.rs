//! Texts that are written to cost much: each is one idea, repeated to the length that is asked for. A maker would not write
//! them, a client of the service may.

use super::cut;
use std::fmt::Write as _;

/// A name and what to repeat.
pub struct Hostile {
    pub name: &'static str,
    start: &'static str,
    unit: fn(&mut String, usize),
}

impl Hostile {
    /// The text in this many bytes.
    pub fn text(&self, bytes: usize) -> String {
        let mut text = String::with_capacity(bytes + 1024);
        text.push_str(self.start);
        let mut number = 1;
        while text.len() < bytes {
            (self.unit)(&mut text, number);
            number += 1;
        }
        cut(text, bytes)
    }
}

const RING: &str = "Rnd 1: 6 sc in magic ring. (6)\n";

const SHELLED: &str = "Shell: (2 dc, ch 2, 2 dc) in same st or sp.\nRnd 1: 6 sc in magic ring. (6)\n";
/// A million times 10^9 sc and a dc.
const STRETCHES: &str = "Ch 1000000000000001.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn.\n\
    Row 2: Ch 1, [sc in next 999999999 sts, dc in next st] 1000000 times, turn.\nRow 3: Ch 1, ";
const ALTERNATE: &str = "Ch 1000000000000001.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn.\n\
    Row 2: Ch 1, *sc in next st, dc in next st; rep from * across, turn.\n";
const LOOPS: &str = "Rnd 1: 24 sc in magic ring, join with sl st. (24)\n\
    Rnd 2: Ch 1, sc in same st, *ch 3, sk next st, sc in next st; rep from * around, ending with ch 1, hdc in first sc.\n";
const SQUARE: &str =
    "Rnd 1: Ch 3 (counts as dc), 2 dc in magic ring, ch 2, *3 dc in ring, ch 2; rep from * 2 more times, join.\n";

macro_rules! hostile {
    ($name:literal, $start:expr, |$number:pat_param| $($unit:tt)+) => {
        Hostile {
            name: $name,
            start: $start,
            unit: |text, $number| {
                let _ = write!(text, $($unit)+);
            },
        }
    };
}

/// A name that is one word, like no other.
fn word(number: usize) -> String {
    let mut word = "plover".to_owned();
    let mut rest = number;
    loop {
        word.push(char::from(b'a' + (rest % 26) as u8));
        rest /= 26;
        if rest == 0 {
            return word;
        }
    }
}

/// All of them. `{i}` in a unit is its running number.
pub const ALL: &[Hostile] = &[
    hostile!("one endless row", "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: ", |_| "sc in next st, "),
    hostile!("brackets, opened only", "Row 1: ", |_| "("),
    hostile!("brackets, closed only", "Row 1: ", |_| ")"),
    hostile!("stars only", "Row 1: ", |_| "* "),
    hostile!("double stars", "Row 1: ", |_| "** sc, "),
    hostile!("repeats that are never closed", RING, |_| "*sc, [2 dc, "),
    hostile!("repeats that begin nowhere", RING, |_| "rep from * around, "),
    hostile!(
        "repeats in repeats",
        RING,
        |_| "Rnd 2: [[[[[[sc] twice, sc] twice, sc] twice, sc] twice, sc] twice, sc] twice. (6)\n"
    ),
    hostile!("counts only", RING, |i| "(6) [{i}] "),
    hostile!("one long number", "Row 1: sc in next ", |_| "9"),
    hostile!("one long word", "", |_| "plover"),
    hostile!("one long list of sizes", "Sizes: S (M, L)\nRow 1: ch 6 (", |i| "{i}, "),
    hostile!("lists that do not fit", "Sizes: S (M, L)\n", |i| "Row {i}: {i} (7, 8, 9, 10, 11) sc. (1, 2)\n"),
    hostile!("words nobody knows", RING, |i| "Rnd {i}: plover{i} in next turnstone, 3 knots. (6)\n"),
    hostile!("prose", "", |_| "The tide came in over the samphire and went out again, as it does. "),
    hostile!("blank lines", "", |_| "\n"),
    hostile!("headings only", "", |i| "PIECE {i}\n"),
    hostile!("short pieces", "", |i| "LIMPET {i}\nRnd 1: 6 sc in magic ring. (6)\n"),
    hostile!("each row as the last", RING, |i| "Rnd {}: Rep Rnd {i}.\n", i + 1),
    hostile!("each row as all before it", RING, |i| "Rnd {}: Rep Rnds 1-{i}.\n", i + 1),
    hostile!("ranges without end", RING, |i| "Rnds {}-999999999{i}: Rep Rnds 1 and 2 9999999 times.\n", i + 1),
    hostile!("the same row number", RING, |_| "Rnd 2: sc in each st around. (6)\n"),
    hostile!("every count wrong", RING, |i| "Rnd {}: sc in each st around. (7)\n", i + 1),
    hostile!(
        "stitches left over",
        RING,
        |i| "Rnd {}: sc in next 4 sts. (4)\nRnd {}: 2 sc in next st, sc in next st. (3)\n",
        2 * i,
        2 * i + 1
    ),
    hostile!("repeats that do not divide", RING, |i| "Rnd {}: *sc in next 4 sts, inc; rep from * around. (7)\n", i + 1),
    hostile!("open conventions", RING, |i| "Row {}: ch 3, 3 sc, *2 sc; rep from * 2 times, turn. (6)\n", i + 1),
    hostile!("notes on every chain", "NOTES\n", |i| "Ch {i} at the beginning of a row counts as a st.\n"),
    hostile!(
        "a stitch defined again and again",
        "SPECIAL STITCHES\n",
        |i| "Shell{i} = (2 dc, ch 1, 2 dc) in next st.\n"
    ),
    hostile!("a stitch made of the last one", "SPECIAL STITCHES\n", |i| "Knot{} = 2 knot{i} in next st.\n", i + 1),
    hostile!("terms that contradict", "", |i| "Row {i}: 2 htr in next st, 2 hdc in next st, miss 1, sk 1. (4)\n"),
    hostile!("own stitches made of the next two", "SPECIAL STITCHES\n", |i| "{}: {1}, {1}.\n", word(i), word(i + 1)),
    hostile!("own stitches made of the last two", "SPECIAL STITCHES\n", |i| "{}: {1}, {1}.\n", word(i + 1), word(i)),
    hostile!(
        "own stitches, each used once",
        "SPECIAL STITCHES\n",
        |i| "{0}: (2 dc, ch 2, 2 dc) in same st.\nRnd {i}: {0} in next st, sc in each st around.\n",
        word(i)
    ),
    hostile!("one own stitch in an endless row", SHELLED, |_| "shell in next st, "),
    hostile!("one own stitch in every row", SHELLED, |i| "Rnd {}: *Shell in next st; rep from * around.\n", i + 1),
    hostile!("leaps over long stretches", STRETCHES, |_| "sc in next dc, "),
    hostile!(
        "stars that seek in long rows",
        ALTERNATE,
        |i| "Row {}: Ch 1, *sc in next dc, dc in next sc; rep from * across, turn.\n",
        i + 2
    ),
    hostile!(
        "half-joins",
        LOOPS,
        |i| "Rnd {}: Ch 1, sc in same lp, *ch 3, sc in next lp; rep from * around, ending with ch 1, hdc in first sc.\n",
        i + 2
    ),
    hostile!(
        "half-joins that nothing follows",
        LOOPS,
        |i| "Rnd {}: *Ch 3, sc in next lp; rep from * around, ending with ch 1, hdc in first sc.\n",
        i + 2
    ),
    hostile!(
        "to the next corner, and again",
        SQUARE,
        |i| "Rnd {}: Sl st in corner sp, ch 3, (2 dc, ch 2, 3 dc) in same sp, *[ch 1, 3 dc in next ch-1 sp] to next corner, \
             ch 1, (3 dc, ch 2, 3 dc) in corner sp; rep from * around, join.\n",
        i + 1
    ),
    hostile!("one endless list in one place", "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: (dc", |_| ", ch 1, dc"),
    hostile!(
        "long lists in one place",
        RING,
        |i| "Rnd {}: ({}dc) in each st around.\n",
        i + 1,
        "dc, ch 1, ".repeat(60)
    ),
    hostile!("posts far below", RING, |i| "Rnd {}: *FPdc around next st {i} rows below; rep from * around.\n", i + 1),
    hostile!("damaged characters", RING, |i| "Rnd {i}: «ѕс» × 6 — “sс” ＊ 2 … ½ (6)\n"),
];

/// Short texts that work as long as they may, with what the request says of `sc` where it says something.
pub const SHORT: &[(&str, &str, Option<[u32; 3]>)] = &[
    ("a loop that nothing fills", "sc ring.\nRnd 3: Sl next lp, *ch sc next lp;", None),
    (
        "a long row of what leaves chains",
        "Rnd 1: 6 sc in ring. (218103808)\nRnd 2: sc around.\nRnd 3: sc around.\n",
        Some([5, 5, 5]),
    ),
];
