//! The worksheet from top to bottom.

use super::composer::{Composer, Setting};
use super::marks::{Area, Head, Mark, Page, Pen, Sense};
use super::order;
use super::picture::{Picture, beside};
use super::typeface::{Typefaces, Weight};
use crate::worksheet::{Paper, Worksheet, cautions, hand_fields, wording};
use geo::{Coord, Rect};

/// More warnings than this are counted, and told in the report.
const WARNINGS: usize = 8;

/// Lays the worksheet out: on one page where it fits, else comfortably on several.
pub fn pages(
    faces: &Typefaces,
    sheet: &Worksheet,
    sewn: Rect<f64>,
    start: Coord<f64>,
) -> Vec<Page> {
    let laid = |setting| lay(faces, setting, sheet, sewn, start);
    let mut all = Setting::ALL.into_iter();
    let first = all.next().map(laid).unwrap_or_default();
    if first.len() == 1 {
        return first;
    }
    all.map(laid)
        .find(|pages| pages.len() == 1)
        .unwrap_or(first)
}

fn lay(
    faces: &Typefaces,
    setting: Setting,
    sheet: &Worksheet,
    sewn: Rect<f64>,
    start: Coord<f64>,
) -> Vec<Page> {
    let mut page = Composer::new(faces, setting, sheet.setup.paper);
    title(&mut page, sheet);
    warnings(&mut page, sheet);
    top(&mut page, sheet, sewn, start);
    order::put(&mut page, sheet);
    notes(&mut page, sheet);
    take_care(&mut page, sheet);
    fields(&mut page);
    page.finish(wording::title(sheet))
}

fn title(page: &mut Composer<'_>, sheet: &Worksheet) {
    const SIZE: f64 = 16.0;
    let width = page.width();
    let text = wording::title(sheet);
    let lines = page.faces.wrap(Weight::Bold, SIZE, text, width, 2);
    let at = [Paper::MARGIN, page.y];
    page.y += page.lines(Sense::Title, at, SIZE, Weight::Bold, &lines) + 1.0;
}

fn warnings(page: &mut Composer<'_>, sheet: &Worksheet) {
    if sheet.warnings.is_empty() {
        return;
    }
    const PAD: f64 = 2.0;
    let size = page.setting.text;
    let left = Paper::MARGIN + PAD;
    let width = page.width() - 2.0 * PAD;
    let top = page.y;
    page.y += PAD / 2.0;
    let sense = Sense::Heading(page.number());
    page.line(
        sense,
        [left, page.y],
        size + 1.0,
        Weight::Bold,
        wording::WARNINGS,
    );
    page.y += Setting::leading(size + 1.0) + 0.3;
    let mut texts: Vec<String> = sheet.warnings.iter().map(wording::warning).collect();
    let untold = texts.len().saturating_sub(WARNINGS);
    texts.truncate(WARNINGS);
    if untold > 0 {
        texts.push(format!("… and {untold} more, in the report"));
    }
    for text in texts {
        bullet(page, [left, width], size, &text, 4);
    }
    page.y += PAD / 2.0;
    let area = Area {
        x: Paper::MARGIN,
        y: top,
        width: page.width(),
        height: page.y - top,
    };
    let pen = Pen::black(0.5);
    page.put(
        Sense::Decor,
        Mark::Frame {
            area,
            pen,
            fill: None,
        },
    );
    page.y += 2.5;
}

/// Puts a paragraph with a bullet, and goes below it.
fn bullet(page: &mut Composer<'_>, [x, width]: [f64; 2], size: f64, text: &str, most: usize) {
    const INDENT: f64 = 2.6;
    let sense = Sense::Paragraph(page.number());
    let lines = page
        .faces
        .wrap(Weight::Regular, size, text, width - INDENT, most);
    page.line(sense, [x, page.y], size, Weight::Regular, "•");
    let at = [x + INDENT, page.y];
    page.y += page.lines(sense, at, size, Weight::Regular, &lines);
}

/// The picture, and the figures beside it.
fn top(page: &mut Composer<'_>, sheet: &Worksheet, sewn: Rect<f64>, start: Coord<f64>) {
    let picture = Picture::plan(sheet, sewn, start);
    let mut trial = Composer::new(page.faces, page.setting, sheet.setup.paper);
    figures(&mut trial, sheet, &picture);
    page.ensure(trial.y - Paper::MARGIN);
    figures(page, sheet, &picture);
}

fn figures(page: &mut Composer<'_>, sheet: &Worksheet, picture: &Picture) {
    let top = page.y;
    let left_height = picture.put(page, [Paper::MARGIN, top]);
    let x = beside(picture);
    let width = Paper::MARGIN + page.width() - x;
    pairs(page, [x, width], &wording::facts(sheet));
    page.y += 2.0;
    let size = page.setting.text + 1.0;
    let sense = Sense::Heading(page.number());
    page.line(sense, [x, page.y], size, Weight::Bold, wording::SETUP);
    page.y += Setting::leading(size) + 0.3;
    pairs(page, [x, width], &wording::setup(sheet));
    page.y += 2.0;
    page.y += picture.put_hoop(page, [x, page.y], width);
    page.y = page.y.max(top + left_height);
}

/// Puts names with their values as a table of two columns. An empty value is a line to write on.
fn pairs(page: &mut Composer<'_>, [x, width]: [f64; 2], pairs: &[(&'static str, String)]) {
    let size = page.setting.text;
    let leading = Setting::leading(size);
    let faces = page.faces;
    let widest = pairs
        .iter()
        .map(|(name, _)| faces.width(Weight::Bold, size, name))
        .fold(0.0, f64::max);
    let indent = (widest + 2.5).min(width / 2.0);
    let table = page.number();
    for (row, (name, value)) in pairs.iter().enumerate() {
        let cell = |column, head| Sense::Cell {
            table,
            row: row as u32,
            column,
            head,
        };
        page.line(cell(0, Head::Row), [x, page.y], size, Weight::Bold, name);
        let at = [x + indent, page.y];
        let lines = faces.wrap(Weight::Regular, size, value, width - indent, 3);
        let height = page.lines(cell(1, Head::Value), at, size, Weight::Regular, &lines);
        if lines.is_empty() {
            let y = page.y + leading;
            let ends = [[at[0], y], [x + width, y]];
            let pen = Pen::black(0.15);
            page.put(Sense::Decor, Mark::Line { ends, pen });
        }
        page.y += height.max(leading) + page.setting.row_gap;
    }
}

fn notes(page: &mut Composer<'_>, sheet: &Worksheet) {
    let notes = &sheet.setup.notes;
    if notes.is_empty() {
        return;
    }
    let size = page.setting.text;
    page.heading(wording::NOTES, Setting::leading(size));
    for note in notes {
        let width = page.width();
        let lines = page.faces.wrap(Weight::Regular, size, note, width, 6).len();
        page.ensure(lines as f64 * Setting::leading(size));
        bullet(page, [Paper::MARGIN, width], size, note, 6);
    }
}

/// The cautions in two columns, under the line that says what goes before them.
fn take_care(page: &mut Composer<'_>, sheet: &Worksheet) {
    const GAP: f64 = 5.0;
    let size = page.setting.small;
    let leading = Setting::leading(size);
    let column = (page.width() - GAP) / 2.0;
    let others: Vec<&str> = sheet
        .cautions
        .iter()
        .copied()
        .filter(|caution| *caution != cautions::FIRST)
        .collect();
    // Kept together: nobody should find half of them.
    let rows = others.len().div_ceil(2);
    page.heading(wording::CAUTIONS, (1.0 + 2.0 * rows as f64) * leading);
    let sense = Sense::Paragraph(page.number());
    let at = [Paper::MARGIN, page.y];
    let width = page.width();
    let lines = page
        .faces
        .wrap(Weight::Bold, size, cautions::FIRST, width, 2);
    page.y += page.lines(sense, at, size, Weight::Bold, &lines);
    let top = page.y;
    let mut lowest = top;
    for (i, half) in others.chunks(rows.max(1)).enumerate() {
        page.y = top;
        let x = Paper::MARGIN + i as f64 * (column + GAP);
        for caution in half {
            bullet(page, [x, column], size, caution, 3);
        }
        lowest = lowest.max(page.y);
    }
    page.y = lowest;
}

/// Lines to fill in by hand.
fn fields(page: &mut Composer<'_>) {
    let size = page.setting.text;
    // Room to write in.
    let height = 9.0;
    page.ensure(height);
    let base = page.y + height - 1.0;
    let mut x = Paper::MARGIN;
    for (name, share) in hand_fields::ALL {
        let width = page.width() * share;
        let sense = Sense::Paragraph(page.number());
        let at = [x, base - Setting::leading(size) + 0.4];
        page.line(sense, at, size, Weight::Bold, name);
        let from = x + page.faces.width(Weight::Bold, size, name) + 1.5;
        let ends = [[from, base], [x + width - 3.0, base]];
        let pen = Pen::black(0.2);
        page.put(Sense::Decor, Mark::Line { ends, pen });
        x += width;
    }
    page.y += height;
}
