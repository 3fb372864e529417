//! Writes a notebook to measure with: `large FILE INSPECTIONS WIDTH`. Each inspection has 40 photographs so many pixels
//! wide, every photograph with bytes of its own.

use std::error::Error;

use api::{
    NativeWorld,
    door::{Door, InMemory},
    quietly,
};
use demo::scenario::{inspect, visits};
use serde_json::{Value, json};

const PHOTOGRAPHS: usize = 40;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [out, inspections, width] = arguments.as_slice() else { return Err("expected FILE INSPECTIONS WIDTH".into()) };
    let (inspections, width): (usize, u32) = (inspections.parse()?, width.parse()?);
    let door = Door::open(Box::new(InMemory), Box::new(NativeWorld)).map_err(|fault| fault.message)?;
    let [.., last] = &visits();
    let (inspection, photographs) = inspect(last, (width, width * 3 / 4))?;
    let document = serde_json::to_value(&inspection)?;
    for number in 0..inspections {
        let registration = format!("PMW-{number:04}-L");
        // The first one is whole and can be sealed; the others are other cars, whose numbers nobody read.
        let vin = if number == 0 { &document["car"]["vin"] } else { &Value::Null };
        let begun = json!({"op": "begin", "vin": vin, "registration": registration, "at": document["visited_at"]});
        let id = ask(&door, &begun, &[])?["id"].clone();
        for (path, value) in notebook::unfold(&document) {
            let elsewhere = ["photographs.", "car.prior_visits.", "car.vin", "car.registration"];
            if elsewhere.iter().all(|start| !path.starts_with(start)) && !path.contains(".defects.") {
                ask(&door, &json!({"op": "write", "inspection": id, "path": path, "value": value}), &[])?;
            }
        }
        for (place, photograph) in photographs.iter().cycle().take(PHOTOGRAPHS).enumerate() {
            let request = json!({"op": "photograph", "inspection": id, "subject": photograph.plan.subject,
                "taken": "in_app", "taken_at": null});
            let mut bytes = photograph.bytes.clone();
            // A comment (ISO/IEC 10918-1, B.2.4.5) after the start makes each file another one.
            let comment = format!("{number}/{place}");
            let length = u16::try_from(comment.len() + 2)?.to_be_bytes();
            bytes.splice(2..2, [&[0xff, 0xfe], &length[..], comment.as_bytes()].concat());
            ask(&door, &request, &bytes)?;
        }
    }
    let zip = door.call(r#"{"op":"export"}"#, &[], &quietly).map_err(|fault| fault.message)?;
    std::fs::write(out, zip.bytes.ok_or("no bytes came")?)?;
    Ok(())
}

fn ask(door: &Door, request: &Value, bytes: &[u8]) -> Result<Value, Box<dyn Error>> {
    Ok(door
        .call(&request.to_string(), bytes, &quietly)
        .map_err(|fault| format!("{}: {request}", fault.message))?
        .answer)
}
