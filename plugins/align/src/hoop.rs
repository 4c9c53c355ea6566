//! The hoop: what of it can be sewn, and what does not fit.

use crate::layout::Piece;
use crate::{Align, Hoop};
use hoopwright_sdk::Rectangle;
use hoopwright_sdk::bounds::{Bounds, Extent};
use hoopwright_sdk::prelude::*;

/// What reaches out by less than this, in mm, fits: a hundredth of the machine's step of 0.1 mm.
const SLACK: f64 = 0.001;

/// How many objects a finding names.
const NAMED: usize = 5;

/// The hoop less its margin, about the page's middle.
pub(crate) fn inside(hoop: &Hoop, page: &Rectangle) -> Bounds {
    let about = |least: f64, greatest: f64, length: f64| {
        let middle = (least + greatest) / 2.0;
        let reach = length / 2.0 - hoop.margin;
        Extent {
            least: middle - reach,
            greatest: middle + reach,
        }
    };
    Bounds {
        across: about(page.least.x, page.greatest.x, hoop.width),
        down: about(page.least.y, page.greatest.y, hoop.height),
    }
}

/// Warns of the pieces that, as moved, reach out of the hoop less its margin.
pub(crate) fn warn_of_what_overhangs(design: &Design, pieces: &[Piece], settings: &Align) {
    let hoop = &settings.hoop;
    let inside = inside(hoop, &design.page);
    let measured = pieces.iter().filter_map(|piece| {
        let object = design.objects.get(piece.place)?;
        Some((object, Bounds::of(object, settings.measured_by)?))
    });
    let measured: Vec<(&Object, Bounds)> = measured.collect();
    let out: Vec<(&Object, f64)> = measured
        .iter()
        .map(|(object, bounds)| (*object, overhang(bounds, &inside)))
        .filter(|&(_, by)| by > SLACK)
        .collect();
    let farthest = out.iter().map(|&(_, by)| by).fold(0.0, f64::max);
    let Some(all) = Bounds::around(measured.iter().map(|(_, bounds)| *bounds)) else {
        return;
    };
    let named: Vec<String> = out
        .iter()
        .take(NAMED)
        .map(|(object, _)| format!("\"{}\"", object.id))
        .collect();
    let names = named.join(", ");
    let reach = match out.as_slice() {
        [] => return,
        [_] => "One object reaches".to_owned(),
        more => format!("{} objects reach", more.len()),
    };
    let more = if out.len() > NAMED { " and more" } else { "" };
    let fits = all.across.length() <= inside.across.length() + SLACK
        && all.down.length() <= inside.down.length() + SLACK;
    let finding = Finding::warning(format!(
        "{reach} up to {farthest:.1} mm out of the hoop less its margin ({:.1} x {:.1} mm): {names}\
         {more}. Together the selected objects take {:.1} x {:.1} mm.",
        inside.across.length(),
        inside.down.length(),
        all.across.length(),
        all.down.length(),
    ))
    .help(if fits {
        "They would fit: line them up as a group, or move them less."
    } else {
        "Take a larger hoop, or make the artwork smaller."
    });
    messages::report(match out.as_slice() {
        [(object, _)] => finding.about(&object.id),
        _ => finding,
    });
}

/// How far `bounds` reach out of `inside`, in mm; 0 or less where they lie in it.
fn overhang(bounds: &Bounds, inside: &Bounds) -> f64 {
    let along = |extent: Extent, within: Extent| {
        (within.least - extent.least).max(extent.greatest - within.greatest)
    };
    along(bounds.across, inside.across).max(along(bounds.down, inside.down))
}
