//! The pages, each one file that loads nothing.

use super::diagram;
use super::markdown::to_html;
use super::sample::Seen;
use crate::fingerprint::Fingerprint;
use crate::plugins::settings;
use crate::sandbox::{Kind, Plugin};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest as _, Sha256};
use std::sync::Arc;

const STYLE: &str = include_str!("style.css");

/// The file that a step's page stands in.
pub(super) fn file_name(plugin: &Plugin) -> String {
    format!("{}.html", plugin.name)
}

/// A list of the steps, with links to their pages.
pub(super) fn index(steps: &[Arc<Plugin>]) -> String {
    let kinds = [
        (Kind::Object, "Steps that see one object at a time"),
        (Kind::Design, "Steps that see the whole design"),
    ];
    frame(
        "The steps",
        &html! {
            h1 { "The steps" }
            @for (kind, heading) in kinds {
                @let of_kind: Vec<_> = steps.iter().filter(|step| step.kind == kind).collect();
                @if !of_kind.is_empty() {
                    h2 { (heading) }
                    dl {
                        @for step in of_kind {
                            dt { a href=(file_name(step)) { (step.name) } }
                            dd { (step.summary) }
                        }
                    }
                }
            }
        },
    )
}

/// A step's page.
pub(super) fn of(plugin: &Plugin, seen: &Seen) -> String {
    frame(
        &plugin.name,
        &html! {
            nav { a href="index.html" { "All steps" } }
            h1 { (plugin.name) }
            p.summary { (plugin.summary) }
            (pictures(seen))
            (PreEscaped(to_html(&plugin.manual)))
            h2 { "Settings" }
            (table(plugin))
            h2 { "In a pipeline" }
            pre { code { (entry(plugin, seen)) } }
            footer {
                p {
                    "Version " (plugin.version) ", contract " (plugin.contract) ", "
                    @match plugin.kind {
                        Kind::Object => "sees one object at a time.",
                        Kind::Design => "sees the whole design.",
                    }
                }
                p { "SHA-256 " code { (Fingerprint(plugin.digest)) } }
            }
        },
    )
}

fn pictures(seen: &Seen) -> Markup {
    let Seen::Changed {
        before,
        after,
        settings,
    } = seen
    else {
        return html! {
            p.unseen {
                @match seen {
                    Seen::Refused(why) => { "Of the sample of this manual it says: " (why) }
                    _ => "It leaves the sample of this manual as it is.",
                }
            }
        };
    };
    let Some(around) = diagram::frame([before, after]) else {
        return html! {};
    };
    html! {
        div.pictures {
            figure {
                (PreEscaped(diagram::draw(before, around, "The sample before the step")))
                figcaption { "Before" }
            }
            figure {
                (PreEscaped(diagram::draw(after, around, "The sample after the step")))
                figcaption {
                    "After"
                    @if settings.trim() != "{}" { ", with " code { (settings.trim()) } }
                }
            }
        }
        p.key {
            "Numbers tell the sewing order and stand where an object begins. Underlay is thin, travel \
             dashed, a jump dotted, a tie red, a trim crossed. Blue lines are direction marks, or \
             an angle of an object's own; a green ring is an asked start, a red one an asked finish."
        }
    }
}

fn table(plugin: &Plugin) -> Markup {
    let settings = settings(plugin);
    if settings.is_empty() {
        return html! { p { "It has none." } };
    }
    html! {
        table {
            thead { tr { th { "Setting" } th { "Range and default" } th { "Meaning" } } }
            tbody {
                @for setting in settings {
                    tr {
                        th scope="row" { code { (setting.name) } }
                        td { (setting.bounds) }
                        td {
                            (PreEscaped(to_html(&setting.description)))
                            @if !setting.choices.is_empty() {
                                ul {
                                    @for (word, meaning) in setting.choices {
                                        li { code { (word) } " " (meaning) }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The step as it stands in a pipeline, with the settings of the picture.
fn entry(plugin: &Plugin, seen: &Seen) -> String {
    match seen {
        Seen::Changed { settings, .. } if settings.trim() != "{}" => format!(
            "{{ \"step\": \"{}\", \"settings\": {} }}",
            plugin.name,
            settings.trim()
        ),
        _ => format!("{{ \"step\": \"{}\" }}", plugin.name),
    }
}

fn frame(title: &str, body: &Markup) -> String {
    let style = STANDARD.encode(Sha256::digest(STYLE));
    let policy = format!(
        "default-src 'none'; style-src 'sha256-{style}'; base-uri 'none'; form-action 'none'"
    );
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body { main { (body) } }
        }
    }
    .into_string()
        + "\n"
}
