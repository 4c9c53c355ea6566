//! What must hold of whatever a fill-making step gives, for every shape and all settings.

use super::Case;
use crate::native::Outcome;
use hoopwright_sdk::geometry::clean;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::{Object, Shape, Stitch, StitchKind, StitchRole, stitches_of};

/// Shorter stitches break thread; no step may make any, in mm (common practice: 0.3 to 0.5).
const SHORTEST: f64 = 0.3;

/// Longer moves are more than a machine makes in one, in mm.
const LONGEST: f64 = 12.0;

/// What a comparison of two lengths may be off, in mm.
const NOISE: f64 = 1e-6;

/// So far beyond the shape and its pull compensation may a stitch lie, in mm.
const SLACK: f64 = 1.0;

/// All that is wrong with the outcome, in words; nothing where it is sound.
pub fn wrongs(case: &Case, outcome: &Outcome) -> Vec<String> {
    let object = match &outcome.object {
        Ok(object) => object,
        Err(failure) if failure.message.is_empty() => return vec!["a failure says nothing".into()],
        Err(_) => return Vec::new(),
    };
    let mut wrongs = Vec::new();
    if object.id != case.object.id || !same_shape(&object.shape, &case.object.shape) {
        wrongs.push("the object is another".to_owned());
    }
    let columns = |block: &hoopwright_sdk::StitchBlock| block.x.len() == block.y.len();
    if !object.stitches.iter().all(columns) {
        wrongs.push("columns of different lengths".to_owned());
    }
    let stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
    if stitches.is_empty() {
        let said = |id: &Option<String>| id.as_deref() == Some(object.id.as_str());
        if !outcome.findings.iter().any(|finding| said(&finding.object)) {
            wrongs.push("nothing is sewn, and no finding names the object".to_owned());
        }
        return wrongs;
    }
    if !stitches
        .iter()
        .all(|s| s.at.x.is_finite() && s.at.y.is_finite())
    {
        wrongs.push("a stitch is nowhere".to_owned());
        return wrongs;
    }
    wrongs.extend(wrong_order(&stitches));
    wrongs.extend(wrong_lengths(&stitches));
    wrongs.extend(wrong_jumps(&case.object, &stitches));
    wrongs.extend(wrong_places(case, &stitches));
    wrongs
}

/// Numbers that are none differ from themselves, so shapes are compared as they print.
fn same_shape(a: &Shape, b: &Shape) -> bool {
    format!("{a:?}") == format!("{b:?}")
}

fn wrong_order(stitches: &[Stitch]) -> Option<String> {
    if stitches[0].kind != StitchKind::Needle {
        return Some("the first stitch is not the needle's".into());
    }
    for (place, stitch) in stitches.iter().enumerate() {
        let following = stitches.get(place + 1);
        let lands = following.is_some_and(|next| {
            next.kind == StitchKind::Needle && distance(next.at, stitch.at) < NOISE
        });
        match stitch.kind {
            StitchKind::Needle if stitch.role == StitchRole::Tie => {
                return Some("there is a tie, which another step puts".into());
            }
            StitchKind::Needle => {}
            StitchKind::Jump if lands => {}
            StitchKind::Jump => return Some("no needle point follows a jump at its place".into()),
            StitchKind::Trim | StitchKind::Stop => {
                return Some("there is a trim or a stop, which another step puts".into());
            }
        }
    }
    None
}

fn wrong_lengths(stitches: &[Stitch]) -> Option<String> {
    let sewn = stitches
        .windows(2)
        .filter(|pair| pair.iter().all(|stitch| stitch.kind == StitchKind::Needle));
    let mut lengths = sewn.map(|pair| (distance(pair[0].at, pair[1].at), pair[1]));
    let bad = lengths.find(|(length, _)| !(SHORTEST - NOISE..=LONGEST + NOISE).contains(length))?;
    Some(format!("a stitch of {} mm: {:?}", bad.0, bad.1))
}

/// One jump at most for each further part of the region.
fn wrong_jumps(object: &Object, stitches: &[Stitch]) -> Option<String> {
    let Shape::Region(region) = &object.shape else {
        return None;
    };
    let parts = clean(&region.to_multi_polygon()).0.len();
    let jumps = stitches
        .iter()
        .filter(|stitch| stitch.kind == StitchKind::Jump)
        .count();
    (jumps + 1 > parts).then(|| format!("{jumps} jumps in {parts} parts"))
}

/// Nothing lies outside the box around the shape, but for what compensation and width add.
fn wrong_places(case: &Case, stitches: &[Stitch]) -> Option<String> {
    let (corners, drawn): (Vec<Coord<f64>>, f64) = match &case.object.shape {
        Shape::Region(region) => {
            // By the even-odd rule, what a hole encloses outside the edge is filled.
            let rings = region
                .polygons
                .iter()
                .flat_map(|polygon| std::iter::once(&polygon.outer).chain(&polygon.holes));
            (rings.flat_map(|ring| ring.corners()).collect(), 0.0)
        }
        Shape::Lines(lines) => {
            let paths = lines.paths.iter().flat_map(|path| path.corners());
            (paths.collect(), lines.width)
        }
        Shape::Manual => return None,
    };
    let bounds = |of: fn(&Coord<f64>) -> f64| {
        let least = corners.iter().map(of).fold(f64::INFINITY, f64::min);
        let greatest = corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        (least, greatest)
    };
    let (x, y) = (bounds(|corner| corner.x), bounds(|corner| corner.y));
    // Mitred corners of lines reach out farther than half the width.
    let width = 2.0 * drawn.max(largest(case, "width"));
    let across = width.max((x.1 - x.0).max(y.1 - y.0));
    let share = largest(case, "pull-compensation-percent") / 100.0 * across;
    let slack = width + largest(case, "pull-compensation").max(share) + SLACK;
    let beyond = |at: f64, (least, greatest)| at < least - slack || at > greatest + slack;
    let stitch = stitches
        .iter()
        .find(|stitch| beyond(stitch.at.x, x) || beyond(stitch.at.y, y))?;
    Some(format!("a stitch outside the shape: {stitch:?}"))
}

/// The largest number among the settings whose names begin so; what is left out is small.
fn largest(case: &Case, start: &str) -> f64 {
    let settings = case.settings.as_object().into_iter().flatten();
    settings
        .filter(|(name, _)| name.starts_with(start) && is_share(name) == is_share(start))
        .filter_map(|(_, value)| value.as_f64())
        .fold(0.4, f64::max)
}

fn is_share(name: &str) -> bool {
    name.ends_with("-percent")
}
