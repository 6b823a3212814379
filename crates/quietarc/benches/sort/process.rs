//! A run of the program: how long, how much of the processors, how much memory.

use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// How often the memory of a run is read.
pub(crate) const LOOK: Duration = Duration::from_millis(20);

/// What one run of the program took.
pub(crate) struct Taken {
    pub(crate) wall_s: f64,
    /// Processor time of the process, all threads.
    pub(crate) processor_s: f64,
    pub(crate) peak_mb: f64,
}

/// Starts the program without its output.
pub(crate) fn start(command: &mut Command) -> Child {
    command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
}

/// Runs the program to its end, which must be a good one.
pub(crate) fn run_watched(command: &mut Command) -> Taken {
    let (before, begun) = (children_s(), Instant::now());
    let mut child = start(command);
    let mut peak_mb: f64 = 0.0;
    let status = loop {
        peak_mb = peak_mb.max(peak_of(&child).unwrap_or(0.0));
        match child.try_wait().unwrap() {
            Some(status) => break status,
            None => std::thread::sleep(LOOK),
        }
    };
    assert!(status.success(), "the program failed: {status}");
    Taken { wall_s: begun.elapsed().as_secs_f64(), processor_s: children_s() - before, peak_mb }
}

/// Peak memory of a running process (Linux, Documentation/filesystems/proc: `VmHWM`, kB), MB.
fn peak_of(child: &Child) -> Option<f64> {
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().strip_suffix(" kB")?.trim().parse::<f64>().ok().map(|kilobytes| kilobytes * 1.024e-3)
}

/// Processor time of all finished child processes (Linux, proc(5): fields 16 and 17 of `stat`, in hundredths), seconds; 0
/// where the system does not tell.
fn children_s() -> f64 {
    const TICKS_PER_S: f64 = 100.0;
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = stat.rsplit(')').next().unwrap_or_default();
    // the third field is the first after the name
    let ticks: f64 = after_name.split_whitespace().skip(13).take(2).filter_map(|ticks| ticks.parse::<f64>().ok()).sum();
    ticks / TICKS_PER_S
}
