//! What an answer means: the policy, without the wire.

use jiff::SignedDuration;
use quantity::Timestamp;

use super::address::host;
use super::error::{Block, FetchError};
use super::transport::{KEPT_ASIDE, Reply};
use crate::{FeedId, Source, json, newest_sample};

/// How far two clocks may differ before it is said, seconds: well above the time an answer travels.
const CLOCK_TOLERANCE_S: i64 = 120;

/// A good answer, or a failed one with what is worth keeping of it.
pub(super) enum Judged {
    New { body: Vec<u8>, newest_sample_at: Option<Timestamp> },
    Unchanged,
    Failed { error: FetchError, bad_body: Option<Vec<u8>> },
}

/// Judges by status first, then by body.
pub(super) fn judge(source: &Source, url: &str, was_conditional: bool, reply: Reply, now: Timestamp) -> Judged {
    let host = host(url);
    let status = reply.status;
    match status {
        200 | 203 => return judge_body(source, host, reply, now),
        304 if was_conditional => return Judged::Unchanged,
        _other => {}
    }
    let error = match status {
        404 | 410 => FetchError::Gone { host, status, needs: source.needs },
        202 | 403 | 405 | 301..=303 | 307 | 308 => FetchError::Blocked { host, how: Block::Status(status) },
        429 | 503 => FetchError::Busy { host, status },
        204 => FetchError::NoContent { host },
        _other => FetchError::Status { host, status },
    };
    Judged::Failed { error, bad_body: kept_aside(reply.body.unwrap_or(reply.partial)) }
}

fn judge_body(source: &Source, host: String, reply: Reply, now: Timestamp) -> Judged {
    let Reply { head, body, partial, .. } = reply;
    let body = match body {
        Ok(body) => body,
        Err(error) => return Judged::Failed { error, bad_body: kept_aside(partial) },
    };
    let is_page = head.is_page() || begins_like_a_page(&body);
    let block =
        if body.iter().all(u8::is_ascii_whitespace) { Some(Block::Empty) } else { is_page.then_some(Block::Page) };
    if let Some(how) = block {
        return Judged::Failed { error: FetchError::Blocked { host, how }, bad_body: kept_aside(body) };
    }
    match check_body(source.id, &body, now) {
        Ok(newest_sample_at) => Judged::New { body, newest_sample_at },
        Err(error) => Judged::Failed { error, bad_body: kept_aside(body) },
    }
}

/// Checks a body by its look and by its feed's parser; gives the time of its newest sample.
///
/// `now` is when it was received, for reports that print no month.
///
/// # Errors
///
/// The body is not what the feed should hold, or too large for it.
pub fn check_body(feed: FeedId, body: &[u8], now: Timestamp) -> Result<Option<Timestamp>, FetchError> {
    let source = feed.source();
    if body.len() > source.largest_bytes {
        return Err(FetchError::TooLarge { limit: source.largest_bytes });
    }
    if body.iter().all(u8::is_ascii_whitespace) {
        return Err(FetchError::NotData { feed, found: "nothing" });
    }
    if begins_like_a_page(body) {
        return Err(FetchError::NotData { feed, found: "a web page" });
    }
    // the form of a stored file may differ from that of the address: GFZ gives the same as text and as JSON
    if source.shape == crate::Shape::Json || begins_like_json(body) {
        json::check(&String::from_utf8_lossy(without_mark(body)), feed.as_str()).map_err(FetchError::BadBody)?;
    }
    newest_sample(feed, body, now).map_err(FetchError::BadBody)
}

/// The clock of this machine minus the server's, where they disagree by more than two minutes; positive: this
/// machine is ahead.
pub(super) fn clock_lead(server: Option<Timestamp>, here: Timestamp) -> Option<SignedDuration> {
    let lead = here.duration_since(server?);
    (lead.as_secs().abs() > CLOCK_TOLERANCE_S).then_some(lead)
}

fn without_mark(body: &[u8]) -> &[u8] {
    body.strip_prefix(&[0xef, 0xbb, 0xbf]).unwrap_or(body)
}

fn first_byte(body: &[u8]) -> Option<u8> {
    without_mark(body).iter().copied().find(|byte| !byte.is_ascii_whitespace())
}

/// No feed here begins with an angle bracket.
fn begins_like_a_page(body: &[u8]) -> bool {
    first_byte(body) == Some(b'<')
}

fn begins_like_json(body: &[u8]) -> bool {
    matches!(first_byte(body), Some(b'{' | b'['))
}

fn kept_aside(mut body: Vec<u8>) -> Option<Vec<u8>> {
    body.truncate(KEPT_ASIDE);
    (!body.is_empty()).then_some(body)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clocks_that_differ_by_minutes_are_noticed() {
        let at = |text: &str| text.parse::<Timestamp>().unwrap();
        let lead_s = |here: &str| clock_lead(Some(at("2026-03-14T12:00:00Z")), at(here)).map(|lead| lead.as_secs());
        assert_eq!(lead_s("2026-03-14T12:02:00Z"), None);
        assert_eq!(lead_s("2026-03-14T12:02:01Z"), Some(121));
        assert_eq!(lead_s("2026-03-14T11:00:00Z"), Some(-3600));
        assert_eq!(clock_lead(None, at("2026-03-14T11:00:00Z")), None);
    }

    #[test]
    fn bodies_are_judged_by_their_look_before_a_parser_sees_them() {
        let now = "2026-03-14T12:00:00Z".parse().unwrap();
        let check = |feed, body: &[u8]| check_body(feed, body, now);
        let page = check(FeedId::Noaa3Day, b"\n <html>Sign in</html>");
        assert_eq!(page, Err(FetchError::NotData { feed: FeedId::Noaa3Day, found: "a web page" }));
        let cut = check(FeedId::NoaaOvation, br#"{"Observation Time":"2024"#);
        assert!(matches!(cut, Err(FetchError::BadBody(crate::FeedError::BadJson { .. }))), "{cut:?}");
        let other = check(FeedId::NoaaOvation, br#"{"x":[1,NaN]}"#);
        assert!(matches!(other, Err(FetchError::BadBody(crate::FeedError::BadField { .. }))), "{other:?}");
        assert_eq!(check(FeedId::NwsPoints, br#"{"x":[1,NaN]}"#), Ok(None));
        let huge = vec![b' '; FeedId::Noaa3Day.source().largest_bytes + 1];
        assert!(matches!(check(FeedId::Noaa3Day, &huge), Err(FetchError::TooLarge { .. })));
    }
}
