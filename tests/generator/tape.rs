//! Choices read from a tape. A shorter tape, or smaller numbers on it, make a simpler pattern, so a property that fails
//! shrinks towards the simplest pattern that still fails.

/// A tape of numbers that is read forwards; past its end every choice is the first one.
#[derive(Debug)]
pub struct Tape<'a> {
    numbers: &'a [u32],
    at: usize,
}

impl<'a> Tape<'a> {
    /// A tape at its beginning.
    pub fn new(numbers: &'a [u32]) -> Self {
        Self { numbers, at: 0 }
    }

    fn next(&mut self) -> u64 {
        let number = self.numbers.get(self.at).copied().unwrap_or(0);
        self.at += 1;
        u64::from(number)
    }

    /// A number below `end`, which must not be 0.
    pub fn below(&mut self, end: u64) -> u64 {
        if end > u64::from(u32::MAX) { ((self.next() << 32) | self.next()) % end } else { self.next() % end }
    }

    /// A number from `low` to `high`, both possible.
    pub fn between(&mut self, low: u64, high: u64) -> u64 {
        low + self.below(high.saturating_sub(low) + 1)
    }

    /// One of these.
    pub fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.index(from.len())]
    }

    /// An index into something of this length, which must not be 0.
    pub fn index(&mut self, length: usize) -> usize {
        usize::try_from(self.below(length as u64)).expect("below a length")
    }

    /// True once in so many times; false at the end of the tape.
    pub fn once_in(&mut self, times: u64) -> bool {
        self.below(times) == times - 1
    }
}

/// A tape that depends on nothing but its seed.
pub fn seeded(seed: u64, length: usize) -> Vec<u32> {
    // SplitMix64, which is a counter and a scramble.
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5bf0_3635_d5c2_4a17;
    let mut numbers = Vec::with_capacity(length);
    for _ in 0..length {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        numbers.push(((mixed ^ (mixed >> 31)) >> 32) as u32);
    }
    numbers
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn past_the_end_every_choice_is_the_first() {
        let mut tape = Tape::new(&[7]);
        assert_eq!(tape.below(5), 2);
        assert_eq!(tape.between(3, 9), 3);
        assert!(!tape.once_in(2));
        assert_eq!(tape.pick(&["first", "second"]), "first");
    }

    #[test]
    fn a_seed_makes_one_tape() {
        assert_eq!(seeded(3, 20), seeded(3, 20));
        assert_ne!(seeded(3, 20), seeded(4, 20));
    }
}
