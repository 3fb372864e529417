//! Where two JSON values differ first.

use serde_json::Value;

/// The path of the first difference, such as `corners.front_left.bulk.value`; none if they are equal.
pub(crate) fn find_difference(one: &Value, other: &Value) -> Option<String> {
    let mut path = Vec::new();
    walk(one, other, &mut path).then(|| join(&path))
}

fn walk(one: &Value, other: &Value, path: &mut Vec<String>) -> bool {
    match (one, other) {
        (Value::Object(one), Value::Object(other)) => {
            let keys = one.keys().chain(other.keys().filter(|key| !one.contains_key(*key)));
            keys.into_iter().any(|key| step(one.get(key), other.get(key), key.clone(), path))
        }
        (Value::Array(one), Value::Array(other)) => (0..one.len().max(other.len()))
            .any(|place| step(one.get(place), other.get(place), format!("[{place}]"), path)),
        (one, other) => one != other,
    }
}

fn step(one: Option<&Value>, other: Option<&Value>, name: String, path: &mut Vec<String>) -> bool {
    path.push(name);
    let differs = match (one, other) {
        (Some(one), Some(other)) => walk(one, other, path),
        _ => true,
    };
    if !differs {
        path.pop();
    }
    differs
}

fn join(path: &[String]) -> String {
    let mut joined = String::new();
    for part in path {
        if !joined.is_empty() && !part.starts_with('[') {
            joined.push('.');
        }
        joined.push_str(part);
    }
    joined
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn the_first_difference_is_named_by_its_path() {
        let one = json!({"a": {"b": [1, {"c": 2}]}, "d": 1});
        assert_eq!(find_difference(&one, &one), None);
        let other = json!({"a": {"b": [1, {"c": 3}]}, "d": 2});
        assert_eq!(find_difference(&one, &other).as_deref(), Some("a.b[1].c"));
        assert_eq!(find_difference(&one, &json!({"a": {"b": [1]}, "d": 1})).as_deref(), Some("a.b[1]"));
        assert_eq!(find_difference(&json!({}), &json!({"z": null})).as_deref(), Some("z"));
        assert_eq!(find_difference(&json!(1), &json!(2)).as_deref(), Some(""));
    }
}
