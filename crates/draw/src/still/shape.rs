//! Sizes of stills and their safe areas.

/// Proportions of a still.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StillShape {
    /// 16:9, for television and desks.
    Wide,
    /// 9:16, for phones held upright.
    Tall,
}

/// Lines of a still: of a tall one, its columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StillLines {
    /// 1080.
    Hd,
    /// 2160.
    Uhd,
}

/// Width and height of a still and its areas, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StillSize {
    /// Columns.
    pub width: f64,
    /// Rows.
    pub height: f64,
}

/// A rectangle on a still, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SafeArea {
    /// From the left edge.
    pub left: f64,
    /// From the top edge.
    pub top: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

/// Share of width and height in which action is safe: EBU R 95 and SMPTE ST 2046-1.
const ACTION_SAFE: f64 = 0.93;
/// Share in which titles are: the same.
const TITLE_SAFE: f64 = 0.90;

impl StillSize {
    /// Pixels of a shape and a number of lines.
    pub fn of(shape: StillShape, lines: StillLines) -> Self {
        let (short, long) = match lines {
            StillLines::Hd => (1080.0, 1920.0),
            StillLines::Uhd => (2160.0, 3840.0),
        };
        match shape {
            StillShape::Wide => Self { width: long, height: short },
            StillShape::Tall => Self { width: short, height: long },
        }
    }

    /// Where action is safe: 93 % of width and height in the middle.
    ///
    /// # Source
    ///
    /// EBU R 95, SMPTE ST 2046-1, for 16:9; taken over for 9:16, for which there is no standard (phones' own buttons may hide more).
    pub fn action_safe(self) -> SafeArea {
        self.middle(ACTION_SAFE)
    }

    /// Where titles are safe: 90 % of width and height in the middle; same sources.
    pub fn title_safe(self) -> SafeArea {
        self.middle(TITLE_SAFE)
    }

    fn middle(self, share: f64) -> SafeArea {
        let rim = 0.5 * (1.0 - share);
        SafeArea {
            left: rim * self.width,
            top: rim * self.height,
            width: share * self.width,
            height: share * self.height,
        }
    }
}

impl SafeArea {
    /// Right edge.
    pub fn right(self) -> f64 {
        self.left + self.width
    }

    /// Lower edge.
    pub fn bottom(self) -> f64 {
        self.top + self.height
    }
}
