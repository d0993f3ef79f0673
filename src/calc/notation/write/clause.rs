//! One act as one clause.

use std::borrow::Cow;

use super::super::number::Num;
use super::super::tree::{Act, Again, ChainCounts, Extent, Own, Place, Resume, Rows, Step, Target, Work};
use super::place::Lead;
use super::{Unwritten, Writer, Written};
use crate::standards::{self, StitchId, StitchKind};

impl Writer<'_> {
    /// Stitches. `inner` stands in a bracket that goes into one place: the stitch alone means that place.
    pub(super) fn work(&self, work: &Work, inner: bool, ring_made: bool) -> Written {
        if self.is_zero(work.makes) {
            return self.held_back(work);
        }
        if self.is_zero(work.takes) {
            return Ok("draw yarn through all loops on hook".to_owned());
        }
        if !self.is_one(work.takes) {
            return self.together(work);
        }
        if !self.is_one(work.makes) {
            return self.several_in_one(work);
        }
        let Some(stitch) = work.stitch else {
            return match (work.place, work.extent) {
                (Place::Next(Target::Any), Extent::Fill(left)) if self.is_zero(left) => Ok("work even".to_owned()),
                _ => Err(Unwritten::new("a stitch", "which stitch it is is not said")),
            };
        };
        let name = self.name(stitch);
        match (work.place, work.extent) {
            (_, Extent::Times(count)) if work.bare_number => Ok(format!("{} {name}", self.number(count))),
            (Place::Ring, Extent::Times(count)) => {
                let ring = if ring_made { "ring" } else { "magic ring" };
                Ok(format!("{} {name} in {ring}", self.number(count)))
            }
            (Place::Next(Target::Any), extent) if inner && self.is_once(extent) => Ok(name),
            (Place::Same, Extent::Times(count)) if !self.is_one(count) => Ok(format!("{} {name}", self.number(count))),
            (Place::Same, _) if inner => Ok(name),
            (Place::Made, Extent::Times(count)) if !self.is_one(count) => {
                Ok(format!("{} {name} evenly along side edge", self.number(count)))
            }
            (place, extent) => Ok(format!("{name} {}", self.place(place, extent, lead(stitch, place))?)),
        }
    }

    /// `inc in next st`, `3 dc in next ch-2 sp`.
    fn several_in_one(&self, work: &Work) -> Written {
        let said = self.wording.said.and_then(|said| said.increase);
        let name = match work.stitch {
            Some(stitch) => format!("{} {}", self.number(work.makes), self.name(stitch)),
            None if self.means(said, work, (1, 2)) => "inc".to_owned(),
            None => return Err(Unwritten::new("an increase", "which stitch it is made of is not said")),
        };
        match (work.place, work.extent) {
            (Place::Next(Target::Any), extent)
                if self.is_once(extent) && work.stitch.is_none() && !self.style.placed =>
            {
                Ok(name)
            }
            (place, extent) => {
                // "2 FPdc around" is read as two in all.
                let lead = work.stitch.map_or(Lead::InEach, |stitch| match lead(stitch, place) {
                    Lead::Around if self.is_once(extent) => Lead::Around,
                    _ => Lead::InEach,
                });
                Ok(format!("{name} {}", self.place(place, extent, lead)?))
            }
        }
    }

    /// What the pattern says of the word, else what the trade means by it.
    fn means(&self, said: Option<(Num, Num)>, work: &Work, usual: (u64, u64)) -> bool {
        let this = (self.plain(work.takes), self.plain(work.makes));
        match said {
            Some((takes, makes)) => this == (self.plain(takes), self.plain(makes)),
            None => this == (Some(usual.0), Some(usual.1)),
        }
    }

    /// `sc2tog`, `dec`, `next 3 sts tog`.
    fn together(&self, work: &Work) -> Written {
        let Some(legs) = self.plain(work.takes) else {
            return Err(Unwritten::new("a decrease", "it takes another number of stitches in each size"));
        };
        let said = self.wording.said.and_then(|said| said.decrease);
        if !self.is_one(work.makes) {
            return Err(Unwritten::new("a decrease", "it leaves more than one stitch"));
        }
        let name = match work.stitch {
            Some(stitch) => format!("{}{legs}tog", self.name(stitch)),
            None if self.means(said, work, (2, 1)) => "dec".to_owned(),
            None => match work.place {
                _ if !self.is_once(work.extent) => {
                    return Err(Unwritten::new("a decrease", "the stitch that it is made of is not said"));
                }
                Place::Next(target) => return Ok(format!("next {legs} {} tog", self.target(target, true)?)),
                Place::First(target) => return Ok(format!("first {legs} {} tog", self.target(target, true)?)),
                Place::Last(target) => return Ok(format!("last {legs} {} tog", self.target(target, true)?)),
                _ => return Err(Unwritten::new("a decrease", "the stitch that it is made of is not said")),
            },
        };
        let over = |which: &str, target: Target, count: Num| -> Written {
            Ok(format!("{name} over {which} {} {}", self.product(count, legs), self.target(target, true)?))
        };
        match (work.place, work.extent) {
            (Place::Next(Target::Any), extent) if self.is_once(extent) => Ok(name),
            (Place::Next(Target::Any), Extent::Times(count)) => Ok(format!("{name} {} times", self.number(count))),
            (Place::Next(Target::Any), extent) => match self.far(extent)? {
                Some(far) => Ok(format!("{name} {far}")),
                None => Err(Unwritten::new("a decrease", "how often is not said in places")),
            },
            (Place::Next(target), Extent::Times(count)) => over("next", target, count),
            (Place::First(target), Extent::Times(count)) => over("first", target, count),
            (Place::Last(target), Extent::Times(count)) => over("last", target, count),
            (place, extent) => Ok(format!("{name} {}", self.place(place, extent, Lead::Over)?)),
        }
    }

    /// Stitches that leave nothing yet: a leg whose last loop waits, a place that is only passed.
    fn held_back(&self, work: &Work) -> Written {
        match work.stitch {
            None if work.place == Place::Edge => {
                let place = self.place(work.place, work.extent, Lead::In)?;
                Ok(format!("{} {}", self.skip_word(), place.trim_start_matches("in ")))
            }
            None => Ok(format!("insert hook {}", self.place(work.place, work.extent, Lead::In)?)),
            Some(stitch) => {
                let place = self.place(work.place, work.extent, lead(stitch, work.place))?;
                Ok(format!("holding back last loop of each, work {} {place}", self.name(stitch)))
            }
        }
    }

    /// `skip next 2 dc`, `miss first st`.
    pub(super) fn skip(&self, places: Num, target: Target, first: bool) -> Written {
        let which = if first { "first" } else { "next" };
        let skip = self.skip_word();
        if target == Target::TurningChain && self.is_one(places) {
            return Ok(format!("{skip} tch"));
        }
        let one = self.is_one(places);
        let what = self.target(target, !one)?;
        Ok(if one {
            format!("{skip} {which} {what}")
        } else {
            format!("{skip} {which} {} {what}", self.number(places))
        })
    }

    /// `ch 3`, `ch 4 (counts as first st, ch 1)`.
    pub(super) fn chain(&self, length: Num, counts: Option<ChainCounts>) -> String {
        let said = counts.map_or_else(String::new, |counts| format!(" ({})", counts_words("", counts)));
        format!("{} {}{said}", self.name(StitchId::CHAIN), self.number(length))
    }

    /// `skipped chs count as a st`.
    pub(super) fn skipped_chains(&self, counts: ChainCounts) -> String {
        format!("({})", counts_words("skipped chs ", counts))
    }

    /// A stitch of the pattern's own.
    pub(super) fn own(&self, own: &Own) -> Written {
        let name = self.own_name(own.definition)?;
        match (own.place, own.extent) {
            (None, extent) if self.is_once(extent) => Ok(name),
            (None, Extent::Times(count)) => Ok(format!("{} {name}", self.number(count))),
            (None, extent) => match self.far(extent)? {
                Some(far) => Ok(format!("{name} in each st {far}")),
                None => Err(Unwritten::new("a stitch of the pattern's own", "how often is not said")),
            },
            (Some(Place::Same), Extent::Times(count)) if !self.is_one(count) => {
                Ok(format!("{} {name}", self.number(count)))
            }
            (Some(place), extent) => Ok(format!("{name} {}", self.place(place, extent, Lead::In)?)),
        }
    }

    pub(super) fn own_name(&self, definition: u16) -> Written {
        self.wording
            .own_name(usize::from(definition))
            .ok_or_else(|| Unwritten::new("a stitch of the pattern's own", "the pattern does not define it"))
    }

    /// `rep Rows 3 and 4 5 more times`.
    pub(super) fn again(&self, again: &Again) -> Written {
        let word = super::words::capital(self.row_word());
        let rows = match &again.rows {
            Rows::Last(count) if self.is_one(*count) => format!("last {}", self.row_word()),
            Rows::Last(count) => format!("last {} {}s", self.number(*count), self.row_word()),
            Rows::Numbers(list) => {
                let shown: Vec<String> = list
                    .iter()
                    .map(|(from, to)| {
                        if self.values(*from) == self.values(*to) {
                            self.number(*from)
                        } else {
                            format!("{}-{}", self.number(*from), self.number(*to))
                        }
                    })
                    .collect();
                let many = shown.len() > 1 || shown.iter().any(|range| range.contains('-'));
                format!("{word}{} {}", if many { "s" } else { "" }, and(&shown))
            }
        };
        let of = match again.of {
            Some(name) => format!(" of {}", self.words("a piece", name)?),
            None => String::new(),
        };
        let times = match again.times {
            Some(extent) => match self.often(extent)? {
                Some(times) => format!(
                    "{}{times}",
                    if matches!(again.rows, Rows::Numbers(_)) && times.starts_with(|c: char| c.is_ascii_digit()) {
                        ", "
                    } else {
                        " "
                    }
                ),
                None => return Err(Unwritten::new("rows worked again", "how often is not a number")),
            },
            None => String::new(),
        };
        Ok(format!("rep {rows}{of}{times}"))
    }

    /// Words that the tree only points to.
    pub(super) fn words(&self, what: &'static str, span: super::super::token::Span) -> Written {
        let words = self.wording.of_source(span);
        if words.is_empty() {
            return Err(Unwritten::new(what, "the tree points to words of a text, and there is none"));
        }
        Ok(words)
    }

    /// The line above a row that takes up what earlier rows left (or, without a line end, the words that the row begins
    /// with), and the steps behind it.
    pub(super) fn resume_line<'s>(&self, steps: &'s [Step]) -> Written<(String, Cow<'s, [Step]>)> {
        let remarks = steps.iter().take_while(|step| matches!(step.act, Act::Aside)).count();
        let Some(Step { act: Act::Resume(resume), .. }) = steps.get(remarks) else {
            return Ok((String::new(), Cow::Borrowed(steps)));
        };
        let rest = &steps[remarks + 1..];
        let (line, rest) = self.resumed(resume, rest)?;
        Ok((line, Cow::Owned([&steps[..remarks], rest].concat())))
    }

    fn resumed<'s>(&self, resume: &Resume, rest: &'s [Step]) -> Written<(String, &'s [Step])> {
        match resume {
            Resume::Opening { skipped } => {
                let count = skipped.map_or_else(String::new, |count| format!("{} ", self.number(count)));
                let skipped = match self.wording.terms {
                    crate::verify::Terms::Us => "skipped",
                    crate::verify::Terms::Uk => "missed",
                };
                // The yarn is joined where the first stitch goes.
                let into = rest.iter().find_map(|step| match &step.act {
                    Act::Work(work) => Some(work.place),
                    _ => None,
                });
                let line = match into {
                    Some(Place::Next(Target::Chain)) => "join yarn in first of the underarm chs".to_owned(),
                    _ => format!("Rejoin yarn in first of the {count}{skipped} sts.\n"),
                };
                Ok((line, rest))
            }
            Resume::Unworked { of, row } => {
                let whose = match (of, row) {
                    (Some(of), _) => format!(" of the last {} {}", self.words("a piece", *of)?, self.row_word()),
                    (None, Some(row)) => {
                        format!(" of {} {}", super::words::capital(self.row_word()), self.number(*row))
                    }
                    (None, None) => String::new(),
                };
                match rest {
                    [
                        Step { act: Act::Skip { places, target: Target::Any, first: false }, .. },
                        Step { act: Act::Attach, .. },
                        rest @ ..,
                    ] => {
                        let count = self.number(*places);
                        let skip = super::words::capital(self.skip_word());
                        Ok((format!("{skip} next {count} unworked sts{whose} and join yarn in next st.\n"), rest))
                    }
                    [Step { act: Act::Attach, .. }, rest @ ..] => {
                        Ok((format!("Join yarn in first of the unworked sts{whose}.\n"), rest))
                    }
                    _ => Err(Unwritten::new("work that is taken up again", "the yarn is not joined")),
                }
            }
            Resume::Sewn => Err(Unwritten::new("work along what was sewn together", "no line of a row says it")),
        }
    }
}

/// Posts are worked around; everything else goes into its place.
fn lead(stitch: StitchId, place: Place) -> Lead {
    let stands = matches!(
        place,
        Place::Next(Target::Any | Target::Kind(_))
            | Place::First(Target::Any | Target::Kind(_))
            | Place::Last(Target::Any | Target::Kind(_))
    );
    if standards::stitch(stitch).kind == StitchKind::Post && stands { Lead::Around } else { Lead::In }
}

fn counts_words(chains: &str, counts: ChainCounts) -> String {
    let (does, counts_word) = if chains.is_empty() { ("does", "counts") } else { ("do", "count") };
    match counts {
        ChainCounts { counts: false, .. } => format!("{chains}{does} not count as a st"),
        ChainCounts { space: 0, .. } => format!("{chains}{counts_word} as first st"),
        ChainCounts { space, .. } => format!("{chains}{counts_word} as first st, ch {space}"),
    }
}

/// `3, 4 and 5`.
pub(super) fn and(parts: &[String]) -> String {
    match parts.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => parts.concat(),
    }
}

/// What an act is called where it cannot be written.
pub(super) const fn called(act: &Act) -> &'static str {
    match act {
        Act::Work(_) => "stitches",
        Act::Skip { .. } => "a skip",
        Act::Chain { .. } => "chains",
        Act::Repeat(_) => "a repeat",
        Act::Group { .. } => "a group",
        Act::Ring => "a ring",
        Act::FoundationStitches { .. } => "foundation stitches",
        Act::Join => "a join",
        Act::Turn => "a turn",
        Act::FastenOff => "the end of the yarn",
        Act::Leave(_) => "stitches left unworked",
        Act::SkippedChains(_) => "skipped chains",
        Act::Again(_) => "rows worked again",
        Act::Own(_) => "a stitch of the pattern's own",
        Act::Along { .. } => "work along several kinds of places",
        Act::FarSide => "the far side of the chain",
        Act::OnPiece(_) => "another piece",
        Act::Spread { .. } => "changes spread over the row",
        Act::EveryNth { .. } => "every so many-th stitch",
        Act::UntilMeasured => "work until a measure",
        Act::Called(_) => "a name for what stands before",
        Act::Attach => "yarn that is joined",
        Act::Resume(_) => "work that is taken up again",
        Act::Picot(_) => "a picot",
        Act::Edited(_) => "a row with a change",
        Act::Aside => "a remark",
        Act::Unread => "words that were not read",
    }
}

/// Whether it is one of the pattern's own stitches worked several times into one place.
pub(super) fn several_own(steps: &[Step]) -> Option<&Own> {
    match steps {
        [Step { act: Act::Own(own @ Own { place: Some(Place::Same), extent: Extent::Times(_), .. }), .. }] => Some(own),
        _ => None,
    }
}
