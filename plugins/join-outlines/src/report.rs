//! What became of the pieces of one joined object, in words.

use crate::Weight;
use crate::inspection::greatest_exact;
use crate::network::Part;
use crate::tally::Tally;
use crate::trail::Trail;
use hoopwright_sdk::Sewing;
use hoopwright_sdk::prelude::*;

/// Reports what `part` became.
pub fn report(id: &str, part: &Part, pieces: &[&Object], trail: &Trail, weight: Weight) {
    let tally = &trail.tally;
    messages::report(Finding::note(sentence(part, pieces, trail, weight)).about(id));
    if tally.gap > 0.0 && weight != Weight::Once {
        messages::report(unproven(tally).about(id));
    }
    if pieces.iter().any(|piece| !piece.stitches.is_empty()) {
        messages::report(
            Finding::warning("the stitches that its pieces already had are gone")
                .about(id)
                .help("Put this step before those that make stitches."),
        );
    }
    if let Some(differing) = differing(pieces, weight) {
        messages::report(
            Finding::warning(format!(
                "its pieces differ in their own {differing}; what the first piece has counts for all"
            ))
            .about(id)
            .help("Give them the same, or join those that have the same in a step of their own."),
        );
    }
}

/// In which of the settings that an object has but once the pieces differ, in words.
fn differing(pieces: &[&Object], weight: Weight) -> Option<String> {
    let differ = |of: fn(&Sewing) -> Option<f64>| {
        let mut all = pieces.iter().map(|piece| of(&piece.sewing));
        let first = all.next();
        all.any(|own| Some(own) != first)
    };
    let mut names = Vec::new();
    if differ(|sewing| sewing.angle) {
        names.push("angle");
    }
    if differ(|sewing| sewing.density) {
        names.push("density");
    }
    // Triple run takes the stitch length of whichever piece has one.
    if weight != Weight::EvenTriple && differ(|sewing| sewing.stitch_length) {
        names.push("stitch length");
    }
    (!names.is_empty()).then(|| names.join(" and "))
}

fn sentence(part: &Part, pieces: &[&Object], trail: &Trail, weight: Weight) -> String {
    let (tally, paths) = (&trail.tally, trail.paths.len());
    let mut message = format!(
        "{} of {} became ",
        counted(part.lines.len(), "line"),
        counted(pieces.len(), "object")
    );
    message += &if weight == Weight::Once {
        format!(
            "one object of {} and {:.1} mm, sewn once",
            counted(paths, "line"),
            tally.drawn
        )
    } else {
        let again = tally.retraced + tally.retraced_hidden;
        let whole = tally.drawn + again + tally.travel;
        format!(
            "one trail of {whole:.1} mm, of which {again:.1} mm are sewn a second time{}",
            match tally.retraced_hidden {
                hidden if hidden >= 0.05 => format!(" ({hidden:.1} mm of them out of sight)"),
                _ => String::new(),
            }
        )
    };
    if tally.travel > 0.0 {
        message += &format!(
            "; {:.1} mm of hidden ways link its {} pieces",
            tally.travel, tally.components
        );
    }
    message += &match tally.trails_without_retracing {
        1 => "; one trail is possible without sewing any line twice".to_owned(),
        several => format!(
            "; without sewing any line twice it would take {several} trails, for {} places join \
             an odd number of lines (Euler)",
            tally.odd_joints
        ),
    };
    message += &format!(
        "; trims {} before, {} by Euler, {} now; an unbroken thread takes at least {:.1} mm",
        part.lines.len() - 1,
        tally.trails_without_retracing - 1,
        match paths {
            1 => "0".to_owned(),
            several => format!("at most {}", several - 1),
        },
        tally.least_thread
    );
    if part.doubles > 0 {
        message += &format!(
            "; {} stretches that lay on another are sewn once",
            part.doubles
        );
    }
    message
}

/// Why the trail is not proven to be the shortest.
fn unproven(tally: &Tally) -> Finding {
    let percent = (tally.gap * 100.0).ceil();
    if tally.ways > tally.components.saturating_sub(1) {
        return Finding::note(format!(
            "there are {} hidden ways to choose from; the trail is at most {percent:.0} % longer, \
             as the eye counts it, than the shortest along them (Frederickson)",
            tally.ways
        ))
        .help("Nothing needs doing; set \"hidden-travel\" to 0 for a proven one.");
    }
    Finding::note(format!(
        "with {} places that join an odd number of lines, more than {}, the trail is not proven \
         the shortest, but at most {:.1} % longer",
        tally.odd_joints,
        greatest_exact(),
        (tally.gap * 1000.0).ceil() / 10.0
    ))
    .help("Nothing needs doing; select fewer outlines at once for a proven one.")
}

fn counted(count: usize, word: &str) -> String {
    match count {
        1 => format!("1 {word}"),
        several => format!("{several} {word}s"),
    }
}
