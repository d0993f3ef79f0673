//! What a text may leave open.

/// What the text leaves open, decided once for a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Conventions {
    /// Bit n: a beginning chain of n counts as a stitch.
    pub counted: u8,
    /// Bit n: n chains skipped at a foundation count as a stitch.
    pub skipped: u8,
    /// "Repeat n times" is n in all.
    pub in_all: bool,
    /// What the notes say of chains is passed over.
    pub untold: bool,
}

impl Conventions {
    /// Those of the bits that are set in both.
    pub fn both(self, other: Self) -> Self {
        Self {
            counted: self.counted & other.counted,
            skipped: self.skipped & other.skipped,
            in_all: self.in_all && other.in_all,
            untold: self.untold,
        }
    }

    /// Those of the bits that are set in one or both.
    pub fn either(self, other: Self) -> Self {
        Self {
            counted: self.counted | other.counted,
            skipped: self.skipped | other.skipped,
            in_all: self.in_all || other.in_all,
            untold: self.untold,
        }
    }

    /// The bits that differ.
    pub fn differing(self, other: Self) -> Self {
        Self {
            counted: self.counted ^ other.counted,
            skipped: self.skipped ^ other.skipped,
            in_all: self.in_all != other.in_all,
            untold: self.untold,
        }
    }

    /// Every set bit by itself.
    pub fn bits(self) -> Vec<Self> {
        let of = |bits: u8| (0..8).map(|n| 1 << n).filter(move |bit| bits & bit != 0);
        let mut all: Vec<Self> = of(self.counted).map(|counted| Self { counted, ..Self::default() }).collect();
        all.extend(of(self.skipped).map(|skipped| Self { skipped, ..Self::default() }));
        all.extend(self.in_all.then(|| Self { in_all: true, ..Self::default() }));
        all
    }
}
