//! What the SVG says.

use super::*;
use crate::diagnostics::Severity;
use geo::polygon;

#[test]
fn a_stitch_is_drawn_in_true_size() {
    let design = design("Owl", |list| {
        list.needle(StitchRole::Cover, at(0.0, 0.0));
        list.needle(StitchRole::Cover, at(10.0, 0.0));
        list.needle(StitchRole::Cover, at(20.0, 0.555));
    });
    let options = PreviewOptions {
        margin: 2.0,
        ..PreviewOptions::default()
    };
    let svg = svg(&design, &options);
    let start = r##"<svg xmlns="http://www.w3.org/2000/svg" width="24.00mm" height="4.56mm" viewBox="-200 -200 2400 456"><title>Owl</title><path fill="#f0ede5" d="M-200 -200h2400v456h-2400z"/><g fill="none" stroke-linecap="round" stroke-linejoin="round"><g stroke="#b76615" stroke-width="40"><path id="t0" d="M0 0l1000 0 1000 56"/></g>"##;
    assert_eq!(&svg[..start.len().min(svg.len())], start);
}

/// A bar of 10 mm is 1000 units of 0.01 mm.
#[test]
fn the_scale_is_a_bar_of_10_mm() {
    let svg = svg(&design("Owl", |_| {}), &PreviewOptions::default());
    let bar = svg.find(r#"<path class="scale""#).map(|i| &svg[i..]);
    let d = bar.and_then(|bar| bar.split(" d=\"M").nth(1)).unwrap_or("");
    let ends: Vec<i64> = d
        .split(['M', 'L', ' ', '"'])
        .take(4)
        .filter_map(|number| number.parse().ok())
        .collect();
    assert_eq!([ends[2] - ends[0], ends[3] - ends[1]], [1000, 0], "{d}");
}

#[test]
fn jumps_are_dashed_only_when_asked_for() {
    let design = design("Owl", |list| {
        list.needle(StitchRole::Cover, at(0.0, 0.0));
        list.jump(at(10.0, 0.0));
        list.needle(StitchRole::Cover, at(10.0, 0.0));
        list.needle(StitchRole::Cover, at(12.0, 0.0));
    });
    let options = PreviewOptions::default();
    assert!(!svg(&design, &options).contains("dasharray"));
    let options = PreviewOptions {
        travel: true,
        ..options
    };
    let svg = svg(&design, &options);
    assert!(svg.contains(r#"d="M0 0L1000 0""#), "{svg}");
    assert!(svg.contains("dasharray"));
}

/// What the machine does not cut lies on the cloth, and is seen there.
#[test]
fn a_carried_thread_is_drawn_and_a_cut_one_is_not() {
    let lines = |way: fn(&mut StitchList, Coord<f64>)| {
        let design = design("Owl", |list| {
            list.needle(StitchRole::Cover, at(0.0, 0.0));
            list.needle(StitchRole::Cover, at(2.0, 0.0));
            way(list, at(8.0, 0.0));
            list.needle(StitchRole::Cover, at(8.0, 0.0));
            list.needle(StitchRole::Cover, at(10.0, 0.0));
        });
        let layers = plan::layers(&design, 0.4);
        let lines = layers.iter().flat_map(|layer| &layer.lines);
        lines.map(|line| (line[0].x, line[1].x)).collect::<Vec<_>>()
    };
    let sewn = [(0.0, 2.0), (8.0, 10.0)];
    assert_eq!(lines(StitchList::trim), sewn);
    assert_eq!(lines(StitchList::jump), [(2.0, 8.0), sewn[0], sewn[1]]);
}

/// A way that is cut is no jump: it has a cross and a ring, and no line between them.
#[test]
fn a_trim_is_a_cross_and_a_ring() {
    let design = design("Owl", |list| {
        list.needle(StitchRole::Cover, at(0.0, 0.0));
        list.needle(StitchRole::Cover, at(2.0, 0.0));
        list.trim(at(10.0, 0.0));
        list.needle(StitchRole::Cover, at(10.0, 0.0));
        list.needle(StitchRole::Cover, at(12.0, 0.0));
    });
    let options = PreviewOptions {
        travel: true,
        trims: true,
        ..PreviewOptions::default()
    };
    let svg = svg(&design, &options);
    assert!(svg.contains(r#"class="trims""#) && svg.contains(r#"class="starts-again""#));
    assert!(!svg.contains(r#"class="jumps""#), "{svg}");
    let plain = super::svg(&design, &PreviewOptions::default());
    assert!(!plain.contains("trims"));
}

/// How many crosses and rings there are: each figure is drawn on a lighter one of the same name, a
/// cross in two lines.
fn cuts(design: &Design) -> [usize; 2] {
    let options = PreviewOptions {
        trims: true,
        ..PreviewOptions::default()
    };
    let svg = super::svg(design, &options);
    ["trims", "starts-again"].map(|name| {
        let figure = svg.split(&format!(r#"class="{name}""#)).nth(1);
        let path = figure.and_then(|figure| figure.split("/>").next());
        path.map_or(0, |path| path.matches('M').count())
    })
}

/// Two threads that are alike in all are one on the machine: it does not halt between them.
#[test]
fn threads_that_are_alike_are_not_cut() {
    let ends = [[at(0.0, 0.0), at(2.0, 0.0)], [at(2.5, 0.0), at(5.0, 0.0)]];
    assert_eq!(
        cuts(&lines(&ends.map(|ends| ([200, 100, 0], ends)))),
        [0, 0]
    );
    let other = [([200, 100, 0], ends[0]), ([0, 100, 0], ends[1])];
    assert_eq!(cuts(&lines(&other)), [2, 1]);
}

/// A record tells 12.1 mm along an axis (published layout), so that 50 mm are four jumps and a
/// stitch: more than the three jumps that make most machines cut (common practice).
#[test]
fn a_way_that_is_cut_by_its_length_is_marked() {
    let jumped = |length: f64| {
        cuts(&design("Owl", |list| {
            list.needle(StitchRole::Cover, at(0.0, 0.0));
            list.needle(StitchRole::Cover, at(2.0, 0.0));
            list.jump(at(2.0 + length, 0.0));
            list.needle(StitchRole::Cover, at(2.0 + length, 0.0));
        }))
    };
    assert_eq!(jumped(20.0), [0, 0]);
    assert_eq!(jumped(50.0), [2, 1]);
}

#[test]
fn underlay_is_drawn_whole_before_its_cover() {
    let design = design("Owl", |list| {
        list.needle(StitchRole::Underlay, at(0.0, 0.0));
        list.needle(StitchRole::Underlay, at(1.0, 0.0));
        list.needle(StitchRole::Cover, at(1.0, 1.0));
        list.needle(StitchRole::Cover, at(1.0, 3.0));
    });
    let svg = svg(&design, &PreviewOptions::default());
    // The cover goes on where the underlay ended.
    let underlay = svg.find(r##"d="M0 0l100 0"/></g><use"##);
    let cover = svg.find(r##"d="M100 0l0 100 0 200"/></g><use"##);
    assert!(underlay.is_some() && underlay < cover, "{svg}");
}

/// Satin of 3 mm at density 0.4: each stitch turns by 8 degrees against the one before, and all
/// are one piece in one light.
#[test]
fn satin_stays_one_piece() {
    let design = design("Owl", |list| {
        for i in 0..40 {
            let y = f64::from(i) * 0.2;
            list.needle(StitchRole::Cover, at(if i % 2 == 0 { 0.0 } else { 3.0 }, y));
        }
    });
    let svg = svg(&design, &PreviewOptions::default());
    assert_eq!(svg.matches("<use").count(), 1, "{svg}");
}

#[test]
fn light_depends_on_the_direction() {
    let design = design("Owl", |list| {
        list.needle(StitchRole::Cover, at(0.0, 0.0));
        list.needle(StitchRole::Cover, at(5.0, 5.0));
        list.needle(StitchRole::Cover, at(10.0, 0.0));
    });
    let svg = svg(&design, &PreviewOptions::default());
    let colours: Vec<&str> = svg
        .split("<use")
        .skip(1)
        .filter_map(|piece| piece.split("stroke=\"").nth(1)?.get(..7))
        .collect();
    assert_eq!(colours.len(), 2);
    assert_ne!(colours[0], colours[1]);
}

#[test]
fn titles_cannot_leave_their_element() {
    let svg = svg(
        &design("</title><script>alert(1)</script>\u{0}&", |_| {}),
        &PreviewOptions::default(),
    );
    assert!(!svg.contains("<script>"));
    assert!(svg.contains("&lt;script&gt;alert(1)&lt;/script&gt;&amp;</title>"));
    assert!(roxmltree::Document::parse(&svg).is_ok());
}

#[test]
fn an_empty_design_shows_its_page() {
    let svg = svg(&design("Owl", |_| {}), &PreviewOptions::default());
    assert!(svg.contains(r#"width="40.00mm" height="30.00mm""#));
}

#[test]
fn each_severity_has_a_shape_of_its_own() {
    let shapes: Vec<usize> = [Severity::Note, Severity::Warning, Severity::Error]
        .iter()
        .map(|severity| {
            let svg = svg(&design("Owl", |_| {}), &marked(*severity, 7));
            let plate = svg.split("fill=\"#ffffff\"").nth(1).unwrap_or("");
            let path = plate.split(" d=\"").nth(1).unwrap_or("");
            path.split('"')
                .next()
                .unwrap_or("")
                .matches(['M', 'L'])
                .count()
        })
        .collect();
    // A circle of many corners, a triangle, a square.
    assert_eq!(shapes, [24, 3, 4]);
}

#[test]
fn gaps_are_hatched() {
    let gap = polygon![(x: 2.0, y: 2.0), (x: 12.0, y: 2.0), (x: 12.0, y: 8.0), (x: 2.0, y: 8.0)];
    let options = PreviewOptions {
        overlay: Overlay {
            gaps: geo::MultiPolygon(vec![gap]),
            ..Overlay::default()
        },
        ..PreviewOptions::default()
    };
    let svg = svg(&design("Owl", |_| {}), &options);
    let gaps = svg.split(r#"class="gaps""#).nth(1).unwrap_or("");
    let lines = gaps.split("/>").next().unwrap_or("").matches('M').count();
    // Lines of x + y, 0.8 hundredths of 40 mm apart, from 4 to 20.
    assert!((48..=51).contains(&lines), "{lines}");
}
