//! Clocks that go wrong. What is up to date is told by contents, never by times.

use super::shop::{Shop, all};
use crate::live::{Loop, drawing, folder, save};
use std::fs::{self, File};
use std::path::Path;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// Sets the time at which a file was changed last.
fn set(path: &Path, time: SystemTime) {
    let file = File::options().append(true).open(path).unwrap();
    file.set_modified(time).unwrap();
}

#[test]
fn a_batch_goes_by_contents() {
    let shop = Shop::new();
    fs::create_dir(shop.at("art")).unwrap();
    shop.draw("art/a.svg", 9);
    shop.draw("art/b.svg", 10);
    let line = "batch old.json art --hold-at never --into out";
    assert!(shop.says(line).out.contains("2 sewn"));
    let future = SystemTime::now() + Duration::from_secs(3650 * 86400);
    for (art, out) in [
        (future, UNIX_EPOCH),
        (UNIX_EPOCH, future),
        (UNIX_EPOCH, UNIX_EPOCH),
        (future, future),
    ] {
        for name in all(&shop.at("art")).keys() {
            set(&shop.at("art").join(name), art);
        }
        for name in all(&shop.at("out")).keys() {
            set(&shop.at("out").join(name), out);
        }
        set(&shop.at("old.json"), art);
        let said = shop.says(line);
        assert!(said.out.contains("2 unchanged"), "{}", said.out);
        // One is drawn anew by a clock that stands where the last drawing's did, and is as long.
        let other = if fs::read_to_string(shop.at("art/a.svg"))
            .unwrap()
            .contains("\"9\"")
        {
            7
        } else {
            9
        };
        shop.draw("art/a.svg", other);
        set(&shop.at("art/a.svg"), art);
        let said = shop.says(line);
        assert!(said.out.contains("1 sewn, 1 unchanged"), "{}", said.out);
    }
}

#[test]
fn the_live_loop_sees_a_change_whose_time_goes_backwards() {
    for more in [&[][..], &["--look-every", "1"]] {
        let live = Loop::start(folder(&format!("clock{}", more.len())), more);
        live.wait_for_picture(1);
        let picture = live.picture();
        let art = live.path("art/art.svg");
        let time = fs::metadata(&art).unwrap().modified().unwrap();
        // As long as before, and with the same time.
        save(&art, &drawing(11, 20));
        set(&art, time);
        live.wait_for_picture(2);
        assert_ne!(live.picture(), picture);
        fs::write(&art, drawing(10, 20)).unwrap();
        set(&art, UNIX_EPOCH);
        live.wait_for_picture(3);
        assert_eq!(live.picture(), picture);
    }
}
