//! Steps shared through a real registry: the distribution project's own server, on this computer.
//!
//! `.ci/run` installs the server (Debian's `docker-registry`) and an independent client (`skopeo`).

mod access;
mod broken;
mod faults;
mod layout;
pub mod server;
mod sharing;
mod shop;
mod tokens;
