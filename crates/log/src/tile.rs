//! The log as files: tiles of hashes and bundles of entries, as C2SP `tlog-tiles` lays them out.

use seal::digest::Sha256Digest;

use crate::Tree;

/// The file of the signed tree head.
pub const CHECKPOINT: &str = "checkpoint";
/// Entries of a whole bundle, and hashes of a whole tile.
pub const BUNDLE: u64 = 256;
/// A bundle counts the bytes of an entry in 16 bits.
pub const MOST_ENTRY_BYTES: usize = u16::MAX as usize;
/// A tile is so many levels of the tree high.
const HEIGHT: usize = 8;

/// A file of the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TileFile {
    /// Its path below the log's own.
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// The path of a tile of hashes: its level, its number, and how many hashes it has where it is not whole.
pub fn tile_path(level: usize, number: u64, width: u64) -> String {
    format!("tile/{level}/{}", spell(number, width))
}

/// The path of a bundle of entries.
pub fn bundle_path(number: u64, width: u64) -> String {
    format!("tile/entries/{}", spell(number, width))
}

/// A number in groups of three digits, all but the last marked by an x; a part of a tile names its width.
fn spell(number: u64, width: u64) -> String {
    let mut text = format!("{:03}", number % 1000);
    let mut rest = number / 1000;
    while rest > 0 {
        text = format!("x{:03}/{text}", rest % 1000);
        rest /= 1000;
    }
    if width < BUNDLE { format!("{text}.p/{width}") } else { text }
}

/// The paths of all files of a log of so many entries, but for its head.
pub fn list_paths(size: u64) -> Vec<String> {
    let parts =
        |count: u64| (0..count.div_ceil(BUNDLE)).map(move |number| (number, BUNDLE.min(count - number * BUNDLE)));
    let mut paths: Vec<String> = parts(size).map(|(number, width)| bundle_path(number, width)).collect();
    for level in (0..).take_while(|level| count_at(size, *level) > 0) {
        paths.extend(parts(count_at(size, level)).map(|(number, width)| tile_path(level, number, width)));
    }
    paths
}

/// The files that a log of `tree.size()` entries has and one of `old` had not. `entry` gives an entry by its number.
///
/// # Errors
/// What `entry` says.
pub fn list_tiles<E>(
    tree: &Tree,
    old: u64,
    mut entry: impl FnMut(u64) -> Result<Vec<u8>, E>,
) -> Result<Vec<TileFile>, E> {
    let size = tree.size();
    let mut files = Vec::new();
    for number in old / BUNDLE..size.div_ceil(BUNDLE) {
        let width = BUNDLE.min(size - number * BUNDLE);
        if number * BUNDLE + width <= old {
            continue;
        }
        let mut bytes = Vec::new();
        for nth in 0..width {
            let text = entry(number * BUNDLE + nth)?;
            // Whoever appends keeps to the limit.
            let length = u16::try_from(text.len()).unwrap_or(u16::MAX);
            bytes.extend(length.to_be_bytes());
            bytes.extend(&text[..usize::from(length)]);
        }
        files.push(TileFile { path: bundle_path(number, width), bytes });
    }
    for level in 0.. {
        let (have, had) = (count_at(size, level), count_at(old, level));
        if have == 0 {
            break;
        }
        for number in had / BUNDLE..have.div_ceil(BUNDLE) {
            let width = BUNDLE.min(have - number * BUNDLE);
            if number * BUNDLE + width <= had {
                continue;
            }
            let hashes = (0..width).filter_map(|nth| tree.subtree(level * HEIGHT, number * BUNDLE + nth));
            let bytes = hashes.flat_map(|hash: Sha256Digest| *hash.as_bytes()).collect();
            files.push(TileFile { path: tile_path(level, number, width), bytes });
        }
    }
    Ok(files)
}

/// The entries of a bundle, each with its length before it in 16 bits, the higher first (C2SP `tlog-tiles`, "Log entries").
/// None where the lengths do not add up.
pub fn read_bundle(bytes: &[u8]) -> Option<Vec<&[u8]>> {
    let mut texts = Vec::new();
    let mut rest = bytes;
    while !rest.is_empty() {
        let (length, after) = rest.split_first_chunk::<2>()?;
        let (text, after) = after.split_at_checked(usize::from(u16::from_be_bytes(*length)))?;
        texts.push(text);
        rest = after;
    }
    Some(texts)
}

/// Hashes that a level of tiles has in a tree of so many entries.
pub(crate) fn count_at(size: u64, level: usize) -> u64 {
    size.checked_shr((level * HEIGHT) as u32).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_spelt_as_the_specification_spells_them() {
        // C2SP tlog-tiles, "Merkle Tree": tile 1 234 067 and a part of it.
        assert_eq!(tile_path(0, 1_234_067, BUNDLE), "tile/0/x001/x234/067");
        assert_eq!(tile_path(1, 273, 112), "tile/1/273.p/112");
        assert_eq!(bundle_path(0, 1), "tile/entries/000.p/1");
    }

    #[test]
    fn a_tree_of_seventy_thousand_has_the_tiles_of_the_specification() {
        // C2SP tlog-tiles, "Partial Tiles": 273 whole tiles and one of width 112 at level 0, one whole and one of width 17
        // at level 1, one of width 1 at level 2. And a tree of 256: one whole, one of width 1.
        let at = |size, level| (count_at(size, level) / BUNDLE, count_at(size, level) % BUNDLE);
        assert_eq!([0, 1, 2, 3].map(|level| at(70_000, level)), [(273, 112), (1, 17), (0, 1), (0, 0)]);
        assert_eq!([0, 1, 2].map(|level| at(256, level)), [(1, 0), (0, 1), (0, 0)]);
    }

    #[test]
    fn a_log_that_grows_adds_files_and_leaves_whole_ones_alone() {
        let mut tree = Tree::default();
        let entry = |nth: u64| Ok::<_, ()>(format!("entry {nth}").into_bytes());
        let mut shelf = std::collections::BTreeMap::new();
        let mut old = 0;
        for size in [1, 2, 255, 256, 257, 700, 70_000] {
            while tree.size() < size {
                tree.append(&entry(tree.size()).unwrap());
            }
            for file in list_tiles(&tree, old, entry).unwrap() {
                let is_whole = !file.path.contains(".p/");
                let before = shelf.insert(file.path.clone(), file.bytes);
                assert!(before.is_none() || !is_whole, "{} was written twice", file.path);
            }
            old = size;
        }
        let whole = list_tiles(&tree, 0, entry).unwrap();
        assert!(whole.iter().all(|file| shelf[&file.path] == file.bytes));
        assert_eq!(whole.iter().filter(|file| file.path.starts_with("tile/1/")).count(), 2);
        assert_eq!(shelf["tile/2/000.p/1"].len(), 32);
        let paths: std::collections::BTreeSet<&str> = whole.iter().map(|file| file.path.as_str()).collect();
        let listed = list_paths(tree.size());
        assert_eq!(listed.iter().map(String::as_str).collect::<std::collections::BTreeSet<_>>(), paths);
        assert_eq!(list_tiles(&tree, old, entry).unwrap(), [], "nothing new is nothing to write");
    }
}
