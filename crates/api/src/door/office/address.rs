//! Where an office is, for a device whose pages do not come from it.

use http::Uri;

use super::super::error::DoorError;

/// The address of an office as a person gives it: a host, an address, or the whole link that the office shows with its code.
/// What comes back has a scheme, a host and no path. `http://` is for this machine alone, where nothing passes a network.
pub(super) fn read_address(text: &str) -> Result<String, DoorError> {
    let refused = || DoorError::Address(text.trim().to_owned());
    let text = text.trim();
    let whole = if text.contains("://") { text.to_owned() } else { format!("https://{text}") };
    let uri: Uri = whole.parse().map_err(|_| refused())?;
    let (Some(scheme), Some(authority)) = (uri.scheme_str(), uri.authority()) else { return Err(refused()) };
    let host = authority.host();
    let is_here = matches!(host, "localhost" | "127.0.0.1" | "[::1]");
    // A port that is no number is still text to the parser.
    let has_port = authority.as_str().len() == host.len() || authority.port_u16().is_some();
    let is_plain = !host.is_empty() && authority.as_str().starts_with(host) && has_port;
    if !(scheme == "https" || scheme == "http" && is_here) || !is_plain {
        return Err(refused());
    }
    Ok(format!("{scheme}://{authority}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_office_is_found_by_its_host_its_address_or_its_link() {
        for (given, read) in [
            ("office.example", "https://office.example"),
            (" office.example:8443/ ", "https://office.example:8443"),
            ("https://office.example/index.html#/settings/AAAAA-BBBBB", "https://office.example"),
            ("http://127.0.0.1:4719", "http://127.0.0.1:4719"),
            ("http://localhost:80/index.html", "http://localhost:80"),
            ("https://[2001:db8::1]:443", "https://[2001:db8::1]:443"),
        ] {
            assert_eq!(read_address(given).unwrap(), read, "{given}");
        }
        for bad in [
            "",
            "http://office.example",
            "http://127.0.0.1.office.example",
            "ftp://office.example",
            "file:///etc/passwd",
            "https://",
            "https://:443",
            "https://me@office.example",
            "https://office.example:port",
            "office example",
            "two words and more",
        ] {
            assert!(matches!(read_address(bad), Err(DoorError::Address(_))), "{bad}");
        }
    }
}
