//! Plane geometry for stitch planning, in millimetres. y grows down.
//!
//! Types come from [`geo`]; booleans and offsets are `i_overlay`'s, whose integer arithmetic gives
//! the same result on every machine; curves are [`kurbo`]'s. One file holds one concept. In a plugin
//! this crate is `hoopwright_sdk::geometry`, and an object's shape comes and goes as
//! `region.to_multi_polygon()`, `Object::of_region`, `path.to_line_string()`, `Object::of_line`.
//!
//! | what you need | where |
//! |---|---|
//! | a clean region of any rings; union, difference, intersection; lines inside a region | [`area`] |
//! | circles, arcs, rounded rectangles and paths as lines | [`curves`] |
//! | a region grown or shrunk; a stroke as a region | [`offset`] |
//! | needle points along a line | [`resample`] |
//! | a line or a ring measured along itself: places and parts so many mm along it | [`measured`] |
//! | length, distances, the largest circle inside, the longest axis | [`measure`] |
//! | a region cut by parallel lines, for rows of thread | [`scan`] |
//! | what lies in, near or along a region, and how far regions lie apart, asked many times | [`edge_grid`] |
//! | which of many things lie near, by the rectangles around them | [`boxes`] |
//! | the shortest way between two places that never leaves a region | [`inside_way`] |
//! | the shortest way of a thread beneath areas that are sewn later | [`hidden_ways`] |
//! | the middle of a region with its half-width, for columns of satin | [`medial_axis`] |
//! | what belongs together | [`groups`] |
//!
//! # A curve becomes needle points
//!
//! ```
//! use hoopwright_geometry::{curves, kurbo, measure, resample};
//!
//! let circle = kurbo::Circle::new((50.0, 50.0), 10.0);
//! let ring = curves::flatten(&circle, 0.01)[0].to_line_string();
//! let needles = resample::along(&ring, resample::Spacing::new(2.5));
//! assert_eq!(needles.first(), needles.last());
//! assert!(needles.windows(2).all(|pair| measure::distance(pair[0], pair[1]) <= 2.5));
//! ```
//!
//! # A region with a hole, shrunk and measured
//!
//! ```
//! use geo::Area;
//! use hoopwright_geometry::{area, curves, kurbo, measure, offset};
//!
//! let disc = curves::area(&kurbo::Circle::new((0.0, 0.0), 10.0), 0.001);
//! let square = curves::area(&kurbo::Rect::new(-2.0, -2.0, 2.0, 2.0), 0.001);
//! let ring = area::difference(&disc, &square);
//! assert!((ring.unsigned_area() - (314.16 - 16.0)).abs() < 0.1);
//! // Half a millimetre off every edge, also around the hole.
//! let inner = offset::grow(&ring, -0.5);
//! assert!(measure::perimeter(&inner) < measure::perimeter(&ring));
//! // The widest place of a ring from 2 to 10 mm is 8 mm wide, in the middle of a side.
//! let widest = measure::largest_circle(&ring, 0.01).expect("it is not empty");
//! assert!((widest.radius - 4.0).abs() < 0.02);
//! ```
//!
//! # Rows of thread at an angle
//!
//! ```
//! use geo::{Rotate, polygon};
//! use hoopwright_geometry::scan;
//!
//! let square: geo::MultiPolygon =
//!     polygon![(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.), (x: 0., y: 20.)].into();
//! // `rows` cuts level; turn the region, cut, and turn the ends back. With y down, geo's positive
//! // angles turn clockwise as seen.
//! let centre = geo::Point::new(10.0, 10.0);
//! let turned = square.rotate_around_point(45.0, centre);
//! let rows = scan::rows(&turned, 2.0, 0.0);
//! let thread: f64 = rows.iter().flat_map(|row| &row.spans).map(scan::Span::length).sum();
//! // Length times distance is the area.
//! assert!((thread * 2.0 - 400.0).abs() < 8.0);
//! ```
//!
//! # A line inside a region, and the way around a hole
//!
//! ```
//! use geo::{Coord, line_string, polygon};
//! use hoopwright_geometry::{area, inside_way::InsideWays, measure};
//!
//! let square = polygon!(
//!     exterior: [(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 9.)],
//!     interiors: [[(x: 3., y: 3.), (x: 6., y: 3.), (x: 6., y: 6.), (x: 3., y: 6.)]],
//! );
//! // What was not drawn by this crate is cleaned first: rings may turn any way, and cross.
//! let square = area::clean(&square.into());
//! let line = line_string![(x: -5., y: 4.), (x: 20., y: 4.)];
//! let pieces = area::clip_line(&line, &square);
//! let inside: f64 = pieces.iter().map(measure::length).sum();
//! assert!((inside - 6.0).abs() < 0.01);
//! // From the left of the hole to its right, over its upper edge: 2 times the root of (2² + 1²), and 3.
//! let ways = InsideWays::new(&square);
//! let (left, right) = (Coord { x: 1.0, y: 4.0 }, Coord { x: 8.0, y: 4.0 });
//! let way = ways.shortest(left, right, 20.0).expect("both lie inside");
//! assert!((measure::way_length(&way) - 7.472).abs() < 0.01);
//! ```
//!
//! # The middle of a narrow region
//!
//! ```
//! use geo::polygon;
//! use hoopwright_geometry::medial_axis::{Pruning, medial_axis};
//!
//! let bar: geo::MultiPolygon =
//!     polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 4.), (x: 0., y: 4.)].into();
//! let axis = medial_axis(&bar, Pruning::default());
//! assert!((axis.branches[0].places[0].radius - 2.0).abs() < 0.05);
//! ```

#![forbid(unsafe_code)]

pub use {geo, kurbo};

pub mod area;
pub mod boxes;
pub mod curves;
pub mod edge_grid;
pub mod groups;
pub mod hidden_ways;
pub mod inside_way;
pub mod measure;
pub mod measured;
pub mod medial_axis;
pub mod offset;
pub mod resample;
pub mod scan;

pub use area::{FillRule, clean};
