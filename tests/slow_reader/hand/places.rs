//! Places of the row below, taken one by one.

use super::super::parse::{Place, Step, Target};
use super::{Contradiction, Hand, LONGEST_ROW};
use crate::slow_worker::typed::Item;

impl Hand {
    /// The longest space, if it is alone of its length and still ahead.
    pub(super) fn centre(&self) -> Option<usize> {
        let longest =
            self.below.iter().filter_map(|item| if let Item::Space(n) = item { Some(*n) } else { None }).max()?;
        let mut places = self.below.iter().enumerate().filter(|(_, item)| **item == Item::Space(longest));
        let (at, _) = places.next()?;
        (places.next().is_none() && at >= self.at).then_some(at)
    }

    /// Takes the next place of that sort; false if there is none.
    pub(super) fn take(&mut self, target: &Target) -> bool {
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

    pub(super) fn fits(target: &Target, item: Item) -> bool {
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

    pub(super) fn make(&mut self, makes: &[Item], own: Option<&(String, u64)>) {
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

    pub(super) fn work_at(&mut self, takes: u64, makes: &[Item], place: &Place, own: Option<&(String, u64)>) {
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
                self.over = over;
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
            Place::EachToSpace(targets, n) => {
                let ahead = self.at..self.below.len();
                let Some(space) = ahead.into_iter().find(|at| self.below[*at] == Item::Space(*n)) else {
                    self.trouble(Contradiction::Place);
                    return;
                };
                let after = self.below.split_off(space);
                if self.below.len() > self.at {
                    self.each(takes, targets, makes, own);
                }
                self.below.extend(after);
            }
            Place::Skipped(n) => self.next(takes, *n, &Target::Stitch, makes, own),
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

    pub(super) fn next(&mut self, takes: u64, n: u64, target: &Target, makes: &[Item], own: Option<&(String, u64)>) {
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

    pub(super) fn each(&mut self, takes: u64, targets: &[Target], makes: &[Item], own: Option<&(String, u64)>) {
        if self.ring && self.below.is_empty() {
            self.lost = Some("every stitch of a ring");
            return;
        }
        if let [target] = targets {
            let mut any = false;
            let wanted = |item: &Item| {
                if matches!(target, Target::Space(_)) { item.is_space() } else { item.is_stitch() }
            };
            let mut left = self.below[self.at..].iter().filter(|item| wanted(item)).count();
            while left > 0 && self.lost.is_none() {
                let from = self.at;
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
                left -= self.below[from..self.at].iter().filter(|item| wanted(item)).count();
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
            // "Each st and ch": every chain of a space by itself.
            if let (Item::Space(chains), true) = (item, targets.contains(&Target::Chain)) {
                self.last = Some(self.at);
                self.at += 1;
                (0..chains).for_each(|_| self.make(makes, own));
                continue;
            }
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
