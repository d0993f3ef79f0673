//! Lines of lace and texture: the row below, the moves and the row made are typed.

use super::{Case, header_number};
use crate::slow_worker::typed::{self, Item};

impl Case {
    /// True if the case says of every place and item what it is.
    pub fn is_typed(&self) -> bool {
        !self.on.is_empty()
    }

    /// The structure that the line makes in one size, where the case says so.
    pub fn row_in(&self, size: usize) -> Option<Vec<Item>> {
        let row = self.row.get(size).filter(|row| row.trim() != "-")?;
        typed::items(row).ok()
    }

    /// Slips of a typed case: its moves held to what it says they use and make.
    pub(super) fn typed_slips(&self) -> Vec<String> {
        let mut slips = Vec::new();
        let sizes = self.size_count();
        for (name, length) in [("on", self.on.len()), ("work", self.work.len())] {
            if length != sizes {
                slips.push(format!("{length} lists in `{name}` for {sizes} sizes"));
            }
        }
        let numbers = [
            ("row", self.row.len()),
            ("made", self.made.len()),
            ("spaces", self.spaces.len()),
            ("leaves", self.leaves.len()),
        ];
        for (name, length) in numbers {
            let may_lack = name == "leaves" || self.is_wrong();
            if length != sizes && !(may_lack && length == 0) {
                slips.push(format!("{length} entries in `{name}` for {sizes} sizes"));
            }
        }
        if !self.available.is_empty() || !self.used.is_empty() {
            slips.push("`on` and `work` say what is there and what is used".to_owned());
        }
        if self.is_wrong() && self.rule.is_none() {
            slips.push("a wrong line names its `rule`".to_owned());
        }
        for (size, (on, list)) in self.on.iter().zip(&self.work).enumerate() {
            if let Err(slip) = self.typed_work(size, on, list) {
                slips.push(format!("size {}: {slip}", size + 1));
            }
        }
        slips
    }

    fn typed_work(&self, size: usize, on: &str, list: &str) -> Result<(), String> {
        if list.trim() == "-" {
            let numbers = [&self.made, &self.spaces];
            let not_worked = numbers.iter().all(|n| n.get(size).is_none_or(|n| *n == -1));
            return if not_worked { Ok(()) } else { Err("a size that does not work the row has -1".to_owned()) };
        }
        let worked = typed::work(on, list).map_err(|slip| slip.to_string())?;
        if self.is_wrong_in(size) {
            return Ok(());
        }
        if let Some(first) = worked.trouble.first() {
            return Err(format!("{first}, and the line is said to be right"));
        }
        let leaves = self.leaves.get(size).copied().unwrap_or_default();
        if i64::try_from(worked.left) != Ok(leaves) {
            return Err(format!("`work` leaves {} places, the case says {leaves}", worked.left));
        }
        if let Some(row) = self.row.get(size) {
            let row = typed::items(row).map_err(|slip| slip.to_string())?;
            if let Some(differs) = typed::difference(&row, &worked.row) {
                return Err(format!("`work` does not make `row`: {differs}"));
            }
        }
        let stitches = worked.row.iter().filter(|item| item.is_stitch()).count();
        let spaces = worked.row.iter().filter(|item| item.is_space()).count();
        for (name, said, found) in [("made", &self.made, stitches), ("spaces", &self.spaces, spaces)] {
            if let Some(said) = said.get(size)
                && usize::try_from(*said) != Ok(found)
            {
                return Err(format!("`{name}` is {found} by `work`, the case says {said}"));
            }
        }
        Ok(())
    }

    /// Plain instructions that make the row `round tc ch1 3*(dc ch1)`, numbered so that the line under test goes on.
    pub(super) fn typed_rows_below(&self, below: &str) -> Result<Vec<String>, String> {
        let (kind, list) = below.split_once(' ').ok_or_else(|| format!("cannot make a row of {below:?}"))?;
        let mut row = typed::items(list).map_err(|slip| format!("{below:?}: {slip}"))?;
        let uk = self.terms.as_deref() == Some("uk");
        let number = self.text.lines().find_map(header_number);
        let last = number.unwrap_or(2).saturating_sub(1);
        let stitches = row.iter().filter(|item| item.is_stitch()).count();
        let plain = if uk { "dc" } else { "sc" };
        let mut lines = Vec::new();
        match kind {
            "round" => {
                let join = "join with sl st to first st.";
                if last <= 1 {
                    lines.push(format!("Rnd 1: {}, {join}", written(&row, uk, InWhat::Ring)));
                    return Ok(lines);
                }
                lines.push(format!("Rnd 1: {stitches} {plain} in magic ring, {join} ({stitches})"));
                lines.extend(plain_rows("Rnd", 2, last - 1, &format!("{} in each st around, {join}", title(plain))));
                lines.push(format!("Rnd {last}: {}, {join}", written(&row, uk, InWhat::Stitches)));
            }
            "row" => {
                // A flat row is worked back on: what the line meets first was made last.
                row.reverse();
                let first = if last <= 1 { "Foundation row".to_owned() } else { "Row 1".to_owned() };
                lines.push(format!("Ch {}.", stitches + 1));
                lines.push(format!(
                    "{first}: {} in 2nd ch from hook and in each ch across, turn. ({stitches})",
                    title(plain)
                ));
                lines.extend(plain_rows(
                    "Row",
                    2,
                    last.saturating_sub(1),
                    &format!("{} in each st across, turn.", title(plain)),
                ));
                lines.push(format!("Row {}: {}, turn.", last.max(1), written(&row, uk, InWhat::Stitches)));
            }
            _ => return Err(format!("cannot make a row of {below:?}")),
        }
        Ok(lines)
    }
}

fn plain_rows(name: &str, from: u64, to: u64, body: &str) -> Option<String> {
    match to {
        _ if to < from => None,
        _ if to == from => Some(format!("{name} {from}: {body}")),
        _ => Some(format!("{name}s {from}-{to}: {body}")),
    }
}

fn title(word: &str) -> String {
    let mut title = word.to_owned();
    if let Some(first) = title.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    title
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum InWhat {
    Ring,
    Stitches,
}

/// The items as an instruction, one run of equal stitches after the other and no repeat.
fn written(row: &[Item], uk: bool, into: InWhat) -> String {
    let mut phrases: Vec<String> = Vec::new();
    // A space at the beginning would be taken for the chain that gives the row its height.
    if row.first().is_some_and(|item| item.is_space()) {
        phrases.push("ch 1 (does not count as a st)".to_owned());
    }
    let mut rest = row;
    while let Some((item, after)) = rest.split_first() {
        let run = if item.is_space() { 1 } else { rest.iter().take_while(|other| *other == item).count() };
        rest = if item.is_space() { after } else { &rest[run..] };
        phrases.push(match item {
            Item::TurningChain => beginning_chain(row, uk),
            Item::Space(chains) => format!("ch {chains}"),
            Item::Loop => "ch 2, dc in first st (counts as last ch-sp)".to_owned(),
            Item::Picot => vec!["ch 3, sl st in 3rd ch from hook (picot made)"; run].join(", "),
            Item::Gap | Item::Ring | Item::Chain => continue,
            Item::Stitch(name) => {
                let name = if uk { british(name.as_str()) } else { name.as_str() };
                let post = ["fp", "bp"].iter().any(|post| name.starts_with(post));
                let word = if post { "around" } else { "in" };
                match (into, run) {
                    (InWhat::Ring, 1) => format!("{name} in magic ring"),
                    (InWhat::Ring, _) => format!("{run} {name} in magic ring"),
                    (InWhat::Stitches, 1) => format!("{name} {word} next st"),
                    (InWhat::Stitches, _) => format!("{name} {word} each of next {run} sts"),
                }
            }
        });
    }
    title(&phrases.join(", "))
}

/// A chain as high as the row's commonest stitch, said to count.
fn beginning_chain(row: &[Item], uk: bool) -> String {
    let high = |kind: &str| row.iter().filter(|item| **item == Item::stitch(kind)).count();
    let kinds = ["dc", "tr", "hdc", "sc"];
    let kind = kinds.into_iter().rev().max_by_key(|kind| high(kind)).unwrap_or("dc");
    let chains = match kind {
        "sc" => 1,
        "hdc" => 2,
        "tr" => 4,
        _ => 3,
    };
    format!("ch {chains} (counts as {})", if uk { british(kind) } else { kind })
}

fn british(name: &str) -> &str {
    match name {
        "sc" => "dc",
        "hdc" => "htr",
        "dc" => "tr",
        "tr" => "dtr",
        "dtr" => "trtr",
        other => other,
    }
}

/// A row as an answer writes it, `3 dc, ch 2, 4×(2 dc, ch 1), turning ch`, in US names.
///
/// # Errors
/// When it is not written so.
pub fn from_answer(structure: &str, uk: bool) -> Result<Vec<Item>, String> {
    let mut open: Vec<(usize, Vec<Item>)> = vec![(1, Vec::new())];
    let spaced = structure.replace("×(", "×(,").replace(')', ",)");
    for word in spaced.split(',').map(str::trim).filter(|word| !word.is_empty()) {
        let cannot = || format!("cannot read {word:?} in {structure:?}");
        if word == ")" {
            let (times, body) = open.pop().ok_or_else(cannot)?;
            let outer = &mut open.last_mut().ok_or_else(cannot)?.1;
            for _ in 0..times {
                outer.extend_from_slice(&body);
            }
        } else if let Some(times) = word.strip_suffix("×(") {
            open.push((times.trim().parse().map_err(|_| cannot())?, Vec::new()));
        } else {
            let digits = word.find(|c: char| !c.is_ascii_digit()).ok_or_else(cannot)?;
            let times = if digits == 0 { 1 } else { word[..digits].parse().map_err(|_| cannot())? };
            let name = word[digits..].trim_start_matches('×').trim();
            let item = match name {
                "turning ch" => Item::TurningChain,
                "loop" => Item::Loop,
                "picot" => Item::Picot,
                "ch" => Item::Chain,
                "ring" => Item::Ring,
                _ => match name.strip_prefix("ch ") {
                    Some(chains) => Item::Space(chains.trim().parse().map_err(|_| cannot())?),
                    None => Item::stitch(&us_name(name, uk)),
                },
            };
            open.last_mut().ok_or_else(cannot)?.1.extend(std::iter::repeat_n(item, times));
        }
    }
    match <[_; 1]>::try_from(open) {
        Ok([(_, row)]) => Ok(row),
        Err(_) => Err(format!("a repeat is not closed in {structure:?}")),
    }
}

fn us_name(name: &str, uk: bool) -> String {
    let name: String = name.to_lowercase().chars().filter(|c| !matches!(c, ' ' | '-')).collect();
    if !uk {
        return name;
    }
    let (post, kind) = match name.get(..2) {
        Some(post @ ("fp" | "bp")) => (post, &name[2..]),
        _ => ("", name.as_str()),
    };
    let kind = match kind {
        "dc" => "sc",
        "htr" => "hdc",
        "tr" => "dc",
        "dtr" => "tr",
        "trtr" => "dtr",
        other => other,
    };
    format!("{post}{kind}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn granny() -> Case {
        Case {
            id: "F-014".to_owned(),
            below: Some("round tc 2dc ch2 3*(3dc ch2)".to_owned()),
            text: "Rnd 3: Sl st to ch-2 sp, …".to_owned(),
            verdict: Some("right".to_owned()),
            on: vec!["tc 2dc ch2 3*(3dc ch2)".to_owned()],
            work: vec!["3st>0 sp>tc+2dc+ch2+3dc 0>ch1 3*(3st>0 sp>3dc+ch2+3dc 0>ch1)".to_owned()],
            row: vec!["tc 2dc ch2 3dc ch1 3*(3dc ch2 3dc ch1)".to_owned()],
            made: vec![24],
            spaces: vec![8],
            ..Case::default()
        }
    }

    #[test]
    fn a_typed_case_is_held_to_its_moves() {
        assert_eq!(granny().slips(), [""; 0]);
        let slips = Case { made: vec![28], ..granny() }.slips();
        assert_eq!(slips, ["size 1: `made` is 24 by `work`, the case says 28"]);
        let slips = Case { on: vec!["tc 2dc ch2 4*(3dc ch2)".to_owned()], ..granny() }.slips();
        assert_eq!(slips, ["size 1: `work` leaves 4 places, the case says 0"]);
        let slips = Case { row: vec!["tc 2dc ch3 3dc ch1 3*(3dc ch2 3dc ch1)".to_owned()], ..granny() }.slips();
        assert_eq!(slips, ["size 1: `work` does not make `row`: item 4 is ch2, not ch3"]);
        let slips = Case { verdict: Some("wrong".to_owned()), ..granny() }.slips();
        assert_eq!(slips, ["a wrong line names its `rule`"]);
    }

    #[test]
    fn the_round_below_is_made_in_a_ring_or_on_plain_rounds() {
        let prepared = Case { text: "Rnd 2: …".to_owned(), ..granny() }.prepare().expect("a round");
        assert!(
            prepared
                .preamble
                .starts_with("Rnd 1: Ch 3 (counts as dc), 2 dc in magic ring, ch 2, 3 dc in magic ring, ch 2,"),
            "{}",
            prepared.preamble
        );
        let prepared = Case { text: "Rnd 5: …".to_owned(), ..granny() }.prepare().expect("a round");
        let lines: Vec<&str> = prepared.preamble.lines().collect();
        assert_eq!(lines[0], "Rnd 1: 12 sc in magic ring, join with sl st to first st. (12)");
        assert_eq!(lines[1], "Rnds 2-3: Sc in each st around, join with sl st to first st.");
        assert!(
            lines[2].starts_with("Rnd 4: Ch 3 (counts as dc), dc in each of next 2 sts, ch 2, dc in each of"),
            "{}",
            lines[2]
        );
    }

    #[test]
    fn the_row_below_is_made_the_other_way_round() {
        let case =
            Case { below: Some("row dc 2*(2dc ch2) cl tc".to_owned()), text: "Row 4: …".to_owned(), ..granny() };
        assert_eq!(
            case.prepare().expect("a row").preamble,
            "Ch 8.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (7)\nRow 2: Sc in each st across, turn.\n\
             Row 3: Ch 3 (counts as dc), cl in next st, ch 2, dc in each of next 2 sts, ch 2, dc in each of next 3 sts, turn.\n"
        );
        let case = Case { terms: Some("uk".to_owned()), text: "2nd row: …".to_owned(), ..case };
        assert_eq!(
            case.prepare().expect("a row").preamble,
            "Ch 8.\nFoundation row: Dc in 2nd ch from hook and in each ch across, turn. (7)\n\
             Row 1: Ch 3 (counts as tr), cl in next st, ch 2, tr in each of next 2 sts, ch 2, tr in each of next 3 sts, turn.\n"
        );
    }

    #[test]
    fn the_structure_of_an_answer_is_written_out() {
        let read = |text: &str, uk| from_answer(text, uk).expect("a structure");
        let row = |list: &str| typed::items(list).expect("a row");
        assert_eq!(
            read("3 dc, ch 2, 4×(2 dc, ch 1), turning ch, loop, picot", false),
            row("3dc ch2 4*(2dc ch1) tc loop picot")
        );
        assert_eq!(read("2×(dc, 3×(sc, picot)), 2 FPdc", false), row("2*(dc 3*(sc picot)) 2fpdc"));
        assert_eq!(read("3 tr, htr, cl", true), row("3dc hdc cl"));
        assert!(from_answer("3×(dc", false).is_err());
        assert!(from_answer("dc)", false).is_err());
    }
}
