use super::*;
use crate::sandbox::{Limits, Sandbox};
use std::sync::Arc;

/// Every stock step does something to the sample, so that its page shows it; the pages are well-formed,
/// load nothing, and are the same each time.
#[test]
fn every_stock_step_has_a_page_with_pictures() {
    let sandbox = Sandbox::new(Limits::default(), None).expect("a sandbox");
    let plugins = Plugins::stock(Arc::new(sandbox));
    let names: Vec<&str> = plugins.names().collect();
    let pages = pages(&plugins, &names).expect("the stock steps have pages");
    assert!(pages.len() > 10);
    assert_eq!(pages[0].name, "index.html");
    let unseen = pages[1..]
        .iter()
        .filter(|page| !page.html.contains("The sample after the step"));
    assert_eq!(unseen.map(|page| &page.name).collect::<Vec<_>>(), [""; 0]);
    for page in &pages[1..] {
        let link = format!("href=\"{}\"", page.name);
        assert!(pages[0].html.contains(&link), "{}", page.name);
        for loaded in ["<script", "src=", "@import", "url("] {
            assert!(!page.html.contains(loaded), "{} in {}", loaded, page.name);
        }
        for part in page.html.split("<svg").skip(1) {
            let svg = part.split("</svg>").next().unwrap_or_default();
            let svg = format!("<svg{svg}</svg>");
            assert!(roxmltree::Document::parse(&svg).is_ok(), "{}", page.name);
        }
    }
    assert!(super::pages(&plugins, &names).expect("again") == pages);
}
