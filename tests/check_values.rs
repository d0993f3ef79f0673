//! Figures that others have published, or that a reference library computed, held against ours: every row of
//! `checks/check-values.csv`, each with its source and its tolerance.
//! `cargo test -p evenround-tests --test check_values -- --nocapture` prints one line a row.

#[path = "check_values/bodies.rs"]
mod bodies;
#[path = "check_values/gauge.rs"]
mod gauge;
#[path = "check_values/row.rs"]
mod row;
#[path = "check_values/shapes.rs"]
mod shapes;
#[path = "check_values/yarn.rs"]
mod yarn;

use row::{Family, Outcome};

/// Rows that ran and agree. It may only grow.
const AGREE: usize = 320;

/// Every family of rows, by the beginning of its ids, and who checks it. The first that fits is asked.
const FAMILIES: &[Family] = &[
    ("HAT-DC-", gauge::check),
    ("BLANKET-", gauge::check),
    ("GAUGE-", gauge::check),
    ("T-", gauge::check),
    ("HOOK-", gauge::check),
    ("CYC-", gauge::check),
    ("GEO-FLAT-", gauge::check),
    ("GEO-RATIO-", gauge::check),
    ("GEO-HDC-", gauge::check),
    ("GEO-CONE-1", gauge::check),
    ("GEO-CUP-", gauge::check),
    ("GEO-HYP-", gauge::check),
    ("GEO-HEIGHT-", gauge::check),
    ("GEO-TURN-CHAIN", gauge::check),
    ("GEO-", shapes::check),
    ("SHAPE-", shapes::check),
    ("YOKE-", shapes::check),
    ("HAT-", bodies::check),
    ("MITT-", bodies::check),
    ("SOCK-", bodies::check),
    ("BODY-", bodies::check),
    ("SAFE-", bodies::check),
    ("YARN-", yarn::check),
];

#[test]
fn published_and_computed_figures_agree() {
    let rows = row::all();
    let (mut agree, mut left_out, mut differ) = (0, 0, Vec::new());
    for row in &rows {
        let family = FAMILIES.iter().find(|(prefix, _)| row.id.starts_with(prefix));
        let (_, check) = family.unwrap_or_else(|| panic!("{}: nobody checks it", row.id));
        match check(row) {
            Outcome::Agrees => {
                agree += 1;
                println!("ok       {}: {} [{}] — {}", row.id, row.expected, row.tolerance, row.source);
            }
            Outcome::LeftOut(why) => {
                left_out += 1;
                println!("left out {}: {why}", row.id);
            }
            Outcome::Differs(how) => {
                println!("DIFFERS  {}: {how} — {}", row.id, row.source);
                differ.push(row.id.as_str());
            }
        }
    }
    println!("{agree} of {} rows agree, {left_out} left out", rows.len());
    assert!(differ.is_empty(), "{} rows differ: {differ:?}", differ.len());
    assert!(agree >= AGREE, "{agree} rows agree, {AGREE} did before");
    assert_eq!(agree, AGREE, "more rows agree than before: raise AGREE");
}
