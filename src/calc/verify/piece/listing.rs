//! The rows of a range in the answer: those that count the same are one entry, blocks that come round are not spelled out.

use crate::verify::report::SizeCount;

/// Rows of a range that differ are listed one by one up to this many.
const LISTED_ROWS: usize = 500;

/// Adds a row's counts; rows that count the same are one entry.
pub(super) fn push(listed: &mut Vec<SizeCount>, count: SizeCount) {
    if let Some(last) = listed.last_mut() {
        let same = (last.available, last.used, last.made, last.spaces)
            == (count.available, count.used, count.made, count.spaces)
            && last.structure == count.structure;
        let follows = match (last.number, count.number) {
            (Some(before), Some(now)) => before.saturating_add(last.times) == now,
            (None, None) => true,
            _ => false,
        };
        if same && follows {
            last.times = last.times.saturating_add(count.times);
            last.stated = count.stated;
            last.stated_as = count.stated_as;
            last.made_as_stated = count.made_as_stated;
            last.verdict = count.verdict;
            return;
        }
    }
    if listed.len() < LISTED_ROWS {
        listed.push(count);
    } else if let Some(last) = listed.last_mut() {
        // Beyond the cap only the last row is kept.
        *last = count;
    }
}

/// A block that comes back to where it began is not worked again.
pub(super) fn skip_blocks(listed: &mut Vec<SizeCount>, block: u64, blocks: u64) {
    let Some(last) = listed.last() else { return };
    if last.times >= block {
        if let Some(last) = listed.last_mut() {
            last.times = last.times.saturating_add(block.saturating_mul(blocks));
        }
        return;
    }
    let mut phases: Vec<SizeCount> = Vec::new();
    let mut covered = 0;
    for count in listed.iter().rev() {
        phases.push(count.clone());
        covered += count.times;
        if covered >= block {
            break;
        }
    }
    phases.reverse();
    let mut number = last.number.map(|number| number.saturating_add(last.times));
    let one_by_one = blocks.saturating_mul(phases.len() as u64) + listed.len() as u64 <= LISTED_ROWS as u64;
    for _ in 0..if one_by_one { blocks } else { 1 } {
        for phase in &phases {
            let mut count = phase.clone();
            count.number = number;
            count.times = if one_by_one { phase.times } else { phase.times.saturating_mul(blocks) };
            number = number.map(|number| number.saturating_add(phase.times));
            if one_by_one { push(listed, count) } else { listed.push(count) }
        }
    }
}
