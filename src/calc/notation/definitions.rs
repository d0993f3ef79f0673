//! The pattern's own stitches: found before anything else is read, so that their meaning wins, and folded into one token
//! wherever a row names them.

mod names;
mod quoted;
mod sums;

use super::body;
use super::header;
use super::number::{Num, Numbers};
use super::scan::{self, Scan};
use super::token::{Kind, Span, Token};
use super::tree::{Act, Defined, Definition, Extent, Place, RowWord, Step, Target, Work};
use super::words::Key;
use crate::fabric::Unit;
use crate::standards::{self, StitchId, StitchKind};
use crate::verify::{OwnStitch, Terms};
use names::{compared, is_own_stitch, name, new_name, spelling, variants};
use sums::{Sums, over, strip, sums};

/// More definitions than any pattern has; what goes beyond is talk.
pub const MOST: usize = 96;
/// A name has at most so many words.
const LONGEST: usize = 6;

/// A definition as found in the text.
#[derive(Debug, Clone)]
pub struct Found {
    /// Its name as written.
    pub name: String,
    /// Its names, each as words that are compared.
    spellings: Vec<Vec<String>>,
    /// The whole line.
    pub line: Span,
    /// What it says.
    body: Option<Span>,
    /// What the request says of it.
    told: Option<(u32, u32, u32)>,
    /// Explained by something that is not in the text.
    elsewhere: bool,
}

/// The definitions of a text, and those of the request, which come first.
pub fn find(text: &str, tokens: &[Token], terms: Terms, told: &[OwnStitch]) -> Vec<Found> {
    let mut found: Vec<Found> = told.iter().take(MOST).filter_map(|own| of_request(own, terms)).collect();
    let closes = scan::pair_brackets(tokens);
    let scan = Scan { text, tokens, terms, closes: &closes, units: &[] };
    let mut lines = Lines { scan, found: &mut found, rows: false, special: false };
    let mut at = 0;
    while at < tokens.len() {
        let end = line_end(tokens, at);
        if end > at {
            lines.line(at, end);
        }
        at = end + 1;
    }
    made_inline(&scan, &mut found);
    found
}

fn line_end(tokens: &[Token], at: usize) -> usize {
    tokens[at..].iter().position(|token| token.kind == Kind::Newline).map_or(tokens.len(), |offset| at + offset)
}

fn of_request(own: &OwnStitch, terms: Terms) -> Option<Found> {
    let mut numbers = Numbers::default();
    let tokens = super::token::cut(&own.name, &mut numbers);
    let closes = scan::pair_brackets(&tokens);
    let scan = Scan { text: &own.name, tokens: &tokens, terms, closes: &closes, units: &[] };
    let words = spelling(&scan, 0, tokens.len())?;
    Some(Found {
        name: own.name.clone(),
        spellings: variants(words),
        line: Span::default(),
        body: None,
        told: Some((own.places, own.makes, own.chains)),
        elsewhere: false,
    })
}

struct Lines<'a, 'f> {
    scan: Scan<'a>,
    found: &'f mut Vec<Found>,
    /// Numbered rows have begun.
    rows: bool,
    /// Under a heading that announces definitions.
    special: bool,
}

impl Lines<'_, '_> {
    fn line(&mut self, at: usize, end: usize) {
        let scan = self.scan;
        let mut at = at;
        while at < end
            && matches!(scan.kind(at), Some(Kind::Odd | Kind::Dash | Kind::Star(_) | Kind::DoubleStar | Kind::Slash))
        {
            at += 1;
        }
        if at >= end || self.found.len() >= MOST {
            return;
        }
        if let Some(header) = header::header(&scan, at, end)
            && header.word != RowWord::Named
            && (header.punctuated || header.body < end && scan.starts_instruction(header.body))
        {
            self.rows = true;
            self.special = false;
            return;
        }
        let announces = scan.is(at, &[Key::Special, Key::Notes, Key::Abbreviations])
            || scan.is(at, &[Key::Stitch, Key::Pattern]) && end - at <= 4
            || end - at <= 5 && (at..end).any(|i| scan.is(i, &[Key::Abbreviations, Key::Special]));
        let mark = (at..end.min(at + 8)).find(|i| {
            scan.kind(*i) == Some(Kind::Colon)
                || scan.kind(*i) == Some(Kind::Dash) && !(scan.glued(*i) && scan.glued(*i + 1))
        });
        // "Special stitch: pb = …", "Terms: arch = …" go on in their line.
        let titled = mark.filter(|mark| {
            mark + 1 < end
                && new_name(&scan, mark + 1, end)
                && (at..*mark).all(|i| matches!(scan.kind(i), Some(Kind::Word(_) | Kind::Open(_) | Kind::Close(_))))
        });
        if let Some(mark) = titled {
            self.special |= announces || scan.kind(mark) == Some(Kind::Colon);
            at = mark + 1;
        } else if announces
            && (end - at <= 6 || scan.kind(end - 1) == Some(Kind::Colon))
            && mark.is_none_or(|mark| mark + 1 >= end)
        {
            self.special = true;
            return;
        }
        if !self.rows {
            self.listed(at, end);
        }
        if !self.rows || self.special {
            for own in quoted::quoted(&scan, at, end) {
                let known = self.found.iter().any(|known| known.spellings.iter().any(|s| own.spellings.contains(s)));
                if !known && self.found.len() < MOST {
                    self.found.push(own);
                }
            }
        }
        self.sentence(at, end);
        // "Notes: … . Shell = 5 dc in same st. …": more than one in a line.
        if self.special || !self.rows {
            let mut i = at;
            while i < end {
                let ends = matches!(scan.kind(i), Some(Kind::Stop | Kind::Semicolon)) && !scan.glued(i + 1)
                    || equation(&scan, i, end);
                if ends && i + 1 < end {
                    self.sentence(i + 1, end);
                }
                i += 1;
            }
        }
    }

    /// `rtf, raised treble front, worked round the stem; …`: an abbreviation that the trade does not know for a stitch that
    /// it does.
    fn listed(&mut self, at: usize, end: usize) {
        let scan = self.scan;
        if !(at..end).any(|i| scan.kind(i) == Some(Kind::Semicolon)) {
            return;
        }
        let mut from = at;
        while from < end && self.found.len() < MOST {
            let stop = (from..end).find(|i| scan.kind(*i) == Some(Kind::Semicolon)).unwrap_or(end);
            let new = matches!(scan.kind(from), Some(Kind::Word(_)))
                && scan.key(from).is_none()
                && scan.stitch(from).is_none()
                && scan.kind(from + 1) == Some(Kind::Comma);
            if new
                && let Some((_, next)) = scan.stitch(from + 2)
                && (next == stop || matches!(scan.kind(next), Some(Kind::Comma | Kind::Stop)))
                && let Some(words) = spelling(&scan, from, from + 1)
            {
                self.found.push(Found {
                    name: scan.span(from).of(scan.text).to_owned(),
                    spellings: variants(words),
                    line: scan.span(at).to(scan.span(end - 1)),
                    body: Some(scan.span(from + 2).to(scan.span(next - 1))),
                    told: None,
                    elsewhere: false,
                });
            }
            from = stop + 1;
        }
    }

    /// `NAME (ABBR): what is worked`.
    fn sentence(&mut self, at: usize, end: usize) {
        let scan = self.scan;
        let Some(name) = name(&scan, at, end) else { return };
        if self.found.len() >= MOST || self.rows && !self.special && name.abbreviation.is_none() {
            return;
        }
        let row = (at..name.end).any(|i| scan.is(i, &[Key::Row, Key::Round]));
        if row && !self.special && scan.span(name.end - 1).end - scan.span(name.end - 1).start > 1 {
            return;
        }
        let mut stop = (name.body..end)
            .find(|i| scan.kind(*i) == Some(Kind::Stop) && new_name(&scan, i + 1, end) || equation(&scan, *i, end))
            .unwrap_or(end);
        // A line that breaks off goes on in the next.
        let mut lines = 0;
        while stop < scan.tokens.len() && scan.kind(stop) == Some(Kind::Newline) && lines < 6 && goes_on(&scan, stop) {
            stop = line_end(scan.tokens, stop + 1);
            lines += 1;
        }
        if name.body >= stop {
            return;
        }
        // "pc – popcorn, see below": it is told there.
        let told_below = (name.body..stop).any(|i| {
            let word = |i: usize, known: &str| scan.span(i).of(scan.text).eq_ignore_ascii_case(known);
            i < stop && word(i, "see") && (scan.key(i + 1) == Some(Key::Lower) || word(i + 1, "above"))
        });
        if told_below {
            return;
        }
        let Some(words) = spelling(&scan, at, name.end) else { return };
        // "spike  spike stitch: …": the short name, and the long one that begins with it.
        let mut spellings = match words.as_slice() {
            [short, long, ..] if short == long => {
                let mut all = variants(words[1..].to_vec());
                all.push(vec![short.clone()]);
                all
            }
            _ => variants(words),
        };
        if let Some((open, close)) = name.abbreviation
            && let Some(short) = spelling(&scan, open + 1, close)
        {
            spellings.extend(variants(short));
        }
        if self.found.iter().any(|known| known.spellings.iter().any(|known| spellings.contains(known))) {
            return;
        }
        let written = scan.span(at).to(scan.span(name.end - 1)).of(scan.text).to_owned();
        let body = scan.span(name.body).to(scan.span(stop - 1));
        // "pb = pebble stitch": another name for what is defined elsewhere.
        if let Some(alias) = spelling(&scan, name.body, sentence_end(&scan, name.body, stop))
            && let Some(known) = self.found.iter_mut().find(|known| known.spellings.contains(&alias))
        {
            known.spellings.extend(spellings);
            return;
        }
        let instructs = (name.body..stop).any(|i| {
            scan.making(i).is_some()
                || scan.chain(i).is_some()
                || scan.is(i, &[Key::HookTalk, Key::Skip])
                || scan.stitch(i).is_some_and(|(stitch, _)| standards::stitch(stitch).kind == StitchKind::Group)
        });
        if instructs && self.explains_the_trade(at, name.end, name.body, stop) {
            return;
        }
        let elsewhere = !instructs;
        if elsewhere && !is_own_stitch(&scan, at, name.end, name.body, stop) {
            return;
        }
        let line = scan.span(at).to(scan.span(stop - 1));
        self.found.push(Found { name: written, spellings, line, body: Some(body), told: None, elsewhere });
    }

    /// A list of abbreviations spells names out, and a primer explains how a stitch of the trade is made: neither gives a
    /// meaning of its own.
    fn explains_the_trade(&self, at: usize, name_end: usize, body: usize, stop: usize) -> bool {
        let scan = &self.scan;
        let end = sentence_end(scan, body, stop);
        // "dec = decrease, next 2 sts together": the word spelled out, then what it is.
        if scan.is(at, &[Key::Increase, Key::Decrease])
            && scan.key(at) == scan.key(body)
            && scan.kind(body + 1) == Some(Kind::Comma)
            && body + 2 < stop
        {
            return self.plain_meaning(at, body + 2, stop);
        }
        let named = scan.making(at).map(|making| making.next).or_else(|| scan.chain(at)) == Some(name_end);
        let plural = (body..end)
            .all(|i| matches!(scan.kind(i), Some(Kind::Word(_) | Kind::Dash | Kind::Open(_) | Kind::Close(_))));
        // "X - sc" gives a letter a meaning; "sc - single crochet" spells out what is known.
        let letter = name_end == at + 1 && scan.span(at).end - scan.span(at).start == 1 && scan.stitch(at).is_none();
        if letter && scan.making(body).is_some() {
            return false;
        }
        if plural && scan.stitch(body).is_some_and(|(_, next)| next >= end)
            || plural
                && (body..end).all(|i| {
                    !scan.is(i, &[Key::In, Key::Next, Key::Same, Key::HookTalk, Key::Skip]) && scan.number(i).is_none()
                })
                && !matches!(scan.kind(body), Some(Kind::Open(_)))
        {
            return true;
        }
        if !named {
            // "inc = 2 sc in next st" is kept with what is said of increases.
            return scan.is(at, &[Key::Increase, Key::Decrease]) && name_end == at + 1 && {
                let mut numbers = Numbers::default();
                let read = body::body(*scan, &mut numbers, &[], None, Defined::default(), body, end);
                let works: Vec<_> = read.steps.iter().filter(|step| !matches!(step.act, Act::Aside)).collect();
                matches!(works.as_slice(), [Step { act: Act::Work(_), .. }])
            };
        }
        let Some((stitch, _)) = scan.stitch(at) else {
            return self.plain_meaning(at, body, stop);
        };
        match standards::stitch(stitch).kind {
            StitchKind::Basic | StitchKind::Extended | StitchKind::Linked | StitchKind::Foundation => true,
            StitchKind::Post | StitchKind::Decrease => self.plain_meaning(at, body, stop),
            StitchKind::Group => false,
        }
    }

    /// Whether the definition of a trade name comes to what the trade means by it.
    fn plain_meaning(&self, at: usize, body: usize, stop: usize) -> bool {
        let Some(making) = self.scan.making(at) else { return false };
        let mut numbers = Numbers::default();
        let mut read = body::body(self.scan, &mut numbers, &[], None, Defined::default(), body, stop);
        let sums = sums(&read.steps);
        read.steps.clear();
        sums.unread || (sums.takes == making.takes.plain() || sums.takes == Some(0)) && sums.spaces == 0 && !sums.leaps
    }
}

/// Whether an equation begins behind a comma or semicolon: "inc = 2 sc in one st, dec = sc2tog".
fn equation(scan: &Scan<'_>, at: usize, end: usize) -> bool {
    matches!(scan.kind(at), Some(Kind::Comma | Kind::Semicolon))
        && at + 3 < end
        && matches!(scan.kind(at + 1), Some(Kind::Word(_)))
        && scan.kind(at + 2) == Some(Kind::Equals)
        && new_name(scan, at + 1, end)
}

fn sentence_end(scan: &Scan<'_>, at: usize, end: usize) -> usize {
    (at..end).find(|i| matches!(scan.kind(*i), Some(Kind::Stop | Kind::Newline | Kind::Semicolon))).unwrap_or(end)
}

/// Whether a line without an end goes on behind the line break at `at`.
fn goes_on(scan: &Scan<'_>, at: usize) -> bool {
    if at == 0 || scan.kind(at + 1) == Some(Kind::Newline) || at + 1 >= scan.tokens.len() {
        return false;
    }
    let end = line_end(scan.tokens, at + 1);
    if header::header(scan, at + 1, end).is_some() || name(scan, at + 1, end).is_some() {
        return false;
    }
    let open = matches!(scan.kind(at - 1), Some(Kind::Comma | Kind::Semicolon | Kind::Colon));
    let lower = scan
        .span(at + 1)
        .of(scan.text)
        .starts_with(|c: char| c.is_lowercase() || c == '[' || c == '(' || c.is_ascii_digit());
    let closed = matches!(scan.kind(at - 1), Some(Kind::Stop | Kind::Exclamation));
    open || lower && !closed
}

/// `(2 dc, ch 2, 2 dc) in next st (shell made)`: a name given where the stitch is first worked.
fn made_inline(scan: &Scan<'_>, found: &mut Vec<Found>) {
    for at in 1..scan.tokens.len() {
        if scan.key(at) != Some(Key::Made) || found.len() >= MOST {
            continue;
        }
        // The name stands before "made", behind a bracket or dash.
        let mut from = at;
        while from > 0 && at - from < LONGEST && matches!(scan.kind(from - 1), Some(Kind::Word(_) | Kind::Number(_))) {
            from -= 1;
        }
        while from < at
            && (scan.is(from, &[Key::First, Key::A, Key::Next, Key::Corner, Key::The])
                || scan.number(from) == Some(Num::ONE))
        {
            from += 1;
        }
        if from >= at || from == 0 || !matches!(scan.kind(from - 1), Some(Kind::Open(_) | Kind::Dash | Kind::Word(_))) {
            continue;
        }
        let open = (0..from).rev().take(LONGEST).find(|i| matches!(scan.kind(*i), Some(Kind::Open(_) | Kind::Dash)));
        let Some(open) = open else { continue };
        // "(beg cl made)" says what the reader knows of a beginning cluster anyway.
        if scan.key(from) == Some(Key::Beginning) {
            continue;
        }
        let own = (from..at).all(|i| {
            scan.making(i).is_none()
                && scan.chain(i).is_none()
                && !scan.is(i, &[Key::Loop, Key::Space, Key::Stitch, Key::Increase, Key::Decrease])
        });
        if !own || open == 0 {
            continue;
        }
        let Some(words) = spelling(scan, from, at) else { continue };
        if found.iter().any(|known| known.spellings.contains(&words)) {
            continue;
        }
        // What was worked just before, up to a comma, star or bracket around it.
        let Some(place) = (open.saturating_sub(14)..open).rev().find(|i| scan.key(*i) == Some(Key::In)) else {
            continue;
        };
        let body = if matches!(scan.kind(place - 1), Some(Kind::Close(_))) {
            (place.saturating_sub(80)..place)
                .rev()
                .find(|i| scan.closing(*i, place) == Some(place - 1))
                .map(|start| scan.span(start).to(scan.span(place - 1)))
        } else {
            let start = (place.saturating_sub(12)..place)
                .rev()
                .take_while(|i| matches!(scan.kind(*i), Some(Kind::Word(_) | Kind::Number(_) | Kind::Dash)))
                .last();
            start.map(|start| scan.span(start).to(scan.span(place - 1)))
        };
        let Some(body) = body else { continue };
        let name = scan.span(from).to(scan.span(at - 1)).of(scan.text).to_owned();
        found.push(Found {
            name,
            spellings: vec![words],
            line: Span::default(),
            body: Some(body),
            told: None,
            elsewhere: false,
        });
    }
}

/// As what each is shown in the fabric: a beginning variant is the thing itself.
pub fn units(found: &[Found]) -> Vec<Unit> {
    found
        .iter()
        .enumerate()
        .map(|(at, own)| {
            let same = own.spellings.iter().find_map(|words| {
                let rest = match words.split_first() {
                    Some((first, rest))
                        if !rest.is_empty() && matches!(first.as_str(), "beg" | "first" | "starting") =>
                    {
                        rest
                    }
                    _ => return None,
                };
                found.iter().position(|other| other.spellings.iter().any(|words| words == rest))
            });
            Unit::defined(same.unwrap_or(at) as u16)
        })
        .collect()
}

/// Puts one token in place of every name of an own stitch.
pub fn fold(text: &str, tokens: Vec<Token>, terms: Terms, found: &[Found]) -> Vec<Token> {
    if found.is_empty() {
        return tokens;
    }
    let closes = Vec::new();
    let scan = Scan { text, tokens: &tokens, terms, closes: &closes, units: &[] };
    let mut names: rustc_hash::FxHashMap<&str, Vec<(&[String], u16)>> = rustc_hash::FxHashMap::default();
    for (at, own) in found.iter().enumerate() {
        for words in &own.spellings {
            names.entry(words[0].as_str()).or_default().push((words, at as u16));
        }
    }
    for list in names.values_mut() {
        list.sort_by_key(|(words, _)| std::cmp::Reverse(words.len()));
    }
    let mut folded = Vec::with_capacity(tokens.len());
    let mut at = 0;
    while at < tokens.len() {
        let here = matches!(tokens[at].kind, Kind::Word(_) | Kind::Number(_)).then(|| compared(&scan, at));
        let hit = here
            .and_then(|word| names.get(word.as_str()))
            .and_then(|list| list.iter().find_map(|(words, own)| spelled(&scan, at, words).map(|next| (*own, next))));
        match hit {
            Some((own, next)) => {
                let span = tokens[at].span.to(tokens[next - 1].span);
                folded.push(Token { kind: Kind::Own(own), span, glued: tokens[at].glued });
                at = next;
            }
            None => {
                folded.push(tokens[at]);
                at += 1;
            }
        }
    }
    folded
}

fn spelled(scan: &Scan<'_>, at: usize, words: &[String]) -> Option<usize> {
    let mut i = at;
    for (nth, word) in words.iter().enumerate() {
        if nth > 0 && matches!(scan.kind(i), Some(Kind::Dash | Kind::Stop)) && scan.glued(i) {
            i += 1;
        }
        if !matches!(scan.kind(i), Some(Kind::Word(_) | Kind::Number(_))) || compared(scan, i) != *word {
            return None;
        }
        i += 1;
    }
    // "5 shell" is no "shell" of its own when a dash ties it to a number: "5-dc shell" stays whole.
    Some(i)
}

/// Reads what the definitions say. `units` are theirs.
pub fn read(scan: &Scan<'_>, numbers: &mut Numbers, found: &[Found]) -> Vec<Definition> {
    let mut all: Vec<Definition> = found
        .iter()
        .enumerate()
        .map(|(at, own)| {
            let mut definition = Definition {
                span: own.line,
                name: own.name.clone(),
                unit: scan.units[at],
                steps: Vec::new(),
                in_one_place: true,
                place: Place::Next(Target::Any),
                chains_behind: 0,
                one_stitch: None,
                unclear: own.elsewhere,
                row: false,
            };
            if let Some((places, makes, chains)) = own.told {
                told(&mut definition, places, makes, chains);
            } else if let Some(body) = own.body
                && !own.elsewhere
            {
                worked(scan, numbers, body, &mut definition);
            }
            definition
        })
        .collect();
    // A beginning variant counts as what it begins.
    for at in 0..all.len() {
        let Some(base) = all[at].unit.definition().filter(|base| *base != at) else { continue };
        if all[at].place == Place::Next(Target::Any) {
            all[at].place = Place::Same;
        }
        if let Some(base) = all.get(base)
            && base.one_stitch.is_some()
        {
            let (kind, chains, one_place, steps) =
                (base.one_stitch, base.chains_behind, base.in_one_place, base.steps.clone());
            all[at].one_stitch = kind;
            all[at].chains_behind = chains;
            all[at].in_one_place = one_place;
            all[at].steps = if one_place { Vec::new() } else { steps };
            all[at].unclear = false;
        }
    }
    all
}

fn told(definition: &mut Definition, places: u32, makes: u32, chains: u32) {
    let cluster = standards::by_name("cluster");
    let work = Work {
        stitch: cluster,
        takes: Num::small(places),
        makes: Num::small(makes),
        place: if places == 0 { Place::Same } else { Place::Next(Target::Any) },
        extent: Extent::Times(Num::ONE),
        bare_number: false,
    };
    definition.steps.push(Step { span: Span::default(), act: Act::Work(work) });
    if chains > 0 {
        definition
            .steps
            .push(Step { span: Span::default(), act: Act::Chain { length: Num::small(chains), counts: None } });
    }
    definition.in_one_place = places == 1;
}

/// Words of a stitch that ends in one top, whatever stands in it.
fn closes_in_one(scan: &Scan<'_>, at: usize, end: usize) -> bool {
    (at..end).any(|i| {
        scan.key(i) == Some(Key::HookTalk)
            || scan.key(i) == Some(Key::Together)
            || scan.is(i, &[Key::Through, Key::Drop])
            || ["hold", "holding", "keeping", "leaving", "dropped", "remove", "withdraw", "retaining"]
                .iter()
                .any(|word| scan.span(i).of(scan.text).eq_ignore_ascii_case(word))
    })
}

/// What a definition's words come to.
/// `Work 4 dc in the next st, … The popcorn counts as 1 st.`: worked in one place, and the text says what it comes to.
fn said_to_be_one(scan: &Scan<'_>, end: usize) -> bool {
    let one = (end..scan.tokens.len()).any(|i| {
        scan.key(i) == Some(Key::Count)
            && scan.is(i + 1, &[Key::As, Key::For])
            && scan.number(i + 2) == Some(Num::ONE)
            && scan.is(i + 3, &[Key::Stitch])
            && !(end..i).rev().take(3).any(|j| scan.is(j, &[Key::Not, Key::Dont]))
    });
    let places =
        (0..end).filter(|i| scan.is(*i, &[Key::Next, Key::Same]) && scan.is(i + 1, &[Key::Stitch, Key::Place])).count();
    let several = (0..end).any(|i| scan.is(i, &[Key::Skip, Key::Over]) || scan.is(i, &[Key::Each]));
    one && places == 1 && !several
}

fn worked(scan: &Scan<'_>, numbers: &mut Numbers, body: Span, definition: &mut Definition) {
    let at = scan.tokens.partition_point(|token| token.span.start < body.start);
    let mut end = scan.tokens.partition_point(|token| token.span.end <= body.end);
    while end > at && matches!(scan.kind(end - 1), Some(Kind::Stop | Kind::Newline)) {
        end -= 1;
    }
    if at >= end {
        definition.unclear = true;
        return;
    }
    let mut joined: Vec<Token> =
        scan.tokens[at..end].iter().filter(|token| token.kind != Kind::Newline).copied().collect();
    // "inc = increase, 2 sc in one st": the long name is no step of its own.
    let long_name = matches!(joined.first().map(|token| token.kind), Some(Kind::Own(own)) if scan.units.get(usize::from(own)) == Some(&definition.unit))
        && matches!(
            joined.get(1).map(|token| token.kind),
            Some(Kind::Comma | Kind::Dash | Kind::Colon | Kind::Semicolon)
        );
    let joined = if long_name { joined.split_off(2) } else { joined };
    let closes = scan::pair_brackets(&joined);
    let inner = Scan { tokens: &joined, closes: &closes, ..*scan };
    // What is said behind the working ("counts as one st") is no step.
    let talk = (0..joined.len()).find(|i| {
        inner.kind(*i) == Some(Kind::Stop)
            && !inner.glued(i + 1)
            && !inner.is(i + 1, &[Key::HookTalk, Key::Then, Key::Repeat, Key::Skip])
    });
    let end = talk.unwrap_or(joined.len());
    let read = body::body(inner, numbers, &[], None, Defined::default(), 0, end);
    let sums = sums(&read.steps);
    let hooked = closes_in_one(&inner, 0, end);
    if hooked {
        let kind = base_kind();
        // Legs "in same st", or in no place that is named, stand in one; "in next st" moves on.
        let moves = (0..end).any(|i| inner.is(i, &[Key::Next, Key::Skip]) || inner.key(i) == Some(Key::Over));
        // "…) 3 times in same st"; "insert hook in same st, then in next st" moves on.
        let last_next = (0..end).rev().find(|i| inner.key(*i) == Some(Key::Next)).unwrap_or(0);
        let together = (last_next..end)
            .any(|i| inner.is(i, &[Key::Same, Key::Indicated]) || inner.key(i) == Some(Key::Place))
            || (0..end).any(|i| inner.key(i) == Some(Key::In) && inner.number(i + 1) == Some(Num::ONE));
        let plain_tog = sums.closings == 0 && !together;
        // "worked over the next 3 sts as dc3tog": the number is said.
        let over_so_many = (0..end).find_map(|i| {
            let mut j = i + 1;
            while inner.is(j, &[Key::The, Key::Next]) {
                j += 1;
            }
            (inner.key(i) == Some(Key::Over)).then(|| inner.number(j)).flatten().and_then(Num::plain)
        });
        // "insert hook 2 rnds below next st, …; skip the st behind it": one place.
        let lower = (0..end).any(|i| inner.key(i) == Some(Key::Lower));
        let together = together || lower;
        let takes = if together || !moves && !plain_tog { 1 } else { over_so_many.or(sums.takes).unwrap_or(1).max(1) };
        let sums = if together { Sums { leaps: false, ..sums.clone() } } else { sums.clone() };
        // A group of whole stitches in it, such as "dc in next st, [hook talk]", is more than one top.
        let tops = if sums.closings > 1 { sums.makes } else { Some(1) };
        if let (Some(1), false) = (tops, sums.whole_beside_hook) {
            definition.one_stitch = Some(kind);
            definition.place = default_place(&read.steps);
            definition.chains_behind = chains_behind(&inner, &read.steps, end);
            definition.in_one_place = takes <= 1 && !sums.leaps;
            definition.steps =
                if definition.in_one_place { Vec::new() } else { over(&read.steps, kind, takes, sums.leaps) };
            definition.unclear = sums.leaps && definition.steps.is_empty();
            return;
        }
    }
    if own_words(&definition.name).any(|word| matches!(word.as_str(), "row" | "rnd" | "round")) {
        definition.unclear = super::any_unread(&read.steps) || read.steps.is_empty();
        definition.in_one_place = false;
        definition.row = true;
        definition.steps = read.steps;
        return;
    }
    if (hooked || sums.unread || read.steps.is_empty()) && said_to_be_one(&inner, end) {
        definition.one_stitch = Some(base_kind());
        definition.place = default_place(&read.steps);
        definition.in_one_place = true;
        return;
    }
    if sums.unread || read.steps.is_empty() {
        definition.unclear = true;
        return;
    }
    let mut steps = read.steps;
    // "Picot: ch 3, sl st in 3rd ch from hook", "P3 = 3 ch, ss in first of these"
    let mut solid = steps.iter().filter(|step| !matches!(step.act, Act::Aside));
    if let (Some(Step { act: Act::Chain { length, .. }, span }), Some(second), None) =
        (solid.next(), solid.next(), solid.next())
        && (matches!(second.act, Act::Join)
            || matches!(&second.act, Act::Work(work) if work.stitch == Some(StitchId::SLIP_STITCH)))
    {
        let (span, length) = (*span, *length);
        definition.steps = vec![Step { span, act: Act::Picot(Some(length)) }];
        definition.place = Place::Made;
        return;
    }
    // One group, or one stitch several times, in the place that the row names.
    let in_one = sums.takes.is_some_and(|takes| takes <= 1) && !sums.skips && placed(&steps) <= 1;
    if in_one {
        definition.place = default_place(&steps);
        strip(&mut steps);
    }
    definition.row = steps.iter().any(|step| matches!(step.act, Act::Turn))
        || own_words(&definition.name).any(|word| matches!(word.as_str(), "row" | "rnd" | "round"));
    definition.in_one_place = in_one && !definition.row;
    definition.steps = steps;
}

fn own_words(name: &str) -> impl Iterator<Item = String> {
    name.split_whitespace().map(str::to_lowercase)
}

/// Puts the steps of named rows where a row calls them: "Work Row A".
pub fn expand_rows(steps: &mut Vec<Step>, definitions: &[Definition]) {
    let calls = |step: &Step| match &step.act {
        Act::Own(own) => {
            definitions.get(own.definition as usize).filter(|definition| definition.row && !definition.unclear)
        }
        _ => None,
    };
    if !steps.iter().any(|step| calls(step).is_some()) {
        return;
    }
    let mut all = Vec::with_capacity(steps.len());
    for step in std::mem::take(steps) {
        match calls(&step) {
            // A named row does not call another: what it says is read as it stands.
            Some(definition) => all.extend(definition.steps.iter().cloned()),
            None => all.push(step),
        }
    }
    *steps = all;
}

/// How many steps say where they go.
fn placed(steps: &[Step]) -> usize {
    steps
        .iter()
        .filter(|step| match &step.act {
            Act::Work(work) => !matches!(work.place, Place::Same | Place::Made) && !work.bare_number,
            Act::Group { place, .. } => !matches!(place, Place::Same | Place::Made),
            Act::Own(own) => own.place.is_some_and(|place| place != Place::Same),
            _ => false,
        })
        .count()
}

/// Where it goes when the row does not say.
fn default_place(steps: &[Step]) -> Place {
    let target = steps.iter().find_map(|step| match &step.act {
        Act::Work(Work { place: Place::Next(target), bare_number: false, .. }) => Some(*target),
        Act::Group { place: Place::Next(target), .. } => Some(*target),
        Act::Repeat(repeat) => match default_place(&repeat.steps) {
            Place::Next(target) => Some(target),
            _ => None,
        },
        _ => None,
    });
    match target {
        Some(target @ (Target::Space(_) | Target::Unit(..))) => Place::Next(target),
        _ => Place::Next(Target::Any),
    }
}

/// A closing chain is hidden in the stitch, unless the definition says that it makes a space.
fn chains_behind(scan: &Scan<'_>, steps: &[Step], end: usize) -> u32 {
    let Some(Step { act: Act::Chain { length, .. }, .. }) =
        steps.iter().rev().find(|step| !matches!(step.act, Act::Aside))
    else {
        return 0;
    };
    let said =
        (end..scan.tokens.len()).any(|i| scan.is(i, &[Key::Space]) && scan.key(i.wrapping_sub(1)) != Some(Key::Not));
    if said { length.plain().and_then(|length| u32::try_from(length).ok()).unwrap_or(0) } else { 0 }
}

/// The stitch that stands for a closed group.
fn base_kind() -> StitchId {
    standards::by_name("cluster").unwrap_or(StitchId::DOUBLE_CROCHET)
}
