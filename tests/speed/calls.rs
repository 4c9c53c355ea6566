//! What a call costs that does next to nothing, and what stitches cost on their way in and out.

use crate::crossing::{Block, Kind, Role, Stitch, Ways};
use crate::figures::{Figure, ratio, time};
use crate::guests;
use crate::steps::carried;
use crate::timing::{Pairs, Patience, again, timed};
use crate::workshop::Workshop;
use hoopwright::design::{Design, Object, Shape, StitchBlock, StitchKind, StitchRole};
use hoopwright::plugins::Origin;
use hoopwright::sandbox::Plugin;
use hoopwright_craft::native::thread;

/// So many stitches are sent.
const STITCHES: usize = 100_000;
/// A block of the owl's fills has about as many.
const IN_A_BLOCK: usize = 500;

/// Through the contract, and columns against records by a guest of the benchmark's own.
pub fn measure(shop: &Workshop, patience: Patience) -> Vec<Figure> {
    let mut figures = by_the_contract(shop, patience);
    figures.extend(columns_and_records(patience));
    figures
}

/// The cookbook's smallest step moves an object; the hostile guest moves a design, as it may.
fn by_the_contract(shop: &Workshop, patience: Patience) -> Vec<Figure> {
    let sandbox = shop.plugins.sandbox();
    let load = |package: &str| {
        let origin = Origin::File(format!("{package}.wasm").into());
        Plugin::load(sandbox, &guests::module(package), origin).unwrap()
    };
    let nudge = load("hoopwright-cookbook-nudge");
    let mover = load("hoopwright-hostile-guest");
    let thread = carried(&thread());
    let on_object = |stitches| {
        let object = object(stitches);
        again(patience, || {
            let (answer, took) = timed(|| sandbox.call_object(&nudge, &object, &thread, "{}"));
            answer.unwrap();
            took
        })
    };
    let on_design = |stitches| {
        let design = design(stitches);
        again(patience, || {
            let (answer, took) =
                timed(|| sandbox.call_design(&mover, &design, &[0], "{}", None, None));
            answer.unwrap();
            took
        })
    };
    let (empty, full) = (on_object(0), on_object(STITCHES));
    let (design_empty, design_full) = (on_design(0), on_design(STITCHES));
    vec![
        Figure::new(
            "a call of an object step without stitches",
            time(empty.median),
        ),
        Figure::new(
            "a call of a design step without stitches",
            time(design_empty.median),
        ),
        Figure::new(
            "100,000 stitches into an object step, moved, and back",
            time(full.median - empty.median),
        ),
        Figure::new(
            "100,000 stitches into a design step, moved, and back",
            time(design_full.median - design_empty.median),
        ),
    ]
}

fn columns_and_records(patience: Patience) -> Vec<Figure> {
    let ways = Ways::new(&guests::module("hoopwright-crossing-guest"));
    let stitches: Vec<Stitch> = places(STITCHES)
        .map(|(x, y)| Stitch {
            x,
            y,
            kind: Kind::Needle,
            role: Role::Cover,
        })
        .collect();
    let blocks: Vec<Block> = stitches
        .chunks(IN_A_BLOCK)
        .map(|part| Block {
            kind: Kind::Needle,
            role: Role::Cover,
            x: part.iter().map(|stitch| stitch.x).collect(),
            y: part.iter().map(|stitch| stitch.y).collect(),
        })
        .collect();
    let columns = || {
        let (back, took) = timed(|| ways.columns(&blocks));
        assert_eq!(back.len(), blocks.len());
        took
    };
    let records = || {
        let (back, took) = timed(|| ways.records(&stitches));
        assert_eq!(back.len(), stitches.len());
        took
    };
    let nothing = again(patience, || timed(|| ways.nothing()).1);
    let pairs = Pairs::by_turns(patience, columns, records);
    vec![
        Figure::new(
            "a call of a guest that does nothing at all",
            time(nothing.median),
        ),
        Figure::new(
            "100,000 stitches in and out: records / columns",
            format!(
                "{} (columns {}, records {})",
                ratio(pairs.ratio()),
                time(pairs.first().median),
                time(pairs.second().median)
            ),
        ),
    ]
}

/// Places on a page, no two the same.
fn places(count: usize) -> impl Iterator<Item = (f64, f64)> {
    (0..count).map(|i| ((i % 300) as f64 * 0.3, (i / 300) as f64 * 0.2))
}

fn object(count: usize) -> Object {
    let all: Vec<(f64, f64)> = places(count).collect();
    let block = |part: &[(f64, f64)]| StitchBlock {
        kind: StitchKind::Needle,
        role: StitchRole::Cover,
        x: part.iter().map(|place| place.0).collect(),
        y: part.iter().map(|place| place.1).collect(),
    };
    Object {
        stitches: all.chunks(IN_A_BLOCK).map(block).collect(),
        ..Object::new("sewn", Shape::Manual)
    }
}

fn design(count: usize) -> Design {
    let corner = |x, y| hoopwright::design::Point { x, y };
    Design {
        title: "Moved".to_owned(),
        page: hoopwright::design::Rectangle {
            least: corner(0.0, 0.0),
            greatest: corner(90.0, 90.0),
        },
        threads: vec![carried(&thread())],
        objects: vec![object(count)],
    }
}
