//! One row worked stitch by stitch into the row below.

mod conventions;
mod places;

pub use conventions::Conventions;

use super::parse::{Extent, Place, Said, Step, Target};
use crate::slow_worker::typed::Item;
use std::collections::HashMap;

/// Why a row cannot be as it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Contradiction {
    /// The row below has fewer stitches or spaces than are asked for.
    RunsOut,
    /// Stitches or spaces are left without a word.
    LeftOver,
    /// A repeat does not come out.
    Divides,
    /// What is made is not what is printed.
    Count,
    /// The place named is not there.
    Place,
    /// The row's number does not follow.
    Number,
    /// The rows worked again are not as many as the header says.
    Rows,
    /// A size list is as long as no list should be.
    SizeList,
}

/// What the hook works into.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Below {
    /// Not known: something before could not be read.
    Unknown,
    Nothing,
    /// A chain of so many, which may be joined into a ring.
    Chain(u64),
    Row(Vec<Item>),
}

/// A row in work.
#[derive(Debug, Clone)]
pub struct Hand {
    below: Vec<Item>,
    at: usize,
    /// The place worked last.
    last: Option<usize>,
    pub row: Vec<Item>,
    pub troubles: Vec<Contradiction>,
    pub own: Vec<(String, u64)>,
    conventions: Conventions,
    /// The conventions that this row asked for.
    pub asked: Conventions,
    /// The last pass of a repeat was cut short without a word; only a printed count can allow that.
    pub cut_short: bool,
    round: bool,
    /// A counted beginning chain stands on the first stitch.
    claimed: bool,
    /// It will stand on the first chain, unless the round goes into the ring.
    pending: bool,
    chain: bool,
    /// Chains skipped at the hook.
    over: usize,
    ring: bool,
    took_space: bool,
    /// Spaces were passed over on the way to something else.
    passed_space: bool,
    /// Places at the end that were travelled over at the beginning.
    travelled: usize,
    worked: bool,
    leave: Option<Option<u64>>,
    skipped_count: Option<bool>,
    pub turned: bool,
    /// A step that this reader does not know how to work.
    pub lost: Option<&'static str>,
    /// Stitches that earlier rows left unworked, by the number of the row that has them.
    pub unworked: HashMap<u64, u64>,
    /// What this row leaves.
    pub left: u64,
    /// Chains over an armhole and the stitches passed over there, as the yoke left them and as this row does.
    pub opening: Option<(u64, u64)>,
    effort: u32,
}

const MOST_EFFORT: u32 = 400_000;
const LONGEST_ROW: usize = 10_000;

impl Hand {
    pub fn new(below: &Below, round: bool, conventions: Conventions) -> Self {
        let (items, chain) = match below {
            Below::Chain(n) => (vec![Item::Chain; usize::try_from(*n).unwrap_or(0).min(100_000)], true),
            Below::Row(row) => (row.clone(), false),
            Below::Nothing | Below::Unknown => (Vec::new(), false),
        };
        Self {
            below: items,
            at: 0,
            last: None,
            row: Vec::new(),
            troubles: Vec::new(),
            own: Vec::new(),
            conventions,
            asked: Conventions::default(),
            cut_short: false,
            round,
            claimed: false,
            pending: false,
            chain,
            over: 0,
            ring: *below == Below::Nothing,
            took_space: false,
            passed_space: false,
            travelled: 0,
            worked: false,
            leave: None,
            skipped_count: None,
            turned: false,
            lost: None,
            unworked: HashMap::new(),
            left: 0,
            opening: None,
            effort: 0,
        }
    }

    fn trouble(&mut self, what: Contradiction) {
        if !self.troubles.contains(&what) {
            self.troubles.push(what);
        }
    }

    fn stitches_left(&self) -> usize {
        self.below[self.at..].iter().filter(|item| item.is_stitch()).count()
    }

    fn spaces_left(&self) -> usize {
        self.below[self.at..].iter().filter(|item| item.is_space()).count()
    }

    /// Works all steps and looks at what is left.
    pub fn work(&mut self, steps: &[Step]) {
        self.steps(steps);
        if self.lost.is_some() || self.ring {
            return;
        }
        let stitches = self.stitches_left();
        let spaces = self.spaces_left();
        if self.leave.is_some() {
            self.left = stitches as u64;
        }
        match self.leave {
            Some(None) => {}
            Some(Some(n)) if n == stitches as u64 => {}
            Some(Some(_)) => self.trouble(Contradiction::LeftOver),
            None if self.at + self.travelled >= self.below.len() => {}
            None if self.took_space && self.passed_space && self.last_was_space() => {}
            None if self.took_space && spaces > 0 => self.trouble(Contradiction::LeftOver),
            // Stitches behind the last space are passed over as those before it were.
            None if stitches > 0 && !(self.took_space && self.last_was_space()) => {
                self.trouble(Contradiction::LeftOver)
            }
            None => {}
        }
    }

    fn last_was_space(&self) -> bool {
        self.last.is_some_and(|at| self.below.get(at).is_some_and(|item| item.is_space()))
    }

    fn steps(&mut self, steps: &[Step]) {
        for (i, step) in steps.iter().enumerate() {
            if self.lost.is_some() {
                return;
            }
            if let Step::Repeat { body, tail, extent, .. } = step {
                if self.repeat(body, tail, extent, &steps[i + 1..]) {
                    return;
                }
            } else {
                self.step(step);
            }
        }
    }

    /// Works a repeat; true if it has worked the rest of the row as well.
    fn repeat(&mut self, body: &[Step], tail: &[Step], extent: &Extent, rest: &[Step]) -> bool {
        match extent {
            Extent::Times(n) => self.passes(body, *n),
            Extent::Open(n) => {
                self.asked.in_all = true;
                self.passes(body, if self.conventions.in_all { *n } else { n + 1 });
            }
            Extent::ToLast(n, target) => {
                let left = |hand: &Self| match target {
                    Target::Space(_) => hand.spaces_left() as u64,
                    _ => hand.stitches_left() as u64,
                };
                while left(self) > *n && self.lost.is_none() && !self.troubles.contains(&Contradiction::RunsOut) {
                    let before = self.at;
                    self.steps(body);
                    if self.at == before {
                        self.lost = Some("a repeat that uses nothing");
                    }
                }
                if left(self) != *n {
                    self.trouble(Contradiction::Divides);
                }
            }
            Extent::ToCorner | Extent::ToTurning | Extent::ToSpace(_) => self.lost = Some("a repeat up to a corner"),
            Extent::ToCentre => {
                let Some(centre) = self.centre() else {
                    self.trouble(Contradiction::Place);
                    return false;
                };
                while self.at < centre && self.lost.is_none() {
                    let mut next = self.clone();
                    next.steps(body);
                    if next.at > centre || next.at == self.at || next.troubles.len() > self.troubles.len() {
                        break;
                    }
                    *self = next;
                }
                if !self.last_was_space() && self.below[self.at..centre].iter().any(|item| item.is_stitch()) {
                    self.trouble(Contradiction::Divides);
                }
            }
            Extent::EndAtMark => {
                self.steps(body);
                while self.stitches_left() + self.spaces_left() > 0 && self.lost.is_none() {
                    let mut next = self.clone();
                    next.steps(tail);
                    next.steps(body);
                    let new = |what| next.troubles.contains(&what) && !self.troubles.contains(&what);
                    if new(Contradiction::RunsOut) {
                        break;
                    }
                    if next.at == self.at {
                        self.lost = Some("a repeat that uses nothing");
                        break;
                    }
                    *self = next;
                }
            }
            Extent::ToEnd => return self.fill(body, rest),
        }
        false
    }

    fn passes(&mut self, body: &[Step], times: u64) {
        for _ in 0..times.min(100_000) {
            self.steps(body);
            if self.lost.is_some() {
                return;
            }
        }
    }

    /// As many passes as there is room for; where more follows, one or two fewer if that fits.
    fn fill(&mut self, body: &[Step], rest: &[Step]) -> bool {
        let mut before: Vec<Self> = vec![self.clone()];
        while self.stitches_left() + self.spaces_left() > 0 {
            let mut next = self.clone();
            next.steps(body);
            if next.lost.is_some() {
                self.lost = next.lost;
                return true;
            }
            let new = |what| next.troubles.contains(&what) && !self.troubles.contains(&what);
            if new(Contradiction::RunsOut) || new(Contradiction::Divides) {
                break;
            }
            if next.at == self.at {
                self.lost = Some("a repeat that uses nothing");
                return true;
            }
            *self = next;
            before.push(self.clone());
            if before.len() > 4 {
                before.remove(0);
            }
        }
        let takes = rest.iter().any(|step| matches!(step, Step::Work { .. } | Step::Skip(_) | Step::Repeat { .. }));
        if takes {
            for hand in before.iter().rev() {
                let mut tried = hand.clone();
                tried.steps(rest);
                let clean = tried.troubles.len() == hand.troubles.len();
                if tried.lost.is_some() || (clean && (tried.stitches_left() == 0 || tried.last_was_space())) {
                    *self = tried;
                    return true;
                }
            }
        } else if self.stitches_left() > 0 && !self.last_was_space() && !self.part_of(body) {
            self.trouble(Contradiction::Divides);
            self.at = self.below.len();
        }
        false
    }

    /// Works the beginning of a body, as far as it goes, if that uses up the row.
    fn part_of(&mut self, body: &[Step]) -> bool {
        let mut tried = self.clone();
        for step in body {
            tried.step(step);
            if tried.lost.is_some() || tried.troubles.len() > self.troubles.len() {
                return false;
            }
            if tried.stitches_left() + tried.spaces_left() == 0 {
                *self = tried;
                self.cut_short = true;
                return true;
            }
        }
        false
    }

    fn step(&mut self, step: &Step) {
        self.effort += 1;
        if self.effort > MOST_EFFORT {
            self.lost = Some("too much work");
            return;
        }
        match step {
            Step::Work { takes, makes, place, own } => self.work_at(*takes, makes, place, own.as_ref()),
            Step::Chain(n, said) => self.chains(*n, *said),
            Step::Picot => self.row.push(Item::Picot),
            Step::Skip(place) => {
                // "Miss first st" behind a counted chain is the stitch that it stands on.
                if matches!(place, Place::First(_)) && self.claimed {
                    return;
                }
                // An armhole, for lace passes over fewer.
                if let (Place::Next(n @ 4.., Target::Stitch), Some(Item::Space(chains))) = (place, self.row.last()) {
                    self.opening = Some((u64::from(*chains), *n));
                }
                self.work_at(1, &[], place, None);
            }
            Step::Travel(place) => {
                // The join stands on the first stitch, so the next one is the second.
                if self.round && self.at == 0 && matches!(place, Place::Next(_, Target::Stitch | Target::Kind(_))) {
                    self.at = 1;
                }
                self.work_at(1, &[], place, None);
                self.rotate();
            }
            Step::Corner => {
                let wanted =
                    self.below.iter().filter_map(|item| if let Item::Space(n) = item { Some(*n) } else { None }).max();
                match self.below.iter().position(|item| Some(*item) == wanted.map(Item::Space)) {
                    Some(at) => {
                        self.at = at + 1;
                        self.last = Some(at);
                        self.took_space = true;
                        self.rotate();
                    }
                    None => self.trouble(Contradiction::Place),
                }
            }
            Step::Leave(n) => self.leave = Some(*n),
            Step::FirstSkippedCount(counts) => self.skipped_count = Some(*counts),
            Step::RingMade(_) => self.ring = true,
            Step::Underarm => match self.opening {
                Some((chains, skipped)) => {
                    let many = |n: u64| usize::try_from(n).unwrap_or(0).min(LONGEST_ROW);
                    self.below = vec![Item::Chain; many(chains)];
                    self.below.extend(std::iter::repeat_n(Item::stitch("st"), many(skipped)));
                    self.at = 0;
                }
                None => self.trouble(Contradiction::Place),
            },
            Step::Turn => self.turned = true,
            Step::FarSide => {
                // The last chain is turned in; those before it have another side.
                if self.chain && self.at == self.below.len() {
                    let again = (self.at - self.over).saturating_sub(1);
                    self.below.extend(std::iter::repeat_n(Item::Chain, again));
                } else {
                    self.trouble(Contradiction::LeftOver);
                }
            }
            Step::Repeat { .. } => self.steps(std::slice::from_ref(step)),
        }
    }

    /// What was travelled over comes at the end of the round.
    fn rotate(&mut self) {
        if self.round && self.row.is_empty() && self.at > 1 {
            let over = self.at - 1;
            self.travelled += over;
            self.below.rotate_left(over);
            self.at = 1;
            self.last = Some(0);
        }
    }

    fn chains(&mut self, n: u64, said: Option<Said>) {
        let chains = u32::try_from(n).unwrap_or(u32::MAX);
        if self.row.is_empty() && !self.worked {
            if self.chain && !self.below.is_empty() && !self.ring && said.is_none() && n <= 1 {
                return;
            }
            if said.is_none() && (2..8).contains(&n) {
                self.asked.counted |= 1 << n;
            }
            let by_habit = (2..8).contains(&n) && self.conventions.counted & (1 << n) != 0;
            let space = match said {
                Some(Said::NotCounted) => None,
                Some(Said::Counted(space)) => Some(space),
                None => by_habit.then(|| chains.saturating_sub(3)),
            };
            if let Some(space) = space {
                self.row.push(Item::TurningChain);
                if space > 0 {
                    self.row.push(Item::Space(space));
                }
                self.pending = self.chain && !self.ring;
                if !self.ring && !self.chain && self.last.is_none() {
                    self.take(&Target::Stitch);
                    self.claimed = true;
                }
            }
            self.worked = true;
            return;
        }
        match self.row.last_mut() {
            Some(Item::Space(before)) => *before += chains,
            _ => self.row.push(Item::Space(chains)),
        }
    }
}
