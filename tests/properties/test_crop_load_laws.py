"""What must hold for every orchard: more is never less, units change nothing, limbs out never raise the ratio."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from orchardmap import units
from orchardmap.pruning.calc import calculated_crop_load
from orchardmap.pruning.limbs import is_too_thick, limbs_to_take_out, ratios_largest_out_first
from orchardmap.pruning.rounding import rounded_half_up, rounded_up

YIELD_T = st.floats(1, 200)
MASS_G = st.floats(40, 500)
TREES = st.floats(100, 15_000)
LIMBS = st.integers(1, 60)
FACTOR = st.floats(1, 4)
SHARE = st.floats(0.05, 1)
DIAMETER_CM = st.floats(0.1, 40)
LIMB_LIST = arrays(float, st.integers(0, 40), elements=DIAMETER_CM)


def bud_job(tonnes, mass_g, trees, limbs, **allowance):
    return calculated_crop_load({
        "yield_t_per_ha": tonnes,
        "fruit_mass_g": mass_g,
        "trees_per_ha": trees,
        "limbs_per_tree": limbs,
        **allowance,
    })


@given(YIELD_T, YIELD_T, MASS_G, TREES, LIMBS, FACTOR)
def test_more_yield_never_means_fewer_buds(one, other, mass_g, trees, limbs, factor):
    less, more = (
        bud_job(tonnes, mass_g, trees, limbs, insurance_factor=factor) for tonnes in sorted((one, other))
    )
    assert all(less[key] <= more[key] for key in less)


@given(YIELD_T, MASS_G, TREES, LIMBS, SHARE, SHARE)
def test_a_larger_floral_share_never_means_more_buds(tonnes, mass_g, trees, limbs, one, other):
    poor, rich = (bud_job(tonnes, mass_g, trees, limbs, floral_share=share) for share in sorted((one, other)))
    assert poor["buds_per_tree"] >= rich["buds_per_tree"]
    assert rich["buds_per_tree"] >= rich["fruit_per_tree"] - 0.001


@given(YIELD_T, MASS_G, TREES, LIMBS, FACTOR)
def test_buds_left_never_fall_short_of_the_goal_by_more_than_slack(tonnes, mass_g, trees, limbs, factor):
    told = bud_job(tonnes, mass_g, trees, limbs, insurance_factor=factor)
    needed = tonnes * 1e6 / mass_g / trees * factor
    assert needed * (1 - 1e-8) <= told["buds_per_tree"] < needed + 1
    assert told["buds_per_limb"] * limbs >= needed * (1 - 1e-8)


@given(YIELD_T, MASS_G, TREES, FACTOR, st.sampled_from([0.5, 2.0, 8.0]))
def test_twice_the_yield_from_twice_the_trees_asks_the_same_of_each(tonnes, mass_g, trees, factor, scale):
    one = bud_job(tonnes, mass_g, trees, 10, insurance_factor=factor)
    assert bud_job(tonnes * scale, mass_g, trees * scale, 10, insurance_factor=factor) == one


@given(st.floats(1, 3000), st.floats(40, 400), st.floats(2, 12), st.floats(0.5, 8), FACTOR)
def test_feet_metres_and_trees_per_hectare_or_acre_all_say_the_same(bushels, per_bushel, row, tree, factor):
    goal = {"yield_bu_per_acre": bushels, "fruit_per_bushel": per_bushel, "insurance_factor": factor}
    densities = (
        {"row_spacing_m": row, "tree_spacing_m": tree},
        {"row_spacing_ft": row / units.M_PER_FT, "tree_spacing_m": tree},
        {"trees_per_ha": 10_000 / (row * tree)},
        {"trees_per_acre": 43_560 * units.M_PER_FT**2 / (row * tree)},
    )
    told = [calculated_crop_load(goal | density)["fruit_per_tree"] for density in densities]
    assert told == pytest.approx([told[0]] * 4, abs=0.0011, rel=1e-9)


@given(st.floats(-1e6, 1e6))
def test_units_come_back_as_they_went(value):
    there, back = units.per_acre_to_per_ha, units.per_ha_to_per_acre
    assert back(there(value)) == pytest.approx(value, abs=1e-9)
    assert there(back(value)) == pytest.approx(value, abs=1e-9)
    assert units.inches_to_cm(value) == pytest.approx(units.ft_to_m(value) / 12 * 100, abs=1e-9)


@given(DIAMETER_CM, LIMB_LIST)
def test_taking_limbs_out_never_raises_the_ratio(trunk_cm, limbs_cm):
    ratios = ratios_largest_out_first(trunk_cm, limbs_cm)
    assert (np.diff(ratios) <= 0).all()
    assert ratios[-1] == 0
    assert ratios[0] == pytest.approx(np.sum(limbs_cm**2) / trunk_cm**2)


@given(DIAMETER_CM, LIMB_LIST, st.floats(0.05, 3))
def test_no_fewer_limbs_would_reach_the_target(trunk_cm, limbs_cm, target):
    """Against a plain loop that takes the largest out until the sum is low enough."""
    left, out = sorted(limbs_cm.tolist()), []
    while sum(limb**2 for limb in left) / trunk_cm**2 > target * (1 + 1e-9):
        out.append(left.pop())
    assert limbs_to_take_out(trunk_cm, limbs_cm, target) == len(out)
    told = calculated_crop_load({
        "trunk_diameter_cm": trunk_cm,
        "limb_diameters_cm": limbs_cm.tolist(),
        "target_ratio": target,
    })
    assert told["remove_cm"] == out


@given(DIAMETER_CM, LIMB_LIST, st.sampled_from([0.25, 2.0, 16.0]))
def test_a_tree_twice_as_thick_all_over_is_judged_alike(trunk_cm, limbs_cm, scale):
    assert (
        ratios_largest_out_first(trunk_cm, limbs_cm)
        == ratios_largest_out_first(trunk_cm * scale, limbs_cm * scale)
    ).all()
    for share in (1 / 2, 2 / 3):
        thick = is_too_thick(trunk_cm, limbs_cm, share)
        assert (thick == is_too_thick(trunk_cm * scale, limbs_cm * scale, share)).all()
        assert (limbs_cm[thick] / trunk_cm > share).all()


@given(st.integers(0, 10**6), st.integers(1, 999))
def test_what_is_whole_on_paper_stays_whole(count, per_mille):
    """A decimal factor and its inverse do not push a whole number of buds up to the next."""
    factor = per_mille / 1000
    assert rounded_up(count * factor / factor) == count
    assert rounded_half_up(count * factor / factor) == count
    assert rounded_half_up(count + 0.5) == count + 1
