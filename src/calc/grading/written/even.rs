//! Rows of one count, plain or in a texture of the designer's own.

use super::{Body, Hand, fill, on_a_chain};
use crate::grading::choices::{Known, Picked};

impl Hand<'_> {
    pub(super) fn even(&mut self, known: &Known<'_>, picked: &[Picked<'_>]) {
        let all = self.all();
        let count = |size: usize| picked[size].choice.entry;
        let mut rows: Vec<u64> = picked.iter().map(|picked| picked.choice.rows).collect();
        let of = known.section.stitch;
        if on_a_chain(known) {
            self.foundation(known, count);
            for rows in &mut rows {
                *rows = rows.saturating_sub(1);
            }
        }
        if known.section.rows.is_empty() {
            let body = self.framed(of, [fill(of, 0)]);
            self.range(&all, |size| rows[size], body, count);
            return;
        }
        self.texture(known, &rows, count);
    }

    /// The written rows once over, then again as often as they fit, then the first of them as far as the length wants.
    fn texture(&mut self, known: &Known<'_>, rows: &[u64], count: impl Fn(usize) -> u64) {
        let all = self.all();
        let written = known.section.rows.len() as u64;
        let of = known.section.stitch;
        let made = |row: usize, size: usize| {
            let entry = count(size);
            known.multiple.made(row, entry).unwrap_or(entry)
        };
        let words: Vec<Body> = known.section.rows.iter().map(|row| self.framed_words(of, known.terms, row)).collect();
        if let [_] = words.as_slice() {
            for body in words {
                self.range(&all, |size| rows[size], body, |size| made(0, size));
            }
            return;
        }
        let first: Vec<u64> = self.next.clone();
        for (at, body) in words.into_iter().enumerate() {
            let among: Vec<usize> = all.iter().copied().filter(|size| rows[*size] > at as u64).collect();
            self.row(&among, body, |size| made(at, size));
        }
        let times = |size: usize| (rows[size] / written).saturating_sub(1);
        let last = known.section.rows.len() - 1;
        self.again(&all, |size| first[size], |size| first[size] + written - 1, times, |size| made(last, size));
        for at in 0..last {
            let more = |size: usize| rows[size] > written && rows[size] % written > at as u64;
            let among: Vec<usize> = all.iter().copied().filter(|size| more(*size)).collect();
            let of_row = |size: usize| first[size] + at as u64;
            self.again(&among, of_row, of_row, |_| 1, |size| made(at, size));
        }
    }
}
