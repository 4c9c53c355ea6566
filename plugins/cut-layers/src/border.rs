//! Borders: narrow bands that show along the edge of a fill painted over them, as the rim of a badge does.
//!
//! Painted, the fill comes last; sewn so, the ends of its rows would lie on the border like teeth. Sewn well, the
//! fill goes on beneath the border, and the border comes after it and covers them (common practice).

use crate::CutLayers;
use crate::region::{self, Cut};
use crate::shown::{Shown, narrower, together};
use crate::upper::Upper;
use hoopwright_sdk::geometry::area::{difference, intersection};
use hoopwright_sdk::geometry::geo::{Area, Coord, LineString, MultiPolygon};
use hoopwright_sdk::geometry::measure::{distance, holds_circle, length, perimeter};
use hoopwright_sdk::geometry::offset::grow;

/// The least share of a band's edge that runs along fills. Where one lies all along one side of it, nearly half
/// does; of a limb that a fill covers at one end, hardly any.
const ALONG: f64 = 0.4;

/// The least share of a fill's outer edges that a band along it takes up: it runs around the fill, or nearly.
const AROUND: f64 = 0.5;

/// The largest share of a band that is narrower than can be sewn, as the tips of a crescent are: beneath its
/// neighbour it would be widened, on top it cannot be.
const TIPS: f64 = 0.02;

/// What lies this near to an edge, in mm, runs along it: a fifth of the machine's own step.
const NEAR: f64 = 0.02;

/// A band, and the fills along which it runs.
pub(crate) struct Border<'a> {
    /// What of it shows, and what goes on beneath all but the fills.
    pub band: MultiPolygon<f64>,
    /// What showed and is left out as too small for a thread, in mm².
    pub lost: f64,
    pub fills: Vec<&'a Upper>,
}

impl<'a> Border<'a> {
    /// What of `area` beneath `above` is a border, if it is one.
    pub fn of(area: &MultiPolygon<f64>, above: &[&'a Upper], settings: &CutLayers) -> Option<Self> {
        let (fills, others): (Vec<&Upper>, Vec<&Upper>) =
            above.iter().partition(|upper| upper.is_fill(settings));
        if fills.is_empty() {
            return None;
        }
        let beside = difference(area, &together(fills.iter().copied()));
        if holds_circle(&beside, settings.fills_from / 2.0) || !runs_around(&beside, &fills) {
            return None;
        }
        let left = match region::cut(&beside, &others, settings) {
            Cut::Whole => beside,
            Cut::To(left, _) => left,
            Cut::Gone(_) => return None,
        };
        let showed = left.unsigned_area();
        let shown = Shown::of(left, &fills, settings.least_visible_width, 0.0);
        let band = shown.without_specks(settings.least_visible_area).worth;
        let along = fills
            .into_iter()
            .filter(|fill| length_along(&band, &[fill]) > 0.0);
        let border = Self {
            lost: (showed - band.unsigned_area()).max(0.0),
            fills: along.collect(),
            band,
        };
        (!border.fills.is_empty() && border.can_be_sewn(settings)).then_some(border)
    }

    /// Whether it is nowhere too narrow, but for tips.
    fn can_be_sewn(&self, settings: &CutLayers) -> bool {
        let (width, reach) = (settings.least_width, settings.least_visible_width);
        let tips = narrower(&self.band, width, reach).unsigned_area();
        tips <= TIPS * self.band.unsigned_area()
    }

    /// What a fill gains: so far it goes on beneath the band.
    pub fn beneath(&self, fill: &Upper, settings: &CutLayers) -> MultiPolygon<f64> {
        intersection(&grow(&fill.area, settings.under_borders), &self.band)
    }
}

/// Whether a band runs along `fills`, and all around one of them or nearly.
fn runs_around(band: &MultiPolygon<f64>, fills: &[&Upper]) -> bool {
    let around = |fill: &&Upper| {
        let outer: f64 = fill.area.iter().map(|part| length(part.exterior())).sum();
        length_along(band, &[fill]) >= AROUND * outer
    };
    length_along(band, fills) >= ALONG * perimeter(band) && fills.iter().any(around)
}

/// How much of a band's edge runs along `fills`, in mm.
fn length_along(band: &MultiPolygon<f64>, fills: &[&Upper]) -> f64 {
    let along = edges(band).filter(|[a, b]| {
        let middle = (*a + *b) / 2.0;
        let near = |fill: &&Upper| fill.edges().edge_lies_within(middle, NEAR);
        fills.iter().any(near)
    });
    along.map(|[a, b]| distance(a, b)).sum()
}

fn edges(area: &MultiPolygon<f64>) -> impl Iterator<Item = [Coord<f64>; 2]> {
    let rings = area
        .iter()
        .flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()));
    rings.flat_map(|ring: &LineString<f64>| ring.0.windows(2).map(|ends| [ends[0], ends[1]]))
}
