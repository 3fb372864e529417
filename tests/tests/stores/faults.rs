//! A store of objects that answers 503, slowly, and does what it is asked twice.

use std::{
    sync::{
        Arc,
        atomic::{AtomicU64, Ordering},
    },
    time::Duration,
};

use axum::{
    Router,
    body::{Body, to_bytes},
    extract::{Request, State},
    http::StatusCode,
    response::{IntoResponse as _, Response},
};
use server::{
    ObjectBlobs, ObjectShelf,
    conformance::{a_shelf_keeps_to_its_word, blobs_keep_to_their_word},
};

use crate::place::{Place, objects};

struct Between {
    behind: String,
    client: reqwest::Client,
    asked: AtomicU64,
}

/// Hands a request on, after its fault.
async fn hand_on(State(between): State<Arc<Between>>, request: Request) -> Response {
    let nth = between.asked.fetch_add(1, Ordering::SeqCst);
    let (head, body) = request.into_parts();
    let body = to_bytes(body, 16 << 20).await.unwrap();
    if nth % 4 == 1 {
        return (StatusCode::SERVICE_UNAVAILABLE, "<Error><Code>SlowDown</Code></Error>").into_response();
    }
    let times = if nth % 3 == 0 { 2 } else { 1 };
    let mut answer = None;
    for _ in 0..times {
        let path = head.uri.path_and_query().map_or("/", |path| path.as_str());
        let asked = between.client.request(head.method.clone(), format!("{}{path}", between.behind));
        answer = Some(asked.headers(head.headers.clone()).body(body.clone()).send().await.unwrap());
    }
    let answer = answer.unwrap();
    if nth % 5 == 0 {
        tokio::time::sleep(Duration::from_millis(30)).await;
    }
    // It was done, and nobody hears of it.
    if nth % 7 == 3 {
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

#[test]
fn a_store_that_stumbles_keeps_to_its_word() {
    let place = Place::start();
    // Its client needs a provider of TLS, as the office's own does.
    let _ = place.objects("none");
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let behind = place.objects.endpoint();
    let endpoint = runtime.block_on(async {
        let between = Between { behind, client: reqwest::Client::new(), asked: AtomicU64::new(0) };
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        let routes = Router::new().fallback(hand_on).with_state(Arc::new(between));
        tokio::spawn(async move { axum::serve(listener, routes).await });
        format!("http://{address}")
    });
    a_shelf_keeps_to_its_word(&ObjectShelf::open(objects(&endpoint, "public")));
    blobs_keep_to_their_word(&ObjectBlobs::open(&objects(&endpoint, "blobs")));
}
