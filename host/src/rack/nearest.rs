//! The nearest thread, by the CIE's colour difference of the year 2000.

use super::{Colour, Rack};
use crate::design::{Design, Thread};
use crate::diagnostics::Diagnostic;
use palette::color_difference::Ciede2000;
use palette::{IntoColor as _, Lab, Srgb};

/// A difference above this shows at arm's length; a warning names it. Common practice puts
/// the limit of an acceptable match between 3 and 6.
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
pub fn wind(design: &mut Design, rack: &Rack) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    let mut threads: Vec<Thread> = Vec::new();
    let mut used: Vec<(usize, Colour, usize)> = Vec::new();
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
        if difference > FAR {
            findings.push(
                Diagnostic::warning(
                    "far-thread",
                    format!(
                        "the rack's nearest thread to {colour} is {} {}, {difference:.1} away (CIEDE2000)",
                        spool.code, spool.name
                    ),
                )
                .help("Add a closer thread to the rack, or change the artwork's colour."),
            );
        }
        if let Some((_, other, place)) = used.iter().find(|(taken, ..)| *taken == entry) {
            findings.push(Diagnostic::note(
                "shared-thread",
                format!(
                    "{other} and {colour} are both sewn in {} {}",
                    spool.code, spool.name
                ),
            ));
            let place = *place;
            used.push((entry, colour, place));
            continue;
        }
        if let Some(sewn) = Colour::parse(&spool.colour) {
            used.push((entry, colour, threads.len()));
            threads.push(Thread {
                name: spool.name.clone(),
                code: spool.code.clone(),
                red: sewn.red,
                green: sewn.green,
                blue: sewn.blue,
                weight: spool.weight,
            });
        }
    }
    if used.len() == design.threads.len() {
        for object in &mut design.objects {
            if let Some((_, _, place)) = used.get(object.thread as usize) {
                object.thread = *place as u32;
            }
        }
        design.threads = threads;
    }
    findings
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
mod tests {
    use super::*;
    use crate::rack::RackThread;

    /// IEC 61966-2-1 sRGB to CIELAB under D65, to 0.05.
    #[test]
    fn srgb_becomes_lab_as_published() {
        let published = [
            ([255, 0, 0], [53.233, 80.105, 67.223]),
            ([0, 255, 0], [87.737, -86.188, 83.186]),
            ([0, 0, 255], [32.303, 79.194, -107.854]),
            ([128, 128, 128], [53.585, 0.0, 0.0]),
        ];
        for ([red, green, blue], [l, a, b]) in published {
            let lab = lab(Colour { red, green, blue });
            for (got, want) in [(lab.l, l), (lab.a, a), (lab.b, b)] {
                assert!((got - want).abs() < 0.05, "{lab:?}");
            }
        }
    }

    #[test]
    fn colours_that_share_a_thread_become_one() {
        let thread = |red, green, blue| Thread {
            name: String::new(),
            code: String::new(),
            red,
            green,
            blue,
            weight: 40,
        };
        let entry = |code: &str, colour: &str| RackThread {
            code: code.into(),
            name: code.into(),
            colour: colour.into(),
            weight: 40,
        };
        let rack = Rack {
            schema: String::new(),
            name: "test".into(),
            threads: vec![entry("K", "#000000"), entry("W", "#ffffff")],
        };
        let mut objects: Vec<_> = ["a", "b", "c"]
            .map(|id| crate::design::Object::new(id, crate::design::Shape::Manual))
            .into();
        for (i, object) in objects.iter_mut().enumerate() {
            object.thread = i as u32;
        }
        let corner = crate::design::Point { x: 0.0, y: 0.0 };
        let mut design = Design {
            title: String::new(),
            page: crate::design::Rectangle {
                least: corner,
                greatest: corner,
            },
            threads: vec![
                thread(250, 250, 250),
                thread(5, 5, 5),
                thread(255, 255, 250),
            ],
            objects,
        };
        let findings = wind(&mut design, &rack);
        let places: Vec<u32> = design.objects.iter().map(|object| object.thread).collect();
        assert_eq!(places, [0, 1, 0]);
        assert_eq!(design.threads.len(), 2);
        assert_eq!(findings.len(), 1, "{findings:?}");
    }
}
