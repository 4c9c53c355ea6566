//! What a step makes of the sample.

use super::markdown::json_blocks;
use crate::design::{Design, Object, Shape};
use crate::diagnostics::{Failed, Severity};
use crate::formats::svg;
use crate::pipeline::run::run_step;
use crate::pipeline::{Ready, Watch};
use crate::plugins::Plugins;
use crate::sandbox::{Kind, Plugin, Sandbox};
use serde_json::Value;
use std::path::Path;
use std::sync::Arc;

/// A feather, an eye, a flag and a twig, with the marks that artwork may carry.
const DRAWN: &str = include_str!("sample.svg");

/// The sample as it comes from the artwork, and sewn simply.
pub(super) struct Sample {
    /// Without its marks.
    drawn: Design,
    marked: Design,
    sewn: Design,
    /// Drawn, and all in one thread.
    one_thread: Design,
}

/// What a step did, or why there is nothing to see.
pub(super) enum Seen {
    /// The sample before and after, and the settings that were used.
    Changed {
        before: Box<Design>,
        after: Box<Design>,
        settings: String,
    },
    /// It leaves the sample as it is: such a step finds, or waits for settings.
    Unchanged,
    /// It refuses the sample, for this reason.
    Refused(String),
}

impl Sample {
    /// Sews the sample with the steps of these names that are built in or stand in for them.
    pub fn new(plugins: &Plugins) -> Result<Self, Failed> {
        let read = svg::read(DRAWN, Path::new("sample.svg"), svg::Scale::AsDrawn)?;
        let mut marked = read.design;
        crate::rack::tag_colours(&mut marked);
        let mut drawn = marked.clone();
        let marks = ["direction-mark", "start-mark"];
        drawn
            .objects
            .retain(|object| !object.tags.iter().any(|tag| marks.contains(&tag.as_str())));
        let mut sewn = drawn.clone();
        for (name, takes) in [
            ("region-fill", is_region as fn(&Object) -> bool),
            ("line-run", |object| !is_region(object)),
        ] {
            if let Some(plugin) = plugins.get(name) {
                let plugin = plugin?;
                let after = through(&sewn, &plugin, plugins.sandbox(), "{}", &takes);
                sewn = after.unwrap_or(sewn);
            }
        }
        let mut one_thread = drawn.clone();
        for object in &mut one_thread.objects {
            object.thread = 0;
        }
        Ok(Self {
            drawn,
            marked,
            sewn,
            one_thread,
        })
    }

    /// Sends the sample through a step: with the first example of its manual, or with its defaults. A
    /// step that leaves drawn objects alone gets them with their marks, or sewn, or in one thread.
    pub fn through(&self, plugin: &Arc<Plugin>, sandbox: &Sandbox) -> Seen {
        let fits = |text: &String| {
            let value = serde_json::from_str::<Value>(text);
            value.is_ok_and(|value| plugin.validator.is_valid(&value))
        };
        let example = json_blocks(&plugin.manual).into_iter().find(fits);
        let settings = example.unwrap_or_else(|| "{}".to_owned());
        let mut seen = Seen::Unchanged;
        for before in [&self.drawn, &self.marked, &self.sewn, &self.one_thread] {
            match through(before, plugin, sandbox, &settings, &|_| true) {
                Ok(after) if after != *before => {
                    return Seen::Changed {
                        before: Box::new(before.clone()),
                        after: Box::new(after),
                        settings,
                    };
                }
                Ok(_) => seen = Seen::Unchanged,
                Err(why) => seen = Seen::Refused(why),
            }
        }
        seen
    }
}

fn is_region(object: &Object) -> bool {
    matches!(object.shape, Shape::Region(_))
}

/// The design after a step on all objects that `takes` takes, held to the promises that it must keep in a
/// pipeline. An object step leaves those as they are that it refuses, unless it refuses all.
fn through(
    design: &Design,
    plugin: &Arc<Plugin>,
    sandbox: &Sandbox,
    settings: &str,
    takes: &dyn Fn(&Object) -> bool,
) -> Result<Design, String> {
    let ready = Ready::alone(Arc::clone(plugin), settings.to_owned());
    let unwatched: Arc<dyn Watch> = Arc::new(());
    let run = |design: Design, places: &[usize]| {
        let outcome = run_step(&ready, design, places, sandbox, &unwatched);
        outcome.map(|outcome| outcome.design).map_err(first)
    };
    let places = (0..design.objects.len()).filter(|&place| takes(&design.objects[place]));
    let places: Vec<usize> = places.collect();
    if plugin.kind == Kind::Design {
        return run(design.clone(), &places);
    }
    let mut after = design.clone();
    let mut refused = None;
    let mut taken = false;
    for place in places {
        match run(after.clone(), &[place]) {
            Ok(sewn) => (after, taken) = (sewn, true),
            Err(why) => refused = Some(why),
        }
    }
    match refused.filter(|_| !taken) {
        Some(why) => Err(why),
        None => Ok(after),
    }
}

/// The first error in words.
fn first(failed: Failed) -> String {
    let mut all = failed.0.into_iter();
    let error = all.find(|one| one.severity == Severity::Error);
    error.map_or_else(String::new, |error| error.message)
}
