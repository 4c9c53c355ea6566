//! What the program knows of its stock steps, without compiling them, is what they say themselves.

use crate::in_process;
use hoopwright::plugins::Origin;
use hoopwright::sandbox::Plugin;

#[test]
fn stock_steps_say_what_the_program_knows_of_them() {
    let (plugins, _) = in_process::checked("owl/owl.json");
    for name in plugins.names() {
        let known = plugins.find(name).unwrap();
        let origin = Origin::Stock(name.to_owned());
        let asked = Plugin::load(plugins.sandbox(), &known.bytes, origin).unwrap();
        let says = |plugin: &Plugin| {
            let Plugin {
                name,
                version,
                summary,
                manual,
                ..
            } = plugin;
            [name, version, summary, manual].map(String::clone)
        };
        assert_eq!(says(&known), says(&asked));
        assert_eq!(known.schema, asked.schema, "{name}");
        assert_eq!(known.kind, asked.kind, "{name}");
        assert_eq!(known.contract, asked.contract, "{name}");
        assert_eq!(known.digest, asked.digest, "{name}");
    }
}
