"""Textbook diets through the solver's wrapper: covering problems, as a week of training is one.

- Stigler 1945, The Cost of Subsistence, J Farm Econ 27(2):303-314, Table 1: 77 foods of August 1939, nutrients for
  one dollar. Table and daily needs as carried in the sample stigler_diet.py of OR-Tools (Apache License 2.0).
  Optimum as published: 39.66 dollars a year with this table (39.69 by hand, Laderman 1947, told by Dantzig 1990,
  Interfaces 20(4):43-47; their table was rounded otherwise); the five foods: Garille & Gass 2001, Oper Res 49(1):1-13.
- A diet in whole servings: "The Diet Problem" of the Pyomo Gallery (BSD 3-clause); its results.yml: 15.05, proven."""

import csv
import math
from pathlib import Path

import numpy as np
import pulp
import pytest

from planner.solve.search import Ending, Stops
from planner.solve.solver import solve
from planner.week.interval import expected_shortfall

EXACTLY = Stops(gap=0.0, nodes=100_000, seconds=60.0)
DAYS = 365
TABLE = Path(__file__).with_name("stigler_1939.csv")
A_DAY = {
    "calories_kcal_thousands": 3, "protein_g": 70, "calcium_g": 0.8, "iron_mg": 12, "vitamin_a_kiu": 5,
    "thiamine_mg": 1.8, "riboflavin_mg": 2.7, "niacin_mg": 18, "ascorbic_acid_mg": 75,
}  # fmt: skip
DOLLARS_A_YEAR = {
    "Navy Beans, Dried": 22.28, "Wheat Flour (Enriched)": 10.77, "Cabbage": 4.09, "Spinach": 1.83,
    "Liver (Beef)": 0.69,
}  # fmt: skip
SHADOW_PRICES = {  # dollars a day for one more unit; the other four nutrients come for nothing
    "calcium_g": 0.031738, "riboflavin_mg": 0.016358, "calories_kcal_thousands": 0.008765,
    "vitamin_a_kiu": 0.000400, "ascorbic_acid_mg": 0.000144,
}  # fmt: skip


def foods():
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def solve_stigler(left_out=""):
    rows = [row for row in foods() if row["food"] != left_out]
    lp = pulp.LpProblem("stigler", pulp.LpMinimize)
    dollars = [pulp.LpVariable(f"v{at:03d}", 0) for at in range(len(rows))]
    lp.addVariables(dollars)
    lp += pulp.lpSum(dollars)
    for nutrient, need in A_DAY.items():
        lp += pulp.lpSum(float(row[nutrient]) * x for row, x in zip(rows, dollars, strict=True)) >= need
    return solve(lp, EXACTLY), rows


def test_the_cheapest_diet_of_1939():
    answer, rows = solve_stigler()
    assert sum(float(row[nutrient]) > 0 for row in rows for nutrient in A_DAY) == 570  # of 77 · 9 entries
    assert answer.ending is Ending.OPTIMAL and answer.values is not None
    assert DAYS * answer.value == pytest.approx(39.66, abs=0.005)
    assert DAYS * answer.bound == pytest.approx(39.66, abs=0.005)
    bought = {row["food"]: DAYS * x for row, x in zip(rows, answer.values, strict=True) if x > 1e-9}
    assert bought == pytest.approx(DOLLARS_A_YEAR, abs=0.005)


def test_its_shadow_prices():
    """The dual program: the dearest prices of the needs under which no food gives more than it costs."""
    lp = pulp.LpProblem("prices", pulp.LpMinimize)
    prices = [pulp.LpVariable(f"v{at:03d}", 0) for at in range(len(A_DAY))]
    lp.addVariables(prices)
    lp += pulp.lpSum(-need * price for need, price in zip(A_DAY.values(), prices, strict=True))
    for row in foods():
        lp += pulp.lpSum(float(row[name]) * price for name, price in zip(A_DAY, prices, strict=True)) <= 1
    answer = solve(lp, EXACTLY)
    assert answer.values is not None
    found = dict(zip(A_DAY, answer.values, strict=True))
    assert found == pytest.approx({name: SHADOW_PRICES.get(name, 0.0) for name in A_DAY}, abs=1e-6)
    assert -answer.value == pytest.approx(solve_stigler()[0].value)  # what the needs are worth
    without, _ = solve_stigler(left_out="Liver (Beef)")
    assert DAYS * without.value == pytest.approx(39.80, abs=0.005)


# food: dollars and volume a serving; calories, carbohydrates, protein, vitamins A and C, calcium, iron
SERVINGS = {
    "cheeseburger": (1.84, 4.0, (510, 34, 28, 15, 6, 30, 20)),
    "ham sandwich": (2.19, 7.5, (370, 35, 24, 15, 10, 20, 20)),
    "hamburger": (1.84, 3.5, (500, 42, 25, 6, 2, 25, 20)),
    "fish sandwich": (1.44, 5.0, (370, 38, 14, 2, 0, 15, 10)),
    "chicken sandwich": (2.29, 7.3, (400, 42, 31, 8, 15, 15, 8)),
    "fries": (0.77, 2.6, (220, 26, 3, 0, 15, 0, 2)),
    "sausage biscuit": (1.29, 4.1, (345, 27, 15, 4, 0, 20, 15)),
    "lowfat milk": (0.60, 8.0, (110, 12, 9, 10, 4, 30, 0)),
    "orange juice": (0.72, 12.0, (80, 20, 1, 2, 120, 2, 2)),
}
LEAST, MOST_CARBOHYDRATES, MOST_VOLUME = (2000, 350, 55, 100, 100, 100, 100), 375, 75.0


def test_a_diet_in_whole_servings():
    lp = pulp.LpProblem("servings", pulp.LpMinimize)
    x = {name: pulp.LpVariable(f"v{at}", 0, None, pulp.LpInteger) for at, name in enumerate(SERVINGS)}
    lp.addVariables(x.values())
    lp += pulp.lpSum(price * x[name] for name, (price, _, _) in SERVINGS.items())
    lp += pulp.lpSum(volume * x[name] for name, (_, volume, _) in SERVINGS.items()) <= MOST_VOLUME
    for at, need in enumerate(LEAST):
        eaten = pulp.lpSum(holds[at] * x[name] for name, (_, _, holds) in SERVINGS.items())
        lp += eaten >= need
        if at == 1:
            lp += eaten <= MOST_CARBOHYDRATES
    answer = solve(lp, EXACTLY)
    assert answer.ending is Ending.OPTIMAL and answer.values is not None
    assert answer.value == pytest.approx(15.05) and answer.bound == pytest.approx(15.05)
    eaten_of = {name: round(count) for name, count in zip(x, answer.values, strict=True) if count > 0.5}
    assert eaten_of == {"cheeseburger": 4, "fries": 5, "fish sandwich": 1, "lowfat milk": 4}


# --- Expected shortfall against closed forms, and against the definition as the least over eta. R. T. Rockafellar, S
DRAWS = 200_000
LEVELS = (0.0, 0.2, 0.5, 0.8, 0.95, 0.99)


def test_normal_and_the_tables_at_95_and_99_per_cent():
    """2.063 and 2.665 standard deviations: phi(1.645)/0.05 and phi(2.326)/0.01."""
    from scipy.stats import norm

    values = 3 + 2 * norm.ppf((np.arange(DRAWS) + 0.5) / DRAWS)  # its quantiles, no dice
    for level in LEVELS[1:]:
        closed = 3 + 2 * norm.pdf(norm.ppf(level)) / (1 - level)
        assert expected_shortfall(values, level) == pytest.approx(closed, abs=0.002)
    assert (expected_shortfall(values, 0.95) - 3) / 2 == pytest.approx(2.063, abs=0.001)
    assert (expected_shortfall(values, 0.99) - 3) / 2 == pytest.approx(2.665, abs=0.001)


@pytest.mark.parametrize("level", LEVELS)
def test_uniform_and_exponential(level):
    places = (np.arange(DRAWS) + 0.5) / DRAWS
    assert expected_shortfall(places, level) == pytest.approx((1 + level) / 2, abs=1e-4)
    waits = -np.log(1 - places)
    assert expected_shortfall(waits, level) == pytest.approx(1 - math.log(1 - level), abs=0.01)


def test_a_part_of_an_atom_counts_as_in_the_worked_example():
    """Half of the draws are 0 and half are 1: the worst 80 % hold all the ones and three zeros of five."""
    values = np.array([0.0, 1.0] * 50)
    assert expected_shortfall(values, 0.2) == pytest.approx(0.5 / 0.8)
    assert expected_shortfall(values, 0.5) == pytest.approx(1.0)
    # losses 0, 10, 100 with chances 0.90, 0.06, 0.04: at 0.95 a fifth of the atom at 10 counts: (1 + 4) / 0.05
    values = np.array([0.0] * 90 + [10.0] * 6 + [100.0] * 4)
    assert expected_shortfall(values, 0.95) == pytest.approx((0.01 * 10 + 0.04 * 100) / 0.05)
