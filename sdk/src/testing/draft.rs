//! Small designs, built in a line.

use crate::geometry::resample::{self, Spacing};
use crate::{
    Design, Lines, Object, Polygon, Polyline, Region, Shape, Stitch, StitchKind, StitchList,
    StitchRole, Thread,
};
use geo::Coord;
use std::f64::consts::TAU;

/// Corners of a round edge: a chord is never farther than 0.02 mm from a circle of 20 mm.
const CORNERS: usize = 48;

/// An empty design on a page of 100 by 100 mm, with one black thread of weight 40.
pub fn design() -> Draft {
    let mut design = Design::on_page(100.0, 100.0, Vec::new());
    design.title = "Test".to_owned();
    Draft { design }.threads(&["#000000"])
}

/// A design that a test builds. Whatever takes a design takes a draft too.
#[derive(Clone, Debug)]
pub struct Draft {
    design: Design,
}

impl From<Draft> for Design {
    fn from(draft: Draft) -> Self {
        draft.design
    }
}

impl From<&Draft> for Design {
    fn from(draft: &Draft) -> Self {
        draft.design.clone()
    }
}

impl Draft {
    /// A square with sides of `side` mm, its upper left corner at 0, 0.
    #[must_use]
    pub fn square(self, id: &str, side: f64) -> Self {
        let corners = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)];
        self.polygon(id, &corners)
    }

    /// A disc of `radius` mm around 0, 0.
    #[must_use]
    pub fn disc(self, id: &str, radius: f64) -> Self {
        let polygon = Polygon {
            outer: circle(radius),
            holes: Vec::new(),
        };
        self.area(id, polygon)
    }

    /// A ring around 0, 0, from `inner` to `outer` mm: a region with a hole.
    #[must_use]
    pub fn ring(self, id: &str, outer: f64, inner: f64) -> Self {
        let polygon = Polygon {
            outer: circle(outer),
            holes: vec![circle(inner)],
        };
        self.area(id, polygon)
    }

    /// A region with these corners.
    #[must_use]
    pub fn polygon(self, id: &str, corners: &[(f64, f64)]) -> Self {
        let polygon = Polygon {
            outer: path(corners, true),
            holes: Vec::new(),
        };
        self.area(id, polygon)
    }

    /// A line through these corners, drawn `width` mm wide.
    #[must_use]
    pub fn line(self, id: &str, corners: &[(f64, f64)], width: f64) -> Self {
        let lines = Lines {
            paths: vec![path(corners, false)],
            width,
        };
        self.object(Object::new(id, Shape::Lines(lines)))
    }

    /// Needle points placed by hand, without a shape.
    #[must_use]
    pub fn by_hand(self, id: &str, needle_points: &[(f64, f64)]) -> Self {
        let mut stitches = StitchList::new();
        for &(x, y) in needle_points {
            stitches.needle(StitchRole::Cover, Coord { x, y });
        }
        let mut object = Object::new(id, Shape::Manual);
        object.stitches = stitches.into_blocks();
        self.object(object)
    }

    /// Any object.
    #[must_use]
    pub fn object(mut self, object: Object) -> Self {
        self.design.objects.push(object);
        self
    }

    /// Moves the last object by `x` mm to the right and `y` mm down.
    #[must_use]
    pub fn at(self, x: f64, y: f64) -> Self {
        let placement = crate::Placement::moving(Coord { x, y });
        self.last(|object| {
            if let Err(failure) = object.place(&placement) {
                panic!("a test's object cannot lie there: {}", failure.message);
            }
        })
    }

    /// Gives the last object a tag.
    #[must_use]
    pub fn tagged(self, tag: &str) -> Self {
        self.last(|object| object.tags.push(tag.to_owned()))
    }

    /// Gives the last object the thread at this place in the design's list.
    #[must_use]
    pub fn in_thread(self, thread: u32) -> Self {
        self.last(|object| object.thread = thread)
    }

    /// Sews the last object once along its edges or lines, with cover stitches of about `stitch_length`
    /// mm, so that a step has stitches to work on. Between two lines the thread is trimmed.
    #[must_use]
    pub fn sewn(self, stitch_length: f64) -> Self {
        self.last(|object| object.stitches = along(&object.shape, stitch_length))
    }

    /// The threads, as colours such as `#d9a441`; all of weight 40.
    #[must_use]
    pub fn threads(mut self, colours: &[&str]) -> Self {
        self.design.threads = colours.iter().map(|colour| thread(colour)).collect();
        self
    }

    /// Changes the last object.
    fn last(mut self, change: impl FnOnce(&mut Object)) -> Self {
        let Some(object) = self.design.objects.last_mut() else {
            panic!("the design has no object yet");
        };
        change(object);
        self
    }

    fn area(self, id: &str, polygon: Polygon) -> Self {
        let region = Region {
            polygons: vec![polygon],
        };
        self.object(Object::new(id, Shape::Region(region)))
    }
}

fn path(corners: &[(f64, f64)], closed: bool) -> Polyline {
    Polyline::new(corners.iter().map(|&(x, y)| Coord { x, y }), closed)
}

/// A circle around 0, 0.
pub(super) fn circle(radius: f64) -> Polyline {
    let corners = (0..CORNERS).map(|i| {
        let (sin, cos) = (TAU * i as f64 / CORNERS as f64).sin_cos();
        Coord {
            x: radius * cos,
            y: radius * sin,
        }
    });
    Polyline::new(corners, true)
}

/// Cover stitches along all edges or lines of a shape.
pub(super) fn along(shape: &Shape, stitch_length: f64) -> Vec<crate::StitchBlock> {
    let lines: Vec<&Polyline> = match shape {
        Shape::Region(region) => region
            .polygons
            .iter()
            .flat_map(|polygon| std::iter::once(&polygon.outer).chain(&polygon.holes))
            .collect(),
        Shape::Lines(lines) => lines.paths.iter().collect(),
        Shape::Manual => Vec::new(),
    };
    let mut stitches = StitchList::new();
    for line in lines {
        let places = resample::along(&line.to_line_string(), Spacing::new(stitch_length));
        for (i, at) in places.into_iter().enumerate() {
            if i == 0 && !stitches.is_empty() {
                stitches.trim(at);
            }
            stitches.push(Stitch {
                at,
                kind: StitchKind::Needle,
                role: StitchRole::Cover,
            });
        }
    }
    stitches.into_blocks()
}

fn thread(colour: &str) -> Thread {
    let digits = colour.strip_prefix('#').unwrap_or(colour);
    let number = u32::from_str_radix(digits, 16).ok();
    let Some([_, red, green, blue]) = number.filter(|_| digits.len() == 6).map(u32::to_be_bytes)
    else {
        panic!("\"{colour}\" is not a colour such as #d9a441");
    };
    Thread {
        name: colour.to_owned(),
        code: String::new(),
        red,
        green,
        blue,
        weight: 40,
    }
}
