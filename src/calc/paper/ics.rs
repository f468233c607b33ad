//! Turns as calendar programs read them: iCalendar text (RFC 5545, 2009; RFC 7986, 2016) with times
//! in UTC, so that no time-zone table is needed and no two programs can disagree over one. Section
//! numbers are from memory. Never decides who may read what.

use crate::units::UtcSecond;
use time::OffsetDateTime;

/// Most octets of a line, its end not counted (RFC 5545, section 3.1).
const LINE_MOST: usize = 75;

/// One turn in a calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// Identifier, the same for the turn's whole life, however often it moves; a UUID (RFC 7986, section 5.3).
    pub uid: String,
    /// When the turn was last changed.
    pub changed: UtcSecond,
    /// Counts its changes, from 0 (RFC 5545, section 3.8.7.4).
    pub sequence: i64,
    /// When the turn starts.
    pub start: UtcSecond,
    /// When the turn ends, not included.
    pub end: UtcSecond,
    /// Whether the turn was given up.
    pub cancelled: bool,
    /// Title of the event.
    pub summary: String,
    /// More words, several lines if need be; may be empty.
    pub description: String,
    /// Where it takes place; may be empty.
    pub location: String,
    /// The turn's page; empty: not known.
    pub url: String,
}

/// TEXT as it stands in a file: backslash, semicolon, comma and line ends escaped, a colon not (RFC
/// 5545, section 3.3.11). Other control characters than a tab have no place in one and are left out.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.replace("\r\n", "\n").chars() {
        match c {
            '\\' => out.push_str("\\\\"),
            ';' => out.push_str("\\;"),
            ',' => out.push_str("\\,"),
            '\n' | '\r' => out.push_str("\\n"),
            c if c.is_control() && c != '\t' => {}
            c => out.push(c),
        }
    }
    out
}

/// A line folded so that none has over 75 octets, without its end, and none ends within a
/// character; a fold is a line end and a space (RFC 5545, section 3.1).
pub fn fold(line: &str) -> String {
    let mut out = String::with_capacity(line.len() + line.len() / 24);
    let mut octets = 0;
    for c in line.chars() {
        if octets + c.len_utf8() > LINE_MOST {
            out.push_str("\r\n ");
            octets = 1;
        }
        out.push(c);
        octets += c.len_utf8();
    }
    out
}

/// An instant: `20260919T130000Z` (RFC 5545, section 3.3.5).
pub fn utc(at: UtcSecond) -> String {
    let at = OffsetDateTime::from_unix_timestamp(at.get()).unwrap_or(OffsetDateTime::UNIX_EPOCH);
    format!(
        "{:04}{:02}{:02}T{:02}{:02}{:02}Z",
        at.year(),
        u8::from(at.month()),
        at.day(),
        at.hour(),
        at.minute(),
        at.second()
    )
}

/// A calendar of that name, asked for anew once an hour. The same events give the same text.
pub fn calendar(name: &str, events: &[Event]) -> String {
    let mut out = String::new();
    let mut line = |text: &str| {
        out.push_str(&fold(text));
        out.push_str("\r\n");
    };
    line("BEGIN:VCALENDAR");
    line("VERSION:2.0");
    line("PRODID:-//Canewright//Press turns//EN");
    line("CALSCALE:GREGORIAN");
    line("METHOD:PUBLISH");
    for property in ["NAME", "X-WR-CALNAME"] {
        line(&format!("{property}:{}", escape(name)));
    }
    line("REFRESH-INTERVAL;VALUE=DURATION:PT1H");
    line("X-PUBLISHED-TTL:PT1H");
    for event in events {
        line("BEGIN:VEVENT");
        line(&format!("UID:{}", event.uid));
        line(&format!("DTSTAMP:{}", utc(event.changed)));
        line(&format!("LAST-MODIFIED:{}", utc(event.changed)));
        line(&format!("SEQUENCE:{}", event.sequence));
        line(&format!("DTSTART:{}", utc(event.start)));
        line(&format!("DTEND:{}", utc(event.end)));
        let status = if event.cancelled {
            "CANCELLED"
        } else {
            "CONFIRMED"
        };
        line(&format!("STATUS:{status}"));
        for (property, text) in [
            ("SUMMARY", &event.summary),
            ("DESCRIPTION", &event.description),
            ("LOCATION", &event.location),
        ] {
            if !text.is_empty() {
                line(&format!("{property}:{}", escape(text)));
            }
        }
        if !event.url.is_empty() {
            line(&format!("URL:{}", event.url));
        }
        line("END:VEVENT");
    }
    line("END:VCALENDAR");
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn event() -> Event {
        Event {
            uid: "01920000-0000-7000-8000-000000000000".to_owned(),
            changed: UtcSecond::new(1_789_822_800),
            sequence: 2,
            start: UtcSecond::new(1_789_826_400),
            end: UtcSecond::new(1_789_832_700),
            cancelled: false,
            summary: "Press turn, at the mill; bring jars".to_owned(),
            description: "907.2 lb\nleaves off".to_owned(),
            location: String::new(),
            url: "https://mill.example/turns/x".to_owned(),
        }
    }

    #[test]
    fn a_turn_stands_in_utc_with_its_number_of_changes() {
        let text = calendar("Turns", &[event()]);
        for line in [
            "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n",
            "METHOD:PUBLISH\r\n",
            "DTSTAMP:20260919T130000Z\r\n",
            "DTSTART:20260919T140000Z\r\n",
            "DTEND:20260919T154500Z\r\n",
            "SEQUENCE:2\r\nDTSTART",
            "STATUS:CONFIRMED\r\n",
            "SUMMARY:Press turn\\, at the mill\\; bring jars\r\n",
            "DESCRIPTION:907.2 lb\\nleaves off\r\n",
            "END:VEVENT\r\nEND:VCALENDAR\r\n",
        ] {
            assert!(text.contains(line), "{line} is not in {text}");
        }
        assert!(!text.contains("LOCATION"));
        let gone = Event {
            cancelled: true,
            ..event()
        };
        assert!(calendar("Turns", &[gone]).contains("STATUS:CANCELLED\r\n"));
    }

    #[test]
    fn a_control_character_cannot_break_a_line() {
        assert_eq!(escape("a\rb\r\nc\u{0}d\u{7}"), "a\\nb\\ncd");
    }

    proptest! {
        #[test]
        fn prop_folded_lines_are_short_and_unfold_to_what_they_were(line in "\\PC{0,400}") {
            let folded = fold(&line);
            prop_assert_eq!(folded.replace("\r\n ", ""), line);
            for part in folded.split("\r\n") {
                prop_assert!(part.len() <= LINE_MOST);
            }
        }

        #[test]
        fn prop_no_text_gets_out_of_its_line(text in any::<String>()) {
            let one = Event { summary: text, ..event() };
            let plain = calendar("Turns", &[event()]).replace("\r\n ", "");
            let with = calendar("Turns", &[one]).replace("\r\n ", "");
            let names = |text: &str| -> Vec<String> {
                text.split("\r\n").map(|l| l.split(':').next().unwrap().to_owned()).collect()
            };
            let kept = |all: Vec<String>| -> Vec<String> {
                all.into_iter().filter(|name| name != "SUMMARY").collect()
            };
            prop_assert_eq!(kept(names(&with)), kept(names(&plain)));
        }
    }
}
