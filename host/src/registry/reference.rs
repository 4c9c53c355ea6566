//! Where a step stands in a registry.

use super::Digest;
use crate::diagnostics::Diagnostic;
use std::fmt;
use std::net::IpAddr;
use std::str::FromStr;

/// What is wrong with the text of a reference.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct WrongReference(String);

impl From<WrongReference> for Diagnostic {
    fn from(WrongReference(why): WrongReference) -> Self {
        Self::error("wrong-reference", why).help(
            "Write oci:HOST[:PORT]/NAME:TAG, or oci:HOST[:PORT]/NAME@sha256:… for a step that never \
             changes.",
        )
    }
}

/// How the text of a reference begins.
const SCHEME: &str = "oci:";

/// The longest name of a repository with its registry. OCI distribution specification 1.1, "Pulling
/// manifests": clients should not go over 255.
const LONGEST_NAME: usize = 255;

/// A step in a registry: `oci:HOST[:PORT]/NAME:TAG`, or `oci:HOST[:PORT]/NAME@sha256:…`, which always
/// gives the same bytes.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Reference {
    registry: String,
    repository: String,
    tag: Option<String>,
    digest: Option<Digest>,
}

impl Reference {
    /// Whether this text means a step in a registry, and not a file.
    pub fn is_meant(text: &str) -> bool {
        text.starts_with(SCHEME)
    }

    /// The reference without `oci:`.
    pub fn bare(&self) -> String {
        self.to_string().split_off(SCHEME.len())
    }

    /// The registry's host, and its port where one is given.
    pub fn registry(&self) -> &str {
        &self.registry
    }

    /// The name within the registry.
    pub fn repository(&self) -> &str {
        &self.repository
    }

    /// The tag, which may move.
    pub fn tag(&self) -> Option<&str> {
        self.tag.as_deref()
    }

    /// The manifest's digest, where the reference is for ever.
    pub fn digest(&self) -> Option<Digest> {
        self.digest
    }

    /// What is asked for: the digest where there is one, and else the tag.
    pub(super) fn wanted(&self) -> String {
        match (&self.digest, &self.tag) {
            (Some(digest), _) => digest.to_string(),
            (None, tag) => tag.clone().unwrap_or_default(),
        }
    }

    /// The same repository, at this manifest.
    #[must_use]
    pub fn at(&self, digest: Digest) -> Self {
        Self {
            tag: None,
            digest: Some(digest),
            ..self.clone()
        }
    }

    /// The same, and this manifest that its tag meant.
    #[must_use]
    pub fn with(&self, digest: Digest) -> Self {
        Self {
            digest: Some(digest),
            ..self.clone()
        }
    }

    /// The same by its tag alone, where it has one.
    pub fn without_digest(&self) -> Option<Self> {
        self.tag.as_ref()?;
        Some(Self {
            digest: None,
            ..self.clone()
        })
    }

    /// Whether the registry is on this computer.
    pub fn is_loopback(&self) -> bool {
        is_loopback(&self.registry)
    }
}

/// Whether `host`, with or without a port, is this computer.
pub(super) fn is_loopback(host: &str) -> bool {
    let name = match host.strip_prefix('[') {
        Some(rest) => rest.split(']').next().unwrap_or_default(),
        None => host.split(':').next().unwrap_or_default(),
    };
    name.eq_ignore_ascii_case("localhost")
        || name
            .parse::<IpAddr>()
            .is_ok_and(|address| address.is_loopback())
}

impl fmt::Display for Reference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{SCHEME}{}/{}", self.registry, self.repository)?;
        if let Some(tag) = &self.tag {
            write!(f, ":{tag}")?;
        }
        if let Some(digest) = &self.digest {
            write!(f, "@{digest}")?;
        }
        Ok(())
    }
}

impl serde::Serialize for Reference {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl FromStr for Reference {
    type Err = WrongReference;

    fn from_str(text: &str) -> Result<Self, WrongReference> {
        let wrong = |why: &str| WrongReference(format!("\"{}\" {why}", text.escape_debug()));
        let rest = text
            .strip_prefix(SCHEME)
            .ok_or_else(|| wrong("does not begin with oci:"))?;
        let (registry, rest) = rest
            .split_once('/')
            .ok_or_else(|| wrong("has no / between the registry and the name"))?;
        if !is_registry(registry) {
            return Err(wrong(
                "does not begin with a registry's host, such as oci:registry.example/…",
            ));
        }
        let (rest, digest) = match rest.split_once('@') {
            Some((rest, digest)) => (
                rest,
                Some(
                    digest
                        .parse()
                        .map_err(|why: String| wrong(&format!("has a wrong digest: {why}")))?,
                ),
            ),
            None => (rest, None),
        };
        let (repository, tag) = match rest.rsplit_once(':') {
            Some((repository, tag)) => (repository, Some(tag)),
            None => (rest, None),
        };
        if !repository.split('/').all(is_name_part)
            || repository.len() + registry.len() > LONGEST_NAME
        {
            return Err(wrong(
                "has a wrong name: it is lower-case words and digits, joined by . _ or -, parted by /",
            ));
        }
        if tag.is_some_and(|tag| !is_tag(tag)) {
            return Err(wrong(
                "has a wrong tag: it is up to 128 letters, digits, . _ or -",
            ));
        }
        if tag.is_none() && digest.is_none() {
            return Err(wrong("has neither a tag (:1.0.0) nor a digest (@sha256:…)"));
        }
        Ok(Self {
            registry: registry.to_owned(),
            repository: repository.to_owned(),
            tag: tag.map(str::to_owned),
            digest,
        })
    }
}

/// A host name, an IPv4 address or an IPv6 address in brackets, with or without a port.
fn is_registry(text: &str) -> bool {
    let (host, port) = match text.strip_prefix('[').and_then(|rest| rest.split_once(']')) {
        Some((inside, after)) => {
            if inside.parse::<std::net::Ipv6Addr>().is_err() {
                return false;
            }
            (
                "ipv6",
                after
                    .strip_prefix(':')
                    .or((!after.is_empty()).then_some("")),
            )
        }
        None => match text.split_once(':') {
            Some((host, port)) => (host, Some(port)),
            None => (text, None),
        },
    };
    let label = |label: &str| {
        !label.is_empty()
            && !label.starts_with('-')
            && !label.ends_with('-')
            && label
                .bytes()
                .all(|c| c.is_ascii_alphanumeric() || c == b'-')
    };
    let port_is_good = port.is_none_or(|port| {
        port.bytes().all(|c| c.is_ascii_digit()) && port.parse::<u16>().is_ok_and(|port| port > 0)
    });
    host.split('.').all(label) && port_is_good
}

/// OCI distribution specification 1.1, "Pulling manifests":
/// `[a-z0-9]+((\.|_|__|-+)[a-z0-9]+)*`.
fn is_name_part(part: &str) -> bool {
    let mut rest = part.as_bytes();
    loop {
        let word = rest
            .iter()
            .take_while(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
            .count();
        if word == 0 {
            return false;
        }
        rest = &rest[word..];
        let joint = match rest {
            [] => return true,
            [b'_', b'_', ..] => 2,
            [b'.' | b'_', ..] => 1,
            _ => rest.iter().take_while(|&&c| c == b'-').count(),
        };
        if joint == 0 {
            return false;
        }
        rest = &rest[joint..];
    }
}

/// The same: `[a-zA-Z0-9_][a-zA-Z0-9._-]{0,127}`.
fn is_tag(tag: &str) -> bool {
    let word = |c: u8| c.is_ascii_alphanumeric() || c == b'_';
    let mut letters = tag.bytes();
    tag.len() <= 128
        && letters.next().is_some_and(word)
        && letters.all(|c| word(c) || c == b'.' || c == b'-')
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEX: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn is_read_as_it_is_written() {
        for text in [
            "oci:registry.example/owl/feather-fill:1.0.0".to_owned(),
            "oci:127.0.0.1:5000/a:T_1".to_owned(),
            "oci:[::1]:5000/a__b.c--d/e0:_".to_owned(),
            format!("oci:localhost/owl@sha256:{HEX}"),
            format!("oci:localhost/owl:1@sha256:{HEX}"),
        ] {
            let reference: Reference = text.parse().expect(&text);
            assert_eq!(reference.to_string(), text);
        }
    }

    #[test]
    fn names_what_is_wrong() {
        for (text, why) in [
            ("registry.example/owl:1", "oci:"),
            ("oci:owl:1", "no /"),
            ("oci:/owl:1", "registry's host"),
            ("oci:reg.example:0/owl:1", "registry's host"),
            ("oci:reg.example:99999/owl:1", "registry's host"),
            ("oci:[::1/owl:1", "registry's host"),
            ("oci:user@host/owl:1", "registry's host"),
            ("oci:../owl:1", "registry's host"),
            ("oci:host/:1", "wrong name"),
            ("oci:host/../../etc:1", "wrong name"),
            ("oci:host/Owl:1", "wrong name"),
            ("oci:host/owl-:1", "wrong name"),
            ("oci:host/owl___a:1", "wrong name"),
            ("oci:host/owl?x=1:1", "wrong name"),
            ("oci:host/owl:", "wrong tag"),
            ("oci:host/owl:.1", "wrong tag"),
            ("oci:host/owl:a/b", "wrong tag"),
            ("oci:host/owl", "neither"),
            ("oci:host/owl@sha256:12", "wrong digest"),
        ] {
            let told = text.parse::<Reference>().expect_err(text);
            assert!(told.0.contains(why), "{text}: {told}");
        }
    }

    #[test]
    fn knows_this_computer() {
        for (host, here) in [
            ("localhost", true),
            ("localhost:5000", true),
            ("127.0.0.1:80", true),
            ("127.8.0.1", true),
            ("LocalHost:1", true),
            ("[::1]:5000", true),
            ("[::2]:5000", false),
            ("localhost.example", false),
            ("10.0.0.1:5000", false),
        ] {
            assert_eq!(is_loopback(host), here, "{host}");
        }
    }
}
