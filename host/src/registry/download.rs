//! A blob, from where its download stopped.

use super::Reference;
use super::connection::{Ask, Connection, scope};
use super::layout::Blob;
use super::partial::Partial;
use super::store::Store;
use super::trouble::{self, Trouble};
use crate::diagnostics::Diagnostic;
use std::io::Read as _;
use ureq::http::{Method, StatusCode};
use ureq::{Body, http::Response};

/// Bytes that count as headway; a registry that sends less in one go uses patience up.
const HEADWAY: u64 = 128 << 10;

/// The bytes of a blob of `reference`'s repository, held against its digest, and the file in the store
/// that they arrived in. A download that breaks goes on from there, now or when it is tried next.
pub(super) fn blob(
    connection: &Connection<'_>,
    reference: &Reference,
    blob: Blob,
    store: &Store,
) -> Result<(Vec<u8>, Partial), Diagnostic> {
    let mut partial = store.partial(blob.digest)?;
    if partial.length() > blob.size {
        partial.clear()?;
    }
    // Bytes of another day may be damaged; then all are asked for once more.
    let mut doubtful = partial.length() > 0;
    loop {
        connection.patience.with(connection.tell, || {
            let before = partial.length();
            go_on(connection, reference, blob, &mut partial).map_err(|trouble| match trouble {
                Trouble::Passing {
                    what, not_before, ..
                } => Trouble::Passing {
                    what,
                    not_before,
                    headway: partial.length() >= before + HEADWAY,
                },
                lasting => lasting,
            })
        })?;
        let bytes = partial.bytes()?;
        let digest = super::Digest::of(&bytes);
        if digest == blob.digest {
            return Ok((bytes, partial));
        }
        if !doubtful {
            partial.remove();
            return Err(Diagnostic::error(
                "registry-wrong-digest",
                format!(
                    "{} sent other bytes than {reference} names: {digest} instead of {}",
                    connection.host, blob.digest
                ),
            )
            .help("Nothing was kept. Somebody or something changes what this registry sends."));
        }
        doubtful = false;
        partial.clear()?;
    }
}

/// Asks for what is missing, and adds what comes.
fn go_on(
    connection: &Connection<'_>,
    reference: &Reference,
    blob: Blob,
    partial: &mut Partial,
) -> Result<(), Trouble> {
    if partial.length() == blob.size {
        return Ok(());
    }
    let mut ask = Ask {
        method: Method::GET,
        url: connection.url(reference, &format!("blobs/{}", blob.digest)),
        headers: vec![("accept", "application/octet-stream, */*".to_owned())],
        body: None,
        scope: scope(reference, "pull"),
    };
    if partial.length() > 0 {
        ask.headers
            .push(("range", format!("bytes={}-", partial.length())));
    }
    let response = connection.once(&ask)?;
    match response.status() {
        StatusCode::PARTIAL_CONTENT if begins_at(&response, partial.length()) => {}
        StatusCode::OK => partial.clear()?,
        StatusCode::NOT_FOUND => {
            let what = format!("it does not have {}, which {reference} names", blob.digest);
            return Err(trouble::not_spoken(&connection.host, &what).into());
        }
        other => {
            // The range was not understood: the next try asks for all.
            partial.clear()?;
            let what = format!("it answers {other} to a download that goes on");
            let what = trouble::not_spoken(&connection.host, &what);
            return Err(Trouble::passing(what));
        }
    }
    take(connection, reference, blob, response, partial)
}

/// Whether a part begins where it should. Source: RFC 9110, section 14.4.
fn begins_at(response: &Response<Body>, start: u64) -> bool {
    response
        .headers()
        .get("content-range")
        .and_then(|range| range.to_str().ok()?.strip_prefix("bytes "))
        .and_then(|range| range.split('-').next()?.parse().ok())
        == Some(start)
}

fn take(
    connection: &Connection<'_>,
    reference: &Reference,
    blob: Blob,
    response: Response<Body>,
    partial: &mut Partial,
) -> Result<(), Trouble> {
    let host = &connection.host;
    let mut reader = response.into_body().into_reader();
    let mut buffer = vec![0; 64 << 10];
    loop {
        let count = reader
            .read(&mut buffer)
            .map_err(|error| trouble::of_error(host, error.into()))?;
        if count == 0 {
            break;
        }
        if partial.length() + count as u64 > blob.size {
            partial.clear()?;
            let what = format!("it sends more than the {} bytes of {reference}", blob.size);
            return Err(trouble::not_spoken(host, &what).into());
        }
        partial.add(&buffer[..count])?;
    }
    if partial.length() < blob.size {
        let broke = std::io::Error::from(std::io::ErrorKind::UnexpectedEof);
        return Err(trouble::of_io(host, &broke));
    }
    Ok(())
}
