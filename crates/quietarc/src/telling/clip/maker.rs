//! Pictures in order, evened out and packed piece by piece.

use std::collections::VecDeque;
use std::ops::Range;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use job::{ClipPicture, DEFLICKER_REACH, FrameLevel, deflicker_gains};

use super::clock;
use super::encoder::Piece;
use super::progress::ClipProgress;
use super::small::{Making, Small};
use super::work::{Taken, Work};
use super::{ClipFollower, ClipTask};
use crate::failure::Failure;

/// Frames of a piece: four seconds of the clip, which is what a run that is killed may have to pack again.
const PIECE_FRAMES: usize = 100;
/// Frames that a factor looks ahead: the reach of the smooth course, and the neighbours that a step is measured on.
const AHEAD: usize = DEFLICKER_REACH + 3;
/// Time between two looks at an encoder that is ending.
const LOOKED_EVERY: Duration = Duration::from_millis(10);
/// Background taken for a first frame without any light.
const DARK: f64 = 1e-4;

/// Pieces of so many frames.
pub(super) fn pieces(frames: usize) -> usize {
    frames.div_ceil(PIECE_FRAMES)
}

/// A picture that waits for its successors.
struct Waiting {
    /// Its frame.
    number: usize,
    /// Its place among the frames shown.
    place: usize,
    picture: ClipPicture,
}

/// What is being packed.
pub(super) struct Maker<'a> {
    making: &'a Making<'a>,
    task: &'a ClipTask<'a>,
    work: &'a Work,
    sky: Vec<bool>,
    /// Every frame so far.
    taken: Vec<Taken>,
    /// Frames shown so far, those of finished pieces included.
    levels: Vec<FrameLevel>,
    /// Whether all frames name their settings; otherwise none counts.
    by_settings: bool,
    waiting: VecDeque<Waiting>,
    piece: usize,
    open: Option<Piece>,
    /// A piece that has all its pictures and is still being packed.
    closing: Option<(usize, Piece)>,
    progress: ClipProgress,
    rgb: Vec<u8>,
}

impl<'a> Maker<'a> {
    pub(super) fn new(making: &'a Making<'a>, task: &'a ClipTask<'a>, work: &'a Work, sky: Vec<bool>) -> Self {
        let by_settings = making.items.iter().all(|item| item.exposure.is_some());
        let mut maker = Self {
            making,
            task,
            work,
            sky,
            taken: Vec::new(),
            levels: Vec::new(),
            by_settings,
            waiting: VecDeque::new(),
            piece: 0,
            open: None,
            closing: None,
            progress: ClipProgress::new(0, making.items.len(), task.noted_every),
            rgb: Vec::new(),
        };
        while let Some(taken) = work.finished(maker.piece).filter(|taken| taken.len() == maker.range(maker.piece).len())
        {
            if taken.is_empty() {
                break;
            }
            for frame in taken {
                if let Some(background) = frame.background {
                    maker.levels.push(maker.level(maker.taken.len(), background));
                }
                maker.taken.push(frame);
            }
            maker.piece += 1;
        }
        maker.progress = ClipProgress::new(maker.begun(), making.items.len(), task.noted_every);
        maker
    }

    /// Frames that are packed already.
    pub(super) fn begun(&self) -> usize {
        self.taken.len()
    }

    fn range(&self, piece: usize) -> Range<usize> {
        let all = self.making.items.len();
        (piece * PIECE_FRAMES).min(all)..((piece + 1) * PIECE_FRAMES).min(all)
    }

    fn level(&self, number: usize, background: [f64; 3]) -> FrameLevel {
        let exposure = self.making.items.get(number).and_then(|item| item.exposure).filter(|_| self.by_settings);
        FrameLevel { background, exposure }
    }

    /// Takes a frame in, and packs those whose successors are known.
    pub(super) fn take(&mut self, number: usize, small: Small, follower: &ClipFollower<'_>) -> Result<(), Failure> {
        if self.task.stop.load(Ordering::Relaxed) {
            return Ok(());
        }
        match small {
            Ok(picture) => {
                let before = self.levels.last().map_or([DARK; 3], |level| level.background);
                let background = picture.background(&self.sky).unwrap_or(before);
                self.waiting.push_back(Waiting { number, place: self.levels.len(), picture });
                self.levels.push(self.level(number, background));
                self.taken.push(Taken { left_out: None, background: Some(background), gains: None });
            }
            Err(why) => {
                let name = self.making.items.get(number).map_or_else(String::new, |item| item.name.clone());
                (follower.note)(&format!("left out: {name}: {why}"));
                self.taken.push(Taken { left_out: Some((name, why)), background: None, gains: None });
                self.progress.pass();
            }
        }
        let ahead = if self.task.request.even_exposure { AHEAD } else { 0 };
        while self.waiting.front().is_some_and(|first| first.place + ahead < self.levels.len()) {
            self.pack_first(follower)?;
        }
        Ok(())
    }

    fn pack_first(&mut self, follower: &ClipFollower<'_>) -> Result<(), Failure> {
        let Some(Waiting { number, place, picture }) = self.waiting.pop_front() else { return Ok(()) };
        let gains = self.gains(place)?;
        self.advance_to(number / PIECE_FRAMES, follower)?;
        let clip_px = self.making.geometry.clip_px;
        picture.shown(&self.making.geometry, gains, &mut self.rgb);
        let item = self.making.items.get(number);
        if let Some(taken) = item.and_then(|item| item.taken.as_ref()).filter(|_| self.task.request.clock) {
            clock::write(taken, self.task.utc_offset_s, &mut self.rgb, clip_px)?;
        }
        if self.open.is_none() {
            let part = self.work.part(self.piece);
            self.open = Some(Piece::begin(&part, self.task.request, clip_px, self.progress.packed())?);
        }
        if let Some(open) = &mut self.open {
            open.push(&self.rgb)?;
        }
        if let Some(taken) = self.taken.get_mut(number) {
            taken.gains = Some(gains);
        }
        self.tell(follower);
        Ok(())
    }

    fn tell(&mut self, follower: &ClipFollower<'_>) {
        if let Some(news) = self.progress.news(Instant::now()) {
            (follower.packed)(&news);
        }
    }

    /// Factors of a frame, by its neighbours alone: the same in whatever run they are asked for.
    fn gains(&self, place: usize) -> Result<[f64; 3], Failure> {
        if !self.task.request.even_exposure {
            return Ok([1.0; 3]);
        }
        let from = place.saturating_sub(AHEAD);
        let around = self.levels.get(from..(place + AHEAD + 1).min(self.levels.len())).unwrap_or_default();
        let found = deflicker_gains(around).map_err(|error| {
            Failure::new(format!("exposure cannot be evened out: {error}"), "leave --even-exposure out")
        })?;
        Ok(found.gains.get(place - from).copied().unwrap_or([1.0; 3]))
    }

    /// Ends the pieces before this one.
    fn advance_to(&mut self, piece: usize, follower: &ClipFollower<'_>) -> Result<(), Failure> {
        while self.piece < piece {
            self.finish_closing(follower)?;
            match self.open.take() {
                Some(mut open) => {
                    open.close();
                    self.closing = Some((self.piece, open));
                }
                None => self.keep(self.piece)?,
            }
            self.piece += 1;
        }
        Ok(())
    }

    fn finish_closing(&mut self, follower: &ClipFollower<'_>) -> Result<(), Failure> {
        if let Some((number, mut piece)) = self.closing.take() {
            // the encoder still has frames in hand: what it says of them is passed on
            while !piece.is_ended() {
                self.tell(follower);
                std::thread::sleep(LOOKED_EVERY);
            }
            piece.finish()?;
            self.keep(number)?;
        }
        Ok(())
    }

    fn keep(&self, piece: usize) -> Result<(), Failure> {
        self.work.finish(piece, self.taken.get(self.range(piece)).unwrap_or_default())
    }

    /// Gives up what is not whole; the pieces that are closed are kept.
    pub(super) fn stop(mut self, follower: &ClipFollower<'_>) -> Result<(), Failure> {
        self.finish_closing(follower)
    }

    /// Packs the rest, and gives what became of every frame.
    pub(super) fn finish(mut self, follower: &ClipFollower<'_>) -> Result<Vec<Taken>, Failure> {
        while !self.waiting.is_empty() {
            self.pack_first(follower)?;
        }
        self.advance_to(pieces(self.making.items.len()), follower)?;
        self.finish_closing(follower)?;
        Ok(self.taken)
    }
}
