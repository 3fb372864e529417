use super::*;

const FILE: &str = r#"
folder = "office"
listen = "0.0.0.0:443"
passphrase-file = "/run/passphrase"

[limits]
connections = 64
head-seconds = 5

[tls]
certificate = "chain.pem"
key = "key.pem"
"#;

fn pairs(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
    pairs.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
}

fn read(flags: &[(&str, &str)], environment: &[(&str, &str)], text: &str) -> Result<Settings, String> {
    let file = Path::new("/etc/rimside/office.toml");
    read_settings(&pairs(flags), &pairs(environment), Some((file, text))).map_err(|error| error.to_string())
}

fn origin(settings: &Settings, name: &str) -> String {
    let found = settings.effective.iter().find(|one| one.name == name).unwrap();
    format!("{} from {}", found.value.as_deref().unwrap_or("nothing"), found.origin)
}

#[test]
fn flags_outrank_the_environment_and_it_outranks_the_file() {
    let environment =
        [("RIMSIDE_SERVE_LIMITS_CONNECTIONS", "32"), ("RIMSIDE_SERVE_LISTEN", "[::1]:8443"), ("PATH", "x")];
    let settings = read(&[("listen", "127.0.0.1:1")], &environment, FILE).unwrap();
    assert_eq!(settings.listen.to_string(), "127.0.0.1:1");
    assert_eq!((settings.limits.connections, settings.limits.head), (32, Duration::from_secs(5)));
    assert_eq!(settings.folder, Path::new("/etc/rimside/office"), "a path is meant from the file's own folder");
    assert_eq!(settings.passphrase_file.as_deref(), Some(Path::new("/run/passphrase")));
    assert_eq!(settings.tls.as_ref().map(|tls| tls.key.as_path()), Some(Path::new("/etc/rimside/key.pem")));
    assert_eq!(origin(&settings, "listen"), "127.0.0.1:1 from flag");
    assert_eq!(origin(&settings, "limits.connections"), "32 from environment, RIMSIDE_SERVE_LIMITS_CONNECTIONS");
    assert_eq!(origin(&settings, "limits.head-seconds"), "5 from file, /etc/rimside/office.toml");
    assert_eq!(origin(&settings, "limits.answer-seconds"), "30 from default");
    assert_eq!(origin(&settings, "pages"), "nothing from default");
    assert_eq!(settings.effective.len(), SETTINGS.len());
}

#[test]
fn a_name_that_nobody_knows_is_refused_with_its_place() {
    for (text, name) in [("folder = \"x\"\nlimit.connections = 3", "limit.connections"), ("Folder = \"x\"", "Folder")] {
        let error = read(&[], &[], text).unwrap_err();
        assert!(error.contains("/etc/rimside/office.toml") && error.contains(&format!("{name:?}")), "{error}");
    }
    let error = read(&[], &[("RIMSIDE_SERVE_LISTENS", "x")], FILE).unwrap_err();
    assert!(error.contains("the environment: \"RIMSIDE_SERVE_LISTENS\""), "{error}");
    let error = read(&[("tls.keys", "x")], &[], FILE).unwrap_err();
    assert!(error.contains("the flags: \"tls.keys\""), "{error}");
}

#[test]
fn a_value_that_does_not_fit_is_refused_with_where_it_came_from() {
    for (name, value) in [
        ("listen", "4718"),
        ("proxy", "localhost"),
        ("limits.connections", "0"),
        ("limits.connections", "-3"),
        ("limits.head-seconds", "86401"),
        ("limits.enrol-per-minute", "many"),
        ("metrics.listen", "9418"),
        ("metrics.firms", "yes"),
    ] {
        let error = read(&[(name, value)], &[], FILE).unwrap_err();
        assert!(error.starts_with(&format!("{name} (from flag): got {value:?}, expected ")), "{error}");
    }
    let error = read(&[], &[], "folder = [1]").unwrap_err();
    assert!(error.contains("got array, expected a text, a number, true or false"), "{error}");
    let error = read(&[], &[], "folder = \"x").unwrap_err();
    assert!(error.contains("/etc/rimside/office.toml") && error.contains("line 1"), "{error}");
}

#[test]
fn nobody_reads_what_is_counted_unless_it_is_said_where() {
    let settings = read(&[], &[], FILE).unwrap();
    assert_eq!((settings.metrics, settings.metrics_name_firms), (None, false));
    let text = format!("{FILE}\n[metrics]\nlisten = \"127.0.0.1:9418\"\nfirms = true\n");
    let settings = read(&[], &[], &text).unwrap();
    assert_eq!(settings.metrics.map(|address| address.port()), Some(9418));
    assert!(settings.metrics_name_firms);
    assert_eq!(origin(&settings, "metrics.firms"), "true from file, /etc/rimside/office.toml");
}

#[test]
fn what_cannot_be_done_without_is_asked_for() {
    let error = read(&[], &[], "").unwrap_err();
    assert!(error.starts_with("folder is not set"), "{error}");
    let error = read(&[("folder", "x"), ("tls.key", "key.pem")], &[], "").unwrap_err();
    assert!(error.starts_with("tls.certificate is not set"), "{error}");
    let settings = read_settings(&pairs(&[("folder", "x")]), &[], None).unwrap();
    assert_eq!((settings.listen.to_string(), settings.tls.is_none()), ("127.0.0.1:4718".to_owned(), true));
}
