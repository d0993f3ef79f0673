//! The words of written crochet: the trade's stitch names in both vocabularies (from the dictionary, no other source) and
//! the small words that hold an instruction together.

use std::sync::LazyLock;

use rustc_hash::FxHashMap;

use crate::standards::{self, StitchId};
use crate::verify::Terms;

/// A word of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct WordId(u16);

impl WordId {
    /// A word that the table does not have.
    pub const OTHER: Self = Self(0);
}

macro_rules! keys {
    ($($key:ident: $words:literal),* $(,)?) => {
        /// The small words, by what they do in an instruction.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        #[expect(missing_docs, reason = "each is named by its own word")]
        pub enum Key { $($key),* }
        const KEYS: &[(Key, &str)] = &[$((Key::$key, $words)),*];
    };
}

keys! {
    Row: "row", Rows: "rows", Round: "rnd round rd", Rounds: "rnds rounds rds", R: "r",
    Stitch: "st sts stitch stitches", Space: "sp sps space spaces arch arches gap gaps hole holes", Loop: "loop loops lp lps",
    Next: "next nxt following foll fol any", Last: "last final", First: "first", Same: "same", Each: "each every ea ev", All: "all",
    In: "in into under", Over: "over", Around: "around", Across: "across along", To: "to", Until: "until till", End: "end ends ending finishing",
    Of: "of", The: "the", A: "a an", From: "from", Hook: "hook hk", And: "and", Then: "then", With: "with", Or: "or", Up: "up",
    Repeat: "rep repeat reps repeats repeating repeated", Time: "time times", Twice: "twice", Once: "once", Thrice: "thrice",
    More: "more again additional", Total: "total altogether", Between: "between bet btwn", As: "as", Like: "like",
    Ring: "ring", Magic: "magic adjustable", MagicRing: "mr", Circle: "circle", Front: "front", Back: "back", Only: "only",
    BackLoop: "blo bl blp tbl", FrontLoop: "flo fl flp", Through: "through thru", Both: "both",
    Join: "join joining", Turn: "turn turning", Fasten: "fasten", Off: "off", FastenOff: "fo", Break: "break", Tie: "tie", Cut: "cut",
    Skip: "sk skip miss skipping missing skipped missed", Increase: "inc incr increase increases incs increasing", Decrease: "dec decr decrease decreases decs decreasing idec invdec",
    Together: "tog together", Invisible: "inv invisible", Do: "do does", Not: "not", Dont: "don don't", T: "t", Count: "count counts counted counting stand stands",
    Leave: "leave leaving", Unworked: "unworked", Remain: "rem remaining remain remains", Work: "work make worked working works begin start starting",
    Place: "place pm", Move: "move", Marker: "marker markers", Change: "change switch changing switching", Colour: "color colour colors colours col", Yarn: "yarn",
    Using: "using", Drop: "drop", Size: "size sizes", Made: "made makes", Beginning: "beg beginning", Top: "top tip uppermost", Base: "base", TurningChain: "tch",
    After: "after", Before: "before", For: "for", StopWord: "stop stops", Continue: "continue cont", Even: "even", Evenly: "evenly",
    Foundation: "foundation", Set: "set", Right: "rs", Wrong: "ws", Side: "side", Other: "other", Alternate: "alternate alt", Should: "should",
    Have: "have has", You: "you", Will: "will", Be: "be", Is: "is", There: "there", This: "this these", That: "that", It: "it", Use: "use",
    Group: "group groups", Corner: "corner corners", Where: "where", Corresponding: "corresponding",
    Materials: "materials supplies", Gauge: "gauge tension", Notes: "notes note", Cautions: "caution cautions warning warnings safety", Abbreviations: "abbreviations key legend glossary", Special: "special",
    Finishing: "finishing assembly assemble", Instructions: "instructions directions method", Pattern: "pattern patt", Measurements: "measurements finished measures measure",
    Uk: "uk british", Us: "us usa american", TermsWord: "terms terminology", Nd: "nd", Th: "th", D: "d",
    Multiple: "multiple multiples", Plus: "plus", Opposite: "opposite", Larger: "larger largest", Smaller: "smaller smallest",
    By: "by", Increased: "increased", Decreased: "decreased", About: "about approx approximately", At: "at", X: "x",
    Half: "half", Double: "double", Bottom: "bottom", Spiral: "spiral continuous", Bar: "bar", Bind: "bind", Slip: "slip", Weave: "weave", Sew: "sew", Stuff: "stuff",
    Lower: "below", Indicated: "indicated specified named stated given designated", Free: "unused free", Edge: "edge edges", Just: "just", Post: "post", Previous: "previous prev preceding", Now: "now", Shaping: "shaping", Onto: "onto", On: "on", Long: "loosely", Center: "center centre middle", Form: "form forming formed", Alternately: "alternately", Omit: "omitting omit", Including: "including incl", Instead: "instead", But: "but", Rotate: "rotate", Except: "except excepting", Third: "third", Horizontal: "horizontal", HookTalk: "draw pull insert yo yrh yoh thread wrap",
}

/// What one word may mean.
#[derive(Debug, Clone, Copy, Default)]
pub struct Word {
    /// A small word.
    pub key: Option<Key>,
    /// A number word.
    pub number: Option<u32>,
    /// An ordinal word: `second`.
    pub ordinal: Option<u32>,
    /// A stitch in US terms, all by itself.
    pub us: Option<StitchId>,
    /// A stitch in UK terms, all by itself.
    pub uk: Option<StitchId>,
}

impl Word {
    /// The stitch in the given terms; a word that only the other side uses keeps its meaning there.
    pub fn stitch(&self, terms: Terms) -> Option<StitchId> {
        match terms {
            Terms::Us => self.us.or(self.uk),
            Terms::Uk => self.uk.or(self.us),
        }
    }

    /// True for a word that names a stitch on one side only (`sc`, `htr`), which tells the side.
    pub fn tells(&self) -> Option<Terms> {
        match (self.us, self.uk) {
            (Some(_), None) => Some(Terms::Us),
            (None, Some(_)) => Some(Terms::Uk),
            _ => None,
        }
    }
}

/// A name of several words: `half double crochet`.
#[derive(Debug, Clone)]
pub struct Phrase {
    /// Its words.
    pub words: Vec<WordId>,
    /// In US terms.
    pub us: Option<StitchId>,
    /// In UK terms.
    pub uk: Option<StitchId>,
}

struct Table {
    ids: FxHashMap<u128, WordId>,
    words: Vec<Word>,
    /// By the word that they begin with.
    phrases: Vec<Vec<Phrase>>,
}

static TABLE: LazyLock<Table> = LazyLock::new(Table::new);

const NUMBER_WORDS: &[&str] = &[
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
];

/// Tens, from twenty on, and the hundred.
const TEN_WORDS: &[(&str, u32)] = &[
    ("thirty", 30),
    ("forty", 40),
    ("fifty", 50),
    ("sixty", 60),
    ("seventy", 70),
    ("eighty", 80),
    ("ninety", 90),
    ("hundred", 100),
];

const ORDINAL_WORDS: &[&str] = &[
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh",
    "twelfth",
];

impl Table {
    fn new() -> Self {
        let mut table = Self { ids: FxHashMap::default(), words: vec![Word::default()], phrases: Vec::new() };
        for (value, name) in NUMBER_WORDS.iter().enumerate() {
            let id = table.intern(name);
            table.words[id.0 as usize].number = Some(value as u32);
        }
        for (name, value) in TEN_WORDS {
            let id = table.intern(name);
            table.words[id.0 as usize].number = Some(*value);
        }
        for (before, name) in ORDINAL_WORDS.iter().enumerate() {
            let id = table.intern(name);
            table.words[id.0 as usize].ordinal = Some(before as u32 + 1);
        }
        for (key, names) in KEYS {
            for name in names.split(' ') {
                let id = table.intern(name);
                // The first key that claims a word keeps it.
                table.words[id.0 as usize].key.get_or_insert(*key);
            }
        }
        for stitch in standards::stitches() {
            for (terms, names) in [(Terms::Us, &stitch.us), (Terms::Uk, &stitch.uk)] {
                for name in std::iter::once(&names.term).chain(&names.abbreviations) {
                    table.name(name, terms, stitch.id);
                }
            }
        }
        for list in &mut table.phrases {
            list.sort_by_key(|phrase| std::cmp::Reverse(phrase.words.len()));
        }
        table
    }

    fn intern(&mut self, name: &str) -> WordId {
        let next = WordId(self.words.len() as u16);
        let id = *self.ids.entry(pack(name.as_bytes()).unwrap_or(u128::MAX)).or_insert(next);
        if id == next {
            self.words.push(Word::default());
        }
        id
    }

    fn name(&mut self, name: &str, terms: Terms, stitch: StitchId) {
        // Names with figures (sc2tog) follow a general form that the grammar reads.
        if name.is_empty() || name.contains(|c: char| c.is_ascii_digit() || c == '<' || c == '!') {
            return;
        }
        let words: Vec<WordId> = name
            .split(|c: char| !c.is_ascii_alphabetic())
            .filter(|part| !part.is_empty())
            .map(|part| self.intern(part))
            .collect();
        match words.as_slice() {
            [] => {}
            [only] => {
                // "scblo", "hdcflo": the stitch with where it goes written onto it.
                for loops in ["blo", "flo"] {
                    if name.len() <= 5 {
                        let joined = self.intern(&format!("{name}{loops}"));
                        let word = &mut self.words[joined.0 as usize];
                        let slot = if terms == Terms::Us { &mut word.us } else { &mut word.uk };
                        slot.get_or_insert(stitch);
                    }
                }
                // "trebles"
                if name.len() >= 5 && standards::stitch(stitch).kind == standards::StitchKind::Basic {
                    let plural = self.intern(&format!("{name}s"));
                    let word = &mut self.words[plural.0 as usize];
                    let slot = if terms == Terms::Us { &mut word.us } else { &mut word.uk };
                    slot.get_or_insert(stitch);
                }
                let word = &mut self.words[only.0 as usize];
                let slot = if terms == Terms::Us { &mut word.us } else { &mut word.uk };
                slot.get_or_insert(stitch);
            }
            [first, ..] => {
                if self.phrases.len() <= first.0 as usize {
                    self.phrases.resize(first.0 as usize + 1, Vec::new());
                }
                let list = &mut self.phrases[first.0 as usize];
                let at = list.iter().position(|phrase| phrase.words == words).unwrap_or_else(|| {
                    list.push(Phrase { words: words.clone(), us: None, uk: None });
                    list.len() - 1
                });
                let slot = if terms == Terms::Us { &mut list[at].us } else { &mut list[at].uk };
                slot.get_or_insert(stitch);
            }
        }
    }
}

fn pack(bytes: &[u8]) -> Option<u128> {
    if bytes.len() > 16 {
        return None;
    }
    let mut packed = 0u128;
    for byte in bytes {
        packed = packed << 8 | u128::from(byte.to_ascii_lowercase());
    }
    Some(packed)
}

/// Looks a word up, whatever its case.
pub fn word(bytes: &[u8]) -> WordId {
    pack(bytes).and_then(|packed| TABLE.ids.get(&packed).copied()).unwrap_or(WordId::OTHER)
}

/// What a word may mean.
pub fn meaning(id: WordId) -> &'static Word {
    &TABLE.words[id.0 as usize]
}

/// Names of several words that begin with this one, longest first.
pub fn phrases(id: WordId) -> &'static [Phrase] {
    TABLE.phrases.get(id.0 as usize).map_or(&[], Vec::as_slice)
}
