//! Which yarn is on the hook: `With A,`, `change to B in last st`, `Rnd 4, col B –`, `3 sc in A`. The rows are read without
//! regard to it, for it changes no count; whoever counts stitches by yarn asks for it.

use super::number::Numbers;
use super::scan::Scan;
use super::token::{Kind, Token};
use super::words::Key;
use crate::fabric::YarnId;
use crate::verify::Terms;

/// The yarns of a pattern.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Yarns {
    /// Colours by the names that the text gives them, in the order in which it takes them.
    pub colours: Vec<String>,
    /// What each yarn is: one colour, or several strands held together.
    pub strands: Vec<Vec<u16>>,
    /// Where another one is taken, in the order of the text.
    pub changes: Vec<Change>,
    /// Lines that speak of colours by rows, which are not read.
    pub unread: Vec<u32>,
}

/// A place where another yarn is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Change {
    /// The first byte from which on it holds.
    pub at: u32,
    /// Which.
    pub yarn: YarnId,
    /// It begins its line or sentence, so it can stand between rows.
    pub leads: bool,
    /// It holds for what comes after it, not for the row in which it stands behind the stitches ("change to B in last st").
    pub after: bool,
}

/// Reads the changes of yarn in tokens whose size lists are folded.
pub(super) fn read(text: &str, tokens: &[Token], terms: Terms) -> Yarns {
    let closes = super::scan::pair_brackets(tokens);
    let scan = Scan { text, tokens, terms, closes: &closes, units: &[] };
    let mut found = Finder { scan, yarns: Yarns::default() };
    found.named();
    let (mut line, mut clause, mut next) = (0, 0, 0);
    for at in 0..tokens.len() {
        if at > 0 && tokens[at - 1].kind == Kind::Newline {
            line = at;
        }
        if at > 0 && found.parts(at - 1) {
            clause = at;
        }
        if at < next {
            continue;
        }
        if found.says(at, &["stripe", "stripes", "striped", "alternate", "alternating", "alternately"]) {
            found.yarns.unread.push(tokens[at].span.start);
        }
        next = found.change(at, line, clause).unwrap_or(at + 1);
    }
    found.yarns.changes.sort_by_key(|change| change.at);
    found.yarns
}

/// More colours than any pattern takes.
const MOST_COLOURS: usize = 64;
/// More yarns than any pattern holds together of them.
const MOST_YARNS: usize = 256;

struct Finder<'t> {
    scan: Scan<'t>,
    yarns: Yarns,
}

/// A yarn named at a token, and the token behind it.
struct Named {
    strands: Vec<String>,
    next: usize,
}

impl Finder<'_> {
    fn word(&self, at: usize) -> &str {
        self.scan.span(at).of(self.scan.text)
    }

    fn says(&self, at: usize, words: &[&str]) -> bool {
        at < self.scan.tokens.len() && words.iter().any(|word| self.word(at).eq_ignore_ascii_case(word))
    }

    /// Colours that "with" and "change to" name anywhere; a bare letter is a colour only if it is one of them.
    fn named(&mut self) {
        for at in 0..self.scan.tokens.len() {
            let named = if self.takes(at) {
                self.after_taking(at)
            } else if self.scan.key(at) == Some(Key::Join) {
                self.letter_joined(at)
            } else {
                self.after_changing(at)
            };
            for name in named.into_iter().flat_map(|named| named.strands) {
                self.colour(&name);
            }
        }
    }

    /// `Join B.`, `join B with sl st`: a letter that is joined to nothing else.
    fn letter_joined(&self, at: usize) -> Option<Named> {
        let named = self.name(at + 1).filter(|named| named.strands.iter().all(|name| name.len() == 1))?;
        let ends = matches!(
            self.scan.kind(named.next),
            None | Some(Kind::Stop | Kind::Comma | Kind::Semicolon | Kind::Newline)
        ) || self.scan.is(named.next, &[Key::With, Key::In, Key::And]);
        ends.then_some(named)
    }

    fn colour(&mut self, name: &str) -> u16 {
        let known = self.yarns.colours.iter().position(|known| known.eq_ignore_ascii_case(name));
        let at = known.unwrap_or_else(|| {
            self.yarns.colours.push(name.to_owned());
            self.yarns.colours.len() - 1
        });
        // Beyond so many it is no list of colours any more; what is left counts as the last.
        if at >= MOST_COLOURS {
            self.yarns.colours.truncate(MOST_COLOURS);
        }
        at.min(MOST_COLOURS - 1) as u16
    }

    fn yarn(&mut self, strands: &[String]) -> YarnId {
        let mut strands: Vec<u16> = strands.iter().map(|name| self.colour(name)).collect();
        strands.sort_unstable();
        let known = self.yarns.strands.iter().position(|known| *known == strands);
        let at = known.unwrap_or_else(|| {
            self.yarns.strands.push(strands);
            self.yarns.strands.len() - 1
        });
        if at >= MOST_YARNS {
            self.yarns.strands.truncate(MOST_YARNS);
        }
        YarnId(at.min(MOST_YARNS - 1) as u16)
    }

    /// `with`, `using`, `in`.
    fn takes(&self, at: usize) -> bool {
        self.scan.is(at, &[Key::With, Key::Using])
    }

    /// A change of yarn that begins at a token; what comes behind it.
    fn change(&mut self, at: usize, line: usize, start: usize) -> Option<usize> {
        let leads = start == at && self.sentence(at);
        if self.takes(at) {
            let named = self.after_taking(at)?;
            // "sc in next 3 sts with A": the stitches before it.
            self.put(if start < at && self.works(start, at) { start } else { at }, &named, leads, false);
            return Some(named.next);
        }
        if let Some(named) = self.after_changing(at) {
            self.put(at, &named, leads, true);
            return Some(named.next);
        }
        if self.scan.key(at) == Some(Key::Join) || self.says(at, &["rejoin", "attach"]) {
            let named = self.after_joining(at)?;
            // "join B with sl st in any st" begins there, "…, join B" at a row's end is for the next one.
            self.put(at, &named, leads, !leads && start == at && !self.heads(line, at));
            return Some(named.next);
        }
        if self.says(at, &["in"]) && start < at {
            let named = self.known(at + 1)?;
            self.put(if self.works(start, at) { start } else { at }, &named, false, false);
            return Some(named.next);
        }
        if self.heads(line, at) {
            // "Row 3 (B):", "Rnd 4, col B –"
            let bracket = matches!(self.scan.kind(at), Some(Kind::Open(_)));
            let colour = self.scan.is(at, &[Key::Colour, Key::Yarn]);
            let comma = self.scan.kind(at) == Some(Kind::Comma) || self.scan.kind(at) == Some(Kind::Dash);
            // A letter names a colour where the text has any.
            let named = if colour { self.name(at) } else { self.name(at + 1) }?;
            let short = named.strands.iter().all(|name| name.len() <= 3);
            if self.yarns.colours.is_empty() || !short {
                return None;
            }
            let ends = match self.scan.kind(named.next) {
                Some(Kind::Close(_)) => bracket || colour,
                Some(Kind::Colon | Kind::Dash | Kind::Stop | Kind::Comma) => comma || colour,
                _ => false,
            };
            if ends && (bracket || colour || comma) {
                self.put(at, &named, false, false);
                return Some(named.next);
            }
        }
        None
    }

    fn put(&mut self, at: usize, named: &Named, leads: bool, after: bool) {
        let yarn = self.yarn(&named.strands);
        self.yarns.changes.push(Change { at: self.scan.span(at).start, yarn, leads, after });
    }

    /// Whether a clause begins behind a token.
    fn parts(&self, at: usize) -> bool {
        matches!(
            self.scan.kind(at),
            Some(
                Kind::Comma
                    | Kind::Semicolon
                    | Kind::Stop
                    | Kind::Colon
                    | Kind::Newline
                    | Kind::Star(_)
                    | Kind::DoubleStar
                    | Kind::Open(_)
                    | Kind::Close(_)
                    | Kind::Dash
            )
        )
    }

    /// Whether a token begins its line or sentence.
    fn sentence(&self, at: usize) -> bool {
        let mut before = at;
        while before > at.saturating_sub(8)
            && matches!(self.scan.kind(before - 1), Some(Kind::Star(_) | Kind::DoubleStar | Kind::Dash))
        {
            before -= 1;
        }
        before == 0 || matches!(self.scan.kind(before - 1), Some(Kind::Newline | Kind::Stop))
    }

    /// Whether stitches stand between two tokens.
    fn works(&self, from: usize, to: usize) -> bool {
        // A clause is short; of a long one the end says enough.
        (from.max(to.saturating_sub(64))..to)
            .any(|at| self.scan.making(at).is_some() || self.scan.chain(at).is_some() || self.scan.stitchy(at))
    }

    /// Whether a token belongs to the header of a row: its line begins with a row's name, and no colon stands before it.
    fn heads(&self, line: usize, at: usize) -> bool {
        let named = (line..at.min(line + 3)).any(|first| {
            self.scan.is(first, &[Key::Row, Key::Rows, Key::Round, Key::Rounds])
                || self.word(first).starts_with(['R', 'r'])
        });
        named && at < line + 12 && !(line..at).any(|before| self.scan.kind(before) == Some(Kind::Colon))
    }

    /// `with A`, `with smaller hook and B`, `with 2 strands of A`, `with A and B held together`.
    fn after_taking(&self, at: usize) -> Option<Named> {
        let mut i = at + 1;
        let mut strands = 1;
        while i < (at + 9).min(self.scan.tokens.len()) {
            if let Some(named) = self.name(i) {
                return Some(self.held(named, strands));
            }
            match self.scan.kind(i) {
                Some(Kind::Number(number)) => {
                    if self.says(i + 1, &["strand", "strands", "ends", "threads"]) {
                        strands =
                            number.plain().and_then(|number| usize::try_from(number).ok()).unwrap_or(1).clamp(1, 8);
                    }
                    i += 1;
                }
                // "with a smaller hook and MC": hook sizes stand between.
                Some(Kind::Word(_) | Kind::Decimal)
                    if self.scan.making(i).is_none()
                        && self.scan.chain(i).is_none()
                        && !self.says(i, &["rs", "ws", "in", "facing", "side", "to"]) =>
                {
                    if self.says(i, &["double", "doubled"]) {
                        strands = 2;
                    }
                    i += 1;
                }
                _ => return None,
            }
        }
        None
    }

    /// More strands behind the first: `A and B held together`, `A held double`.
    fn held(&self, mut named: Named, strands: usize) -> Named {
        if strands > 1 {
            let one = named.strands.clone();
            named.strands = one.iter().cycle().take(strands * one.len()).cloned().collect();
            return named;
        }
        let mut next = named.next;
        if self.scan.key(next) == Some(Key::And) || self.says(next, &["and", "plus"]) {
            if let Some(other) = self.name(next + 1)
                && self.together(other.next)
            {
                named.strands.extend(other.strands);
                named.next = other.next;
                return named;
            }
            return named;
        }
        if self.says(next, &["held", "used"]) {
            next += 1;
        }
        if self.says(next, &["double", "doubled"]) {
            let one = named.strands.clone();
            named.strands.extend(one);
            named.next = next + 1;
        }
        named
    }

    fn together(&self, at: usize) -> bool {
        self.says(at, &["held", "together", "tog"])
    }

    /// `change to B`, `switch to MC`, `changing colour to A`, `pick up A`, `return to A`.
    fn after_changing(&self, at: usize) -> Option<Named> {
        let changes = self.scan.key(at) == Some(Key::Change);
        let picks = self.says(at, &["pick"]) && self.says(at + 1, &["up"]);
        let returns = self.says(at, &["return", "back", "returning"]);
        if !changes && !picks && !returns {
            return None;
        }
        let mut i = at + 1;
        while i < (at + 6).min(self.scan.tokens.len()) {
            if let Some(named) = if changes { self.name(i) } else { self.known(i) } {
                return Some(self.held(named, 1));
            }
            let small = self.says(
                i,
                &[
                    "to", "up", "the", "yarn", "yarns", "colour", "color", "colours", "colors", "back", "from", "over",
                    "into",
                ],
            );
            if !small {
                return None;
            }
            i += 1;
        }
        None
    }

    /// `join B`, `join in yarn B`, `rejoin A`; a letter alone is a colour only where it is known as one.
    fn after_joining(&self, at: usize) -> Option<Named> {
        let mut i = at + 1;
        let mut yarn = false;
        while i < (at + 5).min(self.scan.tokens.len()) {
            if let Some(named) = if yarn { self.name(i) } else { self.known(i) } {
                return Some(named);
            }
            if !self.says(i, &["in", "the", "yarn", "colour", "color", "with"]) {
                return None;
            }
            yarn |= self.says(i, &["yarn", "colour", "color"]);
            i += 1;
        }
        None
    }

    /// A name that is known as a colour's.
    fn known(&self, at: usize) -> Option<Named> {
        let named = self.name(at)?;
        let known = |name: &String| self.yarns.colours.iter().any(|known| known == name);
        named.strands.iter().all(known).then_some(named)
    }

    /// The name of a colour: `A`, `MC`, `CC1`, `colour B`, `yarn 2`, `main colour`, `Samphire`.
    fn name(&self, at: usize) -> Option<Named> {
        if self.says(at, &["main"]) && self.says(at + 1, &["colour", "color", "yarn"]) {
            return Some(Named { strands: vec!["MC".to_owned()], next: at + 2 });
        }
        if self.says(at, &["contrast", "contrasting"]) && self.says(at + 1, &["colour", "color", "yarn"]) {
            return Some(Named { strands: vec!["CC".to_owned()], next: at + 2 });
        }
        let called = self.says(at, &["yarn", "colour", "color", "col", "shade"]);
        let mut name = if called { at + 1 } else { at };
        if called && self.scan.kind(name) == Some(Kind::Stop) && self.scan.glued(name) {
            name += 1;
        }
        let next = name + 1;
        match self.scan.kind(name)? {
            Kind::Number(number) if called => Some(Named { strands: vec![number.plain()?.to_string()], next }),
            Kind::Word(_) => {
                let word = self.word(name);
                let capitals = word.len() <= 3
                    && word.starts_with(|first: char| first.is_ascii_uppercase())
                    && word.chars().all(|letter| letter.is_ascii_uppercase() || letter.is_ascii_digit());
                let side = ["RS", "WS", "BLO", "FLO", "FL", "BL", "MR", "EOR", "I", "SM", "PM", "RM"].contains(&word);
                let letter = word.len() == 1 || !capitals || self.scan.stitch(name).is_none();
                let cased = word.len() > 3
                    && word.starts_with(char::is_uppercase)
                    && word.chars().skip(1).all(char::is_lowercase)
                    && self.scan.key(name).is_none()
                    && self.scan.stitch(name).is_none()
                    && !self.sentence(name);
                ((capitals && !side && letter) || cased).then(|| Named { strands: vec![word.to_owned()], next })
            }
            _ => None,
        }
    }
}

/// How often each piece is made, by what its heading says: `(make 2)`, `Make two alike`, `make 2 (3, 4)`. The number of the
/// last such heading before `end`, from `start`.
pub(super) fn made(
    text: &str,
    tokens: &[Token],
    start: u32,
    end: u32,
    numbers: &Numbers,
) -> Option<super::number::Num> {
    let first = tokens.partition_point(|token| token.span.start < start);
    let word = |at: usize| tokens.get(at).map_or("", |token| token.span.of(text));
    let mut found = None;
    for at in first..tokens.len() {
        if tokens[at].span.start >= end {
            break;
        }
        if !["make", "work", "crochet"].iter().any(|make| word(at).eq_ignore_ascii_case(make)) {
            continue;
        }
        let Some(Kind::Number(number)) = tokens.get(at + 1).map(|token| token.kind) else { continue };
        let mut behind = at + 2;
        while ["alike", "the", "same", "of", "these", "this", "them", "pieces", "identical"]
            .iter()
            .any(|small| word(behind).eq_ignore_ascii_case(small))
        {
            behind += 1;
        }
        let ends = tokens.get(behind).is_none_or(|token| {
            matches!(
                token.kind,
                Kind::Close(_) | Kind::Newline | Kind::Stop | Kind::Colon | Kind::Star(_) | Kind::DoubleStar
            )
        });
        let small = (0..64).all(|size| numbers.value(number, size).is_none_or(|made| (1..=1000).contains(&made)));
        if ends && small {
            found = Some(number);
        }
    }
    found
}
