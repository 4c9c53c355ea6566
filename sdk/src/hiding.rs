//! What hides what is sewn before it.

use super::{Lines, Object, Shape, StitchBlock, StitchKind, StitchRole, THREAD_WIDTH};
use geo::{BoundingRect, Coord, MultiPolygon, Rect};
use hoopwright_geometry::boxes::Boxes;
use hoopwright_geometry::measure::{length, reach, to_edge};
use hoopwright_geometry::scan;

/// Lines drawn at least this wide can hide what lies beneath, in mm: satin so narrow is often sewn over a
/// run along its middle, its underlay, and a thread on its way lies there as well (common practice).
pub const LEAST_LINE: f64 = 0.8;

/// Lines at least this wide, in mm, will be satin that hides, unless a pipeline says otherwise: between the
/// two widths some sew runs (common practice).
pub const USUAL_LINE: f64 = 1.0;

/// Objects no farther apart than this touch, in mm: the thread closes so narrow a gap.
pub const TOUCH: f64 = 0.3;

/// Stitches hide where thread lies over at least this part of their shape: fills and satin do, a run
/// along the middle or the edge and an open fill do not.
const COVERED: f64 = 0.5;

/// Whether thread lies over a place is asked at places this far apart, in mm: half as far as thread is
/// wide, and no divisor of the usual distances between rows, so that rows don't fall in step with it.
const PITCH: f64 = 0.23;

/// So many places are asked about at the most, so that it takes as long for a large area.
const MOST_PLACES: f64 = 1e6;

/// The area that `object` hides where its thread covers it: a region, or the strokes of lines at least
/// [`LEAST_LINE`] wide. Nothing where there is no such area.
pub fn area(object: &Object) -> Option<MultiPolygon<f64>> {
    if !can_hide(&object.shape) {
        return None;
    }
    let area = object.shape.area(0.0);
    (!area.0.is_empty()).then_some(area)
}

/// The area that `object` is sewn to cover, well or badly: its [`area`] where it has cover stitches, except
/// where those of lines lie over less than half of it because they are a run along them.
pub fn sewn_area(object: &Object) -> Option<MultiPolygon<f64>> {
    let area = area_with_cover(object)?;
    let is_run = match &object.shape {
        Shape::Lines(lines) => !is_covered(&area, object) && runs_along(lines, object),
        _ => false,
    };
    (!is_run).then_some(area)
}

/// The area that `object` hides as it is sewn: its [`area`] where its cover stitches lie over at least half
/// of it. Nothing where it is not sewn yet.
pub fn hidden_area(object: &Object) -> Option<MultiPolygon<f64>> {
    let area = area_with_cover(object)?;
    is_covered(&area, object).then_some(area)
}

/// Whether `object` hides what is sewn before it: as it is sewn, or, where it has no stitches yet, as far
/// as its shape tells: a region, or lines at least [`USUAL_LINE`] wide.
pub fn will_hide(object: &Object) -> bool {
    will_hide_from(object, USUAL_LINE)
}

/// The same where the pipeline sews lines as satin from `lines_from` mm on.
pub fn will_hide_from(object: &Object, lines_from: f64) -> bool {
    if object.stitches.is_empty() {
        promises_to_hide(&object.shape, lines_from)
    } else {
        hidden_area(object).is_some()
    }
}

/// The area that `object` [will hide](will_hide_from), if it does.
pub fn area_to_hide(object: &Object, lines_from: f64) -> Option<MultiPolygon<f64>> {
    if !object.stitches.is_empty() {
        return hidden_area(object);
    }
    promises_to_hide(&object.shape, lines_from)
        .then(|| area(object))
        .flatten()
}

fn promises_to_hide(shape: &Shape, lines_from: f64) -> bool {
    let too_fine = matches!(shape, Shape::Lines(lines) if lines.width < lines_from);
    can_hide(shape) && !too_fine
}

fn can_hide(shape: &Shape) -> bool {
    match shape {
        Shape::Region(_) => true,
        Shape::Lines(lines) => lines.width >= LEAST_LINE,
        Shape::Manual => false,
    }
}

fn area_with_cover(object: &Object) -> Option<MultiPolygon<f64>> {
    cover(object).next()?;
    area(object)
}

fn cover(object: &Object) -> impl Iterator<Item = &StitchBlock> {
    object.stitches.iter().filter(|block| {
        block.kind == StitchKind::Needle && block.role == StitchRole::Cover && !block.x.is_empty()
    })
}

/// The straight pieces of thread of its cover.
fn threads(object: &Object) -> impl Iterator<Item = [Coord<f64>; 2]> {
    cover(object).flat_map(|block| {
        let places = block.x.iter().zip(&block.y);
        let places = places.map(|(&x, &y)| Coord { x, y });
        places.clone().zip(places.skip(1)).map(<[_; 2]>::from)
    })
}

/// Whether the cover stitches of `object` follow its `lines` the whole way: no stretch longer than they are
/// wide is without thread near its middle.
fn runs_along(lines: &Lines, object: &Object) -> bool {
    let near = lines.width / 2.0 + TOUCH;
    let threads: Vec<[Coord<f64>; 2]> = threads(object).collect();
    let boxes = Boxes::new(threads.iter().map(|&[a, b]| Rect::new(a, b)).enumerate());
    let has_thread = |place: Coord<f64>| {
        let around = boxes.near(Rect::new(place, place), near);
        around.iter().any(|&i| to_edge(place, threads[i]) <= near)
    };
    lines.paths.iter().all(|path| {
        let line = path.to_line_string();
        let step = (lines.width / 2.0).max(length(&line) / MOST_PLACES);
        let mut bare = 0.0;
        line.lines().all(|piece| {
            let (way, steps) = (piece.delta(), (reach(piece.delta()) / step).ceil());
            (0..steps as usize).all(|i| {
                let is_bare = !has_thread(piece.start + way * ((i as f64 + 0.5) / steps));
                bare = f64::from(is_bare) * (bare + reach(way) / steps);
                bare <= lines.width
            })
        })
    })
}

/// Whether the cover stitches of `object` lie over enough of `area`. An area too narrow to tell is covered.
fn is_covered(area: &MultiPolygon<f64>, object: &Object) -> bool {
    let Some(mut places) = Places::of(area) else {
        return true;
    };
    let enough = COVERED * places.bare as f64;
    let all = places.bare;
    let is_enough = |places: &Places| (all - places.bare) as f64 >= enough;
    for [a, b] in threads(object) {
        places.lay_thread(a, b);
        if is_enough(&places) {
            return true;
        }
    }
    is_enough(&places)
}

/// Places in rows and columns across an area.
struct Places {
    /// The first place of the first row.
    first: Coord<f64>,
    /// How far apart they are, in mm.
    pitch: f64,
    columns: usize,
    rows: usize,
    /// Row by row, whether a place lies in the area and no thread lies over it.
    is_bare: Vec<bool>,
    /// How many do.
    bare: usize,
}

impl Places {
    fn of(area: &MultiPolygon<f64>) -> Option<Self> {
        let bounds = area.bounding_rect()?;
        let (width, height) = (bounds.width(), bounds.height());
        let coarsest = (width * height / MOST_PLACES).sqrt();
        let pitch = PITCH.max(coarsest).max((width + height) / MOST_PLACES);
        let half = Coord { x: pitch, y: pitch } / 2.0;
        let first = bounds.min() + half;
        let count = |length: f64| (length / pitch).ceil().max(1.0) as usize;
        let mut places = Self {
            first,
            pitch,
            columns: count(width),
            rows: count(height),
            is_bare: Vec::new(),
            bare: 0,
        };
        places.is_bare = vec![false; places.columns * places.rows];
        for row in scan::rows(area, pitch, first.y) {
            let Ok(number) = usize::try_from(row.number) else {
                continue;
            };
            let from = number * places.columns;
            for span in row.spans {
                let column = |x: f64| up_to((x - first.x) / pitch, places.columns);
                let (left, right) = (column(span.left), column(span.right));
                if let Some(inside) = places.is_bare.get_mut(from + left..from + right) {
                    inside.fill(true);
                    places.bare += inside.len();
                }
            }
        }
        (places.bare > 0).then_some(places)
    }

    /// Thread lies straight from `a` to `b`.
    fn lay_thread(&mut self, a: Coord<f64>, b: Coord<f64>) {
        let (a, b) = ((a - self.first) / self.pitch, (b - self.first) / self.pitch);
        let (along, columns, rows) = (b - a, self.columns, self.rows);
        if along.x.abs() >= along.y.abs() {
            self.cross((a.x, a.y), (b.x, b.y), (columns, 1), (rows, columns));
        } else {
            self.cross((a.y, a.x), (b.y, b.x), (rows, columns), (columns, 1));
        }
    }

    /// The same, from line to line of places across the thread. Of both directions, along it and across
    /// it, there are so many lines, and so many places from one to the next.
    fn cross(
        &mut self,
        a: (f64, f64),
        b: (f64, f64),
        (along, along_step): (usize, usize),
        (across, across_step): (usize, usize),
    ) {
        let (a, b) = if a.0 <= b.0 { (a, b) } else { (b, a) };
        if a.0 >= b.0 {
            return;
        }
        let slope = (b.1 - a.1) / (b.0 - a.0);
        let reach = THREAD_WIDTH / 2.0 / self.pitch * (1.0 + slope * slope).sqrt();
        for line in up_to(a.0, along)..up_to(b.0, along) {
            let middle = a.1 + slope * (line as f64 - a.0);
            for other in up_to(middle - reach, across)..up_to(middle + reach, across) {
                let place = &mut self.is_bare[line * along_step + other * across_step];
                self.bare -= usize::from(std::mem::take(place));
            }
        }
    }
}

/// How many of `count` places in a row, the first at 0 and the next at 1, lie at `end` or before it.
fn up_to(end: f64, count: usize) -> usize {
    ((end.max(-1.0) + 1.0) as usize).min(count)
}

#[cfg(test)]
mod tests {
    use super::super::StitchList;
    use super::*;
    use geo::{line_string, polygon};

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    fn square(side: f64) -> MultiPolygon<f64> {
        polygon![(x: 0., y: 0.), (x: side, y: 0.), (x: side, y: side), (x: 0., y: side)].into()
    }

    /// A region sewn by a line through `places`.
    fn sewn(area: &MultiPolygon<f64>, places: impl IntoIterator<Item = Coord<f64>>) -> Object {
        with_cover(Object::of_region("region", area), places)
    }

    fn with_cover(mut object: Object, places: impl IntoIterator<Item = Coord<f64>>) -> Object {
        let mut list = StitchList::new();
        for place in places {
            list.needle(StitchRole::Cover, place);
        }
        object.stitches = list.into_blocks();
        object
    }

    /// Rows through a square about the origin, sewn to and fro in stitches of `stitch` mm and turned by
    /// `angle` degrees; `apart` mm between them, which may grow from one to the next.
    fn fill(side: f64, stitch: f64, angle: f64, apart: impl Fn(f64) -> f64) -> Object {
        let (sin, cos) = angle.to_radians().sin_cos();
        let turned = |x: f64, y: f64| at(cos * x - sin * y, sin * x + cos * y);
        let half = side / 2.0;
        let corners = [(-half, -half), (half, -half), (half, half), (-half, half)];
        let edge = corners.map(|(x, y)| turned(x, y));
        let area = geo::Polygon::new(geo::LineString::from(edge.to_vec()), Vec::new());
        let mut places = Vec::new();
        let (mut y, mut to) = (-half, 1.0);
        while y <= half {
            let mut x = -half;
            while x < half {
                places.push(turned(to * x, y));
                x += stitch;
            }
            places.push(turned(to * half, y));
            y += apart((y + half) / side);
            to = -to;
        }
        sewn(&area.into(), places)
    }

    /// The part of its shape that an object's thread lies over, to within 0.5 %.
    fn covered(object: &Object) -> f64 {
        let area = area(object).expect("it can hide");
        let mut places = Places::of(&area).expect("it is wide enough");
        let all = places.bare;
        for [a, b] in threads(object) {
            places.lay_thread(a, b);
        }
        (all - places.bare) as f64 / all as f64
    }

    /// Density is from a line to the second next: rows lie half of it apart. A thread of 0.4 mm covers
    /// 0.4 mm of each row's share, whatever the angle.
    #[test]
    fn the_part_covered_is_the_threads_width_over_the_distance_of_rows() {
        for angle in [0.0, 17.0, 45.0, 90.0, 128.0] {
            for apart in [0.5, 0.8, 1.0, 1.5] {
                let part = covered(&fill(60.0, 3.5, angle, |_| apart));
                let expected = 0.4 / apart;
                assert!((part - expected).abs() < 0.02, "{angle} {apart}: {part}");
            }
        }
    }

    #[test]
    fn fills_at_usual_densities_hide_and_open_ones_do_not() {
        for angle in [0.0, 30.0, 45.0, 90.0] {
            for (density, hides) in [(0.4, true), (0.6, true), (2.0, false), (3.0, false)] {
                let object = fill(20.0, 3.0, angle, |_| density / 2.0);
                assert_eq!(will_hide(&object), hides, "{density} at {angle}");
                assert!(sewn_area(&object).is_some(), "it is meant to be covered");
            }
            // Shaded from 0.4 to 2 mm.
            let shaded = fill(20.0, 3.0, angle, |far| 0.2 + 0.8 * far);
            assert!(will_hide(&shaded), "shaded at {angle}");
        }
    }

    #[test]
    fn what_is_sewn_over_the_same_line_again_is_counted_once() {
        let area = square(10.0);
        let rounds = area.0[0].exterior().0.iter().cycle().take(5 * 40).copied();
        // Half of the thread lies outside: 4 x 10 x 0.2 of 100 mm², less the corners. A column of places
        // more or less at each edge makes 5 % of it.
        let part = covered(&sewn(&area, rounds.clone()));
        assert!((part - 0.0784).abs() < 0.05, "{part}");
        assert!(!will_hide(&sewn(&area, rounds)));

        let line = line_string![(x: 0., y: 0.), (x: 30., y: 0.)];
        let forth = [at(0., 0.), at(30., 0.), at(0., 0.), at(30., 0.)];
        let triple = with_cover(Object::of_line("triple", &line, 2.0), forth);
        assert!(!will_hide(&triple) && sewn_area(&triple).is_none());
    }

    /// Satin over `length` mm of the way from the origin to (20, 12).
    fn satin(width: f64, density: f64, length: f64) -> impl Iterator<Item = Coord<f64>> {
        let along = at(20., 12.) / 544f64.sqrt();
        let out = at(-along.y, along.x) * (width / 2.0);
        (0..(length / density) as usize).flat_map(move |i| {
            let here = along * (density * i as f64);
            [here - out, here + along * (density / 2.0) + out]
        })
    }

    #[test]
    fn satin_hides_at_any_width_that_can() {
        for width in [LEAST_LINE, 3.0, 9.0] {
            for density in [0.35, 0.6] {
                let line = line_string![(x: 0., y: 0.), (x: 20., y: 12.)];
                let places = satin(width, density, 544f64.sqrt());
                let column = with_cover(Object::of_line("column", &line, width), places);
                assert!(will_hide(&column), "{width} mm at {density}");
            }
        }
    }

    #[test]
    fn lines_of_which_more_than_half_is_missing_are_meant_to_be_covered() {
        let line = line_string![(x: 0., y: 0.), (x: 20., y: 12.)];
        for width in [1.0, 2.0, 4.0] {
            let sewn = |places: Vec<_>| with_cover(Object::of_line("column", &line, width), places);
            for length in [2.0, 6.0, 11.0] {
                let part = sewn(satin(width, 0.4, length).collect());
                let is_meant = sewn_area(&part).is_some();
                assert!(is_meant && !will_hide(&part), "{length} of {width} mm");
            }
            let run = |share: f64| {
                sewn(vec![
                    at(0.3, 0.2),
                    at(10., 6.) * share,
                    at(20., 12.) * share,
                ])
            };
            let (most, half) = (sewn_area(&run(0.97)), sewn_area(&run(0.5)));
            assert!(most.is_none() && half.is_some(), "a run in {width} mm");
        }
    }

    #[test]
    fn without_stitches_the_shape_tells_and_nothing_is_hidden_yet() {
        let line = line_string![(x: 0., y: 0.), (x: 9., y: 0.)];
        let region = Object::of_region("region", &square(5.0));
        let (wide, narrow) = (
            Object::of_line("wide", &line, 1.0),
            Object::of_line("narrow", &line, 0.9),
        );
        let by_hand = Object::new("by hand", Shape::Manual);
        let all = [&region, &wide, &narrow, &by_hand];
        assert_eq!(all.map(will_hide), [true, true, false, false]);
        let told = |from: f64| will_hide_from(&narrow, from);
        assert_eq!([0.0, 0.9, 0.95].map(told), [true, true, false]);
        assert!(all.iter().all(|object| hidden_area(object).is_none()));
    }

    #[test]
    fn areas_of_any_size_can_be_asked_about() {
        for side in [0.1, 1e4, 1e6] {
            let area = square(side);
            let across = sewn(&area, [at(-side, side / 3.0), at(2.0 * side, side / 2.0)]);
            assert_eq!(will_hide(&across), side < 0.3, "{side}");
        }
        let strip = polygon![(x: 0., y: 0.), (x: 1e5, y: 0.), (x: 1e5, y: 0.3), (x: 0., y: 0.3)];
        let along = [at(-1e300, 0.15), at(1e300, 0.15), at(0., -1e12)];
        assert!(will_hide(&sewn(&strip.into(), along)));
    }
}
