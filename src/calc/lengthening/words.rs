//! What is said: a message to the maker of each size, and notes to all.

use super::{Change, Lengthened, Lengthening, Wish, Yarn, YarnBasis};
use crate::gauge::swatch::Worked;
use crate::units::{Length, both, plain};

/// `1 row`, `4 rows`.
fn counted(count: u64, one: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") }
}

fn row(lengthening: &Lengthening<'_>) -> &'static str {
    if lengthening.worked == Some(Worked::Rounds) { "round" } else { "row" }
}

fn apart(length: Length) -> Length {
    if length < Length::default() { length * -1.0 } else { length }
}

/// `more` or `fewer`.
fn way(more: i64) -> &'static str {
    if more < 0 { "fewer" } else { "more" }
}

fn amount(yarn: Yarn) -> String {
    match yarn {
        Yarn::Weight(weight) => format!("{} g ({} oz)", plain(weight.to_grams(), 1), plain(weight.to_ounces(), 2)),
        Yarn::Length(length) => format!("{} m ({} yd)", plain(length.to_metres(), 1), plain(length.to_yards(), 1)),
    }
}

/// What to tell the maker of one size.
pub(super) fn message(lengthening: &Lengthening<'_>, size: &Lengthened) -> String {
    let change = &size.change;
    let after = &change.after;
    let name = &size.name;
    let row = row(lengthening);
    if change.more == 0 {
        let mut said = format!(
            "{name}: work the repeat {} as written: {}, {}",
            counted(after.repeats, "time"),
            counted(after.rows, row),
            both(after.length.value)
        );
        if let Some(off) = change.off {
            said.push_str(&format!("{}. No other whole number of repeats comes nearer{}", missed(off), beside(size)));
        }
        return said;
    }
    let repeats = match (size.before.repeats, after.repeats) {
        (before, 0) => format!("leave out the repeat, which is worked {}", counted(before, "time")),
        (before, after) => format!("work the repeat {} instead of {before}", counted(after, "time")),
    };
    let mut said = format!(
        "{name}: {repeats}. {} {}, {} in all, make it {} {}, {} long",
        counted(change.rows.unsigned_abs(), row),
        way(change.rows),
        after.rows,
        both(apart(change.length.value)),
        if change.rows < 0 { "shorter" } else { "longer" },
        both(after.length.value),
    );
    if let Some(off) = change.off {
        said.push_str(&missed(off));
        said.push_str(&beside(size));
    }
    let percent = plain(change.yarn_share.abs() * 100.0, 1);
    said.push_str(&match change.yarn_basis {
        YarnBasis::Stitches => format!(". It takes about {percent} % {} yarn", less(change)),
        YarnBasis::Rows => format!(". Told from the {row}s alone it takes roughly {percent} % {} yarn", less(change)),
    });
    if let (Some(added), Some(all)) = (change.yarn, after.yarn) {
        let added = amount(added.times(change.yarn_share.signum()));
        said.push_str(&format!(": {added} {}, {} in all", less(change), amount(all)));
        if let Some((least, most)) = after.yarn_between {
            said.push_str(&format!(", which may be anything from {} to {}", amount(least), amount(most)));
        }
    }
    if let (Some(before), Some(balls)) = (size.before.balls, after.balls) {
        if balls.likely == before.likely {
            said.push_str(&format!("; {} as before", counted(balls.likely, "ball")));
        } else {
            said.push_str(&format!("; {} instead of {}", counted(balls.likely, "ball"), before.likely));
        }
        if let Some(most) = balls.at_most.filter(|most| *most > balls.likely) {
            said.push_str(&format!(", and {most} to be safe"));
        }
    }
    said
}

/// By how much a wished length is missed; what is below half a millimetre is not.
fn missed(off: Length) -> String {
    if apart(off) < Length::millimetres(0.5) {
        return String::new();
    }
    let way = if off < Length::default() { "short of" } else { "more than" };
    format!("; that is {} {way} what is wanted", both(apart(off)))
}

/// How long it would be with one repeat fewer and one more.
fn beside(size: &Lengthened) -> String {
    let of = |change: &Option<Change>, way: &str| {
        change.as_ref().map(|change| format!("one repeat {way} is {} long", both(change.after.length.value)))
    };
    let both: Vec<String> = [of(&size.shorter, "fewer"), of(&size.longer, "more")].into_iter().flatten().collect();
    if both.is_empty() { String::new() } else { format!(" ({})", both.join(", ")) }
}

fn less(change: &Change) -> &'static str {
    if change.yarn_share < 0.0 { "less" } else { "more" }
}

/// The names of the sizes of which something is true; empty where it is true of none.
fn names(sizes: &[Lengthened], is: impl Fn(&Lengthened) -> bool) -> Vec<&str> {
    sizes.iter().filter(|size| is(size)).map(|size| size.name.as_str()).collect()
}

/// What a maker should know of the whole.
pub(super) fn notes(lengthening: &Lengthening<'_>, sizes: &[Lengthened]) -> Vec<String> {
    let mut notes = lengthening.gauge.notes(lengthening.worked);
    let row = row(lengthening);
    let moved: Vec<&Lengthened> = sizes.iter().filter(|size| size.change.rows != 0).collect();
    if let Some(first) = moved.first() {
        let rows = first.change.rows;
        let much = if moved.iter().all(|size| size.change.rows == rows) && moved.len() == sizes.len() {
            let way = if rows < 0 { "earlier" } else { "later" };
            format!("{}, {}, {way}", counted(rows.unsigned_abs(), row), both(apart(first.change.length.value)))
        } else {
            format!("later or earlier by as many {row}s as its size gains or loses")
        };
        notes.push(format!(
            "whatever comes after the repeat, such as decreases, a thumb opening or the {row} numbers themselves, moves: it \
             comes {much}; see that it still sits where it is wanted"
        ));
    }
    let turned = names(sizes, |size| size.change.rows % 2 != 0);
    if lengthening.worked == Some(Worked::Rows) && !turned.is_empty() {
        notes.push(format!(
            "{}: an odd number of rows, so what comes after the repeat is worked from the other side of the fabric",
            turned.join(", ")
        ));
    }
    let none = names(sizes, |size| size.change.after.repeats == 0 && size.change.more < 0);
    if !none.is_empty() {
        notes.push(format!("{}: nothing of the repeat is left; see that the rows around it meet", none.join(", ")));
    }
    if !moved.is_empty() {
        notes.push(format!(
            "the difference in length holds where the gauge was taken over the {row}s of the repeat itself"
        ));
    }
    if lengthening.sizes.iter().any(|size| size.length.is_none()) {
        notes.push(format!(
            "the lengths before and after are all {row}s at this one gauge; where a part is worked in another stitch only \
             the difference holds, unless the size says its `length`"
        ));
    }
    if matches!(lengthening.wish, Wish::Add(_) | Wish::Finished(_)) {
        notes.push("a repeat is worked whole, so the wished length is met as nearly as whole repeats allow".to_owned());
    }
    if sizes.iter().any(|size| size.change.yarn.is_some()) {
        notes.push(
            "the yarn is told from what was used: a maker with another tension needs more or less of all of it"
                .to_owned(),
        );
    } else if !lengthening.ball.is_unknown() {
        notes.push("balls cannot be counted, for no size says what it `used`".to_owned());
    }
    let more_balls = names(sizes, |size| {
        size.before.balls.zip(size.change.after.balls).is_some_and(|(before, after)| after.likely > before.likely)
    });
    if !more_balls.is_empty() {
        notes.push(format!("{}: more balls than before; buy them of one dye lot", more_balls.join(", ")));
    }
    let perhaps = names(sizes, |size| {
        size.change.after.balls.is_some_and(|after| after.at_most.is_some_and(|most| most > after.likely))
    });
    if !perhaps.is_empty() {
        notes.push(format!("{}: near the end of a ball; one more is to be safe", perhaps.join(", ")));
    }
    let rough = |change: &Change| change.yarn_basis == YarnBasis::Rows && change.more > 0;
    if sizes.iter().any(|size| size.change.after.balls.is_some() && rough(&size.change)) {
        notes.push("balls that are told from rows have nothing to spare in them; keep one more at hand".to_owned());
    }
    notes
}
