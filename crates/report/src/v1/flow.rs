//! Blocks one under the other, page after page.

use super::{
    face::Typeface,
    mark::{Area, HeadingKey, Link, Mark, Place, Tagged},
    text::{Line, Span, set_lines},
    tree::{NodeId, Tree},
};

/// A4 in points.
pub(crate) const PAGE_WIDTH: f64 = 595.28;
/// A4 in points.
pub(crate) const PAGE_HEIGHT: f64 = 841.89;
/// Left and right margin.
pub(crate) const MARGIN: f64 = 51.02;
/// Where the text begins.
pub(crate) const TOP: f64 = 56.0;
/// Where the text ends; the foot of the page stands below.
pub(crate) const BOTTOM: f64 = 772.0;
/// The width of the text.
pub(crate) const WIDTH: f64 = PAGE_WIDTH - 2.0 * MARGIN;

/// Something that is put on a page as a whole. Its places count from its own upper left corner.
#[derive(Debug, Clone, Default)]
pub(crate) struct Block {
    pub height: f64,
    pub marks: Vec<Tagged>,
    pub links: Vec<Link>,
    /// The heading that the block is, for links and bookmarks.
    pub heading: Option<Heading>,
    /// Whether it must not be the last on its page.
    pub stays_with_next: bool,
}

/// A heading's entry among the bookmarks.
#[derive(Debug, Clone)]
pub(crate) struct Heading {
    pub text: String,
    /// 1 or 2.
    pub level: u8,
    pub key: Option<HeadingKey>,
}

impl Block {
    pub(crate) fn space(height: f64) -> Self {
        Self { height, ..Self::default() }
    }

    pub(crate) fn put(&mut self, mark: Mark, tag: Option<NodeId>) {
        self.marks.push(Tagged { mark, tag });
    }

    /// Puts a set line with its baseline at `y`.
    pub(crate) fn put_line(&mut self, line: &Line, x: f64, y: f64, tag: Option<NodeId>) {
        for piece in &line.pieces {
            self.put(
                Mark::Text {
                    at: Place { x: x + piece.x, y },
                    width: piece.width,
                    text: piece.text.clone(),
                    style: piece.style,
                },
                tag,
            );
        }
    }

    /// Puts another block at a place of this one and grows to hold it.
    pub(crate) fn absorb(&mut self, other: Self, dx: f64, dy: f64) {
        for mut tagged in other.marks {
            tagged.mark.shift(dx, dy);
            self.marks.push(tagged);
        }
        for mut link in other.links {
            link.area.x += dx;
            link.area.y += dy;
            self.links.push(link);
        }
        self.height = self.height.max(dy + other.height);
    }
}

/// A finished page.
#[derive(Debug, Default)]
pub(crate) struct Sheet {
    pub marks: Vec<Tagged>,
    pub links: Vec<Link>,
}

/// A heading as it was placed.
#[derive(Debug)]
pub(crate) struct Bookmark {
    pub heading: Heading,
    pub page: usize,
    pub y: f64,
}

/// All pages, with their tags and bookmarks.
pub(crate) struct Laid {
    pub sheets: Vec<Sheet>,
    pub tree: Tree,
    pub bookmarks: Vec<Bookmark>,
    pub seal: Option<Area>,
}

/// The pages as they fill.
pub(crate) struct Flow<'a> {
    pub typeface: &'a Typeface,
    pub tree: Tree,
    pub sheets: Vec<Sheet>,
    pub bookmarks: Vec<Bookmark>,
    y: f64,
    /// Blocks that wait for the one that they must not be parted from.
    waiting: Vec<Block>,
    /// Whether what is put stays together with what comes after it.
    grouping: bool,
    /// Where the signature's field stands on page 1.
    pub seal: Option<Area>,
}

impl<'a> Flow<'a> {
    pub(crate) fn new(typeface: &'a Typeface) -> Self {
        Self {
            typeface,
            tree: Tree::new(),
            sheets: vec![Sheet::default()],
            bookmarks: Vec::new(),
            y: TOP,
            waiting: Vec::new(),
            grouping: false,
            seal: None,
        }
    }

    /// The pages as they are now.
    pub(crate) fn finish(mut self) -> Laid {
        self.flush();
        Laid { sheets: self.sheets, tree: self.tree, bookmarks: self.bookmarks, seal: self.seal }
    }

    /// The height that is left on the page.
    pub(crate) fn left(&self) -> f64 {
        BOTTOM - self.y - self.waiting.iter().map(|block| block.height).sum::<f64>()
    }

    /// Where the next block will stand, from the top of the page.
    pub(crate) fn y(&self) -> f64 {
        self.y
    }

    /// Goes on at the top of a new page, unless this one is empty.
    pub(crate) fn turn_page(&mut self) {
        self.flush();
        if self.y > TOP {
            self.sheets.push(Sheet::default());
            self.y = TOP;
        }
    }

    /// Goes on at the top of a new page, and takes along what waits for what comes next.
    pub(crate) fn turn_page_keeping(&mut self) {
        let waiting = std::mem::take(&mut self.waiting);
        if self.y > TOP {
            self.sheets.push(Sheet::default());
            self.y = TOP;
        }
        self.waiting = waiting;
    }

    /// Goes on at the top of a new page where less than `height` is left on this one.
    pub(crate) fn turn_page_unless(&mut self, height: f64) {
        if self.left() < height {
            self.turn_page();
        }
    }

    /// Puts a block under the last one, on the next page where this one has no room.
    pub(crate) fn put(&mut self, block: Block) {
        let stays = block.stays_with_next || self.grouping;
        self.waiting.push(block);
        if !stays {
            self.flush();
        }
    }

    /// Keeps on one page, where a page can hold it, all that `set` puts.
    pub(crate) fn together(&mut self, set: impl FnOnce(&mut Self)) {
        self.grouping = true;
        set(self);
        self.grouping = false;
        self.flush();
    }

    /// Places what waits for a block that may not come.
    pub(crate) fn flush(&mut self) {
        let blocks = std::mem::take(&mut self.waiting);
        let height: f64 = blocks.iter().map(|block| block.height).sum();
        // What is higher than a page is parted after all.
        if self.y + height > BOTTOM && height <= BOTTOM - TOP {
            self.new_sheet();
        }
        for block in blocks {
            self.place(block);
        }
    }

    fn new_sheet(&mut self) {
        if self.y > TOP {
            self.sheets.push(Sheet::default());
            self.y = TOP;
        }
    }

    fn place(&mut self, mut block: Block) {
        if self.y + block.height > BOTTOM {
            self.new_sheet();
        }
        // Space at the top of a page is no use.
        if block.marks.is_empty() && block.heading.is_none() && self.y <= TOP {
            return;
        }
        if let Some(heading) = block.heading.take() {
            self.bookmarks.push(Bookmark { heading, page: self.sheets.len() - 1, y: self.y });
        }
        let height = block.height;
        let mut whole = Block::default();
        whole.absorb(block, MARGIN, self.y);
        if let Some(sheet) = self.sheets.last_mut() {
            sheet.marks.append(&mut whole.marks);
            sheet.links.append(&mut whole.links);
        }
        self.y += height;
    }

    pub(crate) fn space(&mut self, height: f64) {
        self.put(Block::space(height));
    }

    /// Text over the whole width, line by line; no line of it stands alone at a page's end or beginning.
    pub(crate) fn put_text(&mut self, spans: &[Span], tag: NodeId, indent: f64, leading: f64) {
        let lines = set_lines(self.typeface, spans, WIDTH - indent);
        let count = lines.len();
        for (place, line) in lines.into_iter().enumerate() {
            let mut block = Block { height: leading, ..Block::default() };
            block.put_line(&line, indent, leading * 0.74, Some(tag));
            block.stays_with_next = (place == 0 && count > 1) || (place + 2 == count);
            self.put(block);
        }
    }

    /// The same, and the last line stays with what follows.
    pub(crate) fn put_kept_text(&mut self, spans: &[Span], tag: NodeId, indent: f64, leading: f64) {
        for line in set_lines(self.typeface, spans, WIDTH - indent) {
            let mut block = Block { height: leading, stays_with_next: true, ..Block::default() };
            block.put_line(&line, indent, leading * 0.74, Some(tag));
            self.put(block);
        }
    }

    /// A block of text of some width.
    pub(crate) fn text_block(&self, spans: &[Span], width: f64, leading: f64, tag: Option<NodeId>) -> Block {
        let mut block = Block::default();
        for line in set_lines(self.typeface, spans, width) {
            block.put_line(&line, 0.0, block.height + leading * 0.74, tag);
            block.height += leading;
        }
        block
    }

    /// A block of text of some width whose lines are as high as their largest type asks.
    pub(crate) fn stack(&self, spans: &[Span], width: f64, tag: Option<NodeId>) -> Block {
        let mut block = Block::default();
        for line in set_lines(self.typeface, spans, width) {
            let size = line.pieces.iter().map(|piece| piece.style.size).fold(0.0, f64::max);
            let leading = (size * 1.34).max(6.0);
            block.put_line(&line, 0.0, block.height + leading * 0.76, tag);
            block.height += leading;
        }
        block
    }
}
