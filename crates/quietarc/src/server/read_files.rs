//! What a reading is made of and what can be taken along: frames in small, tables and drawings.

use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, X_CONTENT_TYPE_OPTIONS};
use axum::response::IntoResponse;
use draw::{KeogramStyle, Palette, picture_png};
use frame::Limits;
use job::{OpenedPicture, ReadKeogram, ReadReport};
use quantity::Timestamp;
use serde::Serialize;

use super::Shared;
use super::api::{Answer, aside};
use super::frame_pictures::{For, png};
use super::night::locked;
use super::read_api::{Which, report_of};
use super::refusal::{AskQuery, Refusal};
use crate::Failure;
use crate::reading::{FrameAt, Told, frames_of, light_table, periods_table, spectra_table};
use crate::sorting::{content_hash, real_folder};

/// Longest side of a frame beside the keogram, px.
const SMALL_PX: usize = 640;
/// Pixels of a PNG over those of the drawing, as the command saves it.
const PNG_SCALE: f32 = 2.0;

/// A frame of a reading.
#[derive(Serialize)]
pub(super) struct FrameRow {
    at: Timestamp,
    name: String,
    /// Its picture's word in the address: it changes with the file.
    key: String,
}

/// Frames of a reading in order of time.
#[derive(Serialize)]
pub(super) struct FrameRows {
    frames: Vec<FrameRow>,
    /// Why there is none, and what to do about it.
    problem: Option<String>,
    remedy: Option<String>,
}

/// A word for one picture of one file as it is now.
fn key(frame: &FrameAt) -> String {
    let changed = std::fs::metadata(&frame.path).and_then(|about| about.modified()).ok();
    content_hash(format!("{}|{}|{changed:?}", frame.path.display(), frame.inner).as_bytes())
}

/// The frames of a reading; of a kept one where its folder is still there and may be looked at.
fn frames(shared: &Shared, which: Which, report: &ReadReport) -> Result<Arc<Vec<FrameAt>>, Failure> {
    match which {
        Which::Current => Ok(Arc::new(shared.reads.current().map_or_else(Vec::new, |read| read.frames()))),
        Which::Kept(id) => {
            let mut known = locked(&shared.reads.of_kept);
            if let Some((_, frames)) = known.as_ref().filter(|(of, _)| *of == id) {
                return Ok(Arc::clone(frames));
            }
            let request = &report.request;
            // readings of older versions kept a name alone
            let inputs = if request.inputs.is_empty() { std::slice::from_ref(&request.name) } else { &request.inputs };
            let inputs = inputs.iter().map(|input| {
                let real = real_folder(&PathBuf::from(input))?;
                shared.nights.folders.admit(&real)?;
                Ok(real)
            });
            let inputs = inputs.collect::<Result<Vec<_>, Failure>>()?;
            let told = Told { utc_offset_s: request.utc_offset_s, start: None };
            let found = Arc::new(frames_of(&inputs, told)?);
            *known = Some((id, Arc::clone(&found)));
            Ok(found)
        }
    }
}

pub(super) async fn list(State(shared): State<Shared>, Path(name): Path<String>) -> Answer<FrameRows> {
    let which = Which::named(&name)?;
    let report = report_of(&shared, which).await?;
    aside(move || {
        Ok::<_, Failure>(match frames(&shared, which, &report) {
            Ok(frames) => {
                let row = |frame: &FrameAt| {
                    let name = frame.path.file_name().unwrap_or(frame.path.as_os_str()).to_string_lossy();
                    FrameRow { at: frame.at, name: name.into_owned(), key: key(frame) }
                };
                FrameRows { frames: frames.iter().map(row).collect(), problem: None, remedy: None }
            }
            Err(failure) => {
                FrameRows { frames: Vec::new(), problem: Some(failure.message), remedy: Some(failure.hint) }
            }
        })
    })
    .await
    .map(Json)
}

pub(super) async fn small(
    State(shared): State<Shared>,
    Path((name, wanted)): Path<(String, String)>,
    AskQuery(eyes): AskQuery<For>,
) -> Result<impl IntoResponse, Refusal> {
    let palette = eyes.palette();
    if let Some(known) = shared.nights.pictures.known_small(&wanted, palette) {
        return Ok(png(known.to_vec()));
    }
    let which = Which::named(&name)?;
    let report = report_of(&shared, which).await?;
    let permit = shared.nights.pictures.turn().await?;
    let made = aside(move || {
        let _permit = permit;
        let frames = frames(&shared, which, &report)?;
        let frame = frames.iter().find(|frame| key(frame) == wanted);
        let frame = frame.ok_or_else(|| Failure::new("this frame has changed or is gone", "read the folder again"))?;
        let made: Arc<[u8]> = picture(frame, palette)?.into();
        shared.nights.pictures.keep_small(&wanted, palette, &made);
        Ok::<_, Failure>(made)
    })
    .await?;
    Ok(png(made.to_vec()))
}

fn picture(frame: &FrameAt, palette: Palette) -> Result<Vec<u8>, Failure> {
    let unread = |error: job::UnreadablePicture| Failure::new(error.to_string(), error.hint());
    let bytes = crate::frame_file::read(&frame.path)?;
    let opened = if frame.inner == 0 {
        OpenedPicture::open(&bytes, true).map_err(unread)?
    } else {
        let (mut at, mut found) = (0, None);
        let walked = raw::open_each(&bytes, &Limits::default(), &mut |one| {
            if at == frame.inner {
                found = one.ok();
                return ControlFlow::Break(());
            }
            at += 1;
            ControlFlow::Continue(())
        });
        walked.map_err(|error| Failure::new(error.to_string(), error.hint()))?;
        let frame = found.ok_or_else(|| Failure::new("this frame is not in its file any more", "read it again"))?;
        OpenedPicture::of(frame).map_err(unread)?
    };
    let small = opened.small(SMALL_PX).map_err(unread)?;
    Ok(picture_png([small.width, small.height], &small.rgb, palette))
}

/// A table or drawing of a reading, as the command writes it.
pub(super) async fn file(
    State(shared): State<Shared>,
    Path((name, file)): Path<(String, String)>,
) -> Result<impl IntoResponse, Refusal> {
    let report = report_of(&shared, Which::named(&name)?).await?;
    let wanted = file.clone();
    let made = aside(move || made(&report, &wanted)).await?;
    let (kind, bytes) = made.ok_or_else(|| Refusal::not_found(&format!("{file} of this reading")))?;
    let headers = [
        (CONTENT_TYPE, kind.to_owned()),
        // one of the names known to `made`
        (CONTENT_DISPOSITION, format!("attachment; filename=\"quietarc-{file}\"")),
        (X_CONTENT_TYPE_OPTIONS, "nosniff".to_owned()),
    ];
    Ok((headers, bytes))
}

/// Kind and content; none for a name that is not known, or a drawing there is not.
fn made(report: &ReadReport, file: &str) -> Result<Option<(&'static str, Vec<u8>)>, Failure> {
    let drawn = |drawn: Option<&ReadKeogram>| {
        drawn.map(|line| draw::keogram(line, &report.scale_words(), &KeogramStyle { palette: Palette::Day }))
    };
    let svg = |line: Option<&ReadKeogram>| drawn(line).map(|svg| ("image/svg+xml", svg.into_bytes()));
    let png = |line: Option<&ReadKeogram>| {
        drawn(line).map(|svg| Ok(("image/png", crate::raster::png(&svg, PNG_SCALE)?))).transpose()
    };
    let csv = |table: crate::sorting::Table| {
        let mut bytes = Vec::new();
        table
            .write_csv(&mut bytes)
            .map_err(|error| Failure::new(format!("the table cannot be made: {error}"), "report this as a bug"))?;
        Ok(Some(("text/csv; charset=utf-8", bytes)))
    };
    match file {
        "light.csv" => Ok(Some(("text/csv; charset=utf-8", light_table(report)?))),
        "spectra.csv" => csv(spectra_table(report)),
        "periods.csv" => csv(periods_table(report)),
        "keogram.svg" => Ok(svg(report.keogram.as_ref())),
        "keogram.png" => png(report.keogram.as_ref()),
        "ewogram.svg" => Ok(svg(report.ewogram.as_ref())),
        "ewogram.png" => png(report.ewogram.as_ref()),
        _unknown => Ok(None),
    }
}
