"""The `calc` commands: from a file to an answer, without a database."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from orchardmap.cli.main import app, print_json

calc = typer.Typer(no_args_is_help=True, help="Calculate from a file, without a database.")
app.add_typer(calc, name="calc")


@calc.command("rows")
def calc_rows(
    file: Annotated[
        Path, typer.Argument(help="JSON file with one job or a list of jobs; - reads standard input.")
    ],
    rows: Annotated[bool, typer.Option("--rows", help="Also list every row.")] = False,
) -> None:
    """Rows, lengths and positions of an outline.

    A job holds "outline" (a GeoJSON geometry, WGS 84; or the job is a Feature with these numbers as properties), "bearing_deg", "row_spacing_m", "tree_spacing_m",
    "end_offset_m", "first_row_offset_m", "headland_m", "min_row_length_m"; further "lines_per_row", "pair_spacing_m",
    "first_row" (two points) and "baseline" (a drawn first row).

    Example: orchardmap calc rows job.json --rows
    """
    from orchardmap.cli.reading import read_json
    from orchardmap.geometry.calc import calculated_jobs

    print_json(calculated_jobs(read_json(file), with_rows=rows))


@calc.command("crop-load")
def calc_crop_load(
    file: Annotated[
        Path, typer.Argument(help="JSON file with one job or a list of jobs; - reads standard input.")
    ],
    steps: Annotated[
        bool,
        typer.Option("--steps", help="Also tell densities, fruit per limb, and what each cut limb changes."),
    ] = False,
) -> None:
    """Buds to leave on a tree, fruit on a young trunk, limbs to take out.

    A job is one of three kinds. The answer has the keys after the arrow.

    1. "yield_t_per_ha", "fruit_mass_g", "trees_per_ha", "limbs_per_tree", and "insurance_factor" or "floral_share" (0.84 for 84 %) -> "fruit_per_tree", "buds_per_tree", "buds_per_limb". Or "yield_bu_per_acre" with "fruit_per_bushel"; or "fruit_per_tree" alone. Instead of "trees_per_ha": "trees_per_acre", or "row_spacing_m" and "tree_spacing_m", each also in "_ft".

    2. "trunk_diameter_cm", "fruit_per_cm2" -> "trunk_area_cm2", "fruit_per_tree".

    3. "trunk_diameter_cm", "limb_diameters_cm" (a list), "target_ratio" -> "ratio", "remove_cm" (largest first), "ratio_after".

    Buds are rounded up, and fruit on a trunk to the nearest whole one; limbs stand as they were given, all else has three decimals. Nothing is rounded on the way.

    Example: orchardmap calc crop-load job.json --steps
    """
    from orchardmap.cli.reading import read_json
    from orchardmap.pruning.calc import calculated_crop_loads

    print_json(calculated_crop_loads(read_json(file), with_steps=steps))


@calc.command("timing")
def calc_timing(
    file: Annotated[Path, typer.Argument(help="CSV file with a line for each day; - reads standard input.")],
    start: Annotated[
        datetime | None,
        typer.Option(
            formats=["%Y-%m-%d"], help="First day that counts toward green tip; 1 March when left out."
        ),
    ] = None,
    green_tip: Annotated[
        float, typer.Option(help="Degree days at green tip, in Fahrenheit above 43 F.")
    ] = 120.0,
) -> None:
    """Green tip to be expected, and days on which cuts are at risk, from a table of temperatures.

    The columns are "date" (2026-03-01), "tmin_c" and "tmax_c" (or "tmin_f" and "tmax_f"), and "rain_mm" (or "rain_in") if known: every day once, in order, past and forecast.

    "green_tip" is an estimate with five days either way, beside the much wider range of published sums, which count from 1 January; null is after the end of the table. Chill units (Utah model) and growing degree hours are summed over the table from a guessed course of each day. "frost_risk" lists days: cuts made then are followed by 0 F (-17.8 C) or colder within two days ("high") or 14 ("falling"), as far as the table goes. "wet_days" are days to leave canker-prone blocks alone. Sums have one decimal.

    Example: orchardmap calc timing weather.csv --start 2026-03-01
    """
    from orchardmap.cli.reading import read_bytes
    from orchardmap.geodata.weather_table import weather_days
    from orchardmap.pruning.timing_answer import timing_answer
    from orchardmap.pruning.weather import weather_of_days

    weather = weather_of_days(weather_days(read_bytes(file), name=str(file)))
    print_json(timing_answer(weather, start=start.date() if start else None, green_tip_f_days=green_tip))


@calc.command("sample-plan")
def calc_sample_plan(
    file: Annotated[
        Path, typer.Argument(help="JSON file with one job or a list of jobs; - reads standard input.")
    ],
) -> None:
    """How many trees of a lot to check, and how many faulty ones may be among them.

    A job is one of three kinds. The answer has the keys after the arrow. Shares and chances are 0 to 1.

    1. "lot" (trees), "level" (S-1 to S-4, I, II, III), "aql" (faulty trees per hundred), "severity" (normal, tightened, reduced) -> "code_letter", "n", "accept", "reject". MIL-STD-105E, single sampling, arrows followed; "n" is the whole lot where the table asks for more.

    2. "p1", "pa1" (a lot with this share of faulty trees passes with this chance at the least), "p2", "pa2" (at the most), "model", "lot" -> "n", "accept".

    3. "n", "accept", "p" (a list of shares), "model", "lot" -> "pass_chance".

    "model" is "hypergeometric" for a lot of that many trees, a share being rounded to whole ones; or "binomial" or "poisson", without a "lot".

    Example: orchardmap calc sample-plan job.json
    """
    from orchardmap.cli.reading import read_json
    from orchardmap.quality.plan_job import calculated_sample_plans

    print_json(calculated_sample_plans(read_json(file)))


@calc.command("interval")
def calc_interval(
    file: Annotated[
        Path, typer.Argument(help="JSON file with one job or a list of jobs; - reads standard input.")
    ],
) -> None:
    """How many trees of a lot can be faulty, by those that were checked.

    A job holds "faulty", "checked" and "lot" (trees) and "confidence" (0.95 when left out).

    "wilson" is the share of faulty trees, from and to, as if the lot had no end. "lot_faulty" is the fewest and the most faulty trees of this very lot, checked ones included: exact, one number where every tree was checked.

    Example: orchardmap calc interval job.json
    """
    from orchardmap.cli.reading import read_json
    from orchardmap.quality.interval_job import calculated_intervals

    print_json(calculated_intervals(read_json(file)))


@calc.command("weak-areas")
def calc_weak_areas(
    file: Annotated[Path, typer.Argument(help="CSV file with a line for each tree; - reads standard input.")],
    row_spacing: Annotated[
        float | None, typer.Option(min=0.1, help="Metres from row to row: adds how wide each area is.")
    ] = None,
    tree_spacing: Annotated[
        float | None, typer.Option(min=0.1, help="Metres from tree to tree: adds how long each area is.")
    ] = None,
    most_rows: Annotated[int, typer.Option(help="Rows in the widest area.")] = 12,
    most_share: Annotated[float, typer.Option(help="Share of all checks in the largest area.")] = 0.5,
    least_checks: Annotated[int, typer.Option(help="Checks in the smallest area.")] = 3,
    level: Annotated[
        float, typer.Option(help="How sensitive: the share of clean blocks that may show an area.")
    ] = 0.05,
    permutations: Annotated[int, typer.Option(help="How often faulty trees are dealt out anew.")] = 999,
    seed: Annotated[int, typer.Option(min=0, help="Of the dealing: the same seed, the same answer.")] = 1,
    rows: Annotated[bool, typer.Option("--rows", help="Also list rows that are weak by themselves.")] = False,
) -> None:
    """Where faulty trees of one block gather more than chance explains.

    The columns are "row", "position", "faulty" (0 or 1), and "recheck" (0 or 1) if new trees were looked at inside an area afterwards: every tree once, in any order.

    "areas" lists runs of rows by stretches of positions, the most striking first: one wherever any tree is faulty, and more where they are suspect too. "llr" is the log likelihood ratio of the faulty among the checked, "p" the chance that a block without any weak area shows one as striking somewhere. An area is "confirmed" by its new trees alone, else "suspect" where "p" is within the level and no 30 new trees say otherwise, else "none".

    Example: orchardmap calc weak-areas checks.csv --row-spacing 4 --tree-spacing 1.5
    """
    import numpy as np

    from orchardmap.cli.reading import read_bytes
    from orchardmap.geodata.checks_table import checked_trees
    from orchardmap.quality.scan import ScanSizes
    from orchardmap.quality.weak_area_answer import area_answer, row_answer
    from orchardmap.quality.weak_areas import weak_areas
    from orchardmap.quality.weak_rows import weak_rows

    checks = checked_trees(read_bytes(file), name=str(file))
    found = weak_areas(
        checks,
        rng=np.random.default_rng(seed),
        permutations=permutations,
        level=level,
        sizes=ScanSizes(most_rows, most_share, least_checks),
    )
    answer = {
        "areas": [area_answer(a, row_spacing_m=row_spacing, tree_spacing_m=tree_spacing) for a in found]
    }
    print_json(answer | ({"weak_rows": [row_answer(one) for one in weak_rows(checks)]} if rows else {}))
