//! Pages to the page writer's operations, with marked content for the tags.

use std::collections::BTreeMap;

use printpdf::{
    Color, CurTransMat, DictItem, FontId, LineCapStyle, LineDashPattern, LineJoinStyle, LinePoint, Op, PaintMode,
    PdfFontHandle, PdfPage, Point, Polygon, PolygonRing, Pt, Rect, Rgb, TextItem, WindingOrder, XObjectId,
    XObjectTransform,
};

use super::{
    face::{FIXED_SPACE, Face, NARROW_SPACE, NARROWED_BY, Typeface, stand_in},
    flow::{PAGE_HEIGHT, PAGE_WIDTH, Sheet},
    ink::Ink,
    mark::{Area, Mark, Pen, Place, Step},
    text::Style,
    tree::{Kid, NodeId, Tree},
};

/// The operations of all pages. Hangs the marked content on the tree.
pub(crate) fn paint_sheets(typeface: &Typeface, sheets: &[Sheet], tree: &mut Tree) -> Painted {
    let mut painted = Painted::default();
    for (page, sheet) in sheets.iter().enumerate() {
        let mut painter = Painter { typeface, ops: Vec::new(), fill: None, line: None, font: None, round: false };
        let mut owners = Vec::new();
        for group in sheet.marks.chunk_by(|a, b| a.tag == b.tag) {
            painter.open(group[0].tag, page, &mut owners, tree);
            for tagged in group {
                painter.paint(&tagged.mark);
            }
            painter.ops.push(Op::EndMarkedContentWithProperties);
        }
        for (link, area) in sheet.links.iter().enumerate() {
            tree.hang(area.tag, Kid::Link { page, link });
        }
        painted.pages.push(PdfPage {
            media_box: sheet_area(),
            trim_box: sheet_area(),
            crop_box: sheet_area(),
            ops: painter.ops,
        });
        painted.owners.push(owners);
    }
    painted
}

/// The pages as operations.
#[derive(Default)]
pub(crate) struct Painted {
    pub pages: Vec<PdfPage>,
    /// For each page the node that each marked content belongs to.
    pub owners: Vec<Vec<NodeId>>,
}

/// The name of a photograph among a page's resources.
pub(crate) fn photograph_name(index: usize) -> String {
    format!("P{index}")
}

fn sheet_area() -> Rect {
    Rect {
        x: Pt(0.0),
        y: Pt(0.0),
        width: Pt(PAGE_WIDTH as f32),
        height: Pt(PAGE_HEIGHT as f32),
        mode: None,
        winding_order: None,
    }
}

struct Painter<'a> {
    typeface: &'a Typeface,
    ops: Vec<Op>,
    // What the page's state is, so that only changes are written.
    fill: Option<Ink>,
    line: Option<Pen>,
    font: Option<(Face, u64)>,
    round: bool,
}

/// A hundredth of a point is finer than any printer.
fn points(length: f64) -> Pt {
    Pt(((length * 100.0).round() / 100.0) as f32)
}

fn point(place: Place) -> Point {
    Point { x: points(place.x), y: points(PAGE_HEIGHT - place.y) }
}

fn color(ink: Ink) -> Color {
    let [r, g, b] = ink.rgb().map(|part| (f32::from(part) / 255.0 * 1000.0).round() / 1000.0);
    Color::Rgb(Rgb { r, g, b, icc_profile: None })
}

impl Painter<'_> {
    fn open(&mut self, tag: Option<NodeId>, page: usize, owners: &mut Vec<NodeId>, tree: &mut Tree) {
        let Some(node) = tag else {
            self.ops.push(Op::BeginMarkedContent { tag: "Artifact".into() });
            return;
        };
        let mark = owners.len();
        owners.push(node);
        tree.hang(node, Kid::Content { page, mark });
        let map = BTreeMap::from([("MCID".to_owned(), DictItem::Int(i64::try_from(mark).unwrap_or(i64::MAX)))]);
        self.ops.push(Op::BeginMarkedContentWithProperties {
            tag: tree.node(node).role.name().into(),
            properties: DictItem::Dict { map },
        });
    }

    fn paint(&mut self, mark: &Mark) {
        match mark {
            Mark::Text { at, text, style, .. } => self.text(*at, text, *style),
            Mark::Path { steps, fill, pen } => {
                if let Some(ink) = fill {
                    self.set_fill(*ink);
                    self.polygon(steps, PaintMode::Fill);
                }
                if let Some(pen) = pen {
                    self.set_pen(*pen, false);
                    self.lines(steps);
                }
            }
            Mark::Dots { centres, radius, ink } => self.dots(centres, *radius, *ink),
            Mark::Photograph { area, index } => self.photograph(*area, *index),
        }
    }

    fn text(&mut self, at: Place, text: &str, style: Style) {
        self.set_fill(style.ink);
        self.ops.push(Op::StartTextSection);
        let font = (style.face, style.size.to_bits());
        if self.font != Some(font) {
            self.font = Some(font);
            self.ops.push(Op::SetFont {
                font: PdfFontHandle::External(FontId(style.face.resource().into())),
                size: points(style.size),
            });
        }
        self.ops.push(Op::SetTextCursor { pos: point(at) });
        self.ops.push(Op::ShowText { items: self.items(text) });
        self.ops.push(Op::EndTextSection);
    }

    fn items(&self, text: &str) -> Vec<TextItem> {
        let mut items = Vec::new();
        let mut run = String::new();
        for c in text.chars() {
            match c {
                FIXED_SPACE => run.push(' '),
                NARROW_SPACE => {
                    run.push(' ');
                    items.push(TextItem::Text(std::mem::take(&mut run)));
                    items.push(TextItem::Offset(NARROWED_BY as f32));
                }
                _ if self.typeface.prints(c) => run.push(c),
                _ => run.push_str(&stand_in(c)),
            }
        }
        if !run.is_empty() {
            items.push(TextItem::Text(run));
        }
        items
    }

    fn set_fill(&mut self, ink: Ink) {
        if self.fill != Some(ink) {
            self.fill = Some(ink);
            self.ops.push(Op::SetFillColor { col: color(ink) });
        }
    }

    fn set_pen(&mut self, pen: Pen, round: bool) {
        if self.line != Some(pen) {
            self.line = Some(pen);
            self.ops.push(Op::SetOutlineColor { col: color(pen.ink) });
            self.ops.push(Op::SetOutlineThickness { pt: points(pen.width) });
            let dash = match pen.dash {
                None => LineDashPattern::solid(),
                Some(length) => LineDashPattern::new(0.0, &[points(length).0, points(length).0]),
            };
            self.ops.push(Op::SetLineDashPattern { dash });
        }
        if self.round != round {
            self.round = round;
            let (cap, join) = if round {
                (LineCapStyle::Round, LineJoinStyle::Round)
            } else {
                (LineCapStyle::Butt, LineJoinStyle::Miter)
            };
            self.ops.push(Op::SetLineCapStyle { cap });
            self.ops.push(Op::SetLineJoinStyle { join });
        }
    }

    fn polygon(&mut self, steps: &[Step], mode: PaintMode) {
        let rings = subpaths(steps).into_iter().map(|(points, _)| PolygonRing { points }).collect();
        self.ops.push(Op::DrawPolygon { polygon: Polygon { rings, mode, winding_order: WindingOrder::NonZero } });
    }

    fn lines(&mut self, steps: &[Step]) {
        for (points, is_closed) in subpaths(steps) {
            self.ops.push(Op::DrawLine { line: printpdf::Line { points, is_closed } });
        }
    }

    /// A dot is a line too short to see, with round ends: a tenth of the bytes of four curves.
    fn dots(&mut self, centres: &[Place], radius: f64, ink: Ink) {
        if centres.is_empty() {
            return;
        }
        self.set_pen(Pen::solid(ink, 2.0 * radius), true);
        // A tenth of a point is a tenth of a dot: nobody sees it, and the file is a third smaller.
        let tenths = |length: f64| Pt(((length * 10.0).round() / 10.0) as f32);
        let corner =
            |x: f64, y: f64| LinePoint { p: Point { x: tenths(x), y: tenths(PAGE_HEIGHT - y) }, bezier: false };
        let rings = centres
            .iter()
            .map(|at| PolygonRing { points: vec![corner(at.x, at.y), corner(at.x + 0.1, at.y)] })
            .collect();
        let polygon = Polygon { rings, mode: PaintMode::Stroke, winding_order: WindingOrder::NonZero };
        self.ops.push(Op::DrawPolygon { polygon });
    }

    fn photograph(&mut self, area: Area, index: usize) {
        let corner = point(Place { x: area.x, y: area.bottom() });
        let matrix = CurTransMat::Raw([points(area.width).0, 0.0, 0.0, points(area.height).0, corner.x.0, corner.y.0]);
        self.ops.push(Op::SaveGraphicsState);
        self.ops.push(Op::SetTransformationMatrix { matrix });
        let transform = XObjectTransform { no_auto_scale: true, ..XObjectTransform::default() };
        self.ops.push(Op::UseXobject { id: XObjectId(photograph_name(index)), transform });
        self.ops.push(Op::RestoreGraphicsState);
    }
}

fn subpaths(steps: &[Step]) -> Vec<(Vec<LinePoint>, bool)> {
    let mut paths: Vec<(Vec<LinePoint>, bool)> = Vec::new();
    let corner = |place: Place| LinePoint { p: point(place), bezier: false };
    let control = |place: Place| LinePoint { p: point(place), bezier: true };
    for step in steps {
        match (*step, paths.last_mut()) {
            (Step::Move(to), _) => paths.push((vec![corner(to)], false)),
            (Step::Line(to), Some((points, _))) => points.push(corner(to)),
            (Step::Curve(a, b, to), Some((points, _))) => points.extend([control(a), control(b), corner(to)]),
            (Step::Close, Some((_, closed))) => *closed = true,
            (_, None) => {}
        }
    }
    paths
}
