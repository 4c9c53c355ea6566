//! The check of pipelines that include one part more and more often, and the power of that number that it grows
//! with.

use crate::figures::{Figure, time, whole};
use crate::timing::{Patience, again, exponent, timed};
use crate::workshop::{Workshop, scratch};
use hoopwright::pipeline;
use serde_json::json;

/// The greatest power of the number of includes.
const MOST_POWER: f64 = 1.3;
/// How often the part is included; at most 10,000 steps and parts stand in a pipeline.
const INCLUDES: [usize; 3] = [500, 1_500, 4_500];

/// Checks each pipeline again and again.
pub fn measure(shop: &Workshop, patience: Patience) -> Vec<Figure> {
    let folder = scratch();
    let part = json!({ "steps": [{ "step": "line-run" }] });
    std::fs::write(folder.join("one-step.json"), part.to_string()).unwrap();
    let file = folder.join("includes.json");
    let mut figures = Vec::new();
    let mut points = Vec::new();
    for count in INCLUDES {
        let entries = vec![json!({ "part": "one-step.json" }); count];
        let text = json!({ "steps": entries }).to_string();
        let check = || {
            let text = text.clone();
            let (checked, took) = timed(|| pipeline::check(&file, text, &shop.plugins));
            assert_eq!(checked.unwrap().steps.len(), count);
            took
        };
        let seconds = again(patience, check).median;
        let what = format!("check of {} parts of a step each", whole(count));
        figures.push(Figure::new(what, time(seconds)));
        points.push((count as f64, seconds));
    }
    let power = exponent(&points);
    let figure = Figure::new(
        "it grows with the parts to the power",
        format!("{power:.2}"),
    );
    figures.push(figure.at_most(power, MOST_POWER, "1.3"));
    figures
}
