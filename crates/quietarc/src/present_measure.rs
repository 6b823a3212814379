//! A camera's measurement as text for a terminal.

use std::fmt::Write;

use job::{ChannelTransfer, LightChannel, PhotonTransfer, TransferPoint};
use quantity::Estimate;

/// Appends a line; writing to a String cannot fail.
macro_rules! line {
    ($out:expr, $($argument:tt)*) => {
        let _written = writeln!($out, $($argument)*);
    };
}

/// Gain, read noise and full well of every channel, then the levels they rest on.
pub(crate) fn camera(measured: &PhotonTransfer) -> String {
    let mut out = String::new();
    let at = [
        measured.iso.map(|iso| format!("ISO {iso:.0}")),
        measured.gain_setting.map(|gain| format!("gain setting {gain:.0}")),
    ];
    let at: Vec<String> = at.into_iter().flatten().collect();
    if at.is_empty() {
        line!(out, "The camera, at the setting of these files");
    } else {
        line!(out, "The camera at {}", at.join(", "));
    }
    for channel in &measured.channels {
        one_channel(&mut out, channel);
    }
    for note in &measured.notes {
        line!(out, "  - {note}");
    }
    out
}

fn one_channel(out: &mut String, channel: &ChannelTransfer) {
    line!(out, "  {}", name(channel.channel));
    line!(out, "    gain        {} electrons for each number of the file", with_error(&channel.gain_e));
    match &channel.read_noise_e {
        Some(read) => {
            line!(out, "    read noise  {} electrons", with_error(read));
        }
        None => {
            line!(out, "    read noise  cannot be told");
        }
    }
    match &channel.full_well_e {
        Some(full) => {
            line!(out, "    full at     {:.0} ± {:.0} electrons", full.value, full.high - full.value);
        }
        None => {
            line!(out, "    full at     not seen: none of the flats is full");
        }
    }
    if let Some(share) = channel.linearity_residual {
        line!(out, "    linear      to {:.1} %, if the light was the same in all flats", 100.0 * share);
    }
    if let Some(share) = channel.transfer_residual {
        line!(out, "    noise       follows the light to {:.1} %", 100.0 * share);
    }
    for TransferPoint { mean, variance, used, .. } in &channel.points {
        let left_out = if *used { "" } else { "  (left out: too dark, or too near to full)" };
        line!(out, "    level {mean:10.1}  variance {variance:10.2}{left_out}");
    }
}

fn name(channel: LightChannel) -> &'static str {
    match channel {
        LightChannel::Red => "red",
        LightChannel::Green => "green",
        LightChannel::Blue => "blue",
        LightChannel::Grey => "grey",
    }
}

fn with_error(estimate: &Estimate) -> String {
    format!("{:.3} ± {:.3}", estimate.value, estimate.high - estimate.value)
}
