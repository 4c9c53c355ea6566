//! The page: one file, nothing from outside.

use super::artwork::Artwork;
use super::story::Story;
use crate::design::Design;
use crate::formats::dst::{Machine, Route};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

const PAGE: &str = include_str!("page.html");
const STYLE: &str = include_str!("style.css");
/// In the way of the data: what is sewn, how it is drawn, what moves it, what people touch.
const SCRIPT: &[&str] = &[
    include_str!("design.js"),
    include_str!("thread.js"),
    include_str!("view.js"),
    include_str!("picture.js"),
    include_str!("marks.js"),
    include_str!("sewing.js"),
    include_str!("gestures.js"),
    include_str!("controls.js"),
    include_str!("contents.js"),
    include_str!("keys.js"),
    include_str!("main.js"),
];

/// The page that sews `design` along `route`, as `machine` does it, over `artwork` where there is
/// some. The same design gives the same bytes on every machine.
///
/// It loads nothing, and its policy forbids to: script and style are allowed by their digest, and
/// images only from the page itself.
pub fn html(
    design: &Design,
    route: &Route,
    machine: &Machine,
    artwork: Option<&Artwork>,
) -> String {
    // Plain structs of strings and finite numbers always serialize.
    let story = serde_json::to_string(&Story::of(design, route, machine, artwork));
    let story = quiet(&story.unwrap_or_default());
    let script = format!("(() => {{\n\"use strict\";\n{}}})();\n", SCRIPT.concat());
    let policy = format!(
        "default-src 'none'; img-src data:; style-src {}; script-src {}; base-uri 'none'; form-action 'none'",
        digest(STYLE),
        digest(&script)
    );
    let title = if design.title.trim().is_empty() {
        "Untitled"
    } else {
        &design.title
    };
    let title = maud::html!((title)).into_string();
    fill(
        PAGE,
        &[
            ("policy", &policy),
            ("title", &title),
            ("style", STYLE),
            ("story", &story),
            ("script", &script),
        ],
    )
}

/// JSON that cannot leave its element: what could open or close one stands as an escape.
fn quiet(json: &str) -> String {
    let mut text = String::with_capacity(json.len());
    for c in json.chars() {
        match c {
            '<' => text.push_str("\\u003c"),
            '>' => text.push_str("\\u003e"),
            '&' => text.push_str("\\u0026"),
            _ => text.push(c),
        }
    }
    text
}

/// A source of the page's policy: the digest of what stands between the element's tags.
fn digest(content: &str) -> String {
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(content)))
}

/// Puts each part where the page names it, as `{{name}}`, in one pass: what is put in is not
/// looked at again.
fn fill(page: &str, parts: &[(&str, &str)]) -> String {
    let mut filled = String::new();
    let mut pieces = page.split("{{");
    filled.push_str(pieces.next().unwrap_or_default());
    for piece in pieces {
        let (name, rest) = piece.split_once("}}").unwrap_or(("", piece));
        let part = parts.iter().find(|part| part.0 == name);
        debug_assert!(part.is_some(), "the page asks for {name}");
        filled.push_str(part.map_or("", |part| part.1));
        filled.push_str(rest);
    }
    filled
}

#[cfg(test)]
mod tests;
