//! Covers that follow the outline: one thread, full cover, no line sewn twice.

use crate::measures::{covered, inside, jumps, length_of, moves};
use crate::shapes::*;
use hoopwright_region_fill::{Follow, RegionFill, Underlay};
use hoopwright_sdk::geometry::area::difference;
use hoopwright_sdk::geometry::geo::{Area, Coord, LineString, MultiPolygon, Polygon, Translate};
use hoopwright_sdk::geometry::{clean, offset};
use hoopwright_sdk::{Object, Point, Stitch, StitchRole, stitches_of};
use std::f64::consts::TAU;

fn inward() -> RegionFill {
    RegionFill {
        follow: Follow::Outline,
        underlay: Underlay::None,
        ..RegionFill::default()
    }
}

/// The share of the thread outside the region grown by `by` mm.
fn share_outside(area: &MultiPolygon<f64>, stitches: &[Stitch], by: f64) -> f64 {
    let grown = offset::grow(area, by);
    let (mut all, mut out) = (0.0, 0.0);
    for m in moves(stitches) {
        for k in 0..10 {
            let place = m.from + (m.to - m.from) * ((f64::from(k) + 0.5) / 10.0);
            all += m.length();
            out += if inside(place, &grown) {
                0.0
            } else {
                m.length()
            };
        }
    }
    out / all
}

/// What must hold of any region over 25 mm²; `rare` is the share of stitches that may be under
/// 1 mm. Returns that share.
fn check(name: &str, area: &MultiPolygon<f64>, rare: f64) -> f64 {
    let area = &clean(area);
    let settings = inward();
    let stitches = stitches(area, &settings);
    let moves = moves(&stitches);
    let shorter = |than: f64| moves.iter().filter(|m| m.length() < than).count();
    let short = shorter(1.0) as f64 / moves.len() as f64;
    let share = covered(area, &moves, 0.45);
    let out = share_outside(area, &stitches, settings.pull_compensation + 0.2);
    let length = length_of(&stitches, StitchRole::Cover) / (area.unsigned_area() / 0.2);
    println!(
        "{name}: {share:.4} covered, {length:.3} of area / pitch, {short:.4} short, {out:.5} outside"
    );
    assert_eq!(jumps(&stitches), 0, "{name}");
    assert!(share >= 0.995, "{name}: {share}");
    assert!(length <= 1.10, "{name}: {length}");
    assert!(out <= 0.001, "{name}: {out}");
    assert_eq!(shorter(0.5), 0, "{name}");
    assert!(moves.iter().all(|m| m.length() <= 4.0 + 1e-6), "{name}");
    assert!(short <= rare, "{name}: {short}");
    short
}

/// A letter with a waist and two holes.
fn letter() -> MultiPolygon<f64> {
    let outer = ring(&[
        (0., 0.),
        (8., 0.),
        (11., 1.5),
        (12., 4.5),
        (11., 7.5),
        (9.5, 9.),
        (11.5, 10.5),
        (13., 14.),
        (12., 17.5),
        (9., 20.),
        (0., 20.),
    ]);
    let upper = ring(&[(4., 4.), (4., 7.5), (7., 7.5), (8., 6.), (7., 4.)]);
    let lower = ring(&[(4., 11.5), (4., 16.5), (7.5, 16.5), (9., 14.), (7.5, 11.5)]);
    Polygon::new(outer, vec![upper, lower]).into()
}

fn three_holes() -> MultiPolygon<f64> {
    let outer = ring(&[(0., 0.), (35., -3.), (40., 20.), (20., 26.), (3., 22.)]);
    let holes = vec![
        circle(9., 8., 3.5),
        circle(22., 14., 5.),
        ring(&[(28., 4.), (34., 4.), (33., 9.)]),
    ];
    Polygon::new(outer, holes).into()
}

/// Numbers from 0 to 1 (a linear congruential generator with D. Knuth's MMIX constants).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self, least: f64, most: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = self.0.wrapping_add(1_442_695_040_888_963_407);
        least + (most - least) * ((self.0 >> 33) as f64 / (1u64 << 31) as f64)
    }

    fn ragged(&mut self, corners: usize, least: f64, most: f64) -> MultiPolygon<f64> {
        let corner = |i: usize| {
            let (y, x) = (TAU * i as f64 / corners as f64).sin_cos();
            let radius = self.next(least, most);
            Coord {
                x: x * radius,
                y: y * radius,
            }
        };
        let ring: LineString<f64> = (0..corners).map(corner).collect();
        clean(&Polygon::new(ring, vec![]).into())
    }

    /// A concave region with up to four holes, which may also cut its edge; its largest part.
    fn region(&mut self, number: usize) -> MultiPolygon<f64> {
        let mut area = self.ragged(5 + number % 14, 4.0, 22.0);
        for k in 0..number % 5 {
            let k = k as f64;
            let hole = self
                .ragged(7, 0.5, 3.5)
                .translate(5.0 * k - 8.0, 3.0 - 2.0 * k);
            area = difference(&area, &hole);
        }
        let parts = area.into_iter();
        parts
            .max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))
            .unwrap()
            .into()
    }
}

#[test]
fn shapes_are_covered_by_one_thread() {
    for (name, area) in [
        ("disc", disc()),
        ("ring", annulus()),
        ("rectangle", rectangle(30.0, 10.0)),
        ("star with holes", holed_star()),
        ("comb", comb()),
        ("letter", letter()),
        ("three holes", three_holes()),
    ] {
        check(name, &area, RARE);
    }
}

/// At most one stitch in a hundred under 1 mm (safe from 1 mm: Printwear, December 2016, p. 30), and
/// one more where a region has few.
const RARE: f64 = 0.0125;

#[test]
fn concave_regions_with_holes_are_covered_by_one_thread() {
    let mut numbers = Numbers(7);
    let shares: Vec<f64> = (0..60)
        .map(|i| check(&format!("region {i}"), &numbers.region(i), RARE))
        .collect();
    let mean = shares.iter().sum::<f64>() / shares.len() as f64;
    println!("{mean:.4} short in the mean");
    assert!(mean <= 0.006, "{mean}");
}

/// Lines a pitch d apart have the total length A/d inside an area A (integral geometry): the disc
/// R = 10 at a density of 0.8 mm: 785.398.
#[test]
fn a_disc_takes_area_over_pitch() {
    let settings = RegionFill {
        density: 0.8,
        ..inward()
    };
    let length = length_of(&stitches(&disc(), &settings), StitchRole::Cover);
    assert!((length - 785.398).abs() < 12.0, "{length}");
}

#[test]
fn specks_and_slivers_do_not_come_out_empty() {
    for (width, height) in [
        (1.0, 1.0),
        (0.4, 0.4),
        (20.0, 0.4),
        (20.0, 0.15),
        (0.1, 3.0),
    ] {
        let stitches = stitches(&rectangle(width, height), &inward());
        assert!(stitches.len() >= 2, "{width} x {height}");
        assert_eq!(jumps(&stitches), 0);
        for m in moves(&stitches) {
            assert!(
                (0.5..=4.0 + 1e-6).contains(&m.length()),
                "{} mm",
                m.length()
            );
        }
        // From end to end.
        let long = width.max(height);
        let least = stitches
            .iter()
            .map(|s| s.at.x.max(s.at.y))
            .fold(f64::INFINITY, f64::min);
        let most = stitches
            .iter()
            .map(|s| s.at.x.max(s.at.y))
            .fold(0.0, f64::max);
        assert!(
            most - least >= 0.6 * long.max(0.5) - 0.3,
            "{width} x {height}: {least} to {most}"
        );
    }
}

/// Two squares and a neck thinner than the lines are apart.
#[test]
fn a_hair_thin_neck_keeps_the_thread_whole() {
    let dumbbell = solid(&[
        (0., 0.),
        (6., 0.),
        (6., 2.9),
        (14., 2.9),
        (14., 0.),
        (20., 0.),
        (20., 6.),
        (14., 6.),
        (14., 3.05),
        (6., 3.05),
        (6., 6.),
        (0., 6.),
    ]);
    check("dumbbell", &dumbbell, 0.02);
}

#[test]
fn the_thread_begins_and_ends_where_it_is_asked_to() {
    let at = |x: f64, y: f64| Point { x, y };
    for (start, finish) in [
        (at(0.0, 0.0), at(30.0, 12.0)),
        (at(20.0, 15.0), at(0.0, 16.0)),
        (at(30.0, 0.0), at(30.0, 0.0)),
    ] {
        for underlay in [Underlay::None, Underlay::Both] {
            let mut object = Object::of_region("comb", &comb());
            object.sewing.start = Some(start);
            object.sewing.finish = Some(finish);
            let settings = RegionFill {
                underlay,
                ..inward()
            };
            let (object, _) = sew(object, &settings);
            let stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
            let away = |s: &Stitch, p: Point| (s.at.x - p.x).hypot(s.at.y - p.y);
            let (first, last) = (&stitches[0], &stitches[stitches.len() - 1]);
            assert_eq!(jumps(&stitches), 0);
            assert!(away(first, start) < 0.5, "{first:?} for {start:?}");
            assert!(away(last, finish) < 0.5, "{last:?} for {finish:?}");
            let shortest = moves(&stitches)
                .iter()
                .map(|m| m.length())
                .fold(9.0, f64::min);
            assert!(shortest >= 0.5, "{shortest}");
            assert!(share_outside(&comb(), &stitches, 0.35) == 0.0);
        }
    }
}

fn sieve(size: f64, across: u32) -> MultiPolygon<f64> {
    let step = size / f64::from(across);
    let places = (0..across).flat_map(|i| (0..across).map(move |j| (i, j)));
    let holes = places
        .filter(|&(i, j)| (i * 7 + j * 3) % 5 != 4)
        .map(|(i, j)| {
            let (x, y) = (f64::from(i) + 0.5, f64::from(j) + 0.5);
            let radius = step * (0.12 + 0.04 * f64::from((i + 2 * j) % 4));
            circle(
                x * step + f64::from(j % 3),
                y * step + f64::from(i % 4),
                radius,
            )
        });
    let outer = ring(&[(0., 0.), (size, 0.), (size, size), (0., size)]);
    Polygon::new(outer, holes.collect()).into()
}

/// 20 holes in 100 mm, 97 in 300 mm. How long it takes is the benchmark's.
#[test]
#[cfg_attr(debug_assertions, ignore = "slow without --release")]
fn large_regions_with_many_holes_are_one_thread() {
    for (size, across) in [(100.0, 5), (300.0, 11)] {
        assert_eq!(jumps(&stitches(&sieve(size, across), &inward())), 0);
    }
}
