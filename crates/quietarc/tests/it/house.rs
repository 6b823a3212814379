//! A journal, settings and a folder of their own, as a person away from every network has them.

use std::path::PathBuf;
use std::process::{Command, Output};

use journal::Journal;
use serde_json::Value;

use crate::program::{stderr, stdout};
use crate::server::Server;

/// A journal, settings and a folder of their own.
pub(crate) struct House {
    folder: tempfile::TempDir,
}

impl House {
    pub(crate) fn new(settings: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("settings.toml"), settings).unwrap();
        Self { folder }
    }

    /// A house whose 3-hour Kp comes from a server.
    pub(crate) fn with_kp(server: &Server) -> Self {
        Self::new(&format!("[feeds.noaa_kp_3h]\nurl = \"{}\"\n", server.url("/kp.json")))
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_quietarc"));
        command
            .args(arguments)
            .env("QUIETARC_JOURNAL", self.path("journal.sqlite"))
            .env("QUIETARC_SETTINGS", self.path("settings.toml"));
        command
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).output().unwrap()
    }

    pub(crate) fn feeds(&self, arguments: &[&str]) -> Output {
        self.command(&["feeds"]).args(arguments).output().unwrap()
    }

    pub(crate) fn pull_kp(&self, code: i32) -> Value {
        let output = self.feeds(&["pull", "noaa_kp_3h", "--json"]);
        assert_eq!(output.status.code(), Some(code), "{}{}", stdout(&output), stderr(&output));
        serde_json::from_str::<Value>(&stdout(&output)).unwrap()["feeds"][0].take()
    }

    pub(crate) fn status(&self, feed: &str, asked_at: &str) -> Value {
        let output = self.feeds(&["status", "--json", "--asked-at", asked_at]);
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
        report["feeds"].as_array().unwrap().iter().find(|line| line["feed"] == feed).unwrap().clone()
    }

    pub(crate) fn journal(&self) -> Journal {
        Journal::open(&self.path("journal.sqlite")).unwrap()
    }

    /// Lets the 3-hour Kp be asked again at once, as if its time had come.
    pub(crate) fn let_time_pass(&self, server: &Server) {
        self.journal().allow_feed_now("noaa_kp_3h", &server.url("/kp.json")).unwrap();
    }

    pub(crate) fn body(&self, server: &Server) -> Option<Vec<u8>> {
        self.journal().feed_body("noaa_kp_3h", &server.url("/kp.json")).unwrap()
    }
}
