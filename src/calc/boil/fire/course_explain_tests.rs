//! What a course makes of a figure that it did not expect, by hand.

use super::*;

#[test]
fn an_unexpected_temperature_is_another_k_in_three_of_ten_courses() {
    let conditions = conditions();
    let course = Course {
        off: 0.3,
        behind: 0.2,
        ..plain()
    };
    let shows = |k: f64| WATER + k * course.rise_at(1.0, &conditions) / 1.1 + 0.3 - 0.2;
    let explain = |figure, dice: Dice| {
        let (mut of, mut dice) = (course, dice);
        let done = of.explain(&conditions, WATER, figure, &mut dice, 60.0);
        assert!(dice.is_empty());
        done.then_some(of)
    };
    for figure in [Figure::Temp(shows(1.4)), Figure::Probe(shows(1.4))] {
        let found = explain(figure, Dice::default().even(0.71)).unwrap();
        close(found.k, 1.4);
        assert_eq!(
            found,
            Course {
                k: found.k,
                ..course
            }
        );
    }
    // In the other seven of ten, and where that K is out of range, the syrup is thicker or thinner.
    let dice = |way| Dice::default().even(way).bell(0.0);
    for (k, way) in [(1.4, 0.7), (0.74, 0.9), (1.81, 0.9)] {
        let found = explain(Figure::Temp(shows(k)), dice(way)).unwrap();
        close(found.k, 1.1);
        let would_show = WATER + found.rise_at(found.u, &conditions) + 0.1;
        assert!((would_show - shows(k)).abs() < 1e-6, "{k}: {would_show}");
        // The pan is not thought faster or slower for it.
        close(found.ln_rate, 0.05_f64.ln());
    }
    for k in [0.76, 1.79] {
        let kept = explain(Figure::Temp(shows(k)), Dice::default().even(0.9)).unwrap();
        close(kept.k, k);
    }
    // Juice that hardly boils above water has a K by a twentieth of a degree at least.
    let mut thin = Course {
        u: 199.0,
        u_lit: 199.0,
        ..plain()
    };
    let read = Figure::Temp(WATER + 0.06);
    assert!(thin.explain(
        &conditions,
        WATER,
        read,
        &mut Dice::default().even(0.9),
        60.0
    ));
    close(thin.k, 1.2);
}

#[test]
fn an_unexpected_drop_is_a_faster_pan_or_just_another_place() {
    let conditions = conditions();
    let explain = |course: Course, brix: f64, dice: Dice| {
        let (mut of, mut dice) = (course, dice);
        let done = of.explain(&conditions, WATER, Figure::Brix(brix), &mut dice, 60.0);
        assert!(dice.is_empty());
        done.then_some(of)
    };
    let dice = |way, z| Dice::default().even(way).bell(z);
    let course = plain();
    // 4.667 kg a kg have gone; at 62.5 °Bx, u = 0.6, it is 5.067: 1.0857 times as much.
    let faster = explain(course, 62.5, dice(0.44, 0.0)).unwrap();
    close(faster.u, 0.6);
    close(
        faster.ln_rate,
        0.05_f64.ln() + (5.066_667_f64 / 4.666_667).ln(),
    );
    let elsewhere = explain(course, 62.5, dice(0.46, 0.0)).unwrap();
    close(elsewhere.u, 0.6);
    close(elsewhere.ln_rate, 0.05_f64.ln());
    // Two hundredths apart from each other.
    close(
        explain(course, 62.5, dice(0.5, 1.0)).unwrap().u,
        0.6 * 0.02_f64.exp(),
    );
    // No pan is taken to go 2.5 times as fast as it was learned, nor less than two fifths as fast.
    let late = Course { u: 4.0, ..course };
    assert!(explain(late, 50.0, dice(0.1, 0.0)).unwrap().ln_rate < -2.9);
    let slow = explain(course, 100.0 / 5.7, dice(0.1, 0.0)).unwrap();
    close(slow.u, 4.7);
    close(slow.ln_rate, 0.05_f64.ln());
    // Of a kilogram that had gone, 0.41 is a slower pan and 0.39 another place.
    let gone = Course {
        u: course.u_lit - 1.0,
        ..course
    };
    for (should, faster) in [(0.41, 0.41_f64.ln()), (0.39, 0.0)] {
        let brix = 100.0 / (1.0 + course.u_lit - should);
        let found = explain(gone, brix, dice(0.1, 0.0)).unwrap();
        close(found.ln_rate, 0.05_f64.ln() + faster);
    }
    // Where next to nothing had gone, 0.02 stands for what had: 0.04 / 0.02 makes it twice as fast.
    let lit = Course {
        u: course.u_lit,
        ..course
    };
    let found = explain(lit, 100.0 / (1.0 + course.u_lit - 0.04), dice(0.1, 0.0)).unwrap();
    close(found.ln_rate, 0.1_f64.ln());
    // No syrup is thinner than the juice by more than a tenth.
    assert!(explain(course, 100.0 / (1.0 + 1.09 * course.u_lit), dice(0.5, 0.0)).is_some());
    assert!(explain(course, 100.0 / (1.0 + 1.11 * course.u_lit), dice(0.5, 0.0)).is_none());
    // Just a tenth it can: 50 °Bx is 1.1 × 1/1.1.
    let thick = Course {
        u_lit: 1.0 / 1.1,
        ..course
    };
    assert!(explain(thick, 50.0, dice(0.5, 0.0)).is_some());
    assert_eq!(explain(course, 4.0, Dice::default().even(0.5)), None);
    // The course came to the boil by the reading at the latest, and its syrup is no harder than candy.
    let cold = Course {
        boils_at: 70.0,
        ..course
    };
    close(explain(cold, 62.5, dice(0.5, 0.0)).unwrap().boils_at, 60.0);
    close(explain(course, 93.9, dice(0.5, -3.0)).unwrap().u, 0.064);
}
