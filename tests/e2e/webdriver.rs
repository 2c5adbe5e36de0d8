//! A small client for chromedriver: W3C WebDriver (Recommendation, 2018) over
//! plain HTTP to this machine, one call at a time.
//!
//! A general client would bring an async runtime and minutes of building for the
//! dozen calls that are made here.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Duration;

use serde_json::{Value, json};

/// A chromedriver of our own with one session. Both end when this is dropped.
pub struct WebDriver {
    process: Child,
    port: u16,
    session: String,
}

/// What the driver says when it will not: WebDriver §6.6, the error's code and
/// the message that comes with it.
#[derive(Debug)]
pub struct Refusal {
    /// Such as `no such element`.
    pub code: String,
    /// In the driver's words.
    pub message: String,
}

/// Times that a driver is started before it is given up.
const STARTS: usize = 4;

impl WebDriver {
    /// Starts a driver on a free port, and a browser with these capabilities.
    pub fn start(capabilities: &Value) -> Self {
        // It looks for a free port and then takes it, for two kinds of address:
        // another driver may have been quicker, and then it gives up.
        let mut driver = (0..STARTS)
            .find_map(|_| Self::started())
            .expect("chromedriver says its port");
        let wanted = json!({ "capabilities": { "alwaysMatch": capabilities } });
        let started = driver
            .request("POST", "/session", Some(&wanted))
            .unwrap_or_else(|refusal| panic!("no browser: {}", refusal.message));
        driver.session = started["sessionId"]
            .as_str()
            .expect("a session has an id")
            .to_owned();
        driver
    }

    /// A driver that has said its port; none where it ended before.
    fn started() -> Option<Self> {
        let mut process = Command::new("chromedriver")
            .args(["--port=0", "--log-level=SEVERE"])
            .stdout(Stdio::piped())
            .spawn()
            .expect("chromedriver is installed: make tools");
        let mut said = BufReader::new(process.stdout.take().expect("its output is ours")).lines();
        let port = said.by_ref().map_while(Result::ok).find_map(|line| {
            let (_, port) = line.split_once("started successfully on port ")?;
            port.trim_end_matches('.').parse().ok()
        });
        let Some(port) = port else {
            // It has ended by itself.
            let _ = process.wait();
            return None;
        };
        // Keep reading, or it stops when the pipe is full.
        thread::spawn(move || said.for_each(drop));
        Some(Self {
            process,
            port,
            session: String::new(),
        })
    }

    /// One command of the session, by its path below it; `None` is a GET.
    pub fn call(&self, path: &str, body: Option<&Value>) -> Result<Value, Refusal> {
        let method = if body.is_some() { "POST" } else { "GET" };
        self.request(method, &format!("/session/{}/{path}", self.session), body)
    }

    /// Ends the driver alone; the browser is left to whoever has it.
    pub fn kill(&mut self) {
        self.session.clear();
        self.process.kill().expect("chromedriver can be killed");
        self.process.wait().expect("chromedriver has ended");
    }

    fn request(&self, method: &str, path: &str, body: Option<&Value>) -> Result<Value, Refusal> {
        let body = body.map(Value::to_string).unwrap_or_default();
        let answer = self
            .exchange(method, path, &body)
            .unwrap_or_else(|error| panic!("chromedriver does not answer {path}: {error}"));
        let mut answer: Value =
            serde_json::from_slice(&answer).expect("chromedriver answers in JSON");
        let value = answer["value"].take();
        match value["error"].as_str() {
            Some(code) => Err(Refusal {
                code: code.to_owned(),
                message: value["message"].as_str().unwrap_or("").to_owned(),
            }),
            None => Ok(value),
        }
    }

    fn exchange(&self, method: &str, path: &str, body: &str) -> std::io::Result<Vec<u8>> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port))?;
        stream.set_read_timeout(Some(Duration::from_secs(180)))?;
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\
             Content-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            self.port,
            body.len()
        )?;
        let mut stream = BufReader::new(stream);
        let mut length = 0;
        let mut line = String::new();
        while stream.read_line(&mut line)? > 2 {
            if let Some((name, value)) = line.split_once(':')
                && name.eq_ignore_ascii_case("content-length")
            {
                length = value.trim().parse().map_err(std::io::Error::other)?;
            }
            line.clear();
        }
        let mut answer = vec![0; length];
        stream.read_exact(&mut answer)?;
        Ok(answer)
    }
}

impl Drop for WebDriver {
    fn drop(&mut self) {
        if !self.session.is_empty() && !thread::panicking() {
            let path = format!("/session/{}", self.session);
            let _closed = self.request("DELETE", &path, None);
        }
        let _gone = self.process.kill();
        let _gone = self.process.wait();
    }
}
