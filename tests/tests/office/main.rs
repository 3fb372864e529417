//! An office from the first code to a report that was taken back: phones, the firm's issuer elsewhere, and a reader who has
//! a link and nothing else.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod desk;
mod stamping;

use desk::{Desk, PASSPHRASE, Phone, firm};
use seal::certificate::Role;
use serde_json::{Value, json};
use server::{Shelf as _, log::audit};
use verify::{Answer, Headline, TrustTexts, check_signature};

fn text(value: &Value) -> &str {
    value.as_str().unwrap()
}

/// What a reader has who fetched all that the firm shows: its root, its list, its log's key, the statements.
fn read_papers(desk: &Desk) -> TrustTexts {
    let read = |path: &str| {
        let (status, bytes) = desk.get(&format!("log/firm/{path}"));
        assert_eq!(status, 200, "{path}");
        String::from_utf8(bytes).unwrap()
    };
    let shelf = |path: &str| desk.shelf.read(&firm(), path).unwrap().ok_or_else(|| path.to_owned());
    let audited = audit(&desk.log, None, shelf).unwrap();
    let statements = audited.entries.iter().filter_map(|entry| entry.kind.statement());
    let statements = statements.map(|digest| read(&format!("statements/{}.pem", digest.to_hex())));
    let now = api::door::Source::now(&desk::Here);
    TrustTexts {
        roots: vec![read("root.pem")],
        revocation_lists: vec![read("crl.pem")],
        logs: vec![read("log.pub")],
        statements: statements.collect(),
        statements_complete_as_of: Some(now),
        ..TrustTexts::at(now)
    }
}

#[test]
fn a_report_gains_its_receipt_reaches_everybody_and_can_be_taken_back() {
    let desk = Desk::open();
    let ines = Phone::let_in(&desk, "Ines's phone", Role::Inspector);
    let tomas = Phone::let_in(&desk, "the desk", Role::Office);
    ines.be_certified("Ines Okafor-Lind", Role::Inspector, "ines");
    let sealed = ines.inspect_and_seal(0);
    let identity = text(&sealed["identity"]).to_owned();
    assert_eq!((&sealed["is_receipted"], &sealed["is_told"]), (&json!(false), &json!(false)));

    let paths = ines.sync();
    let first = |start: &str| paths.iter().position(|path| path.starts_with(start)).unwrap();
    assert!(first("v1/sync") < first("v1/receipts") && first("v1/receipts") < first("v1/reports"), "{paths:?}");
    let report = ines.report(&identity);
    assert_eq!((&report["is_receipted"], &report["is_told"]), (&json!(true), &json!(true)));
    let verdict = ines.call(&json!({"op": "verify", "roots": []}), &ines.report_bytes(&identity)).answer;
    assert_eq!(verdict["questions"]["since_when"]["state"], "passed", "{verdict}");
    assert_eq!(ines.sync().len(), 1, "what is told is told");

    tomas.sync();
    assert_eq!(tomas.report_bytes(&identity), ines.report_bytes(&identity), "the same file, receipt and all");
    assert_eq!(tomas.report(&identity)["inspection"], sealed["inspection"]);

    // A reader with a link: what it shows, counted; never twice the same secret; closed, it shows nothing.
    let make =
        json!({"errand": "make_link", "shows": format!("report:{identity}"), "label": "Amara Quill", "days": 14});
    let link = ines.errand(&make).unwrap()["link"].clone();
    let other = ines.errand(&make).unwrap()["link"].clone();
    assert_ne!(link["secret"], other["secret"]);
    let path = format!("link/{}", text(&link["secret"]));
    let (status, shown) = desk.get(&path);
    assert_eq!(status, 200);
    let shown: Value = serde_json::from_slice(&shown).unwrap();
    assert_eq!(shown["shows"]["report"]["identity"], identity.as_str());
    let (status, pdf) = desk.get(&format!("{path}/report.pdf"));
    assert_eq!((status, &pdf), (200, &ines.report_bytes(&identity)));
    let links = tomas.errand(&json!({"errand": "links"})).unwrap();
    let opened = |number: &Value| {
        let links = links["links"].as_array().unwrap();
        links.iter().find(|one| one["number"] == *number).unwrap()["opened"].as_u64().unwrap()
    };
    assert_eq!((opened(&link["number"]), opened(&other["number"])), (1, 0));
    tomas.errand(&json!({"errand": "close_link", "number": link["number"]})).unwrap();
    for closed in [path.clone(), format!("{path}/report.pdf"), format!("link/{}", "0".repeat(32))] {
        assert_eq!(desk.get(&closed).0, 404, "{closed}");
    }

    // The reader's verdict before and after it is taken back.
    let verdict = check_signature(&pdf, &read_papers(&desk).parse().unwrap());
    assert!(matches!(verdict.questions.still_stands, Answer::Passed { .. }), "{verdict:?}");
    assert!(matches!(verdict.questions.since_when, Answer::Passed { .. }), "{verdict:?}");
    let withdraw = json!({"op": "withdraw", "identity": identity, "superseded_by": null,
        "reason": "the discs of another car were weighed", "passphrase": PASSPHRASE});
    let withdrawn = ines.ask(&withdraw);
    assert_eq!(withdrawn["withdrawn"]["is_told"], false);
    ines.sync();
    assert_eq!(ines.report(&identity)["withdrawn"]["is_told"], true);
    let verdict = verify::check_fully(&pdf, &read_papers(&desk).parse().unwrap());
    assert_eq!(verdict.headline, Headline::GenuineButWithdrawn, "{verdict:?}");
    assert!(verdict.questions.still_stands.sentence().contains("the discs of another car were weighed"));

    // Whoever is let in again tells everything anew, the statement as well: this may be an office that lost it.
    ines.join("Ines's phone", Role::Inspector);
    assert_eq!(ines.report(&identity)["withdrawn"]["is_told"], false);
    assert!(ines.sync().iter().any(|path| path == "v1/statements"));
    assert_eq!(ines.report(&identity)["withdrawn"]["is_told"], true);
}

/// A phone with little room: colleagues' pictures stay at the office until somebody opens their inspection and asks.
#[test]
fn a_phone_that_fetches_what_is_asked_for_has_the_findings_and_gets_the_pictures_later() {
    let desk = Desk::open();
    let ines = Phone::let_in(&desk, "Ines's phone", Role::Inspector);
    ines.be_certified("Ines Okafor-Lind", Role::Inspector, "ines");
    let inspection = text(&ines.inspect_and_seal(0)["inspection"]).to_owned();
    ines.sync();
    let other = Phone::let_in(&desk, "Ines's other phone", Role::Inspector);
    assert_eq!(other.ask(&json!({"op": "fetch_colleagues", "all": false}))["fetches_all"], false);
    other.sync();
    let view = other.ask(&json!({"op": "office"}));
    assert_eq!((&view["awaited"], &view["left"]), (&json!(0), &json!(2)), "{view}");
    let read = other.ask(&json!({"op": "read", "inspection": inspection}));
    let shots = photographs(&read);
    let (_, shot) = shots.first().expect("what was found is here");
    let picture = json!({"op": "picture", "sha256": shot["sha256"], "small": true});
    assert!(other.try_call(&picture, &[]).is_err(), "its picture is not");
    other.be_certified("Ines Okafor-Lind", Role::Inspector, "ines-other");
    let fault = other
        .try_call(&json!({"op": "seal", "inspection": inspection, "passphrase": PASSPHRASE}), &[])
        .map(|_| ())
        .unwrap_err();
    assert_eq!(fault.code, "photographs-missing", "{}", fault.message);
    assert!(fault.hint.unwrap().contains("fetch them from the inspection's first screen"));
    let left = json!({"op": "left", "inspection": inspection});
    assert_eq!(other.ask(&left), json!({"left": 2, "awaited": 0}));

    // Being let in again keeps what the person wants to be fetched.
    other.join("Ines's other phone", Role::Inspector);
    assert_eq!(other.ask(&json!({"op": "office"}))["fetches_all"], false);
    other.sync();
    other.ask(&json!({"op": "fetch", "inspection": inspection}));
    assert_eq!(other.ask(&left), json!({"left": 0, "awaited": 2}));
    other.sync();
    assert_eq!(other.ask(&left), json!({"left": 0, "awaited": 0}));
    assert!(!other.call(&picture, &[]).bytes.unwrap().is_empty());
    assert_eq!(other.ask(&json!({"op": "fetch_colleagues", "all": true}))["fetches_all"], true);
}

/// A view's photographs with their labels.
fn photographs(view: &Value) -> Vec<(&str, &Value)> {
    let fields = view["fields"].as_object().unwrap().iter();
    fields.filter_map(|(path, value)| Some((path.strip_prefix("photographs.")?, value))).collect()
}

/// Both are away from any signal; neither may take the other's place.
#[test]
fn two_people_at_one_car_give_what_they_photograph_names_of_its_own() {
    let desk = Desk::open();
    let (ines, tomas) =
        (Phone::let_in(&desk, "Ines's", Role::Inspector), Phone::let_in(&desk, "Tomas's", Role::Inspector));
    let begin = json!({"op": "begin", "vin": null, "registration": "PM 47 RIM", "at": "2026-11-24T10:00:00+01:00"});
    let id = ines.ask(&begin)["id"].as_str().unwrap().to_owned();
    ines.sync();
    tomas.sync();
    let (_, shots) = demo::scenario::inspect(&demo::scenario::visits()[0], (320, 240)).unwrap();
    let take = |phone: &Phone<'_>, nth: usize| {
        let request = json!({"op": "photograph", "inspection": id, "subject": shots[nth].plan.subject, "taken": "in_app",
            "taken_at": null});
        phone.call(&request, &shots[nth].bytes);
    };
    take(&ines, 0);
    take(&tomas, 1);
    for phone in [&ines, &tomas, &ines] {
        phone.sync();
    }
    for phone in [&ines, &tomas] {
        let view = phone.ask(&json!({"op": "read", "inspection": id}));
        assert_eq!((photographs(&view).len(), &view["conflicts"]), (2, &json!([])));
    }
}

#[test]
fn what_was_erased_here_does_not_come_back_from_the_office() {
    let desk = Desk::open();
    let ines = Phone::let_in(&desk, "Ines's phone", Role::Inspector);
    ines.be_certified("Ines Okafor-Lind", Role::Inspector, "ines");
    let sealed = ines.inspect_and_seal(0);
    ines.sync();
    ines.ask(&json!({"op": "erase", "inspection": sealed["inspection"]}));
    assert_eq!(ines.report(text(&sealed["identity"])), Value::Null);
    // Let in again, it hears all of it anew.
    ines.join("Ines's phone", Role::Inspector);
    ines.sync();
    assert_eq!(ines.report(text(&sealed["identity"])), Value::Null, "the client's report is back");
    assert_eq!(ines.ask(&json!({"op": "office"}))["awaited"], 0);
}

#[test]
fn what_is_not_the_firms_is_not_taken() {
    let desk = Desk::open();
    let phone = Phone::let_in(&desk, "a phone", Role::Inspector);
    // A firm of one on the phone itself: another root than the office's.
    phone.ask(&json!({"op": "make_keys", "firm": "Harbour & Vale Inspections", "inspector": "Ines Okafor-Lind",
        "passphrase": PASSPHRASE}));
    let sealed = phone.inspect_and_seal(0);
    phone.sync();
    let report = phone.report(text(&sealed["identity"]));
    assert_eq!(report["is_told"], false, "the office does not take it");
    let waiting = phone.ask(&json!({"op": "office"}));
    assert_eq!((&waiting["entries"], &waiting["reports"]), (&json!(0), &json!(1)), "and it holds nothing else up");
    // Once the office has certified the phone, what was sealed before is still verified as its own.
    phone.be_certified("Ines Okafor-Lind", Role::Inspector, "ines");
    let bytes = phone.report_bytes(text(&sealed["identity"]));
    let verdict = phone.call(&json!({"op": "verify", "roots": []}), &bytes).answer;
    assert_eq!(verdict["headline"], "genuine-standing-not-checked", "{verdict}");
    let keys = phone.ask(&json!({"op": "keys"}));
    assert_eq!(keys["keys"]["root_pem"].as_str().unwrap().trim(), desk.root_pem().trim());
}

#[test]
fn an_office_that_knows_no_root_yet_holds_nothing_up() {
    let desk = Desk::open_without_papers();
    let (phone, other) =
        (Phone::let_in(&desk, "a phone", Role::Inspector), Phone::let_in(&desk, "another", Role::Inspector));
    phone.ask(&json!({"op": "make_keys", "firm": "Harbour & Vale Inspections", "inspector": "Ines Okafor-Lind",
        "passphrase": PASSPHRASE}));
    let sealed = phone.inspect_and_seal(0);
    let paths = phone.sync();
    assert!(paths.iter().any(|path| path.starts_with("v1/blobs/")), "the photographs go all the same: {paths:?}");
    other.sync();
    let seen = other.ask(&json!({"op": "office"}));
    assert_eq!((&seen["awaited"], other.report(text(&sealed["identity"]))), (&json!(0), Value::Null));
    let asked =
        json!({"op": "ask_certificate", "name": "Ines Okafor-Lind", "role": "Inspector", "passphrase": PASSPHRASE});
    assert_eq!(phone.try_call(&asked, &[]).unwrap_err().code, "not-let-in", "there is no firm to be certified by yet");
}

#[test]
fn a_dealer_sees_nothing_but_what_is_the_dealers_own() {
    let desk = Desk::open();
    let ines = Phone::let_in(&desk, "Ines's phone", Role::Inspector);
    ines.be_certified("Ines Okafor-Lind", Role::Inspector, "ines");
    let sealed = ines.inspect_and_seal(0);
    ines.sync();
    let dealer = Phone::let_in(&desk, "Saltmarsh Motor House", Role::Dealer);
    dealer.sync();
    assert_eq!(dealer.ask(&json!({"op": "list", "search": ""}))["inspections"], json!([]));
    assert_eq!(dealer.ask(&json!({"op": "reports"}))["reports"], json!([]));
    let identity = text(&sealed["identity"]);
    let link = json!({"errand": "make_link", "shows": format!("report:{identity}"), "label": "", "days": 1});
    assert_eq!(dealer.errand(&link).unwrap_err().code, "office-refused");
    let own = ines.errand(&link).unwrap()["link"].clone();
    assert_eq!(dealer.errand(&json!({"errand": "links"})).unwrap()["links"], json!([]));
    let close = json!({"errand": "close_link", "number": own["number"]});
    assert_eq!(dealer.errand(&close).unwrap_err().code, "office-refused");
    for errand in [
        json!({"errand": "devices"}),
        json!({"errand": "make_code", "label": "a phone", "role": "Office"}),
        json!({"errand": "shut_out", "device": ines.name()}),
    ] {
        for nobody in [&dealer, &ines] {
            assert_eq!(nobody.errand(&errand).unwrap_err().code, "office-refused", "{errand}");
        }
    }
}

#[test]
fn a_dealer_whom_the_firm_certified_attaches_a_signed_answer_to_the_sale() {
    let desk = Desk::open();
    let ines = Phone::let_in(&desk, "Ines's phone", Role::Inspector);
    ines.be_certified("Ines Okafor-Lind", Role::Inspector, "ines");
    let report = ines.report_bytes(text(&ines.inspect_and_seal(0)["identity"]));
    let dealer = Phone::let_in(&desk, "Saltmarsh Motor House", Role::Dealer);
    // Enrolled by the firm, the dealer signs as one of the firm's people.
    let mut content = serde_json::to_value(demo::scenario::statement().unwrap()).unwrap();
    content["firm"] = json!("Harbour & Vale Inspections");
    let state =
        json!({"op": "state", "content": content, "roots": [], "although_unsound": false, "passphrase": PASSPHRASE});
    assert_eq!(dealer.try_call(&state, &report).unwrap_err().code, "no-keys");
    dealer.be_certified("Owen Tarrow", Role::Dealer, "tarrow");
    let stated = dealer.call(&state, &report).answer;
    dealer.sync();
    let identity = text(&stated["identity"]);
    let standing = dealer.report(identity);
    assert_eq!((&standing["is_receipted"], &standing["is_told"]), (&json!(true), &json!(true)));
    let verdict = verify::check_fully(&dealer.report_bytes(identity), &read_papers(&desk).parse().unwrap());
    assert_eq!(verdict.headline, Headline::Genuine, "{verdict:?}");
    assert!(verdict.rests_on.is_some(), "the inspector's report travels inside it");
    // An inspector's certificate is none of a dealer's.
    assert_eq!(ines.try_call(&state, &report).unwrap_err().code, "no-dealer");
}

#[test]
fn a_letter_goes_out_by_a_link_and_its_answers_come_back_through_it() {
    let desk = Desk::open();
    let ines = Phone::let_in(&desk, "Ines's phone", Role::Inspector);
    let letter = serde_json::to_value(demo::scenario::letter().unwrap()).unwrap();
    let kept = ines.errand(&json!({"errand": "send_letter", "letter": letter})).unwrap()["kept"].clone();
    let shows = format!("letter:{}", kept["number"]);
    let link = ines.errand(&json!({"errand": "make_link", "shows": shows, "label": "the seller", "days": 7})).unwrap()
        ["link"]
        .clone();
    let path = format!("link/{}", text(&link["secret"]));
    let (status, shown) = desk.get(&path);
    assert_eq!(status, 200);
    let shown: Value = serde_json::from_slice(&shown).unwrap();
    let sent = &shown["shows"]["letter"]["letter"];
    assert_eq!(sent["request"], letter);
    assert!(text(&sent["text"]).contains("Corvane Tessel"), "{sent}");
    for (nth, answer) in ["the discs are the first ones", "no, they were renewed once"].into_iter().enumerate() {
        let reply = json!({ "answers": [{ "question": 1, "text": answer }] });
        let sent = desk.send("POST", &format!("{path}/reply"), &Value::Null, reply.to_string().into_bytes());
        assert_eq!(sent.0, 204);
        let read = ines.errand(&json!({"errand": "read_letter", "number": kept["number"]})).unwrap();
        let replies = read["letter"]["replies"].as_array().unwrap();
        assert_eq!(replies.len(), nth + 1, "what was answered before stays");
        assert_eq!(replies[nth]["reply"], reply);
    }
    for nonsense in [&b"hello"[..], b"[1]", b"\"text\""] {
        assert_eq!(desk.send("POST", &format!("{path}/reply"), &Value::Null, nonsense.to_vec()).0, 400);
    }
    assert_eq!(desk.get(&format!("{path}/report.pdf")).0, 404, "a letter's link shows no report");
}

#[test]
fn a_certificate_for_another_key_or_from_another_root_is_not_taken_in() {
    let (desk, other) = (Desk::open(), Desk::open());
    let ines = Phone::let_in(&desk, "Ines's phone", Role::Inspector);
    let strange = Phone::let_in(&other, "Ines's phone", Role::Inspector);
    strange.be_certified("Ines Okafor-Lind", Role::Inspector, "ines");
    let asked =
        json!({"op": "ask_certificate", "name": "Ines Okafor-Lind", "role": "Inspector", "passphrase": PASSPHRASE});
    ines.call(&asked, &[]);
    for (whose, chain) in [
        ("another root's", std::fs::read_to_string(other.keys().join("people/ines.pem")).unwrap() + &other.root_pem()),
        ("another key's", {
            desk.certify_at_desk("tomas", Role::Inspector);
            let read = |file: &str| std::fs::read_to_string(desk.keys().join(file)).unwrap();
            format!("{}{}{}", read("people/tomas.pem"), read("issuer.pem"), read("root.pem"))
        }),
    ] {
        let given = json!({"chain": chain, "revoked": std::fs::read_to_string(desk.keys().join("crl.pem")).unwrap()});
        let answered = json!({"op": "office_answered", "errand": {"errand": "fetch_certificate"}, "status": 200});
        let refused = ines.try_call(&answered, given.to_string().as_bytes()).unwrap_err();
        assert_eq!(refused.code, "certificate-not-taken", "{whose}: {}", refused.message);
        assert_eq!(ines.ask(&json!({"op": "keys"}))["keys"], Value::Null);
    }
}
