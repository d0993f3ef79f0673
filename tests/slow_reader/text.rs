//! The text as lines: what a line calls itself, which sizes it speaks to, and its wording for one size alone.

/// Row or round, as the line says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    Row,
    Round,
}

/// What stands before the colon.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Header {
    pub way: Way,
    /// First and last number; none for "Next row".
    pub numbers: Option<(u64, u64)>,
    /// The rest of the line.
    pub body: String,
}

/// One line that the reader cares for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// A row or round with a header.
    Row,
    /// A foundation, a ring or a repeat on a line of its own.
    Loose,
    /// The sizes to which the lines that follow speak.
    Guard(Vec<usize>),
    /// Anything else.
    Talk,
}

/// The whole text in lines.
#[derive(Debug, Clone)]
pub struct Book {
    pub sizes: Vec<String>,
    pub lines: Vec<(String, Kind)>,
    /// Size lists are written `3-9-18`.
    pub hyphens: bool,
    /// Rows are a numbered list.
    numbered: bool,
}

impl Book {
    pub fn of(text: &str) -> Self {
        let raw: Vec<&str> = text.lines().collect();
        let hyphens = text.contains("joined by hyphens");
        let sizes = size_names(&raw);
        let listed = raw.iter().filter(|line| list_number(line).is_some()).count();
        let mut book = Self { sizes, lines: Vec::new(), hyphens, numbered: listed >= 5 };
        let mut begun = false;
        for line in raw {
            let kind = book.kind(line, begun);
            begun |= kind == Kind::Row;
            book.lines.push((line.to_owned(), kind));
        }
        book
    }

    pub fn size_count(&self) -> usize {
        self.sizes.len().max(1)
    }

    fn kind(&self, line: &str, begun: bool) -> Kind {
        if let Some(sizes) = self.guard(line) {
            return Kind::Guard(sizes);
        }
        let Ok(one) = self.project(line, 0) else {
            // A broken size list does not make the line another line.
            return if self.header(line).is_some() { Kind::Row } else { Kind::Talk };
        };
        if self.header(&one).is_some() {
            return Kind::Row;
        }
        if is_loose(&one, begun) { Kind::Loose } else { Kind::Talk }
    }

    fn guard(&self, line: &str) -> Option<Vec<usize>> {
        let low = line.trim().to_lowercase();
        let told = low.strip_suffix(':').unwrap_or(&low);
        if told == "all sizes" {
            return Some((0..self.size_count()).collect());
        }
        if !told.ends_with(" only") || self.sizes.len() < 2 {
            return None;
        }
        // Longer names first, so that "Adult S" is not found in "Adult Small".
        let mut order: Vec<usize> = (0..self.sizes.len()).collect();
        order.sort_by_key(|i| std::cmp::Reverse(self.sizes[*i].len()));
        let mut left = format!(" {} ", told.replace([',', '(', ')'], " , "));
        let mut found = Vec::new();
        for i in order {
            let name = format!(" {} ", self.sizes[i].to_lowercase());
            if left.contains(&name) {
                left = left.replace(&name, "  ");
                found.push(i);
            }
        }
        found.sort_unstable();
        (!found.is_empty()).then_some(found)
    }

    /// The line as the maker of one size reads it: each size list is that size's number.
    pub fn project(&self, line: &str, size: usize) -> Result<String, String> {
        self.project_for(line, size, None)
    }

    /// As [`project`](Self::project); a list may be as long as the sizes that the lines above name.
    pub fn project_for(&self, line: &str, size: usize, guard: Option<&[usize]>) -> Result<String, String> {
        let count = self.sizes.len();
        if count < 2 {
            return Ok(line.to_owned());
        }
        let chars: Vec<char> = line.chars().collect();
        let mut out = String::new();
        let mut at = 0;
        while at < chars.len() {
            let fresh = at == 0 || !(chars[at - 1].is_alphanumeric() || chars[at - 1] == '.');
            if fresh && let Some((entries, end)) = self.list_at(&chars, at) {
                let own =
                    guard.filter(|sizes| sizes.len() == entries.len()).and_then(|g| g.iter().position(|s| *s == size));
                if let Some(own) = own.filter(|_| entries.len() != count) {
                    out.push_str(&entries[own]);
                    at = end;
                    continue;
                }
                if guard.is_some_and(|sizes| sizes.len() == entries.len() && !sizes.contains(&size)) {
                    out.push_str(&entries[0]);
                    at = end;
                    continue;
                }
                if entries.len() != count {
                    return Err(format!("{} numbers for {count} sizes", entries.len()));
                }
                match (entries[0].split_once('-'), entries[1..].iter().any(|one| one.contains('-'))) {
                    // "Rnds 2-24 (25, 26)"; but "Rnds 2-24 (2-25, 2)" is one round in a size
                    (Some((from, _)), false) if !self.hyphens && size > 0 => {
                        out.push_str(&format!("{from}-{}", entries[size]))
                    }
                    _ => out.push_str(&entries[size]),
                }
                at = end;
                continue;
            }
            out.push(chars[at]);
            at += 1;
        }
        Ok(out)
    }

    /// A size list that starts here, and where it ends.
    fn list_at(&self, chars: &[char], at: usize) -> Option<(Vec<String>, usize)> {
        if self.hyphens {
            let mut entries = Vec::new();
            let mut i = at;
            while let Some((entry, end)) = digits(chars, i) {
                entries.push(entry);
                i = end;
                if chars.get(i) != Some(&'-') {
                    break;
                }
                i += 1;
            }
            return (entries.len() == self.sizes.len()).then_some((entries, i));
        }
        let (first, mut i) = entry(chars, at)?;
        while chars.get(i) == Some(&' ') {
            i += 1;
        }
        let close = match chars.get(i)? {
            '(' => ')',
            '[' => ']',
            _ => return None,
        };
        i += 1;
        let mut entries = vec![first];
        loop {
            while chars.get(i) == Some(&' ') {
                i += 1;
            }
            let (one, end) = entry(chars, i)?;
            entries.push(one);
            i = end;
            while chars.get(i) == Some(&' ') {
                i += 1;
            }
            match chars.get(i)? {
                ',' => i += 1,
                c if *c == close => break,
                _ => return None,
            }
        }
        // `12 (18)` in a pattern of many sizes is a count behind a number, not a list.
        (entries.len() > 2 || self.sizes.len() == 2).then_some((entries, i + 1))
    }

    /// The header of a line that is already put into one size.
    pub fn header(&self, line: &str) -> Option<Header> {
        let trimmed = line.trim();
        if self.numbered
            && let Some((numbers, rest)) = list_number(trimmed)
        {
            return Some(Header { way: Way::Round, numbers: Some(numbers), body: rest.to_owned() });
        }
        let mut words = Scan { rest: trimmed };
        let mut first = words.word().unwrap_or_default().to_lowercase();
        if ["edging", "border"].contains(&first.as_str()) {
            first = words.word()?.to_lowercase();
        }
        let (way, numbers) = if ["next", "last", "foundation", "base"].contains(&first.as_str()) {
            (way_of(&words.word()?.to_lowercase())?, None)
        } else if let Some(way) = way_of(&first) {
            let from = words.number()?;
            (way, Some((from, words.range_end().unwrap_or(from))))
        } else {
            return Self::ordinal_header(trimmed);
        };
        Some(Header { way, numbers, body: words.body()? })
    }

    fn ordinal_header(line: &str) -> Option<Header> {
        let mut words = Scan { rest: line };
        let from = words.ordinal()?;
        let mut to = from;
        let before = words.rest;
        let joint = words.word()?.to_lowercase();
        if ["to", "and"].contains(&joint.as_str()) {
            to = words.ordinal()?;
        } else {
            words.rest = before;
        }
        let mut word = words.word()?.to_lowercase();
        if word == "dec" {
            // Named rows count for themselves.
            word = words.word()?.to_lowercase();
            return Some(Header { way: way_of(&word)?, numbers: None, body: words.body()? });
        }
        Some(Header { way: way_of(&word)?, numbers: Some((from, to)), body: words.body()? })
    }
}

struct Scan<'a> {
    rest: &'a str,
}

impl<'a> Scan<'a> {
    fn word(&mut self) -> Option<&'a str> {
        self.rest = self.rest.trim_start();
        let end = self.rest.find(|c: char| !c.is_alphabetic()).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        (!word.is_empty()).then_some(word)
    }

    fn number(&mut self) -> Option<u64> {
        self.rest = self.rest.trim_start_matches([' ', '.']);
        let end = self.rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(self.rest.len());
        let number = self.rest[..end].parse().ok()?;
        self.rest = &self.rest[end..];
        Some(number)
    }

    fn ordinal(&mut self) -> Option<u64> {
        let number = self.number()?;
        let after = ["st", "nd", "rd", "th"].iter().find_map(|suffix| self.rest.strip_prefix(suffix))?;
        self.rest = after;
        Some(number)
    }

    /// `-12`, ` to 12`, ` and 12`, `-R12` behind a number.
    fn range_end(&mut self) -> Option<u64> {
        let before = self.rest;
        let trimmed = before.trim_start();
        let marks: &[&str] = if trimmed == before { &["-", "–"] } else { &["to ", "and "] };
        let after = marks.iter().find_map(|joint| trimmed.strip_prefix(joint));
        let end = after.and_then(|after| {
            let after = after.trim_start();
            self.rest =
                ["R", "r", "Rnd ", "Row ", "Round "].iter().find_map(|w| after.strip_prefix(w)).unwrap_or(after);
            if self.rest.starts_with(|c: char| c.is_ascii_digit()) { self.number() } else { None }
        });
        if end.is_none() {
            self.rest = before;
        }
        end
    }

    /// What follows the colon, the full stop or the dash; an aside before it is passed over.
    fn body(&self) -> Option<String> {
        let mut rest = self.rest.trim_start();
        if rest.starts_with('(') {
            rest = rest.split_once(')')?.1.trim_start();
        }
        let body = ["//", ":", ".—", ".", "-", "–"].iter().find_map(|mark| rest.strip_prefix(mark))?;
        Some(body.trim().to_owned())
    }
}

fn way_of(word: &str) -> Option<Way> {
    match word {
        "row" | "rows" => Some(Way::Row),
        "rnd" | "rnds" | "round" | "rounds" | "r" | "rd" | "rds" => Some(Way::Round),
        _ => None,
    }
}

/// `7. ` or `27-76. ` of a numbered list.
fn list_number(line: &str) -> Option<((u64, u64), &str)> {
    let line = line.trim();
    let (numbers, rest) = line.split_once(". ")?;
    let (from, to) = numbers.split_once('-').unwrap_or((numbers, numbers));
    let number = |digits: &str| if digits.chars().all(|c| c.is_ascii_digit()) { digits.parse().ok() } else { None };
    Some(((number(from)?, number(to)?), rest))
}

/// `42`, `–` or `7-36`.
fn entry(chars: &[char], at: usize) -> Option<(String, usize)> {
    if let Some((mut first, end)) = digits(chars, at) {
        if matches!(chars.get(end), Some('-' | '–'))
            && let Some((second, after)) = digits(chars, end + 1)
        {
            first.push('-');
            first.push_str(&second);
            return Some((first, after));
        }
        return Some((first, end));
    }
    matches!(chars.get(at), Some('-' | '–')).then(|| ("0".to_owned(), at + 1))
}

fn digits(chars: &[char], at: usize) -> Option<(String, usize)> {
    let text: String = chars.get(at..)?.iter().take_while(|c| c.is_ascii_digit()).collect();
    let end = at + text.len();
    (!text.is_empty()).then_some((text, end))
}

/// Names of the sizes: behind "Sizes" or "To fit", on that line or the next.
fn size_names(lines: &[&str]) -> Vec<String> {
    for (i, line) in lines.iter().enumerate() {
        let low = line.trim().to_lowercase();
        let rest = if low == "sizes" || low == "sizes:" {
            lines.get(i + 1).map_or("", |line| line.trim())
        } else if low.starts_with("sizes:") || low.starts_with("to fit:") {
            line.split_once(':').map_or("", |(_, rest)| rest.trim())
        } else if low.starts_with("sizes ..") {
            line[5..].trim_matches([' ', '.'])
        } else if low.starts_with("to fit ") && low.contains('(') {
            // The measurement is the name.
            let digit = line.find(|c: char| c.is_ascii_digit()).unwrap_or(0);
            &line[digit..]
        } else {
            continue;
        };
        if let Some(names) = bracketed(rest) {
            return names;
        }
        let plain = rest.split([' ', '.']).next().unwrap_or_default();
        let names: Vec<String> = plain.split('-').map(str::to_owned).collect();
        if names.len() > 1 && names.iter().all(|name| name.chars().all(|c| c.is_ascii_digit())) {
            return names;
        }
    }
    Vec::new()
}

fn bracketed(text: &str) -> Option<Vec<String>> {
    let open = text.find(['(', '['])?;
    let close = open + text[open..].find([')', ']'])?;
    let mut names = vec![text[..open].trim().to_owned()];
    names.extend(text[open + 1..close].split(',').map(|name| name.trim().to_owned()));
    names.iter().all(|name| !name.is_empty() && name.len() < 20).then_some(names)
}

/// A line without a header that works something all the same.
fn is_loose(line: &str, begun: bool) -> bool {
    let low = line.trim().to_lowercase();
    if low.contains("count") || low.contains(" = ") || low.contains("at the start") || low.contains("at the beginning")
    {
        return false;
    }
    if begun && (low.starts_with("rep ") || low.starts_with("repeat ")) {
        return true;
    }
    let mut rest = low.as_str();
    if rest.starts_with("with ")
        && let Some((_, after)) = rest.split_once(", ")
    {
        rest = after;
    }
    for filler in ["loosely ", "make ", "make a chain of ", "begin at the back of the head with "] {
        rest = rest.strip_prefix(filler).unwrap_or(rest);
    }
    let first = rest.split([' ', ',', '.']).next().unwrap_or_default();
    let second = rest.split([' ', ',', '.', ';']).nth(1).unwrap_or_default();
    let number = |word: &str| word.chars().all(|c| c.is_ascii_digit()) && !word.is_empty();
    (first == "ch" && number(second))
        || (number(first) && second == "ch")
        || rest.starts_with("a magic ring")
        || rest.starts_with("magic ring")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_reads_its_own_numbers() {
        let book = Book::of("SIZES\nS (M, L)\n\nRows 7-36 (7-38, 7-40): Sc in next 5 (6, –) sts. (18 (20, 22))");
        assert_eq!(book.sizes, ["S", "M", "L"]);
        assert_eq!(book.project(&book.lines[3].0, 1).as_deref(), Ok("Rows 7-38: Sc in next 6 sts. (20)"));
        assert_eq!(book.project("ch 4 (5, 6, 7)", 0), Err("4 numbers for 3 sizes".to_owned()));
    }

    #[test]
    fn headers_of_many_manners() {
        let book = Book::of("");
        let numbers = |line: &str| book.header(line).map(|header| header.numbers);
        assert_eq!(numbers("Rnd 12: sc"), Some(Some((12, 12))));
        assert_eq!(numbers("Row 1 (RS): sc"), Some(Some((1, 1))));
        assert_eq!(numbers("R8-R10: sc"), Some(Some((8, 10))));
        assert_eq!(numbers("Rows 4 and 5: Rep Row 3."), Some(Some((4, 5))));
        assert_eq!(numbers("4th to 13th rows: Rep 2nd row."), Some(Some((4, 13))));
        assert_eq!(numbers("Next rnd: Ch 1."), Some(None));
        assert_eq!(numbers("Round the hand: 15 cm"), None);
        assert_eq!(numbers("Rows of trebles follow"), None);
    }
}
