"""Folds that are wrong on purpose, and the laws that catch them.

    python bench/wrong_variants.py [--examples 200]        (from the top of the repository)

Prints for each wrong fold the laws that caught it; the law named for it must be among them. Exits with 1 if one
survives, or if the right fold breaks a law.
"""

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from merge_laws import LAWS, holds, right
from wrong_merges import WRONG


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--examples", type=int, default=200)
    examples = ask.parse_args().examples
    print(f"{examples} examples a law\n\n{'fold':<44}{'must be caught by':<20}caught by")
    broken = [name for name, law in LAWS.items() if not holds(law, right, examples)]
    print(f"{'(the right one)':<44}{'-':<20}{', '.join(broken) or 'none, as it should be'}")
    survivors = []
    for name, wrong in WRONG.items():
        caught = [law_name for law_name, law in LAWS.items() if not holds(law, wrong.fold, examples)]
        if wrong.caught_by not in caught:
            survivors.append(name)
        print(f"{name:<44}{wrong.caught_by:<20}{', '.join(caught) or 'SURVIVED'}")
    print(f"\n{len(WRONG) - len(survivors)} of {len(WRONG)} caught by the law named for them")
    if survivors or broken:
        sys.exit(1)


if __name__ == "__main__":
    main()
