//! Where the sewing of an object can begin and end.

use hoopwright_sdk::geometry::geo::LineString;
use hoopwright_sdk::geometry::measure::{self, crossing, distance, nearest_on};
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::geometry::medial_axis::{MedialAxis, Node, Pruning, medial_axis};
use hoopwright_sdk::prelude::*;
use serde::{Deserialize, Serialize};

/// Outlines are looked at in steps of about this length, in mm.
const STEP: f64 = 1.0;

/// Outlines longer than so many steps are looked at in longer ones. Each of their rings and lines is still
/// looked at in one place at least; where that gives more, those nearest to the neighbour are taken.
pub(crate) const MOST_PLACES: usize = 120;

/// How an object begins and ends.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Ends<Place = Coord<f64>> {
    /// Nowhere: it shows nothing.
    None,
    /// Where it is set, or where its stitches begin and end.
    Fixed { start: Place, finish: Place },
    /// At one of these places, and at any of them again: the ends of a satin region's columns, or of
    /// several lines.
    Some(Vec<Place>),
    /// At one end of a line, and then at the other.
    Opposite([Place; 2]),
    /// Anywhere along its outline, and at the same place again: a line, or a column of satin, that comes
    /// round.
    Round,
    /// Anywhere along its outline, wherever it began: a fill.
    Free,
}

impl<Place> Ends<Place> {
    /// The same with its places told otherwise.
    pub(crate) fn told<Other>(self, place: impl Fn(Place) -> Other) -> Ends<Other> {
        match self {
            Self::None => Ends::None,
            Self::Fixed { start, finish } => Ends::Fixed {
                start: place(start),
                finish: place(finish),
            },
            Self::Some(places) => Ends::Some(places.into_iter().map(place).collect()),
            Self::Opposite(places) => Ends::Opposite(places.map(place)),
            Self::Round => Ends::Round,
            Self::Free => Ends::Free,
        }
    }
}

/// An object's outline, and how it begins and ends.
#[derive(Clone, Debug)]
pub(crate) struct Outline {
    pub ends: Ends,
    /// A start set before.
    pub start: Option<Coord<f64>>,
    /// A finish set before.
    pub finish: Option<Coord<f64>>,
    /// Its edges or lines.
    lines: Vec<LineString<f64>>,
    /// Places along them.
    places: Vec<Coord<f64>>,
}

impl Outline {
    /// The outline of `object`, which begins and ends as `ends` tells.
    pub fn of(object: &Object, ends: Ends) -> Self {
        let finite = |point: Option<Point>| {
            point
                .map(Coord::from)
                .filter(|place| place.x.is_finite() && place.y.is_finite())
        };
        let lines = lines(&object.shape);
        Self {
            ends,
            start: finite(object.sewing.start),
            finish: finite(object.sewing.finish),
            places: places(&lines),
            lines,
        }
    }

    /// Places along the outline, about 1 mm apart.
    pub fn places(&self) -> &[Coord<f64>] {
        &self.places
    }

    /// The place on the outline nearest to `to`.
    pub fn nearest(&self, to: Coord<f64>) -> Option<Coord<f64>> {
        let edges = self.lines.iter().flat_map(|line| line.0.windows(2));
        let on_edges = edges.filter_map(|edge| {
            let &[a, b] = edge else { return None };
            Some(nearest_on([a, b], to))
        });
        on_edges
            .chain(self.places.first().copied())
            .min_by(|a, b| distance(*a, to).total_cmp(&distance(*b, to)))
    }
}

/// How `object` begins and ends; regions at least `fills_from` mm wide are fills.
pub(crate) fn ends(object: &Object, fills_from: f64) -> Ends {
    match sewn_ends(object) {
        Some([start, finish]) => Ends::Fixed { start, finish },
        None if lines(&object.shape).is_empty() => Ends::None,
        None => drawn_ends(&object.shape, fills_from),
    }
}

/// The first and the last needle point.
fn sewn_ends(object: &Object) -> Option<[Coord<f64>; 2]> {
    let mut needles = stitches_of(&object.stitches)
        .filter(|stitch| stitch.kind == StitchKind::Needle)
        .map(|stitch| stitch.at);
    let first = needles.next()?;
    Some([first, needles.last().unwrap_or(first)])
}

fn drawn_ends(shape: &Shape, fills_from: f64) -> Ends {
    match shape {
        Shape::Manual => Ends::None,
        Shape::Lines(lines) => {
            let paths: Vec<&Polyline> = lines.paths.iter().filter(|p| p.x.len() > 1).collect();
            match paths.as_slice() {
                [one] if one.closed => Ends::Round,
                [one] => line_ends(one).map_or(Ends::None, Ends::Opposite),
                several => {
                    let ends = several.iter().copied().filter_map(line_ends);
                    Ends::Some(ends.flatten().collect())
                }
            }
        }
        Shape::Region(region) => {
            let area = region.to_multi_polygon();
            if measure::holds_circle(&area, fills_from / 2.0) {
                return Ends::Free;
            }
            let axis = medial_axis(&area, Pruning::default());
            match column_ends(&axis) {
                ends if !ends.is_empty() => Ends::Some(ends),
                // Of several rings the thread ends on another than it began on.
                _ if axis.branches.is_empty() || area.0.len() > 1 => Ends::Free,
                _ => Ends::Round,
            }
        }
    }
}

fn line_ends(path: &Polyline) -> Option<[Coord<f64>; 2]> {
    let first = path.corners().next()?;
    let last = if path.closed {
        first
    } else {
        path.corners().next_back()?
    };
    Some([first, last])
}

/// Where the columns of a satin region end: the free ends of its medial axis, lengthened to its edge;
/// nothing for a ring.
fn column_ends(axis: &MedialAxis) -> Vec<Coord<f64>> {
    let free = axis.nodes.iter().filter(|node| node.ends.len() < 2);
    free.map(|node| tip(axis, node)).collect()
}

/// Where the edge is met by the axis, lengthened straight on beyond its free end `node`. The middle of a
/// part as round as a disc, whose axis has no direction.
fn tip(axis: &MedialAxis, node: &Node) -> Coord<f64> {
    let Some(back) = back_along(axis, node) else {
        return node.at;
    };
    let away = distance(node.at, back);
    // Farther away lies an edge that the axis does not lead to: that of another arm.
    let reach = 2.0 * node.radius;
    let to = node.at + (node.at - back) * (reach / away);
    let edges = axis.rings.iter().flat_map(|ring| ring.corners().windows(2));
    let met = edges.filter_map(|edge| {
        let &[a, b] = edge else { return None };
        first_meeting([node.at, to], [a, b])
    });
    let nearest = met.min_by(f64::total_cmp);
    nearest.map_or(node.at, |share| node.at + (to - node.at) * share)
}

/// A place on the axis about as far from its free end `node` as the edge is.
fn back_along(axis: &MedialAxis, node: &Node) -> Option<Coord<f64>> {
    let end = node.ends.first()?;
    let places = &axis.branches.get(end.branch)?.places;
    let far_enough = |place: &Coord<f64>| distance(*place, node.at) >= node.radius;
    let places = places.iter().map(|place| place.at);
    let (back, farthest) = if end.last {
        let far = places.clone().rev().find(far_enough);
        (far, places.clone().next())
    } else {
        (places.clone().find(far_enough), places.clone().next_back())
    };
    back.or(farthest)
        .filter(|back| distance(*back, node.at) > 1e-6)
}

/// How far along `way`, as a share of it, it meets `edge`.
fn first_meeting(way: [Coord<f64>; 2], edge: [Coord<f64>; 2]) -> Option<f64> {
    let [on_way, on_edge] = crossing((way[0], way[1] - way[0]), (edge[0], edge[1] - edge[0]))?;
    let meets = (0.0..=1.0).contains(&on_way) && (0.0..=1.0).contains(&on_edge);
    meets.then_some(on_way)
}

fn lines(shape: &Shape) -> Vec<LineString<f64>> {
    let finite = |line: &LineString<f64>| {
        line.0.len() > 1 && line.0.iter().all(|c| c.x.is_finite() && c.y.is_finite())
    };
    let drawn: Vec<LineString<f64>> = match shape {
        Shape::Manual => Vec::new(),
        Shape::Lines(lines) => lines.paths.iter().map(Polyline::to_line_string).collect(),
        Shape::Region(region) => {
            let rings = region.polygons.iter();
            rings
                .flat_map(|polygon| [&polygon.outer].into_iter().chain(&polygon.holes))
                .map(Polyline::to_line_string)
                .collect()
        }
    };
    drawn.into_iter().filter(finite).collect()
}

fn places(lines: &[LineString<f64>]) -> Vec<Coord<f64>> {
    let whole: f64 = lines.iter().map(measure::length).sum();
    let step = STEP.max(whole / MOST_PLACES as f64);
    let mut places = Vec::new();
    for line in lines {
        let measured = Measured::new(line.0.clone());
        let steps = (measured.length() / step)
            .ceil()
            .clamp(1.0, MOST_PLACES as f64) as usize;
        for i in 0..steps {
            places.push(measured.place(measured.length() * i as f64 / steps as f64));
        }
        if !line.is_closed() {
            places.extend(line.0.last().copied());
        }
    }
    places
}
