//! Which of the representations on offer a caller wants (RFC 9110, section 12.5.1).

use axum::http::{HeaderMap, header};

use crate::problem::{self, Problem};

/// One media type on offer and what stands for it in the code.
pub type Offer<T> = (&'static str, T);

/// The best of `offers` for this `Accept`; where it leaves the choice open, the first.
///
/// # Errors
/// Where every offer is ruled out; the refusal lists them.
pub fn choose<T: Copy>(headers: &HeaderMap, offers: &[Offer<T>]) -> Result<T, Problem> {
    let mut ranges = Vec::new();
    for value in headers.get_all(header::ACCEPT) {
        ranges.extend(value.to_str().unwrap_or_default().split(',').filter_map(Range::read));
    }
    // A header of which nothing can be made is treated like none.
    if ranges.is_empty() {
        return Ok(offers[0].1);
    }
    let mut best: Option<(u16, u8, T)> = None;
    for (media_type, meaning) in offers {
        // The most precise range that fits decides about this offer, whatever the wider ones say.
        let Some((precision, quality)) = ranges
            .iter()
            .filter_map(|range| Some((range.fits(media_type)?, range.quality)))
            .max_by_key(|(precision, _)| *precision)
        else {
            continue;
        };
        if quality > 0 && best.is_none_or(|(q, p, _)| (quality, precision) > (q, p)) {
            best = Some((quality, precision, *meaning));
        }
    }
    best.map(|(_, _, meaning)| meaning).ok_or_else(|| {
        let names: Vec<&str> = offers.iter().map(|(media_type, _)| *media_type).collect();
        Problem::new(problem::NOT_ACCEPTABLE, format!("this address answers {}", names.join(" or ")))
    })
}

struct Range<'a> {
    kind: &'a str,
    subtype: &'a str,
    /// Thousandths.
    quality: u16,
}

impl<'a> Range<'a> {
    fn read(text: &'a str) -> Option<Self> {
        let mut parts = text.split(';');
        let (kind, subtype) = parts.next()?.trim().split_once('/')?;
        if kind.is_empty() || subtype.is_empty() || (kind == "*" && subtype != "*") {
            return None;
        }
        let mut quality = 1000;
        for parameter in parts {
            let (name, value) = parameter.split_once('=').unwrap_or((parameter, ""));
            if name.trim().eq_ignore_ascii_case("q") {
                quality = thousandths(value.trim())?;
            }
        }
        Some(Self { kind, subtype, quality })
    }

    /// How precisely it names the media type, if it does.
    fn fits(&self, media_type: &str) -> Option<u8> {
        let (kind, subtype) = media_type.split_once('/')?;
        match (self.kind, self.subtype) {
            ("*", "*") => Some(0),
            (k, "*") if k.eq_ignore_ascii_case(kind) => Some(1),
            (k, s) if k.eq_ignore_ascii_case(kind) && s.eq_ignore_ascii_case(subtype) => Some(2),
            _ => None,
        }
    }
}

/// Reads a quality value, `0` to `1` with at most three decimals, exactly.
fn thousandths(text: &str) -> Option<u16> {
    let (whole, decimals) = text.split_once('.').unwrap_or((text, ""));
    if !matches!(whole, "0" | "1") || decimals.len() > 3 || !decimals.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let value: u16 = format!("{whole}{decimals:0<3}").parse().ok()?;
    (value <= 1000).then_some(value)
}

#[cfg(test)]
mod tests {
    use axum::http::HeaderValue;

    use super::*;

    const OFFERS: &[Offer<char>] = &[("application/json", 'j'), ("text/plain", 't')];

    fn choice(accept: &'static str) -> Option<char> {
        let mut headers = HeaderMap::new();
        headers.insert(header::ACCEPT, HeaderValue::from_static(accept));
        choose(&headers, OFFERS).ok()
    }

    #[test]
    fn quality_and_precision_decide() {
        for (accept, expected) in [
            ("*/*", Some('j')),
            ("text/plain", Some('t')),
            ("TEXT/Plain; charset=utf-8", Some('t')),
            ("text/*", Some('t')),
            ("text/*;q=0.5, */*;q=0.1", Some('t')),
            ("text/plain;q=0.5, application/json;q=0.6", Some('j')),
            ("text/plain, */*", Some('t')),
            ("application/json;q=0, */*", Some('t')),
            ("application/json;q=0", None),
            ("text/html", None),
            ("text/html, application/xhtml+xml, */*;q=0.8", Some('j')),
            ("application/problem+json", None),
            ("*/*;q=0", None),
            ("nonsense", Some('j')),
            ("*/plain", Some('j')),
            ("text/plain;q=2", Some('j')),
            ("", Some('j')),
        ] {
            assert_eq!(choice(accept), expected, "Accept: {accept}");
        }
        assert_eq!(choose(&HeaderMap::new(), OFFERS).ok(), Some('j'));
    }
}
