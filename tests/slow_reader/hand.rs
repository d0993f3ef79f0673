//! One row worked stitch by stitch into the row below.

use super::parse::{Extent, Place, Said, Step, Target};
use crate::slow_worker::typed::Item;
use std::collections::HashMap;

/// What the text leaves open, decided once for a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Conventions {
    /// Bit n: a beginning chain of n counts as a stitch.
    pub counted: u8,
    /// Bit n: n chains skipped at a foundation count as a stitch.
    pub skipped: u8,
    /// "Repeat n times" is n in all.
    pub in_all: bool,
}

impl Conventions {
    /// Those of the bits that are set in both.
    pub fn both(self, other: Self) -> Self {
        Self {
            counted: self.counted & other.counted,
            skipped: self.skipped & other.skipped,
            in_all: self.in_all && other.in_all,
        }
    }

    /// The bits that differ.
    pub fn differing(self, other: Self) -> Self {
        Self {
            counted: self.counted ^ other.counted,
            skipped: self.skipped ^ other.skipped,
            in_all: self.in_all != other.in_all,
        }
    }

    /// Every set bit by itself.
    pub fn bits(self) -> Vec<Self> {
        let of = |bits: u8| (0..8).map(|n| 1 << n).filter(move |bit| bits & bit != 0);
        let mut all: Vec<Self> = of(self.counted).map(|counted| Self { counted, ..Self::default() }).collect();
        all.extend(of(self.skipped).map(|skipped| Self { skipped, ..Self::default() }));
        all.extend(self.in_all.then(|| Self { in_all: true, ..Self::default() }));
        all
    }
}

/// Why a row cannot be as it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Contradiction {
    RunsOut,
    LeftOver,
    Divides,
    Count,
    Place,
    Number,
    Rows,
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
            Extent::ToCorner | Extent::ToTurning => self.lost = Some("a repeat up to a corner"),
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
            Extent::ToEnd => return self.to_end(body, rest),
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
    fn to_end(&mut self, body: &[Step], rest: &[Step]) -> bool {
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
            Step::Work { takes, makes, place, own } => self.into_place(*takes, makes, place, own.as_ref()),
            Step::Chain(n, said) => self.chains(*n, *said),
            Step::Picot => self.row.push(Item::Picot),
            Step::Skip(place) => {
                // "Miss first st" behind a counted chain is the stitch that it stands on.
                if matches!(place, Place::First(_)) && self.claimed {
                    return;
                }
                self.into_place(1, &[], place, None);
            }
            Step::Travel(place) => {
                // The join stands on the first stitch, so the next one is the second.
                if self.round && self.at == 0 && matches!(place, Place::Next(_, Target::Stitch | Target::Kind(_))) {
                    self.at = 1;
                }
                self.into_place(1, &[], place, None);
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
            Step::Turn => self.turned = true,
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

    /// The longest space, if it is alone of its length and still ahead.
    fn centre(&self) -> Option<usize> {
        let longest =
            self.below.iter().filter_map(|item| if let Item::Space(n) = item { Some(*n) } else { None }).max()?;
        let mut places = self.below.iter().enumerate().filter(|(_, item)| **item == Item::Space(longest));
        let (at, _) = places.next()?;
        (places.next().is_none() && at >= self.at).then_some(at)
    }

    /// Takes the next place of that sort; false if there is none.
    fn take(&mut self, target: &Target) -> bool {
        if *target == Target::Centre {
            let Some(at) = self.centre() else {
                self.trouble(Contradiction::Place);
                return false;
            };
            if !self.last_was_space() && self.below[self.at..at].iter().any(|item| item.is_stitch()) {
                self.trouble(Contradiction::LeftOver);
            }
            self.at = at + 1;
            self.last = Some(at);
            self.took_space = true;
            return true;
        }
        let wants_space = matches!(target, Target::Space(_));
        if wants_space && self.below.contains(&Item::stitch("st")) {
            self.lost = Some("spaces that are not known");
            return false;
        }
        if self.pending {
            self.pending = false;
            self.claimed = true;
            self.take(&Target::Chain);
        }
        let mut at = self.at;
        if *target == Target::TurningChain
            && self.last_was_space()
            && let Some(turning) = self.below.iter().rposition(|item| *item == Item::TurningChain)
        {
            at = at.max(turning);
        }
        while let Some(item) = self.below.get(at) {
            let chain_space = *target == Target::Chain && matches!(item, Item::Space(_));
            if if wants_space { item.is_space() } else { item.is_stitch() || chain_space } {
                break;
            }
            at += 1;
        }
        // A space is looked for by its name; behind a space so is a stitch: what is left of a fan is passed over.
        let sought =
            matches!(target, Target::Space(Some(_))) || (matches!(target, Target::Kind(_)) && self.last_was_space());
        if sought && let Some(over) = self.below[at..].iter().position(|item| Self::fits(target, *item)) {
            at += over;
        }
        self.passed_space |= self.below[self.at..at].iter().any(|item| item.is_space());
        let Some(item) = self.below.get(at).copied() else {
            self.trouble(Contradiction::RunsOut);
            return false;
        };
        self.at = at + 1;
        self.last = Some(at);
        self.took_space |= wants_space;
        if !Self::fits(target, item) {
            self.trouble(Contradiction::Place);
        }
        true
    }

    fn fits(target: &Target, item: Item) -> bool {
        match (target, item) {
            (Target::Stitch, _) | (Target::Space(None), _) => true,
            (_, Item::Stitch(name)) if name.as_str() == "st" => true,
            (Target::Kind(kind), Item::Stitch(name)) => name.as_str().ends_with(kind.as_str()),
            (Target::Kind(_) | Target::TurningChain, Item::TurningChain) => true,
            (Target::Space(Some(n)), Item::Space(m)) => *n == m,
            (Target::Space(_), Item::Loop) => true,
            (Target::Chain, Item::Chain | Item::Space(_)) => true,
            _ => false,
        }
    }

    fn make(&mut self, makes: &[Item], own: Option<&(String, u64)>) {
        self.worked |= !makes.is_empty();
        self.row.extend_from_slice(makes);
        if self.row.len() > LONGEST_ROW {
            self.lost = Some("a row that is too long to work by hand");
            return;
        }
        if let Some((name, times)) = own {
            match self.own.iter_mut().find(|o| o.0 == *name) {
                Some(entry) => entry.1 += times,
                None => self.own.push((name.clone(), *times)),
            }
        }
    }

    fn into_place(&mut self, takes: u64, makes: &[Item], place: &Place, own: Option<&(String, u64)>) {
        match place {
            Place::Ring => {
                self.ring = true;
                self.make(makes, own);
            }
            Place::SameSpace => {
                if self.last.is_none() && !self.ring {
                    self.step(&Step::Corner);
                }
                self.make(makes, own);
            }
            Place::Same => {
                if self.last.is_none() && !self.ring {
                    self.take(&Target::Stitch);
                }
                self.make(makes, own);
            }
            Place::First(target) => {
                if self.round
                    && makes.len() == 1
                    && matches!(self.row.last(), Some(Item::Space(_)))
                    && self.row.len() > 1
                {
                    // The round is closed by a stitch: the last space is half chains.
                    self.row.pop();
                    self.row.push(Item::Loop);
                } else if self.claimed && self.last.is_some() {
                    self.make(makes, own);
                } else {
                    self.next(takes, 1, target, makes, own);
                }
                self.claimed = false;
            }
            Place::Next(n, target) => self.next(takes, *n, target, makes, own),
            Place::FromHook(k) => {
                if !self.chain {
                    self.trouble(Contradiction::Place);
                    return;
                }
                let over = usize::try_from(k - 1).unwrap_or(usize::MAX);
                if over >= self.below.len() {
                    self.trouble(Contradiction::RunsOut);
                    return;
                }
                self.at = over;
                let open = (2..8).contains(&over);
                if open && self.skipped_count.is_none() {
                    self.asked.skipped |= 1 << over;
                }
                if self.skipped_count.unwrap_or(open && self.conventions.skipped & (1 << over) != 0) {
                    self.row.push(Item::TurningChain);
                }
                self.next(takes, 1, &Target::Chain, makes, own);
            }
            Place::Each(targets) => self.each(takes, targets, makes, own),
            Place::Unworked(n, row) => {
                match self.unworked.get(row) {
                    Some(left) if left < n => self.trouble(Contradiction::RunsOut),
                    Some(left) if left > n => self.trouble(Contradiction::LeftOver),
                    Some(_) => {}
                    None => self.trouble(Contradiction::Place),
                }
                (0..*n).for_each(|_| self.make(makes, own));
            }
            Place::JustMade => {
                if self.below.last().is_some_and(|item| item.is_space()) {
                    self.below.rotate_right(1);
                    self.at = 1;
                    self.last = Some(0);
                    self.took_space = true;
                } else if self.below.contains(&Item::stitch("st")) {
                    self.lost = Some("spaces that are not known");
                } else {
                    self.trouble(Contradiction::Place);
                }
                self.make(makes, own);
            }
            Place::EachToTurning(targets) => {
                let turning = self.below.iter().rposition(|item| *item == Item::TurningChain);
                let after = self.below.split_off(turning.unwrap_or(self.below.len()));
                if self.below.len() > self.at {
                    self.each(takes, targets, makes, own);
                }
                self.below.extend(after);
            }
            Place::EachToCorner(targets) => {
                let longest =
                    self.below.iter().filter_map(|item| if let Item::Space(n) = item { Some(*n) } else { None }).max();
                let corner = (self.at..self.below.len()).find(|at| Some(self.below[*at]) == longest.map(Item::Space));
                let after = self.below.split_off(corner.unwrap_or(self.below.len()));
                if self.below.len() > self.at {
                    self.each(takes, targets, makes, own);
                }
                self.below.extend(after);
            }
            Place::EachToCentre(targets) => {
                let Some(centre) = self.centre() else {
                    self.trouble(Contradiction::Place);
                    return;
                };
                let after = self.below.split_off(centre);
                self.each(takes, targets, makes, own);
                self.below.extend(after);
            }
            Place::Last(target) => {
                // Behind the last space the stitches in between are passed over, as before every space.
                if self.last_was_space()
                    && !matches!(target, Target::Space(_))
                    && let Some(at) = self.below.iter().rposition(|item| item.is_stitch())
                    && !self.below[self.at..].iter().any(|item| item.is_space())
                {
                    self.at = self.at.max(at);
                }
                self.next(takes, 1, target, makes, own);
            }
            Place::Firsts(n, target) => {
                let n = if self.claimed { n.saturating_sub(1) } else { *n };
                self.claimed = false;
                self.next(takes, n, target, makes, own);
            }
            Place::EachTo(targets, n) if targets.len() > 1 => {
                let end = (self.at..self.below.len()).find(|at| {
                    self.below[*at].is_stitch()
                        && self.below[*at..].iter().filter(|i| i.is_stitch()).count() as u64 <= *n
                });
                let after = self.below.split_off(end.unwrap_or(self.below.len()));
                if self.below.len() > self.at {
                    self.each(takes, targets, makes, own);
                }
                self.below.extend(after);
            }
            Place::EachTo(targets, n) => {
                let target = &targets[0];
                while self.stitches_left() as u64 > *n && self.lost.is_none() {
                    if !self.take(target) {
                        break;
                    }
                    self.make(makes, own);
                }
                if self.stitches_left() as u64 != *n {
                    self.trouble(Contradiction::RunsOut);
                }
            }
        }
    }

    fn next(&mut self, takes: u64, n: u64, target: &Target, makes: &[Item], own: Option<&(String, u64)>) {
        if self.ring && self.below.is_empty() && *target == Target::Stitch {
            // "6 sc" of a ring without a word about it.
            for _ in 0..n / takes.max(1) {
                self.make(makes, own);
                if self.lost.is_some() {
                    break;
                }
            }
            return;
        }
        let mut left = n;
        if *target == Target::Chain && n > 1 && !self.chain {
            // Chains over a gap, worked one by one.
            if let Some(Item::Space(m)) = self.below.get(self.at).copied() {
                if u64::from(m) != n {
                    self.trouble(if u64::from(m) < n { Contradiction::RunsOut } else { Contradiction::LeftOver });
                }
                self.last = Some(self.at);
                self.at += 1;
                (0..n).for_each(|_| self.make(makes, own));
                return;
            }
        }
        if n == 1 && takes > 1 {
            left = takes;
        }
        while left > 0 && self.lost.is_none() {
            for _ in 0..takes.min(left) {
                self.take(target);
            }
            if left < takes {
                self.trouble(Contradiction::Divides);
            }
            left = left.saturating_sub(takes);
            self.make(makes, own);
        }
    }

    fn each(&mut self, takes: u64, targets: &[Target], makes: &[Item], own: Option<&(String, u64)>) {
        if self.ring && self.below.is_empty() {
            self.lost = Some("every stitch of a ring");
            return;
        }
        if let [target] = targets {
            let mut any = false;
            loop {
                let left = if matches!(target, Target::Space(_)) { self.spaces_left() } else { self.stitches_left() };
                if left == 0 || self.lost.is_some() {
                    break;
                }
                if (left as u64) < takes {
                    self.trouble(Contradiction::Divides);
                    self.at = self.below.len();
                    break;
                }
                (0..takes).for_each(|_| {
                    self.take(target);
                });
                self.make(makes, own);
                any = true;
            }
            if !any {
                self.trouble(if matches!(target, Target::Space(_)) {
                    Contradiction::Place
                } else {
                    Contradiction::RunsOut
                });
            }
            return;
        }
        while let Some(item) = self.below.get(self.at).copied() {
            let named = targets.iter().any(|target| {
                let sort = if matches!(target, Target::Space(_)) { item.is_space() } else { item.is_stitch() };
                sort && Self::fits(target, item)
            });
            if !named && (item.is_stitch() || item.is_space()) {
                self.trouble(Contradiction::Place);
            }
            self.last = Some(self.at);
            self.took_space |= item.is_space();
            self.at += 1;
            if named {
                self.make(makes, own);
            }
        }
    }
}
