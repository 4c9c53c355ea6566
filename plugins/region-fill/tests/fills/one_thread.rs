//! The guarantees: one thread for each connected part, inside the region, no stitch too long or too
//! short, and all travel under later cover.

use crate::measures::{from_segment, jumps, moves, strays_by};
use crate::shapes::*;
use hoopwright_region_fill::{RegionFill, Underlay};
use hoopwright_sdk::geometry::area::difference;
use hoopwright_sdk::geometry::clean;
use hoopwright_sdk::geometry::geo::{Coord, LineString, MultiPolygon, Polygon, Translate};
use hoopwright_sdk::{Stitch, StitchKind, StitchRole};
use proptest::prelude::*;
use std::f64::consts::TAU;

/// What must hold whatever the shape; a sentence where it does not.
fn check(area: &MultiPolygon<f64>, settings: &RegionFill) -> Result<Vec<Stitch>, String> {
    let stitches = stitches(area, settings);
    if stitches
        .first()
        .is_some_and(|s| s.kind != StitchKind::Needle)
    {
        return Err("it does not begin with a needle stitch".to_owned());
    }
    if jumps(&stitches) + 1 > area.0.len().max(1) {
        return Err(format!(
            "{} jumps in {} parts",
            jumps(&stitches),
            area.0.len()
        ));
    }
    for pair in stitches.windows(2) {
        if pair[0].kind == StitchKind::Jump
            && (pair[1].kind != StitchKind::Needle || pair[1].at != pair[0].at)
        {
            return Err(format!(
                "no needle where the jump leads to, {:?}",
                pair[0].at
            ));
        }
    }
    for m in moves(&stitches) {
        let longest = match m.role {
            StitchRole::Cover => settings.stitch_length,
            StitchRole::Travel => settings.travel_stitch_length,
            _ => settings.underlay_stitch_length,
        };
        let (length, role, from, to) = (m.length(), m.role, m.from, m.to);
        if length > longest + 1e-6 {
            return Err(format!("{role:?} of {length} mm from {from:?} to {to:?}"));
        }
        if length < 0.5 {
            return Err(format!(
                "{role:?} of only {length} mm from {from:?} to {to:?}"
            ));
        }
        let strays = strays_by(&m, area);
        if strays > settings.pull_compensation + 0.2 {
            return Err(format!(
                "{role:?} strays by {strays} mm from {from:?} to {to:?}"
            ));
        }
    }
    Ok(stitches)
}

fn star(radii: &[f64]) -> LineString<f64> {
    let count = radii.len() as f64;
    radii
        .iter()
        .enumerate()
        .map(|(i, radius)| {
            let a = TAU * i as f64 / count;
            Coord {
                x: radius * a.cos(),
                y: radius * a.sin(),
            }
        })
        .collect()
}

/// A star with ragged arms, and up to four ragged holes that may also cut its edge.
fn ragged() -> impl Strategy<Value = MultiPolygon<f64>> {
    let hole = (
        prop::collection::vec(0.3..4.0f64, 3..9),
        -12.0..12.0f64,
        -12.0..12.0f64,
    );
    (
        prop::collection::vec(2.0..22.0f64, 4..22),
        prop::collection::vec(hole, 0..5),
    )
        .prop_map(|(radii, holes)| {
            let mut area = clean(&Polygon::new(star(&radii), vec![]).into());
            for (radii, x, y) in holes {
                let hole = Polygon::new(star(&radii), vec![]).translate(x, y);
                area = difference(&area, &clean(&hole.into()));
            }
            clean(&area)
        })
}

fn underlays() -> impl Strategy<Value = Underlay> {
    prop::sample::select(vec![
        Underlay::Automatic,
        Underlay::EdgeRun,
        Underlay::CrossRows,
        Underlay::Both,
        Underlay::None,
    ])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn any_shape_is_sewn_as_one_thread(
        area in ragged(),
        angle in 0.0..180.0f64,
        density in 0.3..0.6f64,
        pull_compensation in 0.0..0.4f64,
        underlay in underlays(),
        spare_edges in any::<bool>(),
    ) {
        let settings = RegionFill {
            angle: Some(angle),
            density,
            pull_compensation,
            underlay,
            spare_edges,
            ..RegionFill::default()
        };
        if let Err(what) = check(&area, &settings) {
            prop_assert!(false, "{}", what);
        }
    }
}

#[test]
fn the_fixed_shapes_keep_the_guarantees() {
    for area in [
        disc(),
        annulus(),
        rectangle(30.0, 10.0),
        comb(),
        holed_star(),
    ] {
        for angle in [0.0, 1.0, 25.0, 45.0, 90.0, 135.0] {
            for spare_edges in [false, true] {
                let settings = RegionFill {
                    angle: Some(angle),
                    spare_edges,
                    ..RegionFill::default()
                };
                if let Err(what) = check(&clean(&area), &settings) {
                    panic!("at {angle} degrees, edges spared {spare_edges}: {what}");
                }
            }
        }
    }
}

/// At most 1 % under 1 mm, none under 0.5: safe from 1 mm (Printwear, December 2016, p. 30).
#[test]
fn short_stitches_are_rare() {
    for area in [
        disc(),
        annulus(),
        rectangle(30.0, 10.0),
        comb(),
        holed_star(),
    ] {
        for angle in [0.0, 17.0, 45.0, 90.0] {
            let settings = RegionFill {
                angle: Some(angle),
                ..RegionFill::default()
            };
            let moves = moves(&stitches(&area, &settings));
            let shorter = |than: f64| moves.iter().filter(|m| m.length() < than).count();
            assert_eq!(shorter(0.5), 0);
            assert!(
                shorter(1.0) * 100 <= moves.len(),
                "{} of {}",
                shorter(1.0),
                moves.len()
            );
        }
    }
}

/// All travel has cover of the same object over it, sewn later: the middle of a thread lies no more
/// than a thread's width (40 weight: about 0.25 mm) away.
#[test]
fn travel_lies_under_later_cover() {
    for area in [annulus(), comb(), holed_star()] {
        for angle in [0.0, 25.0, 90.0] {
            let settings = RegionFill {
                angle: Some(angle),
                ..RegionFill::default()
            };
            let moves = moves(&stitches(&area, &settings));
            let mut bare = 0.0;
            let mut all = 0.0;
            for (i, m) in moves.iter().enumerate() {
                if m.role != StitchRole::Travel {
                    continue;
                }
                for k in 0..10 {
                    let place = m.from + (m.to - m.from) * ((f64::from(k) + 0.5) / 10.0);
                    let hidden = moves[i + 1..]
                        .iter()
                        .filter(|later| later.role == StitchRole::Cover)
                        .any(|later| from_segment(place, later.from, later.to) <= 0.25);
                    all += m.length() / 10.0;
                    if !hidden {
                        bare += m.length() / 10.0;
                    }
                }
            }
            assert!(
                bare < 0.01 * all + 0.5,
                "{bare} mm of {all} at {angle} degrees"
            );
        }
    }
}

#[test]
fn a_sparse_fill_turns_along_the_edge() {
    for density in [0.8, 2.0, 5.0] {
        let settings = RegionFill {
            density,
            angle: Some(20.0),
            underlay: Underlay::None,
            ..RegionFill::default()
        };
        for area in [annulus(), comb(), holed_star()] {
            if let Err(what) = check(&clean(&area), &settings) {
                panic!("at a density of {density}: {what}");
            }
        }
    }
}

#[test]
fn the_same_input_gives_the_same_stitches() {
    let settings = RegionFill::default();
    assert_eq!(
        stitches(&holed_star(), &settings),
        stitches(&holed_star(), &settings)
    );
}
