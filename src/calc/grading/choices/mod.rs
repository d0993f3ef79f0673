//! What every section may be in every size: the choices among which the solver selects.
//!
//! A choice is a count (or several) with the rows that its length wants, and how far both are from their targets. A section
//! that keeps the count which it finds has a choice for every count that the section before may end on.

mod garment;
mod round;
mod rows;

pub(super) use garment::{GAINS, RAGLAN_FRAME};
pub(super) use round::{CORNER, TRIANGLE_HALF, oval_of, polygon_of, triangle_of};

pub(super) use rows::Rows;

use std::collections::BTreeSet;

use super::multiples::Multiple;
use super::plan::{On, Plan, Section, Shape, Start, Worked};
use super::problem::{At, Problem};
use super::solve::{Choice, Forest, Join, Node, Parent, Solution};
use super::targets::{self, LengthTarget, SectionTargets};
use crate::units::Length;
use crate::verify::Terms;

/// The most choices of one section in one size.
pub(super) const MOST_CHOICES: usize = 20_000;
/// The most in a size by itself.
const MOST_ALONE: usize = 2 * MOST_CHOICES;
/// The largest count of a graded piece.
pub(super) const MOST_STITCHES: u64 = 100_000;
/// The most rows of a graded piece.
pub(super) const MOST_ROWS: u64 = 20_000;

/// How a choice is worked, beyond its counts.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Detail {
    /// Rounds that increase all the way, and the increases of a last one that does not.
    Circle { rate: u64, full: u64, last: u64 },
    /// Rows of one count.
    Even,
    /// Rows that shape.
    Taper { events: u64, changes: u64, narrower: bool, on: On },
    /// The counts of all rounds, and by how many stitches the increases of each are moved along.
    Rounds { counts: Vec<u64>, offsets: Vec<u64> },
    /// Rounds round a foundation chain: chains that are worked into, and increases at each end of a round.
    Oval { places: u64, end: u64 },
    /// Corners, stitches of a side of the first round, and stitches on either side of a corner.
    Polygon { corners: u64, side: u64, half: u64 },
    /// Rows from the middle of the top edge: stitches more at each edge.
    Triangle { edge: u64 },
    /// Counts behind each increase round, and the round on which it lies, from 1.
    CircularYoke { stages: Vec<(u64, u64)> },
    /// Stitches at the neck of one half and of one sleeve, rounds that increase, stitches that each line gains on
    /// either side in one of them, underarm stitches.
    Raglan { half: u64, sleeve: u64, increases: u64, gain: u64, underarm: u64 },
}

/// A choice with all that it takes to write it.
#[derive(Debug, Clone)]
pub(super) struct Offer {
    pub choice: Choice,
    pub detail: Detail,
}

/// A demand that may be one of those that collide: its place, and its field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) struct Claim {
    pub at: At,
    pub field: &'static str,
}

/// A section and everything that is known of it before anything is chosen.
#[derive(Clone)]
pub(super) struct Known<'a> {
    pub at: At,
    pub section: &'a Section,
    pub worked: Worked,
    pub start: Option<Start>,
    pub targets: SectionTargets,
    pub multiple: Multiple,
    /// Width of a stitch and height of a row.
    pub stitch_width: Length,
    pub row_height: Option<Length>,
    /// A later section of the piece, or this one, measures from the start of the piece.
    pub length_matters: bool,
    pub tolerance: f64,
    pub terms: Terms,
}

/// All sections in the order of their nodes.
pub(super) struct Sections<'a> {
    pub known: Vec<Known<'a>>,
    pub plan: &'a Plan,
}

/// The choices of all sections, with some demands lifted.
pub(super) struct Offers {
    pub forest: Forest,
    /// `details[node][size][choice]`.
    pub details: Vec<Vec<Vec<Detail>>>,
    /// A section that has more choices than are weighed.
    pub too_many: Option<At>,
}

/// What was chosen for a section in one size.
#[derive(Clone, Copy)]
pub(super) struct Picked<'a> {
    pub choice: &'a Choice,
    pub detail: &'a Detail,
}

/// The choices with those that were chosen among them.
#[derive(Clone, Copy)]
pub(super) struct Selected<'a> {
    pub offers: &'a Offers,
    pub solution: &'a Solution,
}

impl<'a> Selected<'a> {
    /// What was chosen for a section in one size.
    pub fn picked(self, node: usize, size: usize) -> Picked<'a> {
        let at = self.solution.chosen[size][node];
        Picked {
            choice: &self.offers.forest.nodes[node].choices[size][at],
            detail: &self.offers.details[node][size][at],
        }
    }

    /// What was chosen for the section from which one goes on, and the count that it leaves.
    pub fn below(self, node: usize, size: usize) -> Option<(Picked<'a>, u64)> {
        let link = self.offers.forest.nodes[node].parent?;
        let picked = self.picked(link.node, size);
        Some((picked, picked.choice.exits[link.exit]))
    }
}

impl<'a> Sections<'a> {
    /// The node of a section.
    pub fn node(&self, at: At) -> Option<usize> {
        self.known.iter().position(|known| known.at == at)
    }

    /// The sections parted into those that hang together: pieces, each with the sleeves that go on from it.
    pub fn apart(&self) -> Vec<Self> {
        let mut parts: Vec<(BTreeSet<usize>, Vec<Known<'a>>)> = Vec::new();
        for known in &self.known {
            let yoke = match known.start {
                Some(Start::Sleeve(piece)) => piece,
                _ => known.at.piece,
            };
            let part = parts.iter_mut().find(|(pieces, _)| pieces.contains(&known.at.piece) || pieces.contains(&yoke));
            match part {
                Some((pieces, own)) => {
                    pieces.insert(known.at.piece);
                    own.push(known.clone());
                }
                None => parts.push((BTreeSet::from([known.at.piece, yoke]), vec![known.clone()])),
            }
        }
        parts.into_iter().map(|(_, known)| Self { known, plan: self.plan }).collect()
    }

    /// The node from which a section goes on, and which of its ends.
    fn before(&self, known: &Known<'_>) -> Option<(usize, usize)> {
        if known.at.section > 0 {
            return Some((self.node(At { section: known.at.section - 1, ..known.at })?, 0));
        }
        match known.start? {
            Start::Sleeve(piece) => {
                let yoke = self.known.iter().position(|other| {
                    other.at.piece == piece && matches!(other.section.shape, Shape::RaglanYoke { .. })
                })?;
                Some((yoke, 1))
            }
            _ => None,
        }
    }

    /// Every choice of every section.
    pub fn offers(&self, lifted: &BTreeSet<Claim>) -> Offers {
        self.offers_of(lifted, 0..self.plan.sizes.len(), f64::INFINITY)
    }

    /// Every choice in some of the sizes whose differences are within a tolerance, and perhaps others.
    pub fn offers_of(&self, lifted: &BTreeSet<Claim>, among: std::ops::Range<usize>, within: f64) -> Offers {
        let sizes = among.len();
        let mut offers = Offers { forest: Forest { nodes: Vec::new(), sizes }, details: Vec::new(), too_many: None };
        for known in &self.known {
            let join = if lifted.contains(&Claim { at: known.at, field: "joins" }) {
                Join::Spread
            } else {
                known.section.join
            };
            let parent = self.before(known).map(|(node, exit)| Parent { node, exit, join });
            let mut choices = Vec::with_capacity(sizes);
            let mut details = Vec::with_capacity(sizes);
            for (at, size) in among.clone().enumerate() {
                let below =
                    parent.map(|parent| Below::of(&offers.forest.nodes[parent.node].choices[at], parent, known));
                let asked = Asked { known, size, lifted, within, below: below.as_ref() };
                let mut made = asked.offers();
                // One size by itself is soon looked through; in all together the nearest to the target are weighed.
                let most = if sizes == 1 { MOST_ALONE } else { MOST_CHOICES };
                if made.len() > most {
                    offers.too_many = Some(known.at);
                    if !lifted.is_empty() {
                        made.sort_by_key(|offer| offer.choice.worst);
                    }
                }
                made.truncate(most);
                let (of_size, how): (Vec<_>, Vec<_>) =
                    made.into_iter().map(|offer| (offer.choice, offer.detail)).unzip();
                choices.push(of_size);
                details.push(how);
            }
            offers.forest.nodes.push(Node { parent, choices, grows: grows(known, lifted) });
            offers.details.push(details);
        }
        offers
    }
}

/// For each size but the first and each measured count of a section: whether its target grows. One that is lifted demands
/// nothing from size to size either.
fn grows(known: &Known<'_>, lifted: &BTreeSet<Claim>) -> Vec<Vec<bool>> {
    let fields: &[&str] = match known.section.shape {
        Shape::RaglanYoke { .. } => &["body", "sleeve", "neck", "underarm"],
        Shape::Oval { .. } => &["width"],
        _ => &["circumference", "width", "diameter", "side", "depth"],
    };
    let of_field = |field: &&'static str| {
        let targets = known.targets.width(field)?;
        let is_lifted = lifted.contains(&Claim { at: known.at, field });
        Some(targets::grows(targets).into_iter().map(|grows| grows && !is_lifted).collect())
    };
    let grows: Vec<Vec<bool>> = fields.iter().filter_map(of_field).collect();
    let steps = grows.first().map_or(0, Vec::len);
    (0..steps).map(|step| grows.iter().map(|of_field| of_field[step]).collect()).collect()
}

/// What the section before may leave in one size.
pub(super) struct Below {
    /// The counts on which it may end.
    pub counts: BTreeSet<u64>,
    /// The lengths that the piece may have by then, in micrometres; one that says nothing where that does not matter.
    pub lengths: Vec<Option<u64>>,
    /// The section may begin on another count, over a spread round.
    pub may_spread: bool,
}

impl Below {
    fn of(choices: &[Choice], parent: Parent, known: &Known<'_>) -> Self {
        let counts = choices.iter().filter_map(|choice| choice.exits.get(parent.exit).copied()).collect();
        let lengths: BTreeSet<u64> = choices.iter().map(|choice| choice.behind).collect();
        let new_piece = known.at.section == 0;
        let lengths =
            if known.length_matters && !new_piece { lengths.into_iter().map(Some).collect() } else { vec![None] };
        Self { counts, lengths, may_spread: parent.join == Join::Spread }
    }
}

/// What is asked of one section in one size.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    pub known: &'a Known<'a>,
    pub size: usize,
    pub lifted: &'a BTreeSet<Claim>,
    /// Differences of more than this are not looked for.
    pub within: f64,
    pub below: Option<&'a Below>,
}

impl Asked<'_> {
    fn offers(self) -> Vec<Offer> {
        match &self.known.section.shape {
            Shape::Circle { .. } => self.circle(),
            Shape::Even { .. } => self.even(),
            Shape::Taper { .. } => self.taper(),
            Shape::Ball { .. } | Shape::Cone { .. } | Shape::Revolve { .. } => self.revolved(),
            Shape::Oval { .. } => self.oval(),
            Shape::Polygon { corners, .. } => self.polygon(*corners),
            Shape::Triangle { .. } => self.triangle(),
            Shape::CircularYoke { .. } => self.circular_yoke(),
            Shape::RaglanYoke { .. } => self.raglan(),
        }
    }

    pub fn target(self, field: &str) -> Option<Length> {
        self.known.targets.width(field).and_then(|targets| targets.get(self.size)).copied()
    }

    pub fn is_lifted(self, field: &'static str) -> bool {
        self.lifted.contains(&Claim { at: self.known.at, field })
    }

    pub fn tolerance(self, field: &'static str) -> f64 {
        if self.is_lifted(field) { 1.0 } else { self.known.tolerance }.min(self.within)
    }

    /// The field of a width: what goes round is measured around.
    pub const fn width_field(self) -> &'static str {
        if self.known.worked.is_round() { "circumference" } else { "width" }
    }

    /// The multiple of the texture; any count where that demand is lifted.
    pub fn multiple(self) -> Multiple {
        if self.is_lifted("rows") { Multiple::plain() } else { self.known.multiple.clone() }
    }

    /// The counts whose width is within tolerance of a target and which the multiple allows, from the smallest, each with
    /// how far it is off.
    pub fn counts(self, field: &'static str, target: Length, least: u64) -> Vec<(u64, u64)> {
        let multiple = self.multiple();
        let exact = target / self.known.stitch_width;
        let room = self.tolerance(field);
        let (low, high) = ((exact * (1.0 - room)).floor().max(0.0), (exact * (1.0 + room)).ceil());
        if !(high.is_finite() && high < MOST_STITCHES as f64) {
            return Vec::new();
        }
        let from = (low as u64).max(least).max(multiple.least);
        let first = match multiple.around(from) {
            (Some(count), _) if count == from => from,
            (_, next) => next,
        };
        let mut found = Vec::new();
        let mut count = first;
        while count <= high as u64 {
            let miss = targets::miss(self.known.stitch_width * count as f64, target);
            if miss as f64 <= room * 1e6 + 0.5 {
                found.push((count, miss));
            }
            count += multiple.of;
        }
        if self.is_lifted(field) {
            // Where there are too many, those nearest to the target come first.
            found.sort_by_key(|(_, miss)| *miss);
        }
        found
    }

    /// Whether there are more offers than are weighed already.
    pub fn enough(self, offers: &[Offer]) -> bool {
        offers.len() > MOST_ALONE
    }

    /// The counts on which a section without a width of its own may begin.
    pub fn kept_counts(self) -> Vec<u64> {
        let multiple = self.multiple();
        self.below
            .map_or_else(Vec::new, |below| below.counts.iter().copied().filter(|count| multiple.fits(*count)).collect())
    }

    /// Whether a spread round may come before, as choices to tell apart. A section that begins on the count which it finds
    /// never has one.
    pub fn spreads(self) -> &'static [bool] {
        let keeps_its_count = matches!(
            self.known.section.shape,
            Shape::Even { width: None } | Shape::Taper { .. } | Shape::CircularYoke { .. }
        );
        if self.join_may_spread() && !keeps_its_count { &[false, true] } else { &[false] }
    }

    /// Whether its join by itself would allow a spread round.
    pub fn join_may_spread(self) -> bool {
        self.below.is_some_and(|below| below.may_spread)
    }

    pub fn lengths_before(self) -> Vec<Option<u64>> {
        self.below.map_or_else(|| vec![None], |below| below.lengths.clone())
    }
}

/// Problems of one section that need no choosing.
pub(super) fn check(known: &Known<'_>, problems: &mut Vec<Problem>) {
    let at = known.at;
    let first = known.at.section == 0;
    let shape = at.field("shape");
    let round = known.worked.is_round();
    let in_ring = matches!(known.start, Some(Start::Ring));
    let needs_length = matches!(
        known.section.shape,
        Shape::Even { .. } | Shape::Taper { .. } | Shape::CircularYoke { .. } | Shape::RaglanYoke { .. }
    );
    match (&known.section.extent, needs_length) {
        (None, true) => {
            problems.push(Problem::at(at.field("length"), "is missing: give `length`, `until` or `row_count`"));
        }
        (Some(_), false) => {
            problems.push(Problem::at(
                at.field("length"),
                "this shape has the rows that its size wants; leave `length`, `until` and `row_count` out",
            ));
        }
        _ => {}
    }
    let measured = !matches!(known.targets.length, None | Some(LengthTarget::Rows(_)));
    let by_height = !matches!(known.section.shape, Shape::Even { .. } | Shape::Taper { .. });
    if known.row_height.is_none() && (measured || by_height) {
        problems.push(Problem::at(
            "/gauge",
            format!("has no rows; section {:?} needs the height of a row", known.section.name),
        ));
    }
    if known.section.rows.iter().any(|row| !row.trim().is_empty()) && !matches!(known.section.shape, Shape::Even { .. })
    {
        problems.push(Problem::at(at.field("rows"), "only an even section is worked in rows of your own; leave them out, or put the texture into an even section"));
    }
    let ring_only = matches!(
        known.section.shape,
        Shape::Circle { .. } | Shape::Ball { .. } | Shape::Cone { .. } | Shape::Revolve { .. } | Shape::Polygon { .. }
    );
    let triangle = matches!(known.section.shape, Shape::Triangle { .. });
    if ring_only && !(first && in_ring && round) {
        problems.push(Problem::at(
            &shape,
            "begins a piece that is worked in rounds from a ring: make it the first section, with `start` \"ring\"",
        ));
    }
    if !ring_only && !triangle && first && in_ring {
        problems.push(Problem::at(&shape, "cannot begin in a ring; start with a chain, or with a circle"));
    }
    match &known.section.shape {
        Shape::Even { width: None } if first && !matches!(known.start, Some(Start::Sleeve(_))) => {
            problems.push(Problem::at(
                at.field(if round { "circumference" } else { "width" }),
                "is missing: the first section says how wide the piece is",
            ));
        }
        Shape::Taper { .. } | Shape::CircularYoke { .. } if first && !matches!(known.start, Some(Start::Sleeve(_))) => {
            problems.push(Problem::at(&shape, "goes on from another section; begin the piece with an even one"));
        }
        Shape::CircularYoke { .. } if !round => {
            problems.push(Problem::at(&shape, "is worked in rounds"));
        }
        Shape::Oval { .. } if !(first && round && matches!(known.start, Some(Start::Chain))) => {
            problems.push(Problem::at(&shape, "begins a piece that is worked in rounds round a chain: make it the first section, with `start` \"chain\""));
        }
        Shape::Triangle { .. } if !(first && !round && in_ring) => {
            problems.push(Problem::at(
                &shape,
                "begins a piece that is worked in rows: make it the first section, with `start` \"ring\"",
            ));
        }
        Shape::RaglanYoke { .. } if !(first && round && matches!(known.start, Some(Start::Chain))) => {
            problems.push(Problem::at(
                &shape,
                "begins a piece that is worked in rounds: make it the first section, with `start` \"chain\"",
            ));
        }
        _ => {}
    }
}
