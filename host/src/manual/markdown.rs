//! A plugin's Markdown as HTML. A plugin is not to be trusted with a page: no HTML of its own, no
//! pictures, and links only to the web.

use pulldown_cmark::{CodeBlockKind, CowStr, Event, Options, Parser, Tag, TagEnd, html};

/// What the Markdown says, as HTML.
pub(super) fn to_html(markdown: &str) -> String {
    let mut out = String::new();
    let mut depth = 0_usize;
    let events =
        Parser::new_ext(markdown, Options::ENABLE_TABLES).filter_map(|event| match event {
            // Its own HTML is shown as it was written.
            Event::Html(text) | Event::InlineHtml(text) => Some(Event::Text(text)),
            Event::Start(Tag::HtmlBlock) => Some(Event::Start(Tag::Paragraph)),
            Event::End(TagEnd::HtmlBlock) => Some(Event::End(TagEnd::Paragraph)),
            // The words of a picture stay, the picture goes.
            Event::Start(Tag::Image { .. }) | Event::End(TagEnd::Image) => None,
            Event::Start(Tag::Link { ref dest_url, .. }) if !is_web(dest_url) => {
                depth += 1;
                None
            }
            Event::End(TagEnd::Link) if depth > 0 => {
                depth -= 1;
                None
            }
            other => Some(other),
        });
    html::push_html(&mut out, events);
    out
}

fn is_web(address: &CowStr<'_>) -> bool {
    address.starts_with("https://") || address.starts_with("http://")
}

/// The texts of all code blocks that are marked as JSON.
pub(super) fn json_blocks(markdown: &str) -> Vec<String> {
    let mut blocks = Vec::new();
    let mut block: Option<String> = None;
    for event in Parser::new(markdown) {
        match event {
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(language))) => {
                block = (&*language == "json").then(String::new);
            }
            Event::Text(text) => {
                if let Some(block) = &mut block {
                    block.push_str(&text);
                }
            }
            Event::End(TagEnd::CodeBlock) => blocks.extend(block.take()),
            _ => {}
        }
    }
    blocks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_manual_brings_no_html_pictures_or_scripts() {
        let html = to_html(
            "A <b onclick=\"x\">word</b>, ![a wing](http://a.example/w.png), \
             [here](javascript:alert(1)) and [there](https://a.example/).\n\n<script>x</script>\n",
        );
        for evil in ["<b", "<img", "javascript", "<script"] {
            assert!(!html.contains(evil), "{html}");
        }
        assert!(html.contains("a wing"));
        assert!(html.contains("<a href=\"https://a.example/\">there</a>"));
    }

    #[test]
    fn json_blocks_are_found() {
        let manual = "Turn it:\n\n```json\n{ \"turn\": 20 }\n```\n\n```\n{}\n```\n";
        assert_eq!(json_blocks(manual), ["{ \"turn\": 20 }\n"]);
    }
}
