//! Registries that want to know who asks, and that are encrypted.

use super::server::{Guard, PASSWORD, Server, USER};
use super::shop::{Said, Shop};
use std::fs;
use std::process::{Command, Stdio};

/// The password never shows, whatever happens.
fn discreet(said: &Said) {
    let all = format!("{}{}", said.out, said.err);
    assert!(!all.contains(PASSWORD), "{all}");
    // Nor in the form that it is sent in: base64 of "volunteer:barn-door-9" (RFC 7617).
    assert!(!all.contains("dm9sdW50ZWVyOmJhcm4tZG9vci05"), "{all}");
}

#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_password_opens_a_guarded_registry() {
    let registry = Server::start(&Guard::Password);
    let shop = Shop::new();
    let own = shop.own_step();
    let reference = registry.reference("barn/own:1");
    let right = [("HOOPWRIGHT_REGISTRY_PASSWORD", PASSWORD)];
    let wrong = [("HOOPWRIGHT_REGISTRY_PASSWORD", "hay-loft-3")];
    let push = format!("push {own} {reference} --notes --telling json");
    for (line, variables, words) in [
        (push.clone(), &[][..], "wants to know who asks"),
        (format!("{push} --user {USER}"), &[], "no-password"),
        (
            format!("{push} --user {USER}"),
            &wrong,
            "does not accept this user and password",
        ),
        (
            format!("{push} --user mouse"),
            &right,
            "does not accept this user and password",
        ),
        (
            format!("pull {reference}"),
            &right,
            "wants to know who asks",
        ),
    ] {
        let said = shop.says_with(&line, variables);
        assert_eq!(said.code, 1, "{line}");
        assert!(said.err.contains(words), "{line}: {}", said.err);
        discreet(&said);
    }
    let pushed = shop.says_with(&format!("{push} --user {USER}"), &right);
    assert_eq!(pushed.code, 0, "{}", pushed.err);
    discreet(&pushed);
    fs::write(shop.at("password"), format!("{PASSWORD}\n")).unwrap();
    let another = Shop::new();
    fs::copy(shop.at("password"), another.at("password")).unwrap();
    another.done(&format!(
        "pull {reference} --user {USER} --password-file password"
    ));
    // One password is not for two registries.
    let both = another.says_with(
        &format!("pull {reference} oci:other.invalid/own:1 --user {USER}"),
        &right,
    );
    assert_eq!(both.code, 1);
    assert!(both.err.contains("several-registries"), "{}", both.err);
}

/// A certificate for this computer, signed by itself, and its key.
fn certificate(shop: &Shop) -> (String, String) {
    let [key, certificate] =
        ["key.pem", "certificate.pem"].map(|name| shop.at(name).display().to_string());
    let status = Command::new("openssl")
        .args([
            "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2",
        ])
        .args(["-subj", "/CN=barn"])
        .args(["-addext", "subjectAltName=IP:127.0.0.1"])
        .args(["-addext", "basicConstraints=critical,CA:FALSE"])
        .args(["-keyout", &key, "-out", &certificate])
        .stderr(Stdio::null())
        .status()
        .expect("openssl is missing: apt-get install openssl");
    assert!(status.success());
    (certificate, key)
}

/// Certificates that this computer trusts are enough, a shop's own too; others are refused.
#[test]
#[ignore = "needs docker-registry and openssl; .ci/run installs them and runs this"]
fn an_encrypted_registry_must_be_trusted() {
    let shop = Shop::new();
    let (certificate, key) = certificate(&shop);
    let registry = Server::start(&Guard::Encrypted {
        certificate: &certificate,
        key: &key,
    });
    let line = format!("push align {} --https", registry.reference("barn/align:1"));
    let unknown = shop.says(&line);
    assert_eq!(unknown.code, 1);
    assert!(
        unknown.err.contains("cannot be spoken to safely"),
        "{}",
        unknown.err
    );
    // Where a computer's trusted certificates stand: OpenSSL's variable, which its tools share.
    let trusted = shop.says_with(&line, &[("SSL_CERT_FILE", &certificate)]);
    assert_eq!(trusted.code, 0, "{}", trusted.err);
}

/// A registry that sends to a token service: everybody may pull, the volunteer may push.
#[test]
#[ignore = "needs docker-registry and openssl; .ci/run installs them and runs this"]
fn a_token_service_is_asked() {
    let shop = Shop::new();
    let (certificate, key) = certificate(&shop);
    let realm = super::tokens::service(&certificate, &key);
    let registry = Server::start(&Guard::Token {
        realm: &realm,
        certificate: &certificate,
    });
    let reference = registry.reference("barn/own:1");
    let push = format!("push {} {reference}", shop.own_step());
    let unknown = shop.says(&push);
    assert_eq!(unknown.code, 1);
    assert!(
        unknown.err.contains("registry-unauthorised"),
        "{}",
        unknown.err
    );
    let right = [("HOOPWRIGHT_REGISTRY_PASSWORD", PASSWORD)];
    let known = shop.says_with(&format!("{push} --user {USER} --notes"), &right);
    assert_eq!(known.code, 0, "{}", known.err);
    discreet(&known);
    Shop::new().done(&format!("pull {reference}"));
}
