//! Checksums of the files of a pack, in the form that `sha256sum -c` reads.

use std::fmt::Write as _;

use sha2::{Digest as _, Sha256};

use crate::PackFile;

/// The name of the list.
pub(crate) const NAME: &str = "manifest.sha256";

/// One line for each file: SHA-256 (FIPS 180-4) in hexadecimal, two blanks, name.
pub(crate) fn list(files: &[PackFile]) -> String {
    let mut text = String::new();
    for file in files {
        for byte in Sha256::digest(&file.bytes) {
            // Writing into a string does not fail.
            let _ = write!(text, "{byte:02x}");
        }
        let _ = writeln!(text, "  {}", file.name);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-2, appendix B.1: the digest of "abc".
    #[test]
    fn the_checksum_of_abc_is_the_published_one() {
        let file = |name: &str, bytes: &[u8]| PackFile {
            name: name.to_owned(),
            what: String::new(),
            bytes: bytes.to_vec(),
        };
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(list(&[file("a.txt", b"abc")]), format!("{abc}  a.txt\n"));
        assert_eq!(list(&[file("a", b"abc"), file("b", b"")]).lines().count(), 2);
    }
}
