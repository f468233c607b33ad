//! Files put into one, as they are: a zip without compression (PKWARE, APPNOTE.TXT 6.3.10, sections 4.3.7, 4.3.12 and 4.3.16).
//! The page's own compression makes it small on the way. Holds less than 4 GiB; knows no record.

/// The date that stands beside each file, 1 January 1980, so that the same book gives the same bytes.
const DATE: u16 = (1 << 5) | 1;
/// Flag that names are UTF-8 (bit 11).
const FLAGS: u16 = 1 << 11;
/// The version of the format that is needed: 2.0.
const NEEDED: u16 = 20;

/// A number too large for the format.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TooLarge;

/// A zip file that is being written.
#[derive(Debug, Default)]
pub struct Zip {
    out: Vec<u8>,
    directory: Vec<u8>,
    count: u16,
}

fn small(length: usize) -> Result<u16, TooLarge> {
    u16::try_from(length).map_err(|_| TooLarge)
}

fn large(length: usize) -> Result<u32, TooLarge> {
    u32::try_from(length).map_err(|_| TooLarge)
}

fn put16(to: &mut Vec<u8>, numbers: &[u16]) {
    for number in numbers {
        to.extend_from_slice(&number.to_le_bytes());
    }
}

fn put32(to: &mut Vec<u8>, numbers: &[u32]) {
    for number in numbers {
        to.extend_from_slice(&number.to_le_bytes());
    }
}

impl Zip {
    /// Adds a file.
    ///
    /// # Errors
    /// The file, or all of them, are 4 GiB or more.
    pub fn add(&mut self, name: &str, content: &[u8]) -> Result<(), TooLarge> {
        let (at, length) = (large(self.out.len())?, large(content.len())?);
        let mut about = Vec::new();
        put16(&mut about, &[NEEDED, FLAGS, 0, 0, DATE]);
        put32(&mut about, &[crc32fast::hash(content), length, length]);
        put16(&mut about, &[small(name.len())?, 0]);
        put32(&mut self.out, &[0x0403_4b50]);
        self.out.extend_from_slice(&about);
        self.out.extend_from_slice(name.as_bytes());
        self.out.extend_from_slice(content);
        put32(&mut self.directory, &[0x0201_4b50]);
        put16(&mut self.directory, &[NEEDED]);
        self.directory.extend_from_slice(&about);
        put16(&mut self.directory, &[0, 0, 0]);
        put32(&mut self.directory, &[0, at]);
        self.directory.extend_from_slice(name.as_bytes());
        self.count = self.count.checked_add(1).ok_or(TooLarge)?;
        Ok(())
    }

    /// The whole zip.
    ///
    /// # Errors
    /// It is 4 GiB or more.
    pub fn finish(mut self) -> Result<Vec<u8>, TooLarge> {
        let (at, length) = (large(self.out.len())?, large(self.directory.len())?);
        self.out.append(&mut self.directory);
        put32(&mut self.out, &[0x0605_4b50]);
        put16(&mut self.out, &[0, 0, self.count, self.count]);
        put32(&mut self.out, &[length, at]);
        put16(&mut self.out, &[0]);
        Ok(self.out)
    }
}
