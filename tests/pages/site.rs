//! The site under test: a real database file in a temporary folder, a fixed clock, counted ids, and
//! people who open pages and send forms through the router, without a port.

use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use canewright::actions::people::accounts;
use canewright::actions::{Act, Actor, Hashing, Ids};
use canewright::store::{Reader, Writer};
use canewright::units::{FormKey, MemberId, MemberName, Phone, Role, Units, UtcSecond};
use canewright::web::clock::Clock;
use canewright::web::{App, Moments, Parts, RequestCounts, Throttle, site};
use http_body_util::BodyExt;
use tempfile::TempDir;
use tower::ServiceExt;

#[path = "starts.rs"]
mod starts;

/// 2026-09-19 08:00 in Chicago, a Saturday (13:00 UTC).
pub const AT: UtcSecond = UtcSecond::new(1_789_822_800);

pub struct TestSite {
    pub router: Router,
    pub writer: Writer,
    pub reader: Reader,
    pub ids: Ids,
    pub steward: MemberId,
    folder: TempDir,
}

/// Somebody with a browser: a cookie, and the last page opened.
pub struct Browser {
    router: Router,
    pub cookie: String,
    pub last: String,
}

#[derive(Debug)]
pub struct Answer {
    pub status: StatusCode,
    pub to: String,
    pub body: String,
    pub cookies: Vec<String>,
    pub headers: axum::http::HeaderMap,
}

fn app(writer: &Writer, reader: &Reader, ids: &Ids, at: UtcSecond) -> App {
    App::from(parts(writer, reader, ids, at))
}

fn parts(writer: &Writer, reader: &Reader, ids: &Ids, at: UtcSecond) -> Parts {
    Parts {
        writer: writer.clone(),
        moments: Moments::new(reader.clone()),
        clock: Clock::Fixed(at),
        ids: ids.clone(),
        hashing: Hashing::new(),
        throttle: Throttle::default(),
        figures: RequestCounts::default(),
        secure: false,
        public_url: Some("http://mill.test".to_owned()),
        only_host: Some("mill.test".to_owned()),
        demo: false,
        behind_proxy: false,
        letters_sent: false,
        backed_up: true,
        read_only: false,
    }
}

impl TestSite {
    /// One text out of the database, such as an id.
    pub async fn text(&self, sql: &'static str) -> String {
        let mut snapshot = self.reader.snapshot().await.unwrap();
        sqlx::query_scalar(sql)
            .fetch_one(&mut *snapshot)
            .await
            .unwrap()
    }

    /// What an action is handed when the steward acts.
    pub fn act(&self) -> Act {
        self.act_as(self.steward, Role::Steward)
    }

    /// What an action is handed when somebody acts.
    pub fn act_as(&self, id: MemberId, role: Role) -> Act {
        Act {
            writer: self.writer.clone(),
            reader: self.reader.clone(),
            at: AT,
            ids: self.ids.clone(),
            actor: Actor { id, role },
            form: FormKey::new(self.ids.next(AT)).into(),
        }
    }

    /// Runs SQL, for what no action should be able to do.
    pub async fn sql(&self, sql: &'static str) {
        let mut tx = self.writer.begin().await.unwrap();
        sqlx::raw_sql(sql).execute(&mut *tx).await.unwrap();
        tx.commit().await.unwrap();
    }

    /// One number out of the database.
    pub async fn count(&self, sql: &'static str) -> i64 {
        let mut snapshot = self.reader.snapshot().await.unwrap();
        sqlx::query_scalar(sql)
            .fetch_one(&mut *snapshot)
            .await
            .unwrap()
    }

    /// Somebody not signed in.
    pub fn stranger(&self) -> Browser {
        Browser {
            router: self.router.clone(),
            cookie: String::new(),
            last: String::new(),
        }
    }

    /// Somebody not signed in, with the clock at another time.
    pub fn stranger_at(&self, at: UtcSecond) -> Browser {
        Browser {
            router: site(app(&self.writer, &self.reader, &self.ids, at)),
            ..self.stranger()
        }
    }

    /// The same site where nobody said by what address people reach it.
    pub fn without_address(mut self) -> Self {
        let told = parts(&self.writer, &self.reader, &self.ids, AT);
        self.router = site(App::from(Parts {
            public_url: None,
            only_host: None,
            ..told
        }));
        self
    }

    /// Opens a session for a member, without the slow hashing.
    pub async fn browser(&self, member: MemberId) -> Browser {
        let token = accounts::open_session(&self.writer, AT, member, "")
            .await
            .unwrap();
        let mut browser = self.stranger();
        browser.cookie = format!("canewright={}", token.as_str());
        browser
    }

    /// Adds a member of that role and gives their browser.
    pub async fn person(&self, name: &str, role: Role) -> (MemberId, Browser) {
        let new = canewright::actions::people::members::NewMember {
            clock: 24,
            address: String::new(),
            name: MemberName::parse(name).unwrap(),
            phone: Phone::parse("615 555 0101").unwrap(),
            email: None,
            units: Units::Us,
            wishes: Vec::new(),
            pools: true,
            named: true,
            in_queue: true,
            call_by: String::new(),
            role,
        };
        let id = canewright::actions::people::members::add(&self.act(), new)
            .await
            .unwrap();
        let browser = self.browser(id).await;
        (id, browser)
    }
}

impl Browser {
    /// Somebody with that cookie at a site on any database.
    pub fn on(writer: &Writer, reader: &Reader, ids: &Ids, at: UtcSecond, cookie: &str) -> Self {
        Self {
            router: site(app(writer, reader, ids, at)),
            cookie: cookie.to_owned(),
            last: String::new(),
        }
    }

    async fn ask(&mut self, request: Request<Body>) -> Answer {
        let response = self.router.clone().oneshot(request).await.unwrap();
        let status = response.status();
        let text = |name| {
            response
                .headers()
                .get(name)
                .and_then(|v| v.to_str().ok())
                .unwrap_or_default()
                .to_owned()
        };
        let to = text(header::LOCATION);
        let cookies: Vec<String> = response
            .headers()
            .get_all(header::SET_COOKIE)
            .iter()
            .map(|v| v.to_str().unwrap().to_owned())
            .collect();
        for cookie in &cookies {
            let pair = cookie.split(';').next().unwrap().to_owned();
            let name = pair.split('=').next().unwrap().to_owned();
            let mut kept: Vec<String> = self
                .cookie
                .split("; ")
                .filter(|c| !c.is_empty() && !c.starts_with(&format!("{name}=")))
                .map(str::to_owned)
                .collect();
            kept.push(pair);
            self.cookie = kept.join("; ");
        }
        let headers = response.headers().clone();
        let bytes = response.into_body().collect().await.unwrap().to_bytes();
        let body = String::from_utf8_lossy(&bytes).into_owned();
        if status != StatusCode::SEE_OTHER {
            self.last.clone_from(&body);
        }
        Answer {
            status,
            to,
            body,
            cookies,
            headers,
        }
    }

    /// Opens a page.
    pub async fn opens(&mut self, path: &str) -> Answer {
        self.opens_with(path, &[]).await
    }

    /// Opens a page, sending more headers.
    pub async fn opens_with(&mut self, path: &str, more: &[(header::HeaderName, &str)]) -> Answer {
        let mut request = Request::builder()
            .uri(path)
            .header(header::HOST, "mill.test")
            .header(header::COOKIE, &self.cookie);
        for (name, value) in more {
            request = request.header(name, *value);
        }
        self.ask(request.body(Body::empty()).unwrap()).await
    }

    /// Sends a form with the key and token of the last page opened.
    pub async fn sends(&mut self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let (key, token) = (self.hidden("form_key"), self.hidden("token"));
        self.sends_keyed(path, fields, &key, &token).await
    }

    /// Sends a form with a given key and token.
    pub async fn sends_keyed(
        &mut self,
        path: &str,
        fields: &[(&str, &str)],
        key: &str,
        token: &str,
    ) -> Answer {
        let mut pairs: Vec<(&str, &str)> = fields.to_vec();
        pairs.push(("form_key", key));
        pairs.push(("token", token));
        self.sends_with(path, &pairs, &[]).await
    }

    /// Sends a form as it stands, with more headers: what a phone's script does.
    pub async fn sends_with(
        &mut self,
        path: &str,
        fields: &[(&str, &str)],
        more: &[(header::HeaderName, String)],
    ) -> Answer {
        // A browser ends a line with two characters: HTML Living Standard, 4.10.22.8 (URL-encoded form data).
        let as_sent =
            |&(name, value): &(&str, &str)| (name.to_owned(), value.replace('\n', "\r\n"));
        let fields: Vec<(String, String)> = fields.iter().map(as_sent).collect();
        let body = serde_urlencoded::to_string(fields).unwrap();
        let mut request = Request::builder()
            .method(Method::POST)
            .uri(path)
            .header(header::HOST, "mill.test")
            .header(header::ORIGIN, "http://mill.test")
            .header(header::COOKIE, &self.cookie)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        for (name, value) in more {
            request = request.header(name, value);
        }
        self.ask(request.body(Body::from(body)).unwrap()).await
    }

    /// Opens a page, then sends its form.
    pub async fn fills(&mut self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let answer = self.opens(path).await;
        assert_eq!(answer.status, StatusCode::OK, "{path}: {}", answer.body);
        self.sends(path, fields).await
    }

    /// The value of a hidden box on the last page opened: the first form's.
    pub fn hidden(&self, name: &str) -> String {
        let mark = format!("name=\"{name}\" value=\"");
        let (_, rest) = self
            .last
            .split_once(&mark)
            .unwrap_or_else(|| panic!("no {name} on the page: {}", self.last));
        rest.split('"').next().unwrap().to_owned()
    }
}

impl Answer {
    /// Asserts that the form was not taken: the status, and words of the message.
    #[track_caller]
    pub fn refused(&self, status: StatusCode, words: &str) -> &Self {
        assert_eq!(self.status, status, "{}", self.body);
        // A name that is set apart from its sentence is still part of it.
        let plain = || self.body.replace("<bdi>", "").replace("</bdi>", "");
        assert!(
            self.body.contains(words) || plain().contains(words),
            "“{words}” is not on the page: {}",
            self.body
        );
        self
    }

    /// Asserts that the form was taken, and gives where it leads.
    #[track_caller]
    pub fn taken(&self) -> &str {
        assert_eq!(self.status, StatusCode::SEE_OTHER, "{}", self.body);
        &self.to
    }

    /// Asserts that words stand on the page.
    #[track_caller]
    pub fn says(&self, words: &str) -> &Self {
        assert!(
            self.body.contains(words),
            "“{words}” is not on the page: {}",
            self.body
        );
        self
    }
}
