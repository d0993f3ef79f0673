//! The model of a made-up pattern: as little as is needed to say it in words and to work it stitch by stitch.

/// A number that may be another one in each size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Number {
    /// What it is in each size.
    pub each: Vec<u64>,
    /// What is printed instead, where a number was dropped from the list or added to it.
    pub misprint: Option<Vec<u64>>,
}

impl Number {
    /// One number each.
    pub fn new(each: Vec<u64>) -> Self {
        Self { each, misprint: None }
    }

    /// True if it is printed as a list.
    pub fn is_list(&self) -> bool {
        self.each.iter().any(|n| *n != self.each[0])
    }
}

/// Which vocabulary the words come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Words {
    /// United States.
    Us,
    /// United Kingdom.
    Uk,
}

/// The one stitch that the piece is worked in, by height.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Height {
    /// Single (UK double) crochet.
    One,
    /// Half double (UK half treble) crochet.
    Two,
    /// Double (UK treble) crochet.
    Three,
}

/// How the piece is worked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Manner {
    /// Round and round without joins.
    Spiral,
    /// In rounds, each joined.
    Joined,
    /// Back and forth.
    Flat,
}

/// Where the text says what the beginning chain is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Said {
    /// Once, in the notes.
    AtTop,
    /// In every row.
    OnTheLine,
    /// Nowhere.
    Nowhere,
}

/// The chain that begins a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Beginning {
    /// Chains.
    pub length: u64,
    /// Whether it is the row's first stitch.
    pub counts: bool,
    /// Where that is said.
    pub said: Said,
}

/// One phrase of a row. `say` picks among the ways to say it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Clause {
    /// One stitch in each of the next so many; at the end of a row, in the last so many.
    Plain {
        /// How many.
        count: Number,
        /// Said as "in last".
        last: bool,
        /// Wording.
        say: u8,
    },
    /// Two stitches in the next one, or in the last one.
    Increase {
        /// Said as "in last".
        last: bool,
        /// Wording.
        say: u8,
    },
    /// Two stitches together.
    Decrease {
        /// Wording.
        say: u8,
    },
    /// Stitches passed over.
    Skip {
        /// How many.
        count: Number,
    },
    /// So many in each stitch to the end of the row.
    ToEnd {
        /// 1 or 2.
        each: u64,
    },
    /// One in each stitch, but for the last so many.
    ToLast {
        /// How many are left.
        leave: Number,
    },
    /// A fault: one more stitch at the foot of a chain that counts.
    FirstAgain,
    /// A fault: the first stitch passed over beside a chain that does not count.
    FirstSkipped,
    /// A fault: "each" where "next" belongs, with so many in each.
    EachForNext {
        /// 1 or 2.
        each: u64,
    },
    /// Phrases worked several times.
    Repeat {
        /// The phrases.
        body: Vec<Clause>,
        /// How often.
        extent: Extent,
        /// How the repeat is marked.
        marking: Marking,
    },
}

/// How often a repeat is worked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Extent {
    /// So many times.
    Times(Number),
    /// To the end of the row.
    Fill,
    /// Until so many stitches are left.
    ToLast(Number),
    /// A fault, if a harmless one: not said.
    Unsaid,
}

/// How a repeat is marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Marking {
    /// `[ … ]`.
    Square,
    /// `( … )`.
    Round,
    /// `* …; rep from *`.
    OpenStar,
    /// `* … *`.
    StarPair,
}

/// What a row does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Body {
    /// The first row, into the ring or along the chain.
    First,
    /// Phrases.
    Phrases(Vec<Clause>),
    /// As the row with this index.
    SameAs(usize),
}

/// One instruction line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its number.
    pub first: u64,
    /// The last number of a range, else the same.
    pub last: u64,
    /// What it does.
    pub body: Body,
    /// The printed count.
    pub stated: Option<Number>,
    /// A fault: its first stitch word is of the other vocabulary.
    pub foreign_word: bool,
}

/// How the text is spelled throughout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Style {
    /// Row headers.
    pub header: u8,
    /// Counts.
    pub count: u8,
    /// Size lists.
    pub list: u8,
    /// Number first, `inc` and `dec`, as toys are written.
    pub toy: bool,
    /// Title and headings around the rows.
    pub dressing: u8,
}

/// A made-up pattern in one piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pattern {
    /// Names of the sizes; one name for a pattern without sizes.
    pub sizes: Vec<&'static str>,
    /// Vocabulary.
    pub words: Words,
    /// The stitch.
    pub height: Height,
    /// Round or flat.
    pub manner: Manner,
    /// The beginning chain, if rows have one.
    pub beginning: Option<Beginning>,
    /// Spelling.
    pub style: Style,
    /// Stitches in the ring, or chains of the foundation.
    pub foundation: Number,
    /// The rows.
    pub rows: Vec<Row>,
}

impl Pattern {
    /// How many stitches of a row its beginning chain is: 1 or 0.
    pub fn chain_counts(&self) -> u64 {
        u64::from(self.beginning.is_some_and(|chain| chain.counts))
    }

    /// The chain, counted from the hook, that takes the first stitch of a flat piece.
    pub fn first_chain(&self) -> u64 {
        match self.height {
            Height::One => 2,
            Height::Two => 3,
            Height::Three => 4,
        }
    }

    /// The phrases of a row, its own or those of the row that it repeats; none for the first row.
    pub fn phrases(&self, row: usize) -> Option<&[Clause]> {
        match &self.rows[row].body {
            Body::First => None,
            Body::Phrases(clauses) => Some(clauses),
            Body::SameAs(other) => self.phrases(*other),
        }
    }

    /// True if a later row is worked as this one.
    pub fn is_repeated(&self, row: usize) -> bool {
        self.rows.iter().any(|other| other.body == Body::SameAs(row))
    }
}
