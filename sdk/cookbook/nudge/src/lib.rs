//! Cookbook 1, `nudge`: moves an object across the cloth, all of it.

use hoopwright_sdk::Placement;
use hoopwright_sdk::prelude::*;

settings! {
    /// Moves each object by the same distance.
    pub struct Nudge {
        /// How far to the right, in mm; negative is to the left. Default 0.
        pub right: f64 = 0.0, in "mm", from -500.0 to 500.0;
        /// How far down the cloth, in mm; negative is up. Default 0.
        pub down: f64 = 0.0, in "mm", from -500.0 to 500.0;
    }
}

/// Moves the object: its shape, its stitches, where it begins and ends, and its direction marks.
///
/// # Errors
/// Where it would lie more than 10 m from the artwork's origin.
pub fn nudge(object: Object, _thread: &Thread, settings: &Nudge) -> Result<Object, Failure> {
    let by = Coord {
        x: settings.right,
        y: settings.down,
    };
    // A step that moved the stitches alone would leave the shape behind, and every later step, the
    // preview and the report would look for the thread in the wrong place.
    object.placed(&Placement::moving(by))
}

object_step! {
    name: "nudge",
    summary: "Moves objects across the cloth, drawn shape and stitches together.",
    manual: include_str!("../manual.md"),
    settings: Nudge,
    process: nudge,
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::{Sewing, geometry::geo::line_string};

    fn thread() -> Thread {
        Thread {
            name: "Soot".into(),
            code: "S".into(),
            red: 0,
            green: 0,
            blue: 0,
            weight: 40,
        }
    }

    #[test]
    fn everything_that_has_a_place_moves() {
        let line = line_string![(x: 1., y: 2.), (x: 11., y: 2.)];
        let mut before = Object::of_line("whisker", &line, 0.4);
        before.sewing = Sewing {
            start: Some(Point { x: 11.0, y: 2.0 }),
            ..Sewing::default()
        };
        let mut stitches = StitchList::new();
        for place in line.0 {
            stitches.needle(StitchRole::Cover, place);
        }
        before.stitches = stitches.into_blocks();

        let settings = Nudge {
            right: 2.5,
            down: -1.0,
        };
        let after = nudge(before, &thread(), &settings).unwrap_or_else(|why| panic!("{why:?}"));
        let Shape::Lines(lines) = &after.shape else {
            panic!("it was a line");
        };
        assert_eq!(lines.paths[0].x, [3.5, 13.5]);
        assert_eq!(lines.paths[0].y, [1.0, 1.0]);
        assert_eq!(after.stitches[0].x, [3.5, 13.5]);
        assert_eq!(after.stitches[0].y, [1.0, 1.0]);
        assert_eq!(after.sewing.start, Some(Point { x: 13.5, y: 1.0 }));
    }

    #[test]
    fn nothing_asked_is_nothing_done() {
        let dot = Object::of_line("dot", &line_string![(x: 1., y: 2.)], 1.0);
        let same = nudge(dot.clone(), &thread(), &Nudge::default());
        assert_eq!(same, Ok(dot));
    }

    #[test]
    fn what_would_leave_the_cloth_is_refused_by_name() {
        let far = Object::of_line("far", &line_string![(x: 9_900., y: 0.)], 1.0);
        let settings = Nudge {
            right: 500.0,
            down: 0.0,
        };
        let why = nudge(far, &thread(), &settings).expect_err("10.4 m are too far");
        assert_eq!(why.object.as_deref(), Some("far"));
    }
}
