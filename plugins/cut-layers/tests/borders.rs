//! Borders: what shows as a band along a fill is sewn after it, and the fill goes on beneath. The areas are
//! worked out by hand: pi r².

mod drawings;

use drawings::{area, cut_with, design, disc, ids, line, object, oblong, region, size, square};
use hoopwright_cut_layers::{Borders, CutLayers, cut_layers};
use hoopwright_sdk::messages;
use hoopwright_sdk::prelude::*;
use std::f64::consts::PI;

fn settings() -> CutLayers {
    CutLayers {
        borders: Borders::AfterFills,
        ..CutLayers::default()
    }
}

fn near(value: f64, expected: f64) {
    let apart = (value - expected).abs();
    assert!(apart <= 2e-3 * expected, "{value} is not {expected}");
}

fn badge() -> Vec<Object> {
    vec![
        region("rim", &disc(50., 50., 40.)),
        region("badge", &disc(50., 50., 37.)),
        region("star", &square(45., 45., 10.)),
    ]
}

/// As every digitizer sews a badge: the ground, then what lies on it, and the rim over the ground's edge.
#[test]
fn a_rim_comes_after_its_ground_which_goes_on_beneath() {
    messages::take();
    let cut = cut_with(badge(), &settings());
    assert_eq!(ids(&cut), ["badge", "rim", "star"]);
    near(size(&cut, "rim"), PI * (1600.0 - 37.0 * 37.0));
    near(size(&cut, "badge"), PI * 37.6 * 37.6 - 8.4 * 8.4);
    let told: Vec<String> = messages::take().into_iter().map(|f| f.message).collect();
    assert!(
        told[0].contains("1 object sewn after the fills along them"),
        "{told:?}"
    );
    assert_eq!(
        cut_with(cut.objects.clone(), &settings()),
        cut,
        "cutting twice changes nothing"
    );
    let painted = cut_with(badge(), &CutLayers::default());
    assert_eq!(ids(&painted), ["rim", "badge", "star"]);
    near(size(&painted, "rim"), PI * (1600.0 - 36.2 * 36.2));
}

/// Two windows of one frame: both go on beneath it, and it comes after both.
#[test]
fn a_frame_comes_after_all_its_windows() {
    let cut = cut_with(
        vec![
            region("frame", &oblong(0., 0., 46., 23.)),
            region("left", &oblong(2., 2., 20., 19.)),
            region("apart", &square(80., 80., 9.)),
            region("right", &oblong(24., 2., 20., 19.)),
        ],
        &settings(),
    );
    assert_eq!(ids(&cut), ["left", "apart", "right", "frame"]);
    near(size(&cut, "frame"), 46.0 * 23.0 - 2.0 * 20.0 * 19.0);
    // The corners that grow are round.
    near(size(&cut, "left"), 20.0 * 19.0 + 0.6 * 78.0 + PI * 0.36);
    near(size(&cut, "right"), size(&cut, "left"));
}

/// What lies on the rim stays on it, and the rim goes on beneath; what lies between rim and ground keeps the rim
/// where it was painted, since it would vanish beneath it.
#[test]
fn what_lies_on_a_rim_stays_on_it() {
    let leaf = region("leaf", &oblong(85., 48., 3., 4.));
    let mut above = badge();
    above.push(leaf.clone());
    let above = cut_with(above, &settings());
    assert_eq!(ids(&above), ["badge", "rim", "star", "leaf"]);
    let [rim, leaf_area] = ["rim", "leaf"].map(|id| area(object(&above, id)));
    let beneath = geometry::area::intersection(&rim, &leaf_area);
    assert!(
        geo::Area::unsigned_area(&beneath) > 0.0,
        "it goes on beneath the leaf"
    );

    let mut between = badge();
    between.insert(1, leaf);
    let between = cut_with(between, &settings());
    assert_eq!(ids(&between), ["rim", "leaf", "badge", "star"]);
    let mut line_between = badge();
    line_between.insert(1, line("vein", &[(86., 40.), (89., 60.)], 0.4));
    let line_between = cut_with(line_between, &settings());
    assert_eq!(ids(&line_between), ["rim", "vein", "badge", "star"]);
}

/// A wide rim is a fill itself, a hair is none that could be sewn, and a leaf that a body covers at one end has no
/// band along it.
#[test]
fn only_bands_are_borders() {
    for (id, lower, upper) in [
        ("wide", disc(50., 50., 40.), disc(50., 50., 30.)),
        ("hair", disc(50., 50., 40.), disc(50., 50., 39.4)),
        ("leaf", oblong(0., 20., 40., 4.), oblong(30., 0., 40., 40.)),
        ("narrow", disc(50., 50., 4.), disc(50., 50., 2.)),
    ] {
        let objects = vec![region(id, &lower), region("upper", &upper)];
        let cut = cut_with(objects.clone(), &settings());
        assert_eq!(cut, cut_with(objects, &CutLayers::default()), "{id}");
    }
}

#[test]
fn nothing_moves_where_the_fill_must_stay_as_it_is() {
    let before = design(badge());
    let only_the_rim = cut_layers(before.clone(), &[0], &settings()).expect("it works");
    assert_eq!(ids(&only_the_rim), ["rim", "badge", "star"]);
    assert_eq!(only_the_rim.objects[1..], before.objects[1..]);
    let mut kept = badge();
    kept[0].tags.push("whole".to_owned());
    let settings = CutLayers {
        keep_whole: vec!["whole".to_owned()],
        ..settings()
    };
    let cut = cut_with(kept.clone(), &settings);
    assert_eq!(object(&cut, "rim"), &kept[0]);
}
