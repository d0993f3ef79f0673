//! Whether the interval of an estimate is honest: hands, swatches and pieces are drawn whose yarn is known, and the stated 95 %
//! interval has to hold it as often as it says. `cargo test -p evenround-tests --test yarn_recovery -- --nocapture` prints
//! how often it does.

use evenround_calc::fabric::Labour;
use evenround_calc::standards::{StitchId, yarn_use};
use evenround_calc::units::{Length, Mass};
use evenround_calc::yarn::{Ball, Basis, Colour, Evidence, Plan, Sample, SizeWork, Swatch, Work, Yarn, estimate};

const SETS: usize = 5000;
/// What a hand drifts from one piece of work to the next (common practice).
const DRIFT: f64 = 0.03;
const METRES_PER_GRAM: f64 = 1.7;
const KINDS: [StitchId; 4] =
    [StitchId::CHAIN, StitchId::SINGLE_CROCHET, StitchId::HALF_DOUBLE_CROCHET, StitchId::DOUBLE_CROCHET];

/// Numbers drawn from a fixed seed (splitmix64).
struct Draw(u64);

impl Draw {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.unit()
    }

    fn count(&mut self, least: u64, most: u64) -> u64 {
        least + (self.unit() * (most - least + 1) as f64) as u64
    }

    /// Of a normal distribution (Box and Muller).
    fn normal(&mut self) -> f64 {
        let (one, other) = (1.0 - self.unit(), self.unit());
        (-2.0 * one.ln()).sqrt() * (std::f64::consts::TAU * other).cos()
    }
}

/// What one stitch of each kind takes in a hand, in metres: ratios scatter as the dictionary says that they do.
fn hand(draw: &mut Draw) -> [f64; 4] {
    let single = draw.between(0.04, 0.075);
    KINDS.map(|kind| {
        let usual = yarn_use(kind);
        single * usual.ratio * (1.0 + usual.spread * draw.normal())
    })
}

fn works(counts: [u64; 4]) -> Vec<Work> {
    KINDS
        .iter()
        .zip(counts)
        .filter(|(_, count)| *count > 0)
        .map(|(kind, count)| {
            let labour = if *kind == StitchId::CHAIN { Labour::Chain } else { Labour::stitch(*kind) };
            (labour, count)
        })
        .collect()
}

fn metres(hand: &[f64; 4], counts: [u64; 4]) -> f64 {
    hand.iter().zip(counts).map(|(length, count)| length * count as f64).sum()
}

/// What the scale shows. The hand is what it was then; the piece drifts from it.
fn weighed(hand: &[f64; 4], counts: [u64; 4], step: f64) -> f64 {
    let grams = metres(hand, counts) / METRES_PER_GRAM;
    ((grams / step).round() * step).max(step)
}

/// A swatch of one stitch or of several, begun on a chain.
fn swatch(draw: &mut Draw, nth: u64) -> [u64; 4] {
    let chains = draw.count(18, 30);
    match nth {
        0 => [chains, draw.count(300, 450), 0, 0],
        1 => [chains, 0, draw.count(200, 300), 0],
        2 => [chains, 0, 0, draw.count(150, 220)],
        // Mesh: one that is mostly chains.
        3 => [draw.count(250, 400), draw.count(80, 160), 0, draw.count(30, 60)],
        _ => [draw.count(20, 160), draw.count(0, 200), draw.count(40, 140), draw.count(20, 100)],
    }
}

fn plan(piece: [u64; 4], evidence: Evidence) -> Plan<'static> {
    let ball = Ball { length: Some(Length::metres(170.0)), weight: Some(Mass::grams(100.0)) };
    Plan {
        sizes: vec![SizeWork {
            name: "One size",
            works: works(piece).into_iter().map(|work| (0, work)).collect(),
            extras: Vec::new(),
        }],
        colours: vec![Colour { name: "A", ball, weight: Some(4) }],
        evidence,
        size: None,
        piece: None,
        allowance: 0.0,
    }
}

/// How many of the sets hold the truth, and the mean half width of the interval beside the estimate.
fn held(evidence: impl Fn(&mut Draw, &[f64; 4], [u64; 4]) -> (Evidence, Basis)) -> (f64, f64) {
    let mut draw = Draw(20_260_719);
    let (mut held, mut width) = (0, 0.0);
    for _ in 0..SETS {
        let hand = hand(&mut draw);
        let piece = [draw.count(60, 400), draw.count(500, 4000), draw.count(500, 2500), draw.count(0, 2500)];
        let (evidence, basis) = evidence(&mut draw, &hand, piece);
        let truth = metres(&hand, piece) * (1.0 + DRIFT * draw.normal());
        let estimates = estimate(&plan(piece, evidence)).unwrap();
        assert_eq!(estimates.basis, basis);
        let length = estimates.sizes[0].colours[0].amount.length.unwrap();
        held += usize::from((length.low.to_metres()..=length.high.to_metres()).contains(&truth));
        width += (length.high.to_metres() - length.low.to_metres()) / 2.0 / length.value.to_metres();
    }
    (held as f64 / SETS as f64 * 100.0, width / SETS as f64 * 100.0)
}

fn swatches(draw: &mut Draw, hand: &[f64; 4], number: u64, step: f64) -> Vec<Swatch> {
    (0..number)
        .map(|nth| {
            let counts = swatch(draw, nth);
            let grams = weighed(hand, counts, step);
            Swatch { colour: None, works: works(counts), used: Yarn::Weight(Mass::grams(grams)), step }
        })
        .collect()
}

#[test]
fn the_stated_interval_holds_the_truth_as_often_as_it_says() {
    let mut outside = Vec::new();
    let mut told = |what: String, (share, half): (f64, f64)| {
        println!("{what}: {share:.2} % of {SETS} held, ± {half:.1} % on average");
        if !(94.0..=97.0).contains(&share) {
            outside.push(what);
        }
    };
    for step in [0.1, 1.0] {
        for number in [5, 6, 7, 9, 12] {
            let drawn = held(|draw, hand, _| {
                (
                    Evidence { reports: Vec::new(), sample: None, swatches: swatches(draw, hand, number, step) },
                    Basis::Swatches,
                )
            });
            told(format!("{number} swatches, {step} g scale"), drawn);
        }
        let drawn = held(|draw, hand, _| {
            (Evidence { reports: Vec::new(), sample: None, swatches: swatches(draw, hand, 1, step) }, Basis::OneSwatch)
        });
        told(format!("one swatch, {step} g scale"), drawn);
        let drawn = held(|_, hand, piece| {
            let used = Yarn::Weight(Mass::grams(weighed(hand, piece, step)));
            let sample = Sample { size: 0, colour: None, used, step };
            (Evidence { reports: Vec::new(), sample: Some(sample), swatches: Vec::new() }, Basis::Sample)
        });
        told(format!("a finished piece, {step} g scale"), drawn);
    }
    assert!(outside.is_empty(), "{outside:?}");
}
