//! Evenly spaced streamlines of a field.
//!
//! After B. Jobard and W. Lefer, "Creating evenly-spaced streamlines of arbitrary density",
//! Visualization in Scientific Computing 1997: new lines begin beside those laid already, and end
//! where they come too near to one. A line begins in the middle of a gap that has become wide
//! enough for it as well, so that spreading lines stay as dense as others.

use crate::flow::edges::Edges;
use crate::flow::field::Field;
use crate::flow::samples::{Sample, Samples};
use crate::straight::style::Style;
use hoopwright_sdk::geometry::geo::{BoundingRect, Coord, Polygon};
use hoopwright_sdk::geometry::measure::distance;

/// A line ends where another comes nearer than this, in pitches. With the insertion at twice this
/// or more, the spacing swings evenly about the pitch: by the square root of two either way.
const NEAREST: f64 = 0.66;

/// A gap between lines takes another line from this width on, in pitches; the widest are wider by
/// [`GAP_SPREAD`], differing from gap to gap, so that lines do not all begin side by side.
const GAP: f64 = 1.38;
const GAP_SPREAD: f64 = 0.2;

/// The strip left at an edge takes another line from this width on, in pitches.
const STRIP: f64 = 1.0;

/// Shorter lines are left out, in mm, save where the cloth would show.
const SHORTEST: f64 = 1.5;

/// Where the cloth would show, lines this short are kept, in mm.
const SHORTEST_NEEDED: f64 = 0.2;

/// Nearer to the edge than this, in mm, no line begins: rounding cannot tell on which side.
const ON_EDGE: f64 = 1e-6;

/// No more samples than this. Measured in the sandbox at three quarters of it, with up to 400 holes:
/// under 33,000 of the usual 50,000 million units of work, and under 400 of the usual 512 MiB.
pub const MOST_SAMPLES: usize = 1_500_000;

/// A line of the cover.
#[derive(Clone, Debug)]
pub struct Line {
    /// From end to end, half a pitch apart, but closer at the ends.
    pub points: Vec<Coord<f64>>,
    /// The place, in `points`, that its samples are counted from.
    pub seed: usize,
    /// Its number, counted across the flow, which staggers its needle points.
    pub number: usize,
    /// How far along the flow the first point lies, in mm, counted alike in neighbouring lines.
    pub along: f64,
    /// Whether the first and the last point lie on the region's edge.
    pub at_edge: [bool; 2],
}

/// Where a line begins.
struct Seed {
    at: Coord<f64>,
    /// The direction to count along.
    dir: Coord<f64>,
    number: usize,
    along: f64,
}

/// The lines being laid over a region.
pub struct Streamlines<'a> {
    field: &'a Field,
    edges: &'a Edges,
    pitch: f64,
    style: Style,
    /// Places along the lines.
    pub samples: Samples,
    /// All lines.
    pub lines: Vec<Line>,
}

impl<'a> Streamlines<'a> {
    /// Covers `polygon` with lines of `field` about `pitch` mm apart. `places` are places inside
    /// it, no farther apart than that: the first ones are where to begin. Nothing comes back where
    /// that takes more than [`MOST_SAMPLES`].
    pub fn new(
        polygon: &Polygon<f64>,
        field: &'a Field,
        edges: &'a Edges,
        pitch: f64,
        style: Style,
        places: &[Coord<f64>],
    ) -> Option<Self> {
        let mut all = Self {
            field,
            edges,
            pitch,
            style,
            samples: Samples::new(polygon.bounding_rect()?, pitch),
            lines: Vec::new(),
        };
        let mut spread = 0;
        for shortest in [SHORTEST, SHORTEST_NEEDED] {
            for &place in places {
                if all.samples.crowded(place, pitch * 0.95, None) {
                    continue;
                }
                let Some(dir) = field.at(place) else {
                    continue;
                };
                let seed = Seed {
                    at: place,
                    dir,
                    number: 0,
                    along: 0.0,
                };
                all.lay(&seed, shortest);
                while spread < all.lines.len() && all.samples.count() < MOST_SAMPLES {
                    all.spread(spread);
                    spread += 1;
                }
            }
        }
        // Where it has come to the most, part of the region is bare.
        (all.samples.count() < MOST_SAMPLES).then_some(all)
    }

    /// The place of a sample in its line's points.
    pub fn index(&self, sample: &Sample) -> usize {
        let line = &self.lines[sample.line as usize];
        let place = line.seed as i64 + i64::from(sample.place);
        (place.max(0) as usize).min(line.points.len() - 1)
    }

    /// Lays lines beside a line, wherever there is room.
    fn spread(&mut self, line: usize) {
        let line = self.lines[line].clone();
        let spacing = self.samples.spacing;
        let count = line.points.len();
        // Rays from where they are nearest to the centre; others from the middle.
        let first = match self.field {
            Field::Rays(centre) => nearest_point(&line.points, *centre),
            Field::Blend(_) => count / 2,
        };
        let places = (first..count).step_by(2).chain((0..first).rev().step_by(2));
        for i in places {
            // From the edge itself, a step aside may lead out.
            if (i == 0 && line.at_edge[0]) || (i + 1 == count && line.at_edge[1]) {
                continue;
            }
            let Some((at, dir)) = direction(&line.points, i) else {
                continue;
            };
            let along = line.along + i as f64 * spacing;
            for side in [1, -1] {
                let across = Coord {
                    x: dir.y,
                    y: -dir.x,
                } * f64::from(side);
                let Some((away, beyond)) = self.room(at, across) else {
                    continue;
                };
                let seed = Seed {
                    at: at + across * away,
                    dir,
                    number: self.between(line.number, side, beyond),
                    along,
                };
                if !self
                    .samples
                    .crowded(seed.at, self.pitch * (NEAREST + 0.02), None)
                {
                    self.lay(&seed, SHORTEST);
                }
            }
        }
    }

    /// The number of a line beside the one with the number `beside`, and before the line `beyond`.
    fn between(&self, beside: usize, side: i32, beyond: Option<u32>) -> usize {
        let stagger = self.style.stagger;
        let next = if side > 0 {
            (beside + 1) % stagger
        } else {
            (beside + stagger - 1) % stagger
        };
        let Some(beyond) = beyond.map(|line| self.lines[line as usize].number) else {
            return next;
        };
        // Where two fronts meet, the counts do not: take what lies farthest from both.
        let apart = |a: usize, b: usize| {
            let apart = (self.style.shift(a) - self.style.shift(b)).abs();
            apart.min(self.style.longest - apart)
        };
        let spread = |number: &usize| apart(*number, beside).min(apart(*number, beyond));
        (0..stagger)
            .max_by(|a, b| spread(a).total_cmp(&spread(b)))
            .unwrap_or(next)
    }

    /// How far across from a place on a line the next line can begin, if there is room for one,
    /// and the line beyond.
    fn room(&self, at: Coord<f64>, across: Coord<f64>) -> Option<(f64, Option<u32>)> {
        let pitch = self.pitch;
        let reach = 2.2 * pitch;
        let gap = self.samples.gap(at, across, reach);
        let edge = self.edges.hit(at, at + across * reach);
        let edge = edge.map(|fraction| fraction * reach);
        match (gap, edge) {
            (Some((gap, line)), edge) if edge.is_none_or(|edge| gap < edge) => {
                let wide = GAP + GAP_SPREAD * golden(self.lines.len());
                (gap > wide * pitch).then_some((gap / 2.0, Some(line)))
            }
            (_, Some(edge)) => {
                (edge > STRIP * pitch).then(|| ((edge - 0.3 * pitch).min(pitch), None))
            }
            (_, None) => Some((pitch, None)),
        }
    }

    /// Lays the line through a seed, unless that is not inside, or the line shorter than `shortest`
    /// mm.
    fn lay(&mut self, seed: &Seed, shortest: f64) {
        if !self.edges.holds(seed.at) || self.edges.near(seed.at, ON_EDGE) {
            return;
        }
        let before = self.samples.count();
        let number = self.lines.len() as u32;
        let Some(dir) = self.field.along(seed.at, seed.dir) else {
            return;
        };
        self.samples.push(Sample {
            at: seed.at,
            dir,
            line: number,
            place: 0,
        });
        let (forward, ends_at_edge) = self.trace(seed.at, dir, 1, number);
        let (mut points, begins_at_edge) = self.trace(seed.at, dir * -1.0, -1, number);
        let behind = points.len();
        points.reverse();
        points.push(seed.at);
        points.extend(forward);
        let length: f64 = points
            .windows(2)
            .map(|pair| distance(pair[0], pair[1]))
            .sum();
        if length < shortest {
            self.samples.shrink(before);
            return;
        }
        self.lines.push(Line {
            points,
            seed: behind,
            number: seed.number,
            along: seed.along - behind as f64 * self.samples.spacing,
            at_edge: [begins_at_edge, ends_at_edge],
        });
    }

    /// The line from a place on, without it, and whether it ends on the edge. By the midpoint
    /// method, whose error over a whole line is far below a thread's width.
    fn trace(
        &mut self,
        from: Coord<f64>,
        dir: Coord<f64>,
        way: i32,
        number: u32,
    ) -> (Vec<Coord<f64>>, bool) {
        let (mut at, mut dir) = (from, dir);
        let step = self.samples.spacing;
        let mut points = Vec::new();
        let mut place = 0;
        while self.samples.count() < MOST_SAMPLES {
            let Some(middle) = self.field.along(at + dir * (step / 2.0), dir) else {
                break;
            };
            // A singular place of the field: the line would turn on the spot.
            if middle.x * dir.x + middle.y * dir.y < 0.7 {
                break;
            }
            let next = at + middle * step;
            if let Some(fraction) = self.edges.hit(at, next) {
                points.push(at + (next - at) * fraction);
                return (points, true);
            }
            place += way;
            // Through a gap that rounding has left in the edge: nothing farther out would stop it.
            if !self.edges.holds(next) {
                break;
            }
            if self
                .samples
                .crowded(next, self.pitch * NEAREST, Some((number, place)))
            {
                break;
            }
            points.push(next);
            self.samples.push(Sample {
                at: next,
                dir: middle,
                line: number,
                place,
            });
            (at, dir) = (next, middle);
        }
        (points, false)
    }
}

fn nearest_point(points: &[Coord<f64>], to: Coord<f64>) -> usize {
    let away = |i: &usize| distance(points[*i], to);
    (0..points.len())
        .min_by(|a, b| away(a).total_cmp(&away(b)))
        .unwrap_or(0)
}

/// A place of a line and the line's direction there.
fn direction(points: &[Coord<f64>], i: usize) -> Option<(Coord<f64>, Coord<f64>)> {
    let (from, to) = (
        points[i.saturating_sub(1)],
        points[(i + 1).min(points.len() - 1)],
    );
    let along = to - from;
    let length = (along.x * along.x + along.y * along.y).sqrt();
    (length > 1e-9).then(|| (points[i], along / length))
}

/// Numbers that fill 0 to 1 evenly (multiples of the golden ratio).
fn golden(number: usize) -> f64 {
    (number as f64 * 0.618_033_988_749_895).fract()
}
