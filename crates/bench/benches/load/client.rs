//! A small client: one connection, kept alive, one request at a time.

use std::time::{Duration, Instant};

use http_body_util::{BodyExt, Full};
use hyper::body::Bytes;
use hyper::client::conn::http1::{SendRequest, handshake};
use hyper::header::{CONTENT_TYPE, HOST};
use hyper::{Method, Request, StatusCode};
use hyper_util::rt::TokioIo;
use tokio::net::TcpStream;

/// What came back.
pub struct Answer {
    /// Of the answer.
    pub status: StatusCode,
    /// All of it.
    pub body: String,
    /// From the request to the last byte.
    pub took: Duration,
}

/// A connection to the server.
pub struct Client {
    host: String,
    sender: SendRequest<Full<Bytes>>,
}

impl Client {
    /// Connects.
    pub async fn connect(host: &str) -> std::io::Result<Client> {
        let stream = TcpStream::connect(host).await?;
        stream.set_nodelay(true)?;
        let (sender, connection) = handshake(TokioIo::new(stream)).await.map_err(std::io::Error::other)?;
        tokio::spawn(connection);
        Ok(Client { host: host.to_owned(), sender })
    }

    /// Reads a page.
    pub async fn get(&mut self, path: &str) -> Answer {
        self.send(Method::GET, path, String::new()).await
    }

    /// Sends a form, as a page of the server itself would.
    pub async fn post(&mut self, path: &str, form: &[(&str, &str)]) -> Answer {
        let form: Vec<String> =
            form.iter().map(|(name, value)| format!("{name}={}", escape(value))).collect();
        self.send(Method::POST, path, form.join("&")).await
    }

    async fn send(&mut self, method: Method, path: &str, body: String) -> Answer {
        let mut request = Request::builder().method(&method).uri(path).header(HOST, &self.host);
        if method == Method::POST {
            request = request
                .header(CONTENT_TYPE, "application/x-www-form-urlencoded")
                .header("sec-fetch-site", "same-origin");
        }
        let request = request.body(Full::from(body)).expect("the request is well formed");
        self.sender.ready().await.expect("the server keeps the connection");
        let start = Instant::now();
        let answer = self.sender.send_request(request).await.expect("the server answers");
        let status = answer.status();
        let body = answer.into_body().collect().await.expect("the answer is complete").to_bytes();
        let took = start.elapsed();
        Answer { status, body: String::from_utf8_lossy(&body).into_owned(), took }
    }
}

/// A text as part of a query or form.
pub fn escape(text: &str) -> String {
    let mut escaped = String::new();
    for byte in text.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' => escaped.push(char::from(byte)),
            _ => escaped.push_str(&format!("%{byte:02X}")),
        }
    }
    escaped
}
