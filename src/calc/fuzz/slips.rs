//! Patterns that are right, and the slips that a person makes when writing them down.

use evenround_calc::verify::{Request, verify};
use evenround_tests::generator::{Tape, Wishes, make, words::say};
use libfuzzer_sys::arbitrary::{Result, Unstructured};

/// Whole patterns, solid and lace.
const WHOLE: [&str; 12] = [
    include_str!("../../service/demo/holds/curlew-cap.txt"),
    include_str!("../../service/demo/holds/driftline-blanket.txt"),
    include_str!("../../service/demo/holds/eelgrass-mitts.txt"),
    include_str!("../../service/demo/holds/glasswort-dishcloth.txt"),
    include_str!("../../service/demo/holds/limpet-toy.txt"),
    include_str!("../../service/demo/holds/redshank-cowl.txt"),
    include_str!("../../service/demo/holds/tidepool-coaster.txt"),
    include_str!("../../../tests/whole/eelgrass-granny-blanket.txt"),
    include_str!("../../../tests/whole/sea-lavender-doily.txt"),
    include_str!("../../../tests/whole/driftline-wrap.txt"),
    include_str!("../../../tests/whole/cordgrass-market-bag.txt"),
    include_str!("../../../tests/whole/samphire-scarf.txt"),
];

/// Words that stand for each other when the mind is elsewhere.
const MISTAKEN: [(&str, &str); 12] = [
    ("inc", "dec"),
    ("next", "each"),
    ("dc", "sc"),
    ("st", "sp"),
    ("sts", "sps"),
    ("first", "last"),
    ("Row", "Rnd"),
    ("around", "across"),
    ("shell", "V-st"),
    ("join", "turn"),
    ("more", "fewer"),
    ("twice", "once"),
];

/// A small pattern in lace, `n` repeats wide.
fn lace(kind: usize, n: u64) -> String {
    match kind {
        0 => format!(
            "Special stitch: V-st = (dc, ch 1, dc) in same st or sp.\nCh {}.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. \
             ({} sc)\nRow 2: Ch 3 (counts as dc), *sk next st, V-st in next st, sk next st; rep from * across to last st, dc in last \
             st, turn. ({n} V-sts, 2 dc)\nRow 3: Ch 3 (counts as dc), V-st in ch-1 sp of each V-st across, dc in top of turning ch, \
             turn. ({n} V-sts, 2 dc)\n",
            3 * n + 3,
            3 * n + 2
        ),
        1 => format!(
            "Ch {}.\nRow 1: Sc in 2nd ch from hook, *sk 2 ch, 5 dc in next ch, sk 2 ch, sc in next ch; rep from * across, turn. \
             ({} sts)\nRow 2: Ch 1, sc in each st across, turn. ({} sts)\n",
            6 * n + 2,
            6 * n + 1,
            6 * n + 1
        ),
        _ => format!(
            "Rnd 1: Ch 3 (counts as dc), {} dc in magic ring, join. ({} dc)\nRnd 2: Ch 4 (counts as dc, ch 1), *dc in next dc, ch 1; \
             rep from * around, join. ({} dc, {} ch-1 sps)\nRnd 3: Sl st in next ch-1 sp, ch 1, 2 sc in same sp, 2 sc in each \
             ch-1 sp around, join. ({} sc)\nRnd 4: Ch 1, sc in same st, *ch 3, sk next st, sc in next st; rep from * around, ch 3, \
             sk last st, join. ({} sc, {} ch-3 sps)\n",
            2 * n + 1,
            2 * n + 2,
            2 * n + 2,
            2 * n + 2,
            4 * n + 4,
            2 * n + 2,
            2 * n + 2
        ),
    }
}

/// Holds the small patterns to being right: a slip in a wrong one would be two.
///
/// # Panics
/// When one does not hold.
pub fn check_lace() {
    for (kind, n) in (0..3).flat_map(|kind| [1, 7, 40].map(|n| (kind, n))) {
        let text = lace(kind, n);
        let answer = verify(&Request::of(&text)).expect("nothing is asked that cannot fit");
        assert!(answer.holds, "{:?} in\n{text}", answer.findings);
    }
}

/// A pattern that is right.
///
/// # Errors
/// When there are no bytes left to choose by.
pub fn right(u: &mut Unstructured<'_>) -> Result<String> {
    Ok(match u.int_in_range(0..=7)? {
        0 => (*u.choose(&WHOLE)?).to_owned(),
        kind @ 1..=3 => lace(kind - 1, u.int_in_range(1..=40)?),
        _ => {
            let mut tape = Vec::new();
            for _ in 0..u.int_in_range(0..=80)? {
                tape.push(u.arbitrary()?);
            }
            say(&make(&mut Tape::new(&tape), Wishes::default()), None).text
        }
    })
}

/// Makes one slip in a text.
///
/// # Errors
/// When there are no bytes left to choose by.
pub fn slip(text: &mut String, u: &mut Unstructured<'_>) -> Result<()> {
    match u.int_in_range(0..=9)? {
        0 => line(text, u),
        1 | 2 => clause(text, u),
        3..=5 => {
            let words = runs(text, |c| c.is_ascii_alphabetic() || c == '-');
            word(text, words, u)
        }
        _ => number(text, u),
    }
}

/// Stretches of such characters.
fn runs(text: &str, belongs: impl Fn(char) -> bool) -> Vec<(usize, usize)> {
    let mut runs = Vec::new();
    let mut start = None;
    for (at, char) in text.char_indices().chain([(text.len(), '\n')]) {
        match (belongs(char), start) {
            (true, None) => start = Some(at),
            (false, Some(from)) => {
                runs.push((from, at));
                start = None;
            }
            _ => {}
        }
    }
    runs
}

fn number(text: &mut String, u: &mut Unstructured<'_>) -> Result<()> {
    let numbers = runs(text, |c| c.is_ascii_digit());
    if numbers.is_empty() {
        return Ok(());
    }
    let (start, end) = *u.choose(&numbers)?;
    let old: u64 = text[start..end].parse().unwrap_or(0);
    let new = match u.int_in_range(0..=5)? {
        0 | 1 => old.saturating_add(1).to_string(),
        2 | 3 => old.saturating_sub(1).to_string(),
        4 => old.saturating_add(u.int_in_range(2..=12)?).to_string(),
        _ => text[start..end].chars().rev().collect(),
    };
    text.replace_range(start..end, &new);
    Ok(())
}

fn word(text: &mut String, words: Vec<(usize, usize)>, u: &mut Unstructured<'_>) -> Result<()> {
    if words.is_empty() {
        return Ok(());
    }
    let (start, end) = *u.choose(&words)?;
    let old = &text[start..end];
    let mistaken = MISTAKEN.iter().find_map(
        |(one, other)| {
            if old == *one { Some(*other) } else { (old == *other).then_some(*one) }
        },
    );
    let new = match (mistaken, u.int_in_range(0..=2)?) {
        (Some(other), 0 | 1) => other.to_owned(),
        (None, 0) => format!("{old} {old}"),
        (None, 1) => old.chars().rev().collect(),
        _ => String::new(),
    };
    text.replace_range(start..end, &new);
    Ok(())
}

/// A clause twice, or not at all.
fn clause(text: &mut String, u: &mut Unstructured<'_>) -> Result<()> {
    let clauses = runs(text, |c| !matches!(c, ',' | ';' | '\n' | '.' | ':'));
    if clauses.is_empty() {
        return Ok(());
    }
    let (start, end) = *u.choose(&clauses)?;
    let new = if u.arbitrary()? { format!("{},{}", &text[start..end], &text[start..end]) } else { String::new() };
    text.replace_range(start..end, &new);
    Ok(())
}

/// A line twice, or not at all.
fn line(text: &mut String, u: &mut Unstructured<'_>) -> Result<()> {
    let lines = runs(text, |c| c != '\n');
    if lines.is_empty() {
        return Ok(());
    }
    let (start, end) = *u.choose(&lines)?;
    let new = if u.arbitrary()? { format!("{}\n{}", &text[start..end], &text[start..end]) } else { String::new() };
    text.replace_range(start..end, &new);
    Ok(())
}
