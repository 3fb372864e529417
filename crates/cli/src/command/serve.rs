use std::{collections::BTreeMap, io::Write as _, net::SocketAddr, path::Path, sync::Arc};

use api::{Fault, World as _};
use sd_notify::NotifyState;
use serde::Serialize;
use server::{
    Counter, Limits, Metrics, Office, Settings, SettingsError, Tls, TlsError, TlsFiles, metrics_routes, read_settings,
    routes, serve as serve_plainly, serve_at, stamp_reports, tidy_daily,
};
use tokio::net::TcpListener;

use super::{
    WORLD,
    log::refused,
    office::{Here, open},
    timestamp,
};
use crate::{answer::Answer, arguments::Serve, passphrase};

/// Which file holds the settings, where no flag names one.
const CONFIG: &str = "RIMSIDE_SERVE_CONFIG";

/// How much whoever reads the counts may take: they are read by few and seldom.
const WATCHED: Limits = Limits { connections: 16, ..Limits::USUAL };

#[derive(Serialize)]
struct Setting<'a> {
    name: &'a str,
    value: Option<&'a str>,
    from: String,
}

#[derive(Serialize)]
struct Checked<'a> {
    address: String,
    settings: Vec<Setting<'a>>,
}

pub fn serve(arguments: &Serve) -> Result<Answer, Fault> {
    let settings = settle(arguments)?;
    let metrics = Arc::new(Metrics::new());
    let folder = open(&settings.folder)?.watched(&metrics);
    let passphrase = passphrase::ask("the log's key", settings.passphrase_file.as_deref())?;
    let keeper = folder.unlock(&passphrase).map_err(|error| refused(&error))?;
    look_at_pages(&settings)?;
    let tls = settings.tls.clone().map(open_tls).transpose()?;
    let authority = settings.authority.as_deref().map(timestamp::authority_at).transpose()?;
    let told = |doing: &str, error: &std::io::Error| Fault {
        code: "not-served",
        message: format!("{doing}: {error}"),
        hint: Some("name another address with --listen".to_owned()),
    };
    let runtime = open_runtime()?;
    runtime.block_on(async {
        let listen = async |at: SocketAddr| {
            let listener = TcpListener::bind(at).await;
            let listener = listener.map_err(|error| told(&format!("{at} cannot be listened at"), &error))?;
            let address = listener.local_addr().map_err(|error| told("no address", &error))?.to_string();
            Ok::<_, Fault>((listener, address))
        };
        let (listener, address) = listen(settings.listen).await?;
        let watched = match settings.metrics {
            Some(at) => Some(listen(at).await?),
            None => None,
        };
        if arguments.check {
            return Ok(say(&settings, address));
        }
        let office = Office {
            rows: Arc::clone(folder.rows()) as _,
            shelf: Arc::clone(folder.shelf()),
            blobs: Arc::clone(folder.blobs()),
            logs: BTreeMap::from([(folder.firm().clone(), keeper.into())]),
            pages: settings.pages.clone(),
            stamps: authority.is_some(),
            world: Arc::new(Here),
            tell: Box::new(tell_line),
        };
        let limits = settings.limits;
        let office = Arc::new(office);
        let tidying = tokio::spawn(tidy_daily(Arc::clone(&office)));
        let stamping = authority.map(|authority| tokio::spawn(stamp_reports(Arc::clone(&office), Arc::new(authority))));
        tell(&serde_json::json!({
            "at": WORLD.now().to_rfc3339(), "served": address, "tls": tls.is_some(),
            "metrics": watched.as_ref().map(|(_, address)| address),
        }));
        let closed = closing();
        say_to_starter(NotifyState::Ready);
        let page = watched.map(|(listener, _)| {
            let page = metrics_routes(Arc::clone(&metrics), Arc::clone(&office), settings.metrics_name_firms);
            tokio::spawn(serve_plainly(listener, page, WATCHED, std::future::pending()))
        });
        let counter = Counter { limits, tls, metrics };
        let told_to_close = async {
            closed.await;
            say_to_starter(NotifyState::Stopping);
        };
        serve_at(counter, listener, routes(office, limits.answer), told_to_close).await;
        if let Some(page) = page {
            page.abort();
        }
        tidying.abort();
        if let Some(stamping) = stamping {
            stamping.abort();
        }
        Ok(Answer::told("The office is closed; what was begun is finished.\n".to_owned(), &serde_json::json!({})))
    })
}

/// The certificate that is shown, and what is told when another one is taken up.
pub(super) fn open_tls(files: TlsFiles) -> Result<Arc<Tls>, Fault> {
    let told = Box::new(|line: &str| tell(&serde_json::json!({"at": WORLD.now().to_rfc3339(), "tls": line})));
    Ok(Arc::new(Tls::open(files, Arc::new(Here), told).map_err(|error| unfit(&error))?))
}

/// The threads that serve.
pub(super) fn open_runtime() -> Result<tokio::runtime::Runtime, Fault> {
    tokio::runtime::Runtime::new().map_err(|error| Fault {
        code: "no-threads",
        message: format!("no threads could be begun: {error}"),
        hint: Some("let this program have more threads, or close others".to_owned()),
    })
}

/// Flags, environment and file, put together.
fn settle(arguments: &Serve) -> Result<Settings, Fault> {
    let mut flags = arguments.set.clone();
    let path = |path: &Option<std::path::PathBuf>| path.as_ref().map(|path| path.display().to_string());
    let named = [
        ("folder", path(&arguments.folder)),
        ("listen", arguments.listen.map(|address| address.to_string())),
        ("pages", path(&arguments.pages)),
        ("passphrase-file", path(&arguments.passphrase.passphrase_file)),
        ("tls.certificate", path(&arguments.tls_certificate)),
        ("tls.key", path(&arguments.tls_key)),
    ];
    flags.extend(named.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?))));
    let mut environment: Vec<(String, String)> = std::env::vars_os()
        .filter_map(|(name, value)| Some((name.into_string().ok()?, value.into_string().ok()?)))
        .collect();
    let named = environment.iter().position(|(name, _)| name == CONFIG).map(|at| environment.remove(at).1);
    let config = arguments.config.clone().or_else(|| named.map(Into::into));
    let text = config.as_deref().map(read).transpose()?;
    let file = config.as_deref().zip(text.as_deref());
    read_settings(&flags, &environment, file).map_err(|error: SettingsError| Fault {
        code: "settings-refused",
        message: error.to_string(),
        hint: Some("rimside serve --help names every setting; --check says what holds".to_owned()),
    })
}

fn read(file: &Path) -> Result<String, Fault> {
    std::fs::read_to_string(file).map_err(|error| Fault {
        code: "file-not-read",
        message: format!("{}: {error}", file.display()),
        hint: Some("look at the spelling of the path".to_owned()),
    })
}

fn look_at_pages(settings: &Settings) -> Result<(), Fault> {
    match settings.pages.as_ref().filter(|pages| !pages.join("index.html").is_file()) {
        Some(pages) => Err(Fault {
            code: "no-pages",
            message: format!("{} holds no pages: there is no index.html in it", pages.display()),
            hint: Some("`cargo xtask pages` builds them into ui/dist".to_owned()),
        }),
        None => Ok(()),
    }
}

fn unfit(error: &TlsError) -> Fault {
    let hint = match error {
        TlsError::SelfMade { .. } => {
            "have it issued by an authority that the devices' browsers know, or by one of the firm's own that they were given"
        }
        TlsError::OtherKey { .. } => "give the key that the certificate was asked for with",
        TlsError::Broken { .. } => "put the office's own certificate first, then the one that issued it, and so on",
        TlsError::NotNow { .. } => "have it renewed, and look at this machine's clock",
        _ => "certificate and key are PEM files that this program may read",
    };
    Fault { code: "certificate-refused", message: error.to_string(), hint: Some(hint.to_owned()) }
}

/// What holds, and where each value came from.
fn say(settings: &Settings, address: String) -> Answer {
    let scheme = if settings.tls.is_some() { "https" } else { "http" };
    let mut text = format!("The office can be served at {scheme}://{address}.\n\n");
    let mut checked = Checked { address, settings: Vec::new() };
    for one in &settings.effective {
        let value = one.value.as_deref();
        text.push_str(&format!("  {:<26} {:<24} {}\n", one.name, value.unwrap_or("-"), one.origin));
        checked.settings.push(Setting { name: one.name, value, from: one.origin.to_string() });
    }
    Answer::told(text, &checked)
}

pub(super) fn tell(line: &serde_json::Value) {
    tell_line(&line.to_string());
}

/// A line of the office's own log. Where nobody reads it any more, the office goes on.
fn tell_line(line: &str) {
    let _ = writeln!(std::io::stderr(), "{line}");
}

/// Says how far it is to whoever started it as a service and asked to be told (`sd_notify`); else nothing is said. Where
/// nobody listens any more, the office goes on.
fn say_to_starter(state: NotifyState<'_>) {
    let _ = sd_notify::notify(&[state]);
}

/// Comes when somebody ends the program, at the terminal or as a service: from this call on, not from when it is waited for.
pub(super) fn closing() -> impl Future<Output = ()> {
    #[cfg(unix)]
    let ended = {
        use tokio::signal::unix::{SignalKind, signal};
        [SignalKind::terminate(), SignalKind::interrupt()].map(signal)
    };
    async move {
        #[cfg(unix)]
        if let [Ok(mut terminated), Ok(mut interrupted)] = ended {
            tokio::select! {
                _ = terminated.recv() => {}
                _ = interrupted.recv() => {}
            }
            return;
        }
        let _ = tokio::signal::ctrl_c().await;
    }
}
