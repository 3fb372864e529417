//! One device at its office.

use sync::{Answer, Answered, Courier, Errand, Halt, Method, Next, Waiting};

use crate::{book::Notebook, office::Office};

/// A courier that asks more than this is going around in circles.
const MOST_STEPS: usize = 500;

pub struct Desk {
    pub book: Notebook,
    pub courier: Courier,
    pub office: Office,
}

/// An errand in few words, so that a test reads as what is asked one behind the other.
pub fn brief(errand: &Errand) -> String {
    let method = match errand.method {
        Method::Get => "GET",
        Method::Put => "PUT",
        Method::Post => "POST",
    };
    let mut path = errand.path.clone();
    // Digests are cut to where they differ.
    for part in errand.path.split('/').filter(|part| part.len() == 64) {
        path = path.replace(part, &part[..6]);
    }
    format!("{method} {path}")
}

impl Desk {
    pub fn set_up() -> Self {
        let book = Notebook::new("device-ines");
        let mut office = Office::new("epoch-1");
        office.let_in(&book.device, &book.token);
        Self { book, courier: Courier::new(), office }
    }

    /// A colleague's device tells all that it has.
    pub fn told_by_tomas(&mut self, work: impl FnOnce(&mut Notebook)) {
        let mut book = Notebook::new("device-tomas");
        work(&mut book);
        self.office.let_in(&book.device, &book.token);
        let mut courier = Courier::new();
        for _ in 0..MOST_STEPS {
            let Next::Ask(errand) = courier.next(&mut book).unwrap() else { return };
            let (status, body) = self.office.answer(&book.token, &errand);
            courier.heard(&mut book, Answered::with(status, body, None), 0).unwrap();
        }
        panic!("Tomas does not come to an end");
    }

    pub fn next(&mut self) -> Next {
        self.courier.next(&mut self.book).unwrap()
    }

    pub fn errand(&mut self) -> Errand {
        match self.next() {
            Next::Ask(errand) => errand,
            other => panic!("no errand: {other:?}"),
        }
    }

    pub fn heard(&mut self, answered: Answered) {
        self.courier.heard(&mut self.book, answered, 0).unwrap();
    }

    /// The next errand is answered so, whatever it is.
    pub fn answer(&mut self, status: u16, body: impl AsRef<[u8]>) -> String {
        let errand = self.errand();
        self.heard(Answered::Status(status, body.as_ref().to_vec()));
        brief(&errand)
    }

    /// What the office says where it has nothing to say.
    pub fn nothing(&self) -> Answer {
        Answer {
            epoch: self.office.epoch.clone(),
            seen: 0,
            more: false,
            held: 0,
            entries: Vec::new(),
            wants: Vec::new(),
            reports_seen: 0,
            reports: Vec::new(),
            stamps: None,
        }
    }

    /// The office says so, whatever it has.
    pub fn say(&mut self, told: &Answer) {
        assert_eq!(self.answer(200, serde_json::to_vec(told).unwrap()), "POST v1/sync");
    }

    /// One errand, there and back.
    pub fn go(&mut self) -> String {
        let errand = self.errand();
        let (status, body) = self.office.answer(&self.book.token, &errand);
        self.heard(Answered::with(status, body, None));
        brief(&errand)
    }

    /// Goes on until such an errand was made.
    pub fn go_to(&mut self, start: &str) {
        assert!((0..MOST_STEPS).any(|_| self.go().starts_with(start)), "there is no {start}");
    }

    /// What is asked until all is told; nothing may have to wait.
    pub fn carry(&mut self) -> Vec<String> {
        let mut asked = Vec::new();
        for _ in 0..MOST_STEPS {
            match self.next() {
                Next::Ask(errand) => {
                    let (status, body) = self.office.answer(&self.book.token, &errand);
                    self.heard(Answered::with(status, body, None));
                    asked.push(brief(&errand));
                }
                Next::Done => {
                    self.office.keep_to_its_word();
                    return asked;
                }
                other => panic!("{other:?} after {asked:?}"),
            }
        }
        panic!("it does not come to an end: {asked:?}");
    }

    pub fn pause(&mut self) -> u64 {
        match self.next() {
            Next::Wait(ms) => ms,
            other => panic!("no pause: {other:?}"),
        }
    }

    pub fn halt(&mut self) -> Halt {
        match self.next() {
            Next::Halt(halt) => halt,
            other => panic!("no halt: {other:?}"),
        }
    }

    pub fn waiting(&self) -> Waiting {
        self.courier.waiting(&self.book).unwrap()
    }
}
