//! Object steps on one core and on two.

use crate::figures::{Figure, ratio, whole as commas};
use crate::owls::Owls;
use crate::timing::{Pairs, Patience, waited};
use crate::workshop::{Workshop, stitches, unwatched};
use hoopwright::pipeline::{self, run::run_step};
use hoopwright::sandbox::Kind;
use rayon::ThreadPoolBuilder;
use std::time::Duration;

/// How many times as fast two cores are to be.
const LEAST: f64 = 1.7;

/// Plans the owls, then sews them by turns on two cores and on one.
pub fn measure(shop: &Workshop, owls: Owls, patience: Patience) -> Vec<Figure> {
    let sandbox = shop.plugins.sandbox();
    let (mut design, mut uses) = (shop.wound(&shop.read(&owls.svg())), Vec::new());
    for ready in &shop.checked.steps {
        let places = ready.step.on.places(&design);
        match ready.plugin.kind {
            // Each object is sewn once, so that all object steps may begin with the planned design.
            Kind::Object => uses.push((ready, places)),
            Kind::Design if uses.is_empty() && !places.is_empty() => {
                let outcome = run_step(ready, design, &places, sandbox, &unwatched());
                design = outcome.unwrap().design;
            }
            Kind::Design => {}
        }
    }
    let sewn = pipeline::run(&shop.checked, design.clone(), sandbox, None, &unwatched());
    let stitches = stitches(&sewn.unwrap().design);
    let on = |cores: usize| {
        let pool = ThreadPoolBuilder::new().num_threads(cores).build().unwrap();
        let (uses, design) = (&uses, &design);
        move || {
            let mut took = Duration::ZERO;
            for (ready, places) in uses {
                let given = design.clone();
                let sew = || run_step(ready, given, places, sandbox, &unwatched()).unwrap();
                took += waited(|| pool.install(sew)).1;
            }
            took
        }
    };
    let spread = Pairs::by_turns(patience, on(2), on(1)).ratio();
    let what = format!(
        "object steps, {} stitches: one core / two cores",
        commas(stitches)
    );
    vec![Figure::new(what, ratio(spread)).at_least(spread.median, LEAST, "1.7")]
}
