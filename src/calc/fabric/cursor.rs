//! A hook moving along the row below.

use super::{Builder, Item, Row, Run, Unit};
use crate::standards::StitchId;

/// What the hook looks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// The next place, whatever it is.
    Place,
    /// The next stitch of a kind; a chain that counts as one is one.
    Kind(StitchId),
    /// The next chain space, of this length where one is named.
    Space(Option<u32>),
    /// The next turning chain.
    TurningChain,
    /// A stitch or a space, whichever comes next.
    Station,
    /// The beginning of the next unit of this name; any unit for [`Unit::GROUP`].
    Unit(Unit),
    /// The end of a unit: the gap behind it.
    Gap,
}

impl Wanted {
    /// Whether an item is what is looked for.
    pub fn is(self, item: Item) -> bool {
        match self {
            Self::Place => item.is_place(),
            Self::Kind(kind) => {
                item.kind() == Some(kind) || matches!(item, Item::TurningChain { counts_as: Some(_), .. })
            }
            Self::Space(length) => match item {
                Item::Space(chains) => length.is_none_or(|wanted| wanted == chains),
                // Its missing part is a stitch, so it answers to any length.
                Item::Loop(_) => true,
                _ => false,
            },
            Self::TurningChain => matches!(item, Item::TurningChain { .. }),
            Self::Station => item.is_place() || item.is_space(),
            Self::Unit(Unit::GROUP) => matches!(item, Item::Open(_)),
            Self::Unit(unit) => item == Item::Open(unit),
            Self::Gap => matches!(item, Item::Close(_)),
        }
    }
}

#[derive(Debug, Clone)]
struct Frame<'r> {
    runs: &'r [Run],
    index: usize,
    /// Passes left of the repeat whose body this is, the current one included.
    passes: u64,
}

/// Where the hook is.
#[derive(Debug, Clone)]
pub struct Cursor<'r> {
    frames: Vec<Frame<'r>>,
    /// Items of the current run already passed.
    offset: u64,
    left: u64,
    /// The row itself, where its knots are known.
    row: Option<&'r Row>,
}

impl<'r> Cursor<'r> {
    /// At the beginning of a row.
    pub fn new(row: &'r Row) -> Self {
        Self {
            frames: vec![Frame { runs: row.runs(), index: 0, passes: 1 }],
            offset: 0,
            left: row.totals().places,
            row: (!row.ids().is_empty()).then_some(row),
        }
    }

    /// Places from here to the end of the row.
    pub const fn left(&self) -> u64 {
        self.left
    }

    /// The run under the hook; repeats whose end is reached are left on the way.
    fn run(&mut self) -> Option<&'r Run> {
        loop {
            let root = self.frames.len() == 1;
            let frame = self.frames.last_mut()?;
            if let Some(run) = frame.runs.get(frame.index) {
                return Some(run);
            }
            if root {
                return None;
            }
            if frame.passes > 1 {
                frame.passes -= 1;
                frame.index = 0;
            } else {
                self.frames.pop();
                self.next_run();
            }
        }
    }

    /// At the end of a pass: the runs of the repeat, how many more passes of it come, and the places of each.
    fn passes_ahead(&self) -> Option<(&'r [Run], u64, u64)> {
        let [.., outer, frame] = self.frames.as_slice() else { return None };
        if frame.passes <= 1 || frame.index < frame.runs.len() {
            return None;
        }
        match outer.runs.get(outer.index)? {
            Run::Repeat(runs, _, pass) => Some((runs, frame.passes - 1, pass.places)),
            Run::Items(..) => None,
        }
    }

    /// Moves over so many passes of the repeat in which the hook is.
    fn leave_passes(&mut self, passes: u64, places: u64) {
        if let Some(frame) = self.frames.last_mut() {
            frame.passes -= passes;
            self.left -= passes * places;
        }
    }

    fn next_run(&mut self) {
        self.offset = 0;
        if let Some(frame) = self.frames.last_mut() {
            frame.index += 1;
        }
    }

    fn enter(&mut self, runs: &'r [Run], passes: u64) {
        self.offset = 0;
        self.frames.push(Frame { runs, index: 0, passes });
    }

    /// Passes `count` places. False, with the hook at the row's end, where there are not so many.
    pub fn take(&mut self, mut count: u64) -> bool {
        while count > 0 {
            // From within a repeat the passes after this one go in one step.
            if let Some((runs, further, places)) = self.passes_ahead() {
                let most = if ends_in_place(runs) { count } else { count - 1 };
                let whole = most.checked_div(places).unwrap_or(further).min(further);
                if whole > 0 {
                    count -= whole * places;
                    self.leave_passes(whole, places);
                    continue;
                }
            }
            let Some(run) = self.run() else { return false };
            match run {
                Run::Items(item, length) => {
                    let here = length - self.offset;
                    if !item.is_place() {
                        self.next_run();
                    } else if count < here {
                        self.offset += count;
                        self.left -= count;
                        return true;
                    } else {
                        count -= here;
                        self.left -= here;
                        self.next_run();
                    }
                }
                Run::Repeat(runs, times, pass) => {
                    // The hook stops behind the last place, before a space that follows it.
                    let most = if ends_in_place(runs) { count } else { count - 1 };
                    let whole = most.checked_div(pass.places).unwrap_or(*times).min(*times);
                    let passed = whole * pass.places;
                    count -= passed;
                    self.left -= passed;
                    if whole == *times {
                        self.next_run();
                    } else if count > 0 {
                        self.enter(runs, times - whole);
                    } else {
                        // Stop exactly at the beginning of a pass.
                        self.enter(runs, times - whole);
                        return true;
                    }
                }
            }
        }
        true
    }

    /// Moves to the next item that is wanted, without using it. Answers how many places were passed over; `None` leaves the
    /// hook where it was.
    pub fn seek(&mut self, wanted: Wanted) -> Option<u64> {
        let mut ahead = self.clone();
        let before = ahead.left;
        loop {
            if let Some((runs, further, places)) = ahead.passes_ahead()
                && !runs.iter().any(|run| run.any(&|item| wanted.is(item)))
            {
                ahead.leave_passes(further, places);
            }
            match ahead.run()? {
                Run::Items(item, length) => {
                    if wanted.is(*item) {
                        let passed = before - ahead.left;
                        *self = ahead;
                        return Some(passed);
                    }
                    if item.is_place() {
                        ahead.left -= length - ahead.offset;
                    }
                    ahead.next_run();
                }
                run @ Run::Repeat(runs, times, pass) => {
                    if run.any(&|item| wanted.is(item)) {
                        ahead.enter(runs, *times);
                    } else {
                        ahead.left -= pass.places * times;
                        ahead.next_run();
                    }
                }
            }
        }
    }

    /// Moves over the marks of units, to the next stitch or hole.
    pub fn station(&mut self) -> Option<Item> {
        loop {
            match self.item()? {
                Item::Open(_) | Item::Close(_) | Item::Picot | Item::TurningChain { counts_as: None, .. } => {
                    self.next_run();
                }
                item => return Some(item),
            }
        }
    }

    /// What the unit holds at whose beginning the hook is: places before its first space (all of them, without one), whether
    /// it has a space, and its places.
    pub fn unit(&self) -> (u64, bool, u64) {
        self.closed_unit().unwrap_or((0, false, 0))
    }

    /// The same, `None` where the row ends before the unit does.
    pub fn closed_unit(&self) -> Option<(u64, bool, u64)> {
        let mut ahead = self.clone();
        let Some(Item::Open(unit)) = ahead.item() else { return None };
        ahead.use_item();
        let (mut places, mut before, mut space) = (0u64, 0u64, false);
        loop {
            let item = ahead.item()?;
            if item == Item::Close(unit) {
                break;
            }
            let count = ahead.run_left();
            if item.is_space() && !space {
                space = true;
                before = places;
            }
            if item.is_place() {
                places = places.saturating_add(count);
                ahead.left -= count;
            }
            ahead.next_run();
        }
        Some((if space { before } else { places }, space, places))
    }

    /// Leaves the unit in which the hook is; answers how many places were passed over.
    pub fn leave_unit(&mut self, unit: Unit) -> u64 {
        let before = self.left;
        while let Some(item) = self.item() {
            if item == Item::Close(unit) {
                self.use_item();
                break;
            }
            if item.is_place() {
                self.left -= self.run_left();
            }
            self.next_run();
        }
        before - self.left
    }

    /// The unit whose end comes next, where no other begins before it.
    pub(crate) fn closing(&self) -> Option<Unit> {
        let mut ahead = self.clone();
        for _ in 0..16 {
            match ahead.item()? {
                Item::Close(unit) => return Some(unit),
                Item::Open(_) => return None,
                _ => ahead.skip_run(),
            }
        }
        None
    }

    /// The row cut in two at the hook.
    pub fn cut(&self) -> (Row, Row) {
        let (mut before, mut after) = (Builder::default(), Builder::default());
        let inner = self.frames.len() - 1;
        for (depth, frame) in self.frames.iter().enumerate() {
            for run in &frame.runs[..frame.index.min(frame.runs.len())] {
                before.run(run.clone());
            }
            if depth < inner {
                if let Some(Run::Repeat(body, times, pass)) = frame.runs.get(frame.index) {
                    let done = times - self.frames[depth + 1].passes;
                    if done > 0 {
                        before.run(Run::Repeat(body.clone(), done, *pass));
                    }
                }
            } else if let Some(Run::Items(item, _)) = frame.runs.get(frame.index) {
                before.push(*item, self.offset);
            }
        }
        for (depth, frame) in self.frames.iter().enumerate().rev() {
            let first = if depth == inner {
                match frame.runs.get(frame.index) {
                    Some(Run::Items(item, length)) => {
                        after.push(*item, length - self.offset);
                        frame.index + 1
                    }
                    _ => frame.index,
                }
            } else {
                frame.index + 1
            };
            for run in frame.runs.iter().skip(first) {
                after.run(run.clone());
            }
            if depth > 0
                && frame.passes > 1
                && let Some(Run::Repeat(body, _, pass)) = self.frames[depth - 1].runs.get(self.frames[depth - 1].index)
            {
                after.run(Run::Repeat(body.clone(), frame.passes - 1, *pass));
            }
        }
        let (before, after) = (before.finish(), after.finish());
        let Some(ids) = self.row.map(Row::ids).filter(|ids| !ids.is_empty()) else { return (before, after) };
        let (first, rest) = ids.split_at(usize::try_from(self.position()).unwrap_or(usize::MAX).min(ids.len()));
        (before.known_as(first.to_vec()), after.known_as(rest.to_vec()))
    }

    /// How many things of the row lie before the hook, marks and all.
    pub(crate) fn position(&self) -> u64 {
        let mut position = self.offset;
        for (depth, frame) in self.frames.iter().enumerate() {
            position = frame.runs[..frame.index.min(frame.runs.len())]
                .iter()
                .fold(position, |sum, run| sum.saturating_add(run.length()));
            if let (Some(inner), Some(Run::Repeat(runs, times, _))) =
                (self.frames.get(depth + 1), frame.runs.get(frame.index))
            {
                let pass = runs.iter().fold(0u64, |sum, run| sum.saturating_add(run.length()));
                position = position.saturating_add(pass.saturating_mul(times - inner.passes));
            }
        }
        position
    }

    /// The knot under the hook, marks and repeats entered, where the piece is spelled out.
    pub(crate) fn knot(&mut self) -> Option<u32> {
        let row = self.row?;
        if row.ids().is_empty() {
            return None;
        }
        self.item()?;
        row.id(self.position())
    }

    /// How many items from here on are wanted.
    pub fn count(&self, wanted: Wanted) -> u64 {
        let (_, after) = self.cut();
        after.count(|item| wanted.is(item))
    }

    /// Uses the item under the hook, place or space, after a [`seek`](Self::seek) that found it.
    pub fn use_item(&mut self) {
        if let Some(Run::Items(item, length)) = self.run() {
            if item.is_place() {
                self.left -= 1;
            }
            self.offset += 1;
            if self.offset >= *length {
                self.next_run();
            }
        }
    }

    /// The item under the hook, repeats entered.
    pub fn item(&mut self) -> Option<Item> {
        loop {
            match self.run()? {
                Run::Items(item, _) => return Some(*item),
                Run::Repeat(runs, times, _) => self.enter(runs, *times),
            }
        }
    }

    /// Where the hook stands within the pattern of the row, and how often that pattern still comes: two equal positions
    /// with fewer passes left mean that the same work has come round again.
    pub(crate) fn phase(&mut self) -> (Vec<(usize, u64)>, u64) {
        let _ = self.item();
        let mut position: Vec<(usize, u64)> = self.frames.iter().map(|frame| (frame.index, frame.passes)).collect();
        let outer = position.get(1).map_or(0, |frame| frame.1);
        if let Some(frame) = position.get_mut(1) {
            frame.1 = 0;
        }
        position.push((self.frames.len(), self.offset));
        (position, outer)
    }

    /// Stitches and spaces from here to the end of the row.
    pub(crate) fn stations_left(&self) -> u64 {
        let (_, after) = self.cut();
        after.totals().places.saturating_add(after.totals().spaces)
    }

    /// Passes over what is left of the run under the hook.
    pub(crate) fn skip_run(&mut self) {
        if let Some(item) = self.item() {
            if item.is_place() {
                self.left -= self.run_left();
            }
            self.next_run();
        }
    }

    /// Items left in the run under the hook, this one included.
    pub(crate) fn run_left(&mut self) -> u64 {
        match self.run() {
            Some(Run::Items(_, length)) => length - self.offset,
            _ => 0,
        }
    }

    /// Jumps over `passes` passes of the outermost repeat; `places` is what they hold together.
    pub(crate) fn jump(&mut self, passes: u64, places: u64) {
        if let Some(frame) = self.frames.get_mut(1) {
            frame.passes -= passes;
            self.left -= places;
        }
    }
}

fn ends_in_place(runs: &[Run]) -> bool {
    match runs.last() {
        Some(Run::Items(item, _)) => item.is_place(),
        Some(Run::Repeat(runs, _, _)) => ends_in_place(runs),
        None => true,
    }
}

#[cfg(test)]
mod tests {
    use super::super::Builder;
    use super::*;

    const SC: Item = Item::Stitch(StitchId::SINGLE_CROCHET);
    const DC: Item = Item::Stitch(StitchId::DOUBLE_CROCHET);

    /// `(2 sc, 1 dc, ch-1 space)` three times, then 1 sc.
    fn row() -> Row {
        let mut pass = Builder::default();
        pass.push(SC, 2);
        pass.push(DC, 1);
        pass.push(Item::Space(1), 1);
        let mut row = Builder::default();
        row.repeat(pass, 3);
        row.push(SC, 1);
        row.finish()
    }

    #[test]
    fn ten_stitches_are_passed_one_by_one_or_at_once() {
        let row = row();
        for first in 0..=10 {
            let mut cursor = Cursor::new(&row);
            assert!(cursor.take(first));
            assert!(cursor.take(10 - first));
            assert_eq!(cursor.left(), 0);
            assert!(!cursor.take(1));
        }
    }

    /// `(2 sc, ch-1 space, 1 sc, or a dc and a space)` so many times, then 1 dc: passes that end in a place and others.
    fn passes(times: u64, ends_in_space: bool) -> Row {
        let mut pass = Builder::default();
        pass.push(SC, 2);
        pass.push(Item::Space(1), 1);
        pass.push(SC, 1);
        if ends_in_space {
            pass.push(Item::Space(2), 1);
        }
        let mut row = Builder::default();
        row.repeat(pass, times);
        row.push(DC, 1);
        row.finish()
    }

    #[test]
    fn from_within_a_pass_the_hook_comes_to_the_same_place_in_one_step_or_in_many() {
        for ends_in_space in [false, true] {
            let row = passes(7, ends_in_space);
            for first in 0..=22 {
                for then in 0..=22 - first {
                    let (mut once, mut twice, mut slowly) = (Cursor::new(&row), Cursor::new(&row), Cursor::new(&row));
                    assert!(once.take(first + then) && twice.take(first) && twice.take(then));
                    assert!((0..first + then).all(|_| slowly.take(1)));
                    for other in [twice, slowly] {
                        assert_eq!((once.left(), once.clone().item()), (other.left(), other.clone().item()));
                    }
                }
            }
        }
    }

    #[test]
    fn a_thousand_million_passes_are_passed_as_fast_as_seven() {
        let row = passes(1_000_000_000_000, true);
        let mut cursor = Cursor::new(&row);
        assert!(cursor.take(1) && cursor.take(2_999_999_999_998));
        assert_eq!(cursor.left(), 2);
        let mut cursor = Cursor::new(&row);
        assert!(cursor.take(1));
        assert_eq!(cursor.seek(Wanted::Kind(StitchId::DOUBLE_CROCHET)), Some(2_999_999_999_999));
    }

    #[test]
    fn a_row_is_cut_where_the_hook_is_and_nothing_is_lost() {
        let row = row();
        for first in 0..=10 {
            let mut cursor = Cursor::new(&row);
            cursor.take(first);
            let (before, after) = cursor.cut();
            assert_eq!(before.totals().places, first);
            let mut whole = Builder::default();
            whole.append(before);
            whole.append(after);
            let whole = whole.finish();
            assert_eq!(whole.totals(), row.totals(), "cut behind {first}");
            let mut cursor = Cursor::new(&whole);
            for spaces in 1..=3 {
                assert!(cursor.seek(Wanted::Space(Some(1))).is_some(), "space {spaces} after a cut behind {first}");
                cursor.use_item();
            }
        }
    }

    #[test]
    fn the_space_behind_the_last_stitch_is_still_ahead() {
        let row = row();
        for (stitches, spaces) in [(1, 3), (2, 3), (3, 3), (4, 2), (6, 2), (9, 1), (10, 0)] {
            let mut cursor = Cursor::new(&row);
            assert!(cursor.take(stitches));
            assert_eq!(cursor.count(Wanted::Space(None)), spaces, "behind {stitches} stitches");
        }
    }

    #[test]
    fn a_shell_is_found_by_its_name_and_worked_into_its_space() {
        let shell = Unit::defined(3);
        let mut pass = Builder::default();
        pass.push(Item::Open(shell), 1);
        pass.push(DC, 2);
        pass.push(Item::Space(2), 1);
        pass.push(DC, 2);
        pass.push(Item::Close(shell), 1);
        pass.push(SC, 1);
        let mut row = Builder::default();
        row.repeat(pass, 4);
        let row = row.finish();
        let mut cursor = Cursor::new(&row);
        assert_eq!(cursor.seek(Wanted::Unit(shell)), Some(0));
        assert_eq!(cursor.unit(), (2, true, 4));
        assert_eq!(cursor.leave_unit(shell), 4);
        assert_eq!(cursor.item(), Some(SC));
        assert_eq!(row.reversed().reversed(), row);
        assert_eq!(Cursor::new(&row.reversed()).seek(Wanted::Unit(shell)), Some(1));
    }

    #[test]
    fn in_next_dc_passes_over_what_lies_between() {
        let row = row();
        let mut cursor = Cursor::new(&row);
        assert_eq!(cursor.seek(Wanted::Kind(StitchId::DOUBLE_CROCHET)), Some(2));
        cursor.use_item();
        assert_eq!(cursor.seek(Wanted::Space(Some(1))), Some(0));
        cursor.use_item();
        assert_eq!(cursor.seek(Wanted::Kind(StitchId::DOUBLE_CROCHET)), Some(2));
        assert_eq!(cursor.seek(Wanted::Kind(StitchId::TREBLE)), None);
        assert_eq!(cursor.left(), 5);
    }
}
