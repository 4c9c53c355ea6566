//! The artwork's colours as threads.

use crate::design::Thread;
use crate::rack::Colour;
use std::collections::BTreeMap;
use usvg::Color;

/// The weight of the thread that most embroidery is sewn with.
const WEIGHT: u16 = 40;

/// One thread for each distinct colour, in the order of first use.
#[derive(Default)]
pub(super) struct Palette {
    threads: Vec<Thread>,
    places: BTreeMap<[u8; 3], u32>,
}

impl Palette {
    /// The place of the colour's thread.
    pub fn thread(&mut self, colour: Color) -> u32 {
        let Color { red, green, blue } = colour;
        let threads = &mut self.threads;
        *self.places.entry([red, green, blue]).or_insert_with(|| {
            // CSS Color 4 section 6.1 has the names.
            let name = csscolorparser::Color::from_rgba8(red, green, blue, 255).name();
            threads.push(Thread {
                name: name.map_or_else(
                    || Colour::new([red, green, blue]).to_string(),
                    str::to_owned,
                ),
                code: String::new(),
                red,
                green,
                blue,
                weight: WEIGHT,
            });
            (threads.len() - 1) as u32
        })
    }

    /// All threads.
    pub fn into_threads(self) -> Vec<Thread> {
        self.threads
    }
}
