//! The server: on the loopback address only, and only for reading.

use super::answer::{Answer, Given, to};
use super::board::Board;
use super::gate::{Knock, pass};
use crate::diagnostics::{Choice, Diagnostic};
use std::io::{Cursor, ErrorKind, Write as _};
use std::net::{Ipv4Addr, TcpListener};
use std::sync::Arc;
use tiny_http::{Header, Method, Request, Response, Server};

/// How many requests are looked at at once. None of them waits for anybody.
const ANSWERERS: usize = 3;

/// The page's server, from its start to the end of the program.
pub(super) struct Page {
    pub port: u16,
}

impl Page {
    /// Opens the page on `port` of the loopback address, or on a free one where that is 0.
    ///
    /// # Errors
    /// The port is in use, or not to be had.
    pub fn open(port: u16, board: &Arc<Board>) -> Result<Self, Diagnostic> {
        let cannot = |why: String| {
            Diagnostic::error("no-page", format!("the page cannot be opened: {why}"))
                .help("Name none, to take one that is free, or another port.")
                .choosing(Choice::Port)
        };
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(|error| {
            cannot(match error.kind() {
                ErrorKind::AddrInUse => {
                    format!("port {port} of this computer is in use by another program")
                }
                _ => format!("port {port}: {error}"),
            })
        })?;
        let address = listener.local_addr();
        let port = address.map_err(|error| cannot(error.to_string()))?.port();
        let server =
            Server::from_listener(listener, None).map_err(|error| cannot(error.to_string()))?;
        let server = Arc::new(server);
        for _ in 0..ANSWERERS {
            let (server, board) = (Arc::clone(&server), Arc::clone(board));
            std::thread::Builder::new()
                .spawn(move || {
                    while let Ok(request) = server.recv() {
                        answer(request, port, &board);
                    }
                })
                .map_err(|error| cannot(error.to_string()))?;
        }
        Ok(Self { port })
    }
}

fn answer(request: Request, port: u16, board: &Board) {
    let all = |name: &'static str| -> Vec<&str> {
        let named = request.headers().iter();
        named
            .filter(|header| header.field.equiv(name))
            .map(|header| header.value.as_str())
            .collect()
    };
    let knock = Knock {
        method: request.method().as_str(),
        host: all("Host"),
        origin: all("Origin"),
        site: all("Sec-Fetch-Site"),
    };
    if let Err((status, sentence)) = pass(&knock, port) {
        send_aside(request, Answer::refusal(status, sentence));
        return;
    }
    let url = request.url().to_owned();
    match to(&url, board) {
        Given::Now(answer) => send_aside(request, answer),
        Given::NewsAfter(moment) => board.news(request, moment),
    }
}

/// Sends an answer without waiting until it has been read, or until all has come that was promised
/// with the request: whoever is slow holds up nobody else.
pub(super) fn send_aside(request: Request, answer: Answer) {
    // Where there is no thread to be had, the page asks again.
    let _ = std::thread::Builder::new().spawn(move || send(request, answer));
}

/// Sends an answer. Where the reader has gone there is nobody to tell.
fn send(request: Request, answer: Answer) {
    let length = answer.body.len();
    let mut response = Response::new(
        answer.status.into(),
        Vec::new(),
        Cursor::new(answer.body),
        Some(length),
        None,
    );
    let mut headers = vec![
        ("Content-Type", answer.kind),
        ("Content-Security-Policy", answer.policy),
        ("Cache-Control", "no-store"),
        ("Cross-Origin-Resource-Policy", "same-origin"),
        ("Cross-Origin-Opener-Policy", "same-origin"),
        ("Referrer-Policy", "no-referrer"),
        ("X-Content-Type-Options", "nosniff"),
    ];
    if answer.status == 405 {
        headers.push(("Allow", "GET"));
    }
    if answer.saved {
        headers.push(("Content-Disposition", "attachment"));
    }
    for (name, value) in headers {
        // All of these are ASCII.
        if let Ok(header) = Header::from_bytes(name, value) {
            response.add_header(header);
        }
    }
    // In one piece: a head and a body that follow each other wait for the reader's acknowledgement
    // of the head, which may take 40 ms.
    let version = request.http_version().clone();
    let bodiless = *request.method() == Method::Head;
    let mut bytes = Vec::with_capacity(length + 1024);
    let asked = request.headers().to_vec();
    let response = response.with_chunked_threshold(usize::MAX);
    if response
        .raw_print(&mut bytes, version, &asked, bodiless, None)
        .is_ok()
    {
        let mut writer = request.into_writer();
        let _ = writer.write_all(&bytes).and_then(|()| writer.flush());
    }
}
