//! What is typed beside a tap on what became of the fire: the tap counts at once, and no figure is lost.

use super::live::{Watched, lit, set_up_pan};
use crate::site::AT;
use axum::http::{HeaderName, StatusCode};

/// A boil that was read for 76 minutes at the boil, the last time just now. By hand: 1.514 kg a minute of 154.222 kg leave
/// 39.16 kg then, of which 24.290 kg are solids: 62.0 °Bx.
async fn near_the_end() -> Watched {
    let boil = lit(106).await;
    set_up_pan(&boil.pan, &[]).await;
    for after in (0..=76).step_by(4) {
        boil.at_boil(after, 76 - after).await;
    }
    boil
}

/// A tap on a remark, with what stands in the two boxes.
fn tap<'a>(remark: &'a str, temp: &'a str, brix: &'a str) -> [(&'a str, &'a str); 4] {
    [
        ("remark", remark),
        ("temp", temp),
        ("brix", brix),
        ("note", ""),
    ]
}

/// Counts the readings of which that is so.
macro_rules! readings {
    ($boil:expr, $which:literal) => {
        $boil
            .pan
            .site
            .count(concat!("select count(*) from boil_readings where ", $which))
            .await
    };
}

#[tokio::test]
async fn a_drop_typed_beside_the_tap_on_drawn_is_stored_with_it() {
    let mut boil = near_the_end().await;
    let page = boil.page.clone();
    let sent = tap("drawn", "", "62.2");
    let to = boil.pan.sends(&page, "readings", &sent).await;
    assert_eq!(to.taken(), page);
    assert_eq!(readings!(boil, "note = 'Fire drawn' and brix = 62.2"), 1);
    boil.shows()
        .await
        .says("data-words=\"The fire is drawn\"")
        .says("62.2");
}

#[tokio::test]
async fn a_figure_that_must_be_looked_at_stays_in_its_box_and_the_tap_counts() {
    let figures = [
        ("drawn", "2l3", ""),
        ("drawn", "600", ""),
        ("stays", "", "88.5"),
        ("quiet", "", "62.2"),
    ];
    for (remark, temp, brix) in figures {
        let mut boil = near_the_end().await;
        let page = boil.page.clone();
        let sent = tap(remark, temp, brix);
        let answer = boil.pan.sends(&page, "readings", &sent).await;
        let to = answer.taken().to_owned();
        let noted = readings!(
            boil,
            "note in ('Fire drawn', 'Fire stays', 'Alarm quieted') and temp_c is null and brix is null"
        );
        assert_eq!(noted, 1, "{remark}");
        assert_eq!(readings!(boil, "brix is not null"), 0, "{remark}");
        let typed = if temp.is_empty() { brix } else { temp };
        assert_eq!(
            to,
            format!(
                "{page}?{}={typed}#reading",
                if temp.is_empty() { "brix" } else { "temp" }
            )
        );
        let (path, _) = to.split_once('#').unwrap();
        boil.pan
            .crew
            .opens(path)
            .await
            .says(&format!("value=\"{typed}\""))
            .says("The tap is noted. What you typed beside it is not yet");
    }
}

#[tokio::test]
async fn what_a_phone_kept_is_stored_whole_for_nobody_looks_at_its_answer() {
    let boil = near_the_end().await;
    let member = "select id from members where name = 'Cora Pell'";
    let member = boil.pan.site.text(member).await;
    let mut phone = boil.pan.site.stranger_at(AT.plus(3600));
    phone.cookie.clone_from(&boil.pan.crew.cookie);
    let header = HeaderName::from_static;
    let headers = [
        (header("kept-by"), member),
        (header("kept-tapped"), AT.plus(60).get().to_string()),
        (header("kept-ahead"), "0".to_owned()),
    ];
    let mut sent = tap("drawn", "", "88.5").to_vec();
    sent.push(("form_key", "0199653c-8f00-7abc-8def-012345678901"));
    let to = format!("{}/readings", boil.page);
    let answer = phone.sends_with(&to, &sent, &headers).await;
    assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.body);
    assert_eq!(readings!(boil, "note = 'Fire drawn' and brix = 88.5"), 1);
}
