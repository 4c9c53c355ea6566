//! Designs as short readable JSON, and what differs between two of them.

use crate::{
    Design, Finding, Object, Point, Polyline, Severity, Sewing, Shape, StitchBlock, StitchKind,
    StitchRole,
};
use geo::Coord;
use serde_json::{Map, Value, json};
use similar::TextDiff;
use std::path::PathBuf;

/// Places on one line of the text.
const PLACES: usize = 8;
/// How far a number of a stored result may be off, in mm: it is rounded to a thousandth.
const ROUNDED: f64 = 0.0015;

/// A design and findings, with numbers to a thousandth of a mm.
pub fn text(design: &Design, findings: &[Finding]) -> String {
    written(design, findings, 3)
}

/// The same with all digits that can matter.
pub fn exact(design: &Design, findings: &[Finding]) -> String {
    written(design, findings, 9)
}

fn written(design: &Design, findings: &[Finding], decimals: usize) -> String {
    let number = Number(decimals);
    let threads = design.threads.iter().map(|thread| {
        let (red, green, blue) = (thread.red, thread.green, thread.blue);
        let named = format!("{} {}", thread.code, thread.name);
        let colour = format!("#{red:02x}{green:02x}{blue:02x}");
        format!("{}, {colour}, weight {}", named.trim(), thread.weight)
    });
    let value = json!({
        "findings": findings.iter().map(|finding| number.finding(finding)).collect::<Vec<_>>(),
        "objects": design.objects.iter().map(|object| number.object(object)).collect::<Vec<_>>(),
        "threads": threads.collect::<Vec<_>>(),
    });
    format!("{value:#}\n")
}

/// Numbers with so many decimals at most.
struct Number(usize);

impl Number {
    fn write(&self, v: f64) -> String {
        let text = format!("{v:.*}", self.0);
        let short = text.trim_end_matches('0').trim_end_matches('.');
        let short = if text.contains('.') { short } else { &text };
        match short {
            "-0" => "0".to_owned(),
            other => other.to_owned(),
        }
    }

    fn place(&self, at: Coord<f64>) -> String {
        format!("{} {}", self.write(at.x), self.write(at.y))
    }

    fn point(&self, point: Point) -> String {
        self.place(point.into())
    }

    /// Lines of places, of which the first line begins with `what`.
    fn places(&self, what: &str, places: impl Iterator<Item = Coord<f64>>) -> Vec<Value> {
        let places: Vec<String> = places.map(|at| self.place(at)).collect();
        let mut lines = vec![Value::from(format!("{what}, {} places", places.len()))];
        lines.extend(
            places
                .chunks(PLACES)
                .map(|line| Value::from(format!("  {}", line.join(", ")))),
        );
        lines
    }

    fn path(&self, what: &str, path: &Polyline) -> Vec<Value> {
        let closed = if path.closed { "closed " } else { "" };
        self.places(&format!("{closed}{what}"), path.corners())
    }

    fn shape(&self, shape: &Shape) -> Vec<Value> {
        match shape {
            Shape::Manual => vec!["by hand".into()],
            Shape::Lines(lines) => {
                let what = format!("line {} wide", self.write(lines.width));
                let paths = lines.paths.iter();
                paths.flat_map(|path| self.path(&what, path)).collect()
            }
            Shape::Region(region) => {
                let polygons = region.polygons.iter();
                let rings = polygons.flat_map(|polygon| {
                    let holes = polygon.holes.iter().map(|hole| ("hole", hole));
                    std::iter::once(("edge", &polygon.outer)).chain(holes)
                });
                rings
                    .flat_map(|(what, ring)| self.path(what, ring))
                    .collect()
            }
        }
    }

    fn block(&self, block: &StitchBlock) -> Vec<Value> {
        let kind = match block.kind {
            StitchKind::Needle => "needle",
            StitchKind::Jump => "jump",
            StitchKind::Trim => "trim",
            StitchKind::Stop => "stop",
        };
        let role = match block.role {
            StitchRole::Underlay => "underlay",
            StitchRole::Cover => "cover",
            StitchRole::Travel => "travel",
            StitchRole::Tie => "tie",
        };
        let places = block.x.iter().zip(&block.y);
        self.places(
            &format!("{kind} {role}"),
            places.map(|(&x, &y)| Coord { x, y }),
        )
    }

    /// Only what is set.
    fn sewing(&self, sewing: &Sewing) -> Map<String, Value> {
        let mut map = Map::new();
        let mut set = |name: &str, text: Option<String>| {
            if let Some(text) = text {
                map.insert(name.to_owned(), text.into());
            }
        };
        set("angle", sewing.angle.map(|v| self.write(v)));
        set("density", sewing.density.map(|v| self.write(v)));
        let marks = sewing.direction_marks.iter();
        let marks: Vec<String> = marks
            .map(|mark| format!("{} to {}", self.point(mark.tail), self.point(mark.head)))
            .collect();
        set(
            "direction-marks",
            (!marks.is_empty()).then(|| marks.join(", ")),
        );
        set("finish", sewing.finish.map(|point| self.point(point)));
        set("start", sewing.start.map(|point| self.point(point)));
        set("stitch-length", sewing.stitch_length.map(|v| self.write(v)));
        map
    }

    fn object(&self, object: &Object) -> Value {
        let stitches: Vec<Value> = object
            .stitches
            .iter()
            .flat_map(|block| self.block(block))
            .collect();
        json!({
            "id": object.id,
            "name": object.name,
            "sewing": self.sewing(&object.sewing),
            "shape": self.shape(&object.shape),
            "stitches": stitches,
            "tags": object.tags.join(" "),
            "thread": object.thread,
        })
    }

    fn finding(&self, finding: &Finding) -> String {
        let severity = match finding.severity {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "error",
        };
        let mut text = severity.to_owned();
        if let Some(object) = &finding.object {
            text += &format!(", object {object}");
        }
        if let Some(place) = finding.place {
            text += &format!(", at {}", self.point(place));
        }
        text += &format!(": {}", finding.message);
        if let Some(help) = &finding.help {
            text += &format!(" {help}");
        }
        text
    }
}

/// Whether two texts are the same, but for numbers that differ by no more than `tolerance`.
pub fn same(a: &str, b: &str, tolerance: f64) -> bool {
    fn words(text: &str) -> impl Iterator<Item = &str> {
        text.split([' ', '\n', ',', '"'])
            .filter(|word| !word.is_empty())
    }
    let near = |a: &str, b: &str| match (a.parse::<f64>(), b.parse::<f64>()) {
        (Ok(a), Ok(b)) => (a - b).abs() <= tolerance,
        _ => false,
    };
    a == b
        || words(a).count() == words(b).count()
            && words(a).zip(words(b)).all(|(a, b)| a == b || near(a, b))
}

/// The lines that differ, with what stands around them.
pub fn difference(a_is: &str, a: &str, b_is: &str, b: &str) -> String {
    TextDiff::from_lines(a, b)
        .unified_diff()
        .context_radius(3)
        .header(a_is, b_is)
        .to_string()
}

/// Compares with what is stored, or stores it anew where the environment asks for that.
pub fn compare(name: &str, got: &str) {
    let folder = std::env::var_os("CARGO_MANIFEST_DIR").map_or_else(PathBuf::new, PathBuf::from);
    let file = folder.join("tests/expected").join(format!("{name}.json"));
    let renew = "HOOPWRIGHT_RENEW=1 cargo test";
    if std::env::var_os("HOOPWRIGHT_RENEW").is_some_and(|value| value == "1") {
        if let Err(error) = store(&file, got) {
            panic!("{} cannot be written: {error}", file.display());
        }
        return;
    }
    let stored = match std::fs::read_to_string(&file) {
        Ok(stored) => stored,
        Err(error) => panic!(
            "{} cannot be read: {error}\nStore what comes out with: {renew}\n{got}",
            file.display()
        ),
    };
    assert!(
        same(&stored, got, ROUNDED),
        "the result is not the stored one:\n{}\nIf it is as you want it, store it with: {renew}",
        difference(&file.display().to_string(), &stored, "this run", got)
    );
}

/// Written beside its place first, so that there is never half a file.
fn store(file: &std::path::Path, text: &str) -> std::io::Result<()> {
    let beside = file.with_extension(format!("{}.tmp", std::process::id()));
    if let Some(folder) = file.parent() {
        std::fs::create_dir_all(folder)?;
    }
    std::fs::write(&beside, text)?;
    std::fs::rename(&beside, file)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::design;

    #[test]
    fn numbers_are_short_and_minus_nothing_is_nothing() {
        let number = Number(3);
        let written = [10.0, -0.0001, 0.12345, -2.5, 100.0].map(|v| number.write(v));
        assert_eq!(written, ["10", "0", "0.123", "-2.5", "100"]);
    }

    #[test]
    fn only_numbers_may_be_a_little_off() {
        assert!(same("a 1.000, b", "a 1.001, b", 0.0015));
        assert!(!same("a 1.000, b", "a 1.002, b", 0.0015));
        assert!(!same("a 1, b", "a 1, c", 1.0));
        assert!(!same("a 1", "a 1 1", 1.0));
    }

    #[test]
    fn a_difference_shows_the_lines_that_differ() {
        let one = Design::from(design().by_hand("eye", &[(0.0, 0.0), (1.0, 2.0)]));
        let two = Design::from(design().by_hand("eye", &[(0.0, 0.0), (1.0, 2.5)]));
        let shown = difference("one", &text(&one, &[]), "two", &text(&two, &[]));
        assert!(shown.contains("-        \"  0 0, 1 2\""), "{shown}");
        assert!(shown.contains("+        \"  0 0, 1 2.5\""), "{shown}");
    }
}
