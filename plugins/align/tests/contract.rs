//! What the host enforces, over random designs and settings.

use hoopwright_align::{Across, Align, Down, RelativeTo, Spread, Unit, align};
use hoopwright_sdk::geometry::geo::{LineString, polygon};
use hoopwright_sdk::prelude::*;
use proptest::prelude::*;

fn object() -> impl Strategy<Value = Object> {
    let place = (-80.0..80.0f64, -80.0..80.0f64);
    let region = (place.clone(), (0.0..30.0f64, 0.0..30.0f64)).prop_map(|((x, y), (w, h))| {
        let area = polygon![(x: x, y: y), (x: x + w, y: y), (x: x + w, y: y + h)];
        Object::of_region("region", &area.into())
    });
    let line = (prop::collection::vec(place, 0..5), 0.0..6.0f64)
        .prop_map(|(corners, width)| Object::of_line("line", &LineString::from(corners), width));
    prop_oneof![region, line, Just(Object::new("nothing", Shape::Manual))]
}

fn settings() -> impl Strategy<Value = Align> {
    let across = prop_oneof![
        Just(Across::Keep),
        Just(Across::Centre),
        Just(Across::Right)
    ];
    let down = prop_oneof![Just(Down::Keep), Just(Down::Top), Just(Down::Bottom)];
    let frame = prop_oneof![
        Just(RelativeTo::Selection),
        Just(RelativeTo::Largest),
        Just(RelativeTo::Page),
        Just(RelativeTo::Hoop),
        Just(RelativeTo::Rectangle)
    ];
    let spread = prop_oneof![
        Just(Spread::Keep),
        Just(Spread::EqualGaps),
        Just(Spread::EqualCentres)
    ];
    let unit = prop_oneof![Just(Unit::Object), Just(Unit::Group)];
    (across, down, frame, spread, unit).prop_map(|(across, down, relative_to, spread, unit)| {
        Align {
            across,
            down,
            relative_to,
            unit,
            spread_across: if across != Across::Keep
                && (unit == Unit::Object || relative_to == RelativeTo::Largest)
            {
                Spread::Keep
            } else {
                spread
            },
            ..Align::default()
        }
    })
}

fn places(object: &Object) -> Vec<f64> {
    match &object.shape {
        Shape::Region(region) => region
            .polygons
            .iter()
            .flat_map(|p| p.outer.x.iter().chain(&p.outer.y))
            .copied()
            .collect(),
        Shape::Lines(lines) => lines
            .paths
            .iter()
            .flat_map(|p| p.x.iter().chain(&p.y))
            .copied()
            .collect(),
        Shape::Manual => Vec::new(),
    }
}

proptest! {
    #[test]
    fn the_unselected_stay_and_twice_is_once(
        objects in prop::collection::vec((object(), any::<bool>()), 0..12),
        settings in settings(),
    ) {
        let selected: Vec<usize> = (0..objects.len()).filter(|&i| objects[i].1).collect();
        let design = Design::on_page(90., 70., objects.into_iter().map(|(object, _)| object).collect());
        let once = align(design.clone(), &selected, &settings).expect("no contradiction");
        prop_assert_eq!(once.objects.len(), design.objects.len());
        for i in (0..design.objects.len()).filter(|i| !selected.contains(i)) {
            prop_assert_eq!(&once.objects[i], &design.objects[i]);
        }
        let twice = align(once.clone(), &selected, &settings).expect("no contradiction");
        for (a, b) in once.objects.iter().zip(&twice.objects) {
            for (a, b) in places(a).into_iter().zip(places(b)) {
                prop_assert!((a - b).abs() < 1e-6, "{} moved from {a} to {b}", once.title);
            }
        }
    }
}
