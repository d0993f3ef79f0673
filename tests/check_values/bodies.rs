//! Bodies, hats, mitts, socks, cautions.

use evenround_calc::cautions;
use evenround_calc::standards::body_rules::{
    crown_across, crown_length, crown_to_ear, ease_percent, even_stitches_within, hat_height, round_the_head,
    sock_circumference, sock_foot, with_ease,
};
use evenround_calc::standards::growth::{Adults, Reference, Sex, Summary, adults, children, lms};
use evenround_calc::units::Length;

use crate::row::{Outcome, Row, figures};

/// Checks one row.
pub fn check(row: &Row) -> Outcome {
    let parts: Vec<&str> = row.id.split('-').collect();
    match parts[..] {
        ["HAT", "CROWN", _] => crown(row),
        ["HAT", "04"] => row.agrees_with(&each_inch(row, hat_height)),
        ["HAT", "PI"] => row.agrees_with(&each_inch(row, crown_across)),
        ["HAT", "ARC", _] => arc(row),
        ["HAT", "EASE", _] => ease(row),
        ["MITT", "01"] => {
            let [hand, percent] = row.inputs()[..] else { return unread() };
            row.agrees_with(&[with_ease(Length::inches(hand), percent).to_inches()])
        }
        ["SOCK", "01"] => sock_stitches(row),
        // Behind the length stands the half inch, in words.
        ["SOCK", "02"] => row.agrees_on(&row.figures()[..1], &each_inch(row, sock_foot)),
        ["SOCK", "ANSUR", who] => sock(row, who),
        ["BODY", "ELLIPSE", who] => ellipse(row, who),
        ["BODY", reference @ ("WHO" | "CDC" | "UK"), "HC", _, _] => head(row, reference),
        ["BODY", "ANSUR", who, _] => soldier(row, who),
        ["BODY", "CH77", ..] => child(row),
        ["SAFE", what] => caution(row, what),
        _ => Outcome::LeftOut("nobody reads this row"),
    }
}

fn unread() -> Outcome {
    Outcome::Differs("the inputs could not be read".to_owned())
}

fn each_inch(row: &Row, ours: fn(Length) -> Length) -> Vec<f64> {
    row.inputs().into_iter().map(|inches| ours(Length::inches(inches)).to_inches()).collect()
}

/// Ours to an eighth of an inch, as a tape shows it, and as a share of the head.
fn crown(row: &Row) -> Outcome {
    let [head] = row.inputs()[..] else { return unread() };
    let ours = crown_length(Length::inches(head)).to_inches();
    row.agrees_with(&[(ours * 8.0).round() / 8.0, ours / head])
}

fn arc(row: &Row) -> Outcome {
    let [half_breadth, height, ..] = row.inputs()[..] else { return unread() };
    let ours = crown_to_ear(Length::millimetres(2.0 * half_breadth), Length::millimetres(height));
    row.agrees_with(&[ours.to_millimetres(), ours.to_inches()])
}

/// A hat of so many stitches at 16 over 10 cm, on the median head of boys and girls of an age.
fn ease(row: &Row) -> Outcome {
    let [stitches, over, centimetres, age] = row.inputs()[..] else { return unread() };
    let hat = Length::centimetres(centimetres) * (stitches / over);
    let median = |sex| lms(Reference::British1990, "head circumference", sex, age * 12.0)?.at(0.0);
    let (Some(boys), Some(girls)) = (median(Sex::Boys), median(Sex::Girls)) else { return unread() };
    let head = (boys + girls) * 0.5;
    let Some(percent) = ease_percent(hat, head) else { return unread() };
    row.agrees_with(&[hat.to_centimetres(), head.to_centimetres(), percent])
}

fn sock_stitches(row: &Row) -> Outcome {
    let [ankle, per_inch] = row.inputs()[..] else { return unread() };
    let round = sock_circumference(Length::inches(ankle));
    let width = Length::inches(1.0 / per_inch);
    let Some(whole) = even_stitches_within(round, width) else { return unread() };
    #[allow(clippy::cast_precision_loss)]
    row.agrees_with(&[round.to_inches(), round / width, whole as f64])
}

fn adult(who: &str) -> Adults {
    match who {
        "men" | "M" => Adults::Men,
        "women" | "W" => Adults::Women,
        other => panic!("nobody measured {other}"),
    }
}

fn median(who: &str, measure: &str) -> Length {
    adults(adult(who), measure).unwrap_or_else(|| panic!("{measure} was not measured")).p50
}

/// From our own medians, which must be those of the row.
fn sock(row: &Row, who: &str) -> Outcome {
    let (round, long) = (median(who, "ball of foot circumference"), median(who, "foot length"));
    if row.inputs() != [round.to_millimetres(), long.to_millimetres()] {
        return Outcome::Differs(format!("our medians are {round:?} and {long:?}"));
    }
    row.agrees_with(&[sock_circumference(round).to_inches(), sock_foot(long).to_inches()])
}

fn ellipse(row: &Row, who: &str) -> Outcome {
    let (long, broad) = (median(who, "head length"), median(who, "head breadth"));
    if row.inputs() != [long.to_millimetres(), broad.to_millimetres()] {
        return Outcome::Differs(format!("our medians are {long:?} and {broad:?}"));
    }
    let round = round_the_head(long, broad);
    row.agrees_with(&[round.to_millimetres(), median(who, "head circumference") / round])
}

/// By the rule of L, M and S at two deviations below, at and two above the median.
fn head(row: &Row, reference: &str) -> Outcome {
    let reference = match reference {
        "WHO" => Reference::Who2006,
        "CDC" => Reference::Cdc2000,
        _ => Reference::British1990,
    };
    let sex = if row.inputs.starts_with("boys") { Sex::Boys } else { Sex::Girls };
    let [age] = row.inputs()[..] else { return unread() };
    let months = if row.inputs.ends_with("years") { age * 12.0 } else { age };
    let Some(numbers) = lms(reference, "head circumference", sex, months) else { return unread() };
    let ours = [-2.0, 0.0, 2.0].map(|z| numbers.at(z).map_or(f64::NAN, Length::to_centimetres));
    row.agrees_with(&ours)
}

/// The measure as our data call it, from the beginning of the row's quantity ("head circ mean; sd; …").
fn measure(row: &Row, until: &str) -> String {
    let (name, _) = row.quantity.split_once(until).unwrap_or_else(|| panic!("{}: {}", row.id, row.quantity));
    name.replace(" circ", " circumference")
}

#[allow(clippy::cast_precision_loss)]
fn people(summary: &Summary) -> f64 {
    summary.people as f64
}

/// Our data against the published summary: nothing is computed here.
fn soldier(row: &Row, who: &str) -> Outcome {
    let Some(summary) = adults(adult(who), &measure(row, " mean;")) else { return unread() };
    if row.inputs().last() != Some(&people(summary)) {
        return Outcome::Differs(format!("ours are {} people", summary.people));
    }
    let ours = [summary.mean, summary.deviation, summary.p5, summary.p50, summary.p95];
    row.agrees_with(&ours.map(Length::to_millimetres))
}

/// Likewise, by the age band in years.
fn child(row: &Row) -> Outcome {
    let [from, to] = row.inputs()[..] else { return unread() };
    let bands = children(&measure(row, " n;"));
    let band = bands.iter().find(|band| band.from_months == from * 12.0 && band.to_months == to * 12.0);
    let Some(summary) = band.map(|band| &band.summary) else { return unread() };
    let [p5, p50, p95] = [summary.p5, summary.p50, summary.p95].map(Length::to_millimetres);
    row.agrees_with(&[people(summary), p5, p50, p95])
}

/// The figures that the text of a caution gives between two of its phrases.
fn told(about: &str, from: &str, until: &str) -> Vec<f64> {
    let caution = cautions::all().iter().find(|caution| caution.about == about);
    let text = caution.unwrap_or_else(|| panic!("no caution about {about}")).text;
    let (_, after) = text.split_once(from).unwrap_or_else(|| panic!("{about}: no {from:?} in {text}"));
    let (between, _) = after.split_once(until).unwrap_or_else(|| panic!("{about}: no {until:?} in {after}"));
    figures(between)
}

/// What our cautions tell a maker against what the rules say.
fn caution(row: &Row, what: &str) -> Outcome {
    match what {
        "CYL" => row.agrees_with(&told("small parts", "cylinder", "deep")),
        "AGE" => row.agrees_with(&told("small parts", "for children under", "may have")),
        "STRING" => {
            let none = told("cords", "jackets", "have no drawstring");
            let (range, most) = {
                let mut told = told("cords", "and those", "of one outside");
                let most = told.pop();
                (told, most)
            };
            // The row names the length first, then the sizes without any: "3 in at most; hood and neck none, 2T-12"; the
            // sizes of the length, "2T-16", stand in its quantity.
            let ours: Vec<f64> = most.into_iter().chain(none).collect();
            if range != figures(&row.quantity) {
                return Outcome::Differs(format!("sizes {range:?} in {}", row.quantity));
            }
            row.agrees_with(&ours)
        }
        "EN14682" => row.agrees_with(&told("cords", "no cord at hood or neck", ".")),
        "LEAD" => {
            let [accessible, _paint] = row.figures()[..] else { return unread() };
            match row.agrees_on(&[accessible], &told("metal and paint", "12 and under", "of lead")) {
                Outcome::Agrees => {
                    Outcome::LeftOut("agrees on 100 ppm; the cautions do not carry the figure for paint")
                }
                other => other,
            }
        }
        "INFANT" => row.agrees_with(&told("fire", "those of infants", "each")),
        "SLEEPWEAR" => {
            let of = |standard: &str, until| told("fire", standard, until);
            let (small, large) = (of("that of 16 CFR ", ", of"), of(", of 16 CFR ", ". Exempt"));
            row.agrees_with(&[small, large].concat())
        }
        "INCLINE" => row.agrees_with(&told("sleep", "inclines over", "degrees")),
        "SLEEPAGE" => row.agrees_with(&told("sleeping products", "babies", "A cocoon")),
        "PRICKLE" => row.agrees_with(&told("wool on the skin", "Wool fibres of", "micrometres")),
        "EN71" => Outcome::LeftOut("its figures are from memory, so no caution carries them"),
        _ => Outcome::LeftOut("no caution carries this figure"),
    }
}
