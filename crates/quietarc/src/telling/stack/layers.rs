//! The frames, looked at as many times as needed: for their stars, for what is usual, and to be put together.

use job::{AlignedFrame, ClipPicture, SkippedFrame, StackKind, StackReference, StackedPicture};
use sequence::{BrightestStack, MeanStack, StackMoments};

use super::{Base, Follower, Made, StackProgress, StackStep, StackTask, other_setting};
use crate::failure::Failure;
use crate::telling::order::{Item, open};
use crate::telling::pipeline::in_order;

/// What all looks share.
pub(super) struct Layers<'a> {
    pub(super) task: &'a StackTask<'a>,
    pub(super) items: &'a [Item],
    pub(super) base: &'a Base,
    pub(super) follower: &'a Follower<'a>,
    pub(super) progress: &'a StackProgress<'a>,
}

/// A frame that is taken, and how its sky lies.
struct Taken {
    number: usize,
    turn: [[f64; 3]; 3],
    residual_px: f64,
}

/// A turn that leaves everything where it is.
const STILL: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

impl Layers<'_> {
    pub(super) fn put_together(&self) -> Result<Made, Failure> {
        match (&self.base.sky, self.task.request.kind) {
            (Some(sky), StackKind::Mean) => self.mean(sky),
            (Some(sky), StackKind::BrightestSky) => self.brightest_sky(sky),
            (_, StackKind::Trails) | (None, _) => self.trails(),
        }
    }

    fn mean(&self, sky: &StackReference) -> Result<Made, Failure> {
        let (taken, mut left_out) = self.aligned(sky)?;
        let pixels = self.base.own.pixels().len();
        let mut moments = StackMoments::new(pixels);
        let lost = self.each(StackStep::Learn, &taken, |picture, frame| {
            sky.each_sky_pixel(picture, &frame.turn, |pixel, light| moments.push(pixel, light));
        })?;
        // a frame that opened before and does not now is told once
        let taken: Vec<Taken> =
            taken.into_iter().filter(|frame| lost.iter().all(|(number, _)| *number != frame.number)).collect();
        left_out.extend(lost.into_iter().map(|(_, skipped)| skipped));
        let limits = moments.limits(self.task.request.clip_sigmas);
        let mut stack = MeanStack::new(pixels);
        let lost = self.each(StackStep::Add, &taken, |picture, frame| {
            sky.each_sky_pixel(picture, &frame.turn, |pixel, light| stack.push(pixel, light, &limits));
        })?;
        let picture = StackedPicture::of_mean(sky, &self.base.own, &stack);
        Ok(self.made(picture, &taken, left_out, &lost, Some(stack.clipped_share())))
    }

    fn brightest_sky(&self, sky: &StackReference) -> Result<Made, Failure> {
        let (taken, left_out) = self.aligned(sky)?;
        let mut stack = BrightestStack::new(self.base.own.pixels().len());
        let lost = self.each(StackStep::Add, &taken, |picture, frame| {
            sky.each_sky_pixel(picture, &frame.turn, |pixel, light| stack.push(pixel, light));
        })?;
        let picture = StackedPicture::of_brightest_sky(sky, &self.base.own, stack);
        Ok(self.made(picture, &taken, left_out, &lost, None))
    }

    fn trails(&self) -> Result<Made, Failure> {
        let own = self.items.get(self.base.number);
        let (mut taken, mut left_out) = (Vec::new(), Vec::new());
        for (number, item) in self.items.iter().enumerate() {
            match own.and_then(|own| other_setting(item, own)) {
                Some(reason) => left_out.push(self.told(item, reason)),
                None => taken.push(Taken { number, turn: STILL, residual_px: 0.0 }),
            }
        }
        let mut stack = BrightestStack::new(self.base.own.pixels().len());
        let lost = self.each(StackStep::Add, &taken, |picture, _frame| {
            picture.pixels().iter().enumerate().for_each(|(pixel, light)| stack.push(pixel, *light));
        })?;
        let picture = StackedPicture::of_trails(self.base.own.size_px, stack);
        let mut made = self.made(picture, &taken, left_out, &lost, None);
        made.residuals_px.clear();
        Ok(made)
    }

    fn made(
        &self,
        picture: StackedPicture,
        taken: &[Taken],
        mut left_out: Vec<SkippedFrame>,
        lost: &[(usize, SkippedFrame)],
        clipped_share: Option<f64>,
    ) -> Made {
        let kept = |frame: &&Taken| lost.iter().all(|(number, _)| *number != frame.number);
        let taken: Vec<&Taken> = taken.iter().filter(kept).collect();
        left_out.extend(lost.iter().map(|(_, skipped)| skipped.clone()));
        Made {
            picture,
            taken: taken.iter().map(|frame| frame.number).collect(),
            residuals_px: taken
                .iter()
                .filter(|frame| frame.number != self.base.number)
                .map(|frame| frame.residual_px)
                .collect(),
            left_out,
            clipped_share,
        }
    }

    /// Finds the stars of every frame and lays them on those of the reference.
    fn aligned(&self, sky: &StackReference) -> Result<(Vec<Taken>, Vec<SkippedFrame>), Failure> {
        let own = self.items.get(self.base.number);
        let own_time = own.and_then(|own| own.taken.as_ref());
        let align = |number: usize| -> Result<AlignedFrame, String> {
            let item = self.items.get(number).ok_or("it is no frame of the stack")?;
            if let Some(reason) = own.and_then(|own| other_setting(item, own)) {
                return Err(reason);
            }
            let seconds = item
                .taken
                .as_ref()
                .zip(own_time)
                .map(|(taken, own)| taken.local.duration_since(own.local).as_secs_f64());
            sky.align(&open(item)?, seconds)
        };
        let (mut taken, mut left_out) = (Vec::new(), Vec::new());
        let all = self.items.len();
        self.progress.step(StackStep::Align, 0, all);
        in_order(0..all, self.task.workers, self.task.stop, &align, |number, aligned| -> Result<(), Failure> {
            match aligned {
                Ok(frame) => {
                    taken.push(Taken { number, turn: frame.alignment.turn, residual_px: frame.alignment.residual_px });
                }
                Err(reason) => {
                    if let Some(item) = self.items.get(number) {
                        left_out.push(self.told(item, reason));
                    }
                }
            }
            self.progress.step(StackStep::Align, number + 1, all);
            Ok(())
        })?;
        Ok((taken, left_out))
    }

    /// Opens the frames taken once more; gives those that could not be, by number.
    fn each(
        &self,
        step: StackStep,
        taken: &[Taken],
        mut take: impl FnMut(&ClipPicture, &Taken),
    ) -> Result<Vec<(usize, SkippedFrame)>, Failure> {
        let geometry = &self.base.geometry;
        let make = |place: usize| -> Result<ClipPicture, String> {
            let item = taken.get(place).and_then(|frame| self.items.get(frame.number));
            let frame = open(item.ok_or("it is no frame of the stack")?)?;
            let [width, height] = frame.displayed_size();
            if [width, height] != geometry.frame_px {
                let [wanted_width, wanted_height] = geometry.frame_px;
                return Err(format!("{width} x {height} px, and the others have {wanted_width} x {wanted_height} px"));
            }
            ClipPicture::of(&frame, geometry, self.base.colours).map_err(|error| error.to_string())
        };
        let mut lost = Vec::new();
        self.progress.step(step, 0, taken.len());
        in_order(0..taken.len(), self.task.workers, self.task.stop, &make, |place, picture| -> Result<(), Failure> {
            let Some(frame) = taken.get(place) else { return Ok(()) };
            match picture {
                Ok(picture) => take(&picture, frame),
                Err(reason) => {
                    if let Some(item) = self.items.get(frame.number) {
                        lost.push((frame.number, self.told(item, reason)));
                    }
                }
            }
            self.progress.step(step, place + 1, taken.len());
            Ok(())
        })?;
        Ok(lost)
    }

    fn told(&self, item: &Item, reason: String) -> SkippedFrame {
        (self.follower.note)(&format!("left out: {}: {reason}", item.name));
        SkippedFrame { name: item.name.clone(), reason }
    }
}
