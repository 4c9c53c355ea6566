//! Lines that follow the outline inward, as connected spirals.
//!
//! The region's [`levels`] are rings at even depths, nested in one another. A [`tree`] of
//! neighbours joins them: rings that follow one another without a fork are wound into double
//! [`spiral`]s, and these are joined where they lie side by side ([`joint`]). Since each of them is
//! closed and two closed lines, each cut open and joined end to end, make one, the whole region
//! becomes one closed line ([`splice`]), whatever holes and arms it has; the [`needles`] go down
//! along it.
//!
//! No pull compensation is needed here: thread pulls the cloth together along the stitches, and
//! these run along the edge. The outermost line lies half a pitch inside the edge, so that the
//! thread's own width reaches it.

mod joint;
mod levels;
mod near;
mod needles;
mod relief;
mod spiral;
mod splice;
mod spur;
mod tree;
mod way;

use crate::ground::Ground;
use crate::ground::route::route;
use crate::recipe::Recipe;
use crate::seam::Seam;
use hoopwright_sdk::StitchRole;
use hoopwright_sdk::geometry::geo::{Coord, Polygon};
use hoopwright_sdk::geometry::measure::{distance, nearest_on};
use levels::Levels;
use splice::Splice;

/// A stitch that leaves its line may go this far beyond the region's edge, in mm.
const STRAY: f64 = 0.1;

/// Nearer than this the thread goes straight to the first line, in mm.
const BESIDE: f64 = 0.6;

/// Sews the cover of `polygon` from where `seam` ends, or from near `start`, to near `finish`.
///
/// The line is closed: it is opened near `finish`, and a travel under it leads there from the start.
pub fn sew(
    polygon: &Polygon<f64>,
    ground: &Ground,
    recipe: &Recipe,
    start: Option<Coord<f64>>,
    finish: Option<Coord<f64>>,
    seam: &mut Seam,
) {
    let start = seam.last().or(start);
    let opening = finish.or(start);
    let line = closed_line(polygon, recipe.pitch, opening);
    let line = opening.map_or(line.clone(), |place| opened(&line, place));
    let allow = |a, b| {
        let (a, b) = (ground.frame.enter(a), ground.frame.enter(b));
        ground.rows.allow(a, b, STRAY)
    };
    let (longest, shortest) = (recipe.limits.cover, recipe.limits.shortest);
    let mut points = needles::place(&line, longest, shortest, &allow);
    if points.len() < 2 {
        points = longest_stitch(polygon);
    }
    let Some(&first) = points.first() else {
        return;
    };
    if let Some(last) = seam.last().filter(|&last| distance(last, first) > BESIDE) {
        let (from, to) = (ground.spot(last), ground.spot(first));
        if let Some(way) = ground.way(from, to) {
            for at in route(ground, from, &way, to) {
                seam.bend(ground.frame.leave(at), StitchRole::Travel);
            }
        }
    }
    for at in points {
        seam.needle(at, StitchRole::Cover);
    }
}

/// One closed line through all of a polygon; nothing where it is smaller than a stitch.
fn closed_line(polygon: &Polygon<f64>, pitch: f64, opening: Option<Coord<f64>>) -> Vec<Coord<f64>> {
    let levels = Levels::new(polygon, pitch);
    let edges = tree::tree(&levels, pitch);
    let (chains, forks) = spiral::chains(levels.rings.len(), &edges);
    let mut splice = Splice::new(&levels.rings);
    for chain in &chains {
        spiral::wind(&levels.rings, chain, opening, &mut splice);
    }
    for edge in forks {
        joint::join(&levels.rings, edge, pitch, &mut splice);
    }
    for (layer, middle) in &levels.middles {
        spur::sew(&levels, *layer, middle, &mut splice);
    }
    splice.line()
}

/// A closed line, made to begin and end where it comes nearest to a place.
fn opened(line: &[Coord<f64>], place: Coord<f64>) -> Vec<Coord<f64>> {
    let nearest = line.windows(2).enumerate().map(|(i, edge)| {
        let at = nearest_on([edge[0], edge[1]], place);
        (distance(at, place), i, at)
    });
    let Some((_, edge, at)) = nearest.min_by(|a, b| a.0.total_cmp(&b.0)) else {
        return line.to_vec();
    };
    let mut opened = vec![at];
    opened.extend(&line[edge + 1..]);
    opened.extend(&line[1..=edge]);
    opened.push(at);
    opened.dedup();
    opened
}

/// One stitch across the smallest shapes, as long as they are.
fn longest_stitch(polygon: &Polygon<f64>) -> Vec<Coord<f64>> {
    /// In mm.
    const LEAST: f64 = 0.5;
    let corners = &polygon.exterior().0;
    let pairs = corners
        .iter()
        .enumerate()
        .flat_map(|(i, &a)| corners[..i].iter().map(move |&b| (a, b)));
    let longest = pairs.max_by(|p, q| distance(p.0, p.1).total_cmp(&distance(q.0, q.1)));
    let Some((a, b)) = longest else {
        return Vec::new();
    };
    let long = distance(a, b);
    let longer = (LEAST / long.max(1e-9)).clamp(1.0, 1.5);
    let (middle, half) = ((a + b) / 2.0, (b - a) / 2.0 * longer);
    vec![middle - half, middle + half]
}
