//! The car: its odometer against earlier visits, its marks against its new values.

use super::Problems;
use crate::{
    car::{Disc, ElectricalMark, Odometer, TyreSize},
    choice::{Axle, CornerName, FaceName, Side},
    inspection::Inspection,
    reading::Measurand,
};

pub fn check(inspection: &Inspection, problems: &mut Problems) {
    let car = &inspection.car;
    odometer(car.odometer, "car.odometer.figure", problems);
    visits(inspection, problems);
    for &axle in Axle::ALL {
        let fitment = car.brakes.at(axle);
        let field = format!("car.brakes.{}", axle.words());
        if let (Some(new), Some(mark)) = (fitment.pads.lining_new_mm, fitment.pads.renewal_mark_mm) {
            let (new, mark) = (new.value(), mark.value());
            problems.add_if(mark >= new, format!("{field}.pads.renewal_mark_mm"), || {
                format!("got {mark} mm, expected less than the new lining's {new} mm")
            });
        }
        for &side in Side::ALL {
            disc(fitment.discs.at(side), &format!("{field}.discs.{}", side.words()), problems);
        }
        tyre(fitment.tyre, &format!("{field}.tyre"), problems);
    }
    if let Some(day) = car.first_registered {
        let visited = inspection.visited_at.date_naive();
        problems.add_if(day > visited, "car.first_registered", || {
            format!("got {day}, expected a day up to the visit's, {visited}")
        });
    }
    if let Some(prices) = &inspection.prices {
        let (dated, end) = (prices.dated, prices.valid_until);
        problems.add_if(end.is_some_and(|end| end < dated), "prices.valid_until", || {
            format!("got {}, expected a day from {dated} on, when they were quoted", end.unwrap_or(dated))
        });
    }
    if let Some(ahead) = &inspection.use_ahead {
        odometer(ahead.yearly, "use_ahead.yearly.figure", problems);
        problems.add_if(!(1..=50).contains(&ahead.years), "use_ahead.years", || {
            format!("got {} years, expected 1 to 50", ahead.years)
        });
    }
    for (at, replaced) in car.discs_replaced.iter().enumerate() {
        let now = car.odometer.km();
        if let Some(then) = replaced.at_km.map(crate::quantity::Kilometre::value) {
            problems.add_if(then > now, format!("car.discs_replaced[{at}].at_km"), || {
                format!("got {then} km, expected at most the odometer's {now} km")
            });
        }
    }
}

fn odometer(odometer: Odometer, field: &str, problems: &mut Problems) {
    problems.add_if(odometer.figure > Odometer::MOST, field, || {
        format!("got {}, expected at most {}", odometer.figure, Odometer::MOST)
    });
}

/// Earlier visits in their order, before this one, with an odometer that never runs backwards.
fn visits(inspection: &Inspection, problems: &mut Problems) {
    let visited = inspection.visited_at.date_naive();
    let mut earlier: Option<(crate::Day, f64)> = None;
    for (at, visit) in inspection.car.prior_visits.iter().enumerate() {
        let field = format!("car.prior_visits[{at}]");
        odometer(visit.odometer, &format!("{field}.odometer.figure"), problems);
        problems.add_if(visit.on > visited, format!("{field}.on"), || {
            format!("got {}, expected a day up to this visit's, {visited}", visit.on)
        });
        if let Some((day, km)) = earlier {
            problems.add_if(visit.on < day, format!("{field}.on"), || {
                format!("got {}, expected a day from {day} on: the oldest visit comes first", visit.on)
            });
            problems.add_if(visit.odometer.km() < km, format!("{field}.odometer"), || {
                format!("got {:.0} km, expected at least the {km:.0} km of the visit before", visit.odometer.km())
            });
        }
        for (face_at, face) in visit.faces.iter().enumerate() {
            let doubled =
                visit.faces[..face_at].iter().any(|other| (other.corner, other.face) == (face.corner, face.face));
            problems.add_if(doubled, format!("{field}.faces[{face_at}]"), || {
                format!(
                    "got the {} {} face a second time, expected each face once",
                    face.corner.words(),
                    face.face.words()
                )
            });
        }
        earlier = Some((visit.on, visit.odometer.km()));
    }
    if let Some((day, km)) = earlier {
        let now = inspection.car.odometer.km();
        problems.add_if(now < km, "car.odometer", || {
            format!("got {now:.0} km, expected at least the {km:.0} km of the visit on {day}")
        });
    }
}

fn disc(disc: &Disc, field: &str, problems: &mut Problems) {
    let pairs = [
        (
            "minimum_mass_g",
            disc.minimum_mass_g.map(crate::quantity::Gram::value),
            disc.new_mass_g.map(crate::quantity::Gram::value),
        ),
        (
            "minimum_thickness_mm",
            disc.minimum_thickness_mm.map(crate::quantity::Millimetre::value),
            disc.new_thickness_mm.map(crate::quantity::Millimetre::value),
        ),
    ];
    for (name, least, new) in pairs {
        let (Some(least), Some(new)) = (least, new) else { continue };
        problems.add_if(least >= new, format!("{field}.{name}"), || {
            format!("got {least}, expected less than the new disc's {new}")
        });
    }
    for (at, mark) in disc.electrical.iter().enumerate() {
        let field = format!("{field}.electrical[{at}]");
        electrical(mark, &field, problems);
        let doubled = disc.electrical[..at].iter().any(|other| other.at == mark.at);
        problems.add_if(doubled, format!("{field}.at"), || {
            format!("got {} a second time, expected each marked point once", mark.at)
        });
    }
    problems.add_if(disc.electrical.len() > 64, format!("{field}.electrical"), || {
        format!("got {} entries, expected at most 64", disc.electrical.len())
    });
}

fn electrical(mark: &ElectricalMark, field: &str, problems: &mut Problems) {
    let of = Measurand::Electrical { corner: CornerName::FrontLeft, face: FaceName::Outer };
    let (least, most) = of.range();
    let (base, factor) = mark.unit.to_base();
    problems.add_if(!of.units().contains(&mark.unit), format!("{field}.unit"), || {
        let allowed: Vec<_> = of.units().iter().map(|unit| unit.symbol()).collect();
        format!("got {} for an electrical mark, expected {}", mark.unit.symbol(), allowed.join(" or "))
    });
    for (name, value) in [("new", mark.new * factor), ("limit", mark.limit * factor)] {
        // A comparison with NaN is false, so it lands here too.
        problems.add_if(!(least..=most).contains(&value), format!("{field}.{name}"), || {
            format!("got {value} {unit}, expected {least} to {most} {unit}", unit = base.symbol())
        });
    }
    // Closer together than a millionth, no instrument tells them apart.
    let is_apart = (mark.new - mark.limit).abs() > 1e-6 * mark.new.max(mark.limit);
    problems.add_if(!is_apart, format!("{field}.limit"), || {
        format!("got {}, expected something other than the value when new, {}", mark.limit, mark.new)
    });
}

fn tyre(tyre: TyreSize, field: &str, problems: &mut Problems) {
    let ranges = [
        ("width_mm", tyre.width_mm, 100, 500),
        ("aspect_percent", u16::from(tyre.aspect_percent), 15, 100),
        ("rim_in", u16::from(tyre.rim_in), 8, 30),
    ];
    for (name, got, least, most) in ranges {
        problems.add_if(!(least..=most).contains(&got), format!("{field}.{name}"), || {
            format!("got {got}, expected {least} to {most}")
        });
    }
}
