//! The gauge, as the request or the text states it.

use super::figures::{Kind, Line};
use super::report::{StatedGauge, Terms};
use crate::notation::words;
use crate::standards::StitchId;
use crate::units::Length;

/// What of the fabric a gauge was taken in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Of {
    /// This stitch.
    Stitch(StitchId),
    /// "18 sts": the stitch is not named.
    Any,
}

/// So many of something over a length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rate {
    pub(super) of: Of,
    pub(super) count: f64,
    pub(super) over: Length,
}

impl Rate {
    /// How wide a stitch is, or how high a row.
    pub(super) fn one(self) -> Length {
        self.over * (1.0 / self.count)
    }

    fn usable(self) -> bool {
        let one = self.one().to_millimetres();
        self.count > 0.0 && one.is_finite() && one > 0.0
    }
}

/// Everything that is known of the gauge.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Gauge {
    pub(super) stitches: Vec<Rate>,
    pub(super) rows: Vec<Rate>,
    /// It holds for the fabric as it is, whatever it is made of: the request says so.
    pub(super) by_request: bool,
    /// Measured after washing or blocking.
    pub(super) blocked: bool,
}

impl Gauge {
    pub(super) fn of_request(stated: &StatedGauge) -> Self {
        let rate = |count| Rate { of: Of::Any, count, over: stated.over };
        Self {
            stitches: Some(rate(stated.stitches)).filter(|rate| rate.usable()).into_iter().collect(),
            rows: stated.rows.map(rate).filter(|rate| rate.usable()).into_iter().collect(),
            by_request: true,
            blocked: false,
        }
    }

    /// Reads a line that stands behind the word "gauge" or "tension". Two rates for one stitch that differ cancel each other.
    pub(super) fn line(&mut self, line: &Line<'_>, from: usize, terms: Terms) {
        // "About 12", "with the larger hook": no gauge to reckon with.
        let loose = ["about", "approx", "approximately", "abt", "roughly", "larger", "smaller", "not"];
        if (from..line.len()).any(|at| line.is(at, &loose)) {
            return;
        }
        self.blocked |= blocked(line);
        let mut at = from;
        while at < line.len() {
            // "4 in. = 18 sts" goes on, "to the inch. Finished …" and "= 10 cm. 15 rows …" do not.
            let begins = |i: usize| {
                line.number(i).is_some() || line.word(i).is_some_and(|word| word.starts_with(char::is_uppercase))
            };
            let ends = |i: usize| line.mark(i, ';') || line.mark(i, '.') && begins(i + 1);
            let end = (at..line.len()).find(|i| ends(*i)).unwrap_or(line.len());
            self.segment(line, at, end, terms);
            at = end + 1;
        }
    }

    /// `18 sts and 20 rows = 4 in`, `16 tr to 10 cm`, `4" = 14 hdc`, `4 sts to the inch`.
    fn segment(&mut self, line: &Line<'_>, from: usize, end: usize, terms: Terms) {
        if (from..end).any(|at| line.is(at, &["pattern", "patt", "repeat", "repeats", "motif", "shell", "shells"])) {
            return;
        }
        let mut over: Option<Length> = None;
        let mut stitches: Option<(Of, f64)> = None;
        let mut rows: Option<f64> = None;
        let mut at = from;
        while at < end {
            if let Some((lengths, next)) = line.lengths(at) {
                // "4 in x 4 in" and "10 cm (4 in)" name one window; two windows are not plain.
                let [length] = lengths.as_slice() else { return };
                if over.is_some_and(|known| (known / *length - 1.0).abs() > 0.03) {
                    return;
                }
                over.get_or_insert(*length);
                at = next;
            } else if let Some((length, next)) = line.one_unit(at) {
                over.get_or_insert(length);
                at = next;
            } else if let Some(number) = line.number(at) {
                if line.is(at + 1, &["row", "rows", "rnd", "rnds", "round", "rounds", "rd", "rds"]) {
                    if rows.replace(number).is_some() {
                        return;
                    }
                } else if let Some(of) = named(line, at + 1, terms)
                    && stitches.replace((of, number)).is_some()
                {
                    return;
                }
                at += 1;
            } else {
                at += 1;
            }
        }
        let Some(over) = over else { return };
        if let Some((of, count)) = stitches {
            add(&mut self.stitches, Rate { of, count, over });
        }
        if let Some(count) = rows {
            add(&mut self.rows, Rate { of: stitches.map_or(Of::Any, |(of, _)| of), count, over });
        }
    }
}

/// Whether a line speaks of fabric that has been wetted.
pub(super) fn blocked(line: &Line<'_>) -> bool {
    line.any(&["block", "blocked", "blocking", "washed", "washing"])
}

fn add(rates: &mut Vec<Rate>, rate: Rate) {
    if !rate.usable() || rates.len() >= 16 {
        return;
    }
    if let Some(known) = rates.iter_mut().find(|known| known.of == rate.of) {
        // Two that differ: neither is the gauge. A rate of nothing compares with nothing.
        if (known.one() / rate.one() - 1.0).abs() > 0.02 {
            known.count = f64::NAN;
        }
        return;
    }
    rates.push(rate);
}

/// The stitch that is named at `at`, or "sts".
fn named(line: &Line<'_>, at: usize, terms: Terms) -> Option<Of> {
    let id = |at: usize| line.word(at).map(|word| words::word(word.as_bytes()));
    if line.is(at, &["st", "sts", "stitch", "stitches"]) {
        return Some(Of::Any);
    }
    let first = id(at)?;
    for phrase in words::phrases(first) {
        let stitch = if terms == Terms::Us { phrase.us } else { phrase.uk };
        if let Some(stitch) = stitch
            && phrase.words.iter().enumerate().all(|(nth, word)| id(at + nth) == Some(*word))
        {
            return Some(Of::Stitch(stitch));
        }
    }
    words::meaning(first).stitch(terms).map(Of::Stitch)
}

/// Where in a line its gauge begins: behind the word, if it has one. `Some(len)` for the word alone, as a heading.
pub(super) fn begins(line: &Line<'_>) -> Option<usize> {
    let at = (0..line.len()).find(|at| line.is(*at, &["gauge", "tension"]))?;
    let mut from = at + 1;
    while from < line.len() && matches!(line.figures[from].kind, Kind::Mark(':' | '-' | '*' | '_' | '=')) {
        from += 1;
    }
    Some(from)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, terms: Terms) -> Gauge {
        let line = Line::cut(text, 0, text.len());
        let mut gauge = Gauge::default();
        gauge.line(&line, begins(&line).unwrap(), terms);
        gauge
    }

    fn stitch(text: &str) -> (Of, f64) {
        let gauge = read(text, Terms::Us);
        assert_eq!(gauge.stitches.len(), 1, "{text}: {gauge:?}");
        (gauge.stitches[0].of, gauge.stitches[0].one().to_inches())
    }

    #[test]
    fn a_gauge_is_read_in_the_ways_in_which_it_is_printed() {
        let sc = Of::Stitch(StitchId::SINGLE_CROCHET);
        for (text, of, each) in [
            ("Gauge: 18 sts and 20 rows = 4 in", Of::Any, 4.0 / 18.0),
            ("Gauge: 18 sts x 20 rows = 4\" x 4\"", Of::Any, 4.0 / 18.0),
            ("Gauge: 4\" = 14 hdc", Of::Stitch(StitchId::HALF_DOUBLE_CROCHET), 4.0 / 14.0),
            ("GAUGE: 7 sc to 2 inches.", sc, 2.0 / 7.0),
            ("GAUGE: 4 sts to the inch. Firm.", Of::Any, 0.25),
            ("Gauge 15 single crochet = 4 in (10 cm)", sc, 4.0 / 15.0),
            ("Tension: 16 sc to 10 cm square", sc, 10.0 / 2.54 / 16.0),
            ("Gauge: 13½ sc over 4 in", sc, 4.0 / 13.5),
        ] {
            let (found, one) = stitch(text);
            assert!(found == of && (one - each).abs() < 1e-9, "{text}: {found:?} {one}");
        }
    }

    #[test]
    fn uk_stitches_are_read_in_uk_terms_and_rows_beside_them() {
        let gauge = read("Tension: 16 tr and 9 rows = 10 cm", Terms::Uk);
        assert_eq!(gauge.stitches[0].of, Of::Stitch(StitchId::DOUBLE_CROCHET));
        assert!((gauge.rows[0].one().to_centimetres() - 10.0 / 9.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_loose_or_in_pattern_is_no_gauge() {
        for text in [
            "Gauge is not important here, honest.",
            "My gauge was about 12 stitches to 10 cm",
            "Gauge: 7 rows in pattern = 4\"",
            "Gauge: Rnds 1-3 = 2½ in across",
            "Gauge: 18 sts = 4 in on the larger hook",
        ] {
            let gauge = read(text, Terms::Us);
            assert!(gauge.stitches.is_empty() && gauge.rows.is_empty(), "{text}: {gauge:?}");
        }
    }

    #[test]
    fn two_gauges_for_one_stitch_are_none() {
        let gauge = read("Gauge: 18 sts = 4 in; 20 sts = 4 in", Terms::Us);
        assert!(gauge.stitches.iter().all(|rate| rate.count.is_nan()));
    }
}
