"""`calc forecast`: by when a season may be finished, without a database."""

from pathlib import Path
from typing import Annotated

import typer

from orchardmap.cli.calculating import calc
from orchardmap.cli.main import print_json


@calc.command("forecast")
def calc_forecast(
    file: Annotated[
        Path, typer.Argument(help="JSON file with one job or a list of jobs; - reads standard input.")
    ],
) -> None:
    """By when a season may be finished, by the pace of its days so far.

    A job holds "today", "must_finish" (days such as 2026-01-31); "calendar" with "weekmask" (seven times 0 or 1, Monday first), "holidays" (days), "hours_per_day", "lost_chance" (0 to 1, of a working day being lost to weather: one number, or twelve, January first; 0.1 when left out) and "latitude_deg" where daylight limits the day; "crews", each with "crew" and "people"; "history", each with "day", "crew", "variety", "trees", "person_hours" and, if known, "people" that the crew had; "remaining", each with "variety" and "trees"; "expected_rate_per_h", the trees that one person is expected to prune in an hour; "seed" and "draws". In "history" and "remaining" a "method" and a "system" may be told too.

    "p10", "p50" and "p90" are the first days by which so many in a hundred simulated seasons are finished, null for never; "chance" is the share of them that is finished by "must_finish". "straight_line" is the day that the mean of all working days so far comes to, for comparison. Work goes on today, or on the day after where today stands in the history. The spread of paces before the first day is that of published hours per hectare; nothing is published per crew.

    Example: orchardmap calc forecast job.json
    """
    from orchardmap.cli.reading import read_json
    from orchardmap.planning.forecast_job import calculated_forecasts

    print_json(calculated_forecasts(read_json(file)))
