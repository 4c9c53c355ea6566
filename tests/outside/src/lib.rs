//! What comes from outside: files that people, other programs and attackers hand to Hoopwright.
//!
//! Each [`Subject`] has a maker, which turns any bytes into a mostly sound file, and a judge, which
//! says what does not hold of what the program makes of a file. The fuzz targets in `tests/fuzz` are
//! one call each into here; the property tests in `tests/outside/tests` try the same at random and
//! sew again what fuzzing once found.

pub mod chance;
pub mod damage;
pub mod design;
pub mod dst;
pub mod json;
pub mod lock;
pub mod machine;
pub mod numbers;
pub mod pack;
pub mod part;
pub mod pipeline;
pub mod rack;
pub mod routine;
pub mod schema;
pub mod settings;
pub mod signed_pack;
pub mod step;
mod subject;
pub mod svg;
pub mod told;
pub mod trust;
pub mod words;

pub use subject::{Subject, all, named};
