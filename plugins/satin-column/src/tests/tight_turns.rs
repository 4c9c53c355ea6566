//! Lines that turn back on themselves tighter than they are wide: no part of them is left out.

use super::{moves, sew};
use crate::SatinColumn;
use geo::LineString;
use hoopwright_sdk::geometry::measure::{distance, to_edge};
use hoopwright_sdk::geometry::resample::cumulative;
use hoopwright_sdk::prelude::*;
use std::f64::consts::{PI, TAU};

fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

/// A curve from `from` to `to`, drawn towards `by` on the way.
fn curve(from: Coord<f64>, by: Coord<f64>, to: Coord<f64>) -> impl Iterator<Item = Coord<f64>> {
    (0..=60).map(|i| f64::from(i) / 60.0).map(move |t| {
        let (a, b) = (from + (by - from) * t, by + (to - by) * t);
        a + (b - a) * t
    })
}

/// Two bent arms that meet in half a circle of `radius` mm, drawn in `chords` straight pieces.
fn hairpin(radius: f64, chords: u32) -> LineString<f64> {
    let arc = (1..chords)
        .map(|i| f64::from(i) / f64::from(chords) * PI)
        .map(|t| at(80.0 + radius * t.sin(), 20.0 + radius * t.cos()));
    curve(at(8., 30.), at(40., 85.), at(80., 20.0 + radius))
        .chain(arc)
        .chain(curve(at(80., 20.0 - radius), at(45., 40.), at(20., 80.)))
        .collect()
}

/// A curve that swings across and up and down in the ratio of 3 to 4.
fn lissajous(places: u32) -> LineString<f64> {
    (0..=places)
        .map(|i| f64::from(i % places) / f64::from(places) * TAU)
        .map(|t| {
            at(
                45.0 + 40.0 * (3.0 * t).sin(),
                45.0 + 40.0 * (4.0 * t + 0.6).sin(),
            )
        })
        .collect()
}

/// Strokes up and down as of a pen, whose upper turns are round and whose lower ones are as tight as
/// `tight` mm.
fn script(tight: f64) -> LineString<f64> {
    let arch = |i: u32| {
        let x = 8.0 + 12.0 * f64::from(i);
        let turn = (1..4)
            .map(|i| f64::from(i) / 4.0 * PI)
            .map(move |t| at(x + 12.0 - tight * t.cos(), 45.0 + tight * t.sin()));
        curve(at(x, 45.), at(x + 2.0, 20.), at(x + 7.0, 22.))
            .chain(curve(
                at(x + 7.0, 22.),
                at(x + 12.0, 24.),
                at(x + 12.0 - tight, 45.),
            ))
            .chain(turn)
    };
    (0..4).flat_map(arch).collect()
}

/// How much of the middle of a line as wide as `width` lies farther than half of that from its cover, in mm.
fn bare_length(line: &LineString<f64>, width: f64) -> f64 {
    let (stitches, _) = sew(
        Object::of_line("line", line, width),
        &SatinColumn::default(),
    );
    let threads: Vec<[Coord<f64>; 2]> = moves(&stitches)
        .filter(|(_, b)| b.role == StitchRole::Cover)
        .map(|(a, b)| [a.at, b.at])
        // A stitch across bare cloth covers nothing.
        .filter(|[a, b]| distance(*a, *b) < 1.5 * width + 1.0)
        .collect();
    let (lengths, step) = (cumulative(&line.0), 0.1);
    let all = lengths[lengths.len() - 1];
    let places = (0..)
        .map(|i| step * f64::from(i))
        .take_while(|way| *way < all);
    let bare = places.filter(|way| {
        let next = lengths.partition_point(|length| length <= way).max(1);
        let (a, b) = (line.0[next - 1], line.0[next]);
        let place = a + (b - a) * ((way - lengths[next - 1]) / (lengths[next] - lengths[next - 1]));
        let covers = |thread: &[Coord<f64>; 2]| to_edge(place, *thread) <= width / 2.0;
        !threads.iter().any(covers)
    });
    step * bare.count() as f64
}

#[test]
fn lines_are_sewn_all_the_way_behind_tight_turns() {
    let mut lines = vec![
        ("lissajous of 90".to_owned(), lissajous(90)),
        ("lissajous of 600".to_owned(), lissajous(600)),
    ];
    for radius in [0.02, 0.05, 0.1, 0.3, 1.0] {
        for chords in [2, 3, 4, 6] {
            lines.push((
                format!("hairpin {radius} of {chords}"),
                hairpin(radius, chords),
            ));
        }
        lines.push((format!("script {radius}"), script(radius)));
    }
    let mut bare = Vec::new();
    for (name, line) in lines {
        for width in [1.0, 2.0, 4.0] {
            for (way, line) in [
                ("", line.clone()),
                (" back", line.0.iter().rev().copied().collect()),
            ] {
                let length = bare_length(&line, width);
                if length > 0.0 {
                    bare.push(format!("{name}{way}, {width} mm wide: {length:.1} mm"));
                }
            }
        }
    }
    assert!(bare.is_empty(), "{bare:#?}");
}
