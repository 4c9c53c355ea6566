//! The artwork's page: how large it is and how many millimetres a unit is.

use super::arcs::{LARGEST, numbers};
use super::findings::Findings;
use super::source::Source;
use super::{Scale, css};
use crate::design::valid::FARTHEST;
use crate::design::{Point, Rectangle};
use crate::diagnostics::Diagnostic;
use geo::{Coord, Rect};
use roxmltree::Node;

/// A CSS px in mm: CSS Values and Units 4, section 6.2, "1in = 2.54cm = 96px".
pub(super) const PX: f64 = 25.4 / 96.0;

/// Refuses a page whose size is a number so large, in its own unit, that usvg breaks down on it.
pub(super) fn check(source: &Source<'_>) -> Result<(), Diagnostic> {
    let root = source.xml.root_element();
    for name in ["width", "height", "viewBox"] {
        let given = root.attribute(name).unwrap_or_default();
        if numbers(given).any(|number| number > LARGEST) {
            let message = format!("the page's {name} is {given}; the most is {LARGEST:e}");
            return Err(source
                .place(Diagnostic::error("page-too-large", message), root)
                .help(SIZE_IT));
        }
    }
    Ok(())
}

/// What to do about a page of no use.
const SIZE_IT: &str = "set width and height on <svg>, or choose a size when reading";

/// The page, with its top-left corner at (0, 0).
pub(super) struct Page {
    /// Millimetres in one of usvg's px.
    pub mm_per_px: f64,
    /// In mm.
    pub width: f64,
    /// In mm.
    pub height: f64,
}

impl Page {
    /// The page of the artwork at this scale.
    pub fn new(
        tree: &usvg::Tree,
        scale: Scale,
        source: &Source<'_>,
        findings: &mut Findings<'_, '_>,
    ) -> Result<Self, Diagnostic> {
        let (width, height) = (
            f64::from(tree.size().width()),
            f64::from(tree.size().height()),
        );
        let mm_per_px = factor(
            asked(source.xml.root_element(), scale, (width, height)),
            width,
            height,
        )
        .map_err(|what| Diagnostic::error("bad-scale", what).in_file(source.file))?;
        let page = Self {
            mm_per_px,
            width: width * mm_per_px,
            height: height * mm_per_px,
        };
        let largest = page.width.max(page.height);
        if !largest.is_finite() || largest > FARTHEST {
            let message = format!(
                "the page would be {} by {} mm; the most is {FARTHEST} mm",
                rounded(page.width),
                rounded(page.height)
            );
            let error = Diagnostic::error("page-too-large", message);
            return Err(source.place(error, source.xml.root_element()).help(SIZE_IT));
        }
        look_at_root(source, scale, &page, findings);
        Ok(page)
    }

    /// For the design.
    pub fn rectangle(&self) -> Rectangle {
        Rectangle {
            least: Point { x: 0.0, y: 0.0 },
            greatest: Point {
                x: self.width,
                y: self.height,
            },
        }
    }

    /// For geometry.
    pub fn rect(&self) -> Rect<f64> {
        Rect::new(
            Coord { x: 0.0, y: 0.0 },
            Coord {
                x: self.width,
                y: self.height,
            },
        )
    }
}

/// The scale at which the page is as large as the root's style says, which goes before its attributes (SVG 2,
/// Geometry Properties; usvg leaves it out); else `scale`. `size` is the page without the style, in px.
pub(super) fn asked(root: Node<'_, '_>, scale: Scale, size: (f64, f64)) -> Scale {
    let named = |name| root.has_attribute(name);
    // Without a view box, the page's size does not scale the drawing.
    let Some(styled) = styled(root).filter(|_| scale == Scale::AsDrawn && scales(root)) else {
        return scale;
    };
    match styled {
        (Some(width), Some(height)) => {
            let is_alike = (size.0 * height - size.1 * width).abs() <= size.0 * height * ALIKE;
            if is_alike || !(named("width") || named("height")) {
                Scale::Within { width, height }
            } else {
                scale
            }
        }
        (Some(width), None) if !named("height") => Scale::Width(width),
        (None, Some(height)) if !named("width") => Scale::Height(height),
        _ => scale,
    }
}

/// Two pages whose sides differ in proportion by less than this share are of one form.
const ALIKE: f64 = 0.005;

fn scales(root: Node<'_, '_>) -> bool {
    root.attribute("viewBox").is_some_and(is_view_box)
}

/// The width and height that the root's style gives, in mm; nothing where it gives neither.
fn styled(root: Node<'_, '_>) -> Option<(Option<f64>, Option<f64>)> {
    let style = root.attribute("style").unwrap_or_default();
    let of = |wanted: &str| {
        let own = css::declarations(style).filter(|(name, _)| *name == wanted);
        own.last().and_then(|(_, value)| in_mm(value))
    };
    let (width, height) = (of("width"), of("height"));
    (width.is_some() || height.is_some()).then_some((width, height))
}

/// A length in mm, where its unit is a fixed one (CSS Values and Units 4 section 6.2).
pub(super) fn in_mm(length: &str) -> Option<f64> {
    let units = [
        ("px", PX),
        ("mm", 1.0),
        ("cm", 10.0),
        ("in", 25.4),
        ("pt", 25.4 / 72.0),
        ("pc", 25.4 / 6.0),
        ("Q", 0.25),
    ];
    let in_unit =
        |(unit, mm): (&str, f64)| Some(length.strip_suffix(unit)?.parse::<f64>().ok()? * mm);
    let mm = units.into_iter().find_map(in_unit)?;
    (mm.is_finite() && mm > 0.0).then_some(mm)
}

/// Millimetres per px for a page of this many px.
pub(super) fn factor(scale: Scale, width: f64, height: f64) -> Result<f64, String> {
    let positive = |length: f64, name: &str| {
        if length.is_finite() && length > 0.0 {
            Ok(length)
        } else {
            Err(format!(
                "the artwork cannot be {length} mm {name}: the size must be above 0"
            ))
        }
    };
    Ok(match scale {
        Scale::AsDrawn => PX,
        Scale::By(mm) => positive(mm, "to a px")?,
        Scale::Width(mm) => positive(mm, "wide")? / width,
        Scale::Height(mm) => positive(mm, "high")? / height,
        Scale::Within {
            width: most_wide,
            height: most_high,
        } => (positive(most_wide, "wide")? / width).min(positive(most_high, "high")? / height),
    })
}

/// Reports what the root says about its size that cannot be taken as said.
fn look_at_root(source: &Source<'_>, scale: Scale, page: &Page, findings: &mut Findings<'_, '_>) {
    let root = source.xml.root_element();
    let sizes = ["width", "height"].map(|name| (name, root.attribute(name)));
    for (name, value) in sizes {
        if let Some(value) = value.filter(|value| unit(value).is_none()) {
            findings.warning(
                Some(root),
                "unknown-unit",
                format!("{name}=\"{value}\" is not a length, and counts as 100%"),
                "write it in mm, cm, in, pt, pc or px",
            );
        }
    }
    if let Some(value) = root.attribute("viewBox")
        && !is_view_box(value)
    {
        findings.warning(
            Some(root),
            "bad-view-box",
            format!("viewBox=\"{value}\" is not a box with a size, and is left out"),
            "write the least x, the least y, the width and the height, such as \"0 0 100 80\"",
        );
    }
    if css::property(root, "background-color").is_some()
        || css::property(root, "background").is_some()
    {
        findings.note(
            Some(root),
            "page-background",
            "the page's background colour is left out",
            "draw a rectangle if it is to be sewn",
        );
    }
    let size = (page.width / page.mm_per_px, page.height / page.mm_per_px);
    let is_other = |styled: Option<f64>, own: f64| {
        styled.is_some_and(|styled| (styled - own).abs() > own * ALIKE)
    };
    if scale == Scale::AsDrawn
        && asked(root, scale, size) == scale
        && styled(root).is_some_and(|(width, height)| {
            is_other(width, page.width) || is_other(height, page.height)
        })
    {
        findings.warning(
            Some(root),
            "style-geometry",
            format!(
                "the size in the style of <svg> is left out; its page is {} by {} mm",
                rounded(page.width),
                rounded(page.height)
            ),
            "write width and height as attributes of <svg>",
        );
    }
    let style = root.attribute("style").unwrap_or_default();
    let in_style = css::declarations(style).filter(|(name, _)| ["width", "height"].contains(name));
    let in_style = in_style.map(|(_, value)| Some(value));
    let mut given = sizes.iter().map(|(_, value)| *value).chain(in_style);
    let physical = given.any(|value| {
        let unit = value.and_then(unit);
        unit.is_some_and(|unit| ["mm", "cm", "in", "pt", "pc"].contains(&unit))
    });
    if scale == Scale::AsDrawn && !physical {
        findings.note(
            Some(root),
            "no-physical-size",
            format!(
                "the artwork has no size in mm; at 96 px to the inch its page is {} by {} mm",
                rounded(page.width),
                rounded(page.height)
            ),
            "choose a size when reading, or set width and height of <svg> in mm",
        );
    }
}

/// The unit of a length that usvg knows; empty for a plain number.
fn unit(length: &str) -> Option<&str> {
    let length = length.trim();
    let known = ["px", "mm", "cm", "in", "pt", "pc", "em", "ex", "%", ""];
    known.into_iter().find(|unit| {
        let number = length.strip_suffix(unit);
        number.is_some_and(|number| number.parse::<f64>().is_ok_and(f64::is_finite))
    })
}

fn is_view_box(value: &str) -> bool {
    let parts = value.split(|c: char| c.is_whitespace() || c == ',');
    let numbers: Vec<f64> = parts
        .filter(|part| !part.is_empty())
        .map_while(|part| part.parse().ok())
        .collect();
    matches!(numbers[..], [_, _, width, height] if width > 0.0 && height > 0.0)
}

/// For messages.
pub(super) fn rounded(mm: f64) -> f64 {
    (mm * 100.0).round() / 100.0
}

/// What usvg's refusal means for the user.
pub(super) fn tree_error(source: &Source<'_>, error: &usvg::Error) -> Diagnostic {
    let root = source.xml.root_element();
    let (code, message, help) = match error {
        usvg::Error::InvalidSize => (
            "no-page-size",
            "the page has no size: width and height must be above 0".to_owned(),
            "set width and height on <svg>, such as width=\"80mm\" height=\"60mm\"",
        ),
        usvg::Error::ElementsLimitReached
        | usvg::Error::ParsingFailed(roxmltree::Error::NodesLimitReached) => (
            "artwork-too-deep",
            "the artwork has over 1,000,000 elements once every <use> is filled in, or is nested \
             over 1,000 deep"
                .to_owned(),
            "simplify the drawing: dissolve groups and symbols",
        ),
        other => (
            "artwork-unreadable",
            format!("the artwork cannot be resolved: {other}"),
            "save the drawing as plain SVG",
        ),
    };
    source
        .place(Diagnostic::error(code, message), root)
        .help(help)
}
