//! The whole way on designs like the owl's that grow, and the power of the stitches that it grows with.

use crate::figures::{Figure, time, whole as commas};
use crate::owls::Owls;
use crate::timing::{Spread, exponent, waited};
use crate::way::{self, Stages};
use crate::workshop::Workshop;

/// The greatest power of the number of stitches.
const MOST_POWER: f64 = 1.15;
/// Seconds for 100,000 stitches, warm.
const MOST_SECONDS: f64 = 1.0;
/// From so many stitches on one turn is enough: it takes minutes.
const ONCE: usize = 500_000;
/// What the machine needs.
const TO_THE_MACHINE: &[&str] = &["read", "steps", "machine file"];

/// One size.
struct Size {
    owls: Owls,
    stitches: usize,
    stages: Vec<Stages>,
    whole: Spread,
}

/// Goes the whole way at each of the `sizes`, in stitches, some turns each, and once at the largest.
pub fn measure(shop: &Workshop, sizes: &[usize], turns: usize) -> Vec<Figure> {
    let turns = |size| if size < ONCE { turns } else { 1 };
    let sizes: Vec<Size> = sizes
        .iter()
        .map(|&size| at(shop, size, turns(size)))
        .collect();
    let mut figures = Vec::new();
    for size in &sizes {
        let to_machine = median_of(size, TO_THE_MACHINE);
        let stitches = commas(size.stitches);
        let machine = Figure::new(
            format!(
                "artwork to machine file, {stitches} stitches ({})",
                size.owls.in_words()
            ),
            time(to_machine),
        );
        let all = Figure::new(
            format!("the same with all pictures, prints and pages, {stitches} stitches"),
            time(size.whole.median),
        );
        if (90_000..110_000).contains(&size.stitches) {
            figures.push(machine.at_most(to_machine, MOST_SECONDS, "1 s"));
            figures.push(all.at_most(size.whole.median, MOST_SECONDS, "1 s"));
        } else {
            figures.extend([machine, all]);
        }
    }
    let fitted = |of: &dyn Fn(&Size) -> f64| {
        let points: Vec<(f64, f64)> = sizes
            .iter()
            .map(|size| (size.stitches as f64, of(size)))
            .collect();
        exponent(&points)
    };
    let all = fitted(&|size| size.whole.median);
    let figure = Figure::new(
        "all of it grows with the stitches to the power",
        format!("{all:.2}"),
    );
    figures.push(figure.at_most(all, MOST_POWER, "1.15"));
    let names: Vec<&'static str> = sizes[0].stages[0]
        .stages
        .iter()
        .map(|stage| stage.0)
        .collect();
    let powers: Vec<String> = names
        .iter()
        .map(|&name| format!("{name} {:.2}", fitted(&|size| median_of(size, &[name]))))
        .collect();
    figures.push(Figure::new("its stages, each by itself", powers.join(", ")));
    if let Some(largest) = sizes.last() {
        let shares: Vec<String> = names
            .iter()
            .map(|&name| format!("{name} {}", time(median_of(largest, &[name]))))
            .collect();
        let what = format!("the stages at {} stitches", commas(largest.stitches));
        figures.push(Figure::new(what, shares.join(", ")));
    }
    figures
}

fn median_of(size: &Size, stages: &[&str]) -> f64 {
    let turns = size.stages.iter();
    Spread::of(turns.map(|turn| turn.seconds_of(stages)).collect()).median
}

fn at(shop: &Workshop, size: usize, turns: usize) -> Size {
    let owls = Owls::of(size);
    let svg = owls.svg();
    let mut stages = Vec::new();
    let mut whole = Vec::new();
    for _ in 0..turns {
        stages.push(way::by_stages(shop, &svg));
        let (products, took) = waited(|| way::whole(shop, &svg, None));
        drop(products);
        whole.push(took.as_secs_f64());
    }
    let size = Size {
        owls,
        stitches: stages[0].stitches,
        stages,
        whole: Spread::of(whole),
    };
    println!("  {} stitches, {}:", commas(size.stitches), owls.in_words());
    for (name, _) in &size.stages[0].stages {
        println!("    {name:18} {}", time(median_of(&size, &[name])));
    }
    for (label, took) in &size.stages[0].steps {
        println!("      {label:26} {}", time(took.as_secs_f64()));
    }
    println!("    {:18} {}", "all", time(size.whole.median));
    size
}
