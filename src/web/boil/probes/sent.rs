//! What a probe sent, as JSON or as a form: each reading with its age, and why one is not taken.

use crate::calc::boil::probes::TempAt;
use crate::units::{Celsius, UtcSecond};
use serde::Deserialize;

/// Most readings taken at once: four hours at one in fifteen seconds.
pub(super) const MOST: usize = 1000;
/// Oldest reading taken, seconds: half a day, longer than any boil.
const OLDEST_S: f64 = 43_200.0;

/// One reading as it was sent.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
struct Sent {
    /// Temperature read, °C.
    celsius: f64,
    /// Seconds since it was read; left out: read at this moment.
    #[serde(default)]
    age_s: f64,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Body {
    /// Each is read by itself: one that is broken holds up no others.
    Many {
        readings: Vec<serde_json::Value>,
    },
    One(Sent),
}

/// The readings of a body that a probe sent.
#[derive(Debug, PartialEq)]
pub(super) struct ReadBody {
    /// Sound readings, in the order sent.
    pub sound: Vec<TempAt>,
    /// How many readings are not sound.
    pub unsound: usize,
    /// What is wrong with the first of those; empty when there are none.
    pub why: String,
}

/// The reasons why nothing of a body was understood.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Garbled {
    /// It is neither JSON nor a form as it should be.
    NotUnderstood,
    /// More readings than are taken at once.
    TooMany,
}

/// Reads a body. What begins with a brace is JSON, whatever its header says: small controllers and curl
/// often leave the header out.
pub(super) fn read(body: &[u8], at: UtcSecond) -> Result<ReadBody, Garbled> {
    let first = body.iter().find(|byte| !byte.is_ascii_whitespace());
    let sent: Vec<Option<Sent>> = if first == Some(&b'{') {
        match serde_json::from_slice(body).map_err(|_| Garbled::NotUnderstood)? {
            Body::Many { readings } => readings
                .into_iter()
                .map(|one| serde_json::from_value(one).ok())
                .collect(),
            Body::One(one) => vec![Some(one)],
        }
    } else {
        let sent = form(body).ok_or(Garbled::NotUnderstood)?;
        sent.into_iter().map(Some).collect()
    };
    match sent.len() {
        0 => Err(Garbled::NotUnderstood),
        1..=MOST => Ok(look_over(&sent, at)),
        _ => Err(Garbled::TooMany),
    }
}

/// A form: each `celsius` begins a reading, an `age_s` after it belongs to it.
fn form(body: &[u8]) -> Option<Vec<Sent>> {
    let pairs: Vec<(String, String)> = serde_urlencoded::from_bytes(body).ok()?;
    let mut sent: Vec<Sent> = Vec::new();
    for (name, value) in pairs {
        let value: f64 = value.trim().replace(',', ".").parse().ok()?;
        match name.as_str() {
            "celsius" => sent.push(Sent {
                celsius: value,
                age_s: 0.0,
            }),
            "age_s" => sent.last_mut()?.age_s = value,
            _ => {}
        }
    }
    Some(sent)
}

/// Sets apart what no thermometer can have read: one broken reading must not hold up the others.
fn look_over(sent: &[Option<Sent>], at: UtcSecond) -> ReadBody {
    let mut out = ReadBody {
        sound: Vec::with_capacity(sent.len()),
        unsound: 0,
        why: String::new(),
    };
    for one in sent {
        let read = one.as_ref().map_or_else(
            || Err("one reading has no temperature that can be read".to_owned()),
            |one| sound(one, at),
        );
        match read {
            Ok(read) => out.sound.push(read),
            Err(why) => {
                if out.unsound == 0 {
                    out.why = why;
                }
                out.unsound += 1;
            }
        }
    }
    out
}

fn sound(one: &Sent, at: UtcSecond) -> Result<TempAt, String> {
    let temp = Celsius::new(one.celsius)
        .map_err(|_| format!("{} is not a temperature from -40 to 200 °C", one.celsius))?;
    if !(0.0..=OLDEST_S).contains(&one.age_s) {
        return Err(format!(
            "{} is not an age from 0 to {OLDEST_S} seconds",
            one.age_s
        ));
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "at most 43,200, just looked at"
    )]
    let age_s = one.age_s.round() as i64;
    Ok(TempAt {
        at: at.plus(-age_s),
        temp,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const AT: UtcSecond = UtcSecond::new(100_000);

    fn of(body: &str) -> Result<Vec<(i64, f64)>, Garbled> {
        read(body.as_bytes(), AT).map(|read| {
            let pair = |one: &TempAt| (one.at.get(), one.temp.get());
            read.sound.iter().map(pair).collect()
        })
    }

    #[test]
    fn json_and_forms_say_the_same() {
        let one = Ok(vec![(100_000, 108.4)]);
        for body in [
            r#"{"celsius": 108.4}"#,
            " \n{\"celsius\":108.4,\"age_s\":0,\"battery\":3.1}",
            r#"{"readings":[{"celsius":108.4}]}"#,
            "celsius=108.4",
            "celsius=108%2C4&age_s=0&id=7",
        ] {
            assert_eq!(of(body), one, "{body}");
        }
        let two = Ok(vec![(99_970, 108.4), (99_985, 108.6)]);
        for body in [
            r#"{"readings":[{"celsius":108.4,"age_s":30},{"celsius":108.6,"age_s":15.2}]}"#,
            "celsius=108.4&age_s=30&celsius=108.6&age_s=15",
        ] {
            assert_eq!(of(body), two, "{body}");
        }
    }

    #[test]
    fn what_is_no_reading_is_not_understood() {
        for body in [
            "",
            "{}",
            "[]",
            "{\"celsius\":\"hot\"}",
            "{\"celsius\":1e999}",
            "{\"celsius\":null}",
            "{\"readings\":[]}",
            "{\"celsius\":1",
            "celsius=hot",
            "age_s=3",
            "\u{0}",
        ] {
            assert_eq!(of(body), Err(Garbled::NotUnderstood), "{body}");
        }
        let many = |n: usize| {
            format!(
                "{{\"readings\":[{}]}}",
                vec!["{\"celsius\":1}"; n].join(",")
            )
        };
        assert_eq!(of(&many(MOST + 1)), Err(Garbled::TooMany));
        assert_eq!(of(&many(MOST)).unwrap().len(), MOST);
    }

    #[test]
    fn a_reading_without_a_figure_holds_up_no_others() {
        for broken in [
            r#"{"celsius":null}"#,
            r#"{"celsius":"hot"}"#,
            r#"{"celsius":99,"age_s":null}"#,
            "{}",
            "null",
            "7",
        ] {
            let body = format!(
                r#"{{"readings":[{{"celsius":99.5,"age_s":30}},{broken},{{"celsius":99.7}}]}}"#
            );
            let found = read(body.as_bytes(), AT).unwrap();
            assert_eq!((found.sound.len(), found.unsound), (2, 1), "{broken}");
            assert_eq!(found.why, "one reading has no temperature that can be read");
        }
    }

    #[test]
    fn a_broken_reading_is_set_apart_with_its_reason() {
        let body = br#"{"readings":[{"celsius":-127},{"celsius":99.5},{"celsius":99,"age_s":-1}]}"#;
        let found = read(body, AT).unwrap();
        assert_eq!((found.sound.len(), found.unsound), (1, 2));
        assert_eq!(found.why, "-127 is not a temperature from -40 to 200 °C");
        for (body, why) in [
            ("celsius=NaN", "NaN is not a temperature"),
            ("celsius=inf", "inf is not a temperature"),
            ("celsius=99&age_s=NaN", "NaN is not an age"),
            ("celsius=99&age_s=43201", "43201 is not an age"),
        ] {
            let found = read(body.as_bytes(), AT).unwrap();
            assert_eq!((found.sound.len(), found.unsound), (0, 1), "{body}");
            assert!(found.why.starts_with(why), "{}", found.why);
        }
    }
}
