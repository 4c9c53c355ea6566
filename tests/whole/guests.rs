//! Plugins compiled for the tests.

use crate::files::{root, scratch};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// The bytes of the plugin in `tests/hostile-guest`, as a core module with the contract's type.
pub fn hostile() -> &'static [u8] {
    static BYTES: OnceLock<Vec<u8>> = OnceLock::new();
    BYTES.get_or_init(|| {
        let modules = compiled(&["hoopwright-hostile-guest"]);
        std::fs::read(modules.join("hoopwright_hostile_guest.wasm")).unwrap()
    })
}

/// The folder with the plugins of the cookbook.
pub fn cookbook() -> &'static Path {
    static FOLDER: OnceLock<PathBuf> = OnceLock::new();
    FOLDER.get_or_init(|| {
        compiled(&[
            "hoopwright-cookbook-nudge",
            "hoopwright-cookbook-basting-box",
            "hoopwright-cookbook-monogram-frame",
            "hoopwright-cookbook-running-sketch",
            "hoopwright-cookbook-price-estimate",
        ])
    })
}

/// Compiles packages of this workspace as an author would, and returns the folder of the modules.
fn compiled(packages: &[&str]) -> PathBuf {
    let target = scratch().join("guests");
    let mut cargo = Command::new(env!("CARGO"));
    cargo
        .current_dir(root())
        .args(["build", "--lib", "--locked", "--profile", "guest"])
        .args(["--target", "wasm32-unknown-unknown", "--target-dir"])
        .arg(&target)
        .env_remove("RUSTFLAGS")
        .env_remove("CARGO_ENCODED_RUSTFLAGS")
        .env_remove("RUSTC_WRAPPER")
        .env_remove("RUSTC_WORKSPACE_WRAPPER");
    for package in packages {
        cargo.args(["-p", package]);
    }
    let status = cargo.status().unwrap();
    assert!(status.success(), "{packages:?} did not compile");
    target.join("wasm32-unknown-unknown/guest")
}

/// The same plugin with another contract version in its stamp, of the same length.
pub fn stamped(version: &str) -> Vec<u8> {
    let mut bytes = hostile().to_vec();
    let name = b"hoopwright-contract";
    let section = bytes
        .windows(name.len())
        .position(|window| window == name)
        .unwrap();
    let stamp = section + name.len();
    assert_eq!(&bytes[stamp..stamp + version.len()], b"0.1.1");
    bytes[stamp..stamp + version.len()].copy_from_slice(version.as_bytes());
    bytes
}
