//! Looking at tokens: small questions that headers, counts and phrases ask alike.

use super::number::Num;
use super::token::{Kind, Span, Token};
use super::words::{Key, WordId, meaning, phrases};
use crate::fabric::Unit;
use crate::standards::{StitchId, StitchKind, stitch as entry};
use crate::verify::Terms;

/// The tokens of a text, with the terms in which stitch names are read.
#[derive(Debug, Clone, Copy)]
pub struct Scan<'a> {
    /// The text.
    pub text: &'a str,
    /// Its tokens, size lists folded.
    pub tokens: &'a [Token],
    /// Its terms.
    pub terms: Terms,
    /// For every opening bracket the index of the closing one, `u32::MAX` elsewhere and where none closes it.
    pub closes: &'a [u32],
    /// As what the pattern's own stitches are shown in the fabric.
    pub units: &'a [Unit],
}

/// Pairs brackets up, in one pass.
pub fn pair_brackets(tokens: &[Token]) -> Vec<u32> {
    let mut closes = vec![u32::MAX; tokens.len()];
    let mut open: Vec<usize> = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        match token.kind {
            Kind::Open(_) => open.push(at),
            Kind::Close(_) => {
                if let Some(start) = open.pop() {
                    closes[start] = at as u32;
                }
            }
            _ => {}
        }
    }
    closes
}

/// What the hook makes in one action.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Making {
    /// The stitch left on top; `None` for the stitch in use.
    pub stitch: Option<StitchId>,
    /// Places used.
    pub takes: Num,
    /// Stitches made.
    pub makes: Num,
    /// Index after it.
    pub next: usize,
}

impl Scan<'_> {
    /// The kind of a token.
    pub fn kind(&self, at: usize) -> Option<Kind> {
        self.tokens.get(at).map(|token| token.kind)
    }

    /// Its span; the text's end beyond the last token.
    pub fn span(&self, at: usize) -> Span {
        let end = self.text.len() as u32;
        self.tokens.get(at).map_or(Span { start: end, end }, |token| token.span)
    }

    /// Whether no space stands before it.
    pub fn glued(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|token| token.glued)
    }

    /// The stitch of the pattern's own that is named here.
    pub fn own(&self, at: usize) -> Option<u16> {
        match self.kind(at)? {
            Kind::Own(own) => Some(own),
            _ => None,
        }
    }

    /// What was worked as one and is named here: a stitch of the pattern's own, a shell, a group, `5-dc shell`, and the
    /// index behind it.
    pub fn unit(&self, at: usize) -> Option<(Unit, usize)> {
        let mut i = at;
        if let Some(own) = self.own(at) {
            let unit = self.units.get(own as usize).copied().unwrap_or(Unit::GROUP);
            return Some((unit, at + 1));
        }
        // "3-dc group", "5-tr cluster", "6 dc shell"
        let mut counted = false;
        if self.number(i).is_some()
            && let Some((_, next)) = self.stitch(if self.kind(i + 1) == Some(Kind::Dash) { i + 2 } else { i + 1 })
            && (self.is(next, &[Key::Group]) || self.trade_unit(next).is_some())
        {
            i = next;
            counted = true;
        }
        if self.is(i, &[Key::Group]) {
            return Some((Unit::GROUP, i + 1));
        }
        if self.own(i).is_some() && counted {
            return self.unit(i);
        }
        self.trade_unit(i)
    }

    /// A stitch of the trade that is worked as a whole and looked for by its name: shell, V-stitch, cluster, popcorn.
    fn trade_unit(&self, at: usize) -> Option<(Unit, usize)> {
        let (stitch, next) = self.stitch(at)?;
        (entry(stitch).kind == StitchKind::Group).then(|| (Unit::trade(stitch), next))
    }

    fn word(&self, at: usize) -> Option<WordId> {
        match self.kind(at)? {
            Kind::Word(id) => Some(id),
            _ => None,
        }
    }

    /// The small word at `at`.
    pub fn key(&self, at: usize) -> Option<Key> {
        self.word(at).and_then(|id| meaning(id).key)
    }

    /// Whether it is one of these.
    pub fn is(&self, at: usize, keys: &[Key]) -> bool {
        self.key(at).is_some_and(|key| keys.contains(&key))
    }

    /// The number at `at`, in figures or folded from words.
    pub fn number(&self, at: usize) -> Option<Num> {
        match self.kind(at)? {
            Kind::Number(number) => Some(number),
            _ => None,
        }
    }

    /// `first`, `second`, … as a number.
    pub fn ordinal_word(&self, at: usize) -> Option<Num> {
        self.word(at).and_then(|id| meaning(id).ordinal).map(Num::small)
    }

    /// The ending of an ordinal in figures (`th`, `nd`, `rd`, `st`, `d`), glued to its number.
    pub fn suffix(&self, at: usize) -> Option<()> {
        let glued = self.glued(at) && matches!(self.kind(at.checked_sub(1)?), Some(Kind::Number(_)));
        let text = self.span(at).of(self.text);
        (glued && matches!(text, "th" | "nd" | "rd" | "st" | "d" | "TH" | "ND" | "RD" | "ST")).then_some(())
    }

    /// An ordinal, in figures or in a word: its number and the index after it.
    pub fn ordinal(&self, at: usize) -> Option<(Num, usize)> {
        if let Some(number) = self.ordinal_word(at) {
            return Some((number, at + 1));
        }
        let number = self.number(at)?;
        self.suffix(at + 1).map(|()| (number, at + 2))
    }

    /// Whether the word is this single letter, in either case.
    pub fn is_letter(&self, at: usize, letter: u8) -> bool {
        let text = self.span(at).of(self.text).as_bytes();
        matches!(self.kind(at), Some(Kind::Word(_))) && text.len() == 1 && text[0].eq_ignore_ascii_case(&letter)
    }

    /// Whether a single capital letter stands here, as yarns are named.
    pub fn is_capital(&self, at: usize) -> bool {
        let text = self.span(at).of(self.text).as_bytes();
        matches!(self.kind(at), Some(Kind::Word(_)))
            && text.len() <= 2
            && !text.is_empty()
            && text.iter().all(u8::is_ascii_uppercase)
    }

    /// A stitch name of one word or several: the stitch and the index after it.
    pub fn stitch(&self, at: usize) -> Option<(StitchId, usize)> {
        let id = self.word(at)?;
        for phrase in phrases(id) {
            let stitch = match self.terms {
                Terms::Us => phrase.us.or(phrase.uk),
                Terms::Uk => phrase.uk.or(phrase.us),
            };
            if let Some(stitch) = stitch
                && let Some(next) = self.spells(at, &phrase.words)
            {
                return Some((stitch, next));
            }
        }
        meaning(id).stitch(self.terms).map(|stitch| (stitch, at + 1))
    }

    fn spells(&self, at: usize, words: &[WordId]) -> Option<usize> {
        let mut i = at;
        let mut dotted = false;
        for (nth, word) in words.iter().enumerate() {
            if nth > 0 && matches!(self.kind(i), Some(Kind::Dash | Kind::Stop)) && self.glued(i) {
                dotted |= self.kind(i) == Some(Kind::Stop);
                i += 1;
            }
            let here = self.word(i)?;
            // "sl sts" is the plural of "sl st".
            let plural = meaning(here).key == Some(Key::Stitch) && meaning(*word).key == Some(Key::Stitch);
            if here != *word && !plural {
                return None;
            }
            i += 1;
        }
        // "s. c.": the last dot belongs to the name too.
        if dotted && self.kind(i) == Some(Kind::Stop) && self.glued(i) {
            i += 1;
        }
        Some(i)
    }

    /// A stitch that is worked (no chain): what one action takes and makes. Reads `sc2tog`, `sc dec`, `inc`, `inv dec` too.
    pub fn making(&self, at: usize) -> Option<Making> {
        match self.key(at) {
            Some(Key::Increase) => {
                return Some(Making { stitch: None, takes: Num::ONE, makes: Num::TWO, next: at + 1 });
            }
            Some(Key::Decrease) => {
                return Some(Making { stitch: None, takes: Num::TWO, makes: Num::ONE, next: at + 1 });
            }
            Some(Key::Invisible) if self.key(at + 1) == Some(Key::Decrease) => {
                return Some(Making { stitch: None, takes: Num::TWO, makes: Num::ONE, next: at + 2 });
            }
            _ => {}
        }
        let (stitch, next) = self.stitch(at)?;
        let data = entry(stitch);
        if let Some(legs) = self.number(next)
            && self.key(next + 1) == Some(Key::Together)
        {
            return Some(Making { stitch: Some(stitch), takes: legs, makes: Num::ONE, next: next + 2 });
        }
        match self.key(next) {
            Some(Key::Increase) => {
                return Some(Making { stitch: Some(stitch), takes: Num::ONE, makes: Num::TWO, next: next + 1 });
            }
            Some(Key::Decrease) => {
                return Some(Making { stitch: Some(stitch), takes: Num::TWO, makes: Num::ONE, next: next + 1 });
            }
            Some(Key::Invisible) if self.key(next + 1) == Some(Key::Decrease) => {
                return Some(Making { stitch: Some(stitch), takes: Num::TWO, makes: Num::ONE, next: next + 2 });
            }
            _ => {}
        }
        match data.kind {
            StitchKind::Decrease => {
                Some(Making { stitch: data.base, takes: Num::small(data.consumed.unwrap_or(2)), makes: Num::ONE, next })
            }
            StitchKind::Basic if stitch == StitchId::CHAIN => None,
            StitchKind::Basic | StitchKind::Extended | StitchKind::Linked => {
                Some(Making { stitch: Some(stitch), takes: Num::ONE, makes: Num::ONE, next })
            }
            StitchKind::Group => {
                // "cl in next sp": legs closed in one place, however many.
                if data.consumed.is_none() && data.produced == Some(1) {
                    return self.is(next, &[Key::In, Key::Over]).then_some(Making {
                        stitch: Some(stitch),
                        takes: Num::ONE,
                        makes: Num::ONE,
                        next,
                    });
                }
                let (takes, makes) = (data.consumed?, data.produced?);
                (takes == makes && takes == 1).then_some(Making {
                    stitch: Some(stitch),
                    takes: Num::ONE,
                    makes: Num::ONE,
                    next,
                })
            }
            // The stitch behind a post is used by it.
            StitchKind::Post => Some(Making { stitch: Some(stitch), takes: Num::ONE, makes: Num::ONE, next }),
            StitchKind::Foundation => None,
        }
    }

    /// `3-dc cluster`, `2-tr cl`: so many legs closed in one top.
    pub fn clustered(&self, at: usize) -> Option<Making> {
        self.number(at)?;
        let leg = if self.kind(at + 1) == Some(Kind::Dash) { at + 2 } else { at + 1 };
        let (_, mut next) = self.stitch(leg)?;
        if self.kind(next) == Some(Kind::Dash) {
            next += 1;
        }
        let (stitch, next) = self.stitch(next)?;
        let data = entry(stitch);
        (data.kind == StitchKind::Group && data.produced == Some(1) && data.consumed != Some(2)).then_some(Making {
            stitch: Some(stitch),
            takes: Num::ONE,
            makes: Num::ONE,
            next,
        })
    }

    /// The trade's V-stitch.
    pub fn v_stitch(&self, at: usize) -> Option<usize> {
        self.stitch(at)
            .filter(|(stitch, _)| {
                let data = entry(*stitch);
                data.kind == StitchKind::Group && data.consumed == Some(1) && data.produced == Some(2)
            })
            .map(|(_, next)| next)
    }

    /// The trade's picot.
    pub fn picot(&self, at: usize) -> Option<usize> {
        self.stitch(at)
            .filter(|(stitch, _)| {
                let data = entry(*stitch);
                data.kind == StitchKind::Group && data.produced == Some(0)
            })
            .map(|(_, next)| next)
    }

    /// Whether a chain is named here, and the index after it.
    pub fn chain(&self, at: usize) -> Option<usize> {
        self.stitch(at).filter(|(stitch, _)| *stitch == StitchId::CHAIN).map(|(_, next)| next)
    }

    /// Whether the word is one of the trade's: a stitch, `inc`, `sk`, `st`, …
    pub fn stitchy(&self, at: usize) -> bool {
        self.stitch(at).is_some()
            || self.own(at).is_some()
            || self.is(at, &[Key::Increase, Key::Decrease, Key::Stitch, Key::Skip, Key::Invisible])
    }

    /// Whether an instruction may begin here.
    pub fn starts_instruction(&self, at: usize) -> bool {
        match self.kind(at) {
            Some(Kind::Star(_) | Kind::DoubleStar | Kind::Open(_) | Kind::Own(_)) => true,
            Some(Kind::Number(_)) => {
                self.stitchy(at + 1)
                    || self.chain(at + 1).is_some()
                    || self.key(at + 1) == Some(Key::X)
                    || self.suffix(at + 1).is_some()
            }
            Some(Kind::Word(_)) => {
                self.stitchy(at)
                    || self.is(
                        at,
                        &[
                            Key::Repeat,
                            Key::Work,
                            Key::In,
                            Key::Magic,
                            Key::MagicRing,
                            Key::Join,
                            Key::Turn,
                            Key::With,
                            Key::Using,
                            Key::BackLoop,
                            Key::FrontLoop,
                            Key::As,
                            Key::Same,
                            Key::Fasten,
                            Key::FastenOff,
                            Key::Change,
                            Key::Beginning,
                            Key::Foundation,
                            Key::Leave,
                            Key::Do,
                            Key::Even,
                            Key::Around,
                            Key::Place,
                            Key::Continue,
                        ],
                    )
            }
            _ => false,
        }
    }

    /// The bracket that closes the one at `at`, before `end`. Kinds of brackets are not compared: braces and straight
    /// brackets are mixed up in print.
    pub fn closing(&self, at: usize, end: usize) -> Option<usize> {
        self.closes.get(at).map(|close| *close as usize).filter(|close| *close < end)
    }

    /// Whether a bracket after a row number is an attribute: sides, colours, `(10R)`, `(3 rounds)`, sizes, words of a name.
    pub fn is_attribute(&self, open: usize, close: usize, punctuated: bool) -> bool {
        if close == open + 1 {
            return true;
        }
        let mut i = open + 1;
        while i < close {
            match self.kind(i) {
                Some(Kind::Number(_)) => {
                    if !self.is(i + 1, &[Key::Row, Key::Rows, Key::Round, Key::Rounds, Key::R])
                        && !self.size_word_ahead(open, close)
                    {
                        return false;
                    }
                    i += 1;
                }
                Some(Kind::Word(_)) => {
                    if self.is(i, &[Key::Wrong, Key::Right, Key::Colour, Key::Size]) {
                        return true;
                    }
                    // "Row 1 (Decrease, RS):" is a name, "Rnd 2: (inc) x 6" is work.
                    let named =
                        !punctuated && matches!(self.kind(close + 1), Some(Kind::Colon | Kind::Dash | Kind::Stop));
                    if self.making(i).is_some_and(|making| making.stitch.is_some() || !named)
                        || self.chain(i).is_some()
                        || self.key(i) == Some(Key::Skip)
                    {
                        return false;
                    }
                }
                Some(Kind::Comma | Kind::Dash | Kind::Slash | Kind::Ampersand | Kind::Plus | Kind::Quote) => {}
                _ => return false,
            }
            i += 1;
        }
        true
    }

    fn size_word_ahead(&self, open: usize, close: usize) -> bool {
        (open..close).any(|i| self.key(i) == Some(Key::Size))
    }

    /// Whether a colour is named here: `col B`, `colour C`, `with A`.
    pub fn colour_ahead(&self, at: usize) -> bool {
        self.is(at, &[Key::Colour, Key::With, Key::Using, Key::Yarn])
    }
}
