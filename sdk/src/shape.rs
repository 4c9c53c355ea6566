//! Between the contract's columns and the geometry library's types.

use super::{
    Design, Lines, Object, Point, Polygon, Polyline, Rectangle, Region, Sewing, Shape, StitchBlock,
    StitchKind, THREAD_WIDTH, stitches_of,
};
use geo::{Area, ConvexHull, Coord, LineString, MultiPoint, MultiPolygon};
use hoopwright_geometry::{clean, offset};

impl From<Coord<f64>> for Point {
    fn from(place: Coord<f64>) -> Self {
        Self {
            x: place.x,
            y: place.y,
        }
    }
}

impl From<Point> for Coord<f64> {
    fn from(point: Point) -> Self {
        Self {
            x: point.x,
            y: point.y,
        }
    }
}

/// So many neighbouring stitches cover what lies between them. Few enough that a curve's hollow side
/// stays free, enough that rows of a fill join.
const STITCHES_TOGETHER: usize = 32;

impl Design {
    /// `objects` on a page of `width` by `height` mm from the origin, without a title and threads.
    pub fn on_page(width: f64, height: f64, objects: Vec<Object>) -> Self {
        Self {
            title: String::new(),
            page: Rectangle {
                least: Point { x: 0.0, y: 0.0 },
                greatest: Point {
                    x: width,
                    y: height,
                },
            },
            threads: Vec::new(),
            objects,
        }
    }
}

impl Rectangle {
    /// The place halfway between its corners.
    pub fn middle(&self) -> Coord<f64> {
        (Coord::from(self.least) + Coord::from(self.greatest)) / 2.0
    }
}

impl Polyline {
    /// A line through `corners`. Of a closed line, the first corner is not repeated.
    pub fn new(corners: impl IntoIterator<Item = Coord<f64>>, closed: bool) -> Self {
        let (x, y) = corners.into_iter().map(|c| (c.x, c.y)).unzip();
        Self { x, y, closed }
    }

    /// The corners in order; the first is not repeated, closed or not.
    pub fn corners(&self) -> impl DoubleEndedIterator<Item = Coord<f64>> + ExactSizeIterator + '_ {
        self.x.iter().zip(&self.y).map(|(&x, &y)| Coord { x, y })
    }

    /// The line with its first corner repeated at the end where it is closed.
    pub fn to_line_string(&self) -> LineString<f64> {
        let mut line = LineString::from_iter(self.corners());
        if self.closed {
            line.close();
        }
        line
    }

    fn from_ring(ring: &LineString<f64>) -> Self {
        let mut corners = ring.0.as_slice();
        if let [first, .., last] = corners
            && first == last
        {
            corners = &corners[..corners.len() - 1];
        }
        Self::new(corners.iter().copied(), true)
    }
}

impl Region {
    /// The region as the geometry library's type. It is not cleaned: see
    /// `geometry::clean`.
    pub fn to_multi_polygon(&self) -> MultiPolygon<f64> {
        self.polygons
            .iter()
            .map(|polygon| {
                geo::Polygon::new(
                    polygon.outer.to_line_string(),
                    polygon.holes.iter().map(Polyline::to_line_string).collect(),
                )
            })
            .collect()
    }
}

impl Shape {
    /// The area that is drawn, cleaned: a region, or the strokes of lines, with round ends and at least
    /// `least_width` mm wide. Stitches placed by hand have none.
    pub fn area(&self, least_width: f64) -> MultiPolygon<f64> {
        match self {
            Self::Region(region) => clean(&region.to_multi_polygon()),
            Self::Lines(lines) => {
                let width = lines.width.max(least_width);
                let paths = lines.paths.iter();
                let strokes = paths.flat_map(|path| offset::stroke(&path.to_line_string(), width));
                clean(&strokes.collect())
            }
            Self::Manual => MultiPolygon::new(Vec::new()),
        }
    }
}

impl From<&MultiPolygon<f64>> for Region {
    fn from(area: &MultiPolygon<f64>) -> Self {
        let polygons = area
            .iter()
            .map(|polygon| Polygon {
                outer: Polyline::from_ring(polygon.exterior()),
                holes: polygon
                    .interiors()
                    .iter()
                    .map(Polyline::from_ring)
                    .collect(),
            })
            .collect();
        Self { polygons }
    }
}

// The type is generated, so nothing can be derived on it here.
#[allow(clippy::derivable_impls)]
impl Default for Sewing {
    fn default() -> Self {
        Self {
            angle: None,
            density: None,
            stitch_length: None,
            start: None,
            finish: None,
            direction_marks: Vec::new(),
        }
    }
}

impl Object {
    /// An object without stitches, of the design's first thread. Handy in tests.
    pub fn new(id: &str, shape: Shape) -> Self {
        Self {
            id: id.to_owned(),
            name: id.to_owned(),
            tags: Vec::new(),
            thread: 0,
            shape,
            sewing: Sewing::default(),
            stitches: Vec::new(),
        }
    }

    /// Whether it has one of these tags.
    pub fn has_one_of(&self, tags: &[String]) -> bool {
        self.tags.iter().any(|tag| tags.contains(tag))
    }

    /// All that it lies over on the cloth, whether it hides that or not: its drawn area, of lines at
    /// least a thread wide; without one, what its stitches cover.
    pub fn footprint(&self) -> MultiPolygon<f64> {
        let drawn = self.shape.area(THREAD_WIDTH);
        if drawn.0.is_empty() {
            of_stitches(&self.stitches)
        } else {
            drawn
        }
    }

    /// An object that fills `area`. Handy in tests.
    pub fn of_region(id: &str, area: &MultiPolygon<f64>) -> Self {
        Self::new(id, Shape::Region(Region::from(area)))
    }

    /// An object of one line drawn `width` mm wide. Handy in tests.
    pub fn of_line(id: &str, line: &LineString<f64>, width: f64) -> Self {
        let path = if line.is_closed() && line.0.len() > 2 {
            Polyline::from_ring(line)
        } else {
            Polyline::new(line.0.iter().copied(), false)
        };
        Self::new(
            id,
            Shape::Lines(Lines {
                paths: vec![path],
                width,
            }),
        )
    }
}

/// The hulls of neighbouring stitches, and the threads between them.
fn of_stitches(blocks: &[StitchBlock]) -> MultiPolygon<f64> {
    let mut stretches: Vec<Vec<geo::Point<f64>>> = vec![Vec::new()];
    for stitch in stitches_of(blocks) {
        if !stitch.at.x.is_finite() || !stitch.at.y.is_finite() {
            continue;
        }
        let needle = stitch.kind == StitchKind::Needle;
        let full = stretches
            .last()
            .is_some_and(|stretch| stretch.len() > STITCHES_TOGETHER);
        if !needle || full {
            // A full stretch hands its last place on, so that nothing gapes between the two.
            let carried = stretches.last().and_then(|stretch| stretch.last().copied());
            stretches.push(carried.filter(|_| needle).into_iter().collect());
        }
        if needle && let Some(stretch) = stretches.last_mut() {
            stretch.push(geo::Point::from(stitch.at));
        }
    }
    stretches.retain(|stretch| !stretch.is_empty());
    let parts = stretches.into_iter().flat_map(|stretch| {
        let hull = MultiPoint::new(stretch).convex_hull();
        if hull.unsigned_area() > THREAD_WIDTH * THREAD_WIDTH {
            clean(&hull.into())
        } else {
            // As good as a straight line or a dot.
            offset::stroke(hull.exterior(), THREAD_WIDTH)
        }
    });
    clean(&parts.collect())
}
