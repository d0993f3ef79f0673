//! Printed counts: `(24)`, `48 (56, 64) hdc.`, `(24 sc, 6 ch-1 sps)`.

use super::super::tree::{Stated, Unit};
use super::{Unwritten, Writer, Written};

impl Writer<'_> {
    /// The count as it stands behind the row, with the space before it: ` (24)`, ` 48 (56, 64) sts.`.
    pub(super) fn count(&self, stated: &Stated) -> Written {
        let lists = stated.parts.iter().any(|(number, _)| self.number(*number).contains('('));
        let other = stated.parts.iter().any(|(_, unit)| *unit == Unit::Other);
        if other {
            let words = self.words("a printed count", stated.span)?;
            let words = words.trim_matches(['(', ')', '[', ']', '=', '.', ' ']);
            return Ok(format!(" ({words})"));
        }
        if let ([(number, Unit::Stitches)], false) = (stated.parts.as_slice(), lists) {
            return Ok(format!(" ({})", self.number(*number)));
        }
        let mut parts = Vec::with_capacity(stated.parts.len());
        for (number, unit) in &stated.parts {
            let figure = self.number(*number);
            let one = self.is_one(*number);
            let s = if one { "" } else { "s" };
            parts.push(match unit {
                Unit::Stitches => format!("{figure} st{s}"),
                Unit::Kind(stitch) => format!("{figure} {}", self.name(*stitch)),
                Unit::Spaces(None) => format!("{figure} ch sp{s}"),
                Unit::Spaces(Some(length)) => format!("{figure} ch-{length} sp{s}"),
                Unit::Chains => format!("{figure} ch{s}"),
                Unit::Increased => format!("{figure} st{s} increased"),
                Unit::Decreased => format!("{figure} st{s} decreased"),
                Unit::Named(unit) if one => format!("{figure} {}", self.unit_name(*unit)),
                Unit::Named(unit) => format!("{figure} {}", self.unit_names(*unit)),
                Unit::Among(stitch) => format!("{figure} of them are {}", self.name(*stitch)),
                Unit::Other => return Err(Unwritten::new("a printed count", "its unit is the pattern's own")),
            });
        }
        let parts = parts.join(", ");
        Ok(if lists == self.style.bracketed_count {
            format!(" {}.", parts)
        } else if lists {
            format!(" [{parts}]")
        } else {
            format!(" ({parts})")
        })
    }
}
