//! Guests compiled for the benchmark, as an author would.

use crate::owls::root;
use crate::workshop::scratch;
use std::process::Command;

/// The core module of a package of this workspace.
pub fn module(package: &str) -> Vec<u8> {
    let target = scratch().join("guests");
    let mut cargo = Command::new(env!("CARGO"));
    cargo
        .current_dir(root())
        .args(["build", "--lib", "--locked", "--profile", "guest"])
        .args(["--target", "wasm32-unknown-unknown", "-p", package])
        .arg("--target-dir")
        .arg(&target)
        .env_remove("RUSTFLAGS")
        .env_remove("CARGO_ENCODED_RUSTFLAGS")
        .env_remove("RUSTC_WRAPPER")
        .env_remove("RUSTC_WORKSPACE_WRAPPER");
    assert!(
        cargo.status().unwrap().success(),
        "{package} did not compile"
    );
    let folder = target.join("wasm32-unknown-unknown/guest");
    std::fs::read(folder.join(format!("{}.wasm", package.replace('-', "_")))).unwrap()
}
