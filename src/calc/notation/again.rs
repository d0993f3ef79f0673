//! How often, and which rows again: `6 times`, `x 6`, `rep from * around`, `Rep Rows 3 and 4`, `same as Rnd 3`.

use super::number::Num;
use super::place;
use super::scan::Scan;
use super::token::Kind;
use super::tree::{Act, Again, Edit, Extent, Rows, Step};
use super::words::Key;

/// How often, behind a closed unit: `x 6`, `6 times`, `* 6`, `around`, `rep from * to * 3 times`, `repeat 6 times`.
pub fn times(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Extent, usize)> {
    let mut i = at;
    let mut repeats = false;
    let mut marks = false;
    // "repeat from * to *", "rep between * *", "repeat *-*", "(rep. 30 times)"
    if scan.key(i) == Some(Key::Repeat) {
        repeats = true;
        i += 1;
        if scan.kind(i) == Some(Kind::Stop) && i + 1 < end && scan.number(i + 1).is_some() {
            i += 1;
        }
        let mut j = i;
        while j < end {
            match scan.kind(j) {
                Some(Kind::Star(_) | Kind::DoubleStar | Kind::Plus) => {
                    // "rep from * * 6": a star before a number multiplies once the marks are named.
                    if marks
                        && scan.number(j + 1).is_some()
                        && scan.kind(j) == Some(Kind::Star(b'*'))
                        && scan.key(j - 1) != Some(Key::To)
                        && scan.key(j - 1) != Some(Key::And)
                    {
                        break;
                    }
                    marks = true;
                    j += 1;
                    i = j;
                }
                Some(Kind::Word(_)) if between_marks(scan, j) => {
                    if scan.key(j) == Some(Key::Beginning) {
                        i = j + 1;
                    }
                    j += 1;
                }
                Some(Kind::Dash | Kind::Quote) if marks => j += 1,
                Some(Kind::Open(_) | Kind::Close(_)) if scan.is(j - 1, &[Key::From, Key::To]) => {
                    marks = true;
                    j += 1;
                    i = j;
                }
                _ => break,
            }
        }
    } else if scan.key(i) == Some(Key::Work) && scan.number(i + 1).is_some() && scan.key(i + 2) == Some(Key::Time) {
        i += 1;
    } else if scan.key(i) == Some(Key::For)
        && scan.is(i + 1, &[Key::A])
        && scan.key(i + 2) == Some(Key::Total)
        && scan.key(i + 3) == Some(Key::Of)
    {
        let count = scan.number(i + 4)?;
        let next = if matches!(scan.kind(i + 5), Some(Kind::Word(_))) { i + 6 } else { i + 5 };
        return Some((Extent::Times(count), next));
    } else if scan.span(i).of(scan.text).eq_ignore_ascii_case("complete") {
        i += 1;
    }
    if scan.kind(i) == Some(Kind::Comma) && repeats {
        // "rep from *, 3 more times" is rare but clear.
        if scan.number(i + 1).is_some() {
            i += 1;
        }
    }
    if let Some((extent, next)) = counted(scan, i, end, repeats, marks) {
        return Some((extent, next));
    }
    if let Some((extent, next)) = place::extent(scan, i, end) {
        return Some((extent, next));
    }
    if let Some(found) = super::phrase::old_style::until_each(scan, i, end).filter(|_| repeats) {
        return Some(found);
    }
    // "rep from * in each dc around"
    if repeats
        && scan.key(i) == Some(Key::In)
        && scan.is(i + 1, &[Key::Each, Key::All])
        && let Some(found) = place::place(scan, i, end)
        && matches!(found.extent, Some(Extent::Fill(_)))
    {
        return Some((Extent::Fill(Num::ZERO), found.next));
    }
    repeats.then_some((Extent::Unsaid, i))
}

/// Words that stand between the marks of "rep from * to *"; "to last 2 sts" is an extent.
fn between_marks(scan: &Scan<'_>, at: usize) -> bool {
    if scan.key(at) == Some(Key::To) {
        let mark = scan.kind(at + 1);
        return matches!(mark, Some(Kind::Star(_) | Kind::DoubleStar | Kind::Close(_) | Kind::Open(_) | Kind::Plus));
    }
    scan.is(at, &[Key::From, Key::Between, Key::And, Key::Beginning, Key::First, Key::The])
}

/// Behind a closing bracket; a comma may stand between.
pub fn bracket_suffix(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Extent, usize)> {
    let mut i = at;
    if matches!(scan.kind(i), Some(Kind::Comma | Kind::Semicolon | Kind::Stop)) && scan.key(i + 1) == Some(Key::Repeat)
    {
        i += 1;
    }
    if i >= end {
        return None;
    }
    // "(rep 30 times)" in a bracket of its own.
    if matches!(scan.kind(i), Some(Kind::Open(_)))
        && let Some(close) = scan.closing(i, end)
        && let Some((extent, next)) = times(scan, i + 1, close)
        && next == close
        && extent != Extent::Unsaid
    {
        return Some((extent, close + 1));
    }
    if scan.key(i) == Some(Key::Repeat) && rows(scan, i, end).is_some() {
        return None;
    }
    let (extent, next) = times(scan, i, end)?;
    // "(…) repeat" without marks of its own belongs to the bracket; "rep from *" belongs to a star.
    if scan.key(i) == Some(Key::Repeat)
        && (i..next).any(|j| matches!(scan.kind(j), Some(Kind::Star(_) | Kind::DoubleStar)))
    {
        return None;
    }
    Some((extent, next))
}

/// `6 times`, `6x`, `x 6`, `* 6`, `twice`, `5 more times`, `6 times in all`, `once more`.
fn counted(scan: &Scan<'_>, at: usize, end: usize, repeats: bool, marks: bool) -> Option<(Extent, usize)> {
    let mut i = at;
    if i >= end {
        return None;
    }
    let multiplied = scan.key(i) == Some(Key::X) || matches!(scan.kind(i), Some(Kind::Times | Kind::Star(b'*')));
    if multiplied {
        let count = scan.number(i + 1)?;
        let mut next = i + 2;
        if scan.key(next) == Some(Key::Time) {
            next += 1;
        }
        // "* 2 sc, inc" opens a unit: a multiplier is followed by nothing that could be worked.
        if matches!(scan.kind(i), Some(Kind::Star(_)))
            && (scan.stitchy(next)
                || scan.chain(next).is_some()
                || repeats && marks && scan.key(next) == Some(Key::More))
        {
            return None;
        }
        return Some((Extent::Times(count), next));
    }
    let (count, more_word, next) = if let Some(word) = scan.key(i).and_then(|key| match key {
        Key::Once => Some(1),
        Key::Twice => Some(2),
        Key::Thrice => Some(3),
        _ => None,
    }) {
        (Num::small(word), scan.key(i + 1) == Some(Key::More), i + 1)
    } else {
        if scan.key(i) == Some(Key::A) && scan.key(i + 1) == Some(Key::Total) {
            i += 2;
            if scan.key(i) == Some(Key::Of) {
                i += 1;
            }
            let count = scan.number(i)?;
            let next = if scan.key(i + 1) == Some(Key::Time) { i + 2 } else { i + 1 };
            return Some((Extent::Times(count), next));
        }
        let another = scan.key(i) == Some(Key::More);
        if another {
            i += 1;
        }
        let count = scan.number(i)?;
        let mut next = i + 1;
        let more = another || scan.key(next) == Some(Key::More);
        if scan.key(next) == Some(Key::More) {
            next += 1;
        }
        if matches!(scan.kind(next), Some(Kind::Times))
            || scan.key(next) == Some(Key::X)
            || scan.key(next) == Some(Key::Time)
        {
            next += 1;
            // "time(s)"
            if matches!(scan.kind(next), Some(Kind::Open(_))) && scan.glued(next) && scan.is_letter(next + 1, b's') {
                next += 3;
            }
        } else if !more {
            return None;
        }
        (count, more || scan.key(next) == Some(Key::More), next)
    };
    let mut next = next;
    if scan.key(next) == Some(Key::More) {
        next += 1;
    }
    // "times in all", "times in total", "times altogether"
    let mut all = false;
    if scan.is(next, &[Key::In]) && scan.is(next + 1, &[Key::All, Key::Total]) {
        all = true;
        next += 2;
    } else if scan.is(next, &[Key::Total]) {
        all = true;
        next += 1;
    } else if scan.key(next) == Some(Key::Around) {
        next += 1;
    }
    let extent = if all {
        Extent::Times(count)
    } else if more_word {
        Extent::More(count)
    } else if repeats && marks {
        Extent::Open(count)
    } else {
        Extent::Times(count)
    };
    Some((extent, next.min(end)))
}

/// Numbers that can only be of rows: behind "as" with nothing behind them, behind "rep" in a list.
fn bare_rows(scan: &Scan<'_>, at: usize, end: usize) -> bool {
    let ends = |i: usize| {
        i >= end
            || matches!(
                scan.kind(i),
                Some(Kind::Stop | Kind::Newline | Kind::Comma | Kind::Semicolon | Kind::Dash | Kind::Close(_)) | None
            )
    };
    if at == 0 || scan.number(at).is_none() {
        return false;
    }
    match scan.key(at - 1) {
        Some(Key::As) => ends(at + 1) && (at + 2 >= end || scan.number(at + 2).is_none()),
        Some(Key::Repeat) => {
            (scan.kind(at + 1) == Some(Kind::Ampersand) || scan.key(at + 1) == Some(Key::And))
                && scan.number(at + 2).is_some()
                && ends(at + 3)
        }
        _ => false,
    }
}

/// `Rep Row 2`, `Repeat last 2 rows 4 more times`, `rep Rows 3 and 4 six times`, at the word `rep`.
pub fn rows(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Act, usize)> {
    // "Work Rnds 6-9 two more times"
    let worked = scan.key(at) == Some(Key::Work)
        && scan.is(at + 1, &[Key::Row, Key::Rows, Key::Round, Key::Rounds, Key::R])
        && scan.number(at + 2).is_some();
    if scan.key(at) != Some(Key::Repeat) && !worked {
        return None;
    }
    let (mut act, next) = reference(scan, at + 1, end)?;
    let Act::Again(again) = &mut act else { return None };
    // "Rep Row 2 and Row 3", "Rep Rows 2-5 six more times"
    let mut next = next;
    let mut i = next;
    if scan.kind(i) == Some(Kind::Comma) && scan.number(i + 1).is_some() {
        i += 1;
    }
    if let Some((extent, behind)) = counted(scan, i, end, true, false) {
        again.times = Some(extent);
        next = behind;
    } else if scan.key(i) == Some(Key::For)
        && scan.number(i + 1).is_some()
        && scan.is(i + 2, &[Key::Row, Key::Rows, Key::Round, Key::Rounds])
    {
        // "rep Row 2 for 5 rows"
        again.times = scan.number(i + 1).map(Extent::Times);
        next = i + 3;
    }
    Some((act, next))
}

/// `but with 3 sc between increases`, `working 4 dc instead of 3`, behind a reference to a row.
pub fn edit(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Edit, usize)> {
    let mut i = at;
    while scan.is(i, &[Key::But, Key::With, Key::Work, Key::Have]) && i < end {
        i += 1;
    }
    if let Some(found) = bracketed(scan, i, end) {
        return Some(found);
    }
    let new = scan.number(i)?;
    let making = scan.making(i + 1)?;
    let mut i = making.next;
    if scan.is(i, &[Key::Stitch]) {
        i += 1;
    }
    if scan.key(i) == Some(Key::Between) {
        i += 1;
        while scan.is(i, &[Key::The, Key::Each, Key::All]) {
            i += 1;
        }
        return (scan.is(i, &[Key::Increase, Key::Decrease]) && i < end).then_some((Edit::Between(new), i + 1));
    }
    if scan.key(i) == Some(Key::Instead) && scan.key(i + 1) == Some(Key::Of) {
        let old = scan.number(i + 2)?;
        let mut next = i + 3;
        if scan.stitch(next).is_some() || scan.is(next, &[Key::Stitch]) {
            next += 1;
        }
        return (i + 2 < end).then_some((Edit::Instead { old, new }, next));
    }
    None
}

/// `each [ ] 4 times`, `the [ ] five times`: empty brackets stand for the units that the row has in such brackets.
fn bracketed(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Edit, usize)> {
    let mut i = at;
    while scan.is(i, &[Key::Each, Key::The, Key::All]) {
        i += 1;
    }
    let Some(Kind::Open(mark)) = scan.kind(i) else { return None };
    if scan.closing(i, end) != Some(i + 1) {
        return None;
    }
    let times = scan.number(i + 2)?;
    (i + 3 < end && scan.key(i + 3) == Some(Key::Time)).then_some((Edit::Bracketed { mark, times }, i + 4))
}

/// The steps of a row with a change; `None` where the change does not fit them.
pub fn edited(steps: &[Step], edit: Edit, text: &str) -> Option<Vec<Step>> {
    let mut steps = steps.to_vec();
    let mut hits = 0u32;
    if let Edit::Bracketed { mark, times } = edit {
        work_brackets(&mut steps, mark, times, text, &mut hits);
    } else {
        change(&mut steps, edit, &mut hits);
    }
    (hits > 0).then_some(steps)
}

/// Every unit in such brackets that is worked a number of times; what stands within it keeps its own.
fn work_brackets(steps: &mut [Step], mark: u8, times: Num, text: &str, hits: &mut u32) {
    for step in steps {
        match &mut step.act {
            Act::Repeat(repeat)
                if step.span.of(text).as_bytes().first() == Some(&mark)
                    && matches!(repeat.extent, Extent::Times(_)) =>
            {
                repeat.extent = Extent::Times(times);
                *hits += 1;
            }
            Act::Repeat(repeat) => work_brackets(&mut repeat.steps, mark, times, text, hits),
            _ => {}
        }
    }
}

fn change(steps: &mut [Step], edit: Edit, hits: &mut u32) {
    // Between increases: the plain stitches of a unit that has one.
    let shapes = steps.iter().any(|step| matches!(&step.act, Act::Work(work) if work.takes != work.makes));
    for step in steps {
        match &mut step.act {
            Act::Work(work) => match edit {
                Edit::Between(count) if shapes && work.takes == work.makes => {
                    work.extent = Extent::Times(count);
                    *hits += 1;
                }
                Edit::Instead { old, new } => {
                    if work.makes == old && old != Num::ONE {
                        work.makes = new;
                        *hits += 1;
                    } else if work.extent == Extent::Times(old) {
                        work.extent = Extent::Times(new);
                        *hits += 1;
                    }
                }
                Edit::Between(_) | Edit::Bracketed { .. } => {}
            },
            Act::Repeat(repeat) => change(&mut repeat.steps, edit, hits),
            Act::Group { steps, .. } => change(steps, edit, hits),
            _ => {}
        }
    }
}

/// `Row 2`, `Rows 3 and 4`, `2nd row`, `last 2 rows`, `last rnd`, `Rnd 3`, behind `rep`, `as`, `same as` or `=`.
pub fn reference(scan: &Scan<'_>, at: usize, end: usize) -> Option<(Act, usize)> {
    let mut i = at;
    while i < end
        && (scan.is(i, &[Key::As, Key::Like, Key::The, Key::For, Key::Work, Key::Same])
            || scan.key(i) == Some(Key::In) && scan.key(i + 1) == Some(Key::Same))
    {
        i += 1;
    }
    let row = |i: usize| scan.is(i, &[Key::Row, Key::Rows, Key::Round, Key::Rounds, Key::R]);
    let act = |rows: Rows| Act::Again(Again { rows, times: None, of: None });
    if scan.is(i, &[Key::Last, Key::Previous]) {
        i += 1;
        let count = scan.number(i);
        if count.is_some() {
            i += 1;
        }
        if !row(i) || i >= end {
            return None;
        }
        return Some((act(Rows::Last(count.unwrap_or(Num::ONE))), i + 1));
    }
    // "2nd row", "2nd and 3rd rows", "2nd-5th rows"
    if let Some((first, next)) = scan.ordinal(i) {
        let mut list = vec![(first, first)];
        let mut j = next;
        loop {
            let range = matches!(scan.kind(j), Some(Kind::Dash)) || scan.is(j, &[Key::To, Key::Through]);
            let listed = matches!(scan.kind(j), Some(Kind::Comma | Kind::Ampersand)) || scan.key(j) == Some(Key::And);
            let mut k = j + 1;
            if listed && scan.key(k) == Some(Key::And) {
                k += 1;
            }
            let Some((number, behind)) = scan.ordinal(k).filter(|_| range || listed) else { break };
            if range {
                if let Some(last) = list.last_mut() {
                    last.1 = number;
                }
            } else {
                list.push((number, number));
            }
            j = behind;
        }
        return (row(j) && j < end).then(|| (act(Rows::Numbers(list)), j + 1));
    }
    // "as 22", "rep 3 & 4" where the rows are plain numbers
    let bare = bare_rows(scan, i, end);
    if !row(i) && !bare || i >= end {
        return None;
    }
    if !bare {
        i += 1;
    }
    if scan.kind(i) == Some(Kind::Stop) && scan.number(i + 1).is_some() {
        i += 1;
    }
    let first = scan.number(i)?;
    i += 1;
    let mut list = vec![(first, first)];
    loop {
        let range = matches!(scan.kind(i), Some(Kind::Dash)) || scan.is(i, &[Key::To, Key::Through]);
        let listed =
            matches!(scan.kind(i), Some(Kind::Comma | Kind::Ampersand | Kind::Plus)) || scan.key(i) == Some(Key::And);
        if !range && !listed {
            break;
        }
        let mut next = i + 1;
        if listed && scan.key(next) == Some(Key::And) {
            next += 1;
        }
        let named = row(next);
        if named {
            next += 1;
        }
        let Some(number) = scan.number(next) else { break };
        // "Rep Row 2, 5 times" counts; "Rep Rows 2, 3 and 4" lists.
        if !named && (scan.is(next + 1, &[Key::Time, Key::More, Key::X, Key::Stitch]) || scan.stitchy(next + 1)) {
            break;
        }
        if range {
            if let Some(last) = list.last_mut() {
                last.1 = number;
            }
        } else {
            list.push((number, number));
        }
        i = next + 1;
    }
    // "Rows 1-12 of Leg 1"
    if scan.is(i, &[Key::Of, Key::From])
        && let Some((name, next)) = super::pieces::name(scan, i + 1, end)
    {
        return Some((Act::Again(Again { rows: Rows::Numbers(list), times: None, of: Some(name) }), next));
    }
    Some((act(Rows::Numbers(list)), i))
}
