//! Changes woven into sources, each behind a switch.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use anyhow::{Context, Result};
use proc_macro2::LineColumn;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{Arm, BinOp, Block, Expr, ExprBinary, ExprMatch, ExprStruct, ExprUnary};

use crate::change::{Change, Genre, Place};

const SWITCHES: &str = include_str!("switch.rs.txt");
const ON: &str = "crate::rimside_switch::on";

/// A source with its changes inside.
pub struct Woven {
    /// The source.
    pub text: String,
    /// From which byte of the new text to which a change stands, and which stand or fall together.
    written: Vec<(usize, usize, Vec<usize>)>,
}

impl Woven {
    /// Whether this change found its place.
    pub fn holds(&self, id: usize) -> bool {
        self.written.iter().any(|(_, _, ids)| ids.contains(&id))
    }

    /// The changes whose writing lies closest around these bytes; none if none does.
    pub fn blame(&self, (from, to): (usize, usize)) -> Vec<usize> {
        let around = self.written.iter().filter(|(start, end, _)| *start <= from && to <= *end);
        around.min_by_key(|(start, end, _)| end - start).map(|(_, _, ids)| ids.clone()).unwrap_or_default()
    }
}

/// Weaves these changes into a source; those whose place is not found, or whose form is not known here, are left out.
pub fn weave(source: &str, changes: &[&Change]) -> Result<Woven> {
    let file = syn::parse_file(source).context("not read as Rust")?;
    let lines = std::iter::once(0).chain(source.match_indices('\n').map(|(at, _)| at + 1)).collect();
    let mut by_place: BTreeMap<Place, Vec<&Change>> = BTreeMap::new();
    for change in changes {
        by_place.entry(change.span.start).or_default().push(change);
    }
    let mut weaver = Weaver { source, lines, by_place, sites: Vec::new() };
    weaver.visit_file(&file);
    let mut sites = weaver.sites;
    // Stable: of two with the same bytes, the one that came first is the outer.
    sites.sort_by_key(|site| (site.from, Reverse(site.to)));
    let mut writer = Writer { source, sites: &sites, woven: Woven { text: String::new(), written: Vec::new() } };
    writer.copy(0, source.len(), 0);
    Ok(writer.woven)
}

/// Writes the module that knows which switch is on beside each package's root, which names it.
pub fn write_switches(tree: &Path, changes: &[Change]) -> Result<()> {
    let roots: BTreeSet<_> = changes.iter().filter_map(|one| source_folder(&one.file)).collect();
    for source in roots {
        let root = fs::read_to_string(tree.join(source).join("lib.rs"))?;
        write_if_new(&tree.join(source).join("rimside_switch.rs"), SWITCHES)?;
        write_if_new(&tree.join(source).join("lib.rs"), &name_switches(root))?;
    }
    Ok(())
}

/// Writes a woven source to its file; what is there already is left, or it would be built anew.
pub fn write_source(tree: &Path, file: &Path, text: &str) -> Result<()> {
    let is_root = source_folder(file).is_some_and(|source| source.join("lib.rs") == file);
    let text = if is_root { name_switches(text.to_owned()) } else { text.to_owned() };
    write_if_new(&tree.join(file), &text)
}

fn source_folder(file: &Path) -> Option<&Path> {
    file.ancestors().find(|folder| folder.ends_with("src"))
}

fn name_switches(root: String) -> String {
    const NAMED: &str = "\nmod rimside_switch;\n";
    if root.ends_with(NAMED) { root } else { root + NAMED }
}

fn write_if_new(path: &Path, text: &str) -> Result<()> {
    if fs::read_to_string(path).is_ok_and(|was| was == text) {
        return Ok(());
    }
    Ok(fs::write(path, text)?)
}

/// Bytes of the source that are written anew.
struct Site {
    from: usize,
    to: usize,
    ids: Vec<usize>,
    parts: Vec<Part>,
}

enum Part {
    /// As it stands here.
    Text(String),
    /// What one change alone needs.
    Of(usize, String),
    /// These bytes of the source, with the sites inside them.
    Source(usize, usize),
}

struct Writer<'a> {
    source: &'a str,
    sites: &'a [Site],
    woven: Woven,
}

impl Writer<'_> {
    /// Copies these bytes with the sites inside them, of those from number `next` on.
    fn copy(&mut self, from: usize, to: usize, mut next: usize) {
        let mut at = from;
        while let Some(site) = self.sites.get(next) {
            if site.from >= at && site.to <= to {
                self.woven.text.push_str(&self.source[at..site.from]);
                self.write(site, next);
                at = site.to;
            }
            if site.from > to {
                break;
            }
            next += 1;
        }
        self.woven.text.push_str(&self.source[at..to]);
    }

    fn write(&mut self, site: &Site, number: usize) {
        let start = self.woven.text.len();
        for part in &site.parts {
            let start = self.woven.text.len();
            match part {
                Part::Text(text) => self.woven.text.push_str(text),
                Part::Source(from, to) => self.copy(*from, *to, number + 1),
                Part::Of(id, text) => {
                    self.woven.text.push_str(text);
                    self.woven.written.push((start, self.woven.text.len(), vec![*id]));
                }
            }
        }
        self.woven.written.push((start, self.woven.text.len(), site.ids.clone()));
    }
}

struct Weaver<'a> {
    source: &'a str,
    lines: Vec<usize>,
    by_place: BTreeMap<Place, Vec<&'a Change>>,
    sites: Vec<Site>,
}

impl<'a> Weaver<'a> {
    fn byte(&self, at: LineColumn) -> usize {
        let line = self.lines[at.line - 1];
        let rest = &self.source[line..];
        line + rest.char_indices().nth(at.column).map_or(rest.len(), |(byte, _)| byte)
    }

    fn range(&self, node: &impl Spanned) -> (usize, usize) {
        (self.byte(node.span().start()), self.byte(node.span().end()))
    }

    fn part(&self, node: &impl Spanned) -> Part {
        let (from, to) = self.range(node);
        Part::Source(from, to)
    }

    fn text(&self, node: &impl Spanned) -> &'a str {
        let (from, to) = self.range(node);
        &self.source[from..to]
    }

    /// The changes of this kind that begin where the node does.
    fn at(&self, node: &impl Spanned, genre: Genre) -> Vec<&'a Change> {
        let at = node.span().start();
        let place = Place { line: at.line, column: at.column + 1 };
        let here = self.by_place.get(&place).map_or(&[][..], Vec::as_slice);
        here.iter().copied().filter(|change| change.genre == genre).collect()
    }

    fn put(&mut self, (from, to): (usize, usize), changes: &[&Change], parts: Vec<Part>) {
        self.sites.push(Site { from, to, ids: changes.iter().map(|one| one.id).collect(), parts });
    }

    fn weave_binary(&mut self, node: &ExprBinary, changes: &[&Change]) {
        let op = self.text(&node.op);
        let (left, right) = (self.part(&node.left), self.part(&node.right));
        let parts = match node.op {
            BinOp::And(_) | BinOp::Or(_) => {
                // Without the switch `false && _` and `true || _` are known from the left, with it the other way round.
                let stops = if matches!(node.op, BinOp::And(_)) { "==" } else { "!=" };
                if has_let(&node.left) || has_let(&node.right) || changes.len() > 1 {
                    return;
                }
                let on = format!("; if l {stops} {ON}({}) {{ l }} else {{ ", changes[0].id);
                vec![text("({ let l: bool = "), left, Part::Text(on), right, text(" } })")]
            }
            _ if is_assignment(&node.op) => {
                // What is assigned to stands in every branch, so changes inside it are left out.
                let target = self.text(&node.left);
                let mut parts = vec![text("(match ("), right, text(") { r => ")];
                parts.extend(choose(changes, &format!("{target} {op} r"), |other| format!("{target} {other} r")));
                parts.push(text(" })"));
                parts
            }
            _ => {
                // A comparison borrows what it compares.
                let by = if is_comparison(&node.op) { "&" } else { "" };
                let mut parts =
                    vec![Part::Text(format!("(match ({by}(")), left, Part::Text(format!("), {by}(")), right];
                parts.push(text(")) { (l, r) => "));
                parts.extend(choose(changes, &format!("l {op} r"), |other| format!("l {other} r")));
                parts.push(text(" })"));
                parts
            }
        };
        self.put(self.range(node), changes, parts);
    }
}

impl<'a, 'ast> Visit<'ast> for Weaver<'a> {
    fn visit_block(&mut self, node: &'ast Block) {
        if let (Some(first), Some(last)) = (node.stmts.first(), node.stmts.last()) {
            let changes = self.at(first, Genre::FnValue);
            if !changes.is_empty() {
                let (from, to) = (self.range(first).0, self.range(last).1);
                let give =
                    |one: &&Change| Part::Of(one.id, format!("if {ON}({}) {{ return {}; }} ", one.id, one.replacement));
                let mut parts: Vec<Part> = changes.iter().map(give).collect();
                parts.push(Part::Source(from, to));
                self.put((from, to), &changes, parts);
            }
        }
        visit::visit_block(self, node);
    }

    fn visit_expr_binary(&mut self, node: &'ast ExprBinary) {
        let changes = self.at(&node.op, Genre::BinaryOperator);
        if !changes.is_empty() {
            self.weave_binary(node, &changes);
        }
        visit::visit_expr_binary(self, node);
    }

    fn visit_expr_unary(&mut self, node: &'ast ExprUnary) {
        let changes = self.at(node, Genre::UnaryOperator);
        if let [change] = changes[..] {
            let op = self.text(&node.op);
            let choice = format!(") {{ v => if {ON}({}) {{ v }} else {{ {op}v }} }})", change.id);
            let parts = vec![text("(match ("), self.part(&node.expr), Part::Text(choice)];
            self.put(self.range(node), &changes, parts);
        }
        visit::visit_expr_unary(self, node);
    }

    fn visit_expr_match(&mut self, node: &'ast ExprMatch) {
        // That a match does not cover everything any more is said of what it looks at.
        let missing: Vec<_> = node.arms.iter().flat_map(|arm| self.at(arm, Genre::MatchArm)).collect();
        if !missing.is_empty() {
            self.put(self.range(&node.expr), &missing, vec![self.part(&node.expr)]);
        }
        visit::visit_expr_match(self, node);
    }

    fn visit_arm(&mut self, node: &'ast Arm) {
        let from = self.range(&node.pat).1;
        let to = self.range(&node.fat_arrow_token).0;
        let guard = node.guard.as_ref().map(|(_, guard)| guard);
        let known = guard.is_none_or(|guard| !has_let(guard));
        let missing = self.at(node, Genre::MatchArm);
        if let ([change], true) = (&missing[..], known) {
            let off = format!(" if !{ON}({})", change.id);
            let parts = match guard {
                None => vec![Part::Text(off + " ")],
                Some(guard) => vec![Part::Text(off + " && ("), self.part(guard), text(") ")],
            };
            self.put((from, to), &missing, parts);
        }
        if let (Some(guard), true) = (guard, known) {
            let changes = self.at(guard, Genre::MatchArmGuard);
            if !changes.is_empty() {
                let always = changes.iter().find(|one| one.replacement == "true");
                let never = changes.iter().find(|one| one.replacement == "false");
                let mut before = String::from("(");
                before += &always.map(|one| format!("{ON}({}) || ", one.id)).unwrap_or_default();
                before += &never.map(|one| format!("!{ON}({}) && ", one.id)).unwrap_or_default();
                self.put(self.range(guard), &changes, vec![Part::Text(before + "("), self.part(guard), text("))")]);
            }
        }
        visit::visit_arm(self, node);
    }

    fn visit_expr_struct(&mut self, node: &'ast ExprStruct) {
        for field in &node.fields {
            let changes = self.at(field, Genre::StructField);
            if let ([change], Some(base)) = (&changes[..], &node.rest) {
                let name = self.text(&field.member);
                let base = self.text(base);
                let other = format!("{name}: if {ON}({}) {{ ({base}).{name} }} else {{ ", change.id);
                self.put(self.range(field), &changes, vec![Part::Text(other), self.part(&field.expr), text(" }")]);
            }
        }
        visit::visit_expr_struct(self, node);
    }
}

fn text(text: &str) -> Part {
    Part::Text(text.to_owned())
}

/// `otherwise` where no switch is on, else what the change whose switch is on puts there.
fn choose(changes: &[&Change], otherwise: &str, write: impl Fn(&str) -> String) -> Vec<Part> {
    let branch =
        |one: &&Change| Part::Of(one.id, format!("if {ON}({}) {{ {} }} else ", one.id, write(&one.replacement)));
    let mut parts: Vec<Part> = changes.iter().map(branch).collect();
    parts.push(Part::Text(format!("{{ {otherwise} }}")));
    parts
}

fn has_let(expr: &Expr) -> bool {
    match expr {
        Expr::Let(_) => true,
        Expr::Binary(both) => has_let(&both.left) || has_let(&both.right),
        _ => false,
    }
}

fn is_comparison(op: &BinOp) -> bool {
    matches!(op, BinOp::Eq(_) | BinOp::Ne(_) | BinOp::Lt(_) | BinOp::Le(_) | BinOp::Gt(_) | BinOp::Ge(_))
}

fn is_assignment(op: &BinOp) -> bool {
    use BinOp::{
        AddAssign, BitAndAssign, BitOrAssign, BitXorAssign, DivAssign, MulAssign, RemAssign, ShlAssign, ShrAssign,
        SubAssign,
    };
    matches!(
        op,
        AddAssign(_)
            | SubAssign(_)
            | MulAssign(_)
            | DivAssign(_)
            | RemAssign(_)
            | BitAndAssign(_)
            | BitOrAssign(_)
            | BitXorAssign(_)
            | ShlAssign(_)
            | ShrAssign(_)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::change::Span;

    fn change(id: usize, line: usize, column: usize, genre: Genre, replacement: &str) -> Change {
        Change {
            id,
            name: String::new(),
            package: String::new(),
            file: "lib.rs".into(),
            span: Span { start: Place { line, column } },
            replacement: replacement.to_owned(),
            genre,
        }
    }

    fn written(source: &str, changes: &[Change]) -> String {
        let woven = weave(source, &changes.iter().collect::<Vec<_>>()).unwrap();
        for change in changes {
            assert!(woven.holds(change.id), "{} in {}", change.id, woven.text);
        }
        woven.text.replace("crate::rimside_switch::", "")
    }

    #[test]
    fn an_operator_within_another_is_woven_within_it() {
        let changes = [change(1, 1, 29, Genre::BinaryOperator, "<="), change(2, 1, 25, Genre::BinaryOperator, "-")];
        assert_eq!(
            written("fn f(a: u8) -> bool { a + 1 < 3 }", &changes),
            "fn f(a: u8) -> bool { (match (&((match ((a), (1)) { (l, r) => if on(2) { l - r } else { l + r } })), &(3)) \
             { (l, r) => if on(1) { l <= r } else { l < r } }) }",
        );
    }

    #[test]
    fn a_function_gives_its_value_before_its_first_line() {
        let changes = [change(1, 1, 23, Genre::FnValue, "true"), change(2, 1, 23, Genre::FnValue, "false")];
        assert_eq!(
            written("fn f(a: u8) -> bool { g(a) }", &changes),
            "fn f(a: u8) -> bool { if on(1) { return true; } if on(2) { return false; } g(a) }",
        );
        let elsewhere = weave("fn f(a: u8) -> bool {  g(a) }", &changes.iter().collect::<Vec<_>>()).unwrap();
        assert!(!elsewhere.holds(1));
    }

    #[test]
    fn what_the_compiler_says_is_laid_to_the_closest_change() {
        let changes = [change(1, 1, 13, Genre::BinaryOperator, "-"), change(2, 1, 13, Genre::BinaryOperator, "*")];
        let woven = weave("fn f() { 'a' + 2; }", &[]).unwrap();
        assert!(woven.blame((0, 1)).is_empty());
        let woven = weave("fn f() { aa + 2; }", &changes.iter().collect::<Vec<_>>()).unwrap();
        let at = woven.text.find("l * r").unwrap();
        assert_eq!(woven.blame((at, at + 5)), [2]);
        let at = woven.text.find("l + r").unwrap();
        assert_eq!(woven.blame((at, at + 5)), [1, 2]);
    }
}
