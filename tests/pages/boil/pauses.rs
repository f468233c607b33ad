//! A boil whose fire is drawn and lit again, or is said to be drawn by mistake; and juice poured into one that boils.

use super::live::{Watched, lit, set_up_pan};
use canewright::calc::boil::fire::on_fire::{FIRE_DRAWN, FIRE_RELIT};
use canewright::units::Role;

/// A boil that came to the boil so many minutes ago and was read every four minutes for so long.
async fn read_for(minutes: i64, boils_since: i64) -> Watched {
    let boil = lit(30 + boils_since).await;
    set_up_pan(&boil.pan, &[]).await;
    for after in (0..=minutes).step_by(4) {
        boil.at_boil(after, boils_since - after).await;
    }
    boil
}

/// °Bx that the page believes.
fn now_about(page: &str) -> f64 {
    let (_, rest) = page.split_once("now about ").unwrap();
    rest.split(' ').next().unwrap().parse().unwrap()
}

#[tokio::test]
async fn the_pause_of_a_drawn_fire_is_not_counted_as_boiling_once_it_is_lit_again() {
    // By hand: 24.29 of 154.222 − 1.514 × 80 = 33.1 kg are 73.4 °Bx.
    let mut boil = read_for(80, 101).await;
    boil.read(20, None, Some(73.4)).await;
    boil.remarks(20, FIRE_DRAWN).await;
    boil.read(17, None, Some(74.6)).await;
    boil.shows().await.says("The fire is drawn");
    boil.remarks(1, FIRE_RELIT).await;
    let page = boil.shows().await;
    let brix = now_about(&page.body);
    assert!((73.0..77.0).contains(&brix), "{brix}");
    // What time alone will bring later stands beside, for a phone without network.
    for wrong in [
        "data-words=\"Past the target",
        "<strong>Past the target",
        "turning to candy",
        "No reading since",
    ] {
        assert!(!page.body.contains(wrong), "{wrong}: {}", page.body);
    }
}

#[tokio::test]
async fn a_pan_that_rises_after_drawn_was_touched_by_mistake_is_called_and_asked_about() {
    let mut boil = read_for(40, 84).await;
    boil.remarks(42, FIRE_DRAWN).await;
    boil.shows().await.says("<strong>The fire is drawn");
    for after in [52, 60, 68, 74, 78, 82] {
        boil.at_boil(after, 84 - after).await;
    }
    let page = boil.shows().await;
    page.says("The fire was noted as drawn at 07:18, and the pan has gone on boiling since. Is it really drawn?");
    assert!(
        !page.body.contains("data-words=\"The fire is drawn\""),
        "{}",
        page.body
    );
    page.says("data-weight=\"alarm\"");
}

#[tokio::test]
async fn juice_poured_into_a_boil_thins_it_on_the_page_at_once() {
    let mut boil = read_for(60, 61).await;
    let (cal, _) = boil.pan.site.person("Cal Reed", Role::Member).await;
    let before = now_about(&boil.shows().await.body);
    let more = boil.pan.juice(cal, 16.0, 2, 0).await.to_string();
    let page = boil.page.clone();
    let fields = [("juice", more.as_str()), ("amount", ""), ("why", "")];
    boil.pan.sends(&page, "draws", &fields).await.taken();
    // By hand: 24.29 kg of solids make what was believed so heavy; 77.1 kg at 16 °Bx bring 12.34 kg of solids more. Without a
    // refractometer, and with a K that nobody learned, what is believed may lie off: it is the thinning that is looked at.
    let thinned = 100.0 * (24.29 + 12.34) / (24.29 / before * 100.0 + 77.1);
    let shown = boil.shows().await;
    let after = now_about(&shown.body);
    assert!(
        (after - thinned).abs() < 2.0,
        "{before} → {after}, by hand {thinned}"
    );
}

/// When the cook is told that it will be done: about, and the two times between which it most likely is; none: no time is told.
fn told_the_cook(page: &str) -> Option<[String; 3]> {
    let (_, rest) = page.split_once("done about ")?;
    let (about, rest) = rest.split_once("; four times in five between ")?;
    let (from, rest) = rest.split_once(" and ")?;
    let to = rest.split('<').next()?;
    Some([about, from, to].map(str::to_owned))
}

/// What the member reads on home and of the boil is the time that the cook reads, or none where the cook reads none.
async fn member_reads_as_the_cook(boil: &mut Watched) -> bool {
    let cook = told_the_cook(&boil.shows().await.body);
    for page in ["/".to_owned(), boil.page.clone()] {
        let said = boil.member.opens(&page).await;
        if let Some([about, from, to]) = &cook {
            said.says(&format!("Done about {about}"))
                .says(&format!("between {from}"))
                .says(to);
        } else {
            said.says("It is too early to tell when it will be done");
            assert!(!said.body.contains("Done about"), "{page}: {}", said.body);
        }
    }
    cook.is_some()
}

#[tokio::test]
async fn once_lit_again_a_member_reads_what_the_cook_reads() {
    // Nothing was read of it before the fire went out.
    let mut unread = lit(25).await;
    set_up_pan(&unread.pan, &[]).await;
    unread.remarks(20, FIRE_DRAWN).await;
    unread.remarks(1, FIRE_RELIT).await;
    unread.shows().await.says("Not at the boil yet");
    assert!(!member_reads_as_the_cook(&mut unread).await);
    // Read early, put out, and lit once more: too early for both.
    let mut early = read_for(4, 30).await;
    early.remarks(25, FIRE_DRAWN).await;
    early.remarks(1, FIRE_RELIT).await;
    assert!(!member_reads_as_the_cook(&mut early).await);
    // Never put out: both are told one time. Nearly thick when it was put out: whatever the cook is told, the member is, too.
    // By hand: 24.29 of 154.222 − 1.514 × 60 = 63.4 kg are 38.3 °Bx.
    let mut burning = read_for(60, 61).await;
    burning.read(1, None, Some(38.3)).await;
    assert!(member_reads_as_the_cook(&mut burning).await);
    let mut late = read_for(80, 101).await;
    late.read(20, None, Some(73.4)).await;
    late.remarks(20, FIRE_DRAWN).await;
    late.remarks(1, FIRE_RELIT).await;
    member_reads_as_the_cook(&mut late).await;
}
