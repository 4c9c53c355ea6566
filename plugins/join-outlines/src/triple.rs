//! The needle's way of a triple run along a trail that passes some stretches again.
//!
//! A stretch that is passed once can be sewn forward, back and forward: three threads. A stretch
//! that the trail passes twice cannot have three threads in all: each time the trail goes on from
//! one of its ends to the other, it has laid an odd number of threads, and two odd numbers make
//! an even one. It gets three the first time and one the second, four in all, which looks nearer
//! to three than two would.
//!
//! That this is as even as can be: of any sewing in one trail, the stretches with an even number
//! of threads are such that an odd number of them ends exactly where an odd number of edges meet,
//! but for the trail's two ends. The shortest such set is what route inspection finds.

use crate::inspection::Passage;
use crate::network::Part;
use crate::trail::{course, is_drawn};
use geo::LineString;
use geometry::resample::{Spacing, along};
use hoopwright_sdk::prelude::*;

/// The way of the needle along `trail`, as corners of a line that is sewn as single run.
pub fn needle_way(part: &Part, trail: &[Passage], stitch_length: f64) -> Polyline {
    let spacing = Spacing {
        // Stitches under 1 mm wear the thread where the needle passes three times.
        shortest: (stitch_length * 0.4).min(1.0),
        ..Spacing::new(stitch_length)
    };
    let mut times = vec![0_u32; part.edges.len()];
    for passage in trail {
        times[passage.edge] += 1;
    }
    let mut passed = vec![false; part.edges.len()];
    // Stretches of the trail that are sewn alike.
    let mut stretches: Vec<(Thread, Vec<Passage>)> = Vec::new();
    for &passage in trail {
        let again = std::mem::replace(&mut passed[passage.edge], true);
        let thread = match (is_drawn(part, passage.edge), again, times[passage.edge]) {
            (false, ..) => Thread::Hidden,
            (true, true, _) => Thread::Again,
            (true, false, 1) => Thread::Only,
            (true, false, _) => Thread::First,
        };
        match stretches.last_mut() {
            Some((same, passages)) if *same == thread => passages.push(passage),
            _ => stretches.push((thread, vec![passage])),
        }
    }
    let mut way: Vec<Coord<f64>> = Vec::new();
    for (thread, passages) in stretches {
        let places = along(&LineString(course(part, &passages)), spacing);
        if matches!(thread, Thread::Only | Thread::First) {
            way.extend(places.first());
            for step in places.windows(2) {
                way.extend([step[1], step[0], step[1]]);
            }
        } else {
            way.extend(places);
        }
    }
    way.dedup();
    Polyline::new(way, false)
}

/// How a passage is sewn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Thread {
    /// Three times: the only passage of its edge.
    Only,
    /// Three times: the edge is passed again later.
    First,
    /// Once: the edge was passed before.
    Again,
    /// Once, where later objects cover it.
    Hidden,
}
