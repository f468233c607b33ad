//! Home against the pages that it leads to, as members open them, after every step of a season: what it says of a
//! cane stands word for word on the boil's page, and agrees with the shares' page and the statement's.

use crate::mill::Mill;
use crate::site::Browser;
use axum::http::StatusCode;
use canewright::actions::people::accounts;
use canewright::units::MemberId;
use std::collections::BTreeMap;

/// What stands between two marks.
fn between<'a>(text: &'a str, from: &str, to: &str) -> Option<&'a str> {
    let rest = text.split_once(from)?.1;
    rest.split_once(to).map(|(inside, _)| inside)
}

/// The sentences of the cards of cane under way, by lot; those of no lot left out.
fn lots(home: &str) -> BTreeMap<String, String> {
    let cards = home.split("<section class=\"now\">").skip(1);
    let cards = cards.filter_map(|rest| rest.split("</section>").next());
    let sentences = cards.flat_map(|card| card.split("<p>").skip(1));
    let sentences = sentences.filter_map(|rest| rest.split("</p>").next());
    let mut out = BTreeMap::new();
    for says in sentences {
        let named = says.split_once("Lot ").or_else(|| says.split_once("lot "));
        let Some((_, rest)) = named else { continue };
        let code = rest.split([' ', ',', '.']).next().unwrap_or_default();
        out.insert(code.to_owned(), says.to_owned());
    }
    out
}

/// "6 quarts, 1 pint": how many jars these are. A part-jar is one.
fn jars(words: &str) -> i64 {
    let kinds = words.split(", ");
    kinds
        .map(|kind| kind.split(' ').next().unwrap_or_default())
        .map(|count| count.replace(',', "").parse().unwrap_or(1))
        .sum()
}

/// What the statement's line of a lot says, without its tags.
fn on_statement(statement: &str, code: &str) -> String {
    let came = statement
        .split("What came of it")
        .nth(1)
        .unwrap_or_default();
    let line = came
        .split("<tr>")
        .find(|row| row.contains(&format!(">{code}</a>")));
    between(line.unwrap_or_default(), "data-is=\"Your jars\">", "</td>")
        .unwrap_or_default()
        .to_owned()
}

impl Mill {
    /// Looks over what one member is told; how often each state was met is counted.
    pub async fn looks_at_home(&mut self, member: MemberId) {
        let token = accounts::open_session(&self.writer, self.at, member, "").await;
        let cookie = format!("canewright={}", token.unwrap().as_str());
        let mut opens = Browser::on(&self.writer, &self.reader, &self.ids, self.at, &cookie);
        let here = self.here();
        let home = opens.opens("/").await.body;
        let statement = opens
            .opens(&format!("/members/{member}/statement/2026"))
            .await
            .body;
        let mut to_fetch = 0;
        for (code, says) in lots(&home) {
            let here = format!("{here}: {code}: {says}");
            let address = code.replace('-', "");
            let boil = opens.opens(&format!("/boils/{address}")).await;
            assert_eq!(boil.status, StatusCode::OK, "{here}");
            assert!(
                boil.body.contains(&says),
                "{here}: the boil's page: {}",
                boil.body
            );
            let shares = opens.opens(&format!("/boils/{address}/divide")).await;
            let divided = says.contains("is divided:")
                || says.contains("is divided,")
                || says.contains("is divided.");
            let known = !says.contains("It is divided next") && divided;
            let open = if known {
                StatusCode::OK
            } else {
                StatusCode::CONFLICT
            };
            assert_eq!(shares.status, open, "{here}: the shares' page");
            let line = on_statement(&statement, &code);
            let fits = match () {
                () if says.contains("In the pan since") => line == "still on the fire",
                () if ["was drawn off", "is being put in jars", "is in jars"]
                    .iter()
                    .any(|words| says.contains(words)) =>
                {
                    line == "finished, not divided yet"
                }
                () => !line.contains("not divided") && !line.contains("on the fire"),
            };
            assert!(fits, "{here}: the statement says {line:?}");
            if let Some(words) = between(&says, "is divided: ", " of yours at the mill")
                .or_else(|| between(&says, "is divided: ", " still to fetch"))
            {
                to_fetch += jars(words);
                self.note_seen("jars to fetch");
            }
            self.note_seen(if known {
                "a lot divided"
            } else {
                "a lot not divided"
            });
        }
        let says = between(&home, "<p class=\"good\">", " for you at the mill").unwrap_or("0 jars");
        let together = jars(says.split(' ').next().unwrap_or_default());
        let stands = between(&statement, "<dt>Jars to fetch</dt><dd>", "</dd>");
        let stands = match stands.unwrap_or_default() {
            "no jars" => 0,
            words => jars(words),
        };
        assert_eq!(together, stands, "{here}: jars that wait, here and there");
        // Jars may also be of a lot that holds none of the own juice: owed from an earlier one.
        assert!(to_fetch <= together, "{here}: {to_fetch} jars by lot");
    }

    fn note_seen(&mut self, what: &str) {
        *self.tally.entry(format!("home: {what}")).or_default() += 1;
    }
}
