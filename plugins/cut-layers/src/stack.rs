//! The design as a stack of objects, cut from the top down.

use crate::account::{Account, called};
use crate::fine::FineLines;
use crate::region::Cut;
use crate::shown::together;
use crate::upper::Upper;
use crate::{CutBy, CutLayers, line, region};
use hoopwright_sdk::THREAD_WIDTH;
use hoopwright_sdk::geometry::area::intersection;
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::geo::{Area, BoundingRect, MultiPolygon};
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
    for place in (0..count).rev() {
        messages::progress((count - place) as f64 / count as f64);
        let object = &design.objects[place];
        let mut area = object.shape.area(THREAD_WIDTH);
        account.meets(object, &area, settings);
        let cut = if may_change[place] {
            let mut above = uppers.over(&area);
            above.extend(fine.along(object, &area, settings));
            let cut = cut_one(object, &area, &above, settings, &mut account);
            let name = |upper: &Upper| called(&design.objects[upper.place]);
            account.counts(object, &area, &cut, &above, name);
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
    let mut place = 0;
    design.objects.retain(|_| {
        place += 1;
        !gone[place - 1]
    });
    (design, account)
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
