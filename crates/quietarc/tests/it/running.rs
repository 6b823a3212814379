//! A server of the program, for as long as a test needs it.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// A running server, stopped when dropped.
pub(crate) struct Server {
    child: Child,
    /// Its address as it printed it, with the pairing token where there is one.
    pub(crate) address: String,
    /// Everything it printed before.
    pub(crate) greeting: String,
    /// Its journal.
    pub(crate) journal: PathBuf,
    folder: Option<tempfile::TempDir>,
}

impl Drop for Server {
    fn drop(&mut self) {
        let _gone = self.child.kill();
        let _reaped = self.child.wait();
    }
}

/// Starts a command that serves, with a journal of its own, on a free port.
pub(crate) fn serve(command: &[&str]) -> Server {
    let folder = tempfile::tempdir().unwrap();
    let mut server = serve_with(command, &folder.path().join("journal.sqlite"));
    server.folder = Some(folder);
    server
}

/// The same with a journal that is there.
pub(crate) fn serve_with(command: &[&str], journal: &Path) -> Server {
    let mut child = Command::new(env!("CARGO_BIN_EXE_quietarc"))
        .args(command)
        .args(["--port", "0", "--journal", journal.to_str().unwrap()])
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut greeting = String::new();
    let address = lines
        .by_ref()
        .map_while(Result::ok)
        .find_map(|line| {
            greeting.push_str(&line);
            greeting.push('\n');
            line.strip_prefix("Quietarc is at ").map(str::to_owned)
        })
        .expect("the server says where it is");
    // keep reading, or the program would stop at a closed pipe
    std::thread::spawn(move || lines.count());
    Server { child, address, greeting, journal: journal.to_owned(), folder: None }
}
