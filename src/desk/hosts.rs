//! Under which names the desk may be asked for.
//!
//! A page from elsewhere can have its own name lead to this machine (DNS rebinding) and would then
//! count as the desk's own in a browser. So only names that nobody else can point here are
//! answered: numbers, `localhost`, and those that whoever started the desk gave it.

use std::net::{IpAddr, SocketAddr};

#[derive(Clone, Debug)]
pub struct Hosts {
    address: SocketAddr,
    names: Vec<String>,
}

impl Hosts {
    pub fn of(address: SocketAddr) -> Self {
        Self { address, names: Vec::new() }
    }

    /// Answers to these names too.
    pub fn named(self, names: &[String]) -> Self {
        Self { names: names.iter().map(|name| name.to_ascii_lowercase()).collect(), ..self }
    }

    /// Whether a request for this host is for the desk: what stands in `Host`, with its port or
    /// without.
    pub fn answers(&self, host: &str) -> bool {
        let Some(name) = without_port(host) else { return false };
        if self.names.contains(&name) {
            return true;
        }
        match name.trim_start_matches('[').trim_end_matches(']').parse::<IpAddr>() {
            Ok(number) => number.is_loopback() || !self.address.ip().is_loopback(),
            Err(_) => name == "localhost",
        }
    }

    /// Whether a page of this origin is the desk's own: `http://127.0.0.1:7717`. Where the desk speaks
    /// TLS, a page of the same name without it is somebody else's.
    pub fn is_own(origin: &str, host: &str, is_secure: bool) -> bool {
        let plain = || origin.strip_prefix("http://").filter(|_| !is_secure);
        let bare = origin.strip_prefix("https://").or_else(plain);
        bare.is_some_and(|bare| bare.eq_ignore_ascii_case(host))
    }
}

fn without_port(host: &str) -> Option<String> {
    let name = match host.rsplit_once(':') {
        Some((name, port)) if !host.ends_with(']') => {
            port.parse::<u16>().ok()?;
            name
        }
        _ => host,
    };
    let is_plain = |byte: u8| byte.is_ascii_alphanumeric() || b".-:[]".contains(&byte);
    (!name.is_empty() && name.bytes().all(is_plain)).then(|| name.to_ascii_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_others_can_point_here_is_not_answered() {
        let here = Hosts::of("127.0.0.1:7717".parse().unwrap());
        for host in ["127.0.0.1:7717", "localhost:7717", "LOCALHOST", "[::1]:7717", "127.0.0.1"] {
            assert!(here.answers(host), "{host}");
        }
        for host in ["hill.example:7717", "10.0.0.5", "", "localhost:x", "localhost.hill.example"] {
            assert!(!here.answers(host), "{host}");
        }
    }

    #[test]
    fn in_a_house_the_desk_is_called_by_its_number_or_by_a_given_name() {
        let house = Hosts::of("0.0.0.0:7717".parse().unwrap()).named(&["Hill.example".to_owned()]);
        for host in ["192.0.2.4:7717", "hill.example", "[2001:db8::1]:7717"] {
            assert!(house.answers(host), "{host}");
        }
        assert!(!house.answers("dale.example"));
        assert!(Hosts::is_own("http://192.0.2.4:7717", "192.0.2.4:7717", false));
        assert!(!Hosts::is_own("null", "192.0.2.4:7717", false));
        assert!(Hosts::is_own("https://hill.example", "hill.example", true));
        assert!(!Hosts::is_own("http://hill.example", "hill.example", true));
    }
}
