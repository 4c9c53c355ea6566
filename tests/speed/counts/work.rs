//! The work that is counted: the owl from its artwork to everything that is delivered.

use crate::native;
use crate::owl::Owl;
use hoopwright::comparison::{self, Drawn, Source};
use hoopwright::design::Design;
use hoopwright::formats::{design_json, dst};
use hoopwright::preview::{self, PreviewOptions};
use hoopwright::report::Fabric;
use hoopwright::worksheet::{self, OperatorNotes};
use hoopwright::{playback, rack, report};
use hoopwright_sdk as sdk;
use serde::de::DeserializeOwned;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Callgrind counts what is done in here, and sees its end because the call is not the last thing
/// in it.
#[inline(never)]
fn the_counted_work(work: &mut dyn FnMut()) {
    work();
    std::hint::black_box(work);
}

/// Counts a piece of work, and prints its name where callgrind watches.
fn counted<T>(name: &str, work: impl FnOnce() -> T) -> T {
    let mut work = Some(work);
    let mut done = None;
    the_counted_work(&mut || done = work.take().map(|work| work()));
    println!("{name}");
    done.unwrap()
}

/// The host's and the SDK's types are generated from one contract, so JSON carries each to the other.
fn carried<T: DeserializeOwned>(value: &impl serde::Serialize) -> T {
    serde_json::from_str(&serde_json::to_string(value).unwrap()).unwrap()
}

/// All of it, on one thread, so that no thread waits for another.
pub fn all() {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1);
    pool.build().unwrap().install(|| {
        let owl = Owl::new();
        let artwork = counted("SVG read", || owl.read());
        let wound = owl.wind(&artwork);
        let design = sewn(&owl, wound.clone());
        let colours = rack::wound(artwork.design(), &wound);
        products(&owl, artwork.design(), &colours, &design);
    });
}

/// Sews the owl in native code; each use of a step is counted by itself.
fn sewn(owl: &Owl, wound: Design) -> Design {
    let mut design: sdk::Design = carried(&wound);
    let mut uses: BTreeMap<&str, usize> = BTreeMap::new();
    for step in &owl.steps {
        let places = step.on.places(&carried::<Design>(&design));
        let given = design;
        let number = uses
            .entry(&step.name)
            .and_modify(|uses| *uses += 1)
            .or_insert(1);
        let name = format!("step {} {number}", step.name);
        let native = native::step(&step.name);
        design = counted(&name, || native.apply(given, &places, &step.settings)).unwrap();
    }
    let used: BTreeSet<&str> = uses.into_keys().collect();
    for name in ["repeat", "snap-ends", "transform"] {
        assert!(!used.contains(name), "the owl uses {name} now");
        let (native, given) = (native::step(name), design.clone());
        let places: Vec<usize> = (0..given.objects.len()).collect();
        let settings = native::settings_of_unused(name);
        let label = format!("step {name}");
        counted(&label, || native.apply(given, &places, settings)).unwrap();
    }
    carried(&design)
}

fn products(owl: &Owl, read: &Design, wound: &[rack::Colour], design: &Design) {
    let options = PreviewOptions::default();
    let written = counted("DST written", || dst::write(design, &owl.machine)).unwrap();
    let file = Path::new("owl.dst");
    counted("DST read", || {
        dst::read_for(&written.bytes, file, &owl.machine)
    })
    .unwrap();
    let text = counted("design JSON written", || design_json::write(design));
    counted("design JSON read", || design_json::read(&text, file)).unwrap();
    counted("report", || {
        report::judge(design, &written.route, &owl.machine, Fabric::default())
    });
    let notes = OperatorNotes::default();
    let sheet = worksheet::build(design, &written, &owl.machine, &notes);
    counted("worksheet, printed", || {
        worksheet::pdf(&sheet, design, written.route.origin)
    })
    .unwrap();
    counted("worksheet, page", || worksheet::html(&sheet, design));
    counted("preview, SVG", || preview::svg(design, &options));
    counted("preview, PNG", || preview::png(design, &options)).unwrap();
    let drawn = Drawn {
        source: Source::Design,
        read,
        wound,
    };
    counted("comparison", || {
        comparison::compare(&drawn, design, &options)
    })
    .unwrap();
    counted("playback", || {
        let art = playback::Artwork::of(read);
        playback::html(design, &written.route, &owl.machine, art.as_ref())
    });
}
