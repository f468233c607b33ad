//! One phone: home, the press days, a day's free starts, a tap; and another tap where the start is
//! gone meanwhile. It knows no more than what stands on the pages it is shown.

use super::chance::Chance;
use super::figures::Kind;
use super::http::{Answer, Line};
use anyhow::{Context, bail, ensure};
use std::net::SocketAddr;
use std::time::Duration;

/// Starts tapped at most.
const TAPS_MOST: usize = 5;
/// Press days looked at at most.
const DAYS_MOST: usize = 4;
/// A look at the free starts before one is tapped, ms.
const LOOKS_MS: (i64, i64) = (200, 1200);
/// Cane of a phone, lb: two to ten minutes of this mill.
const CANE_LB: (i64, i64) = (60, 240);
/// Of a hundred, those who want the first press day that is open.
const FIRST_DAY: i64 = 30;
/// Of a hundred, those who want a day's first free start.
const FIRST_START: i64 = 40;

/// How it ended.
pub enum End {
    /// With the turn of that id.
    Turn(String),
    /// With a clear no: what the page said.
    No(&'static str),
}

/// Each request that was made, and how long it took.
pub type Seen = Vec<(Kind, Duration)>;

/// A phone.
pub struct Phone {
    line: Line,
    chance: Chance,
    seen: Seen,
}

/// What came of a day.
enum Day {
    Taken(String),
    Full,
    TappedEnough,
}

impl Phone {
    pub fn new(at: SocketAddr, cookie: String, chance: Chance) -> Self {
        Self {
            line: Line::new(at, cookie),
            chance,
            seen: Seen::new(),
        }
    }

    /// All of it.
    ///
    /// # Errors
    /// A fault: an answer that no phone should get, or a page that does not say what it should.
    pub async fn reaches_for_a_turn(mut self) -> anyhow::Result<(End, Seen)> {
        self.opens(Kind::Home, "/").await?;
        let cane = self.chance.between(CANE_LB.0, CANE_LB.1).to_string();
        let mut taps = 0;
        let mut shut = Vec::new();
        for _ in 0..DAYS_MOST {
            let days = self.opens(Kind::Days, "/days").await?.page;
            let mut open = values(&days, "href=\"/days/", "/book\"");
            open.retain(|day| !shut.contains(day));
            let Some(day) = self.wants(&open, FIRST_DAY) else {
                ensure!(days.contains("full"), "no day is open, yet none is full");
                return Ok((End::No("no other press day has room"), self.seen));
            };
            match self.tries(&day, &cane, &mut taps).await? {
                Day::Taken(id) => return Ok((End::Turn(id), self.seen)),
                Day::TappedEnough => {
                    let no = "five starts gone meanwhile, nearest free ones named";
                    return Ok((End::No(no), self.seen));
                }
                Day::Full => shut.push(day),
            }
        }
        Ok((End::No("four press days full for its cane"), self.seen))
    }

    /// Looks at a day's free starts and taps, until it has one or there is none.
    async fn tries(&mut self, day: &str, cane: &str, taps: &mut usize) -> anyhow::Result<Day> {
        let path = format!("/days/{day}/book");
        let asked = format!("{path}?told=weight&amount={cane}");
        let mut page = self.opens(Kind::Book, &asked).await?.page;
        loop {
            let starts = values(&page, "name=\"start\" value=\"", "\"");
            let Some(start) = self.wants(&starts, FIRST_START) else {
                ensure!(page.contains("Look at the other press days"), "no way on");
                return Ok(Day::Full);
            };
            if *taps == TAPS_MOST {
                return Ok(Day::TappedEnough);
            }
            *taps += 1;
            let looks = self.chance.between(LOOKS_MS.0, LOOKS_MS.1);
            tokio::time::sleep(Duration::from_millis(looks.unsigned_abs())).await;
            let answer = self.taps(&path, &page, cane, &start).await?;
            if answer.status == 303 {
                let id = answer.to.strip_prefix("/turns/").context("no turn")?;
                let turn = self.opens(Kind::Turn, &answer.to).await?.page;
                ensure!(turn.contains("Booked: "), "the turn does not say so");
                return Ok(Day::Taken(id.to_owned()));
            }
            let said = ["is not free", "there is no room", "The mill is free at"];
            ensure!(
                said.iter().any(|words| answer.page.contains(words)),
                "a no without a why: {}",
                answer.page
            );
            page = answer.page;
        }
    }

    async fn taps(
        &mut self,
        path: &str,
        page: &str,
        cane: &str,
        start: &str,
    ) -> anyhow::Result<Answer> {
        let hidden = |name: &str| {
            let all = values(page, &format!("name=\"{name}\" value=\""), "\"");
            all.into_iter().next().context("a form without its key")
        };
        let (key, token) = (hidden("form_key")?, hidden("token")?);
        let fields = [
            ("form_key", key.as_str()),
            ("token", &token),
            ("told", "weight"),
            ("amount", cane),
            ("cane", ""),
            ("start", start),
        ];
        let answer = self.line.post(path, &fields).await?;
        let kind = match answer.status {
            303 => Kind::Booked,
            409 | 422 => Kind::ToldNo,
            status => bail!("POST {path}: {status} {}", answer.page),
        };
        self.seen.push((kind, answer.took));
        Ok(answer)
    }

    async fn opens(&mut self, kind: Kind, path: &str) -> anyhow::Result<Answer> {
        let answer = self.line.get(path).await?;
        let status = answer.status;
        ensure!(status == 200, "GET {path}: {status} {}", answer.page);
        self.seen.push((kind, answer.took));
        Ok(answer)
    }

    /// So many of a hundred times the first, else any.
    fn wants(&mut self, of: &[String], first: i64) -> Option<String> {
        if self.chance.of_100(first) {
            of.first().cloned()
        } else {
            self.chance.one(of).cloned()
        }
    }
}

/// What stands between two marks, wherever it does; no longer than a date, a key or a time is.
fn values(page: &str, before: &str, after: &str) -> Vec<String> {
    page.split(before)
        .skip(1)
        .filter_map(|rest| rest.split_once(after))
        .map(|(value, _)| value.to_owned())
        .filter(|value| value.len() <= 64 && !value.contains('"'))
        .collect()
}
