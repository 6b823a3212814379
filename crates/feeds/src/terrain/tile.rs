use quantity::wrap_degrees_360;

use super::TileName;
use crate::FeedError;

/// Posts along a side at 1 and at 3 seconds of arc; both edges are in the tile.
const SIDES: [usize; 2] = [3601, 1201];
const BYTES_OF_A_POST: usize = 2;
/// The mark of a post without a height.
const VOID: i16 = -32768;
/// Heights of land and sea bottoms that dry out, m: the shore of the Dead Sea and the highest mountain, with room.
const HEIGHTS_M: std::ops::RangeInclusive<i16> = -500..=9000;
/// Largest share of posts outside those heights; more means that the bytes are not what they seem.
const MOST_ODD: f64 = 0.01;

/// One square degree of heights, m above the sea (EGM96).
///
/// Posts run from the north-west corner along the parallels; big-endian 16-bit integers, -32768 for none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HgtTile {
    name: TileName,
    side: usize,
    posts_m: Vec<i16>,
}

impl HgtTile {
    /// Reads a tile. Its corner is in the file's name, its spacing in its size. Heights no place on Earth has are voids.
    ///
    /// # Errors
    ///
    /// A name that is no corner, a size that is no tile, a ZIP archive, or heights that are no heights.
    pub fn parse(bytes: &[u8], file_name: &str) -> Result<Self, FeedError> {
        let bad = |problem: String| FeedError::BadTile { source_name: file_name.to_owned(), problem };
        if bytes.starts_with(b"PK\x03\x04") {
            return Err(bad("it is packed (ZIP)".to_owned()));
        }
        let name = TileName::of_file(file_name)?;
        let side = SIDES.into_iter().find(|side| side * side * BYTES_OF_A_POST == bytes.len());
        let side = side.ok_or_else(|| {
            let sizes = SIDES.map(|side| side * side * BYTES_OF_A_POST);
            bad(format!("it has {} bytes; a tile has {} or {}", bytes.len(), sizes[1], sizes[0]))
        })?;
        let mut posts_m: Vec<i16> =
            bytes.as_chunks::<BYTES_OF_A_POST>().0.iter().map(|&post| i16::from_be_bytes(post)).collect();
        let is_odd = |height: i16| height != VOID && !HEIGHTS_M.contains(&height);
        let odd: Vec<i16> = posts_m.iter().copied().filter(|&height| is_odd(height)).collect();
        if let Some(first) = odd.first().filter(|_| odd.len() as f64 > MOST_ODD * posts_m.len() as f64) {
            return Err(bad(format!("{} of its heights are such as {first} m; are its bytes swapped?", odd.len())));
        }
        for post in &mut posts_m {
            if is_odd(*post) {
                *post = VOID;
            }
        }
        Ok(Self { name, side, posts_m })
    }

    /// Its square degree.
    pub fn name(&self) -> TileName {
        self.name
    }

    /// Distance between posts, seconds of arc: 1 or 3.
    pub fn spacing_arcsec(&self) -> f64 {
        3600.0 / (self.side - 1) as f64
    }

    /// Height at a place, m, bilinear between the four posts around it; none outside the tile or beside a void.
    pub fn height_m(&self, latitude_deg: f64, longitude_deg: f64) -> Option<f64> {
        let last = (self.side - 1) as f64;
        let row = (self.name.south_deg() + 1.0 - latitude_deg) * last;
        let column = wrap_degrees_360(longitude_deg - self.name.west_deg()) * last;
        // a place on the far edge may lie beyond it by the rounding of its coordinates
        let within = |at: f64| (-1e-6..=last + 1e-6).contains(&at).then(|| at.clamp(0.0, last));
        let (row, column) = (within(row)?, within(column)?);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within the tile")]
        let (north, west) = (row.min(last - 1.0) as usize, column.min(last - 1.0) as usize);
        let (down, right) = (row - north as f64, column - west as f64);
        let mut height = 0.0;
        for (row, column, weight) in [
            (north, west, (1.0 - down) * (1.0 - right)),
            (north, west + 1, (1.0 - down) * right),
            (north + 1, west, down * (1.0 - right)),
            (north + 1, west + 1, down * right),
        ] {
            if weight > 0.0 {
                height += weight * self.post_m(row, column)?;
            }
        }
        Some(height)
    }

    fn post_m(&self, row: usize, column: usize) -> Option<f64> {
        let post = *self.posts_m.get(row * self.side + column)?;
        (post != VOID).then(|| f64::from(post))
    }
}
