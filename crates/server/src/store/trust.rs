//! TLS towards stores that are elsewhere.

use std::sync::Arc;

use tokio_rustls::rustls::{ClientConfig, RootCertStore, crypto::ring};

use super::StoreError;

/// How a server's certificate is judged: by the system's own roots.
pub(super) fn client_tls() -> Result<ClientConfig, StoreError> {
    let mut roots = RootCertStore::empty();
    for certificate in rustls_native_certs::load_native_certs().certs {
        // One that cannot be read vouches for nobody.
        let _ = roots.add(certificate);
    }
    let config =
        ClientConfig::builder_with_provider(Arc::new(ring::default_provider())).with_safe_default_protocol_versions();
    let config = config.map_err(|error| StoreError::Failed(error.to_string()))?;
    Ok(config.with_root_certificates(roots).with_no_client_auth())
}
