//! Puts text and lines on pages, from top to bottom, and begins a page where one is full.

use super::marks::{Area, Mark, Page, Pen, Placed, Sense};
use super::typeface::{POINT, Typefaces, Weight};
use crate::worksheet::Paper;

/// How large text is and how far lines stand apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// Size of text, in points.
    pub text: f64,
    /// Size of the cautions, in points.
    pub small: f64,
    /// Space between the rows of a table, in mm.
    pub row_gap: f64,
    /// Space above a heading, in mm.
    pub above_heading: f64,
}

impl Setting {
    /// From the most comfortable to the tightest; the first that fits on one page is taken, and the
    /// first of all where none does.
    pub const ALL: [Self; 3] = [
        Self {
            text: 9.0,
            small: 8.0,
            row_gap: 0.9,
            above_heading: 4.5,
        },
        Self {
            text: 8.5,
            small: 7.5,
            row_gap: 0.5,
            above_heading: 3.5,
        },
        Self {
            text: 8.0,
            small: 7.0,
            row_gap: 0.2,
            above_heading: 2.5,
        },
    ];

    /// From one base line to the next, in mm.
    pub fn leading(size: f64) -> f64 {
        size * POINT * 1.25
    }
}

/// The height of the page's foot, in mm.
const FOOT: f64 = 6.0;

/// The pages as far as they are made.
pub struct Composer<'a> {
    /// What text is set in.
    pub faces: &'a Typefaces,
    /// How text is set.
    pub setting: Setting,
    /// The top of what comes next, in mm.
    pub y: f64,
    paper: Paper,
    pages: Vec<Page>,
    numbered: u32,
}

impl<'a> Composer<'a> {
    /// An empty first page.
    pub fn new(faces: &'a Typefaces, setting: Setting, paper: Paper) -> Self {
        Self {
            faces,
            setting,
            y: Paper::MARGIN,
            paper,
            pages: vec![Page::new()],
            numbered: 0,
        }
    }

    /// Width between the margins, in mm.
    pub fn width(&self) -> f64 {
        self.paper.size()[0] - 2.0 * Paper::MARGIN
    }

    /// Height left on this page, in mm.
    pub fn room(&self) -> f64 {
        self.paper.size()[1] - Paper::MARGIN - FOOT - self.y
    }

    /// Begins a page where less than `height` mm is left on this one. Whether it did.
    pub fn ensure(&mut self, height: f64) -> bool {
        let full = self.room() < height && !self.pages.last().is_some_and(Vec::is_empty);
        if full {
            self.pages.push(Page::new());
            self.y = Paper::MARGIN;
        }
        full
    }

    /// A number that no other paragraph, heading or table has.
    pub fn number(&mut self) -> u32 {
        self.numbered += 1;
        self.numbered
    }

    /// Puts a mark on this page.
    pub fn put(&mut self, sense: Sense, mark: Mark) {
        if let Some(page) = self.pages.last_mut() {
            page.push(Placed { mark, sense });
        }
    }

    /// Puts one line of text with its left end at `x` and its upper edge at `y`.
    pub fn line(&mut self, sense: Sense, [x, y]: [f64; 2], size: f64, weight: Weight, text: &str) {
        // The letters' height over the base line is about 0.75 em, with what is above capitals.
        let at = [x, y + 0.95 * size * POINT];
        let mark = Mark::Text {
            at,
            size,
            weight,
            text: text.to_owned(),
            white: false,
        };
        self.put(sense, mark);
    }

    /// Puts lines of text, the first with its upper left corner at `at`; gives their height.
    pub fn lines(
        &mut self,
        sense: Sense,
        [x, y]: [f64; 2],
        size: f64,
        weight: Weight,
        lines: &[String],
    ) -> f64 {
        let leading = Setting::leading(size);
        for (i, line) in lines.iter().enumerate() {
            self.line(sense, [x, y + i as f64 * leading], size, weight, line);
        }
        lines.len() as f64 * leading
    }

    /// Puts a thin line from margin to margin.
    pub fn across(&mut self, y: f64, pen: Pen) {
        let (left, right) = (Paper::MARGIN, Paper::MARGIN + self.width());
        let ends = [[left, y], [right, y]];
        self.put(Sense::Decor, Mark::Line { ends, pen });
    }

    /// Puts a heading at the left margin, and begins a page where not even `with` mm of what
    /// follows would stand under it.
    pub fn heading(&mut self, text: &str, with: f64) {
        let size = self.setting.text + 2.0;
        let height = Setting::leading(size) + 0.8;
        self.ensure(self.setting.above_heading + height + with);
        if self.y > Paper::MARGIN {
            self.y += self.setting.above_heading;
        }
        let sense = Sense::Heading(self.number());
        self.line(sense, [Paper::MARGIN, self.y], size, Weight::Bold, text);
        self.y += height;
        self.across(self.y, Pen::black(0.3));
        self.y += 0.6;
    }

    /// Ends: every page gets its foot.
    pub fn finish(mut self, title: &str) -> Vec<Page> {
        let [_, height] = self.paper.size();
        let y = height - Paper::MARGIN - FOOT + 2.0;
        let size = self.setting.small;
        let count = self.pages.len();
        let (width, faces) = (self.width(), self.faces);
        for (i, page) in self.pages.iter_mut().enumerate() {
            let number = format!("page {} of {count}", i + 1);
            let taken = faces.width(Weight::Regular, size, &number);
            let room = width - taken - 5.0;
            let title = faces.wrap(Weight::Regular, size, title, room, 1);
            let texts = [
                (Paper::MARGIN, title.concat()),
                (Paper::MARGIN + width - taken, number),
            ];
            for (x, text) in texts {
                let mark = Mark::Text {
                    at: [x, y + 0.95 * size * POINT],
                    size,
                    weight: Weight::Regular,
                    text,
                    white: false,
                };
                page.push(Placed {
                    mark,
                    sense: Sense::Decor,
                });
            }
        }
        self.pages
    }
}

impl Area {
    /// The same place with `by` mm more on every side.
    pub fn grown(self, by: f64) -> Self {
        Self {
            x: self.x - by,
            y: self.y - by,
            width: self.width + 2.0 * by,
            height: self.height + 2.0 * by,
        }
    }
}
