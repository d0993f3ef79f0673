//! One clause: a stitch and where it goes, chains, skips, joins, other rows again.

use super::super::count;
use super::super::words::{Token, cut};
use super::{Again, Extent, Place, Read, Reader, Said, Step, Target};
use crate::slow_worker::typed::Item;

/// Places that one takes, what it leaves, and whether it is one of the pattern's own.
type Stitch = (u64, Vec<Item>, Option<(String, u64)>);

impl Reader<'_> {
    pub(super) fn clause(&mut self, tokens: &[Token], steps: &mut Vec<Step>) -> Read<()> {
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

    pub(super) fn plain_clause(&mut self, t: &[Token], steps: &mut Vec<Step>) -> Read<()> {
        let word = |i: usize| t.get(i).map_or("", Token::word);
        let number = |i: usize| match t.get(i) {
            Some(Token::Number(n)) => Some(*n),
            _ => None,
        };
        match (word(0), word(1)) {
            ("", _) if number(0).is_none() => return if t.is_empty() { Ok(()) } else { Err("a mark".to_owned()) },
            ("turn" | "along" | "working", _)
                if t.iter().any(|t| t.is_word("edge") || t.is_word("side")) && t.iter().any(|t| t.is_word("ch")) =>
            {
                steps.push(Step::FarSide);
                return Ok(());
            }
            ("turn", _) => {
                steps.push(Step::Turn);
                return Ok(());
            }
            ("join", _) if t.iter().any(|t| t.is_word("corner")) => {
                steps.push(Step::Corner);
                return Ok(());
            }
            ("join", "yarn") if t.iter().any(|t| t.is_word("underarm")) => {
                steps.push(Step::Underarm);
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
    pub(super) fn slip(&self, t: &[Token], steps: &mut Vec<Step>) -> Read<()> {
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
    pub(super) fn work(&self, t: &[Token], steps: &mut Vec<Step>) -> Read<()> {
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
    pub(super) fn stitch(&self, name: &str) -> Option<Stitch> {
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
}

/// A chain that is closed into a ring is no stitch and no space.
pub(super) fn ring(steps: &mut Vec<Step>) {
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
pub(super) fn aside(inside: &[Token], steps: &mut Vec<Step>) -> Read<()> {
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
pub(super) fn again(t: &[Token]) -> Read<Again> {
    let mut rows: Vec<u64> = Vec::new();
    let mut times = None;
    let mut more = false;
    let mut last = 0;
    let mut i = 1;
    while i < t.len() {
        match &t[i] {
            Token::Number(n) => {
                let word = |k: usize| t.get(k).map_or("", Token::word);
                if word(i + 1) == "times" || (word(i + 1) == "more" && word(i + 2) == "times") {
                    times = Some(*n);
                    more |= word(i + 1) == "more";
                } else if t[i - 1].is_word("last") {
                    last = *n;
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
                "last" => last = 1,
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
    if (last > 0) != rows.is_empty() {
        return Err("which rows again?".to_owned());
    }
    Ok(Again { rows, last, times, more, brackets: None })
}

pub(super) fn ordinal(token: &Token) -> Option<u64> {
    let word = token.word();
    ["st", "nd", "rd", "th"].iter().find_map(|suffix| word.strip_suffix(suffix)?.parse().ok())
}
