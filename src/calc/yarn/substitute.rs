//! Another yarn for the same design: how much of it, and whether it makes the same fabric.

use super::label::Fineness;
use super::{Ball, Yarn};
use crate::standards::yarn_weights::yarn_weights;
use crate::units::{Length, Mass};

/// What the design asks.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Its own yarn.
    pub ball: Ball,
    /// The weight of that in the trade's system.
    pub weight: Option<u8>,
    /// What each of its sizes takes of it.
    pub sizes: Vec<Yarn>,
    /// Single crochet over 4 in of its fabric, where that is known.
    pub single_crochet: Option<f64>,
    /// How much larger each stitch is in the new fabric than in the design's: 1 where it is the same.
    pub stitch_scale: f64,
    /// The finished size is kept, with other counts; else the counts are.
    pub same_size: bool,
}

/// The other yarn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Substitute {
    /// Its ball.
    pub ball: Ball,
    /// Its weight in the trade's system.
    pub weight: Option<u8>,
    /// Strands held together; as many as come nearest to the design's yarn unless given.
    pub strands: Option<u32>,
}

/// What comes of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Substitution {
    /// How it is held.
    pub strands: Strands,
    /// For each size.
    pub sizes: Vec<Fits>,
    /// How fine the strands together are beside the design's yarn, in percent: below 0 heavier.
    pub fineness_percent: Option<f64>,
    /// What is to be said of weight and gauge.
    pub notes: Vec<String>,
}

/// Strands held together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Strands {
    /// How many.
    pub held: u32,
    /// They were chosen here.
    pub chosen: bool,
}

/// What one size takes of the other yarn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fits {
    /// How long, all strands one behind the other.
    pub length: Option<Length>,
    /// How heavy.
    pub weight: Option<Mass>,
    /// Balls, rounded up.
    pub balls: Option<u64>,
}

/// The most strands that are tried.
const MOST_STRANDS: u32 = 6;
/// Yarn within so much of the other's metres a gram passes for the same. Source: common practice (neighbouring yarns of one
/// class differ by a tenth).
const ALIKE: f64 = 0.10;

/// Sets another yarn in the place of the design's. Source: derived: the same fabric takes the same length of it; held together
/// so many times as much. A stitch s times as large takes s times the yarn for the same counts, 1/s for the same size.
///
/// # Errors
/// Where length and weight do not lead from one yarn to the other: the places, with what to give.
pub fn substitute(design: &Design, other: &Substitute) -> Result<Substitution, Vec<(String, String)>> {
    let (own, new) = (Fineness::of(&design.ball), Fineness::of(&other.ball));
    let strands = match (other.strands, own, new) {
        (Some(held), ..) => Strands { held: held.max(1), chosen: false },
        (None, Some(own), Some(new)) => Strands { held: nearest(own, new), chosen: true },
        (None, ..) => Strands { held: 1, chosen: true },
    };
    let scale = if design.same_size { 1.0 / design.stitch_scale } else { design.stitch_scale };
    let mut problems = Vec::new();
    let mut sizes = Vec::with_capacity(design.sizes.len());
    for (at, yarn) in design.sizes.iter().enumerate() {
        let length = match (yarn, own) {
            (Yarn::Length(length), _) => Some(*length),
            (Yarn::Weight(weight), Some(own)) => Some(own.length(*weight)),
            (Yarn::Weight(_), None) => None,
        };
        let Some(length) = length else {
            let detail =
                "was weighed, and nothing says how long the design's yarn is; give its ball's length and weight";
            problems.push((format!("/sizes/{at}/yarn"), detail.to_owned()));
            continue;
        };
        let length = length * scale * f64::from(strands.held);
        let weight = new.map(|new| new.weight(length));
        let balls = other.ball.count(Yarn::Length(length)).or_else(|| other.ball.count(Yarn::Weight(weight?)));
        sizes.push(Fits { length: Some(length), weight, balls });
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let together = new.and_then(|new| new.held_together(strands.held));
    let fineness_percent =
        own.zip(together).map(|(own, new)| (new.to_metres_per_gram() / own.to_metres_per_gram() - 1.0) * 100.0);
    let mut notes = Vec::new();
    say_fineness(strands, fineness_percent, &mut notes);
    say_weight(design, other, strands, together, &mut notes);
    say_gauge(design, other, strands, together, &mut notes);
    say_scale(design, scale, &mut notes);
    Ok(Substitution { strands, sizes, fineness_percent, notes })
}

/// The number of strands whose metres a gram come nearest, by ratio.
fn nearest(own: Fineness, new: Fineness) -> u32 {
    let off = |strands: u32| (new.to_metres_per_gram() / f64::from(strands) / own.to_metres_per_gram()).ln().abs();
    (1..=MOST_STRANDS).min_by(|one, other| off(*one).total_cmp(&off(*other))).unwrap_or(1)
}

fn held(strands: Strands) -> String {
    match strands.held {
        1 => "one strand of it".to_owned(),
        held => format!("{held} strands of it held together"),
    }
}

fn say_fineness(strands: Strands, percent: Option<f64>, notes: &mut Vec<String>) {
    let Some(percent) = percent else {
        notes.push(
            "length and weight of a ball are not known of both yarns, so whether they are equally thick cannot be told"
                .to_owned(),
        );
        return;
    };
    let side = if percent < 0.0 { "heavier" } else { "lighter" };
    if percent.abs() <= ALIKE * 100.0 {
        notes.push(format!("{} is within {:.0} % of the design's yarn in metres a gram", held(strands), ALIKE * 100.0));
    } else {
        notes.push(format!(
            "{} is {:.0} % {side} for its length than the design's yarn: expect another fabric, and work a swatch before you buy",
            held(strands),
            percent.abs()
        ));
    }
}

/// The classes whose printed metres in 100 g hold a yarn.
fn classes(fineness: Fineness) -> Vec<u8> {
    let metres = fineness.to_metres_per_100_grams();
    yarn_weights()
        .iter()
        .filter(|weight| {
            let range = weight.metres_per_100_grams;
            range.least.is_none_or(|least| metres >= f64::from(least))
                && range.most.is_none_or(|most| metres <= f64::from(most))
                && (range.least.is_some() || range.most.is_some())
        })
        .map(|weight| weight.number)
        .collect()
}

fn say_weight(
    design: &Design,
    other: &Substitute,
    strands: Strands,
    together: Option<Fineness>,
    notes: &mut Vec<String>,
) {
    let Some(wanted) = design.weight else { return };
    let fits = match (strands.held, other.weight, together) {
        (1, Some(weight), _) => vec![weight],
        (_, _, Some(together)) => classes(together),
        _ => return,
    };
    if fits.contains(&wanted) {
        notes.push(format!("it is of the design's weight, {wanted}"));
    } else if fits.is_empty() {
        notes.push(format!("it is of no weight that the trade prints metres for; the design asks {wanted}"));
    } else {
        let fits: Vec<String> = fits.iter().map(u8::to_string).collect();
        notes.push(format!("it is of weight {}, the design asks {wanted}: the gauge will differ", fits.join(" or ")));
    }
}

fn say_gauge(
    design: &Design,
    other: &Substitute,
    strands: Strands,
    together: Option<Fineness>,
    notes: &mut Vec<String>,
) {
    let Some(stitches) = design.single_crochet else { return };
    let numbers = match (strands.held, other.weight, together) {
        (1, Some(weight), _) => vec![weight],
        (_, _, Some(together)) => classes(together),
        _ => return,
    };
    let ranges = yarn_weights().iter().filter(|weight| numbers.contains(&weight.number));
    let fits = ranges.clone().any(|weight| {
        weight.crochet.least.is_none_or(|least| stitches >= f64::from(least) - 0.5)
            && weight.crochet.most.is_none_or(|most| stitches <= f64::from(most) + 0.5)
    });
    let printed: Vec<String> = ranges
        .map(|weight| match (weight.crochet.least, weight.crochet.most) {
            (Some(least), Some(most)) => format!("{least} to {most}"),
            (Some(least), None) => format!("{least} and more"),
            (None, Some(most)) => format!("up to {most}"),
            (None, None) => "any".to_owned(),
        })
        .collect();
    if printed.is_empty() {
        return;
    }
    let usual = printed.join(" or ");
    let stitches = crate::units::plain(stitches, 1);
    notes.push(if fits {
        format!("the design's gauge of {stitches} single crochet to 4 in is among the {usual} that the trade prints for this yarn")
    } else {
        format!(
            "the design's gauge of {stitches} single crochet to 4 in is outside the {usual} that the trade prints for this yarn: \
             the fabric would be stiff or loose"
        )
    });
}

fn say_scale(design: &Design, scale: f64, notes: &mut Vec<String>) {
    if (design.stitch_scale - 1.0).abs() < 1e-9 {
        return;
    }
    let percent = (scale - 1.0) * 100.0;
    let side = if percent < 0.0 { "less" } else { "more" };
    let kept = if design.same_size {
        "the finished size is kept and the counts change"
    } else {
        "the counts are kept and the size changes"
    };
    notes.push(format!("{:.1} % {side} yarn by the other gauge, where {kept}", percent.abs()));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ball(metres: f64, grams: f64) -> Ball {
        Ball { length: Some(Length::metres(metres)), weight: Some(Mass::grams(grams)) }
    }

    fn design() -> Design {
        Design {
            ball: ball(170.0, 100.0),
            weight: Some(4),
            sizes: vec![Yarn::Length(Length::metres(300.0)), Yarn::Weight(Mass::grams(200.0))],
            single_crochet: Some(13.0),
            stitch_scale: 1.0,
            same_size: true,
        }
    }

    #[test]
    fn the_same_length_of_another_yarn_is_bought_in_its_own_balls() {
        let found =
            substitute(&design(), &Substitute { ball: ball(85.0, 50.0), weight: Some(4), strands: None }).unwrap();
        assert_eq!(found.strands, Strands { held: 1, chosen: true });
        // 300 m are 3.53 balls of 85 m; 200 g are 340 m, exactly four.
        assert_eq!(found.sizes.iter().map(|size| size.balls).collect::<Vec<_>>(), [Some(4), Some(4)]);
        assert!(found.fineness_percent.unwrap().abs() < 1e-9);
    }

    #[test]
    fn a_yarn_of_half_the_weight_is_held_double() {
        let found =
            substitute(&design(), &Substitute { ball: ball(350.0, 100.0), weight: Some(2), strands: None }).unwrap();
        assert_eq!(found.strands.held, 2);
        // Twice 300 m are 600 m: 1.71 balls of 350 m.
        assert_eq!(found.sizes[0].balls, Some(2));
        assert!((found.sizes[0].length.unwrap().to_metres() - 600.0).abs() < 1e-9);
    }

    #[test]
    fn larger_stitches_take_less_for_the_same_size_and_more_for_the_same_counts() {
        let with = |same_size| Design { stitch_scale: 1.05, same_size, ..design() };
        let other = Substitute { ball: ball(170.0, 100.0), weight: Some(4), strands: Some(1) };
        let length = |same_size| substitute(&with(same_size), &other).unwrap().sizes[0].length.unwrap().to_metres();
        assert!((length(true) - 300.0 / 1.05).abs() < 1e-9);
        assert!((length(false) - 315.0).abs() < 1e-9);
    }

    #[test]
    fn weighed_yarn_without_a_length_cannot_be_exchanged() {
        let design = Design { ball: Ball { length: None, weight: Some(Mass::grams(50.0)) }, ..design() };
        let other = Substitute { ball: ball(170.0, 100.0), weight: None, strands: None };
        let refused = substitute(&design, &other).unwrap_err();
        assert_eq!(refused.iter().map(|problem| problem.0.as_str()).collect::<Vec<_>>(), ["/sizes/1/yarn"]);
    }
}
