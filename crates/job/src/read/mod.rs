//! `read`: what a sequence of frames says over time.

mod account;
mod assumed;
mod beside;
mod brightest;
mod forms;
mod grey_arc;
mod lens;
mod light;
mod line_shares;
mod lines;
mod look;
mod magnetic;
mod outline;
mod pulsation;
mod report;
mod request;
mod series;
mod settings;
mod space;
mod trace;

pub use assumed::AssumedView;
pub use beside::{ReadBeam, ReadBeside, ReadSky, read_beside};
pub use lens::SequenceLens;
pub use light::SequenceLight;
pub use look::FrameLook;
use quantity::{GeoPosition, Timestamp};
pub use report::{
    AccountLine, AssumedDirections, FormShape, FormStand, LightPoint, MagneticPoint, OtherPeriod, ReadAurora, ReadBay,
    ReadBin, ReadBorder, ReadBrightening, ReadCalibration, ReadCellPeriod, ReadColumn, ReadDrift, ReadForm, ReadFrames,
    ReadKeogram, ReadLens, ReadLineShares, ReadMagnetic, ReadOnset, ReadPatch, ReadPulsation, ReadReddest, ReadReport,
    ReadSpace, ReadSpectrum, ReadWind, SkippedFrame,
};
pub use request::ReadRequest;
use sequence::{
    Keogram, LightGrid, LightUnit, MagneticRecord, PulsationSettings, PulsationWatch, Sampling, SkyCells, SliceLine,
    SliceSampler, SliceSettings,
};

use serde::{Deserialize, Serialize};

use self::forms::Forms;
use self::line_shares::LineTally;
use self::pulsation::PulsationTally;
use self::series::LightSeries;
use crate::JobError;

/// Frames that are waited for before the length of a column is chosen: the median of their intervals.
const WAITED_FOR: usize = 9;
/// Columns of a keogram at most: wider than any screen shows.
const MOST_COLUMNS: usize = 1200;
/// Side of the cells that pulsation is looked for in, degrees: patches are of some tens of km, 5 degrees overhead are 10.
const CELL_DEG: f64 = 5.0;
/// Altitude down to which it is looked for, degrees.
const LEAST_ALTITUDE_DEG: f64 = 15.0;
/// Frames whose times are kept to tell interval and scatter.
const TIMES_KEPT: usize = 4096;
/// Skipped frames and patches told one by one.
const MOST_TOLD: usize = 100;
/// Shortest column, s: frames of a sequence are no nearer than this but by a slip of the clock.
const SHORTEST_COLUMN_S: f64 = 0.001;
/// Change of exposure, ISO and aperture together from which light is scaled to the first frame's settings.
const SAME_SETTINGS: f64 = 0.001;

/// The unit of light that is calibrated, in words.
const CALIBRATED_UNIT: &str = "kR of 557.7 nm above the sky's own light";

/// One frame of a sequence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReadFrame {
    /// Its name.
    pub name: String,
    /// The middle of its exposure.
    pub at: Timestamp,
    /// Exposure, s.
    pub exposure_s: Option<f64>,
    /// ISO setting.
    pub iso: Option<f64>,
    /// F-number.
    pub f_number: Option<f64>,
    /// Its light.
    pub light: SequenceLight,
    /// The aurora in it; none where this frame was not looked at.
    pub look: Option<FrameLook>,
}

/// What others recorded of the time of the frames.
#[derive(Debug, Clone, Default)]
pub struct ReadRecords<'a> {
    /// A magnetogram.
    pub magnetic: Option<&'a MagneticRecord>,
    /// Rows of its file that were left out because they cannot be true.
    pub rejected_rows: usize,
    /// Kp and solar wind.
    pub space: Option<ReadSpace>,
}

/// A sequence being read: frames come in order and are not kept.
#[derive(Debug)]
pub struct Reading {
    request: ReadRequest,
    lens: SequenceLens,
    skips: Vec<SkippedFrame>,
    skipped: u32,
    read: u32,
    rescaled: u32,
    not_comparable: u32,
    has_begun: bool,
    first: Option<ReadFrame>,
    last: Option<Timestamp>,
    times_s: Vec<f64>,
    longest_gap_s: f64,
    eyes: Option<Eyes>,
    waiting: Vec<Sample>,
    light: Option<LightSeries>,
    keograms: Option<[Keogram; 2]>,
    pulsation: PulsationTally,
    forms: Forms,
    lines: LineTally,
}

/// What looks at the sky through the lens.
#[derive(Debug)]
struct Eyes {
    lines: [SliceLine; 2],
    samplers: [Option<SliceSampler>; 2],
    watch: PulsationWatch,
    calibrated: Option<Calibrated>,
}

/// The same for light in kilorayleighs, which comes in cells of its own.
#[derive(Debug)]
struct Calibrated {
    samplers: [Option<SliceSampler>; 2],
    cells: SkyCells,
}

#[derive(Debug, Clone)]
struct Sample {
    at: Timestamp,
    light: f64,
    slices: Option<[Vec<f32>; 2]>,
}

impl Reading {
    /// Begins with a request and a lens.
    ///
    /// # Errors
    ///
    /// As [`ReadRequest::check`].
    pub fn new(request: ReadRequest, lens: SequenceLens) -> Result<Self, JobError> {
        request.check()?;
        Ok(Self {
            request,
            lens,
            skips: Vec::new(),
            skipped: 0,
            read: 0,
            rescaled: 0,
            not_comparable: 0,
            has_begun: false,
            first: None,
            last: None,
            times_s: Vec::new(),
            longest_gap_s: 0.0,
            eyes: None,
            waiting: Vec::new(),
            light: None,
            keograms: None,
            pulsation: PulsationTally::default(),
            forms: Forms::default(),
            lines: LineTally::default(),
        })
    }

    /// Notes a frame that could not be opened or has no time.
    pub fn skip(&mut self, name: &str, reason: impl Into<String>) {
        self.skipped = self.skipped.saturating_add(1);
        if self.skips.len() < MOST_TOLD {
            self.skips.push(SkippedFrame { name: name.to_owned(), reason: reason.into() });
        }
    }

    /// Takes in a frame; one that cannot belong to the sequence is left out and counted.
    pub fn push(&mut self, mut frame: ReadFrame) {
        if let Some(last) = self.last
            && frame.at <= last
        {
            return self.skip(
                &frame.name,
                "its time is not after that of the frame before; set the clock right or leave it out",
            );
        }
        if let Some(first) = &self.first {
            if !first.light.is_like(&frame.light) {
                return self.skip(&frame.name, "it has another size than the first frame; read it by itself");
            }
            match settings::factor_to(first, &frame) {
                Some(factor) if (factor - 1.0).abs() > SAME_SETTINGS => {
                    #[expect(clippy::cast_possible_truncation, reason = "a ratio of settings")]
                    frame.light.scale(factor as f32);
                    if let Some(look) = &mut frame.look {
                        look.scale(factor);
                    }
                    self.rescaled = self.rescaled.saturating_add(1);
                }
                Some(_same) => {}
                None => self.not_comparable = self.not_comparable.saturating_add(1),
            }
        } else if !self.has_begun {
            self.has_begun = true;
            if let Err(why) = self.begin(&frame) {
                self.lens = SequenceLens::unknown(why);
            }
        }
        let sample = match self.sample(&frame) {
            Ok(sample) => sample,
            Err(why) => return self.skip(&frame.name, why),
        };
        self.keep_time(&frame);
        if let Some(look) = &frame.look {
            self.forms.push(Some(frame.at), look, &self.request);
            look.lines.iter().for_each(|lines| self.lines.push(Some(frame.at), lines));
        }
        if self.light.is_none() {
            self.waiting.push(sample);
            if self.waiting.len() >= WAITED_FOR {
                self.flush();
            }
        } else {
            self.add(&sample);
        }
    }

    /// Takes in the look of a picture that says no time: of a sequence nothing but its aurora and form can be told.
    pub fn push_without_time(&mut self, look: &FrameLook) {
        self.read = self.read.saturating_add(1);
        self.forms.push(None, look, &self.request);
        look.lines.iter().for_each(|lines| self.lines.push(None, lines));
    }

    /// Lays lines and cells over the first frame.
    fn begin(&mut self, frame: &ReadFrame) -> Result<(), String> {
        let Some(view) = &self.lens.view else { return Ok(()) };
        let place = self.place().ok_or("the place is not known: give --site, or --lat and --lon")?;
        let grid = frame.light.grid().ok_or("the first frame has no light")?;
        let settings = SliceSettings { height_km: self.request.height_km, ..SliceSettings::default() };
        let eyes = || -> Result<Eyes, sequence::SequenceError> {
            let along = match self.request.azimuth_deg {
                Some(azimuth_deg) => SliceLine::toward(place, azimuth_deg, frame.at, settings)?,
                None => SliceLine::magnetic_meridian(place, frame.at, settings)?,
            };
            let lines = [along, SliceLine::magnetic_east_west(place, frame.at, settings)?];
            let [along, across] = &lines;
            let calibrated = match kr(frame).and_then(|kr| kr.as_ref().ok()).and_then(SequenceLight::grid) {
                Some(grid) if self.lens.is_calibrated() => Some(Calibrated {
                    samplers: [along, across].map(|line| SliceSampler::new(line, view, &grid).ok()),
                    cells: SkyCells::new(view, &grid, CELL_DEG, LEAST_ALTITUDE_DEG)?,
                }),
                Some(_) | None => None,
            };
            // a lens that is not very wide shows one of the lines at most
            let samplers = [along, across].map(|line| SliceSampler::new(line, view, &grid).ok());
            let cells = SkyCells::new(view, &grid, CELL_DEG, LEAST_ALTITUDE_DEG)?;
            let settings = PulsationSettings { exposure_s: frame.exposure_s, ..PulsationSettings::default() };
            Ok(Eyes { lines, samplers, watch: PulsationWatch::new(cells, settings), calibrated })
        };
        self.eyes = Some(eyes().map_err(|error| format!("{error}; {}", error.hint()))?);
        Ok(())
    }

    /// From the first frame taken in to the last, the middles of their exposures.
    pub fn span(&self) -> Option<(Timestamp, Timestamp)> {
        Some((self.first.as_ref()?.at, self.last?))
    }

    fn place(&self) -> Option<GeoPosition> {
        self.request.position
    }

    fn sample(&mut self, frame: &ReadFrame) -> Result<Sample, String> {
        let at = frame.at;
        let Some((eyes, grid)) = self.eyes.as_mut().zip(frame.light.grid()) else {
            return Ok(Sample { at, light: frame.light.mean(), slices: None });
        };
        let refused = |error: sequence::SequenceError| error.to_string();
        let values = eyes.watch.cells().sample(&grid).map_err(refused)?;
        let (light, slices) = if let Some(calibrated) = &eyes.calibrated {
            let light = kr(frame).ok_or("it was not looked at for kilorayleighs")?.as_ref().map_err(String::clone)?;
            let grid = light.grid().ok_or("it has no light in kilorayleighs")?;
            let total = calibrated.cells.sample(&grid).map_err(refused)?;
            let slices = slices(&calibrated.samplers, &eyes.lines, &grid)?;
            (calibrated.cells.total_light(&total), slices)
        } else {
            let slices = slices(&eyes.samplers, &eyes.lines, &grid)?;
            (eyes.watch.cells().total_light(&values), slices)
        };
        let blocks = eyes.watch.push(at, &values).map_err(refused)?;
        // the watch counts from the first frame that it took, which is the first of the sequence
        let first = self.first.as_ref().map_or(at, |first| first.at);
        let cells = &eyes.watch.cells().cells;
        for block in &blocks {
            self.pulsation.push(first, block, cells);
        }
        Ok(Sample { at, light, slices: Some(slices) })
    }

    fn keep_time(&mut self, frame: &ReadFrame) {
        self.read = self.read.saturating_add(1);
        let begin = self.first.get_or_insert_with(|| frame.clone()).at;
        if let Some(last) = self.last {
            self.longest_gap_s = self.longest_gap_s.max(frame.at.duration_since(last).as_secs_f64());
        }
        if self.times_s.len() < TIMES_KEPT {
            self.times_s.push(frame.at.duration_since(begin).as_secs_f64());
        }
        self.last = Some(frame.at);
    }

    /// Chooses the length of a column and takes in what waited for it.
    fn flush(&mut self) {
        let Some(first) = self.waiting.first().map(|sample| sample.at) else { return };
        let interval_s = self.sampling().map_or(1.0, |sampling| sampling.interval_s).max(SHORTEST_COLUMN_S);
        self.light = Some(LightSeries::new(first, interval_s));
        if let Some(eyes) = &self.eyes {
            let unit = match &self.first {
                _ if eyes.calibrated.is_some() => LightUnit::Kilorayleighs,
                Some(first) if first.light.is_share() => LightUnit::ShareOfFullScale,
                _ => LightUnit::FileNumbers,
            };
            let [along, across] = &eyes.lines;
            let made = [along, across].map(|line| Keogram::new(line.clone(), unit, interval_s, MOST_COLUMNS));
            if let [Ok(along), Ok(across)] = made {
                self.keograms = Some([along, across]);
            }
        }
        for sample in std::mem::take(&mut self.waiting) {
            self.add(&sample);
        }
    }

    fn add(&mut self, sample: &Sample) {
        if let Some(light) = &mut self.light {
            light.push(sample.at, sample.light);
        }
        if let Some((keograms, slices)) = self.keograms.as_mut().zip(sample.slices.as_ref()) {
            for (keogram, slice) in keograms.iter_mut().zip(slices) {
                // times beyond two days were refused by the watch already
                let _refused = keogram.push(sample.at, slice);
            }
        }
    }

    /// When the frames were taken, over all of them.
    fn sampling(&self) -> Option<Sampling> {
        let exposure_s = self.first.as_ref().and_then(|first| first.exposure_s);
        let kept = Sampling::of(&self.times_s, exposure_s).ok()?;
        let span_s = self.last?.duration_since(self.first.as_ref()?.at).as_secs_f64();
        let frames = usize::try_from(self.read).unwrap_or(usize::MAX);
        Some(Sampling { frames, span_s, longest_gap_s: self.longest_gap_s, ..kept })
    }

    /// Ends the sequence.
    pub fn finish(mut self, records: &ReadRecords<'_>) -> ReadReport {
        if self.light.is_none() {
            self.flush();
        }
        let sampling = self.sampling();
        let sigma_deg = self.lens.direction_sigma_deg();
        let mut calibration = None;
        if let Some(eyes) = self.eyes.take() {
            calibration = eyes.calibrated.and_then(|_| self.lens.calibration());
            let cells = eyes.watch.cells().cells.clone();
            if let Some(first) = self.first.as_ref().map(|first| first.at) {
                for block in eyes.watch.finish() {
                    self.pulsation.push(first, &block, &cells);
                }
            }
        }
        let first = self.first.as_ref();
        let frames = ReadFrames {
            read: self.read,
            skipped: self.skipped,
            skips: self.skips,
            first: first.map(|first| first.at),
            last: self.last,
            interval_s: sampling.map(|sampling| sampling.interval_s),
            span_s: sampling.map_or(0.0, |sampling| sampling.span_s),
            longest_gap_s: self.longest_gap_s,
            exposure_s: first.and_then(|first| first.exposure_s),
            rescaled: self.rescaled,
            not_comparable: self.not_comparable,
        };
        let mut report = ReadReport {
            unit: match (first, &calibration) {
                (_, Some(_)) => CALIBRATED_UNIT.to_owned(),
                (first, None) => first.map_or("none", |first| first.light.unit()).to_owned(),
            },
            calibration,
            aurora: ReadAurora::default(),
            forms: Vec::new(),
            request: self.request,
            frames,
            lens: self.lens.report,
            light: self.light.map(|light| light.points()).unwrap_or_default(),
            keogram: None,
            ewogram: None,
            brightenings: None,
            drift: None,
            drift_across: None,
            pulsation: None,
            limits: lines::limits(sampling.as_ref()),
            magnetic: None,
            space: records.space.clone(),
            account: Vec::new(),
        };
        let events = magnetic::magnetic(records, &mut report);
        if let Some([along, across]) = &self.keograms {
            lines::of_keograms(&mut report, along, across, events.as_ref());
            for drawn in [&mut report.keogram, &mut report.ewogram] {
                drawn.take_if(|drawn| !drawn.shows_light());
            }
            // a line outside the picture has no motion to tell
            report.drift.take_if(|_| report.keogram.is_none());
            report.drift_across.take_if(|_| report.ewogram.is_none());
            report.pulsation = Some(self.pulsation.finish());
        }
        (report.aurora, report.forms) = self.forms.finish(report.pulsation.as_ref(), &report.request, sigma_deg);
        report.aurora.lines = self.lines.finish();
        report.account = account::lines(&report);
        report
    }
}

/// Light of a frame in kilorayleighs, or why it has none.
fn kr(frame: &ReadFrame) -> Option<&Result<SequenceLight, String>> {
    frame.look.as_ref()?.kr.as_ref()
}

/// Light along each line; none anywhere on a line that the picture does not show.
fn slices(
    samplers: &[Option<SliceSampler>; 2],
    lines: &[SliceLine; 2],
    grid: &LightGrid<'_>,
) -> Result<[Vec<f32>; 2], String> {
    let slice = |which: usize| match &samplers[which] {
        Some(sampler) => sampler.sample(grid).map_err(|error| error.to_string()),
        None => Ok(vec![f32::NAN; lines[which].bins.len()]),
    };
    Ok([slice(0)?, slice(1)?])
}
