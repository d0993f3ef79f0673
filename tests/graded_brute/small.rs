//! Small plans, kept as figures beside the plan that they make.

use evenround_calc::cautions::MadeFor;
use evenround_calc::grading::plan::*;
use evenround_calc::grading::solve::Join;
use evenround_calc::standards::StitchId;
use evenround_calc::units::Length;
use evenround_calc::verify::Terms;
use evenround_tests::generator::Tape;
use evenround_tests::plans::texture::{ROUNDS, ROWS, Texture};

const STITCHES: [StitchId; 2] = [StitchId::SINGLE_CROCHET, StitchId::DOUBLE_CROCHET];

/// What a section is.
#[derive(Debug, Clone, Copy)]
pub enum Kind {
    /// From the ring, so many increases a round, measured around.
    Circle { rate: u64 },
    /// Of one count, in a texture or plain.
    Even { texture: Option<&'static Texture> },
    /// So many stitches more or fewer in a row that shapes.
    Taper { changes: u64, right_side: bool },
}

/// How long a section is.
#[derive(Debug, Clone)]
pub enum Long {
    /// As its counts want.
    Free,
    /// So many rows.
    Rows(u64),
    /// So many millimetres in each size.
    Own(Vec<f64>),
}

/// A section in figures.
#[derive(Debug, Clone)]
pub struct Part {
    pub kind: Kind,
    /// Which of the stitches.
    pub stitch: usize,
    /// Millimetres around or across in each size; a section without goes on with the count below.
    pub targets: Option<Vec<f64>>,
    pub long: Long,
    /// By which share it may miss its targets.
    pub tolerance: f64,
    /// Whether it may begin with a round that spreads.
    pub may_spread: bool,
}

/// A plan of one piece in figures.
#[derive(Debug, Clone)]
pub struct Small {
    pub sizes: usize,
    /// Width of a stitch and height of a row, for each of the stitches, in millimetres.
    pub gauges: [(f64, f64); 2],
    pub worked: Worked,
    pub parts: Vec<Part>,
}

/// Draws one.
pub fn draw(tape: &mut Tape<'_>) -> Small {
    let sizes = usize::try_from(tape.between(1, 3)).expect("a few sizes");
    let yarn = tape.pick(&[1.0, 0.7, 1.4]);
    let mut gauge = |width: f64, height: f64| {
        (width * yarn * (0.9 + 0.01 * tape.below(20) as f64), height * yarn * (0.9 + 0.01 * tape.below(20) as f64))
    };
    let gauges = [gauge(5.5, 5.2), gauge(6.4, 11.0)];
    let worked = tape.pick(&[Worked::Rows, Worked::JoinedRounds, Worked::Spiral]);
    let mut small = Small { sizes, gauges, worked, parts: Vec::new() };
    let around = tape.between(8, 26) as f64 + 0.1 * tape.below(10) as f64;
    let ring = worked.is_round() && tape.once_in(2);
    let kind = if ring { Kind::Circle { rate: tape.between(4, 8) } } else { small.even(tape) };
    let first = small.part(tape, around, kind);
    small.parts.push(first);
    let more = tape.below(3);
    for _ in 0..more.min(2) {
        let near = around * (0.7 + 0.1 * tape.below(7) as f64);
        let kind = match tape.below(5) {
            0 | 1 => Kind::Taper { changes: tape.between(1, 2), right_side: tape.once_in(3) },
            _ => small.even(tape),
        };
        let mut part = small.part(tape, near, kind);
        if matches!(kind, Kind::Even { .. }) && tape.once_in(3) {
            part.targets = None;
        }
        small.parts.push(part);
    }
    small
}

impl Small {
    fn even(&self, tape: &mut Tape<'_>) -> Kind {
        let textures = if self.worked.is_round() { ROUNDS } else { ROWS };
        let texture = tape.once_in(2).then(|| &textures[tape.index(textures.len())]);
        Kind::Even { texture }
    }

    fn part(&self, tape: &mut Tape<'_>, around: f64, kind: Kind) -> Part {
        let stitch = tape.index(2);
        let (width, height) = self.gauges[stitch];
        let step = tape.pick(&[1.0, 0.4, 2.3, 0.0, 3.0]);
        // A later section may get narrower where the piece gets wider.
        let wider =
            |part: &Part| part.targets.as_ref().is_some_and(|targets| targets.windows(2).all(|two| two[0] < two[1]));
        let step = if self.parts.first().is_some_and(wider) && tape.once_in(6) { -0.8 } else { step };
        let targets = (0..self.sizes).map(|size| (around + step * size as f64) * width).collect();
        let rows = tape.between(1, 8);
        let long = match kind {
            Kind::Circle { .. } => Long::Free,
            _ if tape.once_in(2) => Long::Rows(rows),
            _ => {
                let more = tape.pick(&[0.0, 0.7, 1.3]);
                let rows = rows as f64 + 0.1 * tape.below(10) as f64;
                Long::Own((0..self.sizes).map(|size| (rows + more * size as f64) * height).collect())
            }
        };
        Part {
            kind,
            stitch,
            targets: Some(targets),
            long,
            tolerance: tape.pick(&[0.1, 0.2, 0.05, 0.15]),
            may_spread: !tape.once_in(4),
        }
    }

    /// The plan that a designer would send.
    pub fn plan(&self) -> Plan {
        let each = |lengths: &Vec<f64>| Demand {
            of: Wanted::Each(lengths.iter().map(|mm| Length::millimetres(*mm)).collect()),
            ease: Ease::None,
            less: Length::millimetres(0.0),
        };
        let section = |(at, part): (usize, &Part)| {
            let width = part.targets.as_ref().map(each);
            let stitch = STITCHES[part.stitch];
            let (shape, rows) = match part.kind {
                Kind::Circle { rate } => {
                    let size = CircleSize::Around(width.expect("a circle has a width"));
                    (Shape::Circle { size, increases: Some(rate) }, Vec::new())
                }
                Kind::Even { texture } => {
                    (Shape::Even { width }, texture.map_or_else(Vec::new, |texture| texture.rows(stitch, Terms::Us)))
                }
                Kind::Taper { changes, right_side } => {
                    let on = if right_side { On::RightSideRows } else { On::EveryRow };
                    (Shape::Taper { to: width.expect("a taper has a width"), changes, on }, Vec::new())
                }
            };
            Section {
                name: ["Foot", "Shank", "Cuff"][at].to_owned(),
                shape,
                stitch,
                rows,
                tolerance: Some(part.tolerance),
                join: if part.may_spread { Join::Spread } else { Join::Equal },
                extent: match &part.long {
                    Long::Free => None,
                    Long::Rows(rows) => Some(Extent::Rows(*rows)),
                    Long::Own(lengths) => Some(Extent::Length(each(lengths))),
                },
            }
        };
        let ring = matches!(self.parts[0].kind, Kind::Circle { .. });
        let gauge = |(stitch, (width, height)): (&StitchId, &(f64, f64))| StitchGauge {
            stitch: Some(*stitch),
            stitch_width: Length::millimetres(*width),
            row_height: Some(Length::millimetres(*height)),
        };
        Plan {
            title: "Samphire Trial".to_owned(),
            terms: Terms::Us,
            inches_first: false,
            gauges: STITCHES.iter().zip(&self.gauges).map(gauge).collect(),
            sizes: ["S", "M", "L"][..self.sizes]
                .iter()
                .map(|name| Size { name: (*name).to_owned(), measures: Vec::new() })
                .collect(),
            pieces: vec![Piece {
                name: "Sock".to_owned(),
                make: 1,
                worked: self.worked,
                start: if ring { Start::Ring } else { Start::Chain },
                sections: self.parts.iter().enumerate().map(section).collect(),
            }],
            tolerance: TOLERANCE,
            made_for: MadeFor::default(),
            finishing: Vec::new(),
        }
    }
}
