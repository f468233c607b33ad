//! What every handler is handed: the site's parts and settings.

use super::clock::Clock;
use super::moment::Moments;
use super::request_counts::RequestCounts;
use super::throttle::Throttle;
use crate::actions::{Hashing, Ids};
use crate::store::Writer;
use std::ops::Deref;
use std::sync::Arc;

/// What a page says that has a link to print or to copy, and no address to begin it with.
pub(super) const SAY_ADDRESS: &str = "The site does not know the address that people reach it by. Please ask \
     whoever looks after the server to start it with --public-url, such as --public-url https://mill.example.org.";

/// What every handler is handed. Each layer of a request takes a copy: that is one count and no part is copied.
#[derive(Debug, Clone)]
pub struct App(Arc<Parts>);

impl From<Parts> for App {
    fn from(parts: Parts) -> Self {
        Self(Arc::new(parts))
    }
}

impl Deref for App {
    type Target = Parts;
    fn deref(&self) -> &Parts {
        &self.0
    }
}

/// The site's parts and settings.
#[derive(Debug)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a setting of its own, and no state"
)]
pub struct Parts {
    /// The one writer.
    pub writer: Writer,
    /// Moments to read from: each request is lent one.
    pub moments: Moments,
    /// The clock that the site goes by.
    pub clock: Clock,
    /// The source of new ids.
    pub ids: Ids,
    /// Passphrase hashing, one at a time.
    pub hashing: Hashing,
    /// Counts failed sign-ins.
    pub throttle: Throttle,
    /// Counts and times of requests since the site was started.
    pub figures: RequestCounts,
    /// Served over https: cookies say so.
    pub secure: bool,
    /// The address that people reach the site by, such as `https://mill.example.org`, for links on paper. None:
    /// nobody said, and nothing that is printed or copied bears a link then, rather than one that leads nowhere.
    pub public_url: Option<String>,
    /// The only name that the site answers to, such as `mill.example.org`, where one was set.
    pub only_host: Option<String>,
    /// The demo: its clock is shown.
    pub demo: bool,
    /// Believe `X-Forwarded-For`: only behind a proxy of ours.
    pub behind_proxy: bool,
    /// Letters are sent: there is a mail server.
    pub letters_sent: bool,
    /// Backups are made while the site is served.
    pub backed_up: bool,
    /// A copy that is only looked at: no form is taken but signing in and out.
    pub read_only: bool,
}
