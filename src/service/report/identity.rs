//! What a finding is called from one run to the next: edits elsewhere in the text leave its name as it was.

use std::collections::HashMap;

use data_encoding::HEXLOWER;
use evenround_calc::verify::{Finding, Verification};
use sha2::{Digest, Sha256};

/// So many bytes of the digest are kept.
const KEPT: usize = 16;

/// A name for each finding, in their order: made from its rule, piece, row and sizes, and from how many before it in the
/// text have all of these in common. Lines, columns, counts and wording are not in it.
pub fn names(verification: &Verification) -> Vec<String> {
    let mut seen: HashMap<[u8; 32], u64> = HashMap::new();
    verification
        .findings
        .iter()
        .map(|finding| {
            let ordinal = seen.entry(kind(finding)).and_modify(|before| *before += 1).or_default();
            let mut digest = Sha256::new();
            digest.update(kind(finding));
            digest.update(ordinal.to_be_bytes());
            HEXLOWER.encode(&digest.finalize()[..KEPT])
        })
        .collect()
}

/// What two findings have in common that only their order tells apart.
fn kind(finding: &Finding) -> [u8; 32] {
    let mut digest = Sha256::new();
    let fixed = [finding.rule.name(), &finding.piece, &finding.row];
    for part in fixed.into_iter().chain(finding.sizes.iter().map(String::as_str)) {
        // With its length before it no part can run into the next.
        digest.update((part.len() as u64).to_be_bytes());
        digest.update(part);
    }
    digest.finalize().into()
}

#[cfg(test)]
mod tests {
    use evenround_calc::verify::{Place, Rule};

    use super::*;

    fn finding(rule: Rule, piece: &str, row: &str, sizes: &[&str], line: u32) -> Finding {
        Finding {
            rule,
            severity: rule.severity(),
            piece: piece.to_owned(),
            row: row.to_owned(),
            sizes: sizes.iter().map(|size| (*size).to_owned()).collect(),
            message: format!("found in line {line}"),
            place: Place { line, ..Place::default() },
            expected: Some(u64::from(line)),
            actual: None,
            suspect: None,
            fixes: Vec::new(),
        }
    }

    fn names_of(findings: Vec<Finding>) -> Vec<String> {
        names(&Verification { findings, ..Verification::default() })
    }

    #[test]
    fn whatever_tells_findings_apart_is_in_their_names_and_nothing_else() {
        let rule = Rule::CountMismatch;
        let all = names_of(vec![
            finding(rule, "Cap", "Rnd 1", &["Small"], 1),
            finding(Rule::Unread, "Cap", "Rnd 1", &["Small"], 1),
            finding(rule, "Brim", "Rnd 1", &["Small"], 1),
            finding(rule, "Cap", "Rnd 2", &["Small"], 1),
            finding(rule, "Cap", "Rnd 1", &["Small", "Large"], 1),
            finding(rule, "Cap", "Rnd 1", &["SmallLarge"], 1),
            finding(rule, "CapRnd", " 1", &["Small"], 1),
            finding(rule, "Cap", "Rnd 1", &["Small"], 9),
        ]);
        let mut distinct = all.clone();
        distinct.sort();
        distinct.dedup();
        assert_eq!(distinct.len(), all.len(), "{all:?}");
        assert_eq!(names_of(vec![finding(rule, "Cap", "Rnd 1", &["Small"], 5)]), all[..1], "the line is not in it");
    }
}
