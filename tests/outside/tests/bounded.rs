//! Files that would keep a careless reader busy for ever, or break its stack or memory: read or refused,
//! with a reason, and no more is told than anybody reads. That these tests end is what they show.

use hoopwright_outside::{
    Subject, design, dst, lock, machine, pack, part, pipeline, rack, step, svg, trust,
};

fn holds(subject: &Subject, file: &str) {
    let wrongs = (subject.wrongs)(file.as_bytes());
    let begin: String = file.chars().take(80).collect();
    assert!(
        wrongs.is_empty(),
        "{}: {begin}…\n{wrongs:.2000?}",
        subject.name
    );
}

const OF_JSON: [&Subject; 7] = [
    &design::SUBJECT,
    &lock::SUBJECT,
    &machine::SUBJECT,
    &part::SUBJECT,
    &pipeline::SUBJECT,
    &rack::SUBJECT,
    &trust::SUBJECT,
];

#[test]
fn json_as_deep_as_it_goes() {
    for subject in OF_JSON {
        holds(subject, &"[".repeat(100_000));
        holds(subject, &"{\"steps\":".repeat(100_000));
        holds(subject, &format!("{}{}", "[".repeat(120), "]".repeat(120)));
        holds(
            subject,
            &format!("{{\"steps\":{}{}}}", "[".repeat(120), "]".repeat(120)),
        );
    }
}

#[test]
fn json_with_numbers_that_are_none() {
    for subject in OF_JSON {
        for number in [
            "1e400", "-1e400", "0x", "0x10", "01", ".5", "1e", "NaN", "-",
        ] {
            for name in [
                "steps", "form", "threads", "objects", "page", "speed", "keys",
            ] {
                holds(subject, &format!("{{\"{name}\":{number}}}"));
            }
        }
        let digits = format!("{{\"form\":{}}}", "9".repeat(1_000_000));
        holds(subject, &digits);
    }
}

/// Every problem is pointed at, which takes as long as the file is: of very many only the first are.
#[test]
fn json_in_which_nothing_is_right() {
    let many = "1,".repeat(100_000);
    let objects = "{\"shape\":5},".repeat(20_000);
    for subject in OF_JSON {
        for name in ["steps", "threads", "objects", "hoops"] {
            holds(subject, &format!("{{\"{name}\":[{many}1]}}"));
        }
        holds(
            subject,
            &format!("{{\"objects\":[{objects}1],\"threads\":[{objects}1]}}"),
        );
        let twice = "\"a\":1,".repeat(50_000);
        holds(subject, &format!("{{{twice}\"a\":1}}"));
        let names: String = (0..30_000).map(|i| format!("\"a{i}\":1,")).collect();
        holds(subject, &format!("{{{names}\"z\":1}}"));
        holds(subject, &format!("{{\"{}\":1}}", "long".repeat(1_000_000)));
    }
    let steps = "{\"step\":\"owl\"},".repeat(9_000);
    holds(&pipeline::SUBJECT, &format!("{{\"steps\":[{steps}1]}}"));
}

#[test]
fn racks_in_which_nothing_is_right() {
    let rows = "1,Barn,#no\n".repeat(200_000);
    holds(&rack::SUBJECT, &format!("code,name,colour\n{rows}"));
    holds(
        &rack::SUBJECT,
        &format!("code,name,colour\n{}", "\"".repeat(1_000_001)),
    );
    holds(&rack::SUBJECT, &",".repeat(1_000_000));
    holds(&rack::SUBJECT, &"\n\"a\"b".repeat(200_000));
    let threads = r##"{"code":"1","name":"Barn","colour":"#no"},"##.repeat(100_000);
    holds(
        &rack::SUBJECT,
        &format!("{{\"name\":\"\",\"threads\":[{threads}1]}}"),
    );
}

fn page(inner: &str) -> String {
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' \
         width='90mm' height='90mm' viewBox='0 0 90 90'>{inner}</svg>"
    )
}

#[test]
fn artwork_as_deep_as_it_goes() {
    for tag in [
        "g", "svg", "symbol", "switch", "defs", "a", "clipPath", "pattern", "mask", "text",
    ] {
        let open = format!("<{tag}>").repeat(100_000);
        let close = format!("</{tag}>").repeat(100_000);
        holds(
            &svg::SUBJECT,
            &page(&format!("{open}<path d='M0 0h9v9z'/>{close}")),
        );
        holds(&svg::SUBJECT, &page(&open));
    }
    let chain: String = (0..5_000)
        .map(|i| {
            format!(
                "<clipPath id='c{i}' clip-path='url(#c{})'><path d='M0 0h9v9z'/></clipPath>",
                i + 1
            )
        })
        .collect();
    holds(
        &svg::SUBJECT,
        &page(&format!(
            "{chain}<path clip-path='url(#c0)' d='M0 0h9v9z'/>"
        )),
    );
}

#[test]
fn artwork_that_grows_when_it_is_read() {
    let uses: String = (0..40)
        .map(|i| {
            format!(
                "<g id='u{}'>{}</g>",
                i + 1,
                format!("<use href='#u{i}'/>").repeat(10)
            )
        })
        .collect();
    holds(
        &svg::SUBJECT,
        &page(&format!("<path id='u0' d='M0 0h9v9z'/>{uses}")),
    );
    for endless in [
        "<g id='a'><use href='#a'/></g>",
        "<g id='a'><use href='#b'/></g><g id='b'><use href='#a'/></g>",
        "<pattern id='a' width='9' height='9'><path d='M0 0h9v9z' fill='url(#a)'/></pattern><path d='M0 0h9v9z' fill='url(#a)'/>",
        "<linearGradient id='a' href='#b'/><linearGradient id='b' href='#a'/><path d='M0 0h9v9z' fill='url(#a)'/>",
    ] {
        holds(&svg::SUBJECT, &page(endless));
    }
    let entities: String = (1..12)
        .map(|i| format!("<!ENTITY e{i} '{}'>", format!("&e{};", i - 1).repeat(10)))
        .collect();
    let bomb = format!("<!DOCTYPE svg [<!ENTITY e0 'owl'>{entities}]>");
    holds(
        &svg::SUBJECT,
        &format!(
            "{bomb}{}",
            page("<title>&e11;</title><path d='M0 0h9v9z'/>")
        ),
    );
}

#[test]
fn artwork_of_many_mib() {
    let path = "L1 2 3 4C5 6 7 8 9 1Q2 3 4 5".repeat(1 << 19);
    assert!(path.len() > 10 << 20);
    holds(
        &svg::SUBJECT,
        &page(&format!("<path fill='none' stroke='red' d='M0 0{path}'/>")),
    );
    let numbers = format!(
        "<path stroke='red' d='M0 0L{} 1h{}'/>",
        "9".repeat(1 << 20),
        "1e400 ".repeat(1 << 16)
    );
    holds(&svg::SUBJECT, &page(&numbers));
    let texts = "<text>owl</text><path d='M0 0h9v9z' filter='url(#no)'/>".repeat(20_000);
    holds(&svg::SUBJECT, &page(&texts));
}

/// Dots are discs, which are joined to one region.
#[test]
fn artwork_with_many_dots() {
    for dots in [
        "M1 1h0".repeat(100_000),
        (0..40_000)
            .map(|i| format!("M{} {}h0", i % 90, i % 89))
            .collect(),
    ] {
        holds(
            &svg::SUBJECT,
            &page(&format!(
                "<path d='M0 0h9v9z'/><path stroke='red' stroke-width='9' stroke-linecap='round' d='{dots}'/>"
            )),
        );
    }
}

#[test]
fn artwork_with_many_styles() {
    let rules: String = (0..2_000)
        .map(|i| format!(".a{i} .b,g>.c{i}:first-child{{fill:red}}"))
        .collect();
    let shapes = "<path class='a1 b c2' d='M0 0h9v9z'/>".repeat(1_000);
    holds(
        &svg::SUBJECT,
        &page(&format!("<style>{rules}</style>{shapes}")),
    );
    holds(
        &svg::SUBJECT,
        &page(&format!("<style>{}</style>{shapes}", "a{".repeat(100_000))),
    );
    holds(
        &svg::SUBJECT,
        &page(&format!(
            "<style>/*{}</style>{shapes}",
            "@import ".repeat(100_000)
        )),
    );
}

#[test]
fn machine_files_of_many_mib() {
    let mut header = b"LA:owl             \r".to_vec();
    header.resize(512, b' ');
    for record in [
        [0x01, 0x00, 0x03],
        [0x01, 0x00, 0x83],
        [0x00, 0x00, 0xC3],
        [0xFF, 0xFF, 0xFF],
        [0x05, 0x05, 0x07],
    ] {
        let mut file = header.clone();
        file.extend(record.repeat(500_000));
        let wrongs = (dst::SUBJECT.wrongs)(&file);
        assert!(wrongs.is_empty(), "{record:?}: {wrongs:.2000?}");
    }
    // A stitch and a halt in turn: as many runs as there can be.
    let mut file = header;
    file.extend([0x01, 0x00, 0x03, 0x00, 0x00, 0xC3].repeat(100_000));
    let wrongs = (dst::SUBJECT.wrongs)(&file);
    assert!(wrongs.is_empty(), "{wrongs:.2000?}");
}

#[test]
fn packs_and_steps_of_nothing() {
    for subject in [&pack::SUBJECT, &step::SUBJECT] {
        holds(subject, "");
        holds(subject, &"0".repeat(1 << 20));
    }
    holds(&pack::SUBJECT, &"\0".repeat(1 << 20));
}
