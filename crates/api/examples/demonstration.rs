//! Writes what the pages are shown with: `demonstration FOLDER`. The three demonstration visits as a notebook gives them
//! out, the last of them sealed, and the root that vouches for it.

use std::{collections::BTreeMap, error::Error};

use api::{
    NativeWorld,
    door::{Door, InMemory},
    quietly,
};
use demo::{
    face,
    scenario::{Visit, inspect, record, visits},
};
use serde_json::{Value, json};

const PASSPHRASE: &str = "demonstration only";

/// Wide enough to tell a fibre pattern on a screen, small enough to be taken in on a phone.
const PIXELS: (u32, u32) = (1280, 960);

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::path::PathBuf::from(std::env::args_os().nth(1).ok_or("expected the folder to write to")?);
    let door = Door::open(Box::new(InMemory), Box::new(NativeWorld)).map_err(|fault| fault.message)?;
    let bench = Bench::new()?;
    let mut last = Value::Null;
    for visit in visits() {
        last = write(&door, &bench, &visit)?;
    }
    std::fs::write(folder.join("notebook.zip"), bytes(&door, &json!({"op": "export"}))?)?;
    let keys = json!({"op": "make_keys", "firm": "Harbour & Vale Inspections", "inspector": "Ines Okafor-Lind",
        "passphrase": PASSPHRASE});
    let root = ask(&door, &keys, &[])?["keys"]["root_pem"].clone();
    std::fs::write(folder.join("root.pem"), root.as_str().ok_or("no root came")?)?;
    let report = ask(&door, &json!({"op": "seal", "inspection": last, "passphrase": PASSPHRASE}), &[])?;
    let report = json!({"op": "report", "identity": report["identity"]});
    std::fs::write(folder.join("report.pdf"), bytes(&door, &report)?)?;
    Ok(())
}

fn bytes(door: &Door, request: &Value) -> Result<Vec<u8>, Box<dyn Error>> {
    let reply = door.call(&request.to_string(), &[], &quietly).map_err(|fault| fault.message)?;
    Ok(reply.bytes.ok_or("no bytes came")?)
}

/// A notebook of its own, in which the inspector's references are: faces are measured there.
struct Bench {
    door: Door,
    inspection: Value,
}

impl Bench {
    fn new() -> Result<Self, Box<dyn Error>> {
        let door = Door::open(Box::new(InMemory), Box::new(NativeWorld)).map_err(|fault| fault.message)?;
        let begin =
            json!({"op": "begin", "vin": null, "registration": "REFERENCES", "at": "2026-11-24T08:00:00+01:00"});
        let inspection = ask(&door, &begin, &[])?["id"].clone();
        let bench = Self { door, inspection };
        for (stage, _, face) in face::references() {
            let drawn = face::draw(&face);
            let (photograph, _) = bench.measure(&drawn.jpeg()?, &drawn.mark_json())?;
            let keep = json!({"op": "keep_reference", "inspection": bench.inspection, "photograph": photograph, "stage": stage});
            // The blurred ones are none to compare with.
            let _ = ask(&bench.door, &keep, &[]);
        }
        Ok(bench)
    }

    fn measure(&self, jpeg: &[u8], mark: &str) -> Result<(Value, Value), Box<dyn Error>> {
        let subject = json!({"of": "face", "corner": "rear_left", "face": "outer"});
        let take = json!({"op": "photograph", "inspection": self.inspection, "subject": subject, "taken": "in_app", "taken_at": null});
        let label = ask(&self.door, &take, jpeg)?["label"].clone();
        let mark: Value = serde_json::from_str(mark)?;
        let measure = json!({"op": "measure_face", "inspection": self.inspection, "photograph": label, "mark": mark});
        let draft = ask(&self.door, &measure, &[])?;
        let field = format!("photographs.{}", label.as_str().unwrap_or_default());
        Ok((label, draft["fields"][field]["measured"].clone()))
    }
}

/// The visit's road test as a phone recorded it, measured. The sound of the last alone: it is the largest by far.
fn drive(door: &Door, visit: &Visit, id: &Value, is_last: bool) -> Result<(), Box<dyn Error>> {
    let recorded = record(visit);
    let files = [
        ("motion.csv", recorded.motion.as_bytes()),
        ("position.nmea", recorded.position.as_bytes()),
        ("sound.wav", &recorded.sound),
    ];
    let mut labels = Vec::new();
    for (name, bytes) in files.into_iter().take(if is_last { 3 } else { 2 }) {
        let take = json!({"op": "take_in_recording", "inspection": id, "name": name});
        labels.push(ask(door, &take, bytes)?["label"].clone());
    }
    ask(door, &json!({"op": "measure_drive", "inspection": id, "recordings": labels}), &[])?;
    Ok(())
}

/// Field by field, as the screens do.
fn write(door: &Door, bench: &Bench, visit: &Visit) -> Result<Value, Box<dyn Error>> {
    let (inspection, photographs) = inspect(visit, PIXELS)?;
    let document = serde_json::to_value(&inspection)?;
    let car = &document["car"];
    let begun =
        json!({"op": "begin", "vin": car["vin"], "registration": car["registration"], "at": document["visited_at"]});
    let id = ask(door, &begun, &[])?["id"].clone();
    let mut labels = BTreeMap::new();
    for photograph in photographs {
        let request = json!({"op": "photograph", "inspection": id, "subject": photograph.plan.subject, "taken": "in_app", "taken_at": null});
        let stored = ask(door, &request, &photograph.bytes)?;
        let label = stored["label"].clone();
        if let Some(mark) = photograph.mark_json() {
            let path = format!("photographs.{}", label.as_str().unwrap_or_default());
            let mut value = stored["draft"]["fields"][&path].clone();
            (_, value["measured"]) = bench.measure(&photograph.bytes, &mark)?;
            ask(door, &json!({"op": "write", "inspection": id, "path": path, "value": value}), &[])?;
        }
        labels.insert(photograph.plan.id.clone(), label);
    }
    for (path, mut value) in notebook::unfold(&document) {
        // Photographs came with their bytes; earlier visits come from the notebook itself.
        if path.starts_with("photographs.") || path.starts_with("car.prior_visits.") {
            continue;
        }
        // The notebook gives photographs names of its own.
        for name in value.get_mut("photographs").and_then(Value::as_array_mut).into_iter().flatten() {
            if let Some(label) = name.as_str().and_then(|name| labels.get(name)) {
                *name = label.clone();
            }
        }
        ask(door, &json!({"op": "write", "inspection": id, "path": path, "value": value}), &[])?;
    }
    drive(door, visit, &id, visit.folder == visits()[visits().len() - 1].folder)?;
    Ok(id)
}

fn ask(door: &Door, request: &Value, bytes: &[u8]) -> Result<Value, Box<dyn Error>> {
    Ok(door
        .call(&request.to_string(), bytes, &quietly)
        .map_err(|fault| format!("{}: {request}", fault.message))?
        .answer)
}
