//! Values from outside the project.

use crate::measures::{covered, length_of, moves};
use crate::shapes::*;
use hoopwright_region_fill::{NeedlePoints, RegionFill, Underlay};
use hoopwright_sdk::StitchRole;
use hoopwright_sdk::geometry::geo::{Area, Coord, MultiPolygon};
use std::collections::BTreeMap;

fn bare(density: f64) -> RegionFill {
    RegionFill {
        angle: Some(0.0),
        density,
        pull_compensation: 0.0,
        underlay: Underlay::None,
        ..RegionFill::default()
    }
}

/// Integral geometry (Cauchy-Crofton): parallel lines at pitch d have the total length A/d inside an
/// area A. Rows 0.4 mm apart: disc R = 10: 785.398; rectangle 30 x 10: 750; ring 4-10: 659.73. The
/// turns along the edge come on top: at most 4 % here.
#[test]
fn the_cover_is_as_long_as_area_over_pitch() {
    let cases = [
        (disc(), 785.398),
        (rectangle(30.0, 10.0), 750.0),
        (annulus(), 659.73),
    ];
    for (area, expected) in cases {
        let length = length_of(&stitches(&area, &bare(0.8)), StitchRole::Cover);
        let ratio = length / expected;
        assert!((0.99..1.04).contains(&ratio), "{length} for {expected}");
    }
}

/// D. Harris's seminar of 1990 gives fills of 110 to 160 stitches per cm² (in the reference notes).
#[test]
fn a_fill_has_the_stitches_per_area_that_the_trade_gives() {
    let area = rectangle(60.0, 60.0);
    let settings = RegionFill {
        underlay: Underlay::None,
        ..RegionFill::default()
    };
    let per_square = stitches(&area, &settings).len() as f64 / (area.unsigned_area() / 100.0);
    assert!((110.0..160.0).contains(&per_square), "{per_square}");
}

/// Needle points realign about every 4th row (Printwear, July 2019), not before.
#[test]
fn needle_points_realign_every_fourth_row() {
    let mut rows: BTreeMap<i64, Vec<f64>> = BTreeMap::new();
    for stitch in stitches(&rectangle(40.0, 10.0), &bare(0.4)) {
        // Away from the ends of the rows.
        if (8.0..32.0).contains(&stitch.at.x) {
            let row = (stitch.at.y / 0.2).floor() as i64;
            rows.entry(row)
                .or_default()
                .push(stitch.at.x.rem_euclid(4.0));
        }
    }
    assert_eq!(rows.len(), 50);
    let apart = |a: i64, b: i64| {
        let apart = (rows[&a][0] - rows[&b][0]).rem_euclid(4.0);
        apart.min(4.0 - apart)
    };
    for row in 0..46 {
        assert!(apart(row, row + 4) < 1e-6);
        for nearer in 1..4 {
            assert!(apart(row, row + nearer) > 0.99);
        }
    }
}

/// Whatever the pattern, neighbouring rows have no needle points side by side: measured on the cloth,
/// away from the ends of the rows.
#[test]
fn needle_points_of_neighbouring_rows_keep_apart() {
    for (needle_points, least) in [
        (NeedlePoints::Steps, 0.99),
        (NeedlePoints::Bricks, 1.99),
        (NeedlePoints::Scattered, 1.52),
    ] {
        let settings = RegionFill {
            needle_points,
            ..bare(0.4)
        };
        let points: Vec<Coord<f64>> = stitches(&rectangle(40.0, 10.0), &settings)
            .iter()
            .map(|stitch| stitch.at)
            .filter(|at| (8.0..32.0).contains(&at.x))
            .collect();
        let mut nearest = f64::INFINITY;
        for (i, a) in points.iter().enumerate() {
            for b in &points[..i] {
                if (0.1..0.3).contains(&(a.y - b.y).abs()) {
                    nearest = nearest.min((a.x - b.x).abs());
                }
            }
        }
        assert!(nearest > least, "{needle_points:?}: {nearest} mm");
    }
}

/// 40 weight thread lies about 0.25 mm wide and spreads (L. Goodall, "Understanding density": full
/// cover at a density of 0.4). With 0.1 mm of spread at each side, no more than 0.5 % is bare.
#[test]
fn a_density_of_0_4_covers_fully() {
    let shapes: [(&str, MultiPolygon<f64>); 4] = [
        ("disc", disc()),
        ("rectangle", rectangle(30.0, 10.0)),
        ("ring", annulus()),
        ("star with holes", holed_star()),
    ];
    for (name, area) in shapes {
        for angle in [0.0, 33.0] {
            let settings = RegionFill {
                angle: Some(angle),
                underlay: Underlay::None,
                ..RegionFill::default()
            };
            let mut threads = moves(&stitches(&area, &settings));
            threads.retain(|m| m.role == StitchRole::Cover);
            let share = covered(&area, &threads, 0.45);
            println!("{name} at {angle} degrees: {:.2} % covered", share * 100.0);
            assert!(share >= 0.995, "{name} at {angle} degrees: {share}");
        }
    }
}

/// Thread that lies in heaps breaks needles, and along an edge most of it meets: there the underlay is
/// its edge run alone where edges are to be spared. Rows across end inside that, and no turn from row to row lies along the edge.
#[test]
fn along_an_edge_the_underlay_is_one_run() {
    let (wide, high) = (40.0, 30.0);
    let settings = RegionFill {
        angle: Some(0.0),
        underlay: Underlay::Both,
        spare_edges: true,
        ..RegionFill::default()
    };
    let (inset, border) = (settings.underlay_inset, 1.2);
    let sewn = stitches(&rectangle(wide, high), &settings);
    let from_edge = |at: Coord<f64>| at.x.min(wide - at.x).min(at.y).min(high - at.y);
    let under = moves(&sewn)
        .into_iter()
        .filter(|m| m.role != StitchRole::Cover);
    // Cut into a hundred, each piece lies where its middle lies.
    let along: f64 = under
        .map(|m| {
            let near = |i: &i32| {
                from_edge(m.from + (m.to - m.from) * ((f64::from(*i) + 0.5) / 100.0)) < border
            };
            m.length() * (0..100).filter(near).count() as f64 / 100.0
        })
        .sum();
    let run = 2.0 * (wide + high) - 8.0 * inset;
    assert!(along >= run - 1.0, "{along} of {run}");
    assert!(along <= run + 2.0 * border, "{along} of {run}");
    // Rows across are 2 to 4 mm apart (trade practice); here 2.5, so that 40 by 30 mm take at least
    // as many as fit inside the edge run.
    let rows = length_of(&sewn, StitchRole::Underlay) - run;
    let inner = (wide - 2.0 * (inset + 1.0)) * (high - 2.0 * (inset + 1.0));
    assert!(rows > inner / 4.0, "{rows} mm of rows on {inner} mm2");
}
