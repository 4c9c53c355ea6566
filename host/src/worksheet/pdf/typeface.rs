//! Text as glyphs: measured, wrapped and shortened.

use crate::diagnostics::Diagnostic;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use rustybuzz::{Direction, Face, UnicodeBuffer};
use std::collections::BTreeSet;

static REGULAR: &[u8] = include_bytes!("../fonts/regular.ttf");
static BOLD: &[u8] = include_bytes!("../fonts/bold.ttf");

/// A point, in mm.
pub const POINT: f64 = 25.4 / 72.0;

/// How heavy the letters are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// For text.
    Regular,
    /// For headings.
    Bold,
}

/// A line of text that is ready to be printed.
#[derive(Clone, Debug)]
pub struct Shaped {
    /// The text, without characters that no page can show.
    pub text: String,
    /// Its glyphs, in ems.
    pub glyphs: Vec<KrillaGlyph>,
    /// Its width, in ems.
    pub width: f64,
}

/// The worksheet's typefaces.
pub struct Typefaces {
    regular: (Face<'static>, Font),
    bold: (Face<'static>, Font),
}

impl Typefaces {
    /// Loads both.
    ///
    /// # Errors
    /// A font that is built in cannot be read, which is a mistake of the program's.
    pub fn load() -> Result<Self, Diagnostic> {
        let load = |data: &'static [u8]| {
            Face::from_slice(data, 0)
                .zip(Font::new(data.into(), 0))
                .ok_or_else(|| Diagnostic::error("internal", "the worksheet's font is broken"))
        };
        Ok(Self {
            regular: load(REGULAR)?,
            bold: load(BOLD)?,
        })
    }

    /// The font to print with.
    pub fn font(&self, weight: Weight) -> Font {
        self.of(weight).1.clone()
    }

    fn of(&self, weight: Weight) -> &(Face<'static>, Font) {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Bold => &self.bold,
        }
    }

    /// The characters of `text` that the fonts have no glyph for; a box is printed for each.
    pub fn missing(&self, text: &str) -> BTreeSet<char> {
        text.chars()
            .filter(|c| !c.is_control() && !c.is_whitespace())
            .filter(|c| self.regular.0.glyph_index(*c).is_none())
            .collect()
    }

    /// Sets `text` on one line, from left to right.
    pub fn shape(&self, weight: Weight, text: &str) -> Shaped {
        let text: String = text.chars().map(printed).collect();
        let (face, _) = self.of(weight);
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(&text);
        buffer.guess_segment_properties();
        buffer.set_direction(Direction::LeftToRight);
        let shaped = rustybuzz::shape(face, &[], buffer);
        let em = face.units_per_em() as f32;
        let infos = shaped.glyph_infos();
        // Glyphs of one cluster stand for one piece of the text.
        let end = |i: usize| {
            let start = infos[i].cluster;
            let next = infos[i..].iter().find(|next| next.cluster != start);
            next.map_or(text.len(), |next| next.cluster as usize)
        };
        let glyphs: Vec<KrillaGlyph> = shaped
            .glyph_positions()
            .iter()
            .enumerate()
            .map(|(i, place)| {
                KrillaGlyph::new(
                    GlyphId::new(infos[i].glyph_id),
                    place.x_advance as f32 / em,
                    place.x_offset as f32 / em,
                    place.y_offset as f32 / em,
                    place.y_advance as f32 / em,
                    infos[i].cluster as usize..end(i),
                    None,
                )
            })
            .collect();
        let width = glyphs.iter().map(|glyph| f64::from(glyph.x_advance)).sum();
        Shaped {
            text,
            glyphs,
            width,
        }
    }

    /// The width of `text` in mm, at a size in points.
    pub fn width(&self, weight: Weight, size: f64, text: &str) -> f64 {
        self.shape(weight, text).width * size * POINT
    }

    /// Breaks `text` into at most `most` lines no wider than `width` mm, between words where it can.
    /// What is left over becomes "…".
    pub fn wrap(
        &self,
        weight: Weight,
        size: f64,
        text: &str,
        width: f64,
        most: usize,
    ) -> Vec<String> {
        let fits = |line: &str| self.width(weight, size, line) <= width;
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        for word in text.split_whitespace() {
            let longer = if line.is_empty() {
                word.to_owned()
            } else {
                format!("{line} {word}")
            };
            if fits(&longer) {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for c in word.chars() {
                line.push(c);
                if !is_mark(c) && !fits(&line) && line.chars().count() > 1 {
                    line.pop();
                    lines.push(std::mem::replace(&mut line, c.to_string()));
                }
            }
            // A text without end needs no more lines than are shown.
            if lines.len() > most {
                break;
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        if lines.len() > most {
            lines.truncate(most);
            if let Some(last) = lines.last_mut() {
                while !last.is_empty() && !fits(&format!("{last}…")) {
                    last.pop();
                }
                *last = format!("{}…", last.trim_end());
            }
        }
        lines
    }
}

/// A mark that stands on the character before it (Unicode, Combining Diacritical Marks).
fn is_mark(c: char) -> bool {
    ('\u{300}'..='\u{36f}').contains(&c)
}

/// A character as a page shows it.
fn printed(c: char) -> char {
    if c.is_control() || c.is_whitespace() {
        ' '
    } else {
        c
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn faces() -> Typefaces {
        Typefaces::load().expect("built in")
    }

    #[test]
    fn names_of_any_shop_have_glyphs() {
        let faces = faces();
        let text = "Übergröße Łódź Ñandú İstanbul Đà Nẵng Ζωή Νύχτα Сова Їжак ½ № € ₴ “–…” ×°²";
        assert!(faces.missing(text).is_empty(), "{:?}", faces.missing(text));
        assert_eq!(faces.missing("Eule 梟 🦉 a").len(), 2);
        for weight in [Weight::Regular, Weight::Bold] {
            assert!(
                faces
                    .shape(weight, text)
                    .glyphs
                    .iter()
                    .all(|glyph| glyph.glyph_id.to_u32() != 0)
            );
        }
    }

    #[test]
    fn a_width_is_the_sum_of_the_font_s_own_advances() {
        // Noto Sans 2.004, table hmtx: n 618, of 1000 units an em; no kerning between two.
        let width = faces().width(Weight::Regular, 10.0, "nn");
        assert!(
            (width - 2.0 * 0.618 * 10.0 * 25.4 / 72.0).abs() < 1e-6,
            "{width}"
        );
    }

    #[test]
    fn lines_keep_to_their_width_and_lose_no_word() {
        let faces = faces();
        let text = "Two layers of medium cut-away, hooped with the twill";
        let lines = faces.wrap(Weight::Regular, 9.0, text, 30.0, 9);
        assert!(lines.len() > 1);
        assert_eq!(lines.join(" "), text);
        for line in &lines {
            assert!(faces.width(Weight::Regular, 9.0, line) <= 30.0, "{line}");
        }
    }

    #[test]
    fn what_is_too_long_is_broken_or_ends_in_dots() {
        let faces = faces();
        let word = "e\u{301}".repeat(400);
        let lines = faces.wrap(Weight::Bold, 9.0, &word, 20.0, 3);
        assert_eq!(lines.len(), 3);
        assert!(lines[2].ends_with('…') && lines[1].starts_with("e\u{301}"));
        for line in &lines {
            assert!(faces.width(Weight::Bold, 9.0, line) <= 20.0);
        }
        assert!(faces.wrap(Weight::Regular, 9.0, " \n ", 20.0, 3).is_empty());
        // Narrower than any letter: one letter a line, and an end.
        assert_eq!(
            faces.wrap(Weight::Regular, 9.0, "abc", 0.1, 9).concat(),
            "abc"
        );
    }
}
