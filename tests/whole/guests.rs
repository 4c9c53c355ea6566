//! Plugins compiled for the tests.

use crate::files::{root, scratch};
use std::process::Command;
use std::sync::OnceLock;

/// The bytes of the plugin in `tests/hostile-guest`, as a core module with the contract's type.
pub fn hostile() -> &'static [u8] {
    static BYTES: OnceLock<Vec<u8>> = OnceLock::new();
    BYTES.get_or_init(|| {
        let target = scratch().join("guests");
        let status = Command::new(env!("CARGO"))
            .current_dir(root())
            .args(["build", "--lib", "--locked", "--profile", "guest"])
            .args(["--target", "wasm32-unknown-unknown"])
            .args(["-p", "hoopwright-hostile-guest", "--target-dir"])
            .arg(&target)
            .env_remove("RUSTFLAGS")
            .env_remove("CARGO_ENCODED_RUSTFLAGS")
            .env_remove("RUSTC_WRAPPER")
            .env_remove("RUSTC_WORKSPACE_WRAPPER")
            .status()
            .unwrap();
        assert!(status.success(), "the hostile guest did not compile");
        std::fs::read(target.join("wasm32-unknown-unknown/guest/hoopwright_hostile_guest.wasm"))
            .unwrap()
    })
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
    assert_eq!(&bytes[stamp..stamp + version.len()], b"0.1.0");
    bytes[stamp..stamp + version.len()].copy_from_slice(version.as_bytes());
    bytes
}
