//! Where plugins run: no files, clock, network, random numbers or environment, and never for ever.
//!
//! A plugin's bytes are read, checked and compiled ([`Plugin`]), and each call gets a
//! fresh store with its [`Limits`]. What a guest hands back is checked before the host believes it.

pub mod bindings;
mod call;
mod clock;
mod code;
mod compiled;
mod description;
mod engine;
mod guard;
mod imports;
mod limits;
mod make_up;
mod piecework;
mod plugin;
mod ready;
mod session;
mod settings_schema;
mod stamp;

pub use call::{Answer, CallError, Unanswered};
pub use engine::Sandbox;
pub use limits::Limits;
pub use piecework::{PIECES, PieceCache, PieceKey, Worked};
pub use plugin::{Kind, Plugin};
pub(crate) use ready::component_of;
pub(crate) use session::RECORD;
pub use session::{Log, LogLine, Progress, harmless};
pub use stamp::{CONTRACT, Version};
