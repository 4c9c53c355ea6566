//! Fills an area: each connected polygon as one thread, the nearest one next.

use crate::bare;
use crate::flow::Straight;
use crate::ground::grade::Grade;
use crate::ground::links::Side;
use crate::ground::{Ground, Spot};
use crate::parts::Parts;
use crate::recipe::Recipe;
use crate::seam::{Allow, NeedlePoint, Seam};
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
    /// Where polygons lie that have no room for the underlay that was asked for.
    pub without_underlay: Vec<Coord<f64>>,
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
        let piece = Piece {
            polygon,
            ground: &ground,
            recipe,
            layers,
            start: within_reach(start),
            finish: within_reach(finish),
        };
        let walks = Walks::new(&ground, within, piece.finish);
        let walk = walks.from(piece.start);
        for stage in &walk.spine {
            seen[stage.cell] = true;
        }
        for door in walk.branches.iter().flatten() {
            seen[door.to] = true;
        }
        let (thread, straight) = piece.sew(&walks, &walk);
        if thread.len() >= 2 {
            let place = polygon.exterior().0.first();
            if recipe.asks_for_underlay() && layers.any() && !has_underlay(&thread) {
                fill.without_underlay.extend(place);
            }
            fill.threads.push(thread);
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

/// The cells of a polygon that are sewn as one thread.
struct Piece<'a> {
    polygon: &'a Polygon<f64>,
    ground: &'a Ground,
    recipe: &'a Recipe,
    /// What lies under the cover.
    layers: Layers,
    start: Option<Spot>,
    finish: Option<Spot>,
}

impl Piece<'_> {
    /// Underlay and cover, and why that is straight, if it should bend. The cover goes by `walk`,
    /// or by another of `walks` where the underlay ends nearer to that.
    fn sew(&self, walks: &Walks<'_>, walk: &Walk) -> (Vec<NeedlePoint>, Option<Straight>) {
        let (polygon, ground, recipe) = (self.polygon, self.ground, self.recipe);
        let allow = |a, b, role| {
            let (a, b) = (ground.frame.enter(a), ground.frame.enter(b));
            // Cover ends outside by the pull compensation; what lies under it starts from there.
            let slack = match role {
                StitchRole::Cover => recipe.pull_compensation + 0.1,
                _ => recipe.pull_compensation.max(0.1),
            };
            ground.rows.allow(a, b, slack)
        };
        let Some((mut seam, walk)) = self.sew_under(walks, walk, &allow) else {
            return (Vec::new(), None);
        };
        let straight = self.cover(&walk, &mut seam);
        let mut points = seam.finish();
        bare::mend(
            &mut points,
            polygon,
            ground,
            recipe.pitch,
            recipe.limits.cover,
            &allow,
        );
        (points, straight)
    }

    /// The underlay, and the walk of the cover over it: of all orders the one with the least travel,
    /// that under the cover included.
    fn sew_under<'s>(
        &self,
        walks: &Walks<'_>,
        walk: &Walk,
        allow: &'s Allow<'s>,
    ) -> Option<(Seam<'s>, Walk)> {
        let (ground, recipe) = (self.ground, self.recipe);
        let underlay = underlay::Ready::new(self.polygon, ground, self.layers, recipe);
        let choices = underlay.orders().into_iter().map(|order| {
            let mut seam = self.begun(allow);
            let cover = cover_start(ground, walk);
            underlay.sew(order, seam.last().unwrap_or(cover), cover, &mut seam);
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
        let least = choices.min_by(|a, b| a.0.total_cmp(&b.0));
        least.map(|(_, seam, walk)| (seam, walk))
    }

    /// A seam with the first needle point, where it is told to begin.
    fn begun<'s>(&self, allow: &'s Allow<'s>) -> Seam<'s> {
        let mut seam = Seam::new(self.recipe.limits, allow);
        if let Some(start) = self.start {
            let role = if self.layers.any() {
                StitchRole::Underlay
            } else {
                StitchRole::Cover
            };
            seam.needle(self.ground.frame.leave(start.at), role);
        }
        seam
    }

    /// Sews the cover from where `seam` ends. Gives why it is straight, if it should bend.
    fn cover(&self, walk: &Walk, seam: &mut Seam) -> Option<Straight> {
        let (polygon, ground, recipe) = (self.polygon, self.ground, self.recipe);
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
        let start = seam.last();
        let finish = self.finish.map(|finish| ground.frame.leave(finish.at));
        let why = match recipe.follow {
            Follow::Rows => None,
            Follow::Outline => {
                outline::sew(polygon, ground, recipe, start, finish, seam);
                return None;
            }
            Follow::Marks | Follow::Centre => {
                match flow::sew(polygon, ground, recipe, &style, start, finish, seam) {
                    Ok(()) => return None,
                    Err(why) => Some(why),
                }
            }
        };
        let from = start.map(|start| ground.spot(start));
        lay::sew(ground, walk, &style, from, self.finish, seam);
        why
    }
}

/// Whether any stitch lies beneath the cover. The first needle point may be of the underlay's kind without one.
fn has_underlay(thread: &[NeedlePoint]) -> bool {
    let mut later = thread.iter().skip(1);
    later.any(|point| point.role == StitchRole::Underlay)
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
