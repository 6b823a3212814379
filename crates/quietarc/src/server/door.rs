//! Who may come in: on loopback whoever sits at this machine; shared, only who has scanned the code.

use std::io::IsTerminal;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};
use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::header::{CACHE_CONTROL, COOKIE, HOST, LOCATION, SET_COOKIE};
use axum::http::{HeaderMap, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use qrcode::QrCode;
use qrcode::render::unicode::Dense1x2;

use super::refusal::Refusal;
use crate::Failure;

/// Name of the pairing token in the address and in the cookie.
const TOKEN_NAME: &str = "pair";
/// Random bytes of a token.
const TOKEN_BYTES: usize = 16;
/// How long a phone stays paired, s: one long night.
const PAIRED_S: u32 = 18 * 3600;

/// The rule at the door.
#[derive(Clone)]
pub(super) enum Door {
    /// Loopback only.
    Local,
    /// The local network, for those who show this token.
    Shared(Arc<str>),
}

impl Door {
    /// A door with a fresh token.
    pub(super) fn shared() -> Result<Self, Failure> {
        let mut bytes = [0u8; TOKEN_BYTES];
        getrandom::fill(&mut bytes).map_err(|error| {
            Failure::new(format!("no random numbers for a pairing token: {error}"), "serve without --share")
        })?;
        Ok(Self::Shared(format!("{:032x}", u128::from_be_bytes(bytes)).into()))
    }

    /// Where to listen.
    pub(super) fn listen_at(&self, port: u16) -> SocketAddr {
        let address = match self {
            Self::Local => Ipv4Addr::LOCALHOST,
            Self::Shared(_) => Ipv4Addr::UNSPECIFIED,
        };
        SocketAddr::from((address, port))
    }

    /// What to print once the server listens: the address, and for a shared one the code to scan.
    pub(super) fn invitation(&self, port: u16) -> Result<String, Failure> {
        let Self::Shared(token) = self else { return Ok(format!("Quietarc is at http://127.0.0.1:{port}/")) };
        let address = format!("http://{}:{port}/?{TOKEN_NAME}={token}", outward_address());
        let code = QrCode::new(&address)
            .map_err(|error| Failure::new(format!("the address makes no QR code: {error}"), "serve without --share"))?;
        let picture = code.render::<Dense1x2>().dark_color(Dense1x2::Dark).light_color(Dense1x2::Light).build();
        let picture = if std::io::stdout().is_terminal() { black_on_white(&picture) } else { picture };
        Ok(format!(
            "{picture}\nScan this with the phone, or open {address}\n\
             Whoever has this address can see and change the journal until the server stops; everybody else is refused. Nothing is encrypted: \
             use a network you trust.\nQuietarc is at http://127.0.0.1:{port}/?{TOKEN_NAME}={token}"
        ))
    }
}

/// Scanners want dark squares on light ground, whatever the terminal's own colours.
fn black_on_white(picture: &str) -> String {
    picture.lines().map(|line| ["\x1b[30;107m", line, "\x1b[0m\n"].concat()).collect()
}

/// The address of this machine in its network. Nothing is sent: a datagram socket only picks its own end.
fn outward_address() -> IpAddr {
    let own = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).and_then(|socket| {
        // an address of the documentation block: it need not exist
        socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9))?;
        socket.local_addr()
    });
    own.map_or(IpAddr::V4(Ipv4Addr::LOCALHOST), |address| address.ip())
}

/// Lets a request in, pairs it, or refuses it.
pub(super) async fn guard(State(door): State<Door>, request: Request, next: Next) -> Response {
    match &door {
        // a page of another site that has its name resolve to this machine still says its own name here
        Door::Local if !names_this_machine(request.headers()) => Refusal::forbidden(Failure::new(
            "this server answers only on this machine",
            "open it as http://127.0.0.1 and its port, or start it with --share",
        ))
        .into_response(),
        Door::Local => next.run(request).await,
        // viewers have no code to scan: these pages ask for a word of their own
        Door::Shared(_) if is_for_viewers(request.uri().path()) => next.run(request).await,
        Door::Shared(token) if cookie(request.headers()).is_some_and(|shown| same(shown, token)) => {
            next.run(request).await
        }
        Door::Shared(token) if shown_in(request.uri()).is_some_and(|shown| same(shown, token)) => {
            paired(request.uri(), token)
        }
        Door::Shared(_) => Refusal::forbidden(Failure::new(
            "this link has no pairing token, or an old one",
            "scan the code in the terminal where quietarc runs",
        ))
        .into_response(),
    }
}

/// The pages by which viewers send and take back.
fn is_for_viewers(path: &str) -> bool {
    let word = path.strip_prefix("/send/").or_else(|| path.strip_prefix("/withdraw/"));
    // one word and nothing behind it: no way around to another page
    word.is_some_and(|word| !word.is_empty() && !word.contains('/'))
}

fn names_this_machine(headers: &HeaderMap) -> bool {
    let host = headers.get(HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
    let name = host.rsplit_once(':').map_or(host, |(name, _port)| name);
    matches!(name, "127.0.0.1" | "localhost" | "[::1]")
}

fn cookie(headers: &HeaderMap) -> Option<&str> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find_map(|(name, value)| (name == TOKEN_NAME).then_some(value))
}

fn shown_in(uri: &Uri) -> Option<&str> {
    let pairs = uri.query()?.split('&').filter_map(|pair| pair.split_once('='));
    pairs.into_iter().find_map(|(name, value)| (name == TOKEN_NAME).then_some(value))
}

/// Equal, in a time that does not tell where they differ.
fn same(shown: &str, token: &str) -> bool {
    shown.len() == token.len() && shown.bytes().zip(token.bytes()).fold(0, |sum, (a, b)| sum | (a ^ b)) == 0
}

/// The token goes into a cookie and out of the address bar, where it could be photographed or shared by mistake.
fn paired(uri: &Uri, token: &str) -> Response {
    let cookie = format!("{TOKEN_NAME}={token}; Path=/; Max-Age={PAIRED_S}; HttpOnly; SameSite=Strict");
    // one slash only: two would lead to another host
    let path = format!("/{}", uri.path().trim_start_matches('/'));
    let headers = [(SET_COOKIE, cookie), (LOCATION, path), (CACHE_CONTROL, "no-store".to_owned())];
    (StatusCode::SEE_OTHER, headers).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tokens_are_long_and_differ() {
        let token = || match Door::shared() {
            Ok(Door::Shared(token)) => token,
            _ => panic!("a shared door has a token"),
        };
        assert_eq!(token().len(), 2 * TOKEN_BYTES);
        assert_ne!(token(), token());
    }

    #[test]
    fn a_token_is_found_among_other_words() {
        let uri: Uri = "/stand?x=1&pair=abc".parse().unwrap();
        assert_eq!(shown_in(&uri), Some("abc"));
        let mut headers = HeaderMap::new();
        headers.insert(COOKIE, "a=b; pair=abc".parse().unwrap());
        assert_eq!(cookie(&headers), Some("abc"));
        assert!(same("abc", "abc") && !same("abc", "abd") && !same("", "abc"));
    }

    #[test]
    fn only_names_of_this_machine_are_its_names() {
        let named = |host: &str| {
            let mut headers = HeaderMap::new();
            headers.insert(HOST, host.parse().unwrap());
            names_this_machine(&headers)
        };
        assert!(named("127.0.0.1:7460") && named("localhost:7460") && named("[::1]:7460"));
        assert!(!named("elsewhere.example:7460") && !named("127.0.0.1.elsewhere.example"));
    }
}
