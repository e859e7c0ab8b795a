"""`orchardmap calc crop-load`: what a job may hold, and how it is refused. Its figures are in tests/published."""

import json

import pytest

from orchardmap.errors import InputError
from orchardmap.pruning.calc import calculated_crop_load, calculated_crop_loads

BUDS = {
    "yield_t_per_ha": 60,
    "fruit_mass_g": 180,
    "trees_per_ha": 3000,
    "limbs_per_tree": 20,
    "insurance_factor": 2,
}
TRUNK = {"trunk_diameter_cm": 3.81, "fruit_per_cm2": 4}
LIMBS = {"trunk_diameter_cm": 5, "limb_diameters_cm": [3, 2, 4], "target_ratio": 0.5}


def test_each_kind_answers_with_its_own_keys_in_order():
    assert [list(answer) for answer in calculated_crop_loads([BUDS, TRUNK, LIMBS])] == [
        ["fruit_per_tree", "buds_per_tree", "buds_per_limb"],
        ["trunk_area_cm2", "fruit_per_tree"],
        ["ratio", "remove_cm", "ratio_after"],
    ]
    assert calculated_crop_loads(TRUNK) == calculated_crop_load(TRUNK)


def test_answers_are_plain_json_even_at_the_bounds():
    """The largest fruit counts that the bounds allow are still finite numbers of JSON."""
    wild = {"yield_t_per_ha": 1e6, "fruit_mass_g": 0.001, "trees_per_ha": 0.001, "floral_share": 0.001}
    for job in (BUDS, TRUNK, LIMBS, wild, wild | {"limbs_per_tree": 1}):
        json.dumps(calculated_crop_load(job, with_steps=True), allow_nan=False)


def test_tree_that_is_at_the_target_already_loses_no_limb():
    told = calculated_crop_load(LIMBS | {"target_ratio": 29 / 25})
    assert told == {"ratio": 1.16, "remove_cm": [], "ratio_after": 1.16}
    bare = calculated_crop_load(LIMBS | {"limb_diameters_cm": []})
    assert bare == {"ratio": 0, "remove_cm": [], "ratio_after": 0}


@pytest.mark.parametrize("trunk_cm", [0.6, 1.2, 2.1, 2.7, 3.3, 4.5])
def test_limb_of_exactly_two_thirds_or_half_is_not_over(trunk_cm):
    """Whatever the binary fractions of 2/3 x 2.1 say."""
    exact = [round(trunk_cm * 2 / 3, 6), round(trunk_cm / 2, 6)]
    job = {"trunk_diameter_cm": trunk_cm, "limb_diameters_cm": exact, "target_ratio": 2}
    told = calculated_crop_load(job, with_steps=True)
    assert (told["over_half_cm"], told["over_two_thirds_cm"]) == (exact[:1], [])


def test_null_counts_as_left_out():
    assert calculated_crop_load(BUDS | {"floral_share": None}) == calculated_crop_load(BUDS)


@pytest.mark.parametrize(
    ("job", "key"),
    [
        ({}, "yield_t_per_ha"),
        (BUDS | {"yield_t_per_ha": None}, "yield_t_per_ha"),
        (BUDS | {"fruit_mass_g": None}, "fruit_mass_g"),
        (BUDS | {"trees_per_ha": None}, "trees_per_ha"),
        (BUDS | {"insurance_factor": None}, "insurance_factor"),
        (BUDS | {"floral_share": 0.84}, "floral_share"),
        (BUDS | {"insurance_factor": 0.9}, "insurance_factor"),
        (BUDS | {"insurance_factor": None, "floral_share": 84}, "floral_share"),
        (BUDS | {"insurance_factor": None, "floral_share": 0}, "floral_share"),
        (BUDS | {"yield_bu_per_acre": 800}, "yield_bu_per_acre"),
        (BUDS | {"fruit_per_bushel": 100}, "fruit_per_bushel"),
        (BUDS | {"fruit_per_tree": 100}, "fruit_per_tree"),
        (BUDS | {"trees_per_acre": 100}, "trees_per_acre"),
        (BUDS | {"row_spacing_m": 4}, "trees_per_ha"),
        (BUDS | {"trees_per_ha": None, "row_spacing_m": 4}, "tree_spacing_m"),
        (BUDS | {"trees_per_ha": None, "tree_spacing_ft": 4}, "row_spacing_m"),
        (
            BUDS | {"trees_per_ha": None, "row_spacing_m": 4, "row_spacing_ft": 13, "tree_spacing_m": 1},
            "row_spacing_ft",
        ),
        (BUDS | {"trees_per_ha": 0}, "trees_per_ha"),
        (BUDS | {"trees_per_ha": -3000}, "trees_per_ha"),
        (BUDS | {"limbs_per_tree": 0}, "limbs_per_tree"),
        (BUDS | {"limbs_per_tree": "20"}, "limbs_per_tree"),
        (BUDS | {"yield_t_per_ha": float("nan")}, "yield_t_per_ha"),
        (BUDS | {"yield_t_per_ha": float("inf")}, "yield_t_per_ha"),
        (BUDS | {"yield_t_per_ha": 10**400}, "yield_t_per_ha"),
        (BUDS | {"yield_t_per_ha": True}, "yield_t_per_ha"),
        (BUDS | {"limbs": 20}, "limbs"),
        (TRUNK | {"fruit_per_cm2": None}, "fruit_per_cm2"),
        (TRUNK | {"trunk_diameter_cm": None}, "trunk_diameter_cm"),
        (TRUNK | {"trunk_diameter_cm": 0}, "trunk_diameter_cm"),
        (TRUNK | {"trees_per_ha": 3000}, "trees_per_ha"),
        (LIMBS | {"target_ratio": None}, "target_ratio"),
        (LIMBS | {"target_ratio": 0}, "target_ratio"),
        (LIMBS | {"limb_diameters_cm": None}, "limb_diameters_cm"),
        (LIMBS | {"limb_diameters_cm": 3}, "limb_diameters_cm"),
        (LIMBS | {"limb_diameters_cm": [3, -1]}, "limb_diameters_cm"),
        (LIMBS | {"limb_diameters_cm": [3, "2"]}, "limb_diameters_cm[1]"),
        (LIMBS | {"fruit_per_cm2": 4}, "fruit_per_cm2"),
    ],
)
def test_what_is_missing_unknown_or_one_too_many_is_refused_by_name(job, key):
    with pytest.raises(InputError) as refusal:
        calculated_crop_load(job)
    assert refusal.value.where == key


def test_a_share_in_per_cent_is_told_how_to_write_it():
    with pytest.raises(InputError, match=r"0\.84 for 84 %"):
        calculated_crop_load(BUDS | {"insurance_factor": None, "floral_share": 84})


def test_bad_job_in_a_list_names_its_place():
    with pytest.raises(InputError) as refusal:
        calculated_crop_loads([BUDS, TRUNK | {"fruit_per_cm2": -1}])
    assert refusal.value.where == "job 2, fruit_per_cm2"


@pytest.mark.parametrize("document", [None, 3, "buds", [3], [None]])
def test_what_is_no_job_is_refused(document):
    with pytest.raises(InputError):
        calculated_crop_loads(document)
