//! What each way to renew costs: the pads of an axle alone, one axle, both.

use model::{Alternative, Axle, CostRow, Decimal, PriceBasis, PriceItem, Scope};

use super::sum;

/// Whether a row is part of renewing an axle's pads alone.
const fn is_of_pads(item: PriceItem) -> bool {
    matches!(item, PriceItem::PadSet | PriceItem::WearLead | PriceItem::LabourHour)
}

/// What renewing so much of this axle costs; nothing where the list has no price for what it is about.
pub fn cost_of(basis: &PriceBasis, rows: &[CostRow], axle: Axle, scope: Scope) -> Option<Decimal> {
    let on_axle = || rows.iter().filter(|row| row.axle == axle);
    let (is_part, about): (fn(&CostRow) -> bool, _) = match scope {
        Scope::PadsOnly => (|row| is_of_pads(row.item), PriceItem::PadSet),
        Scope::OneAxle | Scope::BothAxles => (|_| true, PriceItem::Disc),
    };
    on_axle().any(|row| row.item == about).then(|| sum(basis, on_axle().filter(|row| is_part(row))))
}

/// Every way that the list has prices for.
pub fn list(basis: &PriceBasis, rows: &[CostRow]) -> Vec<Alternative> {
    let mut ways = Vec::new();
    for scope in [Scope::PadsOnly, Scope::OneAxle] {
        for &axle in Axle::ALL {
            let cost = cost_of(basis, rows, axle, scope);
            ways.extend(cost.map(|cost| Alternative { scope, axle: Some(axle), cost }));
        }
    }
    let both: Option<Vec<_>> = Axle::ALL.iter().map(|&axle| cost_of(basis, rows, axle, Scope::OneAxle)).collect();
    ways.extend(both.map(|costs| Alternative {
        scope: Scope::BothAxles,
        axle: None,
        cost: basis.currency.round(costs.into_iter().sum()),
    }));
    ways
}
