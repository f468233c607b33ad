//! Syrup of a lot that was lost is told to those whose juice was in it: on each page of theirs the same weight, why, and who bears it.
//!
//! Worked by hand, with the lot of `divisions`: of 150 g lost the mill's toll is 15 g; Amos 150 × 90 ÷ 100 × 10,200 ÷ 15,000 =
//! 91.8 g, Bess 43.2 g; cut, 149 g, and the odd gram goes to Amos (.8): 92 g, which is 3.2 oz. Lost whole, the boil was to give
//! 15,000 × 80 ÷ 78 = 15,384 g, 33.9 lb: 1,538.4 g the mill, Amos 9,415.008 g, Bess 4,430.592 g (and the odd gram): Amos 20.8 lb.

use super::divisions::{Lot, divided_lot, finished_lot, finished_lot_under};
use crate::season::season_close::day_over;
use crate::site::Answer;
use axum::http::StatusCode;
use canewright::calc::shares::losses::LossRule;

const SPILL: [(&str, &str); 3] = [
    ("what", "spilled"),
    ("lost", "0.150 kg"),
    ("why", "a ladle tipped"),
];
const BURNT: [(&str, &str); 3] = [
    ("what", "scorched"),
    ("whole", "yes"),
    ("why", "the fire was not drawn"),
];
const OWN_BEAR: &str = "By the season’s rules those whose juice was in it bear this";
const SEASON_BEARS: &str = "By the season’s rules the whole season bears this: at its close";

impl Lot {
    async fn loses(&self, sent: &[(&str, &str)]) {
        let mut ruth = self.site.browser(self.site.steward).await;
        let path = format!("/boils/{}/loss", self.code.as_str());
        ruth.fills(&path, sent).await.taken();
    }

    /// The pages on which Amos reads of his lot, but its division.
    async fn pages_of_amos(&self) -> Vec<String> {
        let ticket = self.site.text("select id from tickets where ticket = 1");
        let juice =
            "select j.id from juices j join tickets t on t.id = j.ticket_id where t.ticket = 1";
        vec![
            "/".to_owned(),
            format!("/tickets/{}", ticket.await),
            format!("/juices/{}", self.site.text(juice).await),
            format!("/boils/{}", self.code.as_str()),
            format!("/members/{}/statement/2026", self.amos),
            format!("/members/{}/statement/2026/print", self.amos),
            format!("/members/{}/season/2026", self.amos),
        ]
    }

    /// No jar was filled after all.
    async fn nothing_is_in_jars(&self) {
        let none = "insert into fills select boil_id, number, version + 1, size_name, net_g, 0, part, price_cents, \
             'burnt too', by_id, at, filled_at from fills";
        self.site.sql(none).await;
    }
}

#[track_caller]
fn lacks(page: &Answer, words: &str) {
    assert!(!page.body.contains(words), "“{words}” on {}", page.body);
}

#[tokio::test]
async fn a_part_of_a_lot_that_was_lost_is_told_on_every_page_of_its_members_and_as_news() {
    let mut lot = finished_lot_under(|rules| rules.loss = LossRule::Own).await;
    lot.loses(&SPILL).await;
    let code = lot.code.to_string();
    let what = format!("5.3 oz of the syrup of lot {code} was spilled: “a ladle tipped”.");
    for address in lot.pages_of_amos().await {
        let page = lot.amos_opens.opens(&address).await;
        page.says(&what).says(OWN_BEAR);
    }
    let own = "Your part of it would have been 3.2 oz.";
    let statement = format!("/members/{}/statement/2026", lot.amos);
    let page = lot.amos_opens.opens(&statement).await;
    page.says(own)
        .says("150 g of the lot’s syrup spilled; divided as jars are, your part of that would have been 92 g");
    let season = format!("/members/{}/season/2026", lot.amos);
    let page = lot.amos_opens.opens(&season).await;
    page.says("Syrup lost: what would have been your part")
        .says("2026: <strong>3.2 oz</strong>")
        .says(own);
    // It is news until it is put away, as it was told by letter.
    let home = lot.amos_opens.opens("/").await;
    home.says(&format!("<h3>Syrup of lot {code} was lost</h3>"));
    assert_eq!(home.body.matches(&what).count(), 2, "{}", home.body);
    lot.divide().await;
    let path = lot.path();
    lot.amos_opens.opens(&path).await.says(&what).says(own);
    let home = lot.amos_opens.opens("/").await;
    home.says(&format!("; 5.3 oz of the syrup of lot {code} spilled"));
    // Whose juice was not in it is told nothing.
    let mut stranger = lot
        .site
        .person("Eli Marsh", canewright::units::Role::Member)
        .await
        .1;
    lacks(&stranger.opens("/").await, "a ladle tipped");
}

#[tokio::test]
async fn of_a_boil_lost_whole_home_says_when_why_and_who_bears_it_and_leads_on() {
    let mut lot = finished_lot().await;
    lot.nothing_is_in_jars().await;
    lot.loses(&BURNT).await;
    let code = lot.code.to_string();
    let what = format!(
        "All syrup of lot {code}, about 33.9 lb, was scorched: “the fire was not drawn”. Written down Sat 19 Sep 2026 08:00."
    );
    for address in lot.pages_of_amos().await {
        let page = lot.amos_opens.opens(&address).await;
        page.says(&what).says(SEASON_BEARS);
    }
    let home = lot.amos_opens.opens("/").await;
    home.says("aria-current=\"step\">syrup lost <span class=\"soft\">08:00</span>")
        .says("See your part of the lot")
        .says(&format!("href=\"/boils/{}\"", lot.code.as_str()));
    lacks(&home, "share known");
    let statement = format!("/members/{}/statement/2026", lot.amos);
    let page = lot.amos_opens.opens(&statement).await;
    page.says("its syrup was lost: none")
        .says("Your part of it would have been 20.8 lb.");
    lacks(&page, "not divided yet");
    lacks(&page, "once divided");
    let path = lot.path();
    lot.amos_opens
        .opens(&path)
        .await
        .refused(StatusCode::CONFLICT, "There is nothing to divide.")
        .says(&what);
}

#[tokio::test]
async fn a_loss_taken_back_or_borne_by_the_season_is_told_and_adds_up() {
    let mut lot = divided_lot().await;
    lot.loses(&SPILL).await;
    let code = lot.code.to_string();
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let path = format!("/boils/{}/loss", lot.code.as_str());
    ruth.opens(&path).await;
    let why = [("why_back", "it was in the other pan")];
    ruth.sends(&format!("{path}/back"), &why).await.taken();
    let home = lot.amos_opens.opens("/").await;
    home.says(&format!("The loss of lot {code} was taken back"))
        .says("Why: it was in the other pan.");
    let boil = format!("/boils/{}", lot.code.as_str());
    lacks(&lot.amos_opens.opens(&boil).await, "was spilled");
    lot.loses(&SPILL).await;
    day_over(&lot).await;
    ruth.opens(&path).await;
    ruth.sends(&format!("{path}/bear"), &[]).await.taken();
    lot.amos_opens
        .opens("/")
        .await
        .says(&format!("The season has borne the loss of lot {code}"));
    // By solids Amos gives up 150 × 10,200 ÷ 15,000 = 102 g, 3.6 oz.
    let moved = "3.2 oz was made good to you, and you gave up 3.6 oz";
    let statement = format!("/members/{}/statement/2026", lot.amos);
    let season = format!("/members/{}/season/2026", lot.amos);
    for address in [statement, season, lot.path()] {
        let page = lot.amos_opens.opens(&address).await;
        page.says(moved).says("The whole season has borne this");
    }
}

#[tokio::test]
async fn what_was_spilt_before_the_syrup_was_weighed_is_told_too() {
    let mut lot = finished_lot().await;
    lot.site
        .sql("drop trigger finishes_stand; update finishes set spilt_g = 500")
        .await;
    let what = format!(
        "1.1 lb of the syrup of lot {} was spilt or scorched before it was weighed.",
        lot.code
    );
    for address in lot.pages_of_amos().await {
        let page = lot.amos_opens.opens(&address).await;
        page.says(&what).says(OWN_BEAR);
    }
}

#[tokio::test]
async fn no_more_is_lost_than_is_in_no_jar_and_what_was_spilt_before_counts_beside_it() {
    let lot = finished_lot_under(|rules| rules.loss = LossRule::Own).await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let path = format!("/boils/{}/loss", lot.code.as_str());
    // 13,200 g came out, 13,017 g is in jars: 183 g.
    let more = [
        ("what", "spilled"),
        ("lost", "0.184 kg"),
        ("why", "a pint broke"),
    ];
    ruth.fills(&path, &more)
        .await
        .refused(StatusCode::CONFLICT, "so at most 6.5 oz can have been lost")
        .says("please first put right how many there are");
    lot.site
        .sql("drop trigger finishes_stand; update finishes set spilt_g = 500")
        .await;
    lot.loses(&SPILL).await;
    let code = lot.code.to_string();
    let mut lot = lot;
    for address in lot.pages_of_amos().await {
        let page = lot.amos_opens.opens(&address).await;
        page.says(&format!(
            "1.1 lb of the syrup of lot {code} was spilt or scorched before it was weighed."
        ))
        .says(&format!(
            "5.3 oz of the syrup of lot {code} was spilled: “a ladle tipped”."
        ));
    }
    // Of 500 g Amos 306 g, of 150 g 92 g: 398 g.
    let season = format!("/members/{}/season/2026", lot.amos);
    let page = lot.amos_opens.opens(&season).await;
    page.says("2026: <strong>14 oz</strong>");
}
