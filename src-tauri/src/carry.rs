//! Requests to an office: the window's pages come from no host that they could ask themselves.
#![allow(clippy::needless_pass_by_value, reason = "a command is handed its arguments")]

use std::{error::Error, sync::OnceLock, time::Duration};

use reqwest::{Certificate, Client, Method, Url, header::RETRY_AFTER, redirect::Policy};
use serde::Deserialize;
use serde_json::{Value, json};
use tauri::{State, ipc::Response};
use tokio_rustls::rustls::crypto::ring;

use crate::desk::{Desk, framed};

/// Who cannot be reached for so long is away.
const SILENCE: Duration = Duration::from_secs(30);
/// As long as the office waits for a piece of a photograph.
const ANSWER: Duration = Duration::from_mins(5);
/// More than any answer of an office, which gives photographs in pieces.
const MOST_BYTES: usize = 256 * 1024 * 1024;

/// A request as the core asks for it.
#[derive(Deserialize)]
pub struct Asked {
    address: String,
    method: String,
    path: String,
    headers: Vec<Header>,
}

#[derive(Deserialize)]
struct Header {
    name: String,
    value: String,
}

/// Makes a request, with the bytes that were brought under `brought` as its body. Answers as `ask` does: the status and
/// `Retry-After` in JSON, then the body.
#[tauri::command]
pub async fn carry(asked: Asked, brought: Option<u32>, desk: State<'_, Desk>) -> Result<Response, Value> {
    let body = brought.map(|number| desk.take_brought(number)).unwrap_or_default();
    let carried = match client() {
        Ok(client) => send(client, asked, body).await,
        Err(why) => Err(why),
    };
    carried.map(Response::new).map_err(|why| {
        json!({
            "code": "not-reached",
            "message": format!("the office was not reached: {why}"),
            "hint": "Look whether there is a signal and whether the address is right, and try again.",
        })
    })
}

async fn send(client: &Client, asked: Asked, body: Vec<u8>) -> Result<Vec<u8>, String> {
    // An address is of the core's making: scheme, host and port. What is joined to it stays below it.
    let url: Url = format!("{}/{}", asked.address, asked.path).parse().map_err(|_| "its address is none".to_owned())?;
    let method: Method = asked.method.parse().map_err(|_| "it is asked in no known way".to_owned())?;
    let mut request = client.request(method, url).body(body);
    for Header { name, value } in asked.headers {
        request = request.header(name, value);
    }
    let mut answer = request.send().await.map_err(told)?;
    let retry_after = answer.headers().get(RETRY_AFTER).and_then(|value| value.to_str().ok());
    let head = json!({ "status": answer.status().as_u16(), "retry_after": retry_after });
    let mut bytes = Vec::new();
    while let Some(piece) = answer.chunk().await.map_err(told)? {
        if bytes.len() + piece.len() > MOST_BYTES {
            return Err(format!("its answer is longer than {MOST_BYTES} bytes"));
        }
        bytes.extend_from_slice(&piece);
    }
    Ok(framed(&head, &bytes))
}

/// One client for all requests, so that a connection is used again. An authority of this machine's list vouches for the
/// office, or the file that `SSL_CERT_FILE` names.
fn client() -> Result<&'static Client, String> {
    static CLIENT: OnceLock<Result<Client, String>> = OnceLock::new();
    let built = CLIENT.get_or_init(|| {
        let roots = rustls_native_certs::load_native_certs().certs;
        build(roots.iter().filter_map(|root| Certificate::from_der(root).ok()).collect())
    });
    built.as_ref().map_err(Clone::clone)
}

/// A client that trusts these authorities. It follows no redirect: the token is for this office alone.
fn build(roots: Vec<Certificate>) -> Result<Client, String> {
    // There is one provider in this program; whoever was first has set it.
    drop(ring::default_provider().install_default());
    let builder = Client::builder().redirect(Policy::none()).connect_timeout(SILENCE).read_timeout(ANSWER);
    builder.tls_certs_only(roots).build().map_err(told)
}

/// What went wrong with all that is behind it, without the address, which may name a client's car.
fn told(error: reqwest::Error) -> String {
    let error = error.without_url();
    let mut text = error.to_string();
    let mut behind = error.source();
    while let Some(cause) = behind {
        text.push_str(&format!(": {cause}"));
        behind = cause.source();
    }
    text
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

    use std::{
        io::{Read as _, Write as _},
        net::TcpListener,
        sync::Arc,
    };

    use rcgen::CertifiedKey;
    use tokio_rustls::rustls::{
        ServerConfig, ServerConnection, StreamOwned,
        pki_types::{PrivateKeyDer, PrivatePkcs8KeyDer},
    };

    use super::*;

    /// Answers the next connection over TLS with these words; where it is, and the certificate that vouches for it.
    fn office(answer: &'static str) -> (String, Certificate) {
        let CertifiedKey { cert, signing_key } = rcgen::generate_simple_self_signed(["localhost".to_owned()]).unwrap();
        let key = PrivateKeyDer::from(PrivatePkcs8KeyDer::from(signing_key.serialize_der()));
        let config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
            .with_safe_default_protocol_versions()
            .unwrap()
            .with_no_client_auth()
            .with_single_cert(vec![cert.der().clone()], key)
            .unwrap();
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("https://localhost:{}", listener.local_addr().unwrap().port());
        std::thread::spawn(move || {
            let stream = listener.accept().unwrap().0;
            let mut stream = StreamOwned::new(ServerConnection::new(Arc::new(config)).unwrap(), stream);
            // Who does not trust the certificate is gone by now.
            if stream.read(&mut [0; 4096]).is_ok() {
                stream.write_all(answer.as_bytes()).unwrap();
                stream.conn.send_close_notify();
                stream.flush().unwrap();
            }
        });
        (address, Certificate::from_der(cert.der()).unwrap())
    }

    fn ask(client: &Client, address: String) -> Result<(Value, Vec<u8>), String> {
        let headers = vec![Header { name: "Authorization".to_owned(), value: "Bearer a".to_owned() }];
        let asked = Asked { address, method: "GET".to_owned(), path: "v1/devices".to_owned(), headers };
        let answer = tauri::async_runtime::block_on(send(client, asked, Vec::new()))?;
        let (length, rest) = answer.split_at(4);
        let (json, bytes) = rest.split_at(u32::from_be_bytes(length.try_into().unwrap()) as usize);
        Ok((serde_json::from_slice(json).unwrap(), bytes.to_owned()))
    }

    #[test]
    fn an_office_is_asked_over_tls_and_heard_with_its_pause() {
        let (address, certificate) =
            office("HTTP/1.1 429 Too Many Requests\r\nRetry-After: 7\r\nContent-Length: 5\r\n\r\nlater");
        let (head, bytes) = ask(&build(vec![certificate]).unwrap(), address).unwrap();
        assert_eq!((head, bytes.as_slice()), (json!({"status": 429, "retry_after": "7"}), &b"later"[..]));
    }

    #[test]
    fn whoever_nobody_vouches_for_is_told_nothing() {
        let (address, _) = office("HTTP/1.1 200 OK\r\nContent-Length: 0\r\n\r\n");
        let why = ask(&build(Vec::new()).unwrap(), address).unwrap_err();
        assert!(why.contains("certificate"), "{why}");
    }

    #[test]
    fn a_token_does_not_follow_a_redirect() {
        let (address, certificate) =
            office("HTTP/1.1 302 Found\r\nLocation: https://elsewhere.example/\r\nContent-Length: 0\r\n\r\n");
        assert_eq!(ask(&build(vec![certificate]).unwrap(), address).unwrap().0["status"], 302);
    }
}
