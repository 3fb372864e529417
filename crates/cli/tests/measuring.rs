//! `rimside recording` and `rimside photo`, on what the demonstration generates.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

use std::{
    path::{Path, PathBuf},
    process::{Command, Output},
};

use demo::{
    drive, face,
    scenario::{record, visits},
};
use serde_json::Value;

fn rimside(arguments: &[&str], files: &[PathBuf]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_rimside")).args(arguments).args(files).output().unwrap()
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| panic!("{error}: {output:?}"))
}

fn write_recordings(folder: &Path, number: usize) -> Vec<PathBuf> {
    let recorded = record(&visits()[number]);
    let files = ["motion.csv", "position.nmea", "sound.wav"].map(|name| folder.join(name));
    std::fs::write(&files[0], recorded.motion).unwrap();
    std::fs::write(&files[1], recorded.position).unwrap();
    std::fs::write(&files[2], recorded.sound).unwrap();
    files.to_vec()
}

#[test]
fn the_visits_road_tests_show_what_the_scenario_put_in() {
    let folder = tempfile::tempdir().unwrap();
    let tyres = ["--json", "recording", "--front-tyre", "245/35R20", "--rear-tyre", "305/30 r20"];
    let of = |number: usize| json(&rimside(&tyres, &write_recordings(folder.path(), number)))["measured"].clone();
    let (new, spent) = (of(0), of(2));
    let order = |seen: &Value| seen["pulsation"]["orders"][0].clone();
    assert!(order(&new)["chance_of_noise"].as_f64().unwrap() > 0.01, "a new disc does not pulse: {new:#}");
    assert!(order(&spent)["chance_of_noise"].as_f64().unwrap() < 0.001);
    // Heat of 0.85 was put in as a pulsation of 0.7 of that.
    let pulsation = order(&spent)["braking_m_per_s2"].as_f64().unwrap();
    assert!((pulsation / (0.7 * 0.85) - 1.0).abs() < 0.1, "{pulsation}");
    // The two sizes turn within two percent of each other: nobody can tell by the turns.
    assert_eq!(spent["pulsation"]["axle"], "cannot_tell");
    let grain = |seen: &Value| seen["sound"]["grain_db"]["value"].as_f64().unwrap();
    assert!(grain(&spent) > grain(&new) + 3.0, "{} against {}", grain(&spent), grain(&new));
    let worked = |seen: &Value| {
        seen["brakings"].as_array().unwrap().iter().filter(|one| one["anti_lock"]["worked"] == true).count()
    };
    assert_eq!((worked(&new), worked(&spent)), (1, 0));
    let bite = |seen: &Value| seen["brakings"][0]["jerk_m_per_s3"]["value"].as_f64().unwrap();
    assert!(bite(&new) > 2.0 * bite(&spent));
}

#[test]
fn plots_are_written_and_never_over_others() {
    let folder = tempfile::tempdir().unwrap();
    let files = write_recordings(folder.path(), 2);
    let plots = folder.path().join("plots");
    let arguments = ["recording", "--plots", plots.to_str().unwrap()];
    let output = rimside(&arguments, &files);
    assert!(output.status.success(), "{output:?}");
    let svg = std::fs::read_to_string(plots.join("drive.svg")).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("deceleration in m/s²"));
    assert!(std::fs::read(plots.join("sound.png")).unwrap().starts_with(b"\x89PNG"));
    let again = rimside(&arguments, &files);
    assert_eq!(again.status.code(), Some(70));
    assert!(String::from_utf8_lossy(&again.stderr).contains("--replace"));
}

#[test]
fn what_is_no_recording_is_told_with_its_file() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("notes.csv");
    std::fs::write(&file, "what,how much\nbrake,much\n").unwrap();
    let output = rimside(&["recording"], &[file]);
    assert_eq!(output.status.code(), Some(70));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(said.contains("notes.csv") && said.contains("line 1: the columns are what, how much"), "{said}");
    let drawn = drive::drive(&drive::Plan { stops: vec![drive::Stop::from(12.0, 4.0)], ..drive::Plan::default() });
    let position = folder.path().join("position.csv");
    std::fs::write(&position, drive::position_csv(&drawn)).unwrap();
    let output = rimside(&["recording"], &[position]);
    assert!(String::from_utf8_lossy(&output.stderr).contains("no log of motion"));
}

#[test]
fn faces_are_read_against_the_generated_references() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, drawn: &face::Face| {
        let drawn = face::draw(drawn);
        let file = folder.path().join(name);
        std::fs::write(&file, drawn.jpeg().unwrap()).unwrap();
        std::fs::write(format!("{}.mark.json", file.display()), drawn.mark_json()).unwrap();
        file
    };
    let list: Vec<Value> = face::references()
        .iter()
        .map(|(stage, name, face)| {
            put(name, face);
            serde_json::json!({ "photograph": name, "stage": stage })
        })
        .collect();
    let references = folder.path().join("references.json");
    let written = serde_json::json!({ "schema": "rimside.references/1", "references": list });
    std::fs::write(&references, written.to_string()).unwrap();
    let careful = face::Face { size: (1300, 1000), blur_px: 0.6, ..face::Face::default() };
    let spent = put("outer.jpg", &face::Face { wear: 0.95, seed: 901, ..careful });
    let sound = put("inner.jpg", &face::Face { wear: 0.05, seed: 902, ..careful });
    let read =
        json(&rimside(&["--json", "photo", "--references", references.to_str().unwrap()], &[spent.clone(), sound]));
    assert_eq!(read["faces"][0]["measured"]["proposal"]["stage"], "end", "{read:#}");
    assert_eq!(read["faces"][1]["measured"]["proposal"]["stage"], "start", "{read:#}");
    assert!(read["difference"]["chance"].as_f64().unwrap() < 0.005);
    std::fs::remove_file(format!("{}.mark.json", spent.display())).unwrap();
    let output = rimside(&["photo"], &[spent]);
    assert!(String::from_utf8_lossy(&output.stderr).contains("outer.jpg.mark.json"), "{output:?}");
}

#[test]
fn what_is_measured_goes_into_the_inspection_once() {
    let folder = tempfile::tempdir().unwrap();
    let (inspection, photographs) = demo::scenario::inspect(&visits()[2], (400, 300)).unwrap();
    let place = folder.path().join("inspection.json");
    std::fs::write(&place, serde_json::to_vec(&inspection).unwrap()).unwrap();
    let into = ["--into", place.to_str().unwrap()];
    let files = write_recordings(folder.path(), 2);
    for _ in 0..2 {
        let output = rimside(&[&["recording"], &into[..]].concat(), &files);
        assert!(output.status.success(), "{output:?}");
    }
    let face = photographs.iter().find(|one| one.mark_json().is_some()).unwrap();
    let file = folder.path().join("face.jpg");
    std::fs::write(&file, &face.bytes).unwrap();
    std::fs::write(folder.path().join("face.jpg.mark.json"), face.mark_json().unwrap()).unwrap();
    let output = rimside(&[&["photo"], &into[..]].concat(), std::slice::from_ref(&file));
    assert!(output.status.success(), "{output:?}");
    let written = api::model::parse_inspection(&std::fs::read(&place).unwrap()).unwrap();
    let test = written.road_test.seen().unwrap();
    assert_eq!((written.recordings.len(), test.drives.len(), test.drives[0].recordings.len()), (3, 1, 3));
    let measured = written.photographs.iter().find(|one| one.id.as_str() == face.id()).unwrap();
    assert!(measured.measured.is_some());
    // Another photograph is none of this inspection's.
    let other = face::draw(&face::Face { size: (1300, 1000), ..face::Face::default() });
    std::fs::write(&file, other.jpeg().unwrap()).unwrap();
    std::fs::write(folder.path().join("face.jpg.mark.json"), other.mark_json()).unwrap();
    let before = std::fs::read(&place).unwrap();
    let output = rimside(&[&["photo"], &into[..]].concat(), &[file]);
    assert!(String::from_utf8_lossy(&output.stderr).contains("none of the inspection's photographs"), "{output:?}");
    assert_eq!(std::fs::read(&place).unwrap(), before);
}
