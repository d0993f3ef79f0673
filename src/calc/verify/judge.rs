//! What a row makes against what is printed.

use super::piece::FaultKind;
use super::report::{SizeCount, Verdict};
use super::work::{Below, Trouble, Worked, works};
use crate::fabric::{Item, Run, Totals, Unit};
use crate::notation::number::{MAX_COUNT, Numbers};
use crate::notation::tree::{Act, Stated, Step, Unit as CountUnit};

/// A printed count in one size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Printed {
    parts: Vec<(u64, CountUnit)>,
}

/// The printed count of one size; `None` where it prints none.
pub(super) fn stated(stated: Option<&Stated>, numbers: &Numbers, size: usize) -> Option<Printed> {
    let parts: Vec<(u64, CountUnit)> = stated?
        .parts
        .iter()
        .filter_map(|(number, unit)| numbers.value(*number, size).map(|value| (value, *unit)))
        .collect();
    (!parts.is_empty()).then_some(Printed { parts })
}

impl Printed {
    fn stitches(&self) -> Option<u64> {
        let mut sum = None::<u64>;
        for (value, unit) in &self.parts {
            if matches!(unit, CountUnit::Stitches | CountUnit::Kind(_)) {
                sum = Some(sum.unwrap_or(0).saturating_add(*value));
            }
        }
        sum
    }

    /// The count of stitches, where it is one that the next row can stand on.
    pub(super) fn plain(&self) -> Option<u64> {
        let simple = self.parts.iter().all(|(_, unit)| matches!(unit, CountUnit::Stitches | CountUnit::Kind(_)));
        // A number beyond what is exact is no row to stand on.
        if simple { self.stitches().filter(|count| *count <= MAX_COUNT) } else { None }
    }

    /// The number that is shown.
    pub(super) fn number(&self) -> u64 {
        self.stitches().unwrap_or_else(|| self.parts.first().map_or(0, |part| part.0))
    }

    /// Whether it gives one count for each of so many rows.
    pub(super) fn lists(&self, rows: u64) -> bool {
        self.parts.len() as u64 == rows
            && self.parts.iter().all(|(_, unit)| matches!(unit, CountUnit::Stitches | CountUnit::Kind(_)))
    }

    pub(super) fn nth(&self, row: u64) -> Option<Self> {
        self.parts.get(usize::try_from(row).ok()?).map(|part| Self { parts: vec![*part] })
    }
}

/// Places in what lies below.
pub(super) fn places(below: &Below) -> Option<u64> {
    match below {
        Below::Nothing | Below::Ring => Some(0),
        Below::Chain(row) | Below::Circle(row) | Below::Row(row) => Some(row.totals().places),
    }
}

/// How a printed count and a worked row agree.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Match {
    /// In stitches.
    Right,
    /// In another unit, with what the row makes in it.
    RightAs(&'static str, u64),
    /// Not.
    Wrong { expected: u64, actual: u64 },
    /// The unit cannot be compared.
    Unknown,
}

fn totals(worked: &Worked) -> Totals {
    match &worked.below {
        Below::Chain(row) | Below::Circle(row) | Below::Row(row) => row.totals(),
        Below::Nothing | Below::Ring => Totals::default(),
    }
}

fn count_kind(worked: &Worked, wanted: impl Fn(Item) -> bool) -> u64 {
    match &worked.below {
        Below::Chain(row) | Below::Circle(row) | Below::Row(row) => row.count(wanted),
        Below::Nothing | Below::Ring => 0,
    }
}

/// How a row's stitches stand to the names in its count.
struct Named {
    units: Vec<Unit>,
    marked: bool,
}

impl Named {
    fn of(printed: &Printed, worked: &Worked) -> Self {
        let units = printed
            .parts
            .iter()
            .filter_map(|(_, unit)| if let CountUnit::Named(unit) = unit { Some(*unit) } else { None })
            .collect();
        Self { units, marked: count_kind(worked, |item| matches!(item, Item::Open(_))) > 0 }
    }

    /// Items outside the units that the count names.
    fn outside(&self, worked: &Worked, wanted: impl Fn(Item) -> bool + Copy) -> u64 {
        fn walk(runs: &[Run], units: &[Unit], inside: &mut u64, wanted: impl Fn(Item) -> bool + Copy) -> u64 {
            let mut sum = 0u64;
            for run in runs {
                match run {
                    Run::Items(Item::Open(unit), count) if units.contains(unit) => *inside += count,
                    Run::Items(Item::Close(unit), count) if units.contains(unit) => {
                        *inside = inside.saturating_sub(*count)
                    }
                    Run::Items(item, count) if *inside == 0 && wanted(*item) => sum = sum.saturating_add(*count),
                    Run::Items(..) => {}
                    Run::Repeat(runs, times, _) => {
                        sum = sum.saturating_add(walk(runs, units, inside, wanted).saturating_mul(*times));
                    }
                }
            }
            sum
        }
        match &worked.below {
            Below::Chain(row) | Below::Circle(row) | Below::Row(row) => walk(row.runs(), &self.units, &mut 0, wanted),
            Below::Nothing | Below::Ring => 0,
        }
    }
}

pub(super) fn compare(printed: &Printed, worked: &Worked, available: Option<u64>) -> Match {
    let totals = totals(worked);
    let made = totals.places;
    for (value, unit) in &printed.parts {
        let actual = match unit {
            CountUnit::Spaces(length) => {
                let spaces = count_kind(worked, |item| match item {
                    Item::Space(chains) => length.is_none_or(|length| length == chains),
                    Item::Loop(_) => true,
                    _ => false,
                });
                // "24 ch-2 sps" where the row made ch-1 sps counts what is not there; of what lies within stitches no length is known.
                let lengths = count_kind(worked, |item| matches!(item, Item::Space(_) | Item::Loop(_)));
                if spaces == 0 && lengths == 0 { totals.spaces } else { spaces }
            }
            CountUnit::Chains => totals.chains,
            CountUnit::Among(kind) => count_kind(worked, |item| item.kind() == Some(*kind)),
            CountUnit::Increased => match available {
                Some(before) if made >= before => made - before,
                _ => return Match::Wrong { expected: *value, actual: 0 },
            },
            CountUnit::Decreased => match available {
                Some(before) if made <= before => before - made,
                _ => return Match::Wrong { expected: *value, actual: 0 },
            },
            CountUnit::Stitches | CountUnit::Kind(_) | CountUnit::Named(_) | CountUnit::Other => continue,
        };
        if actual != *value && !(matches!(unit, CountUnit::Chains) && totals.spaces == *value) {
            return Match::Wrong { expected: *value, actual };
        }
    }
    let named = Named::of(printed, worked);
    if !named.units.is_empty() {
        return compare_named(printed, worked, &named);
    }
    let Some(stated) = printed.stitches() else {
        return if printed.parts.iter().any(|(_, unit)| *unit == CountUnit::Other) {
            Match::Unknown
        } else {
            Match::Right
        };
    };
    if printed.parts.iter().any(|(_, unit)| *unit == CountUnit::Other) && stated != made {
        return Match::Unknown;
    }
    if stated != made {
        // Every chain counted as a stitch; slip stitches left out of the count.
        if totals.spaces > 0
            && stated == made.saturating_add(totals.chains)
            && matches!(printed.parts.as_slice(), [(_, CountUnit::Stitches)])
        {
            return Match::RightAs("stitches-and-chains", stated);
        }
        // "16 + 15": stitches and spaces, one after the other.
        if let [(first, CountUnit::Stitches), (second, CountUnit::Stitches)] = printed.parts.as_slice()
            && (*first, *second) == (made, totals.spaces)
        {
            return Match::RightAs("stitches-and-spaces", stated);
        }
        if totals.slips > 0 && totals.slips < made && stated == made - totals.slips {
            return Match::RightAs("stitches-without-slip-stitches", stated);
        }
        return Match::Wrong { expected: stated, actual: made };
    }
    let kinds: Vec<_> = printed
        .parts
        .iter()
        .filter_map(|(value, unit)| if let CountUnit::Kind(kind) = unit { Some((*value, *kind)) } else { None })
        .collect();
    if kinds.len() > 1 {
        for (_, kind) in &kinds {
            let wanted: u64 = kinds
                .iter()
                .filter(|(_, other)| other == kind)
                .fold(0, |sum, (value, _)| u64::saturating_add(sum, *value));
            let actual = count_kind(worked, |item| item.kind() == Some(*kind));
            let chains = count_kind(worked, |item| matches!(item, Item::TurningChain { counts_as: Some(_), .. }));
            if wanted.abs_diff(actual) > chains {
                return Match::Wrong { expected: wanted, actual };
            }
        }
    }
    Match::Right
}

/// "(6 V-sts, 2 dc)": units by their marks, and the stitches outside them.
fn compare_named(printed: &Printed, worked: &Worked, named: &Named) -> Match {
    let chains = named.outside(worked, |item| matches!(item, Item::TurningChain { counts_as: Some(_), .. }));
    // "Ch 5, dc in same st" is written out for the first V-st, and counted as one.
    let first = match &worked.below {
        Below::Row(row) => {
            matches!(row.runs(), [Run::Items(Item::Open(Unit::GROUP), 1), Run::Items(Item::TurningChain { .. }, 1), ..])
        }
        _ => false,
    };
    for (value, unit) in &printed.parts {
        let (actual, give) = match unit {
            CountUnit::Named(unit) => {
                let units = count_kind(worked, |item| item == Item::Open(*unit));
                if units == 0 && !named.marked {
                    return Match::Unknown;
                }
                (units, if first && units < *value { 1 } else { 0 })
            }
            CountUnit::Kind(kind) => (named.outside(worked, |item| item.kind() == Some(*kind)), chains),
            CountUnit::Stitches => (named.outside(worked, Item::is_place), 0),
            _ => continue,
        };
        // A beginning chain may be counted as what it stands for, or as what the row is made of.
        if actual != *value && actual.abs_diff(*value) > give {
            return Match::Wrong { expected: *value, actual };
        }
    }
    Match::Right
}

/// What is wrong with a worked row, if anything.
pub(super) fn fault(worked: &Worked, printed: Option<&Printed>, available: Option<u64>) -> Option<FaultKind> {
    if !worked.known {
        return None;
    }
    let matched = printed.map(|printed| compare(printed, worked, available));
    match worked.trouble {
        Some(Trouble::TooLarge { .. }) => return Some(FaultKind::TooLarge),
        Some(Trouble::RunOut { .. }) => return Some(FaultKind::RunOut),
        Some(Trouble::NoPlace { .. }) => return Some(FaultKind::NoPlace),
        Some(Trouble::Unmet { piece, has, asked }) => return Some(FaultKind::Unmet { piece, has, asked }),
        Some(Trouble::LeftOver { left }) => return Some(FaultKind::LeftOver { left }),
        Some(Trouble::Divide { over, unit, remainder, .. }) => {
            // A last pass that stops early, and the printed count knows it; a row that keeps its count says nothing of it.
            let known_to_count = worked.partial
                && totals(worked).places != worked.available
                && worked.used == worked.available
                && matches!(matched, Some(Match::Right | Match::RightAs(..)));
            if !known_to_count {
                return Some(FaultKind::Divide { over, unit, remainder });
            }
        }
        None => {}
    }
    match matched {
        Some(Match::Wrong { expected, actual }) => Some(FaultKind::Count { expected, actual }),
        _ => None,
    }
}

/// The counts of a worked row.
pub(super) fn count(worked: &Worked, printed: Option<&Printed>, below: Option<u64>) -> SizeCount {
    let totals = totals(worked);
    let matched = printed.map(|printed| compare(printed, worked, below));
    let (stated_as, made_as_stated) = match matched {
        Some(Match::RightAs(unit, made)) => (Some(unit.to_owned()), Some(made)),
        _ => (None, None),
    };
    SizeCount {
        number: None,
        times: 1,
        available: Some(worked.available),
        used: exact(worked.used),
        made: exact(totals.places),
        spaces: exact(totals.spaces),
        stated: printed.map(Printed::number),
        stated_as,
        made_as_stated,
        structure: None,
        verdict: Verdict::Right,
    }
}

/// A count, where it is exact.
fn exact(count: u64) -> Option<u64> {
    (count <= MAX_COUNT).then_some(count)
}

/// Counts of a row that stands on something unknown.
pub(super) fn unknown(printed: Option<&Printed>) -> SizeCount {
    SizeCount {
        number: None,
        times: 1,
        available: None,
        used: None,
        made: None,
        spaces: None,
        stated: printed.map(Printed::number),
        stated_as: None,
        made_as_stated: None,
        structure: None,
        verdict: Verdict::Unverified,
    }
}

/// A row that only makes a foundation.
pub(super) fn only_chains(steps: &[Step]) -> bool {
    !steps.iter().any(|step| works(&step.act) || matches!(step.act, Act::Again(_)))
}
