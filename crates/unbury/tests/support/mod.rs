//! A real server process on a free port, and requests to it as bytes on a connection.

#![allow(dead_code, reason = "each test file uses some of it")]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// A server that ends with the test.
pub(crate) struct Server {
    child: Child,
    /// `127.0.0.1:PORT`.
    pub(crate) address: String,
    /// What it printed before it listened for requests.
    pub(crate) said: String,
}

impl Server {
    /// Starts `unbury serve` on a data folder and waits until it says that it serves.
    pub(crate) fn start(data: &Path, options: &[&str]) -> Server {
        let mut child = Command::new(env!("CARGO_BIN_EXE_unbury"))
            .args(["serve", "--data"])
            .arg(data)
            .args(options)
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut lines = BufReader::new(child.stdout.take().expect("it is piped")).lines();
        let mut said = String::new();
        // The last line it says before it waits.
        while !said.contains("ends it") {
            let line = lines.next().expect("it says where it serves").expect("it is text");
            said.push_str(&line);
            said.push('\n');
        }
        let port = said.split_once("://").and_then(|(_, rest)| rest.split_once('/'));
        let port = port.and_then(|(at, _)| at.rsplit_once(':')).expect("an address").1.to_owned();
        Server { child, address: format!("127.0.0.1:{port}"), said }
    }

    /// The code for the first lead.
    pub(crate) fn code(&self) -> String {
        let words = self.said.replace('\n', " ");
        let (_, rest) = words.split_once("this code: ").expect("a code");
        rest.split_whitespace().next().expect("a code").to_owned()
    }

    /// Ends it at once, with nothing said to it (SIGKILL).
    pub(crate) fn kill(mut self) {
        self.child.kill().expect("it runs");
        self.child.wait().expect("it ends");
    }

    /// Asks it to end, and waits until it has.
    pub(crate) fn ask_to_end(&mut self) -> Duration {
        let begin = std::time::Instant::now();
        let id = self.child.id().to_string();
        Command::new("kill").args(["-TERM", &id]).status().expect("kill runs");
        self.child.wait().expect("it ends");
        begin.elapsed()
    }

    /// Most memory it ever had, in bytes.
    pub(crate) fn most_memory(&self) -> u64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()));
        let status = status.unwrap_or_default();
        let line = status.lines().find(|line| line.starts_with("VmHWM")).unwrap_or("VmHWM: 0 kB");
        line.split_whitespace().nth(1).and_then(|kb| kb.parse::<u64>().ok()).unwrap_or(0) * 1024
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        self.send(&Ask::get(path)).expect("an answer")
    }

    /// Sends a request; `None` when the connection breaks before the answer is whole.
    pub(crate) fn send(&self, ask: &Ask) -> Option<Answer> {
        sent(&self.address, ask)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may have ended already.
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

/// A request.
#[derive(Clone)]
pub(crate) struct Ask {
    method: &'static str,
    path: String,
    headers: Vec<(String, String)>,
    body: Vec<u8>,
}

impl Ask {
    pub(crate) fn get(path: &str) -> Ask {
        let headers = vec![("Accept".to_owned(), "text/html".to_owned())];
        Ask { method: "GET", path: path.to_owned(), headers, body: Vec::new() }
    }

    pub(crate) fn post(path: &str, kind: &str, body: impl Into<Vec<u8>>) -> Ask {
        let headers = vec![("Content-Type".to_owned(), kind.to_owned())];
        Ask { method: "POST", path: path.to_owned(), headers, body: body.into() }
    }

    pub(crate) fn json(path: &str, body: &serde_json::Value) -> Ask {
        Ask::post(path, "application/json", body.to_string())
    }

    pub(crate) fn form(path: &str, fields: &[(&str, &str)]) -> Ask {
        let pairs: Vec<String> =
            fields.iter().map(|(name, value)| format!("{name}={}", encoded(value))).collect();
        Ask::post(path, "application/x-www-form-urlencoded", pairs.join("&"))
    }

    /// A photo as a browser sends it.
    pub(crate) fn photo(path: &str, fields: &[(&str, &str)], file: &[u8]) -> Ask {
        let mut body = Vec::new();
        for (name, value) in fields {
            let head = format!("--edge\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n");
            body.extend(head.bytes().chain(value.bytes()).chain(*b"\r\n"));
        }
        let head = "--edge\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.jpg\"\r\n\
                    Content-Type: image/jpeg\r\n\r\n";
        body.extend(head.bytes());
        body.extend(file);
        body.extend(b"\r\n--edge--\r\n");
        Ask::post(path, "multipart/form-data; boundary=edge", body)
    }

    pub(crate) fn with(mut self, name: &str, value: &str) -> Ask {
        self.headers.push((name.to_owned(), value.to_owned()));
        self
    }
}

/// An answer.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) headers: Vec<(String, String)>,
    pub(crate) body: Vec<u8>,
}

impl Answer {
    pub(crate) fn header(&self, name: &str) -> &str {
        let found = self.headers.iter().find(|(known, _)| known.eq_ignore_ascii_case(name));
        found.map_or("", |(_, value)| value)
    }

    pub(crate) fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.body).unwrap_or_default()
    }

    /// The session that the answer gives, as `unbury=...`.
    pub(crate) fn cookie(&self) -> String {
        self.header("set-cookie").split(';').next().unwrap_or("").to_owned()
    }

    /// The token in the forms of the page.
    pub(crate) fn token(&self) -> String {
        let text = self.text();
        let after = text.split_once("name=\"token\" value=\"").map_or("", |(_, after)| after);
        after.split('"').next().unwrap_or("").to_owned()
    }
}

/// One request on a connection of its own (HTTP/1.1, RFC 9112).
pub(crate) fn sent(address: &str, ask: &Ask) -> Option<Answer> {
    let mut stream = TcpStream::connect(address).ok()?;
    stream.set_read_timeout(Some(Duration::from_secs(120))).ok()?;
    let mut head = format!("{} {} HTTP/1.1\r\nConnection: close\r\n", ask.method, ask.path);
    if !ask.headers.iter().any(|(name, _)| name == "Host") {
        head.push_str(&format!("Host: {address}\r\n"));
    }
    for (name, value) in &ask.headers {
        head.push_str(&format!("{name}: {value}\r\n"));
    }
    head.push_str(&format!("Content-Length: {}\r\n\r\n", ask.body.len()));
    stream.write_all(head.as_bytes()).ok()?;
    // A server that refuses may stop reading; its answer counts all the same.
    drop(stream.write_all(&ask.body));
    let mut bytes = Vec::new();
    let read = stream.read_to_end(&mut bytes);
    answer(&bytes, read.is_ok())
}

fn answer(bytes: &[u8], is_whole: bool) -> Option<Answer> {
    let end = bytes.windows(4).position(|part| part == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let mut lines = head.split("\r\n");
    let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
    let headers: Vec<(String, String)> = lines
        .filter_map(|line| line.split_once(": "))
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .collect();
    let raw = &bytes[end + 4..];
    let answer = Answer { status, headers, body: raw.to_vec() };
    if answer.header("transfer-encoding") == "chunked" {
        let body = unchunked(raw)?;
        return Some(Answer { body, ..answer });
    }
    let length = answer.header("content-length").parse().unwrap_or(raw.len());
    (raw.len() >= length || (status >= 400 && !is_whole)).then_some(answer)
}

fn unchunked(mut raw: &[u8]) -> Option<Vec<u8>> {
    let mut out = Vec::new();
    loop {
        let end = raw.windows(2).position(|part| part == b"\r\n")?;
        let size = usize::from_str_radix(std::str::from_utf8(&raw[..end]).ok()?.trim(), 16).ok()?;
        raw = &raw[end + 2..];
        if size == 0 {
            return Some(out);
        }
        out.extend(raw.get(..size)?);
        raw = raw.get(size + 2..)?;
    }
}

/// Percent-encoded for a form (URL Standard, application/x-www-form-urlencoded).
pub(crate) fn encoded(text: &str) -> String {
    let byte = |b: u8| match b {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' => char::from(b).to_string(),
        b => format!("%{b:02X}"),
    };
    text.bytes().map(byte).collect()
}
