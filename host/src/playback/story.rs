//! What the page tells beside the moves: title, threads, objects, halts and the machine.

use super::artwork::Artwork;
use super::moves::Moves;
use crate::design::Design;
use crate::formats::dst::record::{Record, UNITS_PER_MM};
use crate::formats::dst::{Beginning, Machine, Route};
use crate::rack::Colour;
use crate::worksheet::mean_speed;
use serde::Serialize;

/// Everything the page's script needs.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Story<'a> {
    title: &'a str,
    /// Where the machine starts, in 0.1 mm, y down.
    start: [i64; 2],
    moves: Moves,
    threads: Vec<Spool<'a>>,
    objects: Vec<Part<'a>>,
    runs: Vec<Stretch>,
    machine: Pace,
    #[serde(skip_serializing_if = "Option::is_none")]
    artwork: Option<&'a Artwork>,
}

/// A thread.
#[derive(Serialize)]
struct Spool<'a> {
    name: &'a str,
    code: &'a str,
    colour: String,
}

/// An object that is sewn, or that halts the machine.
#[derive(Debug, PartialEq, Serialize)]
struct Part<'a> {
    id: &'a str,
    name: &'a str,
    /// The place of its thread in the list.
    thread: u32,
    /// Its first record.
    first: usize,
}

/// What is sewn from one halt to the next.
#[derive(Debug, PartialEq, Serialize)]
struct Stretch {
    /// The place of its thread in the list.
    thread: u32,
    /// Its first record: the halt before it.
    first: usize,
    begins: Beginning,
}

/// How long the machine needs.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Pace {
    /// The mean speed between halts and trims, in stitches a minute.
    speed: u16,
    seconds_per_trim: f64,
    seconds_per_thread_change: f64,
}

impl<'a> Story<'a> {
    /// What is to be told of `design`, which `machine` sews along `route`.
    pub fn of(
        design: &'a Design,
        route: &Route,
        machine: &Machine,
        artwork: Option<&'a Artwork>,
    ) -> Self {
        let units = |mm: f64| (mm * UNITS_PER_MM).round() as i64;
        Self {
            title: &design.title,
            start: [units(route.origin.x), units(route.origin.y)],
            moves: Moves::of(route),
            threads: design
                .threads
                .iter()
                .map(|thread| Spool {
                    name: &thread.name,
                    code: &thread.code,
                    colour: Colour::of(thread).to_string(),
                })
                .collect(),
            objects: parts(design, route),
            runs: stretches(route),
            machine: Pace {
                speed: mean_speed(route, machine),
                seconds_per_trim: machine.seconds_per_trim,
                seconds_per_thread_change: machine.seconds_per_thread_change,
            },
            artwork,
        }
    }
}

fn parts<'a>(design: &'a Design, route: &Route) -> Vec<Part<'a>> {
    let mut parts = Vec::new();
    let mut last = None;
    for (first, (record, purpose)) in route.records.iter().zip(&route.purposes).enumerate() {
        if *record == Record::End || last.replace(purpose.object) == Some(purpose.object) {
            continue;
        }
        if let Some(object) = design.objects.get(purpose.object) {
            parts.push(Part {
                id: &object.id,
                name: &object.name,
                thread: object.thread,
                first,
            });
        }
    }
    parts
}

fn stretches(route: &Route) -> Vec<Stretch> {
    let halts = route.records.iter().enumerate();
    let halts = halts.filter(|(_, record)| **record == Record::Halt);
    let firsts = std::iter::once(0).chain(halts.map(|(place, _)| place));
    route
        .runs
        .iter()
        .zip(firsts)
        .map(|(run, first)| Stretch {
            thread: run.thread,
            first,
            begins: run.begins,
        })
        .collect()
}
