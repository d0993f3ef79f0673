//! Hook sizes, read once from `data/hooks.csv`.
//!
//! A hook is its diameter in millimetres. US letters and numbers and the old UK numbers are names: they differ between
//! publishers, most above 9 mm, and a hook may be a tenth of a millimetre off what is stamped on it. Steel hooks are listed
//! only where a published table gives their diameter.
//!
//! ```
//! use evenround_calc::standards::hooks::{hooks, usual};
//! use evenround_calc::units::Length;
//!
//! let half_way = hooks().iter().find(|hook| hook.diameter == Length::millimetres(5.5)).unwrap();
//! assert_eq!((half_way.us, half_way.uk), (Some("I-9"), Some("5")));
//! assert!(usual().is_sorted_by(|thin, thick| thin.diameter < thick.diameter));
//! ```

use std::sync::LazyLock;

use super::table::{list, number, optional, records};
use crate::units::Length;

const DATA: &str = include_str!("data/hooks.csv");

const COLUMNS: [&str; 10] =
    ["kind", "mm", "us", "us_source", "us_also", "uk_old", "uk_source", "usual", "note", "source"];

/// What a hook is made for. Source: each entry's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HookKind {
    /// Yarn.
    Yarn,
    /// Thread, sized like yarn hooks but thinner.
    Thread,
    /// Thread, sized by the numbers of steel hooks, of which several runs exist.
    Steel,
}

/// One size. Source: each entry's.
#[derive(Debug, Clone, PartialEq)]
pub struct Hook {
    /// What it is made for.
    pub kind: HookKind,
    /// Its diameter.
    pub diameter: Length,
    /// Its US size, where most tables agree on one.
    pub us: Option<&'static str>,
    /// The tables that print that.
    pub us_sources: Vec<&'static str>,
    /// Other names, each with its sources in brackets, parted by `"; "`.
    pub also: Option<&'static str>,
    /// Its old UK number.
    pub uk: Option<&'static str>,
    /// The tables that print that.
    pub uk_sources: Vec<&'static str>,
    /// Whether it belongs to the usual run that a maker finds in a shop: what a "size up" counts. Source: common practice.
    pub usual: bool,
    /// Where tables differ, in a few words; may be empty.
    pub note: &'static str,
    /// Ids of `data/sources.csv`, or `derived: …`.
    pub sources: Vec<&'static str>,
}

static HOOKS: LazyLock<Vec<Hook>> =
    LazyLock::new(|| parse(DATA).unwrap_or_else(|problem| panic!("hooks.csv: {problem}")));

static USUAL: LazyLock<Vec<&'static Hook>> = LazyLock::new(|| {
    let mut usual: Vec<&Hook> = hooks().iter().filter(|hook| hook.usual).collect();
    usual.sort_by(|a, b| a.diameter.to_millimetres().total_cmp(&b.diameter.to_millimetres()));
    usual
});

/// All sizes: yarn, thread, steel, each from thin to thick. Source: each entry's.
///
/// ```
/// use evenround_calc::standards::hooks::{HookKind, hooks};
///
/// assert!(hooks().iter().any(|hook| hook.kind == HookKind::Steel && hook.us == Some("Steel 14")));
/// ```
pub fn hooks() -> &'static [Hook] {
    &HOOKS
}

/// The usual run, from thin to thick, each diameter once. One place along it is one hook size. Source: common practice.
///
/// ```
/// use evenround_calc::standards::hooks::usual;
///
/// let letters: Vec<_> = usual().iter().filter_map(|hook| hook.us).collect();
/// assert!(letters.windows(2).any(|next| next == ["H-8", "I-9"]));
/// ```
pub fn usual() -> &'static [&'static Hook] {
    &USUAL
}

fn parse(data: &str) -> Result<Vec<Hook>, String> {
    records(data, &COLUMNS)?.iter().map(|record| entry(record).map_err(|why| format!("{record:?}: {why}"))).collect()
}

fn entry(record: &csv::StringRecord) -> Result<Hook, String> {
    let diameter: f64 = number(&record[1])?.ok_or("a hook without a diameter")?;
    if !(0.1..=100.0).contains(&diameter) {
        return Err(format!("{diameter} mm is no hook"));
    }
    let hook = Hook {
        kind: match &record[0] {
            "yarn" => HookKind::Yarn,
            "thread" => HookKind::Thread,
            "steel" => HookKind::Steel,
            other => return Err(format!("no kind {other:?}")),
        },
        diameter: Length::millimetres(diameter),
        us: optional(&record[2])?,
        us_sources: list(&record[3])?,
        also: optional(&record[4])?,
        uk: optional(&record[5])?,
        uk_sources: list(&record[6])?,
        usual: match &record[7] {
            "yes" => true,
            "" => false,
            other => return Err(format!("usual {other:?}")),
        },
        note: optional(&record[8])?.unwrap_or_default(),
        sources: list(&record[9])?,
    };
    if hook.sources.is_empty() {
        return Err("no source".into());
    }
    Ok(hook)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_run_has_each_diameter_once_and_no_step_of_more_than_a_quarter() {
        let millimetres: Vec<f64> = usual().iter().map(|hook| hook.diameter.to_millimetres()).collect();
        assert!(millimetres.is_sorted_by(|thin, thick| thin < thick), "{millimetres:?}");
        assert!(millimetres.windows(2).all(|pair| pair[1] / pair[0] <= 1.2501), "{millimetres:?}");
    }

    #[test]
    fn a_us_letter_and_a_uk_number_name_one_yarn_hook_only() {
        let yarn = || hooks().iter().filter(|hook| hook.kind == HookKind::Yarn && hook.usual);
        for name in [|hook: &Hook| hook.us, |hook: &Hook| hook.uk] {
            let mut names: Vec<&str> = yarn().filter_map(name).collect();
            let all = names.len();
            names.sort_unstable();
            names.dedup();
            // 2.5 and 2.75 mm share UK 12 in print.
            assert!(all - names.len() <= 1, "{names:?}");
        }
    }

    #[test]
    fn a_name_has_a_source_and_a_source_stands_for_a_name() {
        for hook in hooks() {
            assert!(hook.us.is_none() == hook.us_sources.is_empty(), "{hook:?}");
            assert!(hook.uk.is_none() == hook.uk_sources.is_empty(), "{hook:?}");
        }
    }

    #[test]
    fn a_malformed_data_file_is_refused() {
        let good = "yarn,5.50,I-9,S01,,5,S18,yes,,S01";
        let file = |line: &str| format!("{}\n{line}\n", COLUMNS.join(","));
        assert!(parse(&file(good)).is_ok());
        for (right, wrong) in [("yarn", "wool"), ("5.50", "thick"), ("5.50", "550"), ("yes", "no"), (",,S01", ",,")] {
            assert!(parse(&file(&good.replace(right, wrong))).is_err(), "{wrong}");
        }
    }
}
