//! Says a made-up pattern in words, in one of many spellings.

use super::model::{Body, Clause, Extent, Height, Manner, Marking, Number, Pattern, Row, Said, Words};
use std::cell::Cell;

/// The written pattern.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    /// All of it.
    pub text: String,
    /// The line, from 1, on which each row stands.
    pub row_lines: Vec<u32>,
    /// The line of the foundation chain, in a flat piece.
    pub foundation_line: Option<u32>,
}

/// Writes the pattern down; a row with the index `without` is left out, its number with it.
pub fn say(pattern: &Pattern, without: Option<usize>) -> Text {
    let mut lines = top(pattern);
    let mut foundation_line = None;
    let mut row_lines = Vec::new();
    let speaker = Speaker { pattern, foreign: Cell::new(false) };
    if pattern.manner == Manner::Flat {
        lines.push(format!("Ch {}.", speaker.number(&pattern.foundation)));
        foundation_line = Some(lines.len() as u32);
    }
    for (index, row) in pattern.rows.iter().enumerate() {
        if without == Some(index) {
            row_lines.push(0);
            continue;
        }
        lines.push(speaker.row(row));
        row_lines.push(lines.len() as u32);
    }
    if pattern.style.dressing > 0 {
        lines.push("Fasten off.".to_owned());
    }
    Text { text: lines.join("\n") + "\n", row_lines, foundation_line }
}

/// Title, sizes, terms and notes.
fn top(pattern: &Pattern) -> Vec<String> {
    let mut lines = Vec::new();
    let speaker = Speaker { pattern, foreign: Cell::new(false) };
    if pattern.style.dressing > 1 {
        lines.push(
            match pattern.manner {
                Manner::Spiral => "Sandpiper Ball",
                Manner::Joined => "Tidepool Coaster",
                Manner::Flat => "Samphire Scarf",
            }
            .to_owned(),
        );
        lines.push(String::new());
    }
    if pattern.sizes.len() > 1 {
        lines.push(format!("Sizes: {} ({})", pattern.sizes[0], pattern.sizes[1..].join(", ")));
    }
    match pattern.words {
        Words::Uk => lines.push("Written in UK terms.".to_owned()),
        Words::Us if pattern.style.dressing == 3 => lines.push("Written in US terms.".to_owned()),
        Words::Us => {}
    }
    if pattern.manner == Manner::Spiral && pattern.style.dressing > 1 {
        lines.push("Notes: Worked in a spiral; do not join the rounds.".to_owned());
    }
    if let Some(chain) = pattern.beginning
        && chain.said == Said::AtTop
    {
        let course = if pattern.manner == Manner::Flat { "row" } else { "round" };
        lines.push(format!(
            "Notes: The ch {} at the beginning of a {course} {} throughout.",
            chain.length,
            speaker.what_the_chain_is(chain.counts)
        ));
    }
    if !lines.is_empty() {
        lines.push(String::new());
    }
    lines
}

struct Speaker<'a> {
    pattern: &'a Pattern,
    /// The next stitch word is to be of the other vocabulary.
    foreign: Cell<bool>,
}

impl Speaker<'_> {
    /// The stitch of the piece.
    fn stitch(&self) -> &'static str {
        let (words, height) = (self.pattern.words, self.pattern.height);
        if self.foreign.take() {
            // A word that the vocabulary does not have at all, whatever height it is.
            return match words {
                Words::Us => "htr",
                Words::Uk if height == Height::Two => "hdc",
                Words::Uk => "sc",
            };
        }
        match (words, height) {
            (Words::Us, Height::One) => "sc",
            (Words::Us, Height::Two) => "hdc",
            (Words::Us, Height::Three) | (Words::Uk, Height::One) => "dc",
            (Words::Uk, Height::Two) => "htr",
            (Words::Uk, Height::Three) => "tr",
        }
    }

    fn what_the_chain_is(&self, counts: bool) -> String {
        if counts { format!("counts as a {}", self.stitch()) } else { "does not count as a st".to_owned() }
    }

    /// `18`, or a list in the pattern's own spelling.
    fn number(&self, number: &Number) -> String {
        let each = number.misprint.as_ref().unwrap_or(&number.each);
        if number.misprint.is_none() && !number.is_list() {
            return each[0].to_string();
        }
        let shown: Vec<String> = each.iter().map(u64::to_string).collect();
        let (first, rest) = shown.split_first().expect("a number in every size");
        if rest.is_empty() {
            return first.clone();
        }
        match self.pattern.style.list {
            1 => format!("{first} [{}]", rest.join(", ")),
            2 => format!("{first} ({})", rest.join(": ")),
            3 => format!("{first}({})", rest.join(",")),
            _ => format!("{first} ({})", rest.join(", ")),
        }
    }

    /// `next st`, `next 5 sts`.
    fn next(&self, which: &str, count: &Number) -> String {
        if count.misprint.is_none() && count.each.iter().all(|n| *n == 1) {
            format!("{which} st")
        } else {
            format!("{which} {} sts", self.number(count))
        }
    }

    fn row(&self, row: &Row) -> String {
        let style = self.pattern.style;
        self.foreign.set(row.foreign_word);
        let mut words = match &row.body {
            Body::First => self.first_row(),
            Body::SameAs(other) => {
                let course = self.course();
                let number = self.pattern.rows[*other].first;
                if style.dressing.is_multiple_of(2) {
                    format!("Rep {course} {number}")
                } else {
                    format!("Same as {course} {number}")
                }
            }
            Body::Phrases(clauses) => self.course_of(clauses),
        };
        if !style.toy {
            capitalise(&mut words);
        }
        format!("{} {}", self.header(row), self.counted(words, row.stated.as_ref()))
    }

    /// The word for one time round or across.
    fn course(&self) -> &'static str {
        match (self.pattern.manner, self.pattern.style.header) {
            (Manner::Flat, _) => "Row",
            (_, 1) => "Round",
            _ => "Rnd",
        }
    }

    fn header(&self, row: &Row) -> String {
        let course = self.course();
        let (first, last) = (row.first, row.last);
        let range = last > first;
        match self.pattern.style.header {
            2 if range => format!("R{first}-{last}:"),
            2 => format!("R{first}:"),
            3 if range => format!("{first}-{last}."),
            3 => format!("{first}."),
            4 if range => format!("{} to {} {}s:", ordinal(first), ordinal(last), course.to_lowercase()),
            4 => format!("{} {}:", ordinal(first), course.to_lowercase()),
            5 if range => format!("{}S {first}–{last} –", course.to_uppercase()),
            5 => format!("{} {first} –", course.to_uppercase()),
            _ if range => format!("{course}s {first}-{last}:"),
            _ => format!("{course} {first}:"),
        }
    }

    /// Puts the printed count behind the words, and the stop where it belongs.
    fn counted(&self, words: String, stated: Option<&Number>) -> String {
        let Some(stated) = stated else {
            return words + ".";
        };
        let count = self.number(stated);
        match self.pattern.style.count {
            1 => format!("{words}. ({count} sts)"),
            2 => format!("{words}. [{count}]"),
            3 => format!("{words} = {count} sts."),
            4 => format!("{words} – {count} sts."),
            5 => format!("{words}. {count} sts."),
            6 => format!("{words}. ({count} {})", self.stitch()),
            7 => format!("{words}. {{{count} sts}}"),
            _ => format!("{words}. ({count})"),
        }
    }

    /// The beginning chain as said in a row.
    fn chain(&self) -> Option<String> {
        let chain = self.pattern.beginning?;
        let aside = match chain.said {
            Said::OnTheLine => format!(" ({})", self.what_the_chain_is(chain.counts)),
            _ => String::new(),
        };
        Some(format!("ch {}{aside}", chain.length))
    }

    fn join(&self) -> &'static str {
        match (self.pattern.manner, self.pattern.chain_counts(), self.pattern.words) {
            (Manner::Spiral, ..) => "",
            (Manner::Flat, ..) => ", turn",
            (Manner::Joined, 0, Words::Us) => ", join with sl st to first st",
            (Manner::Joined, 0, Words::Uk) => ", join with ss to first st",
            (Manner::Joined, _, _) => ", join with sl st to top of beg ch",
        }
    }

    fn first_row(&self) -> String {
        let stitch = self.stitch();
        let join = self.join();
        if self.pattern.manner == Manner::Flat {
            let hook = ordinal(self.pattern.first_chain());
            let aside = match self.pattern.beginning {
                Some(chain) if chain.counts => format!(" (skipped chs count as a {stitch})"),
                Some(chain) if chain.length > 1 => " (skipped chs do not count as a st)".to_owned(),
                _ => String::new(),
            };
            return format!("{stitch} in {hook} ch from hook{aside} and in each ch across{join}");
        }
        let mut around = self.pattern.foundation.clone();
        around.each.iter_mut().for_each(|n| *n -= self.pattern.chain_counts());
        let around = self.number(&around);
        match self.chain() {
            Some(chain) => format!("Make a magic ring. {}, {around} {stitch} in ring{join}", capitalised(chain)),
            None if self.pattern.style.dressing == 1 => {
                format!("{around} {stitch} in a magic ring")
            }
            None => format!("{around} {stitch} in magic ring"),
        }
    }

    fn course_of(&self, clauses: &[Clause]) -> String {
        let mut words = self.chain().into_iter().chain(clauses.iter().map(|clause| self.clause(clause)));
        let mut said = words.next().unwrap_or_default();
        for word in words {
            said.push_str(", ");
            said.push_str(&word);
        }
        said + self.join()
    }

    fn phrases(&self, clauses: &[Clause]) -> String {
        clauses.iter().map(|clause| self.clause(clause)).collect::<Vec<_>>().join(", ")
    }

    fn clause(&self, clause: &Clause) -> String {
        let toy = self.pattern.style.toy;
        let extent = if self.pattern.manner == Manner::Flat { "across" } else { "around" };
        match clause {
            Clause::Plain { count, last: true, .. } => format!("{} in {}", self.stitch(), self.next("last", count)),
            Clause::Plain { count, .. } if toy => {
                format!("{} {}", self.number(count), self.stitch())
            }
            Clause::Plain { count, say, .. } => {
                let one = count.misprint.is_none() && count.each.iter().all(|n| *n == 1);
                match say {
                    1 if !one => {
                        format!("{} in each of {}", self.stitch(), self.next("next", count))
                    }
                    2 if !one => format!("1 {} in each of the {}", self.stitch(), self.next("next", count)),
                    _ => format!("{} in {}", self.stitch(), self.next("next", count)),
                }
            }
            Clause::Increase { last: true, .. } => format!("2 {} in last st", self.stitch()),
            Clause::Increase { .. } if toy => "inc".to_owned(),
            Clause::Increase { say: 1, .. } => "inc in next st".to_owned(),
            Clause::Increase { .. } => format!("2 {} in next st", self.stitch()),
            Clause::Decrease { .. } if toy => "dec".to_owned(),
            Clause::Decrease { say: 1 } => format!("{}2tog over next 2 sts", self.stitch()),
            Clause::Decrease { .. } => format!("{}2tog", self.stitch()),
            Clause::Skip { count } => {
                let word = if self.pattern.words == Words::Uk { "miss" } else { "sk" };
                format!("{word} {}", self.next("next", count))
            }
            Clause::ToEnd { each: 1 } => format!("{} in each st {extent}", self.stitch()),
            Clause::ToEnd { .. } if toy => format!("inc in each st {extent}"),
            Clause::ToEnd { each } => format!("{each} {} in each st {extent}", self.stitch()),
            Clause::ToLast { leave } => format!("{} in each st to {}", self.stitch(), self.next("last", leave)),
            Clause::FirstAgain => format!("{} in first st", self.stitch()),
            Clause::FirstSkipped => "sk first st".to_owned(),
            Clause::EachForNext { each: 1 } => format!("{} in each st", self.stitch()),
            Clause::EachForNext { each } => format!("{each} {} in each st", self.stitch()),
            Clause::Repeat { body, extent, marking } => self.repeat(body, extent, *marking),
        }
    }

    fn repeat(&self, body: &[Clause], extent: &Extent, marking: Marking) -> String {
        let body = self.phrases(body);
        let around = if self.pattern.manner == Manner::Flat { "across" } else { "around" };
        let said = match (extent, marking) {
            (Extent::Unsaid, _) => String::new(),
            (Extent::Fill, _) => format!(" {around}"),
            (Extent::ToLast(leave), _) => format!(" to {}", self.next("last", leave)),
            (Extent::Times(times), Marking::OpenStar) => {
                let mut more = times.clone();
                more.each.iter_mut().chain(more.misprint.iter_mut().flatten()).for_each(|n| *n = n.saturating_sub(1));
                let word = if more.each.iter().all(|n| *n == 1) { "time" } else { "times" };
                format!(" {} more {word}", self.number(&more))
            }
            (Extent::Times(times), Marking::Square) => format!(" {} times", self.number(times)),
            (Extent::Times(times), _) => format!(" x {}", self.number(times)),
        };
        match marking {
            Marking::Square => format!("[{body}]{said}"),
            Marking::Round => format!("({body}){said}"),
            Marking::OpenStar => format!("*{body}; rep from *{said}"),
            Marking::StarPair => format!("*{body}*{said}"),
        }
    }
}

fn ordinal(number: u64) -> String {
    let ending = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

fn capitalise(words: &mut str) {
    if let Some(first) = words.get_mut(..1) {
        first.make_ascii_uppercase();
    }
}

fn capitalised(mut words: String) -> String {
    capitalise(&mut words);
    words
}
