//! Needle points along the lines, in their order.

use crate::flow::chains::{Run, turn};

use crate::flow::streamlines::Streamlines;
use crate::flow::ways::Ways;
use crate::ground::Ground;
use crate::ground::route::route;
use crate::recipe::Recipe;
use crate::seam::Seam;
use crate::straight::style::Style;
use hoopwright_sdk::StitchRole;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::{cross, distance, dot, way_length};
use hoopwright_sdk::geometry::measured::Measured;

/// On bends, stitches are shortened until they keep this near to the line, in mm.
const STRAY: f64 = 0.1;

/// A way is not made simpler where that leaves so much more of it uncovered, in mm.
const MORE_BARE: f64 = 0.5;

/// What the laying of lines needs to know.
pub struct Laying<'a> {
    /// The region's edges.
    pub edges: &'a EdgeGrid,
    /// The region.
    pub ground: &'a Ground,
    /// The lines.
    pub lines: &'a Streamlines<'a>,
    /// All numbers of the fill.
    pub recipe: &'a Recipe,
    /// How lines are sewn.
    pub style: Style,
}

/// A run as it is sewn.
struct Path {
    /// With pull compensation; none once it is sewn.
    points: Vec<Coord<f64>>,
    /// How far along the flow it begins, in mm, and whether that grows or falls.
    along: f64,
    way: f64,
    number: usize,
    /// A little inside its two ends.
    inner: [Coord<f64>; 2],
    /// Whether it begins at the last needle point of the one before.
    merged: bool,
    /// The run itself.
    run: Run,
}

impl Laying<'_> {
    /// Lays `runs` in order, from where `seam` ends.
    pub fn sew(&self, runs: &[Run], ways: &mut Ways, seam: &mut Seam) {
        let long = 2.0 * self.style.shortest;
        let wide = self
            .paths(runs)
            .any(|path| way_length(&path.points) >= long);
        let mut before: Option<Path> = None;
        for mut path in self.paths(runs) {
            if !path.merged {
                self.lead(before.as_ref(), &path, ways, seam);
                seam.needle(path.points[0], self.style.role);
            }
            let line = Measured::new(std::mem::take(&mut path.points));
            for at in self.needles(&path, &line) {
                seam.needle(at, self.style.role);
            }
            let end = line.place(line.length());
            if wide && line.length() < self.style.shortest {
                seam.needle_near(end, self.style.role);
            } else {
                seam.needle(end, self.style.role);
            }
            ways.sew(&path.run);
            before = Some(path);
        }
    }

    /// The runs as they are sewn, one at a time, since all their places at once fill the memory.
    fn paths<'b>(&'b self, runs: &'b [Run]) -> impl Iterator<Item = Path> + 'b {
        let mut runs = runs.iter();
        let mut next = runs.next().map(|&run| self.path(run));
        std::iter::from_fn(move || {
            let mut path = next.take()?;
            next = runs.next().map(|&run| self.path(run));
            if let Some(after) = &mut next {
                self.merge(&mut path, after);
            }
            Some(path)
        })
    }

    /// A run with its ends moved out by the pull compensation where they lie on the edge.
    fn path(&self, run: Run) -> Path {
        let line = &self.lines.lines[run.line];
        let mut points = run.points(self.lines);
        let spacing = self.lines.samples.spacing;
        let inner = [
            points[2.min(points.len() - 1)],
            points[points.len().saturating_sub(3)],
        ];
        let way = if run.from <= run.to { 1.0 } else { -1.0 };
        let mut along = line.along + run.from as f64 * spacing;
        if run.reversed().ends_at_edge(self.lines)
            && let Some(out) = self.outward(points[0], inner[0])
        {
            along -= way * distance(points[0], out);
            points[0] = out;
        }
        let last = points.len() - 1;
        if run.ends_at_edge(self.lines)
            && let Some(out) = self.outward(points[last], inner[1])
        {
            points[last] = out;
        }
        Path {
            points,
            along,
            way,
            number: line.number,
            inner,
            merged: false,
            run,
        }
    }

    /// Where a line that ends on the edge at `end` is sewn to: no farther than half way to an edge
    /// beyond.
    fn outward(&self, end: Coord<f64>, inner: Coord<f64>) -> Option<Coord<f64>> {
        let long = distance(end, inner);
        let reach = self.style.reach;
        if long < 1e-6 || reach <= 0.0 {
            return None;
        }
        let out = (end - inner) / long;
        let beyond = self
            .edges
            .first_meeting(end + out * 0.01, end + out * (2.0 * reach))
            .map_or(1.0, |fraction| fraction.max(0.0));
        Some(end + out * (reach * beyond))
    }

    /// Where a path ends right beside the beginning of the next, the outer of the two places, or one
    /// between them, is the needle point of both: lines then meet the edge at every second one, which is how the
    /// trade measures density.
    fn merge(&self, before: &mut Path, after: &mut Path) {
        let last = before.points.len() - 1;
        let (end, begin) = (before.points[last], after.points[0]);
        let long = distance(end, begin);
        if long >= self.style.shortest
            || self
                .edges
                .first_meeting(before.inner[1], after.inner[0])
                .is_some()
        {
            return;
        }
        let out = end - before.points[last.saturating_sub(2)];
        let (step, reach) = (
            begin - end,
            distance(end, before.points[last.saturating_sub(2)]),
        );
        let across = cross(step, out).abs() / reach.max(1e-9);
        if across > 2.2 * self.recipe.pitch && long >= 0.6 {
            return;
        }
        let outward = dot(step, out) / reach.max(1e-9);
        let at = if outward.abs() < 0.5 * across {
            // On an edge square to the lines neither is the outer one: take the middle, or the
            // places would crowd by twos.
            (end + begin) / 2.0 + out / reach.max(1e-9) * (outward.abs() / 2.0)
        } else if outward > 0.0 {
            begin
        } else {
            end
        };
        let Some(&second) = after.points.get(1) else {
            // A line of one stitch place has nothing to lead on to.
            return;
        };
        after.along -= after.way * (distance(at, second) - distance(begin, second));
        before.points[last] = at;
        after.points[0] = at;
        after.merged = true;
    }

    /// The way to the beginning of a path: a turn along the edge, or a travel.
    fn lead(&self, before: Option<&Path>, path: &Path, ways: &mut Ways, seam: &mut Seam) {
        let Some(last) = seam.last() else {
            return;
        };
        let begin = path.points[0];
        let from = before.map_or(last, |before| before.inner[1]);
        let turns =
            before.is_some_and(|it| turn(self.lines, self.edges, it.run, path.run).is_some());
        if turns {
            let enter = |at| self.ground.frame.enter(at);
            let slack = self.style.reach + 0.1;
            if !self.ground.rows.allow(enter(last), enter(begin), slack) {
                seam.bend(from, self.style.role);
                seam.bend(path.inner[0], self.style.role);
            }
            return;
        }
        let way = ways
            .way(from, path.inner[0])
            .unwrap_or_else(|| self.route(from, path.inner[0]));
        // What lies right beside the needle points that it joins would make stitches too short.
        let beside = 0.7 * self.style.shortest;
        let mut places = way.as_slice();
        while let [first, second, ..] = *places
            && distance(first, last) < beside
            && self.edges.first_meeting(from, second).is_none()
            && ways.bare(&[last, second]) <= ways.bare(&[last, first, second]) + MORE_BARE
        {
            places = &places[1..];
        }
        while let [.., second, first] = *places
            && distance(first, begin) < beside
            && self.edges.first_meeting(path.inner[0], second).is_none()
            && ways.bare(&[second, begin]) <= ways.bare(&[second, first, begin]) + MORE_BARE
        {
            places = &places[..places.len() - 1];
        }
        for &at in places {
            seam.bend(at, StitchRole::Travel);
        }
    }

    /// A short way through the region, wherever its lines lie.
    fn route(&self, from: Coord<f64>, to: Coord<f64>) -> Vec<Coord<f64>> {
        let (from, to) = (self.ground.spot(from), self.ground.spot(to));
        let Some(links) = self.ground.way(from, to) else {
            return Vec::new();
        };
        let way = route(self.ground, from, &links, to);
        way.into_iter()
            .map(|at| self.ground.frame.leave(at))
            .collect()
    }

    /// The needle points between a path's ends. They lie on a grid of one stitch length along the
    /// flow, shifted from line to line; where the line bends, there are more.
    fn needles(&self, path: &Path, line: &Measured) -> Vec<Coord<f64>> {
        let total = line.length();
        // The ends themselves may lean to a neighbour.
        let lean = self.style.shortest / 2.0;
        let longest = self.style.longest;
        // On a bend the chord is shorter than the line.
        let shortest = 1.06 * self.style.shortest;
        // Where along the path the grid lies.
        let first = ((self.style.shift(path.number) - path.along) * path.way).rem_euclid(longest);
        let mut places = vec![0.0];
        let mut at = first;
        while at <= total - shortest {
            if at >= shortest {
                places.push(at);
            }
            at += longest;
        }
        places.push(total);
        let mut needles = Vec::new();
        for pair in places.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            let at_end = from == 0.0 || to == total;
            let most = if at_end {
                self.style.longest_at_end
            } else {
                longest
            };
            let enough = ((to - from) / most - 1e-9).ceil().max(1.0);
            let sag = line.sag(from.max(lean), to.min(total - lean));
            // The sag of an arc falls with the square of its length.
            let bent = (sag / STRAY).sqrt().ceil();
            let room = ((to - from) / shortest).floor().max(1.0);
            let parts = enough.max(bent.min(room)) as usize;
            for part in 1..parts {
                let at = from + (to - from) * part as f64 / parts as f64;
                needles.push(line.place(at));
            }
            if to < total {
                needles.push(line.place(to));
            }
        }
        needles
    }
}
