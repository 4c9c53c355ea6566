//! Fills an area: each connected polygon as one thread, the nearest one next.

use crate::bare;
use crate::flow::Straight;
use crate::ground::grade::Grade;
use crate::ground::links::Side;
use crate::ground::{Ground, Spot};
use crate::parts::Parts;
use crate::recipe::Recipe;
use crate::seam::{NeedlePoint, Seam};
use crate::straight::lay;
use crate::straight::style::Style;
use crate::straight::walk::{Walk, Walks};
use crate::underlay::{self, Layers};
use crate::{Follow, flow, outline};
use hoopwright_sdk::StitchRole;
use hoopwright_sdk::geometry::geo::{Area, Coord, MultiPolygon, Polygon};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::stitch_making::SMALLEST_AREA;

/// The needle points of an area.
#[derive(Clone, Debug, Default)]
pub struct Fill {
    /// One thread for each polygon, in order.
    pub threads: Vec<Vec<NeedlePoint>>,
    /// Where polygons lie that are too small to sew.
    pub too_small: Vec<Coord<f64>>,
    /// Where polygons lie that are sewn in straight rows though bent ones were asked for, and why.
    pub straight: Vec<(Straight, Coord<f64>)>,
}

/// Fills `area`, which must be clean, from near `start` to near `finish`.
pub fn fill(
    area: &MultiPolygon<f64>,
    recipe: &Recipe,
    start: Option<Coord<f64>>,
    finish: Option<Coord<f64>>,
) -> Fill {
    let mut fill = Fill::default();
    let far = recipe.far_pitch;
    let grade = far.map(|far| Grade::over(area, recipe.angle, recipe.pitch, far));
    let grade = grade.as_ref();
    let mut parts = Parts::new(area);
    // The polygon to end in waits for the end.
    let last = finish
        .filter(|_| parts.left() > 1)
        .and_then(|finish| parts.take_nearest(finish));
    let mut here = start;
    while let Some(polygon) = match here {
        Some(here) => parts.take_nearest(here),
        None => parts.take_first(),
    } {
        let finish = finish.filter(|_| last.is_none() && parts.left() == 0);
        add(polygon, recipe, grade, (&mut here, finish), &mut fill);
    }
    if let Some(polygon) = last {
        add(polygon, recipe, grade, (&mut here, finish), &mut fill);
    }
    fill
}

/// Fills a polygon from near `here`, and leaves there where its thread ends.
fn add(
    polygon: &Polygon<f64>,
    recipe: &Recipe,
    grade: Option<&Grade>,
    (here, finish): (&mut Option<Coord<f64>>, Option<Coord<f64>>),
    fill: &mut Fill,
) {
    let before = fill.threads.len();
    if polygon.unsigned_area() >= SMALLEST_AREA {
        fill_polygon(polygon, recipe, grade, (*here, finish), fill);
    }
    match fill.threads[before..].last() {
        Some(thread) => *here = thread.last().map(|end| end.at).or(*here),
        None => fill.too_small.extend(polygon.exterior().0.first()),
    }
}

/// Adds the thread of a polygon; none where it is too small. More than one only where rounding has
/// parted what hangs together.
fn fill_polygon(
    polygon: &Polygon<f64>,
    recipe: &Recipe,
    grade: Option<&Grade>,
    (start, finish): (Option<Coord<f64>>, Option<Coord<f64>>),
    fill: &mut Fill,
) {
    let ground = match grade {
        Some(grade) => Ground::graded(polygon, recipe.angle, grade),
        None => Ground::new(polygon, recipe.angle, recipe.pitch),
    };
    let Some(ground) = ground else {
        return;
    };
    let mut seen = vec![false; ground.cells.cells.len()];
    let mut layers = recipe.layers(polygon);
    while let Some(within) = seen.iter().position(|seen| !seen) {
        let within_reach = |place: Option<Coord<f64>>| {
            let spot = ground.spot(place?);
            let way = ground.cells.way(&ground.rows, within, ground.cell(spot));
            way.is_some().then_some(spot)
        };
        let (start, finish) = (within_reach(start), within_reach(finish));
        let walks = Walks::new(&ground, within, finish);
        let walk = walks.from(start);
        for stage in &walk.spine {
            seen[stage.cell] = true;
        }
        for door in walk.branches.iter().flatten() {
            seen[door.to] = true;
        }
        let (thread, straight) = sew(polygon, &walks, &walk, layers, recipe, start, finish);
        if thread.len() >= 2 {
            fill.threads.push(thread);
            let place = polygon.exterior().0.first();
            fill.straight.extend(straight.zip(place.copied()));
        }
        if recipe.follow != Follow::Rows {
            // Curved lines take the polygon as a whole.
            break;
        }
        layers = Layers {
            edge: false,
            rows: false,
        };
    }
}

/// Underlay and cover of the cells of a walk, as one thread, and why that is straight, if it should bend.
fn sew(
    polygon: &Polygon<f64>,
    walks: &Walks<'_>,
    walk: &Walk,
    layers: Layers,
    recipe: &Recipe,
    start: Option<Spot>,
    finish: Option<Spot>,
) -> (Vec<NeedlePoint>, Option<Straight>) {
    let ground = walks.ground;
    let style = Style {
        longest: recipe.limits.cover,
        longest_at_end: recipe.limits.cover,
        shortest: recipe.limits.shortest,
        needle_points: recipe.needle_points,
        stagger: recipe.stagger,
        reach: recipe.pull_compensation,
        slants: false,
        role: StitchRole::Cover,
    };
    let allow = |a, b, role| {
        let (a, b) = (ground.frame.enter(a), ground.frame.enter(b));
        // Cover ends outside by the pull compensation; what lies under it starts from there.
        let slack = match role {
            StitchRole::Cover => recipe.pull_compensation + 0.1,
            _ => recipe.pull_compensation.max(0.1),
        };
        ground.rows.allow(a, b, slack)
    };
    let underlay = underlay::Ready::new(polygon, ground, layers, recipe);
    let sewn_under = |order| {
        let mut seam = Seam::new(recipe.limits, &allow);
        if let Some(start) = start {
            let role = if layers.edge || layers.rows {
                StitchRole::Underlay
            } else {
                StitchRole::Cover
            };
            seam.needle(ground.frame.leave(start.at), role);
        }
        let cover_start = cover_start(ground, walk);
        let underlay_start = seam.last().unwrap_or(cover_start);
        underlay.sew(order, underlay_start, cover_start, &mut seam);
        seam
    };
    // Of all orders the one with the least travel, that under the cover included.
    let orders = underlay.orders();
    let choices = orders.into_iter().map(|order| {
        let seam = sewn_under(order);
        let from = seam.last().map(|last| ground.spot(last));
        let walk = if recipe.spare_edges {
            walks.from(from)
        } else {
            walk.clone()
        };
        let there = seam
            .last()
            .map_or(0.0, |last| distance(last, cover_start(ground, &walk)));
        let travel = seam.travelled() + there + walk.travelled as f64 * ground.rows.pitch();
        (travel, seam, walk)
    });
    let Some((_, mut seam, walk)) = choices.min_by(|a, b| a.0.total_cmp(&b.0)) else {
        return (Vec::new(), None);
    };
    let walk = &walk;
    let from = seam.last().map(|last| ground.spot(last));
    let places = (
        seam.last(),
        finish.map(|finish| ground.frame.leave(finish.at)),
    );
    let mut straight = None;
    match recipe.follow {
        Follow::Rows => lay::sew(ground, walk, &style, from, finish, &mut seam),
        Follow::Outline => outline::sew(polygon, ground, recipe, places.0, places.1, &mut seam),
        Follow::Marks | Follow::Centre => {
            let (start, end) = places;
            let bent = flow::sew(polygon, ground, recipe, &style, start, end, &mut seam);
            straight = bent.err();
            if straight.is_some() {
                lay::sew(ground, walk, &style, from, finish, &mut seam);
            }
        }
    }
    let mut points = seam.finish();
    bare::mend(
        &mut points,
        ground,
        recipe.pitch,
        recipe.limits.cover,
        &allow,
    );
    (points, straight)
}

/// Where the cover of a walk begins, roughly, on the cloth.
fn cover_start(ground: &Ground, walk: &Walk) -> Coord<f64> {
    let begins = walk.leaves(0).map_or(Side::Above, Side::opposite);
    let cell = walk.spine.first().map_or(0, |stage| stage.cell);
    let span = ground.rows.spans()[ground.cells.end(cell, begins)];
    ground.frame.leave(Coord {
        x: span.left,
        y: ground.rows.y(span.row),
    })
}
