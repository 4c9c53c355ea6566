//! The stock step `repeat`: copies objects as a grid, or round a centre.
//!
//! [`grid`] and [`round`] each say where the copies go; the SDK moves and names them.

mod grid;
mod round;

pub use hoopwright_sdk::Place;
use hoopwright_sdk::Placement;
use hoopwright_sdk::bounds::{Bounds, MeasuredBy};
use hoopwright_sdk::copies::{self, Copied, CopiesCome, Ids};
use hoopwright_sdk::prelude::*;

/// The most objects that copies may add: far more than any design needs.
const MOST: usize = 20_000;

choices! {
    /// How copies are set out.
    pub enum Arrangement {
        /// In rows and columns. The original is the first of the first row.
        #[default]
        Grid,
        /// Round a centre, at even angles. The original is the first.
        Round,
    }
}

choices! {
    /// What a distance between neighbours is measured between.
    pub enum Between {
        /// The edge of one and the facing edge of the next: the cloth that stays free.
        #[default]
        Edges,
        /// The centre of one and the centre of the next: the pitch.
        Centres,
    }
}

choices! {
    /// What copies go round.
    pub enum RoundWhat {
        /// The middle of the artwork's page.
        #[default]
        Page,
        /// The place given in `point`.
        Point,
    }
}

settings! {
    /// Copies the selected objects, all together as one motif, as a grid or round a centre.
    pub struct Repeat {
        /// How copies are set out. Default `grid`.
        pub arrangement: Arrangement = Arrangement::Grid;
        /// Grid: how many rows, the original's own included. Default 1.
        pub rows: u32 = 1, from 1 to 100;
        /// Grid: how many columns, the original's own included. Default 2.
        pub columns: u32 = 2, from 1 to 100;
        /// Grid: the distance from one column to the next, in mm. Default 5. Negative with `edges`
        /// lets neighbours overlap; negative with `centres` sets columns out to the left.
        pub across: f64 = 5.0, in "mm", from -2000.0 to 2000.0;
        /// Grid: the distance from one row to the next, in mm, as `across`; negative with
        /// `centres` sets rows out upwards. Default 5.
        pub down: f64 = 5.0, in "mm", from -2000.0 to 2000.0;
        /// Grid: what `across` and `down` are measured between. Default `edges`.
        pub between: Between = Between::Edges;
        /// Grid: how far every second row is shifted to the right, in percent of the distance
        /// between the centres of two columns. Default 0; 50 is laid like bricks.
        pub row_shift: f64 = 0.0, in "percent", from -100.0 to 100.0;
        /// Round: how many there are, the original included. Default 6.
        pub count: u32 = 6, from 1 to 360;
        /// Round: over how many degrees they are spread, anticlockwise as seen; negative is
        /// clockwise. Default 360, all round; otherwise the last lies at the end of this angle.
        pub sweep: f64 = 360.0, in "degrees", from -360.0 to 360.0;
        /// Round: what they go round. Default `page`: the middle of the artwork's page.
        pub round_what: RoundWhat = RoundWhat::Page;
        /// Round: the centre, where `round-what` is `point`; otherwise unused.
        pub point: Place = Place::default();
        /// Round: how far the middle of each is from the centre, in mm. Unless given, as far as
        /// the original's is. Given, the original is first moved to it, straight out from the
        /// centre (straight up from it where its middle is the centre).
        pub radius: Option<f64> = None, in "mm", from 0.0 to 1000.0;
        /// Round: whether each copy is turned with its place, like petals. Default true; false
        /// leaves all upright, like the hours on a dial.
        pub turned: bool = true;
        /// A tag that copies get beside those of their originals, so that later steps can pick
        /// them. Default `copy`; empty for none.
        pub copy_tag: String = "copy".to_owned();
        /// Where copies come in the sewing order. Default `after-each`: right after their
        /// original. Where copies of several objects overlap their neighbours, as scales do, take
        /// `after-all`.
        pub copies_come: CopiesCome = CopiesCome::AfterEach;
        /// Where the motif's edges are. Default `as-sewn`; objects without stitches are measured
        /// as drawn.
        pub measured_by: MeasuredBy = MeasuredBy::AsSewn;
    }
}

/// Where one copy goes.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Spot {
    /// What its id and name say beside the original's.
    pub suffix: String,
    /// From the original, after it was moved itself, to the copy.
    pub placement: Placement,
}

/// Where the original goes, and its copies.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Spots {
    /// How the original is moved before it is copied.
    pub original: Placement,
    /// The copies, in sewing order.
    pub copies: Vec<Spot>,
}

/// Copies the objects at the places `selected`.
///
/// # Errors
/// Where that would be more than 20,000 objects, or one would lie more than 10 m away.
pub fn repeat(
    mut design: Design,
    selected: &[usize],
    settings: &Repeat,
) -> Result<Design, Failure> {
    let measured = selected.iter().filter_map(|&place| {
        let object = design.objects.get(place)?;
        Some((place, Bounds::of(object, settings.measured_by)?))
    });
    let (places, bounds): (Vec<usize>, Vec<Bounds>) = measured.unzip();
    let Some(motif) = Bounds::around(bounds) else {
        messages::report(Finding::note("Nothing to copy was selected.").help(
            "Select objects that have a shape or stitches, or take the step out of the pipeline.",
        ));
        return Ok(design);
    };
    let spots = match settings.arrangement {
        Arrangement::Grid => grid::spots(&motif, settings),
        Arrangement::Round => round::spots(&motif, &design.page, settings),
    };
    let count = spots.copies.len().saturating_mul(places.len());
    if count > MOST {
        return Err(Failure::new(format!(
            "{count} copies of objects are more than the {MOST} that this step makes."
        ))
        .help("Ask for fewer rows and columns, or select fewer objects."));
    }
    if spots.copies.is_empty() {
        messages::report(
            Finding::note("There is only the original, and no copy was asked for.")
                .help("Set `rows` and `columns`, or `count`, to more than 1."),
        );
    }
    warn_of_heaps(&spots);
    for &place in &places {
        design.objects[place].place(&spots.original)?;
    }
    let mut ids = Ids::of(&design);
    let mut copies = Vec::with_capacity(count);
    for spot in &spots.copies {
        for &original in &places {
            let mut object = design.objects[original].clone().placed(&spot.placement)?;
            object.become_copy(&mut ids, &spot.suffix, &settings.copy_tag);
            copies.push(Copied { original, object });
        }
    }
    copies::insert(&mut design, copies, settings.copies_come);
    Ok(design)
}

/// Copies on one spot pile up thread until it breaks.
fn warn_of_heaps(spots: &Spots) {
    let stays = |spot: &&Spot| spot.placement == Placement::default();
    let heaped = spots.copies.iter().filter(stays).count();
    if heaped > 0 {
        messages::report(
            Finding::warning(format!(
                "{heaped} of the copies lie exactly on the original: their thread piles up."
            ))
            .help("Set the distances so that copies lie beside each other."),
        );
    }
}

design_step! {
    name: "repeat",
    summary: "Copies objects as a grid, or round a centre.",
    manual: include_str!("../manual.md"),
    settings: Repeat,
    process: repeat,
}
