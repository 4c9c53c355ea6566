//! Each stock step in the sandbox and as native code, by turns, at the work that the owl gives it.

use crate::figures::{Figure, ratio, time};
use crate::native;
use crate::owls::Owls;
use crate::timing::{Pairs, Patience, Spread, timed};
use crate::workshop::{Workshop, unwatched};
use hoopwright::design::Design;
use hoopwright::pipeline::run::run_step;
use hoopwright::sandbox::{Kind, Plugin};
use hoopwright_sdk as sdk;
use rayon::ThreadPoolBuilder;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Work that a step is given.
struct Use {
    plugin: Arc<Plugin>,
    settings: String,
    design: Design,
    places: Vec<usize>,
}

/// What both ways took.
struct Took {
    /// Seconds of all the work.
    native: f64,
    wasm: f64,
    /// Over objects for an object step, over turns for a design step.
    ratio: Spread,
    on: String,
}

/// How many times as long a step may take in the sandbox.
const MOST: f64 = 1.3;

/// The host's and the SDK's types are generated from one contract, so JSON carries each to the other.
pub fn carried<T: DeserializeOwned>(value: &impl serde::Serialize) -> T {
    serde_json::from_value(serde_json::to_value(value).unwrap()).unwrap()
}

/// Every step at its heaviest work in a design of `owls`.
pub fn measure(shop: &Workshop, owls: Owls, patience: Patience) -> Vec<Figure> {
    let mut figures = Vec::new();
    for (name, uses) in uses(shop, owls) {
        let took: Vec<Took> = uses.iter().map(|one| took(shop, one, patience)).collect();
        let heaviest = took.iter().max_by(|a, b| a.native.total_cmp(&b.native));
        let Took {
            native,
            wasm,
            ratio: spread,
            on,
        } = heaviest.unwrap();
        let words = format!(
            "{} (native {}, sandbox {})",
            ratio(*spread),
            time(*native),
            time(*wasm)
        );
        let what = format!("`{name}`, {on}: sandbox / native");
        figures.push(Figure::new(what, words).at_most(spread.median, MOST, "1.3"));
    }
    figures
}

/// What each stock step is given on the way of the owls, and on the sewn owls where they have no use
/// for it.
fn uses(shop: &Workshop, owls: Owls) -> BTreeMap<String, Vec<Use>> {
    let mut uses: BTreeMap<String, Vec<Use>> = BTreeMap::new();
    let mut design = shop.wound(&shop.read(&owls.svg()));
    for ready in &shop.checked.steps {
        let places = ready.step.on.places(&design);
        if places.is_empty() {
            continue;
        }
        let sandbox = shop.plugins.sandbox();
        let outcome = run_step(ready, design.clone(), &places, sandbox, &unwatched()).unwrap();
        let of_step = uses.entry(ready.plugin.name.clone()).or_default();
        of_step.push(Use {
            plugin: Arc::clone(&ready.plugin),
            settings: ready.settings.clone(),
            design,
            places,
        });
        design = outcome.design;
    }
    for name in shop.plugins.names() {
        if !uses.contains_key(name) {
            let one = Use {
                plugin: shop.plugins.find(name).unwrap(),
                settings: native::settings_of_unused(name).to_owned(),
                places: (0..design.objects.len()).collect(),
                design: design.clone(),
            };
            uses.insert(name.to_owned(), vec![one]);
        }
    }
    uses
}

fn took(shop: &Workshop, one: &Use, patience: Patience) -> Took {
    match one.plugin.kind {
        Kind::Object => on_objects(shop, one, patience),
        Kind::Design => on_design(shop, one, patience),
    }
}

/// Each object by itself; copying in and out of the sandbox is in its time.
fn on_objects(shop: &Workshop, one: &Use, patience: Patience) -> Took {
    let step = native::step(&one.plugin.name);
    let of_one = Patience {
        enough: patience.enough / 10,
        ..patience
    };
    let (mut native, mut wasm, mut ratios) = (0.0, 0.0, Vec::new());
    for &place in &one.places {
        let object = &one.design.objects[place];
        let thread = &one.design.threads[object.thread as usize];
        let alone = Design {
            objects: vec![object.clone()],
            ..one.design.clone()
        };
        let alone: sdk::Design = carried(&alone);
        let natively = || {
            let given = alone.clone();
            let (done, took) = timed(|| step.apply(given, &[0], &one.settings));
            done.unwrap();
            drop(sdk::messages::take());
            took
        };
        let sandboxed = || {
            let sandbox = shop.plugins.sandbox();
            let (done, took) =
                timed(|| sandbox.call_object(&one.plugin, object, thread, &one.settings));
            done.unwrap();
            took
        };
        let pairs = Pairs::by_turns(of_one, natively, sandboxed);
        native += pairs.first().median;
        wasm += pairs.second().median;
        ratios.push(pairs.ratio().median);
    }
    Took {
        native,
        wasm,
        on: format!("{} objects one by one", ratios.len()),
        ratio: Spread::of(ratios),
    }
}

fn on_design(shop: &Workshop, one: &Use, patience: Patience) -> Took {
    let step = native::step(&one.plugin.name);
    let carried: sdk::Design = carried(&one.design);
    let selected: Vec<u32> = one.places.iter().map(|&place| place as u32).collect();
    let natively = || {
        let given = carried.clone();
        let (done, took) = timed(|| step.apply(given, &one.places, &one.settings));
        done.unwrap();
        drop(sdk::messages::take());
        took
    };
    // What it gives out in pieces is worked on by this one thread, as natively.
    let one_thread = ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let sandboxed = || {
        let sandbox = shop.plugins.sandbox();
        let (design, settings) = (&one.design, &one.settings);
        let call = || sandbox.call_design(&one.plugin, design, &selected, settings, None, None);
        let (done, took) = one_thread.install(|| timed(call));
        done.unwrap();
        took
    };
    let pairs = Pairs::by_turns(patience, natively, sandboxed);
    Took {
        native: pairs.first().median,
        wasm: pairs.second().median,
        ratio: pairs.ratio(),
        on: format!("a design of {} objects", one.design.objects.len()),
    }
}
