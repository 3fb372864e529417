//! Money: rounded line by line, due by a stated rule, never guessed.

use model::{Axle, CostReckoning, LifeBasis, PriceItem, Scope};
use serde_json::{Value, json};

use crate::sample::{near, reading, reckon};

fn cost(changes: &[(&str, Value)]) -> CostReckoning {
    reckon(changes).cost.unwrap()
}

fn line(axle: &str, item: &str, quantity: &str, price: &str, tax: f64) -> Value {
    json!({"axle": axle, "item": item, "quantity": quantity, "unit_price": price, "tax_percent": tax})
}

fn remarks(cost: &CostReckoning) -> String {
    cost.remarks.join("\n")
}

#[test]
fn the_spent_disc_s_axle_is_due_and_costs_what_a_calculator_says() {
    // Rear: 2·5460 + 1020 + 2·46.50 + 2·118 + 4.5·145 = 12 921.50, tax by line 2293.20 + 214.20 + 19.53 + 49.56 + 137.03
    // = 2713.52; sum 15 635.02. Front discs: 11 780.00 + 2473.80.
    let cost = cost(&[]);
    assert_eq!(cost.due_now.to_string(), "15635.02");
    assert_eq!(cost.all.to_string(), "29888.82");
    assert!(cost.rows.iter().all(|row| row.due_now == (row.axle == Axle::Rear)));
    assert!(remarks(&cost).contains("Counted as due now"), "{}", remarks(&cost));
}

#[test]
fn half_a_smallest_unit_goes_up() {
    // HMRC VATREC12030: 0.125 becomes 0.13. The tax of 10 % on 0.13 is 0.013, which becomes 0.01.
    let cost = cost(&[("/prices/lines", json!([line("rear", "disc", "1", "0.125", 10.0)]))]);
    assert_eq!((cost.rows[0].net.to_string(), cost.rows[0].tax.to_string()), ("0.13".into(), "0.01".into()));
    assert_eq!(cost.all.to_string(), "0.14");
}

#[test]
fn currencies_round_to_their_own_smallest_unit() {
    // ISO 4217 minor units: JPY 0, KWD 3.
    for (code, net) in [("JPY", "3"), ("KWD", "2.500"), ("GBP", "2.50")] {
        let cost = cost(&[
            ("/prices/currency", json!(code)),
            ("/prices/lines", json!([line("rear", "disc", "1", "2.5", 0.0)])),
        ]);
        assert_eq!(cost.rows[0].net.to_string(), net, "{code}");
    }
}

#[test]
fn the_largest_amounts_have_a_sum() {
    let lines = vec![line("rear", "disc", "999999999.999999", "999999999.999999", 100.0); 200];
    let cost = cost(&[("/prices/lines", json!(lines))]);
    // (10^9 − 10^-6)² = 10^18 − 2000 + 10^-12; 200 lines, doubled by the tax.
    assert_eq!(cost.all.to_string(), "399999999999999200000.00");
}

/// The sample with its spent face out of the way.
const SOUND: (&str, &str) = ("/corners/rear_left", "not looked at");

fn sound() -> (&'static str, Value) {
    (SOUND.0, json!({"not_inspected": SOUND.1}))
}

#[test]
fn pads_alone_are_due_without_discs() {
    let lining = reading("rear-right-inner-lining", "/points/1/value");
    let cost = cost(&[sound(), (&lining, json!(3.0))]);
    let due: Vec<_> = cost.rows.iter().filter(|row| row.due_now).map(|row| row.item).collect();
    assert_eq!(due, [PriceItem::PadSet, PriceItem::WearLead, PriceItem::LabourHour]);
    assert!(remarks(&cost).contains("pads alone take less"), "{}", remarks(&cost));
}

/// A disc that is cracked through is not put back, however little it is worn.
#[test]
fn a_broken_disc_and_a_crumbling_lining_are_due_whatever_they_measure() {
    let crack = |extent: &str| {
        json!([{"kind": "crack", "extent": extent, "size_mm": null, "place": {"hour": null, "zone": "full_width"},
            "photographs": [], "note": null}])
    };
    for (extent, is_due) in [("surface", false), ("from_hole", false), ("hole_to_edge", true), ("through", true)] {
        let reckoning = reckon(&[sound(), ("/corners/rear_right/seen/outer_face/seen/defects", crack(extent))]);
        let cost = reckoning.cost.unwrap();
        let discs = cost.rows.iter().find(|row| row.axle == Axle::Rear && row.item == PriceItem::Disc).unwrap();
        assert_eq!(discs.due_now, is_due, "{extent}");
        let money = &reckoning.answer.lead.last().unwrap().text;
        assert_eq!(money.contains("What is due now costs"), is_due, "{extent}: {money}");
        let buyer = &reckoning.answer.to_buyer;
        assert_eq!(buyer.iter().any(|one| one.text.contains("Count the renewal of the rear right disc")), is_due);
        let workshop = &reckoning.answer.to_workshop;
        assert_eq!(workshop.iter().any(|one| one.text.contains("Rear right: renew the disc")), is_due, "{extent}");
    }
    let crumbles = cost(&[sound(), ("/corners/rear_right/seen/inner_pad/seen/crumbling", json!(true))]);
    let due: Vec<_> = crumbles.rows.iter().filter(|row| row.due_now).map(|row| row.item).collect();
    assert_eq!(due, [PriceItem::PadSet, PriceItem::WearLead, PriceItem::LabourHour]);
}

#[test]
fn a_lining_within_its_uncertainty_of_the_mark_is_said_and_not_counted() {
    let lining = reading("rear-right-inner-lining", "/points/1/value");
    let cost = cost(&[sound(), (&lining, json!(3.1))]);
    assert_eq!(cost.due_now.to_string(), "0.00");
    assert!(remarks(&cost).contains("within its uncertainty of its renewal mark"), "{}", remarks(&cost));
}

#[test]
fn prices_that_no_longer_hold_and_prices_that_lack() {
    let reckoning = reckon(&[
        ("/prices/valid_until", json!("2026-11-23")),
        ("/prices/lines", json!([line("rear", "disc", "2", "5460.00", 21.0)])),
    ]);
    let cost = reckoning.cost.as_ref().unwrap();
    assert!(remarks(cost).contains("valid until 2026-11-23, before this visit"), "{}", remarks(cost));
    assert!(
        remarks(cost).contains("No price was given for the rear axle's pad set, which is due"),
        "{}",
        remarks(cost)
    );
    let money = &reckoning.answer.lead.last().unwrap().text;
    assert!(money.contains("no longer held") && money.contains("without the rear axle's pad set"), "{money}");
}

#[test]
fn without_prices_nothing_is_guessed() {
    let reckoning = reckon(&[("/prices", json!(null))]);
    assert!(reckoning.cost.is_none());
    assert!(reckoning.answer.lead.last().unwrap().text.contains("no prices were given"));
}

#[test]
fn every_way_to_renew_has_its_price() {
    // Rear, from the lines above: pads 1020 + 2·46.50 + 4.5·145 = 1765.50 and tax 370.76; with the discs 15 635.02. The
    // front list has discs alone.
    let cost = cost(&[]);
    let ways: Vec<_> = cost.alternatives.iter().map(|way| (way.scope, way.axle, way.cost.to_string())).collect();
    assert_eq!(
        ways,
        [
            (Scope::PadsOnly, Some(Axle::Rear), "2136.26".to_owned()),
            (Scope::OneAxle, Some(Axle::Front), "14253.80".to_owned()),
            (Scope::OneAxle, Some(Axle::Rear), "15635.02".to_owned()),
            (Scope::BothAxles, None, "29888.82".to_owned()),
        ]
    );
}

fn ahead(asking: &Value) -> Value {
    json!({"yearly": {"figure": 10000, "unit": "km"}, "years": 2, "asking_price": asking})
}

#[test]
fn what_is_due_stands_beside_the_asking_price() {
    // 15 635.02 of 98 000 is 15.95 %.
    let asking = json!({"currency": "EUR", "amount": "98000"});
    let reckoning = reckon(&[("/use_ahead", ahead(&asking))]);
    let said = &reckoning.cost.as_ref().unwrap().against_asking[0].text;
    assert!(said.contains("15.9 %") || said.contains("16.0 %"), "{said}");
    assert!(said.contains("EUR\u{A0}98\u{202F}000 asked for the car"), "{said}");
    assert!(reckoning.answer.to_buyer.iter().any(|sentence| &sentence.text == said));
    let other = cost(&[("/use_ahead", ahead(&json!({"currency": "GBP", "amount": "98000"})))]);
    assert!(other.against_asking[0].text.contains("not held against each other"), "{}", other.against_asking[0].text);
}

/// Every corner in order and measured, so that every chance is known, with these years ahead and this asking price, and then
/// this.
fn in_order(years: u8, asking: &Value, changes: &[(&str, Value)]) -> CostReckoning {
    let pads = |name: &str, mm: f64| {
        let corner = name.replace('-', "_");
        json!({"id": format!("{name}-pad"), "of": {"kind": "lining", "corner": corner, "pad": "outer"}, "unit": "mm",
            "points": [{"at": "middle", "value": mm}], "uncertainty": 0.1,
            "instrument": {"name": "gauge", "serial": null, "calibrated_on": null}, "taken_at": "2026-11-24T10:00:00+01:00"})
    };
    let readings: Vec<_> =
        ["front-left", "front-right", "rear-left", "rear-right"].into_iter().map(|name| pads(name, 6.0)).collect();
    let face = json!({"seen": {"seen": "wheel_off", "touch": "slick", "fibre_pattern": "clear", "colour": "dark_grey",
        "defects": [], "note": null}});
    let pad = json!({"seen": {"lead": "intact", "taper_mm": 0.1, "glazed": false, "crumbling": false, "note": null}});
    let corner = json!({"seen": {"outer_face": face, "inner_face": face,
        "bell": {"seen": {"finish": "even", "fixings": {"missing_or_loose": 0, "corroded": false}, "note": null}},
        "outer_pad": pad, "inner_pad": pad, "calliper": {"seen": {"state": "free", "note": null}}}});
    let mut ahead = ahead(asking);
    ahead["years"] = json!(years);
    let mut all = vec![
        ("/corners/front_left", corner.clone()),
        ("/corners/front_right", corner.clone()),
        ("/corners/rear_left", corner.clone()),
        ("/corners/rear_right", corner),
        ("/readings", json!(readings)),
        ("/car/prior_visits", json!([])),
        ("/use_ahead", ahead),
    ];
    all.extend(changes.iter().cloned());
    cost(&all)
}

#[test]
fn what_is_expected_is_the_sum_of_chance_times_cost() {
    // Σ p·c over the rows.
    let (soon, later) = (in_order(1, &json!(null), &[]), in_order(6, &json!(null), &[]));
    for cost in [&soon, &later] {
        for expected in &cost.expected {
            let sum: f64 =
                expected.rows.iter().map(|row| row.chance * row.cost.to_string().parse::<f64>().unwrap()).sum();
            near(expected.expected.to_string().parse().unwrap(), sum, 0.01);
            assert!(expected.rows.iter().all(|row| (0.0..=1.0).contains(&row.chance)));
        }
    }
    assert_eq!(
        soon.expected.iter().map(|one| one.basis).collect::<Vec<_>>(),
        [LifeBasis::RuleOfThumb, LifeBasis::Paper]
    );
    assert!(later.expected[0].expected > soon.expected[0].expected);
    // The front discs go as far as the rear ones, and by the paper much farther than by the rule of thumb.
    for way in &later.expected {
        let chance = |axle| way.rows.iter().find(|row| row.discs && row.axle == axle).unwrap().chance;
        near(chance(Axle::Front), chance(Axle::Rear), 0.05);
    }
    let by_rule = |at: usize| later.expected[at].rows.iter().find(|row| row.discs).unwrap().chance;
    assert!(by_rule(0) > 0.5 && by_rule(1) < 0.1, "{} {}", by_rule(0), by_rule(1));
    assert!(!remarks(&soon).contains("is not reckoned"), "{}", remarks(&soon));
    // Of front wheels that did not come off nothing is known, and of the rear ones as much as before.
    let unseen = json!({"not_inspected": "a locking bolt"});
    let rear = in_order(6, &json!(null), &[("/corners/front_left", unseen.clone()), ("/corners/front_right", unseen)]);
    let chance = |cost: &CostReckoning| {
        cost.expected[0].rows.iter().find(|row| row.discs && row.axle == Axle::Rear).unwrap().chance
    };
    near(chance(&rear), chance(&later), 0.0);
    assert!(rear.expected[0].rows.iter().all(|row| row.axle == Axle::Rear));
    assert!(rear.expected[0].lacks.contains(&"the front axle's discs: how far they go is not reckoned".to_owned()));
    assert!(soon.expected[0].lacks.iter().any(|lacks| lacks.contains("front axle's pads: no price")));
}

#[test]
fn prices_hold_through_their_last_day() {
    for (valid_until, is_stale) in [("2026-11-23", true), ("2026-11-24", false), ("2026-11-25", false)] {
        let cost = cost(&[("/prices/valid_until", json!(valid_until))]);
        assert_eq!(remarks(&cost).contains("before this visit"), is_stale, "{valid_until}");
        assert_eq!(remarks(&cost).contains(&format!("They are valid until {valid_until}.")), !is_stale);
    }
}

#[test]
fn that_pads_alone_take_less_is_said_where_hours_of_an_axle_with_pads_alone_are_priced() {
    let lining = reading("rear-right-inner-lining", "/points/1/value");
    let hours = |axle: &str| json!([line(axle, "labour_hour", "4.5", "145.00", 21.0)]);
    let says = |changes: &[(&str, Value)]| remarks(&cost(changes)).contains("pads alone take less");
    assert!(says(&[sound(), (&lining, json!(3.0)), ("/prices/lines", hours("rear"))]));
    // Nothing is due on that axle.
    assert!(!says(&[sound(), (&lining, json!(3.0)), ("/prices/lines", hours("front"))]));
    // The discs are due as well.
    assert!(!says(&[("/prices/lines", hours("rear"))]));
    // No hours are priced.
    let pads = json!([line("rear", "pad_set", "1", "1020.00", 21.0)]);
    assert!(!says(&[sound(), (&lining, json!(3.0)), ("/prices/lines", pads)]));
}

#[test]
fn beside_the_asking_price_it_is_said_why_nothing_is_held_against_it() {
    let asking = ("/use_ahead", ahead(&json!({"currency": "EUR", "amount": "98000"})));
    let said = |changes: &[(&str, Value)]| cost(changes).against_asking[0].text.clone();
    let nothing = said(&[asking.clone(), sound()]);
    assert!(
        nothing.starts_with("By what was found, no disc and no pad is due for renewal now, beside the EUR"),
        "{nothing}"
    );
    let front = json!([line("front", "disc", "2", "5460.00", 21.0)]);
    let unpriced = said(&[asking.clone(), ("/prices/lines", front)]);
    assert!(unpriced.starts_with("What is due now has no price here"), "{unpriced}");
    let due = said(&[asking]);
    assert!(due.starts_with("What is due now, EUR\u{A0}15\u{202F}635.02, is"), "{due}");
}

#[test]
fn what_is_to_be_expected_is_said_where_it_is_reckoned_and_asked_for() {
    let words = "What is to be expected within the buyer's own distance is not reckoned";
    assert!(!remarks(&cost(&[])).contains(words), "nobody asked");
    let corners = ["/corners/front_left", "/corners/front_right", "/corners/rear_left", "/corners/rear_right"];
    let unseen = corners.map(|corner| (corner, json!({"not_inspected": "rain"})));
    let asking = ("/use_ahead", ahead(&json!({"currency": "EUR", "amount": "98000"})));
    let unknown = cost(&[&unseen[..], &[asking, ("/readings", json!([]))]].concat());
    assert!(remarks(&unknown).contains(words), "{}", remarks(&unknown));
    let said = &unknown.against_asking[0].text;
    assert!(!said.contains("To be expected"), "{said}");
    let known = in_order(2, &json!({"currency": "EUR", "amount": "98000"}), &[]);
    assert!(!known.expected.is_empty() && !remarks(&known).contains(words), "{}", remarks(&known));
    let said = &known.against_asking[0].text;
    assert!(
        said.contains("To be expected within the buyer's own distance, what is due now included: EUR\u{A0}"),
        "{said}"
    );
}
