//! Why a request failed, in words, and whether it is worth another try.

use crate::diagnostics::{Choice, Diagnostic};
use std::io::ErrorKind;
use std::time::{Duration, SystemTime};
use ureq::http::{HeaderMap, StatusCode};

/// Why a request failed.
#[derive(Debug)]
pub(super) enum Trouble {
    /// It may pass: the network broke, or the registry is busy.
    Passing {
        /// What it was.
        what: Diagnostic,
        /// How long the registry asks to wait.
        not_before: Option<Duration>,
        /// Whether this try brought the work forward all the same.
        headway: bool,
    },
    /// Another try would fail too.
    Lasting(Diagnostic),
}

impl Trouble {
    /// Trouble that may pass, of which nothing more is known.
    pub(super) fn passing(what: Diagnostic) -> Self {
        Self::Passing {
            what,
            not_before: None,
            headway: false,
        }
    }
}

impl From<Diagnostic> for Trouble {
    fn from(diagnostic: Diagnostic) -> Self {
        Self::Lasting(diagnostic)
    }
}

/// The registry said something that no registry says.
pub(super) fn not_spoken(host: &str, what: &str) -> Diagnostic {
    Diagnostic::error(
        "registry-broken",
        format!("{host} does not answer as a registry does: {what}"),
    )
    .help("Look at host, port and name. A registry speaks the OCI distribution protocol.")
}

/// What an answer's status means that is not a success.
pub(super) fn of_status(host: &str, status: StatusCode, headers: &HeaderMap) -> Trouble {
    match status.as_u16() {
        408 | 429 | 500..=599 => Trouble::Passing {
            what: Diagnostic::error("registry-busy", format!("{host} answers {status}"))
                .help("Try again later. If it goes on, tell whoever keeps the registry."),
            not_before: headers
                .get("retry-after")
                .and_then(|value| retry_after(value.to_str().ok()?, SystemTime::now())),
            headway: false,
        },
        401 => refused(host, "it wants to know who asks"),
        403 => refused(host, "this user may not do that there"),
        _ => not_spoken(host, &format!("it answers {status}")).into(),
    }
}

/// Whoever asks may not.
pub(super) fn refused(host: &str, why: &str) -> Trouble {
    Diagnostic::error("registry-unauthorised", format!("{host} refuses: {why}"))
        .help(
            "Some registries refuse names that do not exist in the same words. Ask as a user that it \
             knows.",
        )
        .choosing(Choice::Credentials)
        .into()
}

/// How long `Retry-After` asks to wait: seconds, or a date. Source: RFC 9110, section 10.2.3.
fn retry_after(value: &str, now: SystemTime) -> Option<Duration> {
    let value = value.trim();
    if let Ok(seconds) = value.parse() {
        return Some(Duration::from_secs(seconds));
    }
    let date = httpdate::parse_http_date(value).ok()?;
    Some(date.duration_since(now).unwrap_or_default())
}

/// What an error of the connection means.
pub(super) fn of_error(host: &str, error: ureq::Error) -> Trouble {
    let unreachable = |why: String, help: &str| {
        Diagnostic::error("registry-unreachable", why).help(help.to_owned())
    };
    match error {
        ureq::Error::HostNotFound => no_host(host).into(),
        ureq::Error::Io(error) => of_io(host, &error),
        ureq::Error::Timeout(_) => Trouble::passing(unreachable(
            format!("{host} does not answer in time"),
            "Try again later, or look at the network.",
        )),
        ureq::Error::ConnectionFailed => Trouble::passing(unreachable(
            format!("{host} cannot be reached"),
            "Try again later, or look at the network.",
        )),
        ureq::Error::Rustls(error) => unreachable(
            format!("{host} cannot be spoken to safely: {error}"),
            "Its certificate must be one that this computer trusts; or the registry is spoken to without \
             encryption.",
        )
        .choosing(Choice::PlainHttp)
        .into(),
        ureq::Error::RequireHttpsOnly(_) => unencrypted(host).into(),
        ureq::Error::TooManyRedirects | ureq::Error::RedirectFailed => {
            not_spoken(host, "it sends from one place to the next").into()
        }
        other => not_spoken(host, &other.to_string()).into(),
    }
}

/// The registry sends to a place that is not encrypted.
pub(super) fn unencrypted(host: &str) -> Diagnostic {
    Diagnostic::error(
        "registry-broken",
        format!("{host} sends to a place that is not encrypted"),
    )
    .help("Nothing was sent there. Tell whoever keeps the registry.")
}

fn no_host(host: &str) -> Diagnostic {
    Diagnostic::error("registry-unreachable", format!("there is no host {host}"))
        .help("Look at how the host is spelt, and whether this computer is on the network.")
}

/// What an error of reading or writing the connection means.
pub(super) fn of_io(host: &str, error: &std::io::Error) -> Trouble {
    let diagnostic = |why: String, help: &str| {
        Diagnostic::error("registry-unreachable", why).help(help.to_owned())
    };
    match error.kind() {
        ErrorKind::ConnectionRefused => diagnostic(
            format!("nothing answers at {host}"),
            "Look at host and port, and whether the registry runs.",
        )
        .into(),
        // A TLS library reports what does not fit as invalid data.
        ErrorKind::InvalidData => diagnostic(
            format!("{host} cannot be spoken to safely: {error}"),
            "Its certificate must be one that this computer trusts; or the registry is spoken to without \
             encryption.",
        )
        .choosing(Choice::PlainHttp)
        .into(),
        // The standard library has no kind for names that are not found; this is how it tells them.
        _ if error.to_string().starts_with("failed to lookup address")
            && !error.to_string().contains("Temporary") =>
        {
            no_host(host).into()
        }
        _ => Trouble::passing(diagnostic(
            format!("the connection to {host} broke: {error}"),
            "Try again; what has arrived is kept.",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_as_long_as_is_asked() {
        // RFC 9110, section 10.2.3 gives both forms as examples.
        let date = "Fri, 31 Dec 1999 23:59:59 GMT";
        let then = httpdate::parse_http_date(date).expect("the RFC's own example");
        let minute = Duration::from_secs(60);
        assert_eq!(retry_after("120", then), Some(Duration::from_secs(120)));
        assert_eq!(retry_after(date, then - minute), Some(minute));
        assert_eq!(retry_after(date, then + minute), Some(Duration::ZERO));
        assert_eq!(retry_after("soon", then), None);
        assert_eq!(retry_after("-1", then), None);
    }

    #[test]
    fn tries_again_only_what_may_pass() {
        let headers = HeaderMap::new();
        for (status, passes) in [
            (400, false),
            (401, false),
            (403, false),
            (404, false),
            (405, false),
            (408, true),
            (429, true),
            (500, true),
            (503, true),
        ] {
            let status = StatusCode::from_u16(status).expect("a status");
            let trouble = of_status("reg.example", status, &headers);
            assert_eq!(
                matches!(trouble, Trouble::Passing { .. }),
                passes,
                "{status}"
            );
        }
    }
}
