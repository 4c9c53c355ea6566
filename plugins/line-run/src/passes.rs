//! The needle's way along a line: once, there and back, or three times.

use hoopwright_sdk::prelude::*;

choices! {
    /// How often the thread passes along a line.
    pub enum Passes {
        /// Once, from one end to the other.
        #[default]
        Single,
        /// There and back: ends where it began.
        Double,
        /// Each stitch forward, back and forward again: a strong line that ends at the far end.
        Triple,
    }
}

impl Passes {
    /// Whether a line that is open ends where it began.
    pub fn returns(self) -> bool {
        self == Self::Double
    }

    /// The places where the needle goes down, in order, given the places along the line once.
    ///
    /// Triple run sews each stitch three times before it goes on, and not the whole line three
    /// times: between two passes of a long line the cloth would have moved, and the threads
    /// would lie side by side.
    pub fn needle_places(self, once: Vec<Coord<f64>>) -> Vec<Coord<f64>> {
        match self {
            Self::Single => once,
            Self::Double => {
                let back: Vec<_> = once.iter().rev().skip(1).copied().collect();
                once.into_iter().chain(back).collect()
            }
            Self::Triple => {
                let stitches = once
                    .windows(2)
                    .flat_map(|stitch| [stitch[1], stitch[0], stitch[1]]);
                once.first().copied().into_iter().chain(stitches).collect()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64) -> Coord<f64> {
        Coord { x, y: 0.0 }
    }

    fn ways(passes: Passes) -> Vec<f64> {
        let once = vec![at(0.), at(1.), at(2.)];
        let places = passes.needle_places(once);
        places.iter().map(|place| place.x).collect()
    }

    #[test]
    fn double_comes_back_and_triple_goes_on() {
        assert_eq!(ways(Passes::Single), [0., 1., 2.]);
        assert_eq!(ways(Passes::Double), [0., 1., 2., 1., 0.]);
        assert_eq!(ways(Passes::Triple), [0., 1., 0., 1., 2., 1., 2.]);
    }

    #[test]
    fn nothing_stays_nothing() {
        for passes in [Passes::Single, Passes::Double, Passes::Triple] {
            assert!(passes.needle_places(Vec::new()).is_empty());
        }
    }
}
