use std::fs;
use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::{say, step, web, workspace};

/// One generated file and the cargo example that prints it.
struct Generated {
    file: &'static str,
    example: &'static str,
}

const GENERATED: [Generated; 2] = [
    Generated { file: "src/generated/job.ts", example: "typescript" },
    Generated { file: "src/generated/tokens.css", example: "tokens" },
];

impl Generated {
    fn path(&self) -> Result<PathBuf> {
        Ok(web::folder()?.join(self.file))
    }

    fn wanted(&self) -> Result<String> {
        let name = format!("{}{}", self.example, std::env::consts::EXE_SUFFIX);
        let program = workspace::target()?.join("debug").join("examples").join(name);
        let text = step::output(self.file, &mut Command::new(program))?;
        Ok(format!("{}\n", text.trim_end()))
    }
}

/// Builds what prints the generated files.
fn build() -> Result<()> {
    let examples = GENERATED.iter().flat_map(|generated| ["--example", generated.example]);
    let arguments: Vec<&str> = std::iter::once("build").chain(examples).collect();
    step::run("printers of generated files", &mut workspace::tested(&arguments)?)
}

/// Writes what the Rust code says.
pub(crate) fn write() -> Result<()> {
    build()?;
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
    build()?;
    for generated in &GENERATED {
        let kept = fs::read_to_string(generated.path()?).unwrap_or_default();
        if kept != generated.wanted()? {
            bail!("web/{} is not current; run `cargo xtask types`", generated.file);
        }
    }
    Ok(())
}
