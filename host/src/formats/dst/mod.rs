//! The DST machine file: a 512-byte header and three bytes for each move.
//!
//! [`route`] turns a design into [`record`]s; [`writer`] puts a [`header`] before them;
//! [`reader`] goes the other way.

pub mod grid;
pub mod header;
mod hoop;
pub mod machine;
pub mod reader;
pub mod record;
pub mod route;
pub mod travel;
pub mod writer;

pub use hoop::{Hoop, MachineHoop};
pub use machine::{Field, Machine, Place, SpeedUpTo};
pub use reader::{read, read_for};
pub use route::{Beginning, Passage, Purpose, Route, Run};
pub use writer::{Written, write};
