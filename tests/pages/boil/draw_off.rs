//! Where to draw off, as the page of a lit boil says it.

use super::*;

/// The figure after these words, °F.
fn figure_after(page: &str, words: &str) -> f64 {
    let (_, rest) = page.split_once(words).unwrap();
    rest.split(' ').next().unwrap().parse().unwrap()
}

#[tokio::test]
async fn where_to_draw_off_and_the_keys_go_by_the_k_of_this_boil() {
    const OFF: &str = "Draw off at</dt><dd class=\"big\">";
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.boils_for(40).await;
    let page = boil.shows().await;
    assert!(!page.body.contains("own readings"), "{}", page.body);
    // Its K is 1.5, and drops are read with the thermometer: a drop is a minute and a half old when it is typed.
    let water = Celsius::parse("211", Units::Us).unwrap();
    for minutes_ago in [20, 16, 12, 8, 6, 4, 2] {
        #[expect(clippy::cast_precision_loss, reason = "minutes of one boil")]
        let brix =
            |late: f64| 2429.0 / (154.222 - 1.514 * (70.0 + 5.0 - minutes_ago as f64 - late));
        let above = rise(
            BrixAt20C::new(brix(0.0)).unwrap(),
            water,
            Factor::new(1.5).unwrap(),
        );
        let temp = Celsius::new(water.get() + above.get()).ok();
        boil.read(minutes_ago, temp, Some((10.0 * brix(1.5)).round() / 10.0))
            .await;
    }
    let page = boil.shows().await;
    page.says("By this boil’s own readings; by the default K it would be 227.2 °F.");
    let off = figure_after(&page.body, OFF);
    assert!((230.5..238.0).contains(&off), "{off}");
    page.says(&format!("data-mark=\"{off:.1}\""));
    page.says(&format!("The target is {off:.1} °F"));
}
