//! What the PNG shows, measured.

use super::*;
use crate::diagnostics::Severity;

struct Pixels {
    width: usize,
    height: usize,
    colours: Vec<[u8; 3]>,
    per_metre: u32,
}

fn read(file: &[u8]) -> Pixels {
    let mut reader = png::Decoder::new(std::io::Cursor::new(file))
        .read_info()
        .expect("it is drawn");
    let mut data = vec![0; reader.output_buffer_size().expect("it is drawn")];
    let info = reader.next_frame(&mut data).expect("it is drawn");
    assert_eq!(info.color_type, png::ColorType::Rgb);
    Pixels {
        width: info.width as usize,
        height: info.height as usize,
        colours: data.as_chunks::<3>().0.to_vec(),
        per_metre: reader.info().pixel_dims.map_or(0, |dims| dims.xppu),
    }
}

fn drawn(design: &Design, options: &PreviewOptions) -> Pixels {
    read(&png(design, options).expect("it is drawn"))
}

fn plain(scale: f64) -> PreviewOptions {
    PreviewOptions {
        scale: Some(scale),
        ..PreviewOptions::default()
    }
}

impl Pixels {
    /// The colour at a place in mm from the upper left corner.
    fn at(&self, x: f64, y: f64) -> [u8; 3] {
        let scale = f64::from(self.per_metre) / 1000.0;
        self.colours[(y * scale) as usize * self.width + (x * scale) as usize]
    }

    /// In mm2, where `is` holds.
    fn area(&self, is: impl Fn([u8; 3]) -> bool) -> f64 {
        let scale = f64::from(self.per_metre) / 1000.0;
        self.colours.iter().filter(|c| is(**c)).count() as f64 / (scale * scale)
    }
}

/// At least half thread: the fabric's green is 237, the thread's is about 30. The scale's ink is
/// as red as it is green.
fn reddish([red, green, _]: [u8; 3]) -> bool {
    green < 134 && red > green.saturating_add(30)
}

const RED: [u8; 3] = [220, 30, 30];
const BLUE: [u8; 3] = [20, 30, 220];

/// A stitch of 10 mm and 0.4 mm thick covers a rectangle and two half discs: 10 x 0.4 + pi x 0.04
/// = 4.126 mm2, whichever way it lies.
#[test]
fn a_stitch_covers_its_length_times_its_width() {
    for to in [at(10.0, 0.0), at(0.0, 10.0), at(6.0, 8.0), at(-8.0, 6.0)] {
        for scale in [10.0, 20.0, 40.0] {
            let picture = drawn(&lines(&[(RED, [at(0.0, 0.0), to])]), &plain(scale));
            let area = picture.area(reddish);
            let exact = 10.0 * 0.4 + std::f64::consts::PI * 0.04;
            // Half a pixel all around at most, one part in ten of that on average.
            assert!(
                (area - exact).abs() < 0.2 * 20.8 / scale,
                "{to:?} {scale}: {area}"
            );
        }
    }
}

#[test]
fn the_scale_stands_in_the_file_and_the_size_keeps_to_it() {
    let design = lines(&[(RED, [at(0.0, 0.0), at(40.0, 0.0)])]);
    let picture = drawn(&design, &plain(12.5));
    assert_eq!(picture.per_metre, 12_500);
    // 40 mm and a margin of 5 mm on each side.
    assert_eq!(picture.width, 625);
    assert_eq!(picture.height, 125);
}

/// A 60 weight thread is thinner than a 40 weight one by the root of 40/60.
#[test]
fn a_finer_thread_is_thinner() {
    let mut design = lines(&[(RED, [at(0.0, 0.0), at(10.0, 0.0)])]);
    let forty = drawn(&design, &plain(120.0)).area(reddish);
    design.threads[0].weight = 60;
    let sixty = drawn(&design, &plain(120.0)).area(reddish);
    assert!(
        (sixty / forty - (40.0_f64 / 60.0).sqrt()).abs() < 0.03,
        "{sixty} {forty}"
    );
}

#[test]
fn what_is_sewn_later_lies_on_top() {
    let across = [at(0.0, 5.0), at(10.0, 5.0)];
    let down = [at(5.0, 0.0), at(5.0, 10.0)];
    let [first, second] = [
        lines(&[(RED, across), (BLUE, down)]),
        lines(&[(BLUE, down), (RED, across)]),
    ]
    .map(|design| drawn(&design, &plain(20.0)).at(10.0, 10.0));
    assert!(first[2] > first[0], "blue lies on top: {first:?}");
    assert!(second[0] > second[2], "red lies on top: {second:?}");
}

#[test]
fn thread_is_darker_at_its_edges_and_where_the_needle_went_down() {
    let picture = drawn(
        &lines(&[(RED, [at(0.0, 0.0), at(10.0, 0.0)])]),
        &plain(40.0),
    );
    let middle = picture.at(10.0, 5.0)[0];
    let edge = picture.at(10.0, 5.17)[0];
    let end = picture.at(5.02, 5.0)[0];
    assert!(edge + 20 < middle, "{edge} {middle}");
    assert!(end + 20 < middle, "{end} {middle}");
}

/// Rows sewn downwards and upwards have the same brightness.
#[test]
fn the_order_of_rows_does_not_change_the_light() {
    let rows = |upwards: bool| {
        let mut rows: Vec<_> = (0..40)
            .map(|i| f64::from(i) * 0.2)
            .map(|y| (RED, [at(0.0, y), at(10.0, y)]))
            .collect();
        if upwards {
            rows.reverse();
        }
        let mut design = lines(&rows);
        for (object, (_, [from, _])) in design.objects.iter_mut().zip(&rows) {
            // No thread lies loose from row to row.
            let mut cut = StitchList::new();
            cut.trim(*from);
            let sewn = std::mem::replace(&mut object.stitches, cut.into_blocks());
            object.stitches.extend(sewn);
        }
        let picture = drawn(&design, &plain(50.0));
        let mut sum = 0;
        for i in 0..200 {
            sum += u32::from(picture.at(10.0, 7.0 + f64::from(i) * 0.02)[0]);
        }
        f64::from(sum) / 200.0
    };
    let (down, up) = (rows(false), rows(true));
    assert!((down - up).abs() < 2.0, "{down} {up}");
}

#[test]
fn marks_and_trims_are_seen() {
    let design = design("Owl", |list| {
        list.needle(StitchRole::Cover, at(0.0, 0.0));
        list.needle(StitchRole::Cover, at(5.0, 0.0));
        list.trim(at(5.0, 10.0));
        list.needle(StitchRole::Cover, at(5.0, 10.0));
        list.needle(StitchRole::Cover, at(0.0, 10.0));
    });
    let options = PreviewOptions {
        trims: true,
        ..plain(30.0)
    };
    let (without, with) = (drawn(&design, &plain(30.0)), drawn(&design, &options));
    let differs = |x: f64, y: f64| with.at(x, y) != without.at(x, y);
    // The cross has arms along both diagonals, and nothing straight above its middle.
    assert!(differs(10.1, 5.1) && differs(9.9, 5.1) && differs(10.1, 4.9));
    assert!(!differs(10.0, 5.6), "a cross, not a plus");
    // The ring has nothing in its middle.
    assert!(!differs(10.0, 15.0) && differs(10.0, 15.0 - 0.7 * 0.2));
    for severity in [Severity::Note, Severity::Warning, Severity::Error] {
        let options = PreviewOptions {
            scale: Some(30.0),
            ..marked(severity, 12)
        };
        let marked = drawn(&design, &options);
        let bare = drawn(&design, &plain(30.0));
        let changed = marked
            .colours
            .iter()
            .zip(&bare.colours)
            .filter(|(a, b)| a != b);
        assert!(changed.count() > 100, "{severity:?}");
    }
}

#[test]
fn the_same_design_gives_the_same_bytes() {
    let rows: Vec<_> = (0..50)
        .map(|i| {
            (
                RED,
                [at(0.0, f64::from(i) * 0.2), at(9.0, f64::from(i) * 0.21)],
            )
        })
        .collect();
    let options = PreviewOptions {
        needle_points: true,
        trims: true,
        travel: true,
        ..PreviewOptions::default()
    };
    let first = png(&lines(&rows), &options).expect("it is drawn");
    assert_eq!(first, png(&lines(&rows), &options).expect("it is drawn"));
}

#[test]
fn nothing_one_point_and_one_stitch_are_pictures_too() {
    let one_point = design("Owl", |list| list.needle(StitchRole::Cover, at(3.0, 3.0)));
    let tiny = lines(&[(RED, [at(0.0, 0.0), at(0.001, 0.0)])]);
    for design in [design("Owl", |_| {}), one_point, tiny] {
        for margin in [0.0, 5.0] {
            let options = PreviewOptions {
                margin,
                travel: true,
                trims: true,
                needle_points: true,
                ..PreviewOptions::default()
            };
            let picture = drawn(&design, &options);
            assert!(picture.width >= 30 && picture.height >= 30);
            assert!(picture.width <= 2000 && picture.height <= 2000);
        }
    }
}

#[test]
fn huge_and_unsound_coordinates_stay_in_bounds() {
    let far = lines(&[
        (RED, [at(-10_000.0, -10_000.0), at(10_000.0, 10_000.0)]),
        (BLUE, [at(f64::NAN, 0.0), at(f64::INFINITY, 3.0)]),
    ]);
    let wide = lines(&[(RED, [at(-1e12, 0.0), at(1e12, 1.0)])]);
    for design in [far, wide] {
        for scale in [None, Some(200.0)] {
            let options = PreviewOptions {
                scale,
                needle_points: true,
                travel: true,
                ..PreviewOptions::default()
            };
            let picture = read(&png(&design, &options).unwrap_or_else(|e| panic!("{e:?}")));
            assert!(picture.width <= 8000 && picture.height <= 8000);
            assert!(picture.colours.len() <= 16_100_000);
            assert!(svg(&design, &options).starts_with("<svg"));
        }
    }
}
