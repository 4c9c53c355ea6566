//! Lines that follow a direction field: evenly spaced streamlines.
//!
//! [`field`] says which way the lines run, as [`blend`] spreads it from direction marks; [`streamlines`]
//! lays them evenly ([`samples`] finds their neighbours); [`stringing`] makes
//! [`chains`] of them, end to end; [`beside`] finds which lie side by side, and [`order`] says which
//! comes next; [`lay`] sets the needle points, and [`ways`] finds travel under later cover.
//!
//! A sheet as large as a hoop has some five million places along its lines. So each is kept once, among
//! the [`samples`], a line is a stretch of them, and what is made of a line is made of one at a time.

mod beside;
mod blend;
mod chains;
mod field;
mod lay;
mod manner;
mod order;
mod samples;
mod streamlines;
mod stringing;
mod ways;

use crate::Follow;
use crate::ground::Ground;
use crate::recipe::Recipe;
use crate::seam::Seam;
use crate::straight::style::Style;
use blend::Blend;
use chains::Chains;
use field::Field;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{Area, BoundingRect, Centroid, Contains, Coord, Polygon};
use hoopwright_sdk::geometry::measure::{distance, largest_circle};
use lay::Laying;
use streamlines::{MOST_SAMPLES, Streamlines};
use ways::Ways;

/// Smaller regions, in mm², are sewn in straight rows.
const SMALLEST: f64 = 4.0;

/// Narrower regions, in mm, are sewn in straight rows.
const NARROWEST: f64 = 1.0;

/// No line begins in a narrower span, in mm: a scan line through a corner leaves such.
const NARROWEST_SPAN: f64 = 1e-3;

/// So many times as many samples as area and pitch give may be needed, where lines close up.
const CLOSER: f64 = 1.25;

/// Why a polygon is sewn in straight rows instead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Straight {
    /// There is nothing to follow.
    Unmarked,
    /// It is so small or thin that no line would bend.
    Small,
    /// It is so large that the lines take too much memory and work.
    Large,
}

/// Sews the cover of `polygon` from where `seam` ends, or from near `start`, to near `finish`.
///
/// # Errors
/// Where straight rows are to be sewn instead: then nothing is sewn.
pub fn sew(
    polygon: &Polygon<f64>,
    ground: &Ground,
    recipe: &Recipe,
    style: &Style,
    start: Option<Coord<f64>>,
    finish: Option<Coord<f64>>,
    seam: &mut Seam,
) -> Result<(), Straight> {
    let (lines_field, edges) = field_of(polygon, recipe)?;
    let places = places(ground, recipe.pitch, middle(polygon, &lines_field));
    let pitch = recipe.pitch;
    let lines = Streamlines::new(polygon, &lines_field, &edges, pitch, *style, places)
        .ok_or(Straight::Large)?;
    let first = finish.or(start).or_else(|| far_end(&lines));
    let first = first.ok_or(Straight::Small)?;
    let chains = Chains::new(&lines, &edges, first, finish.is_some());
    let bounds = polygon.bounding_rect().ok_or(Straight::Small)?;
    let runs = order::order(&lines, &chains, &edges, start, finish);
    let mut ways = Ways::new(bounds, &lines, &edges);
    let laying = Laying {
        edges: &edges,
        ground,
        lines: &lines,
        recipe,
        style: style.leaning(recipe.pitch),
    };
    laying.sew(&runs, &mut ways, seam);
    Ok(())
}

/// The field to follow, or why there is none.
fn field_of(polygon: &Polygon<f64>, recipe: &Recipe) -> Result<(Field, EdgeGrid), Straight> {
    if recipe.follow == Follow::Marks && recipe.marks.is_empty() {
        return Err(Straight::Unmarked);
    }
    let area = polygon.unsigned_area();
    let bounds = polygon.bounding_rect().ok_or(Straight::Small)?;
    let narrowest = bounds.width().min(bounds.height());
    if area < SMALLEST || narrowest < NARROWEST {
        return Err(Straight::Small);
    }
    let samples = 2.0 * area / (recipe.pitch * recipe.pitch);
    if samples * CLOSER > MOST_SAMPLES as f64 {
        return Err(Straight::Large);
    }
    let field = match recipe.follow {
        Follow::Centre => {
            let centre = recipe.marks.first().map(|mark| mark[0]);
            let centre = centre.or_else(|| centre_of(polygon));
            Field::Rays(centre.ok_or(Straight::Small)?)
        }
        _ => Field::Blend(Blend::new(polygon, &recipe.marks).ok_or(Straight::Unmarked)?),
    };
    Ok((field, EdgeGrid::new(&polygon.clone().into())))
}

/// The middle of a region: its centre of mass, be it in a hole; where that lies outside, the middle
/// of the largest circle inside.
fn centre_of(polygon: &Polygon<f64>) -> Option<Coord<f64>> {
    let filled = Polygon::new(polygon.exterior().clone(), vec![]);
    match polygon.centroid() {
        Some(centre) if filled.contains(&centre) => Some(centre.0),
        _ => largest_circle(&polygon.clone().into(), 0.05).map(|circle| circle.centre),
    }
}

/// Where the lines begin to be laid.
fn middle(polygon: &Polygon<f64>, field: &Field) -> Coord<f64> {
    match field {
        Field::Rays(centre) => *centre,
        Field::Blend(_) => polygon
            .centroid()
            .map_or(Coord { x: 0.0, y: 0.0 }, |centre| centre.0),
    }
}

/// Places all over the region, no farther apart than the pitch, the nearest to `first` first.
fn places(ground: &Ground, pitch: f64, first: Coord<f64>) -> Vec<Coord<f64>> {
    let mut places = Vec::new();
    for span in ground.rows.spans() {
        let (y, width) = (ground.rows.y(span.row), span.right - span.left);
        if width < NARROWEST_SPAN {
            continue;
        }
        let count = (width / pitch).ceil().max(1.0);
        for i in 0..count as usize {
            let x = span.left + width * (i as f64 + 0.5) / count;
            places.push(ground.frame.leave(Coord { x, y }));
        }
    }
    // By rings a little wider than the pitch, so that it takes no time to speak of.
    places.sort_by_cached_key(|&place| (distance(place, first) / (0.5 * pitch)) as u64);
    places
}

/// An end far from the middle, to begin at where it does not matter.
fn far_end(lines: &Streamlines) -> Option<Coord<f64>> {
    let lengths = lines.lines.iter().map(streamlines::Line::count);
    let ends = lengths
        .enumerate()
        .flat_map(|(line, count)| [0, count - 1].map(|place| lines.point(line, place)));
    ends.min_by(|a, b| (a.x + a.y).total_cmp(&(b.x + b.y)))
}
