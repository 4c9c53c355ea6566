//! Results of object steps are kept from run to run.

use crate::files::root;
use crate::in_process::{checked, checked_within};
use hoopwright::artwork;
use hoopwright::pipeline::{self, Size, StepCache, Watch};
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
