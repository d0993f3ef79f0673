//! Changes one thing in the model of a pattern.

use super::faults::Class;
use super::model::{Body, Clause, Extent, Manner, Marking, Number, Pattern, Said};
use super::tape::Tape;

/// Where a number stands: in the foundation, or in a row.
pub(super) type Site = Option<usize>;

/// Changes one thing; the row in which it is, `Some(None)` for the foundation.
pub(super) fn mutate(class: Class, pattern: &mut Pattern, tape: &mut Tape<'_>) -> Option<Site> {
    match class {
        Class::PrintedCount => {
            let row = tape.index(pattern.rows.len());
            let by = tape.between(1, 3);
            let more = tape.once_in(2);
            for n in &mut pattern.rows[row].stated.as_mut()?.each {
                *n = if more { *n + by } else { n.checked_sub(by).filter(|n| *n > 0)? };
            }
            Some(Some(row))
        }
        Class::Foundation => {
            pattern.foundation_chain()?;
            let more = tape.once_in(2);
            pattern.foundation.each.iter_mut().for_each(|n| *n = if more { *n + 1 } else { *n - 1 });
            Some(None)
        }
        Class::OneSize => one_size(pattern, tape),
        Class::BeginningChain => {
            let chain = pattern.beginning.filter(|chain| chain.said == Said::AtTop)?;
            let (row, clauses) = own_phrases(pattern, tape)?;
            clauses.insert(0, if chain.counts { Clause::FirstAgain } else { Clause::FirstSkipped });
            Some(Some(row))
        }
        _ => {
            let sizes = pattern.sizes.len();
            let (row, clauses) = own_phrases(pattern, tape)?;
            change_phrase(class, sizes, clauses, tape)?;
            Some(Some(row))
        }
    }
}

impl Pattern {
    /// The foundation chain of a flat piece.
    fn foundation_chain(&self) -> Option<&Number> {
        (self.manner == Manner::Flat).then_some(&self.foundation)
    }
}

/// The phrases of a row that no other row repeats, so that one change is one fault.
fn own_phrases<'a>(pattern: &'a mut Pattern, tape: &mut Tape<'_>) -> Option<(usize, &'a mut Vec<Clause>)> {
    let row = 1 + tape.index(pattern.rows.len() - 1);
    own_phrases_of(pattern, row).map(|clauses| (row, clauses))
}

pub(super) fn own_phrases_of(pattern: &mut Pattern, row: usize) -> Option<&mut Vec<Clause>> {
    if pattern.is_repeated(row) {
        return None;
    }
    match &mut pattern.rows[row].body {
        Body::Phrases(clauses) => Some(clauses),
        _ => None,
    }
}

/// One phrase of the row comes to say something else.
fn change_phrase(class: Class, sizes: usize, clauses: &mut [Clause], tape: &mut Tape<'_>) -> Option<()> {
    let index = tape.index(clauses.len());
    let up = tape.once_in(2);
    let inside = tape.once_in(2);
    let clause = &mut clauses[index];
    let deep = |clause: &mut Clause, tape: &mut Tape<'_>| -> Option<()> {
        match clause {
            Clause::Repeat { body, .. } => change_phrase(class, sizes, body, tape),
            _ => None,
        }
    };
    match (class, clause) {
        (Class::Consumption, Clause::Plain { count, .. } | Clause::Skip { count }) => shift(count, up, 1, 1),
        (Class::Consumption, clause @ Clause::Increase { .. }) => {
            let Clause::Increase { last, say } = *clause else {
                return None;
            };
            *clause = Clause::Plain { count: Number::new(vec![2; sizes]), last, say };
            Some(())
        }
        (Class::Consumption, clause @ Clause::Decrease { .. }) => {
            *clause = Clause::Plain { count: Number::new(vec![1; sizes]), last: false, say: 0 };
            Some(())
        }
        (Class::Consumption, Clause::Repeat { body, .. }) => {
            // Only what keeps the stitches made: a word for another, not a number of the repeat.
            let shape = body.iter_mut().find(|c| matches!(c, Clause::Increase { .. } | Clause::Decrease { .. }))?;
            change_phrase(class, sizes, std::slice::from_mut(shape), tape)
        }
        (Class::Repeat, Clause::Repeat { extent: Extent::Times(times), marking, .. }) if !inside => {
            shift(times, up, 1, if *marking == Marking::OpenStar { 2 } else { 1 })
        }
        (Class::Repeat, Clause::Repeat { extent: Extent::ToLast(leave), .. }) if !inside => shift(leave, up, 1, 1),
        (Class::Repeat, Clause::Repeat { body, .. }) => body.iter_mut().find_map(|clause| match clause {
            Clause::Plain { count, .. } => Some(shift(count, up, 1, 1)),
            _ => None,
        })?,
        (Class::WordSwapped, clause @ Clause::Increase { .. }) => {
            *clause = Clause::Decrease { say: 0 };
            Some(())
        }
        (Class::WordSwapped, clause @ Clause::Decrease { .. }) => {
            *clause = Clause::Increase { last: false, say: 0 };
            Some(())
        }
        (Class::WordSwapped, Clause::Repeat { body, extent: Extent::Times(_), .. }) if inside => {
            let clause = body.iter_mut().find(|clause| match clause {
                Clause::Plain { count, .. } => count.each.iter().all(|n| *n == 1),
                Clause::Increase { .. } => up,
                _ => false,
            })?;
            let each = if matches!(clause, Clause::Increase { .. }) { 2 } else { 1 };
            *clause = Clause::EachForNext { each };
            Some(())
        }
        (Class::WordSwapped, clause) => deep(clause, tape),
        _ => None,
    }
}

/// Makes a number a little larger or smaller in every size, but never less than `least`.
fn shift(number: &mut Number, up: bool, by: u64, least: u64) -> Option<()> {
    for n in &mut number.each {
        *n = if up { *n + by } else { n.checked_sub(by).filter(|n| *n >= least)? };
    }
    Some(())
}

/// Every number of the pattern that is printed as a list, with the row that it stands in and the least that it may be.
pub(super) fn lists(pattern: &mut Pattern) -> Vec<(Site, u64, &mut Number)> {
    fn of_clauses<'a>(row: usize, clauses: &'a mut [Clause], found: &mut Vec<(Site, u64, &'a mut Number)>) {
        for clause in clauses {
            match clause {
                Clause::Plain { count, .. } | Clause::Skip { count } => found.push((Some(row), 1, count)),
                Clause::ToLast { leave } => found.push((Some(row), 1, leave)),
                Clause::Repeat { body, extent, marking } => {
                    match extent {
                        Extent::Times(times) => {
                            found.push((Some(row), if *marking == Marking::OpenStar { 2 } else { 1 }, times));
                        }
                        Extent::ToLast(leave) => found.push((Some(row), 1, leave)),
                        Extent::Fill | Extent::Unsaid => {}
                    }
                    of_clauses(row, body, found);
                }
                _ => {}
            }
        }
    }
    let repeated: Vec<bool> = (0..pattern.rows.len()).map(|row| pattern.is_repeated(row)).collect();
    let mut found = Vec::new();
    if pattern.manner == Manner::Flat {
        found.push((None, 4, &mut pattern.foundation));
    }
    for (index, row) in pattern.rows.iter_mut().enumerate() {
        if let Some(stated) = &mut row.stated {
            found.push((Some(index), 1, stated));
        }
        if let Body::Phrases(clauses) = &mut row.body
            && !repeated[index]
        {
            of_clauses(index, clauses, &mut found);
        }
    }
    found.retain(|(_, _, number)| number.is_list());
    found
}

/// One size's number of one list becomes another.
fn one_size(pattern: &mut Pattern, tape: &mut Tape<'_>) -> Option<Site> {
    let mut lists = lists(pattern);
    if lists.is_empty() {
        return None;
    }
    let index = tape.index(lists.len());
    let (site, least, number) = &mut lists[index];
    let size = tape.index(number.each.len());
    let by = tape.between(1, 3);
    let up = tape.once_in(2);
    let n = &mut number.each[size];
    *n = if up { *n + by } else { n.checked_sub(by).filter(|n| n >= least)? };
    number.is_list().then_some(*site)
}
