//! One question and one answer over the wire, with bounds on time, size and redirects.

use std::io::{self, Read};
use std::time::{Duration, Instant};

use ureq::http::{Response, Uri};
use ureq::{Agent, Body, Timeout};

use super::FetchError;
use super::address::{checked, host, short};
use super::headers::Head;
use crate::Source;

/// How often a question may be sent on.
const MOST_REDIRECTS: u32 = 3;
/// Most bytes kept of an answer that is not used.
pub(crate) const KEPT_ASIDE: usize = 64 * 1024;
/// The stage of a time-out at which nothing has been heard of the host.
pub(crate) const CONNECTING: &str = "connecting";

/// What makes a question conditional: the tags of the body that is stored, exactly as they came.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Tags<'a> {
    pub(crate) etag: Option<&'a str>,
    pub(crate) last_modified: Option<&'a str>,
}

/// An answer as it arrived.
#[derive(Debug)]
pub(crate) struct Reply {
    pub(crate) status: u16,
    pub(crate) head: Head,
    /// The body, unpacked; where it went wrong, the error, and in `partial` what had come.
    pub(crate) body: Result<Vec<u8>, FetchError>,
    pub(crate) partial: Vec<u8>,
    /// The address that answered, where it is another than the one asked.
    pub(crate) moved_to: Option<String>,
}

/// Asks, following redirects within the rules: at most three, and never from a protected line to an open one.
pub(crate) fn exchange(agent: &Agent, source: &Source, url: &str, tags: Tags<'_>) -> Result<Reply, FetchError> {
    let deadline = Instant::now() + Duration::from_secs(u64::from(source.whole_timeout_s));
    let mut at = checked(url)?;
    for _hop in 0..=MOST_REDIRECTS {
        let left = deadline.saturating_duration_since(Instant::now()).max(Duration::from_millis(1));
        let response = call(agent, source, &at, tags, left)?;
        let head = Head::read(response.headers());
        let Some(next) = onward(response.status().as_u16(), &head, &at)? else {
            let asked_as = at.to_string();
            let moved_to = (checked(url)? != at).then(|| short(&asked_as));
            return Ok(read_reply(response, head, source, &asked_as, moved_to));
        };
        at = next;
    }
    Err(FetchError::TooManyRedirects { limit: MOST_REDIRECTS })
}

fn call(
    agent: &Agent,
    source: &Source,
    at: &Uri,
    tags: Tags<'_>,
    left: Duration,
) -> Result<Response<Body>, FetchError> {
    let mut request = agent.get(at);
    if let Some(etag) = tags.etag {
        request = request.header("If-None-Match", etag);
    }
    if let Some(last_modified) = tags.last_modified {
        request = request.header("If-Modified-Since", last_modified);
    }
    let connect = Duration::from_secs(u64::from(source.connect_timeout_s));
    let mut settings = request
        .config()
        .timeout_global(Some(left))
        .timeout_resolve(Some(connect))
        .timeout_connect(Some(connect))
        .max_redirects(0)
        .http_status_as_error(false);
    if is_this_machine(at) {
        settings = settings.proxy(None);
    }
    settings.build().call().map_err(|error| fault(error, &at.to_string(), source))
}

/// Whether an address is this machine's own, which no proxy can reach.
fn is_this_machine(at: &Uri) -> bool {
    matches!(at.host(), Some("localhost" | "127.0.0.1" | "[::1]"))
}

/// Where the answer sends the question on to; `None` where it is the answer.
fn onward(status: u16, head: &Head, from: &Uri) -> Result<Option<Uri>, FetchError> {
    if !matches!(status, 301 | 302 | 303 | 307 | 308) {
        return Ok(None);
    }
    // one service uses 308 without an address to say that a call is blocked
    let Some(location) = &head.location else { return Ok(None) };
    let refused = || FetchError::RedirectRefused { to: short(location) };
    let next = checked(&resolved(from, location)).map_err(|_cause| refused())?;
    if from.scheme_str() == Some("https") && next.scheme_str() != Some("https") {
        return Err(refused());
    }
    Ok(Some(next))
}

/// A `Location` against the address that sent it (RFC 3986, section 5.2, without dot segments).
fn resolved(from: &Uri, location: &str) -> String {
    let scheme = from.scheme_str().unwrap_or_default();
    let authority = from.authority().map(ureq::http::uri::Authority::as_str).unwrap_or_default();
    let location = location.split('#').next().unwrap_or_default();
    if location.contains("://") {
        location.to_owned()
    } else if let Some(rest) = location.strip_prefix("//") {
        format!("{scheme}://{rest}")
    } else if location.starts_with('/') {
        format!("{scheme}://{authority}{location}")
    } else {
        let folder = from.path().rsplit_once('/').map_or("", |(folder, _)| folder);
        format!("{scheme}://{authority}{folder}/{location}")
    }
}

fn read_reply(mut response: Response<Body>, head: Head, source: &Source, url: &str, moved_to: Option<String>) -> Reply {
    let status = response.status().as_u16();
    let is_data = matches!(status, 200 | 203);
    let limit = if is_data { source.largest_bytes } else { KEPT_ASIDE };
    let mut partial = Vec::new();
    let outcome = packing(&head).and_then(|()| {
        let body = response.body_mut();
        if is_data && body.content_length().is_some_and(|length| length > limit as u64) {
            return Err(FetchError::TooLarge { limit });
        }
        read_all(body.with_config().limit(limit as u64).reader(), &mut partial)
            .map_err(|error| fault(ureq::Error::from(error), url, source))
    });
    let body = match outcome {
        Ok(()) => Ok(std::mem::take(&mut partial)),
        Err(error) => Err(error),
    };
    partial.truncate(KEPT_ASIDE);
    Reply { status, head, body, partial, moved_to }
}

/// Reads in pieces, so that what came before a fault is there to look at.
fn read_all(mut reader: impl Read, into: &mut Vec<u8>) -> io::Result<()> {
    let mut piece = [0; 16 * 1024];
    loop {
        let read = reader.read(&mut piece)?;
        if read == 0 {
            return Ok(());
        }
        into.extend_from_slice(&piece[..read]);
    }
}

/// Gzip was asked for and is unpacked on the way; its header is gone by now.
fn packing(head: &Head) -> Result<(), FetchError> {
    match head.content_encoding.as_deref().map(str::trim) {
        None | Some("" | "identity") => Ok(()),
        Some(other) => {
            Err(FetchError::BadPacking { problem: format!("packed as {}, which was not asked for", short(other)) })
        }
    }
}

/// The client library's faults in this crate's words.
fn fault(error: ureq::Error, url: &str, source: &Source) -> FetchError {
    let host = host(url);
    match error {
        ureq::Error::Timeout(stage) => FetchError::TimedOut { host, stage: stage_words(stage) },
        ureq::Error::HostNotFound => FetchError::NoNetwork { host, problem: "its name is not known here".to_owned() },
        ureq::Error::Io(error) => io_fault(&error, host),
        ureq::Error::ConnectionFailed | ureq::Error::ConnectProxyFailed(_) => {
            FetchError::NotConnected { host, problem: short(&error.to_string()) }
        }
        ureq::Error::Tls(_) | ureq::Error::Rustls(_) | ureq::Error::TlsRequired | ureq::Error::Pem(_) => {
            FetchError::NotConnected { host, problem: format!("no protected line: {}", short(&error.to_string())) }
        }
        ureq::Error::BodyExceedsLimit(_) => FetchError::TooLarge { limit: source.largest_bytes },
        ureq::Error::Decompress(_, error) if error.kind() == io::ErrorKind::UnexpectedEof => {
            FetchError::CutOff { host, problem: "the packed data end early".to_owned() }
        }
        ureq::Error::Decompress(_, error) => FetchError::BadPacking { problem: short(&error.to_string()) },
        ureq::Error::BadUri(_) | ureq::Error::Http(_) => FetchError::BadAddress { url: short(url) },
        other => FetchError::Protocol { host, problem: short(&other.to_string()) },
    }
}

fn io_fault(error: &io::Error, host: String) -> FetchError {
    use io::ErrorKind;
    let problem = short(&error.to_string());
    match error.kind() {
        ErrorKind::NetworkUnreachable | ErrorKind::NetworkDown | ErrorKind::HostUnreachable => {
            FetchError::NoNetwork { host, problem }
        }
        ErrorKind::UnexpectedEof | ErrorKind::ConnectionReset | ErrorKind::ConnectionAborted => {
            FetchError::CutOff { host, problem }
        }
        ErrorKind::TimedOut | ErrorKind::WouldBlock => FetchError::TimedOut { host, stage: "reading" },
        // a name that cannot be looked up comes as an error without a kind of its own
        _other if problem.contains("lookup address") => FetchError::NoNetwork { host, problem },
        _other => FetchError::NotConnected { host, problem },
    }
}

fn stage_words(stage: Timeout) -> &'static str {
    match stage {
        Timeout::Resolve => "looking up its name",
        Timeout::Connect => CONNECTING,
        Timeout::SendRequest | Timeout::SendBody | Timeout::PerWrite => "asking",
        Timeout::RecvResponse => "waiting for the answer",
        Timeout::RecvBody | Timeout::PerRead => "reading the answer",
        _whole => "all in all",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sent_on(status: u16, from: &str, location: Option<&str>) -> Result<Option<String>, FetchError> {
        let head = Head { location: location.map(str::to_owned), ..Head::default() };
        onward(status, &head, &from.parse().unwrap()).map(|next| next.map(|uri| uri.to_string()))
    }

    #[test]
    fn locations_are_resolved_against_the_address_that_sent_them() {
        let from = "https://a.example/x/y?z=1";
        for (location, to) in [
            ("https://b.example/q", "https://b.example/q"),
            ("//b.example/q", "https://b.example/q"),
            ("/q?r=2", "https://a.example/q?r=2"),
            ("q#part", "https://a.example/x/q"),
        ] {
            assert_eq!(sent_on(302, from, Some(location)).unwrap().as_deref(), Some(to), "{location}");
        }
    }

    #[test]
    fn a_protected_line_is_never_left_for_an_open_one() {
        for location in ["http://a.example/", "ftp://a.example/", "javascript:alert(1)://"] {
            let outcome = sent_on(301, "https://a.example/x", Some(location));
            assert!(matches!(outcome, Err(FetchError::RedirectRefused { .. })), "{location}: {outcome:?}");
        }
        assert!(sent_on(301, "http://a.example/x", Some("https://a.example/x")).unwrap().is_some());
    }

    #[test]
    fn a_redirect_to_nowhere_is_the_answer() {
        assert_eq!(sent_on(308, "https://a.example/x", None).unwrap(), None);
        assert_eq!(sent_on(304, "https://a.example/x", Some("/y")).unwrap(), None);
    }
}
