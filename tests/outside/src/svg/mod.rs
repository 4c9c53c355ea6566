//! Artwork as SVG.

mod elements;
mod page;
mod values;

use crate::{Subject, told};
use hoopwright::design::texts;
use hoopwright::formats::{design_json, svg};
use std::path::Path;
use std::time::{Duration, Instant};

/// SVG, at the sizes a pipeline may ask for.
pub const SUBJECT: Subject = Subject {
    name: "svg",
    make: page::any,
    wrongs,
    seeds: &["demo-pipelines/owl/owl.svg"],
};

/// The sizes that it is read at: by the length of the file, so that the same file is read the same way.
const SCALES: [svg::Scale; 4] = [
    svg::Scale::AsDrawn,
    svg::Scale::Width(90.0),
    svg::Scale::Height(1000.0),
    svg::Scale::Within {
        width: 1.0,
        height: 60.0,
    },
];

/// Painting that takes longer hangs. It is generous: nothing here is about speed.
const HANGS: Duration = Duration::from_secs(60);

/// Reading ends, with a sound design or with a reason; twice with the same; the design comes back from
/// JSON as it was; and painting ends, with a picture or with a reason.
fn wrongs(file: &[u8]) -> Vec<String> {
    let Ok(text) = std::str::from_utf8(file) else {
        return Vec::new();
    };
    let path = Path::new("art.svg");
    let scale = SCALES[file.len() % SCALES.len()];
    let read = svg::read(text, path, scale);
    let again = svg::read(text, path, scale);
    match (read, again) {
        (Ok(read), Ok(again)) => {
            let mut wrongs = told::design(&read.design);
            wrongs.extend(told::all(&read.findings, path, text));
            if read.design != again.design || read.findings != again.findings {
                wrongs.push("it is read in two ways".to_owned());
            }
            wrongs.extend(painted(text, scale));
            wrongs.extend(made_to_size(text, path, scale));
            let written = design_json::write(&read.design);
            match design_json::read(&written, Path::new("art.design.json")) {
                // A name of the artwork's own is refused where it is used.
                Err(_) if !texts::problems(&read.design).is_empty() => {}
                Ok(back) if back == read.design => {}
                Ok(_) => wrongs.push("its design is another after JSON".to_owned()),
                Err(failed) => wrongs.push(format!("its design is none after JSON: {failed}")),
            }
            wrongs
        }
        (Err(failed), Err(again)) => {
            let mut wrongs = told::refusal(&failed, path, text);
            if failed != again {
                wrongs.push("it is refused in two ways".to_owned());
            }
            if failed
                .0
                .iter()
                .any(|told| told.code == "artwork-unreadable")
            {
                wrongs.push("the reader broke down".to_owned());
            }
            wrongs
        }
        _ => vec!["it is read once and refused once".to_owned()],
    }
}

/// With the drawing, not its page, as large as asked: a sound design, which the scale that comes with it gives
/// once more; or a reason.
fn made_to_size(text: &str, path: &Path, asked: svg::Scale) -> Vec<String> {
    match svg::read_drawing(text, path, asked) {
        Ok((read, scale)) => {
            let mut wrongs = told::design(&read.design);
            let again = svg::read(text, path, scale);
            if !again.is_ok_and(|again| again.design == read.design) {
                wrongs.push("made to size, it is read in two ways".to_owned());
            }
            wrongs
        }
        Err(failed) => told::refusal(&failed, path, text),
    }
}

/// As the comparison has it painted, on few pixels.
fn painted(text: &str, scale: svg::Scale) -> Vec<String> {
    let begun = Instant::now();
    let painted = svg::render::paint(text, scale, [2.0, 0.0, 0.0, 2.0, 1.0, 1.0], [120, 90]);
    let mut wrongs = Vec::new();
    if begun.elapsed() > HANGS {
        wrongs.push(format!("painting it took {:?}", begun.elapsed()));
    }
    match painted {
        Ok(painted) if painted.flat.width() == 120 && painted.smooth.height() == 90 => {}
        Ok(_) => wrongs.push("it is painted in another size".to_owned()),
        Err(why) if why.contains("broke down") => wrongs.push("the renderer broke down".to_owned()),
        Err(why) => wrongs.extend(told::reason(&why)),
    }
    wrongs
}
