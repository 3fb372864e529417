"""What other people's libraries make of the same cases: JSON comes in on standard input, JSON goes out.

GTC 1.5.1 (lines), uncertainties 3.2.3 and NumPy (weighted means), SciPy (distributions, Huber's balance), babel
(minor units), decimal (rounding), and plain enumeration in NumPy (sets of causes).
"""

import itertools
import json
import sys
from decimal import ROUND_HALF_UP, Decimal

import GTC
import numpy as np
from babel.numbers import get_currency_precision, list_currencies
from scipy import optimize, stats
from uncertainties import ufloat


def mean(case):
    values, spreads = np.array(case).T
    weights = 1.0 / spreads**2
    total = sum(ufloat(x, u) * w for x, u, w in zip(values, spreads, weights)) / weights.sum()
    plain = total.nominal_value

    def pull(place):
        return np.sum(np.clip((values - place) / spreads, -1.96, 1.96) / spreads)

    value = plain
    if len(case) > 2 and np.any(np.abs(values - plain) > 1.96 * spreads):
        value = optimize.brentq(pull, values.min() - 1.0, values.max() + 1.0, xtol=1e-15, rtol=8.9e-16, maxiter=500)
    chi = float(np.sum(((values - value) / spreads) ** 2))
    return {"value": float(value), "plain": float(plain), "uncertainty": float(total.std_dev), "chi": chi}


def line(case):
    """Intercept at the given place and slope, by GTC's weighted least squares, or total least squares."""
    x, u_x, y, u_y = zip(*case["points"])
    shifted = [place - case["from"] for place in x]
    values = [GTC.ureal(value, u) for value, u in zip(y, u_y)]
    if not any(u_x):
        fit = GTC.type_b.line_fit_wls(shifted, values)
    else:
        fit = GTC.type_b.line_fit_wtls([GTC.ureal(place, u) for place, u in zip(shifted, u_x)], values)
    intercept, slope = fit.a_b
    return {
        "at": GTC.value(intercept),
        "slope": GTC.value(slope),
        "u_at": GTC.uncertainty(intercept),
        "u_slope": GTC.uncertainty(slope),
        "r": GTC.get_correlation(intercept, slope),
    }


def believe(case, priors, signs):
    sets = list(itertools.product([0, 1], repeat=len(priors)))
    weights = []
    for held in sets:
        weight = np.prod([p if h else 1.0 - p for p, h in zip(priors, held)])
        for at, shows in case:
            alone, ratios = signs[at]
            absent = (1.0 - alone) * np.prod([(1.0 - alone * r) / (1.0 - alone) for r, h in zip(ratios, held) if h])
            weight *= (1.0 - absent) if shows else absent
        weights.append(weight)
    weights = np.array(weights) / np.sum(weights)
    held = np.array(sets)
    return {
        "none": float(weights[0]),
        "causes": [float(c) for c in weights @ held],
        "bits": float(stats.entropy(weights, base=2)),
    }


def rounded(case):
    step = Decimal(1).scaleb(-get_currency_precision(case["currency"]))
    return str(Decimal(case["amount"]).quantize(step, rounding=ROUND_HALF_UP))


def main():
    asked = json.load(sys.stdin)
    json.dump(
        {
            "means": [mean(case) for case in asked["means"]],
            "lines": [line(case) for case in asked["lines"]],
            "below": [float(stats.norm.cdf(limit, m, s)) for limit, m, s in asked["below"]],
            "student": [float(stats.t.ppf(0.975, f)) for f in asked["student"]],
            "chi": [float(stats.chi2.ppf(0.95, f)) for f in asked["chi"]],
            "beliefs": [believe(case, asked["priors"], asked["signs"]) for case in asked["beliefs"]],
            "digits": {code: get_currency_precision(code) for code in sorted(list_currencies()) if len(code) == 3},
            "rounded": [rounded(case) for case in asked["rounded"]],
        },
        sys.stdout,
    )


main()
