//! The few headers that matter, read without trust.

use jiff::SignedDuration;
use jiff::fmt::rfc2822::DateTimeParser;
use quantity::Timestamp;
use ureq::http::HeaderMap;

/// What an answer's head says.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Head {
    pub(crate) etag: Option<String>,
    pub(crate) last_modified: Option<String>,
    pub(crate) date: Option<Timestamp>,
    pub(crate) age_s: i64,
    pub(crate) expires: Option<Timestamp>,
    pub(crate) cache_control: Option<String>,
    pub(crate) retry_after: Option<String>,
    pub(crate) content_type: Option<String>,
    pub(crate) content_encoding: Option<String>,
    pub(crate) location: Option<String>,
}

impl Head {
    pub(crate) fn read(headers: &HeaderMap) -> Self {
        let text = |name: &str| headers.get(name).and_then(|value| value.to_str().ok()).map(str::to_owned);
        let time = |name: &str| text(name).as_deref().and_then(http_date);
        Self {
            etag: text("etag"),
            last_modified: text("last-modified"),
            date: time("date"),
            age_s: text("age").and_then(|age| age.trim().parse().ok()).filter(|age| *age >= 0).unwrap_or(0),
            expires: time("expires"),
            cache_control: text("cache-control"),
            retry_after: text("retry-after"),
            content_type: text("content-type"),
            content_encoding: text("content-encoding"),
            location: text("location"),
        }
    }

    /// The server's clock at the moment of the answer: the date it was made plus the time it lay in a cache.
    pub(crate) fn server_time(&self) -> Option<Timestamp> {
        self.date?.checked_add(SignedDuration::from_secs(self.age_s)).ok()
    }

    /// For how long the answer needs not be asked for again, counted from its arrival (RFC 9111, section 4.2).
    ///
    /// `Cache-Control` goes before `Expires`; `Expires` counts against the server's own `Date`, so that a wrong clock
    /// here does no harm.
    pub(crate) fn lifetime(&self, received_at: Timestamp) -> Option<SignedDuration> {
        if let Some(age) = self.cache_control.as_deref().and_then(max_age_s) {
            return Some(SignedDuration::from_secs(age.saturating_sub(self.age_s).max(0)));
        }
        let server_now = self.server_time().unwrap_or(received_at);
        Some(self.expires?.duration_since(server_now).max(SignedDuration::ZERO))
    }

    /// How long to stay away, where the server says so (RFC 9110, section 10.2.3): seconds or a date.
    pub(crate) fn retry_after(&self, received_at: Timestamp) -> Option<SignedDuration> {
        let text = self.retry_after.as_deref()?.trim();
        if let Ok(seconds) = text.parse::<u32>() {
            return Some(SignedDuration::from_secs(i64::from(seconds)));
        }
        let until = http_date(text)?;
        let server_now = self.server_time().unwrap_or(received_at);
        Some(until.duration_since(server_now).max(SignedDuration::ZERO))
    }

    /// Whether the server calls it a page.
    pub(crate) fn is_page(&self) -> bool {
        let kind = self.content_type.as_deref().unwrap_or_default().trim().to_ascii_lowercase();
        kind.starts_with("text/html") || kind.starts_with("application/xhtml")
    }
}

/// A date as HTTP writes it; other forms count as absent.
fn http_date(text: &str) -> Option<Timestamp> {
    DateTimeParser::new().parse_timestamp(text.trim()).ok()
}

/// `max-age` of a private cache; 0 where the answer must not be kept unasked.
fn max_age_s(cache_control: &str) -> Option<i64> {
    let mut age_s = None;
    for directive in cache_control.split(',') {
        let (name, value) = directive.split_once('=').unwrap_or((directive, ""));
        match name.trim().to_ascii_lowercase().as_str() {
            "no-cache" | "no-store" => return Some(0),
            "max-age" => {
                let digits = value.trim().trim_matches('"');
                age_s = digits.parse::<u32>().ok().map(i64::from).or(age_s);
            }
            _other => {}
        }
    }
    age_s
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOW: &str = "2020-07-20T07:32:00Z";

    fn head(pairs: &[(&'static str, &'static str)]) -> Head {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.insert(*name, ureq::http::HeaderValue::from_static(value));
        }
        Head::read(&headers)
    }

    fn lifetime_s(pairs: &[(&'static str, &'static str)]) -> Option<i64> {
        head(pairs).lifetime(NOW.parse().unwrap()).map(|lifetime| lifetime.as_secs())
    }

    #[test]
    fn expires_counts_from_the_servers_own_date() {
        // the head of a captured answer of MET Norway's Locationforecast: good for 32 minutes
        let pairs = [("date", "Mon, 20 Jul 2020 11:44:31 GMT"), ("expires", "Mon, 20 Jul 2020 12:16:23 GMT")];
        assert_eq!(lifetime_s(&pairs), Some(31 * 60 + 52));
        assert_eq!(lifetime_s(&[("expires", "Mon, 20 Jul 2020 07:33:00 GMT")]), Some(60));
        assert_eq!(lifetime_s(&[("expires", "Mon, 20 Jul 2020 07:00:00 GMT")]), Some(0));
        assert_eq!(lifetime_s(&[("expires", "0")]), None);
        assert_eq!(lifetime_s(&[]), None);
    }

    #[test]
    fn cache_control_goes_first_and_time_in_a_cache_counts() {
        let late = ("expires", "Mon, 20 Jul 2020 09:00:00 GMT");
        assert_eq!(lifetime_s(&[late, ("cache-control", "public, max-age=60")]), Some(60));
        assert_eq!(lifetime_s(&[("cache-control", "max-age=60"), ("age", "45")]), Some(15));
        assert_eq!(lifetime_s(&[("cache-control", "max-age=60"), ("age", "450")]), Some(0));
        assert_eq!(lifetime_s(&[late, ("cache-control", "no-store, max-age=60")]), Some(0));
        assert_eq!(lifetime_s(&[("cache-control", "max-age=-1")]), None);
        assert_eq!(lifetime_s(&[("cache-control", "s-maxage=99")]), None);
    }

    #[test]
    fn retry_after_is_seconds_or_a_date_or_nothing() {
        let wait_s =
            |value| head(&[("retry-after", value)]).retry_after(NOW.parse().unwrap()).map(|wait| wait.as_secs());
        assert_eq!(wait_s("120"), Some(120));
        assert_eq!(wait_s("Mon, 20 Jul 2020 07:35:00 GMT"), Some(180));
        assert_eq!(wait_s("soon"), None);
        assert_eq!(wait_s("-5"), None);
        let dated =
            head(&[("retry-after", "Mon, 20 Jul 2020 07:35:00 GMT"), ("date", "Mon, 20 Jul 2020 07:34:00 GMT")]);
        assert_eq!(dated.retry_after(NOW.parse().unwrap()), Some(SignedDuration::from_secs(60)));
    }
}
