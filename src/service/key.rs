//! Keys that stand for a studio: `evr_`, eight characters by which the key is found, `_`, a secret, and a checksum over all
//! that, so that a slip in copying is told apart from a key that nobody has. The store keeps a hash only.

use sha2::{Digest, Sha256};

/// What all keys begin with, for people and for programs that look for keys where none should lie about.
const MARK: &str = "evr_";
const PREFIX_BYTES: usize = 4;
/// As many bits as nobody guesses: 192.
const SECRET_BYTES: usize = 24;
const LENGTH: usize = MARK.len() + 2 * PREFIX_BYTES + 1 + 2 * SECRET_BYTES + 8;

/// A key in plain.
#[derive(Clone, PartialEq, Eq)]
pub struct Key(String);

/// What a key is kept as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// May read what its studio keeps.
    Read,
    /// And change it.
    Write,
}

impl Scope {
    /// As the store has it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Write => "write",
        }
    }
}

// A key never shows itself by accident.
impl std::fmt::Debug for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Key({}…)", self.prefix())
    }
}

impl Key {
    /// A new one.
    ///
    /// # Errors
    /// Where the machine has no random numbers.
    pub fn generate() -> Result<Self, getrandom::Error> {
        let mut bytes = [0; PREFIX_BYTES + SECRET_BYTES];
        getrandom::fill(&mut bytes)?;
        let hex = data_encoding::HEXLOWER.encode(&bytes);
        let (prefix, secret) = hex.split_at(2 * PREFIX_BYTES);
        Ok(Self::with_checksum(format!("{MARK}{prefix}_{secret}")))
    }

    fn with_checksum(body: String) -> Self {
        let sum = crc32fast::hash(body.as_bytes());
        Self(format!("{body}{sum:08x}"))
    }

    /// Reads one; nothing where it cannot be one.
    pub fn parse(text: &str) -> Option<Self> {
        let hex = |text: &str| text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
        let (prefix, rest) = text.strip_prefix(MARK)?.split_once('_')?;
        if text.len() != LENGTH || prefix.len() != 2 * PREFIX_BYTES || !hex(prefix) || !hex(rest) {
            return None;
        }
        let body = text.get(..LENGTH - 8)?;
        let key = Self::with_checksum(body.to_owned());
        (key.0 == text).then_some(key)
    }

    /// By which it is found.
    pub fn prefix(&self) -> &str {
        self.0.get(MARK.len()..MARK.len() + 2 * PREFIX_BYTES).unwrap_or_default()
    }

    /// By which it is known.
    pub fn hash(&self) -> [u8; 32] {
        Sha256::digest(self.0.as_bytes()).into()
    }

    /// The key itself, to be shown once to whoever asked for it.
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_reads_back_and_one_wrong_character_is_noticed() {
        let key = Key::generate().unwrap();
        assert_eq!(Key::parse(key.reveal()).unwrap(), key);
        assert_eq!(key.reveal().len(), LENGTH);
        assert!(key.reveal().starts_with(&format!("{MARK}{}_", key.prefix())));
        assert!(!format!("{key:?}").contains(&key.reveal()[14..]), "the secret is not shown");
        for at in 0..LENGTH {
            let mut wrong = key.reveal().to_owned();
            let other = if wrong.as_bytes()[at] == b'0' { "1" } else { "0" };
            wrong.replace_range(at..=at, other);
            assert_eq!(Key::parse(&wrong), None, "{wrong}");
        }
        for wrong in
            ["", "evr_", "evr_é", &key.reveal()[1..], &format!("{}0", key.reveal()), &key.reveal().to_uppercase()]
        {
            assert_eq!(Key::parse(wrong), None, "{wrong}");
        }
        assert_ne!(Key::generate().unwrap(), key);
    }
}
