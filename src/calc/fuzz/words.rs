//! Words and clauses from the lists beside this file, and texts put together from them.

use libfuzzer_sys::arbitrary::{Result, Unstructured};
use std::fmt::Write as _;

/// The entries of a dictionary in the form that libFuzzer reads: one a line, in quotes, `\x0A` for a byte.
///
/// # Panics
/// When an entry is no text.
pub fn dictionary(list: &str) -> Vec<String> {
    list.lines()
        .filter_map(|line| line.strip_prefix('"')?.strip_suffix('"'))
        .map(|word| unescaped(&word.replace("\\\"", "\"")))
        .collect()
}

fn unescaped(word: &str) -> String {
    let mut parts = word.split("\\x");
    let mut bytes = parts.next().unwrap_or_default().as_bytes().to_vec();
    for part in parts {
        let (digits, rest) = part.split_at(2);
        bytes.push(u8::from_str_radix(digits, 16).expect("two digits"));
        bytes.extend_from_slice(rest.as_bytes());
    }
    String::from_utf8(bytes).expect("whole characters")
}

/// Clauses under `[headings]`, one a line. In a clause `#` is a number, `$` a size list, `{heading}` a clause of that
/// heading, `/` the end of a line, `~` nothing. The first clause of a heading leads to no clause of that heading.
pub struct Clauses(Vec<(&'static str, Vec<&'static str>)>);

/// Clauses within clauses: deeper ones are the first of their heading.
const DEEPEST: usize = 4;

impl Clauses {
    /// Reads a list.
    ///
    /// # Panics
    /// When a clause stands before the first heading, or names one that is not there.
    pub fn of(list: &'static str) -> Self {
        let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
        for line in list.lines().filter(|line| !line.is_empty() && !line.starts_with(";")) {
            match line.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
                Some(heading) => all.push((heading, Vec::new())),
                None => all.last_mut().expect("a heading").1.push(if line == "~" { "" } else { line }),
            }
        }
        let clauses = Self(all);
        for clause in clauses.0.iter().flat_map(|(_, list)| list) {
            for named in clause.split('{').skip(1) {
                let (name, _) = named.split_once('}').expect("a closed name");
                assert!(!clauses.under(name).is_empty(), "nothing under {name}");
            }
        }
        clauses
    }

    fn under(&self, heading: &str) -> &[&'static str] {
        self.0.iter().find(|(name, _)| *name == heading).map_or(&[], |(_, list)| list)
    }

    /// One clause of a heading.
    ///
    /// # Errors
    /// When there are no bytes left to choose by.
    pub fn push(&self, heading: &str, sizes: usize, u: &mut Unstructured<'_>, text: &mut String) -> Result<()> {
        self.push_at(heading, sizes, u, text, 0)
    }

    fn push_at(
        &self,
        heading: &str,
        sizes: usize,
        u: &mut Unstructured<'_>,
        text: &mut String,
        depth: usize,
    ) -> Result<()> {
        let under = self.under(heading);
        let mut rest = if depth < DEEPEST { *u.choose(under)? } else { under[0] };
        while let Some(at) = rest.find(['#', '$', '{', '/']) {
            text.push_str(&rest[..at]);
            let mark = rest.as_bytes()[at];
            rest = &rest[at + 1..];
            match mark {
                b'#' => number(u, text)?,
                b'$' => size_list(sizes, u, text)?,
                b'/' => text.push('\n'),
                _ => {
                    let (name, after) = rest.split_once('}').expect("checked when it was read");
                    self.push_at(name, sizes, u, text, depth + 1)?;
                    rest = after;
                }
            }
        }
        text.push_str(rest);
        Ok(())
    }
}

/// Mostly such as patterns have, now and then one that no hook will ever see.
fn number(u: &mut Unstructured<'_>, text: &mut String) -> Result<()> {
    let value = match u.int_in_range(0..=31)? {
        0 => u.arbitrary::<u64>()?,
        1 => u64::from(u.arbitrary::<u16>()?),
        2..=7 => u.int_in_range(0..=60)?,
        _ => u.int_in_range(0..=9)?,
    };
    write!(text, "{value}").expect("a string takes anything");
    Ok(())
}

fn size_list(sizes: usize, u: &mut Unstructured<'_>, text: &mut String) -> Result<()> {
    number(u, text)?;
    // Now and then a list that does not fit.
    let more = if u.ratio(1, 24)? { u.int_in_range(0..=5)? } else { sizes - 1 };
    for at in 0..more {
        text.push_str(if at == 0 { " (" } else { ", " });
        number(u, text)?;
    }
    if more > 0 {
        text.push(')');
    }
    Ok(())
}
