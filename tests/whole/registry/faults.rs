//! A network that fails in ways a test chooses: it stands before a registry, and passes on one request
//! a connection.

use std::io::{Read as _, Write as _};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// What becomes of a request.
pub enum Fault {
    /// It is answered as the registry answers.
    None,
    /// It is answered with this instead, and never reaches the registry.
    Answer(&'static str),
    /// The connection breaks after so many bytes of the answer's body.
    CutAfter(usize),
    /// It reaches the registry, but the answer gets lost.
    Lost,
    /// The last byte of the answer's body is another.
    LastByteChanged,
    /// The registry does not learn that only a part is asked for.
    WholeInsteadOfPart,
    /// Nothing is answered for so long.
    Silence(Duration),
}

/// A network before a registry. Its thread ends with the test.
pub struct Network {
    port: u16,
    seen: Arc<Mutex<Vec<String>>>,
}

impl Network {
    /// Stands before `registry`. `choose` gets the head of each request, and how often a request with
    /// the same first line came before.
    pub fn before(
        registry: &str,
        choose: impl Fn(&str, usize) -> Fault + Send + Sync + 'static,
    ) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let seen: Arc<Mutex<Vec<String>>> = Arc::default();
        let (registry, heads) = (registry.to_owned(), seen.clone());
        let choose = Arc::new(choose);
        std::thread::spawn(move || {
            for client in listener.incoming().flatten() {
                let (registry, heads) = (registry.clone(), heads.clone());
                let choose = choose.clone();
                std::thread::spawn(move || pass(client, &registry, &heads, &*choose));
            }
        });
        Self { port, seen }
    }

    /// A reference through this network.
    pub fn reference(&self, name: &str) -> String {
        format!("oci:127.0.0.1:{}/{name}", self.port)
    }

    /// The heads of all requests so far whose first line has `part` in it.
    pub fn seen(&self, part: &str) -> Vec<String> {
        let seen = self.seen.lock().unwrap();
        let mut heads: Vec<String> = seen.clone();
        heads.retain(|head| head.lines().next().unwrap_or_default().contains(part));
        heads
    }
}

fn pass(
    mut client: TcpStream,
    registry: &str,
    heads: &Mutex<Vec<String>>,
    choose: &impl Fn(&str, usize) -> Fault,
) -> std::io::Result<()> {
    let mut bytes = Vec::new();
    let end = loop {
        if let Some(end) = bytes.windows(4).position(|four| four == b"\r\n\r\n") {
            break end + 4;
        }
        let mut some = [0; 4096];
        match client.read(&mut some)? {
            0 => return Ok(()),
            count => bytes.extend_from_slice(&some[..count]),
        }
    };
    let mut body = bytes.split_off(end);
    let head = String::from_utf8_lossy(&bytes).to_ascii_lowercase();
    let line = head.lines().next().unwrap_or_default().to_owned();
    let before = {
        let mut heads = heads.lock().unwrap();
        let before = heads
            .iter()
            .filter(|head| head.lines().next() == Some(&line));
        let before = before.count();
        heads.push(head.clone());
        before
    };
    let length = head
        .lines()
        .find_map(|line| line.strip_prefix("content-length:")?.trim().parse().ok())
        .unwrap_or(0);
    let have = body.len();
    body.resize(length, 0);
    client.read_exact(&mut body[have..])?;
    let fault = choose(&head, before);
    match fault {
        Fault::Answer(answer) => client.write_all(answer.as_bytes())?,
        Fault::Silence(how_long) => std::thread::sleep(how_long),
        _ => {
            let whole = matches!(fault, Fault::WholeInsteadOfPart);
            let answer = ask(registry, &bytes, &body, whole)?;
            let body = answer
                .windows(4)
                .position(|four| four == b"\r\n\r\n")
                .map_or(answer.len(), |end| end + 4);
            let mut answer = answer;
            match fault {
                Fault::CutAfter(count) => answer.truncate(body + count),
                Fault::Lost => answer.clear(),
                Fault::LastByteChanged if answer.len() > body => {
                    *answer.last_mut().unwrap() ^= 1;
                }
                _ => {}
            }
            client.write_all(&answer)?;
        }
    }
    client.shutdown(Shutdown::Both)
}

/// The registry's whole answer.
fn ask(registry: &str, head: &[u8], body: &[u8], whole: bool) -> std::io::Result<Vec<u8>> {
    let head = String::from_utf8_lossy(head);
    let mut lines: Vec<&str> = head.trim_end().split("\r\n").collect();
    lines.retain(|line| {
        let line = line.to_ascii_lowercase();
        !(line.starts_with("connection:") || whole && line.starts_with("range:"))
    });
    let head = lines.join("\r\n") + "\r\nconnection: close\r\n\r\n";
    let mut server = TcpStream::connect(registry)?;
    server.write_all(head.as_bytes())?;
    server.write_all(body)?;
    let mut answer = Vec::new();
    server.read_to_end(&mut answer)?;
    Ok(answer)
}
