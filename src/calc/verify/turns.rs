//! A row of a flat piece that does not say "turn" where the rows around it do.

use super::about::About;
use super::places::Lines;
use super::report::{Finding, Rule};
use crate::notation::tree::{Act, Pattern, Row, RowNumbers, RowWord};

/// So many rows turn for each that does not, else the pattern leaves its turns unsaid.
const TURNING_FOR_ONE: usize = 3;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Turns {
    /// It says so.
    Says,
    /// It could, and does not.
    Silent,
    /// It ends, joins, refers to other rows, or speaks of turning in another way.
    Apart,
}

/// Says which rows of a piece do not turn. `at_large` keeps whether the text speaks of turning outside its rows.
pub(super) fn of_piece(
    about: &About<'_>,
    at_large: &mut Option<bool>,
    lines: &mut Lines<'_>,
    findings: &mut Vec<Finding>,
) {
    let rows = &about.piece.rows;
    let turns: Vec<Turns> = rows.iter().map(|row| turning(about, row)).collect();
    let silent = turns.iter().rev().skip(1).filter(|turns| **turns == Turns::Silent).count();
    let says = turns.iter().filter(|turns| **turns == Turns::Says).count();
    if silent == 0 || says < silent * TURNING_FOR_ONE {
        return;
    }
    if *at_large.get_or_insert_with(|| said_at_large(about.text, about.pattern)) {
        return;
    }
    for at in 1..rows.len().saturating_sub(1) {
        // The chain for the next row, or the turn itself, may stand in a line of its own: that is no row to compare with.
        if turns[at] != Turns::Silent
            || turns[at - 1] != Turns::Says
            || turns[at + 1] != Turns::Says
            || turns_first(&rows[at + 1])
            || same_side(about, at)
        {
            continue;
        }
        let message = format!(
            "{}: it does not say \"turn\", the rows before and after it do. Counts are the same, but whoever does not turn works two rows from one side: add \"turn\", or say that the same side stays in front",
            about.label(at)
        );
        findings.push(about.finding(Rule::TurnMissing, at, rows[at].span, message, lines));
    }
}

fn turning(about: &About<'_>, row: &Row) -> Turns {
    let numbered = row.word == RowWord::Row && row.numbers != RowNumbers::None;
    let ends = |act: &Act| {
        matches!(act, Act::Join | Act::FastenOff | Act::Again(_) | Act::Unread | Act::Attach | Act::OnPiece(_))
    };
    if !numbered || row.steps.iter().any(|step| ends(&step.act)) {
        return Turns::Apart;
    }
    if row.steps.iter().any(|step| matches!(step.act, Act::Turn)) {
        return Turns::Says;
    }
    // "Do not turn", "without turning": it says so, in its own way.
    if row.span.of(about.text).to_ascii_lowercase().contains("turn") { Turns::Apart } else { Turns::Silent }
}

/// "Row 4: Turn, ch 1, …"
fn turns_first(row: &Row) -> bool {
    let mut steps = row.steps.iter().filter(|step| !matches!(step.act, Act::Aside | Act::Chain { .. }));
    steps.next().is_some_and(|step| matches!(step.act, Act::Turn))
}

/// "Row 3 (RS)", then "Row 4 (RS)": two rows from one side are meant.
fn same_side(about: &About<'_>, at: usize) -> bool {
    let side = |row: &Row| {
        let head: String = row.span.of(about.text).chars().take(24).collect();
        ["RS", "WS"].into_iter().find(|side| head.contains(side))
    };
    let now = side(about.row(at));
    now.is_some() && now == side(about.row(at + 1))
}

/// Whether the text speaks of turning outside its rows: "Turn at the end of every row". Then silence in a row is no slip.
fn said_at_large(text: &str, pattern: &Pattern) -> bool {
    let mut from = 0usize;
    let spans = pattern.pieces.iter().flat_map(|piece| piece.rows.iter().map(|row| row.span));
    let end = crate::notation::token::Span { start: text.len() as u32, end: text.len() as u32 };
    spans.chain([end]).any(|span| {
        let between = text.get(from..(span.start as usize).max(from)).unwrap_or("");
        from = from.max(span.end as usize);
        between.split(|c: char| !c.is_alphabetic()).any(|word| word.eq_ignore_ascii_case("turn"))
    })
}

#[cfg(test)]
mod tests {
    use crate::verify::{Request, Rule, verify};

    const PLAIN: &str = "Ch 1, sc in each st across";

    fn silent(rows: &[&str]) -> Vec<String> {
        let mut text = "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n".to_owned();
        for (at, row) in rows.iter().enumerate() {
            text.push_str(&format!("Row {}: {row} (10)\n", at + 2));
        }
        let answer = verify(&Request::of(&text)).unwrap();
        assert!(answer.holds, "{:#?}", answer.findings);
        assert!(answer.findings.iter().all(|finding| finding.rule == Rule::TurnMissing), "{:#?}", answer.findings);
        answer.findings.into_iter().map(|finding| finding.row).collect()
    }

    fn turn() -> String {
        format!("{PLAIN}, turn.")
    }

    #[test]
    fn one_row_that_does_not_turn_among_many_that_do() {
        let (turn, plain) = (turn(), format!("{PLAIN}."));
        assert_eq!(silent(&[&turn, &plain, &turn, &turn]), ["Row 3"]);
    }

    #[test]
    fn the_last_row_and_a_pattern_that_never_says_it_are_no_slips() {
        let (turn, plain) = (turn(), format!("{PLAIN}."));
        assert!(silent(&[&turn, &turn, &plain]).is_empty());
        assert!(silent(&[&plain, &plain, &turn, &plain, &plain]).is_empty());
    }

    #[test]
    fn whoever_says_that_it_is_not_turned_means_it() {
        let (turn, told) = (turn(), format!("{PLAIN}, do not turn."));
        assert!(silent(&[&turn, &told, &turn, &turn]).is_empty());
    }

    #[test]
    fn a_turn_at_the_beginning_of_the_next_row_is_one() {
        let (turn, plain) = (turn(), format!("{PLAIN}."));
        assert!(silent(&[&turn, &plain, "Turn, ch 1, sc in each st across, turn.", &turn]).is_empty());
    }

    #[test]
    fn a_note_on_turning_speaks_for_all_rows() {
        let text = "Turn at the end of every row.\n\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\nRow 2: Ch 1, sc in each st across, turn. (10)\nRow 3: Ch 1, sc in each st across. (10)\nRow 4: Ch 1, sc in each st across, turn. (10)\nRow 5: Ch 1, sc in each st across. (10)\n";
        assert!(verify(&Request::of(text)).unwrap().findings.is_empty());
    }
}
