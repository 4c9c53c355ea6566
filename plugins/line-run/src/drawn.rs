//! The lines that an object's shape asks to be sewn.

use geo::{LineString, MultiPolygon};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::stitch_making::SHORTEST_STITCH;

/// A line under this long cannot be sewn, in mm: not even one stitch fits.
pub const SHORTEST_LINE: f64 = SHORTEST_STITCH;

/// More than this much line in one object is a mistake of units, not artwork, in mm: a kilometre.
const LONGEST_LINE: f64 = 1_000_000.0;

/// A line to sew: at least two different places; a closed one ends where it begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The places along it.
    pub corners: Vec<Coord<f64>>,
    /// Whether it may be begun anywhere, because it comes round.
    pub closed: bool,
}

/// The lines of `object`. Those that cannot be sewn are reported and left out.
///
/// # Errors
/// A finding that says why there is nothing to sew.
pub fn lines_of(object: &Object, inset: f64) -> Result<Vec<Drawn>, Finding> {
    let drawn: Vec<Drawn> = match &object.shape {
        Shape::Lines(lines) => lines
            .paths
            .iter()
            .map(|path| Drawn::new(path.corners(), path.closed))
            .collect(),
        Shape::Region(region) => edges(object, &region.to_multi_polygon(), inset)?,
        Shape::Manual => {
            return Err(Finding::warning(
                "this object has only stitches placed by hand, and no line to sew",
            )
            .about(&object.id)
            .help("Leave it out of this step's selection; its stitches stay as they are."));
        }
    };
    let total: f64 = drawn.iter().map(Drawn::length).sum();
    if total > LONGEST_LINE {
        let kilometres = total / 1e6;
        return Err(Finding::error(format!(
            "this object has {kilometres:.1} km of line, which is not sewn"
        ))
        .about(&object.id)
        .help("Check the artwork's units: lengths are millimetres."));
    }
    let (sewn, tiny): (Vec<Drawn>, Vec<Drawn>) =
        drawn.into_iter().partition(|line| !line.is_tiny());
    if sewn.is_empty() {
        return Err(Finding::warning(format!(
            "nothing to sew: every line of this object stays within {SHORTEST_LINE} mm or has \
             no place"
        ))
        .about(&object.id)
        .help("Draw it larger, or leave it out."));
    }
    report_tiny(object, &tiny);
    Ok(sewn)
}

/// The edges of a region, `inset` mm inside.
fn edges(object: &Object, area: &MultiPolygon<f64>, inset: f64) -> Result<Vec<Drawn>, Finding> {
    let whole = geometry::clean(area);
    if whole.0.is_empty() {
        return Err(
            Finding::warning("this region has no area, so it has no edge to sew")
                .about(&object.id)
                .help("Draw it as a line if it should be sewn."),
        );
    }
    let mut rings = Vec::new();
    for polygon in whole {
        let inner = geometry::offset::grow(&MultiPolygon::new(vec![polygon.clone()]), -inset);
        if inner.0.is_empty() {
            let mut finding = Finding::warning(format!(
                "a part of this region is too narrow for an inset of {inset} mm and is not sewn"
            ))
            .about(&object.id)
            .help("Use a smaller inset for it.");
            if let Some(&corner) = polygon.exterior().0.first() {
                finding = finding.at(corner);
            }
            messages::report(finding);
        }
        let holes_in = |polygons: &MultiPolygon<f64>| {
            let each = polygons.iter().map(|polygon| polygon.interiors().len());
            each.sum::<usize>()
        };
        let closed = polygon.interiors().len().saturating_sub(holes_in(&inner));
        // Inward, holes that grow together have one edge left to sew.
        if closed > 0 && inset < 0.0 {
            let which = if closed == 1 {
                "the edge of a hole"
            } else {
                "the edges of holes"
            };
            messages::report(
                Finding::warning(format!(
                    "{which} narrower than {} mm closes at an inset of {inset} mm and is not sewn",
                    -2.0 * inset
                ))
                .about(&object.id)
                .help("Use an inset nearer to 0 for it."),
            );
        }
        for part in inner {
            let (outer, holes) = part.into_inner();
            rings.extend(std::iter::once(outer).chain(holes));
        }
    }
    Ok(rings
        .into_iter()
        .map(|ring| Drawn::new(ring.0, true))
        .collect())
}

fn report_tiny(object: &Object, tiny: &[Drawn]) {
    let Some(first) = tiny.first() else {
        return;
    };
    let what = match tiny.len() {
        1 => "a line that stays".to_owned(),
        several => format!("{several} lines that stay"),
    };
    let mut finding = Finding::warning(format!(
        "{what} within {SHORTEST_LINE} mm cannot be sewn and is left out"
    ))
    .about(&object.id)
    .help("Draw it longer, or leave it out of the artwork.");
    if let Some(&place) = first.corners.first() {
        finding = finding.at(place);
    }
    messages::report(finding);
}

impl Drawn {
    fn new(corners: impl IntoIterator<Item = Coord<f64>>, closed: bool) -> Self {
        let mut corners: Vec<Coord<f64>> = corners
            .into_iter()
            .filter(|corner| corner.x.is_finite() && corner.y.is_finite())
            .collect();
        if closed && let Some(&first) = corners.first() {
            corners.push(first);
        }
        corners.dedup();
        Self { corners, closed }
    }

    /// Its length in mm.
    pub fn length(&self) -> f64 {
        geometry::measure::way_length(&self.corners)
    }

    /// The line as the geometry library's type.
    pub fn to_line_string(&self) -> LineString<f64> {
        LineString::new(self.corners.clone())
    }

    /// Whether all of it lies so near to its beginning that no stitch fits.
    fn is_tiny(&self) -> bool {
        let Some(&first) = self.corners.first() else {
            return true;
        };
        self.corners
            .iter()
            .all(|&corner| geometry::measure::distance(first, corner) < SHORTEST_LINE)
    }
}
