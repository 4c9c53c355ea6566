//! Results of object steps are kept from run to run.

use crate::files::root;
use crate::in_process::{checked, checked_within};
use hoopwright::artwork;
use hoopwright::pipeline::{self, Size, StepCache, Watch};
use hoopwright::plugins::Plugins;
use hoopwright::sandbox::{Kind, Limits};
use std::sync::Arc;

/// The second run may do next to no work, so that it succeeds only with the first run's results.
#[test]
fn a_second_run_takes_every_result_from_the_cache() {
    let art = root().join("demo-pipelines/owl/owl.svg");
    let (design, _) = artwork::read(&art, Size::default()).unwrap();
    let watch: Arc<dyn Watch> = Arc::new(());
    let cache = StepCache::default();

    let (plugins, mut all) = checked("owl/owl.json");
    all.steps.retain(|ready| ready.plugin.kind == Kind::Object);
    let run = |cache| pipeline::run(&all, design.clone(), plugins.sandbox(), cache, &watch);
    let first = run(Some(&cache)).unwrap();
    let kept = cache.len();
    assert!(kept >= all.steps.len(), "{kept} results kept");

    let tight = Limits {
        work_millions: 1,
        ..Limits::default()
    };
    let (plugins, mut all) = checked_within(tight, "owl/owl.json");
    all.steps.retain(|ready| ready.plugin.kind == Kind::Object);
    let run = |cache| pipeline::run(&all, design.clone(), plugins.sandbox(), cache, &watch);
    assert!(run(None).is_err(), "the work does not fit into the limit");
    let second = run(Some(&cache)).unwrap();
    assert_eq!(first.design, second.design);
    assert_eq!(first.findings, second.findings);
    assert_eq!(cache.len(), kept, "the second run added nothing");
}

/// Steps before the first one that changed are not run again, design steps neither; what comes out
/// is what a run without anything kept gives.
#[test]
fn a_run_goes_on_where_it_parts_from_the_last() {
    let art = root().join("demo-pipelines/owl/owl.svg");
    let (design, _) = artwork::read(&art, Size::default()).unwrap();
    let watch: Arc<dyn Watch> = Arc::new(());
    let cache = StepCache::default();
    let (plugins, mut checked) = checked("owl/owl.json");
    let run = |checked: &pipeline::Checked, plugins: &Plugins, cache| {
        pipeline::run(checked, design.clone(), plugins.sandbox(), cache, &watch)
    };
    let first = run(&checked, &plugins, Some(&cache)).unwrap();
    let asked = cache.take_tally();
    assert_eq!(asked.reused, 0);

    // Nothing changed: nothing is run, not even a design step.
    let tight = Limits {
        work_millions: 1,
        ..Limits::default()
    };
    let (idle, all) = checked_within(tight, "owl/owl.json");
    let second = run(&all, &idle, Some(&cache)).unwrap();
    assert_eq!(first.design, second.design);
    assert_eq!(first.findings, second.findings);
    let tally = cache.take_tally();
    assert_eq!((tally.reused, tally.fresh), (asked.fresh, 0));

    // Each step left out in turn, and put back: as if nothing had been kept.
    for place in [checked.steps.len() - 1, 0, checked.steps.len() / 2] {
        let step = checked.steps.remove(place);
        let with = run(&checked, &plugins, Some(&cache)).unwrap();
        let without = run(&checked, &plugins, None).unwrap();
        assert_eq!(with.design, without.design);
        assert_eq!(with.findings, without.findings);
        checked.steps.insert(place, step);
        let back = run(&checked, &plugins, Some(&cache)).unwrap();
        assert_eq!(first.design, back.design);
        assert_eq!(first.findings, back.findings);
    }

    // A run that fails keeps what went well before.
    let last = checked.steps.len() - 1;
    let settings = std::mem::replace(&mut checked.steps[last].settings, "none".to_owned());
    assert!(run(&checked, &plugins, Some(&cache)).is_err());
    checked.steps[last].settings = settings;
    let part = run(&checked, &plugins, Some(&cache)).unwrap();
    assert_eq!(first.design, part.design);
    assert_eq!(first.findings, part.findings);
}
