//! Steps one behind the other: commas, brackets, stars.

use super::super::number::Num;
use super::super::tree::{Act, Extent, Place, Repeat, Step, Target, Work, Working};
use super::clause::{called, several_own};
use super::place::Lead;
use super::{Unwritten, Writer, Written};
use crate::standards::{self, StitchKind};

/// A clause and what leads up to it.
#[derive(Debug, Clone)]
pub(super) struct Clause {
    text: String,
    /// No comma stands before it.
    tied: bool,
    /// The step that it says.
    step: usize,
}

/// A row's body in clauses.
#[derive(Debug, Clone)]
pub(super) struct Body {
    clauses: Vec<Clause>,
    /// The yarn is cut at its end; that stands behind the printed count.
    pub(super) ends: bool,
}

impl Body {
    /// A body in words that are given.
    pub(super) fn of_words(words: &str) -> Self {
        let words = words.trim().trim_end_matches('.');
        let clauses =
            if words.is_empty() { Vec::new() } else { vec![Clause { text: words.to_owned(), tied: false, step: 0 }] };
        Self { clauses, ends: false }
    }

    /// Puts words before all others.
    pub(super) fn lead_with(&mut self, words: &str) {
        self.clauses.insert(0, Clause { text: words.to_owned(), tied: false, step: 0 });
    }

    /// All of it in one line.
    pub(super) fn joined(&self) -> String {
        let mut text = join(&self.clauses);
        if self.ends {
            text.push_str(if text.is_empty() { "fasten off" } else { ", fasten off" });
        }
        text
    }

    /// Without the end of the yarn.
    pub(super) fn work(&self) -> String {
        join(&self.clauses)
    }
}

fn join(clauses: &[Clause]) -> String {
    let mut text = String::new();
    for clause in clauses {
        if !text.is_empty() {
            text.push_str(if clause.tied { " " } else { ", " });
        }
        text.push_str(&clause.text);
    }
    text
}

/// Where steps stand.
#[derive(Clone, Copy)]
struct At {
    /// In a bracket that goes into one place.
    inner: bool,
    /// In a unit that a star opened, where no second star can stand.
    starred: bool,
    /// Brackets around it.
    depth: u8,
}

/// Brackets may be nested this deep; the reader takes no more.
const DEEPEST: u8 = super::super::body::MAX_NESTING;

impl Writer<'_> {
    /// Whether stitches of the row were worked before, so that "each st around" would be taken for all of them.
    fn takes_the_rest(&self, before: &[Step], work: &Work) -> bool {
        let worked = |step: &Step| matches!(step.act, Act::Work(_) | Act::Repeat(_) | Act::Along { .. });
        let to_the_end = matches!(work.extent, Extent::Fill(left) if self.is_zero(left));
        work.place == Place::Next(Target::Any) && to_the_end && before.iter().any(worked)
    }

    /// The clauses of a row.
    pub(super) fn body(&self, steps: &[Step]) -> Written<Body> {
        let ends = matches!(steps.last(), Some(Step { act: Act::FastenOff, .. })) && steps.len() > 1;
        let steps = if ends { &steps[..steps.len() - 1] } else { steps };
        let clauses = self.sequence(steps, At { inner: false, starred: false, depth: 0 })?;
        Ok(Body { clauses, ends })
    }

    /// What an own stitch works into one place.
    pub(super) fn in_one_place(&self, steps: &[Step]) -> Written {
        let inner = self.sequence(steps, At { inner: true, starred: false, depth: 1 })?;
        Ok(format!("({}) in same st", join(&inner)))
    }

    fn sequence(&self, steps: &[Step], at: At) -> Written<Vec<Clause>> {
        if at.depth > DEEPEST {
            return Err(Unwritten::new("a repeat", "it is nested deeper than is read"));
        }
        let mut clauses: Vec<Clause> = Vec::new();
        for (here, step) in steps.iter().enumerate() {
            let mut tied = false;
            let text = match &step.act {
                Act::Aside => {
                    let words = self.wording.of_source(step.span);
                    if !self.wording.asides || words.is_empty() {
                        continue;
                    }
                    tied = words.starts_with(['(', '[']);
                    words.trim_end_matches(['.', ',', ';']).to_owned()
                }
                Act::Unread => self.words("words that were not read", step.span)?,
                Act::Work(work) => match self.goes_on(steps, here, work) {
                    Some(before) if self.style.joined && !at.inner => {
                        tied = true;
                        let place = self.place(before.place, before.extent, Lead::In)?;
                        format!("and {place}")
                    }
                    _ => {
                        let spread = matches!(
                            steps.get(here + 1).map(|step| &step.act),
                            Some(Act::Spread { .. } | Act::EveryNth { .. })
                        );
                        let fill = matches!(work.extent, Extent::Times(times) if self.is_zero(times)) && spread;
                        let work = if fill { Work { extent: Extent::Fill(Num::ZERO), ..*work } } else { *work };
                        let ring =
                            self.ring || steps[..here].iter().any(|step| matches!(step.act, Act::Ring | Act::Join));
                        let text = self.work(&work, at.inner, ring)?;
                        if at.depth == 0 && self.takes_the_rest(&steps[..here], &work) {
                            text.replacen(" each st ", " each rem st ", 1)
                        } else {
                            text
                        }
                    }
                },
                Act::SkippedChains(counts) => {
                    tied = true;
                    self.skipped_chains(*counts)
                }
                Act::Called(definition) => {
                    tied = true;
                    format!("({} made)", self.own_name(*definition)?)
                }
                Act::UntilMeasured => {
                    tied = true;
                    let words = self.wording.of_source(step.span);
                    match words.to_ascii_lowercase().find("until") {
                        Some(from) => words[from..].trim().to_owned(),
                        None => {
                            return Err(Unwritten::new("work until a measure", "how long is not in the tree"));
                        }
                    }
                }
                Act::Repeat(repeat) => self.repeat(repeat, at)?,
                Act::Group { steps, place, extent } => self.group(steps, *place, *extent, at)?,
                Act::Along { kinds, extent } => self.along(kinds, *extent, at)?,
                act => self.simple(act, steps, here)?,
            };
            clauses.push(Clause { text, tied, step: here });
        }
        Ok(clauses)
    }

    /// Whether it is the stitch of the step before, going on to the end of the row.
    fn goes_on<'w>(&self, steps: &[Step], here: usize, work: &'w Work) -> Option<&'w Work> {
        let before = steps[..here].iter().rev().find(|step| !matches!(step.act, Act::SkippedChains(_)))?;
        let Act::Work(before) = &before.act else { return None };
        let same = before.stitch == work.stitch
            && before.stitch.is_some_and(|stitch| standards::stitch(stitch).kind == StitchKind::Basic)
            && self.is_one(before.takes)
            && self.is_one(before.makes)
            && self.is_one(work.takes)
            && self.is_one(work.makes)
            && !before.bare_number;
        let begins = matches!(before.place, Place::FromHook(_))
            || matches!(before.place, Place::First(_)) && self.is_once(before.extent);
        let fills = matches!(work.extent, Extent::Fill(_)) && matches!(work.place, Place::Next(_));
        (same && begins && fills).then_some(work)
    }

    /// Acts that stand for themselves.
    fn simple(&self, act: &Act, steps: &[Step], here: usize) -> Written {
        let before = &steps[..here];
        Ok(match act {
            Act::Skip { places, target, first } => self.skip(*places, *target, *first)?,
            Act::Chain { length, counts } => self.chain(*length, *counts),
            Act::Ring => "make a magic ring".to_owned(),
            Act::FoundationStitches { stitch, count } => {
                let name = standards::stitches()
                    .iter()
                    .find(|entry| entry.kind == StitchKind::Foundation && entry.base == Some(*stitch))
                    .map(|entry| self.name(entry.id));
                match name {
                    Some(name) => format!("{} {name}", self.number(*count)),
                    None => return Err(Unwritten::new("foundation stitches", "the trade has no name for them")),
                }
            }
            Act::Join => {
                let mut acts =
                    before.iter().map(|step| &step.act).filter(|act| !matches!(act, Act::Aside | Act::Turn)).peekable();
                let slip = self.name(standards::StitchId::SLIP_STITCH);
                if acts.peek().is_none() {
                    "join".to_owned()
                } else if acts.all(|act| matches!(act, Act::Chain { .. })) {
                    format!("join with {slip} to form a ring")
                } else {
                    format!("join with {slip} to first st")
                }
            }
            Act::Turn => "turn".to_owned(),
            Act::FastenOff => "fasten off".to_owned(),
            Act::Leave(None) => "leave remaining sts unworked".to_owned(),
            Act::Leave(Some(count)) => format!("leave last {} sts unworked", self.number(*count)),
            Act::Again(again) => self.again(again)?,
            Act::Own(own) => self.own(own)?,
            Act::FarSide => "working along opposite side of foundation ch".to_owned(),
            Act::OnPiece(name) => format!("on {}", self.words("another piece", *name)?),
            Act::Spread { count, more } => {
                let how = if *more { "increasing" } else { "decreasing" };
                format!("{how} {} sts evenly", self.number(*count))
            }
            Act::EveryNth { nth, more } => {
                let how = match (*more, self.wording.terms) {
                    (true, _) => "increasing in",
                    (false, crate::verify::Terms::Us) => "skipping",
                    (false, crate::verify::Terms::Uk) => "missing",
                };
                match self.plain(*nth) {
                    Some(nth) => format!("{how} every {} st", super::words::ordinal(nth)),
                    None => return Err(Unwritten::new("every so many-th stitch", "it differs between the sizes")),
                }
            }
            Act::Attach => "join yarn in next st".to_owned(),
            Act::Picot(chains) => match chains.and_then(|chains| self.plain(chains)) {
                Some(chains) => format!("ch-{chains} picot"),
                None => "picot".to_owned(),
            },
            other => return Err(Unwritten::new(called(other), "it stands where no row has it")),
        })
    }

    /// `*…; rep from * around` where it goes to the end, `[…] 6 times` where it is counted.
    fn repeat(&self, repeat: &Repeat, at: At) -> Written {
        let needs_star = repeat.stop.is_some() || matches!(repeat.extent, Extent::Open(_) | Extent::Unsaid);
        let would_star =
            self.style.stars && at.depth == 0 && !matches!(repeat.extent, Extent::Times(_) | Extent::More(_));
        if needs_star && at.starred {
            return Err(Unwritten::new("a repeat", "it stands within another whose marks are stars"));
        }
        let often = self.often(repeat.extent)?;
        if !needs_star && (!would_star || at.starred) {
            let inner = self.sequence(&repeat.steps, At { inner: at.inner, starred: false, depth: at.depth + 1 })?;
            let (open, close) = if at.depth.is_multiple_of(2) { ('[', ']') } else { ('(', ')') };
            return Ok(format!("{open}{}{close} {}", join(&inner), often.unwrap_or_default()));
        }
        let inner = self.sequence(&repeat.steps, At { starred: true, depth: at.depth + 1, inner: at.inner })?;
        let unit = match repeat.stop {
            Some(stop) => {
                let (first, last): (Vec<Clause>, Vec<Clause>) =
                    inner.into_iter().partition(|clause| clause.step < stop);
                format!("{}, **{}", join(&first), join(&last))
            }
            None => join(&inner),
        };
        let often = often.map_or_else(String::new, |often| format!(" {often}"));
        let ending = if repeat.stop.is_some() { ", ending last rep at **" } else { "" };
        Ok(format!("*{unit}; rep from *{often}{ending}"))
    }

    /// `(2 dc, ch 2, 2 dc) in next ch-2 sp`.
    fn group(&self, steps: &[Step], place: Place, extent: Extent, at: At) -> Written {
        let each = |each: bool| self.place(place, extent, if each { Lead::InEach } else { Lead::In });
        if let Some(own) = several_own(steps)
            && let Extent::Times(times) = own.extent
        {
            return Ok(format!("{} {} {}", self.number(times), self.own_name(own.definition)?, each(true)?));
        }
        let inner = self.sequence(steps, At { inner: true, starred: false, depth: at.depth + 1 })?;
        let in_one = |step: &Step| match &step.act {
            Act::Work(work) => work.place == Place::Same && !work.bare_number,
            Act::Chain { counts, .. } => counts.is_none(),
            Act::Picot(_) => true,
            Act::Own(own) => own.place.is_none(),
            _ => false,
        };
        let listed =
            steps.len() > 1 && steps.iter().any(|step| matches!(step.act, Act::Work(_))) && steps.iter().all(in_one)
                || !self.style.brackets && steps.len() > 1;
        // "2 dc, ch 3, 3 dc all in next sp": the last of them has the place.
        let several_last = matches!(steps.last(), Some(Step { act: Act::Work(work), .. }) if work.place == Place::Same && !self.is_one(work.makes));
        if listed
            && several_last
            && let Some((last, first)) = inner.split_last()
        {
            let last = last.text.trim_end_matches(" in same st");
            return Ok(format!("{}, {last} all {}", join(first), each(false)?));
        }
        if listed && let Some((last, first)) = inner.split_last() {
            return Ok(format!("{} work {} and {}", each(false)?, join(first), last.text));
        }
        Ok(format!("({}) {}", join(&inner), each(false)?))
    }

    /// `dc in each dc, 2 dc in each ch-1 sp around`.
    fn along(&self, kinds: &[Working], extent: Extent, at: At) -> Written {
        let general = |target: Target| matches!(target, Target::Any | Target::Both(..) | Target::BothChains);
        // The reader puts a more particular place before those that it has.
        let order: Vec<&Working> = if kinds.first().is_some_and(|first| general(first.target)) {
            kinds.iter().collect()
        } else {
            kinds.iter().rev().collect()
        };
        let mut clauses = Vec::new();
        for (nth, kind) in order.iter().enumerate() {
            let last = nth + 1 == order.len();
            let far = if last { extent } else { Extent::Fill(Num::ZERO) };
            let text = match kind.steps.as_slice() {
                [Step { act: Act::Work(work), .. }] if work.place == Place::Same && self.is_once(work.extent) => {
                    self.work(&Work { place: Place::Next(kind.target), extent: far, ..*work }, false, false)?
                }
                [Step { act: Act::Own(own), .. }] if own.place == Some(Place::Same) && self.is_once(own.extent) => {
                    let own = super::super::tree::Own { place: Some(Place::Next(kind.target)), extent: far, ..*own };
                    self.own(&own)?
                }
                steps => self.group(steps, Place::Next(kind.target), far, at)?,
            };
            // "around" is said once, at the end.
            let bare = [" around", " across"].iter().find_map(|far| text.strip_suffix(far));
            clauses.push(match bare {
                Some(bare) if !last => bare.to_owned(),
                _ => text,
            });
        }
        Ok(clauses.join(", "))
    }
}
