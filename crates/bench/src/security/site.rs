//! Under which addresses the bench is reached, and whether other machines can reach it.

use std::net::{IpAddr, SocketAddr};

/// The addresses of this bench.
#[derive(Clone, Debug)]
pub struct Site {
    listen: SocketAddr,
    names: Vec<Name>,
    https: bool,
}

/// A name that stands before the bench, from the option `reached_as`.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Name {
    /// `bench.example` or `bench.example:8443`, in lower case.
    authority: String,
    has_port: bool,
    https: bool,
}

impl Site {
    /// A bench that listens on `listen` and is also reached as each of the addresses or host names in `reached_as`,
    /// which are parted by spaces or commas.
    pub fn new(listen: SocketAddr, reached_as: Option<&str>) -> Self {
        let names: Vec<Name> = reached_as
            .unwrap_or_default()
            .split([' ', ',', '\t', '\n'])
            .filter(|item| !item.is_empty())
            .map(Name::read)
            .collect();
        let https = names.iter().any(|name| name.https);
        Self { listen, names, https }
    }

    /// True where the last stretch to the browser is encrypted, so that cookies may demand it.
    pub fn is_https(&self) -> bool {
        self.https
    }

    /// True where nobody but the users of this machine reach the bench: it may then be used without accounts.
    ///
    /// A name in `reached_as` means that something on this machine passes requests on, from who knows where.
    pub fn is_private(&self) -> bool {
        self.listen.ip().is_loopback() && self.names.is_empty()
    }

    /// True for a `Host` header that means this bench.
    ///
    /// An address in figures is taken on a bench that listens to the whole network: a page that lures a browser here by
    /// DNS rebinding is under a name, never under figures.
    pub fn answers_for(&self, host: &str) -> bool {
        let host = host.to_ascii_lowercase();
        let port = self.listen.port();
        if self.names.iter().any(|name| name.matches(&host, port)) {
            return true;
        }
        let Some(name) = strip_port(&host, port) else { return false };
        let ip = name.trim_start_matches('[').trim_end_matches(']').parse::<IpAddr>().ok();
        match self.listen.ip() {
            own if own.is_loopback() => name == "localhost" || ip.is_some_and(|ip| ip.is_loopback()),
            own if own.is_unspecified() => name == "localhost" || ip.is_some(),
            own => ip == Some(own),
        }
    }

    /// True for an `Origin` header that means a page of this bench, given the request's own (checked) `Host`.
    pub fn is_own_origin(&self, origin: &str, host: &str) -> bool {
        let Some((scheme, authority)) = origin.split_once("://") else { return false };
        let same =
            without_default_port(scheme, authority).eq_ignore_ascii_case(without_default_port(scheme, host));
        same && (scheme == "http" || (scheme == "https" && self.https))
    }
}

impl Name {
    fn read(item: &str) -> Self {
        let (scheme, rest) = item.split_once("://").unwrap_or(("", item));
        let authority = rest.split('/').next().unwrap_or_default().to_ascii_lowercase();
        let has_port = authority.rsplit_once(':').is_some_and(|(_, port)| port.parse::<u16>().is_ok());
        Self { authority, has_port, https: scheme.eq_ignore_ascii_case("https") }
    }

    /// A name without a port stands for the usual port of its scheme and for the port that is listened on.
    fn matches(&self, host: &str, listened: u16) -> bool {
        if self.has_port || host == self.authority {
            return host == self.authority;
        }
        let usual = if self.https { 443 } else { 80 };
        host.strip_prefix(&self.authority)
            .and_then(|rest| rest.strip_prefix(':'))
            .and_then(|port| port.parse::<u16>().ok())
            .is_some_and(|port| port == usual || (port == listened && !self.https))
    }
}

/// The name in a `Host` header with this port; a missing port means 80.
fn strip_port(host: &str, port: u16) -> Option<&str> {
    let bracket = host.rfind(']').map_or(0, |at| at + 1);
    match host[bracket..].rfind(':') {
        Some(colon) => {
            let (name, given) = host.split_at(bracket + colon);
            (given[1..] == port.to_string()).then_some(name)
        }
        None => (port == 80).then_some(host),
    }
}

/// `host:80` and `host` are one place over http, `host:443` and `host` over https.
fn without_default_port<'a>(scheme: &str, authority: &'a str) -> &'a str {
    let usual = if scheme == "https" { ":443" } else { ":80" };
    authority.strip_suffix(usual).unwrap_or(authority)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn site(listen: &str, reached_as: Option<&str>) -> Site {
        Site::new(listen.parse().expect("an address"), reached_as)
    }

    #[test]
    fn a_loopback_bench_answers_for_loopback_names_at_its_port_only() {
        let site = site("127.0.0.1:8021", None);
        for host in ["127.0.0.1:8021", "localhost:8021", "LOCALHOST:8021", "[::1]:8021"] {
            assert!(site.answers_for(host), "{host}");
        }
        for host in [
            "localhost",
            "localhost:80",
            "localhost:80210",
            "rebind.example:8021",
            "localhost.rebind.example:8021",
            "192.0.2.4:8021",
            "",
            ":8021",
            "[::1]",
            "127.0.0.1.rebind.example:8021",
            "localhost:8021:8021",
            "[:8021",
            "localhost:+8021",
        ] {
            assert!(!site.answers_for(host), "{host}");
        }
    }

    #[test]
    fn on_port_80_the_port_may_be_left_out() {
        assert!(site("127.0.0.1:80", None).answers_for("localhost"));
    }

    #[test]
    fn a_name_in_front_is_answered_for_and_makes_accounts_necessary() {
        let site = site("127.0.0.1:8021", Some("https://bench.example"));
        assert!(site.answers_for("bench.example") && site.answers_for("Bench.Example:443"));
        assert!(!site.answers_for("bench.example:8021") && !site.answers_for("bench.example.org"));
        assert!(site.is_https() && !site.is_private());
        assert!(!self::site("0.0.0.0:8021", None).is_private());
        assert!(self::site("[::1]:8021", None).is_private());
    }

    #[test]
    fn a_bare_name_stands_for_the_port_that_is_listened_on() {
        let site = site("0.0.0.0:8021", Some("bench.lan, other.lan:9000"));
        assert!(site.answers_for("bench.lan:8021") && site.answers_for("other.lan:9000"));
        assert!(site.answers_for("192.0.2.4:8021"), "figures cannot be rebound");
        assert!(!site.answers_for("bench.lan:9000") && !site.answers_for("other.lan:8021"));
        assert!(!site.is_https());
    }

    #[test]
    fn only_a_page_of_the_same_scheme_and_host_is_ones_own() {
        let plain = site("127.0.0.1:8021", None);
        assert!(plain.is_own_origin("http://localhost:8021", "localhost:8021"));
        assert!(!plain.is_own_origin("http://127.0.0.1:8021", "localhost:8021"));
        assert!(!plain.is_own_origin("https://localhost:8021", "localhost:8021"));
        assert!(!plain.is_own_origin("null", "localhost:8021"));
        let proxied = site("127.0.0.1:8021", Some("https://bench.example"));
        assert!(proxied.is_own_origin("https://bench.example", "bench.example"));
        assert!(proxied.is_own_origin("https://bench.example", "bench.example:443"));
        assert!(!proxied.is_own_origin("https://bench.example.org", "bench.example"));
    }
}
