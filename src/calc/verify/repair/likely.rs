//! How likely a value is, from the rows and sizes beside it.

use super::candidates::Line;
use crate::notation::token::{Kind, Token};
use crate::standards::{StitchId, StitchKind, stitch};
use std::hash::{DefaultHasher, Hash, Hasher};

/// A token without its number, for comparing rows that are written alike.
pub(super) fn shape(text: &str, token: &Token) -> u64 {
    let mut hasher = DefaultHasher::new();
    match token.kind {
        Kind::Number(_) => 0u8.hash(&mut hasher),
        _ => token.span.of(text).to_lowercase().hash(&mut hasher),
    }
    hasher.finish()
}

/// A plain stitch, as opposed to a chain or slip stitch.
pub(super) fn is_plain(kind: StitchId) -> bool {
    kind != StitchId::CHAIN && kind != StitchId::SLIP_STITCH && stitch(kind).kind == StitchKind::Basic
}

/// What the neighbours say of the numbers of a row.
pub(super) struct Likeness<'l> {
    line: &'l Line,
    /// Rows written alike, by how many rows they are away.
    alike: Vec<(i64, Vec<u64>)>,
    /// For each number, the list of sizes that it stands in and its place there.
    lists: Vec<Option<(Vec<u64>, usize)>>,
    /// Numbers that stand in equal phrases of the row.
    twins: Vec<Vec<u64>>,
}

impl<'l> Likeness<'l> {
    pub(super) fn of(text: &str, line: &'l Line, sisters: &[(i64, &Line)]) -> Self {
        let alike = sisters
            .iter()
            .filter(|(_, sister)| sister.skeleton == line.skeleton && sister.numbers.len() == line.numbers.len())
            .map(|(by, sister)| (*by, sister.numbers.iter().map(|(_, value)| *value).collect()))
            .collect();
        Self { line, alike, lists: lists(line), twins: twins(text, line) }
    }

    /// What the rows before and after lead one to expect.
    pub(super) fn expected(&self, nth: usize) -> Vec<u64> {
        let value = |by: i64| {
            self.alike.iter().find(|(other, _)| *other == by).and_then(|(_, values)| values.get(nth)).copied()
        };
        let mut expected = Vec::new();
        if let (Some(before), Some(after)) = (value(-1), value(1))
            && before.saturating_add(after).is_multiple_of(2)
        {
            expected.push(before.saturating_add(after) / 2);
        }
        for (near, far) in [(-1, -2), (1, 2)] {
            if let (Some(near), Some(far)) = (value(near), value(far)) {
                expected.extend(near.checked_mul(2).and_then(|twice| twice.checked_sub(far)));
            }
        }
        if let Some(Some((list, at))) = self.lists.get(nth) {
            expected.extend(even_step(list, *at));
        }
        expected
    }

    /// The cost of another value; less where the neighbours have it.
    pub(super) fn cost(&self, nth: usize, old: u64, new: u64, sizes: usize) -> i32 {
        let mut cost = match old.abs_diff(new) {
            1 => 0,
            2 => 2,
            _ => 4,
        };
        let expected = self.expected(nth);
        if !expected.is_empty() {
            if expected.contains(&new) && !expected.contains(&old) {
                cost -= 6;
            } else if expected.contains(&old) {
                cost += 4;
            }
        }
        if self.twins.get(nth).is_some_and(|twins| !twins.is_empty()) {
            let twins = &self.twins[nth];
            if twins.contains(&new) && !twins.contains(&old) {
                cost -= 3;
            } else if twins.contains(&old) {
                cost += 2;
            }
        }
        // Rows of the same words have the same numbers where nothing grows.
        let same = self.alike.iter().filter(|(by, _)| by.abs() == 1).filter_map(|(_, values)| values.get(nth));
        for neighbour in same {
            if *neighbour == new {
                cost -= 1;
            } else if *neighbour == old {
                cost += 1;
            }
        }
        if let Some(Some((list, at))) = self.lists.get(nth)
            && sizes > 1
        {
            let mut changed = list.clone();
            changed[*at] = new;
            match uneven(&changed).cmp(&uneven(list)) {
                std::cmp::Ordering::Less => cost -= 4,
                std::cmp::Ordering::Greater => cost += 3,
                std::cmp::Ordering::Equal => {}
            }
        }
        let _ = self.line;
        cost
    }
}

/// Size lists of a row: `12 (15, 18, 21)`, with every number's place in its list.
fn lists(line: &Line) -> Vec<Option<(Vec<u64>, usize)>> {
    let mut found = vec![None; line.numbers.len()];
    let token = |at: usize| line.tokens.get(at).map(|token| token.kind);
    let mut nth = 0;
    while nth < line.numbers.len() {
        let first = line.numbers[nth].0;
        if !matches!(token(first + 1), Some(Kind::Open(_))) {
            nth += 1;
            continue;
        }
        let mut members = vec![nth];
        let mut at = first + 2;
        let mut next = nth + 1;
        while next < line.numbers.len() && line.numbers[next].0 == at {
            members.push(next);
            next += 1;
            at += 1;
            match token(at) {
                Some(Kind::Comma | Kind::Dash | Kind::Slash | Kind::Colon | Kind::Semicolon) => at += 1,
                _ => break,
            }
        }
        if members.len() > 1 && matches!(token(at), Some(Kind::Close(_))) {
            let values: Vec<u64> = members.iter().map(|member| line.numbers[*member].1).collect();
            for (place, member) in members.iter().enumerate() {
                found[*member] = Some((values.clone(), place));
            }
            nth = next;
        } else {
            nth += 1;
        }
    }
    found
}

/// How far a list is from growing by even steps.
fn uneven(list: &[u64]) -> u64 {
    let steps: Vec<i64> = list.windows(2).map(|pair| (pair[1] as i64).saturating_sub(pair[0] as i64)).collect();
    steps.windows(2).map(|pair| pair[0].abs_diff(pair[1])).fold(0, u64::saturating_add)
}

/// The value that would let a list grow by even steps at this place.
fn even_step(list: &[u64], at: usize) -> Option<u64> {
    let value = |at: usize| list.get(at).copied();
    if at > 0
        && let (Some(before), Some(after)) = (value(at - 1), value(at + 1))
    {
        return before.saturating_add(after).is_multiple_of(2).then_some(before.saturating_add(after) / 2);
    }
    if at == 0 {
        return (value(1)?.saturating_mul(2)).checked_sub(value(2)?);
    }
    (value(at - 1)?.saturating_mul(2)).checked_sub(value(at.checked_sub(2)?)?)
}

/// For each number, the other numbers of the row with the same words around them.
fn twins(text: &str, line: &Line) -> Vec<Vec<u64>> {
    let around = |at: usize| -> [Option<u64>; 4] {
        let shape = |at: Option<usize>| at.and_then(|at| line.tokens.get(at)).map(|token| shape(text, token));
        [shape(at.checked_sub(2)), shape(at.checked_sub(1)), shape(Some(at + 1)), None]
    };
    line.numbers
        .iter()
        .enumerate()
        .map(|(nth, (at, _))| {
            line.numbers
                .iter()
                .enumerate()
                .filter(|(other, (place, _))| *other != nth && around(*place) == around(*at))
                .map(|(_, (_, value))| *value)
                .collect()
        })
        .collect()
}
