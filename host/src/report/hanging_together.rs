//! What hangs together: the fewest runs of thread that a design can be sewn in.
//!
//! Within a block of objects of one thread, two pieces hang together where they touch, or where both
//! touch one connected piece of what is sewn later: a travel under it shows nowhere. A block needs a
//! cut for every further part; where threads change the machine cuts by itself. The same rule, with
//! geometry of its own, judges the open drawings: `tests/oracle/drawings/hanging.py`.

use super::needle_points::NeedlePoints;
use crate::design::hiding::{self, TOUCH};
use crate::design::{Object, THREAD_WIDTH};
use geo::{BoundingRect, MultiPolygon, Rect};
use hoopwright_geometry::boxes::Boxes;
use hoopwright_geometry::edge_grid::EdgeGrid;
use hoopwright_geometry::groups::Groups;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::OnceLock;

/// How far apart pieces that touch may lie, in mm, with what adding and taking away coordinates costs.
const REACH: f64 = TOUCH + 1e-9;

/// A separate piece of what an object shows.
struct Piece {
    area: MultiPolygon<f64>,
    bounds: Rect<f64>,
    /// Its edges, once they are asked for: most pieces of a large design lie far from all others.
    edges: OnceLock<EdgeGrid>,
    /// The block it is sewn in.
    block: usize,
    /// Whether it hides what is sewn before.
    opaque: bool,
}

impl Piece {
    fn touches(&self, other: &Self) -> bool {
        self.edges().meets(other.edges(), REACH)
    }

    fn edges(&self) -> &EdgeGrid {
        self.edges.get_or_init(|| EdgeGrid::new(&self.area))
    }
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
    let (area, opaque) = match hiding::area(object) {
        Some(area) => (area, true),
        // A line without width is as wide as its thread.
        None => (object.shape.area(THREAD_WIDTH), false),
    };
    let piece = |area: MultiPolygon<f64>| {
        Some(Piece {
            bounds: area.bounding_rect()?,
            area,
            edges: OnceLock::new(),
            block,
            opaque,
        })
    };
    area.into_iter()
        .filter_map(|one| piece(one.into()))
        .collect()
}

/// All pairs of pieces that touch, each with the smaller number first.
fn touching(pieces: &[Piece]) -> Vec<(usize, usize)> {
    let boxes = Boxes::new(pieces.iter().map(|piece| piece.bounds).enumerate());
    let all = pieces.par_iter().enumerate();
    all.flat_map_iter(|(number, piece)| {
        let near = boxes.near(piece.bounds, REACH).into_iter();
        near.filter(move |&other| other > number && piece.touches(&pieces[other]))
            .map(move |other| (number, other))
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{StitchList, StitchRole};
    use crate::report::designs::{self, at, of};
    use geo::line_string;

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
        assert_eq!((with(0.8), with(0.7)), (0, 1));
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
