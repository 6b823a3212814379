//! EXIF blocks made by hand, good and bad, and a JPEG head around them.

/// A value with its type's number (TIFF 6.0, section 2).
#[derive(Clone)]
pub(crate) enum Field {
    Text(&'static str),
    Short(u16),
    Long(u32),
    Rationals(Vec<[u32; 2]>),
    SignedRational([i32; 2]),
}

impl Field {
    fn kind(&self) -> u16 {
        match self {
            Self::Text(_) => 2,
            Self::Short(_) => 3,
            Self::Long(_) => 4,
            Self::Rationals(_) => 5,
            Self::SignedRational(_) => 10,
        }
    }

    fn count(&self) -> u32 {
        let count = match self {
            Self::Text(text) => text.len() + 1,
            Self::Rationals(list) => list.len(),
            Self::Short(_) | Self::Long(_) | Self::SignedRational(_) => 1,
        };
        u32::try_from(count).unwrap()
    }

    fn bytes(&self) -> Vec<u8> {
        match self {
            Self::Text(text) => [text.as_bytes(), b"\0"].concat(),
            Self::Short(number) => number.to_be_bytes().to_vec(),
            Self::Long(number) => number.to_be_bytes().to_vec(),
            Self::Rationals(list) => list.iter().flatten().flat_map(|number| number.to_be_bytes()).collect(),
            Self::SignedRational(pair) => pair.iter().flat_map(|number| number.to_be_bytes()).collect(),
        }
    }
}

pub(crate) type Entries = Vec<(u16, Field)>;

/// A TIFF block with its first directory, the one of settings and the one of the place.
pub(crate) fn block(mut first: Entries, settings: &[(u16, Field)], place: &[(u16, Field)]) -> Vec<u8> {
    // lengths do not depend on the offsets, so the places of the other two are known before they are written
    first.push((0x8769, Field::Long(0)));
    first.push((0x8825, Field::Long(0)));
    let settings_at = 8 + directory(&first, 8).len();
    let settings_bytes = directory(settings, settings_at);
    let place_at = settings_at + settings_bytes.len();
    let count = first.len();
    first[count - 2].1 = Field::Long(u32::try_from(settings_at).unwrap());
    first[count - 1].1 = Field::Long(u32::try_from(place_at).unwrap());
    let mut bytes = b"MM\0\x2a\0\0\0\x08".to_vec();
    bytes.extend(directory(&first, 8));
    bytes.extend(settings_bytes);
    bytes.extend(directory(place, place_at));
    bytes
}

fn directory(entries: &[(u16, Field)], at: usize) -> Vec<u8> {
    let mut head = u16::try_from(entries.len()).unwrap().to_be_bytes().to_vec();
    let mut data = Vec::new();
    let data_at = at + 2 + 12 * entries.len() + 4;
    for (code, field) in entries {
        head.extend(code.to_be_bytes());
        head.extend(field.kind().to_be_bytes());
        head.extend(field.count().to_be_bytes());
        let mut bytes = field.bytes();
        if bytes.len() <= 4 {
            bytes.resize(4, 0);
            head.extend(bytes);
        } else {
            head.extend(u32::try_from(data_at + data.len()).unwrap().to_be_bytes());
            bytes.resize(bytes.len().next_multiple_of(2), 0);
            data.extend(bytes);
        }
    }
    head.extend([0; 4]);
    head.extend(data);
    head
}

/// A JPEG of nothing but its head, with the block in it.
pub(crate) fn jpeg(block: &[u8]) -> Vec<u8> {
    let mut bytes = b"\xff\xd8\xff\xe1".to_vec();
    bytes.extend(u16::try_from(block.len() + 8).unwrap().to_be_bytes());
    bytes.extend(b"Exif\0\0");
    bytes.extend(block);
    bytes.extend(b"\xff\xd9");
    bytes
}
