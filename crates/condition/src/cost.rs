//! What renewal costs, from the price basis and nothing else.

mod ahead;
mod scope;

use model::{
    Axle, CornerName, CornerReckoning, CostReckoning, CostRow, Decimal, Inspection, PadName, PerCorner, PriceBasis,
    PriceItem, PriceLine,
};

use crate::{
    life::Lives,
    renewal::{find_pad_due, is_disc_due},
    stage::may_be_at_mark,
};

/// The rule by which something is due, as the report prints it. It is the project's own.
const RULE: &str = "Counted as due now: an axle's discs with their fixings where either disc is at the end of its life, or cracked through or from a hole to its edge; its pads, wear leads and labour then too, or where a lining is at or under its renewal mark, crumbles, or was not measured and its wear lead is worn through.";

/// The rows of the price basis, which of them the findings call for now, and their sums; nothing without a basis.
///
/// Net and tax are each rounded line by line to the currency's smallest unit, half and more up (HMRC VATREC12030).
pub fn reckon(inspection: &Inspection, corners: &PerCorner<CornerReckoning>, lives: &Lives) -> Option<CostReckoning> {
    let basis = inspection.prices.as_ref()?;
    let rows: Vec<_> = basis.lines.iter().map(|line| row(basis, line, due(inspection, corners, line.axle))).collect();
    let due_now = sum(basis, rows.iter().filter(|row| row.due_now));
    let expected = ahead::expect(inspection, basis, &rows, corners, lives);
    let mut remarks = remarks(inspection, basis, corners);
    if inspection.use_ahead.is_some() && expected.is_empty() {
        remarks.push(
            "What is to be expected within the buyer's own distance is not reckoned: how far the discs go is not told."
                .to_owned(),
        );
    }
    Some(CostReckoning {
        currency: basis.currency,
        due_now,
        all: sum(basis, rows.iter()),
        alternatives: scope::list(basis, &rows),
        against_asking: ahead::hold_against_asking(
            inspection,
            basis,
            (due_now, is_anything_due(inspection, corners)),
            &expected,
        ),
        expected,
        remarks,
        rows,
    })
}

/// The rows with their tax, rounded to the currency's smallest unit.
fn sum<'a>(basis: &PriceBasis, rows: impl Iterator<Item = &'a CostRow>) -> Decimal {
    basis.currency.round(rows.map(|row| row.net + row.tax).sum())
}

/// What the findings call for on one axle.
#[derive(Debug, Clone, Copy)]
struct Due {
    discs: bool,
    pads: bool,
}

impl Due {
    fn includes(self, item: PriceItem) -> bool {
        match item {
            PriceItem::Disc | PriceItem::Fixings => self.discs,
            PriceItem::PadSet | PriceItem::WearLead | PriceItem::LabourHour => self.pads,
        }
    }
}

fn due(inspection: &Inspection, corners: &PerCorner<CornerReckoning>, axle: Axle) -> Due {
    let on_axle = || corners.iter().filter(|(name, _)| name.axle() == axle);
    let discs = on_axle().any(|(name, corner)| is_disc_due(inspection, name, corner));
    let is_pad_due = |name| PadName::ALL.iter().any(|&pad| find_pad_due(inspection, name, pad).is_some());
    Due { discs, pads: discs || on_axle().any(|(name, _)| is_pad_due(name)) }
}

/// Whether the findings call for any renewal now.
pub fn is_anything_due(inspection: &Inspection, corners: &PerCorner<CornerReckoning>) -> bool {
    Axle::ALL.iter().any(|&axle| due(inspection, corners, axle).pads)
}

/// Whether the prices no longer held on the day of the visit.
pub fn is_stale(inspection: &Inspection) -> bool {
    let end = inspection.prices.as_ref().and_then(|basis| basis.valid_until);
    end.is_some_and(|end| end < inspection.visited_at.date_naive())
}

/// What is due and has no price, as "the front axle's disc".
pub fn list_unpriced(inspection: &Inspection, corners: &PerCorner<CornerReckoning>) -> Vec<String> {
    let Some(basis) = &inspection.prices else { return Vec::new() };
    let mut unpriced = Vec::new();
    for &axle in Axle::ALL {
        let due = due(inspection, corners, axle);
        // Wear leads and fixings are not fitted everywhere: their absence from a list says nothing.
        for item in [PriceItem::Disc, PriceItem::PadSet, PriceItem::LabourHour] {
            let has_price = basis.lines.iter().any(|line| line.axle == axle && line.item == item);
            if due.includes(item) && !has_price {
                unpriced.push(format!("the {} axle's {}", axle.words(), item.words()));
            }
        }
    }
    unpriced
}

fn row(basis: &PriceBasis, line: &PriceLine, due: Due) -> CostRow {
    let net = basis.currency.round(line.quantity * line.unit_price);
    // A share from 0 to 100 always is a decimal.
    let percent = Decimal::try_from(line.tax_percent.value()).unwrap_or_default();
    let tax = basis.currency.round(net * percent / Decimal::ONE_HUNDRED);
    CostRow { axle: line.axle, item: line.item, quantity: line.quantity, net, tax, due_now: due.includes(line.item) }
}

fn remarks(inspection: &Inspection, basis: &PriceBasis, corners: &PerCorner<CornerReckoning>) -> Vec<String> {
    let mut remarks = vec![format!("Prices: {}, dated {}.", basis.origin, basis.dated)];
    remarks.push(match basis.valid_until {
        Some(end) if is_stale(inspection) => {
            format!("The prices were valid until {end}, before this visit; ask again.")
        }
        Some(end) => format!("They are valid until {end}."),
        None => "How long they are valid is not said.".to_owned(),
    });
    remarks.push(RULE.to_owned());
    let unpriced = list_unpriced(inspection, corners);
    remarks
        .extend(unpriced.iter().map(|what| format!("No price was given for {what}, which is due; the sum lacks it.")));
    remarks.extend(labour_of_pads_alone(inspection, basis, corners));
    remarks.extend(near_marks(inspection, corners));
    remarks
}

fn labour_of_pads_alone(
    inspection: &Inspection,
    basis: &PriceBasis,
    corners: &PerCorner<CornerReckoning>,
) -> Option<String> {
    let applies = basis.lines.iter().any(|line| {
        let due = due(inspection, corners, line.axle);
        line.item == PriceItem::LabourHour && due.pads && !due.discs
    });
    applies.then(|| {
        "Where only pads are due, the labour of a renewal with discs is counted in full; pads alone take less."
            .to_owned()
    })
}

/// Linings that may be at their mark in truth, and are not counted.
fn near_marks(inspection: &Inspection, corners: &PerCorner<CornerReckoning>) -> Vec<String> {
    let near = |name: CornerName, corner: &CornerReckoning| -> Vec<String> {
        [(PadName::Outer, &corner.outer_pad), (PadName::Inner, &corner.inner_pad)]
            .into_iter()
            .filter(|(_, figure)| figure.as_ref().is_some_and(may_be_at_mark))
            .map(|(pad, _)| {
                format!(
                    "The {} {} pad's lining is within its uncertainty of its renewal mark and is not counted; measure it again.",
                    name.words(),
                    pad.words()
                )
            })
            .collect()
    };
    let open = corners.iter().filter(|(name, _)| !due(inspection, corners, name.axle()).pads);
    open.flat_map(|(name, corner)| near(name, corner)).collect()
}
