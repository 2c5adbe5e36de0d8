//! Serves a built app to this machine, as any plain file server would: no
//! listing, no rewriting, no state. A file that lies there compressed too (the
//! same name and `.br`) goes out so to those who take it. Good enough to try the
//! app and to test it with the server gone; not for the open network.

use std::fs;
use std::io::{self, BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Component, Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;
use std::{error, fmt, thread};

/// `lidoff serve DIST`
#[derive(clap::Args)]
pub struct Args {
    /// The folder with the built app
    #[arg(default_value = "dist")]
    dist: PathBuf,
    /// The port to listen on; 0 takes any free one
    #[arg(long, default_value_t = 8080)]
    port: u16,
    /// Open it in the browser, if this machine has one to open
    #[arg(long)]
    open: bool,
}

/// Why nothing is served.
#[derive(Debug)]
pub enum ServeError {
    /// There is no built app in the folder.
    NoApp(PathBuf),
    /// The port cannot be listened on.
    Port(u16, io::Error),
}

impl fmt::Display for ServeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoApp(dist) => write!(
                f,
                "there is no built app in {}: build it with `make build`",
                dist.display()
            ),
            Self::Port(port, _) => write!(
                f,
                "cannot listen on port {port}: choose another, as in `make serve PORT=8081`"
            ),
        }
    }
}

impl error::Error for ServeError {
    fn source(&self) -> Option<&(dyn error::Error + 'static)> {
        match self {
            Self::NoApp(_) => None,
            Self::Port(_, source) => Some(source),
        }
    }
}

/// Serves until it is stopped from outside.
///
/// # Errors
/// When there is no app in the folder, or the port is taken.
pub fn run(args: &Args) -> Result<(), ServeError> {
    let dist = fs::canonicalize(&args.dist)
        .ok()
        .filter(|dist| dist.join("index.html").is_file())
        .ok_or_else(|| ServeError::NoApp(args.dist.clone()))?;
    let taken = |source| ServeError::Port(args.port, source);
    let listener = TcpListener::bind(("127.0.0.1", args.port)).map_err(taken)?;
    let address = format!("http://{}/", listener.local_addr().map_err(taken)?);
    println!("Lidoff is at {address} (Ctrl+C stops it)");
    if args.open && !open(&address) {
        println!("No browser could be opened from here; open the address in one.");
    }
    for stream in listener.incoming() {
        let dist = dist.clone();
        // A visitor who hangs up in the middle is no concern of the others.
        thread::spawn(move || stream.and_then(|stream| answer(&dist, stream)));
    }
    Ok(())
}

/// Whether a program that opens browsers could be started.
fn open(address: &str) -> bool {
    let screen = ["DISPLAY", "WAYLAND_DISPLAY"]
        .iter()
        .any(|name| std::env::var_os(name).is_some());
    let opener = if cfg!(target_os = "macos") {
        "open"
    } else if screen {
        "xdg-open"
    } else {
        return false;
    };
    Command::new(opener)
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .is_ok()
}

fn answer(dist: &Path, mut stream: TcpStream) -> io::Result<()> {
    stream.set_read_timeout(Some(Duration::from_secs(10)))?;
    let mut lines = BufReader::new(stream.try_clone()?).lines();
    let request = lines.next().transpose()?.unwrap_or_default();
    // The headers are read to the end: a connection closed with bytes unread is
    // reset, and the answer may be lost with it.
    let mut takes_brotli = false;
    for header in lines {
        let header = header?;
        if header.is_empty() {
            break;
        }
        takes_brotli |= accepts_brotli(&header);
    }
    let mut words = request.split(' ');
    let (method, target) = (words.next().unwrap_or(""), words.next().unwrap_or(""));
    if !["GET", "HEAD"].contains(&method) {
        return send(
            &mut stream,
            "405 Method Not Allowed",
            "text/plain",
            None,
            b"",
            true,
        );
    }
    let only_head = method == "HEAD";
    let Some(path) = locate(dist, target) else {
        return not_found(&mut stream, only_head);
    };
    if takes_brotli {
        let mut compressed = path.clone().into_os_string();
        compressed.push(".br");
        // Most files have none.
        if let Ok(body) = fs::read(compressed) {
            let kind = kind(&path);
            return send(&mut stream, "200 OK", kind, Some("br"), &body, only_head);
        }
    }
    match fs::read(&path) {
        Ok(body) => send(&mut stream, "200 OK", kind(&path), None, &body, only_head),
        Err(_) => not_found(&mut stream, only_head),
    }
}

fn not_found(stream: &mut TcpStream, only_head: bool) -> io::Result<()> {
    let body = b"Not found\n";
    send(stream, "404 Not Found", "text/plain", None, body, only_head)
}

/// Whether this header says that its sender takes brotli (RFC 7932, “br”).
fn accepts_brotli(header: &str) -> bool {
    header.split_once(':').is_some_and(|(name, codings)| {
        name.trim().eq_ignore_ascii_case("accept-encoding")
            && codings.split(',').any(|coding| coding.trim() == "br")
    })
}

/// The file that a request's target names; none if it leads out of the folder.
fn locate(dist: &Path, target: &str) -> Option<PathBuf> {
    let path = target.split(['?', '#']).next()?.strip_prefix('/')?;
    let relative = Path::new(path);
    let inside = relative
        .components()
        .all(|part| matches!(part, Component::Normal(_)));
    if !inside || path.contains('\\') {
        return None;
    }
    let mut file = dist.join(relative);
    if path.is_empty() || path.ends_with('/') {
        file.push("index.html");
    }
    Some(file)
}

/// The media type, by the file's ending; browsers refuse a script or a WASM
/// module that comes as anything else.
fn kind(path: &Path) -> &'static str {
    match path.extension().and_then(|ending| ending.to_str()) {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("json") => "application/json",
        Some("wasm") => "application/wasm",
        Some("webmanifest") => "application/manifest+json",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        _ => "application/octet-stream",
    }
}

fn send(
    stream: &mut TcpStream,
    status: &str,
    kind: &str,
    coding: Option<&str>,
    body: &[u8],
    only_head: bool,
) -> io::Result<()> {
    let coding = coding.map_or(String::new(), |coding| {
        format!("Content-Encoding: {coding}\r\nVary: Accept-Encoding\r\n")
    });
    write!(
        stream,
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\n{coding}\
         Cache-Control: no-cache\r\nConnection: close\r\n\r\n",
        body.len()
    )?;
    if !only_head {
        stream.write_all(body)?;
    }
    stream.flush()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_names_a_file_in_the_folder_or_nothing() {
        let dist = Path::new("/srv/lidoff");
        let at = |target| locate(dist, target).map(|path| path.display().to_string());
        assert_eq!(at("/").as_deref(), Some("/srv/lidoff/index.html"));
        assert_eq!(at("/a/b.js?v=1").as_deref(), Some("/srv/lidoff/a/b.js"));
        assert_eq!(at("/a/").as_deref(), Some("/srv/lidoff/a/index.html"));
        assert_eq!(at("/../secret"), None);
        assert_eq!(at("//etc/passwd"), None);
        assert_eq!(at("/a/..\\..\\secret"), None);
        assert_eq!(at(""), None);
    }

    #[test]
    fn a_module_is_served_as_what_browsers_accept() {
        assert_eq!(kind(Path::new("a_bg.wasm")), "application/wasm");
        assert!(kind(Path::new("a.js")).starts_with("text/javascript"));
    }

    #[test]
    fn what_lies_there_compressed_goes_out_so_to_those_who_take_it() {
        assert!(accepts_brotli("Accept-Encoding: gzip, deflate, br, zstd"));
        assert!(accepts_brotli("accept-encoding:br"));
        assert!(!accepts_brotli("Accept-Encoding: gzip, deflate"));
        assert!(!accepts_brotli("Accept: br"));

        let dist = tempfile::TempDir::new().expect("folder");
        fs::write(dist.path().join("a.js"), "plain").expect("file");
        fs::write(dist.path().join("a.js.br"), "small").expect("file");
        fs::write(dist.path().join("b.js"), "plain").expect("file");
        let listener = TcpListener::bind(("127.0.0.1", 0)).expect("a port");
        let address = listener.local_addr().expect("an address");
        let ask = |file: &str, header: &str| {
            let mut asking = TcpStream::connect(address).expect("a connection");
            write!(asking, "GET /{file} HTTP/1.1\r\n{header}\r\n\r\n").expect("a request");
            let (stream, _) = listener.accept().expect("a visitor");
            answer(dist.path(), stream).expect("an answer");
            let mut said = String::new();
            io::Read::read_to_string(&mut asking, &mut said).expect("an answer");
            said
        };
        let small = ask("a.js", "Accept-Encoding: br");
        assert!(small.contains("Content-Encoding: br\r\n") && small.ends_with("small"));
        assert!(small.contains("Content-Type: text/javascript"), "{small}");
        let plain = ask("a.js", "Accept-Encoding: gzip");
        assert!(!plain.contains("Content-Encoding") && plain.ends_with("plain"));
        assert!(ask("b.js", "Accept-Encoding: br").ends_with("plain"));
        assert!(ask("c.js", "Accept-Encoding: br").starts_with("HTTP/1.1 404"));
    }

    #[test]
    fn a_folder_without_an_app_is_told_and_not_served() {
        let empty = tempfile::TempDir::new().expect("folder");
        let args = Args {
            dist: empty.path().into(),
            port: 0,
            open: false,
        };
        assert!(matches!(run(&args), Err(ServeError::NoApp(_))));
    }
}
