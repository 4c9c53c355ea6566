//! What it takes to paint a drawing. It may be short and yet keep a renderer busy for hours: what is
//! blended with what is beneath, a mask, a clip and each use of a pattern is painted by itself, on
//! pixels of its own, and again wherever it is asked for; and a filter may take any time at all.

use resvg::tiny_skia::{PathSegment, Point, Rect, Transform};
use usvg::{ClipPath, Group, Mask, Node, Paint, Path, Pattern, Stroke};

/// The most layers of a drawing, each as large as a picture. Smaller ones count as much, larger ones more.
const MOST_LAYERS: usize = 500;
/// The most of them inside one another, which are held at the same time.
const DEEPEST: usize = 12;
/// The pixels of a layer: a little more than the largest picture has.
const LAYER: f64 = (1 << 21) as f64;
/// The most corners of the shapes in patterns, masks and clips, however often they are painted.
const MOST_CORNERS: usize = 2_000_000;
/// What painting a shape of a few corners takes, in corners.
const SHAPE: usize = 100;
/// How far from the picture's corner a shape may reach, in pixels. The renderer tells places apart up to
/// 2^24; on far larger ones it breaks down.
const FARTHEST: f32 = (1 << 23) as f32;
/// The most dashes.
const MOST_DASHES: f64 = 200_000.0;

/// Makes sure that painting `root`, with `transform` from its units to pixels, ends soon.
///
/// # Errors
/// Why it would not.
pub(super) fn check(root: &Group, transform: Transform) -> Result<(), String> {
    Effort::default().within(root, Place::of(transform))
}

/// What has been counted so far.
#[derive(Default)]
struct Effort {
    layers: usize,
    corners: usize,
    dashes: f64,
}

/// Where something is painted.
#[derive(Clone, Copy)]
struct Place {
    transform: Transform,
    /// How many layers it lies within.
    depth: usize,
    /// The fewest layers that a layer here counts as.
    least: usize,
    /// Whether it is painted as often as others ask for it.
    again: bool,
}

impl Place {
    fn of(transform: Transform) -> Self {
        Self {
            transform,
            depth: 0,
            least: 1,
            again: false,
        }
    }

    fn inside(self, transform: Transform) -> Self {
        Self {
            transform: self.transform.pre_concat(transform),
            ..self
        }
    }
}

impl Effort {
    fn within(&mut self, group: &Group, place: Place) -> Result<(), String> {
        for child in group.children() {
            match child {
                Node::Group(inner) => self.group(inner, place.inside(inner.transform()))?,
                Node::Path(path) => self.path(path, place)?,
                // Neither is loaded.
                Node::Image(_) | Node::Text(_) => {}
            }
        }
        Ok(())
    }

    fn group(&mut self, group: &Group, mut place: Place) -> Result<(), String> {
        if !group.filters().is_empty() {
            return Err("it has a filter".to_owned());
        }
        let mut size = place.least;
        if group.should_isolate() {
            let pixels = group.layer_bounding_box().transform(place.transform);
            let pixels = pixels.map_or(0.0, |part| {
                f64::from(part.width()) * f64::from(part.height())
            });
            size = layers(pixels).max(place.least);
            place = self.layer(size, place)?;
        }
        self.within(group, place)?;
        // Both are as large as the group's own layer.
        let covering = Place {
            least: size,
            again: true,
            ..place
        };
        if let Some(clip) = group.clip_path() {
            self.clip(clip, covering)?;
        }
        if let Some(mask) = group.mask() {
            self.mask(mask, covering)?;
        }
        Ok(())
    }

    fn clip(&mut self, clip: &ClipPath, place: Place) -> Result<(), String> {
        let place = self.layer(place.least, place)?;
        self.within(clip.root(), place.inside(clip.transform()))?;
        match clip.clip_path() {
            Some(clip) => self.clip(clip, place),
            None => Ok(()),
        }
    }

    fn mask(&mut self, mask: &Mask, place: Place) -> Result<(), String> {
        let place = self.layer(place.least, place)?;
        self.within(mask.root(), place)?;
        match mask.mask() {
            Some(mask) => self.mask(mask, place),
            None => Ok(()),
        }
    }

    fn path(&mut self, path: &Path, place: Place) -> Result<(), String> {
        let reaches = path.stroke_bounding_box().transform(place.transform);
        let is_near = |bounds: Rect| {
            let sides = [bounds.left(), bounds.top(), bounds.right(), bounds.bottom()];
            sides.iter().all(|side| side.abs() <= FARTHEST)
        };
        if !reaches.is_some_and(is_near) {
            return Err("a shape reaches too far beyond the picture".to_owned());
        }
        if place.again {
            self.corners = self.corners.saturating_add(path.data().len().max(SHAPE));
            if self.corners > MOST_CORNERS {
                return Err("its patterns, masks and clips are painted too often".to_owned());
            }
        }
        if let Some(stroke) = path.stroke() {
            self.dashes += dashes(path, stroke);
            if self.dashes > MOST_DASHES {
                return Err(format!("its lines have more than {MOST_DASHES} dashes"));
            }
        }
        let fill = path.fill().map(|fill| fill.paint());
        let stroke = path.stroke().map(|stroke| stroke.paint());
        for paint in [fill, stroke].into_iter().flatten() {
            if let Paint::Pattern(pattern) = paint {
                self.pattern(pattern, place)?;
            }
        }
        Ok(())
    }

    /// A pattern's tile is painted upright, as large as it appears.
    fn pattern(&mut self, pattern: &Pattern, place: Place) -> Result<(), String> {
        let (x, y) = place.inside(pattern.transform()).transform.get_scale();
        let tile = pattern.rect();
        let [width, height] = [tile.width() * x, tile.height() * y].map(f64::from);
        let place = self.layer(layers(width * height), place)?;
        let inside = Place {
            transform: Transform::from_scale(x, y),
            least: 1,
            again: true,
            ..place
        };
        self.within(pattern.root(), inside)
    }

    /// Counts pixels of their own; gives the place upon them.
    fn layer(&mut self, size: usize, place: Place) -> Result<Place, String> {
        let depth = place.depth.saturating_add(size);
        self.layers = self.layers.saturating_add(size);
        if depth > DEEPEST {
            return Err(format!(
                "what is blended, masked, clipped or patterned takes more than {DEEPEST} layers at a time"
            ));
        }
        if self.layers > MOST_LAYERS {
            return Err(format!(
                "what is blended, masked, clipped or patterned takes more than {MOST_LAYERS} layers"
            ));
        }
        Ok(Place { depth, ..place })
    }
}

/// So many pixels as layers.
fn layers(pixels: f64) -> usize {
    // What is no number is no pixels; what is beyond all numbers becomes the greatest.
    ((pixels / LAYER).ceil() as usize).max(1)
}

/// About how many dashes a stroke has: a curve is no longer than the straight lines from handle to
/// handle.
fn dashes(path: &Path, stroke: &Stroke) -> f64 {
    let Some(lengths) = stroke.dasharray() else {
        return 0.0;
    };
    let round: f64 = lengths.iter().copied().map(f64::from).sum();
    let (mut length, mut at, mut start) = (0.0, Point::zero(), Point::zero());
    for segment in path.data().segments() {
        let way = match segment {
            PathSegment::MoveTo(to) => {
                (at, start) = (to, to);
                continue;
            }
            PathSegment::LineTo(to) => vec![to],
            PathSegment::QuadTo(handle, to) => vec![handle, to],
            PathSegment::CubicTo(first, second, to) => vec![first, second, to],
            PathSegment::Close => vec![start],
        };
        for to in way {
            length += f64::from(at.distance(to));
            at = to;
        }
    }
    length * lengths.len() as f64 / (2.0 * round)
}

#[cfg(test)]
mod tests;
