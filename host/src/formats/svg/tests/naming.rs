//! Ids, names, tags, colours and threads.

use super::*;

#[test]
fn classes_and_styles_colour_and_tag() {
    let artwork = drawn(
        r##"<style>.feather { fill: #5a4632 }</style>
        <g id="wing" class="left side"><path id="quill" class="feather" d="M0 0h10v10z"/>
        <path style="fill:#27405e" fill="#ffffff" d="M20 0h10v10z"/></g>"##,
    );
    let [quill, other] = &artwork.design.objects[..] else {
        panic!("two objects");
    };
    assert_eq!(quill.id, "quill");
    for tag in ["quill", "feather", "wing", "left", "side"] {
        assert!(
            quill.tags.iter().any(|own| own == tag),
            "{tag} in {:?}",
            quill.tags
        );
    }
    let colour = |object: &Object| {
        let thread = &artwork.design.threads[object.thread as usize];
        [thread.red, thread.green, thread.blue]
    };
    assert_eq!(colour(quill), [0x5a, 0x46, 0x32]);
    assert_eq!(
        colour(other),
        [0x27, 0x40, 0x5e],
        "a style wins over an attribute"
    );
}

#[test]
fn fill_and_stroke_are_two_objects_in_paint_order() {
    let both = r#"<rect id="tile" width="9" height="9" fill="red" stroke="black" {}/>"#;
    let ids = |artwork: &Reading| -> Vec<String> {
        artwork
            .design
            .objects
            .iter()
            .map(|object| object.id.clone())
            .collect()
    };
    let usual = drawn(&both.replace("{}", ""));
    assert_eq!(ids(&usual), ["tile-fill", "tile-stroke"]);
    let turned = drawn(&both.replace("{}", r#"paint-order="stroke""#));
    assert_eq!(ids(&turned), ["tile-stroke", "tile-fill"]);
}

#[test]
fn what_is_used_twice_is_two_objects() {
    let artwork = drawn(
        r##"<defs><path id="star" d="M0 0h4v4z"/></defs>
        <use id="first" href="#star" x="10"/><use id="second" xlink:href="#star" x="30"/>"##,
    );
    let ids: Vec<&str> = artwork
        .design
        .objects
        .iter()
        .map(|object| object.id.as_str())
        .collect();
    assert_eq!(ids, ["first", "second"]);
}

#[test]
fn groups_titles_and_labels_tag_what_they_hold() {
    let artwork = drawn(
        r#"<g xmlns:draw="urn:some-program" id="head" draw:label="Owl's head"><title>Front</title>
        <g class="eyes"><circle aria-label="left eye" cx="20" cy="20" r="5"/></g></g>"#,
    );
    let eye = &artwork.design.objects[0];
    assert_eq!(eye.id, "circle-1");
    assert_eq!(eye.name, "left eye");
    assert_eq!(
        eye.tags,
        ["left eye", "eyes", "head", "Front", "Owl's head"]
    );
}

#[test]
fn a_use_gives_its_name_and_tags_to_what_it_shows() {
    let artwork = drawn(
        r##"<defs><g id="eye" class="round"><circle id="white" r="5" fill="white"/>
        <circle class="pupil" r="2"/></g></defs>
        <g id="face"><use id="left" class="bright" href="#eye" x="20" y="20"/>
        <use href="#eye" x="40" y="20"/></g>"##,
    );
    assert_eq!(
        ids(&artwork),
        [
            "left-white",
            "left-circle-2",
            "use-2-white",
            "use-2-circle-2"
        ]
    );
    assert_eq!(
        artwork.design.objects[1].tags,
        ["pupil", "eye", "round", "left", "bright", "face"]
    );
    let centres: Vec<f64> = artwork
        .design
        .objects
        .iter()
        .filter_map(|object| Some(object.shape_bounds()?.center().x))
        .collect();
    for (centre, expected) in centres.iter().zip([20.0, 20.0, 40.0, 40.0]) {
        near(*centre, expected, 1e-3);
    }
}

#[test]
fn a_symbol_is_scaled_into_its_use_and_a_use_may_show_a_use() {
    let artwork = drawn(
        r##"<symbol id="leaf" viewBox="0 0 10 10"><path class="blade" d="M0 0h10v10h-10z"/></symbol>
        <use id="twig" href="#leaf" x="10" y="10" width="20" height="20"/>
        <g transform="translate(50 0)"><use id="branch" class="far" href="#twig"/></g>"##,
    );
    assert_eq!(ids(&artwork), ["twig-path-1", "branch-twig-path-1"]);
    for object in &artwork.design.objects {
        near(area(object), 400.0, 0.01);
    }
    assert_eq!(
        artwork.design.objects[1].tags,
        ["blade", "leaf", "twig", "branch", "far"]
    );
    let bounds = artwork.design.objects[1].shape_bounds().expect("corners");
    near(bounds.min().x, 60.0, 1e-3);
}

/// The numbers that tell usvg's paths apart win over any rule, and change none.
#[test]
fn the_strongest_style_rule_does_not_mix_up_elements() {
    let artwork = drawn(
        r##"<style>* { fill: #000003 !important; opacity: 0.0000007 ! important }
        .gone { display: none !important }</style>
        <rect id="a" width="5" height="5"/><rect class="gone" id="b" style="display:inline" width="5" height="5"/>
        <rect id="c" style="fill:red !important" width="5" height="5"/>"##,
    );
    assert_eq!(ids(&artwork), ["a", "c"]);
    assert_eq!(colour(&artwork, &artwork.design.objects[0]), [0, 0, 3]);
}

#[test]
fn ids_stay_unique_and_the_artworks_own_come_first() {
    let artwork = drawn(
        r#"<path d="M0 0h9v9z"/><rect id="path-1" width="9" height="9"/><rect id="path-1" width="9" height="9"/>
        <rect id="leaf" x="9" y="9" width="9" height="9" stroke="red"/><rect id="leaf-fill" width="9" height="9"/>"#,
    );
    assert_eq!(
        ids(&artwork),
        [
            "path-1-2",
            "path-1",
            "path-1-3",
            "leaf-2-fill",
            "leaf-2-stroke",
            "leaf-fill"
        ]
    );
    assert_eq!(codes(&artwork, Severity::Note), ["repeated-id"]);
}

#[test]
fn threads_are_the_colours_in_order_of_use() {
    let artwork = drawn(
        r##"<g fill="#5a4632"><path d="M0 0h9v9z"/><path fill="white" d="M0 0h9v9z"/></g>
        <path fill="rgb(90,70,50)" d="M0 0h9v9z"/><path color="hsl(0,100%,50%)" fill="currentColor" d="M0 0h9v9z"/>
        <path fill="none" d="M0 0h9v9z"/>"##,
    );
    let threads: Vec<_> = artwork
        .design
        .threads
        .iter()
        .map(|thread| (thread.name.as_str(), thread.code.as_str(), thread.weight))
        .collect();
    assert_eq!(
        threads,
        [("#5a4632", "", 40), ("white", "", 40), ("red", "", 40)]
    );
    let used: Vec<u32> = artwork.design.objects.iter().map(|o| o.thread).collect();
    assert_eq!(used, [0, 1, 0, 2]);
}

#[test]
fn the_title_is_the_drawings_or_the_files() {
    assert_eq!(drawn(r#"<rect width="9" height="9"/>"#).design.title, "art");
    let titled = drawn("<title> Barn\n owl </title><rect width='9' height='9'/>");
    assert_eq!(titled.design.title, "Barn owl");
}

#[test]
fn entities_may_hold_colours_and_elements() {
    let text = r#"<!DOCTYPE svg [<!ENTITY brown "fill:#5a4632"><!ENTITY eye "<circle r='5' cx='9' cy='9'/>">]>
        <svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="0 0 50 50">
        <path id="wing" style="&brown;" d="M0 0h9v9z"/>&eye;<g id="right">&eye;</g></svg>"#;
    let artwork = try_read(text, Scale::AsDrawn).expect("it can be read");
    assert_eq!(ids(&artwork), ["wing", "circle-1", "circle-2"]);
    assert_eq!(artwork.design.objects[2].tags, ["right"]);
    assert_eq!(colour(&artwork, &artwork.design.objects[0]), [90, 70, 50]);
}
