"""Worked examples of crop load, each with its source; misprints of the sources are not reproduced.

Tables and their addresses stand in `crop_load.json`. Good Fruit Grower means https://www.goodfruit.com.
"""

import json
from pathlib import Path

import numpy as np
import pytest

from orchardmap.errors import InputError
from orchardmap.pruning.calc import calculated_crop_load
from orchardmap.pruning.density import row_m_per_ha, trees_per_ha
from orchardmap.pruning.limbs import HALF, TWO_THIRDS, is_too_thick, ratios_largest_out_first
from orchardmap.pruning.rounding import rounded_half_up
from orchardmap.pruning.trunk import fruit_on_trunk, trunk_area_cm2
from orchardmap.units import HA_PER_ACRE, M_PER_FT, inches_to_cm, output_ratio

TABLES = json.loads(Path(__file__).with_name("crop_load.json").read_text("utf-8"))
CHART, BUD_LOAD, TRUNK = TABLES["density_per_acre"], TABLES["bud_load"], TABLES["trunk"]
# computed by hand from the formula of Schupp et al. 2017, HortScience 52(9):1233: squares sum to 49.76, over 25
LIMBS_CM = [3.2, 2.8, 2.5, 2.5, 2.0, 2.0, 1.8, 1.5, 1.5, 1.2, 1.0, 1.0]


def test_all_36_densities_of_ontarios_chart_save_its_misprint():
    """43,560 square feet over 10 x 3 ft are exactly 1,452; the chart prints 1,453. The other 35 are as printed."""
    rows_ft = np.array([float(row) for row in CHART["by_row_spacing_ft"]])
    expected = np.array(list(CHART["by_row_spacing_ft"].values()))
    for slip in CHART["misprints"]:
        cell = (rows_ft.tolist().index(slip["row_spacing_ft"]), slip["tree_spacing_ft"] - 1)
        assert expected[cell] == slip["printed"]
        expected[cell] = slip["true"]
    trees_ft = np.array(CHART["tree_spacing_ft"], float)
    per_ha = trees_per_ha(rows_ft[:, np.newaxis] * M_PER_FT, trees_ft * M_PER_FT)
    assert expected.shape == (6, 6)
    assert (rounded_half_up(per_ha * HA_PER_ACRE) == expected).all()


def test_densities_per_hectare_go_by_spacing_not_by_the_charts_shifted_header():
    """3 m rows: 11,111 / 6,667 / 4,444 / 3,333 belong to 0.3, 0.5, 0.75 and 1 m; the stored header skips 0.75 m."""
    assert rounded_half_up(trees_per_ha(3, [0.3, 0.5, 0.75, 1.0])).tolist() == [11111, 6667, 4444, 3333]


@pytest.mark.parametrize("column", BUD_LOAD["columns"], ids=lambda column: column["system"])
def test_ontarios_bud_loads_from_its_own_trees_per_acre(column):
    job = {
        "yield_bu_per_acre": column["yield_bu_per_acre"],
        "fruit_per_bushel": BUD_LOAD["fruit_per_bushel"],
        "trees_per_acre": column["trees_per_acre"],
        "limbs_per_tree": column["limbs"],
        "insurance_factor": BUD_LOAD["insurance_factor"],
    }
    told = calculated_crop_load(job, with_steps=True)
    assert told["bushels_per_tree"] == pytest.approx(column["bushels_per_tree"], abs=0.05)
    assert told["fruit_per_tree"] == pytest.approx(column["fruit_per_tree"], abs=2)
    low, high = column["fruit_per_limb"]
    assert low <= told["fruit_per_limb"] <= high
    low, high = column["buds_per_limb"]
    assert low <= told["buds_per_limb"] <= high


def test_conventional_trees_from_their_spacing():
    """20 x 15 ft, 800 bu/ac, 100 a bushel, 12 branches, factor 2: 145 trees, 46 fruit and 92 buds on a branch."""
    job = {"yield_bu_per_acre": 800, "fruit_per_bushel": 100, "row_spacing_ft": 20, "tree_spacing_ft": 15}
    told = calculated_crop_load(job | {"limbs_per_tree": 12, "insurance_factor": 2}, with_steps=True)
    assert told["trees_per_acre"] == pytest.approx(145.2, abs=0.001)
    assert told["bushels_per_tree"] == pytest.approx(5.517, abs=0.05)
    assert told["fruit_per_tree"] == pytest.approx(550, abs=2)
    assert told["fruit_per_limb"] == pytest.approx(46, abs=1)
    assert told["buds_per_limb"] == 92


def test_spacings_decide_the_density_where_ontarios_table_is_off():
    """Its tall spindles at 11 x 4 ft are given as 1,000 an acre; the spacing gives 990. The other two are right."""
    spacings_ft = np.array([column["spacing_ft"] for column in BUD_LOAD["columns"]], float)
    per_acre = rounded_half_up(trees_per_ha(*(spacings_ft * M_PER_FT).T) * HA_PER_ACRE)
    assert per_acre.tolist() == [990, 622, 145]
    assert [column["trees_per_acre"] for column in BUD_LOAD["columns"]] == [1000, 622, 145]


def test_floral_share_rounds_buds_up():
    """92 fruit a tree, 84 % floral: 110 buds (Good Fruit Grower, "... requires counting, not cameras")."""
    told = calculated_crop_load({"fruit_per_tree": 92, "floral_share": 0.84})
    assert told == {"fruit_per_tree": 92, "buds_per_tree": 110}


def test_metric_target_is_the_same_identity():
    """60 t/ha, 180 g, 3,000 trees/ha: 60,000,000 g / 180 g / 3,000 = 111.1 fruit."""
    job = {"yield_t_per_ha": 60, "fruit_mass_g": 180, "trees_per_ha": 3000, "limbs_per_tree": 20}
    told = calculated_crop_load(job | {"insurance_factor": 2})
    assert told == {"fruit_per_tree": 111.111, "buds_per_tree": 223, "buds_per_limb": 12}


@pytest.mark.parametrize(
    ("diameter_in", "area_cm2", "biennial", "annual"), TRUNK["rows_in_cm2_biennial_annual"]
)
def test_trunk_table(diameter_in, area_cm2, biennial, annual):
    """All ten areas and twenty fruit numbers: fruit is rounded from the unrounded area."""
    job = {"trunk_diameter_cm": inches_to_cm(diameter_in)}
    for per_cm2, fruit in zip(TRUNK["fruit_per_cm2"].values(), (biennial, annual), strict=True):
        told = calculated_crop_load(job | {"fruit_per_cm2": per_cm2})
        assert told["trunk_area_cm2"] == pytest.approx(area_cm2, abs=0.05)
        assert told["fruit_per_tree"] == fruit


def test_limb_to_trunk_ratio_and_the_limbs_to_take_out():
    """Trunk 5.0 cm, 12 limbs: 1.990; to 1.25 three go, for two leave 1.267."""
    job = {"trunk_diameter_cm": 5.0, "limb_diameters_cm": LIMBS_CM[::-1], "target_ratio": 1.25}
    told = calculated_crop_load(job, with_steps=True)
    assert told["ratio"] == 1.990
    assert told["ratios"] == [1.990, 1.581, 1.267, 1.017]
    assert told["remove_cm"] == [3.2, 2.8, 2.5]
    assert told["ratio_after"] == 1.017
    assert calculated_crop_load(job) == {key: told[key] for key in ("ratio", "remove_cm", "ratio_after")}


def test_half_rule_and_two_thirds_rule_on_the_same_limbs():
    """Two are over half of 5.0 cm (2.5 is equal, not over), none over two thirds."""
    assert is_too_thick(5.0, LIMBS_CM, HALF).tolist() == [True, True] + [False] * 10
    assert not is_too_thick(5.0, LIMBS_CM, TWO_THIRDS).any()


def test_v_trellis_of_the_organized_orchard():
    """18 in x 12 ft: 2,420 trees/ac; 16 limbs and 8 trunk sections of 2 fruit: 48 a tree, 116,160 an acre.

    Good Fruit Grower, "The organized orchard". Its 1,800 boxes of size 64 are 1,815 by its own numbers.
    """
    job = {"fruit_per_tree": 16 * 2 + 8 * 2, "row_spacing_ft": 12, "tree_spacing_ft": 1.5}
    told = calculated_crop_load(job | {"insurance_factor": 1}, with_steps=True)
    assert told["trees_per_acre"] == 2420.0
    assert (told["fruit_per_tree"], told["fruit_per_acre"]) == (48, 116_160.0)
    assert told["fruit_per_acre"] / 64 == 1815


def test_row_metres_of_a_growers_own_account():
    """Rows 3.33 m apart: 3,000 m/ha (Rolker, 5 February 2016: about 3 km of row on a hectare)."""
    assert row_m_per_ha(3.33) == pytest.approx(3000, abs=5)


@pytest.mark.parametrize(("saved", "ratio"), [(0.37, 1.587), (0.47, 1.887)])
def test_less_time_is_not_that_much_faster(saved, ratio):
    """A platform saves 37 % or 47 % of the time (SARE ONE12-165): output x1.587 and x1.887, not x1.37 and x1.47."""
    assert output_ratio(saved) == pytest.approx(ratio, abs=5e-4)


def test_fruit_per_bushel_is_always_asked_for():
    """It differs by market, so no job is answered with a value of our own."""
    job = {"yield_bu_per_acre": 800, "trees_per_acre": 145, "insurance_factor": 2}
    with pytest.raises(InputError) as refusal:
        calculated_crop_load(job)
    assert refusal.value.where == "fruit_per_bushel"
    fruit = [
        calculated_crop_load(job | {"fruit_per_bushel": per_bushel})["fruit_per_tree"]
        for per_bushel in (100, 80)
    ]
    assert fruit[0] == pytest.approx(fruit[1] * 100 / 80)


def test_trees_and_limbs_are_worked_out_many_at_a_time():
    """Arrays give what single values give: blocks for densities, trees by limbs for ratios."""
    trees = ratios_largest_out_first([5.0, 4.0], [LIMBS_CM, [*LIMBS_CM[:3], *[0.0] * 9]])
    assert trees.shape == (2, 13)
    assert trees[0] == pytest.approx(ratios_largest_out_first(5.0, LIMBS_CM))
    assert trees[1, :4] == pytest.approx(ratios_largest_out_first(4.0, LIMBS_CM[:3]))
    areas = trunk_area_cm2([3.0, 4.0])
    assert fruit_on_trunk([3.0, 4.0], 5) == pytest.approx(areas * 5)
