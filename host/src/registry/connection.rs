//! Requests to one registry, each tried again where that may help.

use super::access;
use super::retry::Patience;
use super::trouble::{self, Trouble};
use super::{Credentials, Reference, reference};
use crate::diagnostics::Diagnostic;
use std::cell::RefCell;
use std::io::Read as _;
use std::time::Duration;
use ureq::http::{HeaderMap, Method, Request, Response, StatusCode, Uri};
use ureq::{Agent, Body};

/// The longest time for a whole body, in either direction; what has arrived by then is kept.
const LONGEST_BODY: Duration = Duration::from_secs(600);

/// What of a refusal's text is read, in bytes.
const REFUSAL: u64 = 8 << 10;

/// Whether a registry is spoken to with encryption.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encryption {
    /// Unless the registry is on this computer, where nobody listens between.
    #[default]
    Elsewhere,
    /// Always.
    Always,
    /// Never: whoever is between can read and change what is sent. Digests still find out changes.
    Never,
}

/// A registry, and how it is spoken to.
pub struct Connection<'a> {
    pub(super) agent: Agent,
    pub(super) host: String,
    pub(super) credentials: Option<Credentials>,
    authorization: RefCell<Option<String>>,
    encrypted: bool,
    open: bool,
    pub(super) patience: Patience,
    pub(super) tell: &'a dyn Fn(Diagnostic),
}

/// One request.
pub(super) struct Ask<'b> {
    pub(super) method: Method,
    pub(super) url: String,
    pub(super) headers: Vec<(&'static str, String)>,
    pub(super) body: Option<&'b [u8]>,
    /// What a token must allow, as the registry's token service names it.
    pub(super) scope: String,
}

impl<'a> Connection<'a> {
    /// A way to the registry of `reference`. Nothing is sent yet. Waits and the like are told as they
    /// happen.
    pub fn new(
        reference: &Reference,
        encryption: Encryption,
        credentials: Option<Credentials>,
        patience: Patience,
        tell: &'a dyn Fn(Diagnostic),
    ) -> Self {
        let here = reference.is_loopback();
        let encrypted = match encryption {
            Encryption::Elsewhere => !here,
            Encryption::Always => true,
            Encryption::Never => false,
        };
        let tls = ureq::tls::TlsConfig::builder()
            // A shop's own registry has a certificate that only the shop's computers trust.
            .root_certs(ureq::tls::RootCerts::PlatformVerifier)
            .build();
        let mut config = Agent::config_builder()
            .http_status_as_error(false)
            .https_only(encrypted)
            .tls_config(tls)
            // A redirect is never told who asks: the default.
            .max_redirects(5)
            .user_agent(concat!("hoopwright/", env!("CARGO_PKG_VERSION")))
            .accept_encoding("identity")
            .timeout_resolve(Some(patience.longest_silence))
            .timeout_connect(Some(patience.longest_silence))
            .timeout_recv_response(Some(patience.longest_silence))
            .timeout_per_read(Some(patience.longest_silence))
            .timeout_per_write(Some(patience.longest_silence))
            .timeout_recv_body(Some(LONGEST_BODY))
            .timeout_send_body(Some(LONGEST_BODY));
        if here {
            config = config.proxy(None);
        }
        Self {
            agent: config.build().into(),
            host: reference.registry().to_owned(),
            credentials,
            authorization: RefCell::new(None),
            encrypted,
            open: encryption == Encryption::Never,
            patience,
            tell,
        }
    }

    /// The address of something of a repository, such as `manifests/1.0.0`.
    pub(super) fn url(&self, reference: &Reference, what: &str) -> String {
        format!("{}/v2/{}/{what}", self.base(), reference.repository())
    }

    fn base(&self) -> String {
        let scheme = if self.encrypted { "https" } else { "http" };
        format!("{scheme}://{}", self.host)
    }

    /// Whether something may be sent to an address that the registry gave: encrypted, or to this
    /// computer.
    pub(super) fn may_send_to(&self, url: &str) -> Result<(), Diagnostic> {
        let wrong = || {
            trouble::not_spoken(
                &self.host,
                &format!("\"{}\" is not an address", url.escape_debug()),
            )
        };
        let uri: Uri = url.parse().map_err(|_| wrong())?;
        let host = uri.host().ok_or_else(wrong)?;
        match uri.scheme_str() {
            Some("https") => Ok(()),
            Some("http") if self.open || (!self.encrypted && reference::is_loopback(host)) => {
                Ok(())
            }
            Some("http") => Err(trouble::unencrypted(&self.host)),
            _ => Err(wrong()),
        }
    }

    /// An address that the registry gave, which may lack the host. Source: RFC 9110, section 10.2.2.
    pub(super) fn absolute(&self, location: &str) -> String {
        if location.starts_with('/') && !location.starts_with("//") {
            format!("{}{location}", self.base())
        } else {
            location.to_owned()
        }
    }

    /// Whether an address is the registry's own. Only such a one is told who asks: OCI distribution
    /// specification 1.1, "Pushing blobs", and CVE-2020-15157.
    fn is_own(&self, url: &str) -> bool {
        url.strip_prefix(&self.base())
            .is_some_and(|rest| rest.starts_with('/'))
    }

    /// Asks once; where the registry wants to know who asks, it is told, and asked once more. An
    /// answer is a success, 404 (not found) or 416 (no such range).
    pub(super) fn once(&self, ask: &Ask<'_>) -> Result<Response<Body>, Trouble> {
        let mut response = self.send(ask)?;
        if response.status() == StatusCode::UNAUTHORIZED && self.is_own(&ask.url) {
            let known = self.authorization.borrow().clone();
            let answer = access::answer(self, response.headers(), &ask.scope)?;
            if known.as_ref() != Some(&answer) {
                self.authorization.replace(Some(answer));
                response = self.send(ask)?;
            }
        }
        let status = response.status();
        if status.is_success()
            || status == StatusCode::NOT_FOUND
            || status == StatusCode::RANGE_NOT_SATISFIABLE
        {
            return Ok(response);
        }
        if status == StatusCode::UNAUTHORIZED && self.credentials.is_some() {
            let why = "it does not accept this user and password for that";
            return Err(trouble::refused(&self.host, why));
        }
        Err(self.refusal(response))
    }

    fn send(&self, ask: &Ask<'_>) -> Result<Response<Body>, Trouble> {
        let mut request = Request::builder()
            .method(ask.method.clone())
            .uri(ask.url.as_str());
        for (name, value) in &ask.headers {
            request = request.header(*name, value);
        }
        if self.is_own(&ask.url)
            && let Some(authorization) = self.authorization.borrow().as_ref()
        {
            request = request.header("authorization", authorization);
        }
        let sent = match ask.body {
            Some(body) => request
                .body(body)
                .map_err(ureq::Error::from)
                .and_then(|request| self.agent.run(request)),
            None => request
                .body(())
                .map_err(ureq::Error::from)
                .and_then(|request| self.agent.run(request)),
        };
        sent.map_err(|error| trouble::of_error(&self.host, error))
    }

    /// A refusal, with the registry's own words where it gives some. Source: OCI distribution
    /// specification 1.1, "Error codes".
    fn refusal(&self, response: Response<Body>) -> Trouble {
        let status = response.status();
        let headers: HeaderMap = response.headers().clone();
        let mut text = Vec::new();
        let body = response.into_body().into_with_config().limit(REFUSAL);
        // What cannot be read adds no words.
        let _ = body.reader().read_to_end(&mut text);
        let errors: Option<serde_json::Value> = serde_json::from_slice(&text).ok();
        let words = errors.as_ref().and_then(|errors| {
            let words = errors.pointer("/errors/0/message")?.as_str()?;
            Some(words.chars().take(200).collect::<String>())
        });
        let mut refusal = trouble::of_status(&self.host, status, &headers);
        if let Some(words) = words.filter(|words| !words.is_empty()) {
            let (Trouble::Passing { what, .. } | Trouble::Lasting(what)) = &mut refusal;
            what.message += &format!(" (\"{}\")", words.escape_debug());
        }
        refusal
    }

    /// A document of at most `most` bytes and the headers that came with it, or nothing where the
    /// registry has none.
    pub(super) fn document(
        &self,
        ask: &Ask<'_>,
        most: u64,
    ) -> Result<Option<(Vec<u8>, HeaderMap)>, Diagnostic> {
        self.patience.with(self.tell, || {
            let response = self.once(ask)?;
            if response.status() != StatusCode::OK {
                return match response.status() {
                    StatusCode::NOT_FOUND => Ok(None),
                    other => {
                        Err(trouble::not_spoken(&self.host, &format!("it answers {other}")).into())
                    }
                };
            }
            let headers = response.headers().clone();
            let body = self.body(response, most)?;
            Ok(Some((body, headers)))
        })
    }

    /// A whole body of at most `most` bytes.
    pub(super) fn body(&self, response: Response<Body>, most: u64) -> Result<Vec<u8>, Trouble> {
        let mut bytes = Vec::new();
        response
            .into_body()
            .into_with_config()
            .reader()
            .take(most + 1)
            .read_to_end(&mut bytes)
            .map_err(|error| trouble::of_error(&self.host, error.into()))?;
        if bytes.len() as u64 > most {
            let what = format!("it sends more than {most} bytes");
            return Err(trouble::not_spoken(&self.host, &what).into());
        }
        Ok(bytes)
    }
}

/// What a token must allow. Source: the registries' token authentication, "Requesting a token".
pub(super) fn scope(reference: &Reference, actions: &str) -> String {
    format!("repository:{}:{actions}", reference.repository())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn connection<'a>(
        registry: &str,
        encryption: Encryption,
        tell: &'a dyn Fn(Diagnostic),
    ) -> Connection<'a> {
        let reference = format!("oci:{registry}/owl:1")
            .parse()
            .expect("a reference");
        Connection::new(&reference, encryption, None, Patience::default(), tell)
    }

    /// A registry elsewhere is never spoken to, nor lets itself be left, without encryption.
    #[test]
    fn nothing_goes_out_unencrypted() {
        let tell = |_| ();
        let far = connection("reg.example", Encryption::Elsewhere, &tell);
        assert!(far.base().starts_with("https:"));
        assert!(far.may_send_to("https://store.example/x").is_ok());
        for wrong in [
            "http://reg.example/x",
            "http://127.0.0.1/x",
            "ftp://reg.example/x",
            "//reg.example",
            "",
            "http:",
        ] {
            assert!(far.may_send_to(wrong).is_err(), "{wrong}");
        }
        let near = connection("127.0.0.1:5000", Encryption::Elsewhere, &tell);
        assert!(near.may_send_to("http://localhost:5001/x").is_ok());
        assert!(near.may_send_to("http://reg.example/x").is_err());
        let open = connection("reg.example", Encryption::Never, &tell);
        assert!(open.may_send_to("http://reg.example/x").is_ok());
    }

    /// What looks like the registry's address is not always one.
    #[test]
    fn only_the_registry_is_told_who_asks() {
        let tell = |_| ();
        let far = connection("reg.example", Encryption::Elsewhere, &tell);
        assert!(far.is_own("https://reg.example/v2/"));
        for other in [
            "https://reg.example.evil.example/v2/",
            "https://reg.example:444/v2/",
            "https://reg.example@evil.example/",
            "http://reg.example/v2/",
            "https://reg.example",
        ] {
            assert!(!far.is_own(other), "{other}");
        }
        assert_eq!(far.absolute("/v2/x"), "https://reg.example/v2/x");
        assert_eq!(far.absolute("//evil/x"), "//evil/x");
    }
}
