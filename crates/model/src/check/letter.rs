//! A letter and a reply: dates in their order, each question once, lists of a length that a person writes.

use super::Problems;
use crate::{
    letter::{LetterRequest, Reply},
    parse::Problem,
};

pub fn letter(request: &LetterRequest) -> Vec<Problem> {
    let mut problems = Problems::default();
    if let Some(day) = request.car.first_registered {
        problems.add_if(day > request.dated, "car.first_registered", || {
            format!("got {day}, expected a day up to the letter's, {}", request.dated)
        });
    }
    if let Some(odometer) = request.car.odometer {
        problems.add_if(odometer.figure > crate::Odometer::MOST, "car.odometer.figure", || {
            format!("got {}, expected at most {}", odometer.figure, crate::Odometer::MOST)
        });
    }
    problems.0
}

pub fn reply(reply: &Reply) -> Vec<Problem> {
    let mut problems = Problems::default();
    problems.add_if(reply.answers.len() > 50, "answers", || {
        format!("got {} entries, expected at most 50", reply.answers.len())
    });
    for (at, answer) in reply.answers.iter().enumerate() {
        let is_doubled = reply.answers[..at].iter().any(|other| other.about == answer.about);
        problems.add_if(is_doubled, format!("answers[{at}].about"), || {
            format!("got the question about {} a second time, expected each once", answer.about.words())
        });
        problems.add_if(answer.claims.len() > 50, format!("answers[{at}].claims"), || {
            format!("got {} entries, expected at most 50", answer.claims.len())
        });
    }
    problems.0
}
