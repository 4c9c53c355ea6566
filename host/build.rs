//! Compiles the stock steps to Wasm components and hands them to the crate as bytes, with what each says of
//! itself, and with the SDK's source beside them.
//!
//! They get a target folder of their own inside `OUT_DIR`, because the outer cargo holds the lock
//! of the usual one while this script runs, and none of the outer build's flags, because those
//! are meant for the host.

#[path = "build/description.rs"]
mod description;
#[path = "build/sdk.rs"]
mod sdk;

use std::env;
use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

const TARGET: &str = "wasm32-unknown-unknown";

fn main() -> Result<(), Box<dyn Error>> {
    let host = PathBuf::from(env::var("CARGO_MANIFEST_DIR")?);
    let root = host.parent().ok_or("the host crate has no parent folder")?;
    let out = PathBuf::from(env::var("OUT_DIR")?);
    // Not all of `sdk`: the cookbook in it is no part of the stock steps. Relative, so that a target folder that
    // two copies of the sources share watches the copy that is built.
    for watched in [
        "plugins",
        "sdk/Cargo.toml",
        "sdk/src",
        "sdk/wit",
        "sdk/geometry",
        "Cargo.toml",
        "Cargo.lock",
    ] {
        println!("cargo::rerun-if-changed=../{watched}");
    }
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=build");

    sdk::embed(root, &out)?;
    let steps = stock_steps(&root.join("plugins"))?;
    add_target_where_missing()?;
    let modules = compile(root, &out, &steps)?;

    let mut list = String::from("&[\n");
    for step in &steps {
        let module = fs::read(modules.join(format!("hoopwright_{}.wasm", step.replace('-', "_"))))?;
        let component = wit_component::ComponentEncoder::default()
            .validate(true)
            .module(&module)
            .and_then(|encoder| encoder.encode())
            .map_err(|error| format!("the stock step {step} is no component: {error:#}"))?;
        fs::write(out.join(format!("{step}.wasm")), component)?;
        let says = description::of(&module)
            .map_err(|error| format!("the stock step {step} does not say what it is: {error}"))?;
        writeln!(
            list,
            r#"Stock {{ name: {step:?}, bytes: include_bytes!(concat!(env!("OUT_DIR"), "/{step}.wasm")), says: {says:?} }},"#
        )?;
    }
    list.push(']');
    fs::write(out.join("stock.rs"), list)?;
    Ok(())
}

/// The folders in `plugins`, each a crate named `hoopwright-<folder>`, in order of name.
fn stock_steps(plugins: &Path) -> Result<Vec<String>, Box<dyn Error>> {
    let mut steps = Vec::new();
    for entry in fs::read_dir(plugins)? {
        let entry = entry?;
        if entry.path().join("Cargo.toml").is_file() {
            steps.push(entry.file_name().to_string_lossy().into_owned());
        }
    }
    steps.sort();
    Ok(steps)
}

/// Rust can compile for Wasm only when the target's standard library is there.
fn add_target_where_missing() -> Result<(), Box<dyn Error>> {
    let rustc = env::var("RUSTC").unwrap_or_else(|_| "rustc".to_owned());
    let sysroot = Command::new(rustc).args(["--print", "sysroot"]).output()?;
    let sysroot = PathBuf::from(String::from_utf8(sysroot.stdout)?.trim());
    let library = sysroot.join("lib/rustlib").join(TARGET);
    if library.is_dir() {
        return Ok(());
    }
    let added = Command::new("rustup")
        .args(["target", "add", TARGET])
        .status();
    if matches!(added, Ok(status) if status.success()) && library.is_dir() {
        return Ok(());
    }
    Err(format!(
        "the stock steps need Rust's target {TARGET}, and it could not be added. \
         Run `rustup target add {TARGET}` in this folder and build again; without rustup, \
         install your system's package of Rust's standard library for that target."
    )
    .into())
}

/// Compiles the stock steps, and returns the folder of the modules.
fn compile(root: &Path, out: &Path, steps: &[String]) -> Result<PathBuf, Box<dyn Error>> {
    let target_dir = out.join("guests");
    let mut cargo = Command::new(env::var("CARGO")?);
    cargo
        .current_dir(root)
        .args(["build", "--lib", "--profile", "guest", "--locked"])
        .args(["--target", TARGET])
        .arg("--target-dir")
        .arg(&target_dir);
    for step in steps {
        cargo.arg("-p").arg(format!("hoopwright-{step}"));
    }
    for inherited in [
        "RUSTFLAGS",
        "RUSTC_WRAPPER",
        "RUSTC_WORKSPACE_WRAPPER",
        "CARGO_BUILD_TARGET",
        "CARGO_TARGET_DIR",
        "CARGO_INCREMENTAL",
    ] {
        cargo.env_remove(inherited);
    }
    let mut flags = vec![
        // Two numbers at a time where the compiler sees how: the same bytes in 4 % less time.
        "-Ctarget-feature=+simd128".to_owned(),
        // Panic messages name source files; without this the same source would give other bytes, and
        // so another digest, in another folder.
        format!("--remap-path-prefix={}=hoopwright", root.display()),
    ];
    if let Some(home) = env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(default_cargo_home)
    {
        flags.push(format!("--remap-path-prefix={}=cargo", home.display()));
    }
    cargo.env("CARGO_ENCODED_RUSTFLAGS", flags.join("\u{1f}"));
    if !cargo.status()?.success() {
        return Err("the stock steps did not compile; see above".into());
    }
    Ok(target_dir.join(TARGET).join("guest"))
}

fn default_cargo_home() -> Option<PathBuf> {
    env::home_dir().map(|home| home.join(".cargo"))
}
