//! The session's cookie.
//!
//! It carries a random token and nothing else; the desk keeps only its digest. Scripts cannot read it (`HttpOnly`), other
//! sites' forms do not bring it along (`SameSite=Lax`), and over https neither a neighbouring host name nor a plain
//! connection can set or see it (`Secure` and the name's prefix `__Host-`).

use axum::http::{HeaderMap, HeaderValue};
use axum_extra::extract::CookieJar;

use super::site::Site;

/// Longest token that is looked up; ours are shorter.
const LONGEST: usize = 128;

/// How long a browser keeps it; the desk ends a session after the same time, or sooner when it is idle.
const SECONDS: u32 = 30 * 24 * 60 * 60;

/// The token that a request carries.
pub fn token(site: &Site, headers: &HeaderMap) -> Option<String> {
    let jar = CookieJar::from_headers(headers);
    let value = jar.get(name(site))?.value();
    (!value.is_empty() && value.len() <= LONGEST).then(|| value.to_owned())
}

/// The `Set-Cookie` that opens a session.
pub fn open(site: &Site, token: &str) -> Option<HeaderValue> {
    set(site, token, SECONDS)
}

/// The `Set-Cookie` that ends it.
pub fn close(site: &Site) -> Option<HeaderValue> {
    set(site, "", 0)
}

/// None for a token that does not belong into a header; the desk makes none such.
fn set(site: &Site, token: &str, seconds: u32) -> Option<HeaderValue> {
    let secure = if site.is_https() { "; Secure" } else { "" };
    let cookie = format!("{}={token}; Path=/; HttpOnly; SameSite=Lax; Max-Age={seconds}{secure}", name(site));
    let plain = token.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_.~+=/".contains(&byte));
    plain.then_some(cookie)?.parse().ok()
}

fn name(site: &Site) -> &'static str {
    if site.is_https() { "__Host-knockon" } else { "knockon" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn over_https_the_cookie_is_bound_to_the_host_and_to_encryption() {
        let listen = "127.0.0.1:8021".parse().expect("an address");
        let plain = open(&Site::new(listen, None), "abc").expect("a cookie");
        assert_eq!(plain, "knockon=abc; Path=/; HttpOnly; SameSite=Lax; Max-Age=2592000");
        let safe = open(&Site::new(listen, Some("https://bench.example")), "abc").expect("a cookie");
        assert_eq!(safe, "__Host-knockon=abc; Path=/; HttpOnly; SameSite=Lax; Max-Age=2592000; Secure");
    }

    #[test]
    fn no_token_breaks_out_of_its_header() {
        let site = Site::new("127.0.0.1:8021".parse().expect("an address"), None);
        for token in ["a; Domain=evil.example", "a\r\nX: y", "a,b"] {
            assert_eq!(open(&site, token), None);
        }
    }
}
