//! Which pieces of a design touch, and what hangs together beneath the objects still to be sewn.
//!
//! Travel shows nowhere when it lies under what is sewn after it. So two objects hang together where
//! both touch one connected piece of all that is sewn later, the second of the two included.

use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{MultiPolygon, Rect};
use hoopwright_sdk::groups::Groups;
use hoopwright_sdk::hiding::TOUCH;
use hoopwright_sdk::prelude::*;

/// The pieces of a design that hide what is sewn before them.
pub(crate) struct Ground {
    pieces: Vec<Piece>,
    boxes: Boxes,
    /// For each object, its pieces.
    of_object: Vec<Vec<usize>>,
}

struct Piece {
    object: usize,
    edges: EdgeGrid,
}

impl Ground {
    /// The pieces of what each object hides: of regions their polygons, of wide lines their strokes.
    pub fn of(hides: &[Option<MultiPolygon<f64>>]) -> Self {
        let mut pieces = Vec::new();
        let mut of_object = vec![Vec::new(); hides.len()];
        for (object, area) in hides.iter().enumerate() {
            for part in area.iter().flatten() {
                of_object[object].push(pieces.len());
                let edges = EdgeGrid::new(&part.clone().into());
                pieces.push(Piece { object, edges });
            }
        }
        let bounds = pieces.iter().map(|piece: &Piece| piece.edges.bounds());
        Self {
            boxes: Boxes::new(bounds.enumerate()),
            pieces,
            of_object,
        }
    }

    /// The objects from the place `first` on that have a piece within touch of `place`, in order.
    pub fn objects_at(&self, place: Coord<f64>, first: usize) -> Vec<usize> {
        let mut objects: Vec<usize> = self
            .pieces_at(place, first)
            .map(|piece| self.pieces[piece].object)
            .collect();
        objects.sort_unstable();
        objects.dedup();
        objects
    }

    fn pieces_at(&self, place: Coord<f64>, first: usize) -> impl Iterator<Item = usize> + '_ {
        let near = self.boxes.near(Rect::new(place, place), TOUCH).into_iter();
        near.filter(move |&piece| {
            let piece = &self.pieces[piece];
            piece.object >= first && piece.edges.reaches(place, TOUCH)
        })
    }

    /// Pieces that touch `piece` and belong to later objects or are later pieces of its own.
    fn later_neighbours(&self, piece: usize) -> impl Iterator<Item = usize> + '_ {
        let edges = &self.pieces[piece].edges;
        let bounds = edges.bounds().into_iter();
        let near = bounds.flat_map(|bounds| self.boxes.near(bounds, TOUCH));
        near.filter(move |&other| other > piece && edges.meets(&self.pieces[other].edges, TOUCH))
    }
}

/// What hangs together among the objects sewn last; it grows from the end of the design backwards.
pub(crate) struct Hanging<'a> {
    ground: &'a Ground,
    /// The first object that counts.
    first: usize,
    /// The pieces that hang together.
    groups: Groups,
}

impl<'a> Hanging<'a> {
    pub fn nothing(ground: &'a Ground) -> Self {
        Self {
            ground,
            first: ground.of_object.len(),
            groups: Groups::new(ground.pieces.len()),
        }
    }

    /// Counts the objects from the place `first` on.
    pub fn grow_to(&mut self, first: usize) {
        while self.first > first {
            self.first -= 1;
            for &piece in &self.ground.of_object[self.first] {
                for other in self.ground.later_neighbours(piece) {
                    self.groups.merge(piece, other);
                }
            }
        }
    }

    /// What lies at `place`: each connected piece of what counts by its own number, in order.
    pub fn at(&mut self, place: Coord<f64>) -> Vec<usize> {
        let ground = self.ground;
        let pieces = ground.pieces_at(place, self.first);
        let mut groups: Vec<usize> = pieces.map(|piece| self.groups.of(piece)).collect();
        groups.sort_unstable();
        groups.dedup();
        groups
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;
    use hoopwright_sdk::hiding::area_to_hide;

    /// Once there are stitches they tell what hides: a fill does, a run along the edge does not.
    #[test]
    fn what_is_sewn_along_its_edge_only_hides_nothing() {
        let at = |x: f64, y: f64| Coord { x, y };
        let area = polygon![(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 9.)];
        let edge = area.exterior().coords().copied().collect::<Vec<_>>();
        let rows = (0..45).flat_map(|row| [0., 9.].map(|x| at(x, 0.2 * f64::from(row))));
        let drawn = Object::of_region("drawn", &area.into());
        for (places, hides) in [(Vec::new(), true), (edge, false), (rows.collect(), true)] {
            let mut list = StitchList::new();
            for &place in &places {
                list.needle(StitchRole::Cover, place);
            }
            let object = Object {
                stitches: list.into_blocks(),
                ..drawn.clone()
            };
            let found = Ground::of(&[area_to_hide(&object, 1.0)]).objects_at(at(4.5, 4.5), 0);
            assert_eq!(!found.is_empty(), hides, "{places:?}");
        }
    }
}
