//! A row in words: `3 dc, ch 2, 4×(2 dc, ch 1)`, in the order in which it was worked.

use super::{Item, Row, Run, Unit};
use crate::standards::stitch;
use crate::verify::Terms;

/// The longest description, in bytes; what goes beyond is cut off with `…`.
pub const MOST_WORDS: usize = 4096;

impl Row {
    /// What stands in the row. `name` calls units by the names that the pattern gives them; one that is a single stitch is
    /// shown by that name.
    pub fn words<'n>(&self, terms: Terms, name: impl Fn(Unit) -> Option<&'n str>) -> String {
        let mut words = String::new();
        write(self.runs(), terms, &name, &mut words);
        if words.len() > MOST_WORDS {
            let cut = (0..=MOST_WORDS).rev().find(|at| words.is_char_boundary(*at)).unwrap_or(0);
            words.truncate(cut);
            words.push('…');
        }
        words
    }
}

fn write<'n>(runs: &[Run], terms: Terms, name: &impl Fn(Unit) -> Option<&'n str>, words: &mut String) {
    let mut at = 0;
    while at < runs.len() && words.len() <= MOST_WORDS {
        let run = &runs[at];
        at += 1;
        let piece = match run {
            Run::Items(Item::Open(unit), 1) => match (runs.get(at), runs.get(at + 1), name(*unit)) {
                (Some(Run::Items(Item::Stitch(_), 1)), Some(Run::Items(Item::Close(end), _)), Some(name))
                    if end == unit =>
                {
                    at += 1;
                    format!("1 {name}")
                }
                _ => continue,
            },
            // Marks are not seen, and a chain that is only height is not looked for.
            Run::Items(Item::Open(_) | Item::Close(_) | Item::TurningChain { counts_as: None, .. }, _) => continue,
            Run::Items(item, count) => items(*item, *count, terms),
            Run::Repeat(runs, times, _) => {
                let mut inner = String::new();
                write(runs, terms, name, &mut inner);
                if inner.is_empty() {
                    continue;
                }
                format!("{times}×({inner})")
            }
        };
        if !words.is_empty() {
            words.push_str(", ");
        }
        words.push_str(&piece);
    }
}

fn items(item: Item, count: u64, terms: Terms) -> String {
    let several = |what: String| if count == 1 { what } else { format!("{count}×({what})") };
    match item {
        Item::Stitch(kind) => {
            let entry = stitch(kind);
            let names = if terms == Terms::Us { &entry.us } else { &entry.uk };
            format!("{count} {}", names.abbreviations.first().unwrap_or(&names.term))
        }
        Item::TurningChain { .. } => several("turning ch".to_owned()),
        Item::Space(length) => several(format!("ch {length}")),
        Item::Loop(_) => several("loop".to_owned()),
        Item::Picot => several("picot".to_owned()),
        Item::Chain => format!("{count} foundation ch"),
        Item::Open(_) | Item::Close(_) => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::Builder;
    use super::*;
    use crate::standards::StitchId;

    #[test]
    fn a_granny_round_is_told_side_by_side() {
        let mut side = Builder::default();
        side.push(Item::Open(Unit::GROUP), 1);
        side.push(Item::Stitch(StitchId::DOUBLE_CROCHET), 3);
        side.push(Item::Space(2), 1);
        side.push(Item::Close(Unit::GROUP), 1);
        let mut round = Builder::default();
        round.push(Item::TurningChain { length: 3, counts_as: Some(StitchId::DOUBLE_CROCHET) }, 1);
        round.repeat(side, 4);
        let round = round.finish();
        assert_eq!(round.words(Terms::Us, |_| None), "turning ch, 4×(3 dc, ch 2)");
        assert_eq!(round.words(Terms::Uk, |_| None), "turning ch, 4×(3 tr, ch 2)");
    }
}
