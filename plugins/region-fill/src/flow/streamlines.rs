//! Evenly spaced streamlines of a field.
//!
//! After B. Jobard and W. Lefer, "Creating evenly-spaced streamlines of arbitrary density",
//! Visualization in Scientific Computing 1997: new lines begin beside those laid already, and end
//! where they come too near to one. A line begins in the middle of a gap that has become wide
//! enough for it as well, so that spreading lines stay as dense as others.

use crate::flow::field::Field;
use crate::flow::samples::{Samples, Stretch};
use crate::straight::style::Style;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{BoundingRect, Coord, Polygon};
use hoopwright_sdk::geometry::measure::{distance, dot, reach};

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

/// No more samples than this. Measured in the sandbox at four fifths of it, on 300 x 300 mm: under 46,000
/// of the usual 50,000 million units of work, and under 240 of the usual 512 MiB.
pub const MOST_SAMPLES: usize = 6_000_000;

/// A line of the cover: places from end to end, half a pitch apart, but closer at the ends.
#[derive(Clone, Debug)]
pub struct Line {
    /// Where its places lie among the samples.
    stretch: Stretch,
    /// How many places it has behind its seed.
    behind: usize,
    /// Its number, counted across the flow, which staggers its needle points.
    pub number: usize,
    /// How far along the flow the first point lies, in mm, counted alike in neighbouring lines.
    pub along: f64,
    /// Whether the first and the last place lie on the region's edge.
    pub at_edge: [bool; 2],
}

impl Line {
    /// How many places it has, at least one.
    pub fn count(&self) -> usize {
        self.behind + 1 + self.stretch.ahead
    }

    /// The sample of a place.
    fn sample(&self, place: usize) -> usize {
        let Stretch { first, ahead, .. } = self.stretch;
        match place.checked_sub(self.behind) {
            Some(on) => first + on,
            None => first + ahead + (self.behind - place),
        }
    }
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
    edges: &'a EdgeGrid,
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
        edges: &'a EdgeGrid,
        pitch: f64,
        style: Style,
        mut places: Vec<Coord<f64>>,
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
            // What is crowded once stays so.
            places.retain(|&place| {
                if all.samples.crowded(place, pitch * 0.95, None) {
                    return false;
                }
                let Some(dir) = field.at(place) else {
                    return false;
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
                true
            });
        }
        // Where it has come to the most, part of the region is bare.
        (all.samples.count() < MOST_SAMPLES).then_some(all)
    }

    /// The place, in its line, of a sample that [`Samples::around`] found.
    pub fn place(&self, line: usize, sample: usize) -> usize {
        let line = &self.lines[line];
        let place = line.behind as i64 + i64::from(line.stretch.place(sample));
        place.max(0) as usize
    }

    /// The sample of a place of a line.
    pub fn sample(&self, line: usize, place: usize) -> usize {
        self.lines[line].sample(place)
    }

    /// A place of a line.
    pub fn point(&self, line: usize, place: usize) -> Coord<f64> {
        self.samples.at(self.lines[line].sample(place))
    }

    /// The places of a line from one to another, both included, whichever comes first along it.
    pub fn points(&self, line: usize, from: usize, to: usize) -> Vec<Coord<f64>> {
        let point = |place| self.point(line, place);
        if from <= to {
            (from..=to).map(point).collect()
        } else {
            (to..=from).rev().map(point).collect()
        }
    }

    /// Lays lines beside a line, wherever there is room.
    fn spread(&mut self, spread: usize) {
        let line = self.lines[spread].clone();
        let spacing = self.samples.spacing;
        let count = line.count();
        // Rays from where they are nearest to the centre; others from the middle.
        let first = match self.field {
            Field::Rays(centre) => self.nearest_place(spread, *centre),
            Field::Blend(_) => count / 2,
        };
        let places = (first..count).step_by(2).chain((0..first).rev().step_by(2));
        for i in places {
            // From the edge itself, a step aside may lead out.
            if (i == 0 && line.at_edge[0]) || (i + 1 == count && line.at_edge[1]) {
                continue;
            }
            let Some((at, dir)) = self.direction(spread, i) else {
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
        let edge = self.edges.first_meeting(at, at + across * reach);
        let edge = edge.map(|fraction| fraction * reach);
        // With no edge about, a gap no wider than this has no room for another line.
        let enough = if edge.is_none() { GAP * pitch } else { 0.0 };
        let gap = self.samples.gap(at, across, reach, enough);
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
        if !self.edges.contains(seed.at) || self.edges.edge_lies_within(seed.at, ON_EDGE) {
            return;
        }
        let before = self.samples.count();
        let number = self.lines.len() as u32;
        let Some(dir) = self.field.along(seed.at, seed.dir) else {
            return;
        };
        self.samples.push(seed.at, dir, number);
        let mut stretch = Stretch {
            line: number,
            first: before,
            ahead: usize::MAX,
        };
        let ends_at_edge = self.trace(seed.at, dir, 1, stretch);
        stretch.ahead = self.samples.count() - before - 1;
        let begins_at_edge = self.trace(seed.at, dir * -1.0, -1, stretch);
        let behind = self.samples.count() - before - 1 - stretch.ahead;
        self.lines.push(Line {
            stretch,
            behind,
            number: seed.number,
            along: seed.along - behind as f64 * self.samples.spacing,
            at_edge: [begins_at_edge, ends_at_edge],
        });
        if self.is_shorter(number as usize, shortest) {
            self.lines.pop();
            self.samples.shrink(before);
        }
    }

    /// Whether a line is shorter than so many mm.
    fn is_shorter(&self, line: usize, than: f64) -> bool {
        let count = self.lines[line].count();
        // Most are seen to be longer without measuring.
        if count as f64 * self.samples.spacing > than + 1.0 {
            return false;
        }
        let steps = (1..count).map(|i| distance(self.point(line, i - 1), self.point(line, i)));
        steps.sum::<f64>() < than
    }

    /// Adds the samples of a line from a place on, without it, and tells whether it ends on the edge. By
    /// the midpoint method, whose error over a whole line is far below a thread's width.
    fn trace(&mut self, from: Coord<f64>, dir: Coord<f64>, way: i32, own: Stretch) -> bool {
        let (mut at, mut dir) = (from, dir);
        let step = self.samples.spacing;
        let mut place = 0;
        while self.samples.count() < MOST_SAMPLES {
            let Some(middle) = self.field.along(at + dir * (step / 2.0), dir) else {
                break;
            };
            // A singular place of the field: the line would turn on the spot.
            if dot(middle, dir) < 0.7 {
                break;
            }
            let next = at + middle * step;
            if let Some(fraction) = self.edges.first_meeting(at, next) {
                self.samples.push_end(at + (next - at) * fraction, own.line);
                return true;
            }
            place += way;
            // Through a gap that rounding has left in the edge: nothing farther out would stop it.
            if !self.edges.contains(next) {
                break;
            }
            if self
                .samples
                .crowded(next, self.pitch * NEAREST, Some((own, place)))
            {
                break;
            }
            self.samples.push(next, middle, own.line);
            (at, dir) = (next, middle);
        }
        false
    }

    /// The place of a line that lies nearest to `to`.
    fn nearest_place(&self, line: usize, to: Coord<f64>) -> usize {
        let away = |place: &usize| distance(self.point(line, *place), to);
        (0..self.lines[line].count())
            .min_by(|a, b| away(a).total_cmp(&away(b)))
            .unwrap_or(0)
    }

    /// A place of a line and the line's direction there.
    fn direction(&self, line: usize, place: usize) -> Option<(Coord<f64>, Coord<f64>)> {
        let last = self.lines[line].count() - 1;
        let from = self.point(line, place.saturating_sub(1));
        let along = self.point(line, (place + 1).min(last)) - from;
        let length = reach(along);
        (length > 1e-9).then(|| (self.point(line, place), along / length))
    }
}

/// Numbers that fill 0 to 1 evenly (multiples of the golden ratio).
fn golden(number: usize) -> f64 {
    (number as f64 * 0.618_033_988_749_895).fract()
}
