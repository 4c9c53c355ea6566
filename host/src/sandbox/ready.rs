//! A plugin made ready for this machine: encoded as a component where it is none yet, and compiled.
//!
//! That happens on a thread of its own, which is not waited for longer than the limit: a stranger's
//! code may take a compiler very long. What it is made of has been counted before, so that it ends by
//! itself, some time after.

use super::Sandbox;
use super::code::Unfit;
use super::compiled::Compiled;
use super::session::harmless;
use super::stamp::{self, Stamp};
use crate::diagnostics::Choice;
use rayon::ThreadPoolBuilder;
use std::sync::Arc;
use std::sync::mpsc::{self, RecvTimeoutError};
use std::time::Duration;
use wasmtime::Engine;
use wasmtime::component::Component;

/// A compiler calls itself once for each level of what it compiles.
const STACK: usize = 16 << 20;

/// Makes `plugin`, whose digest is known, ready: a component, or a core module that carries its component
/// type.
///
/// # Errors
/// It is no plugin of a contract that is spoken here, is not valid, or takes too long.
pub(super) fn make(
    sandbox: &Sandbox,
    plugin: &[u8],
    digest: &[u8; 32],
) -> Result<(Stamp, Component), Unfit> {
    let limit = sandbox.limits.ready_seconds;
    let (engine, bytes, digest) = (sandbox.engine.clone(), plugin.to_vec(), *digest);
    let kept = Arc::clone(&sandbox.compiled);
    let (done, arrived) = mpsc::sync_channel(1);
    let thread = std::thread::Builder::new()
        .name("compiler".to_owned())
        .stack_size(STACK)
        .spawn(move || {
            // Whoever asked may have gone.
            let _ = done.send(compiled(&engine, &kept, &bytes, &digest));
        });
    if let Err(error) = thread {
        let why = format!("this machine gives no thread to compile it on: {error}");
        let help = "Close other programs, and try again.".to_owned();
        return Err(Unfit::new("internal")((why, help)));
    }
    match arrived.recv_timeout(Duration::from_secs(limit)) {
        Ok(made) => made,
        Err(RecvTimeoutError::Timeout) => {
            let why = format!("it was not ready for this machine within the limit of {limit} s");
            let help = "Once ready it is kept so; if you trust the plugin, raise the limit.";
            let slow = Unfit::new("plugin-slow")((why, help.to_owned()));
            Err(slow.choosing(Choice::ReadyTime))
        }
        Err(RecvTimeoutError::Disconnected) => {
            let why = "the compiler broke down over it".to_owned();
            let help = "This is a fault in the program. Report it, with the plugin.".to_owned();
            Err(Unfit::new("plugin-unreadable")((why, help)))
        }
    }
}

fn compiled(
    engine: &Engine,
    kept: &Compiled,
    plugin: &[u8],
    digest: &[u8; 32],
) -> Result<(Stamp, Component), Unfit> {
    let encoded;
    let component = if wasmparser::Parser::is_core_wasm(plugin) {
        encoded = component_of(plugin).map_err(Unfit::new("plugin-unreadable"))?;
        &encoded
    } else {
        plugin
    };
    let stamp = stamp::read(component).map_err(Unfit::new("plugin-contract"))?;
    let compile = || Component::new(engine, component);
    let component = kept.load(digest, || on_a_pool(compile))?.map_err(|error| {
        let why = format!("it is not valid Wasm: {}", in_a_line(&format!("{error:#}")));
        let help = "Build it again; the file may be damaged.".to_owned();
        Unfit::new("plugin-unreadable")((why, help))
    })?;
    Ok((stamp, component))
}

/// The compiler shares its work out. Threads of the caller's pool may all be waiting for this one.
fn on_a_pool<T: Send>(work: impl FnOnce() -> T + Send) -> T {
    match ThreadPoolBuilder::new().stack_size(STACK).build() {
        Ok(pool) => pool.install(work),
        Err(_) => work(),
    }
}

/// A core module with the contract's type in a custom section becomes a component.
pub(crate) fn component_of(module: &[u8]) -> Result<Vec<u8>, (String, String)> {
    wit_component::ComponentEncoder::default()
        .validate(true)
        .module(module)
        .and_then(|encoder| encoder.encode())
        .map_err(|error| {
            (
                format!(
                    "it is a plain Wasm module that does not become a component: {}",
                    in_a_line(&format!("{error:#}"))
                ),
                "Build it with the SDK for wasm32-unknown-unknown, without WASI.".to_owned(),
            )
        })
}

/// A tool's words, some of which quote the plugin, as one line that does not flood the reader.
fn in_a_line(words: &str) -> String {
    let words: Vec<&str> = words.split_whitespace().collect();
    let mut line = harmless(&words.join(" "));
    if let Some((end, _)) = line.char_indices().nth(300) {
        line.truncate(end);
        line.push('…');
    }
    line
}
