//! Writes the contract as C: `hoopwright-c-bindings WIT-FOLDER WORLD OUTPUT-FOLDER`.

use anyhow::{Context as _, bail};
use std::path::Path;
use wit_bindgen_core::{Files, wit_parser::Resolve};

fn main() -> anyhow::Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [wit, world, output] = &arguments[..] else {
        bail!("give the contract's folder, the world, and the folder for the C files");
    };
    let mut resolve = Resolve::default();
    let (package, _) = resolve.push_path(wit)?;
    let world = resolve.select_world(&[package], Some(world))?;
    let mut files = Files::default();
    wit_bindgen_c::Opts::default()
        .build()
        .generate(&mut resolve, world, &mut files)?;
    std::fs::create_dir_all(output)?;
    for (name, bytes) in files.iter() {
        let file = Path::new(output).join(name);
        std::fs::write(&file, bytes).with_context(|| file.display().to_string())?;
    }
    Ok(())
}
