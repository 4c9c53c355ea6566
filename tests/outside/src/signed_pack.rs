//! A signed pack that was changed on its way.

use crate::Subject;
use arbitrary::{Result, Unstructured};
use hoopwright::sharing::key::{self, Guard, PublicKey, SecretKey};
use hoopwright::sharing::{Fingerprint, Pack, PackPath, Taken, Trust, open, sign, signature_of};
use serde_json::json;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::LazyLock;

/// Changes of one sound pack and its signature. The file is the list of them: five bytes for each, two
/// for the place, one for what is done there, one for the byte, and one that is not used.
pub const SUBJECT: Subject = Subject {
    name: "signed_pack",
    make: any,
    wrongs,
    seeds: &[],
};

/// A public key as minisign writes it: the one that the documentation of the crate minisign-verify
/// gives as its example.
pub const PUBLIC_KEY: &str = "RWQf6LRCGA9i53mlYecO4IzT51TGPpvWucNSCh1CBM0QTaLn73Y7GFO3";

/// How many bytes stand for a change.
const CHANGE: usize = 5;

fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut changes = Vec::new();
    for _ in 0..bytes.int_in_range(1..=4)? {
        changes.extend(bytes.arbitrary::<[u8; CHANGE]>()?);
    }
    Ok(changes)
}

/// A pack that is signed and trusted.
struct Sent {
    pack: Vec<u8>,
    signature: Vec<u8>,
    key: PublicKey,
}

/// The key is another in every process: nothing that is said here depends on it.
static SENT: LazyLock<std::result::Result<Sent, String>> = LazyLock::new(|| {
    let plugin = b"\0asm, not really";
    let lock = json!({ "form": 1, "steps": [{
        "step": "nudge", "version": "1.0.0", "contract": "0.1.1",
        "source": { "file": "steps/nudge.wasm" },
        "sha256": Fingerprint::of(plugin),
    }] });
    let files = [
        ("owl.json", b"{\"steps\":[{\"step\":\"nudge\"}]}".to_vec()),
        ("owl.lock.json", lock.to_string().into_bytes()),
        ("steps/nudge.wasm", plugin.to_vec()),
    ];
    let files = files
        .into_iter()
        .map(|(path, bytes)| Ok((PackPath::parse(path)?, bytes)));
    let files = files.collect::<std::result::Result<BTreeMap<_, _>, String>>()?;
    let pack = Pack::new("Barn owl patch", &PackPath::parse("owl.json")?, files);
    let pack = pack.map_err(|why| why.join("; "))?.to_bytes()?;
    let made = key::make("The rescue", Guard::None)?;
    let secret = String::from_utf8(made.secret).map_err(|error| error.to_string())?;
    let secret = SecretKey::read(&secret, || Err::<String, String>("no password".to_owned()))?;
    let signature = sign(&pack, "owl.pack", &secret)?;
    Ok(Sent {
        pack,
        signature,
        key: made.key,
    })
});

/// What was changed is never taken; what was not, is.
fn wrongs(file: &[u8]) -> Vec<String> {
    match &*SENT {
        Ok(sent) => after_changes(sent, file).unwrap_or_else(|why| vec![why]),
        Err(why) => vec![format!("no pack could be signed: {why}")],
    }
}

fn after_changes(sent: &Sent, changes: &[u8]) -> std::result::Result<Vec<String>, String> {
    let mut pack = sent.pack.clone();
    let mut signature = sent.signature.clone();
    for change in changes.chunks_exact(CHANGE) {
        let place = usize::from(u16::from_le_bytes([change[0], change[1]]));
        // Every second change is one of the signature, which is shorter.
        let bytes = if change[2] & 1 == 0 {
            &mut pack
        } else {
            &mut signature
        };
        let at = place % (bytes.len() + 1);
        match (change[2] >> 1) % 6 {
            0 if at < bytes.len() => bytes[at] = change[3],
            1 => bytes.truncate(at),
            2 => bytes.insert(at, change[3]),
            3 if at < bytes.len() => drop(bytes.remove(at)),
            4 if at < bytes.len() => bytes[at] ^= 1 << (change[3] % 8),
            _ => {}
        }
    }
    let wrong = |error: std::io::Error| error.to_string();
    let folder = tempfile::tempdir().map_err(wrong)?;
    let path = folder.path().join("owl.pack");
    std::fs::write(&path, &pack).map_err(wrong)?;
    std::fs::write(signature_of(&path), &signature).map_err(wrong)?;
    let mut trust =
        Trust::read(&folder.path().join("trust.json")).map_err(|error| error.message)?;
    trust
        .add("The rescue", sent.key.clone())
        .map_err(|error| error.message)?;
    let whole = pack == sent.pack && signature == sent.signature;
    let mut wrongs = Vec::new();
    for taken in [Taken::Signed(&trust), Taken::UnsignedToo(&trust)] {
        match (open(&path, taken), whole) {
            (Ok(_), false) => wrongs.push("a changed pack is taken".to_owned()),
            (Err(why), true) => wrongs.push(format!("a whole pack is refused: {why:?}")),
            (Err(why), false) => {
                wrongs.extend(crate::told::refusal(&why.into(), Path::new(""), ""))
            }
            (Ok(_), true) => {}
        }
    }
    Ok(wrongs)
}
