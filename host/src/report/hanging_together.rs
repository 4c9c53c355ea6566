//! What hangs together: the fewest runs of thread that a design can be sewn in.
//!
//! Within a block of objects of one thread, two pieces hang together where they touch, or where both
//! touch one connected piece of what is sewn later: a travel under it shows nowhere. A block needs a
//! cut for every further part; where threads change the machine cuts by itself. The same rule, with
//! geometry of its own, judges the open drawings: `tests/oracle/drawings/hanging.py`.

use super::needle_points::NeedlePoints;
use crate::design::hiding::LEAST_LINE;
use crate::design::{Object, Shape, THREAD_WIDTH};
use geo::{BoundingRect, Coord, Polygon, Rect};
use hoopwright_geometry::groups::Groups;
use hoopwright_geometry::measure::between_edges;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Pieces this near to each other touch, in mm: less than a thread's width.
const TOUCH: f64 = 0.3;
/// What adding and taking away coordinates costs, in mm.
const ROUNDING: f64 = 1e-9;
/// Pieces are looked up by squares of this side, in mm.
const SQUARE: f64 = 16.0;
/// Pieces larger than this, in mm, are held against all others instead.
const LARGE: f64 = 200.0;

/// A separate piece of what an object shows.
struct Piece {
    area: Polygon<f64>,
    bounds: Rect<f64>,
    /// The block it is sewn in.
    block: usize,
    /// Whether it hides what is sewn before.
    opaque: bool,
}

/// How many trims the parts of a design need at the least.
pub(super) fn fewest_trims(points: &NeedlePoints<'_>) -> usize {
    let mut sewn: Vec<usize> = points.all.iter().map(|needle| needle.object).collect();
    sewn.dedup();
    sewn.sort_unstable();
    sewn.dedup();
    let mut blocks: Vec<(usize, &Object)> = Vec::new();
    let mut block = 0;
    for object in sewn
        .into_iter()
        .filter_map(|o| points.design.objects.get(o))
    {
        if let Some((_, last)) = blocks.last()
            && last.thread != object.thread
        {
            block += 1;
        }
        blocks.push((block, object));
    }
    let pieces: Vec<Vec<Piece>> = blocks.into_par_iter().map(|(b, o)| pieces(b, o)).collect();
    let pieces: Vec<Piece> = pieces.into_iter().flatten().collect();
    let touching = touching(&pieces);
    (0..=block)
        .rev()
        .scan(Groups::new(pieces.len()), |later, block| {
            Some(parts_of_block(&pieces, &touching, block, later))
        })
        .map(|parts| parts.saturating_sub(1))
        .sum()
}

/// In how many parts a block falls. `later` holds what is connected of that which hides the block:
/// its own opaque pieces are added.
fn parts_of_block(
    pieces: &[Piece],
    touching: &[(usize, usize)],
    block: usize,
    later: &mut Groups,
) -> usize {
    let among = |least: usize, (a, b): (usize, usize)| {
        let (a, b) = (&pieces[a], &pieces[b]);
        a.block >= least && b.block >= least
    };
    for &(a, b) in touching.iter().filter(|&&pair| among(block, pair)) {
        if pieces[a].opaque && pieces[b].opaque {
            later.merge(a, b);
        }
    }
    let mut here = later.clone();
    for &(a, b) in touching.iter().filter(|&&pair| among(block, pair)) {
        let counts = |piece: &Piece| piece.opaque || piece.block == block;
        if counts(&pieces[a]) && counts(&pieces[b]) {
            here.merge(a, b);
        }
    }
    let of_block = pieces
        .iter()
        .enumerate()
        .filter(|(_, piece)| piece.block == block);
    let roots: BTreeSet<usize> = of_block.map(|(piece, _)| here.of(piece)).collect();
    roots.len()
}

fn pieces(block: usize, object: &Object) -> Vec<Piece> {
    let opaque = match &object.shape {
        Shape::Region(_) => true,
        Shape::Lines(lines) => lines.width >= LEAST_LINE,
        Shape::Manual => return Vec::new(),
    };
    // A line without width is as wide as its thread.
    let area = object.shape.area(THREAD_WIDTH);
    let piece = |area: Polygon<f64>| {
        Some(Piece {
            bounds: area.bounding_rect()?,
            area,
            block,
            opaque,
        })
    };
    area.into_iter().filter_map(piece).collect()
}

/// All pairs of pieces that touch, each with the smaller number first.
fn touching(pieces: &[Piece]) -> Vec<(usize, usize)> {
    let mut squares: BTreeMap<[i64; 2], Vec<usize>> = BTreeMap::new();
    let mut large: Vec<usize> = Vec::new();
    for (number, piece) in pieces.iter().enumerate() {
        if piece.bounds.width().max(piece.bounds.height()) > LARGE {
            large.push(number);
            continue;
        }
        for square in squares_of(piece.bounds) {
            squares.entry(square).or_default().push(number);
        }
    }
    let near = |a: usize, b: usize| {
        let (a, b) = (widened(pieces[a].bounds), pieces[b].bounds);
        a.min().x <= b.max().x
            && b.min().x <= a.max().x
            && a.min().y <= b.max().y
            && b.min().y <= a.max().y
    };
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    for there in squares.values() {
        for (i, &a) in there.iter().enumerate() {
            let near = there[i + 1..].iter().filter(|&&b| near(a, b));
            pairs.extend(near.map(|&b| (a, b)));
        }
    }
    for &a in &large {
        let near = (0..pieces.len()).filter(|&b| a != b && near(a, b));
        pairs.extend(near.map(|b| (a.min(b), a.max(b))));
    }
    pairs.sort_unstable();
    pairs.dedup();
    pairs
        .into_par_iter()
        .filter(|&(a, b)| touch(&pieces[a], &pieces[b]))
        .collect()
}

fn squares_of(bounds: Rect<f64>) -> impl Iterator<Item = [i64; 2]> {
    let bounds = widened(bounds);
    let square = |at: Coord<f64>| [at.x, at.y].map(|v| (v / SQUARE).floor() as i64);
    let (least, most) = (square(bounds.min()), square(bounds.max()));
    (least[1]..=most[1]).flat_map(move |y| (least[0]..=most[0]).map(move |x| [x, y]))
}

fn widened(bounds: Rect<f64>) -> Rect<f64> {
    let by = Coord { x: TOUCH, y: TOUCH };
    Rect::new(bounds.min() - by, bounds.max() + by)
}

/// Whether two pieces lie within 0.3 mm of each other.
fn touch(a: &Piece, b: &Piece) -> bool {
    let near = |piece: &Piece, other: Rect<f64>| -> Vec<[Coord<f64>; 2]> {
        let around = widened(other);
        edges(&piece.area)
            .filter(|[from, to]| {
                from.x.min(to.x) <= around.max().x
                    && from.x.max(to.x) >= around.min().x
                    && from.y.min(to.y) <= around.max().y
                    && from.y.max(to.y) >= around.min().y
            })
            .collect()
    };
    let (ours, mut theirs) = (near(a, b.bounds), near(b, a.bounds));
    theirs.sort_by(|p, q| p[0].x.min(p[1].x).total_cmp(&q[0].x.min(q[1].x)));
    // The longest edge bounds how far left an edge that reaches here can begin.
    let widest = theirs
        .iter()
        .map(|e| (e[0].x - e[1].x).abs())
        .fold(0.0, f64::max);
    let meets = ours.iter().any(|ours| {
        let left = ours[0].x.min(ours[1].x) - TOUCH - widest;
        let right = ours[0].x.max(ours[1].x) + TOUCH;
        let begin = theirs.partition_point(|edge| edge[0].x.min(edge[1].x) < left);
        theirs[begin..]
            .iter()
            .take_while(|edge| edge[0].x.min(edge[1].x) <= right)
            .any(|&edge| between_edges(*ours, edge) <= TOUCH + ROUNDING)
    });
    meets || holds(a, b) || holds(b, a)
}

/// Whether `inner` lies inside of `outer`, given that their edges do not meet.
fn holds(outer: &Piece, inner: &Piece) -> bool {
    use geo::Contains as _;
    let corner = inner.area.exterior().0.first();
    corner.is_some_and(|&corner| outer.area.contains(&geo::Point(corner)))
}

fn edges(area: &Polygon<f64>) -> impl Iterator<Item = [Coord<f64>; 2]> {
    let rings = std::iter::once(area.exterior()).chain(area.interiors());
    rings.flat_map(|ring| ring.lines().map(|line| [line.start, line.end]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{StitchList, StitchRole};
    use crate::report::designs::{self, at, of};
    use geo::{MultiPolygon, line_string};

    fn part(id: &str, thread: u32, x: f64, width: f64) -> Object {
        let rect = Rect::new(at(x, 0.), at(x + width, 4.0));
        let area = MultiPolygon::new(vec![rect.to_polygon()]);
        sewn(Object::of_region(id, &area), thread)
    }

    fn sewn(mut object: Object, thread: u32) -> Object {
        let mut list = StitchList::new();
        list.needle(StitchRole::Cover, at(0., 0.));
        list.needle(StitchRole::Cover, at(2., 0.));
        object.stitches = list.into_blocks();
        object.thread = thread;
        object
    }

    fn fewest(objects: Vec<Object>) -> usize {
        let design = of(objects);
        fewest_trims(&designs::points(&design))
    }

    #[test]
    fn apart_beside_and_beneath() {
        let apart = || vec![part("a", 0, 0., 4.), part("b", 0, 10., 4.)];
        assert_eq!(fewest(apart()), 1);
        assert_eq!(
            fewest(vec![part("a", 0, 0., 4.), part("b", 0, 4.29, 4.)]),
            0
        );
        assert_eq!(
            fewest(vec![part("a", 0, 0., 4.), part("b", 0, 4.31, 4.)]),
            1
        );
        // A bridge of another thread, sewn later, hides the way; sewn earlier it does not.
        let mut hidden = apart();
        hidden.push(part("bridge", 1, 3., 8.));
        assert_eq!(fewest(hidden), 0);
        let mut shown = apart();
        shown.insert(0, part("bridge", 1, 3., 8.));
        assert_eq!(fewest(shown), 1);
    }

    #[test]
    fn what_lies_inside_touches_and_a_thin_line_hides_nothing() {
        let line = line_string![(x: 3., y: 2.), (x: 11., y: 2.)];
        let bridge = |width: f64| sewn(Object::of_line("bridge", &line, width), 1);
        let apart = || vec![part("a", 0, 0., 4.), part("b", 0, 10., 4.)];
        let with = |width: f64| {
            let mut objects = apart();
            objects.push(bridge(width));
            fewest(objects)
        };
        assert_eq!((with(1.0), with(0.9)), (0, 1));
        assert_eq!(
            fewest(vec![part("a", 0, 0., 40.), part("b", 0, 10., 1.)]),
            0
        );
    }

    #[test]
    fn the_thread_change_cuts_by_itself() {
        let objects = vec![
            part("a", 0, 0., 4.),
            part("b", 1, 10., 4.),
            part("c", 0, 20., 4.),
        ];
        assert_eq!(fewest(objects), 0);
    }
}
