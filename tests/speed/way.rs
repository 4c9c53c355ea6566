//! The whole way from artwork to everything delivered, whole and stage by stage.

use crate::timing::waited;
use crate::workshop::{Workshop, stitches, unwatched};
use hoopwright::comparison::{self, Drawn, Source};
use hoopwright::formats::{design_json, dst};
use hoopwright::job::{self, Products, Writers};
use hoopwright::pipeline::StepCache;
use hoopwright::pipeline::run::run_step;
use hoopwright::preview::{self, PreviewOptions};
use hoopwright::rack;
use hoopwright::{playback, report, worksheet};
use std::time::Duration;

/// Seconds of each stage, one after the other.
pub struct Stages {
    /// Stitches and other records of the sewn design.
    pub stitches: usize,
    /// Name and time, in the way of the data.
    pub stages: Vec<(&'static str, Duration)>,
    /// Label and time of each of the routine's steps.
    pub steps: Vec<(String, Duration)>,
}

impl Stages {
    /// How long these stages took together.
    pub fn seconds_of(&self, wanted: &[&str]) -> f64 {
        let stages = self.stages.iter();
        let wanted = stages.filter(|(name, _)| wanted.contains(name));
        wanted.map(|(_, took)| took.as_secs_f64()).sum()
    }
}

/// The whole way as the command `run` goes it, without files.
pub fn whole(shop: &Workshop, svg: &str, cache: Option<&StepCache>) -> Products {
    let artwork = shop.read(svg);
    let sewn = job::sew(&shop.checked, artwork, &shop.plugins, cache, &unwatched()).unwrap();
    sewn.products(&Writers::stock()).unwrap()
}

/// The same stage by stage. Pictures that a run draws at once are drawn one after the other here.
pub fn by_stages(shop: &Workshop, svg: &str) -> Stages {
    let mut stages = Vec::new();
    let mut stage = |name, took| stages.push((name, took));
    let checked = &shop.checked;
    let machine = &checked.pipeline.machine;

    let (artwork, took) = waited(|| shop.read(svg));
    stage("read", took);
    let mut design = shop.wound(&artwork);
    let wound = rack::wound(artwork.design(), &design);
    let mut steps = Vec::new();
    for ready in &checked.steps {
        let sandbox = shop.plugins.sandbox();
        let (outcome, took) = waited(|| {
            let places = ready.step.on.places(&design);
            run_step(ready, design, &places, sandbox, &unwatched()).unwrap()
        });
        design = outcome.design;
        steps.push((ready.label.clone(), took));
    }
    stage("steps", steps.iter().map(|(_, took)| *took).sum());
    let (written, took) = waited(|| dst::write(&design, machine).unwrap());
    stage("machine file", took);
    let (judged, took) =
        waited(|| report::judge(&design, &written.route, machine, checked.pipeline.fabric()));
    stage("report", took);
    let ((), took) = waited(|| {
        let sheet = worksheet::build(&design, &written, machine, &checked.pipeline.operator);
        worksheet::pdf(&sheet, &design, written.route.origin).unwrap();
        worksheet::html(&sheet, &design);
    });
    stage("worksheet", took);
    let options = PreviewOptions::default();
    let ((), took) = waited(|| {
        preview::svg(&design, &options);
        preview::png(&design, &options).unwrap();
    });
    stage("preview", took);
    let marked = PreviewOptions {
        overlay: judged.overlay(),
        ..PreviewOptions::default()
    };
    let (_, took) = waited(|| preview::png(&design, &marked).unwrap());
    stage("report's picture", took);
    let drawn = Drawn {
        source: Source::Design,
        read: artwork.design(),
        wound: &wound,
    };
    let (_, took) = waited(|| comparison::compare(&drawn, &design, &options).unwrap());
    stage("comparison", took);
    let (_, took) = waited(|| {
        let art = playback::Artwork::of(artwork.design());
        playback::html(&design, &written.route, machine, art.as_ref())
    });
    stage("playback", took);
    let (_, took) = waited(|| design_json::write(&design));
    stage("design JSON", took);
    Stages {
        stitches: stitches(&design),
        stages,
        steps,
    }
}
