//! The built program, started as a person would, and somebody with a browser at it.

use std::fmt::Write as _;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Output, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

/// A pause between two looks at something that comes by itself.
const PAUSE: Duration = Duration::from_millis(50);
/// Looks before it is given up: a minute of pauses.
const LOOKS: usize = 1200;

/// Looks until something is there.
pub fn wait_for<T>(what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    for _ in 0..LOOKS {
        if let Some(found) = look() {
            return found;
        }
        thread::sleep(PAUSE);
    }
    panic!("never came: {what}");
}

pub fn command() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_canewright"));
    command
        .env_clear()
        .env("PATH", "/usr/bin:/bin")
        .env("RUST_LOG", "info,sqlx=warn");
    command
}

/// Runs the program to its end.
pub fn run(words: &[&str]) -> Output {
    command().args(words).output().unwrap()
}

/// What was said on both ways, and whether it ended well.
pub fn said(output: &Output) -> (bool, String) {
    let both = [&output.stdout, &output.stderr].map(|text| String::from_utf8_lossy(text));
    (output.status.success(), both.concat())
}

/// Runs the program and wants it to end well.
pub fn well(words: &[&str]) -> String {
    let (good, text) = said(&run(words));
    assert!(good, "{words:?}: {text}");
    text
}

/// Runs the program and wants it to refuse; gives what it said.
pub fn refused(words: &[&str]) -> String {
    let (good, text) = said(&run(words));
    assert!(!good, "{words:?} went well: {text}");
    text
}

/// A site that is served.
pub struct Program {
    child: Child,
    pub at: String,
    pub code: Option<String>,
    log: Receiver<String>,
    heard: String,
}

impl Program {
    pub fn serves(database: &Path, more: &[&str]) -> Self {
        let mut command = command();
        command
            .args(["serve", "--database"])
            .arg(database)
            .args(more);
        if !more.contains(&"--listen") {
            command.args(["--listen", "127.0.0.1:0"]);
        }
        Self::start(command)
    }

    pub fn start(mut command: Command) -> Self {
        let mut child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (say, log) = channel();
        let stderr = BufReader::new(child.stderr.take().unwrap());
        thread::spawn(move || {
            for line in stderr.lines().map_while(Result::ok) {
                if say.send(line).is_err() {
                    return;
                }
            }
        });
        let mut stdout = BufReader::new(child.stdout.take().unwrap());
        let (mut code, mut at) = (None, String::new());
        while at.is_empty() {
            let mut line = String::new();
            if stdout.read_line(&mut line).unwrap() == 0 {
                let why: Vec<String> = log.iter().collect();
                panic!("it ended at once: {}", why.join("\n"));
            }
            if let Some(url) = line.trim().strip_prefix("Serving on http://") {
                url.clone_into(&mut at);
            } else if line.starts_with("    ") {
                code = Some(line.trim().to_owned());
            }
        }
        thread::spawn(move || std::io::copy(&mut stdout, &mut std::io::sink()));
        Self {
            child,
            at,
            code,
            log,
            heard: String::new(),
        }
    }

    pub fn browser(&self) -> Browser {
        Browser {
            at: self.at.clone(),
            cookies: Vec::new(),
        }
    }

    /// Sets the co-op up, and gives its steward's browser.
    pub fn set_up(&self) -> Browser {
        let mut ruth = self.browser();
        let page = ruth.opens("/set-up");
        let done = ruth.fills(
            &page,
            "/set-up",
            &[
                ("code", self.code.as_deref().unwrap()),
                ("coop", "Coldwater Ridge Pressing Co-op"),
                ("place", "Tolliver, TN 37999"),
                ("zone", "America/Chicago"),
                ("units", "us"),
                ("name", "Ruth Bell"),
                ("phone", "615 555 0100"),
                ("sign_in", "ruth"),
                ("passphrase", PASSPHRASE),
            ],
        );
        assert_eq!(done.status, 303, "{}", done.body);
        ruth
    }

    /// Waits until the log says something.
    pub fn log_says(&mut self, words: &str) {
        wait_for(words, || {
            while let Ok(line) = self.log.try_recv() {
                self.heard.push_str(&line);
                self.heard.push('\n');
            }
            self.heard.contains(words).then_some(())
        });
    }

    /// The process.
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// kill -9.
    pub fn killed(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// SIGTERM, and all that the log said.
    pub fn stops_and_tells(mut self) -> String {
        let id = self.child.id().to_string();
        assert!(Command::new("kill").arg(&id).status().unwrap().success());
        self.child.wait().unwrap();
        for line in &self.log {
            self.heard.push_str(&line);
            self.heard.push('\n');
        }
        std::mem::take(&mut self.heard)
    }

    /// SIGTERM, and how it ended.
    pub fn stops(mut self) -> ExitStatus {
        let id = self.child.id().to_string();
        assert!(Command::new("kill").arg(&id).status().unwrap().success());
        self.child.wait().unwrap()
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        // A test that failed leaves no server behind; one that has ended is not there any more.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub const PASSPHRASE: &str = "four mules in a row";

/// An answer.
#[derive(Debug, Clone)]
pub struct Answer {
    pub status: u16,
    pub to: String,
    pub body: String,
}

impl Answer {
    fn hidden(&self, name: &str) -> String {
        let mark = format!("name=\"{name}\" value=\"");
        let from = self
            .body
            .find(&mark)
            .unwrap_or_else(|| panic!("no {name}: {}", self.body))
            + mark.len();
        let rest = self.body.get(from..).unwrap();
        rest.get(..rest.find('"').unwrap()).unwrap().to_owned()
    }

    #[track_caller]
    pub fn says(&self, words: &str) -> &Self {
        assert!(
            self.body.contains(words),
            "no “{words}”: {} {}",
            self.status,
            self.body
        );
        self
    }
}

/// Somebody with a browser, a connection a request.
#[derive(Debug, Clone)]
pub struct Browser {
    at: String,
    cookies: Vec<(String, String)>,
}

impl Browser {
    /// The same browser at another server.
    pub fn at(&self, program: &Program) -> Self {
        Self {
            at: program.at.clone(),
            cookies: self.cookies.clone(),
        }
    }

    pub fn opens(&mut self, path: &str) -> Answer {
        self.asks("GET", path, None).unwrap()
    }

    /// Fills the form of a page and sends it.
    pub fn fills(&mut self, page: &Answer, to: &str, boxes: &[(&str, &str)]) -> Answer {
        self.tries(page, to, boxes).unwrap()
    }

    /// The same, where the server may be gone.
    pub fn tries(
        &mut self,
        page: &Answer,
        to: &str,
        boxes: &[(&str, &str)],
    ) -> std::io::Result<Answer> {
        let (key, token) = (page.hidden("form_key"), page.hidden("token"));
        let mut all = vec![("form_key", key.as_str()), ("token", token.as_str())];
        all.extend_from_slice(boxes);
        let form = serde_urlencoded::to_string(&all).unwrap();
        self.asks("POST", to, Some(&form))
    }

    pub fn signs_in(&mut self) -> Answer {
        self.signs_in_as("ruth", PASSPHRASE)
    }

    pub fn signs_in_as(&mut self, name: &str, passphrase: &str) -> Answer {
        let page = self.opens("/sign-in");
        let boxes = [("sign_in", name), ("passphrase", passphrase), ("next", "/")];
        self.fills(&page, "/sign-in", &boxes)
    }

    /// Adds a member; the answer leads to the card once it is stored.
    pub fn adds(&mut self, name: &str) -> std::io::Result<Answer> {
        let page = self.asks("GET", "/members/new", None)?;
        self.tries(
            &page,
            "/members/new",
            &[
                ("name", name),
                ("phone", "615 555 0111"),
                ("units", "us"),
                ("role", "member"),
            ],
        )
    }

    pub fn asks(&mut self, way: &str, path: &str, form: Option<&str>) -> std::io::Result<Answer> {
        let name = self.at.clone();
        self.asks_as(way, path, form, &name)
    }

    /// A form sent by a page elsewhere.
    pub fn asks_from(&mut self, path: &str, origin: &str) -> std::io::Result<Answer> {
        let (at, body) = (&self.at, "sign_in=x");
        let request = format!(
            "POST {path} HTTP/1.1\r\nhost: {at}\r\norigin: {origin}\r\nconnection: close\r\ncontent-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n\r\n{body}",
            body.len()
        );
        let mut stream = TcpStream::connect(at)?;
        stream.write_all(request.as_bytes())?;
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes)?;
        self.reads(&String::from_utf8_lossy(&bytes))
    }

    /// What a cookie holds.
    pub fn cookie(&self, name: &str) -> String {
        let found = self.cookies.iter().find(|(n, _)| n == name);
        found
            .unwrap_or_else(|| panic!("no cookie {name}"))
            .1
            .clone()
    }

    /// The same, calling the server by a name.
    pub fn asks_as(
        &mut self,
        way: &str,
        path: &str,
        form: Option<&str>,
        name: &str,
    ) -> std::io::Result<Answer> {
        let cookies: Vec<String> = self
            .cookies
            .iter()
            .map(|(n, v)| format!("{n}={v}"))
            .collect();
        let at = &self.at;
        let mut request = format!(
            "{way} {path} HTTP/1.1\r\nhost: {name}\r\nconnection: close\r\ncookie: {}\r\n",
            cookies.join("; ")
        );
        if let Some(form) = form {
            write!(
                request,
                "origin: http://{at}\r\ncontent-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n",
                form.len()
            )
            .unwrap();
        }
        request.push_str("\r\n");
        request.push_str(form.unwrap_or_default());
        let mut stream = TcpStream::connect(at)?;
        stream.write_all(request.as_bytes())?;
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes)?;
        self.reads(&String::from_utf8_lossy(&bytes))
    }

    fn reads(&mut self, text: &str) -> std::io::Result<Answer> {
        let cut = || std::io::Error::from(std::io::ErrorKind::UnexpectedEof);
        let (head, body) = text.split_once("\r\n\r\n").ok_or_else(cut)?;
        let mut answer = Answer {
            status: head
                .get(9..12)
                .and_then(|s| s.parse().ok())
                .ok_or_else(cut)?,
            to: String::new(),
            body: body.to_owned(),
        };
        for line in head.lines().skip(1) {
            let Some((name, value)) = line.split_once(':') else {
                continue;
            };
            match (name.to_ascii_lowercase().as_str(), value.trim()) {
                ("location", to) => to.clone_into(&mut answer.to),
                ("set-cookie", set) => {
                    let pair = set.split(';').next().and_then(|pair| pair.split_once('='));
                    if let Some((name, value)) = pair {
                        self.cookies.retain(|(n, _)| n != name);
                        self.cookies.push((name.to_owned(), value.to_owned()));
                    }
                }
                _ => {}
            }
        }
        Ok(answer)
    }
}

/// The names in a folder, in order.
pub fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// Every file of a folder with what is in it.
pub fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let of = |name: String| {
        let bytes = std::fs::read(folder.join(&name)).unwrap();
        (name, bytes)
    };
    names(folder).into_iter().map(of).collect()
}

pub fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// A folder to work in, and the database in it.
pub fn desk() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let database = folder.path().join("press.db");
    (folder, database)
}
