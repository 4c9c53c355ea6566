//! The design as a stack of objects, cut from the top down.

use crate::account::{Account, called};
use crate::border::Border;
use crate::fine::FineLines;
use crate::piece::Piece;
use crate::region::Cut;
use crate::shown::together;
use crate::upper::Upper;
use crate::{Borders, CutBy, CutLayers};
use hoopwright_sdk::THREAD_WIDTH;
use hoopwright_sdk::geometry::area::{intersection, union};
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{Area, BoundingRect, Intersects, MultiPolygon, Rect};
use hoopwright_sdk::piecework::Piecework;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::selection;
use std::cmp::Reverse;

/// Cuts the objects at the places `selected`, and tells what was done.
///
/// Each is cut by the uppers as they are after their own cut: they cover the same together, and
/// what they will be sewn as goes by what is left of them. So the stack is cut in [`waves`], and what is in one
/// wave is given out together.
pub(crate) fn cut(
    mut design: Design,
    selected: &[usize],
    settings: &CutLayers,
) -> (Design, Account) {
    let count = design.objects.len();
    let may_change = selection::flags(count, selected);
    let mut account = Account::default();
    let areas = design.objects.iter();
    let mut areas: Vec<MultiPolygon<f64>> = areas.map(|it| it.shape.area(THREAD_WIDTH)).collect();
    for (object, area) in design.objects.iter().zip(&areas).rev() {
        account.meets(object, area, settings);
    }
    let mut uppers = Uppers::default();
    let mut fine = FineLines::default();
    let mut gone = vec![false; count];
    let mut borders: Vec<Moved> = Vec::new();
    let mut done = 0;
    for wave in waves(&areas) {
        let objects = Objects {
            all: &design.objects,
            areas: &areas,
            may_change: &may_change,
            gone: &gone,
        };
        let may_be_cut = wave.iter().filter(|&&place| may_change[place]);
        let beneath: Vec<Beneath> = may_be_cut
            .map(|&place| objects.meet(place, &uppers, &fine, settings))
            .collect();
        let to_cut = beneath.iter().filter(|it| matches!(it.fate, Fate::Cut));
        let pieces = to_cut.map(|it| objects.piece(it, settings));
        let mut cuts = settings.give_out(pieces).into_iter();
        let mut made: Vec<(usize, Cut<Shape>)> = Vec::new();
        for Beneath { place, above, fate } in beneath {
            let object = &design.objects[place];
            let cut = match &fate {
                Fate::Whole => Cut::Whole,
                Fate::Kept => {
                    account.stays(place, object);
                    Cut::Whole
                }
                Fate::Border(border) => {
                    Cut::To(Shape::Region(Region::from(&border.band)), border.lost)
                }
                Fate::Cut => cuts.next().unwrap_or(Cut::Whole),
            };
            let name = |upper: &Upper| called(&design.objects[upper.place]);
            account.counts(place, object, &areas[place], &cut, &above, name);
            if let Fate::Border(border) = fate {
                borders.extend(Moved::over(place, &border));
                go_on_beneath(&border, &mut design.objects, settings, &mut account);
            }
            made.push((place, cut));
        }
        for (place, cut) in made {
            match cut {
                Cut::Whole => {}
                Cut::To(shape, _) => {
                    areas[place] = shape.area(THREAD_WIDTH);
                    design.objects[place].shape = shape;
                }
                Cut::Gone(_) => gone[place] = true,
            }
        }
        for &place in wave.iter().filter(|&&place| !gone[place]) {
            let (object, area) = (&design.objects[place], &areas[place]);
            let cuts = may_change[place] || settings.cut_by == CutBy::All;
            if cuts && !object.has_one_of(&settings.never_cut) {
                uppers.add(Upper::of(place, object, area, settings));
                fine.add(place, object, area, settings);
            }
        }
        done += wave.len();
        messages::progress(done as f64 / count as f64);
    }
    for place in (0..count).rev().filter(|&place| !gone[place]) {
        account.leaves(&design.objects[place], &areas[place], settings);
    }
    account.moves(borders.len());
    design.objects = in_order(design.objects, &gone, borders);
    (design, account)
}

/// The places of all objects, those first on which nothing can lie, then those on which only such can, and so
/// on; in each wave from the top down. Bounds decide: whose bounds are apart know nothing of each other.
fn waves(areas: &[MultiPolygon<f64>]) -> Vec<Vec<usize>> {
    let bounds: Vec<Option<Rect<f64>>> = areas.iter().map(|area| area.bounding_rect()).collect();
    let boxes = Boxes::new(bounds.iter().copied().enumerate());
    let mut wave_of = vec![0; areas.len()];
    let mut waves: Vec<Vec<usize>> = Vec::new();
    for place in (0..areas.len()).rev() {
        let near = bounds[place].map_or_else(Vec::new, |bounds| boxes.near(bounds, 0.0));
        let above = near.into_iter().filter(|&other| other > place);
        let wave = above.map(|other| wave_of[other] + 1).max().unwrap_or(0);
        wave_of[place] = wave;
        waves.resize_with(waves.len().max(wave + 1), Vec::new);
        waves[wave].push(place);
    }
    waves
}

/// A border that comes after a fill.
struct Moved {
    place: usize,
    /// The place of the fill.
    after: usize,
}

impl Moved {
    /// The object at `place` after the topmost of its fills.
    fn over(place: usize, border: &Border) -> Option<Self> {
        let after = border.fills.iter().map(|fill| fill.place).max()?;
        Some(Self { place, after })
    }
}

/// Grows the fills along a border beneath it.
fn go_on_beneath(
    border: &Border,
    objects: &mut [Object],
    settings: &CutLayers,
    account: &mut Account,
) {
    for fill in &border.fills {
        let gained = border.beneath(fill, settings);
        account.grows(&gained);
        let fill = &mut objects[fill.place];
        let grown = union(&fill.shape.area(THREAD_WIDTH), &gained);
        fill.shape = Shape::Region(Region::from(&grown));
    }
}

/// The objects that are not `gone`, each of `borders` right after its fill, the lower ones first.
fn in_order(objects: Vec<Object>, gone: &[bool], mut borders: Vec<Moved>) -> Vec<Object> {
    borders.sort_by_key(|border| (border.after, border.place));
    let mut moved: Vec<bool> = vec![false; objects.len()];
    for border in &borders {
        moved[border.place] = true;
    }
    let mut objects: Vec<Option<Object>> = objects.into_iter().map(Some).collect();
    let mut ordered = Vec::with_capacity(objects.len());
    let mut waiting = borders.iter().peekable();
    for place in 0..objects.len() {
        if !gone[place] && !moved[place] {
            ordered.extend(objects[place].take());
        }
        while let Some(border) = waiting.next_if(|border| border.after == place) {
            ordered.extend(objects[border.place].take());
        }
    }
    ordered
}

/// The objects while they are being cut.
struct Objects<'a> {
    all: &'a [Object],
    /// What they cover, as far as they are cut.
    areas: &'a [MultiPolygon<f64>],
    may_change: &'a [bool],
    gone: &'a [bool],
}

/// An object that may be cut, and those that lie on it.
struct Beneath<'a> {
    place: usize,
    above: Vec<&'a Upper>,
    fate: Fate<'a>,
}

/// What is to be done with an object.
enum Fate<'a> {
    /// Nothing.
    Whole,
    /// Nothing, though it could be cut: it has stitches, or a tag says so.
    Kept,
    /// It is a border, to be sewn after fills.
    Border(Border<'a>),
    /// It is to be cut.
    Cut,
}

impl Objects<'_> {
    /// The object at `place` with what lies on it.
    fn meet<'a>(
        &self,
        place: usize,
        uppers: &'a Uppers,
        fine: &'a FineLines,
        settings: &CutLayers,
    ) -> Beneath<'a> {
        let (object, area) = (&self.all[place], &self.areas[place]);
        let mut above = uppers.over(place, area);
        above.extend(fine.along(place, object, area, settings));
        let fate = self.fate(place, &above, settings);
        Beneath { place, above, fate }
    }

    /// The work of cutting an object.
    fn piece(&self, beneath: &Beneath, settings: &CutLayers) -> Piece {
        let (shape, area) = (&self.all[beneath.place].shape, &self.areas[beneath.place]);
        Piece::of(shape, area, &beneath.above, settings)
    }

    fn fate<'a>(&self, place: usize, above: &[&'a Upper], settings: &CutLayers) -> Fate<'a> {
        let (object, area) = (&self.all[place], &self.areas[place]);
        if above.is_empty() || matches!(object.shape, Shape::Manual) {
            return Fate::Whole;
        }
        if !object.stitches.is_empty() || object.has_one_of(&settings.keep_whole) {
            let hidden = intersection(area, &together(above.iter().copied())).unsigned_area();
            let could_be_cut = hidden >= settings.least_cut_area;
            return if could_be_cut {
                Fate::Kept
            } else {
                Fate::Whole
            };
        }
        if let Some(border) = self.border(place, area, above, settings) {
            return Fate::Border(border);
        }
        Fate::Cut
    }

    /// The object at `place`, which may be cut, as a border to be sewn after the fills along it: if it is one,
    /// all of them may change, and nothing between it and them lies on it.
    fn border<'a>(
        &self,
        place: usize,
        area: &MultiPolygon<f64>,
        above: &[&'a Upper],
        settings: &CutLayers,
    ) -> Option<Border<'a>> {
        let is_region = matches!(self.all[place].shape, Shape::Region(_));
        if settings.borders != Borders::AfterFills || !is_region {
            return None;
        }
        let border = Border::of(area, above, settings)?;
        let fills: Vec<usize> = border.fills.iter().map(|fill| fill.place).collect();
        let may_grow = |&fill: &usize| self.may_change[fill] && self.all[fill].stitches.is_empty();
        let band = EdgeGrid::new(&border.band);
        let bounds = border.band.bounding_rect()?;
        let lies_on_it = |between: usize| {
            let area = self.all[between].shape.area(THREAD_WIDTH);
            let near = area
                .bounding_rect()
                .is_some_and(|its| its.intersects(&bounds));
            near && band.meets(&EdgeGrid::new(&area), 0.0)
        };
        let last = fills.iter().copied().max()?;
        let mut between =
            (place + 1..last).filter(|other| !fills.contains(other) && !self.gone[*other]);
        (fills.iter().all(may_grow) && !between.any(lies_on_it)).then_some(border)
    }
}

/// The objects so far that hide what lies beneath them.
#[derive(Default)]
struct Uppers {
    all: Vec<Upper>,
    boxes: Boxes,
}

impl Uppers {
    fn add(&mut self, upper: Option<Upper>) {
        if let Some(upper) = upper {
            self.boxes.add(self.all.len(), upper.bounds);
            self.all.push(upper);
        }
    }

    /// Those above `place` whose bounds meet the bounds of `area`, the topmost first.
    fn over(&self, place: usize, area: &MultiPolygon<f64>) -> Vec<&Upper> {
        let bounds = area.bounding_rect();
        let near = bounds.map_or_else(Vec::new, |bounds| self.boxes.near(bounds, 0.0));
        let near = near.into_iter().map(|i| &self.all[i]);
        let mut over: Vec<&Upper> = near.filter(|upper| upper.place > place).collect();
        over.sort_by_key(|upper| Reverse(upper.place));
        over
    }
}
