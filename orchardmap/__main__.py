"""Run the command line by ``python -m orchardmap``."""

from orchardmap.cli.main import run

if __name__ == "__main__":
    run()
