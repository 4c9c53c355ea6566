//! The thread order as a table that goes on over pages.

use super::composer::{Composer, Setting};
use super::marks::{Area, Head, Mark, Pen, Sense};
use super::typeface::Weight;
use crate::rack::Colour;
use crate::worksheet::wording::{halt, needle};
use crate::worksheet::{Paper, ThreadRun, Worksheet, wording};

/// How a column stands.
#[derive(Clone, Copy, PartialEq)]
enum Stand {
    Left,
    Right,
    Swatch,
}

/// Name, width in mm at a text of 9 points, and stand. The thread's name takes what is left.
const COLUMNS: [(&str, f64, Stand); 9] = [
    ("No.", 8.0, Stand::Right),
    ("Needle", 15.0, Stand::Swatch),
    ("At the halt", 29.0, Stand::Left),
    ("Code", 22.0, Stand::Left),
    ("Thread", 0.0, Stand::Left),
    ("Weight", 13.5, Stand::Right),
    ("Stitches", 16.0, Stand::Right),
    ("Trims", 12.0, Stand::Right),
    ("As it lies", 18.0, Stand::Right),
];
/// The column that takes what is left.
const NAME: usize = 4;
/// Space on the left and the right of a column's text, in mm.
const PAD: f64 = 1.2;
/// A long name takes so many lines, and then ends in "…".
const LINES: usize = 2;

/// Puts the table.
pub fn put(page: &mut Composer<'_>, sheet: &Worksheet) {
    let table = Table::new(page);
    page.heading(wording::ORDER, 3.5 * table.row_height(1));
    table.head(page, 0);
    for (i, run) in sheet.runs.iter().enumerate() {
        table.run(page, i as u32 + 1, run);
    }
    table.sum(page, sheet);
}

struct Table {
    number: u32,
    setting: Setting,
    /// The left edge and the width of each column.
    columns: Vec<[f64; 2]>,
}

impl Table {
    fn new(page: &mut Composer<'_>) -> Self {
        let setting = page.setting;
        let scale = setting.text / 9.0;
        let fixed: f64 = COLUMNS.iter().map(|(_, width, _)| width * scale).sum();
        let mut x = Paper::MARGIN;
        let columns = COLUMNS.iter().enumerate().map(|(i, (_, width, _))| {
            let width = if i == NAME {
                page.width() - fixed
            } else {
                width * scale
            };
            let left = x;
            x += width;
            [left, width]
        });
        Self {
            columns: columns.collect(),
            number: page.number(),
            setting,
        }
    }

    fn row_height(&self, lines: usize) -> f64 {
        lines as f64 * Setting::leading(self.setting.text) + self.setting.row_gap
    }

    fn head(&self, page: &mut Composer<'_>, row: u32) {
        let names = COLUMNS.map(|(name, ..)| vec![name.to_owned()]);
        self.row(page, row, &names, Weight::Bold, Head::Column);
        page.across(page.y, Pen::black(0.25));
        page.y += 0.3;
    }

    fn run(&self, page: &mut Composer<'_>, row: u32, run: &ThreadRun) {
        let wrapped = |column: usize, text: &str| {
            let width = self.columns[column][1] - 2.0 * PAD;
            let size = self.setting.text;
            page.faces.wrap(Weight::Regular, size, text, width, LINES)
        };
        let one = |text: String| vec![text];
        let name = format!("{} {}", run.name, run.colour);
        let cells = [
            one(run.position.to_string()),
            Vec::new(),
            one(halt(run.begins).to_owned()),
            wrapped(3, &run.code),
            wrapped(NAME, &name),
            one(run.weight.to_string()),
            one(run.stitches.to_string()),
            one(run.trims.to_string()),
            one(format!("{:.2} m", run.laid_thread)),
        ];
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1);
        let height = self.row_height(lines);
        if page.ensure(height) {
            self.head(page, 0);
        }
        self.swatch(page, row, run);
        self.row(page, row, &cells, Weight::Regular, Head::Value);
        let hair = Pen {
            grey: 150,
            ..Pen::black(0.1)
        };
        page.across(page.y - 0.1, hair);
    }

    fn sum(&self, page: &mut Composer<'_>, sheet: &Worksheet) {
        let mut cells = [const { Vec::new() }; COLUMNS.len()];
        cells[NAME] = vec!["In all".to_owned()];
        cells[6] = vec![sheet.stitches.to_string()];
        cells[7] = vec![sheet.trims.to_string()];
        cells[8] = vec![format!("{:.2} m", sheet.laid_thread)];
        if page.ensure(self.row_height(1)) {
            self.head(page, 0);
        }
        let row = sheet.runs.len() as u32 + 1;
        self.row(page, row, &cells, Weight::Bold, Head::Value);
    }

    /// Puts a row's text, and goes below it.
    fn row(
        &self,
        page: &mut Composer<'_>,
        row: u32,
        cells: &[Vec<String>; COLUMNS.len()],
        weight: Weight,
        head: Head,
    ) {
        let size = self.setting.text;
        let y = page.y + self.setting.row_gap / 2.0;
        for (i, lines) in cells.iter().enumerate() {
            let [left, width] = self.columns[i];
            let column = i as u32;
            let sense = Sense::Cell {
                table: self.number,
                row,
                column,
                head,
            };
            for (j, line) in lines.iter().enumerate() {
                let x = if COLUMNS[i].2 == Stand::Right {
                    left + width - PAD - page.faces.width(weight, size, line)
                } else {
                    left + PAD
                };
                let y = y + j as f64 * Setting::leading(size);
                page.line(sense, [x, y], size, weight, line);
            }
        }
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
        page.y += self.row_height(lines);
    }

    /// The thread's colour with the needle's number on it, so that it reads in black and white too.
    fn swatch(&self, page: &mut Composer<'_>, row: u32, run: &ThreadRun) {
        let [left, width] = self.columns[1];
        let size = self.setting.text;
        let line = Setting::leading(size);
        let area = Area {
            x: left + PAD,
            y: page.y + self.setting.row_gap / 2.0,
            width: width - 2.0 * PAD,
            height: line,
        }
        .grown(-0.15);
        let fill = Colour::parse(&run.colour);
        let pen = Pen::black(0.2);
        page.put(Sense::Decor, Mark::Frame { area, pen, fill });
        let text = needle(run.needle);
        let taken = page.faces.width(Weight::Bold, size, &text);
        let x = area.x + (area.width - taken) / 2.0;
        let sense = Sense::Cell {
            table: self.number,
            row,
            column: 1,
            head: Head::Value,
        };
        let mark = Mark::Text {
            at: [
                x,
                area.y + line / 2.0 + 0.36 * size * super::typeface::POINT - 0.15,
            ],
            size,
            weight: Weight::Bold,
            text,
            white: fill.is_some_and(dark),
        };
        page.put(sense, mark);
    }
}

/// Whether white reads better on the colour than black: the contrast ratio of WCAG 2.2 with white
/// is the greater one where the relative luminance is under 0.179.
fn dark(colour: Colour) -> bool {
    let Colour { red, green, blue } = colour;
    let light = palette::Srgb::new(red, green, blue).into_linear::<f64>();
    let luminance = 0.2126 * light.red + 0.7152 * light.green + 0.0722 * light.blue;
    luminance < 0.179
}
