//! Every combination of counts and rows of a small plan, and what each costs.

use crate::small::{Kind, Long, Part, Small};

/// What a plan costs, in the order of the objectives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Cost {
    pub worst: u64,
    pub sum: u64,
    pub steps: u128,
    pub spread_rounds: u64,
    pub counts: u128,
}

/// One size: the count on which each section ends, and its rows without a spread round before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct One {
    pub counts: Vec<u64>,
    pub rows: Vec<u64>,
}

/// A search of everything.
pub struct Search {
    /// The best and what it costs, if anything fits.
    pub best: Option<(Cost, Vec<One>)>,
    /// How many combinations cost the least.
    pub alike: u64,
    /// How many combinations there are of what fits in each size by itself.
    pub combinations: u64,
}

/// More combinations than these are not searched.
const MOST: u64 = 300_000;
/// Rows beyond these are out of reach of every small plan.
const MOST_ROWS: u64 = 40;

/// How far off, in whole parts per million.
fn off(made: f64, target: f64) -> u64 {
    (((made - target) / target).abs() * 1e6).round() as u64
}

/// What a section costs in one size with this count and these rows, behind this count; `None` where it does not meet the
/// demands.
fn one(small: &Small, part: &Part, size: usize, below: Option<u64>, count: u64, rows: u64) -> Option<Cost> {
    let (width, height) = small.gauges[part.stitch];
    let within = |miss: u64| miss as f64 <= part.tolerance * 1e6 + 0.5;
    let mut cost = Cost { counts: u128::from(count), ..Cost::default() };
    if let Some(targets) = &part.targets {
        cost.worst = off(count as f64 * width, targets[size]);
        cost.sum = cost.worst;
        if !within(cost.worst) {
            return None;
        }
    }
    let mut spread = false;
    match part.kind {
        Kind::Circle { rate } => {
            if count < rate || rows != count.div_ceil(rate) {
                return None;
            }
            cost.spread_rounds = u64::from(!count.is_multiple_of(rate));
            return Some(cost);
        }
        Kind::Even { texture } => {
            spread = below.is_some_and(|below| below != count);
            let may = part.may_spread && part.targets.is_some();
            let workable = below.is_none_or(|below| count <= 2 * below && below <= 2 * count);
            if spread && !(may && workable) {
                return None;
            }
            // Whole textures; on a foundation chain there is a plain row before them.
            let on_chain = u64::from(below.is_none());
            if let Some(texture) = texture {
                let whole = rows > on_chain && (rows - on_chain).is_multiple_of(texture.height());
                if !texture.fits(count) || !(texture.ends_anywhere || whole) {
                    return None;
                }
            }
        }
        Kind::Taper { changes, right_side } => {
            let from = below?;
            let may_shape = if right_side { rows / 2 } else { rows };
            let more = from.abs_diff(count);
            // Shaping at the edges leaves a stitch between them.
            let workable = from > changes && count > changes;
            if !workable || !more.is_multiple_of(changes) || more / changes > may_shape {
                return None;
            }
        }
    }
    cost.spread_rounds = u64::from(spread);
    match &part.long {
        Long::Free => {}
        Long::Rows(wanted) => return (rows == *wanted).then_some(cost),
        Long::Own(targets) => {
            let made = (rows + u64::from(spread)) as f64 * height;
            let off_by = (made - targets[size]).abs();
            if off_by > (part.tolerance * targets[size]).max(height / 2.0) + 1e-9 {
                return None;
            }
            let miss = off(made, targets[size]);
            cost.worst = cost.worst.max(miss);
            cost.sum += miss;
        }
    }
    Some(cost)
}

impl Cost {
    fn and(self, other: Self) -> Self {
        Self {
            worst: self.worst.max(other.worst),
            sum: self.sum + other.sum,
            steps: self.steps + other.steps,
            spread_rounds: self.spread_rounds + other.spread_rounds,
            counts: self.counts + other.counts,
        }
    }
}

/// What one size costs by itself.
fn alone(small: &Small, size: usize, one_size: &One) -> Option<Cost> {
    let mut whole = Cost::default();
    let mut below = None;
    for (at, part) in small.parts.iter().enumerate() {
        let (count, rows) = (one_size.counts[at], one_size.rows[at]);
        whole = whole.and(one(small, part, size, below, count, rows)?);
        below = Some(count);
    }
    Some(whole)
}

/// The squares of the steps from one size to the next; `None` where a count shrinks and its target grows.
fn steps(small: &Small, size: usize, before: &One, now: &One) -> Option<Cost> {
    let mut squares = 0;
    for (at, part) in small.parts.iter().enumerate() {
        let Some(targets) = &part.targets else { continue };
        let (before, now) = (before.counts[at], now.counts[at]);
        if targets[size] > targets[size - 1] && now < before {
            return None;
        }
        squares += u128::from(now.abs_diff(before)).pow(2);
    }
    Some(Cost { steps: squares, ..Cost::default() })
}

/// What a whole choice costs, `None` where it does not meet the demands.
pub fn cost(small: &Small, chosen: &[One]) -> Option<Cost> {
    let mut whole = Cost::default();
    for (size, one) in chosen.iter().enumerate() {
        whole = whole.and(alone(small, size, one)?);
        if size > 0 {
            whole = whole.and(steps(small, size, &chosen[size - 1], one)?);
        }
    }
    Some(whole)
}

/// Everything that one size can be.
fn all_of(small: &Small, size: usize) -> Vec<(One, Cost)> {
    let mut all = vec![(One { counts: Vec::new(), rows: Vec::new() }, Cost::default())];
    for part in &small.parts {
        let (width, _) = small.gauges[part.stitch];
        let mut next = Vec::new();
        for (so_far, whole) in &all {
            let below = so_far.counts.last().copied();
            let counts: Vec<u64> = match &part.targets {
                Some(targets) => (1..=(2.0 * targets[size] / width) as u64 + 1).collect(),
                None => below.into_iter().collect(),
            };
            for count in counts {
                for rows in 1..=MOST_ROWS {
                    if let Some(own) = one(small, part, size, below, count, rows) {
                        let mut with = so_far.clone();
                        with.counts.push(count);
                        with.rows.push(rows);
                        next.push((with, whole.and(own)));
                    }
                }
            }
        }
        all = next;
    }
    all
}

/// Searches all combinations; `None` where there are too many.
pub fn search(small: &Small) -> Option<Search> {
    let lists: Vec<Vec<(One, Cost)>> = (0..small.sizes).map(|size| all_of(small, size)).collect();
    let combinations = lists.iter().map(|list| list.len() as u64).try_fold(1, u64::checked_mul)?;
    if combinations > MOST {
        return None;
    }
    let mut found: Option<(Cost, Vec<usize>)> = None;
    let mut alike = 0;
    let mut at = vec![0; lists.len()];
    let mut more = combinations > 0;
    while more {
        let mut whole = Some(Cost::default());
        for (size, list) in lists.iter().enumerate() {
            let (one, own) = &list[at[size]];
            whole = whole.map(|whole| whole.and(*own));
            if size > 0 {
                let step = steps(small, size, &lists[size - 1][at[size - 1]].0, one);
                whole = whole.and_then(|whole| Some(whole.and(step?)));
            }
        }
        if let Some(whole) = whole {
            match &found {
                Some((least, _)) if whole > *least => {}
                Some((least, _)) if whole == *least => alike += 1,
                _ => {
                    found = Some((whole, at.clone()));
                    alike = 1;
                }
            }
        }
        // On to the next combination, as a counter with wheels.
        more = at.iter_mut().zip(&lists).any(|(wheel, list)| {
            *wheel = (*wheel + 1) % list.len();
            *wheel > 0
        });
    }
    let best = found.map(|(cost, at)| {
        let chosen = at.iter().zip(&lists).map(|(at, list)| list[*at].0.clone());
        (cost, chosen.collect())
    });
    Some(Search { best, alike, combinations })
}
