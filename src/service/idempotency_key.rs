//! The header `Idempotency-Key` (draft-ietf-httpapi-idempotency-key-header): a write that is sent twice is done once.

use axum::http::{HeaderMap, HeaderName};

use crate::problem::RequestError;
use crate::store::idempotency::Key;

const NAME: &str = "Idempotency-Key";
const HEADER: HeaderName = HeaderName::from_static("idempotency-key");
/// The longest key, in characters.
const LONGEST: usize = 255;

/// The key of a write, where it has one; `operation` names the write, for a key stands for one of its kind.
pub fn read(headers: &HeaderMap, operation: &'static str, body: &str, errors: &mut Vec<RequestError>) -> Option<Key> {
    let mut values = headers.get_all(HEADER).iter();
    let given = values.next()?;
    if values.next().is_some() {
        errors.push(RequestError::header(NAME, "is given twice; which one is meant?"));
        return None;
    }
    let name = given.to_str().unwrap_or_default().trim();
    // The draft wants quotes and most clients leave them out; both mean the same key.
    let name = name.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(name);
    if name.is_empty() || name.len() > LONGEST {
        let detail = format!("must have 1 to {LONGEST} printable ASCII characters; a new UUID does well");
        errors.push(RequestError::header(NAME, detail));
        return None;
    }
    Some(Key::new(operation, name.to_owned(), body.as_bytes()))
}

#[cfg(test)]
mod tests {
    use axum::http::HeaderValue;

    use super::*;

    #[test]
    fn a_key_is_one_line_of_print() {
        let key = |value: &[u8]| {
            let mut errors = Vec::new();
            let headers = HeaderMap::from_iter([(HEADER, HeaderValue::from_bytes(value).unwrap())]);
            let key = read(&headers, "create_yarn", "{}", &mut errors);
            assert!(key.is_some() != errors.iter().any(|error| error.header == Some(NAME)));
            key.is_some()
        };
        assert!(key(b"8e03978e-40d5-43e8-bc93-6894a57f9324"));
        assert!(key(b"\"8e03978e\""));
        assert!(key(&[b'x'; LONGEST]));
        for wrong in [&b""[..], b"\"\"", b"  ", &[b'x'; LONGEST + 1], "Eelgrass – 1".as_bytes()] {
            assert!(!key(wrong), "{wrong:?}");
        }
        let mut twice = HeaderMap::new();
        twice.append(HEADER, HeaderValue::from_static("a"));
        twice.append(HEADER, HeaderValue::from_static("a"));
        let mut errors = Vec::new();
        assert!(read(&twice, "create_yarn", "{}", &mut errors).is_none() && errors.len() == 1);
        assert!(read(&HeaderMap::new(), "create_yarn", "{}", &mut errors).is_none() && errors.len() == 1);
    }
}
