//! How bright thread is: one fixed light, and thread as a cylinder that lies along its stitch.

use crate::rack::Colour;
use geo::Coord;

/// Where the light comes from: the upper left, and from above the cloth. A vector of length 1: x
/// to the right, y down, z up from the cloth.
const LIGHT: [f64; 3] = [-0.48, -0.64, 0.6];
/// Halfway between the light and the eye, which looks straight down: where a mirror would have to
/// face. (LIGHT + [0, 0, 1]) / length.
const HALFWAY: [f64; 3] = [-0.268_328_157, -0.357_770_876, 0.894_427_191];

/// How many shades a thread has across.
const SHADES: usize = 32;

/// A thread's colours across, from one edge to the other, where it lies in one direction.
pub struct Cylinder {
    shades: [[f32; 3]; SHADES],
}

impl Cylinder {
    /// Thread of `colour` along `direction`, which has length 1.
    pub fn new(colour: Colour, direction: Coord<f64>) -> Self {
        let channels = [colour.red, colour.green, colour.blue].map(f64::from);
        let shades = std::array::from_fn(|i| {
            let across = (i as f64 + 0.5) / SHADES as f64 * 2.0 - 1.0;
            let (light, shine) = lit(direction, across);
            channels.map(|channel| {
                let body = channel * light;
                let white = body + (255.0 - body) * shine;
                white.clamp(0.0, 255.0) as f32
            })
        });
        Self { shades }
    }

    /// The colour at `across`: -1 is the edge on the left of who goes along the stitch with y
    /// down, 0 the middle, and 1 the other edge.
    pub fn at(&self, across: f64) -> [f32; 3] {
        let place = (across + 1.0) / 2.0 * SHADES as f64;
        self.shades[(place.max(0.0) as usize).min(SHADES - 1)]
    }
}

/// How bright a cylinder along `direction` is at `across`, and how much it shines white there.
///
/// Both sides are equally bright. Neighbours lie side by side on the cloth, but in a picture the
/// later covers half of the earlier; were the side to the light brighter, then rows sewn upwards
/// would look unlike rows sewn downwards.
pub fn lit(direction: Coord<f64>, across: f64) -> (f64, f64) {
    let up = (1.0 - across * across).max(0.0).sqrt();
    // The brightest line of a cylinder faces the light as far as its direction lets it: the sine
    // of the angle between the two.
    let facing = |to: [f64; 3]| {
        let along = direction.x * to[0] + direction.y * to[1];
        (1.0 - along * along).max(0.0).sqrt()
    };
    let diffuse = facing(LIGHT);
    // Edges lie deep between neighbours, where little light comes.
    let depth = 0.62 + 0.38 * up;
    let mirror = facing(HALFWAY) * up;
    let mirror = mirror * mirror * mirror;
    let shine = 0.30 * mirror * mirror;
    ((0.52 + 0.58 * diffuse) * depth, shine)
}

/// How much of its light thread keeps at `far` mm from the nearer needle point: it goes down into
/// the cloth there.
pub fn at_needle(far: f64) -> f32 {
    const REACH: f64 = 0.35;
    if far >= REACH {
        return 1.0;
    }
    let near = 1.0 - far.max(0.0) / REACH;
    (1.0 - 0.4 * near * near) as f32
}
