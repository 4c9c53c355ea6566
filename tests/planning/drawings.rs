//! Drawings of any size, always the same, made by a fixed sequence of numbers.

use hoopwright_sdk::Thread;
use hoopwright_sdk::prelude::*;

/// Numbers from 0 to 1 (a linear congruence).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 = (self.0 * 1_103_515_245 + 12_345) % (1 << 31);
        (self.0 >> 8) as f64 / f64::from(1 << 23)
    }
}

/// How many threads a layered drawing has.
const THREADS: u32 = 12;

/// `count` octagons of 2 to 8 mm in 12 threads, spread so that each place is covered once on average.
pub fn layers(count: usize) -> Design {
    let mut numbers = Numbers(7);
    let wide = (count as f64).sqrt() * 8.0 * 0.7;
    let objects = (0..count).map(|i| {
        let (x, y) = (numbers.next() * wide, numbers.next() * wide);
        let side = 8.0 * (0.3 + 0.7 * numbers.next());
        let (low, high) = (side * 0.3, side * 0.7);
        let corners = [
            (low, 0.0),
            (high, 0.0),
            (side, low),
            (side, high),
            (high, side),
            (low, side),
            (0.0, high),
            (0.0, low),
        ];
        let ring = corners.map(|(across, down)| (x + across, y + down));
        let area = geo::Polygon::new(geo::LineString::from(ring.to_vec()), Vec::new());
        let mut object = Object::of_region(&format!("{i:05}"), &area.into());
        object.thread = (numbers.next() * f64::from(THREADS)) as u32;
        object
    });
    design(objects.collect(), wide)
}

/// The same with some rows of stitches in each octagon.
pub fn sewn_layers(count: usize) -> Design {
    let mut design = layers(count);
    for object in &mut design.objects {
        let Shape::Region(region) = &object.shape else {
            continue;
        };
        let corners: Vec<Coord<f64>> = region.polygons[0].outer.corners().collect();
        let mut stitches = StitchList::new();
        for place in 0..4 {
            stitches.needle(StitchRole::Cover, corners[place]);
            stitches.needle(StitchRole::Cover, corners[7 - place]);
        }
        object.stitches = stitches.into_blocks();
    }
    design
}

/// About `count` lines of 5 mm that make a square grid: one connected outline.
pub fn grid_of_pieces(count: usize) -> Design {
    let side = (count as f64 / 2.0).sqrt().round() as usize;
    let place = |across: usize, down: usize| (across as f64 * 5.0, down as f64 * 5.0);
    let mut lines = Vec::new();
    for a in 0..side {
        for b in 0..=side {
            lines.push([place(a, b), place(a + 1, b)]);
            lines.push([place(b, a), place(b, a + 1)]);
        }
    }
    of_lines(&lines, side as f64 * 5.0)
}

/// `count` lines of 3 mm, thrown anywhere: some cross, most hang on nothing.
pub fn loose_pieces(count: usize) -> Design {
    let mut numbers = Numbers(11);
    let wide = (count as f64).sqrt() * 4.0;
    let lines: Vec<[(f64, f64); 2]> = (0..count)
        .map(|_| {
            let (x, y) = (numbers.next() * wide, numbers.next() * wide);
            let (along, up) = (numbers.next() * 6.0 - 3.0, numbers.next() * 6.0 - 3.0);
            [(x, y), (x + along, y + up)]
        })
        .collect();
    of_lines(&lines, wide)
}

fn of_lines(lines: &[[(f64, f64); 2]], wide: f64) -> Design {
    let objects = lines.iter().enumerate().map(|(i, line)| {
        let line = geo::LineString::from(line.to_vec());
        Object::of_line(&format!("{i:05}"), &line, 0.4)
    });
    design(objects.collect(), wide)
}

fn design(objects: Vec<Object>, wide: f64) -> Design {
    let thread = |place: u32| Thread {
        name: format!("Thread {place}"),
        code: String::new(),
        red: (place * 20) as u8,
        green: 0,
        blue: 0,
        weight: 40,
    };
    Design {
        threads: (0..THREADS).map(thread).collect(),
        ..Design::on_page(wide, wide, objects)
    }
}
