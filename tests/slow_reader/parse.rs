//! A row's tokens as steps. What is not understood is an error: the reader would rather not judge a row than guess.

use super::count::{self, Printed};
use super::words::{Token, Vocabulary, cut};
use crate::slow_worker::typed::Item;

/// What the hook looks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Target {
    Stitch,
    Kind(String),
    Space(Option<u32>),
    TurningChain,
    /// The longest space, in the middle.
    Centre,
    /// Single chains, of a foundation or of a space.
    Chain,
}

/// Where, and how often.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    Next(u64, Target),
    /// The first stitch: where a counted beginning chain stands, if there is one.
    First(Target),
    /// Every one of these that is left.
    Each(Vec<Target>),
    /// Every one but the last so many.
    EachTo(Vec<Target>, u64),
    Last(Target),
    /// The first so many, the one under a counted beginning chain among them.
    Firsts(u64, Target),
    /// Every one before the space in the middle.
    EachToCentre(Vec<Target>),
    Same,
    /// The same space; where the round has only just been joined, a corner.
    SameSpace,
    /// The space that closed the round below.
    JustMade,
    /// Every one before the next corner.
    EachToCorner(Vec<Target>),
    /// Every one before the turning chain.
    EachToTurning(Vec<Target>),
    Ring,
    FromHook(u64),
    /// So many that an earlier row left unworked, by its number.
    Unworked(u64, u64),
}

/// How long a repeat goes on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Extent {
    Times(u64),
    /// "Repeat n times": n in all, or n more.
    Open(u64),
    ToEnd,
    ToLast(u64, Target),
    /// Up to the space in the middle.
    ToCentre,
    ToCorner,
    ToTurning,
    /// To the end, the last pass only up to the double star.
    EndAtMark,
}

/// What an aside says of a beginning chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Said {
    NotCounted,
    /// A stitch, and a space of so many chains.
    Counted(u32),
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// Into each place these items; `takes` places for one of them.
    Work {
        takes: u64,
        makes: Vec<Item>,
        place: Place,
        own: Option<(String, u64)>,
    },
    /// So many chains, and what is said of them.
    Chain(u64, Option<Said>),
    Picot,
    Skip(Place),
    /// A slip stitch that only travels.
    Travel(Place),
    /// Joined anew in a corner space.
    Corner,
    Repeat {
        body: Vec<Self>,
        tail: Vec<Self>,
        extent: Extent,
        /// It stands in brackets, not between stars.
        bracket: bool,
    },
    /// So many stitches left unworked, or as many as there are.
    Leave(Option<u64>),
    FirstSkippedCount(bool),
    /// A ring, of so many chains.
    RingMade(u64),
    Turn,
}

/// Other rows again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Again {
    /// Row numbers; none for the last row.
    pub rows: Vec<u64>,
    pub times: Option<u64>,
    pub more: bool,
    /// "But work each [ ] so many times."
    pub brackets: Option<u64>,
}

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tree {
    pub steps: Vec<Step>,
    pub printed: Vec<Printed>,
    pub again: Option<Again>,
}

type Read<T> = Result<T, String>;

/// Reads a row's wording, already that of one size.
pub fn row(text: &str, words: &Vocabulary) -> Result<Tree, (String, Vec<Printed>)> {
    let mut reader = Reader { words, printed: Vec::new(), again: None };
    let mut steps = Vec::new();
    match reader.sentences(text, &mut steps) {
        Ok(()) => Ok(Tree { steps, printed: reader.printed, again: reader.again }),
        Err(why) => Err((why, reader.printed)),
    }
}

impl Reader<'_> {
    fn sentences(&mut self, text: &str, steps: &mut Vec<Step>) -> Read<()> {
        let words = self.words;
        let mut failed = None;
        let mut tokens = cut(text)?;
        merge(&mut tokens, self.words);
        // "* … . Rep from *" is one sentence.
        for i in 1..tokens.len().saturating_sub(2) {
            if tokens[i].is_mark('.') && tokens[i + 1].is_word("rep") && tokens[i + 2].is_word("from") {
                tokens[i] = Token::Mark(';');
            }
        }
        for (i, sentence) in tokens.split(|token| token.is_mark('.')).enumerate() {
            if sentence.is_empty() {
                continue;
            }
            let sentence = match sentence {
                [mark, rest @ ..] if ['=', '-', '→'].iter().any(|m| mark.is_mark(*m)) => rest,
                whole => whole,
            };
            // "You now have 18 dc."
            let lead = sentence
                .iter()
                .take_while(|t| ["you", "now", "have", "there", "are", "should", "be", "ends"].contains(&t.word()))
                .count();
            let sentence = &sentence[lead..];
            if (i > 0 || matches!(sentence, [Token::Bracket(_)]))
                && let Some(printed) = count::list(sentence, words)
            {
                self.printed = printed;
                continue;
            }
            let (said, printed) = count::split_tail(sentence, words);
            if let Some(printed) = printed {
                self.printed = printed;
            }
            let before = steps.len();
            if let Err(why) = self.sequence(said, steps) {
                if i == 0 || !is_talk(said, words) {
                    // A count behind it may still be read.
                    failed.get_or_insert(why);
                }
                steps.truncate(before);
            }
        }
        failed.map_or(Ok(()), Err)
    }
}

/// Names of two words that the pattern defines become one.
fn merge(tokens: &mut Vec<Token>, words: &Vocabulary) {
    let mut i = 0;
    while i < tokens.len() {
        if let Token::Bracket(inside) = &mut tokens[i] {
            merge(inside, words);
        }
        if i + 1 < tokens.len() {
            let name = format!("{}-{}", tokens[i].word(), tokens[i + 1].word());
            if words.own.iter().any(|own| own.0 == name || format!("{}s", own.0) == name) {
                tokens[i] = Token::Word(name);
                tokens.remove(i + 1);
            }
        }
        i += 1;
    }
}

/// A sentence without a number, a chain or a stitch is talk.
fn is_talk(sentence: &[Token], words: &Vocabulary) -> bool {
    sentence.iter().all(|token| match token {
        Token::Word(word) => {
            words.kind(word).is_none() && !["ch", "inc", "dec", "sk", "rep", "turn", "slst"].contains(&word.as_str())
        }
        Token::Number(_) | Token::Bracket(_) => false,
        Token::Mark(_) => true,
    })
}

struct Reader<'a> {
    words: &'a Vocabulary,
    printed: Vec<Printed>,
    again: Option<Again>,
}

fn separates(token: &Token) -> bool {
    [',', ';', ':', '.'].iter().any(|mark| token.is_mark(*mark)) || matches!(token.word(), "then")
}

impl Reader<'_> {
    fn sequence(&mut self, tokens: &[Token], steps: &mut Vec<Step>) -> Read<()> {
        let mut at = 0;
        while at < tokens.len() {
            if separates(&tokens[at]) || tokens[at].is_word("and") {
                at += 1;
            } else if tokens[at].is_mark('*') || tokens[at].is_mark('⁑') {
                at = self.star(tokens, at, steps)?;
            } else if let Token::Bracket(inside) = &tokens[at] {
                at = self.bracket(tokens, at, inside, steps)?;
            } else {
                let length =
                    tokens[at..].iter().take_while(|t| !separates(t) && !t.is_mark('*') && !t.is_mark('⁑')).count();
                at += length;
                let mut clause = tokens[at - length..at].to_vec();
                // "Rep Rows 2-13, 4 times more" is one clause.
                if clause[0].is_word("rep") && matches!(tokens.get(at + 1), Some(Token::Number(_))) {
                    let more = tokens[at + 1..].iter().take_while(|t| !separates(t)).count();
                    clause.extend_from_slice(&tokens[at + 1..at + 1 + more]);
                    at += 1 + more;
                }
                self.clause(&clause, steps)?;
            }
        }
        Ok(())
    }

    /// `* … ; rep from * …`, or `* … *` with its extent behind.
    fn star(&mut self, tokens: &[Token], open: usize, steps: &mut Vec<Step>) -> Read<usize> {
        let mark = &tokens[open];
        let close = (open + 1..tokens.len())
            .find(|i| &tokens[*i] == mark && !tokens[i - 1].is_word("at"))
            .ok_or("a star without its fellow")?;
        let short = tokens[close - 1].is_word("rep");
        let named = short || tokens[close - 1].is_word("from") && close >= 2 && tokens[close - 2].is_word("rep");
        let inside = &tokens[open + 1
            ..close
                - if short {
                    1
                } else if named {
                    2
                } else {
                    0
                }];
        let double = inside.iter().position(|t| t.is_mark('⁑'));
        let (mut body, mut tail) = (Vec::new(), Vec::new());
        match double {
            Some(at) if mark.is_mark('*') => {
                self.sequence(&inside[..at], &mut body)?;
                self.sequence(&inside[at + 1..], &mut tail)?;
            }
            _ => self.sequence(inside, &mut body)?,
        }
        let mut at = close + 1;
        let extent = self.extent(tokens, &mut at, named)?.ok_or("a repeat without an extent")?;
        if (extent == Extent::EndAtMark) != double.is_some() {
            return Err("double star without its ending".to_owned());
        }
        steps.push(Step::Repeat { body, tail, extent, bracket: false });
        Ok(at)
    }

    /// How far a repeat goes; `at` moves behind it.
    fn extent(&self, tokens: &[Token], at: &mut usize, named: bool) -> Read<Option<Extent>> {
        let start = *at;
        let word = |i: usize| tokens.get(i).map_or("", Token::word);
        let number = |i: usize| match tokens.get(i) {
            Some(Token::Number(n)) => Some(*n),
            _ => None,
        };
        if tokens.get(*at).is_some_and(|t| t.is_mark(',')) && word(*at + 1) == "ending" {
            *at += 1;
        }
        let found = if word(*at) == "twice" || word(*at) == "once" {
            let n = if word(*at) == "twice" { 2 } else { 1 };
            *at += 1;
            let more = word(*at) == "more";
            *at += usize::from(more);
            Some(if more {
                Extent::Times(n + 1)
            } else if named {
                Extent::Open(n)
            } else {
                Extent::Times(n)
            })
        } else if word(*at) == "x" && number(*at + 1).is_some() {
            let n = number(*at + 1).ok_or("a number")?;
            *at += 2;
            Some(Extent::Times(n))
        } else if let Some(n) = number(*at)
            && (word(*at + 1) == "times" || (word(*at + 1) == "more" && word(*at + 2) == "times"))
        {
            let before = word(*at + 1) == "more";
            *at += if before { 3 } else { 2 };
            let behind = word(*at) == "more";
            *at += usize::from(behind);
            Some(if before || behind {
                Extent::Times(n + 1)
            } else if named {
                Extent::Open(n)
            } else {
                Extent::Times(n)
            })
        } else if word(*at) == "around" || word(*at) == "across" {
            *at += 1;
            if word(*at) == "to" && word(*at + 1) == "last" {
                self.extent(tokens, at, named)?
            } else {
                let comma = usize::from(tokens.get(*at).is_some_and(|t| t.is_mark(',')));
                if word(*at + comma) == "ending" {
                    *at += comma;
                    self.extent(tokens, at, named)?
                } else {
                    Some(Extent::ToEnd)
                }
            }
        } else if word(*at) == "up" && word(*at + 1) == "to" && word(*at + 2) == "centre" {
            *at += 4;
            Some(Extent::ToCentre)
        } else if word(*at) == "to" && word(*at + 1) == "beg" {
            *at += 3;
            Some(Extent::ToTurning)
        } else if word(*at) == "to" && word(*at + 1) == "next" && word(*at + 2) == "corner" {
            *at += if word(*at + 3) == "sp" { 4 } else { 3 };
            Some(Extent::ToCorner)
        } else if word(*at) == "ending" {
            if word(*at + 1) == "with" {
                // What follows closes the round.
                *at += 2;
                return Ok(Some(Extent::ToEnd));
            }
            *at += usize::from(word(*at + 1) == "the");
            let rest: Vec<&str> = (*at..*at + 4).map(word).collect();
            if rest[1..] != ["last", "rep", "at"] || !tokens.get(*at + 4).is_some_and(|t| t.is_mark('⁑')) {
                return Err("an ending that is not known".to_owned());
            }
            *at += 5;
            Some(Extent::EndAtMark)
        } else if word(*at) == "to" && word(*at + 1) == "last" {
            let n = number(*at + 2).unwrap_or(1);
            let mut i = *at + 2 + usize::from(number(*at + 2).is_some());
            let own = self.words.own.iter().any(|own| own.0 == word(i));
            let target = self.target(&[word(i), word(i + 1)]);
            i += if word(i).starts_with("ch-") { 2 } else { 1 };
            *at = i;
            match target {
                Some(target) => Some(Extent::ToLast(n, target)),
                // As many passes as leave room for what follows.
                None if own => Some(Extent::ToEnd),
                None => return Err("to last what?".to_owned()),
            }
        } else {
            None
        };
        if found.is_none() {
            *at = start;
        }
        Ok(found)
    }

    fn bracket(&mut self, tokens: &[Token], at: usize, inside: &[Token], steps: &mut Vec<Step>) -> Read<usize> {
        let mut next = at + 1;
        if let Some(extent) = self.extent(tokens, &mut next, false)? {
            let mut body = Vec::new();
            self.sequence(inside, &mut body)?;
            steps.push(Step::Repeat { body, tail: Vec::new(), extent, bracket: true });
            return Ok(next);
        }
        let follows = tokens.get(next).map_or("", Token::word);
        if ["in", "all"].contains(&follows) {
            let length = tokens[next..].iter().take_while(|t| !separates(t)).count();
            let place = &tokens[next..next + length];
            self.group(inside, place, steps)?;
            return Ok(next + length);
        }
        if let Some(printed) = count::list(inside, self.words) {
            self.printed = printed;
        } else {
            aside(inside, steps)?;
        }
        Ok(next)
    }

    /// `(2 dc, ch 2, 2 dc) in next ch-2 sp`: everything into one place.
    fn group(&mut self, inside: &[Token], place: &[Token], steps: &mut Vec<Step>) -> Read<()> {
        let mut body = Vec::new();
        self.sequence(inside, &mut body)?;
        let place = place.strip_prefix(&[Token::Word("all".to_owned())][..]).unwrap_or(place);
        let place = place.strip_prefix(&[Token::Word("in".to_owned())][..]).ok_or("a group in no place")?;
        let place = self.place(place)?;
        let mut makes = Vec::new();
        let mut owns: Option<(String, u64)> = None;
        let mut first = true;
        for step in body {
            match step {
                Step::Chain(n, counts) if first && matches!(place, Place::Same | Place::SameSpace) => {
                    steps.push(Step::Chain(n, counts))
                }
                Step::Chain(n, _) => makes.push(Item::Space(u32::try_from(n).map_err(|_| "a long chain")?)),
                Step::Picot => makes.push(Item::Picot),
                Step::Work { takes: 1, makes: one, place: Place::Next(n, Target::Stitch), own } => {
                    if let Some((name, times)) = own {
                        owns.get_or_insert((name, 0)).1 += n * times;
                    }
                    for _ in 0..n.min(1000) {
                        makes.extend_from_slice(&one);
                    }
                }
                _ => return Err("a group that is no group".to_owned()),
            }
            first = false;
        }
        steps.push(Step::Work { takes: 1, makes, place, own: owns });
        Ok(())
    }

    fn clause(&mut self, tokens: &[Token], steps: &mut Vec<Step>) -> Read<()> {
        let mut asides = Vec::new();
        let mut plain: Vec<Token> = Vec::new();
        for (i, token) in tokens.iter().enumerate() {
            match token {
                // A group or repeat behind other words starts a clause of its own.
                Token::Bracket(inside) if i > 0 => asides.push(inside.clone()),
                _ => plain.push(token.clone()),
            }
        }
        while ["and", "work", "now", "also", "loosely", "make", "a", "beg"]
            .contains(&plain.first().map_or("", Token::word))
        {
            plain.remove(0);
        }
        if plain.first().is_some_and(|t| t.is_word("begin")) {
            let with = plain.iter().position(|t| t.is_word("with")).ok_or("a beginning without a chain")?;
            plain.drain(..=with);
        }
        if let Some(again) = &mut self.again
            && let [but, work, each, Token::Number(n), times] = plain.as_slice()
            && [(but, "but"), (work, "work"), (each, "each"), (times, "times")].iter().all(|(t, word)| t.is_word(word))
        {
            again.brackets = Some(*n);
            return Ok(());
        }
        self.plain_clause(&plain, steps)?;
        for inside in asides {
            if let Some(printed) = count::list(&inside, self.words) {
                self.printed = printed;
            } else {
                aside(&inside, steps)?;
            }
        }
        Ok(())
    }

    fn plain_clause(&mut self, t: &[Token], steps: &mut Vec<Step>) -> Read<()> {
        let word = |i: usize| t.get(i).map_or("", Token::word);
        let number = |i: usize| match t.get(i) {
            Some(Token::Number(n)) => Some(*n),
            _ => None,
        };
        match (word(0), word(1)) {
            ("", _) if number(0).is_none() => return if t.is_empty() { Ok(()) } else { Err("a mark".to_owned()) },
            ("turn", _) => {
                steps.push(Step::Turn);
                return Ok(());
            }
            ("join", _) if t.iter().any(|t| t.is_word("corner")) => {
                steps.push(Step::Corner);
                return Ok(());
            }
            ("join", _) if t.iter().any(|t| t.is_word("ring")) => {
                ring(steps);
                return Ok(());
            }
            (
                "with" | "change" | "changing" | "join" | "fasten" | "cut" | "drop" | "break" | "back" | "switch"
                | "being" | "taking" | "do" | "rs" | "ws" | "at" | "keeping" | "weave" | "never" | "carrying",
                _,
            ) => {
                return Ok(());
            }
            // "the last one into the top of the 3 ch" says again where the last stitch comes.
            ("the" | "last" | "working", _)
                if t.iter().take_while(|t| !t.is_word("in")).any(|t| t.is_word("last"))
                    && t.iter().any(|t| t.is_word("in")) =>
            {
                return Ok(());
            }
            ("leave" | "leaving", _) => {
                steps.push(Step::Leave(t.iter().find_map(|t| if let Token::Number(n) = t { Some(*n) } else { None })));
                return Ok(());
            }
            ("rep" | "as" | "same" | "row" | "rnd", _) => {
                self.again = Some(again(t)?);
                return Ok(());
            }
            ("no", "turn") | ("ch", "not") => return Ok(()),
            ("picot", _) => {
                steps.push(Step::Picot);
                return Ok(());
            }
            ("ring", "") => {
                steps.push(Step::RingMade(0));
                return Ok(());
            }
            ("sk", _) => {
                // "sk sc"
                let bare = [&[Token::Word("next".to_owned())][..], &t[1..]].concat();
                for place in self.places(&t[1..]).or_else(|_| self.places(&bare))? {
                    steps.push(Step::Skip(place));
                }
                return Ok(());
            }
            ("slst", _) => return self.slip(&t[1..], steps),
            ("ch", _) if number(1).is_some() && t.len() == 2 => {
                steps.push(Step::Chain(number(1).unwrap_or_default(), None));
                return Ok(());
            }
            _ => {}
        }
        if let Some(n) = number(0) {
            if word(1) == "ch" && t.len() == 2 {
                steps.push(Step::Chain(n, None));
                return Ok(());
            }
            // "make 32 ch and join with a ss to the first ch"
            if word(1) == "ch" && word(2) == "and" {
                steps.push(Step::Chain(n, None));
                return self.plain_clause(&t[3..], steps);
            }
        }
        // "hdc in first sc to make the last ch-3 lp"
        if let Some(to) = t.iter().position(|t| t.is_word("to"))
            && ["make", "form"].contains(&word(to + 1))
        {
            return self.plain_clause(&t[..to], steps);
        }
        if let Some(and) = t.iter().position(|t| t.is_word("and"))
            && ["fasten", "turn", "cut", "join", "do"].contains(&word(and + 1))
        {
            self.plain_clause(&t[..and], steps)?;
            return self.plain_clause(&t[and + 1..], steps);
        }
        self.work(t, steps)
    }

    /// A slip stitch joins, closes a picot, or travels.
    fn slip(&self, t: &[Token], steps: &mut Vec<Step>) -> Read<()> {
        let has = |word: &str| t.iter().any(|t| t.is_word(word));
        if has("hook") {
            return match steps.pop() {
                Some(Step::Chain(..)) => {
                    steps.push(Step::Picot);
                    Ok(())
                }
                _ => Err("a slip stitch into what?".to_owned()),
            };
        }
        if has("ring") {
            ring(steps);
            return Ok(());
        }
        let began = steps.iter().any(|step| matches!(step, Step::Work { .. } | Step::Repeat { .. }));
        if has("join")
            || (began && (has("first") || has("top") || has("beg") || t.iter().any(|t| ordinal(t).is_some())))
            || t.is_empty()
        {
            return Ok(());
        }
        if !began && steps.iter().any(|step| matches!(step, Step::Chain(..))) {
            return Ok(());
        }
        if began {
            return Err("a slip stitch in the midst of a row".to_owned());
        }
        let place = match t {
            [to, centre, of, rest @ ..] if to.is_word("to") && centre.is_word("centre") && of.is_word("of") => rest,
            [lead, rest @ ..] if lead.is_word("in") || lead.is_word("to") => rest,
            whole => whole,
        };
        for part in place.split(|t| t.is_word("and")) {
            let part = part.strip_prefix(&[Token::Word("in".to_owned())][..]).unwrap_or(part);
            steps.push(Step::Travel(self.place(part)?));
        }
        Ok(())
    }

    /// `2 sc in next st`, `sc 12`, `inc x 6`, `dc2tog over next 2 sts`, `hdc in first st and in each st around`.
    fn work(&self, t: &[Token], steps: &mut Vec<Step>) -> Read<()> {
        let mut at = 0;
        let mut number = None;
        if let Some(Token::Number(n)) = t.first() {
            number = Some(*n);
            at = 1 + usize::from(t.get(1).is_some_and(|t| t.is_word("more")));
        }
        let name = t.get(at).map_or("", Token::word);
        let (takes, makes, own) = self.stitch(name).ok_or_else(|| format!("no stitch {name:?} in {t:?}"))?;
        at += 1;
        let mut times = 1;
        if let Some(Token::Number(n)) = t.get(at)
            && number.is_none()
            && !t.get(at + 1).is_some_and(|t| t.is_word("times"))
        {
            times = *n;
            at += 1;
        }
        let mut behind = at;
        if let Ok(Some(Extent::Times(n))) = self.extent(t, &mut behind, false) {
            times *= n;
            at = behind;
        }
        while t.get(at).is_some_and(|t| t.is_word("loosely")) {
            at += 1;
        }
        let rest = &t[at..];
        let each_place = |n: u64| -> Vec<Item> { (0..n.min(1000)).flat_map(|_| makes.iter().copied()).collect() };
        if rest.is_empty() {
            let n = number.unwrap_or(1) * times;
            steps.push(Step::Work { takes, makes, place: Place::Next(n * takes, Target::Stitch), own });
            return Ok(());
        }
        let makes = each_place(number.unwrap_or(1));
        let own = own.map(|(name, _)| (name, number.unwrap_or(1)));
        if times != 1 {
            return Err("a number on both sides".to_owned());
        }
        let lead = rest[0].word();
        // "Ch 3, 2 dc, ch 2, 3 dc all in that corner space"
        if lead == "all" {
            let corner = steps.iter().position(|step| matches!(step, Step::Chain(..))).ok_or("all of what?")?;
            let mut group = Vec::new();
            for step in steps.split_off(corner + 1) {
                match step {
                    Step::Chain(n, _) => group.push(Item::Space(u32::try_from(n).map_err(|_| "a long chain")?)),
                    Step::Work { makes, place: Place::Next(n, Target::Stitch), .. } => {
                        (0..n.min(100)).for_each(|_| group.extend_from_slice(&makes));
                    }
                    _ => return Err("a group that is no group".to_owned()),
                }
            }
            group.extend_from_slice(&makes);
            steps.push(Step::Work { takes: 1, makes: group, place: Place::SameSpace, own: None });
            return Ok(());
        }
        if rest.len() == 1 && ["around", "across"].contains(&lead) {
            steps.push(Step::Work { takes, makes, place: Place::Each(vec![Target::Stitch]), own });
            return Ok(());
        }
        if !["in", "around", "over", "to"].contains(&lead) {
            return Err(format!("{lead:?} behind a stitch"));
        }
        let from = usize::from(lead != "to");
        for place in self.places(&rest[from..])? {
            steps.push(Step::Work { takes, makes: makes.clone(), place, own: own.clone() });
        }
        Ok(())
    }

    /// One stitch of that name: places that it takes, what it leaves.
    fn stitch(&self, name: &str) -> Option<(u64, Vec<Item>, Option<(String, u64)>)> {
        if name == "inc" {
            return Some((1, vec![Item::stitch("sc"); 2], None));
        }
        if name == "dec" {
            return Some((2, vec![Item::stitch("sc")], None));
        }
        if let Some(own) = self.words.own.iter().find(|own| own.0 == name || format!("{}s", own.0) == name) {
            let tokens = cut(&own.2).ok()?;
            let mut reader = Reader { words: self.words, printed: Vec::new(), again: None };
            let mut steps = Vec::new();
            reader.sequence(&tokens, &mut steps).ok()?;
            let mut makes = Vec::new();
            for step in steps {
                match step {
                    Step::Chain(n, _) => makes.push(Item::Space(u32::try_from(n).ok()?)),
                    Step::Work { makes: one, place: Place::Next(n, _), .. } => {
                        (0..n.min(100)).for_each(|_| makes.extend_from_slice(&one));
                    }
                    _ => return None,
                }
            }
            return Some((own.1.max(1), makes, Some((own.0.clone(), 1))));
        }
        if let Some(kind) = name.strip_suffix("tog") {
            let digits = kind.trim_end_matches(|c: char| c.is_ascii_digit()).len();
            let takes = kind[digits..].parse().ok()?;
            return Some((takes, vec![Item::stitch(&self.words.kind(&kind[..digits])?)], None));
        }
        Some((1, vec![Item::stitch(&self.words.kind(name)?)], None))
    }

    /// `first st and in each st around`, `each dc and each ch-1 sp across`.
    fn places(&self, t: &[Token]) -> Read<Vec<Place>> {
        let mut places: Vec<Place> = Vec::new();
        for part in t.split(|t| t.is_word("and")) {
            let part = part.strip_prefix(&[Token::Word("in".to_owned())][..]).unwrap_or(part);
            let place = self.place(part)?;
            match (places.last_mut(), place) {
                (Some(Place::Each(all)), Place::Each(more)) => all.extend(more),
                (Some(Place::Each(all)), Place::EachToCentre(more)) => {
                    let all = all.iter().cloned().chain(more).collect();
                    places.pop();
                    places.push(Place::EachToCentre(all));
                }
                (Some(Place::Each(all)), Place::EachTo(more, n)) => {
                    let all = all.iter().cloned().chain(more).collect();
                    places.pop();
                    places.push(Place::EachTo(all, n));
                }
                (Some(Place::Each(all)), Place::EachToTurning(more)) => {
                    let all = all.iter().cloned().chain(more).collect();
                    places.pop();
                    places.push(Place::EachToTurning(all));
                }
                (Some(Place::Each(all)), Place::EachToCorner(more)) => {
                    let all = all.iter().cloned().chain(more).collect();
                    places.pop();
                    places.push(Place::EachToCorner(all));
                }
                (_, place) => places.push(place),
            }
        }
        Ok(places)
    }

    fn place(&self, t: &[Token]) -> Read<Place> {
        let cannot = || format!("no place: {t:?}");
        // "each of the 2 unworked sts of Row 3", "each of the 8 sts of Row 22"
        if let [lead @ .., of, row, Token::Number(k)] = t
            && of.is_word("of")
            && row.is_word("row")
        {
            let unworked = lead.iter().position(|t| t.is_word("unworked"));
            let n = lead.iter().find_map(|t| if let Token::Number(n) = t { Some(*n) } else { None });
            return match (unworked, n) {
                (Some(_), Some(n)) => Ok(Place::Unworked(n, *k)),
                (None, Some(_)) => self.place(lead),
                _ => Err(cannot()),
            };
        }
        let mut number = None;
        let (mut each, mut next, mut first, mut last, mut same) = (false, false, false, false, false);
        let mut names: Vec<&str> = Vec::new();
        let mut ordinal = None;
        let mut spare = None;
        let mut i = 0;
        while i < t.len() {
            match &t[i] {
                Token::Number(n) if number.is_none() && names.is_empty() => number = Some(*n),
                // "top of the 3 ch", "3rd ch of ch 4"
                Token::Number(_) if names.first() == Some(&"top") || ordinal.is_some() => {}
                Token::Word(word) => match word.as_str() {
                    "the" | "of" | "a" | "row" | "below" | "rem" | "remaining" | "around" | "across" | "over"
                    | "single" => {}
                    "each" => each = true,
                    "next" => next = true,
                    "first" => first = true,
                    "last" => last = true,
                    "same" => same = true,
                    "just" if t.get(i + 1).is_some_and(|t| t.is_word("made")) => return Ok(Place::JustMade),
                    "ring" => return Ok(Place::Ring),
                    "up" | "to" if t.get(i + 1).is_some_and(|t| ["last", "to", "next", "beg"].contains(&t.word())) => {
                        let mut at = i;
                        spare = self.extent(t, &mut at, false)?;
                        i = at;
                        continue;
                    }
                    "1st" | "2nd" | "3rd" | "4th" | "5th" | "6th" | "7th" => ordinal = word[..1].parse().ok(),
                    other => names.push(other),
                },
                _ => return Err(cannot()),
            }
            i += 1;
        }
        if names == ["ch", "from", "hook"] || names == ["from", "hook"] {
            return Ok(Place::FromHook(ordinal.ok_or_else(cannot)?));
        }
        if same {
            let known = ["st", "sp", "as", "join", "place", "ch", "slst", "corner"];
            let space = names.iter().any(|name| ["sp", "corner"].contains(name) || name.starts_with("ch-"));
            let all_known = names.iter().all(|n| known.contains(n) || self.target(&[n]).is_some());
            return match (all_known, space) {
                (false, _) => Err(cannot()),
                (true, true) => Ok(Place::SameSpace),
                (true, false) => Ok(Place::Same),
            };
        }
        let target = if names.first() == Some(&"top")
            || (ordinal.is_some() && names.first().is_some_and(|n| n.starts_with("ch")))
        {
            Target::TurningChain
        } else {
            self.names_target(&names).ok_or_else(cannot)?
        };
        if let Some(extent) = spare {
            return match extent {
                Extent::ToLast(n, _) if each => Ok(Place::EachTo(vec![target], n)),
                Extent::ToCorner if each => Ok(Place::EachToCorner(vec![target])),
                Extent::ToTurning if each => Ok(Place::EachToTurning(vec![target])),
                Extent::ToCentre if each => Ok(Place::EachToCentre(vec![target])),
                _ => Err(cannot()),
            };
        }
        if let Some(n) = number.filter(|_| first) {
            return Ok(Place::Firsts(n, target));
        }
        if let Some(n) = number {
            return Ok(Place::Next(n, target));
        }
        first |= ordinal == Some(1);
        if first && !each {
            return Ok(Place::First(target));
        }
        if each && !last {
            return Ok(Place::Each(vec![target]));
        }
        if last && !each {
            return Ok(Place::Last(target));
        }
        if next || last || matches!(target, Target::TurningChain | Target::Space(_) | Target::Centre) {
            return Ok(Place::Next(1, target));
        }
        Err(cannot())
    }

    fn names_target(&self, names: &[&str]) -> Option<Target> {
        match names {
            [] => Some(Target::Stitch),
            // "ch-1 sp of each V-st"
            [chains, "sp", own] if self.words.own.iter().any(|o| o.0 == *own) => self.target(&[chains, "sp"]),
            ["corner"] | ["corner", "sp"] => Some(Target::Space(None)),
            ["centre", "sp"] => Some(Target::Centre),
            ["corner", chains, "sp"] => self.target(&[chains, "sp"]),
            [_] => self.target(&[names[0], ""]),
            [chains, "sp"] => self.target(&[chains, "sp"]),
            _ => None,
        }
    }

    fn target(&self, names: &[&str]) -> Option<Target> {
        let first = *names.first()?;
        match first {
            "st" | "" => Some(Target::Stitch),
            "ch" => Some(Target::Chain),
            "sp" => Some(Target::Space(None)),
            "tch" => Some(Target::TurningChain),
            _ => match first.strip_prefix("ch-") {
                Some(n) => Some(Target::Space(Some(n.parse().ok()?))),
                None => self.words.kind(first).map(Target::Kind),
            },
        }
    }
}

/// The same row with every repeat in brackets worked so often.
pub fn set_brackets(steps: &mut [Step], times: u64) {
    for step in steps {
        if let Step::Repeat { body, tail, extent, bracket } = step {
            if *bracket {
                *extent = Extent::Times(times);
            }
            set_brackets(body, times);
            set_brackets(tail, times);
        }
    }
}

/// A chain that is closed into a ring is no stitch and no space.
fn ring(steps: &mut Vec<Step>) {
    let chains = match steps.last() {
        Some(Step::Chain(n, _)) => *n,
        _ => 0,
    };
    if chains > 0 {
        steps.pop();
    }
    steps.push(Step::RingMade(chains));
}

/// "(counts as dc)", "(does not count as a st)": said of the chain before it. Other asides change nothing.
fn aside(inside: &[Token], steps: &mut Vec<Step>) -> Read<()> {
    let has = |word: &str| inside.iter().any(|t| t.is_word(word));
    let counts = has("counts") || has("count") || has("counted") || has("stand") || has("stands");
    if !counts {
        return Ok(());
    }
    let counts = !(has("not") || has("never"));
    if let Some(Step::Chain(_, said)) = steps.last_mut() {
        let space = inside.windows(2).find_map(|pair| match pair {
            [Token::Number(n), ch] | [ch, Token::Number(n)] if ch.is_word("ch") => u32::try_from(*n).ok(),
            _ => None,
        });
        *said = Some(if counts { Said::Counted(space.unwrap_or(0)) } else { Said::NotCounted });
        return Ok(());
    }
    let hook = steps.iter().rposition(|step| matches!(step, Step::Work { place: Place::FromHook(_), .. }));
    // Told behind the stitch, but of what comes before it.
    steps.insert(hook.ok_or("something counts, but what?")?, Step::FirstSkippedCount(counts));
    Ok(())
}

/// "Rep Rows 2-13, 4 times more", "As 2nd round", "Rep last rnd 6 times more".
fn again(t: &[Token]) -> Read<Again> {
    let mut rows: Vec<u64> = Vec::new();
    let mut times = None;
    let mut more = false;
    let mut last = false;
    let mut i = 1;
    while i < t.len() {
        match &t[i] {
            Token::Number(n) => {
                let word = |k: usize| t.get(k).map_or("", Token::word);
                if word(i + 1) == "times" || (word(i + 1) == "more" && word(i + 2) == "times") {
                    times = Some(*n);
                    more |= word(i + 1) == "more";
                } else if t[i - 1].is_mark('-') {
                    let from = *rows.last().ok_or("a range from nowhere")?;
                    rows.extend(from + 1..=(*n).min(from + 1000));
                } else {
                    rows.push(*n);
                }
            }
            Token::Mark('-' | ',' | '&') => {}
            Token::Word(word) => match word.as_str() {
                "as" | "row" | "rnd" | "around" | "and" | "the" | "times" | "rep" | "work" => {}
                "to" => {
                    let from = *rows.last().ok_or("a range from nowhere")?;
                    let end = t[i + 1..].iter().find_map(ordinal).ok_or("a range to nowhere")?;
                    rows.extend(from + 1..end);
                }
                "last" => last = true,
                "more" => more = true,
                "twice" => times = Some(2),
                "once" => times = Some(1),
                _ if word.strip_prefix('r').is_some_and(|n| n.parse::<u64>().is_ok()) => {
                    rows.extend(word[1..].parse::<u64>());
                }
                _ => rows.push(ordinal(&t[i]).ok_or_else(|| format!("{word:?} in a repeat of rows"))?),
            },
            _ => return Err("a repeat of rows that is not known".to_owned()),
        }
        i += 1;
    }
    if last == !rows.is_empty() {
        return Err("which rows again?".to_owned());
    }
    Ok(Again { rows, times, more, brackets: None })
}

fn ordinal(token: &Token) -> Option<u64> {
    let word = token.word();
    ["st", "nd", "rd", "th"].iter().find_map(|suffix| word.strip_suffix(suffix)?.parse().ok())
}
