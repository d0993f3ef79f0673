//! A row's wording as tokens: small words in one spelling, numbers as numbers, brackets as trees.

/// One token.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Token {
    Word(String),
    Number(u64),
    /// A comma, a stop, a star …; `⁑` is the double star.
    Mark(char),
    /// What stands in brackets.
    Bracket(Vec<Token>),
}

impl Token {
    pub fn is_word(&self, word: &str) -> bool {
        matches!(self, Self::Word(other) if other == word)
    }

    pub fn is_mark(&self, mark: char) -> bool {
        matches!(self, Self::Mark(other) if *other == mark)
    }

    pub fn word(&self) -> &str {
        match self {
            Self::Word(word) => word,
            _ => "",
        }
    }
}

/// The vocabulary of one text.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    pub uk: bool,
    /// The edge of a row counts as one own stitch.
    pub edge: bool,
    /// Own stitches: name, places that it takes (0: one place for all), what it leaves as words.
    pub own: Vec<(String, u64, String)>,
}

impl Vocabulary {
    pub fn of(text: &str) -> Self {
        let low = text.to_lowercase();
        let has = |word: &str| low.split(|c: char| !c.is_alphanumeric()).any(|other| other == word);
        let uk = has("uk") || has("british") || has("htr") || has("rtf") || low.contains("english needlewoman");
        let mut own = Vec::new();
        for line in text.lines().flat_map(|line| line.split(". ")) {
            own.extend(definition(line));
        }
        Self { uk, edge: low.contains("at the edge as one"), own }
    }

    /// The stitch's kind in US names.
    pub fn kind(&self, word: &str) -> Option<String> {
        let (post, plain) = match word.get(..2) {
            Some(post @ ("fp" | "bp")) => (post, &word[2..]),
            _ => ("", word),
        };
        let us = match (self.uk, plain) {
            (false, "sc" | "hdc" | "dc" | "tr" | "dtr") => plain,
            (true, "dc") => "sc",
            (true, "htr") => "hdc",
            (true, "tr") => "dc",
            (true, "dtr") => "tr",
            (_, "pc" | "puff" | "cl" | "pb" | "bo" | "popcorn" | "bobble" | "spike" | "cluster") => {
                return Some(word.to_owned());
            }
            (true, "rtf") => return Some("fpdc".to_owned()),
            (true, "rtb") => return Some("bpdc".to_owned()),
            _ => return None,
        };
        Some(format!("{post}{us}"))
    }
}

/// `V-st = (dc, ch 1, dc) all in the same stitch`, `Shell: 5 dc in the indicated stitch`, `Cable (worked over 4 sts): …`.
fn definition(line: &str) -> Option<(String, u64, String)> {
    let line = line.trim().trim_start_matches(['*', '-', ' ']);
    let low = line.to_lowercase();
    if let Some((name, rest)) = low.split_once(" (worked over ") {
        let (number, text) = rest.split_once(' ')?;
        let places = number.parse().ok()?;
        let stitch = ["fptr", "fpdc"].into_iter().find(|stitch| text.contains(stitch))?;
        let makes = if text.contains("one stitch made") { 1 } else { places };
        return (!name.contains(' ')).then(|| (name.to_owned(), places, format!("{makes} {stitch}")));
    }
    // A "group" is 3 dc in one space.
    if let Some((name, rest)) = low.split_once("\" is ")
        && let Some((made, _)) = rest.split_once(" in one ")
    {
        let name = name.rsplit('"').next().unwrap_or_default();
        return Some((name.to_owned(), 0, made.to_owned()));
    }
    // "Fan: 3 tr, 3 ch, 3 tr, all in same lp."
    if let Some((name, rest)) = low.split_once(": ")
        && let Some((group, after)) = rest.split_once(", all in same")
    {
        let _ = after;
        return Some((name.replace(' ', "-"), 0, group.to_owned()));
    }
    let (name, rest) = low.split_once(" = ").or_else(|| low.split_once(": "))?;
    let rest = rest.trim();
    if name.contains(' ') || name.len() > 12 {
        return None;
    }
    if let Some(group) = rest.strip_prefix('(') {
        let (group, after) = group.split_once(')')?;
        return after
            .contains("same")
            .then(|| (name.to_owned(), 0, group.to_owned()))
            .or_else(|| after.contains("indicated").then(|| (name.to_owned(), 0, group.to_owned())));
    }
    let (made, after) = rest.split_once(" in ")?;
    ((after.contains("indicated") || after.trim() == "one st") && made.split(' ').count() == 2)
        .then(|| (name.to_owned(), 0, made.to_owned()))
}

/// Cuts a row's wording.
///
/// # Errors
/// When brackets do not match.
pub fn cut(text: &str) -> Result<Vec<Token>, String> {
    let low = text.to_lowercase().replace(['–', '—', '−'], "-").replace('×', "x").replace(['"', '“', '”', '\''], "");
    let chars: Vec<char> = low.chars().collect();
    let mut open: Vec<Vec<Token>> = vec![Vec::new()];
    let mut i = 0;
    while i < chars.len() {
        let c = chars[i];
        if c.is_alphanumeric() {
            let mut end = i;
            while end < chars.len() && chars[end].is_alphanumeric()
                || (chars.get(end) == Some(&'-') && joins(&chars, i, end))
            {
                end += 1;
            }
            let word: String = chars[i..end].iter().collect();
            push_word(open.last_mut().ok_or("brackets")?, &word);
            i = end;
            continue;
        }
        match c {
            '(' | '[' | '{' | '<' => open.push(Vec::new()),
            ')' | ']' | '}' | '>' => {
                let inside = open.pop().ok_or("brackets")?;
                open.last_mut().ok_or("brackets")?.push(Token::Bracket(tidy(inside)));
            }
            '*' if chars.get(i + 1) == Some(&'*') => {
                open.last_mut().ok_or("brackets")?.push(Token::Mark('⁑'));
                i += 1;
            }
            c if c.is_whitespace() => {}
            c => open.last_mut().ok_or("brackets")?.push(Token::Mark(c)),
        }
        i += 1;
    }
    match <[_; 1]>::try_from(open) {
        Ok([tokens]) => Ok(tidy(tokens)),
        Err(_) => Err("brackets".to_owned()),
    }
}

/// True if the hyphen at `at` belongs to the word: `ch-2`, `v-st`, `forty-one`, `2-ch`, but not `5-8`.
fn joins(chars: &[char], start: usize, at: usize) -> bool {
    let Some(next) = chars.get(at + 1) else { return false };
    next.is_alphanumeric() && !(chars[start..at].iter().all(char::is_ascii_digit) && next.is_ascii_digit())
}

fn push_word(row: &mut Vec<Token>, word: &str) {
    if let Ok(number) = word.parse() {
        row.push(Token::Number(number));
        return;
    }
    if let Some(number) = number_word(word) {
        row.push(Token::Number(number));
        return;
    }
    if let Some(number) = word.strip_prefix('x').and_then(|digits| digits.parse().ok()) {
        row.push(Token::Word("x".to_owned()));
        row.push(Token::Number(number));
        return;
    }
    if let Some(chains) = word.strip_suffix("-ch").filter(|n| n.parse::<u64>().is_ok()) {
        row.push(Token::Word(format!("ch-{chains}")));
        return;
    }
    let word = match word {
        "ss" => "slst",
        "t" => "turn",
        "second" => "2nd",
        "third" => "3rd",
        "fourth" => "4th",
        "fifth" => "5th",
        "sts" | "stitch" | "stitches" => "st",
        "chs" | "chain" | "chains" => "ch",
        "skip" | "miss" | "skipped" | "missed" => "sk",
        "sps" | "space" | "spaces" | "loop" | "loops" | "lp" | "lps" | "arch" | "arches" => "sp",
        "repeat" => "rep",
        "into" | "through" | "under" => "in",
        "mr" => "ring",
        "trebles" => "tr",
        "v-sts" => "v-st",
        "ch-sp" | "ch-sps" => "sp",
        "round" => "around",
        "rnd" | "rnds" | "rounds" | "rd" | "rds" => "rnd",
        "rows" => "row",
        "every" => "each",
        "following" | "foll" => "next",
        "beginning" => "beg",
        "turned" => "turn",
        "center" => "centre",
        other => other,
    };
    row.push(Token::Word(word.to_owned()));
}

fn number_word(word: &str) -> Option<u64> {
    const SMALL: [&str; 20] = [
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ];
    const TENS: [&str; 8] = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
    let small = |word: &str| SMALL.iter().position(|other| *other == word);
    let tens = |word: &str| TENS.iter().position(|other| *other == word).map(|i| 10 * (i + 2));
    let number = match word.split_once('-') {
        Some((ten, one)) => tens(ten)? + small(one)?,
        None => small(word).or_else(|| tens(word))?,
    };
    u64::try_from(number).ok()
}

/// Names of more than one word become one; which loop is worked is of no matter.
fn tidy(tokens: Vec<Token>) -> Vec<Token> {
    const NAMES: [(&[&str], &str); 13] = [
        (&["half", "double", "crochet"], "hdc"),
        (&["half", "treble"], "htr"),
        (&["double", "treble"], "dtr"),
        (&["single", "crochet"], "sc"),
        (&["double", "crochet"], "dc"),
        (&["treble"], "tr"),
        (&["sl", "st"], "slst"),
        (&["slip", "st"], "slst"),
        (&["magic", "ring"], "ring"),
        (&["turning", "ch"], "tch"),
        (&["to", "end"], "across"),
        (&["to", "the", "end"], "across"),
        (&["all", "the", "way", "around"], "across"),
    ];
    let mut out: Vec<Token> = Vec::new();
    let mut i = 0;
    'tokens: while i < tokens.len() {
        for (name, short) in NAMES {
            if name.iter().enumerate().all(|(k, word)| tokens.get(i + k).is_some_and(|token| token.is_word(word))) {
                out.push(Token::Word(short.to_owned()));
                i += name.len();
                continue 'tokens;
            }
        }
        if ["back", "front", "both"].contains(&tokens[i].word()) && tokens.get(i + 1).is_some_and(|t| t.is_word("sp")) {
            i += 2;
            while ["only", "of"].contains(&tokens.get(i).map_or("", Token::word)) {
                i += 1;
            }
            drop_lead(&mut out, tokens.get(i));
            continue;
        }
        if ["blo", "flo"].contains(&tokens[i].word()) {
            i += 1;
            drop_lead(&mut out, tokens.get(i));
            continue;
        }
        out.push(tokens[i].clone());
        i += 1;
    }
    out
}

/// "working in the back loops only," goes as a whole; "in back loop of each st" keeps its "in".
fn drop_lead(out: &mut Vec<Token>, next: Option<&Token>) {
    if ["each", "next", "the", "every"].contains(&next.map_or("", Token::word)) {
        return;
    }
    while ["in", "the", "working"].contains(&out.last().map_or("", Token::word)) {
        out.pop();
    }
}

/// Which lengths of beginning chain the notes speak of, and which of them count: bit n for n chains.
///
/// A row's own aside speaks for the others only where it says "throughout".
pub fn told(text: &str, rows: &[super::Row]) -> (u8, u8) {
    let (mut told, mut counted) = (0, 0);
    for (i, line) in text.lines().enumerate() {
        let row = rows.iter().any(|row| row.line == i + 1);
        if row && !line.contains("throughout") && !line.contains("every round") {
            continue;
        }
        for sentence in line.split(". ") {
            let Ok(tokens) = cut(&sentence.replace(['(', ')', '[', ']', '{', '}', '<', '>', '*'], " ")) else {
                continue;
            };
            let mut lengths: Vec<u64> = Vec::new();
            let mut denied = false;
            for (k, token) in tokens.iter().enumerate() {
                let beside = |other: Option<&Token>| match other {
                    Some(Token::Number(n)) => Some(*n),
                    _ => None,
                };
                match token.word() {
                    "ch" => {
                        let before = k.checked_sub(1).and_then(|k| beside(tokens.get(k)));
                        lengths.extend(before.or_else(|| beside(tokens.get(k + 1))));
                    }
                    "not" | "never" | "neither" => denied = true,
                    "counts" | "count" | "counted" | "stand" | "stands" => {
                        denied |= tokens.get(k + 1).is_some_and(|t| t.is_word("nothing"));
                        for n in lengths.drain(..).filter(|n| (2..8).contains(n)) {
                            told |= 1 << n;
                            if denied {
                                counted &= !(1 << n);
                            } else {
                                counted |= 1 << n;
                            }
                        }
                        denied = false;
                    }
                    word => {
                        if let Some(n) = word.strip_prefix("ch-").and_then(|n| n.parse().ok()) {
                            lengths.push(n);
                        }
                    }
                }
            }
        }
    }
    (told, counted)
}
