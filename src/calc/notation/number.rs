//! Numbers of a pattern. A size list such as `42 (50, 60, 66)` is one number with one value per size; a dash or nothing
//! in a list means that the size leaves the phrase out.

/// The largest count that is exact everywhere a count goes (2^53 − 1).
pub const MAX_COUNT: u64 = (1 << 53) - 1;

/// A handle: small whole numbers stand in it, everything else in the table of [`Numbers`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Num(u32);

const TABLE: u32 = 1 << 31;

impl Num {
    /// The number 1.
    pub const ONE: Self = Self(1);
    /// The number 2.
    pub const TWO: Self = Self(2);
    /// The number 0.
    pub const ZERO: Self = Self(0);

    /// A small number, below 2^31.
    pub const fn small(value: u32) -> Self {
        Self(value & !TABLE)
    }

    /// The value, where it is the same small number in every size.
    pub const fn plain(self) -> Option<u64> {
        if self.0 < TABLE { Some(self.0 as u64) } else { None }
    }
}

/// The table of numbers that do not fit a handle.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Numbers {
    lists: Vec<List>,
    values: Vec<Option<u64>>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct List {
    start: u32,
    len: u32,
}

impl Numbers {
    /// The same number in every size.
    pub fn whole(&mut self, value: u64) -> Num {
        if value < u64::from(TABLE) { Num(value as u32) } else { self.list(&[Some(value)]) }
    }

    /// One value per size.
    pub fn list(&mut self, values: &[Option<u64>]) -> Num {
        let list = List { start: self.values.len() as u32, len: values.len() as u32 };
        self.values.extend_from_slice(values);
        self.lists.push(list);
        Num(TABLE | (self.lists.len() - 1) as u32)
    }

    /// The value in one size; `None` where that size leaves it out.
    pub fn value(&self, number: Num, size: usize) -> Option<u64> {
        if number.0 < TABLE {
            return Some(u64::from(number.0));
        }
        let list = self.lists[(number.0 & !TABLE) as usize];
        let at = if list.len == 1 { 0 } else { size.min(list.len as usize - 1) };
        self.values[list.start as usize + at]
    }

    /// The values of a size list, `None` for a number that is the same in every size.
    pub fn values(&self, number: Num) -> Option<&[Option<u64>]> {
        if number.0 < TABLE {
            return None;
        }
        let list = self.lists[(number.0 & !TABLE) as usize];
        (list.len > 1).then(|| &self.values[list.start as usize..(list.start + list.len) as usize])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_list_has_one_value_per_size_and_a_dash_leaves_the_size_out() {
        let mut numbers = Numbers::default();
        let list = numbers.list(&[None, Some(2), Some(4)]);
        assert_eq!(numbers.value(list, 0), None);
        assert_eq!(numbers.value(list, 2), Some(4));
        assert_eq!(numbers.values(Num::small(7)), None);
    }

    #[test]
    fn one_figure_applies_to_all_sizes_however_large() {
        let mut numbers = Numbers::default();
        let big = numbers.whole(u64::MAX);
        assert_eq!(numbers.value(big, 3), Some(u64::MAX));
        assert_eq!(Num::small(12).plain(), Some(12));
    }
}
