//! The nearest thread, by the CIE's colour difference of the year 2000.

use super::{Colour, Rack, RackThread};
use crate::design::{Design, Thread, texts};
use crate::diagnostics::{Diagnostic, EACH, Severity};
use palette::color_difference::Ciede2000;
use palette::{IntoColor as _, Lab, Srgb};
use std::collections::{BTreeMap, BTreeSet};

/// How far the nearest thread may be unless the pipeline says: a difference above this shows at
/// arm's length. Common practice puts the limit of an acceptable match between 3 and 6.
pub const FAR: f64 = 6.0;

/// The colour difference CIEDE2000 between two sRGB colours (D65).
pub fn distance(a: Colour, b: Colour) -> f64 {
    lab(a).difference(lab(b))
}

fn lab(colour: Colour) -> Lab<palette::white_point::D65, f64> {
    Srgb::new(colour.red, colour.green, colour.blue)
        .into_format::<f64>()
        .into_color()
}

/// Puts the rack's nearest thread in the place of each colour of `design`. Colours that fall on
/// one thread become one thread. The artwork's colour stays as a tag of each object, such as
/// `#5a4632`, so that a pipeline can still select by it.
///
/// A warning names each colour whose nearest thread is further than `limit`, and each two colours
/// on one thread that are further apart than `limit`; nearer ones on one thread get a note.
pub fn wind(design: &mut Design, rack: &Rack, limit: f64) -> Vec<Diagnostic> {
    let mut findings: Vec<(f64, Diagnostic)> = Vec::new();
    let mut threads: Vec<Thread> = Vec::new();
    let mut used: Vec<Wound> = Vec::new();
    for thread in &design.threads {
        let colour = Colour::of(thread);
        let nearest = rack
            .threads
            .iter()
            .enumerate()
            .filter_map(|(i, entry)| Some((distance(colour, Colour::parse(&entry.colour)?), i)))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((difference, entry)) = nearest else {
            continue;
        };
        let spool = &rack.threads[entry];
        if difference > limit {
            let message = format!(
                "the rack's nearest thread to {} is {} {}, {difference:.1} away (CIEDE2000)",
                named(thread),
                spool.code,
                spool.name
            );
            let far = Diagnostic::warning("far-thread", message)
                .help("Add a closer thread to the rack, or change the artwork's colour.");
            findings.push((difference, far));
        }
        let wound = |place| Wound {
            entry,
            colour,
            named: named(thread),
            difference,
            place,
        };
        if let Some(first) = used.iter().find(|first| first.entry == entry) {
            let place = first.place;
            let wound = wound(place);
            findings.extend(shared(first, &wound, spool, limit));
            used.push(wound);
            continue;
        }
        if let Some(sewn) = Colour::parse(&spool.colour) {
            used.push(wound(threads.len()));
            threads.push(Thread {
                name: texts::plain(&spool.name),
                code: texts::plain(&spool.code),
                red: sewn.red,
                green: sewn.green,
                blue: sewn.blue,
                weight: spool.weight,
            });
        }
    }
    if used.len() == design.threads.len() {
        for object in &mut design.objects {
            if let Some(wound) = used.get(object.thread as usize) {
                object.thread = wound.place as u32;
            }
        }
        design.threads = threads;
    }
    farthest(findings)
}

/// Of each kind of finding the [`EACH`] that lie farthest off, in the order they were found, and then how
/// many more there are: a drawing with a thousand colours would bury all else.
fn farthest(findings: Vec<(f64, Diagnostic)>) -> Vec<Diagnostic> {
    let mut kinds: BTreeMap<(&'static str, Severity), Vec<usize>> = BTreeMap::new();
    for (place, (_, told)) in findings.iter().enumerate() {
        kinds
            .entry((told.code, told.severity))
            .or_default()
            .push(place);
    }
    let (mut left_out, mut more) = (BTreeSet::new(), Vec::new());
    for ((code, severity), mut places) in kinds {
        places.sort_by(|&a, &b| findings[b].0.total_cmp(&findings[a].0));
        let rest = places.split_off(EACH.min(places.len()));
        if !rest.is_empty() {
            more.push(Diagnostic::more(severity, code, rest.len()));
        }
        left_out.extend(rest);
    }
    let told = findings.into_iter().enumerate();
    let told = told.filter(|(place, _)| !left_out.contains(place));
    told.map(|(_, (_, told))| told).chain(more).collect()
}

/// A colour of the artwork and the thread that it is sewn in.
struct Wound {
    /// The thread's place on the rack.
    entry: usize,
    colour: Colour,
    /// The colour with its name, for people.
    named: String,
    /// How far the thread is from the colour.
    difference: f64,
    /// The thread's place in the sewn design.
    place: usize,
}

/// What to tell of two colours that are sewn in one thread, and how far apart they are; nothing where they are
/// equal.
fn shared(
    first: &Wound,
    second: &Wound,
    spool: &RackThread,
    limit: f64,
) -> Option<(f64, Diagnostic)> {
    if first.colour == second.colour {
        return None;
    }
    let apart = distance(first.colour, second.colour);
    let message = format!(
        "{} ({:.1} away) and {} ({:.1} away) are both sewn in {} {}; they are {apart:.1} apart (CIEDE2000)",
        first.named, first.difference, second.named, second.difference, spool.code, spool.name
    );
    let told = if apart > limit {
        Diagnostic::warning("shared-thread", message)
            .help("What parts them in the artwork is not seen when sewn. Add a thread to the rack.")
    } else {
        Diagnostic::note("shared-thread", message)
    };
    Some((apart, told))
}

/// A colour of the artwork, with its name where it has one of its own.
fn named(thread: &Thread) -> String {
    let colour = Colour::of(thread).to_string();
    if thread.name.is_empty() || thread.name == colour {
        colour
    } else {
        format!("{} {colour}", thread.name)
    }
}

/// The colour that [`wind`] put in the place of each of `read`'s threads. A thread that no object
/// has stays as it is.
pub fn wound(read: &Design, wound: &Design) -> Vec<Colour> {
    let mut colours: Vec<Colour> = read.threads.iter().map(Colour::of).collect();
    for (before, after) in read.objects.iter().zip(&wound.objects) {
        let thread = wound.threads.get(after.thread as usize);
        if let (Some(colour), Some(thread)) = (colours.get_mut(before.thread as usize), thread) {
            *colour = Colour::of(thread);
        }
    }
    colours
}

/// Tags each object with the colour it has now, such as `#5a4632`, so that a pipeline can still
/// select by the artwork's colour when threads have taken its place.
pub fn tag_colours(design: &mut Design) {
    for object in &mut design.objects {
        if let Some(thread) = design.threads.get(object.thread as usize) {
            let tag = Colour::of(thread).to_string();
            if !object.tags.contains(&tag) {
                object.tags.push(tag);
            }
        }
    }
}

#[cfg(test)]
mod ciede2000;
#[cfg(test)]
mod tests;
