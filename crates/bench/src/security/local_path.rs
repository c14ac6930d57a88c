//! Against open redirects: where to go after logging in comes from the address line, which anybody can prepare.

/// Where to go when no better place is known.
pub const HOME: &str = "/questions";

/// `wanted` if it is an address on this bench, else [`HOME`].
///
/// Browsers read `//host`, `/\host` and, after dropping tabs and line breaks, `/<tab>/host` as other sites.
pub fn local_path(wanted: &str) -> &str {
    let mut bytes = wanted.bytes();
    let rooted = bytes.next() == Some(b'/');
    let elsewhere = matches!(bytes.next(), Some(b'/' | b'\\'));
    let plain = wanted.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if rooted && !elsewhere && plain && wanted.len() <= 4096 { wanted } else { HOME }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_addresses_on_this_bench_are_gone_to() {
        for good in ["/", "/questions/4?do=stem%20length%2040", "/s/abcd2345"] {
            assert_eq!(local_path(good), good);
        }
        for bad in [
            "",
            "//evil.example",
            "/\\evil.example",
            "https://evil.example/",
            "evil",
            "javascript:alert(1)",
            "/\t/evil.example",
            "/a\r\nSet-Cookie: x=1",
            "/a\\b",
            "/é",
            " /questions",
        ] {
            assert_eq!(local_path(bad), HOME, "{bad:?}");
        }
    }
}
