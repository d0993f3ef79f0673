//! Lines and columns of a text, quickly also where all of it is one line, as exported pages are.

/// After so many bytes the characters are counted anew.
const STRIDE: usize = 256;

/// Where lines begin, and how many characters stand before every so many bytes.
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
    characters: Vec<usize>,
}

impl<'t> Lines<'t> {
    /// Those of a text.
    pub fn new(text: &'t str) -> Self {
        let mut starts = vec![0];
        let mut characters = Vec::with_capacity(text.len() / STRIDE + 1);
        let mut seen = 0;
        for (at, &byte) in text.as_bytes().iter().enumerate() {
            if at % STRIDE == 0 {
                characters.push(seen);
            }
            seen += usize::from(begins(byte));
            if byte == b'\n' {
                starts.push(at + 1);
            }
        }
        Self { text, starts, characters }
    }

    /// The line of a byte, from 1.
    pub fn line(&self, at: usize) -> usize {
        self.starts.partition_point(|start| *start <= at)
    }

    /// The column of a byte in characters, from 1.
    pub fn column(&self, at: usize) -> usize {
        self.before(at) - self.before(self.starts[self.line(at) - 1]) + 1
    }

    /// How many characters begin before a byte.
    fn before(&self, at: usize) -> usize {
        let at = at.min(self.text.len());
        let block = (at / STRIDE).min(self.characters.len().saturating_sub(1));
        let counted = self.characters.get(block).copied().unwrap_or_default();
        let rest = self.text.as_bytes().get(block * STRIDE..at).unwrap_or_default();
        counted + rest.iter().filter(|&&byte| begins(byte)).count()
    }
}

/// Whether a character begins with it.
const fn begins(byte: u8) -> bool {
    byte & 0xc0 != 0x80
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_on_lines_of_any_length() {
        let text = format!("{}\n×½–x\n{}", "é".repeat(300), "a×".repeat(1000));
        let lines = Lines::new(&text);
        for (at, _) in text.char_indices().chain([(text.len(), ' ')]) {
            let start = text[..at].rfind('\n').map_or(0, |newline| newline + 1);
            assert_eq!(lines.column(at), text[start..at].chars().count() + 1, "{at}");
            assert_eq!(lines.line(at), text[..at].matches('\n').count() + 1, "{at}");
        }
    }
}
