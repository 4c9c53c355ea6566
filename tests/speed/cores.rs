//! Object steps, and steps that give work out in pieces, on one core and on two.

use crate::figures::{Figure, ratio, whole as commas};
use crate::owls::Owls;
use crate::timing::{Pairs, Patience, Spread, waited};
use crate::workshop::{Workshop, stitches, unwatched};
use hoopwright::design::Design;
use hoopwright::pipeline::{self, Ready, run::run_step};
use hoopwright::sandbox::{Kind, Sandbox};
use rayon::ThreadPoolBuilder;
use std::time::Duration;

/// How many times as fast two cores are to be, with object steps.
const LEAST: f64 = 1.7;

/// The steps of the owl that give work out. What they do besides they do on one core.
const GIVE_OUT: [&str; 2] = ["cut-layers", "starts-and-finishes"];

/// Plans the owls, then sews them by turns on two cores and on one.
pub fn measure(shop: &Workshop, owls: Owls, patience: Patience) -> Vec<Figure> {
    let sandbox = shop.plugins.sandbox();
    let mut design = shop.wound(&shop.read(&owls.svg()));
    let (mut uses, mut giving_out) = (Vec::new(), Vec::new());
    for ready in &shop.checked.steps {
        let places = ready.step.on.places(&design);
        match ready.plugin.kind {
            // Each object is sewn once, so that all object steps may begin with the planned design.
            Kind::Object => uses.push((ready, places)),
            Kind::Design if uses.is_empty() && !places.is_empty() => {
                if GIVE_OUT.contains(&ready.plugin.name.as_str()) {
                    giving_out.push((ready, places.clone(), design.clone()));
                }
                let outcome = run_step(ready, design, &places, sandbox, &unwatched());
                design = outcome.unwrap().design;
            }
            Kind::Design => {}
        }
    }
    let sewn = pipeline::run(&shop.checked, design.clone(), sandbox, None, &unwatched());
    let stitches = stitches(&sewn.unwrap().design);
    let sewing = uses.iter();
    let sewing: Vec<_> = sewing
        .map(|(ready, places)| (*ready, &places[..], &design))
        .collect();
    let spread = both(sandbox, &sewing, patience);
    let what = format!(
        "object steps, {} stitches: one core / two cores",
        commas(stitches)
    );
    let mut figures = vec![Figure::new(what, ratio(spread)).at_least(spread.median, LEAST, "1.7")];
    for (ready, places, design) in &giving_out {
        let spread = both(sandbox, &[(*ready, &places[..], design)], patience);
        let what = format!(
            "`{}`, {} objects: one core / two cores",
            ready.plugin.name,
            places.len()
        );
        figures.push(Figure::new(what, ratio(spread)));
    }
    figures
}

/// A step, the places of its objects, and the design before it.
type Use<'a> = (&'a Ready, &'a [usize], &'a Design);

/// How many times as long one core takes as two.
fn both(sandbox: &Sandbox, uses: &[Use<'_>], patience: Patience) -> Spread {
    let on = |cores: usize| {
        let pool = ThreadPoolBuilder::new().num_threads(cores).build().unwrap();
        move || {
            let mut took = Duration::ZERO;
            for &(ready, places, design) in uses {
                let given = design.clone();
                let sew = || run_step(ready, given, places, sandbox, &unwatched()).unwrap();
                took += waited(|| pool.install(sew)).1;
            }
            took
        }
    };
    Pairs::by_turns(patience, on(2), on(1)).ratio()
}
