//! A hook moving along the row below.

use super::{Item, Row, Run};
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
}

impl Wanted {
    /// Whether an item is what is looked for.
    pub fn is(self, item: Item) -> bool {
        match self {
            Self::Place => item.is_place(),
            Self::Kind(kind) => {
                item.kind() == Some(kind) || matches!(item, Item::TurningChain { counts_as: Some(_), .. })
            }
            Self::Space(length) => matches!(item, Item::Space(chains) if length.is_none_or(|wanted| wanted == chains)),
            Self::TurningChain => matches!(item, Item::TurningChain { .. }),
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
}

impl<'r> Cursor<'r> {
    /// At the beginning of a row.
    pub fn new(row: &'r Row) -> Self {
        Self { frames: vec![Frame { runs: row.runs(), index: 0, passes: 1 }], offset: 0, left: row.totals().places }
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
                    let whole = count.checked_div(pass.places).unwrap_or(*times).min(*times);
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
