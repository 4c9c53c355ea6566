//! What the host enforces, and what undoes what, over random designs.

use hoopwright_sdk::geometry::geo::{LineString, polygon};
use hoopwright_sdk::prelude::*;
use hoopwright_transform::{About, Mirror, Place, Transform, transform};
use proptest::prelude::*;
use std::collections::BTreeSet;

fn object() -> impl Strategy<Value = Object> {
    let place = (-80.0..80.0f64, -80.0..80.0f64);
    let region = (place.clone(), (0.1..30.0f64, 0.1..30.0f64)).prop_map(|((x, y), (w, h))| {
        let area = polygon![(x: x, y: y), (x: x + w, y: y), (x: x + w, y: y + h)];
        Object::of_region("region", &area.into())
    });
    let line = (prop::collection::vec(place.clone(), 0..5), 0.0..6.0f64)
        .prop_map(|(corners, width)| Object::of_line("line", &LineString::from(corners), width));
    let stitches = prop::collection::vec(place, 1..9).prop_map(|places| {
        let mut list = StitchList::new();
        for (x, y) in places {
            list.needle(StitchRole::Cover, Coord { x, y });
        }
        let mut object = Object::new("hand", Shape::Manual);
        object.stitches = list.into_blocks();
        object
    });
    let shape = prop_oneof![
        region,
        line,
        stitches,
        Just(Object::new("nothing", Shape::Manual))
    ];
    (shape, prop::option::of(-180.0..180.0f64)).prop_map(|(mut object, angle)| {
        object.sewing.angle = angle;
        object
    })
}

/// Objects, each selected or not.
fn designs() -> impl Strategy<Value = (Design, Vec<usize>)> {
    prop::collection::vec((object(), any::<bool>()), 0..9).prop_map(|objects| {
        let selected = (0..objects.len()).filter(|&i| objects[i].1).collect();
        let mut objects: Vec<Object> = objects.into_iter().map(|(object, _)| object).collect();
        for (i, object) in objects.iter_mut().enumerate() {
            // Some ids look like those of copies.
            object.id = format!("{}{}", "a-copy".repeat(i % 3), i / 3);
        }
        let mut taken = BTreeSet::new();
        objects.retain(|object| taken.insert(object.id.clone()));
        let count = objects.len();
        let design = Design::on_page(90., 70., objects);
        let selected: Vec<usize> = selected;
        (
            design,
            selected.into_iter().filter(|&i| i < count).collect(),
        )
    })
}

fn about() -> impl Strategy<Value = About> {
    prop_oneof![
        Just(About::Each),
        Just(About::Group),
        Just(About::Page),
        Just(About::Point)
    ]
}

fn mirror() -> impl Strategy<Value = Mirror> {
    prop_oneof![
        Just(Mirror::No),
        Just(Mirror::LeftRight),
        Just(Mirror::TopBottom),
        Just(Mirror::Slanted)
    ]
}

fn numbers(object: &Object) -> Vec<f64> {
    let mut all = Vec::new();
    match &object.shape {
        Shape::Region(region) => {
            for polygon in &region.polygons {
                all.extend(polygon.outer.x.iter().chain(&polygon.outer.y));
            }
        }
        Shape::Lines(lines) => {
            for path in &lines.paths {
                all.extend(path.x.iter().chain(&path.y));
            }
            all.push(lines.width);
        }
        Shape::Manual => {}
    }
    for block in &object.stitches {
        all.extend(block.x.iter().chain(&block.y));
    }
    all
}

fn same(a: &Design, b: &Design) -> Result<(), TestCaseError> {
    prop_assert_eq!(a.objects.len(), b.objects.len());
    for (a, b) in a.objects.iter().zip(&b.objects) {
        prop_assert_eq!(&a.id, &b.id);
        for (a, b) in numbers(a).into_iter().zip(numbers(b)) {
            prop_assert!((a - b).abs() < 1e-9, "{a} is not {b}");
        }
        if let (Some(a), Some(b)) = (a.sewing.angle, b.sewing.angle) {
            let off = (a - b).rem_euclid(360.0);
            prop_assert!(off.min(360.0 - off) < 1e-9, "{a} is not {b} degrees");
        }
    }
    Ok(())
}

fn run(design: Design, selected: &[usize], settings: &Transform) -> Design {
    transform(design, selected, settings).expect("it stays near")
}

proptest! {
    /// Turned about a fixed place and back, mirrored twice, scaled and back.
    #[test]
    fn there_and_back_is_where_it_was(
        (design, selected) in designs(), degrees in -360.0..360.0f64, percent in 20.0..500.0f64,
        line in -180.0..180.0f64, mirror in mirror(), (x, y) in (-50.0..50.0f64, -50.0..50.0f64),
    ) {
        let about = Transform { about: About::Point, point: Place { x, y }, ..Transform::default() };
        let mirrored = Transform { mirror, mirror_line: line, ..about.clone() };
        let pairs = [
            (Transform { turn: degrees, ..about.clone() }, Transform { turn: -degrees, ..about.clone() }),
            (mirrored.clone(), mirrored),
            (
                Transform { scale_across: percent, ..about.clone() },
                Transform { scale_across: 10_000.0 / percent, ..about },
            ),
        ];
        for (there, back) in pairs {
            let gone = run(design.clone(), &selected, &there);
            same(&run(gone, &selected, &back), &design)?;
        }
    }

    #[test]
    fn the_unselected_stay_and_ids_are_unique(
        (design, selected) in designs(), turn in -360.0..360.0f64, scale in 10.0..300.0f64,
        mirror in mirror(), about in about(), keep_original in any::<bool>(), size in prop::option::of(1.0..100.0f64),
    ) {
        let scale_across = if size.is_some() { 100.0 } else { scale };
        let settings = Transform { turn, scale_across, width: size, mirror, about, keep_original, ..Transform::default() };
        let done = match transform(design.clone(), &selected, &settings) {
            Ok(done) => done,
            // Something thin brought to a width can become very long.
            Err(refused) => {
                prop_assert!(size.is_some() && refused.message.contains("more than 10 m"), "{:?}", refused);
                return Ok(());
            }
        };
        prop_assert_eq!(&run(design.clone(), &selected, &settings), &done);
        let kept: Vec<&Object> = done.objects.iter().filter(|object| {
            design.objects.iter().enumerate().any(|(i, old)| {
                old.id == object.id && (keep_original || !selected.contains(&i))
            })
        }).collect();
        let others: Vec<&Object> = design.objects.iter().enumerate()
            .filter(|(i, _)| keep_original || !selected.contains(i))
            .map(|(_, object)| object)
            .collect();
        prop_assert_eq!(kept, others);
        let ids: BTreeSet<&str> = done.objects.iter().map(|object| object.id.as_str()).collect();
        prop_assert_eq!(ids.len(), done.objects.len());
    }
}
