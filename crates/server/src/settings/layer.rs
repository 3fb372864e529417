//! The three places that settings come from, one on top of the other.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
    str::FromStr,
    time::Duration,
};

use toml::{Table, Value};

use super::{Effective, Origin, SETTINGS, SettingsError, VARIABLES};
use crate::http::Rate;

/// A day: no limit is longer.
const MOST_SECONDS: u64 = 24 * 60 * 60;
/// No machine has room for more connections.
const MOST: u64 = 1_000_000;

/// The values that were given, each from the highest place that has one.
pub struct Layers(BTreeMap<&'static str, (String, Origin)>);

impl Layers {
    pub fn read(
        flags: &[(String, String)],
        environment: &[(String, String)],
        file: Option<(&Path, &str)>,
    ) -> Result<Self, SettingsError> {
        let mut layers = Self(BTreeMap::new());
        if let Some((file, text)) = file {
            layers.read_file(file, text)?;
        }
        for (variable, value) in environment.iter().filter(|(name, _)| name.starts_with(VARIABLES)) {
            let found = SETTINGS.iter().find(|(name, _)| spell_variable(name) == *variable);
            let (name, _) = found.ok_or_else(|| unknown("the environment", variable, spell_variable))?;
            layers.0.insert(name, (value.clone(), Origin::Environment(variable.clone())));
        }
        for (flag, value) in flags {
            let name = known(flag).ok_or_else(|| unknown("the flags", flag, str::to_owned))?;
            layers.0.insert(name, (value.clone(), Origin::Flag));
        }
        Ok(layers)
    }

    fn read_file(&mut self, file: &Path, text: &str) -> Result<(), SettingsError> {
        let place = || file.display().to_string();
        let unreadable = |why: String| SettingsError::Unreadable { file: place(), why };
        let table: Table = text.parse().map_err(|error: toml::de::Error| unreadable(error.to_string()))?;
        for (key, value) in table {
            let inner = match value {
                // A group that is misspelt and empty would else go unseen.
                Value::Table(inner) if inner.is_empty() && !is_group(&key) => {
                    return Err(unknown(&place(), &key, str::to_owned));
                }
                Value::Table(inner) => {
                    inner.into_iter().map(|(name, value)| (format!("{key}.{name}"), value)).collect()
                }
                value => vec![(key, value)],
            };
            for (key, value) in inner {
                let name = known(&key).ok_or_else(|| unknown(&place(), &key, str::to_owned))?;
                let text = match value {
                    Value::String(text) => text,
                    Value::Integer(number) => number.to_string(),
                    Value::Boolean(is_so) => is_so.to_string(),
                    other => {
                        return Err(unreadable(format!(
                            "{key}: got {}, expected a text, a number, true or false",
                            other.type_str()
                        )));
                    }
                };
                let text = if is_path(name) { from_folder_of(file, &text) } else { text };
                self.0.insert(name, (text, Origin::File(file.to_owned())));
            }
        }
        Ok(())
    }

    pub fn text(&self, name: &str) -> Option<String> {
        self.0.get(name).map(|(text, _)| text.clone())
    }

    pub fn path(&self, name: &str) -> Option<PathBuf> {
        self.text(name).map(PathBuf::from)
    }

    pub fn parse<T: FromStr>(&self, name: &'static str, expected: &'static str) -> Result<Option<T>, SettingsError> {
        let Some((text, origin)) = self.0.get(name) else { return Ok(None) };
        let unfit = |_| SettingsError::Unfit { name, origin: origin.clone(), got: text.clone(), expected };
        text.parse().map(Some).map_err(unfit)
    }

    /// A number from 1 on.
    pub fn count(&self, name: &'static str, usual: u64) -> Result<u64, SettingsError> {
        self.within(name, MOST, "a whole number from 1 to 1000000").map(|count| count.unwrap_or(usual))
    }

    pub fn seconds(&self, name: &'static str, usual: Duration) -> Result<Duration, SettingsError> {
        let seconds = self.within(name, MOST_SECONDS, "whole seconds from 1 to 86400")?;
        Ok(seconds.map_or(usual, Duration::from_secs))
    }

    pub fn rate(&self, name: &'static str, usual: Rate) -> Result<Rate, SettingsError> {
        Ok(Rate { per_minute: self.count(name, u64::from(usual.per_minute))? as u32 })
    }

    fn within(&self, name: &'static str, most: u64, expected: &'static str) -> Result<Option<u64>, SettingsError> {
        let number: Option<u64> = self.parse(name, expected)?;
        match (number, self.0.get(name)) {
            (Some(number), Some((text, origin))) if !(1..=most).contains(&number) => {
                Err(SettingsError::Unfit { name, origin: origin.clone(), got: text.clone(), expected })
            }
            _ => Ok(number),
        }
    }

    pub fn tell(&self, name: &'static str, usual: Option<String>) -> Effective {
        match self.0.get(name) {
            Some((text, origin)) => Effective { name, value: Some(text.clone()), origin: origin.clone() },
            None => Effective { name, value: usual, origin: Origin::Usual },
        }
    }
}

fn is_group(key: &str) -> bool {
    SETTINGS.iter().any(|(name, _)| name.split_once('.').is_some_and(|(group, _)| group == key))
}

fn known(name: &str) -> Option<&'static str> {
    SETTINGS.iter().map(|(known, _)| *known).find(|known| *known == name)
}

/// `tls.key` is `RIMSIDE_SERVE_TLS_KEY`.
fn spell_variable(name: &str) -> String {
    format!("{VARIABLES}{}", name.replace(['.', '-'], "_").to_ascii_uppercase())
}

fn unknown(place: &str, name: &str, spell: impl Fn(&str) -> String) -> SettingsError {
    let names: Vec<String> = SETTINGS.iter().map(|(name, _)| spell(name)).collect();
    SettingsError::Unknown { place: place.to_owned(), name: name.to_owned(), expected: names.join(", ") }
}

fn is_path(name: &str) -> bool {
    matches!(name, "folder" | "pages" | "passphrase-file" | "tls.certificate" | "tls.key")
}

/// Where the program was started does not change what the file means. `-` is standard input.
fn from_folder_of(file: &Path, text: &str) -> String {
    if text == "-" {
        return text.to_owned();
    }
    file.parent().unwrap_or(Path::new("")).join(text).display().to_string()
}
