//! What pages are made of: headings, paragraphs, facts, tables.

use super::{
    face::Face,
    flow::{BOTTOM, Block, Flow, Heading, TOP, WIDTH},
    ink::Ink,
    mark::{HeadingKey, Mark, Pen},
    text::{Line, Span, Style, set_lines},
    tree::{NodeId, Role, Tree},
};

pub(crate) const BODY: Style = Style::new(Face::Regular, 10.5, Ink::Black);
pub(crate) const BODY_BOLD: Style = Style::new(Face::Bold, 10.5, Ink::Black);
pub(crate) const SMALL: Style = Style::new(Face::Regular, 9.0, Ink::Black);
pub(crate) const SMALL_BOLD: Style = Style::new(Face::Bold, 9.0, Ink::Black);
pub(crate) const LABEL: Style = Style::new(Face::Regular, 9.0, Ink::Grey);
pub(crate) const HEADING_1: Style = Style::new(Face::Bold, 19.0, Ink::Black);
pub(crate) const HEADING_2: Style = Style::new(Face::Bold, 12.5, Ink::Black);
pub(crate) const BODY_LEADING: f64 = 14.4;
pub(crate) const SMALL_LEADING: f64 = 12.2;
/// The type of a table that is looked up, and its leading.
const DENSE: f64 = 8.2;
const DENSE_LEADING: f64 = 10.4;
pub(crate) const HAIRLINE: Pen = Pen::solid(Ink::Hairline, 0.5);

/// A table up to this share of a page is not parted.
const MOST_WHOLE: f64 = 0.45;

/// A section does not begin where less than this is left of a page.
pub(crate) const LEAST_LEFT: f64 = 110.0;

/// Where the second column of facts begins.
const FACT_AT: f64 = 0.26 * WIDTH;

impl Flow<'_> {
    /// A part of the report with its heading; the section's node comes back.
    pub(crate) fn section(&mut self, title: &str, key: Option<HeadingKey>) -> NodeId {
        let section = self.tree.add(Tree::ROOT, Role::Section);
        let tag = self.tree.add(section, Role::Heading1);
        if self.y() > TOP {
            self.space(26.0);
        }
        let mut block = self.text_block(&[Span::new(title, HEADING_1)], WIDTH, 24.0, Some(tag));
        block.put(Mark::rule(0.0, block.height + 3.0, WIDTH, Pen::solid(Ink::Black, 0.9)), None);
        block.height += 12.0;
        block.heading = Some(Heading { text: title.to_owned(), level: 1, key });
        block.stays_with_next = true;
        self.put(block);
        section
    }

    /// A heading inside a section.
    pub(crate) fn subheading(&mut self, section: NodeId, title: &str, bookmarked: bool) {
        let tag = self.tree.add(section, Role::Heading2);
        self.space(11.0);
        let mut block = self.text_block(&[Span::new(title, HEADING_2)], WIDTH, 17.0, Some(tag));
        block.height += 3.0;
        block.heading = bookmarked.then(|| Heading { text: title.to_owned(), level: 2, key: None });
        block.stays_with_next = true;
        self.put(block);
    }

    /// A paragraph in the body's type.
    pub(crate) fn paragraph(&mut self, section: NodeId, spans: &[Span]) {
        let tag = self.tree.add(section, Role::Paragraph);
        let leading = spans.first().map_or(BODY_LEADING, |span| span.style.size * 1.37);
        self.put_text(spans, tag, 0.0, leading);
        self.space(5.0);
    }

    /// Somebody's own words, with a stroke beside them.
    pub(crate) fn quote(&mut self, section: NodeId, spans: &[Span]) {
        let tag = self.tree.add(section, Role::Paragraph);
        for line in set_lines(self.typeface, spans, WIDTH - 14.0) {
            let mut block = Block { height: BODY_LEADING, ..Block::default() };
            block.put(Mark::upright(1.0, 0.0, BODY_LEADING, Pen::solid(Ink::Black, 1.6)), None);
            block.put_line(&line, 14.0, BODY_LEADING * 0.74, Some(tag));
            self.put(block);
        }
        self.space(6.0);
    }

    /// A label and what it stands for.
    pub(crate) fn fact(&mut self, section: NodeId, label: &str, value: &str) {
        let tag = self.tree.add(section, Role::Paragraph);
        let lines = set_lines(self.typeface, &[Span::new(value, BODY)], WIDTH - FACT_AT);
        let label = set_lines(self.typeface, &[Span::new(label, LABEL)], FACT_AT - 10.0);
        let count = lines.len().max(label.len());
        for place in 0..count {
            let mut block = Block { height: BODY_LEADING, ..Block::default() };
            if let Some(label) = label.get(place) {
                block.put_line(label, 0.0, BODY_LEADING * 0.74, Some(tag));
            }
            if let Some(line) = lines.get(place) {
                block.put_line(line, FACT_AT, BODY_LEADING * 0.74, Some(tag));
            }
            block.stays_with_next = (place == 0 && count > 1) || place + 2 == count;
            self.put(block);
        }
        self.space(2.5);
    }

    /// A table; its head is repeated on each page that it reaches.
    pub(crate) fn table(&mut self, section: NodeId, table: &Table) {
        let node = self.tree.add(section, Role::Table);
        let head_row = self.tree.add(node, Role::Row);
        let mut head = self.table_row(table, &table.head, Some((head_row, Role::HeadCell)));
        head.put(Mark::rule(0.0, head.height, WIDTH, Pen::solid(Ink::Black, 0.7)), None);
        head.stays_with_next = true;
        let mut again = head.clone();
        again.marks.iter_mut().for_each(|tagged| tagged.tag = None);
        // A table that a page can hold stays whole.
        let rows: Vec<Block> = table
            .rows
            .iter()
            .map(|row| {
                let tag = self.tree.add(node, Role::Row);
                self.table_row(table, row, Some((tag, Role::Cell)))
            })
            .collect();
        let height = head.height + rows.iter().map(|row| row.height).sum::<f64>();
        if height > self.left() && height <= (BOTTOM - TOP) * MOST_WHOLE {
            self.turn_page_keeping();
        }
        self.put(head);
        for (place, whole) in rows.into_iter().enumerate() {
            let leading = if table.is_dense { DENSE_LEADING } else { SMALL_LEADING };
            let parts = if whole.height > (BOTTOM - TOP) * 0.4 { split(whole, leading) } else { vec![whole] };
            let last = parts.len() - 1;
            for (number, mut part) in parts.into_iter().enumerate() {
                if part.height > self.left() && (place > 0 || number > 0) {
                    self.turn_page();
                    self.put(again.clone());
                }
                if number == last {
                    part.put(Mark::rule(0.0, part.height, WIDTH, HAIRLINE), None);
                }
                self.put(part);
            }
        }
        self.space(8.0);
    }

    fn table_row(&mut self, table: &Table, cells: &[Vec<Span>], tag: Option<(NodeId, Role)>) -> Block {
        let mut block = Block::default();
        let mut x = 0.0;
        let (leading, padding) = if table.is_dense { (DENSE_LEADING, 4.0) } else { (SMALL_LEADING, 5.0) };
        for (column, cell) in table.columns.iter().zip(cells) {
            let width = column.share * WIDTH;
            let node = tag.map(|(row, role)| self.tree.add(row, role));
            let mut spans = cell.clone();
            if table.is_dense {
                for span in &mut spans {
                    span.style.size = DENSE;
                }
            }
            let lines: Vec<Line> = set_lines(self.typeface, &spans, width - 9.0);
            for (place, line) in lines.iter().enumerate() {
                let left = if column.right { x + width - 9.0 - line.width } else { x };
                block.put_line(line, left, padding / 2.0 - 0.5 + leading * (place as f64 + 0.76), node);
            }
            block.height = block.height.max(lines.len() as f64 * leading + padding);
            x += width;
        }
        block
    }
}

/// Parts a high row between its lines.
fn split(whole: Block, leading: f64) -> Vec<Block> {
    let count = (((whole.height - 7.0) / leading).round() as usize).max(1);
    let mut parts: Vec<Block> = (0..count).map(|_| Block { height: leading, ..Block::default() }).collect();
    for mut tagged in whole.marks {
        if let Mark::Text { at, .. } = &tagged.mark {
            let place = (((at.y - 3.0) / leading) as usize).min(count - 1);
            tagged.mark.shift(0.0, -(place as f64) * leading);
            parts[place].marks.push(tagged);
        }
    }
    if let Some(last) = parts.last_mut() {
        last.height += 7.0;
    }
    parts
}

/// A column's share of the width.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Column {
    pub share: f64,
    pub right: bool,
}

/// Text in columns.
#[derive(Debug, Default)]
pub(crate) struct Table {
    pub columns: Vec<Column>,
    pub head: Vec<Vec<Span>>,
    pub rows: Vec<Vec<Vec<Span>>>,
    /// Set smaller and closer: what is looked up rather than read.
    pub is_dense: bool,
}

impl Table {
    /// An empty table; a column whose head begins with `>` is set to the right.
    pub(crate) fn new(columns: &[(f64, &str)]) -> Self {
        let mut table = Self::default();
        for (share, title) in columns {
            let right = title.starts_with('>');
            table.columns.push(Column { share: *share, right });
            table.head.push(vec![Span::new(title.trim_start_matches('>'), LABEL)]);
        }
        table
    }

    /// The same, set smaller and closer.
    pub(crate) fn dense(columns: &[(f64, &str)]) -> Self {
        Self { is_dense: true, ..Self::new(columns) }
    }

    /// A row in small type.
    pub(crate) fn row<const N: usize>(&mut self, cells: [&str; N]) {
        self.rows.push(cells.iter().map(|cell| vec![Span::new(cell, SMALL)]).collect());
    }
}
