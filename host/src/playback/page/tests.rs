use super::*;
use crate::design::{Object, Shape, StitchList, StitchRole, Thread};
use geo::Coord;
use serde_json::Value;

/// A name that would end the element it stands in, and begin others.
const HOSTILE: &str = "</script></style></title><!--<script>alert(1)</script><img src=x onerror=alert(1)>&\"'\u{2028}{{script}}";

fn design(title: &str) -> Design {
    let objects = [0, 1].map(|place: u32| {
        let mut list = StitchList::new();
        let x = f64::from(place) * 20.0;
        for step in 0..5 {
            let y = f64::from(step) * 2.0;
            list.needle(StitchRole::Cover, Coord { x, y });
        }
        list.trim(Coord { x: x + 9.0, y: 0.0 });
        list.needle(StitchRole::Cover, Coord { x: x + 9.0, y: 0.0 });
        list.needle(StitchRole::Cover, Coord { x: x + 9.0, y: 2.0 });
        let mut object = Object::new(&format!("{title}{place}"), Shape::Manual);
        object.thread = place;
        object.stitches = list.into_blocks();
        object
    });
    let mut design = Design::on_page(40.0, 20.0, objects.into());
    design.title = title.to_owned();
    design.threads = [1, 2].map(|_| thread(title)).into();
    design.threads[1].red = 9;
    design
}

fn thread(name: &str) -> Thread {
    Thread {
        name: name.to_owned(),
        code: name.to_owned(),
        red: 200,
        green: 100,
        blue: 0,
        weight: 40,
    }
}

fn page(title: &str) -> String {
    let machine = Machine::default();
    // No way is planned through a design that is named so, but a page must hold whatever it is given.
    let (route, _) = Route::plan(&design("Owl"), &machine).expect("sound");
    let design = design(title);
    let artwork = Artwork {
        svg: format!("<svg xmlns=\"http://www.w3.org/2000/svg\"><desc>{title}</desc></svg>"),
        left: 0.0,
        top: 0.0,
        width: 40.0,
        height: 20.0,
    };
    html(&design, &route, &machine, Some(&artwork))
}

/// What stands between an opening tag and the first thing that closes its element.
fn inside<'a>(page: &'a str, open: &str, close: &str) -> &'a str {
    let rest = page.split_once(open).expect(open).1;
    rest.split_once(close).expect(close).0
}

fn story(page: &str) -> Value {
    let text = inside(
        page,
        "<script type=\"application/json\" id=\"story\">",
        "</script>",
    );
    serde_json::from_str(text).expect("JSON")
}

#[test]
fn names_cannot_leave_their_element() {
    let page = page(HOSTILE);
    let plain = self::page("Owl");
    for tag in [
        "<script", "</script", "<style", "</style", "<img", "<!--", "<title", "onerror=",
    ] {
        let allowed = plain.matches(tag).count();
        // Inside the JSON and the title an attribute is plain text; a tag there is none.
        if tag.starts_with('<') {
            assert_eq!(page.matches(tag).count(), allowed, "{tag}");
        }
    }
    let story = story(&page);
    assert_eq!(story["title"], HOSTILE);
    assert_eq!(story["threads"][1]["name"], HOSTILE);
    assert_eq!(story["objects"][1]["name"], format!("{HOSTILE}1"));
    assert!(
        story["artwork"]["svg"]
            .as_str()
            .is_some_and(|svg| svg.contains(HOSTILE))
    );
    assert!(page.contains("<h1>&lt;/script&gt;"));
    // What names say is not filled in again.
    assert_eq!(page.matches("class Design {").count(), 1);
}

#[test]
fn the_policy_allows_this_script_and_style_and_nothing_from_outside() {
    let page = page("Owl");
    let policy = inside(&page, "Content-Security-Policy\" content=\"", "\"");
    let script = page.rsplit_once("<script>").expect("script").1;
    let script = script.split_once("</script>").expect("end").0;
    let style = inside(&page, "<style>", "</style>");
    assert!(
        policy.starts_with("default-src 'none'; img-src data:; "),
        "{policy}"
    );
    for source in [digest(script), digest(style)] {
        assert!(policy.contains(&source), "{policy}");
    }
    for outside in ["http:", "https:", "unsafe", "*", "'self'"] {
        assert!(!policy.contains(outside), "{policy}");
    }
    // No address but the name space of SVG, which nobody fetches.
    let addresses = page.matches("://").count();
    assert_eq!(
        addresses,
        page.matches("http://www.w3.org/2000/svg").count()
    );
}

#[test]
fn nothing_is_left_to_fill_in() {
    assert!(!page("Owl").contains("{{"));
    assert!(page("  ").contains("<h1>Untitled</h1>"));
}

#[test]
fn the_story_agrees_with_the_worksheet() {
    let (design, machine) = (design("Owl"), Machine::default());
    let written = crate::formats::dst::write(&design, &machine).expect("sound");
    let sheet = crate::worksheet::build(&design, &written, &machine, &Default::default());
    let page = html(&design, &written.route, &machine, None);
    let story = story(&page);
    assert_eq!(story["artwork"], Value::Null);
    assert_eq!(story["machine"]["speed"], sheet.speed);
    assert_eq!(
        story["runs"].as_array().map(Vec::len),
        Some(sheet.runs.len())
    );
    assert_eq!(story["runs"][1]["begins"], "thread-change");
    assert_eq!(story["runs"][1]["first"], story["objects"][1]["first"]);
    assert_eq!(story["objects"][0]["first"], 0);
    let count = story["moves"]["count"].as_u64();
    assert_eq!(count, Some(written.route.records.len() as u64 - 1));
}

#[test]
fn the_same_design_gives_the_same_bytes() {
    assert_eq!(page("Owl"), page("Owl"));
}
