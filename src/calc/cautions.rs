//! The usual cautions about pieces for babies, children and a hot pan: what goes wrong, in our own words, and who has
//! published it.
//!
//! None of this is advice in law, and no piece is ever called harmless here: the absence of a caution means only that
//! this list has none. Rules differ from place to place and change; every caution defers to the local ones and to whoever
//! is licensed to apply them ([`DEFERS`]). Figures of published rules are given only where the source was read.
//!
//! ```
//! use evenround_calc::cautions::{Item, Wearer, cautions};
//!
//! let about: Vec<_> = cautions(Item::Hat, Wearer::Baby).iter().map(|caution| caution.about).collect();
//! assert!(about.contains(&"sleep"), "{about:?}");
//! assert!(cautions(Item::Hat, Wearer::Adult).iter().all(|caution| caution.about != "sleep"));
//! ```

mod list;
mod made_for;
#[cfg(test)]
mod tests;

pub use made_for::MadeFor;

use crate::standards::body_sizes::{Wearers, body_sizes};

/// What every caution ends with. Source: common practice.
pub const DEFERS: &str = "Rules differ from place to place and change: the local rules hold, and for what is sold or given \
                          to be used, the word of whoever is licensed to test it.";

/// A kind of piece. Source: common practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Item {
    /// Hat, cap, bonnet, headband.
    Hat,
    /// Mitt, mitten, glove.
    Mitt,
    /// Sock, bootee, slipper.
    Sock,
    /// Blanket, and what lies in a cot.
    Blanket,
    /// Toy, rattle, lovey.
    Toy,
    /// Sweater, cardigan, dress, trousers.
    Garment,
    /// Nightwear, robe.
    Nightwear,
    /// Cowl, scarf, anything with ties or cords.
    Cowl,
    /// Cocoon, sack, nest, crib hammock, that a baby is laid in.
    Cocoon,
    /// Pot holder, trivet, hot pad.
    PotHolder,
    /// Anything else.
    Other,
}

impl Item {
    /// All of them.
    pub const ALL: [Self; 11] = [
        Self::Hat,
        Self::Mitt,
        Self::Sock,
        Self::Blanket,
        Self::Toy,
        Self::Garment,
        Self::Nightwear,
        Self::Cowl,
        Self::Cocoon,
        Self::PotHolder,
        Self::Other,
    ];

    /// Its name in requests. Source: derived: the variant's name in kebab case.
    ///
    /// ```
    /// # use evenround_calc::cautions::Item;
    /// assert_eq!(Item::PotHolder.name(), "pot-holder");
    /// ```
    pub const fn name(self) -> &'static str {
        match self {
            Self::Hat => "hat",
            Self::Mitt => "mitt",
            Self::Sock => "sock",
            Self::Blanket => "blanket",
            Self::Toy => "toy",
            Self::Garment => "garment",
            Self::Nightwear => "nightwear",
            Self::Cowl => "cowl",
            Self::Cocoon => "cocoon",
            Self::PotHolder => "pot-holder",
            Self::Other => "other",
        }
    }

    /// The kind that a title or a piece's name speaks of, from its last telling word; `None` where no word tells.
    /// Source: common practice: what the trade calls such pieces.
    ///
    /// ```
    /// # use evenround_calc::cautions::Item;
    /// assert_eq!(Item::of_title("Eelgrass Mitts"), Some(Item::Mitt));
    /// assert_eq!(Item::of_title("Plover Toy Blanket"), Some(Item::Blanket));
    /// assert_eq!(Item::of_title("Samphire"), None);
    /// ```
    pub fn of_title(title: &str) -> Option<Self> {
        let mut words = title.rsplit(|c: char| !c.is_alphanumeric()).map(str::to_lowercase);
        words.find_map(|word| Self::of_word(&word))
    }

    fn of_word(word: &str) -> Option<Self> {
        Some(match word.strip_suffix('s').unwrap_or(word) {
            "hat" | "cap" | "beanie" | "bonnet" | "beret" | "tam" | "headband" | "earwarmer" | "toque" => Self::Hat,
            "mitt" | "mitten" | "glove" | "wristwarmer" => Self::Mitt,
            "sock" | "bootee" | "bootie" | "slipper" | "shoe" | "stocking" => Self::Sock,
            "blanket" | "afghan" | "throw" | "coverlet" | "counterpane" => Self::Blanket,
            "toy" | "rattle" | "doll" | "lovey" | "amigurumi" | "teether" | "ball" => Self::Toy,
            "sweater" | "cardigan" | "jumper" | "pullover" | "jacket" | "dres" | "vest" | "romper" | "trouser"
            | "coat" | "hoodie" | "poncho" | "top" => Self::Garment,
            "nightgown" | "robe" | "pyjama" | "pajama" | "nightwear" | "nightdres" | "sleepwear" => Self::Nightwear,
            "cowl" | "scarf" | "scarve" | "shawl" | "necklace" | "collar" | "wrap" => Self::Cowl,
            "cocoon" | "nest" | "hammock" | "bunting" => Self::Cocoon,
            "potholder" | "trivet" | "hotpad" => Self::PotHolder,
            _ => return None,
        })
    }
}

/// Whom a piece is for, as cautions part them, the youngest first. Source: common practice; the limits are those of the
/// published rules: 12 months (sleep), 36 months (small parts), 14 years (toys, cords).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Wearer {
    /// Born early.
    Preemie,
    /// Under 12 months.
    Baby,
    /// Under 3 years.
    Toddler,
    /// Under 14 years.
    Child,
    /// 14 and over.
    Adult,
}

impl Wearer {
    /// Its name in answers. Source: derived: the variant's name.
    ///
    /// ```
    /// # use evenround_calc::cautions::Wearer;
    /// assert_eq!(Wearer::Toddler.name(), "toddler");
    /// ```
    pub const fn name(self) -> &'static str {
        match self {
            Self::Preemie => "preemie",
            Self::Baby => "baby",
            Self::Toddler => "toddler",
            Self::Child => "child",
            Self::Adult => "adult",
        }
    }

    /// Who this is at an age in months; not a number counts as the youngest. Source: derived: see [`Wearer`].
    ///
    /// ```
    /// # use evenround_calc::cautions::Wearer;
    /// assert_eq!([11.0, 12.0, 36.0, 168.0].map(Wearer::at), [Wearer::Baby, Wearer::Toddler, Wearer::Child, Wearer::Adult]);
    /// ```
    pub fn at(months: f64) -> Self {
        match months {
            168.0.. => Self::Adult,
            36.0.. => Self::Child,
            12.0.. => Self::Toddler,
            _ => Self::Baby,
        }
    }
}

impl From<Wearers> for Wearer {
    /// The youngest of those whom a size is for: what holds for them is said.
    fn from(wearers: Wearers) -> Self {
        match wearers {
            Wearers::Preemie => Self::Preemie,
            Wearers::Children { from_months, .. } | Wearers::ChildrenAndAdults { from_months } => Self::at(from_months),
            Wearers::Women | Wearers::Men | Wearers::Adults | Wearers::SomeAdults => Self::Adult,
        }
    }
}

/// Whom a size of a table is for; upper and lower case are alike. `None` where there is no such size. Source: derived:
/// the youngest of the size's wearers.
///
/// ```
/// # use evenround_calc::cautions::{Wearer, who};
/// assert_eq!(who("hand", "toddler"), Some(Wearer::Toddler));
/// assert_eq!(who("head", "adult woman"), Some(Wearer::Adult));
/// assert_eq!(who("head", "giant"), None);
/// ```
pub fn who(table: &str, size: &str) -> Option<Wearer> {
    let same = |name: &str, given: &str| name.eq_ignore_ascii_case(given.trim());
    let row = body_sizes().iter().find(|row| same(row.table, table) && same(row.size, size))?;
    Some(row.wearers.into())
}

/// Whom a size is for by the name that a designer gave it, where a word of it tells: `Toddler`, `Child S`,
/// `0-3 months`, `2T`. `None` where none does, as in `Small`. Source: common practice; ages as in [`who`].
///
/// ```
/// # use evenround_calc::cautions::{Wearer, of_size_name};
/// assert_eq!(of_size_name("Toddler"), Some(Wearer::Toddler));
/// assert_eq!(of_size_name("6-12 months"), Some(Wearer::Baby));
/// assert_eq!(of_size_name("Age 4"), Some(Wearer::Child));
/// assert_eq!(of_size_name("Small"), None);
/// ```
pub fn of_size_name(name: &str) -> Option<Wearer> {
    let name = name.to_lowercase();
    let words: Vec<&str> =
        name.split(|c: char| !c.is_alphanumeric() && c != '.').filter(|word| !word.is_empty()).collect();
    let has = |wanted: &[&str]| words.iter().any(|word| wanted.contains(word));
    let first = words.iter().find_map(|word| word.trim_end_matches(|c: char| !c.is_ascii_digit()).parse::<f64>().ok());
    let months =
        has(&["month", "months", "mo", "mos", "mths", "week", "weeks"]) || words.iter().any(|word| ends(word, "m"));
    let years = has(&["year", "years", "yr", "yrs", "age", "ages", "aged"])
        || words.iter().any(|word| ends(word, "t") || ends(word, "y"));
    let told = [
        (Wearer::Preemie, &["preemie", "preemies", "premature", "micropreemie"][..]),
        (Wearer::Baby, &["baby", "babies", "newborn", "infant", "nb"]),
        (Wearer::Toddler, &["toddler", "toddlers"]),
        (Wearer::Child, &["child", "children", "kid", "kids", "tween", "youth", "girl", "girls", "boy", "boys"]),
        (Wearer::Adult, &["adult", "adults", "woman", "women", "man", "men", "lady", "ladies", "teen", "teens"]),
    ];
    let by_word = told.iter().find(|(_, wanted)| has(wanted)).map(|(wearer, _)| *wearer);
    by_word.or_else(|| {
        let first = first.filter(|_| months || years)?;
        Some(Wearer::at(if months { first } else { first * 12.0 }))
    })
}

/// Whether a word is a figure with this letter behind it, such as `2t`.
fn ends(word: &str, letter: &str) -> bool {
    word.strip_suffix(letter)
        .is_some_and(|figure| !figure.is_empty() && figure.bytes().all(|byte| byte.is_ascii_digit()))
}

/// A caution. Source: its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Caution {
    /// What it is about, in a word or two; no two cautions have the same.
    pub about: &'static str,
    /// What goes wrong and what to do, in plain words.
    pub text: &'static str,
    /// The same in a sentence or two for whoever makes the piece, as it stands in a written pattern.
    pub in_short: &'static str,
    /// Who has published it, or `common practice`.
    pub source: &'static [&'static str],
    /// To what it defers: [`DEFERS`].
    pub defers: &'static str,
    pieces: &'static [Item],
    to: Wearer,
}

/// Every caution there is. Source: each one's.
///
/// ```
/// # use evenround_calc::cautions::all;
/// assert!(all().iter().all(|caution| !caution.source.is_empty() && caution.text.len() > 80));
/// ```
pub fn all() -> &'static [Caution] {
    list::ALL
}

/// The cautions about a piece for somebody, the gravest for the youngest first. Source: each one's.
///
/// ```
/// # use evenround_calc::cautions::{Item, Wearer, cautions};
/// let about: Vec<_> = cautions(Item::PotHolder, Wearer::Adult).iter().map(|caution| caution.about).collect();
/// assert_eq!(about, ["heat"]);
/// ```
pub fn cautions(item: Item, wearer: Wearer) -> Vec<&'static Caution> {
    let fits =
        |caution: &&Caution| wearer <= caution.to && (caution.pieces.is_empty() || caution.pieces.contains(&item));
    all().iter().filter(fits).collect()
}
