//! What teaching and chatting patterns say besides the work: where the last stitch goes, how a row begins.

use super::super::again;
use super::super::body::{Parser, repeat};
use super::super::count;
use super::super::number::Num;
use super::super::place;
use super::super::token::Kind;
use super::super::tree::{Act, Extent, Place, Step, Target};
use super::super::words::Key;

impl Parser<'_, '_> {
    pub(in crate::notation) fn says(&self, at: usize, words: &[&str]) -> bool {
        let word = self.scan.span(at).of(self.scan.text);
        words.iter().any(|known| word.eq_ignore_ascii_case(known))
    }

    fn sentence_end(&self, at: usize, end: usize) -> usize {
        (at..end)
            .find(|i| matches!(self.scan.kind(*i), Some(Kind::Stop | Kind::Newline | Kind::Semicolon)))
            .unwrap_or(end)
    }

    fn begins_sentence(&self, at: usize) -> bool {
        at == 0
            || matches!(
                self.scan.kind(at - 1),
                Some(Kind::Stop | Kind::Newline | Kind::Colon | Kind::Dash | Kind::Exclamation)
            )
    }

    /// `do the following twelve times: …`, `repeat these two steps 12 times: …`: what is told up to the end of the sentence.
    pub(in crate::notation) fn told_times(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        if !self.scan.is(start, &[Key::Do, Key::Repeat, Key::Work]) {
            return false;
        }
        let Some(times) = (start + 2..end.min(start + 8)).find(|i| {
            self.scan.number(*i).is_some()
                && self.scan.key(i + 1) == Some(Key::Time)
                && self.scan.kind(i + 2) == Some(Kind::Colon)
        }) else {
            return false;
        };
        let named = (start + 1..times).all(|i| {
            self.scan.is(i, &[Key::The, Key::Next, Key::This, Key::All, Key::A])
                || self.scan.number(i).is_some()
                || self.says(i, &["step", "steps", "stitches", "moves"])
        });
        let Some(count) = self.scan.number(times).filter(|_| named && self.wrap()) else { return false };
        let stop = self.sentence_end(times + 3, end);
        if times + 3 >= stop {
            return false;
        }
        self.at = times + 3;
        let inner = self.sequence(stop);
        self.at = stop;
        let span = self.scan.span(start).to(self.scan.span(stop - 1));
        steps.push(repeat(span, inner, Extent::Times(count), None));
        true
    }

    /// `Do exactly what you did in Row 5`.
    pub(in crate::notation) fn did_before(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let Some(row) = (start + 1..stop).find(|i| {
            self.scan.is(*i, &[Key::Row, Key::Rows, Key::Round, Key::Rounds]) && self.scan.number(i + 1).is_some()
        }) else {
            return false;
        };
        let told = (start..row).any(|i| self.says(i, &["did", "what", "same"]))
            && !(start..row).any(|i| self.scan.number(i).is_some() || self.scan.making(i).is_some());
        let Some((act, next)) = again::reference(&self.scan, row, end).filter(|found| told && found.1 == stop) else {
            return false;
        };
        self.at = next;
        self.push(start, act, steps)
    }

    /// `Count your stitches`: an order to count, not what counts.
    pub(in crate::notation) fn counting(&mut self, end: usize) -> bool {
        let start = self.at;
        let counting = self.scan.key(start) == Some(Key::Count)
            && self.says(start, &["count"])
            && self.says(start + 1, &["your", "the", "them", "again"]);
        if !counting {
            return false;
        }
        let stop = self.clause_end(start, end);
        self.at = (start..stop).find(|i| self.scan.kind(*i) == Some(Kind::Colon)).unwrap_or(stop);
        true
    }

    /// `The row has 25 stitches once more`, `which gives 25 stitches`, `so that the 25 stitches come back`: a count in words.
    pub(in crate::notation) fn told_count(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        let worked = steps.iter().any(|step| {
            !matches!(step.act, Act::Aside | Act::Turn | Act::Chain { .. } | Act::Join | Act::SkippedChains(_))
        });
        let row = self.scan.is(start, &[Key::The, Key::This])
            && self.scan.is(start + 1, &[Key::Row, Key::Round])
            && self.scan.is(start + 2, &[Key::Have, Key::Now]);
        let told = row && self.begins_sentence(start)
            || self.scan.is(start, &[Key::There, Key::You]) && self.begins_sentence(start)
            || self.says(start, &["which"]) && self.says(start + 1, &["gives", "makes", "leaves"])
            || self.says(start, &["so", "giving"]);
        if !worked || !told {
            return false;
        }
        let stop = self.sentence_end(start, end);
        let Some(first) = (start..stop).find(|i| self.scan.number(*i).is_some()) else { return false };
        if (start..first).any(|i| !matches!(self.scan.kind(i), Some(Kind::Word(_))) || self.scan.stitchy(i)) {
            return false;
        }
        // Words behind it that count nothing: "again", "come back".
        let tail = (first + 1..stop)
            .rev()
            .take_while(|i| {
                matches!(self.scan.kind(*i), Some(Kind::Word(_)))
                    && !self.scan.stitchy(*i)
                    && self.scan.chain(*i).is_none()
                    && !self.scan.is(*i, &[Key::Space, Key::Loop, Key::Each, Key::Side])
            })
            .count();
        let last = (stop - tail..=stop).rev().find(|last| count::count(&self.scan, first, *last).is_some());
        let Some(stated) = last.and_then(|last| count::count(&self.scan, first, last)) else { return false };
        self.take_count(stated, stop)
    }

    /// `This row makes little holes`, `taking care not to forget the last one`, `which is the one under your chains`: about
    /// the work, with no order in it.
    pub(in crate::notation) fn tells_about(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let order = (start..stop).any(|i| {
            self.scan.making(i).is_some()
                || self.scan.own(i).is_some()
                || self.scan.is(
                    i,
                    &[
                        Key::Work,
                        Key::Skip,
                        Key::Repeat,
                        Key::Increase,
                        Key::Decrease,
                        Key::Each,
                        Key::Evenly,
                        Key::Unworked,
                    ],
                )
                || self.scan.number(i).is_some() && self.scan.chain(i + 1).is_some()
        });
        if order {
            return false;
        }
        let from = if self.scan.key(start) == Some(Key::In) { start + 1 } else { start };
        let row = self.scan.key(from) == Some(Key::This)
            && self.scan.is(from + 1, &[Key::Row, Key::Round])
            && self.begins_sentence(start)
            && !matches!(self.scan.kind(stop), Some(Kind::Comma));
        let care = self.says(start, &["taking", "take"]) && self.says(start + 1, &["care"]);
        let which = self.says(start, &["which"])
            && self.scan.key(start + 1) == Some(Key::Is)
            && self.scan.key(start + 2) == Some(Key::The)
            && self.scan.number(start + 3) == Some(Num::ONE)
            && !steps.is_empty();
        let says = row || care || which;
        if says {
            self.at = stop;
        }
        says
    }

    /// `along the row ends: …`, `along the foundation: …`: where the work goes on, told before it.
    pub(in crate::notation) fn along_edge(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let Some(colon) = (start..stop).find(|i| self.scan.kind(*i) == Some(Kind::Colon)) else { return false };
        let has = |keys: &[Key]| (start + 1..colon).any(|i| self.scan.is(i, keys));
        if self.scan.key(start) != Some(Key::Across)
            || steps.is_empty()
            || (start..colon).any(|i| self.scan.number(i).is_some())
        {
            return false;
        }
        let act = if has(&[Key::Row, Key::Rows]) && has(&[Key::End, Key::Edge]) {
            Act::Aside
        } else if has(&[Key::Foundation]) {
            Act::FarSide
        } else {
            return false;
        };
        self.at = colon + 1;
        self.push(start, act, steps)
    }

    /// `always with two rows to a color in the order A`: which colour changes no count.
    pub(in crate::notation) fn of_colours(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let colour = (start..stop).any(|i| self.scan.key(i) == Some(Key::Colour));
        let rows = (start..stop).any(|i| self.scan.is(i, &[Key::Row, Key::Rows, Key::Round, Key::Rounds]));
        let order = (start..stop).any(|i| {
            self.scan.making(i).is_some()
                || self.scan.chain(i).is_some()
                || self.scan.is(i, &[Key::Skip, Key::Repeat, Key::Stitch, Key::Space, Key::Increase, Key::Decrease])
        });
        let says = colour && rows && !order && !steps.is_empty();
        if says {
            self.at = stop;
        }
        says
    }

    /// `beginning in the st of the join`: the first of the stitches just told goes where the yarn is.
    pub(in crate::notation) fn begins_at_join(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let worked = steps.iter().any(|step| matches!(step.act, Act::Work(_)));
        let order = (start..stop).any(|i| self.scan.number(i).is_some() || self.scan.making(i).is_some());
        let at_join = self.scan.is(start + 1, &[Key::In, Key::At])
            && (start + 2..stop).any(|i| self.scan.key(i) == Some(Key::Join) || self.scan.key(i) == Some(Key::Same));
        let says = worked && at_join && !order;
        if says {
            self.at = stop;
        }
        says
    }

    /// `straight on with sc 6 over …`, `go on with 3 dc`: the words before the order.
    pub(in crate::notation) fn on_with(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let word = |i: usize| self.scan.span(i).of(self.scan.text).to_ascii_lowercase();
        // "then go on and work …"
        if self.says(start, &["go", "carry"])
            && self.scan.key(start + 1) == Some(Key::On)
            && self.scan.key(start + 2) == Some(Key::And)
            && start + 3 < end
        {
            self.at = start + 2;
            return self.push(start, Act::Aside, steps);
        }
        let on = ["straight", "go", "carry", "right"].contains(&word(start).as_str())
            && self.scan.key(start + 1) == Some(Key::On)
            && self.scan.key(start + 2) == Some(Key::With)
            && start + 3 < end;
        if !on || steps.is_empty() {
            return false;
        }
        self.at = start + 3;
        let read = self.known(end, steps);
        if !read {
            self.at = start;
        }
        read
    }

    /// `Work Rnds 6-9 two more times`.
    pub(in crate::notation) fn rows_again(&mut self, end: usize, steps: &mut Vec<Step>) -> bool {
        let start = self.at;
        let Some((act, next)) = again::rows(&self.scan, start, end) else { return false };
        self.at = next;
        self.push(start, act, steps)
    }

    /// `…, the last one into the top of the 3 ch`, `…, the last dc in the stitch of the join`: of the stitches just told.
    pub(in crate::notation) fn last_of_them(&mut self, end: usize, steps: &[Step]) -> bool {
        let start = self.at;
        let stop = self.clause_end(start, end);
        let mut i = start;
        if self.scan.key(i) == Some(Key::The) {
            i += 1;
        }
        if self.scan.key(i) != Some(Key::Last) || steps.is_empty() {
            return false;
        }
        i += 1;
        let next = if self.scan.number(i) == Some(Num::ONE) {
            i + 1
        } else {
            match self.scan.making(i) {
                Some(making) => making.next,
                None => return false,
            }
        };
        // "the last double crochet being worked into"
        let being = self.scan.span(next).of(self.scan.text).eq_ignore_ascii_case("being");
        let next = if being && self.scan.key(next + 1) == Some(Key::Work) { next + 2 } else { next };
        // Only where what stands before fills the row: its last stitch is one of them.
        let fills =
            steps.iter().rev().find(|step| !matches!(step.act, Act::Aside)).is_some_and(|step| match &step.act {
                Act::Work(work) => matches!(work.extent, Extent::Fill(_)),
                Act::Repeat(repeat) => being || matches!(repeat.extent, Extent::Fill(_) | Extent::Unsaid),
                Act::Along { extent, .. } => matches!(extent, Extent::Fill(_)),
                _ => false,
            });
        let join = (next..stop).any(|j| self.scan.key(j) == Some(Key::Join));
        let chain =
            place::place(&self.scan, next, stop).is_some_and(|found| found.place == Place::Next(Target::TurningChain));
        let goes = fills && self.scan.is(next, &[Key::In, Key::To, Key::Onto]) && (join || chain);
        if goes {
            self.at = stop;
        }
        goes
    }
}
