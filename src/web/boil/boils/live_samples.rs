//! Samples of what stands beside the pan.

use super::*;

impl Figures {
    /// Samples: `many` of everything, in the worst case.
    pub(in crate::web::boil::boils) fn sample(call: Call, many: usize) -> Self {
        let text = |t: &str| t.to_owned();
        Self {
            worked: text("At 12:31, from 6 readings."),
            ahead: text(r#"[[1789822860,"note","Check it now"]]"#),
            call: call.words(),
            weight: "alarm",
            own_call: call.words(),
            own_weight: "alarm",
            late: [Call::Going, Call::Check].map(late_words),
            expects: text("226.5 227.0"),
            most: text("232.6"),
            advice: call.advice(),
            urgent: vec![text("No reading since <b>11:25</b>: please note one."); many],
            keys: vec![text("226.5"); 6],
            asks_fire: many > 0,
            more: vec![text("The reading of <b>11:10</b> does not fit the others."); many],
            brix: text("62.4 °Bx"),
            brix_out: text("± 3.0, four times in five, at 12:20"),
            to_go: text("1 h 25 min"),
            to_go_out: text("done about 13:56; four times in five between 13:40 and 14:20"),
            facts: vec![("Water driven off", text("312.4 lb"))],
            learned: vec![text("Factor K 1.12"); many],
            chart: (many > 0).then(|| ChartView::sample(many)),
            pans: "",
            over: false,
            draw_off: text("227.3 °F"),
            draw_off_out: text("223.9 to 231.0, four times in five"),
            draw_off_why: text(
                "By this boil’s own readings; by the default K it would be <b>226.5</b> °F.",
            ),
            next: text("Next reading by 12:35"),
            next_at: 1_800_000_300,
            finish_at: 1_800_005_100,
            every: 300,
            mark: text("227.3"),
            now: 1_800_000_000,
            quieted: text("Quieted by <b>Delia</b> at 12:30"),
        }
    }

    /// The figures of a boil that is done.
    pub(in crate::web::boil::boils) fn sample_over() -> Self {
        Self {
            over: true,
            ..Self::default()
        }
    }
}

pub(in crate::web::boil::boils) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let none = Figures {
        call: "Nothing to tell yet",
        pans: paths::PANS,
        ..Figures::default()
    };
    let all = [
        Figures::sample(Call::Heating, 0),
        Figures::sample(Call::Candy, 40),
        Figures::sample_over(),
        none,
    ];
    all.into_iter()
        .map(|live| {
            let probes = ProbesOfPage::sample(2);
            Box::new(LivePage { live, probes }) as Box<dyn askama::DynTemplate>
        })
        .collect()
}
