//! Steps from registries: how a shop shares a step with another over the network.
//!
//! A step is pushed as the CNCF's "Wasm OCI Artifact layout" asks ([`layout`]): one image manifest,
//! one config, one layer with the component. [`push`] and [`pull`] are the only ones that speak to a
//! registry; what was pulled lies in the [`store`], and a run takes it from there without any network.
//!
//! The protocol is that of the OCI distribution specification, of which a step needs five requests.
//! They stand here over a general HTTP client, because a registry is not trusted: each answer has a
//! greatest size, `Retry-After` is heeded, a broken download goes on where it stopped, and a password
//! never goes out unencrypted. The client library for registries (oci-client 0.18) reads manifests
//! and tokens without a limit and keeps neither status nor headers of a refusal.

mod access;
mod connection;
mod credentials;
mod digest;
mod download;
pub mod layout;
mod partial;
pub mod pull;
pub mod push;
mod reference;
mod retry;
pub mod store;
mod trouble;

pub use connection::{Connection, Encryption};
pub use credentials::Credentials;
pub use digest::Digest;
pub use reference::{Reference, WrongReference};
pub use retry::Patience;
