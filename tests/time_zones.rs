//! Civil time to UTC and back, against the published vectors of the tz database: days when the
//! clocks go forward, when they go back, and plain ones. The source stands beside each row.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use canewright::units::{MinuteOfDay, PressDate, UtcSecond, Zone};
use time::format_description::well_known::Rfc3339;

/// "2026-03-08T08:30Z" as an instant.
fn utc(text: &str) -> UtcSecond {
    let whole = text.replace('Z', ":00Z");
    let stamp = time::OffsetDateTime::parse(&whole, &Rfc3339).unwrap();
    UtcSecond::new(stamp.unix_timestamp())
}

#[test]
fn every_published_local_time_becomes_its_instant_and_back_and_skipped_ones_are_refused() {
    let mut rows = csv::Reader::from_path("tests/published/tz_vectors.csv").unwrap();
    let mut kinds = Vec::new();
    for row in rows.records() {
        let row = row.unwrap();
        let (zone, local, kind) = (Zone::parse(&row[0]).unwrap(), &row[1], row[2].to_owned());
        let (date, minute) = local.split_once('T').unwrap();
        let date = PressDate::parse(date).unwrap();
        let minute = MinuteOfDay::parse(minute).unwrap();
        let instants = [utc(&row[3]), utc(&row[4])];
        let hours: f64 = row[5].parse().unwrap();
        let midnight = |date| zone.instant(date, MinuteOfDay::new(0).unwrap()).unwrap();
        let day = midnight(date.plus_days(1)).minutes_since(midnight(date));
        #[expect(clippy::cast_precision_loss, reason = "minutes of a day")]
        let day = day as f64 / 60.0;
        assert!((day - hours).abs() < 1e-9, "{local}: {day} h");
        let found = zone.instant(date, minute);
        if kind == "gap" {
            assert!(found.is_err(), "{local} is skipped");
        } else {
            // Of two, the first.
            assert_eq!(found.unwrap(), instants[0], "{local}");
            for at in instants {
                assert_eq!(zone.local(at), (date, minute), "{local}");
            }
            assert_eq!(kind == "fold", instants[0] != instants[1], "{local}");
        }
        kinds.push(kind);
    }
    assert_eq!(kinds.len(), 9);
    for kind in ["gap", "fold", "normal", "day of 23 h", "day of 25 h"] {
        assert!(kinds.iter().any(|k| k == kind), "no {kind}");
    }
}
