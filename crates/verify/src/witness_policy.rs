//! The witnesses whose word a reader takes, as text: keys one a line, or a policy of C2SP `tlog-policy` with one group.

use seal::receipt::{NoteKeyError, WitnessKey, Witnesses, WitnessesError};

/// So many of these have to have signed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WitnessPolicy(Witnesses);

/// A line of a policy.
enum Line<'a> {
    Witness { name: &'a str, key: WitnessKey },
    Group { name: &'a str, threshold: &'a str, members: Vec<&'a str> },
    Quorum { name: &'a str },
}

impl WitnessPolicy {
    /// Reads the text. Empty lines and those that begin with # say nothing, nor do those of a log, which the reader has from
    /// the firm. Where no quorum stands in the text, `needed` of all its witnesses suffice, and all of them if it is not given.
    ///
    /// # Errors
    /// [`PolicyError`], with the line.
    pub fn parse(text: &str, needed: Option<usize>) -> Result<Self, PolicyError> {
        let mut lines = Vec::new();
        for (number, text) in (1..).zip(text.lines().map(str::trim)) {
            if !text.is_empty() && !text.starts_with('#') {
                lines.extend(parse_line(number, text)?);
            }
        }
        let quorum = lines.iter().find_map(|line| match line {
            Line::Quorum { name } => Some(*name),
            _ => None,
        });
        let (keys, needed) = if let Some(quorum) = quorum {
            resolve(&lines, quorum)?
        } else {
            let keys = list_keys(&lines, |_| true);
            let needed = needed.unwrap_or(keys.len());
            (keys, needed)
        };
        Ok(Self(Witnesses::new(keys, needed)?))
    }

    /// The names of the witnesses, in the order of the text.
    pub fn names(&self) -> Vec<&str> {
        self.0.keys().iter().map(WitnessKey::name).collect()
    }

    /// How many of them have to have signed.
    pub fn needed(&self) -> usize {
        self.0.at_least()
    }

    /// Their keys, each `name+id+key`, as a reader's own files have them.
    pub fn keys(&self) -> Vec<String> {
        self.0.keys().iter().map(WitnessKey::to_text).collect()
    }
}

fn parse_line(number: usize, text: &str) -> Result<Option<Line<'_>>, PolicyError> {
    let read = |key: &str| WitnessKey::parse(key).map_err(|cause| PolicyError::Key { line: number, cause });
    let words: Vec<&str> = text.split_ascii_whitespace().collect();
    Ok(Some(match words[..] {
        ["log", _] | ["log", _, _] => return Ok(None),
        ["witness", name, key] | ["witness", name, key, _] => Line::Witness { name, key: read(key)? },
        ["group", name, threshold, ref members @ ..] if !members.is_empty() => {
            Line::Group { name, threshold, members: members.to_vec() }
        }
        ["quorum", name] => Line::Quorum { name },
        [key] if key.contains('+') => Line::Witness { name: key, key: read(key)? },
        _ => return Err(PolicyError::Line { line: number, got: text.chars().take(80).collect() }),
    }))
}

/// The witnesses that the quorum is of, and how many of them it needs.
fn resolve(lines: &[Line<'_>], quorum: &str) -> Result<(Vec<WitnessKey>, usize), PolicyError> {
    let group = lines.iter().find_map(|line| match line {
        Line::Group { name, threshold, members } if *name == quorum => Some((*threshold, members)),
        _ => None,
    });
    let Some((threshold, members)) = group else {
        let keys = list_keys(lines, |name| name == quorum);
        return if keys.len() == 1 { Ok((keys, 1)) } else { Err(PolicyError::Quorum { got: quorum.to_owned() }) };
    };
    let keys = list_keys(lines, |name| members.contains(&name));
    if keys.len() != members.len() {
        return Err(PolicyError::Members { group: quorum.to_owned() });
    }
    let needed = match threshold {
        "any" => 1,
        "all" => keys.len(),
        number => number.parse().map_err(|_| PolicyError::Threshold { got: number.to_owned() })?,
    };
    Ok((keys, needed))
}

fn list_keys(lines: &[Line<'_>], is_meant: impl Fn(&str) -> bool) -> Vec<WitnessKey> {
    let keys = lines.iter().filter_map(|line| match line {
        Line::Witness { name, key } if is_meant(name) => Some(key.clone()),
        _ => None,
    });
    keys.collect()
}

/// Why a text names no witnesses.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PolicyError {
    /// A line of no known form.
    #[error("line {line}: got {got:?}, expected a witness's key (name+id+key) or a line of a policy")]
    Line {
        /// Counted from 1.
        line: usize,
        /// What stands there.
        got: String,
    },
    /// A key.
    #[error("line {line}: {cause}")]
    Key {
        /// Counted from 1.
        line: usize,
        /// Why.
        #[source]
        cause: NoteKeyError,
    },
    /// A quorum of nobody.
    #[error("the quorum is {got:?}, expected the name of a witness or of a group")]
    Quorum {
        /// Its name.
        got: String,
    },
    /// A group of others than witnesses.
    #[error("the group {group:?} has a member that is no witness of this policy; groups of groups are not understood")]
    Members {
        /// Its name.
        group: String,
    },
    /// How many of a group.
    #[error("got {got:?} for how many of a group must sign, expected a number, any or all")]
    Threshold {
        /// What stands there.
        got: String,
    },
    /// How many, or one key twice.
    #[error(transparent)]
    Witnesses(#[from] WitnessesError),
}

#[cfg(test)]
mod tests {
    use seal::key::PrivateKey;

    use super::*;

    fn key(seed: u8) -> String {
        let public = PrivateKey::from_seed(&[seed; 32]).public();
        WitnessKey::new(&format!("witness.example/w{seed}"), public).unwrap().to_text()
    }

    fn read(text: &str, needed: Option<usize>) -> Result<(usize, usize), String> {
        let read = WitnessPolicy::parse(text, needed).map_err(|error| error.to_string())?;
        Ok((read.needed(), read.names().len()))
    }

    #[test]
    fn keys_alone_are_all_needed_or_so_many_as_is_said() {
        let keys = format!("# ours\n{}\n\n  {}  \n{}\n", key(1), key(2), key(3));
        assert_eq!(read(&keys, None), Ok((3, 3)));
        assert_eq!(read(&keys, Some(2)), Ok((2, 3)));
        assert_eq!(
            WitnessPolicy::parse(&keys, None).unwrap().names(),
            ["witness.example/w1", "witness.example/w2", "witness.example/w3"]
        );
        for (needed, said) in [(0, "0 of 3"), (4, "4 of 3")] {
            assert!(read(&keys, Some(needed)).unwrap_err().starts_with(said));
        }
        assert!(read("", None).is_err() && read("# nobody\n", None).is_err());
        assert!(read(&format!("{}\n{}\n", key(1), key(1)), None).unwrap_err().contains("counts once"));
    }

    #[test]
    fn a_policy_says_itself_how_many_are_needed() {
        // The lines of C2SP `tlog-policy`, "Format".
        let policy = |rest: &str| {
            format!(
                "log log.example+00000000+AQ https://log.example/\nwitness w1 {} https://w1.example\nwitness w2 {}\nwitness \
                 w3 {}\n{rest}\n",
                key(1),
                key(2),
                key(3)
            )
        };
        assert_eq!(read(&policy("group g 2 w1 w2 w3\nquorum g"), None), Ok((2, 3)));
        assert_eq!(read(&policy("group g 2 w1 w2 w3\nquorum g"), Some(3)), Ok((2, 3)), "the text outranks the number");
        assert_eq!(read(&policy("group g any w1 w3\nquorum g"), None), Ok((1, 2)));
        assert_eq!(read(&policy("group g all w1 w3\nquorum g"), None), Ok((2, 2)));
        assert_eq!(read(&policy("quorum w2"), None), Ok((1, 1)));
        assert_eq!(read(&policy(""), Some(1)), Ok((1, 3)));
        for (rest, said) in [
            ("quorum none", "the quorum is \"none\""),
            ("quorum g", "the quorum is \"g\""),
            ("group g 3 w1 w2\nquorum g", "3 of 2"),
            ("group g many w1 w2\nquorum g", "got \"many\""),
            ("group g 2 w1 w9\nquorum g", "has a member that is no witness"),
            ("group a any w1 w2\ngroup g all a w3\nquorum g", "groups of groups"),
            ("group g 1\nquorum g", "line 5: got \"group g 1\""),
            ("group g any", "line 5: got \"group g any\""),
            ("witness w4", "line 5: got \"witness w4\""),
            ("witness w4 x+y+z", "line 5: "),
            ("hello", "line 5: got \"hello\""),
        ] {
            let refused = read(&policy(rest), None).unwrap_err();
            assert!(refused.contains(said), "{rest}: {refused}");
        }
    }
}
