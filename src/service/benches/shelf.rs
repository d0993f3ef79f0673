//! What the benches verify: patterns of the demo shelf, many of them with a number changed. Everything follows from a seed.

use evenround::demo;

/// xorshift64*.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33) as usize % most
    }
}

/// So many patterns: those of the shelf in turn, every other one with a number that is one more or less.
pub fn patterns(number: usize) -> Vec<String> {
    let shelf: Vec<&str> = demo::SHELF.iter().map(|(_, text)| *text).collect();
    let mut dice = Dice::new(0x5eed_0000_0000_0001);
    (0..number).map(|at| if at % 2 == 0 { shelf[at / 2 % shelf.len()].to_owned() } else { slipped(shelf[at / 2 % shelf.len()], &mut dice) }).collect()
}

fn slipped(text: &str, dice: &mut Dice) -> String {
    let numbers: Vec<(usize, &str)> =
        text.split(|c: char| !c.is_ascii_digit()).filter(|digits| (1..5).contains(&digits.len())).map(|digits| {
            (digits.as_ptr() as usize - text.as_ptr() as usize, digits)
        }).collect();
    let (at, digits) = numbers[dice.below(numbers.len())];
    let number: u32 = digits.parse().unwrap();
    let other = if dice.below(2) == 0 { number + 1 } else { number.saturating_sub(1) };
    format!("{}{other}{}", &text[..at], &text[at + digits.len()..])
}
