"""`inkwitness`: reads print, compares, samples, serves.

Exit codes of `check`: 0 every outcome is `no_conflict_found`; 1 some other outcome; 2 bad usage or
a file that is no photo (the others are still checked).
"""

import sys

import typer

from inkwitness.cli import check, holders, records, rules, sample, serve
from inkwitness.errors import InkwitnessError

app = typer.Typer(
    name="inkwitness",
    help="Reads the print on a respirator and says what it says. Not proof of authenticity.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.command("check")(check.check)
app.command("serve")(serve.serve)
app.add_typer(rules.app, name="rules", help="The rule book: show it, check its files.")
app.add_typer(holders.app, name="holders", help="Your list of approval holders.")
app.add_typer(records.app, name="records", help="What is kept: audit, head, backup, restore.")
app.add_typer(sample.app, name="sample", help="How many to look at, and what that can show.")


def main() -> None:
    """Run the command line; our own errors become one sentence on stderr and exit code 2."""
    try:
        app()
    except InkwitnessError as error:
        print(f"inkwitness: {error.message}", file=sys.stderr)
        sys.exit(2)
