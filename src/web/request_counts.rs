//! What the site did since it was started, counted: requests and the time they took, by route. In memory alone.

use axum::http::{Method, StatusCode};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// Upper ends of the classes that times are sorted into, seconds.
const WITHIN_S: [f64; 8] = [0.005, 0.02, 0.05, 0.1, 0.25, 1.0, 5.0, 30.0];

/// How long requests to one route took.
#[derive(Debug, Clone, Default)]
struct Times {
    count: u64,
    sum_s: f64,
    within: [u64; WITHIN_S.len()],
}

#[derive(Debug, Default)]
struct Counted {
    /// Requests by route, method, and first digit of the status.
    requests: BTreeMap<(&'static str, String, u16), u64>,
    times: BTreeMap<&'static str, Times>,
}

/// Counts and times of requests. Cloning shares them.
#[derive(Debug, Clone, Default)]
pub struct RequestCounts(Arc<Mutex<Counted>>);

/// The line of the table that answered; on an answer, for the figures and the log.
#[derive(Debug, Clone, Copy)]
pub(super) struct Route(pub &'static str);

/// The route that stands for an address which the table does not have.
pub(super) const NO_ROUTE: Route = Route("none");

impl RequestCounts {
    /// Counts a request and the time it took.
    pub(super) fn note(&self, route: Route, method: &Method, status: StatusCode, took: Duration) {
        let mut counted = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let class = status.as_u16() / 100;
        // A method of somebody's invention must not make the list grow.
        let method = match *method {
            Method::GET | Method::POST | Method::HEAD => method.as_str(),
            _ => "other",
        };
        let key = (route.0, method.to_owned(), class);
        *counted.requests.entry(key).or_default() += 1;
        let times = counted.times.entry(route.0).or_default();
        let seconds = took.as_secs_f64();
        times.count += 1;
        times.sum_s += seconds;
        for (count, within) in times.within.iter_mut().zip(WITHIN_S) {
            *count += u64::from(seconds <= within);
        }
    }

    /// The figures as lines of the text format of `OpenMetrics` 1.0, without its end.
    pub fn text(&self) -> String {
        let counted = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let mut text = String::from(
            "# TYPE canewright_requests counter\n# HELP canewright_requests Requests answered, by route.\n",
        );
        // Writing into a string does not fail.
        for ((route, method, class), count) in &counted.requests {
            let _ = writeln!(
                text,
                "canewright_requests_total{{route=\"{route}\",method=\"{method}\",status=\"{class}xx\"}} {count}"
            );
        }
        text.push_str(
            "# TYPE canewright_request_seconds histogram\n# UNIT canewright_request_seconds seconds\n\
             # HELP canewright_request_seconds From a request to its answer, by route.\n",
        );
        for (route, times) in &counted.times {
            for (within, count) in WITHIN_S.iter().zip(times.within) {
                let _ = writeln!(
                    text,
                    "canewright_request_seconds_bucket{{route=\"{route}\",le=\"{within:?}\"}} {count}"
                );
            }
            let _ = writeln!(
                text,
                "canewright_request_seconds_bucket{{route=\"{route}\",le=\"+Inf\"}} {count}\n\
                 canewright_request_seconds_count{{route=\"{route}\"}} {count}\n\
                 canewright_request_seconds_sum{{route=\"{route}\"}} {sum}",
                count = times.count,
                sum = times.sum_s
            );
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn requests_are_counted_by_route_and_time() {
        let figures = RequestCounts::default();
        for (status, ms) in [(200, 3), (200, 30), (404, 7)] {
            let status = StatusCode::from_u16(status).expect("a status");
            figures.note(
                Route("/days"),
                &Method::GET,
                status,
                Duration::from_millis(ms),
            );
        }
        let text = figures.text();
        for line in [
            "canewright_requests_total{route=\"/days\",method=\"GET\",status=\"2xx\"} 2",
            "canewright_requests_total{route=\"/days\",method=\"GET\",status=\"4xx\"} 1",
            "canewright_request_seconds_bucket{route=\"/days\",le=\"0.005\"} 1",
            "canewright_request_seconds_bucket{route=\"/days\",le=\"0.02\"} 2",
            "canewright_request_seconds_bucket{route=\"/days\",le=\"+Inf\"} 3",
            "canewright_request_seconds_count{route=\"/days\"} 3",
        ] {
            assert!(text.lines().any(|l| l == line), "{line} is not in {text}");
        }
    }
}
