//! The stitch multiple of a texture, found by working its rows.
//!
//! A designer does not type in "multiple of 5": the rows say it. They are worked by the verifier over every count from 1
//! on, [`FIRST`] and then [`AT_ONCE`] of them as so many sizes of one small pattern, twice over, so that the rows also fit
//! what they themselves leave behind. The counts over which everything comes out are read as `least + n × of`; if they are
//! no such series, that is said. If fewer than three counts come out, larger ones are tried, up to [`LARGEST`].

use std::cmp::Reverse;
use std::ops::Range;

use super::plan::Worked;
use crate::notation::write::stitch_name;
use crate::standards::StitchId;
use crate::verify::{self, NumberBeforeStitch, Reading, RepeatNumber, Request, Settled, Terms, TurningChain, Verdict};

/// Counts that are worked first: most textures come out over several of them.
pub const FIRST: u64 = 24;
/// Counts that are worked at once after that: as many sizes as a pattern may have.
pub const AT_ONCE: u64 = verify::MAX_SIZES as u64;
/// The largest count that is tried.
pub const LARGEST: u64 = AT_ONCE * 8;

/// The multiple of a texture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Multiple {
    /// Counts that fit lie so far apart.
    pub of: u64,
    /// What is over: less than `of`.
    pub plus: u64,
    /// The smallest count that fits.
    pub least: u64,
    /// For each written row: what it makes.
    pub rows: Vec<Makes>,
    /// Whether every row keeps the count and leaves stitches only, so that the section may end after any of them.
    pub ends_anywhere: bool,
    /// The row that decides the multiple, from 1; 0 where any count fits.
    pub because: usize,
}

/// What a written row makes, by how often the multiple goes into the count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Makes {
    /// Stitches over the smallest count that fits.
    pub at_least: u64,
    /// Stitches more with each further multiple.
    pub each: u64,
    /// Whether it leaves chain spaces.
    pub spaces: bool,
}

impl Multiple {
    /// Any count from 1 on, in rows of the stitch in each stitch.
    pub const fn plain() -> Self {
        Self { of: 1, plus: 0, least: 1, rows: Vec::new(), ends_anywhere: true, because: 0 }
    }

    /// Whether a count fits.
    pub const fn fits(&self, count: u64) -> bool {
        count >= self.least && (count - self.least).is_multiple_of(self.of)
    }

    /// The counts next to a count that fit: the largest up to it and the smallest above.
    pub const fn around(&self, count: u64) -> (Option<u64>, u64) {
        if count < self.least {
            return (None, self.least);
        }
        let below = count - (count - self.least) % self.of;
        (Some(below), below.saturating_add(self.of))
    }

    /// What the written row `row` (from 0) makes over a count that fits.
    pub fn made(&self, row: usize, count: u64) -> Option<u64> {
        let makes = self.rows.get(row)?;
        let times = count.checked_sub(self.least)? / self.of;
        makes.at_least.checked_add(makes.each.checked_mul(times)?)
    }

    /// In words: `multiple of 5`, `multiple of 4 + 1`.
    pub fn words(&self) -> String {
        if self.plus == 0 {
            format!("multiple of {}", self.of)
        } else {
            format!("multiple of {} + {}", self.of, self.plus)
        }
    }
}

/// Why rows have no multiple: which row, from 0, and what is the matter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoMultiple {
    /// The row, from 0.
    pub row: usize,
    /// What is the matter and what would help.
    pub message: String,
}

/// Finds the multiple of a texture.
///
/// # Errors
/// Where a row cannot be read, where no count up to [`LARGEST`] comes out, where the counts that do are no multiple, or
/// where the rows do not come back to the count they began with.
pub fn derive(rows: &[String], of: StitchId, worked: Worked, terms: Terms) -> Result<Multiple, NoMultiple> {
    if rows.is_empty() {
        return Ok(Multiple::plain());
    }
    let mut fits: Vec<Fit> = Vec::new();
    let mut wrong_first = vec![0u64; rows.len()];
    let (mut from, mut at_once) = (1, FIRST);
    while from < LARGEST && fits.len() < 3 {
        fits.extend(work(rows, of, worked, terms, from..from + at_once, &mut wrong_first)?);
        from += at_once;
        at_once = AT_ONCE;
    }
    let [first, second, rest @ ..] = fits.as_slice() else {
        let message = format!(
            "does not come out over any number of stitches up to {LARGEST}, or over one alone; verify it by itself to see what is left over"
        );
        let row = wrong_first.iter().rposition(|often| *often > 0).unwrap_or(0);
        return Err(NoMultiple { row, message });
    };
    let of = second.count - first.count;
    let even = rest.iter().zip(1..).all(|(fit, nth)| fit.count == second.count + of * nth);
    let complete = from - 1 - fits.last().map_or(0, |fit| fit.count) < of;
    if !even || !complete {
        let counts: Vec<String> = fits.iter().take(6).map(|fit| fit.count.to_string()).collect();
        let message = format!(
            "comes out over {} … stitches, which is no multiple; write the rows so that one repeat fills the row",
            counts.join(", ")
        );
        return Err(NoMultiple { row: rows.len() - 1, message });
    }
    let mut makes = Vec::with_capacity(rows.len());
    for row in 0..rows.len() {
        let each = second.made[row].0.checked_sub(first.made[row].0);
        let line = |count: u64| each.map(|each| first.made[row].0 + each * ((count - first.count) / of));
        if fits.iter().any(|fit| Some(fit.made[row].0) != line(fit.count)) {
            return Err(NoMultiple {
                row,
                message: "makes counts that do not grow evenly with the row below".to_owned(),
            });
        }
        makes.push(Makes {
            at_least: first.made[row].0,
            each: each.unwrap_or(0),
            spaces: fits.iter().any(|fit| fit.made[row].1),
        });
    }
    if let Some(fit) = fits.iter().find(|fit| fit.made.last().is_some_and(|(made, _)| *made != fit.count)) {
        let (made, _) = fit.made[rows.len() - 1];
        let message = format!(
            "makes {made} stitches where the first row began on {}: an even section comes back to its count; use a taper, or add the row that does",
            fit.count
        );
        return Err(NoMultiple { row: rows.len() - 1, message });
    }
    let ends_anywhere = makes.iter().all(|makes| !makes.spaces && makes.at_least == first.count && makes.each == of);
    let because = if of == 1 {
        0
    } else {
        wrong_first.iter().enumerate().max_by_key(|(at, often)| (**often, Reverse(*at))).map_or(0, |(at, _)| at + 1)
    };
    Ok(Multiple { of, plus: first.count % of, least: first.count, rows: makes, ends_anywhere, because })
}

/// A count over which all rows come out, with what each makes: stitches, and whether it leaves spaces.
struct Fit {
    count: u64,
    made: Vec<(u64, bool)>,
}

/// Works the rows over the counts from `from` on, and counts for each row how often it was the first to fail.
fn work(
    rows: &[String],
    of: StitchId,
    worked: Worked,
    terms: Terms,
    among: Range<u64>,
    wrong_first: &mut [u64],
) -> Result<Vec<Fit>, NoMultiple> {
    let (text, first_line) = trial(rows, of, worked, terms, &among);
    let request = Request {
        pattern: &text,
        terms: Some(terms),
        sizes: Some(among.clone().map(|count| format!("no. {count}")).collect()),
        settled: Settled {
            turning_chain: Some(TurningChain::DoesNotCount),
            skipped_chains: Some(TurningChain::DoesNotCount),
            number_before_stitch: Some(NumberBeforeStitch::OneInEach),
            repeat_number: Some(RepeatNumber::More),
        },
        ..Request::default()
    };
    let answer = verify::judge(&request).map_err(|problems| NoMultiple {
        row: 0,
        message: format!("cannot be worked for all sizes alike: {problems}"),
    })?;
    let reports: Vec<_> = answer.pieces.iter().flat_map(|piece| &piece.rows).collect();
    let of_rows: Vec<_> =
        (first_line..).take(rows.len() * 2).map(|line| reports.iter().find(|report| report.line == line)).collect();
    for (at, report) in of_rows.iter().enumerate().take(rows.len()) {
        if report.is_none_or(|report| report.reading != Reading::Read) {
            let said = answer.findings.iter().find(|finding| finding.place.line == first_line + at as u32);
            let why = said.map_or("no stitches were found in it", |finding| finding.message.as_str());
            return Err(NoMultiple { row: at, message: format!("could not be read: {why}") });
        }
    }
    let mut fits = Vec::new();
    for (size, number) in among.enumerate() {
        let counts: Option<Vec<_>> = of_rows
            .iter()
            .map(|report| report.as_ref()?.counts.get(size)?.as_ref().filter(|count| count.verdict == Verdict::Right))
            .enumerate()
            .map(|(at, count)| {
                if count.is_none() {
                    wrong_first[at % rows.len()] += 1;
                }
                count
            })
            .collect();
        if let Some(counts) = counts {
            let made = counts[..rows.len()]
                .iter()
                .map(|count| (count.made.unwrap_or(0), count.spaces.is_none_or(|spaces| spaces > 0)));
            fits.push(Fit { count: number, made: made.collect() });
        }
    }
    Ok(fits)
}

/// A small pattern that works the rows twice over a first row of so many stitches, and the line of the first of them.
fn trial(rows: &[String], of: StitchId, worked: Worked, terms: Terms, among: &Range<u64>) -> (String, u32) {
    let name = stitch_name(of, terms);
    let list = |more: u64| {
        let rest: Vec<String> = among.clone().skip(1).map(|count| (count + more).to_string()).collect();
        format!("{} ({})", among.start + more, rest.join(", "))
    };
    let word = if worked.is_round() { "Rnd" } else { "Row" };
    let mut lines = Vec::new();
    if worked.is_round() {
        lines.push(format!("Rnd 1: {} {name} in magic ring.", list(0)));
    } else {
        lines.push(format!("Ch {}.", list(1)));
        lines.push(format!("Row 1: {name} in 2nd ch from hook and in each ch across."));
    }
    let first_line = lines.len() as u32 + 1;
    for (at, row) in rows.iter().chain(rows).enumerate() {
        let row = row.trim().trim_end_matches('.').replace(['\n', '\r'], " ");
        lines.push(format!("{word} {}: {row}.", at + 2));
    }
    lines.push(String::new());
    (lines.join("\n"), first_line)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn multiple(rows: &[&str], worked: Worked) -> Result<Multiple, NoMultiple> {
        let rows: Vec<String> = rows.iter().map(|row| (*row).to_owned()).collect();
        derive(&rows, StitchId::SINGLE_CROCHET, worked, Terms::Us)
    }

    #[test]
    fn the_rows_say_their_multiple() {
        for (rows, worked, words, least) in [
            (&["Sc in back loop only of each st around."][..], Worked::Spiral, "multiple of 1", 1),
            (&["*Sc in next st, sk next st, 2 sc in next st; rep from * around."], Worked::Spiral, "multiple of 3", 3),
            (
                &[
                    "*Dc in next 2 sts, sk next st, (dc, ch 1, dc) in next st, sk next st; rep from * around.",
                    "Dc in each st and sp around.",
                ],
                Worked::JoinedRounds,
                "multiple of 5",
                5,
            ),
            (
                &[
                    "Sc in first st, *ch 1, sk next st, sc in next st; rep from * across.",
                    "Sc in each st and in each ch-1 sp across.",
                ],
                Worked::Rows,
                "multiple of 2 + 1",
                // A repeat that is worked no time is one that comes out.
                1,
            ),
            (
                &[
                    "Sc in next 3 sts, *sc in next 2 sts, hdc in next 2 sts; rep from * to last 3 sts, sc in last 3 sts.",
                ],
                Worked::Rows,
                "multiple of 4 + 2",
                6,
            ),
        ] {
            let found = multiple(rows, worked).unwrap();
            assert_eq!((found.words().as_str(), found.least), (words, least), "{rows:?}");
        }
    }

    #[test]
    fn a_texture_may_end_where_its_count_is_whole_again() {
        let found = multiple(
            &["*Sc in next st, ch 1, sk next st; rep from * around.", "Sc in each st and in each ch-1 sp around."],
            Worked::Spiral,
        )
        .unwrap();
        assert!(!found.ends_anywhere);
        assert_eq!(found.made(0, 20), Some(10));
        assert_eq!(found.made(1, 20), Some(20));
        assert_eq!(found.because, 1);
    }

    #[test]
    fn rows_that_have_no_multiple_are_named() {
        let grows = multiple(&["2 sc in each st around."], Worked::Spiral).unwrap_err();
        assert!(grows.message.contains("comes back to its count"), "{}", grows.message);
        let nonsense = multiple(&["Sc in each st around.", "Frumple the next 3 whelks."], Worked::Spiral).unwrap_err();
        assert_eq!(nonsense.row, 1, "{}", nonsense.message);
    }
}
