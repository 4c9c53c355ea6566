//! The design as a stack of objects, cut from the top down.

use crate::account::{Account, called};
use crate::border::Border;
use crate::fine::FineLines;
use crate::region::Cut;
use crate::shown::together;
use crate::upper::Upper;
use crate::{Borders, CutBy, CutLayers, line, region};
use hoopwright_sdk::THREAD_WIDTH;
use hoopwright_sdk::geometry::area::{intersection, union};
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{Area, BoundingRect, Intersects, MultiPolygon};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::selection;

/// Cuts the objects at the places `selected`, and tells what was done.
///
/// Each is cut by the uppers as they are after their own cut: they cover the same together, and
/// what they will be sewn as goes by what is left of them.
pub(crate) fn cut(
    mut design: Design,
    selected: &[usize],
    settings: &CutLayers,
) -> (Design, Account) {
    let count = design.objects.len();
    let may_change = selection::flags(count, selected);
    let mut account = Account::default();
    let mut uppers = Uppers::default();
    let mut fine = FineLines::default();
    let mut gone = vec![false; count];
    let mut borders: Vec<Moved> = Vec::new();
    for place in (0..count).rev() {
        messages::progress((count - place) as f64 / count as f64);
        let object = &design.objects[place];
        let mut area = object.shape.area(THREAD_WIDTH);
        account.meets(object, &area, settings);
        let cut = if may_change[place] {
            let mut above = uppers.over(&area);
            above.extend(fine.along(object, &area, settings));
            let objects = Objects {
                all: &design.objects,
                may_change: &may_change,
                gone: &gone,
            };
            let border = objects.border(place, &area, &above, settings);
            let cut = match &border {
                Some(border) => Cut::To(Shape::Region(Region::from(&border.band)), border.lost),
                None => cut_one(object, &area, &above, settings, &mut account),
            };
            let name = |upper: &Upper| called(&design.objects[upper.place]);
            account.counts(object, &area, &cut, &above, name);
            if let Some(border) = border {
                borders.extend(Moved::over(place, &border));
                go_on_beneath(&border, &mut design.objects, settings, &mut account);
            }
            cut
        } else {
            Cut::Whole
        };
        match cut {
            Cut::Whole => {}
            Cut::To(shape, _) => {
                design.objects[place].shape = shape;
                area = design.objects[place].shape.area(THREAD_WIDTH);
            }
            Cut::Gone(_) => {
                gone[place] = true;
                continue;
            }
        }
        let object = &design.objects[place];
        account.leaves(object, &area, settings);
        let cuts = may_change[place] || settings.cut_by == CutBy::All;
        if cuts && !object.has_one_of(&settings.never_cut) {
            uppers.add(Upper::of(place, object, &area, settings));
            fine.add(place, object, &area, settings);
        }
    }
    account.moves(borders.len());
    design.objects = in_order(design.objects, &gone, borders);
    (design, account)
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
    may_change: &'a [bool],
    gone: &'a [bool],
}

impl Objects<'_> {
    /// The object at `place` as a border to be sewn after the fills along it: if it is one, all of them may
    /// change, and nothing between it and them lies on it.
    fn border<'a>(
        &self,
        place: usize,
        area: &MultiPolygon<f64>,
        above: &[&'a Upper],
        settings: &CutLayers,
    ) -> Option<Border<'a>> {
        let object = &self.all[place];
        let may_be_cut = matches!(object.shape, Shape::Region(_))
            && object.stitches.is_empty()
            && !object.has_one_of(&settings.keep_whole);
        if settings.borders != Borders::AfterFills || !may_be_cut {
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

/// Cuts one object, unless it must stay whole.
fn cut_one(
    object: &Object,
    area: &MultiPolygon<f64>,
    above: &[&Upper],
    settings: &CutLayers,
    account: &mut Account,
) -> Cut<Shape> {
    if above.is_empty() || matches!(object.shape, Shape::Manual) {
        return Cut::Whole;
    }
    let sewn = !object.stitches.is_empty();
    if sewn || object.has_one_of(&settings.keep_whole) {
        let hidden = intersection(area, &together(above.iter().copied())).unsigned_area();
        if hidden >= settings.least_cut_area {
            account.stays(object, sewn);
        }
        return Cut::Whole;
    }
    match &object.shape {
        Shape::Region(_) => {
            region::cut(area, above, settings).map(|left| Shape::Region(Region::from(&left)))
        }
        Shape::Lines(lines) => line::cut(lines, area, above, settings).map(Shape::Lines),
        Shape::Manual => Cut::Whole,
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

    /// Those whose bounds meet the bounds of `area`, the topmost first.
    fn over(&self, area: &MultiPolygon<f64>) -> Vec<&Upper> {
        let bounds = area.bounding_rect();
        let near = bounds.map_or_else(Vec::new, |bounds| self.boxes.near(bounds, 0.0));
        near.into_iter().map(|i| &self.all[i]).collect()
    }
}
