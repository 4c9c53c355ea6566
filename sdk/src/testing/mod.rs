//! What a step's own tests need. Turn the feature `testing` on in `[dev-dependencies]`.
//!
//! - [`design`] builds a small design in a line.
//! - [`run()`] runs the step on it: natively, with [`Run::natively`], or in the program's sandbox, with
//!   [`Run::in_the_sandbox`]. Settings are checked against the step's own schema, and what comes back
//!   against the contract's promises, as the host does.
//! - [`Done::as_expected`] compares with a stored result.
//! - [`keeps_the_contract`] holds the step to the contract on designs and settings made at random.
//!
//! ```
//! use hoopwright_sdk::prelude::*;
//! use hoopwright_sdk::testing;
//! # settings! {
//! #     /// Moves an object across the cloth.
//! #     pub struct Nudge {
//! #         /// How far to the right; negative is to the left.
//! #         pub right: f64 = 1.0, in "mm", from -500.0 to 500.0;
//! #     }
//! # }
//! # fn nudge(mut object: Object, _: &Thread, settings: &Nudge) -> Result<Object, Failure> {
//! #     for block in &mut object.stitches {
//! #         block.x.iter_mut().for_each(|x| *x += settings.right);
//! #     }
//! #     Ok(object)
//! # }
//! # object_step! {
//! #     name: "nudge",
//! #     summary: "Moves the stitches of an object to the right.",
//! #     settings: Nudge,
//! #     process: nudge,
//! # }
//!
//! let drawn = testing::design().line("shaft", &[(0.0, 0.0), (10.0, 0.0)], 0.4).sewn(2.5);
//! let done = testing::run(&step(), drawn)
//!     .with(testing::json!({ "right": 3.0 }))
//!     .natively();
//! assert_eq!(done.needle_points("shaft")[0], (3.0, 0.0));
//! ```
//!
//! These functions panic where something does not hold: that is how a test fails.

mod cases;
mod contract;
mod defaults;
mod done;
mod draft;
mod expected;
mod run;
mod sandbox;
mod schema;

pub use cases::{designs, settings};
pub use contract::{keeps_the_contract, keeps_the_contract_on};
pub use done::Done;
pub use draft::{Draft, design};
pub use run::{Run, run};
pub use serde_json::json;
