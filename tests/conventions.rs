//! Texts that leave a convention open, in families that differ only in what decides it (`conventions.toml`): it is solved as
//! the counts want, or reported as a tie, and never guessed; settled by request it is as settled. A wrong settlement is found.
//! `cargo test -p evenround-tests --test conventions -- --nocapture` prints one line a case.

use evenround_calc::verify::{
    Assumption, NumberBeforeStitch, RepeatNumber, Request, RowKind, Rule, Settled, Severity, SizeCount, TurningChain,
    Verification, verify,
};
use serde::Deserialize;
use std::collections::{BTreeMap, HashSet};

const TABLE: &str = include_str!("conventions.toml");

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    family: Vec<Family>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Family {
    name: String,
    /// With a `{}` for each blank.
    text: String,
    case: Vec<Case>,
}

/// By row label, one number a size.
type Rows = BTreeMap<String, Vec<u64>>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    id: String,
    fill: Vec<String>,
    why: String,
    #[serde(default)]
    expect: Vec<Expected>,
    #[serde(default)]
    made: Rows,
    #[serde(default)]
    spaces: Rows,
    #[serde(default)]
    stated_as: BTreeMap<String, String>,
    #[serde(default)]
    wrong: bool,
    open: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Expected {
    convention: String,
    chosen: Option<String>,
    #[serde(default)]
    rows: Vec<String>,
    #[serde(default)]
    tie: BTreeMap<String, Rows>,
}

type Checked = Result<(), String>;

fn must(good: bool, why: impl FnOnce() -> String) -> Checked {
    if good { Ok(()) } else { Err(why()) }
}

impl Family {
    fn text(&self, case: &Case) -> String {
        let mut pieces = self.text.split("{}");
        let mut text = pieces.next().unwrap_or_default().to_owned();
        for (piece, fill) in pieces.zip(&case.fill) {
            text.push_str(fill);
            text.push_str(piece);
        }
        text
    }

    fn check_form(&self) {
        assert!((2..=4).contains(&self.case.len()), "{}: {} texts", self.name, self.case.len());
        let blanks = self.text.matches("{}").count();
        let fills: HashSet<&[String]> = self.case.iter().map(|case| case.fill.as_slice()).collect();
        assert_eq!(fills.len(), self.case.len(), "{}: two texts are one", self.name);
        for case in &self.case {
            let id = &case.id;
            assert_eq!(case.fill.len(), blanks, "{id}: blanks");
            assert!(!case.why.is_empty(), "{id}: not worked by hand");
            assert!(case.wrong || !case.made.is_empty() || !case.expect.is_empty(), "{id}: nothing is expected");
            for Expected { chosen, rows, tie, .. } in &case.expect {
                let solved = chosen.is_some() && !rows.is_empty() && tie.is_empty();
                assert!(
                    solved || chosen.is_none() && rows.is_empty() && tie.len() == 2,
                    "{id}: neither solved nor a tie"
                );
            }
        }
    }
}

fn answered(text: &str, settled: Settled) -> Verification {
    verify(&Request { settled, ..Request::of(text) }).expect("nothing is asked that cannot fit")
}

/// The convention settled so, whatever else is.
fn settle(mut settled: Settled, convention: &str, reading: &str) -> Settled {
    let chain = || match reading {
        "counts" => TurningChain::Counts,
        "does-not-count" => TurningChain::DoesNotCount,
        other => panic!("no chain is {other}"),
    };
    match (convention, reading) {
        ("turning-chain", _) => settled.turning_chain = Some(chain()),
        ("skipped-chains", _) => settled.skipped_chains = Some(chain()),
        ("number-before-stitch", "one-in-each") => settled.number_before_stitch = Some(NumberBeforeStitch::OneInEach),
        ("number-before-stitch", "all-in-one-stitch") => {
            settled.number_before_stitch = Some(NumberBeforeStitch::AllInOneStitch);
        }
        ("repeat-number", "more") => settled.repeat_number = Some(RepeatNumber::More),
        ("repeat-number", "in-all") => settled.repeat_number = Some(RepeatNumber::InAll),
        other => panic!("nothing settles {other:?}"),
    }
    settled
}

fn rival(convention: &str, reading: &str) -> &'static str {
    match (convention, reading) {
        ("turning-chain" | "skipped-chains", "counts") => "does-not-count",
        ("turning-chain" | "skipped-chains", "does-not-count") => "counts",
        ("number-before-stitch", "one-in-each") => "all-in-one-stitch",
        ("number-before-stitch", "all-in-one-stitch") => "one-in-each",
        ("repeat-number", "more") => "in-all",
        ("repeat-number", "in-all") => "more",
        other => panic!("no reading of {other:?}"),
    }
}

/// What every size says about the row, where it is no foundation.
fn of_row<T>(answer: &Verification, label: &str, what: impl Fn(&SizeCount) -> Option<T>) -> Vec<Option<T>> {
    let mut rows = answer.pieces.iter().flat_map(|piece| &piece.rows);
    let row = rows.find(|row| row.label == label && row.kind != RowKind::Foundation);
    row.map_or_else(Vec::new, |row| row.counts.iter().map(|count| what(count.as_ref()?)).collect())
}

fn makes(answer: &Verification, rows: &Rows, what: &str, count: fn(&SizeCount) -> Option<u64>) -> Checked {
    for (label, wanted) in rows {
        let found = of_row(answer, label, count);
        let wanted: Vec<Option<u64>> = wanted.iter().copied().map(Some).collect();
        must(found == wanted, || format!("{label} has {found:?} {what}, not {wanted:?}"))?;
    }
    Ok(())
}

fn all_made(answer: &Verification) -> Vec<Option<u64>> {
    let rows = answer.pieces.iter().flat_map(|piece| &piece.rows);
    rows.flat_map(|row| &row.counts).map(|count| count.as_ref()?.made).collect()
}

fn findings(answer: &Verification) -> Vec<String> {
    answer.findings.iter().map(|finding| format!("{} in {:?}", finding.rule.name(), finding.row)).collect()
}

fn assumed<'a>(answer: &'a Verification, convention: &str) -> Option<&'a Assumption> {
    answer.assumptions.iter().find(|assumption| assumption.convention == convention)
}

/// It holds, and there is nothing to say but that a convention is open.
fn holds(answer: &Verification, open: bool) -> Checked {
    let only_open = answer.findings.iter().all(|finding| open && finding.rule == Rule::ConventionOpen);
    must(answer.holds && only_open, || format!("it does not hold: {}", findings(answer).join(", ")))
}

fn check(text: &str, case: &Case) -> Checked {
    let answer = answered(text, Settled::default());
    if case.wrong {
        let found = answer.findings.iter().any(|finding| finding.severity >= Severity::Warning);
        return must(found, || "nothing is found".to_owned());
    }
    let open = case.expect.iter().any(|expected| !expected.tie.is_empty());
    holds(&answer, open)?;
    let said = answer.findings.iter().any(|finding| finding.rule == Rule::ConventionOpen);
    must(said == open, || format!("convention-open is found: {said}; a tie is here: {open}"))?;
    makes(&answer, &case.made, "stitches", |count| count.made)?;
    makes(&answer, &case.spaces, "spaces", |count| count.spaces)?;
    for (label, unit) in &case.stated_as {
        let found = of_row(&answer, label, |count| count.stated_as.clone());
        must(found.iter().all(|found| found.as_ref() == Some(unit)), || format!("{label} is counted as {found:?}"))?;
    }
    for expected in &case.expect {
        let convention = &expected.convention;
        let Some(assumption) = assumed(&answer, convention) else {
            return Err(format!("{convention} is not said to be taken for granted"));
        };
        must(assumption.rivals == [rival(convention, assumption.chosen)], || {
            format!("rivals {:?}", assumption.rivals)
        })?;
        match &expected.chosen {
            Some(chosen) => solved(text, &answer, assumption, expected, chosen, case)?,
            None => tied(text, assumption, expected)?,
        }
    }
    answer
        .assumptions
        .iter()
        .filter(|assumption| case.expect.iter().all(|expected| expected.convention != assumption.convention))
        .try_for_each(|assumption| harmless(text, &answer, assumption))
}

fn solved(
    text: &str,
    answer: &Verification,
    assumption: &Assumption,
    expected: &Expected,
    chosen: &str,
    case: &Case,
) -> Checked {
    let convention = assumption.convention;
    must(!assumption.tie, || format!("{convention} is called a tie; {} decides", expected.rows.join(", ")))?;
    must(assumption.chosen == chosen, || format!("{convention} is {}, not {chosen}", assumption.chosen))?;
    let rests_on = &assumption.rests_on;
    must(!rests_on.is_empty() && rests_on.iter().all(|row| expected.rows.contains(row)), || {
        format!("{convention} rests on {rests_on:?}, and {:?} decide", expected.rows)
    })?;
    let so = answered(text, settle(Settled::default(), convention, chosen));
    must(assumed(&so, convention).is_none(), || format!("{convention} is settled, and still assumed"))?;
    holds(&so, answer.assumptions.iter().any(|assumption| assumption.tie))
        .map_err(|why| format!("settled {chosen}: {why}"))?;
    makes(&so, &case.made, "stitches when settled", |count| count.made)?;
    let otherwise = answered(text, settle(Settled::default(), convention, rival(convention, chosen)));
    must(assumed(&otherwise, convention).is_none(), || format!("{convention} is settled wrongly, and still assumed"))?;
    let found = otherwise.findings.iter().any(|f| f.severity == Severity::Error && expected.rows.contains(&f.row));
    must(found && !otherwise.holds, || {
        format!("settled wrongly, only this is found: {}", findings(&otherwise).join(", "))
    })
}

fn tied(text: &str, assumption: &Assumption, expected: &Expected) -> Checked {
    let convention = assumption.convention;
    must(assumption.tie, || format!("{convention} is guessed to be {}", assumption.chosen))?;
    for (reading, rows) in &expected.tie {
        let so = answered(text, settle(Settled::default(), convention, reading));
        must(assumed(&so, convention).is_none(), || format!("{convention} is settled, and still assumed"))?;
        holds(&so, false).map_err(|why| format!("settled {reading}: {why}"))?;
        makes(&so, rows, &format!("stitches when {reading}"), |count| count.made)?;
    }
    Ok(())
}

/// What is taken for granted beyond the case may not matter: read otherwise, every row is the same.
fn harmless(text: &str, answer: &Verification, assumption: &Assumption) -> Checked {
    // A settled turning chain speaks for skipped chains as well, so the others stay as they were taken.
    let settled = answer
        .assumptions
        .iter()
        .fold(Settled::default(), |settled, other| settle(settled, other.convention, other.chosen));
    let convention = assumption.convention;
    let otherwise = answered(text, settle(settled, convention, rival(convention, assumption.chosen)));
    must(!assumption.tie && all_made(&otherwise) == all_made(answer), || {
        format!("{convention} is taken for granted and matters: {}", assumption.message)
    })
}

#[test]
fn open_conventions_are_solved_or_said() {
    let table: Table = toml::from_str(TABLE).expect("the table of conventions is well formed");
    let mut ids = HashSet::new();
    let (mut ties, mut chosen, mut broken, mut agree, mut open) = (0, 0, Vec::new(), 0, 0);
    for family in &table.family {
        family.check_form();
        println!("{}", family.name);
        for case in &family.case {
            assert!(ids.insert(case.id.as_str()), "two cases are called {}", case.id);
            ties += case.expect.iter().filter(|expected| !expected.tie.is_empty()).count();
            chosen += case.expect.iter().filter(|expected| expected.chosen.is_some()).count();
            match (check(&family.text(case), case), &case.open) {
                (Ok(()), None) => {
                    agree += 1;
                    println!("  ok    {}", case.id);
                }
                (Err(why), None) => {
                    println!("  FAILS {}: {why}\n        by hand: {}", case.id, case.why);
                    broken.push(case.id.as_str());
                }
                (Err(why), Some(reason)) => {
                    open += 1;
                    println!("  open  {}: {why}\n        {reason}", case.id);
                }
                (Ok(()), Some(_)) => {
                    println!("  FAILS {}: it is no longer open; strike `open`", case.id);
                    broken.push(case.id.as_str());
                }
            }
        }
    }
    println!("{agree} texts agree, {open} open; {chosen} conventions to solve, {ties} ties to say");
    assert!(ids.len() >= 24 && ties >= 12 && chosen >= 36, "{} texts, {ties} ties, {chosen} solved", ids.len());
    assert!(broken.is_empty(), "{broken:?}");
}
