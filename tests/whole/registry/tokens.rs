//! A token service, as registries on the internet have one: everybody may pull, and who has the password
//! may push. Source: the distribution project's "Token Authentication Specification" and "Token
//! Authentication Implementation", sections "Requesting a Token" and "Getting a Bearer Token"; the
//! registry itself checks the tokens.

use super::server::{PASSWORD, USER};
use base64::Engine as _;
use base64::engine::general_purpose::{STANDARD, URL_SAFE_NO_PAD};
use std::fs;
use std::io::{BufRead as _, BufReader, Write as _};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::process::Command;
use std::time::{SystemTime, UNIX_EPOCH};

/// Starts the service, which signs with `key`; gives its address. Its thread ends with the test.
pub fn service(certificate: &str, key: &str) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}/token", listener.local_addr().unwrap());
    let (certificate, key) = (fs::read_to_string(certificate).unwrap(), key.to_owned());
    std::thread::spawn(move || {
        for client in listener.incoming().flatten() {
            answer(client, &certificate, &key);
        }
    });
    address
}

fn answer(mut client: TcpStream, certificate: &str, key: &str) {
    let lines: Vec<String> = BufReader::new(&client)
        .lines()
        .map_while(Result::ok)
        .take_while(|line| !line.is_empty())
        .collect();
    let path = lines[0].split(' ').nth(1).unwrap_or_default().to_owned();
    let asked = |name: &str| {
        let query = path.split_once('?').map_or("", |(_, query)| query);
        let mut pairs = query.split('&').filter_map(|pair| pair.split_once('='));
        let value = pairs.find(|(key, _)| *key == name).map(|(_, value)| value);
        value
            .unwrap_or_default()
            .replace("%3A", ":")
            .replace("%2F", "/")
            .replace("%2C", ",")
    };
    assert_eq!(asked("service"), "barn", "{path}");
    let scope = asked("scope");
    let parts: Vec<&str> = scope.split(':').collect();
    let [kind, name, actions] = parts[..] else {
        panic!("{scope} is no scope");
    };
    let pair = STANDARD.encode(format!("{USER}:{PASSWORD}"));
    let known = lines
        .iter()
        .any(|line| line.eq_ignore_ascii_case(&format!("authorization: Basic {pair}")));
    let granted: Vec<&str> = actions
        .split(',')
        .filter(|&action| known || action == "pull")
        .collect();
    let now = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .unwrap()
        .as_secs();
    let body = certificate
        .lines()
        .filter(|line| !line.starts_with("---"))
        .collect::<String>();
    let head = serde_json::json!({"typ": "JWT", "alg": "RS256", "x5c": [body]});
    let claims = serde_json::json!({
        "iss": "owls", "sub": if known { USER } else { "" }, "aud": "barn",
        "nbf": now - 60, "iat": now, "exp": now + 300, "jti": "1",
        "access": [{"type": kind, "name": name, "actions": granted}],
    });
    let [head, claims] = [head, claims].map(|part| URL_SAFE_NO_PAD.encode(part.to_string()));
    let signed = format!("{head}.{claims}");
    let signature = URL_SAFE_NO_PAD.encode(sign(signed.as_bytes(), key));
    let text = serde_json::json!({"token": format!("{signed}.{signature}")}).to_string();
    let length = text.len();
    let head = format!("HTTP/1.1 200 OK\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n");
    let _ = client.write_all(format!("{head}{text}").as_bytes());
    let _ = client.shutdown(Shutdown::Both);
}

/// RS256, RFC 7518, section 3.3.
fn sign(bytes: &[u8], key: &str) -> Vec<u8> {
    let file = tempfile::NamedTempFile::new().unwrap();
    fs::write(file.path(), bytes).unwrap();
    let output = Command::new("openssl")
        .args(["dgst", "-sha256", "-sign", key])
        .arg(file.path())
        .output()
        .unwrap();
    assert!(output.status.success());
    output.stdout
}
