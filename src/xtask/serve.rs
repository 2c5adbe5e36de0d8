//! Serves a built app to this machine, as any plain file server would: no listing, no
//! rewriting, no state. A file that also exists compressed (the same name and `.br`)
//! is sent compressed to clients that accept it. It sends the headers that
//! `src/web/docs/loading.md` asks of every host. Good enough to try the app and to test it
//! with the server gone; not for the open network.

use std::convert::Infallible;
use std::fs;
use std::net::{SocketAddr, TcpListener};
use std::path::{Component, Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use anyhow::{Context as _, Result};
use http_body_util::Full;
use hyper::body::Bytes;
use hyper::header::{
    ACCEPT_ENCODING, CACHE_CONTROL, CONTENT_ENCODING, CONTENT_SECURITY_POLICY, CONTENT_TYPE,
    HeaderMap, HeaderName, HeaderValue, REFERRER_POLICY, VARY, X_CONTENT_TYPE_OPTIONS,
};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Method, Request, Response, StatusCode};
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::sync::Semaphore;
use tokio::time::{sleep, timeout};

/// Connections at a time; more wait.
const CONNECTIONS: usize = 100;
/// Size of a request's line and headers, bytes. hyper takes no less than 8 kB.
const REQUEST_BYTES: usize = 16_384;
/// Headers of a request.
const REQUEST_HEADERS: usize = 64;
/// How long a client may take to send its request, and to take the answer.
const REQUEST_TIME: Duration = Duration::from_secs(10);
const ANSWER_TIME: Duration = Duration::from_secs(60);

/// What every host of the app should send; the page's own policy cannot say
/// `frame-ancestors` (Content Security Policy Level 3, 3.3).
const HEADERS: [(HeaderName, &str); 4] = [
    (CONTENT_SECURITY_POLICY, "frame-ancestors 'none'"),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (REFERRER_POLICY, "no-referrer"),
    (
        HeaderName::from_static("permissions-policy"),
        "geolocation=(), microphone=(), camera=(), payment=(), usb=(), serial=(), bluetooth=()",
    ),
];

/// `cargo xtask serve`
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

/// Serves until it is stopped from outside.
pub fn run(args: &Args) -> Result<()> {
    let dist = built(&args.dist)?;
    let (listener, address) = listen(args.port)?;
    println!("Lidoff is at http://{address}/ (Ctrl+C stops it)");
    if args.open && !open(&format!("http://{address}/")) {
        println!("No browser could be opened from here; open the address in one.");
    }
    answer_all(listener, dist)
}

/// Serves a built app in the background, on any free port, until this process ends.
pub fn in_background(dist: &Path) -> Result<SocketAddr> {
    let dist = built(dist)?;
    let (listener, address) = listen(0)?;
    let serve = move || {
        if let Err(error) = answer_all(listener, dist) {
            eprintln!("the server has stopped: {error:#}");
        }
    };
    let started = thread::Builder::new().spawn(serve);
    started.context("cannot start a thread for the server")?;
    Ok(address)
}

fn built(dist: &Path) -> Result<PathBuf> {
    let found = fs::canonicalize(dist).ok();
    found
        .filter(|dist| dist.join("index.html").is_file())
        .with_context(|| {
            format!(
                "there is no built app in {}: build it with `make build`",
                dist.display()
            )
        })
}

fn listen(port: u16) -> Result<(TcpListener, SocketAddr)> {
    let taken =
        || format!("cannot listen on port {port}: choose another, as in `make serve PORT=8081`");
    let listener = TcpListener::bind(("127.0.0.1", port)).with_context(taken)?;
    let address = listener.local_addr().with_context(taken)?;
    Ok((listener, address))
}

fn answer_all(listener: TcpListener, dist: PathBuf) -> Result<()> {
    let cannot_wait = "cannot wait for connections";
    let mut runtime = tokio::runtime::Builder::new_current_thread();
    let runtime = runtime.enable_all().build().context(cannot_wait)?;
    let dist: Arc<Path> = dist.into();
    runtime.block_on(async {
        listener.set_nonblocking(true).context(cannot_wait)?;
        let listener = tokio::net::TcpListener::from_std(listener).context(cannot_wait)?;
        let free = Arc::new(Semaphore::new(CONNECTIONS));
        loop {
            let place = Arc::clone(&free)
                .acquire_owned()
                .await
                .context(cannot_wait)?;
            let Ok((stream, _)) = listener.accept().await else {
                // Gone already, or too many at once: that passes.
                sleep(Duration::from_millis(10)).await;
                continue;
            };
            let dist = Arc::clone(&dist);
            tokio::spawn(async move {
                let service = service_fn(|request| {
                    let answer = answer(&dist, &request);
                    async { Ok::<_, Infallible>(answer) }
                });
                let connection = http1::Builder::new()
                    .keep_alive(false)
                    .timer(TokioTimer::new())
                    .header_read_timeout(REQUEST_TIME)
                    .max_buf_size(REQUEST_BYTES)
                    .max_headers(REQUEST_HEADERS)
                    .serve_connection(TokioIo::new(stream), service);
                // A visitor who hangs up in the middle, or is too slow, is no concern of
                // the others.
                let _hung_up = timeout(ANSWER_TIME, connection).await;
                drop(place);
            });
        }
    })
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

fn answer<B>(dist: &Path, request: &Request<B>) -> Response<Full<Bytes>> {
    if ![Method::GET, Method::HEAD].contains(request.method()) {
        return response(StatusCode::METHOD_NOT_ALLOWED, "text/plain", Vec::new());
    }
    found(dist, request).unwrap_or_else(|| {
        let body = b"Not found\n".to_vec();
        response(StatusCode::NOT_FOUND, "text/plain", body)
    })
}

fn found<B>(dist: &Path, request: &Request<B>) -> Option<Response<Full<Bytes>>> {
    let path = locate(dist, request.uri().path())?;
    let kind = media_type(&path);
    let read = |path: &Path| read_inside(dist, path);
    if accepts_brotli(request.headers()) {
        let mut compressed = path.clone().into_os_string();
        compressed.push(".br");
        // Most files have none.
        if let Some(body) = read(compressed.as_ref()) {
            let mut response = response(StatusCode::OK, kind, body);
            let headers = response.headers_mut();
            headers.insert(CONTENT_ENCODING, HeaderValue::from_static("br"));
            headers.insert(VARY, HeaderValue::from_static("Accept-Encoding"));
            return Some(response);
        }
    }
    Some(response(StatusCode::OK, kind, read(&path)?))
}

/// A file of the folder; `None` if there is none, or if a link leads out of the folder.
fn read_inside(dist: &Path, path: &Path) -> Option<Vec<u8>> {
    let path = fs::canonicalize(path).ok()?;
    // A device or a pipe never ends.
    let is_file = path.starts_with(dist) && path.is_file();
    is_file.then(|| fs::read(path).ok()).flatten()
}

/// Whether the sender accepts brotli (RFC 7932, “br”).
fn accepts_brotli(headers: &HeaderMap) -> bool {
    let values = headers.get_all(ACCEPT_ENCODING).into_iter();
    let mut codings = values
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','));
    codings.any(|coding| coding.trim() == "br")
}

/// The file that a request's target names; `None` if it leads out of the folder.
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

/// The media type, by the file's ending. Browsers refuse a script or a WASM module that
/// comes as anything else.
fn media_type(path: &Path) -> &'static str {
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

fn response(status: StatusCode, kind: &'static str, body: Vec<u8>) -> Response<Full<Bytes>> {
    let mut response = Response::new(Full::from(body));
    *response.status_mut() = status;
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(kind));
    headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-cache"));
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project;
    use std::io::{ErrorKind, Read, Write};
    use std::net::TcpStream;

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
        assert_eq!(media_type(Path::new("a_bg.wasm")), "application/wasm");
        assert!(media_type(Path::new("a.js")).starts_with("text/javascript"));
    }

    /// Everything that the server answers to a request, headers included.
    fn ask(address: SocketAddr, request: &str) -> String {
        let mut stream = TcpStream::connect(address).expect("a connection");
        write!(stream, "{request}\r\nHost: x\r\n\r\n").expect("a request");
        let mut text = String::new();
        stream.read_to_string(&mut text).expect("an answer");
        // The names of headers may be in any case.
        text.to_lowercase()
    }

    #[test]
    fn a_compressed_file_goes_to_those_who_accept_it_and_nothing_outside_to_anybody() {
        let place = tempfile::TempDir::new().expect("folder");
        fs::write(place.path().join("secret"), "secret").expect("file");
        let dist = place.path().join("dist");
        fs::create_dir(&dist).expect("folder");
        let long = "x".repeat(100_000);
        for (name, text) in [
            ("index.html", "page"),
            ("a.js", "plain"),
            ("a.js.br", "small"),
            ("b.js", "plain"),
            ("long.js", &long),
        ] {
            fs::write(dist.join(name), text).expect("file");
        }
        let address = in_background(&dist).expect("a server");
        let get =
            |path: &str, header: &str| ask(address, &format!("GET {path} HTTP/1.1\r\n{header}"));

        let small = get("/a.js", "Accept-Encoding: gzip, deflate, br, zstd");
        assert!(small.contains("content-encoding: br\r\n") && small.ends_with("small"));
        assert!(small.contains("vary: accept-encoding\r\n"), "{small}");
        assert!(small.contains("content-type: text/javascript"), "{small}");
        assert!(get("/a.js", "accept-encoding:br").ends_with("small"));
        let plain = get("/a.js", "Accept-Encoding: gzip");
        assert!(!plain.contains("content-encoding") && plain.ends_with("plain"));
        assert!(!get("/a.js", "Accept: br").contains("content-encoding"));
        assert!(get("/b.js", "Accept-Encoding: br").ends_with("plain"));

        let page = get("/", "Accept: */*");
        assert!(
            page.starts_with("http/1.1 200 ") && page.ends_with("page"),
            "{page}"
        );
        assert!(page.contains("cache-control: no-cache\r\n"), "{page}");
        let whole = get("/long.js", "Accept: */*");
        assert!(whole.contains("content-length: 100000\r\n"), "no length");

        for path in ["/c.js", "/../secret", "//etc/passwd", "/./../secret"] {
            let refused = get(path, "Accept: */*");
            assert!(refused.starts_with("http/1.1 404 "), "{path}: {refused}");
            assert!(refused.ends_with("not found\n"), "{path}: {refused}");
        }
        let head = ask(address, "HEAD /a.js HTTP/1.1");
        assert!(head.contains("content-length: 5\r\n") && head.ends_with("\r\n\r\n"));
        assert!(ask(address, "POST / HTTP/1.1").starts_with("http/1.1 405 "));
    }

    /// A built app of one page, and its server.
    fn page_server() -> (tempfile::TempDir, SocketAddr) {
        let dist = tempfile::TempDir::new().expect("folder");
        fs::write(dist.path().join("index.html"), "page").expect("file");
        let address = in_background(dist.path()).expect("a server");
        (dist, address)
    }

    #[test]
    fn every_answer_has_the_headers_that_the_guide_asks_of_a_host() {
        let guide = project::root().join("src/web/docs/loading.md");
        let guide = fs::read_to_string(guide).expect("the guide");
        let (_dist, address) = page_server();
        for request in ["GET / HTTP/1.1", "GET /none HTTP/1.1", "POST / HTTP/1.1"] {
            let answer = ask(address, request);
            for (name, value) in HEADERS {
                let header = format!("{name}: {value}\r\n");
                assert!(answer.contains(&header), "{header} in {answer}");
            }
        }
        for (name, value) in HEADERS {
            let line = format!("{name}: {value}");
            assert!(guide.to_lowercase().contains(&line), "{line}");
        }
    }

    #[test]
    fn a_link_that_leads_out_of_the_folder_is_not_followed() {
        let (dist, address) = page_server();
        let outside = tempfile::TempDir::new().expect("folder");
        fs::write(outside.path().join("secret.js"), "secret").expect("file");
        for (target, name) in [
            (outside.path().join("secret.js"), "a.js"),
            (outside.path().join("secret.js"), "index.html.br"),
            (outside.path().to_owned(), "folder"),
            ("/dev/zero".into(), "zero.js"),
            (dist.path().join("index.html"), "inside.html"),
        ] {
            std::os::unix::fs::symlink(target, dist.path().join(name)).expect("a link");
        }
        let get = |path: &str| {
            ask(
                address,
                &format!("GET {path} HTTP/1.1\r\nAccept-Encoding: br"),
            )
        };
        for path in ["/a.js", "/folder/secret.js", "/zero.js"] {
            assert!(get(path).starts_with("http/1.1 404 "), "{path}");
        }
        assert!(get("/").ends_with("page"));
        assert!(get("/inside.html").ends_with("page"));
    }

    #[test]
    fn a_request_without_end_is_cut() {
        let (_dist, address) = page_server();
        let mut stream = TcpStream::connect(address).expect("a connection");
        let mut sent = 0;
        let line = format!("X-Long: {}\r\n", "x".repeat(1_000));
        let mut refused = stream.write_all(b"GET / HTTP/1.1\r\n");
        while refused.is_ok() && sent < 50_000_000 {
            refused = stream.write_all(line.as_bytes());
            sent += line.len();
        }
        assert!(sent < 50_000_000, "all of it was read");
        // The others are served.
        assert!(ask(address, "GET / HTTP/1.1").ends_with("page"));
    }

    #[test]
    fn a_client_that_sends_nothing_is_cut_and_the_others_are_served_meanwhile() {
        let (_dist, address) = page_server();
        let mut slow = TcpStream::connect(address).expect("a connection");
        slow.write_all(b"GET / HT").expect("a part of a request");
        assert!(ask(address, "GET / HTTP/1.1").ends_with("page"));
        let wait = REQUEST_TIME + Duration::from_secs(20);
        slow.set_read_timeout(Some(wait)).expect("a limit");
        let mut rest = Vec::new();
        let cut = slow.read_to_end(&mut rest);
        // Closed, with an answer or without: not still open when the limit is over.
        let is_open = |kind| matches!(kind, ErrorKind::WouldBlock | ErrorKind::TimedOut);
        assert!(!cut.is_err_and(|error| is_open(error.kind())), "still open");
    }

    #[test]
    fn a_folder_without_an_app_is_reported_and_not_served() {
        let empty = tempfile::TempDir::new().expect("folder");
        let args = Args {
            dist: empty.path().into(),
            port: 0,
            open: false,
        };
        let error = run(&args).expect_err("nothing to serve");
        assert!(error.to_string().contains("make build"), "{error}");
    }

    #[test]
    fn a_taken_port_is_reported() {
        let (_server, address) = listen(0).expect("a port");
        let error = listen(address.port()).map(drop).expect_err("it is taken");
        assert!(error.to_string().contains("choose another"), "{error}");
    }
}
