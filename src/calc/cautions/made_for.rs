//! What is made, and for whom each size of it is.

use super::{Caution, DEFERS, Item, Wearer, all, cautions};

/// What a design makes, and who wears each of its sizes, as far as anything tells. The default knows neither: it has
/// the cautions that hold for everybody.
///
/// ```
/// use evenround_calc::cautions::{MadeFor, Wearer};
///
/// let mitts = MadeFor::told(None, "Eelgrass Mitts", &[], vec![Some(Wearer::Child), None]);
/// assert!(mitts.of_size(0).iter().any(|caution| caution.about == "cords"));
/// assert!(mitts.of_size(1).is_empty());
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct MadeFor {
    items: Vec<Item>,
    each: Vec<Option<Wearer>>,
}

impl MadeFor {
    /// The item is the one given, else the one that the title tells of, else those of the names of the pieces, else
    /// [`Item::Other`]; `each` is who wears each size. Source: common practice, see [`Item::of_title`].
    ///
    /// ```
    /// # use evenround_calc::cautions::{Item, MadeFor, Wearer};
    /// // A toy is for a child unless somebody says otherwise.
    /// let limpet = MadeFor::told(None, "Limpet", &["Toy"], vec![None]);
    /// assert_eq!(limpet, MadeFor::told(Some(Item::Toy), "Limpet", &[], vec![None]));
    /// assert_eq!(limpet.wearer(0), Wearer::Baby);
    /// ```
    pub fn told(item: Option<Item>, title: &str, pieces: &[&str], each: Vec<Option<Wearer>>) -> Self {
        let mut items: Vec<Item> = item.or_else(|| Item::of_title(title)).into_iter().collect();
        if items.is_empty() {
            for item in pieces.iter().filter_map(|piece| Item::of_title(piece)) {
                if !items.contains(&item) {
                    items.push(item);
                }
            }
        }
        if items.is_empty() {
            items.push(Item::Other);
        }
        Self { items, each }
    }

    /// Who wears a size. Where nothing tells, a toy or a thing to lay a baby in is for a baby, for that is whose hands
    /// it comes into; anything else is for an adult, for whom only what holds for everybody is said.
    /// Source: common practice; of toys the scope of EN 71-1, by which one to be cuddled must fit a child from birth.
    ///
    /// ```
    /// # use evenround_calc::cautions::{MadeFor, Wearer};
    /// assert_eq!(MadeFor::default().wearer(0), Wearer::Adult);
    /// ```
    pub fn wearer(&self, size: usize) -> Wearer {
        let untold = if self.is_for_the_youngest() { Wearer::Baby } else { Wearer::Adult };
        self.each.get(size).copied().flatten().unwrap_or(untold)
    }

    /// The sizes of which nothing tells whom they are for. Source: derived: those without a wearer, of an item that
    /// adults have too.
    ///
    /// ```
    /// # use evenround_calc::cautions::{MadeFor, Wearer};
    /// let caps = MadeFor::told(None, "Curlew Cap", &[], vec![Some(Wearer::Child), None]);
    /// assert_eq!(caps.untold(), [1]);
    /// ```
    pub fn untold(&self) -> Vec<usize> {
        let each = self.each.iter().enumerate().filter(|(_, wearer)| wearer.is_none() && !self.is_for_the_youngest());
        each.map(|(size, _)| size).collect()
    }

    fn is_for_the_youngest(&self) -> bool {
        self.items.iter().any(|item| matches!(item, Item::Toy | Item::Cocoon))
    }

    /// The cautions of a size, the gravest for the youngest first. Source: each one's.
    ///
    /// ```
    /// # use evenround_calc::cautions::{MadeFor, Wearer};
    /// let cap = MadeFor::told(None, "Curlew Cap", &[], vec![Some(Wearer::Baby)]);
    /// assert_eq!(cap.of_size(0)[0].about, "sleep");
    /// ```
    pub fn of_size(&self, size: usize) -> Vec<&'static Caution> {
        let wearer = self.wearer(size);
        let mut own: Vec<&Caution> = Vec::new();
        for caution in self.items.iter().flat_map(|item| cautions(*item, wearer)) {
            if !own.iter().any(|other| other.about == caution.about) {
                own.push(caution);
            }
        }
        own
    }

    /// The cautions of all sizes in short, as lines for a written pattern, with the names of the sizes where one is not
    /// for all; the last line defers. None where no size has one. Source: each one's.
    ///
    /// ```
    /// # use evenround_calc::cautions::{MadeFor, Wearer};
    /// let cap = MadeFor::told(None, "Curlew Cap", &[], vec![Some(Wearer::Baby), Some(Wearer::Child)]);
    /// let lines = cap.lines(&["Newborn", "Child"]);
    /// assert!(lines[0].starts_with("Sleep (for Newborn): take a hat"), "{lines:?}");
    /// assert!(cap.lines(&["Newborn", "Child"]).last().unwrap().contains("local rules"));
    /// ```
    pub fn lines(&self, names: &[impl AsRef<str>]) -> Vec<String> {
        let of_sizes: Vec<Vec<&Caution>> = (0..names.len()).map(|size| self.of_size(size)).collect();
        let mut lines = Vec::new();
        for caution in all() {
            let has = of_sizes.iter().map(|own| own.iter().any(|other| other.about == caution.about));
            let whose: Vec<&str> =
                names.iter().zip(has).filter(|(_, has)| *has).map(|(name, _)| name.as_ref()).collect();
            if whose.is_empty() {
                continue;
            }
            let mut about = caution.about.to_owned();
            if let Some(first) = about.get_mut(..1) {
                first.make_ascii_uppercase();
            }
            let whose = if whose.len() == names.len() { String::new() } else { format!(" (for {})", whose.join(", ")) };
            lines.push(format!("{about}{whose}: {}", caution.in_short));
        }
        if !lines.is_empty() {
            lines.push(DEFERS.to_owned());
        }
        lines
    }
}
