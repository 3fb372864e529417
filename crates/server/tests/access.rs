//! Every address with everybody who may ask it and everybody who may not.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

mod desk;

use std::collections::BTreeSet;

use axum::http::StatusCode;
use desk::{Desk, firm, set_up};
use model::Sha256;
use seal::certificate::Role;
use server::{Letters as _, Links as _, NewLink, NewReport, ReportRows as _, make_code};

/// An address, its form in the table of routes, and whether a dealer and an inspector may ask it at all.
struct Address {
    method: &'static str,
    route: &'static str,
    path: String,
    dealer: bool,
    inspector: bool,
}

fn addresses() -> Vec<Address> {
    let digest = Sha256::of(b"a report");
    let all =
        |method, route, path: &str| Address { method, route, path: path.to_owned(), dealer: true, inspector: true };
    let office = |method, route, path: &str| Address { dealer: false, inspector: false, ..all(method, route, path) };
    vec![
        all("POST", "/v1/receipts", "/v1/receipts"),
        all("POST", "/v1/sync", "/v1/sync"),
        all("POST", "/v1/follow", "/v1/follow"),
        all("POST", "/v1/blobs/{sha256}", &format!("/v1/blobs/{digest}")),
        all("PUT", "/v1/blobs/{sha256}/{nth}", &format!("/v1/blobs/{digest}/0")),
        Address { dealer: false, ..all("GET", "/v1/blobs/{sha256}/{nth}", &format!("/v1/blobs/{digest}/0")) },
        all("POST", "/v1/reports", "/v1/reports"),
        all("POST", "/v1/statements", "/v1/statements"),
        all("GET", "/v1/links", "/v1/links"),
        all("POST", "/v1/links", "/v1/links"),
        all("DELETE", "/v1/links/{number}", "/v1/links/1"),
        all("POST", "/v1/letters", "/v1/letters"),
        all("GET", "/v1/letters/{number}", "/v1/letters/1"),
        all("GET", "/v1/certificate", "/v1/certificate"),
        all("POST", "/v1/certificate", "/v1/certificate"),
        office("GET", "/v1/devices", "/v1/devices"),
        office("DELETE", "/v1/devices/{device}", "/v1/devices/device-ines"),
        office("POST", "/v1/codes", "/v1/codes"),
    ]
}

async fn let_in(desk: &Desk, of: &str, device: &str, role: Role) -> String {
    let code = make_code(desk.rows.as_ref(), desk.world.as_ref(), &firm(of), (device, role)).unwrap();
    desk.enrol(of, &code, device).await.json()["token"].as_str().unwrap().to_owned()
}

/// A firm with a report, a link and a letter, all of one device.
fn fill(desk: &Desk) {
    let digest = Sha256::of(b"a report");
    let (one, now) = (firm("harbour-vale"), "2026-11-24T10:00:00Z".parse().unwrap());
    let new =
        NewReport { identity: &digest, sha256: &digest, length: 8, device: &"device-ines".parse().unwrap(), at: now };
    desk.rows.take_report(&one, &new).unwrap();
    desk.rows.keep_letter(&one, "{\"of\":\"harbour-vale\"}", "device-ines", now).unwrap();
    let link = NewLink {
        secret: &[1; 32],
        shows: "letter:1",
        label: "harbour-vale's buyer",
        device: "device-ines",
        made_at: now,
        until: now + chrono::TimeDelta::days(1),
    };
    desk.rows.open_link(&one, &link).unwrap();
}

#[tokio::test]
async fn nobody_reaches_what_is_not_his() {
    let desk = set_up();
    fill(&desk);
    let inspector = let_in(&desk, "harbour-vale", "device-ines", Role::Inspector).await;
    let dealer = let_in(&desk, "harbour-vale", "device-dealer", Role::Dealer).await;
    let out = let_in(&desk, "harbour-vale", "device-lost", Role::Office).await;
    server::Devices::shut_out(desk.rows.as_ref(), &firm("harbour-vale"), "device-lost", desk.now()).unwrap();
    let mut others = Vec::new();
    for role in Role::ALL {
        others.push(let_in(&desk, "north-bay", &format!("device-{}", role.name().to_lowercase()), role).await);
    }
    for Address { method, path, dealer: dealer_may, inspector: inspector_may, .. } in addresses() {
        let ask = |token: Option<String>| {
            let (desk, path) = (&desk, &path);
            async move { desk.ask(method, path, token.as_deref(), "").await }
        };
        for nobody in [None, Some(String::new()), Some("0".repeat(64)), Some(out.clone())] {
            assert_eq!(ask(nobody).await.status, StatusCode::UNAUTHORIZED, "{method} {path}");
        }
        for (token, may) in [(&inspector, inspector_may), (&dealer, dealer_may)] {
            let status = ask(Some(token.clone())).await.status;
            assert_eq!(status == StatusCode::FORBIDDEN, !may, "{method} {path}: {status}");
            assert_ne!(status, StatusCode::UNAUTHORIZED, "{method} {path}");
        }
        for other in &others {
            let answer = ask(Some(other.clone())).await;
            let said = String::from_utf8_lossy(&answer.bytes).into_owned();
            assert!(!said.contains("harbour-vale") && !said.contains("device-ines"), "{method} {path}: {said}");
        }
    }
    // And nothing of the firm's was changed by any of them but its own.
    let known = server::Devices::list_devices(desk.rows.as_ref(), &firm("harbour-vale")).unwrap();
    assert!(known.iter().any(|device| device.device == "device-ines" && device.revoked.is_none()));
    let links = desk.rows.list_links(&firm("harbour-vale")).unwrap();
    assert!(links[0].closed_at.is_some(), "its own inspector closed it");
}

#[tokio::test]
async fn a_dealer_reads_no_letter_and_closes_no_link_of_others() {
    let desk = set_up();
    fill(&desk);
    let dealer = let_in(&desk, "harbour-vale", "device-dealer", Role::Dealer).await;
    for (method, path) in [("GET", "/v1/letters/1"), ("DELETE", "/v1/links/1")] {
        assert_eq!(desk.ask(method, path, Some(&dealer), "").await.status, StatusCode::NOT_FOUND, "{path}");
    }
    assert_eq!(desk.ask("GET", "/v1/links", Some(&dealer), "").await.json(), serde_json::json!([]));
}

/// A new address is looked at here, or this fails.
#[test]
fn every_address_for_devices_is_in_the_table() {
    let document = server::describe_api();
    let mut routes = BTreeSet::new();
    for (path, methods) in document["paths"].as_object().unwrap() {
        let methods = methods.as_object().unwrap().keys();
        routes.extend(methods.map(|method| (method.to_uppercase(), path.clone())));
    }
    // Whoever asks to be let in has no token yet; the rest is everybody's.
    routes.retain(|(_, path)| path.starts_with("/v1/") && path != "/v1/enrol");
    let looked_at: BTreeSet<(String, String)> =
        addresses().iter().map(|address| (address.method.to_owned(), address.route.to_owned())).collect();
    assert_eq!(routes, looked_at);
}
