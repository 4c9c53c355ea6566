//! A whole file: the page, its styles and what is drawn.

use super::elements::{declarations, element};
use super::values::{escaped, id, length, view_box};
use crate::chance::once_in;
use crate::{damage, words};
use arbitrary::{Result, Unstructured};

/// Pages as programs write them, and pages without a sound size.
pub fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut text = String::new();
    if once_in(bytes, 6)? {
        text += "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
    }
    let entities = once_in(bytes, 16)?;
    if entities {
        // Each of ten of the one before, as deep as the bytes say.
        text += "<!DOCTYPE svg [<!ENTITY e0 'M0 0h9v9z '>";
        for deep in 1..=bytes.int_in_range(1..=9)? {
            let before = format!("&e{};", deep - 1);
            text += &format!("<!ENTITY e{deep} '{}'>", before.repeat(10));
        }
        text += "]>";
    }
    text +=
        "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\"";
    if once_in(bytes, 4)? {
        for name in ["width", "height"] {
            text += &format!(" {name}=\"{}\"", escaped(&length(bytes)?));
        }
        text += &format!(" viewBox=\"{}\"", escaped(&view_box(bytes)?));
    } else {
        text += " width=\"100mm\" height=\"100mm\" viewBox=\"0 0 100 100\"";
    }
    text += ">\n";
    if once_in(bytes, 6)? {
        text += &format!("<title>{}</title>", escaped(&words::word(bytes)?));
    }
    if once_in(bytes, 4)? {
        text += &format!("<style>{}</style>", escaped(&rules(bytes)?));
    }
    if entities {
        let deep = bytes.int_in_range(0..=9)?;
        text += &format!("<path id=\"wing\" d=\"&e{deep};\"/><desc>&e{deep};</desc>");
    }
    for _ in 0..bytes.int_in_range(1..=8)? {
        text += &element(bytes, 0)?;
        text.push('\n');
    }
    text += "</svg>\n";
    damage::seldom(text.into_bytes(), bytes)
}

/// Rules of a style sheet.
fn rules(bytes: &mut Unstructured<'_>) -> Result<String> {
    const OTHER: [&str; 9] = [
        "@import url(owl.css);",
        "@media print{path{fill:red}}",
        "/* owl",
        "}",
        "{",
        "\\",
        "@",
        "<!--",
        "a>b~c+d",
    ];
    let mut text = String::new();
    for _ in 0..bytes.int_in_range(1..=4)? {
        if once_in(bytes, 10)? {
            text.push_str(bytes.choose(&OTHER)?);
        }
        let before = *bytes.choose(&[".", "#", "", "path.", "g .", "*[id=", ":first-child,#"])?;
        text += &format!("{before}{}{{{}}}", id(bytes)?, declarations(bytes)?);
    }
    Ok(text)
}
