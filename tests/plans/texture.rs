//! Textures in trade notation, with the multiple that a maker finds by hand: the stitches of one repeat, and those over.

use evenround_calc::standards::StitchId;
use evenround_calc::verify::Terms;

/// Rows of a texture. `{s}` is the stitch of the section, `{k}` the word for skipping.
#[derive(Debug)]
pub struct Texture {
    rows: &'static [&'static str],
    /// Stitches of one repeat.
    pub of: u64,
    /// Stitches over.
    pub plus: u64,
    /// The smallest count over which it comes out.
    pub least: u64,
    /// Whether every row keeps the count and leaves stitches only.
    pub ends_anywhere: bool,
}

const fn texture(rows: &'static [&'static str], of: u64, plus: u64, least: u64, ends_anywhere: bool) -> Texture {
    Texture { rows, of, plus, least, ends_anywhere }
}

/// Textures in rounds.
pub const ROUNDS: &[Texture] = &[
    texture(&["{S} in back loop only of each st around."], 1, 0, 1, true),
    texture(
        &["*{S} in next st, ch 1, {k} next st; rep from * around.", "{S} in each st and in each ch-1 sp around."],
        2,
        0,
        2,
        false,
    ),
    texture(
        &[
            "*{S} in next 2 sts, {k} next st, ({s}, ch 1, {s}) in next st, {k} next st; rep from * around.",
            "{S} in each st and sp around.",
        ],
        5,
        0,
        5,
        false,
    ),
    texture(&["*{S} in next st, {k} next st, 2 {s} in next st; rep from * around."], 3, 0, 3, true),
    texture(&["*{K} next st, 3 {s} in next st, {k} next st; rep from * around."], 3, 0, 3, true),
    texture(
        &[
            "*{S} in next 2 sts, {s} in front loop only of next 2 sts; rep from * around.",
            "{S} in each st around.",
            "*{S} in front loop only of next 2 sts, {s} in next 2 sts; rep from * around.",
        ],
        4,
        0,
        4,
        true,
    ),
];

/// Textures in rows.
pub const ROWS: &[Texture] = &[
    texture(&["{S} in back loop only of each st across."], 1, 0, 1, true),
    texture(
        &[
            "{S} in first st, *ch 1, {k} next st, {s} in next st; rep from * across.",
            "{S} in each st and in each ch-1 sp across.",
        ],
        2,
        1,
        1,
        false,
    ),
    texture(&["*{S} in next st, {k} next st, 2 {s} in next st; rep from * across."], 3, 0, 3, true),
    texture(
        &["{S} in first st, *{k} next st, 3 {s} in next st, {k} next st; rep from * to last st, {s} in last st."],
        3,
        2,
        2,
        true,
    ),
];

impl Texture {
    /// Its rows in a stitch.
    pub fn rows(&self, stitch: StitchId, terms: Terms) -> Vec<String> {
        let us = ["sc", "hdc", "dc"];
        let uk = ["dc", "htr", "tr"];
        let at = stitch.index() - StitchId::SINGLE_CROCHET.index();
        let (name, skip) = if terms == Terms::Us { (us[at], "sk") } else { (uk[at], "miss") };
        let capital = |word: &str| format!("{}{}", word[..1].to_uppercase(), &word[1..]);
        let put = |row: &&str| {
            row.replace("{s}", name).replace("{S}", &capital(name)).replace("{k}", skip).replace("{K}", &capital(skip))
        };
        self.rows.iter().map(put).collect()
    }

    /// The texture of which these are the rows.
    pub fn of_rows(rows: &[String], stitch: StitchId, terms: Terms) -> Option<&'static Self> {
        ROUNDS.iter().chain(ROWS).find(|texture| texture.rows(stitch, terms) == rows)
    }

    /// Whether it comes out over a count.
    pub const fn fits(&self, count: u64) -> bool {
        count >= self.least && count % self.of == self.plus
    }

    /// How many rows it has.
    pub const fn height(&self) -> u64 {
        self.rows.len() as u64
    }
}
