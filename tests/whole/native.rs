//! The stock steps in the sandbox give what the same code gives natively.

use crate::files::root;
use crate::in_process;
use crate::native_steps::{settings_of_unused, step};
use hoopwright::artwork;
use hoopwright::design::Design;
use hoopwright::pipeline::{self, Checked, Watch};
use hoopwright::rack;
use hoopwright_sdk as sdk;
use serde::de::DeserializeOwned;
use std::sync::Arc;

/// The host's and the SDK's types are generated from one contract, so JSON carries each to the other.
fn carried<T: DeserializeOwned>(value: &impl serde::Serialize) -> T {
    serde_json::from_value(serde_json::to_value(value).unwrap()).unwrap()
}

fn native(name: &str, design: &Design, places: &[usize], settings: &str) -> Design {
    let done = step(name).apply(carried(design), places, settings);
    carried(&done.unwrap())
}

/// The farthest that a number may differ, in mm: trigonometry comes from another library natively.
const LIBM: f64 = 1e-6;

fn same(a: &serde_json::Value, b: &serde_json::Value, path: &str) {
    use serde_json::Value::{Array, Number, Object};
    match (a, b) {
        (Number(a), Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            assert!((a - b).abs() <= LIBM, "{path}: {a} {b}");
        }
        (Array(a), Array(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            for (i, (a, b)) in a.iter().zip(b).enumerate() {
                same(a, b, &format!("{path}/{i}"));
            }
        }
        (Object(a), Object(b)) => {
            assert!(a.keys().eq(b.keys()), "{path}");
            for (key, a) in a {
                same(a, &b[key], &format!("{path}/{key}"));
            }
        }
        _ => assert_eq!(a, b, "{path}"),
    }
}

#[test]
fn the_sandbox_changes_nothing() {
    let (plugins, checked) = in_process::checked("owl/owl.json");
    let art = root().join("demo-pipelines/owl/owl.svg");
    let (mut design, _) = artwork::read(&art, checked.pipeline.artwork).unwrap();
    rack::wind(&mut design, checked.rack.as_ref().unwrap(), rack::FAR);
    let watch: Arc<dyn Watch> = Arc::new(());
    let mut unseen: Vec<String> = plugins.names().map(str::to_owned).collect();
    let Checked {
        pipeline, steps, ..
    } = checked;
    for ready in steps {
        let name = ready.plugin.name.clone();
        let places = ready.step.on.places(&design);
        let by_hand = native(&name, &design, &places, &ready.settings);
        let one = Checked {
            pipeline: pipeline.clone(),
            steps: vec![ready],
            groups: Vec::new(),
            parts: Vec::new(),
            rack: None,
            noticed: Vec::new(),
        };
        let outcome = pipeline::run(&one, design, plugins.sandbox(), None, &watch).unwrap();
        same(
            &serde_json::to_value(&outcome.design).unwrap(),
            &serde_json::to_value(&by_hand).unwrap(),
            &name,
        );
        design = outcome.design;
        unseen.retain(|other| *other != name);
    }
    // Steps that the owl has no use for, on the sewn owl.
    for name in unseen {
        let settings = settings_of_unused(&name);
        let plugin = plugins.get(&name).unwrap().unwrap();
        let places: Vec<usize> = (0..design.objects.len()).collect();
        let selected: Vec<u32> = places.iter().map(|&place| place as u32).collect();
        let by_hand = native(&name, &design, &places, settings);
        let answer = plugins
            .sandbox()
            .call_design(&plugin, &design, &selected, settings, None, None)
            .unwrap();
        same(
            &serde_json::to_value(&answer.value).unwrap(),
            &serde_json::to_value(&by_hand).unwrap(),
            &name,
        );
    }
}

/// Steps are shared with shops that must trust them: ours first.
#[test]
fn the_stock_steps_keep_the_contract() {
    let (plugins, _) = in_process::checked("owl/owl.json");
    for name in plugins.names() {
        println!("{name}");
        sdk::testing::keeps_the_contract(&step(name));
    }
}
