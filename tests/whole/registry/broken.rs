//! Networks that fail, and registries that lie.

use super::faults::{Fault, Network};
use super::server::{Guard, Server};
use super::shop::{Said, Shop, told};
use hoopwright::diagnostics::Diagnostic;
use hoopwright::registry::layout::Artifact;
use hoopwright::registry::store::Store;
use hoopwright::registry::{Connection, Encryption, Patience, Reference, pull, push};
use hoopwright::sandbox::{Limits, Sandbox};
use std::cell::RefCell;
use std::fs;
use std::time::Duration;

/// A registry with the step `region-fill` in it, and its digest.
fn stocked() -> (Server, String) {
    let registry = Server::start(&Guard::Open);
    let pushed = Shop::new().done(&format!(
        "push region-fill {} --json",
        registry.reference("barn/fill:1")
    ));
    (registry, told(&pushed, "sha256"))
}

/// A shop that pulls through a network with faults.
fn pulled_through(network: &Network) -> (Shop, Said) {
    let shop = Shop::new();
    let said = shop.says(&format!("pull {} --json", network.reference("barn/fill:1")));
    (shop, said)
}

fn is_blob(head: &str, digest: &str) -> bool {
    head.starts_with("get ") && head.contains(&format!("blobs/sha256:{digest}"))
}

/// A download that breaks goes on where it stopped: no byte is asked for twice.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_broken_download_goes_on() {
    let (registry, digest) = stocked();
    let wanted = digest.clone();
    let network = Network::before(&registry.address(), move |head, before| {
        match is_blob(head, &wanted) && before < 3 {
            true => Fault::CutAfter(50_000),
            false => Fault::None,
        }
    });
    let (shop, said) = pulled_through(&network);
    assert_eq!(said.code, 0, "{}", said.err);
    assert_eq!(told(&said.out, "sha256"), digest);
    let asked = network.seen(&digest);
    let ranges: Vec<_> = asked
        .iter()
        .map(|head| head.lines().find_map(|line| line.strip_prefix("range: ")))
        .collect();
    assert_eq!(
        ranges,
        [
            None,
            Some("bytes=50000-"),
            Some("bytes=100000-"),
            Some("bytes=150000-")
        ]
    );
    assert!(shop.blob(&digest).exists());
    assert!(said.err.contains("the connection to"), "{}", said.err);
}

/// What a pull that gave up has brought is there for the next one.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn the_next_pull_goes_on_too() {
    let (registry, digest) = stocked();
    let wanted = digest.clone();
    let network = Network::before(&registry.address(), move |head, before| {
        match is_blob(head, &wanted) && before < 5 {
            true => Fault::CutAfter(1000),
            false => Fault::None,
        }
    });
    let (shop, said) = pulled_through(&network);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("registry-unreachable"), "{}", said.err);
    let again = shop.says(&format!("pull {}", network.reference("barn/fill:1")));
    assert_eq!(again.code, 0, "{}", again.err);
    let asked = network.seen(&digest);
    assert_eq!(asked.len(), 6);
    assert!(asked[5].contains("range: bytes=5000-"), "{}", asked[5]);
}

/// A registry that ignores ranges sends all once more, and the bytes are right all the same.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_registry_without_ranges_begins_again() {
    let (registry, digest) = stocked();
    let wanted = digest.clone();
    let network = Network::before(&registry.address(), move |head, before| {
        match (is_blob(head, &wanted), before) {
            (true, 0) => Fault::CutAfter(50_000),
            (true, _) => Fault::WholeInsteadOfPart,
            _ => Fault::None,
        }
    });
    let (shop, said) = pulled_through(&network);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(network.seen(&digest)[1].contains("range: bytes=50000-"));
    assert!(shop.blob(&digest).exists());
}

/// Bytes of another day that were damaged meanwhile do not spoil the download.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_damaged_beginning_is_fetched_anew() {
    let (registry, digest) = stocked();
    let shop = Shop::new();
    let partial = shop.at("data/hoopwright/store/partial");
    fs::create_dir_all(&partial).unwrap();
    for damaged in [vec![7; 1000], vec![7; 50 << 20]] {
        fs::write(partial.join(&digest), damaged).unwrap();
        let said = shop.says(&format!("pull {}", registry.reference("barn/fill:1")));
        assert_eq!(said.code, 0, "{}", said.err);
        assert!(!partial.join(&digest).exists());
        fs::remove_file(shop.blob(&digest)).unwrap();
    }
}

/// A registry that is busy is asked again, as late as it says; one that says no is not.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn only_what_may_pass_is_tried_again() {
    let (registry, _) = stocked();
    let busy = "HTTP/1.1 503 Service Unavailable\r\nContent-Length: 0\r\n\r\n";
    let late = "HTTP/1.1 429 Too Many Requests\r\nRetry-After: 1\r\nContent-Length: 0\r\n\r\n";
    let too_late =
        "HTTP/1.1 429 Too Many Requests\r\nRetry-After: 86400\r\nContent-Length: 0\r\n\r\n";
    let never = "HTTP/1.1 403 Forbidden\r\nContent-Length: 0\r\n\r\n";
    for (answer, times, tries, code, words) in [
        (
            busy,
            2,
            3,
            0,
            "503 Service Unavailable; trying again in 1.0 s",
        ),
        (
            late,
            1,
            2,
            0,
            "429 Too Many Requests; trying again in 1.0 s",
        ),
        (too_late, 9, 1, 1, "asks to wait 86400 s"),
        (never, 9, 1, 1, "this user may not do that"),
    ] {
        let network = Network::before(&registry.address(), move |head, before| {
            match head.contains("/manifests/") && before < times {
                true => Fault::Answer(answer),
                false => Fault::None,
            }
        });
        let (_, said) = pulled_through(&network);
        assert_eq!(said.code, code, "{}", said.err);
        assert!(said.err.contains(words), "{}", said.err);
        assert_eq!(network.seen("/manifests/").len(), tries, "{answer}");
    }
}

/// Pushing too holds out: every kind of request fails once on the way.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_push_holds_out() {
    let registry = Server::start(&Guard::Open);
    let network = Network::before(&registry.address(), |head, before| {
        let uploads = head.starts_with("put ") && head.contains("/uploads/");
        match before {
            0 if uploads => Fault::Lost,
            0 => Fault::Answer("HTTP/1.1 502 Bad Gateway\r\nContent-Length: 0\r\n\r\n"),
            _ => Fault::None,
        }
    });
    let [barn, mill] = [Shop::new(), Shop::new()];
    let own = barn.own_step();
    let quick = Patience {
        tries: 20,
        first_wait: Duration::from_millis(1),
        longest_wait: Duration::from_millis(1),
        ..Patience::default()
    };
    let sandbox = Sandbox::new(Limits::default(), None).unwrap();
    let bytes = fs::read(barn.at(&own)).unwrap();
    let origin = hoopwright::plugins::Origin::File(barn.at(&own));
    let plugin = hoopwright::sandbox::Plugin::load(&sandbox, &bytes, origin).unwrap();
    let artifact = Artifact::of(&bytes, &plugin).unwrap();
    let reference: Reference = network.reference("barn/own:1").parse().unwrap();
    let waits = RefCell::new(0);
    let tell = |_: Diagnostic| *waits.borrow_mut() += 1;
    let connection = Connection::new(&reference, Encryption::Elsewhere, None, quick, &tell);
    push::push(&connection, &reference, &artifact).unwrap();
    assert!(*waits.borrow() >= 8, "{}", waits.borrow());
    let pulled = mill.done(&format!("pull {} --json", registry.reference("barn/own:1")));
    assert_eq!(told(&pulled, "name"), "hostile");
}

/// A registry, or somebody between, that changes bytes: nothing is kept.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn changed_bytes_are_found_out() {
    let (registry, digest) = stocked();
    for part in ["/manifests/", &format!("/blobs/sha256:{digest}"), "/blobs/"] {
        let changed = part.to_owned();
        let network = Network::before(&registry.address(), move |head, _| {
            match head.contains(&changed) {
                true => Fault::LastByteChanged,
                false => Fault::None,
            }
        });
        let (shop, said) = pulled_through(&network);
        assert_eq!(said.code, 1);
        assert!(said.err.contains("registry-wrong-digest"), "{}", said.err);
        let kept = shop.store();
        assert!(
            kept.iter()
                .all(|(path, _)| path.to_string_lossy().contains("/partial/")),
            "{kept:?}"
        );
    }
}

/// Answers that no registry gives end in words, and in nothing kept.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn nonsense_is_told_as_such() {
    let (registry, _) = stocked();
    let manifest = |body: &str| {
        let length = body.len();
        let head = "HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nContent-Length:";
        // The texts live as long as the tests' process.
        &*format!("{head} {length}\r\n\r\n{body}").leak()
    };
    let list = r#"{"schemaVersion": 2, "manifests": []}"#;
    let image = r#"{"schemaVersion": 2, "config": {"mediaType":
        "application/vnd.oci.image.config.v1+json", "size": 1, "digest":
        "sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"}, "layers": []}"#;
    for (answer, words) in [
        (manifest("no JSON"), "it is not JSON"),
        (manifest(list), "a list of images for several machines"),
        (manifest(image), "vnd.oci.image.config.v1+json"),
        (manifest(&"[".repeat(200_000)), "it is not JSON"),
        (manifest(&" ".repeat(5 << 20)), "it sends more than"),
        (
            "HTTP/1.1 302 Found\r\nLocation: /v2/barn/fill/manifests/1\r\nContent-Length: 0\r\n\r\n",
            "from one place to the next",
        ),
        (
            "HTTP/1.1 400 Bad Request\r\nContent-Length: 61\r\n\r\n{\"errors\": [{\"code\": \"X\", \"message\": \"the barn\\nis closed\"}]}",
            "the barn\\nis closed",
        ),
        (
            "HTTP/1.1 401 Unauthorized\r\nWWW-Authenticate: Owl realm=\"barn\"\r\nContent-Length: 0\r\n\r\n",
            "not known here",
        ),
        (
            "HTTP/1.1 401 Unauthorized\r\nWWW-Authenticate: Bearer realm=\"http://owl.invalid/token\"\r\nContent-Length: 0\r\n\r\n",
            "not encrypted",
        ),
        ("HTTP/1.1 204 No Content\r\n\r\n", "it answers 204"),
        ("SSH-2.0-owl\r\n\r\n", "does not answer as a registry does"),
    ] {
        let network = Network::before(&registry.address(), move |_, _| Fault::Answer(answer));
        let (shop, said) = pulled_through(&network);
        assert_eq!(said.code, 1, "{words}");
        assert!(said.err.contains(words), "{words}: {}", said.err);
        assert!(shop.store().is_empty(), "{:?}", shop.store());
    }
}

/// What lies there as the layout asks, and still is no step, is tried out and not kept.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn what_is_no_step_is_not_kept() {
    let registry = Server::start(&Guard::Open);
    let shop = Shop::new();
    let reference: Reference = registry.reference("barn/none:1").parse().unwrap();
    let plugin = b"\0asm\x0d\0\x01\0".to_vec();
    let digest = hoopwright::registry::Digest::of(&plugin);
    let config =
        format!(r#"{{"architecture": "wasm", "os": "wasip2", "layerDigests": ["{digest}"]}}"#);
    let manifest = serde_json::json!({
        "schemaVersion": 2,
        "mediaType": "application/vnd.oci.image.manifest.v1+json",
        "config": {
            "mediaType": "application/vnd.wasm.config.v0+json",
            "size": config.len(),
            "digest": hoopwright::registry::Digest::of(config.as_bytes()).to_string(),
        },
        "layers": [{
            "mediaType": "application/wasm",
            "size": plugin.len(),
            "digest": digest.to_string(),
        }],
    });
    let artifact = Artifact {
        plugin,
        config: config.into_bytes(),
        manifest: manifest.to_string().into_bytes(),
    };
    let tell = |_: Diagnostic| ();
    let connection = Connection::new(
        &reference,
        Encryption::Elsewhere,
        None,
        Patience::default(),
        &tell,
    );
    push::push(&connection, &reference, &artifact).unwrap();
    let said = shop.says(&format!("pull {reference}"));
    assert_eq!(said.code, 1);
    assert!(
        said.err
            .contains("neither an object step nor a design step"),
        "{}",
        said.err
    );
    let kept = shop.store();
    assert!(
        kept.iter()
            .all(|(path, _)| path.to_string_lossy().contains("/partial/")),
        "{kept:?}"
    );
}

/// Hosts that are not there, ports where nothing answers, and a registry that keeps silent.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn who_cannot_be_reached_is_named() {
    let shop = Shop::new();
    // Port 1 has no service on any usual computer; `.invalid` names nothing: RFC 2606, section 2.
    let refused = shop.says("pull oci:127.0.0.1:1/barn/fill:1");
    assert!(
        refused.err.contains("nothing answers at 127.0.0.1:1"),
        "{}",
        refused.err
    );
    let nowhere = shop.says("pull oci:barn.invalid/barn/fill:1");
    assert!(
        nowhere.err.contains("there is no host barn.invalid"),
        "{}",
        nowhere.err
    );
    let (registry, _) = stocked();
    let absent = shop.says(&format!("pull {}", registry.reference("barn/owl:1")));
    assert!(absent.err.contains("registry-not-found"), "{}", absent.err);

    let network = Network::before(&registry.address(), |_, _| {
        Fault::Silence(Duration::from_secs(2))
    });
    let short = Patience {
        tries: 2,
        first_wait: Duration::from_millis(1),
        longest_silence: Duration::from_millis(200),
        ..Patience::default()
    };
    let reference: Reference = network.reference("barn/fill:1").parse().unwrap();
    let tell = |_: Diagnostic| ();
    let connection = Connection::new(&reference, Encryption::Elsewhere, None, short, &tell);
    let store = Store::open(shop.at("another-store"));
    let sandbox = Sandbox::new(Limits::default(), None).unwrap();
    let silent = pull::pull(&connection, &reference, None, &store, &sandbox).unwrap_err();
    assert!(
        silent.message.contains("does not answer in time"),
        "{silent:?}"
    );
    assert_eq!(network.seen("/manifests/").len(), 2);
}
