"""Acceptance sampling, intervals, survey estimates, agreement and funnels against published figures.

Each case of `quality.json` names its source; where that says "from memory" the printed figure was recalled and computed anew.
"""

import json
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from orchardmap.quality.agreement import Coefficient, agreement_of_several, agreement_of_two, counts_of_scores
from orchardmap.quality.block_share import block_share, interval_with_design_effect
from orchardmap.quality.funnel import (
    FAR,
    NEAR,
    log_ratio_scores,
    overdispersion,
    ratio_limits,
    share_limits,
    share_scores,
)
from orchardmap.quality.interval_job import calculated_interval
from orchardmap.quality.intervals import (
    clopper_pearson_interval,
    jeffreys_interval,
    trees_for_half_width,
    wilson_interval,
)
from orchardmap.quality.passing import (
    Stage,
    average_checked,
    average_passed_on,
    double_pass_chance,
    pass_chance,
    share_passed_with,
    worst_passed_on,
)
from orchardmap.quality.plan_job import calculated_sample_plan
from orchardmap.quality.row_means import mean_by_rows, mean_of_some_rows
from orchardmap.quality.switching import LotResult, scheme_pass_chance, switchings

CASES = json.loads(Path(__file__).with_name("quality.json").read_text("utf-8"))
Case = dict[str, Any]
CHECKS: dict[str, Callable[[Case], tuple[Any, Any]]] = {}
"""What tells, and what is told, by the number of the case."""


def checks(*numbers: str):
    def known(check: Callable[[Case], tuple[Any, Any]]):
        CHECKS.update(dict.fromkeys(numbers, check))
        return check

    return known


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_published_figure(case):
    """Within the tolerance of its source; a case that nothing looks at is an error."""
    told, expected = CHECKS["-".join(case["id"].split("-")[:2])](case)
    assert np.shape(told) == np.shape(expected)
    np.testing.assert_allclose(
        np.asarray(told, float), np.asarray(expected, float), rtol=0, atol=case["tolerance"] + 1e-12,
        err_msg=case["source"],
    )  # fmt: skip


@checks("acc-04", "acc-05", "acc-06")
def oc_curve(case):
    asked = case["inputs"]
    job = {"n": asked["n"], "accept": asked["c"], "p": asked["p"], "model": "binomial"}
    return calculated_sample_plan(job)["pass_chance"], case["expected"]


@checks("acc-10")
def oc_curve_of_faults_per_hundred(case):
    asked = case["inputs"]
    p = [faults / 100 for faults in asked["defects_per_100"]]
    return pass_chance(asked["n"], asked["c"], p, model="poisson"), case["expected"]


@checks("acc-16")
def oc_of_a_lot(case):
    asked = case["inputs"]
    p = asked["D"] / asked["N"]
    job = {"n": asked["n"], "accept": asked["c"], "p": [p], "model": "hypergeometric", "lot": asked["N"]}
    return calculated_sample_plan(job)["pass_chance"], [case["expected"]]


@checks("acc-07a", "acc-07b")
def on_average(case):
    asked = case["inputs"]
    average = average_passed_on if case["id"] == "acc-07a-aoq" else average_checked
    return average(asked["n"], asked["c"], asked["p"], lot=asked["N"]), case["expected"]


@checks("acc-08")
def worst_on_average(case):
    asked = case["inputs"]
    return worst_passed_on(asked["n"], asked["c"], lot=asked["N"]), list(case["expected"].values())


@checks("acc-09")
def oc_curve_read_the_other_way(case):
    asked = case["inputs"]
    return share_passed_with(asked["Pa"], asked["n"], asked["c"], model="binomial"), case["expected"]


@checks("acc-11", "acc-12", "acc-13", "acc-14")
def plan_from_two_points(case):
    asked = case["inputs"]
    model = {"binom": "binomial", "hypergeom": "hypergeometric"}.get(asked["model"], asked["model"])
    job = {"p1": asked["p1"], "pa1": asked["Pa1_min"], "p2": asked["p2"], "pa2": asked["Pa2_max"]}
    plan = calculated_sample_plan(job | {"model": model, "lot": asked.get("N")})
    assert list(plan) == ["n", "accept"]
    return list(plan.values()), [case["expected"]["n"], case["expected"]["c"]]


@checks("acc-15")
def unity_values(case):
    told = [
        100 * share_passed_with(case["inputs"]["Pa"], 100, c, model="poisson") for c in case["inputs"]["c"]
    ]
    return np.transpose(told), list(case["expected"].values())


@checks("acc-17")
def double_sampling(case):
    asked = case["inputs"]
    first, second = (Stage(*numbers) for numbers in zip(asked["n"], asked["Ac"], asked["Re"], strict=True))
    return double_pass_chance(first, second, asked["p"]), case["expected"]


@checks("acc-18")
def switching_scheme(case):
    asked = case["inputs"]
    normal, tightened = (
        float(pass_chance(n, accept, asked["p"], model="binomial"))
        for n, accept in (asked["normal"], asked["tightened"])
    )
    return [normal, tightened, scheme_pass_chance(normal, tightened)], list(case["expected"].values())


@checks("acc-19")
def switching(case):
    """Words have no tolerance, so they are compared here."""
    asked = case["inputs"]
    lots = [LotResult(accepted) for accepted in asked["lots_accepted_on_original_inspection"]]
    used = [one.inspection for one in switchings(lots, start=asked["start"])][:-1]
    assert used == case["expected"]["severity_used_for_each_lot"], case["source"]
    return len(used), len(lots)


@checks("acc-20")
def switching_score(case):
    def result(lot):
        if lot["Ac"] >= 2:
            return LotResult(lot["accepted"], 3 if lot["accepted_at_one_AQL_step_tighter"] else 0)
        return LotResult(lot["accepted"], 2 if lot["accepted"] else 0)

    lots = [result(lot) for lot in case["inputs"]["lots"]]
    scores = [one.score for one in switchings(lots)][1:]
    by_turns = [one.inspection for one in switchings(lots, reduced_agreed=True)]
    reduced_from = by_turns.index("reduced") + 1
    return [*scores, reduced_from], [*case["expected"]["score"], case["expected"]["reduced_from_lot"]]


@checks("int-01", "int-02", "int-03")
def one_proportion(case):
    asked = case["inputs"]
    interval = {
        "int-01": wilson_interval,
        "int-02": clopper_pearson_interval,
        "int-03": jeffreys_interval,
    }[case["id"][:6]]
    return interval(asked["x"], asked["n"], confidence=1 - asked["alpha"]), case["expected"]


@checks("int-04")
def trees_of_a_lot(case):
    asked = case["inputs"]
    job = {"faulty": asked["x"], "checked": asked["n"], "lot": asked["N"], "confidence": 1 - asked["alpha"]}
    return calculated_interval(job)["lot_faulty"], list(case["expected"].values())


@checks("int-05")
def sample_size(case):
    """The printed table rounds to the nearest tree."""
    asked = case["inputs"]
    told = [trees_for_half_width(lot, asked["d"], expected=asked["p"]) for lot in asked["N"]]
    return np.rint(told), case["expected"]


@checks("srv-01")
def stratified(case):
    asked = case["inputs"]
    told = mean_by_rows(asked["N_h"], asked["n_h"], asked["mean_h"], asked["var_h"])
    return told, list(case["expected"].values())


@checks("srv-02")
def whole_clusters(case):
    asked = case["inputs"]
    sizes = np.array(asked["m_i"], float)
    means = np.array(asked["total_i"]) / sizes
    told = mean_of_some_rows(sizes, sizes, means, np.zeros(len(sizes)), rows_in_block=asked["N_clusters"])
    return told, list(case["expected"].values())


@checks("srv-03", "srv-04")
def two_stages(case):
    asked = case["inputs"]
    told = mean_of_some_rows(
        asked["M_i"], asked["m_i"], asked["mean_i"], asked["var_i"], rows_in_block=asked.get("N_clusters")
    )
    return told, list(case["expected"].values())


@checks("srv-05")
def two_stages_of_a_share(case):
    asked = case["inputs"]
    told = block_share(asked["M_i"], asked["m_i"], asked["x_i"], rows_in_block=asked["N_clusters"])
    return [told.share, told.standard_error], list(case["expected"].values())


@checks("srv-06")
def equal_clusters(case):
    asked, told = case["inputs"], case["expected"]
    clusters = len(asked["gpa"])
    size = np.full(clusters, asked["M"])
    mean, error = mean_of_some_rows(
        size, size, np.mean(asked["gpa"], axis=1), np.zeros(clusters), rows_in_block=asked["N_clusters"]
    )
    people = asked["N_clusters"] * asked["M"]
    assert [people * mean, people * error] == pytest.approx([told["total"], told["se_total"]], abs=0.05)
    return [mean, error], [told["mean"], told["se_mean"]]


@checks("srv-07")
def unequal_weights(case):
    """A weighted mean is a mean of rows of as many trees as the weights say, each wholly known."""
    weights, y = (np.array(case["inputs"][name]) for name in ("weights", "y"))
    mean, error = mean_of_some_rows(weights, weights, y, np.zeros(len(y)))
    n = len(y)
    spread = np.average((y - mean) ** 2, weights=weights) * n / (n - 1)
    return [mean, error, error**2 * n / spread], list(case["expected"].values())


@checks("srv-08")
def effective_sample(case):
    asked, told = case["inputs"], case["expected"]
    effect, worth, interval = interval_with_design_effect(asked["p"], asked["se"], asked["n"])
    assert [effect, worth] == pytest.approx([told["deff"], told["n_eff"]], abs=1e-3)
    return interval, told["ci"]


@checks("agr-01", "agr-04")
def two_auditors(case):
    told = agreement_of_two(case["inputs"]["table"])
    found = {
        "po": told.percent.value,
        "kappa": value(told.kappa),
        "scott_pi": value(told.pi),
        "ac1": value(told.ac1),
        "brennan_prediger": value(told.brennan_prediger),
        "kappa_se_irrCAC": told.kappa and told.kappa.standard_error,
        "ac1_se_irrCAC": told.ac1 and told.ac1.standard_error,
    }
    return [found[name] for name in case["expected"]], list(case["expected"].values())


def value(coefficient: Coefficient | None) -> float:
    assert coefficient is not None
    return coefficient.value


@checks("agr-02", "agr-03", "agr-05")
def several_auditors(case):
    asked = case["inputs"]
    counts = asked["counts"] if "counts" in asked else counts_of_scores(asked["ratings"], [1, 2, 3, 4, 5])
    told = agreement_of_several(counts)
    found = {"fleiss_kappa": value(told.pi), "ac1": value(told.ac1), "krippendorff_alpha": value(told.alpha)}
    return [found[name] for name in case["expected"]], list(case["expected"].values())


@checks("fun-01")
def limits_of_ratios(case):
    expected = case["inputs"]["expected"]
    told = [limits for level in (NEAR, FAR) for limits in ratio_limits(expected, level=level)]
    return told, list(case["expected"].values())


@checks("fun-02")
def more_than_chance(case):
    asked = case["inputs"]
    return overdispersion(*log_ratio_scores(asked["observed"], asked["expected"])).phi, case["expected"][
        "phi"
    ]


@checks("fun-03")
def limits_of_shares(case):
    asked = case["inputs"]
    near, far = (share_limits(asked["target"], asked["n"], level=level) for level in (NEAR, FAR))
    assert pytest.approx(asked["probs"][:2]) == [(1 - FAR) / 2, (1 - NEAR) / 2]
    return np.transpose([far[0], near[0], near[1], far[1]]), case["expected"]


@checks("fun-04")
def variance_beyond_chance(case):
    asked = case["inputs"]
    return overdispersion(*share_scores(asked["p"], asked["n"], asked["target"])), list(
        case["expected"].values()
    )


def test_kappa_has_the_printed_interval():
    """.681 to .912 (Gwet's three classes, as statsmodels prints it)."""
    case = next(case for case in CASES if case["id"] == "agr-01-abstractors")
    kappa = agreement_of_two(case["inputs"]["table"]).kappa
    assert kappa is not None
    assert (round(kappa.low, 3), round(kappa.high, 3)) == (0.681, 0.912)


def test_few_faulty_trees_make_kappa_useless_and_the_others_not():
    """125 trees, 5 and 2 called faulty by one of two auditors only: computed from the formulas by hand."""
    told = agreement_of_two([[118, 5], [2, 0]])
    values = [one.value for one in (told.percent, told.kappa, told.ac1, told.positive) if one]
    assert values == pytest.approx([0.944, -0.0234, 0.9408, 0.0], abs=5e-5)


def test_plan_tables_of_rows_and_blocks():
    """Fewest trees that pass a limiting share 1 time in 10 at the most: each plan keeps that, and one tree less does not."""
    for lot, p, fewest in [
        (50, 0.16, {0: 12, 1: 20, 2: 26}),
        (100, 0.10, {0: 20, 1: 33, 2: 44, 3: 55}),
        (400, 0.15, {0: 14, 1: 24}),
    ]:
        for accept, n in fewest.items():
            less, enough = (
                pass_chance(trees, accept, p, model="hypergeometric", lot=lot) for trees in (n - 1, n)
            )
            assert enough <= 0.10 < less


def test_scores_rise_by_the_points_of_each_lot():
    """Two or three at a time, or back to nothing."""
    lots = [LotResult(True, 3), LotResult(True, 2), LotResult(True, 0), LotResult(True, 3)]
    scores = [one.score for one in switchings(lots)]
    assert [after - before for before, after in pairwise(scores)] == [3, 2, -5, 3]
