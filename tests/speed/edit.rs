//! One object edited, with all results of the time before kept: what `hoopwright live` does on each save.

use crate::figures::{Figure, time, whole as commas};
use crate::owls::Owls;
use crate::timing::{Spread, waited};
use crate::way;
use crate::workshop::{Workshop, stitches, unwatched};
use hoopwright::design::{Design, Object, Polyline, Shape};
use hoopwright::pipeline::{self, StepCache};

/// The share of the full time that one edited object may take.
const MOST: f64 = 0.05;

/// Edits one leaf of the owls again and again.
pub fn measure(shop: &Workshop, owls: Owls, turns: usize) -> Vec<Figure> {
    let svg = owls.svg();
    let drawn = shop.wound(&shop.read(&svg));
    let sandbox = shop.plugins.sandbox();
    let run = |design, cache| {
        waited(|| pipeline::run(&shop.checked, design, sandbox, cache, &unwatched()).unwrap())
    };
    let cache = StepCache::default();
    run(drawn.clone(), Some(&cache));
    let (mut full, mut again, mut shares, mut sewn) = (Vec::new(), Vec::new(), Vec::new(), 0);
    let mut fresh = 0;
    for turn in 1..=turns {
        let edited = edited(drawn.clone(), turn);
        let (outcome, whole) = run(edited.clone(), None);
        cache.take_tally();
        let (same, edit) = run(edited, Some(&cache));
        fresh = cache.take_tally().fresh;
        assert_eq!(outcome.design, same.design, "the cache changes nothing");
        sewn = stitches(&same.design);
        full.push(whole.as_secs_f64());
        again.push(edit.as_secs_f64());
        shares.push(edit.as_secs_f64() / whole.as_secs_f64());
    }
    let share = Spread::of(shares).median;
    let words = format!(
        "{:.1} % ({} of {}; {fresh} objects sewn anew)",
        share * 100.0,
        time(Spread::of(again).median),
        time(Spread::of(full).median)
    );
    let what = format!("one object of {} stitches edited: steps", commas(sewn));
    let steps = Figure::new(what, words).at_most(share, MOST, "5 %");
    vec![steps, whole_way(shop, &svg, turns)]
}

/// The same with everything that is delivered; the edit is one in the artwork's text.
fn whole_way(shop: &Workshop, svg: &str, turns: usize) -> Figure {
    let cache = StepCache::default();
    way::whole(shop, svg, Some(&cache));
    let (mut full, mut again, mut shares) = (Vec::new(), Vec::new(), Vec::new());
    for turn in 1..=turns {
        let radius = 0.6 + 0.002 * turn as f64;
        let star = r#"cx="20.2" cy="39" r="0.6""#;
        let edited = svg.replacen(star, &format!(r#"cx="20.2" cy="39" r="{radius}""#), 1);
        assert_ne!(edited, svg, "the star is where it was");
        let (_, whole) = waited(|| way::whole(shop, &edited, None));
        let (_, edit) = waited(|| way::whole(shop, &edited, Some(&cache)));
        full.push(whole.as_secs_f64());
        again.push(edit.as_secs_f64());
        shares.push(edit.as_secs_f64() / whole.as_secs_f64());
    }
    let share = Spread::of(shares).median;
    let words = format!(
        "{:.1} % ({} of {})",
        share * 100.0,
        time(Spread::of(again).median),
        time(Spread::of(full).median)
    );
    Figure::new("the same with all pictures, prints and pages", words).at_most(share, MOST, "5 %")
}

/// The design with one small region a little larger.
fn edited(mut design: Design, turn: usize) -> Design {
    let small = |object: &&mut Object| object.tags.iter().any(|tag| tag == "star-far-left");
    let object = design.objects.iter_mut().find(small).unwrap();
    let Shape::Region(region) = &mut object.shape else {
        panic!("a star is a region");
    };
    let factor = 1.0 + 0.002 * turn as f64;
    let outer = &mut region.polygons[0].outer;
    grow(outer, factor);
    design
}

fn grow(ring: &mut Polyline, factor: f64) {
    for column in [&mut ring.x, &mut ring.y] {
        let middle = column.iter().sum::<f64>() / column.len() as f64;
        for value in column {
            *value = middle + (*value - middle) * factor;
        }
    }
}
