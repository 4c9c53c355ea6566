//! What the step put into objects before, taken away again.

use crate::thread_path::Sewn;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// Places closer together than this are one place, in mm.
const SAME_PLACE: f64 = 1e-6;

/// All objects' stitches; the selected ones without ties, trims and hidden travel put earlier.
pub(crate) fn removed<'a>(objects: &'a [Object], selected: &[usize]) -> Vec<Sewn<'a>> {
    let mut is_selected = vec![false; objects.len()];
    for &place in selected {
        if let Some(flag) = is_selected.get_mut(place) {
            *flag = true;
        }
    }
    let mut all: Vec<Sewn> = Vec::with_capacity(objects.len());
    let mut end: Option<(u32, Coord<f64>)> = None;
    for (object, selected) in objects.iter().zip(is_selected) {
        let mut stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
        if selected {
            stitches = without_ties_and_trims(stitches);
            if let Some((thread, at)) = end
                && thread == object.thread
            {
                take_travel(&mut stitches, at);
            }
        }
        if let Some(last) = stitches.iter().rfind(|s| s.kind == StitchKind::Needle) {
            end = Some((object.thread, last.at));
        }
        all.push(Sewn {
            object,
            selected,
            stitches,
        });
    }
    all
}

/// Ties go. A trim between needle points becomes the jump that it was; before the first and after
/// the last needle point it goes, for there it stood in place of a plain move.
fn without_ties_and_trims(mut stitches: Vec<Stitch>) -> Vec<Stitch> {
    stitches.retain(|s| !(s.role == StitchRole::Tie && s.kind == StitchKind::Needle));
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
    stitches
}

/// Takes away travel stitches at the object's beginning, but only where they lead from `from` to
/// the next stitch in equal steps, as this step lays them: an object's own travel stays.
fn take_travel(stitches: &mut Vec<Stitch>, from: Coord<f64>) {
    let mut last = from;
    let mut first_step = None;
    let mut equal_steps = 0;
    for stitch in stitches.iter().filter(|s| s.kind == StitchKind::Needle) {
        let step = stitch.at - last;
        if distance(step, *first_step.get_or_insert(step)) > SAME_PLACE {
            break;
        }
        equal_steps += 1;
        last = stitch.at;
        if stitch.role != StitchRole::Travel {
            break;
        }
    }
    // The last of the equal steps is the object's own first stitch.
    let moves = first_step.is_some_and(|step| distance(step, Coord::zero()) > SAME_PLACE);
    let ours = stitches
        .iter()
        .take(equal_steps)
        .all(|s| s.kind == StitchKind::Needle);
    if equal_steps > 1 && moves && ours {
        stitches.drain(..equal_steps - 1);
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

    #[test]
    fn ties_go_and_a_trim_inside_becomes_a_jump() {
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
        let blocks = list.into_blocks();
        let left = without_ties_and_trims(stitches_of(&blocks).collect());
        use StitchKind::{Jump, Needle};
        assert_eq!(
            kinds(&left),
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
    fn travel_of_this_step_goes_and_an_objects_own_stays() {
        for (places, left) in [([2.5, 5.0, 7.5], 2), ([2.5, 5.1, 7.5], 5)] {
            let mut list = StitchList::new();
            for x in places {
                list.needle(StitchRole::Travel, at(x));
            }
            list.needle(StitchRole::Cover, at(10.));
            list.needle(StitchRole::Cover, at(13.));
            let mut stitches: Vec<Stitch> = stitches_of(&list.into_blocks()).collect();
            take_travel(&mut stitches, at(0.));
            assert_eq!(stitches.len(), left);
        }
    }
}
