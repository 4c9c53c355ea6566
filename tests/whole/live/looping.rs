//! A live loop at work.

use crate::files::{hoopwright, scratch};
use serde_json::Value;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// Longer than anything here takes on a machine under load; a safety net, not a measure.
pub const LONG: Duration = Duration::from_secs(120);

/// A live loop at work, ended when the test ends.
pub struct Loop {
    child: Child,
    folder: PathBuf,
    pub port: u16,
    pub lines: Mutex<Receiver<String>>,
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

pub fn routine(density: f64) -> String {
    format!(
        "{{ \"rack\": \"rack.json\",\n  \"steps\": [\n    {{ \"step\": \"region-fill\", \"settings\": {{ \"density\": {density} }} }},\n    {{ \"step\": \"ties-and-trims\" }} ] }}"
    )
}

pub fn rack(thread: &str) -> String {
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
    pub fn ask(&self, request: &str) -> (u16, String, Vec<u8>) {
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

    pub fn get_as(&self, path: &str, more: &str) -> (u16, String, Vec<u8>) {
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
    pub fn wait(&self, what: &str, wanted: impl Fn(&Value) -> bool) -> Value {
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

    pub fn wait_for_failure(&self) -> Value {
        self.wait("failed", |state| state["phase"] == "failed")
    }
}
