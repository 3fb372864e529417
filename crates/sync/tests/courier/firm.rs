//! A firm of several devices and its office, with a link between them that does its worst.

use std::collections::BTreeSet;

use model::{EntryId, Sha256};
use proptest::sample::Index;
use sync::{
    Answered, Book as _, Courier, Errand, Fetches, Halt, Method, Next, PIECE_BYTES, Waiting, content_digest, named_blob,
};

use crate::{book::Notebook, desk::brief, office::Office, paper};

/// A courier that asks more than this is going around in circles.
const MOST_STEPS: usize = 1_000;
/// So many reports are sealed in a history at most.
const MOST_REPORTS: usize = 6;

/// What becomes of one errand.
#[derive(Debug, Clone)]
pub enum Luck {
    Good,
    LostOnTheWay,
    /// Thought lost, and it may arrive much later.
    Late,
    /// Before this one, one arrives that was thought lost.
    LateArrives(Index),
    AnswerLost,
    AnswerCut,
    Twice,
    /// Somebody writes while the errand is on its way.
    WrittenMeanwhile,
    Spoilt(Index),
    /// Another answers in the office's place.
    Stranger,
    Status(u16),
    Later(u16, u64),
}

/// What happens in a firm. Devices are counted; whoever is not there is another one.
#[derive(Debug, Clone)]
pub enum Step {
    Write(usize),
    Photograph(usize, usize),
    Seal(usize, usize),
    Withdraw(usize, Index),
    Carry(usize, Vec<Luck>),
    Reopen(usize),
    /// It fetches nothing from now on unless somebody asks.
    FetchNothing(usize),
    BackUp(usize),
    PutBack(Index),
    CopyOffice,
    LoseOffice {
        is_copied: bool,
    },
    LosePieces,
}

struct Device {
    book: Notebook,
    courier: Courier,
    /// Salts of entries of which the office has said that it has them.
    acknowledged: BTreeSet<String>,
}

/// What was tried, so that a test can say that it was.
#[derive(Debug, Clone, Copy, Default)]
pub struct Tried {
    pub forks: usize,
    pub lost_offices: usize,
    pub lost_pieces: usize,
    pub halts: usize,
    pub reports: usize,
}

pub struct Firm {
    devices: Vec<Device>,
    office: Office,
    office_copy: Office,
    copies: Vec<(usize, Notebook)>,
    late: Vec<(Errand, String)>,
    drawn: u64,
    pub tried: Tried,
}

impl Firm {
    pub fn begin(count: usize) -> Self {
        let mut office = Office::new("epoch-0");
        let names = ["device-ines", "device-tomas", "device-away"];
        let devices: Vec<Device> = names[..count]
            .iter()
            .map(|name| {
                // Two or three entries go at once.
                let mut book = Notebook::new(name);
                book.batch = 1_500;
                office.let_in(&book.device, &book.token);
                Device { book, courier: Courier::new(), acknowledged: BTreeSet::new() }
            })
            .collect();
        Self {
            devices,
            office_copy: office.clone(),
            office,
            copies: Vec::new(),
            late: Vec::new(),
            drawn: 0,
            tried: Tried::default(),
        }
    }

    fn bytes(&mut self, length: usize) -> Vec<u8> {
        self.drawn += 1;
        Sha256::of(&self.drawn.to_be_bytes()).as_bytes().iter().copied().cycle().take(length).collect()
    }

    pub fn live(&mut self, step: Step) {
        match step {
            Step::Write(at) => {
                self.drawn += 1;
                let words = format!("as written {}", self.drawn);
                self.device(at).book.write(&words);
            }
            Step::Photograph(at, length) => {
                let bytes = self.bytes(length);
                self.device(at).book.photograph(bytes);
            }
            Step::Seal(at, length) if self.tried.reports < MOST_REPORTS => {
                self.tried.reports += 1;
                let body = self.bytes(length);
                self.device(at).book.seal(&body);
            }
            Step::Withdraw(at, which) => {
                let book = &mut self.device(at).book;
                if !book.reports.is_empty() {
                    let identity = *which.get(&book.reports.keys().collect::<Vec<_>>());
                    book.withdraw(&identity.clone());
                }
            }
            Step::Carry(at, lucks) => {
                for luck in lucks {
                    if self.step(at, &luck) {
                        break;
                    }
                }
            }
            Step::Reopen(at) => self.device(at).courier = Courier::new(),
            Step::FetchNothing(at) => self.device(at).book.state.fetches = Fetches::Asked(BTreeSet::new()),
            Step::BackUp(at) => {
                let at = at % self.devices.len();
                self.copies.push((at, self.devices[at].book.clone()));
            }
            Step::PutBack(which) if !self.copies.is_empty() => {
                let (at, copy) = self.copies.swap_remove(which.index(self.copies.len()));
                self.devices[at].book.put_back(&copy);
                self.devices[at].courier = Courier::new();
            }
            Step::CopyOffice => self.office_copy = self.office.clone(),
            Step::LoseOffice { is_copied } => self.lose_office(is_copied),
            Step::LosePieces => {
                self.tried.lost_pieces += usize::from(!self.office.staged.is_empty());
                self.office.staged.clear();
            }
            Step::Seal(..) | Step::PutBack(_) => {}
        }
        self.office.keep_to_its_word();
    }

    /// Another one stands in its place, made of a copy or of nothing; who is let in was not lost.
    fn lose_office(&mut self, is_copied: bool) {
        self.tried.lost_offices += 1;
        let epoch = format!("epoch-{}", self.tried.lost_offices);
        let devices = self.office.devices.clone();
        let kept = if is_copied { self.office_copy.clone() } else { Office::new("") };
        self.office = Office { epoch, devices, ..kept };
    }

    fn device(&mut self, at: usize) -> &mut Device {
        let count = self.devices.len();
        &mut self.devices[at % count]
    }

    /// One step of a courier. Whether it does not go on by itself.
    fn step(&mut self, at: usize, luck: &Luck) -> bool {
        let at = at % self.devices.len();
        let device = &mut self.devices[at];
        let errand = match device.courier.next(&mut device.book).unwrap() {
            Next::Ask(errand) => errand,
            Next::Wait(ms) => {
                assert!((500..=3_960_000).contains(&ms), "{ms}");
                return false;
            }
            Next::Done => {
                let waiting = device.courier.waiting(&device.book).unwrap();
                assert_eq!((waiting.entries, waiting.reports, waiting.blobs), (0, 0, 0), "done, and something waits");
                return true;
            }
            Next::Halt(halt) => {
                // A person looked, and the office lets it in again.
                assert_eq!(halt, Halt::ShutOut);
                self.tried.halts += 1;
                device.courier = Courier::new();
                return false;
            }
        };
        hold_order(&device.book, &errand);
        let token = device.book.token.clone();
        let answered = self.deliver(errand, &token, luck);
        let device = &mut self.devices[at];
        if matches!(luck, Luck::WrittenMeanwhile) {
            self.drawn += 1;
            device.book.write(&format!("written meanwhile {}", self.drawn));
        }
        let forked = device.book.device.clone();
        device.courier.heard(&mut device.book, answered, self.drawn).unwrap();
        self.tried.forks += usize::from(device.book.device != forked);
        let held = device.book.state.held as usize;
        let salts =
            device.book.row().into_iter().take(held).filter_map(|one| Some(one.body.as_ref()?.salt.to_string()));
        let salts: Vec<String> = salts.collect();
        device.acknowledged.extend(salts);
        false
    }

    fn deliver(&mut self, mut errand: Errand, token: &str, luck: &Luck) -> Answered {
        match luck {
            Luck::LostOnTheWay => return Answered::Nothing,
            Luck::Late => {
                self.late.push((errand, token.to_owned()));
                return Answered::Nothing;
            }
            Luck::LateArrives(which) if !self.late.is_empty() => {
                let (late, token) = self.late.swap_remove(which.index(self.late.len()));
                self.office.answer(&token, &late);
            }
            Luck::Twice => {
                self.office.answer(token, &errand);
            }
            Luck::Spoilt(which) if !errand.body.is_empty() => {
                let nth = which.index(errand.body.len());
                errand.body[nth] ^= 1;
            }
            Luck::Stranger => {
                return Answered::with(200, b"<html>Welcome to the harbour's free network</html>".to_vec(), None);
            }
            Luck::Status(status) => return Answered::with(*status, b"{}".to_vec(), None),
            Luck::Later(status, ms) => return Answered::with(*status, b"{}".to_vec(), Some(*ms)),
            _ => {}
        }
        let (status, mut body) = self.office.answer(token, &errand);
        match luck {
            Luck::AnswerLost => Answered::Nothing,
            Luck::AnswerCut => {
                body.truncate(body.len() / 2);
                Answered::with(status, body, None)
            }
            _ => Answered::with(status, body, None),
        }
    }

    fn finish(&mut self, at: usize) {
        let done = (0..MOST_STEPS).any(|_| self.step(at, &Luck::Good));
        assert!(done, "device {at} does not come to an end");
    }

    /// All faults cease, and everybody syncs until nobody has anything to tell.
    pub fn settle(&mut self) {
        self.office.is_stamped = true;
        for at in 0..self.devices.len() {
            self.devices[at].book.state.fetches = Fetches::All;
            // Whatever a courier has been through, it comes to its end; where it halted, a person looked.
            self.finish(at);
        }
        for _ in 0..4 {
            for at in 0..self.devices.len() {
                self.devices[at].courier = Courier::new();
                self.finish(at);
            }
        }
    }

    /// Everybody has the same, and nothing that was acknowledged is lost.
    pub fn hold_together(&self, has_copies: bool) {
        self.office.keep_to_its_word();
        let digests = |entries: &mut dyn Iterator<Item = &model::Carried>| -> BTreeSet<(EntryId, Sha256)> {
            entries.map(|entry| (entry.id.clone(), entry.body_digest)).collect()
        };
        let told = digests(&mut self.office.entries.iter());
        let bodies = || self.office.entries.iter().filter_map(|entry| entry.body.as_ref());
        let salts: BTreeSet<String> = bodies().map(|entry| entry.salt.to_string()).collect();
        let named: BTreeSet<Sha256> = bodies().filter_map(|entry| Some(named_blob(entry)?.sha256)).collect();
        let is_anywhere = |sha256: &Sha256| {
            self.office.blobs.contains_key(sha256) || self.devices.iter().any(|one| one.book.blobs.contains_key(sha256))
        };
        let sealed: BTreeSet<Sha256> = self.devices.iter().flat_map(|one| one.book.reports.keys().copied()).collect();
        for report in &self.office.reports {
            assert!(sealed.contains(&report.identity), "the office has a report, and nobody else");
        }
        for Device { book, courier, acknowledged } in &self.devices {
            let whose = &book.device;
            let here = digests(&mut book.entries.values());
            let other: Vec<_> = here.symmetric_difference(&told).map(|(id, _)| id.to_string()).collect();
            assert!(other.is_empty(), "{whose} has other entries than the office: {other:?}");
            assert!(acknowledged.is_subset(&salts), "an entry of {whose} was acknowledged and is lost");
            for sha256 in named.iter().filter(|sha256| is_anywhere(sha256)) {
                assert!(self.office.blobs.contains_key(sha256), "a photograph is not at the office");
                assert_eq!(book.blobs.get(sha256).map(|bytes| Sha256::of(bytes)), Some(*sha256), "{whose} lacks one");
            }
            for identity in &sealed {
                assert!(self.office.report(identity).is_some(), "a report is not at the office");
                let filed = book.reports.get(identity).unwrap_or_else(|| panic!("{whose} lacks a report"));
                assert!(filed.is_told && filed.is_receipted && paper::is_receipted(&filed.bytes));
                assert_eq!(paper::identity(&filed.bytes), *identity);
            }
            for (name, is_told) in &book.statements {
                assert!(*is_told, "{name} waits");
                assert!(self.office.statements.contains(name), "{name} is lost");
            }
            if !has_copies {
                assert_eq!(book.state.unstamped, [], "a timestamp that there is did not come");
                assert_eq!(courier.waiting(book).unwrap(), Waiting::default());
            }
        }
    }
}

/// What holds of any errand: nothing goes before what is more needed, and each has the digest of what goes with it.
fn hold_order(book: &Notebook, errand: &Errand) {
    let asked = brief(errand);
    match errand.method {
        Method::Get => assert_eq!((&errand.content_digest, errand.body.len()), (&None, 0), "{asked}"),
        Method::Put | Method::Post => assert_eq!(errand.content_digest, Some(content_digest(&errand.body)), "{asked}"),
    }
    assert!(errand.body.len() as u64 <= PIECE_BYTES, "{asked}");
    if errand.path == "v1/sync" || errand.path == "v1/follow" {
        return;
    }
    assert_eq!(book.state.held, book.own().unwrap(), "{asked} before an entry");
    if errand.path == "v1/statements" {
        return;
    }
    assert_eq!(book.untold_statement().unwrap(), None, "{asked} before a statement");
    let untold = book.untold_reports().unwrap();
    let Some(sha256) = errand.path.strip_prefix("v1/blobs/").and_then(|rest| rest.get(..64)) else { return };
    let of = untold.iter().find(|one| Sha256::of(&book.report(&one.identity).unwrap().unwrap()).to_string() == sha256);
    match of {
        Some(report) => assert!(report.is_receipted, "{asked}: a report before its receipt"),
        None => assert!(untold.is_empty(), "{asked} before a report"),
    }
}
