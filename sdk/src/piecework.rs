//! Work that a design step gives out in pieces: the host works on several at once, and keeps what comes of
//! each from one run to the next.
//!
//! It is for steps that spend their time on many things which know little of each other, such as objects and
//! what lies on them. A piece is whatever the step makes of its design, with all that the work on it needs;
//! what comes of it must hang on nothing else.
//!
//! ```
//! use hoopwright_sdk::piecework::Piecework;
//! use hoopwright_sdk::prelude::*;
//!
//! settings! {
//!     /// Names each object after its size.
//!     pub struct NameBySize {
//!         /// How wide lines are taken that are drawn finer.
//!         pub thread: f64 = 0.4, in "mm", from 0.1 to 2.0;
//!     }
//! }
//!
//! impl Piecework for NameBySize {
//!     type Piece = Shape;
//!     type Done = f64;
//!
//!     fn work(&self, shape: Shape) -> f64 {
//!         geo::Area::unsigned_area(&shape.area(self.thread))
//!     }
//! }
//!
//! fn name_by_size(
//!     mut design: Design,
//!     selected: &[usize],
//!     settings: &NameBySize,
//! ) -> Result<Design, Failure> {
//!     let shape = |&place: &usize| design.objects[place].shape.clone();
//!     let sizes = settings.give_out(selected.iter().map(shape));
//!     for (&place, size) in selected.iter().zip(sizes) {
//!         design.objects[place].name = format!("{size:.0} mm²");
//!     }
//!     Ok(design)
//! }
//!
//! design_step! {
//!     name: "name-by-size",
//!     summary: "Names each object after its size.",
//!     settings: NameBySize,
//!     process: name_by_size,
//! }
//! hoopwright_sdk::piece_worker!(NameBySize);
//! ```

use serde::{Serialize, de::DeserializeOwned};

/// Settings of a design step that gives out pieces: the work on one, and what goes into it.
///
/// Pieces and what comes of them go as bytes from one memory to another, also in the step's own tests.
pub trait Piecework: DeserializeOwned {
    /// All that the work on a piece needs, besides the settings.
    type Piece: Serialize + DeserializeOwned;
    /// What comes of it.
    type Done: Serialize + DeserializeOwned;

    /// Works on one piece.
    fn work(&self, piece: Self::Piece) -> Self::Done;

    /// What comes of each of `pieces`, in their order. Findings that the work reports, and what it logs, are
    /// heard in that order too.
    ///
    /// # Panics
    /// When a piece cannot be written as bytes, or what comes of it not be read from them.
    fn give_out(&self, pieces: impl IntoIterator<Item = Self::Piece>) -> Vec<Self::Done> {
        let pieces: Vec<Vec<u8>> = pieces.into_iter().map(|piece| written(&piece)).collect();
        if pieces.is_empty() {
            return Vec::new();
        }
        let done = worked_on(self, &pieces);
        done.iter().map(|bytes| read(bytes)).collect()
    }
}

#[cfg(target_arch = "wasm32")]
fn worked_on<S: Piecework>(_settings: &S, pieces: &[Vec<u8>]) -> Vec<Vec<u8>> {
    crate::bindings::piecework::hoopwright::step::piecework::give_out(pieces)
}

#[cfg(not(target_arch = "wasm32"))]
fn worked_on<S: Piecework>(settings: &S, pieces: &[Vec<u8>]) -> Vec<Vec<u8>> {
    let work = |piece: &Vec<u8>| written(&settings.work(read(piece)));
    pieces.iter().map(work).collect()
}

/// Does the work on a piece of which the host gives the bytes. The macro calls this.
///
/// # Panics
/// When the settings or the piece cannot be read.
#[doc(hidden)]
pub fn work_on_one<S: Piecework>(piece: &[u8], settings: &str) -> Vec<u8> {
    let done = crate::enter::<S, _>(settings, |settings| {
        Ok(written(&settings.work(read(piece))))
    });
    done.unwrap_or_else(|failure| panic!("{}", failure.message))
}

fn written(value: &impl Serialize) -> Vec<u8> {
    let bytes = postcard::to_allocvec(value);
    bytes.unwrap_or_else(|error| panic!("a piece cannot be written as bytes: {error}"))
}

fn read<T: DeserializeOwned>(bytes: &[u8]) -> T {
    let value = postcard::from_bytes(bytes);
    value.unwrap_or_else(|error| panic!("a piece cannot be read from its bytes: {error}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(serde::Deserialize)]
    struct Times(f64);

    impl Piecework for Times {
        type Piece = f64;
        type Done = f64;

        fn work(&self, piece: f64) -> f64 {
            self.0 * piece
        }
    }

    #[test]
    fn pieces_come_back_in_their_order() {
        let done = Times(2.0).give_out([1.0, -0.0, 1e300]);
        assert_eq!(done, [2.0, 0.0, 2e300]);
        assert!(done[1].is_sign_negative(), "numbers keep every bit");
        assert_eq!(Times(2.0).give_out([]), [0.0; 0]);
    }

    #[test]
    fn a_worker_reads_its_settings() {
        let done = work_on_one::<Times>(&written(&7.0), "3");
        assert_eq!(read::<f64>(&done), 21.0);
    }
}
