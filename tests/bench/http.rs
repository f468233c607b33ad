//! As much HTTP/1.1 (RFC 9112) as a phone of the rush needs: one connection that is kept, a request
//! at a time, bodies with a length or in chunks, gzip.

use anyhow::{Context, ensure};
use flate2::read::GzDecoder;
use std::fmt::Write as _;
use std::io::Read;
use std::net::SocketAddr;
use std::time::{Duration, Instant};
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::TcpStream;

/// A phone's connection to the site.
pub struct Line {
    at: SocketAddr,
    cookie: String,
    stream: Option<BufReader<TcpStream>>,
}

/// What came back.
pub struct Answer {
    /// Status.
    pub status: u16,
    /// Where a 303 leads; else empty.
    pub to: String,
    /// The page.
    pub page: String,
    /// Its bytes as they came, with gzip.
    pub bytes: usize,
    /// From sending to the last byte; the first request of a line: from connecting.
    pub took: Duration,
}

impl Line {
    /// Not connected yet.
    pub fn new(at: SocketAddr, cookie: String) -> Self {
        Self {
            at,
            cookie,
            stream: None,
        }
    }

    /// Opens a page.
    pub async fn get(&mut self, path: &str) -> anyhow::Result<Answer> {
        self.ask("GET", path, None).await
    }

    /// Sends a form.
    pub async fn post(&mut self, path: &str, fields: &[(&str, &str)]) -> anyhow::Result<Answer> {
        let form = serde_urlencoded::to_string(fields)?;
        self.ask("POST", path, Some(&form)).await
    }

    async fn ask(&mut self, way: &str, path: &str, form: Option<&str>) -> anyhow::Result<Answer> {
        let Self { at, cookie, .. } = self;
        let mut request = format!(
            "{way} {path} HTTP/1.1\r\nhost: {at}\r\ncookie: {cookie}\r\naccept-encoding: gzip\r\n"
        );
        if let Some(form) = form {
            write!(
                request,
                "origin: http://{at}\r\ncontent-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n\r\n{form}",
                form.len()
            )?;
        } else {
            request.push_str("\r\n");
        }
        let begun = Instant::now();
        let mut stream = if let Some(stream) = self.stream.take() {
            stream
        } else {
            let stream = TcpStream::connect(self.at).await?;
            stream.set_nodelay(true)?;
            BufReader::new(stream)
        };
        stream.write_all(request.as_bytes()).await?;
        let head = Head::read(&mut stream).await?;
        let body = head.body(&mut stream).await?;
        let took = begun.elapsed();
        self.stream = Some(stream);
        let page = if head.gzip {
            let mut page = String::new();
            GzDecoder::new(&*body).read_to_string(&mut page)?;
            page
        } else {
            String::from_utf8(body.clone())?
        };
        let answer = Answer {
            status: head.status,
            to: head.to,
            page,
            bytes: body.len(),
            took,
        };
        ensure!(
            answer.status != 200 || answer.bytes > 0,
            "a page came without a byte"
        );
        Ok(answer)
    }
}

/// What stands before a body.
struct Head {
    status: u16,
    to: String,
    gzip: bool,
    length: usize,
    chunked: bool,
}

impl Head {
    async fn read(stream: &mut BufReader<TcpStream>) -> anyhow::Result<Self> {
        let first = line(stream).await?;
        let status = first.split(' ').nth(1).context("no status")?.parse()?;
        let mut head = Self {
            status,
            to: String::new(),
            gzip: false,
            length: 0,
            chunked: false,
        };
        loop {
            let line = line(stream).await?;
            if line.is_empty() {
                return Ok(head);
            }
            let (name, value) = line.split_once(':').context("a header without a colon")?;
            let value = value.trim();
            match name.to_ascii_lowercase().as_str() {
                "location" => value.clone_into(&mut head.to),
                "content-encoding" => head.gzip = value == "gzip",
                "content-length" => head.length = value.parse()?,
                "transfer-encoding" => head.chunked = value == "chunked",
                _ => {}
            }
        }
    }

    async fn body(&self, stream: &mut BufReader<TcpStream>) -> anyhow::Result<Vec<u8>> {
        let mut body = Vec::new();
        if !self.chunked {
            body.resize(self.length, 0);
            stream.read_exact(&mut body).await?;
            return Ok(body);
        }
        loop {
            let size = usize::from_str_radix(&line(stream).await?, 16)?;
            let had = body.len();
            body.resize(had + size, 0);
            let chunk = body.get_mut(had..).unwrap_or_default();
            stream.read_exact(chunk).await?;
            ensure!(line(stream).await?.is_empty(), "a chunk does not end");
            if size == 0 {
                return Ok(body);
            }
        }
    }
}

async fn line(stream: &mut BufReader<TcpStream>) -> anyhow::Result<String> {
    let mut line = String::new();
    stream.read_line(&mut line).await?;
    let whole = line.strip_suffix("\r\n").context("the line was cut")?;
    Ok(whole.to_owned())
}
