//! Objects made of any bytes: good shapes, and all kinds of bad ones.

use crate::runs::Step;
use arbitrary::{Result, Unstructured};
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::{DirectionMark, Lines, Object, Polygon, Polyline, Region, Sewing, Shape};

/// Shapes reach so far from the middle, in mm: enough for every case, and quick to sew.
const REACH: f64 = 30.0;

/// The object of no bytes.
pub fn nothing() -> Object {
    let region = Region {
        polygons: Vec::new(),
    };
    Object::new("case", Shape::Region(region))
}

/// An object for the step; its sewing wishes too are any.
pub fn any(step: Step, bytes: &mut Unstructured) -> Result<Object> {
    let lines = step == Step::SatinColumn && bytes.ratio(1, 3)?;
    let shape = if lines {
        Shape::Lines(any_lines(bytes)?)
    } else {
        Shape::Region(any_region(bytes)?)
    };
    let mut object = Object::new("case", shape);
    if bytes.ratio(1, 24)? {
        spoil(&mut object.shape, bytes)?;
    }
    if bytes.ratio(1, 3)? {
        object.sewing = any_sewing(bytes)?;
    }
    Ok(object)
}

/// Puts one corner where no corner can be, or where no hoop reaches.
fn spoil(shape: &mut Shape, bytes: &mut Unstructured) -> Result<()> {
    const NOWHERE: [f64; 6] = [f64::NAN, f64::INFINITY, 5e-324, -4e3, 1e9, 1e300];
    let mut lines: Vec<&mut Polyline> = match shape {
        Shape::Region(region) => {
            let polygons = region.polygons.iter_mut();
            polygons
                .flat_map(|polygon| std::iter::once(&mut polygon.outer).chain(&mut polygon.holes))
                .collect()
        }
        Shape::Lines(lines) => lines.paths.iter_mut().collect(),
        Shape::Manual => Vec::new(),
    };
    if lines.is_empty() {
        return Ok(());
    }
    let line = bytes.choose_index(lines.len())?;
    let column = &mut lines[line].x;
    if !column.is_empty() {
        let corner = bytes.choose_index(column.len())?;
        column[corner] = *bytes.choose(&NOWHERE)?;
    }
    Ok(())
}

fn any_region(bytes: &mut Unstructured) -> Result<Region> {
    let count = bytes.int_in_range(1..=3)?;
    let polygons: Result<_> = (0..count).map(|_| any_polygon(bytes)).collect();
    Ok(Region {
        polygons: polygons?,
    })
}

fn any_polygon(bytes: &mut Unstructured) -> Result<Polygon> {
    let outer = any_ring(bytes)?;
    let mut holes = Vec::new();
    for _ in 0..bytes.int_in_range(0..=4)? {
        holes.push(match bytes.int_in_range(0..=2)? {
            // It may lie anywhere: inside, across the edge, outside.
            0 => any_ring(bytes)?,
            // Along the edge, or just beside it.
            1 => beside(&outer, bytes)?,
            // From a corner of the edge into the inside.
            _ => from_corner(&outer, bytes)?,
        });
    }
    Ok(Polygon {
        outer: closed(outer),
        holes: holes.into_iter().map(closed).collect(),
    })
}

fn closed(ring: Vec<Coord<f64>>) -> Polyline {
    Polyline::new(ring, true)
}

fn any_ring(bytes: &mut Unstructured) -> Result<Vec<Coord<f64>>> {
    match bytes.int_in_range(0..=4)? {
        0 | 1 => any_corners(bytes, 24),
        2 => any_box(bytes),
        3 => any_comb(bytes),
        _ => any_round(bytes),
    }
}

/// Corners anywhere: the ring may cross itself, run back on itself or have no area.
fn any_corners(bytes: &mut Unstructured, most: usize) -> Result<Vec<Coord<f64>>> {
    let count = bytes.int_in_range(0..=most)?;
    let mut corners: Vec<Coord<f64>> = Vec::with_capacity(count);
    for _ in 0..count {
        let corner = match (bytes.int_in_range(0..=9)?, corners.last()) {
            // The last one again, or hardly beside it.
            (0, Some(&last)) => near(last, bytes)?,
            // One of before: the ring touches itself.
            (1, Some(_)) => *bytes.choose(&corners)?,
            // Level with the last one, or above it.
            (2, Some(last)) => Coord {
                x: any_number(bytes)?,
                y: last.y,
            },
            (3, Some(last)) => Coord {
                x: last.x,
                y: any_number(bytes)?,
            },
            _ => any_place(bytes)?,
        };
        corners.push(corner);
    }
    Ok(corners)
}

fn any_box(bytes: &mut Unstructured) -> Result<Vec<Coord<f64>>> {
    let (a, b) = (any_place(bytes)?, any_place(bytes)?);
    let corner = |x, y| Coord { x, y };
    Ok(vec![a, corner(b.x, a.y), b, corner(a.x, b.y)])
}

/// Teeth, as thin as they come.
fn any_comb(bytes: &mut Unstructured) -> Result<Vec<Coord<f64>>> {
    let at = any_place(bytes)?;
    let teeth = bytes.int_in_range(1..=8)?;
    let (tooth, gap) = (any_length(bytes)?, any_length(bytes)?);
    let (back, length) = (any_length(bytes)?, any_number(bytes)?);
    let mut corners = vec![Coord {
        x: at.x,
        y: at.y - back,
    }];
    let mut x = at.x;
    for _ in 0..teeth {
        corners.extend([
            Coord { x, y: at.y },
            Coord {
                x,
                y: at.y + length,
            },
            Coord {
                x: x + tooth,
                y: at.y + length,
            },
            Coord {
                x: x + tooth,
                y: at.y,
            },
        ]);
        x += tooth + gap;
    }
    corners.push(Coord {
        x: x - gap,
        y: at.y - back,
    });
    Ok(corners)
}

/// An ellipse or a star.
fn any_round(bytes: &mut Unstructured) -> Result<Vec<Coord<f64>>> {
    let at = any_place(bytes)?;
    let corners = bytes.int_in_range(3..=60)?;
    let (wide, high) = (any_length(bytes)?, any_length(bytes)?);
    let inner = if bytes.arbitrary()? {
        1.0
    } else {
        share(bytes)?
    };
    Ok((0..corners)
        .map(|i| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / f64::from(corners)).sin_cos();
            let reach = if i % 2 == 0 { 1.0 } else { inner };
            at + Coord {
                x: wide * cos,
                y: high * sin,
            } * reach
        })
        .collect())
}

/// The outer ring moved or shrunk a little, or not at all.
fn beside(outer: &[Coord<f64>], bytes: &mut Unstructured) -> Result<Vec<Coord<f64>>> {
    let by = near(Coord { x: 0.0, y: 0.0 }, bytes)?;
    let size = if bytes.arbitrary()? {
        1.0
    } else {
        share(bytes)?
    };
    let middle = outer.first().copied().unwrap_or_default();
    Ok(outer
        .iter()
        .map(|&corner| middle + (corner - middle) * size + by)
        .collect())
}

/// A ring that begins at one of the outer ring's corners.
fn from_corner(outer: &[Coord<f64>], bytes: &mut Unstructured) -> Result<Vec<Coord<f64>>> {
    let mut ring = any_corners(bytes, 6)?;
    if !outer.is_empty() {
        ring.push(*bytes.choose(outer)?);
    }
    Ok(ring)
}

fn any_lines(bytes: &mut Unstructured) -> Result<Lines> {
    let count = bytes.int_in_range(1..=3)?;
    let mut paths = Vec::new();
    for _ in 0..count {
        let corners = any_corners(bytes, 12)?;
        paths.push(Polyline::new(corners, bytes.arbitrary()?));
    }
    let width = if bytes.ratio(1, 8)? {
        0.0
    } else {
        any_length(bytes)?.min(12.0)
    };
    Ok(Lines { paths, width })
}

fn any_sewing(bytes: &mut Unstructured) -> Result<Sewing> {
    let mut sewing = Sewing::default();
    if bytes.arbitrary()? {
        sewing.angle = Some(f64::from(bytes.arbitrary::<i16>()?));
    }
    if bytes.ratio(1, 4)? {
        // Not finer than the schema allows, but out of range otherwise.
        sewing.density = Some(0.15 + any_length(bytes)?);
    }
    if bytes.ratio(1, 4)? {
        sewing.stitch_length = Some(any_number(bytes)?);
    }
    if bytes.arbitrary()? {
        sewing.start = Some(any_place(bytes)?.into());
    }
    if bytes.arbitrary()? {
        sewing.finish = Some(any_place(bytes)?.into());
    }
    for _ in 0..bytes.int_in_range(0..=3)? {
        let (tail, head) = (any_place(bytes)?.into(), any_place(bytes)?.into());
        sewing.direction_marks.push(DirectionMark { tail, head });
    }
    Ok(sewing)
}

fn any_place(bytes: &mut Unstructured) -> Result<Coord<f64>> {
    Ok(Coord {
        x: any_number(bytes)?,
        y: any_number(bytes)?,
    })
}

/// A coordinate: whole, in hundredths or in very fine steps.
fn any_number(bytes: &mut Unstructured) -> Result<f64> {
    Ok(match bytes.int_in_range(0..=63)? {
        0..=20 => f64::from(bytes.int_in_range(-30..=30)?),
        21..=30 => f64::from(bytes.arbitrary::<i32>()?) / f64::from(i32::MAX) * REACH,
        _ => f64::from(bytes.int_in_range(-3000..=3000)?) / 100.0,
    })
}

/// A length above nothing, small ones as likely as large ones.
fn any_length(bytes: &mut Unstructured) -> Result<f64> {
    let steps = f64::from(bytes.arbitrary::<u8>()?);
    Ok(0.01 * (steps * (1000.0_f64.ln() / 255.0)).exp())
}

fn share(bytes: &mut Unstructured) -> Result<f64> {
    Ok(f64::from(bytes.arbitrary::<u8>()?) / 255.0)
}

/// A place so near that a tolerance decides whether it is the same.
fn near(place: Coord<f64>, bytes: &mut Unstructured) -> Result<Coord<f64>> {
    const STEPS: [f64; 7] = [0.0, 1e-12, 1e-9, 1e-6, 1e-4, 1e-3, 0.02];
    let step = *bytes.choose(&STEPS)?;
    let (x, y): (i8, i8) = (bytes.int_in_range(-1..=1)?, bytes.int_in_range(-1..=1)?);
    Ok(place
        + Coord {
            x: f64::from(x),
            y: f64::from(y),
        } * step)
}
