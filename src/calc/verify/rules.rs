//! What each rule means, as data: the one source of the rules' pages, of links in findings, and of the test that holds the
//! rules to their own words.

mod counts;
mod order;
mod words;

#[cfg(test)]
mod tests;

use super::report::Rule;

/// One rule explained to a maker, with three written patterns that show where it begins and ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Page {
    /// The rule.
    pub rule: Rule,
    /// What it means, in one sentence.
    pub summary: &'static str,
    /// Why it matters to whoever makes the piece.
    pub why: &'static str,
    /// How the working in its message is to be read.
    pub working: &'static str,
    /// What to do about it.
    pub remedy: &'static str,
    /// A pattern that draws this rule and no other.
    pub fails: &'static str,
    /// A pattern as close to it as can be that does not draw it.
    pub near_miss: &'static str,
    /// Why the near miss does not.
    pub near_miss_because: &'static str,
    /// The failing pattern mended: it draws nothing.
    pub repaired: &'static str,
}

/// The page of a rule.
///
/// ```
/// use evenround_calc::verify::{Request, Rule, rules, verify};
///
/// let page = rules::page(Rule::StitchesLeftOver);
/// let answer = verify(&Request::of(page.fails)).unwrap();
/// assert_eq!(answer.findings[0].rule, Rule::StitchesLeftOver);
/// assert!(verify(&Request::of(page.repaired)).unwrap().holds);
/// ```
pub const fn page(rule: Rule) -> &'static Page {
    match rule {
        Rule::CountMismatch => &counts::COUNT_MISMATCH,
        Rule::StitchesRunOut => &counts::STITCHES_RUN_OUT,
        Rule::StitchesLeftOver => &counts::STITCHES_LEFT_OVER,
        Rule::RepeatDoesNotDivide => &counts::REPEAT_DOES_NOT_DIVIDE,
        Rule::FoundationMismatch => &counts::FOUNDATION_MISMATCH,
        Rule::TurningChainDrift => &counts::TURNING_CHAIN_DRIFT,
        Rule::PlaceNotFound => &words::PLACE_NOT_FOUND,
        Rule::RowNumberGap => &order::ROW_NUMBER_GAP,
        Rule::RowNumberRepeated => &order::ROW_NUMBER_REPEATED,
        Rule::SizeListLength => &order::SIZE_LIST_LENGTH,
        Rule::RepeatWithoutExtent => &order::REPEAT_WITHOUT_EXTENT,
        Rule::RowNotFound => &order::ROW_NOT_FOUND,
        Rule::TermsMixed => &words::TERMS_MIXED,
        Rule::UnknownStitch => &words::UNKNOWN_STITCH,
        Rule::DefinitionUnclear => &words::DEFINITION_UNCLEAR,
        Rule::MultipleMismatch => &counts::MULTIPLE_MISMATCH,
        Rule::PiecesDoNotMeet => &counts::PIECES_DO_NOT_MEET,
        Rule::PieceDoesNotAddUp => &counts::PIECE_DOES_NOT_ADD_UP,
        Rule::MeasurementMismatch => &counts::MEASUREMENT_MISMATCH,
        Rule::TurnMissing => &order::TURN_MISSING,
        Rule::ConventionOpen => &words::CONVENTION_OPEN,
        Rule::TooLarge => &counts::TOO_LARGE,
        Rule::Unread => &words::UNREAD,
    }
}
