//! What renewal costs, from the price basis and nothing else.

use model::{
    Axle, CornerName, CornerReckoning, CostReckoning, CostRow, Decimal, Figure, Inspection, PerCorner, PriceBasis,
    PriceItem, PriceLine, Stage,
};

/// The rows of the price basis, which of them the findings call for now, and their sums; nothing without a basis.
///
/// Due now: the discs of an axle where either disc is at the end of its life; the pads of an axle where any lining is at
/// its renewal mark, and with every renewal of discs; leads, fixings and labour with what they belong to.
pub fn reckon(inspection: &Inspection, corners: &PerCorner<CornerReckoning>) -> Option<CostReckoning> {
    let basis = inspection.prices.as_ref()?;
    let rows: Vec<_> = basis.lines.iter().map(|line| row(basis, line, due(corners, line.axle))).collect();
    let gross = |row: &CostRow| row.net + row.tax;
    let mut remarks = remarks(inspection, basis, corners);
    remarks.extend(pads_alone(&rows, corners));
    Some(CostReckoning {
        currency: basis.currency,
        due_now: basis.currency.round(rows.iter().filter(|row| row.due_now).map(gross).sum()),
        all: basis.currency.round(rows.iter().map(gross).sum()),
        rows,
        remarks,
    })
}

#[derive(Debug, Clone, Copy)]
struct Due {
    discs: bool,
    pads: bool,
}

fn due(corners: &PerCorner<CornerReckoning>, axle: Axle) -> Due {
    let on_axle = || corners.iter().filter(|(name, _)| name.axle() == axle).map(|(_, corner)| corner);
    let at_mark = |pad: &Option<Figure>| pad.as_ref().is_some_and(|figure| figure.value >= 1.0);
    let discs = on_axle().any(|corner| corner.disc_stage == Stage::EndOfLife);
    Due { discs, pads: discs || on_axle().any(|corner| at_mark(&corner.outer_pad) || at_mark(&corner.inner_pad)) }
}

fn row(basis: &PriceBasis, line: &PriceLine, due: Due) -> CostRow {
    let net = basis.currency.round(line.quantity * line.unit_price);
    let percent = Decimal::try_from(line.tax_percent.value()).unwrap_or_default();
    let tax = basis.currency.round(net * percent / Decimal::ONE_HUNDRED);
    let due_now = match line.item {
        PriceItem::Disc | PriceItem::Fixings => due.discs,
        PriceItem::PadSet | PriceItem::WearLead | PriceItem::LabourHour => due.pads,
    };
    CostRow { axle: line.axle, item: line.item, quantity: line.quantity, net, tax, due_now }
}

fn remarks(inspection: &Inspection, basis: &PriceBasis, corners: &PerCorner<CornerReckoning>) -> Vec<String> {
    let mut remarks = vec![format!("Prices: {}, dated {}.", basis.origin, basis.dated)];
    let visited = inspection.visited_at.date_naive();
    match basis.valid_until {
        Some(end) if end < visited => {
            remarks.push(format!("The prices were valid until {end}, before this visit; ask again."));
        }
        Some(end) => remarks.push(format!("They are valid until {end}.")),
        None => remarks.push("How long they are valid is not said.".to_owned()),
    }
    for &axle in Axle::ALL {
        let has = |item| basis.lines.iter().any(|line| line.axle == axle && line.item == item);
        let due = due(corners, axle);
        for (item, is_due) in
            [(PriceItem::Disc, due.discs), (PriceItem::PadSet, due.pads), (PriceItem::LabourHour, due.pads)]
        {
            if is_due && !has(item) {
                remarks.push(format!(
                    "No price was given for the {} axle's {}, which is due; the sum lacks it.",
                    axle.words(),
                    item.words()
                ));
            }
        }
    }
    remarks
}

fn pads_alone(rows: &[CostRow], corners: &PerCorner<CornerReckoning>) -> Option<String> {
    let labour_with_pads_only =
        rows.iter().any(|row| row.item == PriceItem::LabourHour && row.due_now && !due(corners, row.axle).discs);
    labour_with_pads_only.then(|| {
        "Where only pads are due, the labour of a renewal with discs is counted in full; pads alone take less."
            .to_owned()
    })
}

/// The corners whose disc is at the end of its life.
pub fn spent_discs(corners: &PerCorner<CornerReckoning>) -> Vec<CornerName> {
    corners.iter().filter(|(_, corner)| corner.disc_stage == Stage::EndOfLife).map(|(name, _)| name).collect()
}
