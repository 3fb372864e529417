//! A store of objects that answers 503, slowly, and does what it is asked twice; and one that refuses a piece.

use std::{
    sync::{
        Arc,
        atomic::{AtomicU64, Ordering},
    },
    time::Duration,
};

use axum::{
    Router,
    body::{Body, Bytes, to_bytes},
    extract::{Request, State},
    http::{Method, StatusCode},
    response::{IntoResponse as _, Response},
};
use model::Sha256;
use server::{
    Blobs as _, Digested, Joined, ObjectBlobs, ObjectShelf,
    conformance::{a_shelf_keeps_to_its_word, blobs_keep_to_their_word},
};
use sync::PIECE_BYTES;
use tokio::runtime::Runtime;

use crate::place::{Place, objects};

/// What goes wrong with a request.
#[derive(Default)]
struct Fault {
    /// It is not done, and this is answered.
    refused: Option<StatusCode>,
    twice: bool,
    slowly: bool,
    /// It is done, and nobody hears of it.
    unheard: bool,
}

/// What stands between an office and its store, and spoils the requests as it is told by their number and themselves.
struct Between<F> {
    behind: String,
    client: reqwest::Client,
    asked: AtomicU64,
    find_fault: F,
}

impl<F: Fn(u64, &Request) -> Fault + Send + Sync + 'static> Between<F> {
    /// The address of one before this store.
    fn start(runtime: &Runtime, place: &Place, find_fault: F) -> String {
        // Its client needs a provider of TLS, as the office's own does.
        let _ = place.objects("none");
        let behind = place.objects.endpoint();
        runtime.block_on(async {
            let between = Self { behind, client: reqwest::Client::new(), asked: AtomicU64::new(0), find_fault };
            let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
            let address = listener.local_addr().unwrap();
            let routes = Router::new().fallback(Self::hand_on).with_state(Arc::new(between));
            tokio::spawn(async move { axum::serve(listener, routes).await });
            format!("http://{address}")
        })
    }

    /// Hands a request on, after its fault.
    async fn hand_on(State(between): State<Arc<Self>>, request: Request) -> Response {
        let fault = (between.find_fault)(between.asked.fetch_add(1, Ordering::SeqCst), &request);
        let (head, body) = request.into_parts();
        let body = to_bytes(body, 16 << 20).await.unwrap();
        if let Some(status) = fault.refused {
            return (status, "<Error><Code>NotNow</Code></Error>").into_response();
        }
        let mut answer = None;
        for _ in 0..if fault.twice { 2 } else { 1 } {
            let path = head.uri.path_and_query().map_or("/", |path| path.as_str());
            let asked = between.client.request(head.method.clone(), format!("{}{path}", between.behind));
            answer = Some(asked.headers(head.headers.clone()).body(body.clone()).send().await.unwrap());
        }
        let answer = answer.unwrap();
        if fault.slowly {
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
        if fault.unheard {
            return (StatusCode::INTERNAL_SERVER_ERROR, "<Error><Code>InternalError</Code></Error>").into_response();
        }
        let (status, headers) = (answer.status(), answer.headers().clone());
        let mut response = Response::new(Body::from(answer.bytes().await.unwrap()));
        *response.status_mut() = status;
        for (name, value) in &headers {
            if name != "transfer-encoding" && name != "connection" {
                response.headers_mut().insert(name, value.clone());
            }
        }
        response
    }
}

#[test]
fn a_store_that_stumbles_keeps_to_its_word() {
    let (place, runtime) = (Place::start(), Runtime::new().unwrap());
    let endpoint = Between::start(&runtime, &place, |nth, _| Fault {
        refused: (nth % 4 == 1).then_some(StatusCode::SERVICE_UNAVAILABLE),
        twice: nth % 3 == 0,
        slowly: nth % 5 == 0,
        unheard: nth % 7 == 3,
    });
    a_shelf_keeps_to_its_word(&ObjectShelf::open(objects(&endpoint, "public")));
    blobs_keep_to_their_word(&ObjectBlobs::open(&objects(&endpoint, "blobs")));
}

#[test]
fn a_piece_that_the_store_refuses_is_told_of_and_asked_for_again() {
    let (place, runtime) = (Place::start(), Runtime::new().unwrap());
    let refusals = AtomicU64::new(0);
    let endpoint = Between::start(&runtime, &place, move |_, request| {
        // The second piece of each file, once of each.
        let is_it = request.method() == Method::PUT && request.uri().path().contains("/00000001-");
        let once = is_it && refusals.fetch_add(1, Ordering::SeqCst).is_multiple_of(2);
        Fault { refused: once.then_some(StatusCode::FORBIDDEN), ..Fault::default() }
    });
    let blobs = ObjectBlobs::open(&objects(&endpoint, "blobs"));
    let (firm, device) = ("harbour-vale".parse().unwrap(), "device-ines".parse().unwrap());
    // Another piece comes after it, or it is the last one, as long as all or shorter.
    for (number, length) in [(1, 3 * PIECE_BYTES), (2, 2 * PIECE_BYTES), (3, PIECE_BYTES + 5)] {
        let bytes: Vec<u8> = (0..length).map(|nth| (nth * number % 251) as u8).collect();
        let sha256 = Sha256::of(&bytes);
        let pieces: Vec<Digested> =
            bytes.chunks(PIECE_BYTES as usize).map(|piece| Digested::of(Bytes::copy_from_slice(piece))).collect();
        let send = |nth: usize| blobs.stage(&firm, &device, &sha256, nth as u64, &pieces[nth]);
        let sent: Result<Vec<()>, _> = (0..pieces.len()).map(send).collect();
        let told = sent.and_then(|_| blobs.join(&firm, &device, &sha256, length));
        assert!(told.is_err(), "{length} bytes: {told:?}");
        let there = blobs.staged(&firm, &device, &sha256).unwrap();
        assert!(!there.contains(&1), "{length} bytes: {there:?}");
        for nth in (0..pieces.len()).filter(|nth| !there.contains(&(*nth as u64))) {
            send(nth).unwrap();
        }
        assert_eq!(blobs.join(&firm, &device, &sha256, length).unwrap(), Joined::Whole);
        let read: Vec<u8> =
            (0..pieces.len() as u64).flat_map(|nth| blobs.piece(&firm, &sha256, nth).unwrap().unwrap()).collect();
        assert_eq!(Sha256::of(&read), sha256);
    }
}

#[test]
fn pieces_may_come_through_one_process_and_another() {
    let place = Place::start();
    let processes = [(); 2].map(|()| ObjectBlobs::open(&place.objects("blobs")));
    let (firm, device) = ("harbour-vale".parse().unwrap(), "device-ines".parse().unwrap());
    for (number, length) in [(1, 4 * PIECE_BYTES), (2, 2 * PIECE_BYTES + 7), (3, 40)] {
        let bytes: Vec<u8> = (0..length).map(|nth| (nth * number % 241) as u8).collect();
        let sha256 = Sha256::of(&bytes);
        let mut turn = processes.iter().cycle();
        let mut next = || turn.next().unwrap();
        // As a device does: it sends what is not there, says that this was all, and where it was not asks what is not there.
        loop {
            let there = next().staged(&firm, &device, &sha256).unwrap();
            for (nth, piece) in (0..).zip(bytes.chunks(PIECE_BYTES as usize)).filter(|(nth, _)| !there.contains(nth)) {
                next().stage(&firm, &device, &sha256, nth, &Digested::of(Bytes::copy_from_slice(piece))).unwrap();
            }
            match next().join(&firm, &device, &sha256, length).unwrap() {
                Joined::Whole => break,
                Joined::Missing => {}
                Joined::OtherBytes => panic!("they are the same bytes"),
            }
        }
        for process in &processes {
            for (nth, piece) in (0..).zip(bytes.chunks(PIECE_BYTES as usize)) {
                assert_eq!(process.piece(&firm, &sha256, nth).unwrap().as_deref(), Some(piece));
            }
        }
    }
}
