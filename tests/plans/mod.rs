//! Plans to grade, made up from a tape of choices: every shape, real textures, odd gauges, and demands of every kind.
//!
//! What a plan asks for is mostly within reach, so that most plans are answered; enough is not, so that refusals are seen.

pub mod texture;

use crate::generator::Tape;
use evenround_calc::cautions::{MadeFor, Wearer};
use evenround_calc::grading::plan::*;
use evenround_calc::grading::solve::Join;
use evenround_calc::standards::StitchId;
use evenround_calc::units::Length;
use evenround_calc::verify::Terms;
use texture::{ROUNDS, ROWS};

/// Names of sizes, in their order.
const SIZES: [&str; 8] = ["Egg", "Chick", "Fledgling", "Yearling", "Small", "Medium", "Large", "Extra Large"];
const STITCHES: [StitchId; 3] = [StitchId::SINGLE_CROCHET, StitchId::HALF_DOUBLE_CROCHET, StitchId::DOUBLE_CROCHET];

/// Draws a plan.
pub fn draw(tape: &mut Tape<'_>) -> Plan {
    let count = usize::try_from(tape.between(1, 8)).expect("a few sizes");
    let terms = if tape.once_in(3) { Terms::Uk } else { Terms::Us };
    let sizes = SIZES.iter().take(count).map(|name| Size { name: (*name).to_owned(), measures: Vec::new() });
    let plan = Plan {
        title: "Curlew Trial".to_owned(),
        terms,
        inches_first: tape.once_in(2),
        gauges: Vec::new(),
        sizes: sizes.collect(),
        pieces: Vec::new(),
        tolerance: tape.pick(&[0.1, 0.05, 0.02, 0.01, 0.15, 0.3]),
        made_for: MadeFor::told(None, "Curlew Cap", &[], vec![Some(Wearer::Baby); count]),
        finishing: vec!["Sew the pieces together.".to_owned()],
    };
    let mut drawing = Drawing { plan, tape };
    drawing.gauges();
    drawing.pieces();
    drawing.plan
}

/// The gauge that holds for a stitch of a drawn plan.
///
/// # Panics
/// A drawn plan has one for each of its stitches.
pub fn gauge(plan: &Plan, of: StitchId) -> (Length, Length) {
    let gauge = plan.gauges.iter().find(|gauge| gauge.stitch == Some(of)).expect("a gauge for each stitch");
    (gauge.stitch_width, gauge.row_height.expect("rows in each gauge"))
}

struct Drawing<'a, 'b> {
    plan: Plan,
    tape: &'a mut Tape<'b>,
}

impl Drawing<'_, '_> {
    fn gauges(&mut self) {
        let yarn = self.tape.pick(&[1.0, 0.6, 0.8, 1.3, 2.0]);
        for (stitch, width, height) in [(STITCHES[0], 5.5, 5.2), (STITCHES[1], 6.0, 7.8), (STITCHES[2], 6.4, 11.0)] {
            // Now and then a gauge that no yarn has.
            let odd = if self.tape.once_in(8) { self.tape.pick(&[0.5, 0.7, 1.6, 2.2]) } else { 1.0 };
            let off = 0.9 + 0.01 * self.tape.below(20) as f64;
            self.plan.gauges.push(StitchGauge {
                stitch: Some(stitch),
                stitch_width: Length::millimetres(width * yarn * off),
                row_height: Some(Length::millimetres(height * yarn * odd)),
            });
        }
    }

    fn stitch(&mut self) -> StitchId {
        self.tape.pick(&STITCHES)
    }

    fn of(&self, stitch: StitchId) -> (f64, f64) {
        let (width, height) = gauge(&self.plan, stitch);
        (width.to_millimetres(), height.to_millimetres())
    }

    /// A demand that comes to about so many millimetres in the smallest size.
    fn demand(&mut self, mm: f64) -> Demand {
        let sizes = self.plan.sizes.len();
        let step = self.tape.pick(&[0.1, 0.06, 0.03, 0.16, 0.01]);
        let grown = |size: usize| mm * (1.0 + step * size as f64);
        let mut less = Length::millimetres(0.0);
        let ease = match self.tape.below(5) {
            0 | 1 => Ease::None,
            2 => Ease::Share(self.tape.pick(&[-0.1, 0.08, -0.2, 0.25])),
            3 => Ease::By(Length::millimetres(mm * self.tape.pick(&[0.1, -0.1, -0.2]))),
            _ => {
                less = Length::millimetres(mm * 0.07);
                Ease::None
            }
        };
        let of = match self.tape.below(8) {
            0 => Wanted::Length(Length::millimetres(mm)),
            1..=3 => Wanted::Each((0..sizes).map(|size| Length::millimetres(grown(size))).collect()),
            4 => Wanted::Each(
                // Two neighbours alike, and steps that are not even.
                (0..sizes).map(|size| Length::millimetres(grown(size / 2 * 2) + (size % 3) as f64)).collect(),
            ),
            _ => {
                let name = format!("measure {}", self.plan.sizes[0].measures.len() + 1);
                for (at, size) in self.plan.sizes.iter_mut().enumerate() {
                    size.measures.push((name.clone(), Length::millimetres(grown(at))));
                }
                Wanted::Measure(name)
            }
        };
        Demand { of, ease, less }
    }

    fn around(&mut self, stitch: StitchId, low: u64, high: u64) -> Demand {
        let stitches = self.tape.between(low, high) as f64 + 0.1 * self.tape.below(10) as f64;
        let width = self.of(stitch).0;
        self.demand(stitches * width)
    }

    fn long(&mut self, stitch: StitchId, low: u64, high: u64) -> Demand {
        let rows = self.tape.between(low, high) as f64 + 0.1 * self.tape.below(10) as f64;
        let height = self.of(stitch).1;
        self.demand(rows * height)
    }

    fn section(&mut self, name: &str, shape: Shape, stitch: StitchId) -> Section {
        let join = if self.tape.once_in(5) { Join::Equal } else { Join::Spread };
        let tolerance = self.tape.once_in(5).then(|| self.tape.pick(&[0.1, 0.2, 0.03, 0.3]));
        Section { name: name.to_owned(), shape, stitch, rows: Vec::new(), tolerance, join, extent: None }
    }

    fn extent(&mut self, stitch: StitchId, behind: &mut f64) -> Extent {
        let height = self.of(stitch).1;
        let rows = self.tape.between(2, 14);
        *behind += rows as f64 * height;
        match self.tape.below(6) {
            0 | 1 => Extent::Rows(rows),
            2 | 3 => Extent::Length(self.demand((rows as f64 + 0.3) * height)),
            4 => Extent::Until(self.demand(*behind + 0.4 * height)),
            _ => Extent::Length(self.long(stitch, 1, 12)),
        }
    }

    fn pieces(&mut self) {
        let count = if self.tape.once_in(3) { self.tape.between(2, 3) } else { 1 };
        for at in 0..count {
            let name = ["Wader", "Shank", "Reed"][usize::try_from(at).expect("a few pieces")];
            match self.tape.below(10) {
                0..=2 => self.begun_in_a_ring(name),
                3..=6 => self.begun_on_a_chain(name),
                7 => self.round_body(name),
                8 => self.flat_shape(name),
                _ => self.raglan(name),
            }
        }
    }

    fn piece(&mut self, name: &str, worked: Worked, start: Start, sections: Vec<Section>) {
        let make = if self.tape.once_in(4) { 2 } else { 1 };
        self.plan.pieces.push(Piece { name: name.to_owned(), make, worked, start, sections });
    }

    fn rounds(&mut self) -> Worked {
        if self.tape.once_in(3) { Worked::Spiral } else { Worked::JoinedRounds }
    }

    /// An even section or a taper that goes on from a piece about so many stitches wide.
    fn goes_on(&mut self, name: &str, worked: Worked, stitches: u64, behind: &mut f64) -> Section {
        let stitch = self.stitch();
        let near = (stitches * 4 / 5, stitches * 6 / 5);
        let what = self.tape.below(10);
        if what < 3 {
            let to = self.around(stitch, near.0.max(4), near.1.max(6));
            let changes = self.tape.between(1, 2);
            let on = if self.tape.once_in(3) { On::RightSideRows } else { On::EveryRow };
            let mut section = self.section(name, Shape::Taper { to, changes, on }, stitch);
            section.extent = Some(match self.tape.below(3) {
                0 => self.extent(stitch, behind),
                _ => Extent::Length(self.long(stitch, 10, 30)),
            });
            return section;
        }
        if what == 3 && worked.is_round() {
            let around = self.around(stitch, stitches * 5 / 4, stitches * 2);
            let increase_rounds = self.tape.once_in(3).then(|| self.tape.between(1, 4));
            let mut section = self.section(name, Shape::CircularYoke { around, increase_rounds }, stitch);
            section.extent = Some(Extent::Length(self.long(stitch, 6, 18)));
            return section;
        }
        let width = (what > 6).then(|| self.around(stitch, near.0.max(4), near.1.max(6)));
        self.even(name, worked, width, stitch, behind)
    }

    fn even(
        &mut self,
        name: &str,
        worked: Worked,
        width: Option<Demand>,
        stitch: StitchId,
        behind: &mut f64,
    ) -> Section {
        let mut section = self.section(name, Shape::Even { width }, stitch);
        if self.tape.once_in(2) {
            let textures = if worked.is_round() { ROUNDS } else { ROWS };
            section.rows = textures[self.tape.index(textures.len())].rows(stitch, self.plan.terms);
        }
        section.extent = Some(self.extent(stitch, behind));
        section
    }

    fn begun_in_a_ring(&mut self, name: &str) {
        let stitch = self.stitch();
        let worked = self.rounds();
        let across = self.tape.once_in(4);
        let stitches = self.tape.between(18, 70);
        let size = if across {
            CircleSize::Across(self.long(stitch, 4, 20))
        } else {
            CircleSize::Around(self.around(stitch, stitches, stitches + 3))
        };
        let increases = if self.tape.once_in(2) { Some(self.tape.between(5, 12)) } else { None };
        let mut sections = vec![self.section("Crown", Shape::Circle { size, increases }, stitch)];
        let mut behind = stitches as f64 / 7.0 * self.of(stitch).1;
        let more = self.tape.below(4);
        for at in 0..more {
            let name = ["Sides", "Band", "Brim"][usize::try_from(at).expect("a few sections")];
            let next = self.goes_on(name, worked, stitches, &mut behind);
            sections.push(next);
        }
        self.piece(name, worked, Start::Ring, sections);
    }

    fn begun_on_a_chain(&mut self, name: &str) {
        let stitch = self.stitch();
        let worked = if self.tape.once_in(2) { Worked::Rows } else { self.rounds() };
        let stitches = self.tape.between(12, 90);
        let width = self.around(stitch, stitches, stitches + 3);
        let mut behind = 0.0;
        let mut sections = vec![self.even("Hem", worked, Some(width), stitch, &mut behind)];
        let more = self.tape.below(4);
        for at in 0..more {
            let name = ["Panel", "Waist", "Edge"][usize::try_from(at).expect("a few sections")];
            let next = self.goes_on(name, worked, stitches, &mut behind);
            sections.push(next);
        }
        self.piece(name, worked, Start::Chain, sections);
    }

    fn round_body(&mut self, name: &str) {
        let stitch = self.stitch();
        let (width, height) = self.of(stitch);
        let worked = self.rounds();
        let mm = self.tape.between(12, 60) as f64 * width / std::f64::consts::PI;
        let shape = match self.tape.below(3) {
            0 => Shape::Ball { across: self.demand(mm), increases: self.multiple() },
            1 => {
                let slant = self.tape.between(4, 20) as f64 * height;
                Shape::Cone {
                    around: self.demand(mm * std::f64::consts::PI),
                    slant: self.demand(slant),
                    increases: self.multiple(),
                }
            }
            _ => {
                let millimetres = |(height, radius): (f64, f64)| {
                    (Length::millimetres(height * mm), Length::millimetres(radius * mm / 2.0))
                };
                let profile = if self.tape.once_in(2) {
                    vec![(0.0, 0.0), (0.2, 0.7), (0.6, 1.0), (1.0, 0.8), (1.3, 0.3)]
                } else {
                    vec![(0.0, 0.0), (0.0, 0.8), (0.8, 1.0), (0.8, 0.0)]
                };
                let profile = profile.into_iter().map(millimetres).collect();
                let across = if self.tape.once_in(3) { None } else { Some(self.demand(mm)) };
                Shape::Revolve { profile, across, increases: self.multiple() }
            }
        };
        let section = self.section("Body", shape, stitch);
        self.piece(name, worked, Start::Ring, vec![section]);
    }

    /// What the counts of a body are multiples of.
    fn multiple(&mut self) -> Option<u64> {
        self.tape.pick(&[None, None, Some(6), Some(8), Some(5)])
    }

    fn flat_shape(&mut self, name: &str) {
        let stitch = self.stitch();
        let worked = self.rounds();
        let (shape, worked, start) = match self.tape.below(4) {
            0 => {
                let rounds = self.tape.between(4, 20);
                let wide = self.long(stitch, rounds, rounds + 1);
                let (width, height) = self.of(stitch);
                let long = rounds as f64 * height * 1.3 + self.tape.between(6, 30) as f64 * width;
                (Shape::Oval { long: self.demand(long), wide }, worked, Start::Chain)
            }
            1 => (Shape::Polygon { corners: 4, side: self.long(stitch, 4, 24) }, worked, Start::Ring),
            2 => (Shape::Polygon { corners: 6, side: self.long(stitch, 3, 16) }, worked, Start::Ring),
            _ => (Shape::Triangle { depth: self.long(stitch, 4, 24) }, Worked::Rows, Start::Ring),
        };
        let mut sections = vec![self.section("Motif", shape, stitch)];
        if self.tape.once_in(5) {
            let stitch = self.stitch();
            let mut edge = self.section("Edge", Shape::Even { width: None }, stitch);
            edge.extent = Some(Extent::Rows(self.tape.between(1, 3)));
            sections.push(edge);
        }
        self.piece(name, worked, start, sections);
    }

    fn raglan(&mut self, name: &str) {
        let stitch = self.stitch();
        let worked = self.rounds();
        let (width, height) = self.of(stitch);
        let neck = self.tape.between(36, 60) as f64;
        let body = neck * (2.0 + 0.05 * self.tape.below(8) as f64);
        let sleeve = body * (0.32 + 0.01 * self.tape.below(5) as f64);
        let growth = (body / 2.0 - 5.0 - neck / 4.0 - (body / 2.0 - sleeve) / 2.0) / 2.0;
        let shape = Shape::RaglanYoke {
            neck: self.demand(neck * width),
            body: self.demand(body * width),
            sleeve: self.demand(sleeve * width),
            underarm: self.demand(5.0 * width),
        };
        let mut yoke = self.section("Yoke", shape, stitch);
        let rows = growth.max(2.0) * 1.6 + 5.0;
        yoke.extent = Some(Extent::Length(self.demand(rows * height)));
        let mut sections = vec![yoke];
        let mut behind = rows * height;
        if self.tape.once_in(2) {
            let stitches = body as u64;
            let next = self.goes_on("Trunk", worked, stitches, &mut behind);
            sections.push(next);
        }
        let at = self.plan.pieces.len();
        self.piece(name, worked, Start::Chain, sections);
        if self.tape.once_in(2) {
            let next = self.goes_on("Arm", worked, sleeve as u64, &mut 0.0);
            self.piece(&format!("{name} Sleeve"), worked, Start::Sleeve(at), vec![next]);
        }
    }
}
