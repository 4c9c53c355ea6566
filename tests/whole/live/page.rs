//! The page: who may see it, where it is, and what it costs.

use super::looping::{LONG, Loop, drawing, folder, save};
use crate::files::{hoopwright, root};
use serde_json::Value;
use std::net::TcpStream;
use std::time::Duration;

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
