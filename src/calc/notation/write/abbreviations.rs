//! The abbreviations that a written pattern uses.

use std::collections::BTreeSet;

use super::super::tree::{Act, Definition, Place, Step, Target};
use super::words::stitch_name;
use crate::standards::{self, StitchId, StitchKind};
use crate::verify::Terms;

/// Stitches that steps name, and short words beside them.
#[derive(Debug, Default)]
pub struct Abbreviations {
    stitches: BTreeSet<StitchId>,
    together: BTreeSet<(StitchId, u64)>,
    words: BTreeSet<&'static str>,
}

/// Short words that are no stitches, and what they stand for. Source: common practice.
const WORDS: [(&str, &str, &str); 8] = [
    ("beg", "beg", "beginning"),
    ("rem", "rem", "remaining"),
    ("rep", "rep", "repeat"),
    ("rnd", "rnd(s)", "round(s)"),
    ("sk", "sk", "skip"),
    ("sp", "sp(s)", "space(s)"),
    ("st", "st(s)", "stitch(es)"),
    ("tog", "tog", "together"),
];

/// The abbreviations that a text uses, in the order of the alphabet.
///
/// ```
/// use evenround_calc::notation::write::abbreviations;
/// use evenround_calc::verify::Terms;
///
/// let lines = abbreviations("Rnd 2: *Sc in next st, sc2tog; rep from * around.", Terms::Us);
/// assert_eq!(lines[0], "rep = repeat");
/// assert!(lines.contains(&"sc = single crochet".to_owned()));
/// ```
pub fn in_text(text: &str, terms: Terms) -> Vec<String> {
    let mut used = Abbreviations::default();
    used.note_text(text, terms);
    used.lines(terms, &[])
}

impl Abbreviations {
    fn target(&mut self, place: Place) {
        if let Place::Next(target) | Place::First(target) | Place::Last(target) | Place::Lower(target) = place {
            match target {
                Target::Kind(stitch) => {
                    self.stitches.insert(stitch);
                }
                Target::Space(_) | Target::Chain | Target::Both(..) | Target::BothChains => {
                    self.stitches.insert(StitchId::CHAIN);
                }
                _ => {}
            }
        }
    }

    /// Takes note of the short words of a text, those of stitches too: `fpdc`, `sl st`, `sc2tog`.
    pub fn note_text(&mut self, text: &str, terms: Terms) {
        let text = text.to_lowercase();
        let words = || text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        // A pattern says the same words over and over; each is looked up once.
        let alone: BTreeSet<&str> = words().collect();
        let pairs: BTreeSet<(&str, &str)> = words().zip(words().skip(1)).collect();
        for word in alone {
            self.note_word(word);
            self.note_stitch(word, terms);
        }
        for (one, next) in pairs {
            self.note_stitch(&format!("{one} {next}"), terms);
        }
    }

    /// A name in small letters.
    fn note_stitch(&mut self, name: &str, terms: Terms) {
        let by = match terms {
            Terms::Us => standards::by_us_term,
            Terms::Uk => standards::by_uk_term,
        };
        // "sc2tog": the stitch, and how many.
        let legs = name.find(|c: char| c.is_ascii_digit()).and_then(|at| {
            let (stitch, legs) = name.split_at(at);
            Some((by(stitch)?, legs.strip_suffix("tog")?.parse().ok()?))
        });
        if let Some(together) = legs {
            self.together.insert(together);
        } else if let Some(stitch) = by(name)
            && match terms {
                Terms::Us => &standards::stitch(stitch).us,
                Terms::Uk => &standards::stitch(stitch).uk,
            }
            .abbreviations
            .contains(&name)
        {
            self.stitches.insert(stitch);
        }
    }

    /// Takes note of a short word in small letters, one or several: `st`, `sts`.
    pub fn note_word(&mut self, word: &str) {
        let same = |short: &str| word == short || word.strip_suffix('s') == Some(short);
        self.words.extend(WORDS.iter().map(|(short, ..)| *short).filter(|short| same(short)));
    }

    /// The list, in the order of the alphabet: `ch = chain`. What a definition of the pattern names is left to it.
    pub fn lines(&self, terms: Terms, definitions: &[Definition]) -> Vec<String> {
        let mut lines: BTreeSet<String> = BTreeSet::new();
        let spelled = |stitch: StitchId| match terms {
            Terms::Us => standards::stitch(stitch).us.term,
            Terms::Uk => standards::stitch(stitch).uk.term,
        };
        for stitch in &self.stitches {
            let group = standards::stitch(*stitch).kind == StitchKind::Group;
            let defined = definitions.iter().any(|own| own.name.to_lowercase().contains(spelled(*stitch)));
            let name = stitch_name(*stitch, terms);
            if name != spelled(*stitch) && !(group && defined) {
                lines.insert(format!("{name} = {}", spelled(*stitch)));
            }
        }
        for (stitch, legs) in &self.together {
            lines.insert(format!(
                "{}{legs}tog = {} {legs} stitches together",
                stitch_name(*stitch, terms),
                spelled(*stitch)
            ));
        }
        for (word, shown, meaning) in WORDS {
            if self.words.contains(word) {
                lines.insert(format!("{shown} = {meaning}"));
            }
        }
        lines.into_iter().collect()
    }

    /// Takes note of the stitches that steps name.
    pub fn note(&mut self, steps: &[Step]) {
        for step in steps {
            match &step.act {
                Act::Work(work) => {
                    self.target(work.place);
                    match (work.stitch, work.takes.plain()) {
                        (Some(stitch), Some(legs)) if legs > 1 => {
                            self.together.insert((stitch, legs));
                        }
                        (Some(stitch), _) => {
                            self.stitches.insert(stitch);
                        }
                        (None, _) => {}
                    }
                }
                Act::Chain { .. } => {
                    self.stitches.insert(StitchId::CHAIN);
                }
                Act::Join => {
                    self.stitches.insert(StitchId::SLIP_STITCH);
                }
                Act::Repeat(repeat) => self.note(&repeat.steps),
                Act::Group { steps, place, .. } => {
                    self.target(*place);
                    self.note(steps);
                }
                Act::Along { kinds, .. } => {
                    for kind in kinds {
                        self.target(Place::Next(kind.target));
                        self.note(&kind.steps);
                    }
                }
                _ => {}
            }
        }
    }
}
