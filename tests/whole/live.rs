//! The live loop: what its page shows after each save, and who may read it.

use crate::files::{hoopwright, root, scratch};
use crate::guests;
use serde_json::Value;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// Longer than anything here takes on a machine under load; a safety net, not a measure.
const LONG: Duration = Duration::from_secs(120);

/// A live loop at work, ended when the test ends.
pub struct Loop {
    child: Child,
    folder: PathBuf,
    port: u16,
    lines: Mutex<Receiver<String>>,
}

impl Drop for Loop {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A shop's folder with artwork, a routine and a rack.
pub fn folder(name: &str) -> PathBuf {
    let folder = scratch().join("live").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(folder.join("art")).unwrap();
    std::fs::create_dir_all(folder.join("shop")).unwrap();
    save(&folder.join("art/art.svg"), &drawing(10, 20));
    save(&folder.join("shop/routine.json"), &routine(0.4));
    save(&folder.join("shop/rack.json"), &rack("Barn"));
    folder
}

/// Two squares of so many mm.
pub fn drawing(first: u32, second: u32) -> String {
    format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60"><rect id="one" x="5" y="5" width="{first}" height="10" fill="#884422"/><rect id="two" x="5" y="30" width="{second}" height="10" fill="#884422"/></svg>"##
    )
}

fn routine(density: f64) -> String {
    format!(
        "{{ \"rack\": \"rack.json\",\n  \"steps\": [\n    {{ \"step\": \"region-fill\", \"settings\": {{ \"density\": {density} }} }},\n    {{ \"step\": \"ties-and-trims\" }} ] }}"
    )
}

fn rack(thread: &str) -> String {
    format!(
        r##"{{ "name": "Rescue", "threads": [{{ "code": "1", "name": "{thread}", "colour": "#884422" }}] }}"##
    )
}

/// Saves as many editors do: a new file beside the old one takes its place.
pub fn save(path: &Path, text: &str) {
    let beside = path.with_extension("new");
    std::fs::write(&beside, text).unwrap();
    std::fs::rename(beside, path).unwrap();
}

impl Loop {
    pub fn start(folder: PathBuf, more: &[&str]) -> Self {
        let mut child = hoopwright()
            .args(["live", "shop/routine.json", "art/art.svg"])
            .args(more)
            .current_dir(&folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut first = String::new();
        out.read_line(&mut first).unwrap();
        let address = first.split_whitespace().next().unwrap();
        let port = address
            .strip_prefix("http://127.0.0.1:")
            .and_then(|rest| rest.strip_suffix('/'))
            .unwrap_or_else(|| panic!("{first}"))
            .parse()
            .unwrap();
        let (send, lines) = channel();
        std::thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                let _ = send.send(line);
            }
        });
        Self {
            child,
            folder,
            port,
            lines: Mutex::new(lines),
        }
    }

    pub fn port(&self) -> u16 {
        self.port
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// Sends a request as it is and gives the status, the head and the body.
    fn ask(&self, request: &str) -> (u16, String, Vec<u8>) {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(LONG)).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        let end = answer.windows(4).position(|four| four == b"\r\n\r\n");
        let body = answer.split_off(end.unwrap() + 4);
        let head = String::from_utf8(answer).unwrap();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        (status, head, body)
    }

    fn get_as(&self, path: &str, more: &str) -> (u16, String, Vec<u8>) {
        let port = self.port;
        self.ask(&format!(
            "GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n{more}\r\n"
        ))
    }

    pub fn get(&self, path: &str) -> Vec<u8> {
        let (status, head, body) = self.get_as(path, "");
        assert_eq!(status, 200, "{path}: {head}");
        body
    }

    pub fn picture(&self) -> String {
        String::from_utf8(self.get("/page/picture.svg")).unwrap()
    }

    /// Follows the news until the state is as wanted.
    fn wait(&self, what: &str, wanted: impl Fn(&Value) -> bool) -> Value {
        let begun = Instant::now();
        let mut state: Value = serde_json::from_slice(&self.get("/page/state")).unwrap();
        while !wanted(&state) {
            assert!(begun.elapsed() < LONG, "never {what}: {state:#}");
            let after = state["moment"].as_str().unwrap().to_owned();
            state =
                serde_json::from_slice(&self.get(&format!("/page/state?after={after}"))).unwrap();
        }
        state
    }

    /// Waits for the picture of this number, with its products.
    pub fn wait_for_picture(&self, number: u64) -> Value {
        self.wait(&format!("picture {number}"), |state| {
            state["products-of"] == number && state["phase"] == "up-to-date"
        })
    }

    fn wait_for_failure(&self) -> Value {
        self.wait("failed", |state| state["phase"] == "failed")
    }
}

#[test]
fn what_is_saved_is_seen_and_only_what_changed_is_sewn() {
    let live = Loop::start(folder("saved"), &[]);
    let first = live.wait_for_picture(1);
    assert_eq!(first["artwork"], "art/art.svg");
    assert!(
        first["words"]
            .as_str()
            .unwrap()
            .contains("0 of 2 object results reused")
    );
    let picture = live.picture();
    let page = String::from_utf8(live.get("/")).unwrap();
    assert!(page.contains("/page/script.js") && page.contains("/page/style.css"));
    live.get("/page/script.js");
    live.get("/page/style.css");

    // One of two objects changes: the result of the other is kept.
    save(&live.path("art/art.svg"), &drawing(15, 20));
    let second = live.wait_for_picture(2);
    let words = second["words"].as_str().unwrap();
    assert!(words.contains("1 of 2 object results reused"), "{words}");
    let changed = live.picture();
    assert_ne!(picture, changed);

    // What the page shows is what a run writes.
    let into = live.path("alone");
    crate::files::sew(
        &live.path("shop/routine.json"),
        &live.path("art/art.svg"),
        &into,
    );
    let alone = std::fs::read_to_string(into.join("art.preview.svg")).unwrap();
    assert_eq!(changed, alone);
    for name in second["products"].as_array().unwrap() {
        let name = name.as_str().unwrap();
        let product = live.get(&format!("/{name}"));
        // The report names the artwork as it was given.
        if name != "report.json" {
            assert!(
                product == std::fs::read(into.join(format!("art.{name}"))).unwrap(),
                "{name}"
            );
        }
    }

    // The pipeline, and the rack that it names; back again, nothing is kept for ever.
    save(&live.path("shop/routine.json"), &routine(0.8));
    live.wait_for_picture(3);
    assert!(live.picture().len() < changed.len(), "half the stitches");
    save(&live.path("shop/rack.json"), &rack("Hay"));
    live.wait_for_picture(4);
    assert!(
        String::from_utf8(live.get("/worksheet.html"))
            .unwrap()
            .contains("Hay")
    );

    // Written in place, as other editors do.
    std::fs::write(live.path("art/art.svg"), drawing(12, 20)).unwrap();
    let state = live.wait_for_picture(5);
    assert!(
        state["words"]
            .as_str()
            .unwrap()
            .contains("1 of 2 object results reused")
    );
    // Saved without a change: no new run.
    save(&live.path("art/art.svg"), &drawing(12, 20));
    std::thread::sleep(Duration::from_millis(900));
    assert_eq!(live.wait_for_picture(5)["moment"], state["moment"]);
}

#[test]
fn an_error_is_shown_with_its_place_and_the_last_picture_stays() {
    let live = Loop::start(folder("broken"), &[]);
    live.wait_for_picture(1);
    let picture = live.picture();
    save(
        &live.path("shop/routine.json"),
        &routine(0.4).replace("density", "densty"),
    );
    let state = live.wait_for_failure();
    let error = &state["errors"][0];
    assert_eq!(error["file"], "shop/routine.json");
    assert_eq!(error["line"], 3);
    assert_eq!(error["step"], "1 (region-fill)");
    assert!(
        error["help"].as_str().unwrap().contains("density"),
        "{error}"
    );
    assert_eq!(state["picture"], 1);
    assert_eq!(live.picture(), picture);
    assert!(!live.get("/dst").is_empty());

    // Not JSON at all; then whole again.
    save(&live.path("shop/routine.json"), "{ \"steps\": [");
    live.wait("another error", |state| {
        state["errors"][0]["code"] == "not-json"
    });
    save(&live.path("shop/routine.json"), &routine(0.4));
    let state = live.wait_for_picture(2);
    assert_eq!(state["errors"].as_array().unwrap().len(), 0);
    let words = state["words"].as_str().unwrap();
    assert!(words.contains("2 of 2 object results reused"), "{words}");
    assert_eq!(live.picture(), picture);
}

#[test]
fn artwork_may_vanish_and_return_and_so_may_its_folder() {
    let folder = folder("vanished");
    std::fs::remove_dir_all(folder.join("art")).unwrap();
    let live = Loop::start(folder, &[]);
    let state = live.wait_for_failure();
    assert_eq!(state["picture"], Value::Null);
    let (status, ..) = live.get_as("/page/picture.svg", "");
    assert_eq!(status, 404);
    std::fs::create_dir(live.path("art")).unwrap();
    save(&live.path("art/art.svg"), &drawing(10, 20));
    live.wait_for_picture(1);
    std::fs::remove_file(live.path("art/art.svg")).unwrap();
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["code"], "unreadable");
    save(&live.path("art/art.svg"), &drawing(11, 20));
    live.wait_for_picture(2);
    std::fs::remove_dir_all(live.path("art")).unwrap();
    live.wait_for_failure();
    std::fs::create_dir(live.path("art")).unwrap();
    save(&live.path("art/art.svg"), &drawing(13, 20));
    live.wait_for_picture(3);
    // The rack too.
    std::fs::remove_file(live.path("shop/rack.json")).unwrap();
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["file"], "shop/routine.json");
    save(&live.path("shop/rack.json"), &rack("Straw"));
    live.wait_for_picture(4);
}

#[test]
fn a_plugin_is_watched_like_the_rest() {
    let folder = folder("plugin");
    let routine = |deed: &str| {
        format!(
            r#"{{ "steps": [ {{ "step": "region-fill" }}, {{ "step": "hostile", "settings": {{ "deed": "{deed}" }} }}, {{ "step": "ties-and-trims" }} ] }}"#
        )
    };
    save(&folder.join("shop/routine.json"), &routine("move"));
    let live = Loop::start(folder, &["--plugin", "plugins"]);
    // There is no such folder yet.
    live.wait_for_failure();
    std::fs::create_dir(live.path("plugins")).unwrap();
    std::fs::write(live.path("plugins/one.wasm"), guests::hostile()).unwrap();
    live.wait_for_picture(1);
    save(&live.path("shop/routine.json"), &routine("panic"));
    let state = live.wait_for_failure();
    let error = &state["errors"][0];
    assert_eq!(error["step"], "2 (hostile)");
    assert!(error["message"].as_str().unwrap().contains("needle"));
    save(&live.path("shop/routine.json"), &routine("move"));
    live.wait_for_picture(2);
    std::fs::write(live.path("plugins/one.wasm"), "no plugin").unwrap();
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["code"], "plugin-unreadable");
}

/// Parts are watched like the pipeline that includes them, also those within parts, and before they are
/// there; so is the machine's profile.
#[test]
fn parts_are_watched_like_the_rest() {
    let folder = folder("parts");
    std::fs::create_dir(folder.join("parts")).unwrap();
    let outer =
        r#"{ "takes": {}, "steps": [ { "part": "inner.json" }, { "step": "ties-and-trims" } ] }"#;
    let inner = |density: f64| {
        format!(
            r#"{{ "takes": {{}}, "steps": [ {{ "step": "region-fill", "settings": {{ "density": {density} }} }} ] }}"#
        )
    };
    save(
        &folder.join("shop/routine.json"),
        r#"{ "machine": "machine.json", "steps": [ { "part": "../parts/outer.json" } ] }"#,
    );
    save(&folder.join("shop/machine.json"), r#"{ "trim-jumps": 3 }"#);
    save(&folder.join("parts/outer.json"), outer);
    let live = Loop::start(folder, &[]);
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["file"], "shop/../parts/outer.json");
    save(&live.path("parts/inner.json"), &inner(0.4));
    live.wait_for_picture(1);
    let picture = live.picture();
    save(&live.path("parts/inner.json"), &inner(0.8));
    live.wait_for_picture(2);
    assert!(live.picture().len() < picture.len(), "half the stitches");
    save(&live.path("shop/machine.json"), r#"{ "trim-jumps": 4 }"#);
    live.wait_for_picture(3);
    save(
        &live.path("parts/inner.json"),
        &inner(0.8).replace("density", "densty"),
    );
    let state = live.wait_for_failure();
    let error = &state["errors"][0];
    assert_eq!(error["file"], "shop/../parts/inner.json");
    assert_eq!(error["step"], "1 (outer) 1 (inner) 1 (region-fill)");
}

#[test]
fn the_lock_counts_and_is_watched() {
    let live = Loop::start(folder("locked"), &["--locked"]);
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["code"], "lock-missing");
    let locked = hoopwright()
        .args(["lock", "shop/routine.json"])
        .current_dir(&live.folder)
        .output();
    assert!(locked.unwrap().status.success());
    live.wait_for_picture(1);
    let lock = live.path("shop/routine.lock.json");
    let text = std::fs::read_to_string(&lock).unwrap();
    save(&lock, &text.replace("ties-and-trims", "transform"));
    let state = live.wait_for_failure();
    let codes: Vec<&Value> = state["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| &error["code"])
        .collect();
    assert_eq!(codes, ["lock-lacks", "lock-extra"]);
    save(&lock, &text);
    live.wait_for_picture(2);
}

/// No page from elsewhere can read it, nothing can be written, and no address reaches a file.
#[test]
fn it_is_for_this_computer_s_own_page_only() {
    let live = Loop::start(folder("gate"), &[]);
    live.wait_for_picture(1);
    let port = live.port;
    let ours = format!("Origin: http://127.0.0.1:{port}\r\nSec-Fetch-Site: same-origin\r\n");
    assert_eq!(live.get_as("/page/state", &ours).0, 200);
    for (more, status) in [
        ("Origin: https://pages.example\r\n", 403),
        ("Origin: null\r\n", 403),
        ("Sec-Fetch-Site: cross-site\r\n", 403),
        ("Host: pages.example\r\n", 400),
    ] {
        for path in ["/", "/page/state", "/page/picture.svg", "/dst"] {
            let (told, head, body) = live.get_as(path, more);
            assert_eq!(told, status, "{path} {more}");
            assert!(!head.contains("Access-Control"), "{head}");
            assert!(body.len() < 200, "nothing is given away");
        }
    }
    let host = |host: &str| {
        format!("GET /page/state HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")
    };
    assert_eq!(live.ask(&host(&format!("localhost:{port}"))).0, 200);
    assert_eq!(live.ask(&host(&format!("pages.example:{port}"))).0, 421);
    assert_eq!(live.ask(&host("127.0.0.1")).0, 421);
    assert_eq!(live.ask("GET / HTTP/1.0\r\n\r\n").0, 400);
    for method in ["POST", "PUT", "DELETE", "HEAD", "OPTIONS"] {
        let request = format!(
            "{method} / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
        );
        assert_eq!(live.ask(&request).0, 405, "{method}");
    }
    for path in [
        "/../shop/routine.json",
        "/%2e%2e/shop/routine.json",
        "//etc/passwd",
        "/page/../../shop/routine.json",
        "/shop/routine.json",
        "/art.svg",
        "/page/",
        "/dst/",
        "/dst%00",
        "/.",
    ] {
        assert_eq!(live.get_as(path, "").0, 404, "{path}");
    }
    let (_, head, _) = live.get_as("/", "");
    let policy = "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'";
    assert!(head.contains(policy), "{head}");
    let (_, head, _) = live.get_as("/worksheet.html", "");
    assert!(head.contains("sandbox"), "{head}");
    // Bound to this one address: others of this computer, even of its loopback, refuse.
    assert!(TcpStream::connect(("127.0.0.2", port)).is_err());
}

#[test]
fn a_port_in_use_is_told() {
    let taken = std::net::TcpListener::bind(("127.0.0.1", 0)).unwrap();
    let port = taken.local_addr().unwrap().port();
    let output = hoopwright()
        .args(["live", "any-artwork.json", "owl/owl.svg", "--port"])
        .arg(port.to_string())
        .current_dir(root().join("demo-pipelines"))
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let words = String::from_utf8(output.stderr).unwrap();
    assert!(words.contains(&format!("port {port}")), "{words}");
    assert!(words.contains("--port"), "{words}");
}

#[test]
fn products_are_written_where_asked_for_and_files_are_looked_at_where_asked_for() {
    let live = Loop::start(folder("into"), &["--into", "out", "--look-every", "1"]);
    let state = live.wait_for_picture(1);
    for name in state["products"].as_array().unwrap() {
        let name = name.as_str().unwrap();
        let written = live.path("out").join(format!("art.{name}"));
        assert!(
            std::fs::read(written).unwrap() == live.get(&format!("/{name}")),
            "{name}"
        );
    }
    let told = live.lines.lock().unwrap().recv_timeout(LONG).unwrap();
    assert_eq!(told, "looking at the files every second");
    save(&live.path("art/art.svg"), &drawing(15, 20));
    live.wait_for_picture(2);
    // A folder that cannot be written into is shown, and the picture is there all the same.
    std::fs::remove_dir_all(live.path("out")).unwrap();
    std::fs::write(live.path("out"), "in the way").unwrap();
    save(&live.path("art/art.svg"), &drawing(16, 20));
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["code"], "cannot-write");
    assert_eq!(state["picture"], 3);
}

/// Waiting for news costs nothing: one request lies there until something happens.
#[test]
fn many_pages_may_wait_at_once() {
    let live = Loop::start(folder("many"), &[]);
    let state = live.wait_for_picture(1);
    let moment = state["moment"].as_str().unwrap();
    let answers: Vec<Value> = std::thread::scope(|scope| {
        let asking: Vec<_> = (0..20)
            .map(|_| scope.spawn(|| live.get(&format!("/page/state?after={moment}"))))
            .collect();
        std::thread::sleep(Duration::from_millis(300));
        // The page itself is there meanwhile.
        live.get("/");
        save(&live.path("art/art.svg"), &drawing(15, 20));
        let answers = asking.into_iter().map(|asked| asked.join().unwrap());
        answers
            .map(|answer| serde_json::from_slice(&answer).unwrap())
            .collect()
    });
    for answer in answers {
        assert_ne!(answer["moment"], moment);
    }
    live.wait_for_picture(2);
}
