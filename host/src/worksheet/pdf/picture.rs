//! The picture at a known scale, the rule beside it, and the hoop.

use super::composer::Composer;
use super::marks::{Area, Mark, Pen, Sense};
use super::typeface::Weight;
use crate::formats::dst::Hoop;
use crate::worksheet::{Paper, PictureScale, Worksheet, wording};
use geo::{Coord, Rect};

/// What the picture may take beside the figures, in mm.
const ROOM: [f64; 2] = [104.0, 112.0];
/// What the hoop may take where it is drawn by itself, in mm.
const HOOP_ROOM: [f64; 2] = [34.0, 26.0];
/// White around the stitches, in mm.
const PAD: f64 = 1.5;

/// The picture as planned: how large, and what it shows.
pub struct Picture {
    /// Paper for sewn size.
    pub scale: PictureScale,
    /// Width of its column, in mm.
    pub width: f64,
    /// What is shown, in mm of the design.
    shown: Rect<f64>,
    /// The hoop's inside, in mm of the design, and its margin.
    hoop: Option<(Rect<f64>, f64)>,
    hoop_fits: bool,
    sewn: Rect<f64>,
    start: Coord<f64>,
}

impl Picture {
    /// Plans the picture of what is sewn within `sewn` from `start`, both in mm of the design.
    pub fn plan(sheet: &Worksheet, sewn: Rect<f64>, start: Coord<f64>) -> Self {
        let room = ROOM.map(|room| room - 2.0 * PAD);
        let scale = PictureScale::fitting([sewn.width(), sewn.height()], room);
        let hoop = sheet
            .setup
            .hoop
            .map(|hoop| (inside(hoop, start), hoop.margin));
        // The hoop is drawn around the stitches only where they stay as large as without it.
        let with_hoop = hoop.map(|(hoop, _)| union(sewn, hoop));
        let hoop_fits = with_hoop.is_some_and(|all| {
            all.width() * scale.factor() <= room[0] && all.height() * scale.factor() <= room[1]
        });
        let shown = match with_hoop {
            Some(all) if hoop_fits => all,
            _ => sewn,
        };
        let drawn = shown.width() * scale.factor() + 2.0 * PAD;
        Self {
            scale,
            width: drawn.max(wording::RULE + 4.0),
            shown,
            hoop,
            hoop_fits,
            sewn,
            start,
        }
    }

    /// Puts the picture with the rule under it, its upper left corner at `at`; gives the height.
    pub fn put(&self, page: &mut Composer<'_>, [x, y]: [f64; 2]) -> f64 {
        let scale = self.scale.factor();
        let area = Area {
            x,
            y,
            width: self.shown.width() * scale + 2.0 * PAD,
            height: self.shown.height() * scale + 2.0 * PAD,
        };
        let pen = Pen::black(0.2);
        let fill = None;
        page.put(Sense::Decor, Mark::Frame { area, pen, fill });
        let origin = [
            x + PAD - self.shown.min().x * scale,
            y + PAD - self.shown.min().y * scale,
        ];
        if let (Some((hoop, margin)), true) = (self.hoop, self.hoop_fits) {
            outline(page, hoop, margin, origin, scale);
        }
        page.put(Sense::Picture, Mark::Stitches { origin, scale });
        let below = y + area.height;
        below - y + self.rule(page, [x, below + 2.2])
    }

    /// The rule with its words; gives the height down from 2.2 mm above it.
    fn rule(&self, page: &mut Composer<'_>, [x, y]: [f64; 2]) -> f64 {
        let pen = Pen::black(0.25);
        let mut line = |ends| page.put(Sense::Decor, Mark::Line { ends, pen });
        line([[x, y], [x + wording::RULE, y]]);
        for tick in 0..=10 {
            let at = x + f64::from(tick) * wording::RULE / 10.0;
            let long = if tick % 2 == 0 { 1.8 } else { 1.0 };
            line([[at, y], [at, y + long]]);
        }
        let size = page.setting.small;
        let sense = Sense::Paragraph(page.number());
        let words = format!("{}. {}", self.scale.in_words(), wording::MEASURE);
        let lines = page
            .faces
            .wrap(Weight::Regular, size, &words, self.width, 4);
        4.4 + page.lines(sense, [x, y + 2.2], size, Weight::Regular, &lines)
    }

    /// Puts the hoop by itself, with the place of the stitches in it, where the picture has no room
    /// for it; gives the height.
    pub fn put_hoop(&self, page: &mut Composer<'_>, [x, y]: [f64; 2], width: f64) -> f64 {
        let Some((hoop, margin)) = self.hoop.filter(|_| !self.hoop_fits) else {
            return 0.0;
        };
        let all = union(hoop, self.sewn);
        let scale = PictureScale::fitting([all.width(), all.height()], HOOP_ROOM);
        let factor = scale.factor();
        let origin = [x - all.min().x * factor, y - all.min().y * factor];
        outline(page, hoop, margin, origin, factor);
        let area = placed(self.sewn, origin, factor);
        let pen = Pen::black(0.2);
        let fill = Some(crate::rack::Colour::new([205; 3]));
        page.put(Sense::Decor, Mark::Frame { area, pen, fill });
        let [cx, cy] = [
            origin[0] + self.start.x * factor,
            origin[1] + self.start.y * factor,
        ];
        for ends in [
            [[cx - 1.5, cy], [cx + 1.5, cy]],
            [[cx, cy - 1.5], [cx, cy + 1.5]],
        ] {
            page.put(Sense::Decor, Mark::Line { ends, pen });
        }
        let height = all.height() * factor;
        let beside = all.width() * factor + 3.0;
        let size = page.setting.small;
        let words = format!(
            "The stitches in the hoop, {}; the cross is the start point, the dashes are the margin.",
            scale.in_words().to_lowercase()
        );
        let sense = Sense::Paragraph(page.number());
        let lines = page
            .faces
            .wrap(Weight::Regular, size, &words, width - beside, 6);
        let words = page.lines(sense, [x + beside, y], size, Weight::Regular, &lines);
        height.max(words)
    }
}

/// The hoop's inside around the start point.
fn inside(hoop: Hoop, start: Coord<f64>) -> Rect<f64> {
    let half = Coord::from(hoop.room(0.0));
    Rect::new(start - half, start + half)
}

fn union(a: Rect<f64>, b: Rect<f64>) -> Rect<f64> {
    Rect::new(
        Coord {
            x: a.min().x.min(b.min().x),
            y: a.min().y.min(b.min().y),
        },
        Coord {
            x: a.max().x.max(b.max().x),
            y: a.max().y.max(b.max().y),
        },
    )
}

/// Where a rectangle of the design falls on the page.
fn placed(rect: Rect<f64>, origin: [f64; 2], scale: f64) -> Area {
    Area {
        x: origin[0] + rect.min().x * scale,
        y: origin[1] + rect.min().y * scale,
        width: rect.width() * scale,
        height: rect.height() * scale,
    }
}

/// The hoop's inside, and dashes along the margin.
fn outline(page: &mut Composer<'_>, hoop: Rect<f64>, margin: f64, origin: [f64; 2], scale: f64) {
    let area = placed(hoop, origin, scale);
    let fill = None;
    let pen = Pen::black(0.35);
    page.put(Sense::Decor, Mark::Frame { area, pen, fill });
    let inner = area.grown(-margin * scale);
    if margin > 0.0 && inner.width > 0.0 && inner.height > 0.0 {
        let pen = Pen {
            dash: Some(1.2),
            ..Pen::black(0.15)
        };
        let area = inner;
        page.put(Sense::Decor, Mark::Frame { area, pen, fill });
    }
}

/// The left edge of what stands beside the picture, in mm.
pub fn beside(picture: &Picture) -> f64 {
    Paper::MARGIN + picture.width + 5.0
}
