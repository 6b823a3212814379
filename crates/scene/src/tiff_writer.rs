//! A TIFF structure, little-endian: the shell of EXIF blocks and DNG files.

/// A value with its type (TIFF 6.0, section 2).
#[derive(Debug, Clone)]
pub(crate) enum Field {
    Bytes(Vec<u8>),
    Text(String),
    Shorts(Vec<u16>),
    Longs(Vec<u32>),
    Rationals(Vec<[u32; 2]>),
    SignedRationals(Vec<[i32; 2]>),
    Undefined(Vec<u8>),
    /// Place of a directory, filled in when it is known.
    Directory(Directory),
    /// Place of the data behind all directories.
    DataAt,
}

/// Entries of a directory.
#[derive(Debug, Clone, Default)]
pub(crate) struct Directory {
    entries: Vec<(u16, Field)>,
}

impl Directory {
    pub(crate) fn add(&mut self, tag: u16, field: Field) {
        self.entries.push((tag, field));
    }

    /// The whole structure with the directory first, and the place at which data may be put behind it.
    pub(crate) fn file(mut self) -> Vec<u8> {
        self.sort();
        let length = 8 + self.length();
        let data_at = length.next_multiple_of(2);
        let mut bytes = b"II\x2a\0\x08\0\0\0".to_vec();
        bytes.resize(data_at, 0);
        self.write(&mut bytes, 8, data_at);
        bytes
    }

    /// Tags must rise (TIFF 6.0, section 2).
    fn sort(&mut self) {
        self.entries.sort_by_key(|(tag, _)| *tag);
        for (_, field) in &mut self.entries {
            if let Field::Directory(below) = field {
                below.sort();
            }
        }
    }

    fn own_length(&self) -> usize {
        2 + 12 * self.entries.len() + 4
    }

    /// Bytes of the directory with its values and those below it.
    fn length(&self) -> usize {
        let behind = self.entries.iter().map(|(_, field)| match field {
            Field::Directory(below) => below.length(),
            other => Some(other.bytes(0).len()).filter(|length| *length > 4).map_or(0, |n| n.next_multiple_of(2)),
        });
        (self.own_length() + behind.sum::<usize>()).next_multiple_of(2)
    }

    fn write(&self, bytes: &mut [u8], at: usize, data_at: usize) {
        let mut behind = at + self.own_length();
        put(bytes, at, &u16::try_from(self.entries.len()).unwrap_or(u16::MAX).to_le_bytes());
        for (i, (tag, field)) in self.entries.iter().enumerate() {
            let entry = at + 2 + 12 * i;
            put(bytes, entry, &tag.to_le_bytes());
            put(bytes, entry + 2, &field.kind().to_le_bytes());
            put(bytes, entry + 4, &long(field.count()));
            if let Field::Directory(below) = field {
                put(bytes, entry + 8, &long(behind));
                below.write(bytes, behind, data_at);
                behind += below.length();
                continue;
            }
            let value = field.bytes(data_at);
            if value.len() <= 4 {
                put(bytes, entry + 8, &value);
            } else {
                put(bytes, entry + 8, &long(behind));
                put(bytes, behind, &value);
                behind += value.len().next_multiple_of(2);
            }
        }
    }
}

impl Field {
    fn kind(&self) -> u16 {
        match self {
            Self::Bytes(_) => 1,
            Self::Text(_) => 2,
            Self::Shorts(_) => 3,
            Self::Longs(_) | Self::Directory(_) | Self::DataAt => 4,
            Self::Rationals(_) => 5,
            Self::Undefined(_) => 7,
            Self::SignedRationals(_) => 10,
        }
    }

    fn count(&self) -> usize {
        match self {
            Self::Bytes(bytes) | Self::Undefined(bytes) => bytes.len(),
            Self::Text(text) => text.len() + 1,
            Self::Shorts(list) => list.len(),
            Self::Longs(list) => list.len(),
            Self::Rationals(list) => list.len(),
            Self::SignedRationals(list) => list.len(),
            Self::Directory(_) | Self::DataAt => 1,
        }
    }

    fn bytes(&self, data_at: usize) -> Vec<u8> {
        match self {
            Self::Bytes(bytes) | Self::Undefined(bytes) => bytes.clone(),
            Self::Text(text) => [text.as_bytes(), b"\0"].concat(),
            Self::Shorts(list) => list.iter().flat_map(|number| number.to_le_bytes()).collect(),
            Self::Longs(list) => list.iter().flat_map(|number| number.to_le_bytes()).collect(),
            Self::Rationals(list) => list.iter().flatten().flat_map(|number| number.to_le_bytes()).collect(),
            Self::SignedRationals(list) => list.iter().flatten().flat_map(|number| number.to_le_bytes()).collect(),
            Self::DataAt => long(data_at).to_vec(),
            Self::Directory(_) => vec![0; 4],
        }
    }
}

fn long(number: usize) -> [u8; 4] {
    u32::try_from(number).unwrap_or(u32::MAX).to_le_bytes()
}

fn put(bytes: &mut [u8], at: usize, value: &[u8]) {
    if let Some(place) = bytes.get_mut(at..at + value.len()) {
        place.copy_from_slice(value);
    }
}
