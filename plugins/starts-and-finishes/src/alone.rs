//! What an object tells of itself, whatever lies around it: the most work of all, and none of it hangs on the
//! other objects, so that it is given out.

use crate::StartsAndFinishes;
use crate::outline::{self, Ends};
use hoopwright_sdk::hiding::area_to_hide;
use hoopwright_sdk::piecework::Piecework;
use hoopwright_sdk::prelude::*;
use serde::{Deserialize, Serialize};

/// An object without what it is called.
#[derive(Serialize, Deserialize)]
pub struct Lone {
    shape: Shape,
    stitches: Vec<StitchBlock>,
}

/// What it tells of itself.
#[derive(Serialize, Deserialize)]
pub struct Alone {
    /// How it begins and ends.
    pub ends: Ends<Point>,
    /// What it will hide of what is sewn before it.
    pub hides: Option<Region>,
}

/// What each of `objects` tells of itself.
pub(crate) fn of_each(objects: &[Object], settings: &StartsAndFinishes) -> Vec<Alone> {
    // Of lines there is less to find out than it costs to give them out.
    let goes_out = |object: &&Object| matches!(object.shape, Shape::Region(_));
    let regions = objects.iter().filter(goes_out).map(Lone::of);
    let mut regions = settings.give_out(regions).into_iter();
    let alone = objects.iter().map(|object| {
        let done = goes_out(&object).then(|| regions.next()).flatten();
        done.unwrap_or_else(|| settings.work(Lone::of(object)))
    });
    alone.collect()
}

impl Lone {
    fn of(object: &Object) -> Self {
        Self {
            shape: object.shape.clone(),
            stitches: object.stitches.clone(),
        }
    }
}

impl Piecework for StartsAndFinishes {
    type Piece = Lone;
    type Done = Alone;

    fn work(&self, lone: Lone) -> Alone {
        let object = Object {
            stitches: lone.stitches,
            ..Object::new("", lone.shape)
        };
        let hides = area_to_hide(&object, self.line_hides_from);
        Alone {
            ends: outline::ends(&object, self.fills_from).told(Point::from),
            hides: hides.as_ref().map(Region::from),
        }
    }
}
