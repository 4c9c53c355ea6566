//! Satin over joined outlines: no line is sewn twice, and what runs on straight has no jump.

use crate::drawing::{away, joined, length, lines_of, sewn, wide};
use hoopwright_join_outlines::{JoinOutlines, Weight};
use hoopwright_satin_column::{SatinColumn, satin_column};
use hoopwright_sdk::geometry::geo::{Coord, LineString};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

fn once() -> JoinOutlines {
    JoinOutlines {
        weight: Weight::Once,
        ..JoinOutlines::default()
    }
}

fn satin(object: Object) -> Object {
    let thread = Thread {
        name: "brown".to_owned(),
        code: String::new(),
        red: 90,
        green: 60,
        blue: 30,
        weight: 40,
    };
    satin_column(object, &thread, &SatinColumn::default()).expect("it can be sewn")
}

/// The mm of cover thread that the needle lays.
fn cover(object: &Object) -> f64 {
    let stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
    let steps = stitches
        .windows(2)
        .filter(|pair| pair[1].kind == StitchKind::Needle && pair[1].role == StitchRole::Cover);
    steps.map(|pair| distance(pair[0].at, pair[1].at)).sum()
}

/// A cross, a T and a corner, drawn in seven pieces.
fn bough() -> Vec<Object> {
    let pieces: [&[(f64, f64)]; 7] = [
        &[(0., 0.), (15., 0.)],
        &[(15., 0.), (30., 0.)],
        &[(15., -10.), (15., 0.)],
        &[(15., 0.), (15., 12.)],
        &[(30., 0.), (45., 3.)],
        &[(24., 0.), (24., 9.)],
        &[(45., 3.), (45., 14.)],
    ];
    let pieces = pieces.iter().enumerate();
    pieces
        .map(|(i, piece)| wide(&format!("bough-{i}"), piece, 2.0))
        .collect()
}

#[test]
fn pieces_run_on_straight_and_are_sewn_once() {
    let drawn: f64 = bough().iter().map(length).sum();
    let (objects, findings) = joined(bough(), &once());
    assert_eq!(objects.len(), 1);
    // The bough with its bend, the stroke across it, and the twig.
    assert_eq!(lines_of(&objects[0]).len(), 3);
    assert!((length(&objects[0]) - drawn).abs() < 1e-6);
    assert!(
        findings[0].message.contains("sewn once"),
        "{}",
        findings[0].message
    );
}

#[test]
fn satin_sews_no_line_twice_and_jumps_at_branches_at_most() {
    let (objects, _) = joined(bough(), &once());
    let joined_satin = satin(objects[0].clone());
    let (places, jumps) = sewn(&joined_satin);
    // Two branches hang on the bough: seven pieces would take six.
    assert!(jumps <= 2, "{jumps}");
    // The same thread, within the corners, as piece by piece.
    let pieces: f64 = bough().into_iter().map(|piece| cover(&satin(piece))).sum();
    let whole = cover(&joined_satin);
    assert!(
        (0.9..1.1).contains(&(whole / pieces)),
        "{whole} of {pieces} mm"
    );
    // Any way from one to the next stays under the satin.
    let lines = lines_of(&objects[0]);
    let steps: Vec<[Coord<f64>; 2]> = lines
        .iter()
        .flat_map(|line| line.0.windows(2).map(|s| [s[0], s[1]]))
        .collect();
    for place in places {
        let off = steps
            .iter()
            .map(|&step| away(step, place))
            .fold(f64::INFINITY, f64::min);
        assert!(off <= 1.8, "{place:?} is {off} mm off");
    }
}

/// A trail with least thread sews a branch twice: as satin that would be double.
#[test]
fn the_trail_of_run_would_lay_more_satin() {
    let trail = joined(bough(), &JoinOutlines::default()).0;
    let (objects, _) = joined(bough(), &once());
    assert!(length(&trail[0]) > length(&objects[0]) + 5.0);
}

#[test]
fn rings_and_their_neighbours_stay_whole() {
    let ring: Vec<(f64, f64)> = (0..40)
        .map(|i| f64::from(i) * 9.0_f64.to_radians())
        .map(|a| (10.0 * a.cos(), 10.0 * a.sin()))
        .collect();
    let mut eye = wide("eye", &ring, 1.5);
    if let Shape::Lines(lines) = &mut eye.shape {
        lines.paths[0].closed = true;
    }
    let lid = wide("lid", &[(-20., 0.), (-10., 0.)], 1.5);
    let (objects, _) = joined(vec![eye, lid], &once());
    assert_eq!(objects.len(), 1);
    let lines = lines_of(&objects[0]);
    assert_eq!(lines.len(), 2);
    assert!(lines.iter().any(LineString::is_closed), "{lines:?}");
    assert!(sewn(&satin(objects[0].clone())).1 <= 1);
}
