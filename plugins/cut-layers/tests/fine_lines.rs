//! Lines too fine to hide anything but their own kind.

mod drawings;

use drawings::{cut, cut_with, ids, lengths, line};
use hoopwright_cut_layers::CutLayers;
use hoopwright_sdk::Lines;
use hoopwright_sdk::prelude::*;

/// Two neighbours with fine borders, each a closed line, which share an edge 20 mm long: it is sewn once.
#[test]
fn fine_lines_of_one_thread_are_sewn_once_where_they_share_a_way() {
    let border = |id: &str, left: f64, width: f64, thread: u32| {
        let corners = [(0., 0.), (20., 0.), (20., 20.), (0., 20.)];
        let corners = corners.map(|(x, y)| Coord { x: x + left, y });
        let paths = vec![Polyline::new(corners.to_vec(), true)];
        let mut object = Object::new(id, Shape::Lines(Lines { paths, width }));
        object.thread = thread;
        object
    };
    let left = |lower: f64, upper: f64, thread: u32| {
        let above = border("upper", 20., upper, thread);
        lengths(&cut(vec![border("lower", 0., lower, 0), above]), "lower")
    };
    for width in [0.2, 0.5, 0.9] {
        let [kept] = left(width, width, 0)[..] else {
            panic!("one piece stays");
        };
        // Half a width before each corner the upper hides all of it, and the underlap is 0.5 mm.
        assert!((60.0..=61.0 + 1e-6).contains(&kept), "{kept} at {width}");
    }
    assert_eq!(left(0.5, 0.5, 1), [80.0], "another thread");
    assert_eq!(left(0.9, 0.5, 0), [80.0], "it shows on both sides");
    // A duplicate goes, however short; what only crosses stays, and so does what lies beside.
    let stroke = |id: &str, from: (f64, f64), to: (f64, f64)| line(id, &[from, to], 0.5);
    let lower = || stroke("lower", (5., 5.), (7., 5.));
    let with = |upper: Object| ids(&cut(vec![lower(), upper])).len();
    assert_eq!(with(stroke("upper", (7., 5.), (5., 5.))), 1);
    assert_eq!(with(stroke("upper", (6., 0.), (6., 9.))), 2);
    assert_eq!(with(stroke("upper", (5., 5.4), (7., 5.4))), 2);
    let mut sheer = stroke("upper", (5., 5.), (7., 5.));
    sheer.tags = vec!["sheer".to_owned()];
    let never_cut = CutLayers {
        never_cut: vec!["sheer".to_owned()],
        ..CutLayers::default()
    };
    assert_eq!(ids(&cut_with(vec![lower(), sheer], &never_cut)).len(), 2);
}
