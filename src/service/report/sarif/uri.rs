//! Names of texts as URIs.

use std::borrow::Cow;

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde::Serialize;

/// What stands for the folder in which the program was started, under the name that consumers know.
pub(super) const BASE: &str = "%SRCROOT%";

/// Everything but what a segment of a path may have as it is (RFC 3986), less the colon, which would make a scheme of what
/// is before it, and with the slash, which parts segments.
const ENCODED: &AsciiSet = &NON_ALPHANUMERIC
    .remove(b'-')
    .remove(b'.')
    .remove(b'_')
    .remove(b'~')
    .remove(b'!')
    .remove(b'$')
    .remove(b'&')
    .remove(b'\'')
    .remove(b'(')
    .remove(b')')
    .remove(b'*')
    .remove(b'+')
    .remove(b',')
    .remove(b';')
    .remove(b'=')
    .remove(b'@')
    .remove(b'/');

/// Where a text is (§3.4).
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct ArtifactLocation {
    uri: String,
    /// Absent where the URI is absolute.
    #[serde(skip_serializing_if = "Option::is_none")]
    uri_base_id: Option<&'static str>,
    /// Which of the run's texts.
    #[serde(skip_serializing_if = "Option::is_none")]
    index: Option<usize>,
}

impl ArtifactLocation {
    /// The location of a text by its name, and which of the run's it is, if it is among them.
    pub(super) fn of(name: &str, index: Option<usize>) -> Self {
        let path: Cow<'_, str> = utf8_percent_encode(name, ENCODED).into();
        if path.starts_with('/') {
            return Self { uri: format!("file://{path}"), uri_base_id: None, index };
        }
        // `./cap.txt` is `cap.txt`: under two names a finding would be two findings.
        let segments: Vec<&str> = path.split('/').filter(|segment| !segment.is_empty() && *segment != ".").collect();
        Self { uri: segments.join("/"), uri_base_id: Some(BASE), index }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_a_relative_reference_whatever_is_in_it() {
        for (name, uri) in [
            ("pattern", "pattern"),
            ("caps/curlew-cap.txt", "caps/curlew-cap.txt"),
            ("./caps//curlew-cap.txt", "caps/curlew-cap.txt"),
            ("../caps/curlew-cap.txt", "../caps/curlew-cap.txt"),
            ("Eelgrass Mitts #2 (50%).txt", "Eelgrass%20Mitts%20%232%20(50%25).txt"),
            ("cap?.txt", "cap%3F.txt"),
            ("http:cap.txt", "http%3Acap.txt"),
            ("Mütze.txt", "M%C3%BCtze.txt"),
            ("a\\b\"\n.txt", "a%5Cb%22%0A.txt"),
        ] {
            let location = ArtifactLocation::of(name, None);
            assert_eq!((location.uri.as_str(), location.uri_base_id), (uri, Some(BASE)), "{name:?}");
        }
        let absolute = ArtifactLocation::of("/marsh/curlew cap.txt", Some(3));
        assert_eq!(absolute.uri, "file:///marsh/curlew%20cap.txt");
        assert_eq!((absolute.uri_base_id, absolute.index), (None, Some(3)));
    }
}
