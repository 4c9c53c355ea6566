//! What the step put into objects before, taken away again.

use crate::thread_path::Sewn;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::selection;

/// All objects' stitches; the selected ones without ties, trims and hidden travel put earlier.
///
/// Trims of an object of stitches alone stay: they were placed by hand or read from a machine file, and
/// nothing tells them from this step's own.
pub(crate) fn removed<'a>(objects: &'a [Object], selected: &[usize]) -> Vec<Sewn<'a>> {
    let is_selected = selection::flags(objects.len(), selected);
    let mut all: Vec<Sewn> = Vec::with_capacity(objects.len());
    for (object, selected) in objects.iter().zip(is_selected) {
        let mut stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
        if selected {
            stitches.retain(|s| !(s.role == StitchRole::Tie && s.kind == StitchKind::Needle));
            if !matches!(object.shape, Shape::Manual) {
                undo_trims(&mut stitches);
            }
            take_travel(&mut stitches);
        }
        all.push(Sewn {
            object,
            selected,
            stitches,
        });
    }
    all
}

/// A trim between needle points becomes the jump that it was; before the first and after the last
/// needle point it goes, for there it stood in place of a plain move.
fn undo_trims(stitches: &mut Vec<Stitch>) {
    let needle = |s: &Stitch| s.kind == StitchKind::Needle;
    let first = stitches.iter().position(needle).unwrap_or(stitches.len());
    let last = stitches.iter().rposition(needle).unwrap_or(0);
    let mut place = 0;
    stitches.retain_mut(|stitch| {
        let inside = place > first && place < last;
        place += 1;
        if stitch.kind != StitchKind::Trim {
            return true;
        }
        stitch.kind = StitchKind::Jump;
        stitch.role = StitchRole::Travel;
        inside
    });
}

/// Takes away travel stitches at the object's beginning: no step but this one begins an object with
/// travel, for an object's own first stitch is underlay or cover. An object of nothing but travel
/// keeps it.
fn take_travel(stitches: &mut Vec<Stitch>) {
    let travel = |s: &Stitch| s.kind == StitchKind::Needle && s.role == StitchRole::Travel;
    let leading = stitches.iter().take_while(|s| travel(s)).count();
    let next = stitches.get(leading);
    if next.is_some_and(|s| s.kind == StitchKind::Needle) {
        stitches.drain(..leading);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64) -> Coord<f64> {
        Coord { x, y: 0. }
    }

    fn kinds(stitches: &[Stitch]) -> Vec<(StitchKind, f64)> {
        stitches.iter().map(|s| (s.kind, s.at.x)).collect()
    }

    /// What is left of stitches with ties, and trims before, within and after them.
    fn left(shape: Shape) -> Vec<(StitchKind, f64)> {
        let mut list = StitchList::new();
        list.trim(at(0.));
        list.needle(StitchRole::Cover, at(0.));
        list.needle(StitchRole::Tie, at(0.7));
        list.needle(StitchRole::Tie, at(0.));
        list.needle(StitchRole::Cover, at(3.));
        list.trim(at(20.));
        list.needle(StitchRole::Cover, at(20.));
        list.needle(StitchRole::Cover, at(23.));
        list.trim(at(40.));
        let mut object = Object::new("tied", shape);
        object.stitches = list.into_blocks();
        kinds(&removed(&[object], &[0])[0].stitches)
    }

    #[test]
    fn ties_go_and_a_trim_inside_becomes_a_jump() {
        use StitchKind::{Jump, Needle};
        let lines = hoopwright_sdk::Lines {
            paths: Vec::new(),
            width: 0.4,
        };
        assert_eq!(
            left(Shape::Lines(lines)),
            [
                (Needle, 0.),
                (Needle, 3.),
                (Jump, 20.),
                (Needle, 20.),
                (Needle, 23.)
            ]
        );
    }

    #[test]
    fn the_trims_of_an_object_of_stitches_alone_stay() {
        use StitchKind::{Needle, Trim};
        assert_eq!(
            left(Shape::Manual),
            [
                (Trim, 0.),
                (Needle, 0.),
                (Needle, 3.),
                (Trim, 20.),
                (Needle, 20.),
                (Needle, 23.),
                (Trim, 40.)
            ]
        );
    }

    #[test]
    fn leading_travel_goes_and_travel_within_stays() {
        for (roles, left) in [
            (
                [StitchRole::Travel, StitchRole::Travel, StitchRole::Cover],
                1,
            ),
            (
                [StitchRole::Cover, StitchRole::Travel, StitchRole::Cover],
                3,
            ),
            (
                [StitchRole::Travel, StitchRole::Travel, StitchRole::Travel],
                3,
            ),
        ] {
            let mut list = StitchList::new();
            for (i, role) in roles.into_iter().enumerate() {
                list.needle(role, at(2.0 * i as f64));
            }
            let mut stitches: Vec<Stitch> = stitches_of(&list.into_blocks()).collect();
            take_travel(&mut stitches);
            assert_eq!(stitches.len(), left);
        }
    }
}
