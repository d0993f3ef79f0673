//! Where nothing fits: which demands collide, and what would be nearest.
//!
//! Every demand can be lifted: a width or a length then has all the room there is, rows count as plain, a join that must be
//! equal may spread. One after the other is lifted for good if the rest still cannot be met; what is left is a smallest set
//! that cannot be met together, and each of it can be dropped to mend that. If something else is wrong besides, it is found
//! the same way with one of the first lifted. A size that cannot be met by itself is looked at by itself: what collides in
//! one size is easier to mend than what collides in all, and sooner found.

use std::collections::BTreeSet;

use super::choices::{Claim, Known, Sections};
use super::known;
use super::plan::Shape;
use super::problem::Problem;
use super::solve::{self, Failure, Join};

/// The most collisions that are named of pieces that hang together.
const MOST: usize = 8;

/// Names what collides. Empty only where nothing does, or where it cannot be said.
pub(super) fn collisions(sections: &Sections<'_>) -> Vec<Problem> {
    let mut problems = Vec::new();
    // Pieces that do not hang together do not collide.
    for part in sections.apart() {
        // What a cone that is flatter than flat would hold cannot be said; the other pieces are still looked at.
        let flat = known::cones(&part);
        if !flat.is_empty() {
            problems.extend(flat);
            continue;
        }
        let claims: Vec<Claim> = part.known.iter().flat_map(claims).collect();
        let mut lifted = BTreeSet::new();
        while lifted.len() < MOST
            && let Some(trouble) = trouble(&part, &lifted)
        {
            let Some(core) = core(&part, &claims, &lifted, trouble) else { break };
            let Some(drop) = core.last().copied() else { break };
            problems.push(problem(&part, &core, &lifted, trouble));
            lifted.insert(drop);
        }
    }
    problems
}

/// What can be lifted of a section.
fn claims(known: &Known<'_>) -> Vec<Claim> {
    let mut claims: Vec<Claim> = known.targets.widths.iter().map(|(field, _)| Claim { at: known.at, field }).collect();
    claims.extend(known.targets.length.iter().map(|length| Claim { at: known.at, field: length.field() }));
    if !known.multiple.rows.is_empty() {
        claims.push(Claim { at: known.at, field: "rows" });
    }
    if known.section.join == Join::Equal {
        claims.push(Claim { at: known.at, field: "joins" });
    }
    claims
}

/// Where demands cannot be met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Trouble {
    /// In a size by itself.
    Size(usize),
    /// Only in all sizes together.
    Together,
}

/// Where the demands that are not lifted cannot be met, if anywhere.
fn trouble(sections: &Sections<'_>, lifted: &BTreeSet<Claim>) -> Option<Trouble> {
    let alone = (0..sections.plan.sizes.len()).map(Trouble::Size);
    alone.chain([Trouble::Together]).find(|trouble| !fits(sections, lifted, *trouble))
}

/// Whether the demands that are not lifted can be met there. Where none is lifted and there are too many choices to say
/// that nothing fits, it is not said.
fn fits(sections: &Sections<'_>, lifted: &BTreeSet<Claim>, there: Trouble) -> bool {
    let among = match there {
        Trouble::Size(size) => size..size + 1,
        Trouble::Together => 0..sections.plan.sizes.len(),
    };
    let offers = sections.offers_of(lifted, among, f64::INFINITY);
    let fits = match there {
        Trouble::Size(_) => solve::fits_alone(&offers.forest, 0),
        Trouble::Together => !matches!(solve::solve(&offers.forest), Err(Failure::NothingFits)),
    };
    fits || lifted.is_empty() && offers.too_many.is_some()
}

/// A smallest set of demands that cannot be met together; `None` if nothing helps even with all of them lifted.
fn core(sections: &Sections<'_>, claims: &[Claim], lifted: &BTreeSet<Claim>, trouble: Trouble) -> Option<Vec<Claim>> {
    let mut without = lifted.clone();
    without.extend(claims.iter().copied());
    if !fits(sections, &without, trouble) {
        return None;
    }
    let mut without = lifted.clone();
    let mut core = Vec::new();
    for claim in claims.iter().filter(|claim| !lifted.contains(claim)) {
        without.insert(*claim);
        if fits(sections, &without, trouble) {
            without.remove(claim);
            core.push(*claim);
        }
    }
    Some(core)
}

fn problem(sections: &Sections<'_>, core: &[Claim], lifted: &BTreeSet<Claim>, found: Trouble) -> Problem {
    let said: Vec<String> = core.iter().map(|claim| words(sections, *claim)).collect();
    let (size, wherever) = match found {
        Trouble::Size(size) => (size, format!("in size {}", sections.plan.sizes[size].name)),
        Trouble::Together => {
            (0, "in all sizes together, where a count must not shrink from one size to the next".to_owned())
        }
    };
    let nearest: Vec<String> = core.iter().filter_map(|claim| nearest(sections, *claim, size)).collect();
    let nearest = if nearest.is_empty() { String::new() } else { format!("; nearest: {}", nearest.join("; ")) };
    let (last, others) = core.split_last().map_or((None, &[][..]), |(last, others)| (Some(last), others));
    // Demands may collide twice over: then only some of them mend it by themselves.
    let mends = |claim: &&Claim| trouble(sections, &lifted.iter().copied().chain([**claim]).collect()).is_none();
    let mending: Vec<&Claim> = others.iter().filter(mends).collect();
    let drop = match last {
        Some(last) if mending.len() < others.len() => {
            let some = mending.iter().copied().chain([last]).map(|claim| words(sections, *claim));
            some.collect::<Vec<_>>().join(" or ")
        }
        _ => "one of them".to_owned(),
    };
    let message = match said.as_slice() {
        [one] => format!("{one} cannot be met {wherever}{nearest}. Change it, or widen tolerance_percent"),
        many => format!(
            "{} cannot be met together {wherever}{nearest}. Change or drop {drop}, or widen tolerance_percent",
            many.join(" and ")
        ),
    };
    Problem {
        pointer: last.map_or_else(|| "/pieces".to_owned(), |claim| claim.at.field(claim.field)),
        message,
        collides_with: mending.first().map(|claim| claim.at.field(claim.field)),
    }
}

fn words(sections: &Sections<'_>, claim: Claim) -> String {
    let Some(known) = sections.node(claim.at).map(|node| &sections.known[node]) else { return claim.field.to_owned() };
    let name = &known.section.name;
    match claim.field {
        "rows" => format!("the {} of {name}", known.multiple.words()),
        "joins" => format!("the equal count where {name} begins"),
        "row_count" => format!("the number of rows of {name}"),
        "until" => format!("the length of the piece at the end of {name}"),
        field => format!("the {field} of {name}"),
    }
}

/// What a demand would take in a size, and what lies next to it.
fn nearest(sections: &Sections<'_>, claim: Claim, size: usize) -> Option<String> {
    let known = sections.node(claim.at).map(|node| &sections.known[node])?;
    let target = *known.targets.width(claim.field)?.get(size)?;
    let by_rows = matches!(
        known.section.shape,
        Shape::Polygon { .. } | Shape::Triangle { .. } | Shape::Oval { .. } | Shape::Ball { .. }
    );
    let width = known.stitch_width;
    if by_rows || claim.field == "diameter" {
        return Some(format!("{} of {:.1} cm", claim.field, target.to_centimetres()));
    }
    let exact = target / width;
    if !(exact.is_finite() && exact < 1e9) {
        return None;
    }
    let (below, above) = known.multiple.around(exact.floor() as u64);
    let choice = |count: u64| format!("{count} stitches ({:.1} cm)", (width * count as f64).to_centimetres());
    let both = match below {
        Some(below) if below > 0 => format!("{} or {}", choice(below), choice(above)),
        _ => choice(above),
    };
    Some(format!(
        "{} wants {exact:.1} stitches for {:.1} cm, its rows {both}",
        known.section.name,
        target.to_centimetres()
    ))
}
