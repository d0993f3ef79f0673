//! The frame of the service's own pages.

use std::borrow::Cow;

use axum::http::{HeaderValue, header};
use axum::response::{Html, IntoResponse, Response};

/// Nothing but our own style sheet and icon.
const POLICY: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
);

/// Text as it may stand between tags and in quoted attributes.
pub fn escape(text: &str) -> Cow<'_, str> {
    if !text.contains(['&', '<', '>', '"', '\'']) {
        return text.into();
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out.into()
}

/// A whole page; `body` is HTML, `title` is not.
pub fn page(title: &str, body: &str) -> Response {
    let title = escape(title);
    let html = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{title}</title>\n\
         <link rel=\"icon\" href=\"/icon.svg\" type=\"image/svg+xml\">\n<link rel=\"stylesheet\" href=\"/page.css\">\n</head>\n<body>\n<main>\n{body}</main>\n</body>\n</html>\n"
    );
    ([(header::CONTENT_SECURITY_POLICY, POLICY)], Html(html)).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_could_be_read_as_markup_is_escaped() {
        assert_eq!(escape("<b title='x'>\"R&D\"</b>"), "&lt;b title=&#39;x&#39;&gt;&quot;R&amp;D&quot;&lt;/b&gt;");
        assert!(matches!(escape("Rnd 1: 6 sc (6)"), Cow::Borrowed(_)));
    }
}
