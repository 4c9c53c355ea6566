//! The judgement as a whole.

use super::designs::{at, manual, of, rows};
use super::*;
use crate::design::{Object, Shape, StitchRole};
use crate::diagnostics::Severity;
use proptest::prelude::*;

fn judged(design: &Design, machine: &Machine) -> Report {
    let route = Route::plan(design, machine).map_or_else(|_| Route::default(), |(route, _)| route);
    judge(design, &route, machine, Fabric::Woven)
}

/// Every measure is there once, in order, with a finite value or a reason.
fn whole(report: &Report) {
    let measures: Vec<Measure> = report.measures.iter().map(|m| m.measure).collect();
    assert_eq!(measures, Measure::ALL);
    for measured in &report.measures {
        match measured.value {
            Some(value) => assert!(value.is_finite() && value >= 0.0, "{measured:?}"),
            None => assert!(measured.remark.is_some(), "{measured:?}"),
        }
    }
    for (i, finding) in report.findings.iter().enumerate() {
        assert_eq!(finding.number, i + 1);
        assert!(finding.value.is_finite() && finding.value > finding.limit);
    }
    assert!(serde_json::to_string(report).is_ok());
}

#[test]
fn an_empty_design_and_one_of_nothing_but_jumps_have_no_findings() {
    let empty = of(Vec::new());
    let jumps = manual(&[("a", 0)], |_, list| {
        for x in 0..50 {
            list.jump(at(f64::from(x) * 3.0, 0.0));
            list.trim(at(f64::from(x) * 3.0, 5.0));
        }
    });
    let unsewn = of(vec![Object::new("a", Shape::Manual)]);
    for design in [empty, jumps, unsewn] {
        let report = judged(&design, &Machine::default());
        whole(&report);
        assert_eq!(report.findings, []);
    }
}

#[test]
fn an_unsound_design_is_not_measured() {
    let mut design = rows(5, 4.0, 0.2, 20);
    design.objects[0].stitches[0].x[3] = f64::NAN;
    let report = judged(&design, &Machine::default());
    whole(&report);
    assert!(report.measures.iter().all(|m| m.value.is_none()));
}

#[test]
fn the_worst_comes_first_and_has_its_mark() {
    let design = manual(&[("loose", 0), ("loop", 0)], |place, list| {
        let y = 10.0 * place as f64;
        list.trim(at(0.0, y));
        list.needle(StitchRole::Cover, at(0.0, y));
        list.needle(StitchRole::Cover, at([10.0, 15.0][place], y));
        list.needle(StitchRole::Cover, at([0.0, 3.0][place], y + 1.0));
    });
    let report = judged(&design, &Machine::default());
    whole(&report);
    let told: Vec<_> = report
        .findings
        .iter()
        .map(|f| (f.severity, f.measure.name(), f.object.as_deref(), f.places))
        .collect();
    assert_eq!(
        told,
        [
            (Severity::Error, "loose-stitches", Some("loop"), 2),
            (Severity::Warning, "trim-rate", None, 1),
            (Severity::Warning, "loose-stitches", Some("loose"), 2),
            (Severity::Warning, "long-moves", Some("loop"), 1),
        ]
    );
    let marks: Vec<_> = report.marks().collect();
    assert_eq!(marks.len(), 3, "what is about the whole design has none");
    assert_eq!(marks[0], (at(7.5, 10.0), Severity::Error, 1));
    let text = report.to_string();
    let lines = [
        "errors",
        "warnings",
        "measures of the whole design",
        "not taken",
    ];
    let places: Vec<_> = lines.iter().map(|line| text.find(line)).collect();
    assert!(
        places.iter().all(Option::is_some) && places.is_sorted(),
        "{text}"
    );
    let headlines = report.headlines();
    assert_eq!(
        headlines.len(),
        4,
        "an error and a warning of one measure are two"
    );
    let diagnostics = report.diagnostics();
    assert_eq!(diagnostics[0].code, "loose-stitches");
    assert!(diagnostics[0].message.starts_with("finding 1:"));
}

#[test]
fn the_shop_s_limits_decide() {
    let design = rows(5, 4.0, 0.2, 100);
    let mut machine = Machine::default();
    let heaps = |machine: &Machine| {
        let report = judged(&design, machine);
        let heaps = report
            .findings
            .iter()
            .find(|f| f.measure == Measure::ThreadHeaps);
        heaps.map(|finding| (finding.severity, finding.limit))
    };
    assert_eq!(heaps(&machine), None);
    machine.limits.thread_heaps.warning = Some(3.0);
    assert_eq!(heaps(&machine), Some((Severity::Warning, 3.0)));
    machine.limits.thread_heaps.error = Some(4.0);
    assert_eq!(heaps(&machine), Some((Severity::Error, 4.0)));
}

/// The stock step trims from 5 mm on and the warning begins at 3: what helps is the step's setting,
/// and what it costs is the machine's own.
#[test]
fn a_tail_names_the_setting_that_trims_it_and_the_price() {
    let design = manual(&[("a", 0)], |_, list| {
        for y in [0.0, 4.5] {
            list.jump(at(0.0, y));
            list.needle(StitchRole::Cover, at(0.0, y));
            list.needle(StitchRole::Cover, at(3.0, y));
        }
    });
    let machine = Machine {
        seconds_per_trim: 9.5,
        ..Machine::default()
    };
    let report = judged(&design, &machine);
    let tails = report.findings.iter().find(|f| f.measure == Measure::Tails);
    let help = tails.map_or("", |finding| finding.help.as_str());
    assert!(
        help.contains("ties-and-trims a smaller trim-over"),
        "{help}"
    );
    assert!(help.contains("about 9.5 s"), "{help}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Whatever is sewn, nothing panics and no value is without meaning.
    #[test]
    fn any_sound_design_is_judged(
        steps in prop::collection::vec((0u8..10, -200.0..200.0f64, -200.0..200.0f64), 0..60),
    ) {
        let design = manual(&[("a", 0), ("b", 1)], |place, list| {
            for (i, &(kind, x, y)) in steps.iter().enumerate() {
                if i % 2 != place {
                    continue;
                }
                match kind {
                    0 => list.trim(at(x, y)),
                    1 => list.jump(at(x, y)),
                    2 => list.needle(StitchRole::Tie, at(x, y)),
                    3 => list.needle(StitchRole::Travel, at(x, y)),
                    _ => list.needle(StitchRole::Cover, at(x, y)),
                }
            }
        });
        whole(&judged(&design, &Machine::default()));
    }
}
