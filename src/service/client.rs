//! Who asks: the address at the other end, or the one that a proxy of ours vouches for.

use std::net::{IpAddr, Ipv6Addr};

use axum::http::{HeaderMap, HeaderName};
use ipnet::IpNet;

const FORWARDED_FOR: HeaderName = HeaderName::from_static("x-forwarded-for");

/// The other end of a connection.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Peer(pub IpAddr);

/// The address that limits are counted by. Each proxy appends the address that it was asked from, so the list is read from
/// its end for as long as those who wrote it are trusted; whoever is not may write there what they like.
pub fn address(peer: IpAddr, headers: &HeaderMap, trusted: &[IpNet]) -> IpAddr {
    let is_trusted = |address: &IpAddr| trusted.iter().any(|net| net.contains(address));
    let mut client = peer.to_canonical();
    if !is_trusted(&client) {
        return counted(client);
    }
    let values: Vec<_> = headers.get_all(FORWARDED_FOR).iter().filter_map(|value| value.to_str().ok()).collect();
    for written in values.iter().rev().flat_map(|value| value.rsplit(',')) {
        let Ok(address) = written.trim().parse::<IpAddr>() else { break };
        client = address.to_canonical();
        if !is_trusted(&client) {
            break;
        }
    }
    counted(client)
}

/// Whoever has one address of version 6 has its whole /64.
fn counted(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V4(_) => address,
        IpAddr::V6(six) => IpAddr::V6(Ipv6Addr::from_bits(six.to_bits() & (u128::MAX << 64))),
    }
}

#[cfg(test)]
mod tests {
    use axum::http::HeaderValue;

    use super::*;

    fn seen(peer: &str, forwarded: &[&'static str]) -> String {
        let mut headers = HeaderMap::new();
        for value in forwarded {
            headers.append(FORWARDED_FOR, HeaderValue::from_static(value));
        }
        let trusted = ["10.0.0.0/8".parse().unwrap(), "127.0.0.1/32".parse().unwrap()];
        address(peer.parse().unwrap(), &headers, &trusted).to_string()
    }

    #[test]
    fn only_a_trusted_proxy_says_who_asks() {
        assert_eq!(seen("192.0.2.7", &[]), "192.0.2.7");
        assert_eq!(seen("192.0.2.7", &["198.51.100.1"]), "192.0.2.7", "anybody can write that");
        assert_eq!(seen("10.1.1.1", &["198.51.100.1"]), "198.51.100.1");
        assert_eq!(seen("::ffff:10.1.1.1", &["198.51.100.1"]), "198.51.100.1");
        assert_eq!(seen("10.1.1.1", &["203.0.113.9, 198.51.100.1, 10.2.2.2"]), "198.51.100.1");
        assert_eq!(seen("10.1.1.1", &["203.0.113.9", "198.51.100.1"]), "198.51.100.1");
        assert_eq!(seen("10.1.1.1", &[]), "10.1.1.1");
        assert_eq!(seen("10.1.1.1", &["203.0.113.9, nonsense"]), "10.1.1.1");
        assert_eq!(seen("10.1.1.1", &["nonsense, 10.9.9.9"]), "10.9.9.9");
    }

    #[test]
    fn a_network_of_version_6_counts_as_one() {
        assert_eq!(seen("2001:db8:1:2:3:4:5:6", &[]), "2001:db8:1:2::");
        assert_eq!(seen("10.1.1.1", &["2001:db8:1:2:ffff::1"]), "2001:db8:1:2::");
    }
}
