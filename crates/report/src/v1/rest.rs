//! The car, the road test, the cost, what was left out, who stands behind it, which record it is.

use model::{Axle, Inspected, PhotographSubject, Reading, RoadTest};

use super::{
    Subject,
    corner::{set_instruments, set_readings},
    flow::Flow,
    money, photographs, recorded,
    setting::{BODY, LABEL, LEAST_LEFT, SMALL, SMALL_BOLD, Table},
    text::Span,
    tree::NodeId,
    words,
};

/// Sets the car as fitted, the day, and what was measured on the whole car.
pub(crate) fn set_car(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    flow.turn_page_unless(LEAST_LEFT);
    let inspection = &subject.record.inspection;
    let car = &inspection.car;
    let section = flow.section("The car and the day", None);
    flow.fact(section, "Car", car.description.as_str());
    flow.fact(section, "VIN", car.vin.as_str());
    let check = match (car.vin.is_north_american(), car.vin.has_valid_check_digit()) {
        (true, _) => "its check digit is right (49 CFR 565)",
        (false, true) => "its check digit is right, which outside North America it need not be",
        (false, false) => "outside North America it need not have a check digit, and has none that fits",
    };
    flow.fact(section, "", check);
    flow.fact(section, "Registration", car.registration.as_str());
    flow.fact(section, "Odometer", &words::odometer(car.odometer));
    if let Some(day) = car.first_registered {
        flow.fact(section, "First registered", &day.to_string());
    }
    if let Some(mass) = car.mass_kg {
        flow.fact(section, "Mass ready to drive", &format!("{} kg", words::number(mass.value(), 0)));
    }
    set_fitment(flow, subject, section);
    set_history(flow, subject, section);
    flow.subheading(section, "The day", false);
    let day = &inspection.surroundings;
    let air = day.air_c.map_or_else(|| "not measured".to_owned(), |air| format!("{} °C", air.value()));
    flow.fact(section, "Weather", &format!("{}, air {air}", day.weather.words()));
    flow.fact(section, "Road", day.road_surface.words());
    let discs: Vec<String> = day
        .disc_c
        .iter()
        .map(|(corner, at)| {
            let at = at.map_or_else(|| "not measured".to_owned(), |at| format!("{} °C", at.value()));
            format!("{} {at}", corner.words())
        })
        .collect();
    flow.fact(section, "Discs before", &discs.join(", "));
    flow.fact(section, "Tyres", day.tyres.as_str());
    let whole: Vec<&Reading> = inspection.readings.iter().filter(|reading| reading.of.corner().is_none()).collect();
    set_readings(flow, subject, &whole, section);
    set_instruments(flow, subject, section);
    photographs::set(
        flow,
        subject,
        section,
        "Photographs of the car and of instruments",
        |shown: PhotographSubject| shown.corner().is_none(),
    );
}

fn set_fitment(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId) {
    let car = &subject.record.inspection.car;
    flow.subheading(section, "Brakes as fitted", false);
    let mut table = Table::new(&[(0.3, ""), (0.35, "Front axle"), (0.35, "Rear axle")]);
    let both = |value: &dyn Fn(Axle) -> String| [Axle::Front, Axle::Rear].map(value);
    let length = |length: Option<model::Millimetre>| {
        length.map_or_else(|| "not known".to_owned(), |length| format!("{} mm", length.value()))
    };
    let rows = [
        ("Discs", both(&|axle| car.brakes.at(axle).material.words().to_owned())),
        ("Pad lining, new", both(&|axle| length(car.pads(axle).lining_new_mm))),
        ("Pad lining, renewal mark", both(&|axle| length(car.pads(axle).renewal_mark_mm))),
        (
            "Tyres",
            both(&|axle| {
                let tyre = car.brakes.at(axle).tyre;
                format!("{}/{} R{}", tyre.width_mm, tyre.aspect_percent, tyre.rim_in)
            }),
        ),
        (
            "Pad sets used so far",
            both(&|axle| car.pad_sets_used.at(axle).map_or_else(|| "not known".to_owned(), |count| count.to_string())),
        ),
    ];
    for (label, [front, rear]) in &rows {
        table.row([label, front.as_str(), rear.as_str()]);
    }
    flow.table(section, &table);
}

fn set_history(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId) {
    let car = &subject.record.inspection.car;
    if !car.discs_replaced.is_empty() {
        flow.subheading(section, "Discs replaced", false);
        for disc in &car.discs_replaced {
            let serial = disc.serial.as_ref().map_or_else(String::new, |serial| format!("serial number {serial}, "));
            let at = disc.at_km.map_or_else(
                || "distance not known".to_owned(),
                |at| format!("at {} km", words::number(at.value(), 0)),
            );
            flow.fact(section, &words::capital(disc.corner.words()), &format!("{serial}{at}; {}", disc.origin));
        }
    }
    if !car.prior_visits.is_empty() {
        flow.subheading(section, "Earlier visits", false);
        for visit in &car.prior_visits {
            let record =
                visit.record.map_or_else(|| "not sealed".to_owned(), |record| format!("record {}", record.short()));
            flow.fact(section, &visit.on.to_string(), &format!("{}; {record}", words::odometer(visit.odometer)));
        }
    }
}

/// Sets the road test, step by step.
pub(crate) fn set_road_test(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    flow.turn_page_unless(LEAST_LEFT);
    let section = flow.section("Road test", None);
    match &subject.record.inspection.road_test {
        Inspected::NotInspected(reason) => {
            flow.paragraph(section, &[Span::new(&format!("There was no road test: {reason}."), BODY)]);
        }
        Inspected::Seen(test) => set_steps(flow, test, section),
    }
}

fn set_steps(flow: &mut Flow<'_>, test: &RoadTest, section: NodeId) {
    flow.fact(section, "Driver", test.driver.as_str());
    if let Some(distance) = test.distance_km {
        flow.fact(section, "Distance", &format!("{} km", distance.value()));
    }
    let mut table =
        Table::new(&[(0.06, ""), (0.22, "What was done"), (0.26, "Felt"), (0.2, "Heard"), (0.26, "Anti-lock, note")]);
    for (place, step) in test.steps.iter().enumerate() {
        let from =
            step.from_km_h.map_or_else(String::new, |from| format!(" from {} km/h", words::number(from.value(), 0)));
        let felt: Vec<&str> = step.felt.iter().map(|felt| felt.words()).collect();
        let heard: Vec<&str> = step.heard.iter().map(|heard| heard.words()).collect();
        let mut rest: Vec<String> = step.anti_lock.iter().map(|lock| lock.words().to_owned()).collect();
        rest.extend(step.note.iter().map(ToString::to_string));
        if !step.recordings.is_empty() {
            let names: Vec<&str> = step.recordings.iter().map(model::Label::as_str).collect();
            rest.push(format!("recording {}", names.join(", ")));
        }
        table.row([
            &(place + 1).to_string(),
            &format!("{}{from}", step.kind.words()),
            &felt.join(", "),
            &heard.join(", "),
            &rest.join("; "),
        ]);
    }
    flow.table(section, &table);
    if let Some(note) = &test.note {
        flow.fact(section, "Note", note.as_str());
    }
    recorded::set(flow, test, section);
}

/// The prices and their table stand together.
const LEAST_FOR_COST: f64 = 300.0;

/// Sets the cost table.
pub(crate) fn set_cost(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    flow.turn_page_unless(LEAST_FOR_COST);
    let section = flow.section("What renewal costs", None);
    let record = subject.record;
    let (Some(cost), Some(basis)) = (&record.reckoning.cost, &record.inspection.prices) else {
        flow.paragraph(section, &[Span::new("No price list was given, so no cost is reckoned.", BODY)]);
        return;
    };
    let until = basis.valid_until.map_or_else(String::new, |until| format!(", valid until {until}"));
    flow.fact(section, "Prices from", &format!("{}, dated {}{until}", basis.origin, basis.dated));
    let mut table = Table::dense(&[
        (0.12, "Axle"),
        (0.22, "What"),
        (0.12, ">Quantity"),
        (0.2, ">Net"),
        (0.18, ">Tax"),
        (0.16, "Due now"),
    ]);
    for row in &cost.rows {
        table.row([
            row.axle.words(),
            row.item.words(),
            &row.quantity.normalize().to_string(),
            &words::money(cost.currency, row.net),
            &words::money(cost.currency, row.tax),
            if row.due_now { "yes" } else { "not yet" },
        ]);
    }
    flow.table(section, &table);
    flow.fact(section, "Due now, with tax", &words::money(cost.currency, cost.due_now));
    flow.fact(section, "All lines, with tax", &words::money(cost.currency, cost.all));
    money::set_ways(flow, section, cost);
    money::set_expected(flow, section, cost, record.inspection.car.odometer.unit);
    for remark in &cost.remarks {
        flow.paragraph(section, &[Span::new(remark, SMALL)]);
    }
}

/// Sets what was not inspected, the questions, and the inspector's own remarks.
pub(crate) fn set_limits(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    let inspection = &subject.record.inspection;
    flow.turn_page_unless(LEAST_LEFT);
    let section = flow.section("What was not inspected", None);
    let mut omitted = false;
    for (corner, seen) in inspection.corners.iter() {
        let place = words::capital(corner.words());
        let mut say = |what: String, reason: &model::Line| {
            flow.fact(section, &what, reason.as_str());
            omitted = true;
        };
        match seen {
            Inspected::NotInspected(reason) => say(place, reason),
            Inspected::Seen(parts) => {
                let reasons = [
                    ("outer face", parts.outer_face.reason()),
                    ("inner face", parts.inner_face.reason()),
                    ("bell", parts.bell.reason()),
                    ("outer pad", parts.outer_pad.reason()),
                    ("inner pad", parts.inner_pad.reason()),
                    ("calliper", parts.calliper.reason()),
                ];
                for (part, reason) in reasons {
                    if let Some(reason) = reason {
                        say(format!("{place}, {part}"), reason);
                    }
                }
            }
        }
    }
    if let Some(reason) = inspection.road_test.reason() {
        flow.fact(section, "Road test", reason.as_str());
        omitted = true;
    }
    for omission in &inspection.not_inspected {
        flow.fact(section, &words::capital(omission.what.as_str()), omission.why.as_str());
        omitted = true;
    }
    if !omitted {
        flow.paragraph(section, &[Span::new("Nothing of what this form asks for was left out.", BODY)]);
    }

    let section = flow.section("Questions that were asked", None);
    for question in &inspection.questions {
        let answer = question.answer.as_ref().map_or("No answer was given.", |answer| answer.as_str());
        flow.fact(section, &format!("Asked by {}", question.asked_by), question.question.as_str());
        flow.fact(section, "Answer", answer);
        flow.space(4.0);
    }
    if inspection.questions.is_empty() {
        flow.paragraph(section, &[Span::new("None were written down.", BODY)]);
    }

    if let Some(remarks) = &inspection.remarks {
        let section = flow.section("The inspector's own remarks", None);
        let whose = format!("Written by {}; not part of what is reckoned.", inspection.inspector.name);
        flow.paragraph(section, &[Span::new(&whose, LABEL)]);
        flow.quote(section, &[Span::new(remarks.as_str(), BODY)]);
    }
}

/// Sets who asked, who allowed, who inspected and what ties there are.
pub(crate) fn set_people(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    let inspection = &subject.record.inspection;
    flow.turn_page_unless(LEAST_LEFT);
    let section = flow.section("Who stands behind this report", None);
    let by = &inspection.instruction.by;
    flow.fact(section, "Instructed by", &format!("{}, {}", by.name, by.role.words()));
    flow.fact(section, "Owner at the visit", inspection.instruction.owner.as_str());
    flow.fact(section, "Owner's permission", inspection.instruction.owner_permission.as_str());
    let inspector = &inspection.inspector;
    flow.fact(section, "Inspector", &format!("{}, {}", inspector.name, inspector.firm));
    flow.fact(section, "Independence", inspector.independence.as_str());
    flow.fact(section, "Insurance", inspector.insurance.as_str());
    flow.fact(section, "Contact", inspector.contact.as_str());
}

/// Sets the cautions and which record this is.
pub(crate) fn set_identity(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    flow.turn_page_unless(LEAST_LEFT);
    let section = flow.section("Cautions", None);
    for words in [
        "This is an inspection of what could be seen and measured on the day of the visit. It does not replace the car \
         maker's procedure, the law of the place, or the work of a licensed workshop.",
        "Where a finding says do not drive, do not drive. That no finding says so does not mean that the car is safe to \
         drive: it is never a clearance.",
        "Wear goes on after the visit. The figures hold for the distance that the odometer showed then.",
        "The seal shows that this file is unaltered and whose it is. It does not show that what is written here is true.",
    ] {
        flow.paragraph(section, &[Span::new(words, BODY)]);
    }
    let record = subject.record;
    let section = flow.section("Which record this is", None);
    flow.paragraph(
        section,
        &[
            Span::new("SHA-256 of the record  ", LABEL),
            Span::new(&words::groups_of_eight(&subject.digest.to_string()), SMALL_BOLD),
        ],
    );
    flow.fact(section, "Attached as", "record.json, in canonical JSON (RFC 8785); these pages follow from it");
    flow.fact(section, "Inspection", record.inspection.id.as_str());
    flow.fact(section, "Frozen", &words::moment(&record.frozen_at));
    flow.fact(section, "Device", &format!("{}, record number {}", record.device.id, record.device.sequence));
    let previous = record.device.previous.map_or_else(|| "none".to_owned(), |digest| digest.short());
    flow.fact(section, "Record before it", &previous);
    if let Some(other) = record.supersedes {
        flow.fact(section, "Takes the place of", &format!("record {}", other.short()));
    }
    flow.fact(
        section,
        "Forms",
        &format!("report form {}, reckoning method {}", record.renderer.0, record.reckoning.method.0),
    );
}
