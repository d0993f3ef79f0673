//! Where the hook goes and how far, in words.

use super::super::number::Num;
use super::super::tree::{Extent, Part, Place, Target};
use super::words::ordinal;
use super::{Unwritten, Writer, Written};
use crate::fabric::Unit;

/// How a place is led up to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lead {
    /// "in next 3 sts".
    In,
    /// "in each of next 3 sts": a number before the stitch is of stitches in each.
    InEach,
    /// "around next dc": posts.
    Around,
    /// "over next 2 sts": together.
    Over,
}

impl Lead {
    const fn word(self) -> &'static str {
        match self {
            Self::In | Self::InEach => "in",
            Self::Around => "around",
            Self::Over => "over",
        }
    }
}

fn cannot(why: &str) -> Unwritten {
    Unwritten::new("a place", why)
}

impl Writer<'_> {
    /// `in next 3 sts`, `in each ch-2 sp around`, `in same st`.
    pub(super) fn place(&self, place: Place, extent: Extent, lead: Lead) -> Written {
        let word = lead.word();
        match place {
            Place::Next(Target::TurningChain) if self.is_once(extent) => Ok(format!("{word} top of turning ch")),
            Place::Next(Target::Gap) => match extent {
                Extent::Fill(_) | Extent::Until(..) => Ok(format!(
                    "{word} each sp between sts{}",
                    self.far(extent)?.map_or_else(String::new, |far| format!(" {far}"))
                )),
                _ if self.is_once(extent) => Ok(format!("{word} sp before next st")),
                _ => Err(cannot("gaps are named one by one or all along the row")),
            },
            Place::Next(Target::Unit(unit, part)) => self.of_unit("next", unit, part, extent, lead),
            Place::First(Target::Unit(unit, part)) => self.of_unit("first", unit, part, extent, lead),
            Place::Last(Target::Unit(unit, part)) => self.of_unit("last", unit, part, extent, lead),
            Place::Next(target) => self.counted("next", target, extent, lead),
            Place::First(target) => self.counted("first", target, extent, lead),
            Place::Last(target) => self.counted("last", target, extent, lead),
            Place::Same => Ok(format!("{word} same st")),
            Place::Ring => Ok(format!("{word} ring")),
            Place::FromHook(nth) => match self.plain(nth) {
                Some(nth) => Ok(format!("{word} {} ch from hook", ordinal(nth))),
                None => Err(cannot("the chain from the hook differs between the sizes")),
            },
            Place::Skipped => match extent {
                _ if self.is_once(extent) => Ok(format!("{word} skipped st")),
                Extent::Times(count) => Ok(format!("{word} each of {} skipped sts", self.number(count))),
                _ => Err(cannot("skipped stitches are counted")),
            },
            Place::Made if self.is_once(extent) => Ok(format!("{word} st just made")),
            Place::Made => Err(cannot("a stitch just made is one")),
            Place::Lower(target) => {
                let place = self.place(Place::Next(target), extent, lead)?;
                Ok(format!("{place} 2 rows below"))
            }
            Place::Unworked => match extent {
                Extent::Fill(_) => Ok(format!("{word} each unworked st")),
                _ if self.is_once(extent) => Ok(format!("{word} next unworked st")),
                Extent::Times(count) => Ok(format!("{word} each of next {} unworked sts", self.number(count))),
                _ => Err(cannot("unworked stitches are counted")),
            },
            Place::Edge => match extent {
                Extent::Fill(_) => Ok(format!("{word} each row end")),
                _ if self.is_once(extent) => Ok(format!("{word} next row end")),
                Extent::Times(count) if lead == Lead::InEach => {
                    Ok(format!("{word} each of next {} row ends", self.number(count)))
                }
                Extent::Times(count) => Ok(format!("{word} next {} row ends", self.number(count))),
                _ => Err(cannot("row ends are counted")),
            },
            Place::FarSide => match extent {
                Extent::Times(count) => Ok(format!("in other side of each of {} ch", self.number(count))),
                _ => Ok("in other side of each ch".to_owned()),
            },
            Place::Bridge { far } => {
                let side = if far { "along other side of" } else { "along" };
                match extent {
                    Extent::Times(count) => Ok(format!("{side} each of the {} ch", self.number(count))),
                    _ => Err(cannot("chains of a bridge are counted")),
                }
            }
        }
    }

    /// Whether it is done in one place only.
    pub(super) fn is_once(&self, extent: Extent) -> bool {
        matches!(extent, Extent::Times(count) if self.is_one(count))
    }

    fn counted(&self, which: &str, target: Target, extent: Extent, lead: Lead) -> Written {
        let word = lead.word();
        match extent {
            Extent::Times(count) if self.is_one(count) => Ok(format!("{word} {which} {}", self.target(target, false)?)),
            Extent::Times(count) => {
                let (count, places) = (self.number(count), self.target(target, true)?);
                let each = if lead == Lead::InEach { "each of " } else { "" };
                Ok(format!("{word} {each}{which} {count} {places}"))
            }
            _ if which != "next" => Err(cannot("the first and the last places are counted")),
            Extent::Fill(_) | Extent::Until(..) => {
                let far = self.far(extent)?.unwrap_or_default();
                // What is left at the end of a chain is chains.
                let far = if target == Target::Chain { far.replace(" st", " ch") } else { far };
                Ok(format!("{word} each {} {far}", self.target(target, false)?))
            }
            _ => Err(cannot("how often is not said in places")),
        }
    }

    /// `in ch-2 sp of next shell`, `in 2nd st of each shell around`.
    fn of_unit(&self, which: &str, unit: Unit, part: Part, extent: Extent, lead: Lead) -> Written {
        if part == Part::Whole {
            return self.counted(which, Target::Unit(unit, part), extent, lead);
        }
        let word = lead.word();
        let part = match part {
            Part::Whole => String::new(),
            Part::Space(None) => "ch sp".to_owned(),
            Part::Space(Some(length)) => format!("ch-{length} sp"),
            Part::First => "first st".to_owned(),
            Part::Last => "last st".to_owned(),
            Part::Center => "center st".to_owned(),
            Part::Nth(nth) => format!("{} st", ordinal(u64::from(nth))),
        };
        let name = self.unit_name(unit);
        match extent {
            Extent::Times(count) if self.is_one(count) => Ok(format!("{word} {part} of {which} {name}")),
            Extent::Times(count) => {
                Ok(format!("{word} {part} of {which} {} {}", self.number(count), self.unit_names(unit)))
            }
            Extent::Fill(_) | Extent::Until(..) => {
                Ok(format!("{word} {part} of each {name} {}", self.far(extent)?.unwrap_or_default()))
            }
            _ => Err(cannot("how often is not said in places")),
        }
    }

    /// What is worked into, in the singular or plural.
    pub(super) fn target(&self, target: Target, plural: bool) -> Written {
        let s = if plural { "s" } else { "" };
        Ok(match target {
            Target::Any => format!("st{s}"),
            Target::Kind(stitch) => self.name(stitch),
            Target::Space(None) => format!("ch sp{s}"),
            Target::Space(Some(length)) => format!("ch-{length} sp{s}"),
            Target::TurningChain => "tch".to_owned(),
            Target::Chain => format!("ch{s}"),
            Target::Both(kind, length) => {
                let stitch = self.target(kind.map_or(Target::Any, Target::Kind), plural)?;
                format!("{stitch} and {}", self.target(Target::Space(length), plural)?)
            }
            Target::BothChains => format!("st{s} and ch{s}"),
            Target::Unit(unit, Part::Whole) if plural => self.unit_names(unit),
            Target::Unit(unit, Part::Whole) => self.unit_name(unit),
            Target::Unit(unit, _) => {
                return Err(cannot(&format!("a part of a {} is no place to count to", self.unit_name(unit))));
            }
            Target::Gap => return Err(cannot("a gap is no place to count to")),
            // Where "corner" is a stitch of the pattern's own, the place is a space.
            Target::Corner
                if self.wording.definitions.iter().any(|own| own.name.to_ascii_lowercase().contains("corner")) =>
            {
                format!("corner sp{s}")
            }
            Target::Corner => format!("corner{s}"),
        })
    }

    /// `around`, `to last 2 sts`, `to next corner`; nothing where an extent is a number.
    pub(super) fn far(&self, extent: Extent) -> Written<Option<String>> {
        Ok(match extent {
            Extent::Fill(left) if self.is_zero(left) => Some(if self.round { "around" } else { "across" }.to_owned()),
            Extent::Fill(left) if self.is_one(left) => Some("to last st".to_owned()),
            Extent::Fill(left) => Some(format!("to last {} sts", self.number(left))),
            Extent::Until(Target::TurningChain, _) => Some("to turning ch".to_owned()),
            Extent::Until(target, 0) => Some(format!("to next {}", self.target(target, false)?)),
            Extent::Until(target, 1) => Some(format!("to last {}", self.target(target, false)?)),
            Extent::Until(target, left) => Some(format!("to last {left} {}", self.target(target, true)?)),
            Extent::Times(_) | Extent::More(_) | Extent::Open(_) | Extent::Unsaid => None,
        })
    }

    /// `6 times`, `twice`, `5 more times`, or [`far`](Self::far).
    pub(super) fn often(&self, extent: Extent) -> Written<Option<String>> {
        let times = |number: Num, more: &str| match self.plain(number) {
            Some(1) => format!("once{more}"),
            Some(2) if more.is_empty() => "twice".to_owned(),
            _ => format!("{}{more} times", self.number(number)),
        };
        Ok(match extent {
            Extent::Times(number) => Some(times(number, "")),
            Extent::More(number) => Some(times(number, " more")),
            Extent::Open(number) => Some(format!("{} times", self.number(number))),
            other => self.far(other)?,
        })
    }
}
