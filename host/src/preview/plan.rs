//! What is drawn, in order, before it is known as what: the SVG and the PNG show the same plan.

use super::figure::Figure;
use super::{PreviewOptions, marks, path, surroundings};
use crate::design::{Design, Object, Stitch, StitchKind, StitchRole, Thread, bounds};
use crate::formats::dst::route::Way;
use crate::formats::dst::{Machine, Route};
use crate::rack::Colour;
use geo::{Coord, Rect};
use std::collections::BTreeMap;

/// A whole picture, in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The fabric that is seen.
    pub frame: Rect<f64>,
    /// The fabric's colour.
    pub fabric: Colour,
    /// The thread, in sewing order.
    pub layers: Vec<Layer>,
    /// What lies over it, in order.
    pub figures: Vec<Figure>,
}

/// Thread of one object that lies over what came before it.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Its colour.
    pub colour: Colour,
    /// How thick it is, in mm.
    pub width: f64,
    /// Whether it is meant to be seen: cover and ties, and not what lies under them.
    pub seen: bool,
    /// From needle point to needle point, parted where the needle is up.
    pub lines: Vec<Line>,
}

impl Layer {
    /// How wide the thread and its lit middle are drawn, in hundredths of a mm. The middle is narrower
    /// than the space between neighbouring rows of a full cover (0.2 mm), so that single rows can be
    /// told apart.
    pub fn widths(&self) -> [i64; 2] {
        let width = path::hundredths(self.width).max(1);
        [width, (width * 2 / 5).max(1)]
    }
}

/// Thread from needle point to needle point, in mm.
pub type Line = Vec<Coord<f64>>;

/// How far apart two needle points lie at least, in mm, so that thread is seen between them.
const SEEN: f64 = 1e-3;

impl Plan {
    /// Plans the picture of `design`.
    pub fn new(design: &Design, options: &PreviewOptions) -> Self {
        let route = route(design);
        let layers = layers_along(design, route.as_ref(), options.thread_width);
        let sewn = bounds(sound_places(design));
        let page = [design.page.least, design.page.greatest].map(Coord::from);
        let page = bounds(page.into_iter().filter(sound));
        let empty = Rect::new(Coord { x: 0.0, y: 0.0 }, Coord { x: 10.0, y: 10.0 });
        let seen = sewn.or(page).unwrap_or(empty);
        let frame = surroundings::frame(seen, options);
        let unit = surroundings::unit(frame);
        let mut figures = surroundings::hoop(options, unit);
        if let Some(route) = &route {
            figures.extend(marks::ways(design, route, options, unit));
        }
        figures.extend(marks::overlay(&options.overlay, unit));
        if options.scale_bar {
            figures.push(surroundings::scale_bar(frame, options.fabric, unit));
        }
        Self {
            frame,
            fabric: Colour::new(options.fabric),
            layers,
            figures,
        }
    }
}

/// Whether a place can be drawn at all.
pub fn sound(place: &Coord<f64>) -> bool {
    place.x.is_finite() && place.y.is_finite()
}

fn sound_places(design: &Design) -> impl Iterator<Item = Coord<f64>> + '_ {
    let stitches = design.objects.iter().flat_map(Object::each_stitch);
    let needles = stitches.filter(|stitch| stitch.kind == StitchKind::Needle);
    needles.map(|stitch| stitch.at).filter(sound)
}

/// The thread of a whole design, in sewing order. A 40 weight thread is `width` mm thick. With what the
/// machine does not cut between two objects, or within one: it lies loose on what was sewn before.
pub fn layers(design: &Design, width: f64) -> Vec<Layer> {
    layers_along(design, route(design).as_ref(), width)
}

fn layers_along(design: &Design, route: Option<&Route>, width: f64) -> Vec<Layer> {
    let mut layers = Vec::new();
    let mut before = None;
    let mut carried = route.map_or_else(BTreeMap::new, |route| carried(design, route));
    for (place, object) in design.objects.iter().enumerate() {
        let thread = design.threads.get(object.thread as usize);
        let colour = Colour::of_object(design, object);
        let width = thickness(thread, width);
        let loose = carried.remove(&place).map(|lines| (true, lines));
        let parts = loose.into_iter().chain(of_object(object, &mut before));
        layers.extend(parts.map(|(seen, lines)| Layer {
            colour,
            width,
            seen,
            lines,
        }));
    }
    layers
}

/// The way of a machine with the usual settings through the design. What cannot be sewn has none.
fn route(design: &Design) -> Option<Route> {
    Some(Route::plan(design, &Machine::default()).ok()?.0)
}

/// The ways to each object on which the thread lies loose, uncut.
fn carried(design: &Design, route: &Route) -> BTreeMap<usize, Vec<Line>> {
    let mut carried: BTreeMap<usize, Vec<Line>> = BTreeMap::new();
    let mut before: Option<Coord<f64>> = None;
    for point in route.needle_points(design) {
        let from = before.replace(point.at);
        if let Some(from) = from.filter(|_| point.way == Way::Carried) {
            carried
                .entry(point.object)
                .or_default()
                .push(vec![from, point.at]);
        }
    }
    carried
}

/// The thread of an object alone, from needle point to needle point.
pub fn lines_of(object: &Object) -> Vec<Line> {
    of_object(object, &mut None)
        .into_iter()
        .flat_map(|(_, lines)| lines)
        .collect()
}

/// A weight number is a length for a mass (ISO 1144 has it as Nm), so that a thread of the same
/// fibre grows thinner with the square root of its number.
fn thickness(thread: Option<&Thread>, forty: f64) -> f64 {
    let weight = thread.map_or(40, |thread| thread.weight).max(1);
    forty * (40.0 / f64::from(weight)).sqrt()
}

/// The thread of an object, from needle point to needle point, parted where what is meant to be
/// seen begins or ends: the thread's lit middle is drawn over its edges in the SVG, so that a part
/// which lies under another must be drawn before it. `before` is the last needle point sewn before.
fn of_object(object: &Object, before: &mut Option<Coord<f64>>) -> Vec<(bool, Vec<Line>)> {
    let mut layers: Vec<(bool, Vec<Line>)> = Vec::new();
    let mut joined = false;
    for Stitch { at, kind, role } in object.each_stitch() {
        if kind != StitchKind::Needle {
            joined = false;
            continue;
        }
        if !sound(&at) {
            continue;
        }
        let from = before.replace(at).filter(|_| joined);
        let is_seen = matches!(role, StitchRole::Cover | StitchRole::Tie);
        let begins = layers.last().is_none_or(|(seen, _)| *seen != is_seen);
        if begins {
            layers.push((is_seen, Vec::new()));
        }
        if let Some((_, lines)) = layers.last_mut() {
            if begins || !joined {
                lines.push(from.into_iter().collect());
            }
            if let Some(line) = lines.last_mut() {
                go_on(line, at);
            }
        }
        joined = true;
    }
    for (_, lines) in &mut layers {
        lines.retain(|line| line.len() > 1);
    }
    layers.retain(|(_, lines)| !lines.is_empty());
    layers
}

/// Leads a line on to `at`, unless it is there already.
fn go_on(line: &mut Line, at: Coord<f64>) {
    let is_there = line.last().is_some_and(|last| {
        let way = at - *last;
        way.x.abs() < SEEN && way.y.abs() < SEEN
    });
    if !is_there {
        line.push(at);
    }
}
