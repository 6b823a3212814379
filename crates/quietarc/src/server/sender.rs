//! Which address a viewer sends from.

use std::convert::Infallible;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};

use axum::extract::{ConnectInfo, FromRequestParts};
use axum::http::HeaderMap;
use axum::http::request::Parts;

use super::Shared;

/// Header in which proxies add the address that they were asked from, the nearest one last. Common practice; RFC 7239 has another
/// name for it that few proxies write.
const FORWARDED: &str = "x-forwarded-for";

/// Address of the machine that sends: that of the connection, or what the proxy named on the command line says of it. Nobody
/// else's word for it is taken.
pub(super) struct Sender(pub(super) IpAddr);

impl FromRequestParts<Shared> for Sender {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, shared: &Shared) -> Result<Self, Infallible> {
        let peer = parts.extensions.get::<ConnectInfo<SocketAddr>>();
        // without a connection there is nobody to tell from others
        let peer = peer.map_or(IpAddr::V4(Ipv4Addr::UNSPECIFIED), |ConnectInfo(peer)| peer.ip().to_canonical());
        Ok(Self(address(peer, shared.proxy, &parts.headers)))
    }
}

fn address(peer: IpAddr, proxy: Option<IpAddr>, headers: &HeaderMap) -> IpAddr {
    if proxy.map(|proxy| proxy.to_canonical()) != Some(peer) {
        return peer;
    }
    // what stands before the proxy's own word anybody can have written
    let last = headers.get_all(FORWARDED).iter().next_back();
    let last = last.and_then(|value| value.to_str().ok()?.rsplit(',').next()?.trim().parse::<IpAddr>().ok());
    last.map_or(peer, |address| address.to_canonical())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_named_proxy_alone_is_believed_and_only_its_own_word() {
        let [proxy, viewer, liar] = ["127.0.0.1", "203.0.113.9", "198.51.100.7"].map(|text| text.parse().unwrap());
        let headers = |values: &[&str]| {
            let mut headers = HeaderMap::new();
            for value in values {
                headers.append(FORWARDED, value.parse().unwrap());
            }
            headers
        };
        assert_eq!(address(proxy, None, &headers(&["203.0.113.9"])), proxy, "no proxy was named");
        assert_eq!(address(liar, Some(proxy), &headers(&["203.0.113.9"])), liar, "not the proxy");
        assert_eq!(address(proxy, Some(proxy), &headers(&["203.0.113.9"])), viewer);
        assert_eq!(address(proxy, Some(proxy), &headers(&["198.51.100.7, 203.0.113.9"])), viewer);
        assert_eq!(address(proxy, Some(proxy), &headers(&["198.51.100.7", "203.0.113.9"])), viewer);
        assert_eq!(address(proxy, Some(proxy), &headers(&["somebody"])), proxy, "no address");
        assert_eq!(address(proxy, Some(proxy), &headers(&[])), proxy);
    }
}
