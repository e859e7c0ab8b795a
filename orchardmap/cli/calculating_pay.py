"""``orchardmap calc pay``: what everybody is paid, from a file."""

from pathlib import Path
from typing import Annotated

import typer

from orchardmap.cli.calculating import calc
from orchardmap.cli.main import print_json


@calc.command("pay")
def calc_pay(
    file: Annotated[
        Path, typer.Argument(help="JSON file with one job or a list of jobs; - reads standard input.")
    ],
) -> None:
    """What everybody is paid: by the tree or the hour, shared by hours, with a floor, rest time and overtime.

    Local labour law decides: check every figure against it. No legal figure is assumed; a rule holds once you give it.

    Numbers may be text, such as "0.45". Days are written "2026-01-31". A method is ladder, platform or ground. What can be left out stands in brackets, with what holds then.

    **Work.** "trees" lists {"day", "crew", "trees", ["variety", "method", "block", "row", "return": true for trees gone over again, "held": further trees that two crews claim]}. Or "marks" {"day", "crew", "block", "row", "first", "last", ["method", "return": name of the return, "id"]} with "rows" {"block", "row", "positions", ["variety", "blanks", "pollinizers": lists of positions]} and ["settlements" {"block", "row", "first", "last", "crew" or null for nobody}]: each tree counts once, on the first day that its crew marked it; what two crews claim is held.

    "hours" lists {"day", "crew", "person", "hours", ["rest_minutes" beside the hours, "method", "variety", "rate": per hour, for hours on no trees, such as waiting]}. With "people" (how many) instead of "person" each of them has these hours. At most 24 h a day; several entries of a day add up. ["first", "last": days to pay, both included.]

    **Rates.** "rates" lists {"per": tree or hour, "rate", ["variety", "method", "first", "last": for all and always]}. The one for variety and method holds before the one for the variety, that before the one for the method, that before the one for all. Two alike may not share a day. Trees of a rate per tree are shared by hours, to the cent: what is over goes to the largest remainders, of equal ones to another person each day. Somebody paid for trees of their own is a crew of one. Hours of a day with several varieties or methods are divided by their trees, unless they say which.

    **Rules.** ["currency" (none), "minor_digits" (2), "rounding" half_up, half_even or up (half_up), "rounding_step" (smallest coin): of every line, and of the floor.] ["minimum_wage": per hour, or a list of {"per_hour", "first", "last"} (no floor); "floor_period" day or week (day).] ["week_starts" (Monday).] ["returns_paid" (false).] ["bonus_per_tree" (0) for "accepted" {"day" pruned, "crew", "trees", ["lot"]}; "bonus_in_floor" (false).] ["rest_paid" (false): rest_minutes at the greater of the minimum wage and what was earned per hour worked; "rest_rate_over" day or week (day); "rest_in_floor" (true): rest and its pay count in the floor test.] ["overtime_after_h_per_week" and "overtime_premium" (none): 0.5 for half the week's regular rate on top, which is all that was earned over all hours, rest among them.]

    **Answer.** "totals", "people" (with "days", "weeks" where a rule is weekly, and "lines"), "crews", "held", "notices". Pay is "piece_pay" + "hourly_pay" + "other_pay" + "bonus" + "rest_pay" + "top_up" + "overtime_premium" = "pay". A floor test shows "floor_h" x wage = "floor" against "floor_earned". "trees_done" = "trees_credited" + "trees_held" + "trees_for_nobody". "unshared" is what was earned on days without hours, paid to nobody.

    **Another kind of job**, a fair piece rate: "wage", "average_trees" in the same time, "factor" ["rounding" (up), "rounding_step", "minor_digits"] -> "divisor" (average / factor), "rate" (wage x factor / average), "paid_rate" (rounded).

    A job: {"currency": "EUR", "minimum_wage": 14, "rates": [{"per": "tree", "rate": 0.5}], "trees": [{"day": "2026-01-12", "crew": "A", "trees": 220}], "hours": [{"day": "2026-01-12", "crew": "A", "person": "Ana", "hours": 8}, {"day": "2026-01-12", "crew": "A", "person": "Ben", "hours": 7.5}]}

    Example: orchardmap calc pay job.json
    """
    from orchardmap.cli.reading import read_json
    from orchardmap.pay.pay_job import calculated_pays

    print_json(calculated_pays(read_json(file)))
