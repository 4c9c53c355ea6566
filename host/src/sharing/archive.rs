//! Files in one archive, the same bytes for the same files.
//!
//! The form is ustar (POSIX.1-1988, "tar interchange format"), uncompressed, so that a pack can be
//! looked into everywhere and cannot grow when it is opened. Every header holds the same mode, owner
//! and time; there is one way to write a list of files, and [`super::Pack`] refuses any other.

use super::limits::{FILE_MIB, FILES, PACK_MIB};
use tar::{Archive, Builder, EntryType, Header};

/// Two files of a pack are its own, besides those that it carries.
const ENTRIES: usize = FILES + 2;

/// Writes files into an archive, in the order given.
///
/// # Errors
/// A path that no header holds, as a sentence.
pub(super) fn write<'a>(
    files: impl IntoIterator<Item = (&'a str, &'a [u8])>,
) -> Result<Vec<u8>, String> {
    let mut builder = Builder::new(Vec::new());
    for (path, bytes) in files {
        let wrong = |error: std::io::Error| format!("{path} does not fit into a pack: {error}");
        let mut header = Header::new_ustar();
        header.set_entry_type(EntryType::Regular);
        header.set_path(path).map_err(wrong)?;
        header.set_mode(0o644);
        header.set_uid(0);
        header.set_gid(0);
        header.set_mtime(0);
        header.set_size(bytes.len() as u64);
        header.set_cksum();
        builder.append(&header, bytes).map_err(wrong)?;
    }
    builder.into_inner().map_err(|error| error.to_string())
}

/// The files in an archive, in its order. Nothing is copied, so that a header which lies about a
/// size costs nothing.
///
/// # Errors
/// Why this is not an archive of plain files, as the end of a sentence that begins with its name.
pub(super) fn read(archive: &[u8]) -> Result<Vec<(String, &[u8])>, String> {
    let broken = |error: std::io::Error| format!("is not a whole archive: {error}");
    if archive.len() as u64 > PACK_MIB << 20 {
        return Err(format!("is larger than {PACK_MIB} MiB"));
    }
    let mut files = Vec::new();
    let mut reader = Archive::new(archive);
    // Raw: extensions of the form, such as long names and links, count as entries of their own.
    for entry in reader.entries().map_err(broken)?.raw(true) {
        let entry = entry.map_err(broken)?;
        let header = entry.header();
        let path = String::from_utf8(header.path_bytes().into_owned())
            .map_err(|_| "holds a path that is not UTF-8".to_owned())?;
        let shown = path.escape_debug();
        if header.as_ustar().is_none() || header.entry_type() != EntryType::Regular {
            return Err(format!("holds \"{shown}\", which is not a plain file"));
        }
        if files.len() == ENTRIES {
            return Err(format!("holds more than {FILES} files"));
        }
        let size = header.entry_size().map_err(broken)?;
        if size > FILE_MIB << 20 {
            return Err(format!(
                "holds \"{shown}\", which is larger than {FILE_MIB} MiB"
            ));
        }
        let start = entry.raw_file_position();
        let bytes = start
            .checked_add(size)
            .and_then(|end| archive.get(usize::try_from(start).ok()?..usize::try_from(end).ok()?))
            .ok_or_else(|| format!("ends within \"{shown}\""))?;
        files.push((path, bytes));
    }
    Ok(files)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_written_is_read() {
        let files: [(&str, &[u8]); 3] = [("b", b"two"), ("a/c", b""), ("a/d", &[7; 513])];
        let archive = write(files).expect("an archive");
        assert_eq!(archive, write(files).expect("an archive"));
        assert_eq!(archive.len() % 512, 0);
        let read = read(&archive).expect("files");
        assert_eq!(read, files.map(|(path, bytes)| (path.to_owned(), bytes)));
    }

    /// The offsets and values of the header's fields, from POSIX.1-1988 (IEEE 1003.1), "ustar
    /// Interchange Format", as the GNU tar manual's chapter "Basic Tar Format" prints them.
    #[test]
    fn a_header_is_as_the_standard_has_it() {
        let archive = write([("owl/owl.json", &b"{}"[..])]).expect("an archive");
        let field = |from: usize, to: usize| &archive[from..to];
        assert_eq!(field(0, 13), b"owl/owl.json\0");
        assert_eq!(field(100, 108), b"0000644\0");
        assert_eq!(field(124, 136), b"00000000002\0");
        assert_eq!(field(136, 148), b"00000000000\0");
        assert_eq!(field(156, 157), b"0");
        assert_eq!(field(257, 265), b"ustar\x0000");
        let sum: u64 = (0..512)
            .map(|at| {
                if (148..156).contains(&at) {
                    32
                } else {
                    u64::from(archive[at])
                }
            })
            .sum();
        assert_eq!(field(148, 156), format!("{sum:07o}\0").as_bytes());
        assert_eq!(archive.len(), 512 + 512 + 1024);
    }
}
