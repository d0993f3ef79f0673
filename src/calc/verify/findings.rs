//! Findings: one fault, one finding, with the working, in a maker's words.

use super::piece::{Fault, FaultKind, Fits, Gap, Outcome};
use super::places::Lines;
use super::report::{Finding, Reading, Rule, Severity, Suspect, Verification};
use super::solve::Solved;
use super::work::Misnamed;
use crate::notation::token::Span;
use crate::notation::tree::{Act, Pattern, Piece, Row, Step, Target};
use crate::standards::stitch;

struct Place<'t> {
    text: &'t str,
    pattern: &'t Pattern,
    name: &'t str,
    row: &'t Row,
}

/// Findings on the rows of one piece.
pub(super) fn of_piece(
    text: &str,
    pattern: &Pattern,
    piece: &Piece,
    name: &str,
    solved: &Solved,
    lines: &mut Lines<'_>,
    findings: &mut Vec<Finding>,
) {
    for (at, row) in piece.rows.iter().enumerate() {
        let here = Place { text, pattern, name, row };
        let outcomes: Vec<Option<&Outcome>> = solved.outcomes.iter().map(|rows| rows[at].as_ref()).collect();
        let gap = outcomes.iter().flatten().find_map(|outcome| outcome.gap);
        let failing: Vec<(usize, Fault)> = outcomes
            .iter()
            .enumerate()
            .filter_map(|(size, outcome)| outcome.and_then(|outcome| outcome.fault).map(|fault| (size, fault)))
            .filter(|(_, fault)| fault.kind != FaultKind::List)
            .collect();
        if let Some(gap) = gap {
            findings.push(number_fault(&here, gap, &outcomes, &failing, lines));
        } else if let Some(finding) = row_fault(&here, &failing, lines) {
            findings.push(finding);
        }
        if let Some(span) = outcomes.iter().flatten().find_map(|outcome| outcome.filled) {
            let message = format!(
                "{}: this repeat does not say how often; it was worked to the end of the row. Add \"around\", \"across\" or a number",
                here.label()
            );
            let finding = here.finding(
                Rule::RepeatWithoutExtent,
                Rule::RepeatWithoutExtent.severity(),
                pattern.sizes.clone(),
                message,
                span,
                lines,
            );
            findings.push(finding);
        }
        if row.reading == Reading::Read && outcomes.iter().flatten().any(|outcome| outcome.undecided) {
            let message = format!(
                "{}: it was read, but where its stitches go could not be decided, so it is not verified; say in order what is worked into which stitch and which space",
                here.label()
            );
            findings.push(here.finding(
                Rule::Unread,
                Rule::Unread.severity(),
                pattern.sizes.clone(),
                message,
                row.span,
                lines,
            ));
        }
        if row.reading != Reading::Read && !remarked(pattern, row) {
            findings.push(unread(&here, lines));
        } else if let Some(misnamed) = outcomes.iter().flatten().find_map(|outcome| outcome.stale)
            && failing.is_empty()
        {
            findings.push(stale(&here, misnamed, lines));
        }
    }
}

/// A text without any row: said, so that nobody takes the silence for praise.
pub(super) fn of_nothing(text: &str, lines: &mut Lines<'_>) -> Finding {
    let end = text.trim_end().len() as u32;
    Finding {
        rule: Rule::Unread,
        severity: Rule::Unread.severity(),
        piece: String::new(),
        row: String::new(),
        sizes: Vec::new(),
        message: "no row or round was found; begin each with its name, such as \"Row 1:\" or \"Rnd 1:\"".to_owned(),
        place: lines.place(Span { start: 0, end }),
        expected: None,
        actual: None,
        suspect: None,
        fixes: Vec::new(),
    }
}

/// Findings that reading alone shows.
pub(super) fn of_text(text: &str, pattern: &Pattern, lines: &mut Lines<'_>, answer: &mut Verification) {
    let names = super::names(pattern);
    let rows: Vec<(usize, &Row)> =
        pattern.pieces.iter().enumerate().flat_map(|(at, piece)| piece.rows.iter().map(move |row| (at, row))).collect();
    let found: std::collections::HashSet<(String, String)> =
        answer.findings.iter().map(|finding| (finding.piece.clone(), finding.row.clone())).collect();
    for remark in &pattern.remarks {
        // Rows stand in the order of the text.
        let at = rows.partition_point(|(_, row)| row.span.end < remark.span.end);
        let owner = rows.get(at).filter(|(_, row)| row.span.start <= remark.span.start);
        let piece = owner.map_or_else(String::new, |(at, _)| names[*at].clone());
        let row = owner.map_or_else(String::new, |(_, row)| super::label(text, row));
        // A repeat that already failed needs no second word about its extent.
        if remark.rule == Rule::RepeatWithoutExtent && found.contains(&(piece.clone(), row.clone())) {
            continue;
        }
        let message = if row.is_empty() { remark.message.clone() } else { format!("{row}: {}", remark.message) };
        answer.findings.push(Finding {
            rule: remark.rule,
            severity: remark.rule.severity(),
            piece,
            row,
            sizes: pattern.sizes.clone(),
            message,
            place: lines.place(remark.span),
            expected: remark.expected,
            actual: remark.actual,
            suspect: None,
            fixes: Vec::new(),
        });
    }
}

fn remarked(pattern: &Pattern, row: &Row) -> bool {
    pattern.remarks_in(row.span).any(|remark| remark.rule == Rule::SizeListLength)
}

impl Place<'_> {
    fn label(&self) -> String {
        super::label(self.text, self.row)
    }

    fn sizes(&self, sizes: impl Iterator<Item = usize>) -> Vec<String> {
        sizes.map(|size| self.pattern.sizes[size].clone()).collect()
    }

    fn finding(
        &self,
        rule: Rule,
        severity: Severity,
        sizes: Vec<String>,
        message: String,
        span: Span,
        lines: &mut Lines<'_>,
    ) -> Finding {
        Finding {
            rule,
            severity,
            piece: self.name.to_owned(),
            row: self.label(),
            sizes,
            message,
            place: lines.place(if span.end > span.start { span } else { self.row.span }),
            expected: None,
            actual: None,
            suspect: None,
            fixes: Vec::new(),
        }
    }
}

/// The numbers of the rows do not go on by one. Where the row also fails, the missing row is the reason.
fn number_fault(
    here: &Place<'_>,
    gap: Gap,
    outcomes: &[Option<&Outcome>],
    failing: &[(usize, Fault)],
    lines: &mut Lines<'_>,
) -> Finding {
    let sizes = here.sizes(
        outcomes
            .iter()
            .enumerate()
            .filter(|(_, outcome)| outcome.is_some_and(|outcome| outcome.gap.is_some()))
            .map(|(size, _)| size),
    );
    let label = here.label();
    let severity = if failing.is_empty() { Severity::Warning } else { Severity::Error };
    let working = failing.first().map_or_else(String::new, |(_, fault)| {
        format!(" {label} does not follow from the row before it: {}.", working(fault))
    });
    let (rule, message, expected, actual) = match gap {
        Gap::Missing { from, to } => {
            let missing = if from == to {
                format!("number {from} is missing")
            } else {
                format!("numbers {from} to {to} are missing")
            };
            (
                Rule::RowNumberGap,
                format!("{label}: {missing} before this row.{working} Put the missing row in, or number the rows anew"),
                Some(from),
                None,
            )
        }
        Gap::Again { number } => (
            Rule::RowNumberRepeated,
            format!(
                "{label}: number {number} has been worked already.{working} Take the doubled row out, or number the rows anew"
            ),
            None,
            Some(number),
        ),
        Gap::Rows { numbered, worked } => (
            Rule::RowNumberGap,
            format!(
                "{label}: its numbers stand for {numbered} rows, what it says makes {worked}.{working} Mend the numbers of the row, the rows that are repeated, or how often"
            ),
            Some(numbered),
            Some(worked),
        ),
    };
    let span = if here.row.label.end > here.row.label.start { here.row.label } else { here.row.span };
    let mut finding = here.finding(rule, severity, sizes, message, span, lines);
    finding.expected = expected;
    finding.actual = actual;
    finding
}

/// `needs 31 of 30 stitches and makes 29 (29 printed)`.
fn working(fault: &Fault) -> String {
    let mut said = format!("{} available, {} used, {} made", fault.available, fault.used, fault.made);
    if let Some(stated) = fault.stated {
        said.push_str(&format!(", {stated} printed"));
    }
    said
}

fn rule_of(fault: &Fault) -> Rule {
    if fault.chain_turns_it {
        return Rule::TurningChainDrift;
    }
    match fault.kind {
        FaultKind::RunOut | FaultKind::LeftOver { .. } if fault.on_chain => Rule::FoundationMismatch,
        FaultKind::Count { .. } if fault.on_chain && fault.next_fits != Some(Fits::Made) => Rule::FoundationMismatch,
        // The printed count wants a chain or two more than there are: the chain is short, not the repeat wrong.
        FaultKind::Divide { .. }
            if fault.on_chain
                && fault.stated.is_some_and(|stated| stated > fault.available && stated <= fault.available + 2) =>
        {
            Rule::FoundationMismatch
        }
        FaultKind::Unmet { .. } => Rule::PiecesDoNotMeet,
        FaultKind::NoPlace => Rule::PlaceNotFound,
        FaultKind::RunOut => Rule::StitchesRunOut,
        FaultKind::LeftOver { .. } => Rule::StitchesLeftOver,
        FaultKind::Divide { .. } => Rule::RepeatDoesNotDivide,
        FaultKind::Count { .. } => Rule::CountMismatch,
        FaultKind::TooLarge => Rule::TooLarge,
        FaultKind::NoRow { .. } => Rule::RowNotFound,
        FaultKind::List => Rule::SizeListLength,
    }
}

/// The fault of a row, said once for all sizes that have it.
fn row_fault(here: &Place<'_>, failing: &[(usize, Fault)], lines: &mut Lines<'_>) -> Option<Finding> {
    let (_, first) = failing.first()?;
    // The sizes may trip over different things; the gravest is what the maker meets first.
    let chief = failing.iter().map(|(_, fault)| fault).min_by_key(|fault| match fault.kind {
        FaultKind::TooLarge => 0,
        FaultKind::RunOut | FaultKind::NoPlace | FaultKind::Unmet { .. } => 1,
        FaultKind::Divide { .. } => 2,
        FaultKind::LeftOver { .. } => 3,
        _ => 4,
    })?;
    let rule = rule_of(chief);
    let label = here.label();
    let several = here.pattern.sizes.len() > 1;
    let mut message = format!("{label}: {}", sentence(chief, rule, lines));
    if several {
        let all: Vec<String> = failing
            .iter()
            .take(8)
            .map(|(size, fault)| format!("{}: {}", here.pattern.sizes[*size], working(fault)))
            .collect();
        message.push_str(&format!(" ({})", all.join("; ")));
        let fine = here.pattern.sizes.len() - failing.len();
        if fine > 0 && failing.len() == 1 {
            message.push_str(". The other sizes come out, so look at this size's number in the lists of the row");
        }
    } else {
        message.push_str(&format!(" ({})", working(chief)));
    }
    match first.next_fits {
        Some(Fits::Made) if first.stated.is_some() => {
            message.push_str(". The next row fits what this row makes, so look at the printed count first")
        }
        Some(Fits::Printed) => message.push_str(". The next row fits the printed count, so look at the words first"),
        _ => {}
    }
    let span = match chief.kind {
        FaultKind::Count { .. } => here.row.stated.as_ref().map_or(here.row.span, |stated| stated.span),
        _ => chief
            .span
            .filter(|span| here.row.span.start <= span.start && span.end <= here.row.span.end)
            .unwrap_or(here.row.span),
    };
    let mut finding =
        here.finding(rule, Severity::Error, here.sizes(failing.iter().map(|(size, _)| *size)), message, span, lines);
    (finding.expected, finding.actual) = numbers(chief);
    finding.suspect = match first.next_fits {
        Some(Fits::Made) if first.stated.is_some() => Some(Suspect::Count),
        Some(Fits::Printed) => Some(Suspect::Words),
        _ => None,
    };
    Some(finding)
}

/// The text's number and ours.
fn numbers(fault: &Fault) -> (Option<u64>, Option<u64>) {
    match fault.kind {
        FaultKind::Count { expected, actual } => (Some(expected), Some(actual)),
        FaultKind::RunOut | FaultKind::LeftOver { .. } => match fault.stated.filter(|stated| *stated != fault.made) {
            Some(stated) => (Some(stated), Some(fault.made)),
            None => (Some(fault.used), Some(fault.available)),
        },
        FaultKind::Divide { over, .. } => (fault.stated.or(Some(over)), Some(fault.made)),
        FaultKind::NoRow { number } => (Some(number), None),
        FaultKind::Unmet { has, asked, .. } => (Some(asked), Some(has)),
        FaultKind::TooLarge | FaultKind::List | FaultKind::NoPlace => (None, None),
    }
}

fn sentence(fault: &Fault, rule: Rule, lines: &Lines<'_>) -> String {
    let counted = |count: u64| if count == 1 { "1 stitch".to_owned() } else { format!("{count} stitches") };
    match fault.kind {
        _ if rule == Rule::TurningChainDrift => {
            "it is one stitch off, and comes out if its beginning chain is read the other way; a chain that counts stands on the first stitch, one that does not leaves that stitch to be worked".to_owned()
        }
        FaultKind::Count { expected, actual } if rule == Rule::FoundationMismatch => {
            format!("{} can be worked on this foundation, {expected} are printed; check the foundation chain, the first chain worked into, and the count", counted(actual))
        }
        FaultKind::Count { expected, actual } => format!("it makes {}, {expected} are printed", counted(actual)),
        FaultKind::Unmet { piece, has, asked } => {
            format!("it asks {asked} stitches of {}, which ends with {has}; make the two agree", lines.of(piece))
        }
        FaultKind::RunOut if rule == Rule::FoundationMismatch => {
            format!("the foundation has {} to work into, this row needs {}", fault.available, fault.used)
        }
        FaultKind::RunOut => format!("stitches run out: it needs {}, the row below has {}", fault.used, fault.available),
        FaultKind::LeftOver { left } if rule == Rule::FoundationMismatch => format!("{left} of the foundation's chains are left unworked"),
        FaultKind::LeftOver { left } => {
            let verb = if left == 1 { "is" } else { "are" };
            format!("{} of the row below {verb} left over; if that is meant, say \"leave remaining sts unworked\"", counted(left))
        }
        FaultKind::Divide { over, unit, remainder } => {
            let below = over - remainder;
            format!("a repeat of {unit} over {} leaves {remainder}; {below} or {} would come out", counted(over), below + unit)
        }
        FaultKind::NoPlace => "it works into something that the row below does not have".to_owned(),
        FaultKind::TooLarge => "its numbers are larger than can be worked exactly (2^53 − 1)".to_owned(),
        FaultKind::NoRow { number } => format!("it refers to number {number}, which this piece has not worked before it"),
        FaultKind::List => "a size list does not have one number for each size".to_owned(),
    }
}

fn unread(here: &Place<'_>, lines: &mut Lines<'_>) -> Finding {
    fn first(steps: &[Step]) -> Option<Span> {
        steps.iter().find_map(|step| match &step.act {
            Act::Unread => Some(step.span),
            Act::Repeat(repeat) => first(&repeat.steps),
            Act::Group { steps, .. } => first(steps),
            _ => None,
        })
    }
    let span = first(&here.row.steps).unwrap_or(here.row.span);
    let words: String = span.of(here.text).split_whitespace().collect::<Vec<_>>().join(" ").chars().take(60).collect();
    let sizes = here.pattern.sizes.clone();
    // A name of the pattern's own, or a slip of the pen.
    let name = words.split(' ').find(|word| !word.starts_with(|c: char| c.is_ascii_digit())).unwrap_or("");
    let stitch_like = {
        let letters = name.trim_end_matches(|c: char| c.is_ascii_digit() || c == '-').to_ascii_lowercase();
        let own = letters.trim_end_matches("-sts").trim_end_matches("-st");
        own.len() < name.len()
            && !own.is_empty()
            && own.bytes().all(|byte| byte.is_ascii_alphabetic())
            && crate::notation::words::meaning(crate::notation::words::word(own.as_bytes()))
                .stitch(here.pattern.terms)
                .is_none()
            && crate::notation::words::meaning(crate::notation::words::word(own.as_bytes())).key.is_none()
    };
    if stitch_like
        || !name.is_empty()
            && name.bytes().all(|byte| byte.is_ascii_alphabetic())
            && crate::notation::words::word(name.as_bytes()) == crate::notation::words::WordId::OTHER
    {
        let message = format!(
            "{}: \"{name}\" is no stitch of the trade's list, so this row is not verified; spell it out in stitches that are, or check the row by hand",
            here.label()
        );
        return here.finding(Rule::UnknownStitch, Rule::UnknownStitch.severity(), sizes, message, span, lines);
    }
    let message = format!(
        "{}: \"{words}\" could not be read, so this row is not verified; write it with stitch names and numbers, or check the row by hand",
        here.label()
    );
    here.finding(Rule::Unread, Rule::Unread.severity(), sizes, message, span, lines)
}

fn stale(here: &Place<'_>, misnamed: Misnamed, lines: &mut Lines<'_>) -> Finding {
    let label = here.label();
    let message = if misnamed.others_first {
        let named = match misnamed.target {
            Target::Kind(kind) => stitch(kind).us.term,
            Target::Space(_) => "chain space",
            _ => "such place",
        };
        format!(
            "{label}: other stitches or spaces of the row below stand before the {named} that is named, and nothing is said of them. Skip them, work into them, or name what comes next"
        )
    } else {
        let named = match misnamed.target {
            Target::Kind(kind) => stitch(kind).us.term,
            Target::Space(_) => "chain space of that length",
            Target::Unit(..) => "stitches of that name",
            _ => "such place",
        };
        format!(
            "{label}: the row below has no {named}; the next stitch there was taken. Name the stitch or space that the row below really has"
        )
    };
    let sizes = here.pattern.sizes.clone();
    here.finding(Rule::PlaceNotFound, Rule::PlaceNotFound.severity(), sizes, message, misnamed.span, lines)
}

#[cfg(test)]
mod tests {
    use super::super::report::Request;
    use super::super::verify;

    /// The rows in which a place is named that the row below does not have.
    fn misnamed(text: &str) -> Vec<String> {
        let answer = verify(&Request::of(text)).expect("a pattern");
        assert!(answer.pieces.iter().flat_map(|piece| &piece.rows).all(|row| row.reading == super::Reading::Read));
        let of_names = answer.findings.into_iter().filter(|finding| finding.rule == super::Rule::PlaceNotFound);
        of_names.map(|finding| finding.row).collect()
    }

    const MESH: &str = "Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\n\
        Row 2: Ch 3 (counts as dc), dc in next sc, *ch 1, sk next sc, dc in next sc; rep from * to last sc, dc in last sc, turn. (7 dc, 4 ch-1 sps)\n\
        Row 3: Ch 1, sc in each dc and in each ch-1 sp across, turn. (11 sc)\n";

    #[test]
    fn every_stitch_and_every_space_of_a_mesh_goes_by_its_name() {
        assert_eq!(misnamed(MESH), [""; 0]);
        assert_eq!(misnamed(&MESH.replace("sc in each dc and", "sc in each tr and")), ["Row 3"]);
        assert_eq!(misnamed(&MESH.replace("in each ch-1 sp across", "in each ch-2 sp across")), ["Row 3"]);
        assert_eq!(misnamed(&MESH.replace("dc in next sc; rep", "sc in next sc; rep")), ["Row 3"]);
    }

    #[test]
    fn a_stitch_that_stands_behind_another_is_not_the_next_one() {
        let rows = |second: &str| {
            format!(
                "Ch 9.\nRow 1: Sc in 2nd ch from hook, dc in next ch, sc in next 2 ch, dc in next ch, sc in next 3 ch, turn. (8 sts)\nRow 2: Ch 1, {second}, turn.\n"
            )
        };
        let all = "sc in next sc, sc in next dc, sc in next 2 sc, sc in next dc, sc in next 3 sc";
        assert_eq!(misnamed(&rows(all)), [""; 0]);
        // The dc is passed over without a word.
        assert_eq!(
            misnamed(&rows("sc in next sc, sc in next sc, sc in next sc, sc in next dc, sc in next 3 sc")),
            ["Row 2"]
        );
        assert_eq!(
            misnamed(&rows("sc in next sc, sk next dc, sc in next 2 sc, sc in next dc, sc in next 3 sc")),
            [""; 0]
        );
    }

    #[test]
    fn a_name_that_only_the_beginning_chain_bears_is_no_name_for_the_row() {
        let round = |name: &str| {
            format!(
                "Rnd 1: 12 sc in magic ring; join. (12)\nRnd 2: Ch 3 (counts as dc), {name} in next 11 sc; join. (12)\nRnd 3: Ch 1, sc in each dc around; join.\n"
            )
        };
        assert_eq!(misnamed(&round("dc")), [""; 0]);
        assert_eq!(misnamed(&round("sc")), ["Rnd 3"]);
    }

    #[test]
    fn one_travels_over_stitches_by_their_name() {
        let round = |name: &str| {
            format!(
                "Rnd 1: Ch 3 (counts as dc), 11 dc in magic ring; join. (12)\nRnd 2: Ch 4 (counts as dc and ch 1), *dc in next dc, ch 1; rep from * around; join in 3rd ch of ch 4. (12 dc, 12 ch-1 sps)\nRnd 3: Sl st in next {name}, ch 1, sc in same sp, sc in each ch-1 sp around; join. (12)\n"
            )
        };
        assert_eq!(misnamed(&round("ch-1 sp")), [""; 0]);
        assert_eq!(misnamed(&round("ch-2 sp")), ["Rnd 3"]);
    }

    #[test]
    fn a_count_of_one_kind_counts_no_chains() {
        let right = "Rnd 1: 12 sc in magic ring; join. (12)\nRnd 2: Ch 1, *sc in next sc, ch 1; rep from * around; join. (24)\n";
        let answer = verify(&Request::of(right)).expect("a pattern");
        assert!(answer.holds, "all counted");
        let wrong = right.replace("(24)", "(24 sc)");
        assert!(!verify(&Request::of(&wrong)).expect("a pattern").holds, "12 of them are chains");
    }

    fn rules(text: &str) -> Vec<super::Rule> {
        let answer = verify(&Request::of(text)).expect("a pattern");
        answer.findings.iter().map(|finding| finding.rule).collect()
    }

    #[test]
    fn a_count_that_a_row_keeps_does_not_say_that_its_last_repeat_stops_early() {
        let cowl = |sts: u32| {
            format!(
                "Ch {sts}, join.\nRnd 1: Ch 1, sc in each ch around, join. ({sts})\nRnd 2: Ch 1, *sc in next st, dc in next st; rep from * around, join. ({sts})\n"
            )
        };
        assert_eq!(rules(&cowl(44)), []);
        assert_eq!(rules(&cowl(45)), [super::Rule::RepeatDoesNotDivide]);
        // Twice in 5 of 11 is a count that only an early stop can make.
        let told =
            "Rnd 1: 11 sc in magic ring. (11)\nRnd 2: *2 sc in next st, sc in next st; rep from * around. (17)\n";
        assert_eq!(rules(told), []);
    }

    #[test]
    fn two_in_each_of_two_skipped_stitches_are_four() {
        let row = |printed: u32| {
            format!(
                "Ch 14.\nRow 1: Sc in 2nd ch from hook and in each ch across. (13 sc)\nRow 2: Ch 1, turn, sc in first st, *sk next 2 sts, dc in each of next 2 sts, 2 dc in each of the 2 skipped sts; rep from * across. ({printed})\n"
            )
        };
        assert_eq!(rules(&row(1 + 3 * 6)), []);
        assert_eq!(rules(&row(13)), [super::Rule::CountMismatch]);
    }

    #[test]
    fn two_equations_may_share_a_line() {
        let text = "inc = 2 sc in one st, dec = sc2tog\n\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: Inc x 6. (12)\nRnd 3: Dec x 6. (6)\n";
        assert_eq!(rules(text), []);
    }

    #[test]
    fn a_sum_may_say_what_it_consists_of() {
        let text = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st. (12)\nRnd 3: (Popcorn in next st, sc in next 2 sts) around. [12: 4 popcorns]\nRnd 4: Sc even around. (12)\n";
        assert_eq!(rules(text), []);
    }

    #[test]
    fn beside_shells_only_a_beginning_chain_outside_them_may_be_counted_or_not() {
        let row = |sc: u32| {
            format!(
                "Ch 26.\nShell: 5 dc in same st.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (25 sc)\nRow 2: Ch 1, sc in first st, *sk 2 sts, shell in next st, sk 2 sts, sc in next st; rep from * across. (4 shells, {sc} sc)\n"
            )
        };
        assert_eq!(rules(&row(5)), []);
        assert_eq!(rules(&row(4)), [super::Rule::CountMismatch]);
        assert_eq!(rules(&row(6)), [super::Rule::CountMismatch]);
    }

    #[test]
    fn the_turning_chain_has_two_short_names() {
        for name in ["tch", "t-ch", "T-ch"] {
            let text = format!(
                "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across. (10)\nRow 2: Ch 3 (counts as dc), turn, sk first st, dc in each st across. (10)\nRow 3: Ch 1, turn, sc in each st to last st, sc in top of {name}. (10)\n"
            );
            assert_eq!(rules(&text), [], "{name}");
        }
    }
}
