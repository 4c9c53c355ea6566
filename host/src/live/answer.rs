//! What each address of the page gives. All of it lies in memory; no address reaches a file.

use super::board::Board;
use std::sync::Arc;

/// The page takes everything from this server, and nothing in it runs but its script.
const PAGE_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
     img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; \
     frame-ancestors 'none'";

/// A product is complete in itself. What it runs is shut off from this server.
const PRODUCT_POLICY: &str = "default-src 'none'; script-src 'unsafe-inline'; \
     style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; \
     frame-ancestors 'none'; sandbox allow-scripts allow-modals allow-downloads";

/// A browser's own viewer of PDF files does not work when it is shut off, and runs nothing of ours.
const PDF_POLICY: &str = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; \
     frame-ancestors 'none'";

/// An answer, but for the headers that every one has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Answer {
    pub status: u16,
    pub kind: &'static str,
    pub policy: &'static str,
    /// Whether a browser saves it rather than shows it.
    pub saved: bool,
    pub body: Arc<[u8]>,
}

impl Answer {
    fn page(kind: &'static str, body: &str) -> Self {
        Self {
            status: 200,
            kind,
            policy: PAGE_POLICY,
            saved: false,
            body: body.as_bytes().into(),
        }
    }

    /// The state.
    pub fn json(body: Vec<u8>) -> Self {
        Self {
            body: body.into(),
            ..Self::page("application/json", "")
        }
    }

    /// Why there is nothing.
    pub fn refusal(status: u16, sentence: &str) -> Self {
        let body = format!("{sentence}\n");
        Self {
            status,
            ..Self::page("text/plain; charset=utf-8", &body)
        }
    }
}

/// What an address gives, or that it gives news after a moment, which may have to be waited for.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Given<'a> {
    Now(Answer),
    NewsAfter(&'a str),
}

/// What the address `url` gives: a path, and after a `?` what is asked.
pub(super) fn to<'a>(url: &'a str, board: &Board) -> Given<'a> {
    let (path, query) = url.split_once('?').unwrap_or((url, ""));
    Given::Now(match path {
        "/" => Answer::page("text/html; charset=utf-8", include_str!("page.html")),
        "/page/style.css" => Answer::page("text/css; charset=utf-8", include_str!("style.css")),
        "/page/script.js" => {
            Answer::page("text/javascript; charset=utf-8", include_str!("script.js"))
        }
        "/page/icon.svg" => Answer::page("image/svg+xml", include_str!("icon.svg")),
        "/page/state" => match query.strip_prefix("after=") {
            Some(moment) => return Given::NewsAfter(moment),
            None => Answer::json(board.state()),
        },
        "/page/picture.svg" => match board.picture() {
            Some(body) => Answer {
                body,
                ..Answer::page("image/svg+xml", "")
            },
            None => Answer::refusal(404, "There is no picture yet."),
        },
        _ => match path.strip_prefix('/').and_then(|name| product(name, board)) {
            Some(product) => product,
            None => Answer::refusal(404, "There is nothing of this name."),
        },
    })
}

/// A product by its own name: looked up among those there are, never in a folder.
fn product(name: &str, board: &Board) -> Option<Answer> {
    let body = board.product(name)?;
    let (kind, saved) = match name.rsplit('.').next().unwrap_or_default() {
        "html" => ("text/html; charset=utf-8", false),
        "svg" => ("image/svg+xml", false),
        "json" => ("application/json", false),
        "png" => ("image/png", false),
        "pdf" => ("application/pdf", false),
        "txt" | "csv" => ("text/plain; charset=utf-8", false),
        _ => ("application/octet-stream", true),
    };
    Some(Answer {
        status: 200,
        kind,
        policy: if kind == "application/pdf" {
            PDF_POLICY
        } else {
            PRODUCT_POLICY
        },
        saved,
        body,
    })
}
