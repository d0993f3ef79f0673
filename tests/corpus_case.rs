//! The corpus of instruction lines: single lines as makers meet them, each with what really happens when it is worked.
//!
//! A case is a `[[line]]` table of a file in `corpus/`. Its numbers are worked out by hand and held to the slow worker
//! before anything else is asked; only then is the line put behind a preamble that makes the row below it.

use crate::slow_worker;
use serde::Deserialize;
use std::path::{Path, PathBuf};

pub mod typed;

/// One file of the corpus.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    line: Vec<Case>,
}

/// One instruction line and what happens when it is worked.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// Group letters, a dash and a running number.
    pub id: String,
    /// The form of words that it stands for.
    #[serde(default)]
    pub form: String,
    /// What stands in the row below: `round 18 sc`, `row 20 dc`, `nothing`.
    pub below: Option<String>,
    /// Instead of `below`: the rows before, as text.
    pub before: Option<String>,
    /// The line, or several of which the last is judged.
    pub text: String,
    /// `right` or `wrong`; left out for chatter.
    pub verdict: Option<String>,
    /// Per size: places that can be worked; -1 where the size does not work the row.
    #[serde(default)]
    pub available: Vec<i64>,
    /// Per size: places used.
    #[serde(default)]
    pub used: Vec<i64>,
    /// Per size: stitches made.
    #[serde(default)]
    pub made: Vec<i64>,
    /// Per size: chain spaces made.
    #[serde(default)]
    pub spaces: Vec<i64>,
    /// Per size: the actions, for the slow worker; `-` where the size does not work the row. With `on`, typed moves.
    #[serde(default)]
    pub work: Vec<String>,
    /// Per size: the places of the row below, typed, in the order in which they are worked.
    #[serde(default)]
    pub on: Vec<String>,
    /// Per size: the row made, typed, in the order in which it is worked.
    #[serde(default)]
    pub row: Vec<String>,
    /// Per size: places that the text leaves unworked on purpose; none if left out.
    #[serde(default)]
    pub leaves: Vec<i64>,
    /// Names of the sizes; none for a single size.
    #[serde(default)]
    pub sizes: Vec<String>,
    /// `us` or `uk`, where it is to be settled beforehand.
    pub terms: Option<String>,
    /// For a range: how many rows count the same.
    pub times: Option<Times>,
    /// For a wrong line: the rule that it breaks.
    pub rule: Option<String>,
    /// For a wrong line: the sizes that come out wrong, where some do not.
    #[serde(default)]
    pub wrong_sizes: Vec<String>,
    /// `chatter` for text that is no instruction.
    pub kind: Option<String>,
    /// A remark for whoever reads the file.
    pub note: Option<String>,
}

/// One number for all sizes, or one each.
#[derive(Debug, Clone, Deserialize)]
#[serde(untagged)]
pub enum Times {
    /// The same in every size.
    All(u64),
    /// One per size.
    Each(Vec<u64>),
}

/// The text to be verified, and where in it the case's own lines stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Prepared {
    /// Preamble and case.
    pub text: String,
    /// The preamble alone.
    pub preamble: String,
    /// First line of the case's text, from 1.
    pub first_line: u32,
    /// Its last line that is not blank.
    pub last_line: u32,
}

/// Every TOML file of the corpus and its folders but the ratchet, in the order of their names.
///
/// # Errors
/// When the folder cannot be read.
pub fn files(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            files.extend(self::files(&path)?);
            continue;
        }
        let is_toml = path.extension().is_some_and(|extension| extension == "toml");
        if is_toml && path.file_name().is_some_and(|name| name != "ratchet.toml") {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

/// The cases of one file.
///
/// # Errors
/// With a sentence, when the file is not as it should be.
pub fn read(path: &Path) -> Result<Vec<Case>, String> {
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let text = std::fs::read_to_string(path).map_err(|why| format!("{name}: {why}"))?;
    let file: File = toml::from_str(&text).map_err(|why| format!("{name}: {why}"))?;
    Ok(file.line)
}

impl Case {
    /// The letters before the number.
    pub fn group(&self) -> &str {
        self.id.split('-').next().unwrap_or_default()
    }

    /// True for text that is no instruction.
    pub fn is_chatter(&self) -> bool {
        self.kind.as_deref() == Some("chatter")
    }

    /// True if the line is expected to be wrong.
    pub fn is_wrong(&self) -> bool {
        self.verdict.as_deref() == Some("wrong")
    }

    /// How many sizes the case has.
    pub fn size_count(&self) -> usize {
        self.sizes.len().max(1)
    }

    /// How often the row is worked in one size, where the case says so.
    pub fn times_in(&self, size: usize) -> Option<u64> {
        match self.times.as_ref()? {
            Times::All(times) => Some(*times),
            Times::Each(each) => each.get(size).copied(),
        }
    }

    /// True if this size is expected to come out wrong.
    pub fn is_wrong_in(&self, size: usize) -> bool {
        self.is_wrong()
            && (self.wrong_sizes.is_empty() || self.sizes.get(size).is_some_and(|s| self.wrong_sizes.contains(s)))
    }

    /// Everything in the case that cannot be so: mistakes of the corpus itself.
    pub fn slips(&self) -> Vec<String> {
        let mut slips = Vec::new();
        if self.below.is_some() == self.before.is_some() {
            slips.push("needs either `below` or `before`".to_owned());
        }
        if self.kind.as_deref().is_some_and(|kind| kind != "chatter") {
            slips.push("the only `kind` is chatter".to_owned());
        }
        if self.is_chatter() {
            if self.verdict.is_some() || self.is_typed() || !self.work.is_empty() || !self.made.is_empty() {
                slips.push("chatter has no verdict and no numbers".to_owned());
            }
            return slips;
        }
        if !matches!(self.verdict.as_deref(), Some("right" | "wrong")) {
            slips.push("`verdict` is right or wrong".to_owned());
        }
        if !self.is_wrong() && (self.rule.is_some() || !self.wrong_sizes.is_empty()) {
            slips.push("only a wrong line breaks a rule".to_owned());
        }
        slips.extend(
            self.wrong_sizes.iter().filter(|s| !self.sizes.contains(s)).map(|s| format!("no size is called {s}")),
        );
        slips.extend(if self.is_typed() { self.typed_slips() } else { self.counted_slips() });
        if slips.is_empty()
            && let Err(slip) = self.prepare()
        {
            slips.push(slip);
        }
        slips
    }

    /// Slips of a case that says how many places there are, not which.
    fn counted_slips(&self) -> Vec<String> {
        let mut slips = Vec::new();
        for (name, numbers) in [("available", &self.available), ("used", &self.used), ("made", &self.made)] {
            let may_lack = self.is_wrong() && numbers.is_empty();
            if numbers.len() != self.size_count() && !may_lack {
                slips.push(format!("{} numbers in `{name}` for {} sizes", numbers.len(), self.size_count()));
            }
        }
        if !matches!(self.spaces.len(), 0) && self.spaces.len() != self.size_count() {
            slips.push(format!("{} numbers in `spaces` for {} sizes", self.spaces.len(), self.size_count()));
        }
        if self.work.len() != self.size_count() && !(self.is_wrong() && self.work.is_empty()) {
            slips.push(format!("{} lists in `work` for {} sizes", self.work.len(), self.size_count()));
        }
        for (size, list) in self.work.iter().enumerate() {
            if let Err(slip) = self.work_one(size, list) {
                slips.push(format!("size {}: {slip}", size + 1));
            }
        }
        if !self.row.is_empty() || !self.leaves.is_empty() {
            slips.push("`row` and `leaves` go with `on`".to_owned());
        }
        slips
    }

    fn work_one(&self, size: usize, list: &str) -> Result<(), String> {
        let at = |numbers: &[i64]| numbers.get(size).copied();
        if list.trim() == "-" {
            let not_worked = [&self.available, &self.used, &self.made].iter().all(|n| at(n).is_none_or(|n| n == -1));
            return if not_worked { Ok(()) } else { Err("a size that does not work the row has -1".to_owned()) };
        }
        let Some(available) = at(&self.available) else {
            return Ok(());
        };
        let available = u64::try_from(available).map_err(|_| "`available` is negative".to_owned())?;
        let worked = slow_worker::work_list(available, list).map_err(|slip| slip.to_string())?;
        for (name, said, found) in [("uses", at(&self.used), worked.used), ("makes", at(&self.made), worked.made)] {
            if let Some(said) = said
                && u64::try_from(said) != Ok(found)
            {
                return Err(format!("`work` {name} {found}, the case says {said}"));
            }
        }
        match worked.ran_out_at {
            Some(turn) if !self.is_wrong_in(size) => {
                Err(format!("stitches run out at action {}, and the line is said to be right", turn + 1))
            }
            _ => Ok(()),
        }
    }

    /// Puts the line behind the rows that come before it.
    ///
    /// # Errors
    /// With a sentence, when `below` cannot be read.
    pub fn prepare(&self) -> Result<Prepared, String> {
        let mut preamble = match (&self.before, self.below.as_deref()) {
            (Some(before), _) => before.trim_end().to_owned(),
            (None, Some(below)) => {
                let mut lines = Vec::new();
                if self.sizes.len() > 1 && !self.text.lines().any(|line| line.trim_start().starts_with("Sizes:")) {
                    lines.push(format!("Sizes: {} ({})", self.sizes[0], self.sizes[1..].join(", ")));
                }
                if self.is_typed() && below != "nothing" {
                    lines.extend(self.typed_rows_below(below)?);
                } else {
                    lines.extend(self.rows_below(below)?);
                    lines.extend(self.rows_between(below));
                }
                lines.join("\n")
            }
            (None, None) => String::new(),
        };
        if !preamble.is_empty() {
            preamble.push('\n');
        }
        let body = self.text.trim_end();
        let first_line = preamble.lines().count() + 1;
        let last_line = preamble.lines().count() + body.lines().count();
        let line = |n: usize| u32::try_from(n).map_err(|why| why.to_string());
        Ok(Prepared {
            text: format!("{preamble}{body}\n"),
            preamble,
            first_line: line(first_line)?,
            last_line: line(last_line)?,
        })
    }

    /// Plain rows up to the number of the line under test, so that its numbers go on by one.
    fn rows_between(&self, below: &str) -> Option<String> {
        if self.rule.as_deref().is_some_and(|rule| rule.starts_with("row-number")) {
            return None;
        }
        let last = self.text.lines().find_map(header_number)?.checked_sub(1)?;
        let mut words = below.split(' ');
        let round = words.next()? == "round";
        let stitch = words.next_back()?;
        let mut word = stitch.to_owned();
        word.get_mut(..1)?.make_ascii_uppercase();
        let (name, way) = if round { ("Rnd", "around") } else { ("Row", "across") };
        match last {
            0 | 1 => None,
            2 => Some(format!("{name} 2: {word} in each st {way}.")),
            _ => Some(format!("{name}s 2-{last}: {word} in each st {way}.")),
        }
    }

    /// `round 18 (24, 30) sc` as instruction lines that make just that.
    fn rows_below(&self, below: &str) -> Result<Vec<String>, String> {
        if below == "nothing" {
            return Ok(Vec::new());
        }
        let cannot = || format!("cannot make a row of {below:?}");
        let (kind, rest) = below.split_once(' ').ok_or_else(cannot)?;
        let (numbers, stitch) = rest.rsplit_once(' ').ok_or_else(cannot)?;
        let counts: Vec<u64> = numbers
            .split(|c: char| !c.is_ascii_digit())
            .filter(|digits| !digits.is_empty())
            .map(|digits| digits.parse().map_err(|_| cannot()))
            .collect::<Result<_, _>>()?;
        if counts.is_empty() || (counts.len() != 1 && counts.len() != self.size_count()) {
            return Err(cannot());
        }
        let uk = self.terms.as_deref() == Some("uk");
        let names = if uk { ["dc", "htr", "tr", "dtr"] } else { ["sc", "hdc", "dc", "tr"] };
        let height = 1 + names.iter().position(|name| *name == stitch).ok_or_else(cannot)?;
        match kind {
            "round" => Ok(vec![format!("Rnd 1: {} {stitch} in magic ring. ({})", list(&counts, 0), list(&counts, 0))]),
            "row" => {
                let hook = ["2nd", "3rd", "4th", "5th"][height - 1];
                let aside = if height == 1 { "" } else { " (skipped chs do not count as a st)" };
                let mut word = stitch.to_owned();
                word[..1].make_ascii_uppercase();
                Ok(vec![
                    format!("Ch {}.", list(&counts, height as u64)),
                    format!(
                        "Row 1: {word} in {hook} ch from hook{aside} and in each ch across. ({})",
                        list(&counts, 0)
                    ),
                ])
            }
            _ => Err(cannot()),
        }
    }
}

/// The number in a row's header, read as simply as can be.
fn header_number(line: &str) -> Option<u64> {
    let line = line.trim_start_matches(|c: char| !c.is_alphanumeric());
    let line = line.split_once("only: ").map_or(line, |(_, rest)| rest);
    let letters = line.find(|c: char| !c.is_alphabetic()).unwrap_or(line.len());
    let word = line[..letters].to_lowercase();
    let headed = ["row", "rows", "rnd", "rnds", "round", "rounds", "r", "rd"].contains(&word.as_str());
    let rest = if headed { line[letters..].trim_start_matches([' ', '.', '(', '-']) } else { line };
    let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    let number = rest[..end].parse().ok()?;
    let after = &rest[end..].to_lowercase();
    let ordinal = ["st", "nd", "rd", "th", "d "].iter().any(|suffix| after.starts_with(suffix))
        && ["row", "rnd", "round"].iter().any(|word| after.contains(word));
    (headed || ordinal || after.starts_with(['.', ')', ':'])).then_some(number)
}

/// `18 (24, 30)`, each with `more` added.
fn list(counts: &[u64], more: u64) -> String {
    let shown: Vec<String> = counts.iter().map(|count| (count + more).to_string()).collect();
    match shown.split_first() {
        Some((first, rest)) if !rest.is_empty() => format!("{first} ({})", rest.join(", ")),
        _ => shown.concat(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn increase_round() -> Case {
        Case {
            id: "B-014".to_owned(),
            below: Some("round 18 sc".to_owned()),
            text: "Rnd 4: [sc in next 2 sts, 2 sc in next st] 6 times. (24)".to_owned(),
            verdict: Some("right".to_owned()),
            available: vec![18],
            used: vec![18],
            made: vec![24],
            work: vec!["6*(1>1 1>1 1>2)".to_owned()],
            ..Case::default()
        }
    }

    #[test]
    fn a_case_whose_sums_are_right_has_no_slip() {
        assert_eq!(increase_round().slips(), [""; 0]);
        assert_eq!(increase_round().group(), "B");
    }

    #[test]
    fn a_wrong_sum_in_the_corpus_is_a_slip() {
        let slips = Case { made: vec![26], ..increase_round() }.slips();
        assert_eq!(slips, ["size 1: `work` makes 24, the case says 26"]);
        let slips = Case { available: vec![17], ..increase_round() }.slips();
        assert_eq!(slips, ["size 1: stitches run out at action 18, and the line is said to be right"]);
    }

    #[test]
    fn a_number_for_each_size_is_asked_for() {
        let case = Case { sizes: vec!["S".to_owned(), "M".to_owned()], ..increase_round() };
        assert_eq!(case.slips().len(), 4);
    }

    #[test]
    fn the_row_below_is_made_in_every_size() {
        let case = Case {
            below: Some("row 18 (24, 30) hdc".to_owned()),
            sizes: ["S", "M", "L"].map(str::to_owned).to_vec(),
            text: "Row 2: Hdc in each st.\n(18 (24, 30))".to_owned(),
            ..Case::default()
        };
        let prepared = case.prepare().expect("a row that can be made");
        assert_eq!(
            prepared.preamble,
            "Sizes: S (M, L)\nCh 20 (26, 32).\nRow 1: Hdc in 3rd ch from hook (skipped chs do not count as a st) \
             and in each ch across. (18 (24, 30))\n"
        );
        assert_eq!((prepared.first_line, prepared.last_line), (4, 5));
    }

    #[test]
    fn british_words_make_the_same_row() {
        let case = Case { below: Some("row 20 tr".to_owned()), terms: Some("uk".to_owned()), ..increase_round() };
        let prepared = case.prepare().expect("a row that can be made");
        assert!(prepared.text.starts_with("Ch 23.\nRow 1: Tr in 4th ch from hook (skipped"), "{}", prepared.text);
        let case = Case { below: Some("round 6 dc".to_owned()), ..case };
        assert!(case.prepare().is_ok_and(|p| {
            p.text.starts_with("Rnd 1: 6 dc in magic ring. (6)\nRnds 2-3: Dc in each st around.\nRnd 4:")
        }));
    }

    #[test]
    fn a_row_that_nobody_knows_is_a_slip() {
        for below in ["rows 18 sc", "round sc", "round 18 bobbles", "round 18 (20, 22) sc", "18"] {
            assert!(Case { below: Some(below.to_owned()), ..increase_round() }.prepare().is_err(), "{below}");
        }
    }
}
