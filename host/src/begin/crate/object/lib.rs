//! The step `STEP-NAME`: needle points step aside in turn, so that a line becomes a zigzag.

use hoopwright_sdk::prelude::*;

choices! {
    /// A side of the thread, looking along its way.
    pub enum Side {
        /// To the left.
        #[default]
        Left,
        /// To the right.
        Right,
    }
}

settings! {
    /// Lets the needle points of a sewn line step aside in turn, so that it becomes a zigzag.
    pub struct Settings {
        /// How wide the zigzag is, in mm, 0.1 to 7. Default 2. Wider ones would snag.
        pub width: f64 = 2.0, in "mm", from 0.1 to 7.0;
        /// To which side the first needle point steps. Default `left`.
        pub first: Side = Side::Left;
    }
}

/// Changes the cover stitches of one object. Underlay, travel and ties stay where they are.
pub fn process(
    mut object: Object,
    _thread: &Thread,
    settings: &Settings,
) -> Result<Object, Failure> {
    let stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
    if stitches.is_empty() {
        messages::report(
            Finding::warning("It has no stitches yet, so nothing was changed.")
                .about(&object.id)
                .help("Run a step that sews it before this one."),
        );
        return Ok(object);
    }
    let mut side = match settings.first {
        Side::Left => 1.0,
        Side::Right => -1.0,
    };
    let mut zigzag = StitchList::new();
    let mut moved = 0;
    for (place, stitch) in stitches.iter().enumerate() {
        let mut stitch = *stitch;
        if stitch.kind == StitchKind::Needle && stitch.role == StitchRole::Cover {
            let before = stitches[place.saturating_sub(1)].at;
            let after = stitches[(place + 1).min(stitches.len() - 1)].at;
            let way = after - before;
            let length = way.x.hypot(way.y);
            if length > 0.0 {
                // The way turned by a quarter to the left: y grows down.
                let left = Coord {
                    x: way.y,
                    y: -way.x,
                } / length;
                stitch.at = stitch.at + left * (side * settings.width / 2.0);
                side = -side;
                moved += 1;
            }
        }
        zigzag.push(stitch);
    }
    messages::debug(&format!("{moved} needle points stepped aside"));
    object.stitches = zigzag.into_blocks();
    Ok(object)
}

object_step! {
    name: "STEP-NAME",
    summary: "Lets needle points step aside in turn, so that a sewn line becomes a zigzag.",
    settings: Settings,
    process: process,
}
