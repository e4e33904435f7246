//! The little of HTTP that the preview needs, and whom it answers: a page of this machine that it sent itself.

use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// What a page may load and do: its own script and style, and the document in a frame. Nothing from elsewhere.
pub(super) const PAGE_MAY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src data:; \
frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// What the document may do: carry its own style and pictures, and stand in a frame of the page.
pub(super) const DOCUMENT_MAY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'";

/// The longest head of a request, in bytes.
const LONGEST: usize = 16 << 10;

/// How long a request may take to come.
const PATIENCE: Duration = Duration::from_secs(5);

/// How long a connection waits before it is seen whether the preview has ended.
const GLANCE: Duration = Duration::from_millis(100);

/// This server, as a browser names it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Host {
    pub(super) port: u16,
}

impl Host {
    fn is_named(self, name: &str) -> bool {
        ["127.0.0.1", "localhost"].iter().any(|host| name == format!("{host}:{}", self.port))
    }

    fn is_origin(self, origin: &str) -> bool {
        origin.strip_prefix("http://").is_some_and(|name| self.is_named(name))
    }
}

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Asked {
    Page,
    Document,
    Script,
    Style,
    Version,
    Stop,
}

/// Why a request is refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    pub(super) status: &'static str,
    pub(super) why: String,
}

fn refusal<T>(status: &'static str, why: &str) -> Result<T, Refusal> {
    Err(Refusal { status, why: why.to_owned() })
}

/// Gives a connection its patience; whether it took it.
pub(super) fn ready(stream: &TcpStream) -> bool {
    stream.set_read_timeout(Some(GLANCE)).and_then(|()| stream.set_write_timeout(Some(PATIENCE))).is_ok()
}

/// Reads a request and says what it asks for, if it may. A connection on which nothing comes is waited for only until the
/// preview has ended.
pub(super) fn read(stream: &mut TcpStream, host: Host, ended: &AtomicBool) -> Result<Asked, Refusal> {
    let begun = Instant::now();
    let mut head = Vec::new();
    let mut piece = [0; 2048];
    loop {
        let length = match stream.read(&mut piece) {
            Ok(length) => length,
            Err(error)
                if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut)
                    && begun.elapsed() < PATIENCE
                    && !ended.load(Ordering::SeqCst) =>
            {
                continue;
            }
            Err(_) => return refusal("408 Request Timeout", "the request did not end"),
        };
        head.extend_from_slice(piece.get(..length).unwrap_or(&[]));
        if head.windows(4).any(|four| four == b"\r\n\r\n") {
            return understand(&head, host);
        }
        if length == 0 {
            return refusal("400 Bad Request", "the request broke off");
        }
        if head.len() > LONGEST {
            return refusal("431 Request Header Fields Too Large", "the head of the request is too long");
        }
    }
}

/// What a request asks for.
pub(super) fn understand(head: &[u8], host: Host) -> Result<Asked, Refusal> {
    let mut headers = [httparse::EMPTY_HEADER; 64];
    let mut request = httparse::Request::new(&mut headers);
    if !request.parse(head).is_ok_and(|status| status.is_complete()) {
        return refusal("400 Bad Request", "this is no request that can be read");
    }
    let all = |name: &str| {
        let of = |header: &&httparse::Header<'_>| header.name.eq_ignore_ascii_case(name);
        request
            .headers
            .iter()
            .filter(of)
            .map(|header| String::from_utf8_lossy(header.value).into_owned())
            .collect::<Vec<_>>()
    };
    // A page of another site may have its name lead to this machine; then the host is named otherwise.
    match all("host").as_slice() {
        [one] if host.is_named(one) => {}
        _ => return refusal("403 Forbidden", "the preview answers under the address of this machine alone"),
    }
    let origins = all("origin");
    if origins.iter().any(|origin| !host.is_origin(origin)) {
        return refusal("403 Forbidden", "the preview answers its own page alone");
    }
    let foreign = |site: &String| !matches!(site.as_str(), "same-origin" | "none");
    if all("sec-fetch-site").iter().any(foreign) {
        return refusal("403 Forbidden", "the preview answers its own page alone");
    }
    match (request.method.unwrap_or(""), request.path.unwrap_or("")) {
        ("GET", "/") => Ok(Asked::Page),
        ("GET", path) if path == "/document" || path.starts_with("/document?") => Ok(Asked::Document),
        ("GET", "/page.js") => Ok(Asked::Script),
        ("GET", "/page.css") => Ok(Asked::Style),
        ("GET", "/version") => Ok(Asked::Version),
        ("POST", "/stop") if origins.len() == 1 => Ok(Asked::Stop),
        ("POST", "/stop") => refusal("403 Forbidden", "only the page of the preview may end it"),
        ("GET", _) => refusal("404 Not Found", "there is nothing under this address"),
        _ => refusal("405 Method Not Allowed", "the preview shows, and takes nothing"),
    }
}

/// Sends an answer.
pub(super) fn send(stream: &mut TcpStream, kind: &str, may: &str, body: &str) {
    write(stream, "200 OK", kind, may, body);
}

/// Sends a refusal, with its reason.
pub(super) fn refuse(stream: &mut TcpStream, refusal: &Refusal) {
    write(stream, refusal.status, "text/plain; charset=utf-8", "default-src 'none'", &format!("{}\n", refusal.why));
}

fn write(stream: &mut TcpStream, status: &str, kind: &str, may: &str, body: &str) {
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nContent-Security-Policy: {may}\r\n\
         X-Content-Type-Options: nosniff\r\nReferrer-Policy: no-referrer\r\nCache-Control: no-store\r\n\
         Cross-Origin-Resource-Policy: same-origin\r\nConnection: close\r\n\r\n",
        body.len()
    );
    // A browser that went away is no fault of ours.
    let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(body.as_bytes()));
    let _ = stream.flush();
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(text: &str) -> Result<Asked, &'static str> {
        let text = text.replace('\n', "\r\n") + "\r\n\r\n";
        understand(text.as_bytes(), Host { port: 4000 }).map_err(|refusal| refusal.status.split(' ').next().unwrap())
    }

    #[test]
    fn only_this_machine_and_its_own_page_are_answered() {
        assert_eq!(asked("GET / HTTP/1.1\nHost: 127.0.0.1:4000"), Ok(Asked::Page));
        assert_eq!(
            asked("GET /version HTTP/1.1\nHost: localhost:4000\nOrigin: http://localhost:4000"),
            Ok(Asked::Version)
        );
        for foreign in [
            "GET / HTTP/1.1",
            "GET / HTTP/1.1\nHost: elsewhere.example:4000",
            "GET / HTTP/1.1\nHost: 127.0.0.1:4001",
            "GET / HTTP/1.1\nHost: 127.0.0.1",
            "GET / HTTP/1.1\nHost: 127.0.0.1:4000\nHost: elsewhere.example",
            "GET /version HTTP/1.1\nHost: 127.0.0.1:4000\nOrigin: http://elsewhere.example",
            "GET /version HTTP/1.1\nHost: 127.0.0.1:4000\nOrigin: null",
            "GET /document HTTP/1.1\nHost: 127.0.0.1:4000\nSec-Fetch-Site: cross-site",
            "POST /stop HTTP/1.1\nHost: 127.0.0.1:4000",
            "POST /stop HTTP/1.1\nHost: 127.0.0.1:4000\nOrigin: https://127.0.0.1:4000",
        ] {
            assert_eq!(asked(foreign), Err("403"), "{foreign}");
        }
        assert_eq!(asked("POST /stop HTTP/1.1\nHost: 127.0.0.1:4000\nOrigin: http://127.0.0.1:4000"), Ok(Asked::Stop));
        assert_eq!(asked("GET /../etc/passwd HTTP/1.1\nHost: 127.0.0.1:4000"), Err("404"));
        assert_eq!(asked("PUT / HTTP/1.1\nHost: 127.0.0.1:4000"), Err("405"));
        assert_eq!(asked("nonsense"), Err("400"));
    }
}
