//! Just enough HTTP to send what a browser never would.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

/// A request that is being put together.
pub struct Ask {
    address: SocketAddr,
    method: String,
    path: String,
    host: Option<String>,
    headers: Vec<(String, String)>,
    body: Vec<u8>,
}

/// What came back.
pub struct Reply {
    /// Its status.
    pub status: u16,
    /// Its headers, names in lower case.
    pub headers: Vec<(String, String)>,
    /// Its body, put together again where it came in chunks.
    pub body: Vec<u8>,
}

impl Ask {
    /// A request to the bench at `address`.
    pub fn new(address: SocketAddr, method: &str, path: &str) -> Self {
        Self {
            address,
            method: method.to_owned(),
            path: path.to_owned(),
            host: Some(address.to_string()),
            headers: Vec::new(),
            body: Vec::new(),
        }
    }

    /// Under another name, or none.
    pub fn host(mut self, host: Option<&str>) -> Self {
        self.host = host.map(str::to_owned);
        self
    }

    /// One more header.
    pub fn header(mut self, name: &str, value: &str) -> Self {
        self.headers.push((name.to_owned(), value.to_owned()));
        self
    }

    /// As a browser says it of one of our own pages.
    pub fn own(self) -> Self {
        self.header("Sec-Fetch-Site", "same-origin")
    }

    /// With a session.
    pub fn session(self, cookie: &str) -> Self {
        self.header("Cookie", cookie)
    }

    /// With a body.
    pub fn body(mut self, media_type: &str, body: impl Into<Vec<u8>>) -> Self {
        self.body = body.into();
        self.header("Content-Type", media_type)
    }

    /// With a form.
    pub fn form(self, pairs: &[(&str, &str)]) -> Self {
        let fields: Vec<String> =
            pairs.iter().map(|(name, value)| format!("{}={}", coded(name), coded(value))).collect();
        self.body("application/x-www-form-urlencoded", fields.join("&"))
    }

    /// With a photo in a form.
    pub fn photo(self, file_name: &str, media_type: &str, bytes: &[u8], caption: &str) -> Self {
        let head = format!(
            "--edge\r\nContent-Disposition: form-data; name=\"caption\"\r\n\r\n{caption}\r\n--edge\r\n\
             Content-Disposition: form-data; name=\"photo\"; filename=\"{file_name}\"\r\nContent-Type: {media_type}\r\n\r\n"
        );
        let body = [head.as_bytes(), bytes, b"\r\n--edge--\r\n"].concat();
        self.body("multipart/form-data; boundary=edge", body)
    }

    /// The request's line and headers.
    pub fn head(&self) -> String {
        let mut head = format!("{} {} HTTP/1.1\r\nConnection: close\r\n", self.method, self.path);
        if let Some(host) = &self.host {
            head.push_str(&format!("Host: {host}\r\n"));
        }
        for (name, value) in &self.headers {
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        let named = |wanted: &str| self.headers.iter().any(|(name, _)| name.eq_ignore_ascii_case(wanted));
        if !self.body.is_empty() && !named("content-length") && !named("transfer-encoding") {
            head.push_str(&format!("Content-Length: {}\r\n", self.body.len()));
        }
        head + "\r\n"
    }

    /// Sends it and reads the answer.
    pub fn send(self) -> Reply {
        let mut stream = connect(self.address);
        stream.write_all(self.head().as_bytes()).expect("the headers go out");
        // A bench that has seen enough may close before it has everything.
        let _ = stream.write_all(&self.body);
        read(stream).expect("an answer")
    }
}

impl Reply {
    /// A header's value.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

/// A connection on which nobody waits for ever.
pub fn connect(address: SocketAddr) -> TcpStream {
    let stream = TcpStream::connect(address).expect("a connection");
    stream.set_read_timeout(Some(Duration::from_secs(20))).expect("a limit");
    stream.set_write_timeout(Some(Duration::from_secs(20))).expect("a limit");
    stream
}

/// Reads an answer to the connection's end; none where the connection ends without one.
pub fn read(mut stream: TcpStream) -> Option<Reply> {
    let mut bytes = Vec::new();
    // A reset after the answer is as good an end as any.
    let _ = stream.read_to_end(&mut bytes);
    let end = bytes.windows(4).position(|four| four == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let mut lines = head.split("\r\n");
    let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
    let headers: Vec<(String, String)> = lines
        .filter_map(|line| line.split_once(':'))
        .map(|(name, value)| (name.to_lowercase(), value.trim().to_owned()))
        .collect();
    let body = bytes.split_off(end + 4);
    let chunked = headers.iter().any(|(name, value)| name == "transfer-encoding" && value == "chunked");
    Some(Reply { status, headers, body: if chunked { joined(&body) } else { body } })
}

/// The pieces of a chunked body as one.
fn joined(mut rest: &[u8]) -> Vec<u8> {
    let mut whole = Vec::new();
    while let Some(end) = rest.windows(2).position(|two| two == b"\r\n") {
        let size =
            std::str::from_utf8(&rest[..end]).ok().and_then(|size| usize::from_str_radix(size, 16).ok());
        let Some(size) = size.filter(|size| *size > 0 && end + 2 + size <= rest.len()) else { break };
        whole.extend_from_slice(&rest[end + 2..end + 2 + size]);
        rest = rest.get(end + 4 + size..).unwrap_or_default();
    }
    whole
}

/// Text as it stands in a form or an address.
pub fn coded(text: &str) -> String {
    text.bytes().fold(String::new(), |mut coded, byte| {
        if byte.is_ascii_alphanumeric() {
            coded.push(char::from(byte));
        } else {
            coded.push_str(&format!("%{byte:02X}"));
        }
        coded
    })
}
