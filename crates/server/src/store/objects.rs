//! A store of objects that speaks S3: what it is called, and how it is asked.

use std::{sync::Arc, time::Duration};

use bytes::Bytes;
use futures_util::{StreamExt as _, TryStreamExt as _, stream};
use object_store::{
    BackoffConfig, ClientOptions, ObjectStore, ObjectStoreExt as _, PutMode, PutOptions, RetryConfig,
    aws::{AmazonS3Builder, AmazonS3ConfigKey},
    path::Path,
};
use tokio_rustls::rustls::crypto::ring;

use super::{StoreError, remote::wait};

/// So many requests are on their way at once.
const SIDE_BY_SIDE: usize = 8;
/// How long a store has for one answer, and for all tries of one.
const ANSWER: Duration = Duration::from_secs(20);
const TRIES: Duration = Duration::from_mins(1);

/// Objects below a place in a store.
#[derive(Debug, Clone)]
pub struct Objects {
    store: Arc<dyn ObjectStore>,
    top: Path,
}

impl From<object_store::Error> for StoreError {
    fn from(error: object_store::Error) -> Self {
        Self::Failed(format!("the store of objects: {error}"))
    }
}

impl Objects {
    /// The place of this address: `s3://bucket` or `s3://bucket/place`. Who asks, of which region and at which endpoint is
    /// told by the usual variables (`AWS_ACCESS_KEY_ID`, `AWS_SECRET_ACCESS_KEY`, `AWS_REGION`, `AWS_ENDPOINT`;
    /// `AWS_ALLOW_HTTP` where that is not `https`). Nothing is asked yet.
    ///
    /// # Errors
    /// An address that is none, variables that do not fit.
    pub fn open(address: &str, variables: &[(String, String)]) -> Result<Self, StoreError> {
        let place = address.strip_prefix("s3://").filter(|place| !place.is_empty() && !place.contains('?'));
        let place = place.ok_or_else(|| {
            StoreError::Failed(format!("got {address:?} for a store of objects, expected s3://bucket/place"))
        })?;
        let (bucket, top) = place.split_once('/').unwrap_or((place, ""));
        // One provider of TLS for all; whoever was first stays.
        let _ = ring::default_provider().install_default();
        let retry = RetryConfig { backoff: BackoffConfig::default(), max_retries: 8, retry_timeout: TRIES };
        let client = ClientOptions::new().with_timeout(ANSWER).with_connect_timeout(ANSWER);
        let mut builder = AmazonS3Builder::new().with_client_options(client).with_retry(retry);
        for (name, value) in variables {
            if let Ok(key) = name.to_ascii_lowercase().parse::<AmazonS3ConfigKey>() {
                builder = builder.with_config(key, value);
            }
        }
        let store = builder.with_bucket_name(bucket).build()?;
        let top = Path::parse(top.trim_end_matches('/')).map_err(object_store::Error::from)?;
        Ok(Self { store: Arc::new(store), top })
    }

    /// A part of them, below a name.
    #[must_use]
    pub fn below(&self, name: &str) -> Self {
        Self { store: Arc::clone(&self.store), top: self.top.clone().join(name) }
    }

    fn place(&self, name: &str) -> Path {
        name.split('/').filter(|step| !step.is_empty()).fold(self.top.clone(), Path::join)
    }

    /// Puts an object in its place, whole or not at all; it lasts when this ends.
    pub(super) async fn putting(self, name: String, bytes: Bytes) -> Result<(), StoreError> {
        self.store.put(&self.place(&name), bytes.into()).await?;
        Ok(())
    }

    /// Puts objects in their places, each whole or not at all; they last when this returns.
    pub(super) fn put_all(&self, objects: Vec<(String, Bytes)>) -> Result<(), StoreError> {
        wait(async {
            let puts = objects.into_iter().map(|(name, bytes)| self.clone().putting(name, bytes));
            stream::iter(puts).buffer_unordered(SIDE_BY_SIDE).try_collect().await
        })
    }

    pub(super) fn put(&self, name: &str, bytes: Bytes) -> Result<(), StoreError> {
        wait(self.clone().putting(name.to_owned(), bytes))
    }

    /// Puts an object where there is none; whether there was none.
    pub(super) fn put_new(&self, name: &str, bytes: Bytes) -> Result<bool, StoreError> {
        let options = PutOptions::from(PutMode::Create);
        match wait(async { Ok(self.store.put_opts(&self.place(name), bytes.clone().into(), options).await) })? {
            Ok(_) => Ok(true),
            Err(object_store::Error::AlreadyExists { .. }) => Ok(false),
            // A store that cannot be asked that, as `AWS_CONDITIONAL_PUT=disabled` says.
            Err(object_store::Error::NotImplemented { .. }) => {
                let is_new = self.read(name)?.is_none();
                if is_new {
                    self.put(name, bytes)?;
                }
                Ok(is_new)
            }
            Err(error) => Err(error.into()),
        }
    }

    /// An object; none where there is none.
    pub(super) fn read(&self, name: &str) -> Result<Option<Bytes>, StoreError> {
        wait(async {
            match self.store.get(&self.place(name)).await {
                Ok(found) => Ok(Some(found.bytes().await?)),
                Err(object_store::Error::NotFound { .. }) => Ok(None),
                Err(error) => Err(error.into()),
            }
        })
    }

    /// The names of those below a name, from there, each with the time at which it was put.
    pub(super) fn list(&self, below: &str) -> Result<Vec<(String, chrono::DateTime<chrono::Utc>)>, StoreError> {
        let top = self.place(below);
        wait(async {
            let found: Vec<_> = self.store.list(Some(&top)).try_collect().await?;
            let from_there = |place: &Path| {
                let steps: Vec<_> = place.prefix_match(&top)?.map(|step| step.as_ref().to_owned()).collect();
                Some(steps.join("/"))
            };
            Ok(found.into_iter().filter_map(|one| Some((from_there(&one.location)?, one.last_modified))).collect())
        })
    }

    /// Takes objects away. Those that are not there are not missed.
    pub(super) fn take_away(&self, names: &[String]) -> Result<(), StoreError> {
        wait(async {
            let places: Vec<_> = names.iter().map(|name| Ok(self.place(name))).collect();
            let places = stream::iter(places).boxed();
            let mut gone = self.store.delete_stream(places);
            while let Some(done) = gone.next().await {
                match done {
                    Ok(_) | Err(object_store::Error::NotFound { .. }) => {}
                    Err(error) => return Err(error.into()),
                }
            }
            Ok(())
        })
    }
}
