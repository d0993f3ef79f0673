//! Shapes that go on from another section, and yokes.

use super::super::plan::{On, Shape, Start};
use super::super::solve::Choice;
use super::{Asked, Detail, Offer, Rows};
use std::collections::BTreeMap;

/// Rounds of a raglan yoke that do not increase: the first one, the one that closes the lines, the one that divides body
/// and sleeves, and the one that works into the underarms.
pub(in super::super) const RAGLAN_FRAME: u64 = 4;
/// The most counts of a neck and of an underarm that are tried with each pair of body and sleeve.
const NEAREST: usize = 4;
/// Stitches that a raglan line may gain on either side, the plainest first.
pub(in super::super) const GAINS: [u64; 2] = [1, 2];

impl Asked<'_> {
    /// Rows of one count.
    pub fn even(self) -> Vec<Offer> {
        let multiple = self.multiple();
        let textured = !multiple.rows.is_empty();
        // On a foundation chain the first row is worked plainly, then come whole textures.
        let first_row = u64::from(textured && matches!(self.known.start, Some(Start::Chain)));
        let (first, step) = if multiple.ends_anywhere {
            (1, 1)
        } else {
            (first_row + multiple.rows.len() as u64, multiple.rows.len() as u64)
        };
        let rows = self.row_choices(first, step);
        let field = self.width_field();
        let counts: Vec<(u64, Option<u64>)> = match self.target(field) {
            Some(target) => {
                self.counts(field, target, 1).into_iter().map(|(count, miss)| (count, Some(miss))).collect()
            }
            None => self.kept_counts().into_iter().map(|count| (count, None)).collect(),
        };
        let mut offers = Vec::with_capacity(counts.len() * rows.len());
        for (count, miss) in counts {
            if self.enough(&offers) {
                break;
            }
            for rows in &rows {
                let measured = miss.map(|_| vec![count]).unwrap_or_default();
                let choice = going_on(count, vec![count], measured, miss.unwrap_or(0), rows, 0);
                offers.push(Offer { choice, detail: Detail::Even });
            }
        }
        offers
    }

    /// Tapers: from every count that the section before may leave to every count that fits.
    pub fn taper(self) -> Vec<Offer> {
        let Shape::Taper { changes, on, .. } = &self.known.section.shape else { return Vec::new() };
        let field = self.width_field();
        let (Some(target), Some(below)) = (self.target(field), self.below) else { return Vec::new() };
        let mut offers = Vec::new();
        let mut row_choices = RowChoices::default();
        for (to, miss) in self.counts(field, target, changes + 1) {
            if self.enough(&offers) {
                break;
            }
            for from in &below.counts {
                let difference = from.abs_diff(to);
                if !difference.is_multiple_of(*changes) || *from <= *changes {
                    continue;
                }
                let shaping = difference / changes;
                let least = match on {
                    On::EveryRow => shaping,
                    On::RightSideRows => shaping * 2,
                };
                for rows in row_choices.at_least(self, least) {
                    offers.push(Offer {
                        choice: going_on(*from, vec![to], vec![to], miss, rows, 0),
                        detail: Detail::Taper { events: shaping, changes: *changes, narrower: to < *from, on: *on },
                    });
                }
            }
        }
        offers
    }

    /// Round yokes: increase rounds at even distances, each to its share of the way.
    pub fn circular_yoke(self) -> Vec<Offer> {
        let Shape::CircularYoke { increase_rounds, .. } = &self.known.section.shape else { return Vec::new() };
        let (Some(target), Some(below)) = (self.target("circumference"), self.below) else { return Vec::new() };
        let mut offers = Vec::new();
        let mut row_choices = RowChoices::default();
        for (to, miss) in self.counts("circumference", target, 1) {
            if self.enough(&offers) {
                break;
            }
            for from in &below.counts {
                let wanted = increase_rounds.unwrap_or_else(|| rounds_for(*from, to));
                for rows in row_choices.at_least(self, wanted) {
                    let Some(stages) = stages(*from, to, wanted, rows.rows) else { continue };
                    let spread_rounds = stages.len() as u64;
                    offers.push(Offer {
                        choice: going_on(*from, vec![to], vec![to], miss, rows, spread_rounds),
                        detail: Detail::CircularYoke { stages },
                    });
                }
            }
        }
        offers
    }

    /// Raglan yokes. With h stitches in one half (back or front) under the arms, s in a sleeve, u across an underarm and n at the
    /// neck, each line gains g stitches on either side in each of r rounds: half at the neck = n/4 + (h − s)/2, sleeve at the neck
    /// = n/4 − (h − s)/2, r = (h − u − half at the neck)/2g. Derived from: front and back alike, all four lines alike.
    /// Low stitches gain one; tall ones, of which few rounds make a yoke, two (common practice).
    pub fn raglan(self) -> Vec<Offer> {
        let wanted = (self.target("neck"), self.target("body"), self.target("sleeve"), self.target("underarm"));
        let (Some(neck), Some(body), Some(sleeve), Some(underarm)) = wanted else { return Vec::new() };
        let necks = nearest(self.counts("neck", neck, 4));
        let underarms = nearest(self.counts("underarm", underarm, 1));
        let sleeves = self.counts("sleeve", sleeve, 2);
        let bodies = self.counts("body", body, 4);
        let mut offers = Vec::new();
        for rows in self.row_choices(1, 1) {
            for (body, body_miss) in bodies.iter().filter(|(body, _)| body.is_multiple_of(2)) {
                if self.enough(&offers) {
                    break;
                }
                for (sleeve, sleeve_miss) in &sleeves {
                    let half = body / 2;
                    let mut tried = 0;
                    for (neck, neck_miss) in &necks {
                        let Some((half_neck, sleeve_neck)) = split_neck(*neck, half, *sleeve) else { continue };
                        let mut with_neck = 0;
                        for ((underarm, underarm_miss), gain) in
                            underarms.iter().flat_map(|of| GAINS.map(|gain| (of, gain)))
                        {
                            let growth = half.checked_sub(half_neck + underarm);
                            let Some(growth) = growth.filter(|growth| growth.is_multiple_of(2 * gain)) else {
                                continue;
                            };
                            let increases = growth / (2 * gain);
                            if increases == 0 || increases + RAGLAN_FRAME > rows.rows || with_neck >= 2 {
                                continue;
                            }
                            with_neck += 1;
                            let misses = [*body_miss, *sleeve_miss, *neck_miss, *underarm_miss, rows.miss];
                            offers.push(Offer {
                                choice: Choice {
                                    entry: *neck,
                                    exits: vec![*body, *sleeve],
                                    measured: vec![*body, *sleeve, *neck, *underarm],
                                    worst: misses.iter().copied().max().unwrap_or(0),
                                    sum: misses.iter().sum(),
                                    spread_rounds: 0,
                                    after_spread: None,
                                    before: None,
                                    behind: rows.behind,
                                    rows: rows.rows,
                                },
                                detail: Detail::Raglan {
                                    half: half_neck,
                                    sleeve: sleeve_neck,
                                    increases,
                                    gain,
                                    underarm: *underarm,
                                },
                            });
                        }
                        tried += usize::from(with_neck > 0);
                        if tried >= 2 {
                            break;
                        }
                    }
                }
            }
        }
        offers
    }
}

/// Row choices with so many rows at least, each list made once.
#[derive(Default)]
struct RowChoices(BTreeMap<u64, Vec<Rows>>);

impl RowChoices {
    fn at_least(&mut self, asked: Asked<'_>, least: u64) -> &[Rows] {
        self.0.entry(least).or_insert_with(|| asked.row_choices(least.max(1), 1))
    }
}

fn going_on(entry: u64, exits: Vec<u64>, measured: Vec<u64>, miss: u64, rows: &Rows, spread_rounds: u64) -> Choice {
    Choice {
        entry,
        exits,
        measured,
        worst: miss.max(rows.miss),
        sum: miss.saturating_add(rows.miss),
        spread_rounds,
        after_spread: rows.spread,
        before: rows.before,
        behind: rows.behind,
        rows: rows.rows,
    }
}

/// The counts nearest to the target, the nearest first.
fn nearest(mut counts: Vec<(u64, u64)>) -> Vec<(u64, u64)> {
    counts.sort_by_key(|(count, miss)| (*miss, *count));
    counts.truncate(NEAREST * 4);
    counts
}

/// Stitches at the neck of one half and of one sleeve.
fn split_neck(neck: u64, half: u64, sleeve: u64) -> Option<(u64, u64)> {
    // Twice the half and twice the sleeve, so that nothing is halved before it is known to be even.
    let twice_half = (neck / 2 + half).checked_sub(sleeve)?;
    let twice_sleeve = (neck / 2 + sleeve).checked_sub(half)?;
    let whole = neck.is_multiple_of(2) && twice_half.is_multiple_of(2) && twice_sleeve.is_multiple_of(2);
    let (half, sleeve) = (twice_half / 2, twice_sleeve / 2);
    (whole && half >= 2 && sleeve >= 2).then_some((half, sleeve))
}

/// So many increase rounds that none makes more than four stitches of three.
fn rounds_for(from: u64, to: u64) -> u64 {
    let (mut count, mut rounds) = (from as f64, 0);
    while count * (4.0 / 3.0) < to as f64 && rounds < 1000 {
        count *= 4.0 / 3.0;
        rounds += 1;
    }
    rounds + 1
}

/// Counts behind each increase round and the rounds on which they lie: at equal distances, and equal shares of the way.
fn stages(from: u64, to: u64, wanted: u64, rows: u64) -> Option<Vec<(u64, u64)>> {
    let more = to.checked_sub(from).filter(|more| *more > 0)?;
    if wanted == 0 || wanted > rows || wanted > more {
        return None;
    }
    let mut stages = Vec::new();
    let mut count = from;
    for stage in 1..=wanted {
        let next = from + (u128::from(more) * u128::from(stage) / u128::from(wanted)) as u64;
        // At the end of its share of the rows, so that the last rows after it are no more than a share.
        let round = (u128::from(rows) * u128::from(stage) / u128::from(wanted)) as u64;
        if next - count > count || round == 0 {
            return None;
        }
        stages.push((round, next));
        count = next;
    }
    Some(stages)
}
