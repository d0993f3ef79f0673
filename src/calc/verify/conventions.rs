//! Conventions that a text may leave open. Each is decided once for a piece, from all its rows together.

use crate::notation::tree::Said;
use crate::verify::{NumberBeforeStitch, RepeatNumber, Settled, TurningChain};

/// A question that the text does not answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Question {
    /// Does a beginning chain of this length count as a stitch?
    Chain(u64),
    /// Do so many chains skipped at a foundation's beginning count as a stitch?
    Skipped(u64),
    /// Is `3 sc` three in one stitch?
    NumberFirstInOne,
    /// Is `rep from * 5 times` five in all?
    RepeatInAll,
}

impl Question {
    /// Common practice, where neither text nor sums decide (stitch tables of trade pages: sc no, hdc varies, dc yes).
    const fn habit(self) -> bool {
        match self {
            Self::Chain(length) | Self::Skipped(length) => length >= 3,
            Self::NumberFirstInOne | Self::RepeatInAll => false,
        }
    }

    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Chain(_) => "turning-chain",
            Self::Skipped(_) => "skipped-chains",
            Self::NumberFirstInOne => "number-before-stitch",
            Self::RepeatInAll => "repeat-number",
        }
    }

    pub(super) const fn answer(self, yes: bool) -> &'static str {
        match (self, yes) {
            (Self::Chain(_) | Self::Skipped(_), true) => "counts",
            (Self::Chain(_) | Self::Skipped(_), false) => "does-not-count",
            (Self::NumberFirstInOne, true) => "all-in-one-stitch",
            (Self::NumberFirstInOne, false) => "one-in-each",
            (Self::RepeatInAll, true) => "in-all",
            (Self::RepeatInAll, false) => "more",
        }
    }

    pub(super) fn sentence(self, yes: bool) -> String {
        match (self, yes) {
            (Self::Chain(length), true) => format!("the beginning chain of {length} was taken to count as a stitch"),
            (Self::Chain(length), false) => {
                format!("the beginning chain of {length} was taken as height only, not as a stitch")
            }
            (Self::Skipped(length), true) => format!(
                "the {length} chains skipped at the beginning of the foundation were taken to count as a stitch"
            ),
            (Self::Skipped(length), false) => {
                format!("the {length} chains skipped at the beginning of the foundation were taken not to count")
            }
            (Self::NumberFirstInOne, true) => {
                "a number before a stitch (\"3 sc\") was taken as that many in one stitch".to_owned()
            }
            (Self::NumberFirstInOne, false) => {
                "a number before a stitch (\"3 sc\") was taken as one in each of that many stitches".to_owned()
            }
            (Self::RepeatInAll, true) => "\"repeat N times\" was taken as N in all".to_owned(),
            (Self::RepeatInAll, false) => "\"repeat N times\" was taken as N more, after the first".to_owned(),
        }
    }
}

/// The answers in force, and which questions came up.
#[derive(Debug, Clone, Default)]
pub(super) struct Conventions {
    answers: Vec<(Question, bool)>,
    asked: Vec<Question>,
    settled: Settled,
}

impl Conventions {
    pub(super) fn settled(settled: Settled) -> Self {
        Self { settled, ..Self::default() }
    }

    /// The same, with these answers.
    pub(super) fn with(&self, answers: Vec<(Question, bool)>) -> Self {
        Self { answers, asked: Vec::new(), settled: self.settled }
    }

    /// Answers a question, and notes that it came up.
    pub(super) fn ask(&mut self, question: Question) -> bool {
        if let Some(answer) = self.by_request(question) {
            return answer;
        }
        if !self.asked.contains(&question) {
            self.asked.push(question);
        }
        self.answers
            .iter()
            .find(|(known, _)| *known == question)
            .map_or_else(|| question.habit(), |(_, answer)| *answer)
    }

    /// What the request settles. A turning chain that counts or not speaks for skipped chains too, unless they are settled
    /// themselves.
    fn by_request(&self, question: Question) -> Option<bool> {
        let counts = |chain: TurningChain| chain == TurningChain::Counts;
        match question {
            Question::Chain(_) => self.settled.turning_chain.map(counts),
            Question::Skipped(_) => self.settled.skipped_chains.or(self.settled.turning_chain).map(counts),
            Question::NumberFirstInOne => {
                self.settled.number_before_stitch.map(|meaning| meaning == NumberBeforeStitch::AllInOneStitch)
            }
            Question::RepeatInAll => self.settled.repeat_number.map(|meaning| meaning == RepeatNumber::InAll),
        }
    }

    /// Whether a beginning chain counts: what the text says, the request, else an open question.
    pub(super) fn chain(&mut self, length: u64, own: Option<bool>) -> bool {
        if let Some(own) = own {
            return own && length > 0;
        }
        // One chain is height for single crochet, by every source.
        length > 1 && self.ask(Question::Chain(length))
    }

    pub(super) fn skipped(&mut self, length: u64, own: Option<bool>, said: &Said) -> bool {
        if let Some(own) = own {
            return own;
        }
        if length <= 1 {
            return false;
        }
        if let Some((_, counts)) = said.chains.iter().find(|(known, _)| *known == length) {
            return counts.counts;
        }
        self.ask(Question::Skipped(length))
    }

    pub(super) fn asked(&self) -> &[Question] {
        &self.asked
    }

    pub(super) fn answer(&self, question: Question) -> bool {
        if let Some(answer) = self.by_request(question) {
            return answer;
        }
        self.answers
            .iter()
            .find(|(known, _)| *known == question)
            .map_or_else(|| question.habit(), |(_, answer)| *answer)
    }
}
