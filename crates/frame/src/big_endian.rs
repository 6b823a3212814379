/// Two bytes, the greater first; `None` past the end.
pub(crate) fn be_u16(bytes: &[u8], at: usize) -> Option<u16> {
    bytes.get(at..)?.first_chunk().copied().map(u16::from_be_bytes)
}

/// Four bytes, the greater first; `None` past the end.
pub(crate) fn be_u32(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..)?.first_chunk().copied().map(u32::from_be_bytes)
}
