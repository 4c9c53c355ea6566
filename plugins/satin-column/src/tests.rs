//! The step as a whole.

mod corners;
mod coverage;
mod degenerate;
mod exact;
mod families;
mod letters;
mod measures;
mod properties;
mod published;
mod routing;
mod settings;
mod shapes;
mod tight_turns;

use crate::{SatinColumn, satin_column};
use hoopwright_sdk::prelude::*;

fn thread() -> Thread {
    Thread {
        name: "Barn owl brown".to_owned(),
        code: String::new(),
        red: 120,
        green: 80,
        blue: 40,
        weight: 40,
    }
}

/// Sews an object, and gives the stitches and the findings.
fn sew(object: Object, settings: &SatinColumn) -> (Vec<Stitch>, Vec<Finding>) {
    messages::take();
    let sewn = satin_column(object, &thread(), settings).expect("satin does not fail");
    (stitches_of(&sewn.stitches).collect(), messages::take())
}

fn sew_region(area: &geo::MultiPolygon<f64>) -> Vec<Stitch> {
    sew(Object::of_region("owl", area), &SatinColumn::default()).0
}

fn jumps(stitches: &[Stitch]) -> usize {
    stitches
        .iter()
        .filter(|stitch| stitch.kind == StitchKind::Jump)
        .count()
}

/// Moves from needle point to needle point, with the stitch that each ends in.
fn moves(stitches: &[Stitch]) -> impl Iterator<Item = (Stitch, Stitch)> + '_ {
    stitches
        .windows(2)
        .map(|pair| (pair[0], pair[1]))
        .filter(|(a, b)| a.kind == StitchKind::Needle && b.kind == StitchKind::Needle)
}
