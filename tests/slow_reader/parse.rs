//! A row's tokens as steps. What is not understood is an error: the reader would rather not judge a row than guess.

mod clauses;
mod places;
mod tree;

pub use tree::{Again, Extent, Place, Said, Step, Target, Tree, set_brackets};

use super::count::{self, Printed};
use super::words::{Token, Vocabulary, cut};
use crate::slow_worker::typed::Item;
use clauses::aside;

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
                    if let Some(Token::Bracket(inside)) = said.last()
                        && let Some(printed) = count::list(inside, words)
                    {
                        self.printed = printed;
                    }
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
        } else if word(*at) == "to"
            && word(*at + 1) == "next"
            && word(*at + 3) == "sp"
            && let Some(Ok(n)) = word(*at + 2).strip_prefix("ch-").map(str::parse)
        {
            *at += 4;
            Some(Extent::ToSpace(n))
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
}
