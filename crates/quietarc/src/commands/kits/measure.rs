//! `quietarc kit measure`

use std::path::{Path, PathBuf};

use job::{MeasurementError, PairStatistics, measured_camera, measured_pair};

use crate::cli::KitMeasureArgs;
use crate::commands::open_journal;
use crate::failure::{Failure, Outcome};
use crate::{frame_file, keeping, output, present_measure};

pub(super) fn measure(arguments: &KitMeasureArgs) -> Result<Outcome, Failure> {
    // before the pictures are looked at, which takes its time: the kit must be there
    let kit = match &arguments.name {
        Some(name) => Some((name, open_journal(&arguments.journal)?.kit_named(name)?.kit)),
        None => None,
    };
    let bias = pair(&arguments.bias)?;
    let flats = arguments.flat.chunks(2).map(pair).collect::<Result<Vec<_>, _>>()?;
    let measured = measured_camera(&flats, &bias).map_err(|error| told(&error))?;
    let mut written = Vec::new();
    if let Some((name, mut kit)) = kit.filter(|_| arguments.save) {
        written = kit.camera.put_measured(&measured);
        if written.is_empty() {
            output::note("nothing was written: the read noise could not be told");
        } else {
            keeping::replace(&open_journal(&arguments.journal)?, name, kit)?;
        }
    }
    if arguments.json {
        output::json(&measured)?;
    } else {
        output::answer(&present_measure::camera(&measured))?;
    }
    if let (Some(name), false) = (&arguments.name, written.is_empty()) {
        output::note(&format!("written into the kit {name:?}: {}", written.join(", ")));
    }
    Ok(Outcome::Done)
}

/// Two pictures, opened one pair at a time.
fn pair(paths: &[PathBuf]) -> Result<PairStatistics, Failure> {
    let [first, second] = paths else {
        return Err(Failure::new("a pair has two pictures", "give two files after each --flat, and after --bias"));
    };
    let both = || format!("{} and {}", first.display(), second.display());
    let about =
        |path: &Path, failure: Failure| Failure::new(format!("{}: {}", path.display(), failure.message), failure.hint);
    let [one, other] = [first, second].map(|path| frame_file::read(path).map_err(|failure| about(path, failure)));
    measured_pair(&one?, &other?).map_err(|error| Failure::new(format!("{}: {error}", both()), error.hint()))
}

fn told(error: &MeasurementError) -> Failure {
    Failure::new(error.to_string(), error.hint())
}
