//! A web server of this machine that answers exactly what a test tells it to, fault by fault.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

/// What to do with one connection.
pub(crate) enum Act {
    /// Send these bytes and close.
    Send(Vec<u8>),
    /// Say nothing until the other side gives up.
    Hang,
    /// Send these bytes, then say nothing more until the other side gives up.
    SendThenHang(Vec<u8>),
}

/// The server, ended when dropped.
pub(crate) struct Server {
    pub(crate) address: String,
    heads: Receiver<String>,
    stop: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Server {
    /// Answers one connection after the other by the acts given, then closes its door.
    pub(crate) fn new(acts: Vec<Act>) -> Self {
        Self::with_address(|_address| acts)
    }

    /// As `new`, with acts that name the server's own address.
    pub(crate) fn with_address(acts: impl FnOnce(&str) -> Vec<Act>) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("http://{}", listener.local_addr().unwrap());
        let acts = acts(&address);
        let (head, heads) = channel();
        let (stop, stopped) = channel();
        let thread = std::thread::spawn(move || {
            for act in acts {
                let Ok((stream, _)) = listener.accept() else { return };
                if stopped.try_recv().is_ok() {
                    return;
                }
                serve(stream, &act, &head);
            }
        });
        Self { address, heads, stop: Some(stop), thread: Some(thread) }
    }

    pub(crate) fn url(&self, path: &str) -> String {
        format!("{}{path}", self.address)
    }

    /// The next question that came: its head, with the first line and the names in lower case.
    pub(crate) fn question(&self) -> String {
        let head = self.heads.recv_timeout(Duration::from_secs(10)).unwrap();
        let lines = head.split_inclusive('\n').map(|line| match line.split_once(':') {
            Some((name, value)) => format!("{}:{value}", name.to_ascii_lowercase()),
            None => line.to_ascii_lowercase(),
        });
        lines.collect()
    }

    /// How many more questions came.
    pub(crate) fn questions_left(&self) -> usize {
        self.heads.try_iter().count()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        if let Some(stop) = self.stop.take() {
            let _gone = stop.send(());
        }
        // wakes a server that still waits for a question
        let _refused = TcpStream::connect(self.address.trim_start_matches("http://"));
        if let Some(thread) = self.thread.take() {
            let _ended = thread.join();
        }
    }
}

fn serve(mut stream: TcpStream, act: &Act, heads: &Sender<String>) {
    stream.set_read_timeout(Some(Duration::from_secs(10))).unwrap();
    let Some(head) = read_head(&mut stream) else { return };
    let _unread = heads.send(head);
    match act {
        Act::Send(bytes) => {
            // the other side may rightly hang up first
            let _cut = stream.write_all(bytes);
            let _closed = stream.shutdown(Shutdown::Write);
        }
        Act::SendThenHang(bytes) => {
            let _cut = stream.write_all(bytes);
            wait_for_end(&mut stream);
        }
        Act::Hang => wait_for_end(&mut stream),
    }
}

fn read_head(stream: &mut TcpStream) -> Option<String> {
    let mut head = Vec::new();
    let mut byte = [0];
    while !head.ends_with(b"\r\n\r\n") {
        if stream.read(&mut byte).ok()? == 0 {
            return None;
        }
        head.push(byte[0]);
    }
    Some(String::from_utf8_lossy(&head).into_owned())
}

fn wait_for_end(stream: &mut TcpStream) {
    let mut rest = [0; 64];
    while matches!(stream.read(&mut rest), Ok(read) if read > 0) {}
}

/// An answer with its length.
pub(crate) fn answer(status: &str, headers: &[&str], body: &[u8]) -> Act {
    Act::Send(bytes(status, headers, body))
}

/// The bytes of an answer with its length.
pub(crate) fn bytes(status: &str, headers: &[&str], body: &[u8]) -> Vec<u8> {
    let mut out = format!("HTTP/1.1 {status}\r\nContent-Length: {}\r\nConnection: close\r\n", body.len()).into_bytes();
    for header in headers {
        out.extend_from_slice(format!("{header}\r\n").as_bytes());
    }
    out.extend_from_slice(b"\r\n");
    out.extend_from_slice(body);
    out
}
