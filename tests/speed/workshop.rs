//! The owl's routine, ready for artwork of any size, and the stock steps.

use crate::owls::root;
use hoopwright::artwork::{Artwork, Asked, Readers};
use hoopwright::design::Design;
use hoopwright::pipeline::{self, Checked, Watch};
use hoopwright::plugins::Plugins;
use hoopwright::sandbox::{Limits, Sandbox};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A shop that sews owls.
pub struct Workshop {
    /// The stock steps.
    pub plugins: Plugins,
    /// The owl's routine, which takes artwork at the size it is drawn.
    pub checked: Checked,
}

/// A folder for what a benchmark makes.
pub fn scratch() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("speed");
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// Nobody looks on.
pub fn unwatched() -> Arc<dyn Watch> {
    Arc::new(())
}

impl Workshop {
    /// Compiles what it needs, or takes it from the compiled steps of an earlier time.
    pub fn open() -> Self {
        let compiled = scratch().join("compiled");
        // The usual limits are for artwork that fits a machine; a million stitches do not.
        let limits = Limits {
            work_millions: 2_000_000,
            seconds: 3600,
            memory_mib: 2048,
            answer_mib: 1024,
            stitches: 4_000_000,
            ..Limits::default()
        };
        let sandbox = Sandbox::new(limits, Some(&compiled)).unwrap();
        let plugins = Plugins::stock(Arc::new(sandbox));
        let file = root().join("demo-pipelines/owl/owl.json");
        let text = std::fs::read_to_string(&file).unwrap();
        let mut routine: Value = serde_json::from_str(&text).unwrap();
        routine.as_object_mut().unwrap().remove("artwork");
        let checked = pipeline::check(&file, routine.to_string(), &plugins).unwrap();
        Self { plugins, checked }
    }

    /// Reads artwork from the text of an SVG.
    pub fn read(&self, svg: &str) -> Artwork {
        let readers = Readers::stock();
        let path = Path::new("owls.svg");
        let reader = readers.reader_of(path, svg.as_bytes()).unwrap();
        let asked = Asked::by(&self.checked);
        reader.read(path, svg.as_bytes(), &asked).unwrap()
    }

    /// The artwork's design in the rack's threads.
    pub fn wound(&self, artwork: &Artwork) -> Design {
        artwork.wound(&self.checked).0
    }
}

/// How many stitches a design has.
pub fn stitches(design: &Design) -> usize {
    let blocks = design.objects.iter().flat_map(|object| &object.stitches);
    blocks.map(|block| block.x.len()).sum()
}
