//! What pipelines and parts have in common: steps with selections and settings, and the files around
//! them.

use crate::chance::once_in;
use crate::schema::Maker;
use crate::step::Stock;
use crate::{numbers, words};
use arbitrary::{Result, Unstructured};
use hoopwright::plugins::Plugins;
use hoopwright::sandbox::{Limits, Sandbox};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

/// Sound and broken files that a routine may name.
pub const COMPANIONS: [&str; 12] = [
    "part.json",
    "rack.json",
    "machine.json",
    "rack.csv",
    "outer-part.json",
    "endless-part.json",
    "broken-part.json",
    "broken-rack.csv",
    "broken-machine.json",
    "gone.json",
    "../companions/part.json",
    "",
];

/// Where a routine would lie: beside its companions.
pub fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("companions/routine.json")
}

/// The stock steps, each compiled when it is first asked for, and kept from one process to the next. What
/// a call may use is little, since the designs here are small.
pub fn plugins() -> std::result::Result<&'static Plugins, String> {
    static PLUGINS: LazyLock<std::result::Result<Plugins, String>> = LazyLock::new(|| {
        let limits = Limits {
            work_millions: 1000,
            seconds: 60,
            ..Limits::default()
        };
        let compiled = std::env::temp_dir().join("hoopwright-outside");
        let sandbox = Sandbox::new(limits, Some(&compiled)).map_err(|error| error.to_string())?;
        Ok(Plugins::stock(Arc::new(sandbox)))
    });
    PLUGINS.as_ref().map_err(Clone::clone)
}

/// Steps and parts, mostly ones that are there.
pub fn steps(maker: &Maker<'_>, bytes: &mut Unstructured<'_>) -> Result<Value> {
    let mut steps = Vec::new();
    for _ in 0..bytes.int_in_range(0..=5)? {
        steps.push(if once_in(bytes, 6)? {
            part(maker, bytes)?
        } else {
            step(maker, bytes)?
        });
    }
    Ok(steps.into())
}

fn step(maker: &Maker<'_>, bytes: &mut Unstructured<'_>) -> Result<Value> {
    let (name, schema) = Stock::any(bytes)?;
    let mut step = json!({ "step": name });
    if once_in(bytes, 40)? {
        step["step"] = words::word(bytes)?.into();
    }
    if once_in(bytes, 2)? {
        let settings = if once_in(bytes, 6)? {
            Maker::new(&schema)
        } else {
            Maker::without_slips(&schema)
        };
        step["settings"] = settings.value(bytes)?;
    }
    if once_in(bytes, 2)? {
        step["on"] = maker.definition("Selection", bytes)?;
    }
    Ok(step)
}

fn part(maker: &Maker<'_>, bytes: &mut Unstructured<'_>) -> Result<Value> {
    let mut part = json!({ "part": file(bytes)? });
    if once_in(bytes, 2)? {
        part["on"] = maker.definition("Selection", bytes)?;
    }
    let mut settings = json!({});
    for name in ["density", "over", "which", "none"] {
        if !once_in(bytes, 4)? {
            settings[name] = match bytes.int_in_range(0..=3)? {
                0 => words::word(bytes)?.into(),
                1 => json!({ "taken": words::word(bytes)? }),
                _ => numbers::usual(bytes)?.into(),
            };
        }
    }
    part["settings"] = settings;
    Ok(part)
}

/// The path of a file beside it, which mostly is there.
pub fn file(bytes: &mut Unstructured<'_>) -> Result<Value> {
    Ok(if once_in(bytes, 16)? {
        words::odd(bytes)?.into()
    } else {
        (*bytes.choose(&COMPANIONS)?).into()
    })
}
