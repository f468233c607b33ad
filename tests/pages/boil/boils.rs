use crate::site::{AT, Answer, Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::cane::{juice, tickets};
use canewright::actions::people::accounts;
use canewright::calc::cane::juice::Amount;
use canewright::calc::cane::tickets::Condition;
use canewright::calc::physics::refractometer::Instrument;
use canewright::store;
use canewright::units::{
    BrixRead, Celsius, Grams, JuiceId, LotCode, MemberId, PressDayId, Role, ScaleId, Units,
    VesselId,
};

const NEW: &str = "/days/2026-09-19/boils/new";

/// A mill on its press day with one of the crew, and juices in its vessels.
pub struct Pan {
    pub site: TestSite,
    pub crew: Browser,
    pub day: PressDayId,
    scale: ScaleId,
    vessels: Vec<VesselId>,
}

pub async fn pan() -> Pan {
    let site = TestSite::with_season().await;
    let (_, crew) = site.person("Cora Pell", Role::Crew).await;
    let id = site.text("select id from press_days").await;
    let day = PressDayId::parse(&id).unwrap();
    let scale = ScaleId::parse(&site.text("select id from scales").await).unwrap();
    let mut snapshot = site.reader.snapshot().await.unwrap();
    let vessels = store::cane::mill::vessels()
        .ask(&mut snapshot)
        .await
        .unwrap();
    drop(snapshot);
    let vessels = vessels.into_iter().map(|v| v.id).collect();
    Pan {
        site,
        crew,
        day,
        scale,
        vessels,
    }
}

impl Pan {
    /// 170 lb of juice of a member at so many °Bx, pressed so many minutes ago, on a ticket of its
    /// own: 77,111 g.
    pub async fn juice(&self, member: MemberId, brix: f64, minutes: i64, vessel: usize) -> JuiceId {
        self.juice_of(member, brix, minutes, vessel, "170").await
    }

    /// The same, of so many pounds out of 360 of cane.
    pub async fn juice_of(
        &self,
        member: MemberId,
        brix: f64,
        minutes: i64,
        vessel: usize,
        pounds: &str,
    ) -> JuiceId {
        let lb = |text: &str| Grams::parse(text, Units::Us).unwrap();
        let new = tickets::NewTicket {
            number: None,
            whose: tickets::CaneOf::WalkIn(member),
            condition: Condition {
                stripped: Some(true),
                headed: Some(true),
                clean: Some(true),
                frosted: Some(false),
            },
            cut_at: None,
            note: String::new(),
            load: tickets::NewLoad {
                another: true,
                after_all: false,
                scale: self.scale,
                gross: lb("400.5"),
                tare: lb("40.5"),
                trailer: String::new(),
                sure: true,
                weighed_at: Some(AT.plus(-60 * minutes.max(0))),
            },
        };
        let ticket = tickets::open_ticket(&self.site.act(), self.day, new)
            .await
            .unwrap();
        let reading = BrixRead::new(brix).unwrap();
        let taken = juice::JuiceMeasure {
            amount: Amount::Weight(lb(pounds)),
            sediment: None,
            temp: Celsius::new(20.0).unwrap(),
            instrument: Instrument::SelfCompensating,
            readings: vec![reading, reading],
            sure: true,
        };
        let new = juice::NewJuice {
            vessel: self.vessels[vessel],
            taken,
            pressed_at: Some(AT.plus(-60 * minutes)),
            vessel_empty: true,
            after_all: false,
        };
        juice::record_juice(&self.site.act(), ticket, new)
            .await
            .unwrap()
    }

    pub async fn light(&mut self, juices: &[JuiceId], more: &[(&str, &str)]) -> Answer {
        let ids: Vec<String> = juices.iter().map(JuiceId::to_string).collect();
        let mut fields: Vec<(&str, &str)> = ids.iter().map(|id| ("juice", id.as_str())).collect();
        fields.extend_from_slice(more);
        self.crew.fills(NEW, &fields).await
    }

    /// A pooled boil of two members: 154,222 g of juice with 24,290 g of solids.
    pub async fn pooled(&mut self) -> (String, MemberId, Browser) {
        let (amos, browser) = self.site.person("Amos Trout", Role::Member).await;
        let (bea, _) = self.site.person("Bea Lund", Role::Member).await;
        let juices = [
            self.juice(amos, 15.0, 30, 0).await,
            self.juice(bea, 16.5, 60, 1).await,
        ];
        let boil = self.light(&juices, &[("water_boil", "211")]).await;
        (boil.taken().to_owned(), amos, browser)
    }

    pub async fn sends(&mut self, boil: &str, part: &str, fields: &[(&str, &str)]) -> Answer {
        self.crew.opens(boil).await;
        self.crew.sends(&format!("{boil}/{part}"), fields).await
    }

    /// Finishes a boil with 55 lb of syrup, and what is otherwise.
    pub async fn finish(&mut self, boil: &str, other: &[(&str, &str)]) -> Answer {
        let usual = [
            ("syrup", "55"),
            ("finish_brix", "78.2"),
            ("sample", "68"),
            ("instrument", "self"),
            ("finish_temp", "227"),
            ("finished_at", "8:00"),
        ];
        let mut fields: Vec<(&str, &str)> = usual
            .into_iter()
            .filter(|(name, _)| other.iter().all(|(o, _)| o != name))
            .collect();
        fields.extend_from_slice(other);
        self.sends(boil, "finish", &fields).await
    }
}

#[tokio::test]
async fn lighting_and_pouring_is_one_form_and_the_page_says_where_to_draw_off() {
    let mut pan = pan().await;
    let (boil, amos, mut member) = pan.pooled().await;
    let lot = LotCode::nth(2026, 1).unwrap();
    assert_eq!(boil, format!("/boils/{}", lot.as_str()));
    // Water at 211 °F (99.44 °C); 78 °Bx boils 1.10 × 8.20 °C above it: 16.2 °F. Worked apart:
    // 8.22 °C at sea level, 8.08 at 90 kPa.
    pan.crew
        .opens(&boil)
        .await
        .says("Draw off at</dt><dd class=\"big\">227.2 °F<")
        .says("Water boils at 211.0 °F here, as read this day")
        .says("74 °Bx, the least for sorghum syrup, boils at 223.5 °F")
        .says("the default for sorghum")
        .says("Never leave a lit pan")
        // 77,111 g × 15 % = 11,567 g; × 16.5 % = 12,723 g; together 24,290 g = 53.550 lb.
        .says("53.550 lb")
        .says("47.62 %")
        // 24,290 / 0.78 × 80 % = 24,913 g = 54.9 lb.
        .says("54.9 lb of syrup at 78.0 °Bx if 80 of 100");
    let list = pan.crew.opens("/boils").await;
    list.says(&lot.to_string()).says("on the fire");
    member.opens("/boils").await.says(&lot.to_string());
    let own = member.opens(&boil).await;
    own.says("Bea Lund")
        .says("In the pan since")
        .says("Keep back from the pan");
    // Neither what the others brought nor the cook's figures.
    for words in ["53.550 lb", "Draw off", "223.5", "Write"] {
        assert!(!own.body.contains(words), "{words} on {}", own.body);
    }
    member
        .opens("/")
        .await
        .says(&format!("lot {lot}, with Bea Lund."))
        .says("aria-current=\"step\">in the pan");
    assert_eq!(
        pan.site
            .count("select count(*) from draws where whole = 1")
            .await,
        2
    );
    let own = pan
        .site
        .text("select member_id from tickets where ticket = 1")
        .await;
    assert_eq!(own, amos.to_string());
}

#[tokio::test]
async fn a_boil_without_juice_or_with_a_wrong_water_boil_is_not_lit() {
    let mut pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let juice = pan.juice(amos, 15.0, 30, 0).await;
    pan.light(&[], &[("note", "first fire")])
        .await
        .refused(StatusCode::CONFLICT, "Please tick at least one juice")
        .says("value=\"first fire\"");
    pan.light(&[juice], &[("water_boil", "hot")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "“hot” is not a number")
        .says("checked");
    pan.light(&[juice], &[("water_boil", "150")])
        .await
        .refused(StatusCode::CONFLICT, "Water boils between 80 and 103 °C");
    assert_eq!(pan.site.count("select count(*) from boils").await, 0);
    let first = pan.light(&[juice], &[]).await.taken().to_owned();
    let again = {
        let id = juice.to_string();
        pan.crew.sends(NEW, &[("juice", &id)]).await
    };
    assert_eq!(again.taken(), first);
    assert_eq!(pan.site.count("select count(*) from boils").await, 1);
    // Older programs kept the boil's id where its lot code stands now.
    let old = "update form_keys set digest = '', boxes = '', result = (select id from boils) \
               where action = 'light_boil'";
    pan.site.sql(old).await;
    let id = juice.to_string();
    pan.crew
        .sends(NEW, &[("juice", &id), ("note", "sent late")])
        .await
        .refused(StatusCode::CONFLICT, "an older version of this program")
        .says("No juice is waiting");
    assert_eq!(pan.site.count("select count(*) from boils").await, 1);
    // Nothing is left of that juice, so there is nothing to tick.
    pan.crew.opens(NEW).await.says("No juice is waiting");
}

#[tokio::test]
async fn members_see_only_boils_with_their_juice_and_names_of_those_who_agreed() {
    let mut pan = pan().await;
    let (boil, _, mut amos) = pan.pooled().await;
    let (_, mut dora) = pan.site.person("Dora Wick", Role::Member).await;
    dora.opens(&boil)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    dora.opens("/boils").await.says("None of your juice");
    dora.opens(NEW)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    pan.site
        .sql("update members set named = 0 where name = 'Bea Lund'")
        .await;
    let page = amos.opens(&boil).await;
    page.says("another member").says("Amos Trout");
    assert!(!page.body.contains("Bea Lund"), "{}", page.body);
    for part in ["draws", "readings", "finish", "fills"] {
        assert!(!page.body.contains(&format!("action=\"{boil}/{part}\"")));
        amos.opens(&boil).await;
        let answer = amos.sends(&format!("{boil}/{part}"), &[]).await;
        answer.refused(StatusCode::FORBIDDEN, "Not for your role");
    }
    let fix = format!("{boil}/fills/1/correct");
    amos.opens(&fix)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
}

#[tokio::test]
async fn who_does_not_pool_is_boiled_alone_and_a_boil_alone_takes_nobody_else() {
    let mut pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let (bea, _) = pan.site.person("Bea Lund", Role::Member).await;
    pan.site
        .sql("update members set pools = 0 where name = 'Amos Trout'")
        .await;
    let own = pan.juice(amos, 15.0, 30, 0).await;
    let other = pan.juice(bea, 16.0, 30, 1).await;
    pan.light(&[own], &[])
        .await
        .refused(StatusCode::CONFLICT, "Amos Trout has not agreed to pool");
    let alone = amos.to_string();
    pan.light(&[own, other], &[("alone", &alone)])
        .await
        .refused(StatusCode::CONFLICT, "This boil is one member’s alone");
    assert_eq!(pan.site.count("select count(*) from draws").await, 0);
    let boil = pan.light(&[own], &[("alone", &alone)]).await;
    let boil = boil.taken().to_owned();
    pan.crew.opens(&boil).await.says("Amos Trout’s juice alone");
    let other = other.to_string();
    pan.sends(&boil, "draws", &[("juice", &other)])
        .await
        .refused(StatusCode::CONFLICT, "ticket 2 is Bea Lund’s");
}

#[tokio::test]
async fn juice_past_its_limit_is_poured_only_when_it_was_tested() {
    let mut pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let juice = pan.juice(amos, 15.0, 310, 0).await;
    pan.crew.opens(NEW).await.says("past its limit");
    pan.light(&[juice], &[])
        .await
        .refused(StatusCode::CONFLICT, "has waited 5 h 10 min");
    pan.light(&[juice], &[("tested", "yes")]).await.taken();
}

#[tokio::test]
async fn never_more_is_poured_than_is_left_and_it_can_be_put_right_and_taken_out() {
    let mut pan = pan().await;
    let (boil, amos, _) = pan.pooled().await;
    let more = pan.juice(amos, 14.0, 10, 0).await.to_string();
    pan.sends(&boil, "draws", &[("juice", &more), ("amount", "170.5")])
        .await
        .refused(StatusCode::CONFLICT, "only 170.000 lb is left")
        .says("value=\"170.5\"");
    pan.sends(&boil, "draws", &[("juice", &more), ("amount", "many")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please write");
    pan.sends(&boil, "draws", &[("juice", &more), ("amount", "70")])
        .await
        .taken();
    let part = [("juice", more.as_str()), ("amount", "90")];
    pan.sends(&boil, "draws", &part)
        .await
        .refused(StatusCode::CONFLICT, "is in this boil already");
    let right = [("juice", more.as_str()), ("amount", "90"), ("why", "spilt")];
    pan.sends(&boil, "draws", &right).await.taken();
    pan.crew
        .opens(&boil)
        .await
        .says("90.000 lb")
        .says("80.0 lb left, already in this boil");
    let out = [("juice", more.as_str()), ("amount", "0"), ("why", "sour")];
    pan.sends(&boil, "draws", &out).await.taken();
    let again = pan.crew.sends(&format!("{boil}/draws"), &out).await;
    again.taken();
    pan.crew.opens(&boil).await.says("170.0 lb left");
    // 70, 90 and nothing: three versions, and the button pressed twice made no fourth.
    assert_eq!(pan.site.count("select max(version) from draws").await, 3);
}

/// Keyed in from the sheet on the clipboard: juice pressed at 7:00 and 7:30, lit at 7:40.
#[tokio::test]
async fn a_boil_is_lit_when_the_paper_sheet_says_if_that_can_be() {
    let mut pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let (bea, _) = pan.site.person("Bea Lund", Role::Member).await;
    let juices = [
        pan.juice(amos, 15.0, 60, 0).await,
        pan.juice(bea, 16.5, 30, 1).await,
    ];
    for (time, words) in [
        ("8:20", "That time is still to come"),
        ("7:10", "The juice of ticket 2 was pressed after that"),
    ] {
        pan.light(&juices, &[("lit_at", time)])
            .await
            .refused(StatusCode::CONFLICT, words)
            .says(&format!("value=\"{time}\""));
    }
    pan.light(&juices, &[("lit_at", "this morning")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "a time of day");
    assert_eq!(pan.site.count("select count(*) from boils").await, 0);
    let boil = pan.light(&juices, &[("lit_at", "7:40 am")]).await;
    let boil = boil.taken().to_owned();
    let lit = "select count(*) from boils where lit_at = 1789822800 - 20 * 60";
    assert_eq!(pan.site.count(lit).await, 1);
    pan.crew.opens(&boil).await.says("Sat 19 Sep 2026 07:40");
    // Its readings may lie between then and now.
    pan.sends(&boil, "readings", &[("temp", "215"), ("read_at", "7:39")])
        .await
        .refused(StatusCode::CONFLICT, "before this boil was lit");
    pan.sends(&boil, "readings", &[("temp", "215"), ("read_at", "7:50")])
        .await
        .taken();
}

/// The day after, from paper: lit at 7:40 on the press day, read at 7:50 and finished that evening.
#[tokio::test]
async fn keyed_in_the_day_after_times_are_of_the_day_the_boil_was_lit() {
    let pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let juice = pan.juice(amos, 15.0, 60, 0).await;
    let at = AT.plus(30 * 3600);
    let (writer, steward) = (&pan.site.writer, pan.site.steward);
    let token = accounts::open_session(writer, at, steward, "").await;
    let mut crew = pan.site.stranger_at(at);
    crew.cookie = format!("canewright={}", token.unwrap().as_str());
    let id = juice.to_string();
    let fields = [("juice", id.as_str()), ("lit_at", "7:40")];
    // It waited forty minutes, not thirty hours: nobody is asked to smell it.
    let boil = crew.fills(NEW, &fields).await.taken().to_owned();
    let mut notes = async |time: &'static str| {
        crew.opens(&boil).await;
        let fields = [("temp", "215"), ("read_at", time)];
        crew.sends(&format!("{boil}/readings"), &fields).await
    };
    notes("7:50").await.taken();
    notes("11:30 pm").await.taken();
    // Before the fire is the day after: half past five in the morning, and it is two in the afternoon.
    notes("5:30").await.taken();
    let read = "select count(*) from boil_readings where read_at in (1789822800 - 600, 1789822800 + 55800, 1789822800 + 77400)";
    assert_eq!(pan.site.count(read).await, 3);
}

#[tokio::test]
async fn readings_are_noted_in_order_and_what_no_pan_can_show_is_refused() {
    let mut pan = pan().await;
    let (boil, ..) = pan.pooled().await;
    let note = |temp, time| {
        [
            ("temp", temp),
            ("brix", ""),
            ("read_at", time),
            ("note", ""),
        ]
    };
    pan.sends(&boil, "readings", &note("217.4", "8:00"))
        .await
        .taken();
    // 217.4 − 211 is 3.56 °C: about 61 °Bx with K 1.10 (3.23 °C at 60, worked apart).
    pan.crew.opens(&boil).await.says("217.4 °F").says("62 °Bx");
    pan.sends(&boil, "readings", &note("219", "7:30"))
        .await
        .refused(StatusCode::CONFLICT, "before this boil was lit")
        .says("value=\"219\"");
    pan.sends(&boil, "readings", &note("219", "8:20"))
        .await
        .refused(StatusCode::CONFLICT, "still to come");
    pan.sends(&boil, "readings", &note("330", "8:00"))
        .await
        .refused(StatusCode::CONFLICT, "No open pan shows 330.0 °F");
    for (brix, words) in [("160", "Brix from 0 to 95"), ("eighteen", "not a number")] {
        let typed = [("temp", ""), ("brix", brix), ("read_at", "8:00")];
        pan.sends(&boil, "readings", &typed)
            .await
            .refused(StatusCode::UNPROCESSABLE_ENTITY, words);
    }
    pan.sends(&boil, "readings", &[("read_at", "8:00")])
        .await
        .refused(StatusCode::CONFLICT, "a temperature, a Brix or a remark");
    assert_eq!(
        pan.site.count("select count(*) from boil_readings").await,
        1
    );
    let right = [("temp", "216.4"), ("read_at", "8:00"), ("replaces", "1")];
    pan.sends(&boil, "readings", &right).await.taken();
    pan.crew
        .sends(&format!("{boil}/readings"), &right)
        .await
        .taken();
    let page = pan.crew.opens(&boil).await;
    page.says("216.4 °F");
    assert!(!page.body.contains("<td class=\"n\" data-is=\"Pan\">217.4"));
    assert_eq!(
        pan.site.count("select count(*) from boil_readings").await,
        2
    );
}

#[tokio::test]
async fn a_finish_is_balanced_against_the_juice() {
    let mut pan = pan().await;
    let (boil, ..) = pan.pooled().await;
    // 53.550 lb of solids came in; 70 lb at 78.2 °Bx are 54.739 lb (grams are counted), 102.2 %.
    pan.finish(&boil, &[("syrup", "70")])
        .await
        .refused(
            StatusCode::CONFLICT,
            "only 53.550 lb came in with the juice",
        )
        .says("value=\"70\"")
        .says("54.739 lb");
    pan.finish(&boil, &[("syrup", "some"), ("finish_brix", "160")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Brix from 0 to 95")
        .says("value=\"some\"");
    pan.finish(&boil, &[("finish_temp", "105")])
        .await
        .refused(StatusCode::CONFLICT, "Syrup boils hotter than water");
    pan.finish(&boil, &[("instrument", "plain"), ("sample", "180")])
        .await
        .refused(
            StatusCode::CONFLICT,
            "can be corrected only from 10 to 40 °C",
        );
    pan.finish(&boil, &[("finish_brix", "72.5")])
        .await
        .refused(StatusCode::CONFLICT, "21 CFR 168.160")
        .says("Known: it stays thinner");
    pan.finish(&boil, &[("syrup", "30")])
        .await
        .refused(StatusCode::CONFLICT, "about 80 are usual");
    assert_eq!(pan.site.count("select count(*) from finishes").await, 0);
    pan.finish(&boil, &[]).await.taken();
    // 55 lb × 78.20 % = 43.010 lb of 53.550: 80.3 of 100.
    pan.crew
        .opens(&boil)
        .await
        .says("55.000 lb × 78.20 °Bx = 43.010 lb")
        .says("80.3 of 100");
    pan.finish(&boil, &[("syrup", "56")])
        .await
        .refused(StatusCode::CONFLICT, "Cora Pell wrote the finish");
    let right = [
        ("syrup", "30"),
        ("finish_why", "pot weighed"),
        ("low", "yes"),
    ];
    pan.finish(&boil, &right).await.taken();
    pan.crew
        .sends(&format!("{boil}/finish"), &[("syrup", "9")])
        .await;
    assert_eq!(pan.site.count("select count(*) from finishes").await, 2);
    pan.sends(&boil, "readings", &[("temp", "220"), ("read_at", "8:00")])
        .await
        .refused(StatusCode::CONFLICT, "takes no more readings");
}

#[tokio::test]
async fn syrup_thinner_than_its_name_is_kept_only_when_that_is_known() {
    let mut pan = pan().await;
    let (boil, ..) = pan.pooled().await;
    pan.finish(&boil, &[("finish_brix", "72.5"), ("thin", "yes")])
        .await
        .taken();
    pan.crew.opens(&boil).await.says("72.50 °Bx");
}

#[tokio::test]
async fn the_syrup_covers_the_jars_and_a_part_jar_has_its_own_weight() {
    let mut pan = pan().await;
    let (boil, ..) = pan.pooled().await;
    pan.sends(&boil, "fills", &[("count_1", "4")])
        .await
        .refused(StatusCode::CONFLICT, "still on the fire");
    pan.finish(&boil, &[]).await.taken();
    // 55 lb is 24,948 g: 20 quarts of 1,247 g leave 8 g.
    pan.sends(&boil, "fills", &[("count_1", "20"), ("count_2", "1")])
        .await
        .refused(StatusCode::CONFLICT, "more than the 55.000 lb of syrup")
        .says("value=\"20\"");
    pan.sends(&boil, "fills", &[("count_1", "two"), ("part", "50 oz")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "not a number");
    pan.sends(&boil, "fills", &[("count_1", "1"), ("part", "50 oz")])
        .await
        .refused(StatusCode::CONFLICT, "fills the largest jar");
    assert_eq!(pan.site.count("select count(*) from fills").await, 0);
    let jars = [("count_1", "18"), ("count_2", "3"), ("part", "9 oz")];
    pan.sends(&boil, "fills", &jars).await.taken();
    pan.crew
        .sends(&format!("{boil}/fills"), &jars)
        .await
        .taken();
    assert_eq!(pan.site.count("select count(*) from fills").await, 3);
    // 18 × 1,247 + 3 × 624 + 255 = 24,573 g; 375 g are not in jars.
    pan.crew
        .opens(&boil)
        .await
        .says("part-filled pint")
        .says("0.827 lb of syrup is not in jars")
        .says("Divide the boil");
    let fix = format!("{boil}/fills/1/correct");
    pan.crew
        .fills(&fix, &[("count", "19"), ("why", "counted again")])
        .await
        .refused(StatusCode::CONFLICT, "Please count the jars again");
    let (_, mut dora) = pan.site.person("Dora Crow", Role::Crew).await;
    dora.fills(&fix, &[("count", "17"), ("why", "")])
        .await
        .refused(StatusCode::CONFLICT, "Please say why.");
    // Who wrote it puts it right at once without a reason.
    let at_once = [("count", "16"), ("why", "")];
    pan.crew.fills(&fix, &at_once).await.taken();
    pan.crew
        .opens(&fix)
        .await
        .says("put right at once by who wrote it");
    let right = [("count", "17"), ("why", "one broke")];
    pan.crew.fills(&fix, &right).await.taken();
    pan.crew.sends(&fix, &right).await.taken();
    // The part-jar's weight in ounces, shown and sent as it stands, is the very same grams.
    let part = format!("{boil}/fills/3/correct");
    let net = "select net_g from fills where part = 1 order by version desc limit 1";
    for grams in ["253", "254"] {
        let weighed = format!("{grams} g");
        let fix = [
            ("count", "1"),
            ("part", weighed.as_str()),
            ("why", "weighed"),
        ];
        pan.crew.fills(&part, &fix).await.taken();
        let page = pan.crew.opens(&part).await;
        let shown = page.body.split("name=\"part\"").nth(1).unwrap();
        let shown = shown
            .split("value=\"")
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap();
        let again = [("count", "1"), ("part", shown), ("why", "looked at")];
        pan.crew.fills(&part, &again).await.taken();
        assert_eq!(pan.site.count(net).await.to_string(), grams, "{shown}");
    }
    let out = [("count", "0"), ("why", "never was")];
    pan.crew
        .fills(&format!("{boil}/fills/3/correct"), &out)
        .await
        .taken();
    let page = pan.crew.opens(&boil).await;
    page.says("one broke");
    assert!(!page.body.contains("part-filled"), "{}", page.body);
    pan.crew.opens("/boils").await.says("17 quarts, 3 pints");
    pan.crew
        .opens(&format!("{boil}/fills/9/correct"))
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
}

#[tokio::test]
async fn a_divided_boil_is_closed() {
    let mut pan = pan().await;
    let (boil, ..) = pan.pooled().await;
    pan.finish(&boil, &[]).await.taken();
    pan.sends(&boil, "fills", &[("count_1", "19")])
        .await
        .taken();
    pan.site
        .sql(
            "insert into divisions (id, boil_id, version, basis, toll_bp, jarred_g, syrup_g, brix_20c, after_line, \
             signed_by, by_id, at) select \
             '01920000-0000-7000-8000-0000000000d1', b.id, 1, 'solids', 1000, 23693, 23693, 78, 0, 'Dan Moss', b.cook_id, 1 from boils b",
        )
        .await;
    let juice = pan.site.text("select id from juices limit 1").await;
    let page = pan.crew.opens(&boil).await;
    page.says("How it was divided");
    assert!(!page.body.contains("<select"), "{}", page.body);
    let tries: [(&str, &[(&str, &str)]); 4] = [
        (
            "draws",
            &[("juice", &juice), ("amount", "0"), ("why", "no")],
        ),
        ("readings", &[("temp", "220"), ("read_at", "8:00")]),
        ("fills", &[("count_2", "1")]),
        ("fills/1/correct", &[("count", "0"), ("why", "no")]),
    ];
    for (part, fields) in tries {
        pan.sends(&boil, part, fields)
            .await
            .refused(StatusCode::CONFLICT, "is divided and closed");
    }
    pan.finish(&boil, &[("finish_why", "no")])
        .await
        .refused(StatusCode::CONFLICT, "is divided and closed");
}
