//! Shapes to sew.

use geo::{LineString, MultiPolygon};
use hoopwright_sdk::geometry::{FillRule, area::from_rings};
use hoopwright_sdk::prelude::*;
use std::f64::consts::TAU;

pub fn ring_of(corners: impl IntoIterator<Item = (f64, f64)>) -> LineString<f64> {
    let mut ring: LineString<f64> = corners.into_iter().map(|(x, y)| Coord { x, y }).collect();
    ring.close();
    ring
}

pub fn region(rings: impl IntoIterator<Item = LineString<f64>>) -> MultiPolygon<f64> {
    from_rings(rings, FillRule::EvenOdd)
}

pub fn ellipse(cx: f64, cy: f64, a: f64, b: f64) -> LineString<f64> {
    ring_of(
        (0..180)
            .map(|i| f64::from(i) / 180.0 * TAU)
            .map(|t| (cx + a * t.cos(), cy + b * t.sin())),
    )
}

pub fn ring(inner: f64, outer: f64) -> MultiPolygon<f64> {
    region([
        ellipse(0.0, 0.0, outer, outer),
        ellipse(0.0, 0.0, inner, inner),
    ])
}

pub fn rectangle(width: f64, height: f64) -> MultiPolygon<f64> {
    region([ring_of([
        (0.0, 0.0),
        (width, 0.0),
        (width, height),
        (0.0, height),
    ])])
}

pub fn s_curve_line() -> LineString<f64> {
    (0..=120)
        .map(|i| f64::from(i) / 120.0)
        .map(|t| Coord {
            x: 40.0 * t,
            y: 9.0 * (TAU * t).sin(),
        })
        .collect()
}

/// A strip along an S, 3 mm wide, with square ends.
pub fn s_curve(width: f64) -> MultiPolygon<f64> {
    let line = s_curve_line();
    let side = |sign: f64| {
        let corners = &line.0;
        let offset = move |i: usize| {
            let (a, b) = (
                corners[i.saturating_sub(1)],
                corners[(i + 1).min(corners.len() - 1)],
            );
            let d = b - a;
            let n = Coord { x: -d.y, y: d.x } / d.x.hypot(d.y);
            corners[i] + n * (sign * width / 2.0)
        };
        (0..corners.len()).map(offset).collect::<Vec<_>>()
    };
    let mut corners = side(1.0);
    corners.extend(side(-1.0).into_iter().rev());
    region([ring_of(corners.into_iter().map(|c| (c.x, c.y)))])
}

pub fn t_fork() -> MultiPolygon<f64> {
    region([ring_of([
        (0., 0.),
        (30., 0.),
        (30., 5.),
        (17., 5.),
        (17., 22.),
        (13., 22.),
        (13., 5.),
        (0., 5.),
    ])])
}

pub fn y_fork() -> MultiPolygon<f64> {
    region([ring_of([
        (0., 2.),
        (3., 0.),
        (12., 9.),
        (21., 0.),
        (24., 2.),
        (14., 13.),
        (14., 26.),
        (10., 26.),
        (10., 13.),
    ])])
}

pub fn star() -> MultiPolygon<f64> {
    region([ring_of((0..10).map(|i| {
        let t = f64::from(i) / 10.0 * TAU - TAU / 4.0;
        let r = if i % 2 == 0 { 14.0 } else { 5.5 };
        (r * t.cos(), r * t.sin())
    }))])
}

pub fn teardrop() -> MultiPolygon<f64> {
    region([ring_of((0..120).map(|i| f64::from(i) / 120.0 * TAU).map(
        |t| (12.0 * t.cos(), 3.5 * t.sin() * (t / 2.0).sin().powi(2)),
    ))])
}

/// A barb-edged feather with a notch.
pub fn feather() -> MultiPolygon<f64> {
    let mut corners: Vec<(f64, f64)> = (0..=40)
        .map(|i| f64::from(i) / 40.0)
        .map(|t| {
            (
                30.0 * t,
                -3.2 * (t * TAU / 2.0).sin().powf(0.7) - 3.0 * t * t,
            )
        })
        .collect();
    corners.extend((0..40).rev().map(|i| f64::from(i) / 40.0).map(|t| {
        (
            30.0 * t,
            3.2 * (t * TAU / 2.0).sin().powf(0.7) - 3.0 * t * t,
        )
    }));
    corners.insert(60, (19.0, -0.4));
    region([ring_of(corners)])
}

pub fn outline_ellipse() -> MultiPolygon<f64> {
    region([ellipse(0.0, 0.0, 12.0, 7.0), ellipse(0.0, 0.0, 10.8, 5.8)])
}

pub fn two_holes() -> MultiPolygon<f64> {
    region([
        ellipse(0.0, 0.0, 14.0, 14.0),
        ellipse(-6.0, 0.0, 4.0, 4.0),
        ellipse(6.0, 0.0, 4.0, 4.0),
    ])
}

pub fn h_shape() -> MultiPolygon<f64> {
    region([ring_of([
        (0., 0.),
        (4., 0.),
        (4., 10.),
        (14., 10.),
        (14., 0.),
        (18., 0.),
        (18., 24.),
        (14., 24.),
        (14., 14.),
        (4., 14.),
        (4., 24.),
        (0., 24.),
    ])])
}

/// A ring with a tail, like the letter Q.
pub fn ring_with_tail() -> MultiPolygon<f64> {
    let tail = region([ring_of([
        (5.0, 5.0),
        (7.0, 3.0),
        (16.0, 12.0),
        (14.0, 14.0),
    ])]);
    let hole = region([ellipse(0.0, 0.0, 5.0, 5.0)]);
    let disc = region([ellipse(0.0, 0.0, 9.0, 9.0)]);
    let outer = geometry::area::union(&disc, &tail);
    geometry::area::difference(&outer, &hole)
}

/// Two arms 4 mm wide that meet square.
pub fn l_bend() -> MultiPolygon<f64> {
    region([ring_of([
        (0., 0.),
        (20., 0.),
        (20., 4.),
        (4., 4.),
        (4., 20.),
        (0., 20.),
    ])])
}

/// An X of two crossing bars.
pub fn cross() -> MultiPolygon<f64> {
    region([ring_of([
        (10., 0.),
        (14., 0.),
        (14., 10.),
        (24., 10.),
        (24., 14.),
        (14., 14.),
        (14., 24.),
        (10., 24.),
        (10., 14.),
        (0., 14.),
        (0., 10.),
        (10., 10.),
    ])])
}

pub fn all_regions() -> Vec<(&'static str, MultiPolygon<f64>)> {
    let mut all = vec![
        ("ring", ring(4.0, 10.0)),
        ("s-curve", s_curve(3.0)),
        ("t-fork", t_fork()),
        ("y-fork", y_fork()),
        ("teardrop", teardrop()),
        ("feather", feather()),
        ("outline-ellipse", outline_ellipse()),
        ("star", star()),
        ("rectangle", rectangle(20.0, 3.0)),
        ("ellipse", region([ellipse(0.0, 0.0, 10.0, 4.0)])),
        ("two-holes", two_holes()),
        ("h", h_shape()),
        ("ring-with-tail", ring_with_tail()),
        ("cross", cross()),
        ("disc", region([ellipse(0.0, 0.0, 4.0, 4.0)])),
        ("square", rectangle(6.0, 6.0)),
        ("l-bend", l_bend()),
    ];
    all.extend(super::letters::letters());
    all
}

pub fn all_lines() -> Vec<(&'static str, LineString<f64>, f64)> {
    let line = |corners: &[(f64, f64)]| {
        corners
            .iter()
            .map(|&(x, y)| Coord { x, y })
            .collect::<LineString<f64>>()
    };
    vec![
        ("line-s", s_curve_line(), 3.0),
        (
            "line-box",
            ring_of([(0., 0.), (25., 0.), (25., 15.), (0., 15.)]),
            3.0,
        ),
        (
            "line-zigzag",
            line(&[(0., 0.), (10., 12.), (20., 0.), (24., 12.), (28., 0.)]),
            2.5,
        ),
        (
            "line-obtuse",
            line(&[(0., 0.), (12., 0.), (20., 6.), (32., 6.)]),
            4.0,
        ),
        ("line-hairpin", line(&[(0., 0.), (20., 0.), (2., 3.)]), 2.0),
        (
            "line-tight",
            line(&[(0., 0.), (10., 0.), (10.4, 0.2), (10.6, 0.6), (10.6, 12.)]),
            4.0,
        ),
        ("line-circle", ellipse(0.0, 0.0, 8.0, 8.0), 2.0),
        (
            "line-triangle",
            ring_of([(0., 0.), (20., 0.), (10., 17.3)]),
            2.5,
        ),
    ]
}
