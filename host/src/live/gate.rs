//! Who may read: pages that this program itself gave out, and nobody else's.
//!
//! A server on the loopback address can be asked by every page in every browser of this computer.
//! A page from elsewhere names its own address in `Origin`, in `Sec-Fetch-Site` that it is from
//! elsewhere, or, when its name was made to lead here, that name in `Host`.

/// What of a request the gate looks at.
#[derive(Debug, Default)]
pub(super) struct Knock<'a> {
    /// Such as `GET`.
    pub method: &'a str,
    /// Every `Host` header.
    pub host: Vec<&'a str>,
    /// Every `Origin` header.
    pub origin: Vec<&'a str>,
    /// Every `Sec-Fetch-Site` header (W3C, Fetch Metadata Request Headers).
    pub site: Vec<&'a str>,
}

/// Why a request is refused: the status, and a sentence.
pub(super) type Refusal = (u16, &'static str);

/// Lets a request to the server on `port` pass, or says why not.
pub(super) fn pass(knock: &Knock<'_>, port: u16) -> Result<(), Refusal> {
    let ours = |authority: &str| {
        let authority = authority.to_ascii_lowercase();
        let (name, given) = match authority.rsplit_once(':') {
            Some((name, digits)) => (name, digits.parse().ok()),
            // The port that HTTP has where none is written (RFC 9110, section 4.2.1).
            None => (authority.as_str(), Some(80)),
        };
        matches!(name, "127.0.0.1" | "localhost") && given == Some(port)
    };
    // RFC 9112, section 3.2: exactly one.
    let [host] = knock.host[..] else {
        return Err((400, "A request names its host once."));
    };
    if !ours(host) {
        return Err((421, "This page is for this computer only."));
    }
    let from_here = |origin: &&str| origin.strip_prefix("http://").is_some_and(ours);
    if !knock.origin.iter().all(from_here) {
        return Err((403, "Pages from elsewhere may not read this one."));
    }
    let same = |site: &&str| matches!(*site, "same-origin" | "none");
    if !knock.site.iter().all(same) {
        return Err((
            403,
            "Pages from elsewhere may not read this one. Type its address.",
        ));
    }
    if knock.method != "GET" {
        return Err((405, "This page can be read, and nothing else."));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(method: &str, host: &[&str], origin: &[&str], site: &[&str]) -> Option<u16> {
        let knock = Knock {
            method,
            host: host.to_vec(),
            origin: origin.to_vec(),
            site: site.to_vec(),
        };
        pass(&knock, 4711).err().map(|(status, _)| status)
    }

    #[test]
    fn its_own_pages_pass() {
        for host in ["127.0.0.1:4711", "localhost:4711", "LocalHost:4711"] {
            assert_eq!(asked("GET", &[host], &[], &["none"]), None);
            let origin = "http://127.0.0.1:4711";
            assert_eq!(asked("GET", &[host], &[origin], &["same-origin"]), None);
        }
    }

    #[test]
    fn a_name_that_was_made_to_lead_here_is_refused() {
        for host in [
            "pages.example:4711",
            "127.0.0.1",
            "127.0.0.1:80",
            "127.0.0.1.pages.example:4711",
            "localhost:4711.pages.example",
            "",
            "localhost:",
            "127.0.0.1:4711@pages.example",
        ] {
            assert_eq!(asked("GET", &[host], &[], &[]), Some(421), "{host}");
        }
        assert_eq!(asked("GET", &[], &[], &[]), Some(400));
        let twice = ["127.0.0.1:4711", "127.0.0.1:4711"];
        assert_eq!(asked("GET", &twice, &[], &[]), Some(400));
    }

    #[test]
    fn pages_from_elsewhere_are_refused() {
        let host = ["127.0.0.1:4711"];
        for origin in [
            "https://pages.example",
            "null",
            "http://127.0.0.1:4712",
            "https://127.0.0.1:4711",
            "http://localhost.pages.example:4711",
            "",
        ] {
            assert_eq!(asked("GET", &host, &[origin], &[]), Some(403), "{origin}");
        }
        for site in ["cross-site", "same-site", ""] {
            assert_eq!(asked("GET", &host, &[], &[site]), Some(403), "{site}");
        }
    }

    #[test]
    fn nothing_can_be_written() {
        let host = ["127.0.0.1:4711"];
        for method in ["POST", "PUT", "DELETE", "HEAD", "OPTIONS", "PATCH", "get"] {
            assert_eq!(asked(method, &host, &[], &[]), Some(405), "{method}");
        }
    }
}
