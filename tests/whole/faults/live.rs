//! The live page's server against clients that mean it no good. Who may read at all is tested beside the
//! page itself; here are those that ask too much, too slowly or too often.

use crate::files::hoopwright;
use crate::live::{Loop, folder};
use std::io::{Read as _, Write as _};
use std::net::{Ipv6Addr, TcpStream};
use std::time::Duration;

fn connected(live: &Loop) -> TcpStream {
    let stream = TcpStream::connect(("127.0.0.1", live.port())).unwrap();
    stream
        .set_read_timeout(Some(Duration::from_secs(60)))
        .unwrap();
    stream
}

#[test]
fn slow_silent_and_many_clients_hold_nobody_up() {
    let live = Loop::start(folder("crowd"), &[]);
    live.wait_for_picture(1);
    let port = live.port();
    let mut crowd = Vec::new();
    for number in 0..200 {
        let mut stream = connected(&live);
        let begun = match number % 5 {
            // Says nothing.
            0 => String::new(),
            // Goes on saying what it wants.
            1 => "GET /page/st".to_owned(),
            // Never ends its headers.
            2 => format!("GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nX: "),
            // Promises ten thousand million bytes.
            3 => format!(
                "POST / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Length: 10000000000\r\n\r\nab"
            ),
            // Asks again and again, and reads nothing.
            _ => format!("GET /dst HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n").repeat(8),
        };
        stream.write_all(begun.as_bytes()).unwrap();
        crowd.push(stream);
    }
    for _ in 0..5 {
        for stream in crowd.iter_mut().skip(2).step_by(5) {
            let _ = stream.write_all(b"a");
        }
        assert!(!live.get("/page/state").is_empty());
        assert!(!live.picture().is_empty());
    }
    drop(crowd);
    assert!(!live.get("/").is_empty());
}

#[test]
fn huge_and_broken_requests_are_refused() {
    let live = Loop::start(folder("huge"), &[]);
    live.wait_for_picture(1);
    let port = live.port();
    let host = format!("Host: 127.0.0.1:{port}\r\n");
    let long = "a".repeat(1 << 20);
    let headers = (0..20_000).map(|n| format!("X-{n}: a\r\n"));
    let requests = [
        format!("GET /{long} HTTP/1.1\r\n{host}Connection: close\r\n\r\n"),
        format!("GET /page/state?after={long} HTTP/1.1\r\n{host}Connection: close\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n{host}X: {long}\r\nConnection: close\r\n\r\n"),
        format!(
            "GET / HTTP/1.1\r\n{host}{}Connection: close\r\n\r\n",
            headers.collect::<String>()
        ),
        format!("GET http://pages.example/ HTTP/1.1\r\n{host}Connection: close\r\n\r\n"),
        format!("GET / HTTP/1.1\r\nHost : 127.0.0.1:{port}\r\nConnection: close\r\n\r\n"),
        format!("GET /\r\n{host}\r\n"),
        "\r\n\r\n\r\n".to_owned(),
        "\0\u{1}\u{2}garbage\r\n\r\n".to_owned(),
        format!("CONNECT pages.example:443 HTTP/1.1\r\n{host}Connection: close\r\n\r\n"),
        format!("GET / HTTP/9.9\r\n{host}Connection: close\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n{host}Content-Length: -1\r\nConnection: close\r\n\r\n"),
        format!("GET / HTTP/1.1\r\n{host}Upgrade: websocket\r\nConnection: Upgrade\r\n\r\n"),
    ];
    for request in requests {
        let mut stream = connected(&live);
        // The other side may hang up before it has heard all of it.
        let _ = stream.write_all(request.as_bytes());
        let _ = stream.shutdown(std::net::Shutdown::Write);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        let answer = String::from_utf8_lossy(&answer);
        let shown: String = request.chars().take(60).collect();
        assert!(!answer.contains("root:"), "{shown}");
        assert!(!live.get("/page/state").is_empty(), "after {shown}");
    }
}

/// The page is on 127.0.0.1 alone, and no option puts it elsewhere.
#[test]
fn no_other_address_is_listened_on() {
    let live = Loop::start(folder("address"), &[]);
    assert!(TcpStream::connect((Ipv6Addr::LOCALHOST, live.port())).is_err());
    // What the kernel itself says (proc(5), /proc/net/tcp): addresses in the machine's byte order.
    let port = format!(":{:04X}", live.port());
    let listening = |table: &str| -> Vec<String> {
        let text = std::fs::read_to_string(table).unwrap_or_default();
        let lines = text
            .lines()
            .map(|line| line.split_whitespace().collect::<Vec<_>>());
        lines
            .filter(|fields| fields.get(3) == Some(&"0A"))
            .map(|fields| fields[1].to_owned())
            .filter(|address| address.ends_with(&port))
            .collect()
    };
    if cfg!(target_os = "linux") {
        let loopback = u32::from_ne_bytes([127, 0, 0, 1]);
        assert_eq!(
            listening("/proc/net/tcp"),
            [format!("{loopback:08X}{port}")]
        );
        assert_eq!(listening("/proc/net/tcp6"), Vec::<String>::new());
    }
    for more in [
        ["--port", "0.0.0.0:8080"],
        ["--port", "::"],
        ["--port", "70000"],
        ["--host", "0.0.0.0"],
        ["--address", "0.0.0.0"],
    ] {
        let output = hoopwright()
            .args(["live", "shop/routine.json", "art/art.svg"])
            .args(more)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(2), "{more:?}");
    }
}

/// A rack may have any name, even that of a product: it is not written over, and the page says why.
#[test]
fn what_the_loop_reads_it_does_not_replace() {
    let shop = folder("own-files");
    let rack = shop.join("art/art.report.json");
    std::fs::copy(shop.join("shop/rack.json"), &rack).unwrap();
    let routine = std::fs::read_to_string(shop.join("shop/routine.json")).unwrap();
    let routine = routine.replace("\"rack.json\"", "\"../art/art.report.json\"");
    std::fs::write(shop.join("shop/routine.json"), routine).unwrap();
    let before = std::fs::read(&rack).unwrap();
    let live = Loop::start(shop, &["--into", "art"]);
    let begun = std::time::Instant::now();
    let errors = loop {
        let state: serde_json::Value = serde_json::from_slice(&live.get("/page/state")).unwrap();
        match state["phase"].as_str() {
            Some("failed") => break state["errors"].clone(),
            _ if begun.elapsed() > Duration::from_secs(120) => panic!("{state:#}"),
            _ => std::thread::sleep(Duration::from_millis(50)),
        }
    };
    assert_eq!(errors[0]["code"], "cannot-write", "{errors:#}");
    assert_eq!(std::fs::read(&rack).unwrap(), before);
    assert!(!live.path("art/art.dst").exists());
}
