//! Between the contract's columns and the geometry library's types.

use super::{Design, Lines, Object, Point, Polygon, Polyline, Rectangle, Region, Sewing, Shape};
use geo::{Coord, LineString, MultiPolygon};
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
