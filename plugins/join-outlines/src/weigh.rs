//! How much of each edge what is sewn later hides.

use crate::layers;
use crate::line::Line;
use crate::network::{Part, Use};
use crate::painted::{Painted, bounds};

/// Notes on each drawn edge of `part` how much of it is hidden once all is sewn.
pub fn weigh(part: &mut Part, lines: &[Line], painted: &mut Painted) {
    let corners = part.edges.iter().flat_map(|edge| &edge.course);
    let over = painted.after(layers::last(lines, part), bounds(corners));
    if over.is_empty() {
        return;
    }
    let hiding = painted.hiding(over);
    for edge in part.edges.iter_mut() {
        if edge.used_as == Use::Drawn {
            edge.hidden = hiding.hidden(&edge.course);
        }
    }
}
