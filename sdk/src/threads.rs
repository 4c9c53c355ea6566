//! A design's threads, by what people call them.

use crate::Design;

impl Design {
    /// The place, in the design's threads, of the one whose code or name is `wanted`, as an object's
    /// `thread` takes it. A code counts before a name; capitals and small letters are the same.
    pub fn thread_called(&self, wanted: &str) -> Option<u32> {
        let wanted = wanted.trim();
        let same = |text: &str| text.trim().eq_ignore_ascii_case(wanted);
        let code = self.threads.iter().position(|thread| same(&thread.code));
        let place = code.or_else(|| self.threads.iter().position(|thread| same(&thread.name)))?;
        u32::try_from(place).ok()
    }
}

#[cfg(test)]
mod tests {
    use crate::{Design, Thread};

    fn thread(name: &str, code: &str) -> Thread {
        Thread {
            name: name.into(),
            code: code.into(),
            red: 0,
            green: 0,
            blue: 0,
            weight: 40,
        }
    }

    #[test]
    fn codes_count_before_names() {
        let mut design = Design::on_page(9.0, 9.0, Vec::new());
        design.threads = vec![thread("Soot", "S1"), thread("Moss", "soot")];
        assert_eq!(design.thread_called("SOOT"), Some(1));
        assert_eq!(design.thread_called(" s1 "), Some(0));
        assert_eq!(design.thread_called("moss"), Some(1));
        assert_eq!(design.thread_called("gold"), None);
    }
}
