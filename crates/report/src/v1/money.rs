//! Ways to renew, and what is to be expected within the buyer's own distance.

use model::{CostReckoning, LifeBasis, OdometerUnit};

use super::{
    flow::Flow,
    setting::{BODY, SMALL, Table},
    text::Span,
    tree::NodeId,
    words,
};

/// Sets what each way to renew costs.
pub(crate) fn set_ways(flow: &mut Flow<'_>, section: NodeId, cost: &CostReckoning) {
    if cost.alternatives.is_empty() {
        return;
    }
    flow.subheading(section, "Ways to renew", false);
    let mut table = Table::dense(&[(0.4, "What"), (0.3, "Axle"), (0.3, ">With tax")]);
    for way in &cost.alternatives {
        let axle = way.axle.map_or("front and rear", model::Axle::words);
        table.row([way.scope.words(), axle, &words::money(cost.currency, way.cost)]);
    }
    flow.table(section, &table);
}

/// Sets what is to be expected, on each basis; the bases disagree and stand side by side.
pub(crate) fn set_expected(flow: &mut Flow<'_>, section: NodeId, cost: &CostReckoning, unit: OdometerUnit) {
    let Some(first) = cost.expected.first() else { return };
    let title = format!("Within the buyer's own {}", words::distance(first.within_km, unit));
    flow.subheading(section, &title, false);
    let mut table = Table::dense(&[(0.3, "By"), (0.3, "What"), (0.16, ">Chance"), (0.24, ">Cost with tax")]);
    for expected in &cost.expected {
        let basis = match expected.basis {
            LifeBasis::Paper => "a published figure, the most",
            other => other.words(),
        };
        for row in &expected.rows {
            let what = if row.discs { "discs and pads" } else { "pads alone" };
            table.row([
                basis,
                &format!("{} axle, {what}", row.axle.words()),
                &words::chance(row.chance),
                &words::money(cost.currency, row.cost),
            ]);
        }
        table.row([basis, "to be expected, chance times cost", "", &words::money(cost.currency, expected.expected)]);
    }
    flow.table(section, &table);
    let mut lacks: Vec<&str> = cost.expected.iter().flat_map(|expected| &expected.lacks).map(String::as_str).collect();
    lacks.dedup();
    for lacking in lacks {
        flow.paragraph(section, &[Span::new(&format!("Not in it: {lacking}."), SMALL)]);
    }
    for said in &cost.against_asking {
        flow.paragraph(section, &[Span::new(&said.text, BODY)]);
    }
}
