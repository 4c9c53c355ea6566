//! Keys, signatures and trust.

use super::shop::Shop;
use super::small;
use hoopwright::sharing::key::{Guard, PublicKey, SecretKey, make};
use hoopwright::sharing::{Signature, sign, signature_of};
use std::path::Path;

/// The key and the signature of the word "test" that the crate minisign-verify 0.3 publishes in its
/// own documentation (docs.rs/minisign-verify, "Basic Usage"), made with the minisign program.
const PUBLISHED_KEY: &str = "RWQf6LRCGA9i53mlYecO4IzT51TGPpvWucNSCh1CBM0QTaLn73Y7GFO3";
const PUBLISHED: &str = "untrusted comment: signature from minisign secret key
RUQf6LRCGA9i559r3g7V1qNyJDApGip8MfqcadIgT9CuhV3EMhHoN1mGTkUidF/z7SrlQgXdy8ofjb7bNJJylDOocrCo8KLzZwo=
trusted comment: timestamp:1633700835\tfile:test\tprehashed
wLMDjy9FLAuxZ3q4NlEvkgtyhrr0gtTu6KC4KBJdITbbOeAi1zBIYo0v4iTgt8jJpIidRJnp94ABQkJAgAooBQ==
";
/// A signature of the old kind by the same key, from the same crate's tests.
const PUBLISHED_OLD: &str = "untrusted comment: signature from minisign secret key
RWQf6LRCGA9i59SLOFxz6NxvASXDJeRtuZykwQepbDEGt87ig1BNpWaVWuNrm73YiIiJbq71Wi+dP9eKL8OC351vwIasSSbXxwA=
trusted comment: timestamp:1555779966\tfile:test
QtKMXWyYcwdpZAlPF7tE2ENJkRd1ujvKjlj1m9RtHTBnZPa5WKU5uWRs5GoP5M/VqE81QFuMKI5k/SfNQUaOAA==
";

fn secret(file: &[u8], password: Option<&str>) -> Result<SecretKey, String> {
    SecretKey::read(std::str::from_utf8(file).unwrap(), || {
        password
            .map(str::to_owned)
            .ok_or_else(|| "asked".to_owned())
    })
}

#[test]
fn a_published_signature_holds() {
    let key = PublicKey::parse(PUBLISHED_KEY).unwrap();
    let signature = Signature::read(PUBLISHED.as_bytes()).unwrap();
    assert!(signature.claims(&key));
    assert_eq!(signature.is_by(&key, b"test"), Ok(()));
    assert_eq!(signature.file_name(), Some("test"));
    assert!(signature.is_by(&key, b"Test").is_err());
    let other = make("Other", Guard::None).unwrap().key;
    assert!(!signature.claims(&other));
    assert!(signature.is_by(&other, b"test").is_err());
    // As minisign shows it in the first line of its public key.
    assert_eq!(key.number(), "E7620F1842B4E81F");
    assert!(Signature::read(PUBLISHED_OLD.as_bytes()).is_err());
}

/// The signed text is the file's name and digest, and nothing that changes.
#[test]
fn what_is_signed_has_no_time_in_it() {
    let made = make("Barn", Guard::None).unwrap();
    let key = secret(&made.secret, None).unwrap();
    let comment = |bytes: Vec<u8>| {
        let text = String::from_utf8(bytes).unwrap();
        text.lines().nth(2).unwrap().to_owned()
    };
    let one = sign(b"owl", "owl.pack", &key).unwrap();
    let two = sign(b"owl", "owl.pack", &key).unwrap();
    assert_eq!(comment(one.clone()), comment(two));
    // SHA-256 of "owl" by Python's hashlib.
    assert_eq!(
        comment(one.clone()),
        "trusted comment: file:owl.pack\tsha256:10f7127b980b0b06ef157749f8a02cca1c606d22642729dcb2d24dbbf2bf30df"
    );
    let signature = Signature::read(&one).unwrap();
    assert_eq!(signature.is_by(&made.key, b"owl"), Ok(()));
    assert_eq!(signature.file_name(), Some("owl.pack"));
    assert_eq!(
        signature_of(Path::new("a/owl.pack")),
        Path::new("a/owl.pack.minisig")
    );
}

#[test]
fn a_password_guards_the_secret_key() {
    let made = make("Barn", Guard::Password("stitch".to_owned())).unwrap();
    assert!(secret(&made.secret, Some("stitch")).is_ok());
    let wrong = secret(&made.secret, Some("sitch")).err().unwrap();
    assert!(wrong.contains("password"), "{wrong}");
    assert_eq!(secret(&made.secret, None).err().unwrap(), "asked");
    assert!(make("Barn", Guard::Password(String::new())).is_err());
    let file = String::from_utf8(made.secret).unwrap();
    for broken in ["", "one line", "a\nb\n", &file[..file.len() - 9]] {
        assert!(
            secret(broken.as_bytes(), Some("stitch")).is_err(),
            "{broken}"
        );
    }
}

#[test]
fn a_public_key_is_read_strictly() {
    let file =
        format!("untrusted comment: minisign public key E7620F1842B4E81F\n{PUBLISHED_KEY}\n");
    assert_eq!(PublicKey::parse(&file), PublicKey::parse(PUBLISHED_KEY));
    let changed = PUBLISHED_KEY.replacen("RWQ", "RUQ", 1);
    let short = &PUBLISHED_KEY[..52];
    let twice = format!("{PUBLISHED_KEY}\n{PUBLISHED_KEY}");
    for bad in [
        "",
        "RW",
        "not a key",
        short,
        &changed,
        &twice,
        PUBLISHED,
        &format!("{file}more\n"),
    ] {
        assert!(PublicKey::parse(bad).is_err(), "{bad}");
    }
}

#[test]
fn a_key_is_written_for_its_owner_alone_and_never_over_another() {
    let shop = Shop::new("key-files");
    let told = shop.well("key Barn --to keys/barn.key --no-password");
    let secret = shop.get("keys/barn.key");
    let public = String::from_utf8(shop.get("keys/barn.key.pub")).unwrap();
    let key = public.lines().nth(1).unwrap();
    assert!(told.contains(key), "{told}");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = |path: &str| {
            shop.folder
                .join(path)
                .metadata()
                .unwrap()
                .permissions()
                .mode()
        };
        assert_eq!(mode("keys/barn.key") & 0o777, 0o600);
        assert_eq!(mode("keys/barn.key.pub") & 0o777, 0o644);
    }
    let why = shop.refused("key Barn --to keys/barn.key --no-password");
    assert!(why.contains("is there already"), "{why}");
    assert_eq!(shop.get("keys/barn.key"), secret);
    let why = shop.refused("key Barn --to keys/other.key");
    assert!(why.contains("HOOPWRIGHT_PASSWORD"), "{why}");
    assert!(!shop.has("keys/other.key") && !shop.has("keys/other.key.pub"));
}

#[test]
fn trust_is_by_name_and_key() {
    let shop = Shop::new("trust");
    shop.well("key Barn --to barn.key --no-password");
    shop.well("key Night --to night.key --no-password");
    assert_eq!(shop.well("trust --list"), "");
    let told = shop.well("trust Barn barn.key.pub");
    assert!(
        told.starts_with("\"Barn\" is trusted from now on, by key "),
        "{told}"
    );
    assert!(shop.home.join("config/hoopwright/trust.json").exists());
    for again in [
        "trust Barn barn.key.pub",
        "trust Owl barn.key.pub",
        "trust Barn night.key.pub",
        "trust barn night.key.pub",
    ] {
        let why = shop.refused(again);
        assert!(why.contains("already"), "{again}: {why}");
    }
    assert_eq!(shop.does("trust Night").code, 2);
    assert!(
        shop.refused("trust Night nonsense")
            .contains("not a public key")
    );
    shop.well(&format!("trust Night {PUBLISHED_KEY}"));
    let list = shop.well("trust --list");
    assert!(
        list.contains(&format!("{PUBLISHED_KEY}  Night\n")),
        "{list}"
    );
    assert_eq!(list.lines().count(), 2);
    assert!(
        shop.refused("trust --remove Day")
            .contains("\"Day\" is not trusted")
    );
    shop.well("trust --remove Night");
    assert_eq!(shop.well("trust --list").lines().count(), 1);
    // A trust file that cannot be read trusts nobody.
    let file = shop.home.join("config/hoopwright/trust.json");
    let whole = std::fs::read_to_string(&file).unwrap();
    for broken in [
        "",
        "{}",
        &whole.replace("\"form\": 1", "\"form\": 2"),
        &whole.replace("RW", "RX"),
    ] {
        std::fs::write(&file, broken).unwrap();
        assert!(
            shop.refused("trust --list")
                .contains("this is not a trust file"),
            "{broken}"
        );
        assert!(
            shop.refused("trust Night night.key.pub")
                .contains("this is not a trust file")
        );
        assert_eq!(std::fs::read_to_string(&file).unwrap(), broken);
    }
}

/// Signed by a trusted shop, by another, by nobody, and with another pack's signature.
#[test]
fn only_what_a_trusted_shop_signed_is_taken() {
    let shop = Shop::new("trust-unpack");
    shop.put("owl.pack", small::pack().to_bytes().unwrap());
    let unpack = "unpack owl.pack --into new";
    let why = shop.refused(unpack);
    assert!(
        why.contains("error[unsigned]") && why.contains("--unsigned"),
        "{why}"
    );
    let made = make("Barn", Guard::None).unwrap();
    let key = secret(&made.secret, None).unwrap();
    let bytes = shop.get("owl.pack");
    shop.put("owl.pack.minisig", sign(&bytes, "owl.pack", &key).unwrap());
    for option in ["", " --unsigned"] {
        let why = shop.refused(&format!("{unpack}{option}"));
        assert!(
            why.contains("error[signer-unknown]") && why.contains(&made.key.number()),
            "{why}"
        );
    }
    assert!(
        shop.well("inspect owl.pack")
            .contains("which is not trusted here")
    );
    let other = make("Night", Guard::None).unwrap().key;
    shop.well(&format!("trust Night {other} --trust mine.json"));
    assert!(
        shop.refused(&format!("{unpack} --trust mine.json"))
            .contains("signer-unknown")
    );
    shop.well(&format!("trust Barn {} --trust mine.json", made.key));
    assert!(shop.refused(unpack).contains("signer-unknown"));
    shop.put(
        "owl.pack.minisig",
        sign(b"another pack", "owl.pack", &key).unwrap(),
    );
    for option in ["", " --unsigned"] {
        let why = shop.refused(&format!("{unpack} --trust mine.json{option}"));
        assert!(why.contains("error[signature-broken]"), "{why}");
    }
    assert!(!shop.has("new"));
    shop.put(
        "owl.pack.minisig",
        sign(&bytes, "older.pack", &key).unwrap(),
    );
    let done = shop.does(&format!("{unpack} --trust mine.json"));
    assert_eq!(done.code, 0);
    assert!(
        done.err.contains("signed under another name: older.pack"),
        "{}",
        done.err
    );
    assert!(done.out.contains("signed by Barn"), "{}", done.out);
}
