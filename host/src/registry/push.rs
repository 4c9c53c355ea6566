//! From this computer to a registry.

use super::connection::{Ask, Connection, scope};
use super::layout::{Artifact, MANIFEST_TYPE};
use super::pull::{manifest, vanished};
use super::trouble;
use super::{Digest, Reference};
use crate::diagnostics::Diagnostic;
use ureq::http::{Method, StatusCode};

/// A step that was pushed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pushed {
    /// The manifest's digest: what `NAME@sha256:…` means.
    pub manifest: Digest,
    /// The component's digest: what a lock file pins.
    pub plugin: Digest,
    /// The manifest that the tag meant before, if it was another.
    pub moved_from: Option<Digest>,
    /// Whether the registry had just this under the tag already.
    pub was_there: bool,
}

/// Pushes a step under a tag. What the registry has already is not sent again.
///
/// # Errors
/// A reference without a tag; a registry that cannot be reached, refuses, or then has something else.
pub fn push(
    connection: &Connection<'_>,
    reference: &Reference,
    artifact: &Artifact,
) -> Result<Pushed, Diagnostic> {
    let Some(tag) = reference.tag().filter(|_| reference.digest().is_none()) else {
        return Err(Diagnostic::error(
            "no-tag",
            format!("{reference} is not a tag, and a step is pushed under a tag"),
        )
        .help("Give oci:HOST/NAME:TAG. The digest is told when it has been pushed."));
    };
    let digest = Digest::of(&artifact.manifest);
    let before = manifest(connection, reference)?.map(|bytes| Digest::of(&bytes));
    if before != Some(digest) {
        for bytes in [&artifact.plugin, &artifact.config] {
            push_blob(connection, reference, bytes)?;
        }
        push_manifest(connection, reference, tag, &artifact.manifest)?;
        let there = manifest(connection, &reference.at(digest))?;
        there.ok_or_else(|| vanished(connection, reference))?;
    }
    Ok(Pushed {
        manifest: digest,
        plugin: artifact.contents().plugin.digest,
        moved_from: before.filter(|&before| before != digest),
        was_there: before == Some(digest),
    })
}

/// Source: OCI distribution specification 1.1, "Pushing a blob monolithically", by POST then PUT.
fn push_blob(
    connection: &Connection<'_>,
    reference: &Reference,
    bytes: &[u8],
) -> Result<(), Diagnostic> {
    let digest = Digest::of(bytes);
    let scope = scope(reference, "pull,push");
    let look = Ask {
        method: Method::HEAD,
        url: connection.url(reference, &format!("blobs/{digest}")),
        headers: Vec::new(),
        body: None,
        scope: scope.clone(),
    };
    let begin = Ask {
        method: Method::POST,
        url: connection.url(reference, "blobs/uploads/"),
        headers: Vec::new(),
        body: Some(b""),
        scope: scope.clone(),
    };
    let wrong = |what: String| trouble::not_spoken(&connection.host, &what);
    connection.patience.with(connection.tell, || {
        if connection.once(&look)?.status() == StatusCode::OK {
            return Ok(());
        }
        let begun = connection.once(&begin)?;
        if begun.status() == StatusCode::NOT_FOUND {
            return Err(nowhere(connection, reference).into());
        }
        let location = begun
            .headers()
            .get("location")
            .and_then(|location| location.to_str().ok())
            .ok_or_else(|| wrong("it does not say where to send a step".to_owned()))?;
        let location = connection.absolute(location);
        connection.may_send_to(&location)?;
        let joint = if location.contains('?') { '&' } else { '?' };
        let put = Ask {
            method: Method::PUT,
            url: format!("{location}{joint}digest={digest}"),
            headers: vec![("content-type", "application/octet-stream".to_owned())],
            body: Some(bytes),
            scope: scope.clone(),
        };
        match connection.once(&put)?.status() {
            StatusCode::CREATED => Ok(()),
            // The upload is forgotten, as after a restart of the registry: another try begins anew.
            StatusCode::NOT_FOUND => Err(trouble::Trouble::passing(wrong(
                "it has forgotten an upload".to_owned(),
            ))),
            other => Err(wrong(format!("it answers {other} to an upload")).into()),
        }
    })
}

/// Source: OCI distribution specification 1.1, "Pushing Manifests".
fn push_manifest(
    connection: &Connection<'_>,
    reference: &Reference,
    tag: &str,
    bytes: &[u8],
) -> Result<(), Diagnostic> {
    let put = Ask {
        method: Method::PUT,
        url: connection.url(reference, &format!("manifests/{tag}")),
        headers: vec![("content-type", MANIFEST_TYPE.to_owned())],
        body: Some(bytes),
        scope: scope(reference, "pull,push"),
    };
    connection
        .patience
        .with(connection.tell, || match connection.once(&put)?.status() {
            StatusCode::CREATED => Ok(()),
            StatusCode::NOT_FOUND => Err(nowhere(connection, reference).into()),
            other => {
                let what = format!("it answers {other} to a manifest");
                Err(trouble::not_spoken(&connection.host, &what).into())
            }
        })
}

fn nowhere(connection: &Connection<'_>, reference: &Reference) -> Diagnostic {
    Diagnostic::error(
        "registry-not-found",
        format!("{} takes nothing under {reference}", connection.host),
    )
    .help(
        "Look at host and name. Some registries want a place to be made on their own pages first.",
    )
}
