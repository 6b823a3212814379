//! Our SVG drawings as PNG.

use std::sync::{Arc, OnceLock};

use resvg::{tiny_skia, usvg};

use crate::Failure;

/// Latin, Greek and arrows of DejaVu Sans 2.37, so that pictures have letters on a bare server. Licence beside it.
const FONT: &[u8] = include_bytes!("../fonts/DejaVuSans-latin.ttf");
/// Largest picture drawn, pixels along one side.
const LARGEST_PX: f32 = 8192.0;

fn fonts() -> Arc<usvg::fontdb::Database> {
    static FONTS: OnceLock<Arc<usvg::fontdb::Database>> = OnceLock::new();
    Arc::clone(FONTS.get_or_init(|| {
        let mut database = usvg::fontdb::Database::new();
        database.load_font_data(FONT.to_vec());
        database.set_sans_serif_family("DejaVu Sans");
        database.set_serif_family("DejaVu Sans");
        database.set_monospace_family("DejaVu Sans");
        Arc::new(database)
    }))
}

/// Draws an SVG at `scale` times its own size.
///
/// # Errors
///
/// The SVG is not one, or the picture would be larger than 8192 pixels.
pub(crate) fn png(svg: &str, scale: f32) -> Result<Vec<u8>, Failure> {
    drawn(svg, scale)?.encode_png().map_err(|error| bug(format!("the picture cannot be encoded: {error}")))
}

/// Draws an SVG at `scale` times its own size on black: width and height, and red, green and blue row by row.
///
/// # Errors
///
/// As [`png`].
pub(crate) fn rgb(svg: &str, scale: f32) -> Result<([usize; 2], Vec<u8>), Failure> {
    let canvas = drawn(svg, scale)?;
    let size_px = [canvas.width() as usize, canvas.height() as usize];
    // colours are multiplied with their cover: without it they lie on black
    let pixels = canvas.data().as_chunks::<4>().0.iter();
    Ok((size_px, pixels.flat_map(|[red, green, blue, _cover]| [*red, *green, *blue]).collect()))
}

/// A drawing as pixels, row by row: red, green, blue and cover, the colours multiplied with the cover already.
pub(crate) struct Pixels {
    pub(crate) width: usize,
    pub(crate) rgba: Vec<u8>,
}

/// Draws an SVG at its own size, to be laid over a picture.
///
/// # Errors
///
/// As [`png`].
pub(crate) fn pixels(svg: &str) -> Result<Pixels, Failure> {
    let canvas = drawn(svg, 1.0)?;
    Ok(Pixels { width: canvas.width() as usize, rgba: canvas.take() })
}

fn bug(what: String) -> Failure {
    Failure::new(what, "save the SVG instead, and report this as a bug")
}

fn drawn(svg: &str, scale: f32) -> Result<tiny_skia::Pixmap, Failure> {
    let options = usvg::Options { fontdb: fonts(), font_family: "DejaVu Sans".to_owned(), ..usvg::Options::default() };
    let tree =
        usvg::Tree::from_str(svg, &options).map_err(|error| bug(format!("the drawing cannot be read: {error}")))?;
    let (width, height) = (tree.size().width() * scale, tree.size().height() * scale);
    if !(width <= LARGEST_PX && height <= LARGEST_PX) {
        return Err(Failure::new(
            format!("a picture of {width:.0} x {height:.0} pixels is too large"),
            "ask for 8192 pixels at most",
        ));
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to be at most 8192 and at least 0"
    )]
    let (width, height) = (width.ceil() as u32, height.ceil() as u32);
    let mut canvas = tiny_skia::Pixmap::new(width, height).ok_or_else(|| bug("the drawing has no size".to_owned()))?;
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut canvas.as_mut());
    Ok(canvas)
}
