//! Letters and signs drawn for these tests, with bars 3 to 4 mm wide.

use super::shapes::{ellipse, region, ring_of};
use hoopwright_sdk::geometry::area::{difference, union};
use hoopwright_sdk::prelude::geo::MultiPolygon;

type Area = MultiPolygon<f64>;

fn shape(corners: &[(f64, f64)]) -> Area {
    region([ring_of(corners.iter().copied())])
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Area {
    shape(&[
        (x, y),
        (x + width, y),
        (x + width, y + height),
        (x, y + height),
    ])
}

fn disc(x: f64, y: f64, a: f64, b: f64) -> Area {
    region([ellipse(x, y, a, b)])
}

fn all(parts: impl IntoIterator<Item = Area>) -> Area {
    let nothing = MultiPolygon::new(Vec::new());
    parts
        .into_iter()
        .fold(nothing, |all, part| union(&all, &part))
}

fn letter_l() -> Area {
    shape(&[
        (0., 0.),
        (4., 0.),
        (4., 20.),
        (14., 20.),
        (14., 24.),
        (0., 24.),
    ])
}

/// Two arms at 40 degrees to each other.
fn letter_v() -> Area {
    shape(&[
        (0., 0.),
        (4., 0.),
        (9., 14.),
        (14., 0.),
        (18., 0.),
        (11., 20.),
        (7., 20.),
    ])
}

fn chevron() -> Area {
    shape(&[
        (0., 0.),
        (12., 8.),
        (24., 0.),
        (24., 4.5),
        (12., 12.5),
        (0., 4.5),
    ])
}

fn letter_x() -> Area {
    all([
        shape(&[(0., 0.), (4., 0.), (18., 24.), (14., 24.)]),
        shape(&[(14., 0.), (18., 0.), (4., 24.), (0., 24.)]),
    ])
}

fn letter_k() -> Area {
    all([
        rectangle(0., 0., 4., 24.),
        shape(&[(3., 14.), (12., 4.), (16.5, 4.), (3., 19.)]),
        shape(&[(7., 12.), (11., 11.), (17., 24.), (12.5, 24.)]),
    ])
}

fn letter_e() -> Area {
    let ring = difference(&disc(9., 9., 9., 9.), &disc(9., 9., 5.2, 5.2));
    let open = difference(
        &ring,
        &shape(&[(9.5, 10.5), (20., 10.5), (20., 15.), (12., 13.)]),
    );
    all([open, rectangle(2., 7., 15.5, 3.5)])
}

fn letter_a() -> Area {
    let bowl = difference(&disc(8., 9., 8., 9.), &disc(8., 9., 4.4, 5.6));
    all([bowl, rectangle(12.5, 0.5, 3.8, 17.5)])
}

fn letter_b() -> Area {
    let upper = all([rectangle(0., 0., 9., 11.), disc(9., 5.5, 6., 5.5)]);
    let lower = all([rectangle(0., 9., 10., 13.), disc(10., 15.5, 7., 6.5)]);
    let holes = all([
        rectangle(4., 3.2, 5., 4.4),
        disc(9., 5.4, 2.6, 2.2),
        rectangle(4., 12., 6., 6.6),
        disc(10., 15.3, 3.2, 3.3),
    ]);
    difference(&all([upper, lower]), &holes)
}

fn letter_s() -> Area {
    let line: hoopwright_sdk::prelude::geo::LineString<f64> = (0..=60)
        .map(|i| f64::from(i) / 60.0 * 1.5 * std::f64::consts::PI)
        .map(|t| (6.0 - 6.0 * (t + 0.7).cos(), 6.0 - 6.0 * (t + 0.7).sin()))
        .map(|(x, y)| (12.0 - x, y))
        .collect();
    let upper = hoopwright_sdk::geometry::offset::stroke(&line, 3.4);
    let turned = line.0.iter().map(|c| (12.0 - c.x, 24.0 - c.y)).collect();
    let lower = hoopwright_sdk::geometry::offset::stroke(&turned, 3.4);
    all([upper, lower])
}

fn letter_w() -> Area {
    shape(&[
        (0., 0.),
        (3.6, 0.),
        (7., 14.),
        (10.5, 2.),
        (13.5, 2.),
        (17., 14.),
        (20.4, 0.),
        (24., 0.),
        (19., 20.),
        (15.5, 20.),
        (12., 8.),
        (8.5, 20.),
        (5., 20.),
    ])
}

fn frame() -> Area {
    difference(&rectangle(0., 0., 24., 16.), &rectangle(3.5, 3.5, 17., 9.))
}

/// A triangle with a hole of the same form: corners of 60 degrees.
fn triangle_frame() -> Area {
    difference(
        &shape(&[(0., 0.), (24., 0.), (12., 20.8)]),
        &shape(&[(5.2, 3.), (18.8, 3.), (12., 14.8)]),
    )
}

/// A blunt bar with a bay in its end and one in its side.
fn bar_with_bays() -> Area {
    let bar = rectangle(0., 0., 20., 8.);
    let bays = all([disc(20., 4.5, 3., 1.5), disc(9., 8., 2., 1.6)]);
    difference(&bar, &bays)
}

fn blob_with_bays() -> Area {
    region([ring_of(
        (0..90)
            .map(|i| f64::from(i) / 90.0 * std::f64::consts::TAU)
            .map(|t| {
                let r = 8.0 + 2.5 * (3.0 * t).cos() + 1.2 * (7.0 * t + 0.5).sin();
                (r * 1.3 * t.cos(), r * 0.8 * t.sin())
            }),
    )])
}

fn arrow() -> Area {
    shape(&[
        (0., 6.),
        (14., 6.),
        (14., 1.),
        (24., 8.),
        (14., 15.),
        (14., 10.),
        (0., 10.),
    ])
}

fn step() -> Area {
    shape(&[
        (0., 0.),
        (10., 0.),
        (10., 8.),
        (20., 8.),
        (20., 12.),
        (6., 12.),
        (6., 4.),
        (0., 4.),
    ])
}

pub fn letters() -> Vec<(&'static str, MultiPolygon<f64>)> {
    vec![
        ("letter-l", letter_l()),
        ("letter-v", letter_v()),
        ("letter-x", letter_x()),
        ("letter-k", letter_k()),
        ("letter-e", letter_e()),
        ("letter-a", letter_a()),
        ("letter-b", letter_b()),
        ("letter-s", letter_s()),
        ("letter-w", letter_w()),
        ("chevron", chevron()),
        ("frame", frame()),
        ("triangle-frame", triangle_frame()),
        ("bar-with-bays", bar_with_bays()),
        ("blob-with-bays", blob_with_bays()),
        ("arrow", arrow()),
        ("step", step()),
    ]
}
