//! From a registry into the store.

use super::connection::{Ask, Connection, scope};
use super::layout::{self, Artifact, LARGEST_DOCUMENT, MANIFEST_TYPE};
use super::store::Store;
use super::{Digest, Reference, download, trouble};
use crate::diagnostics::Diagnostic;
use crate::plugins::Origin;
use crate::sandbox::{Plugin, Sandbox};
use ureq::http::Method;

/// A step that was pulled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pulled {
    /// Its name in pipelines.
    pub name: String,
    /// Its own version.
    pub version: String,
    /// The manifest's digest: what `NAME@sha256:…` means.
    pub manifest: Digest,
    /// The component's digest: what a lock file pins.
    pub plugin: Digest,
    /// The manifest that the tag meant when it was pulled last, if it was another.
    pub moved_from: Option<Digest>,
    /// Whether all of it was in the store already.
    pub was_here: bool,
}

/// What a lock wants of a reference, whatever its tag has come to mean since.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pin {
    /// The component's digest.
    pub plugin: Digest,
    /// The digest of the manifest that it was pulled by; older locks do not tell it.
    pub manifest: Option<Digest>,
}

/// Pulls a step, and keeps it if it is one. Where it is `pinned`, it is that component and no other, asked for
/// by its manifest's digest: the tag may have moved.
///
/// # Errors
/// A registry that cannot be reached or refuses, bytes that are not those of the digest, bytes that
/// are not a step, or another component. Then nothing is kept but what a broken download has brought
/// so far.
pub fn pull(
    connection: &Connection<'_>,
    reference: &Reference,
    pinned: Option<Pin>,
    store: &Store,
    sandbox: &Sandbox,
) -> Result<Pulled, Diagnostic> {
    let before = reported(connection, store.manifest(reference)).flatten();
    let named = pinned.and_then(|pin| pin.manifest).or(reference.digest());
    let kept = named
        .and_then(|digest| reported(connection, store.blob(digest, LARGEST_DOCUMENT)).flatten());
    let sent = |reference: &Reference| manifest(connection, reference);
    let manifest = match (kept, named) {
        (Some(bytes), _) => Some(bytes),
        // A registry may have done away with what no tag means any more; the tag may mean the same component.
        (None, Some(digest)) => match sent(&reference.at(digest))? {
            None if reference.digest().is_none() => sent(reference)?,
            sent => sent,
        },
        (None, None) => sent(reference)?,
    };
    let manifest = manifest.ok_or_else(|| absent(connection, reference))?;
    let not_a_step = |why: String| {
        Diagnostic::error("not-a-step", format!("{reference} is not a step: {why}"))
            .help("Nothing was kept. Pull a step that was pushed with hoopwright push.")
    };
    let largest = (sandbox.limits().plugin_mib as u64) << 20;
    let contents = layout::read_manifest(&manifest, largest).map_err(not_a_step)?;
    let locked = pinned.map(|pin| pin.plugin);
    if let Some(locked) = locked.filter(|&locked| locked != contents.plugin.digest) {
        return Err(Diagnostic::error(
            "not-the-locked",
            format!(
                "{reference} is {} now, and the pipeline is locked to {locked}",
                contents.plugin.digest
            ),
        )
        .help(
            "Nothing was kept. Ask its maker what changed. A run that is held to the lock goes on with the \
             locked step where it was pulled once on this computer. To take the new step, pull it by its \
             reference, try it, and lock the pipeline again.",
        ));
    }
    let mut partials = Vec::new();
    let mut was_here = true;
    let mut bytes_of = |blob: layout::Blob| -> Result<Vec<u8>, Diagnostic> {
        let kept = reported(connection, store.blob(blob.digest, blob.size));
        if let Some(bytes) = kept.flatten() {
            return Ok(bytes);
        }
        was_here = false;
        let (bytes, partial) = download::blob(connection, reference, blob, store)?;
        partials.push(partial);
        Ok(bytes)
    };
    let config = bytes_of(contents.config)?;
    layout::check_config(&config, &contents).map_err(not_a_step)?;
    let plugin = bytes_of(contents.plugin)?;
    let origin = Origin::Registry(reference.bare());
    let loaded = Plugin::load(sandbox, &plugin, origin).map_err(|refused| {
        let help = refused.help.clone().unwrap_or_default();
        refused.help(format!("{help} Nothing was kept."))
    })?;
    let artifact = Artifact {
        plugin,
        config,
        manifest,
    };
    let manifest = Digest::of(&artifact.manifest);
    let moved_from = before.filter(|&before| before != manifest);
    // What was asked for by its digest tells nothing of what the tag means now, which was pulled since.
    let by_digest = named == Some(manifest);
    match moved_from {
        Some(_) if by_digest => store.keep(&reference.at(manifest), &artifact)?,
        _ => store.keep(reference, &artifact)?,
    }
    for partial in partials {
        partial.remove();
    }
    Ok(Pulled {
        name: loaded.name,
        version: loaded.version,
        manifest,
        plugin: contents.plugin.digest,
        moved_from: moved_from.filter(|_| !by_digest),
        was_here,
    })
}

/// A damaged copy is told, and counts as none: it is pulled anew.
fn reported<T>(connection: &Connection<'_>, read: Result<T, Diagnostic>) -> Option<T> {
    match read {
        Ok(read) => Some(read),
        Err(damaged) => {
            let warning = Diagnostic::warning(damaged.code, damaged.message);
            (connection.tell)(warning.help("It is pulled anew."));
            None
        }
    }
}

/// The manifest that `reference` means now, held against its digest where it has one.
pub(super) fn manifest(
    connection: &Connection<'_>,
    reference: &Reference,
) -> Result<Option<Vec<u8>>, Diagnostic> {
    let ask = Ask {
        method: Method::GET,
        url: connection.url(reference, &format!("manifests/{}", reference.wanted())),
        headers: vec![("accept", MANIFEST_TYPE.to_owned())],
        body: None,
        scope: scope(reference, "pull"),
    };
    let Some((bytes, headers)) = connection.document(&ask, LARGEST_DOCUMENT)? else {
        return Ok(None);
    };
    let digest = Digest::of(&bytes);
    let said = headers
        .get("docker-content-digest")
        .and_then(|said| said.to_str().ok()?.parse().ok());
    for wanted in [reference.digest(), said].into_iter().flatten() {
        if wanted != digest {
            return Err(Diagnostic::error(
                "registry-wrong-digest",
                format!(
                    "{} sent another manifest than {reference} names: {digest} instead of {wanted}",
                    connection.host
                ),
            )
            .help("Nothing was kept. Somebody or something changes what this registry sends."));
        }
    }
    Ok(Some(bytes))
}

fn absent(connection: &Connection<'_>, reference: &Reference) -> Diagnostic {
    Diagnostic::error(
        "registry-not-found",
        format!("{} has no {reference}", connection.host),
    )
    .help("Look at name and tag; capitals count in a tag. It may also be a step that you must not see.")
}

/// What is said of a manifest that was pushed a moment ago and is not there.
pub(super) fn vanished(connection: &Connection<'_>, reference: &Reference) -> Diagnostic {
    let what = format!("it took {reference}, but does not have it");
    trouble::not_spoken(&connection.host, &what)
}
