//! temp
use crate::Frame;
/// temp
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Metadata {}
pub(crate) fn attach(_frame: &mut Frame, _bytes: &[u8]) {}
