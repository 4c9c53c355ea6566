//! Fills regions with rows of stitches, each connected polygon as one thread.
//!
//! The way through the crate: [`recipe`] settles the numbers; [`fill`] takes one polygon after the
//! other and looks at it as [`ground`]: turned, scanned, its cells and the ways between them.
//! [`underlay`] lies below; the cover follows [`straight`] rows, the [`outline`] inward, or the
//! [`flow`] of a direction field; [`seam`] collects the needle points and takes out what is too short.

mod bare;
mod fill;
mod flow;
mod ground;
mod outline;
mod parts;
mod recipe;
mod remarks;
mod seam;
mod short;
mod straight;
mod turn;
mod underlay;

use geometry::measure;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::stitch_making::refuse_giants;
use recipe::Recipe;

choices! {
    /// What the lines of the cover follow.
    pub enum Follow {
        /// Straight rows at one angle.
        #[default]
        Rows,
        /// The outline, inward from edge to middle, as connected spirals.
        Outline,
        /// The object's direction marks: the lines bend from one mark to the next.
        Marks,
        /// Rays from a centre: the tail of the object's first direction mark, or else the middle
        /// of the region.
        Centre,
    }
}

choices! {
    /// How the needle points of neighbouring rows lie to one another.
    pub enum NeedlePoints {
        /// In steps: after so many rows as `stagger` says they lie beside one another again.
        #[default]
        Steps,
        /// Like bricks: each row is shifted by half a stitch, which shows as an even weave.
        Bricks,
        /// Scattered: in no pattern that the eye can find, for a smooth face.
        Scattered,
    }
}

choices! {
    /// What lies under the cover.
    pub enum Underlay {
        /// By size: nothing in a region under 8 mm² or 1.8 mm wide, an edge run in any other under
        /// 60 mm² or 4 mm wide, and both in all larger ones. The width is the mean one, which is
        /// twice the area by the length of all edges.
        #[default]
        Automatic,
        /// A run inside the edge, which carries the ends of the rows.
        EdgeRun,
        /// Sparse rows across the cover, which tie the cloth down.
        CrossRows,
        /// The edge run, then the cross rows.
        Both,
        /// Nothing.
        None,
    }
}

settings! {
    /// Fills a region with rows of stitches, sewn without a jump.
    pub struct RegionFill {
        /// What the lines of stitching follow: straight rows, the outline inward, the object's
        /// direction marks, or rays from a centre.
        pub follow: Follow = Follow::Rows;
        /// Direction of the rows, anticlockwise as seen: 0 lies level, 90 upright. Left out, the
        /// rows follow the region's longest axis. An object's own angle or direction marks win.
        pub angle: Option<f64> = None, in "degrees", from -360.0 to 360.0;
        /// Density, measured from a line to the SECOND next (line 1 to line 3): neighbouring rows
        /// lie half as far apart. 0.4 to 0.45 covers fully with 40 weight thread. An object's own
        /// density wins.
        pub density: f64 = 0.4, in "mm", from 0.15 to 5.0;
        /// Shading: the density at the far side, measured from a line to the SECOND next (line 1 to
        /// line 3). Straight rows then lie farther apart, or nearer together, from one side of the
        /// whole region to the other: rows within a degree of level from top to bottom, all others
        /// from left to right. Left out, they are even.
        pub density_far: Option<f64> = None, in "mm", from 0.15 to 10.0;
        /// Longest stitch along the rows; 3 to 5 mm is usual. An object's own stitch length wins.
        pub stitch_length: f64 = 4.0, in "mm", from 1.0 to 12.0;
        /// How the needle points of neighbouring rows lie to one another.
        pub needle_points: NeedlePoints = NeedlePoints::Steps;
        /// After how many rows needle points in steps lie beside one another again. More makes a
        /// smoother face; 1 makes lines across the rows.
        pub stagger: u32 = 4, from 1 to 100;
        /// Stitches shorter than this are avoided: needle points near an edge or a turn move or
        /// give way. They stay only where the region itself is narrower. Never more than 45 % of the stitch
        /// length counts, with a note: rows could not be divided evenly.
        pub shortest_stitch: f64 = 1.0, in "mm", from 0.3 to 3.0;
        /// How far each end of a row is moved out along the row, since the thread pulls the cloth
        /// together. 0.1 to 0.2 suits woven cloth, 0.2 to 0.35 pique, 0.4 to 0.5 terry.
        pub pull_compensation: f64 = 0.15, in "mm", from 0.0 to 2.0;
        /// Longest stitch of travel, the way under the later cover from one part to another.
        pub travel_stitch_length: f64 = 2.5, in "mm", from 1.0 to 12.0;
        /// What is sewn first, under the cover.
        pub underlay: Underlay = Underlay::Automatic;
        /// Density of the underlay's cross rows, measured from a line to the SECOND next (line 1 to
        /// line 3): neighbouring rows lie half as far apart. 4 to 8 gives the usual 2 to 4 mm between rows.
        pub underlay_density: f64 = 5.0, in "mm", from 1.0 to 20.0;
        /// How far inside the edge the underlay stays: the edge run all along, and the ends of the
        /// cross rows. The outermost cross rows lie half their distance from the edge.
        pub underlay_inset: f64 = 0.6, in "mm", from 0.1 to 3.0;
        /// Longest stitch of the underlay; 2 to 3 mm is usual.
        pub underlay_stitch_length: f64 = 2.5, in "mm", from 1.0 to 12.0;
        /// Angle between the underlay's cross rows and the rows of the cover; 45 to 90 is usual.
        pub underlay_angle: f64 = 90.0, in "degrees", from 20.0 to 160.0;
        /// Lays as little thread as can be along the edge, where that of neighbouring fills meets
        /// and heaps up: the underlay's cross rows end 1 mm inside its edge run and slant to where
        /// the next one begins, and of all orders to sew the underlay in, that with the least travel
        /// is taken. For fills that border on others; one that stands alone holds its edge better
        /// without.
        pub spare_edges: bool = false;
        /// Adds the fill after the stitches that the object has already, instead of replacing them.
        pub add: bool = false;
    }
}

/// Fills the region of `object`: the step itself.
///
/// # Errors
/// When the region is larger than any hoop (3 m).
pub fn region_fill(
    mut object: Object,
    _thread: &Thread,
    settings: &RegionFill,
) -> Result<Object, Failure> {
    let area = match area_of(&object) {
        Ok(area) => area,
        Err(finding) => {
            messages::report(finding.about(&object.id));
            return Ok(object);
        }
    };
    refuse_giants(&object)?;
    if matches!(settings.follow, Follow::Rows | Follow::Outline) {
        remarks::note_marks(&object);
    }
    let recipe = Recipe::new(settings, &object, &area);
    remarks::note_shortest(&object, settings, &recipe);
    let mut list = StitchList::new();
    if settings.add {
        list.extend(stitches_of(&object.stitches));
    }
    let place = |point: Option<Point>| point.map(Coord::from).filter(is_finite);
    let start = place(object.sewing.start).or_else(|| list.last().filter(is_finite));
    let filled = fill::fill(&area, &recipe, start, place(object.sewing.finish));
    let mut sewn = StitchList::new();
    for thread in &filled.threads {
        sew_thread(thread, &mut sewn);
    }
    list.go_on(stitches_of(&sewn.into_blocks()));
    remarks::report_fill(&object, &filled);
    object.stitches = list.into_blocks();
    Ok(object)
}

/// The object's region, made valid, or what hinders.
fn area_of(object: &Object) -> Result<geo::MultiPolygon<f64>, Finding> {
    let Shape::Region(region) = &object.shape else {
        return Err(Finding::warning(
            "This object has no region to fill, so that it stays as it is.",
        )
        .help("Sew lines with line-run or satin-column, or select only regions for region-fill."));
    };
    let broken = region
        .polygons
        .iter()
        .flat_map(|polygon| std::iter::once(&polygon.outer).chain(&polygon.holes))
        .flat_map(|ring| ring.corners())
        .any(|corner| !is_finite(&corner));
    if broken {
        return Err(Finding::warning(
            "A corner of this region has no finite place, so that it stays unfilled.",
        )
        .help("Draw the shape anew, or remove it."));
    }
    let area = geometry::clean(&region.to_multi_polygon());
    if area.0.is_empty() {
        return Err(
            Finding::warning("This region has no area, so that it stays unfilled.")
                .help("Sew it as a line with line-run, or remove it."),
        );
    }
    Ok(area)
}

fn is_finite(place: &Coord<f64>) -> bool {
    place.x.is_finite() && place.y.is_finite()
}

/// Adds a thread after what is sewn so far: by a jump, unless it begins where that ends.
fn sew_thread(thread: &[seam::NeedlePoint], list: &mut StitchList) {
    let mut points = thread;
    if let (Some(last), Some(first)) = (list.last(), thread.first()) {
        if measure::distance(last, first.at) < 1e-6 {
            points = &thread[1..];
        } else {
            list.jump(first.at);
        }
    }
    for point in points {
        list.needle(point.role, point.at);
    }
}

object_step! {
    name: "region-fill",
    summary: "Fills regions with rows of stitches, each connected part as one thread without a jump.",
    manual: include_str!("../manual.md"),
    settings: RegionFill,
    process: region_fill,
}
