//! The trace that a request belongs to (W3C Trace Context), taken over so that its lines are found again in the log.

use std::fmt;

use axum::http::HeaderValue;

/// Ids of the trace and of the caller's step in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Trace {
    trace: u128,
    parent: u64,
}

impl Trace {
    /// Reads `traceparent`. One that breaks the rules is as good as none.
    pub fn read(value: &HeaderValue) -> Option<Self> {
        let text = value.to_str().ok()?;
        let mut parts = text.split('-');
        let [version, trace, parent, flags] = [parts.next()?, parts.next()?, parts.next()?, parts.next()?];
        // Version 00 has nothing behind its flags; later ones may, and keep what stands before.
        let ends = version != "00" || parts.next().is_none();
        let hex = |text: &str, length: usize| {
            text.len() == length && text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
        };
        if !ends || version == "ff" || !hex(version, 2) || !hex(trace, 32) || !hex(parent, 16) || !hex(flags, 2) {
            return None;
        }
        let (trace, parent) = (u128::from_str_radix(trace, 16).ok()?, u64::from_str_radix(parent, 16).ok()?);
        (trace != 0 && parent != 0).then_some(Self { trace, parent })
    }
}

impl fmt::Display for Trace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:032x}-{:016x}", self.trace, self.parent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_trace_is_taken_over_by_the_rules_of_its_standard() {
        let read = |text: &'static str| Trace::read(&HeaderValue::from_static(text)).map(|trace| trace.to_string());
        // The example of the recommendation itself (section 3.2.2).
        let ids = "4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7";
        assert_eq!(read("00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01").as_deref(), Some(ids));
        assert_eq!(read("01-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01-more").as_deref(), Some(ids));
        for wrong in [
            "",
            "00",
            "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7",
            "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01-more",
            "ff-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01",
            "00-4BF92F3577B34DA6A3CE929D0E0E4736-00f067aa0ba902b7-01",
            "00-00000000000000000000000000000000-00f067aa0ba902b7-01",
            "00-4bf92f3577b34da6a3ce929d0e0e4736-0000000000000000-01",
            "00-4bf92f3577b34da6a3ce929d0e0e473-00f067aa0ba902b7-01",
            "00-4bf92f3577b34da6a3ce929d0e0e473+-00f067aa0ba902b7-01",
        ] {
            assert_eq!(read(wrong), None, "{wrong}");
        }
    }
}
