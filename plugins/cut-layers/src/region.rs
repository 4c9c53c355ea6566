//! A region beneath others, cut to what shows of it and the underlap.
//!
//! What stays is the set of places within the underlap of what shows. So nothing that shows is
//! ever lost, what lies hidden by itself goes, and the edge of a cut runs parallel to the edge
//! that shows above it.

use crate::CutLayers;
use crate::shown::{NOISE, STRAY, Shown, narrower, together};
use crate::spikes::without_spikes;
use crate::upper::Upper;
use hoopwright_sdk::geometry::area::{difference, intersection, union};
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{
    Area, BoundingRect, Coord, Intersects, LineString, MultiPolygon, Polygon, Rect,
};
use hoopwright_sdk::geometry::measure::{distance, mean_width};
use hoopwright_sdk::geometry::offset::{grow, thinned};
use serde::{Deserialize, Serialize};

/// A cut that is narrower than this on average, in mm, is not worth a new edge.
const LEAST_BITE: f64 = 0.2;

/// Where a cut ends on the lower object's edge, rounding may leave a hair of it that holds together what
/// is apart. The cut goes so far beyond the edge there, in mm: a fiftieth of the machine's own step.
const BEYOND: f64 = 0.002;

/// What shows is looked at more closely where it is smaller than this, in mm².
const SMALL: f64 = 2.0;

/// How far a thin part goes on beneath its neighbours, as shares of the width it must reach: as far as the
/// first that is enough. Half does where it lies between two of them.
const WIDENING: [f64; 4] = [0.35, 0.5, 0.75, 1.0];

/// What becomes of a lower object.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub enum Cut<T> {
    /// It stays as it is.
    Whole,
    /// This much stays; of what showed, so many mm² are left out as too small for a thread.
    To(T, f64),
    /// Nothing of it shows that a thread could show; so many mm² did.
    Gone(f64),
}

impl<T> Cut<T> {
    /// The same for what `change` makes of what stays.
    pub(crate) fn map<U>(self, change: impl FnOnce(T) -> U) -> Cut<U> {
        match self {
            Self::Whole => Cut::Whole,
            Self::To(left, lost) => Cut::To(change(left), lost),
            Self::Gone(lost) => Cut::Gone(lost),
        }
    }
}

/// Cuts `uppers` out of `area`, which is cleaned.
pub(crate) fn cut(
    area: &MultiPolygon<f64>,
    uppers: &[&Upper],
    settings: &CutLayers,
) -> Cut<MultiPolygon<f64>> {
    let all = difference(area, &together(uppers.iter().copied()));
    let rest = all.unsigned_area();
    let hidden = area.unsigned_area() - rest;
    if hidden < NOISE || (hidden < settings.least_cut_area && rest > SMALL && area.0.len() == 1) {
        return Cut::Whole;
    }
    let edges = EdgeGrid::new(area);
    let uppers = &touching(&edges, uppers)[..];
    let underlaps = underlaps(uppers, settings);
    // What shows `t` wide becomes `t` + underlap wide.
    let thin = settings.least_width - underlaps.first().copied().unwrap_or(0.0);
    let (hair, speck) = (settings.least_visible_width, settings.least_visible_area);
    let shown = Shown::of(all, uppers, hair, thin).without_specks(speck);
    if shown.worth.unsigned_area() < settings.least_visible_area {
        return Cut::Gone(shown.all.unsigned_area());
    }
    let cut = worth_cutting(area, &shown, &underlaps, uppers, settings);
    let left = if cut.0.is_empty() {
        area.clone()
    } else {
        let strips = along_the_edge(&cut, &edges);
        without_spikes(difference(area, &together_with(&cut, strips)))
    };
    let pieces = left.0.len();
    let left = without_hidden_pieces(left, &shown.worth, settings.least_visible_area);
    let dropped = left.0.len() < pieces;
    if cut.0.is_empty() && !dropped {
        return Cut::Whole;
    }
    let lost = if dropped || shown.has_hairs {
        difference(&shown.all, &left).unsigned_area()
    } else {
        0.0
    };
    if left.0.is_empty() {
        return Cut::Gone(lost);
    }
    Cut::To(left, lost)
}

/// Those of `uppers` that lie on the area: the others have no say in how far it goes on.
fn touching<'a>(edges: &EdgeGrid, uppers: &[&'a Upper]) -> Vec<&'a Upper> {
    let near = uppers.iter().copied();
    near.filter(|upper| edges.meets(upper.edges(), 0.0))
        .collect()
}

/// How far an object goes on beneath `uppers`, the least first.
fn underlaps(uppers: &[&Upper], settings: &CutLayers) -> Vec<f64> {
    let each = uppers.iter().map(|upper| upper.underlap(settings));
    let mut underlaps: Vec<f64> = each.collect();
    underlaps.sort_by(f64::total_cmp);
    underlaps.dedup();
    underlaps
}

/// The parts of `area` that are far enough from what is shown, and large enough, to be cut.
fn worth_cutting(
    area: &MultiPolygon<f64>,
    shown: &Shown,
    underlaps: &[f64],
    uppers: &[&Upper],
    settings: &CutLayers,
) -> MultiPolygon<f64> {
    // Of many tiny areas nothing can be worth it, and how far they go on takes long to find.
    if area.unsigned_area() - shown.worth.unsigned_area() < settings.least_cut_area {
        return MultiPolygon::new(Vec::new());
    }
    let keep = with_underlap(area, shown, underlaps, uppers, settings);
    let far = difference(area, &together_with(&shown.worth, keep.clone()));
    if !far.iter().any(|part| pays(part, settings)) {
        return MultiPolygon::new(Vec::new());
    }
    // Holes and gaps in what is kept that are too narrow close again. Bites into the edge do not:
    // beyond the edge there is room.
    let half = settings.least_cut_width / 2.0;
    let keep = thinned(intersection(&keep, area), STRAY);
    let closed = grow(&thinned(grow(&keep, half), STRAY), -half);
    let parts = difference(&far, &closed).into_iter();
    parts.filter(|part| pays(part, settings)).collect()
}

/// What is shown, and all places within the underlap of it: the larger one beneath several uppers.
/// Thin parts reach farther, so that they become wide enough to sew.
fn with_underlap(
    area: &MultiPolygon<f64>,
    shown: &Shown,
    underlaps: &[f64],
    uppers: &[&Upper],
    settings: &CutLayers,
) -> MultiPolygon<f64> {
    let rough = thinned(shown.worth.clone(), STRAY);
    let Some((&least, larger)) = underlaps.split_first() else {
        return rough;
    };
    let mut keep = grow(&rough, least);
    for &underlap in larger {
        let these = uppers
            .iter()
            .filter(|upper| upper.underlap(settings) == underlap);
        let beneath = intersection(&grow(&rough, underlap), &together(these.copied()));
        keep = union(&keep, &beneath);
    }
    widened(keep, area, shown, settings)
}

/// `keep`, where it is too narrow to be sewn made as wide as it must be beneath its neighbours, and
/// hardly wider: a crescent between two of them goes on beneath both, half as far as one that has
/// a single neighbour.
fn widened(
    mut keep: MultiPolygon<f64>,
    area: &MultiPolygon<f64>,
    shown: &Shown,
    settings: &CutLayers,
) -> MultiPolygon<f64> {
    let width = settings.least_width;
    let mut thin = shown.thin.clone();
    for share in WIDENING {
        if thin.0.is_empty() {
            break;
        }
        // Only what of it lies around the thin parts need be looked at.
        let around = intersection(area, &windows(&thin, 2.0 * width));
        let narrow = narrower(
            &intersection(&keep, &around),
            width,
            settings.least_visible_width,
        );
        thin = intersection(&thin, &grow(&narrow, width));
        keep = union(&keep, &grow(&thin, share * width));
    }
    keep
}

/// The bounds of all parts, `by` mm wider on each side, as one area.
fn windows(parts: &MultiPolygon<f64>, by: f64) -> MultiPolygon<f64> {
    let room = Coord { x: by, y: by };
    let bounds = parts.iter().filter_map(BoundingRect::bounding_rect);
    let windows = bounds.map(|it| Rect::new(it.min() - room, it.max() + room).to_polygon());
    union(&windows.collect(), &MultiPolygon::new(Vec::new()))
}

/// Narrow strips over those edges of `cut` that lie on the edge of the area it is cut out of.
fn along_the_edge(cut: &MultiPolygon<f64>, edges: &EdgeGrid) -> MultiPolygon<f64> {
    let rings = cut
        .iter()
        .flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()));
    let steps = rings.flat_map(|ring| ring.0.windows(2));
    let strips = steps.filter_map(|step| {
        let (a, b) = (step[0], step[1]);
        let along = b - a;
        let length = distance(a, b);
        let aside = Coord {
            x: -along.y,
            y: along.x,
        } * (BEYOND / length);
        let middle = (a + b) / 2.0;
        let outside = |place| !edges.reaches(place, 0.0);
        let on_the_edge = outside(middle + aside / 2.0) || outside(middle - aside / 2.0);
        let corners = [a - aside, b - aside, b + aside, a + aside];
        (length > 0.0 && on_the_edge)
            .then(|| Polygon::new(LineString(corners.to_vec()), Vec::new()))
    });
    strips.collect()
}

/// Two areas, not merged.
fn together_with(a: &MultiPolygon<f64>, b: MultiPolygon<f64>) -> MultiPolygon<f64> {
    a.iter().cloned().chain(b).collect()
}

/// Whether cutting a part out saves more than its new edge costs.
fn pays(part: &Polygon<f64>, settings: &CutLayers) -> bool {
    part.unsigned_area() >= settings.least_cut_area && mean_width(part) >= LEAST_BITE
}

/// The pieces of `left` of which at least `least` mm² are `shown`.
fn without_hidden_pieces(
    left: MultiPolygon<f64>,
    shown: &MultiPolygon<f64>,
    least: f64,
) -> MultiPolygon<f64> {
    if left.0.len() == 1 {
        return left;
    }
    let shown: Vec<_> = shown.iter().map(|its| (its, its.bounding_rect())).collect();
    let shows = |piece: &Polygon<f64>| {
        let bounds = piece.bounding_rect();
        let meets = |its: Option<Rect<f64>>| matches!((bounds, its), (Some(a), Some(b)) if a.intersects(&b));
        let near = shown.iter().filter(|(_, its)| meets(*its));
        let mut near: Vec<&Polygon<f64>> = near.map(|&(polygon, _)| polygon).collect();
        // One answer is enough, and most likely gives it what has about as many corners.
        let corners = |polygon: &Polygon<f64>| polygon.exterior().0.len();
        near.sort_by_key(|polygon| corners(polygon).abs_diff(corners(piece)));
        let area = MultiPolygon::from(piece.clone());
        let mut size = 0.0;
        for polygon in near {
            size += intersection(&area, &polygon.clone().into()).unsigned_area();
            if size >= least {
                return true;
            }
        }
        false
    };
    left.into_iter().filter(shows).collect()
}
