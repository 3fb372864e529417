//! The road tests.

use serde_json::{Value, json};

fn step(
    kind: &str,
    from_km_h: f64,
    felt: &[&str],
    heard: &[&str],
    anti_lock: Option<&str>,
    note: Option<&str>,
) -> Value {
    json!({
        "kind": kind, "from_km_h": from_km_h, "felt": felt, "heard": heard,
        "anti_lock": anti_lock, "recordings": [], "note": note
    })
}

/// The road test of a car in good order.
pub fn good() -> Value {
    json!({ "seen": {
        "driver": "Ines Okafor-Lind", "distance_km": 11.0, "note": null,
        "steps": [
            step("low_speed_dab", 8.0, &["sharp_bite"], &["nearly_silent"], None, None),
            step("half_effort", 100.0, &["nothing_unusual"], &["nearly_silent"], Some("not_reached"), None),
            step("full_effort", 100.0, &["nothing_unusual"], &["nearly_silent"], Some("worked"), None)
        ]
    } })
}

/// The road test of the last visit.
pub fn last() -> Value {
    json!({ "seen": {
        "driver": "Łukasz Đặng", "distance_km": 8.4,
        "note": "Corners were seen first. Ended early: the rear left rim was too hot to touch after 8 km.",
        "steps": [
            step("coasting", 70.0, &["drag"], &["nearly_silent"], None, Some("slows more than it should on the flat")),
            step("low_speed_dab", 8.0, &["weak_bite"], &["coarse_noise"], None, None),
            step("half_effort", 80.0, &["pulsing_pedal", "pulls_right"], &["coarse_noise"], Some("not_reached"), None)
        ]
    } })
}
