//! One flat colour for any paint.

use usvg::{Color, Paint, Stop};

/// What a paint comes to.
pub(super) struct Flat {
    /// The colour; nothing where the paint is see-through all over.
    pub colour: Option<Color>,
    /// What was not flat about it.
    pub was: Was,
}

/// What a paint was.
pub(super) enum Was {
    Flat,
    Gradient { id: String },
    Pattern { id: String },
}

/// The flat colour of a paint: a gradient's average, or the colour that covers most of a
/// pattern's tile.
pub(super) fn flat(paint: &Paint) -> Flat {
    match paint {
        Paint::Color(colour) => Flat {
            colour: Some(*colour),
            was: Was::Flat,
        },
        Paint::LinearGradient(gradient) => of_gradient(gradient.id(), gradient.stops()),
        Paint::RadialGradient(gradient) => of_gradient(gradient.id(), gradient.stops()),
        Paint::Pattern(pattern) => {
            let mut areas = Vec::new();
            add_areas(pattern.root(), &mut areas);
            // The first of the largest, so that the answer never depends on chance.
            let largest = areas
                .iter()
                .reduce(|best, next| if next.1 > best.1 { next } else { best });
            Flat {
                colour: largest.map(|(colour, _)| *colour),
                was: Was::Pattern {
                    id: pattern.id().to_owned(),
                },
            }
        }
    }
}

fn of_gradient(id: &str, stops: &[Stop]) -> Flat {
    Flat {
        colour: average(stops),
        was: Was::Gradient { id: id.to_owned() },
    }
}

/// The mean sRGB colour along the gradient's line, each place weighted by how opaque it is.
/// Between stops colours go over evenly; before the first and after the last they stay
/// (SVG 2 section 14.2.4).
fn average(stops: &[Stop]) -> Option<Color> {
    let (first, last) = (stops.first()?, stops.last()?);
    let mut sum = [0.0; 3];
    let mut weight = 0.0;
    let mut add = |stop: &Stop, length: f64| {
        let share = length * f64::from(stop.opacity().get());
        let colour = [stop.color().red, stop.color().green, stop.color().blue];
        for (sum, channel) in sum.iter_mut().zip(colour) {
            *sum += share * f64::from(channel);
        }
        weight += share;
    };
    let at = |stop: &Stop| f64::from(stop.offset().get());
    add(first, at(first));
    for pair in stops.windows(2) {
        let half = ((at(&pair[1]) - at(&pair[0])) / 2.0).max(0.0);
        add(&pair[0], half);
        add(&pair[1], half);
    }
    add(last, 1.0 - at(last));
    // A weight this small is rounding error: usvg moves equal offsets apart by as much.
    if weight < 1e-6 {
        return None;
    }
    let [red, green, blue] = sum.map(|sum| (sum / weight).round() as u8);
    Some(Color::new_rgb(red, green, blue))
}

/// How much of a tile each colour covers, by the boxes around what is painted. Patterns within a
/// pattern are left out.
fn add_areas(group: &usvg::Group, areas: &mut Vec<(Color, f64)>) {
    for child in group.children() {
        match child {
            usvg::Node::Group(inner) => add_areas(inner, areas),
            usvg::Node::Path(path) if path.is_visible() => {
                let bounds = path.abs_bounding_box();
                let (width, height) = (f64::from(bounds.width()), f64::from(bounds.height()));
                if let Some(fill) = path.fill() {
                    add_area(fill.paint(), width * height, areas);
                }
                if let Some(stroke) = path.stroke() {
                    let length = width + height;
                    add_area(
                        stroke.paint(),
                        length * f64::from(stroke.width().get()),
                        areas,
                    );
                }
            }
            _ => {}
        }
    }
}

fn add_area(paint: &Paint, area: f64, areas: &mut Vec<(Color, f64)>) {
    let colour = match paint {
        Paint::Color(colour) => Some(*colour),
        Paint::LinearGradient(gradient) => average(gradient.stops()),
        Paint::RadialGradient(gradient) => average(gradient.stops()),
        Paint::Pattern(_) => None,
    };
    let Some(colour) = colour else { return };
    match areas.iter_mut().find(|(known, _)| *known == colour) {
        Some((_, sum)) => *sum += area,
        None => areas.push((colour, area)),
    }
}
