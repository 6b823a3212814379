//! The client against a server of this machine that answers well, badly, late, or not at all.

use std::io::Write;
use std::time::{Duration, Instant};

use feeds::client::{Answer, Answered, Block, BodyTags, Client, FetchError, Memory, Note, Pulled, Surroundings};
use feeds::{Contact, FeedId, Source};
use quantity::Timestamp;

use crate::NOAA_OBJECTS;
use crate::server::{Act, Server, answer, bytes};

/// A clock that stands still, chance that always falls low, and patience that only counts.
struct Still {
    now: Timestamp,
    waited: Duration,
}

impl Surroundings for Still {
    fn now(&self) -> Timestamp {
        self.now
    }
    fn random_fraction(&mut self) -> f64 {
        0.0
    }
    fn wait(&mut self, duration: Duration) {
        self.waited += duration;
    }
}

fn still() -> Still {
    Still { now: "2026-07-31T06:10:00Z".parse().unwrap(), waited: Duration::ZERO }
}

fn client() -> Client {
    Client::new(Some(&Contact::new("desk@example.org").unwrap()))
}

fn source() -> Source {
    *FeedId::NoaaKp3h.source()
}

/// The same with short limits, so that a test of a time-out is short.
fn hasty() -> Source {
    Source { connect_timeout_s: 1, whole_timeout_s: 1, ..source() }
}

fn asked(source: &Source, url: &str, memory: &Memory) -> Answered {
    match client().pull(source, url, memory, &mut still()) {
        Pulled::Asked(answered) => answered,
        other => panic!("not asked: {other:?}"),
    }
}

/// One question, one answer, and the error it must come to.
fn failed(act: Act) -> (FetchError, Option<Vec<u8>>, Answered) {
    failed_as(&source(), act)
}

fn failed_as(source: &Source, act: Act) -> (FetchError, Option<Vec<u8>>, Answered) {
    let server = Server::new(vec![act]);
    let answered = asked(source, &server.url("/kp.json"), &Memory::default());
    match answered.answer.clone() {
        Answer::Failed { error, bad_body } => {
            assert!(!error.to_string().contains('\n') && !error.hint().is_empty());
            assert_eq!(answered.consecutive_failures, 1);
            assert_eq!(pause_s(&answered), 60, "{error}");
            (error, bad_body, answered)
        }
        other => panic!("{other:?}"),
    }
}

fn pause_s(answered: &Answered) -> i64 {
    answered.next_allowed_at.duration_since(answered.asked_at).as_secs()
}

fn new_body(answered: &Answered) -> (&[u8], &BodyTags) {
    match &answered.answer {
        Answer::New { body, tags, .. } => (body, tags),
        other => panic!("{other:?}"),
    }
}

const DATE: &str = "Date: Fri, 31 Jul 2026 06:10:00 GMT";
const TAG: &str = "ETag: W/\"6a-\\x\"";
const MODIFIED: &str = "Last-Modified: Fri, 31 Jul 2026 06:05:00 GMT";

#[test]
fn a_good_answer_is_handed_on_with_its_tags_and_its_newest_sample() {
    let server = Server::new(vec![answer(
        "200 OK",
        &[DATE, TAG, MODIFIED, "Content-Type: application/json", "Cache-Control: max-age=60"],
        NOAA_OBJECTS.as_bytes(),
    )]);
    let answered = asked(&source(), &server.url("/kp.json"), &Memory::default());
    let (body, tags) = new_body(&answered);
    assert_eq!(body, NOAA_OBJECTS.as_bytes());
    assert_eq!(tags.etag.as_deref(), Some("W/\"6a-\\x\""));
    assert_eq!(tags.last_modified.as_deref(), Some("Fri, 31 Jul 2026 06:05:00 GMT"));
    let Answer::New { newest_sample_at, .. } = &answered.answer else { unreachable!() };
    assert_eq!(*newest_sample_at, Some("2026-07-31T06:00:00Z".parse().unwrap()));
    assert_eq!(pause_s(&answered), 15 * 60, "the minimum interval is longer than max-age");
    assert_eq!((answered.http_status, answered.notes.len()), (Some(200), 0));
    let question = server.question();
    let agent = concat!("user-agent: quietarc/", env!("CARGO_PKG_VERSION"), " (+desk@example.org)\r\n");
    assert!(question.contains(agent), "{question}");
    assert!(question.contains("accept-encoding: gzip"), "{question}");
    assert!(!question.contains("if-none-match") && !question.contains("if-modified-since"), "{question}");
}

#[test]
fn the_stored_tags_go_out_exactly_as_they_came_and_304_keeps_them() {
    let server = Server::new(vec![answer("304 Not Modified", &[DATE, "Cache-Control: max-age=1800"], b"")]);
    let memory = Memory {
        etag: Some("W/\"6A-\\x\"".to_owned()),
        last_modified: Some("Fri, 31 Jul 2026 06:05:00 GMT".to_owned()),
        consecutive_failures: 3,
        ..Memory::default()
    };
    let answered = asked(&source(), &server.url("/kp.json"), &memory);
    let Answer::Unchanged { tags } = &answered.answer else { panic!("{answered:?}") };
    assert_eq!((&tags.etag, &tags.last_modified), (&memory.etag, &memory.last_modified));
    assert_eq!((answered.consecutive_failures, pause_s(&answered)), (0, 1800));
    let question = server.question();
    assert!(question.contains("if-none-match: W/\"6A-\\x\"\r\n"), "{question}");
    assert!(question.contains("if-modified-since: Fri, 31 Jul 2026 06:05:00 GMT\r\n"), "{question}");
}

#[test]
fn a_304_nobody_asked_for_is_no_answer() {
    let (error, _, _) = failed(answer("304 Not Modified", &[DATE], b""));
    assert!(matches!(error, FetchError::Status { status: 304, .. }), "{error:?}");
}

#[test]
fn nothing_is_asked_before_its_time() {
    let server = Server::new(vec![answer("200 OK", &[DATE], NOAA_OBJECTS.as_bytes())]);
    let mut around = still();
    let until = "2026-07-31T06:10:01Z".parse().unwrap();
    let memory = Memory { next_allowed_at: Some(until), ..Memory::default() };
    let pulled = client().pull(&source(), &server.url("/kp.json"), &memory, &mut around);
    assert_eq!(pulled, Pulled::NotYet { until });
    assert_eq!(server.questions_left(), 0);
    around.now = until;
    let pulled = client().pull(&source(), &server.url("/kp.json"), &memory, &mut around);
    assert!(matches!(pulled, Pulled::Asked(_)));
    assert_eq!(server.questions_left(), 1);
}

#[test]
fn a_service_that_wants_a_contact_is_not_asked_without_one() {
    let server = Server::new(vec![]);
    let source = FeedId::MetnoLocationforecast.source();
    let pulled = Client::new(None).pull(source, &server.url("/x"), &Memory::default(), &mut still());
    assert!(matches!(pulled, Pulled::NotAsked(FetchError::NoContact { .. })), "{pulled:?}");
}

#[test]
fn a_late_answer_is_given_up_in_time() {
    let begun = Instant::now();
    let (error, _, _) = failed_as(&hasty(), Act::Hang);
    assert!(matches!(error, FetchError::TimedOut { .. }), "{error:?}");
    // the limit is one second, the machine may be busy; without a limit it would be ten, the server's own patience
    assert!(begun.elapsed() < Duration::from_secs(8), "{:?}", begun.elapsed());
}

#[test]
fn an_answer_that_stops_half_way_is_given_up_in_time_and_not_used() {
    let whole = bytes("200 OK", &[DATE], NOAA_OBJECTS.as_bytes());
    let half = whole[..whole.len() - 40].to_vec();
    let (error, bad_body, _) = failed_as(&hasty(), Act::SendThenHang(half));
    assert!(matches!(error, FetchError::TimedOut { .. }), "{error:?}");
    assert!(bad_body.unwrap().starts_with(b"[{\"time_tag\""));
}

#[test]
fn a_body_cut_off_anywhere_is_refused_also_where_it_would_still_parse() {
    // two whole objects and the closing bracket, but fewer bytes than promised
    let mut longer = bytes("200 OK", &[DATE], format!("{NOAA_OBJECTS}          ").as_bytes());
    longer.truncate(longer.len() - 10);
    let (error, bad_body, _) = failed(Act::Send(longer));
    assert!(matches!(error, FetchError::CutOff { .. }), "{error:?}");
    assert_eq!(bad_body.as_deref(), Some(NOAA_OBJECTS.as_bytes()));
}

#[test]
fn a_body_in_pieces_without_its_last_piece_is_refused() {
    let head = b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n".to_vec();
    let piece = format!("{:x}\r\n{NOAA_OBJECTS}\r\n", NOAA_OBJECTS.len());
    let (error, _, _) = failed(Act::Send([head, piece.into_bytes()].concat()));
    assert!(matches!(error, FetchError::CutOff { .. } | FetchError::Protocol { .. }), "{error:?}");
}

#[test]
fn a_page_with_a_good_status_is_called_blocked() {
    for headers in [&[DATE, "Content-Type: text/html; charset=utf-8"][..], &[DATE, "Content-Type: application/json"]] {
        let (error, bad_body, _) = failed(answer("200 OK", headers, b"\n<!doctype html><title>Sign in</title>"));
        assert!(matches!(error, FetchError::Blocked { how: Block::Page, .. }), "{error:?}");
        assert!(bad_body.unwrap().ends_with(b"</title>"), "kept aside for the report");
    }
}

#[test]
fn an_empty_body_and_refusals_are_called_blocked() {
    for body in [&b""[..], b" \r\n"] {
        let (error, _, _) = failed(answer("200 OK", &[DATE], body));
        assert!(matches!(error, FetchError::Blocked { how: Block::Empty, .. }), "{error:?}");
    }
    for status in ["202 Accepted", "403 Forbidden", "405 Method Not Allowed", "308 Call Blocked"] {
        let (error, _, _) = failed(answer(status, &[DATE], b"no"));
        assert!(matches!(error, FetchError::Blocked { how: Block::Status(_), .. }), "{status}: {error:?}");
    }
}

#[test]
fn a_table_of_something_else_is_kept_aside() {
    for body in [&b"[[\"time_tag\",\"Kp\"]]"[..], b"[{\"time_tag\":\"2026-07-31T00:00:00\"", b"not json"] {
        let (error, bad_body, _) = failed(answer("200 OK", &[DATE], body));
        assert!(matches!(error, FetchError::BadBody(_)), "{error:?}");
        assert_eq!(bad_body.as_deref(), Some(body));
    }
}

#[test]
fn a_body_over_the_limit_is_refused_by_its_announcement_and_by_its_bytes() {
    let limit = source().largest_bytes;
    let announced = format!("HTTP/1.1 200 OK\r\nContent-Length: {}\r\n\r\n[", limit + 1);
    let (error, _, _) = failed(Act::SendThenHang(announced.into_bytes()));
    assert_eq!(error, FetchError::TooLarge { limit });
    let mut unannounced = b"HTTP/1.1 200 OK\r\nConnection: close\r\n\r\n".to_vec();
    unannounced.resize(unannounced.len() + limit + 1, b'1');
    let (error, bad_body, _) = failed(Act::Send(unannounced));
    assert_eq!(error, FetchError::TooLarge { limit });
    assert!(bad_body.unwrap().len() <= 64 * 1024);
}

fn gzip(content: &[u8]) -> Vec<u8> {
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    packer.write_all(content).unwrap();
    packer.finish().unwrap()
}

#[test]
fn packed_bodies_are_unpacked_and_packed_bombs_stop_at_the_limit() {
    let packed = "Content-Encoding: gzip";
    let server = Server::new(vec![answer("200 OK", &[DATE, packed], &gzip(NOAA_OBJECTS.as_bytes()))]);
    let answered = asked(&source(), &server.url("/kp.json"), &Memory::default());
    assert_eq!(new_body(&answered).0, NOAA_OBJECTS.as_bytes());
    // 256 MB of blanks in 260 kB
    let bomb = gzip(&vec![b' '; 256 << 20]);
    assert!(bomb.len() < 512 * 1024);
    let (error, bad_body, _) = failed(answer("200 OK", &[DATE, packed], &bomb));
    assert_eq!(error, FetchError::TooLarge { limit: source().largest_bytes });
    assert!(bad_body.unwrap().len() <= 64 * 1024);
}

#[test]
fn packed_bodies_that_are_cut_or_broken_are_refused() {
    let packed = gzip(NOAA_OBJECTS.as_bytes());
    let header = "Content-Encoding: gzip";
    for length in [3, packed.len() / 2, packed.len() - 1] {
        let (error, _, _) = failed(answer("200 OK", &[DATE, header], &packed[..length]));
        assert!(matches!(error, FetchError::CutOff { .. } | FetchError::BadPacking { .. }), "{length}: {error:?}");
    }
    let mut wrong = packed.clone();
    let at = wrong.len() - 6;
    wrong[at] ^= 0x40;
    let (error, _, _) = failed(answer("200 OK", &[DATE, header], &wrong));
    assert!(matches!(error, FetchError::BadPacking { .. }), "checksum: {error:?}");
    let (error, _, _) = failed(answer("200 OK", &[DATE, "Content-Encoding: br"], &packed));
    assert!(matches!(error, FetchError::BadPacking { .. }), "{error:?}");
}

#[test]
fn a_server_that_asks_for_rest_gets_it() {
    for status in ["429 Too Many Requests", "503 Service Unavailable"] {
        let server = Server::new(vec![answer(status, &[DATE, "Retry-After: 1200"], b"later")]);
        let answered = asked(&source(), &server.url("/kp.json"), &Memory::default());
        let busy = matches!(answered.answer, Answer::Failed { error: FetchError::Busy { .. }, .. });
        assert!(busy && pause_s(&answered) == 1200, "{answered:?}");
    }
    let server = Server::new(vec![answer(
        "503 Service Unavailable",
        &[DATE, "Retry-After: Fri, 31 Jul 2026 06:25:00 GMT"],
        b"later",
    )]);
    let answered = asked(&source(), &server.url("/kp.json"), &Memory::default());
    assert_eq!(pause_s(&answered), 15 * 60);
}

#[test]
fn failures_in_a_row_are_answered_with_growing_patience() {
    let mut memory = Memory::default();
    let mut pauses = Vec::new();
    let server = Server::new((0..7).map(|_| answer("500 Oops", &[DATE], b"")).collect());
    for _ in 0..7 {
        let answered = asked(&source(), &server.url("/kp.json"), &memory);
        pauses.push(pause_s(&answered));
        memory.consecutive_failures = answered.consecutive_failures;
    }
    assert_eq!(pauses, [60, 120, 240, 480, 960, 1440, 1440]);
}

#[test]
fn only_the_national_weather_service_is_asked_again_at_once() {
    let cell =
        br#"{"properties":{"updateTime":"2026-07-31T05:00:00+00:00","skyCover":{"uom":"wmoUnit:percent","values":[
        {"validTime":"2026-07-31T06:00:00+00:00/PT1H","value":20}]}}}"#;
    let twice = || vec![answer("503 Grid Expired", &[DATE], b"{}"), answer("200 OK", &[DATE], cell)];
    let server = Server::new(twice());
    let mut around = still();
    let source_nws = FeedId::NwsGridpoints.source();
    let pulled = client().pull(source_nws, &server.url("/grid"), &Memory::default(), &mut around);
    let Pulled::Asked(answered) = pulled else { panic!("{pulled:?}") };
    assert!(matches!(answered.answer, Answer::New { .. }), "{answered:?}");
    assert_eq!(around.waited, Duration::from_secs(10));
    let server = Server::new(twice());
    let answered = asked(&source(), &server.url("/kp.json"), &Memory::default());
    assert!(matches!(answered.answer, Answer::Failed { error: FetchError::Busy { status: 503, .. }, .. }));
    assert_eq!((server.question().len() > 10, server.questions_left()), (true, 0));
}

#[test]
fn an_address_that_is_gone_twice_is_left_alone_for_a_week() {
    let server = Server::new(vec![answer("404 Not Found", &[DATE], b"gone"), answer("410 Gone", &[DATE], b"")]);
    let first = asked(&source(), &server.url("/kp.json"), &Memory::default());
    let Answer::Failed { error, .. } = &first.answer else { panic!("{first:?}") };
    assert!(error.hint().contains("new address"));
    assert_eq!((first.gone_answers, pause_s(&first)), (1, 60));
    let memory = Memory { gone_answers: first.gone_answers, consecutive_failures: 1, ..Memory::default() };
    let second = asked(&source(), &server.url("/kp.json"), &memory);
    assert_eq!((second.gone_answers, pause_s(&second)), (2, 7 * 24 * 3600));
    // another failure in between is no second time
    let server = Server::new(vec![answer("500 Oops", &[DATE], b"")]);
    let between = asked(&source(), &server.url("/kp.json"), &memory);
    assert_eq!(between.gone_answers, 0);
}

#[test]
fn redirects_are_followed_a_little_and_a_loop_is_left() {
    let server = Server::new(vec![
        answer("301 Moved Permanently", &[DATE, "Location: /new.json"], b""),
        answer("200 OK", &[DATE], NOAA_OBJECTS.as_bytes()),
    ]);
    let answered = asked(&source(), &server.url("/kp.json"), &Memory::default());
    assert_eq!(new_body(&answered).0, NOAA_OBJECTS.as_bytes());
    assert_eq!(answered.notes, [Note::Moved { to: server.url("/new.json") }]);
    assert!(server.question().starts_with("get /kp.json") && server.question().starts_with("get /new.json"));
    let server = Server::new((0..9).map(|_| answer("302 Found", &[DATE, "Location: /kp.json"], b"")).collect());
    let answered = asked(&source(), &server.url("/kp.json"), &Memory::default());
    let Answer::Failed { error, .. } = &answered.answer else { panic!("{answered:?}") };
    assert_eq!(*error, FetchError::TooManyRedirects { limit: 3 });
    assert_eq!(server.questions_left(), 4, "the first question and three more");
}

#[test]
fn a_deprecated_address_and_a_wrong_clock_are_said() {
    let date = "Date: Fri, 31 Jul 2026 07:10:00 GMT";
    let server = Server::new(vec![answer("203 Non-Authoritative", &[date], NOAA_OBJECTS.as_bytes())]);
    let answered = asked(&source(), &server.url("/kp.json"), &Memory::default());
    assert_eq!(new_body(&answered).0, NOAA_OBJECTS.as_bytes());
    let texts: Vec<String> = answered.notes.iter().map(Note::text).collect();
    assert!(texts[0].contains("deprecated"), "{texts:?}");
    assert!(texts[1].contains("clock is 60 min behind the server's"), "{texts:?}");
}

#[test]
fn nobody_listening_is_said() {
    let address = {
        let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
        format!("http://{}/kp.json", listener.local_addr().unwrap())
    };
    let answered = asked(&source(), &address, &Memory::default());
    let Answer::Failed { error, .. } = &answered.answer else { panic!("{answered:?}") };
    assert!(matches!(error, FetchError::NotConnected { .. }) && error.is_host_down(), "{error:?}");
}

#[test]
fn a_protected_address_is_not_read_without_protection() {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let url = format!("https://{}/kp.json", listener.local_addr().unwrap());
    let open = std::thread::spawn(move || {
        let (mut stream, _) = listener.accept().unwrap();
        let _cut = stream.write_all(&bytes("200 OK", &[DATE], NOAA_OBJECTS.as_bytes()));
    });
    let answered = asked(&source(), &url, &Memory::default());
    open.join().unwrap();
    let Answer::Failed { error, .. } = &answered.answer else { panic!("{answered:?}") };
    assert!(matches!(error, FetchError::NotConnected { .. } | FetchError::CutOff { .. }), "{error:?}");
}

#[test]
fn rubbish_in_place_of_http_is_no_answer() {
    for rubbish in [&b"\x00\x01\x02\x03 rubbish\r\n\r\n"[..], b"HTTP/1.1 200", b"", b"HTTP/1.1 999999 x\r\n\r\n"] {
        let (error, _, _) = failed(Act::Send(rubbish.to_vec()));
        let named =
            matches!(error, FetchError::Protocol { .. } | FetchError::CutOff { .. } | FetchError::NotConnected { .. });
        assert!(named, "{rubbish:?}: {error:?}");
    }
}

#[test]
fn a_head_without_end_is_bounded() {
    let mut head = b"HTTP/1.1 200 OK\r\n".to_vec();
    for number in 0..20_000 {
        head.extend_from_slice(format!("X-{number}: 0123456789012345678901234567890123456789\r\n").as_bytes());
    }
    let (error, _, _) = failed(Act::Send(head));
    assert!(matches!(error, FetchError::Protocol { .. }), "{error:?}");
}
