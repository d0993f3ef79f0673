//! Own stitches whose explanation does not tell what they take and make: said once, where they are explained.

use super::about::enumerated;
use super::places::Lines;
use super::report::{Finding, Reading, Rule};
use crate::notation::tree::{Act, Definition, Pattern, Row, Step};
use crate::notation::words;

/// The unclear stitches that each definition comes to need, itself among them; a definition is one bit.
pub(super) struct Unclear {
    needs: Vec<u128>,
}

impl Unclear {
    pub(super) fn of(pattern: &Pattern) -> Self {
        let definitions = &pattern.definitions[..pattern.definitions.len().min(128)];
        if !definitions.iter().any(|definition| definition.unclear) {
            return Self { needs: Vec::new() };
        }
        let uses: Vec<u128> = definitions.iter().map(|definition| used(&definition.steps)).collect();
        let mut needs: Vec<u128> = definitions
            .iter()
            .enumerate()
            .map(|(at, definition)| if definition.unclear && named(&definition.name) { 1 << at } else { 0 })
            .collect();
        // A stitch may be explained by another one.
        loop {
            let next: Vec<u128> = (0..needs.len()).map(|at| needs[at] | all(&needs, uses[at])).collect();
            if next == needs {
                return Self { needs };
            }
            needs = next;
        }
    }

    /// The unclear stitches that a row uses.
    fn in_row(&self, row: &Row) -> u128 {
        if self.needs.is_empty() { 0 } else { all(&self.needs, used(&row.steps)) }
    }

    /// Takes back what was said of rows that only such a stitch keeps from being counted; the findings of the piece begin at
    /// `from`.
    pub(super) fn spare(&self, rows: &[Row], from: usize, findings: &mut Vec<Finding>) {
        if self.needs.is_empty() || findings.len() == from {
            return;
        }
        let spared: Vec<u32> = rows
            .iter()
            .filter(|row| row.reading == Reading::Read && self.in_row(row) != 0)
            .map(|row| row.span.start)
            .collect();
        let mut at = 0;
        findings.retain(|finding| {
            at += 1;
            at <= from || finding.rule != Rule::Unread || spared.binary_search(&finding.place.start).is_err()
        });
    }

    /// One finding for each unclear stitch that rows use.
    pub(super) fn report(&self, text: &str, pattern: &Pattern, lines: &mut Lines<'_>, findings: &mut Vec<Finding>) {
        if self.needs.is_empty() {
            return;
        }
        let names = super::names(pattern);
        let mut users: Vec<(Option<usize>, Vec<String>)> = vec![(None, Vec::new()); self.needs.len()];
        for (at, row) in
            pattern.pieces.iter().enumerate().flat_map(|(at, piece)| piece.rows.iter().map(move |row| (at, row)))
        {
            let mut used = self.in_row(row);
            while used != 0 {
                let definition = used.trailing_zeros() as usize;
                used &= used - 1;
                users[definition].0.get_or_insert(at);
                users[definition].1.push(super::label(text, row));
            }
        }
        for (definition, (piece, rows)) in pattern.definitions.iter().zip(users) {
            let Some(piece) = piece.filter(|_| definition.span.end > definition.span.start) else { continue };
            findings.push(Finding {
                rule: Rule::DefinitionUnclear,
                severity: Rule::DefinitionUnclear.severity(),
                piece: names[piece].clone(),
                row: String::new(),
                sizes: pattern.sizes.clone(),
                message: sentence(definition, &rows),
                place: lines.place(definition.span),
                expected: None,
                actual: None,
                suspect: None,
                fixes: Vec::new(),
            });
        }
    }
}

fn sentence(definition: &Definition, rows: &[String]) -> String {
    let name = &definition.name;
    let verb = if rows.len() == 1 { "uses it and is" } else { "use it and are" };
    format!(
        "\"{name}\": its explanation does not tell how it is counted, and {} {verb} not verified. Three numbers are missing: the places of the row below that one takes, the stitches that one makes, and the chains that one leaves behind it (0 for none). Write where the hook goes, what is worked there and how it is closed, or give the numbers with the request under stitches, as places, makes and chains",
        enumerated(rows)
    )
}

/// "Stitches (US names): …" heads a list, it names no stitch.
fn named(name: &str) -> bool {
    name.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .any(|word| words::meaning(words::word(word.as_bytes())).key.is_none())
}

fn all(needs: &[u128], mut used: u128) -> u128 {
    let mut sum = 0;
    while used != 0 {
        let at = used.trailing_zeros() as usize;
        used &= used - 1;
        sum |= needs.get(at).copied().unwrap_or(0);
    }
    sum
}

/// The own stitches that steps name. Nesting is capped where steps are read.
fn used(steps: &[Step]) -> u128 {
    steps.iter().fold(0, |sum, step| {
        sum | match &step.act {
            Act::Own(own) if own.definition < 128 => 1 << own.definition,
            Act::Repeat(repeat) => used(&repeat.steps),
            Act::Group { steps, .. } => used(steps),
            Act::Along { kinds, .. } => kinds.iter().fold(0, |sum, kind| sum | used(&kind.steps)),
            _ => 0,
        }
    })
}

#[cfg(test)]
mod tests {
    use crate::verify::{OwnStitch, Request, Rule, Verification, verify};

    const CLOTH: &str = "SPECIAL STITCH\nWhelk stitch (wk): as in the picture.\n\nCh 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11)\nRow 2: Ch 1, sc in first st, *wk in next st, sc in next st; rep from * across, turn. (11)\nRow 3: Ch 1, sc in each st across, turn. (11)\nRow 4: Ch 1, *wk in next st; rep from * across. (11)\n";

    fn rules(answer: &Verification) -> Vec<Rule> {
        answer.findings.iter().map(|finding| finding.rule).collect()
    }

    #[test]
    fn a_stitch_that_is_not_explained_is_asked_for_once_where_it_stands() {
        let answer = verify(&Request::of(CLOTH)).unwrap();
        assert_eq!(rules(&answer), [Rule::DefinitionUnclear], "{:#?}", answer.findings);
        let finding = &answer.findings[0];
        assert_eq!(finding.place.line, 2);
        for asked in ["Row 2 and Row 4", "places", "makes", "chains", "request"] {
            assert!(finding.message.contains(asked), "{}", finding.message);
        }
        assert!(!answer.holds, "rows that use it are not verified");
    }

    #[test]
    fn the_three_numbers_settle_it() {
        let stitches = vec![OwnStitch { name: "wk".to_owned(), places: 1, makes: 1, chains: 0 }];
        let answer = verify(&Request { stitches, ..Request::of(CLOTH) }).unwrap();
        assert!(answer.holds && answer.findings.is_empty(), "{:#?}", answer.findings);
    }

    #[test]
    fn a_stitch_that_no_row_uses_is_let_be() {
        let text = "Whelk stitch (wk): as in the picture.\n\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n";
        assert!(verify(&Request::of(text)).unwrap().findings.is_empty());
    }
}
