//! One change at a time: every number and every stitch word of the lines that are worked.

use evenround_tests::slow_reader::{Part, part, row_lines};

/// What sort of change it is, for the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    RowNumber,
    Count,
    CountOneSize,
    ListEntry,
    Foundation,
    Reference,
    Repeat,
    Chain,
    Ordinal,
    SpaceName,
    Number,
    IncDec,
    Stitch,
    ChainWord,
    Skip,
    Slip,
    NextEach,
}

impl Sort {
    pub fn name(self) -> &'static str {
        match self {
            Self::RowNumber => "row numbers",
            Self::Count => "printed counts",
            Self::CountOneSize => "printed counts, one size",
            Self::ListEntry => "size list entries, one size",
            Self::Foundation => "foundations",
            Self::Reference => "rows worked again",
            Self::Repeat => "repeat numbers",
            Self::Chain => "chains",
            Self::Ordinal => "chain from hook",
            Self::SpaceName => "names of spaces",
            Self::Number => "stitch numbers",
            Self::IncDec => "inc and dec",
            Self::Stitch => "stitch names",
            Self::ChainWord => "ch for sc",
            Self::Skip => "sk and sc",
            Self::Slip => "sl st for sc",
            Self::NextEach => "next and each",
        }
    }
}

/// One change of one text.
#[derive(Debug, Clone)]
pub struct Change {
    pub line: usize,
    pub start: usize,
    pub end: usize,
    pub with: String,
    pub sort: Sort,
}

impl Change {
    pub fn applied(&self, text: &str) -> String {
        format!("{}{}{}", &text[..self.start], self.with, &text[self.end..])
    }
}

/// All changes of a text that change what is worked, in text order.
pub fn all(text: &str, sizes: usize) -> Vec<Change> {
    let rows = row_lines(text);
    let mut changes = Vec::new();
    let mut offset = 0;
    let mut up = false;
    for (i, line) in text.split('\n').enumerate() {
        if rows.contains(&(i + 1)) {
            for (start, end, with, sort) in of_line(line, text, sizes, &mut up) {
                changes.push(Change { line: i + 1, start: offset + start, end: offset + end, with, sort });
            }
        }
        offset += line.len() + 1;
    }
    changes.retain_mut(|change| {
        let listed = change.sort == Sort::ListEntry;
        match part(text, &change.applied(text), change.line) {
            Part::Nothing => return false,
            Part::Header => change.sort = Sort::RowNumber,
            // The unit of a count is no work.
            Part::Count if change.with.starts_with(|c: char| c.is_alphabetic()) => return false,
            Part::Count => change.sort = if listed { Sort::CountOneSize } else { Sort::Count },
            Part::Reference if !listed => change.sort = Sort::Reference,
            Part::Foundation if !listed && !matches!(change.sort, Sort::ChainWord) => change.sort = Sort::Foundation,
            Part::Reference | Part::Foundation | Part::Work | Part::Unread => {}
        }
        true
    });
    changes
}

type Found = (usize, usize, String, Sort);

fn of_line(line: &str, text: &str, sizes: usize, up: &mut bool) -> Vec<Found> {
    let mut found = Vec::new();
    let bytes = line.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        if !bytes[at].is_ascii_alphanumeric() {
            at += 1;
            continue;
        }
        let start = at;
        let digit = bytes[at].is_ascii_digit();
        while at < bytes.len() && bytes[at].is_ascii_alphanumeric() && bytes[at].is_ascii_digit() == digit {
            at += 1;
        }
        if digit {
            found.extend(number(line, start, at, sizes, up));
        } else {
            found.extend(word(line, text, start, at));
        }
    }
    found
}

fn number(line: &str, start: usize, end: usize, sizes: usize, up: &mut bool) -> Option<Found> {
    let n: u64 = line[start..end].parse().ok()?;
    let before = line[..start].trim_end();
    let after = &line[end..];
    let low = before.to_lowercase();
    let letters: String = after.chars().take_while(|c| c.is_ascii_alphabetic()).collect();
    let next = after.trim_start().to_lowercase();
    let ordinal = ["st", "nd", "rd", "th"].contains(&letters.as_str());
    let sort = if line[..start].ends_with(|c: char| c.is_ascii_alphabetic()) && letters == "tog" {
        Sort::IncDec
    } else if ordinal {
        Sort::Ordinal
    } else if low.ends_with("ch-") || next.starts_with("-ch") || next.starts_with("-dc") {
        Sort::SpaceName
    } else if !letters.is_empty() {
        return None;
    } else if sizes > 1 && in_list(line, start, end, sizes) {
        Sort::ListEntry
    } else if next.starts_with("times") || next.starts_with("more") || low.ends_with(" x") || low.ends_with('×') {
        Sort::Repeat
    } else if low.ends_with("ch") || next.starts_with("ch,") || next.starts_with("ch ") || next.starts_with("ch;") {
        Sort::Chain
    } else {
        Sort::Number
    };
    *up = !*up;
    let least = if matches!(sort, Sort::Ordinal | Sort::IncDec) { 2 } else { 1 };
    let m = if *up || n <= least { n + 1 } else { n - 1 };
    let with = if ordinal { format!("{m}{}", suffix(m)) } else { m.to_string() };
    Some((start, if ordinal { end + 2 } else { end }, with, sort))
}

fn suffix(n: u64) -> &'static str {
    match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    }
}

/// True if the number is one of a list of so many.
fn in_list(line: &str, start: usize, end: usize, sizes: usize) -> bool {
    let entry = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || matches!(c, '-' | '–'));
    let opens: Vec<usize> = line.match_indices(['(', '[']).map(|(i, _)| i).collect();
    for open in opens {
        let Some(close) = line[open..].find([')', ']']).map(|i| open + i) else { continue };
        let inside: Vec<&str> = line[open + 1..close].split(',').map(str::trim).collect();
        let head = line[..open].trim_end();
        let from = head
            .rfind(|c: char| !(c.is_ascii_digit() || matches!(c, '-' | '–')))
            .map_or(0, |i| i + head[i..].chars().next().map_or(1, char::len_utf8));
        if inside.len() + 1 == sizes
            && inside.iter().all(|one| entry(one))
            && entry(&head[from..])
            && start >= from
            && end <= close
        {
            return true;
        }
    }
    // `48-50-56`
    let left = line[..start].ends_with('-');
    let right = line[end..].starts_with('-') && line[end + 1..].starts_with(|c: char| c.is_ascii_digit());
    (left || right) && sizes > 2 && line.contains('-') && !line[..start].ends_with("ch-")
}

fn word(line: &str, text: &str, start: usize, end: usize) -> Option<Found> {
    let word = &line[start..end];
    let low = word.to_lowercase();
    let uk = text.contains("htr") || text.contains("British") || text.contains("UK");
    if low == "sl" && line[end..].starts_with(" st") {
        return Some((start, end + 3, cased(word, if uk { "dc" } else { "sc" }), Sort::Slip));
    }
    let plain = if uk { "dc" } else { "sc" };
    let (with, sort) = match low.as_str() {
        "inc" => ("dec", Sort::IncDec),
        "dec" => ("inc", Sort::IncDec),
        "ss" if uk => (plain, Sort::Slip),
        "sc" => ("dc", Sort::Stitch),
        "hdc" => ("sc", Sort::Stitch),
        "dc" => (if uk { "tr" } else { "sc" }, Sort::Stitch),
        "tr" | "htr" => ("dc", Sort::Stitch),
        "ch" if !line[end..].starts_with('-') && !line[..start].ends_with('-') => (plain, Sort::ChainWord),
        "sk" | "skip" | "miss" => (plain, Sort::Skip),
        "next" => ("each", Sort::NextEach),
        "each" => ("next", Sort::NextEach),
        _ => return None,
    };
    Some((start, end, cased(word, with), sort))
}

fn cased(before: &str, word: &str) -> String {
    let mut word = word.to_owned();
    if before.starts_with(|c: char| c.is_ascii_uppercase()) {
        word[..1].make_ascii_uppercase();
    }
    word
}
