//! Cuts the layers of design JSON files, so that geometry from outside can compare.
//!
//! `cargo run --release -p hoopwright-cut-layers --example before_and_after -- <into> <files>`
//!
//! Stitches are taken off first. For each file it writes one of the same name into the folder:
//! the design before and after, the settings, what was said, and how long it took.

use hoopwright_cut_layers::{CutLayers, cut_layers};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::serde_json::{from_str, json};
use std::error::Error;
use std::fs;
use std::path::Path;
use std::time::Instant;

fn main() -> Result<(), Box<dyn Error>> {
    let mut files = std::env::args().skip(1);
    let into = files
        .next()
        .ok_or("name a folder to write into, then files")?;
    fs::create_dir_all(&into)?;
    let settings = CutLayers::default();
    for file in files {
        let mut before: Design = from_str(&fs::read_to_string(&file)?)?;
        for object in &mut before.objects {
            object.stitches.clear();
        }
        let all: Vec<usize> = (0..before.objects.len()).collect();
        let start = Instant::now();
        let after = cut_layers(before.clone(), &all, &settings).map_err(|f| f.message)?;
        let seconds = start.elapsed().as_secs_f64();
        let said: Vec<_> = messages::take()
            .into_iter()
            .map(|finding| json!({ "message": finding.message, "object": finding.object }))
            .collect();
        let told = json!({
            "before": before, "after": after, "settings": settings, "said": said, "seconds": seconds,
        });
        let name = Path::new(&file).file_name().ok_or("a file has no name")?;
        fs::write(Path::new(&into).join(name), told.to_string())?;
    }
    Ok(())
}
