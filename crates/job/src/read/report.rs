use quantity::{Estimate, Horizontal, Timestamp};
use sequence::FormName;
use serde::{Deserialize, Serialize};

use super::request::ReadRequest;
use crate::KpInterval;

macro_rules! shapes {
    ($($(#[$doc:meta])* $name:ident { $($(#[$field_doc:meta])* $field:ident: $kind:ty,)+ })+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        #[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
        pub struct $name { $($(#[$field_doc])* pub $field: $kind,)+ }
    )+};
}

shapes! {
    /// What a sequence says.
    ReadReport {
        /// What was asked.
        request: ReadRequest,
        /// The frames.
        frames: ReadFrames,
        /// The lens, and which way it looked.
        lens: ReadLens,
        /// In what light is counted: kilorayleighs of 557.7 nm above the sky's own light where `calibration` is there; else a share of
        /// full scale or the file's own numbers, at the settings of the first frame.
        unit: String,
        /// What kilorayleighs rest on; `None` where light is relative.
        #[serde(default)]
        calibration: Option<ReadCalibration>,
        /// Whether frames showed aurora.
        #[serde(default)]
        aurora: ReadAurora,
        /// Forms by stretch of time; those that could not be told have no name.
        #[serde(default)]
        forms: Vec<ReadForm>,
        /// Light against time: over all of the sky seen where the lens is known (unit times sr), else the mean of the picture.
        light: Vec<LightPoint>,
        /// Light along the line asked for.
        keogram: Option<ReadKeogram>,
        /// Light across the magnetic meridian, magnetic east positive.
        ewogram: Option<ReadKeogram>,
        /// Sudden brightenings of the keogram; `None` where they could not be looked for.
        brightenings: Option<Vec<ReadBrightening>>,
        /// Motion along the keogram's line.
        drift: Option<ReadDrift>,
        /// Motion across the magnetic meridian, along the ewogram's line; `None` in reports from before it was kept.
        #[serde(default)]
        drift_across: Option<ReadDrift>,
        /// Pulsation and flicker; `None` without a lens.
        pulsation: Option<ReadPulsation>,
        /// What the frames could not have shown.
        limits: Vec<String>,
        /// What the magnetogram says.
        magnetic: Option<ReadMagnetic>,
        /// Kp and solar wind of the frames' time, as stored when they were read; `None` where nobody looked for them.
        #[serde(default)]
        space: Option<ReadSpace>,
        /// What happened, in words, each line with what it rests on.
        account: Vec<AccountLine>,
    }
    /// The frames of a sequence.
    ReadFrames {
        /// Frames read.
        read: u32,
        /// Frames left out.
        skipped: u32,
        /// Those, the first hundred.
        skips: Vec<SkippedFrame>,
        /// Middle of the first exposure.
        #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
        first: Option<Timestamp>,
        /// Middle of the last exposure.
        #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
        last: Option<Timestamp>,
        /// Median time between frames, s.
        interval_s: Option<f64>,
        /// From first to last, s.
        span_s: f64,
        /// Longest time between frames, s.
        longest_gap_s: f64,
        /// Exposure of the first frame, s.
        exposure_s: Option<f64>,
        /// Frames whose light was scaled because exposure, ISO or aperture differed from the first's.
        rescaled: u32,
        /// Frames whose light was left as it is although it may not compare: they or the first one say an exposure, ISO or aperture
        /// that the other does not.
        #[serde(default)]
        not_comparable: u32,
    }
    /// A frame that was left out.
    SkippedFrame {
        /// Its name.
        name: String,
        /// Why.
        reason: String,
    }
    /// The lens of a sequence.
    #[derive(Default)]
    ReadLens {
        /// Whether it is known.
        solved: bool,
        /// Why not.
        why_not: Option<String>,
        /// The frame it was found on.
        frame: Option<String>,
        /// Stars it rests on.
        stars: Option<u32>,
        /// How far they lie from their places, root mean square, px.
        residual_px: Option<f64>,
        /// Altitude of the middle of the picture, degrees.
        alt_deg: Option<f64>,
        /// Azimuth of the middle, degrees.
        az_deg: Option<f64>,
        /// Directions as somebody said, where the stars do not tell them.
        #[serde(default)]
        assumed: Option<AssumedDirections>,
        /// The edge of the picture on the sky, all around; empty where the lens makes no image at some of it.
        #[serde(default)]
        outline: Vec<Horizontal>,
    }
    /// Directions that do not rest on stars.
    AssumedDirections {
        /// What they rest on.
        words: String,
        /// One standard deviation of altitudes, degrees (judgement).
        altitude_sigma_deg: f64,
        /// One standard deviation of azimuths, degrees.
        azimuth_sigma_deg: f64,
        /// Azimuth that the top of an all-sky picture shows, degrees.
        top_azimuth_deg: Option<f64>,
    }
    /// What kilorayleighs rest on.
    ReadCalibration {
        /// The frame that was calibrated.
        frame: String,
        /// By stars; by settings otherwise.
        by_stars: bool,
        /// Whether they must be called estimates.
        is_estimate: bool,
        /// The true brightness is within this factor either way, one standard deviation of the scale; `None` in reports from before it
        /// was kept.
        #[serde(default)]
        scale_factor: Option<f64>,
        /// What was fitted, assumed or left out.
        notes: Vec<String>,
    }
    /// Whether frames showed aurora.
    #[derive(Default)]
    ReadAurora {
        /// Frames looked at for it.
        looked_at: u32,
        /// Of them, with aurora.
        yes: u32,
        /// Without.
        no: u32,
        /// Not settled.
        cannot_tell: u32,
        /// The one of those with aurora whose auroral light is greatest over the sky, at the settings of the first frame; `None` where
        /// none shows aurora. The brightest frame of all may be one of the moon or of a lamp.
        #[serde(default)]
        #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
        brightest: Option<Timestamp>,
        /// Of which lines its light is made; `None` without aurora that is sure, and for grey pictures.
        #[serde(default)]
        lines: Option<ReadLineShares>,
    }
    /// Shares of the lines in the photons of the aurora, 0 to 1: medians over the frames that tell them, and of the ends of their ranges.
    ReadLineShares {
        /// Frames that show aurora and tell its colours.
        frames: u32,
        /// Blue of nitrogen, 427.8 nm and its like.
        blue_4278: Estimate,
        /// Green of oxygen, 557.7 nm.
        green_5577: Estimate,
        /// Red of oxygen, 630.0 nm, known to a factor of two; a red lower border, of nitrogen, is not told from it.
        red_6300: Estimate,
        /// The frame with the most red, where its range lies above that of the whole.
        reddest: Option<ReadReddest>,
    }
    /// When red was strongest.
    ReadReddest {
        /// When.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        at: Timestamp,
        /// Share of 630.0 nm then.
        red_6300: Estimate,
    }
    /// A form over a stretch of time.
    ReadForm {
        /// First frame that shows it; `None` for a picture that says no time.
        #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
        from: Option<Timestamp>,
        /// Last one.
        #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
        to: Option<Timestamp>,
        /// Frames looked at that tell it by themselves; all of them where it cannot be told.
        frames: u32,
        /// Frames looked at in this stretch; 0 in reports from before it was kept, and for patches, which rest on all frames.
        #[serde(default)]
        looked_at: u32,
        /// Its name; `None` where the form cannot be told.
        #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
        name: Option<FormName>,
        /// In the code of the International Auroral Atlas.
        code: Option<String>,
        /// Chance that the name is right, 0 to 1 (judgement).
        confidence: f64,
        /// What was measured that says so, or why it cannot be told.
        reasons: Vec<String>,
        /// Its shape at the height assumed, where directions are known.
        shape: Option<FormShape>,
        /// Where it lies against the oval, where directions, time and place are known.
        #[serde(default)]
        place: Option<FormStand>,
        /// Middle of its light on the sky, where directions are known.
        #[serde(default)]
        middle: Option<Horizontal>,
    }
    /// Where a form lies.
    FormStand {
        /// Magnetic latitude at the height assumed, degrees, without its sign.
        magnetic_latitude_deg: f64,
        /// One standard deviation by direction and height, degrees.
        sigma_deg: f64,
        /// Magnetic local time of the camera, hours.
        magnetic_local_time_h: f64,
        /// Kp that the oval is drawn for.
        kp: Option<f64>,
        /// How far equatorward of the oval's diffuse border for that Kp, degrees; negative: poleward of the border.
        equatorward_of_oval_deg: Option<f64>,
    }
    /// The shape of a form in its layer.
    FormShape {
        /// Length, km.
        length_km: f64,
        /// Width, km.
        width_km: f64,
        /// Angle of its long axis from magnetic east-west, degrees.
        tilt_deg: f64,
        /// Mean distance poleward of the camera, km.
        poleward_km: f64,
        /// Lowest and highest altitude, degrees.
        altitude_deg: [f64; 2],
    }
    /// Light at a time.
    LightPoint {
        /// Middle of its piece of time.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        at: Timestamp,
        /// Mean light of its frames.
        light: f64,
    }
    /// A keogram or ewogram.
    ReadKeogram {
        /// Azimuth of the end toward which angles are positive, degrees.
        azimuth_deg: f64,
        /// Length of a column, s.
        column_s: f64,
        /// Whether its light is in kR of 557.7 nm.
        #[serde(default)]
        is_kilorayleighs: bool,
        /// The bins, from the far side to the azimuth's side.
        bins: Vec<ReadBin>,
        /// The columns in order of time.
        columns: Vec<ReadColumn>,
        /// Edges of the lit sky.
        borders: Vec<ReadBorder>,
    }
    /// A bin of a line.
    ReadBin {
        /// Angle from the zenith, degrees, positive toward the azimuth.
        zenith_angle_deg: f64,
        /// Altitude, degrees.
        alt_deg: f64,
        /// Latitude at the height assumed, degrees.
        latitude_deg: Option<f64>,
        /// Longitude there, degrees.
        longitude_deg: Option<f64>,
        /// Magnetic latitude there, as models of the oval use it, degrees.
        magnetic_latitude_deg: Option<f64>,
    }
    /// A column of a keogram.
    ReadColumn {
        /// Its middle.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        at: Timestamp,
        /// Frames in it.
        frames: u32,
        /// Light of each bin; `None` where there is none.
        values: Vec<Option<f32>>,
    }
    /// Edges of the lit sky in a column.
    ReadBorder {
        /// When.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        at: Timestamp,
        /// Zenith angle of the edge away from the line's azimuth (equatorward in a keogram), then of the one toward it, degrees.
        zenith_angle_deg: [f64; 2],
        /// Their magnetic latitudes in the same order, degrees.
        magnetic_latitude_deg: [Option<f64>; 2],
        /// Whether each lies beyond what the line shows.
        open: [bool; 2],
    }
    /// A sudden brightening.
    ReadBrightening {
        /// When it began.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        at: Timestamp,
        /// "substorm candidate", "pseudobreakup", or "brightening".
        kind: String,
        /// By how much the brightening part outgrew the rest.
        factor: f64,
        /// Where, degrees from the zenith along the line.
        zenith_angle_deg: f64,
        /// Magnetic latitude there, degrees.
        magnetic_latitude_deg: Option<f64>,
        /// Speed of the poleward border, km/s.
        poleward_km_s: Option<f64>,
        /// Seconds by which the sky came after the magnetic onset; negative: before it.
        after_magnetic_onset_s: Option<f64>,
    }
    /// Motion along a line.
    ReadDrift {
        /// What was found, in words.
        words: String,
        /// Speed at the height assumed, km/s, the height's own error counted; positive toward the line's azimuth.
        km_per_s: Option<Estimate>,
        /// Angular speed at the zenith, degrees a second.
        deg_per_s: Option<Estimate>,
        /// It cannot be told from the turning of the sky.
        like_the_stars: bool,
    }
    /// Pulsation and flicker.
    #[derive(Default)]
    ReadPulsation {
        /// Blocks of time that were judged.
        blocks: u32,
        /// Cells of sky judged in the fullest of them.
        cells_judged: u32,
        /// Patches that pulsate, the first hundred.
        patches: Vec<ReadPatch>,
        /// Periods that are no pulsation of one direction, by standing: how many cells.
        other: Vec<OtherPeriod>,
        /// Mean spectrum of each block, the first hundred; empty in reports from before it was kept.
        #[serde(default)]
        spectra: Vec<ReadSpectrum>,
        /// Period of each cell that pulsates, block after block, the first two thousand; empty in reports from before it was kept.
        #[serde(default)]
        period_map: Vec<ReadCellPeriod>,
    }
    /// The mean spectrum of the cells of sky in a block of time.
    ReadSpectrum {
        /// First sample of the block.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        from: Timestamp,
        /// Last sample.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        to: Timestamp,
        /// Frames averaged to one sample.
        frames_averaged: u32,
        /// Cells that it is the mean of.
        cells: u32,
        /// Frequencies, Hz, thinned.
        frequencies_hz: Vec<f64>,
        /// Power at each: the share of a cell's variance that one sinusoid explains, 0 to 1.
        powers: Vec<f64>,
        /// Lowest and highest frequency that these samples could show, Hz: by length, sample rate and exposure.
        shown_hz: [f64; 2],
        /// Samples a second.
        frame_rate_hz: f64,
        /// Period that all of the sky shares, s.
        common_period_s: Option<f64>,
    }
    /// The period of a cell of sky that pulsates.
    ReadCellPeriod {
        /// First sample of its block.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        from: Timestamp,
        /// Last sample.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        to: Timestamp,
        /// Altitude of its middle, degrees.
        alt_deg: f64,
        /// Azimuth of its middle, degrees.
        az_deg: f64,
        /// Period, s.
        period_s: f64,
        /// Half of the width of its peak, s: its error where it is regular, the scatter of its intervals where it is not.
        period_sigma_s: f64,
        /// Whether it has one frequency, as far as the block can tell.
        is_regular: bool,
        /// Half the swing, as a share of the usual light.
        relative_amplitude: f64,
        /// Median time on, s.
        on_s: Option<f64>,
        /// Median time off, s.
        off_s: Option<f64>,
    }
    /// Neighbouring cells that pulsate with one period.
    ReadPatch {
        /// First sample of its block.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        from: Timestamp,
        /// Last sample.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        to: Timestamp,
        /// Period, s.
        period_s: f64,
        /// Altitude of its middle, degrees.
        alt_deg: f64,
        /// Azimuth of its middle, degrees.
        az_deg: f64,
        /// Half the swing, as a share of the usual light.
        relative_amplitude: f64,
        /// Cells in it.
        cells: u32,
        /// Median time on of its cells, s.
        #[serde(default)]
        on_s: Option<f64>,
        /// Median time off, s.
        #[serde(default)]
        off_s: Option<f64>,
    }
    /// Periods that are not called pulsation.
    OtherPeriod {
        /// What they are taken for.
        standing: String,
        /// Cells and blocks with it.
        count: u32,
    }
    /// What a magnetogram says.
    ReadMagnetic {
        /// The station.
        station: String,
        /// The component looked through.
        element: String,
        /// Its quiet level, nT.
        quiet_nt: f64,
        /// What that level is from, in words; empty in reports from before it was kept.
        #[serde(default)]
        quiet_basis: String,
        /// Depth below the quiet level from which a fall is called a bay, nT; 0 in reports from before it was kept.
        #[serde(default)]
        least_depth_nt: f64,
        /// Bays of that depth or more, half an hour before the frames to half an hour after; all of the record where no frame has a
        /// time, and in reports from before the others were counted.
        bays: Vec<ReadBay>,
        /// Bays at other times of the record.
        #[serde(default)]
        bays_elsewhere: u32,
        /// Onsets of the time that bays are given for.
        onsets: Vec<ReadOnset>,
        /// Onsets at other times of the record.
        #[serde(default)]
        onsets_elsewhere: u32,
        /// Share of the samples that is there, 0 to 1.
        coverage: f64,
        /// Share of the frames' own time of which the record has values, 0 to 1; `None` where no frame has a time, and in reports from
        /// before it was kept.
        #[serde(default)]
        frames_covered: Option<f64>,
        /// Lone samples of the record that were taken for spikes; bays and onsets do not count them, the curve below shows them.
        #[serde(default)]
        spikes: u32,
        /// Steps of the base line that were taken out before bays and onsets were looked for, the first hundred.
        #[serde(default)]
        steps: u32,
        /// Minutes that could not be tried for an onset because of gaps; `None` where the record is coarser than a minute.
        #[serde(default)]
        untried_minutes: Option<u32>,
        /// Rows of the file that were left out because they cannot be true.
        #[serde(default)]
        rejected_rows: u32,
        /// The component around the frames as the file has it, thinned; empty in reports from before it was kept.
        #[serde(default)]
        trace: Vec<MagneticPoint>,
    }
    /// Kp and solar wind over the time of the frames, from stored feeds.
    #[derive(Default)]
    ReadSpace {
        /// Intervals of Kp that touch the time of the frames.
        kp: Vec<KpInterval>,
        /// Who says them; empty without any.
        kp_source: String,
        /// When they were issued, where that is known.
        #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
        kp_issued_at: Option<Timestamp>,
        /// The interval whose Kp was taken for the oval and the magnetogram, because nobody gave one.
        kp_taken: Option<KpInterval>,
        /// The solar wind that arrived in that time, thinned.
        wind: Vec<ReadWind>,
        /// Who measured it, and how it was moved to Earth; empty without any.
        wind_source: String,
        /// When the store was asked.
        #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
        asked_at: Option<Timestamp>,
    }
    /// The solar wind as it reached Earth.
    #[derive(Copy)]
    ReadWind {
        /// When it reached Earth.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        at: Timestamp,
        /// Component of its field along the GSM z axis, nT; negative is southward.
        bz_nt: f64,
        /// Speed, km/s.
        speed_km_s: f64,
        /// Protons per cm³, where measured.
        density_cm3: Option<f64>,
    }
    /// A magnetogram at a time.
    MagneticPoint {
        /// Middle of its piece of time.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        at: Timestamp,
        /// Northward component, nT; `None` in a gap.
        north_nt: Option<f64>,
    }
    /// A bay.
    ReadBay {
        /// Its begin.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        from: Timestamp,
        /// Its end.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        to: Timestamp,
        /// Greatest depth, nT.
        depth_nt: f64,
    }
    /// A magnetic onset.
    ReadOnset {
        /// The last minute before the fall.
        #[cfg_attr(feature = "typescript", ts(type = "string"))]
        at: Timestamp,
        /// Whether it is likely, or only possible.
        likely: bool,
        /// Fall to the deepest minute, nT.
        depth_nt: f64,
    }
    /// A line of the account.
    AccountLine {
        /// What is said.
        words: String,
        /// What it rests on.
        basis: String,
    }
}

impl ReadReport {
    /// In what light is counted, and whether that is a calibrated scale, for beside a drawing.
    pub fn scale_words(&self) -> String {
        match &self.calibration {
            Some(calibration) if calibration.is_estimate => format!("{}, an estimate", self.unit),
            Some(_) => self.unit.clone(),
            None => format!("{}, not calibrated", self.unit),
        }
    }
}

impl ReadKeogram {
    /// Whether the frames show any of its line.
    pub(super) fn shows_light(&self) -> bool {
        self.columns.iter().flat_map(|column| &column.values).any(Option::is_some)
    }
}
