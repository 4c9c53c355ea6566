//! A registry of this computer's own: the distribution project's server, as Debian packs it.

use std::fs;
use std::net::{TcpListener, TcpStream};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// The user that a guarded registry knows.
pub const USER: &str = "volunteer";

/// The user's password, and below what the registry knows of it (bcrypt, made by Apache's htpasswd).
pub const PASSWORD: &str = "barn-door-9";

const HASHED: &str = "volunteer:$2y$05$klcq/R/Cd5shv8Umc9EesOT4RVEBz9Dn6kVJwGxRuK/Jf641e7aym\n";

/// A registry that runs until it is dropped.
pub struct Server {
    child: Child,
    port: u16,
    folder: TempDir,
}

/// What a registry asks of those who come.
pub enum Guard<'a> {
    /// Nothing.
    Open,
    /// A name and a password.
    Password,
    /// A token of this service, signed with the key of this certificate.
    Token {
        realm: &'a str,
        certificate: &'a str,
    },
    /// Nothing, but encryption with this certificate and its key.
    Encrypted { certificate: &'a str, key: &'a str },
}

impl Server {
    /// Starts a registry without anything in it.
    pub fn start(guard: &Guard<'_>) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for _ in 0..5 {
            // Another test may take the port before the registry does; then there is another one.
            let free = TcpListener::bind("127.0.0.1:0").unwrap();
            let port = free.local_addr().unwrap().port();
            drop(free);
            let mut server = Self {
                child: spawn(&folder, port, guard),
                port,
                folder: tempfile::tempdir().unwrap(),
            };
            if server.answers() {
                server.folder = folder;
                return server;
            }
        }
        panic!("the registry does not start");
    }

    fn answers(&mut self) -> bool {
        let end = Instant::now() + Duration::from_secs(20);
        while Instant::now() < end {
            if self.child.try_wait().unwrap().is_some() {
                return false;
            }
            if TcpStream::connect(("127.0.0.1", self.port)).is_ok() {
                return true;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        false
    }

    /// Its host and port.
    pub fn address(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    /// A reference in it.
    pub fn reference(&self, name: &str) -> String {
        format!("oci:{}/{name}", self.address())
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn spawn(folder: &TempDir, port: u16, guard: &Guard<'_>) -> Child {
    let place = |name: &str| folder.path().join(name).display().to_string();
    let (auth, tls) = match guard {
        Guard::Open => (String::new(), String::new()),
        Guard::Password => {
            fs::write(place("users"), HASHED).unwrap();
            let users = place("users");
            (
                format!("auth: {{htpasswd: {{realm: barn, path: {users}}}}}\n"),
                String::new(),
            )
        }
        Guard::Token { realm, certificate } => (
            format!(
                "auth: {{token: {{realm: \"{realm}\", service: barn, issuer: owls, \
                 rootcertbundle: {certificate}}}}}\n"
            ),
            String::new(),
        ),
        Guard::Encrypted { certificate, key } => (
            String::new(),
            format!(", tls: {{certificate: {certificate}, key: {key}}}"),
        ),
    };
    let config = format!(
        "version: 0.1\nlog: {{level: error}}\nstorage: {{filesystem: {{rootdirectory: {}}}}}\n\
         http: {{addr: \"127.0.0.1:{port}\"{tls}}}\n{auth}",
        place("kept")
    );
    fs::write(place("config.yml"), config).unwrap();
    Command::new("docker-registry")
        .args(["serve", &place("config.yml")])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("docker-registry is missing: apt-get install docker-registry")
}
