//! Times of day for who reads a 12-hour clock. Pages are written with 24 hours throughout; on their way out the times in their
//! text are written anew, those in boxes and attributes stay as a form takes them.

use crate::units::twelve_hours;
use axum::body::{Body, to_bytes};
use axum::http::header;
use axum::response::Response;

/// Elements whose text is no reading matter.
const LEFT_ALONE: [&str; 3] = ["script", "style", "textarea"];

/// A page with "19:05" written "7:05 pm" in its text.
pub(super) fn rewritten(html: &str) -> String {
    let mut out = String::with_capacity(html.len() + html.len() / 64);
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        let (text, tail) = rest.split_at(at);
        out.push_str(&twelve_hours(text));
        let skipped = LEFT_ALONE
            .iter()
            .find(|name| tail[1..].starts_with(**name))
            .and_then(|name| tail.find(&format!("</{name}")));
        let end = match skipped {
            Some(end) => end,
            None => tail.find('>').map_or(tail.len(), |end| end + 1),
        };
        out.push_str(&tail[..end]);
        rest = &tail[end..];
    }
    out.push_str(&twelve_hours(rest));
    out
}

/// Marks an answer whose times stand as they are to be read, each by the clock of whose page on paper it is.
#[derive(Clone, Copy)]
pub(super) struct TimesStand;

/// An answer with its times written anew, when it is a page; a page is made whole before it is sent.
pub(super) async fn answered(response: Response) -> Response {
    if response.extensions().get::<TimesStand>().is_some() {
        return response;
    }
    let kind = response.headers().get(header::CONTENT_TYPE);
    let page = kind.is_some_and(|kind| kind.as_bytes().starts_with(b"text/html"));
    if !page {
        return response;
    }
    let (mut parts, body) = response.into_parts();
    let Ok(bytes) = to_bytes(body, usize::MAX).await else {
        return Response::from_parts(parts, Body::empty());
    };
    let _ = parts.headers.remove(header::CONTENT_LENGTH);
    let body = match std::str::from_utf8(&bytes) {
        Ok(html) => Body::from(rewritten(html)),
        Err(_) => Body::from(bytes),
    };
    Response::from_parts(parts, body)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_in_the_text_are_written_anew_and_nothing_else_is() {
        for (page, read) in [
            ("<p>at 19:05.</p>", "<p>at 7:05\u{a0}pm.</p>"),
            (
                "<p>00:30 to 12:00, 24:00</p>",
                "<p>12:30\u{a0}am to 12:00\u{a0}pm, 12:00\u{a0}am</p>",
            ),
            (
                "<input value=\"19:05\">07:30",
                "<input value=\"19:05\">7:30\u{a0}am",
            ),
            (
                "<script>a = '19:05'</script>",
                "<script>a = '19:05'</script>",
            ),
            ("<textarea>19:05</textarea>", "<textarea>19:05</textarea>"),
            (
                "112:05 19:65 1:19:05 19:05:01 x19:05",
                "112:05 19:65 1:19:05 19:05:01 x19:05",
            ),
            (
                "“19:05” – 19:05–20:10 é19:05",
                "“7:05\u{a0}pm” – 7:05\u{a0}pm–8:10\u{a0}pm é7:05\u{a0}pm",
            ),
        ] {
            assert_eq!(rewritten(page), read);
        }
    }
}
