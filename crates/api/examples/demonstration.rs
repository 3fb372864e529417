//! Writes what the pages are shown with: `demonstration FOLDER`. The three demonstration visits as a notebook gives them
//! out, the last of them sealed, and the root that vouches for it.

use std::{collections::BTreeMap, error::Error};

use api::{
    NativeWorld,
    door::{Door, InMemory},
    quietly,
};
use demo::scenario::{Visit, inspect, visits};
use serde_json::{Value, json};

const PASSPHRASE: &str = "demonstration only";

/// Wide enough to tell a fibre pattern on a screen, small enough to be taken in on a phone.
const PIXELS: (u32, u32) = (1280, 960);

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::path::PathBuf::from(std::env::args_os().nth(1).ok_or("expected the folder to write to")?);
    let door = Door::open(Box::new(InMemory), Box::new(NativeWorld)).map_err(|fault| fault.message)?;
    let mut last = Value::Null;
    for visit in visits() {
        last = write(&door, &visit)?;
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

/// Field by field, as the screens do.
fn write(door: &Door, visit: &Visit) -> Result<Value, Box<dyn Error>> {
    let (inspection, photographs) = inspect(visit, PIXELS)?;
    let document = serde_json::to_value(&inspection)?;
    let car = &document["car"];
    let begun =
        json!({"op": "begin", "vin": car["vin"], "registration": car["registration"], "at": document["visited_at"]});
    let id = ask(door, &begun, &[])?["id"].clone();
    let mut labels = BTreeMap::new();
    for photograph in photographs {
        let request = json!({"op": "photograph", "inspection": id, "subject": photograph.plan.subject, "taken": "in_app", "taken_at": null});
        let label = ask(door, &request, &photograph.bytes)?["label"].clone();
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
    Ok(id)
}

fn ask(door: &Door, request: &Value, bytes: &[u8]) -> Result<Value, Box<dyn Error>> {
    Ok(door
        .call(&request.to_string(), bytes, &quietly)
        .map_err(|fault| format!("{}: {request}", fault.message))?
        .answer)
}
