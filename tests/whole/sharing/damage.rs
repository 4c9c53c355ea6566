//! Any byte of a pack or its signature changed, cut off or added.

use super::shop::Shop;
use super::small;
use hoopwright::sharing::{self, Pack, Taken, Trust, key};

/// Every bit of every byte.
#[test]
fn any_changed_bit_of_a_small_pack_shows() {
    let whole = small::pack().to_bytes().unwrap();
    assert_eq!(Pack::read(&whole).unwrap(), small::pack());
    for place in 0..whole.len() {
        for bit in 0..8 {
            let mut changed = whole.clone();
            changed[place] ^= 1 << bit;
            assert!(Pack::read(&changed).is_err(), "bit {bit} of byte {place}");
        }
    }
}

#[test]
fn any_byte_gone_or_added_shows() {
    let whole = small::pack().to_bytes().unwrap();
    for end in 0..whole.len() {
        assert!(Pack::read(&whole[..end]).is_err(), "cut at {end}");
        let mut without = whole.clone();
        without.remove(end);
        assert!(Pack::read(&without).is_err(), "without byte {end}");
        let mut with = whole.clone();
        with.insert(end, 0);
        assert!(Pack::read(&with).is_err(), "with a byte at {end}");
    }
    for tail in [&[0][..], &[0; 512], &[0; 1024], &whole[..512], &whole] {
        assert!(
            Pack::read(&[&whole[..], tail].concat()).is_err(),
            "{} more bytes",
            tail.len()
        );
        assert!(
            Pack::read(&[tail, &whole[..]].concat()).is_err(),
            "{} bytes before",
            tail.len()
        );
    }
}

/// A real pack, with real plugins: every byte of headers, manifest and seal, and bytes of the
/// carried files at a stride that meets every file and every place within a block.
#[test]
fn any_changed_byte_of_a_real_pack_shows() {
    let shop = Shop::with_routine("damage-real");
    shop.well("pack patches/routine.json --to routine.pack");
    let whole = shop.get("routine.pack");
    let pack = Pack::read(&whole).unwrap();
    let head = whole.len().min(3 * 512 + 4096);
    let mut places: Vec<usize> = (0..head).step_by(7).collect();
    let mut at = 0;
    while at + 512 <= whole.len() {
        // A header, found by its magic (POSIX.1-1988).
        if whole[at + 257..].starts_with(b"ustar\0") {
            places.extend((at..at + 512).step_by(97));
        }
        at += 512;
    }
    places.extend((head..whole.len()).step_by(whole.len() / 40 + 13));
    places.extend([whole.len() - 1, whole.len() - 600]);
    let mut changed = whole.clone();
    for place in places {
        changed[place] ^= 0x20;
        assert!(Pack::read(&changed).is_err(), "byte {place}");
        changed[place] ^= 0x20;
    }
    assert_eq!(Pack::read(&changed).unwrap(), pack);
}

/// Every bit of the signature's file, and the pack under it; nothing is taken, nothing written.
#[test]
fn any_changed_bit_of_a_signature_shows() {
    let shop = Shop::new("damage-signature");
    let made = key::make("Barn", key::Guard::None).unwrap();
    let secret = key::SecretKey::read::<String>(&String::from_utf8(made.secret).unwrap(), || {
        panic!("no password is needed")
    });
    let whole = small::pack().to_bytes().unwrap();
    let signature = sharing::sign(&whole, "owl.pack", &secret.unwrap()).unwrap();
    let mut trust = Trust::read(&shop.folder.join("trust.json")).unwrap();
    trust.add("Barn", made.key).unwrap();
    let pack = shop.folder.join("owl.pack");
    let open = || sharing::open(&pack, Taken::Signed(&trust));
    shop.put("owl.pack", &whole);
    shop.put("owl.pack.minisig", &signature);
    let (_, signer) = open().unwrap();
    assert_eq!(signer.unwrap().other_name, None);
    for place in 0..signature.len() {
        for bit in 0..8 {
            let mut changed = signature.clone();
            changed[place] ^= 1 << bit;
            shop.put("owl.pack.minisig", &changed);
            let problem = open().unwrap_err();
            assert!(
                ["signature-broken", "signer-unknown"].contains(&problem.code),
                "bit {bit} of byte {place}: {problem:?}"
            );
        }
        shop.put("owl.pack.minisig", &signature[..place]);
        assert!(open().is_err(), "cut at {place}");
    }
    shop.put("owl.pack.minisig", [&signature[..], b"\n"].concat());
    assert!(open().is_err());
    shop.put("owl.pack.minisig", [&signature[..], &signature].concat());
    assert!(open().is_err());
    shop.put("owl.pack.minisig", &signature);
    for place in (0..whole.len()).step_by(31) {
        let mut changed = whole.clone();
        changed[place] ^= 1;
        shop.put("owl.pack", &changed);
        assert_eq!(open().unwrap_err().code, "signature-broken", "byte {place}");
    }
}
