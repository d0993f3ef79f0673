//! What an answer must be, checked from the text, the gauge and the plan alone.

use crate::Fault;
use evenround_calc::grading::plan::*;
use evenround_calc::grading::{Finished, Graded, GradedSection};
use evenround_calc::notation;
use evenround_calc::units::Length;
use evenround_calc::verify::{Request, RowKind, RowReport, Verdict, judge};
use evenround_tests::plans::gauge;
use evenround_tests::plans::texture::Texture;
use evenround_tests::slow_reader::{self, Outcome};
use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};
use std::fmt;

/// Rows that the slow reader worked, by how it went.
#[derive(Default)]
pub struct ByHand {
    counted: u64,
    unread: BTreeMap<String, (u64, String)>,
}

impl ByHand {
    pub fn add(&mut self, other: Self) {
        self.counted += other.counted;
        for (why, (count, line)) in other.unread {
            self.unread.entry(why).or_insert((0, line)).0 += count;
        }
    }
}

impl fmt::Display for ByHand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unread: u64 = self.unread.values().map(|(count, _)| count).sum();
        let all = (self.counted + unread).max(1);
        write!(f, "{} rows counted by hand, {:.2} % of all", self.counted, self.counted as f64 * 100.0 / all as f64)?;
        for (why, (count, line)) in &self.unread {
            write!(f, "\n   {count} rows not understood: {why}: {line}")?;
        }
        Ok(())
    }
}

/// A row of one size as the verifier counts it, several where a written row is worked several times.
struct Worked {
    number: u64,
    times: u64,
    available: Option<u64>,
    made: Option<u64>,
}

/// Every fault of an answer.
pub fn faults(plan: &Plan, graded: &Graded, by_hand: &mut ByHand) -> Vec<Fault> {
    let mut found = Vec::new();
    text(plan, graded, &mut found);
    slow(graded, by_hand, &mut found);
    if graded.sizes.len() != plan.sizes.len() {
        found.push(("sizes are missing", String::new()));
        return found;
    }
    let Some(pieces) = pieces(plan, graded) else {
        found.push(("pieces are missing", String::new()));
        return found;
    };
    for size in 0..plan.sizes.len() {
        for (piece, rows) in pieces.iter().enumerate() {
            one_piece(plan, graded, size, piece, &worked(rows, size), &mut found);
        }
    }
    multiples(plan, graded, &mut found);
    order(plan, graded, &mut found);
    notes(plan, graded, &mut found);
    found
}

/// The verified rows of each piece, by where its heading stands: a section has a heading too, and is a piece to the reader.
fn pieces<'a>(plan: &Plan, graded: &'a Graded) -> Option<Vec<Vec<&'a RowReport>>> {
    let heads = plan.pieces.iter().map(|piece| {
        let heading = piece.name.to_uppercase();
        let heads =
            |line: &str| line.strip_prefix(&heading).is_some_and(|rest| rest.is_empty() || rest.starts_with(" (make"));
        graded.pattern.lines().position(heads)
    });
    let heads: Vec<usize> = heads.collect::<Option<_>>()?;
    let all = graded.verification.pieces.iter().flat_map(|piece| &piece.rows);
    let mut pieces = vec![Vec::new(); plan.pieces.len()];
    for row in all {
        let at = heads.iter().rposition(|head| *head < row.line as usize)?;
        pieces[at].push(row);
    }
    pieces.iter().all(|rows| !rows.is_empty()).then_some(pieces)
}

/// The text holds: as it was verified, verified again, by itself, and read.
fn text(plan: &Plan, graded: &Graded, found: &mut Vec<Fault>) {
    let findings = |answer: &evenround_calc::verify::Verification| {
        let all: Vec<String> =
            answer.findings.iter().map(|f| format!("{} {}: {}", f.rule.name(), f.row, f.message)).collect();
        all.join("\n")
    };
    if !graded.verification.holds {
        found.push(("does not hold", findings(&graded.verification)));
    } else if !graded.verification.findings.is_empty() {
        found.push(("has findings", findings(&graded.verification)));
    }
    let names: Vec<String> = plan.sizes.iter().map(|size| size.name.clone()).collect();
    let request = Request { terms: Some(plan.terms), sizes: Some(names), ..Request::of(&graded.pattern) };
    match judge(&request) {
        Ok(again) if again != graded.verification => {
            found.push(("verified again, another answer", findings(&again)));
        }
        Ok(_) => {}
        Err(problems) => found.push(("cannot be verified again", problems.to_string())),
    }
    // Nobody tells a maker what the terms and sizes are: the text does.
    match judge(&Request::of(&graded.pattern)) {
        Ok(alone) if !alone.holds || !alone.findings.is_empty() => {
            found.push(("the text by itself has findings", findings(&alone)));
        }
        Ok(alone) if alone.terms != plan.terms => found.push(("the text by itself has other terms", String::new())),
        Ok(_) => {}
        Err(problems) => found.push(("the text by itself cannot be verified", problems.to_string())),
    }
    match notation::read(&graded.pattern, &request) {
        Ok(read) => {
            let lines = |line: usize| graded.pattern.lines().nth(line).unwrap_or_default().to_owned();
            let rows: usize = read.pieces.iter().map(|piece| piece.rows.len()).sum();
            let reported: usize = graded.verification.coverage.rows as usize;
            if rows < reported {
                found.push(("fewer rows are read than verified", format!("{rows} of {reported}: {}", lines(0))));
            }
        }
        Err(problems) => found.push(("cannot be read", problems.to_string())),
    }
}

/// The slow reader works the text stitch by stitch and comes to the same counts.
fn slow(graded: &Graded, by_hand: &mut ByHand, found: &mut Vec<Fault>) {
    // The notes of the text say that no beginning chain counts.
    let answer = slow_reader::work(&graded.pattern, slow_reader::Conventions::default());
    let reports: Vec<&RowReport> = graded.verification.pieces.iter().flat_map(|piece| &piece.rows).collect();
    let line = |row: &slow_reader::Row| graded.pattern.lines().nth(row.line - 1).unwrap_or_default();
    for row in &answer.rows {
        for (size, outcome) in row.sizes.iter().enumerate() {
            let of_line = reports.iter().filter(|report| report.line as usize == row.line);
            let count = of_line.filter_map(|report| report.counts.get(size)?.as_ref()).next_back();
            match (outcome, count) {
                (Outcome::Made(made), Some(count)) if count.made == Some(*made) => by_hand.counted += 1,
                (Outcome::NotWorked, None) => {}
                (Outcome::Unread(why), _) => {
                    found.push(("cannot be worked by hand", format!("{why}: {}", line(row))));
                    by_hand.unread.entry(why.clone()).or_insert((0, line(row).to_owned())).0 += 1;
                }
                // The verifier lists no foundation that makes no stitch.
                (Outcome::Made(_), None) if line(row).starts_with("Ch ") => {}
                (outcome, count) => found.push((
                    "by hand it comes out otherwise",
                    format!("size {size}, {outcome:?}, verified {:?}: {}", count.map(|count| count.made), line(row)),
                )),
            }
        }
    }
}

fn worked(rows: &[&RowReport], size: usize) -> Vec<Worked> {
    let of_size = rows.iter().filter(|row| row.kind != RowKind::Foundation).filter_map(|row| {
        let count = row.counts.get(size)?.as_ref()?;
        (count.verdict == Verdict::Right).then_some(())?;
        Some(Worked { number: count.number?, times: count.times, available: count.available, made: count.made })
    });
    of_size.collect()
}

/// Rows, counts, measurements and checkpoints of one piece in one size.
fn one_piece(plan: &Plan, graded: &Graded, size: usize, piece: usize, rows: &[Worked], found: &mut Vec<Fault>) {
    let of_size = &graded.sizes[size];
    let sections: Vec<&GradedSection> = of_size.sections.iter().filter(|section| section.piece == piece).collect();
    let planned = &plan.pieces[piece];
    let at = |what: String| format!("size {size}, piece {piece}: {what}");
    if sections.len() != planned.sections.len() {
        return found.push(("sections are missing", at(String::new())));
    }
    let mut numbers: Vec<u64> = rows.iter().flat_map(|row| row.number..row.number + row.times).collect();
    let in_order = numbers.is_sorted_by(|one, next| one < next);
    if !in_order {
        found.push(("a size works a number twice or out of order", at(format!("{numbers:?}"))));
    }
    numbers.sort_unstable();
    let Some(route) = of_size.route.iter().find(|route| route.piece == piece) else {
        return found.push(("no route", at(String::new())));
    };
    let routed: Vec<u64> = route.works.iter().flat_map(|(from, to)| *from..=*to).collect();
    if routed != numbers {
        found.push(("the route is not what is worked", at(format!("{route:?}, works {numbers:?}"))));
    }
    let last = numbers.last().copied().unwrap_or(0);
    let gaps: Vec<u64> = (1..=last).filter(|number| !numbers.contains(number)).collect();
    let told: Vec<u64> = route.leaves_out.iter().copied().filter(|number| *number <= last).collect();
    if gaps != told {
        found.push(("left out, but not told so", at(format!("gaps {gaps:?}, {route:?}"))));
    }
    let mut next = 1;
    let mut height = 0.0;
    for (section, planned_section) in sections.iter().zip(&planned.sections) {
        let (width, row) = gauge(plan, planned_section.stitch);
        height += row.to_millimetres() * section.rows as f64;
        let (Some(first), Some(last)) = (section.first_row, section.last_row) else {
            found.push(("a section without rows", at(format!("{section:?}"))));
            continue;
        };
        if first != next || last < first {
            found.push(("rows of sections do not run through", at(format!("{next} is next: {section:?}"))));
        }
        next = last + 1;
        let own: Vec<&Worked> = rows.iter().filter(|row| (first..=last).contains(&row.number)).collect();
        let count: u64 = own.iter().map(|row| row.times).sum();
        if count != section.rows {
            found.push(("a section has other rows than it says", at(format!("{count} worked: {section:?}"))));
        }
        counts(section, planned, planned_section, &own, &mut |kind, what| found.push((kind, at(what))));
        let most = own.iter().filter_map(|row| row.made).max().unwrap_or(0);
        let seen = Seen { width, row, height, most, plan, planned: planned_section, size };
        for finished in &section.finished {
            seen.finished(section, finished, &mut |kind, what| found.push((kind, at(what))));
        }
        for checkpoint in of_size.checkpoints.iter().filter(|check| check.piece == piece && check.after_row == last) {
            let what = match checkpoint.measured {
                "across" | "thick" => "diameter",
                "along one side" => "side",
                "deep" => "depth",
                "from the start" => "until",
                "long" => "length",
                other => other,
            };
            let near = |finished: &&Finished| {
                finished.what == what && (finished.made - checkpoint.expected).to_millimetres().abs() < 0.01
            };
            if !section.finished.iter().any(|finished| near(&finished)) {
                found.push(("a checkpoint is no measurement", at(format!("{checkpoint:?}: {section:?}"))));
            }
        }
    }
}

/// Counts at both ends of a section, and of the round before it.
fn counts(
    section: &GradedSection,
    piece: &Piece,
    planned: &Section,
    rows: &[&Worked],
    say: &mut dyn FnMut(&'static str, String),
) {
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return };
    let begins = planned == &piece.sections[0];
    if last.made != section.ends.first().copied() {
        say("a section ends on another count", format!("{:?} made: {section:?}", last.made));
    }
    let start = if section.spread.is_some() || begins { first.made } else { first.available };
    let mut spread = section.spread;
    let sleeve = begins && matches!(piece.start, Start::Sleeve(_));
    if sleeve {
        // Its stitches are taken up in a round of their own before.
        let second = rows.get(1);
        if let Some(told) = spread.take()
            && second.map(|row| (row.number, row.available, row.made))
                != Some((told.row, Some(told.from), Some(told.to)))
        {
            say("a spread round of a sleeve is another", format!("{:?}: {section:?}", second.map(|row| row.made)));
        }
    } else if start != Some(section.start) {
        say("a section begins on another count", format!("{start:?}: {section:?}"));
    }
    if let Some(spread) = spread
        && (first.number, first.available, first.made) != (spread.row, Some(spread.from), Some(spread.to))
    {
        say("a spread round is another", format!("{:?} to {:?}: {section:?}", first.available, first.made));
    }
    if let Some(spread) = section.spread
        && (planned.join == evenround_calc::grading::solve::Join::Equal
            || spread.from == spread.to
            || spread.from > 2 * spread.to
            || spread.to > 2 * spread.from)
    {
        say("a spread round that may not be", format!("{section:?}"));
    }
    let keeps = matches!(planned.shape, Shape::Even { width: None });
    if keeps && section.spread.is_some() {
        say("a section without a width does not continue the count", format!("{section:?}"));
    }
    if let Shape::Even { .. } = planned.shape
        && rows.iter().skip(usize::from(sleeve)).any(|row| planned.rows.is_empty() && row.made != Some(section.start))
    {
        say("an even section is not even", format!("{section:?}"));
    }
    if let Some(Extent::Rows(wanted)) = planned.extent {
        // The round that takes up a sleeve, and one that spreads, come on top.
        let own = section.rows
            - u64::from(section.spread.is_some())
            - u64::from(begins && matches!(piece.start, Start::Sleeve(_)));
        if own != wanted {
            say("other rows than were asked for", format!("{wanted}: {section:?}"));
        }
    }
}

/// What one section measures.
struct Seen<'a> {
    width: Length,
    row: Length,
    /// Of the piece with this section, in millimetres.
    height: f64,
    /// The most stitches of a row.
    most: u64,
    plan: &'a Plan,
    planned: &'a Section,
    size: usize,
}

impl Seen<'_> {
    fn finished(&self, section: &GradedSection, finished: &Finished, say: &mut dyn FnMut(&'static str, String)) {
        let (width, row) = (self.width.to_millimetres(), self.row.to_millimetres());
        let end = |at: usize| section.ends.get(at).map_or(0.0, |count| *count as f64 * width);
        let rows = (section.rows - u64::from(section.spread.is_some())) as f64;
        let corners = if let Shape::Polygon { corners, .. } = self.planned.shape { corners as f64 } else { 3.0 };
        let (corner, corners) = ((PI / corners).tan(), corners);
        let oval = matches!(self.planned.shape, Shape::Oval { .. });
        let body = matches!(self.planned.shape, Shape::Ball { .. } | Shape::Revolve { .. });
        // What it comes to, and the step in which it can change.
        let (made, step) = match finished.what {
            "circumference" | "body" => (end(0), width),
            "width" if oval => (2.0 * rows * row, 2.0 * row),
            "width" if !matches!(self.planned.shape, Shape::Triangle { .. }) => (end(0), width),
            "sleeve" => (end(1), width),
            "neck" => (section.start as f64 * width, width),
            "underarm" => ((finished.made.to_millimetres() / width).round() * width, width),
            "diameter" if body => (self.most as f64 * width / PI, width / PI),
            "diameter" => (2.0 * rows * row, 2.0 * row),
            "side" => (rows * row * 2.0 * corner, row * 2.0 * corner),
            "length" if oval => (finished.made.to_millimetres(), width),
            "length" => (section.rows as f64 * row, row),
            "until" => (self.height, row),
            "slant" => (rows * row, row),
            _ => (finished.made.to_millimetres(), TAU * row * corners),
        };
        if (finished.made.to_millimetres() - made).abs() > 0.05 {
            say("a measurement is not what it is made of", format!("{made:.2} mm: {finished:?} {section:?}"));
        }
        let Some(target) = self.target(finished.what) else {
            if finished.target.is_some() && finished.what != "across" {
                say("a target that nobody set", format!("{finished:?}"));
            }
            return;
        };
        match finished.target {
            Some(told) if (told.to_millimetres() - target).abs() < 1e-6 => {}
            _ => return say("another target than was set", format!("{target:.2} mm: {finished:?}")),
        }
        let tolerance = self.planned.tolerance.unwrap_or(self.plan.tolerance);
        // Half a step is as near as rows come; counts of a width must be within the tolerance as they are.
        let by_rows =
            !matches!(finished.what, "circumference" | "width" | "body" | "sleeve" | "neck" | "underarm") || oval;
        let cone = matches!(self.planned.shape, Shape::Cone { .. });
        // Counts of a body that are held to a multiple come no nearer than half of it.
        let multiple = match self.planned.shape {
            Shape::Ball { increases, .. } | Shape::Cone { increases, .. } | Shape::Revolve { increases, .. }
                if finished.what != "slant" =>
            {
                increases.unwrap_or(1)
            }
            _ => 1,
        };
        let step = step * multiple as f64;
        let room = if by_rows || cone { (target * tolerance).max(step / 2.0) } else { target * tolerance };
        if (finished.made.to_millimetres() - target).abs() > room * (1.0 + 1e-6) + 1e-6 * target + 0.002 {
            say("out of tolerance", format!("room {room:.2} mm: {finished:?} {section:?}"));
        }
    }

    fn target(&self, what: &str) -> Option<f64> {
        let demand = match (&self.planned.shape, what) {
            (Shape::Circle { size: CircleSize::Around(demand), .. }, "circumference")
            | (Shape::Circle { size: CircleSize::Across(demand), .. }, "diameter")
            | (Shape::Taper { to: demand, .. }, "circumference" | "width")
            | (Shape::Even { width: Some(demand) }, "circumference" | "width")
            | (Shape::Ball { across: demand, .. } | Shape::Revolve { across: Some(demand), .. }, "diameter")
            | (Shape::Cone { around: demand, .. } | Shape::CircularYoke { around: demand, .. }, "circumference")
            | (Shape::Cone { slant: demand, .. }, "slant")
            | (Shape::Oval { long: demand, .. }, "length")
            | (Shape::Oval { wide: demand, .. }, "width")
            | (Shape::Polygon { side: demand, .. }, "side")
            | (Shape::Triangle { depth: demand }, "depth")
            | (Shape::RaglanYoke { body: demand, .. }, "body")
            | (Shape::RaglanYoke { sleeve: demand, .. }, "sleeve")
            | (Shape::RaglanYoke { neck: demand, .. }, "neck")
            | (Shape::RaglanYoke { underarm: demand, .. }, "underarm") => demand,
            (_, "length" | "until") => match &self.planned.extent {
                Some(Extent::Length(demand)) if what == "length" => demand,
                Some(Extent::Until(demand)) if what == "until" => demand,
                _ => return None,
            },
            _ => return None,
        };
        Some(wanted(self.plan, demand, self.size))
    }
}

/// What a demand comes to in one size, in millimetres.
pub fn wanted(plan: &Plan, demand: &Demand, size: usize) -> f64 {
    let from = match &demand.of {
        Wanted::Length(length) => *length,
        Wanted::Each(each) => each[size],
        Wanted::Measure(name) => {
            let measures = &plan.sizes[size].measures;
            measures.iter().find(|(other, _)| other == name).expect("a measure that the plan has").1
        }
    };
    let from = from.to_millimetres();
    let eased = match demand.ease {
        Ease::None => from,
        Ease::Share(share) => from + from * share,
        Ease::By(length) => from + length.to_millimetres(),
    };
    eased - demand.less.to_millimetres()
}

/// Multiples are those that a maker finds, and all counts of all sizes fit.
fn multiples(plan: &Plan, graded: &Graded, found: &mut Vec<Fault>) {
    for (piece, section) in
        plan.pieces.iter().enumerate().flat_map(|(at, piece)| piece.sections.iter().map(move |s| (at, s)))
    {
        let Some(texture) = Texture::of_rows(&section.rows, section.stitch, plan.terms) else { continue };
        let told = graded.multiples.iter().find(|told| told.piece == piece && told.section == section.name);
        if told.is_none_or(|told| (told.of, told.plus) != (texture.of, texture.plus)) {
            found.push(("another multiple", format!("{} + {}: {told:?}", texture.of, texture.plus)));
        }
        for size in &graded.sizes {
            for own in size.sections.iter().filter(|own| own.piece == piece && own.name == section.name) {
                if !texture.fits(own.start) || own.ends != [own.start] {
                    found.push(("a repeat does not come out", format!("{own:?}")));
                }
            }
        }
    }
}

/// Counts do not shrink where the target grows.
fn order(plan: &Plan, graded: &Graded, found: &mut Vec<Fault>) {
    for two in graded.sizes.windows(2) {
        for (before, now) in two[0].sections.iter().zip(&two[1].sections) {
            let is_length = |what: &str| what == "length" || what == "until" || what == "slant";
            for (before, now) in before.finished.iter().zip(&now.finished).filter(|(one, _)| !is_length(one.what)) {
                let (Some(one), Some(other)) = (before.target, now.target) else { continue };
                let shrinks = (before.made - now.made).to_millimetres() > 1e-6;
                if (other - one).to_millimetres() > 1e-9 && shrinks {
                    found.push(("shrinks where its target grows", format!("{before:?} {now:?} {}", plan.title)));
                }
            }
        }
    }
}

/// What is more than half a multiple off is said, and so are sizes that are alike.
fn notes(plan: &Plan, graded: &Graded, found: &mut Vec<Fault>) {
    let named = |words: &[&str]| graded.notes.iter().any(|note| words.iter().all(|word| note.contains(word)));
    for size in &graded.sizes {
        for section in &size.sections {
            let planned = plan.pieces[section.piece].sections.iter().find(|planned| planned.name == section.name);
            let Some(planned) = planned else { continue };
            let (width, height) = gauge(plan, planned.stitch);
            let texture = match planned.shape {
                Shape::Cone { increases, .. } => increases.unwrap_or(1),
                _ => Texture::of_rows(&planned.rows, planned.stitch, plan.terms).map_or(1, |texture| texture.of),
            };
            let height = height.to_millimetres();
            for finished in &section.finished {
                let stitches = |count: u64| width.to_millimetres() * count as f64;
                let step = match (&planned.shape, finished.what) {
                    // Both halves are alike, and so are both sides of a sleeve.
                    (Shape::RaglanYoke { .. }, "body" | "sleeve" | "neck") => stitches(2),
                    (Shape::RaglanYoke { .. }, "underarm") => stitches(1),
                    (Shape::Circle { size: CircleSize::Across(_), .. }, "diameter") | (Shape::Oval { .. }, "width") => {
                        2.0 * height
                    }
                    (Shape::Polygon { corners, .. }, "side") => 2.0 * height * (PI / *corners as f64).tan(),
                    (Shape::Ball { increases, .. } | Shape::Revolve { increases, .. }, "diameter") => {
                        stitches(increases.unwrap_or(1)) / PI
                    }
                    (Shape::Oval { .. } | Shape::Triangle { .. }, _) => continue,
                    (_, "circumference" | "width") => stitches(texture),
                    _ => continue,
                };
                let Some(difference) = finished.difference() else { continue };
                let missed = difference.to_millimetres().abs() > step / 2.0 + 1e-5;
                if missed && !named(&[&size.name, &section.name, finished.what]) {
                    found.push(("misses its target and no note says so", format!("{} {finished:?}", size.name)));
                }
            }
        }
    }
    for two in graded.sizes.windows(2) {
        let ends = |at: usize| two[at].sections.iter().map(|section| &section.ends).collect::<Vec<_>>();
        if ends(0) == ends(1) && !named(&[&two[0].name, &two[1].name]) {
            found.push(("sizes are alike and no note says so", format!("{} {}", two[0].name, two[1].name)));
        }
    }
}
