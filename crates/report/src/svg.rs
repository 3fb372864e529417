//! Drawings of the report as SVG, for a screen.

use std::fmt::Write as _;

use model::MeasuredDrive;

use crate::v1::{Anchor, DrivePlot, LETTERS, Lettering, Stroke};

/// A recorded drive as SVG 2. Lines and letters take the colour of the text around them.
pub fn draw_drive(drive: &MeasuredDrive) -> String {
    let plot = DrivePlot::of(drive);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {:.0} {:.0}\" role=\"img\" font-family=\"sans-serif\" \
         font-size=\"{LETTERS}\" fill=\"currentColor\" stroke=\"currentColor\">\n<title>{}</title>\n",
        plot.size.0, plot.size.1, plot.description
    );
    for Stroke { points, width, dashed } in &plot.strokes {
        let dash = if *dashed { " stroke-dasharray=\"3 2\"" } else { "" };
        let step = |(nth, (x, y)): (usize, &(f64, f64))| format!("{}{x:.1} {y:.1}", if nth == 0 { "M" } else { "L" });
        let path: String = points.iter().enumerate().map(step).collect();
        let _ = writeln!(svg, "<path d=\"{path}\" fill=\"none\" stroke-width=\"{width}\"{dash}/>");
    }
    for Lettering { at: (x, y), anchor, text } in &plot.lettering {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let _ = writeln!(svg, "<text x=\"{x:.1}\" y=\"{y:.1}\" stroke=\"none\" text-anchor=\"{anchor}\">{text}</text>");
    }
    svg + "</svg>\n"
}
