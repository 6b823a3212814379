use std::fs;
use std::path::PathBuf;

use anyhow::{Context, Result, bail};

use crate::{say, step, web, workspace};

/// One generated file and the cargo example that prints it.
struct Generated {
    file: &'static str,
    cargo: &'static [&'static str],
}

const GENERATED: [Generated; 2] = [
    Generated {
        file: "src/generated/job.ts",
        cargo: &["run", "-q", "-p", "quietarc-job", "--example", "typescript", "--features", "typescript"],
    },
    Generated { file: "src/generated/tokens.css", cargo: &["run", "-q", "-p", "quietarc-draw", "--example", "tokens"] },
];

impl Generated {
    fn path(&self) -> Result<PathBuf> {
        Ok(web::folder()?.join(self.file))
    }

    fn wanted(&self) -> Result<String> {
        let text = step::output(self.file, &mut workspace::cargo(self.cargo)?)?;
        Ok(format!("{}\n", text.trim_end()))
    }
}

/// Writes what the Rust code says.
pub(crate) fn write() -> Result<()> {
    for generated in &GENERATED {
        let path = generated.path()?;
        let text = generated.wanted()?;
        fs::write(&path, text).with_context(|| format!("cannot write {}", path.display()))?;
        say::line(&format!("wrote web/{}", generated.file));
    }
    Ok(())
}

/// Fails if a generated file is not what the Rust code says.
pub(crate) fn check() -> Result<()> {
    for generated in &GENERATED {
        let kept = fs::read_to_string(generated.path()?).unwrap_or_default();
        if kept != generated.wanted()? {
            bail!("web/{} is not current; run `cargo xtask types`", generated.file);
        }
    }
    Ok(())
}
