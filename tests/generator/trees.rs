//! Rows as a grader makes them, as trees and not as words: every act that makes stitches, with numbers that differ between
//! the sizes, header ranges and sizes that leave the row out.

use super::tape::Tape;
use evenround_calc::notation::number::{Num, Numbers};
use evenround_calc::notation::token::Span;
use evenround_calc::notation::tree::{
    Act, ChainCounts, Extent, Place, Repeat, Row, RowNumbers, RowWord, SizeSet, Stated, Step, Target, Unit, Work,
};
use evenround_calc::standards::{StitchId, StitchKind, stitches};
use evenround_calc::verify::Reading;

/// A row, and what its numbers stand for.
#[derive(Debug)]
pub struct Made {
    /// The row.
    pub row: Row,
    /// Its numbers.
    pub numbers: Numbers,
    /// Names of the sizes.
    pub sizes: Vec<String>,
}

struct Maker<'t, 'n> {
    tape: &'t mut Tape<'n>,
    numbers: Numbers,
    sizes: usize,
}

const PLAIN: [StitchId; 5] = [
    StitchId::SINGLE_CROCHET,
    StitchId::HALF_DOUBLE_CROCHET,
    StitchId::DOUBLE_CROCHET,
    StitchId::TREBLE,
    StitchId::DOUBLE_TREBLE,
];

/// Draws a row.
pub fn row(tape: &mut Tape<'_>) -> Made {
    let sizes: Vec<String> = ["Small", "Medium", "Large", "Extra Large"]
        .iter()
        .take(tape.pick(&[1, 3, 4, 2]))
        .map(|name| (*name).to_owned())
        .collect();
    let mut maker = Maker { tape, numbers: Numbers::default(), sizes: sizes.len() };
    let round = maker.tape.once_in(2);
    let word = if round { RowWord::Round } else { RowWord::Row };
    let numbers = match maker.tape.index(5) {
        0 | 1 => RowNumbers::One(maker.number(2)),
        2 => {
            let from = maker.number(2);
            RowNumbers::Range(from, maker.more(from))
        }
        3 => RowNumbers::Next,
        _ => RowNumbers::NextRows(maker.number(2)),
    };
    let all = (1u64 << sizes.len()) - 1;
    let some = maker.tape.between(1, all);
    let sizes_of = if sizes.len() > 1 && maker.tape.once_in(3) { SizeSet(some) } else { SizeSet::ALL };
    let steps = maker.steps();
    let stated = maker.stated();
    let row = Row {
        span: Span::default(),
        label: Span::default(),
        word,
        numbers,
        sizes: sizes_of,
        steps,
        rivals: Vec::new(),
        stated,
        reading: Reading::Read,
    };
    Made { row, numbers: maker.numbers, sizes }
}

const fn step(act: Act) -> Step {
    Step { span: Span { start: 0, end: 0 }, act }
}

impl Maker<'_, '_> {
    /// A number of at least `low`, now and then one for each size.
    fn number(&mut self, low: u64) -> Num {
        if self.sizes > 1 && self.tape.once_in(3) {
            let first = self.tape.between(low, 60);
            let values: Vec<Option<u64>> = (0..self.sizes as u64).map(|size| Some(first + 3 * size)).collect();
            return self.numbers.list(&values);
        }
        let value = self.tape.between(low, 60);
        self.numbers.whole(value)
    }

    fn more(&mut self, number: Num) -> Num {
        let more = self.tape.between(1, 9);
        let values: Vec<Option<u64>> =
            (0..self.sizes).map(|size| self.numbers.value(number, size).map(|value| value + more)).collect();
        self.numbers.list(&values)
    }

    fn stated(&mut self) -> Option<Stated> {
        let unit = match self.tape.index(5) {
            0 => return None,
            1 => Unit::Kind(self.tape.pick(&PLAIN)),
            _ => Unit::Stitches,
        };
        let mut parts = vec![(self.number(2), unit)];
        if self.tape.once_in(5) {
            parts.push((self.number(2), Unit::Spaces(Some(2))));
        }
        Some(Stated { span: Span::default(), parts })
    }

    /// A beginning, work that fills the row or is counted, an end.
    fn steps(&mut self) -> Vec<Step> {
        let mut steps = Vec::new();
        let begins = self.tape.index(6);
        match begins {
            1 => steps.push(step(Act::Ring)),
            2 | 3 => {
                let counts = self.tape.pick(&[
                    None,
                    Some(ChainCounts { counts: true, space: 0 }),
                    Some(ChainCounts { counts: false, space: 0 }),
                    Some(ChainCounts { counts: true, space: 2 }),
                ]);
                let length = Num::small(self.tape.pick(&[1, 2, 3, 4]));
                steps.push(step(Act::Chain { length, counts }));
            }
            4 => {
                let length = self.number(5);
                steps.push(step(Act::Chain { length, counts: None }));
                let stitch = self.tape.pick(&PLAIN);
                let nth = Num::small(self.tape.pick(&[2, 3, 4]));
                steps.push(step(work(stitch, Place::FromHook(nth), Extent::Times(Num::ONE))));
            }
            5 => {
                let bare = self.tape.pick(&[StitchId::SINGLE_CROCHET, StitchId::DOUBLE_CROCHET]);
                let count = self.number(2);
                steps.push(step(Act::FoundationStitches { stitch: bare, count }));
            }
            _ => {}
        }
        if begins == 1 {
            let count = self.number(2);
            let stitch = self.tape.pick(&PLAIN);
            steps.push(step(work(stitch, Place::Ring, Extent::Times(count))));
        } else if begins != 5 {
            for _ in 0..self.tape.index(4) {
                let one = self.counted();
                steps.push(one);
            }
            if self.tape.once_in(2) || steps.is_empty() {
                let fill = self.fill();
                steps.push(fill);
                if self.tape.once_in(3) {
                    let stitch = self.tape.pick(&PLAIN);
                    let count = self.number(2);
                    steps.push(step(work(stitch, Place::Last(Target::Any), Extent::Times(count))));
                }
            }
        }
        match self.tape.index(4) {
            0 => {}
            1 => steps.push(step(Act::Turn)),
            2 => steps.push(step(Act::Join)),
            _ => steps.push(step(Act::FastenOff)),
        }
        steps
    }

    /// Work of a known number.
    fn counted(&mut self) -> Step {
        let stitch = self.stitch();
        let target = self.target();
        let count = self.number(2);
        let once = Extent::Times(Num::ONE);
        step(match self.tape.index(13) {
            0 => work(stitch, Place::Next(Target::Any), Extent::Times(count)),
            1 => work(stitch, Place::Next(target), once),
            2 => work(stitch, Place::Next(target), Extent::Times(count)),
            3 => several(stitch, count, Place::Next(target), once),
            4 => several(stitch, Num::TWO, Place::Next(Target::Any), Extent::Times(count)),
            5 => together(self.tape.pick(&PLAIN), self.tape.pick(&[2, 3]), once),
            6 => together(self.tape.pick(&PLAIN), 2, Extent::Times(count)),
            7 => Act::Skip {
                places: count,
                target: self.tape.pick(&[Target::Any, Target::Kind(StitchId::DOUBLE_CROCHET)]),
                first: false,
            },
            8 => Act::Chain { length: count, counts: None },
            9 => {
                let times = self.tape.pick(&[Num::TWO, count]);
                let more = self.tape.once_in(3);
                Act::Repeat(Repeat {
                    steps: self.unit(),
                    extent: if more { Extent::More(times) } else { Extent::Times(times) },
                    stop: None,
                })
            }
            10 => Act::Group { steps: self.inner(), place: Place::Next(target), extent: once },
            11 => Act::Work(Work {
                stitch: None,
                takes: Num::ONE,
                makes: Num::TWO,
                place: Place::Next(Target::Any),
                extent: once,
                bare_number: false,
            }),
            _ => Act::Work(Work {
                stitch: None,
                takes: Num::TWO,
                makes: Num::ONE,
                place: Place::Next(Target::Any),
                extent: Extent::Times(count),
                bare_number: false,
            }),
        })
    }

    /// Work to the end of the row.
    fn fill(&mut self) -> Step {
        let left = match self.tape.index(4) {
            0 => self.number(1),
            1 => Num::ONE,
            _ => Num::ZERO,
        };
        let extent = if self.tape.once_in(6) { Extent::Until(Target::Corner, 0) } else { Extent::Fill(left) };
        let (stitch, target) = (self.stitch(), self.target());
        step(match self.tape.index(5) {
            0 => work(stitch, Place::Next(target), extent),
            1 => several(stitch, Num::TWO, Place::Next(target), extent),
            2 => Act::Group { steps: self.inner(), place: Place::Next(target), extent },
            3 => {
                let unit = self.unit();
                let stop = (unit.len() > 2 && self.tape.once_in(3)).then_some(1);
                Act::Repeat(Repeat { steps: unit, extent, stop })
            }
            _ => {
                let nested = Repeat { steps: self.unit(), extent: Extent::Times(Num::TWO), stop: None };
                let steps = vec![self.one_step(), step(Act::Repeat(nested))];
                Act::Repeat(Repeat { steps, extent, stop: None })
            }
        })
    }

    /// What a repeat repeats.
    fn unit(&mut self) -> Vec<Step> {
        let mut steps = vec![self.one_step()];
        for _ in 0..1 + self.tape.index(3) {
            let next = match self.tape.index(5) {
                0 => step(Act::Chain { length: Num::small(self.tape.pick(&[1, 2, 3])), counts: None }),
                1 => step(Act::Skip { places: self.number(2), target: Target::Any, first: false }),
                2 => step(together(StitchId::SINGLE_CROCHET, 2, Extent::Times(Num::ONE))),
                _ => self.one_step(),
            };
            steps.push(next);
        }
        steps
    }

    fn one_step(&mut self) -> Step {
        let (stitch, count) = (self.stitch(), self.number(2));
        let extent = self.tape.pick(&[Extent::Times(Num::ONE), Extent::Times(count)]);
        step(match self.tape.index(3) {
            0 => work(stitch, Place::Next(Target::Any), extent),
            1 => work(stitch, Place::Next(self.target()), extent),
            _ => several(stitch, Num::TWO, Place::Next(Target::Any), extent),
        })
    }

    /// What goes into one place.
    fn inner(&mut self) -> Vec<Step> {
        let stitch = self.tape.pick(&PLAIN);
        let one = |count: u32| {
            let bare = Work {
                stitch: Some(stitch),
                takes: Num::ONE,
                makes: Num::ONE,
                place: Place::Next(Target::Any),
                extent: Extent::Times(Num::small(count)),
                bare_number: count > 1,
            };
            step(Act::Work(bare))
        };
        let count = self.tape.pick(&[1, 2, 3]);
        let chain = step(Act::Chain { length: Num::small(self.tape.pick(&[1, 2, 3])), counts: None });
        vec![one(count), chain, one(count)]
    }

    /// Plain stitches mostly, posts now and then.
    fn stitch(&mut self) -> StitchId {
        if self.tape.once_in(5) {
            let posts: Vec<StitchId> =
                stitches().iter().filter(|stitch| stitch.kind == StitchKind::Post).map(|stitch| stitch.id).collect();
            return self.tape.pick(&posts);
        }
        self.tape.pick(&PLAIN)
    }

    fn target(&mut self) -> Target {
        self.tape.pick(&[
            Target::Any,
            Target::Kind(StitchId::SINGLE_CROCHET),
            Target::Kind(StitchId::DOUBLE_CROCHET),
            Target::Space(Some(2)),
            Target::Space(None),
            Target::Chain,
            Target::Corner,
        ])
    }
}

fn work(stitch: StitchId, place: Place, extent: Extent) -> Act {
    several(stitch, Num::ONE, place, extent)
}

fn several(stitch: StitchId, makes: Num, place: Place, extent: Extent) -> Act {
    Act::Work(Work { stitch: Some(stitch), takes: Num::ONE, makes, place, extent, bare_number: false })
}

fn together(stitch: StitchId, takes: u32, extent: Extent) -> Act {
    Act::Work(Work {
        stitch: Some(stitch),
        takes: Num::small(takes),
        makes: Num::ONE,
        place: Place::Next(Target::Any),
        extent,
        bare_number: false,
    })
}
