//! The triangles inside a region whose corners are samples of its edge.

use super::Foot;
use super::edge::{Sample, Sampling};
use crate::measure::{distance, nearest_on, to_edge};
use crate::measured::Ring;
use geo::Coord;
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};
use std::collections::VecDeque;

/// The coarsest distance between samples, in mm: finer than any stitch.
const COARSEST: f64 = 0.4;
/// The finest, in mm: half the machine's own step.
const FINEST: f64 = 0.05;
/// Samples lie no farther apart than this share of the region's width.
const SHARE_OF_WIDTH: f64 = 0.25;
/// However long the edge is, the first sampling adds no more places than this.
const MOST_ADDED: f64 = 20_000.0;
/// Rounds of finer sampling, each by four at most.
const REFINEMENTS: usize = 3;

/// The triangles inside a region.
pub(super) struct Triangles {
    pub samples: Vec<Sample>,
    pub all: Vec<Triangle>,
}

/// A triangle; its corners lie anticlockwise in coordinates.
pub(super) struct Triangle {
    /// Its corners, as places in the list of samples.
    pub corners: [usize; 3],
    /// The triangles beyond the sides; side i goes from corner i to the next. Nothing lies
    /// beyond the edge of the region.
    pub across: [Option<usize>; 3],
    /// The middle of the circle around it: a place of the axis.
    pub centre: Coord<f64>,
    /// The radius of that circle.
    pub radius: f64,
}

struct Corner {
    at: Point2<f64>,
    sample: usize,
}

impl HasPosition for Corner {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.at
    }
}

impl Triangles {
    /// The triangles inside `rings`, with the edge sampled finely enough everywhere.
    pub fn of(rings: &[Ring]) -> Self {
        let total: f64 = rings.iter().map(Ring::length).sum();
        let step = COARSEST.max(total / MOST_ADDED).min(total / 48.0);
        let mut sampling = Sampling::even(rings, step);
        let mut triangles = Self::triangulate(sampling.samples(rings));
        for _ in 0..REFINEMENTS {
            let parts = triangles.parts_needed();
            if parts.iter().all(|&parts| parts <= 1.0) {
                break;
            }
            sampling.refine(rings, &parts);
            triangles = Self::triangulate(sampling.samples(rings));
        }
        for place in 0..triangles.all.len() {
            triangles.set_circle(place);
        }
        triangles
    }

    fn triangulate(samples: Vec<Sample>) -> Self {
        let corners = samples
            .iter()
            .enumerate()
            .map(|(sample, place)| Corner {
                at: Point2::new(no_underflow(place.at.x), no_underflow(place.at.y)),
                sample,
            })
            .collect();
        let stretches = samples.iter().enumerate().map(|(i, s)| [i, s.next]);
        // A stretch that would cross another is left out; a cleaned region has none.
        let Ok(mesh) = ConstrainedDelaunayTriangulation::<Corner>::try_bulk_load_cdt(
            corners,
            stretches.collect(),
            |_| {},
        ) else {
            return Self {
                samples,
                all: Vec::new(),
            };
        };
        // Inside is where an odd number of stretches lies between a face and the outside.
        let mut inside: Vec<Option<bool>> = vec![None; mesh.num_all_faces()];
        let mut open = VecDeque::from([mesh.outer_face().fix()]);
        inside[mesh.outer_face().index()] = Some(false);
        let hull: Vec<_> = mesh.convex_hull().collect();
        for edge in hull {
            // One side of a hull edge is the outer face.
            for edge in [edge, edge.rev()] {
                if !edge.is_outer_edge() {
                    let face = edge.face();
                    inside[face.index()].get_or_insert(edge.as_undirected().is_constraint_edge());
                    open.push_back(face.fix());
                }
            }
        }
        while let Some(face) = open.pop_front() {
            let Some(face) = mesh.face(face).as_inner() else {
                continue;
            };
            let here = inside[face.index()] == Some(true);
            for edge in face.adjacent_edges() {
                let beyond = edge.rev().face();
                if inside[beyond.index()].is_none() {
                    inside[beyond.index()] =
                        Some(here != edge.as_undirected().is_constraint_edge());
                    open.push_back(beyond.fix());
                }
            }
        }
        let mut number = vec![None; inside.len()];
        let mut count = 0;
        for face in mesh.inner_faces() {
            if inside[face.index()] == Some(true) {
                number[face.index()] = Some(count);
                count += 1;
            }
        }
        let all = mesh
            .inner_faces()
            .filter(|face| number[face.index()].is_some())
            .map(|face| {
                let sides = face.adjacent_edges();
                Triangle {
                    corners: sides.map(|side| side.from().data().sample),
                    across: sides.map(|side| {
                        if side.as_undirected().is_constraint_edge() {
                            None
                        } else {
                            number[side.rev().face().index()]
                        }
                    }),
                    centre: Coord::zero(),
                    radius: 0.0,
                }
            })
            .collect();
        Self { samples, all }
    }

    /// Into how many parts the stretch after each sample should be divided.
    fn parts_needed(&self) -> Vec<f64> {
        let mut parts = vec![1.0; self.samples.len()];
        for triangle in &self.all {
            for side in 0..3 {
                let (a, b) = (triangle.corners[side], triangle.corners[(side + 1) % 3]);
                let apex = triangle.corners[(side + 2) % 3];
                let neighbours = [self.samples[a].previous, self.samples[b].next];
                // A corner's own triangle says nothing about the width.
                if triangle.across[side].is_some()
                    || self.samples[a].next != b
                    || neighbours.contains(&apex)
                {
                    continue;
                }
                let edge = [self.samples[a].at, self.samples[b].at];
                let width = to_edge(self.samples[apex].at, edge);
                let wanted = (SHARE_OF_WIDTH * width).max(FINEST);
                parts[a] = (distance(edge[0], edge[1]) / wanted).clamp(1.0, 4.0);
            }
        }
        parts
    }

    /// Finds the circle around a triangle, or a stand-in inside it where the edge is sampled too
    /// coarsely for the circle to be empty.
    fn set_circle(&mut self, place: usize) {
        let triangle = &self.all[place];
        let [a, b, c] = triangle.corners.map(|sample| self.samples[sample].at);
        let (u, v) = (b - a, c - a);
        let twice_area = u.x * v.y - u.y * v.x;
        let (uu, vv) = (u.x * u.x + u.y * u.y, v.x * v.x + v.y * v.y);
        let centre = a + Coord {
            x: (v.y * uu - u.y * vv) / (2.0 * twice_area),
            y: (u.x * vv - v.x * uu) / (2.0 * twice_area),
        };
        let radius = distance(centre, a);
        let nearest = triangle
            .corners
            .map(|sample| distance(self.foot_near(sample, centre).at, centre))
            .into_iter()
            .fold(f64::INFINITY, f64::min);
        let empty = radius.is_finite() && nearest >= 0.8 * radius;
        let (centre, radius) = if empty {
            (centre, nearest)
        } else {
            self.stand_in(place)
        };
        self.all[place].centre = centre;
        self.all[place].radius = radius;
    }

    /// The middle of the middles of the sides that cross the region, and half their mean length.
    fn stand_in(&self, place: usize) -> (Coord<f64>, f64) {
        let triangle = &self.all[place];
        let (mut sum, mut length, mut count) = (Coord::zero(), 0.0, 0.0);
        for side in 0..3 {
            if triangle.across[side].is_some() {
                let a = self.samples[triangle.corners[side]].at;
                let b = self.samples[triangle.corners[(side + 1) % 3]].at;
                sum = sum + (a + b) / 2.0;
                length += distance(a, b);
                count += 1.0;
            }
        }
        if count == 0.0 {
            let [a, b, c] = triangle.corners.map(|sample| self.samples[sample].at);
            return ((a + b + c) / 3.0, 0.0);
        }
        (sum / count, length / count / 2.0)
    }

    /// The place of the edge nearest to `p` on the two stretches that meet at `sample`.
    pub fn foot_near(&self, sample: usize, p: Coord<f64>) -> Foot {
        let here = self.samples[sample];
        let before = self.foot_between(here.previous, sample, p);
        let after = self.foot_between(sample, here.next, p);
        if distance(before.at, p) < distance(after.at, p) {
            before
        } else {
            after
        }
    }

    /// The place of the edge nearest to `p` between a sample and the next.
    pub fn foot_between(&self, from: usize, to: usize, p: Coord<f64>) -> Foot {
        let start = self.samples[from];
        let at = nearest_on([start.at, self.samples[to].at], p);
        Foot {
            at,
            ring: start.ring,
            along: start.along + distance(start.at, at),
        }
    }

    /// The inside angle of the edge at `sample`, in degrees.
    pub fn angle_at(&self, sample: usize) -> f64 {
        let here = self.samples[sample];
        let (u, v) = (
            self.samples[here.next].at - here.at,
            self.samples[here.previous].at - here.at,
        );
        let angle = (u.x * v.y - u.y * v.x).atan2(u.x * v.x + u.y * v.y);
        angle.to_degrees().rem_euclid(360.0)
    }

    /// The largest angle in degrees between the feet of the places of the axis between a
    /// triangle and the one beyond its side, as seen from the axis.
    pub fn separation(&self, place: usize, side: usize) -> f64 {
        let triangle = &self.all[place];
        let Some(beyond) = triangle.across[side] else {
            return 0.0;
        };
        let a = self.samples[triangle.corners[side]].at;
        let b = self.samples[triangle.corners[(side + 1) % 3]].at;
        let half = distance(a, b) / 2.0;
        // Where on the perpendicular through the middle of the side the two circles' middles
        // lie: the axis between them passes the side itself if the signs differ.
        let height = |p: Coord<f64>| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
        let (here, there) = (triangle.centre, self.all[beyond].centre);
        if height(here) * height(there) <= 0.0 {
            return 180.0;
        }
        let nearest = height(here).abs().min(height(there).abs()) / (2.0 * half);
        2.0 * half.atan2(nearest).to_degrees()
    }
}

/// The triangulation refuses numbers so small that their squares vanish.
fn no_underflow(value: f64) -> f64 {
    if value.abs() < 1e-9 { 0.0 } else { value }
}
