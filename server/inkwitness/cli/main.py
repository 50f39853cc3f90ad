"""`inkwitness`: reads print, compares, samples, serves.

Exit codes of `check`: 0 every outcome is `no_conflict_found`; 1 some other outcome; 2 bad usage or
a file that is no photo (the others are still checked); 3 a fault, in this program or in what it
writes to: what was printed may not be all. Code 3 means so for every command.
"""

import contextlib
import errno
import io
import os
import sys
import traceback

import typer

from inkwitness.cli import check, holders, papers, rules, sample, typed
from inkwitness.cli.kept import bring, find, give_out, records
from inkwitness.cli.serving import people, serve
from inkwitness.cli.speaking import spoken
from inkwitness.errors import InkwitnessError
from inkwitness.yaml_text import BadRules

CRASHED = 3

app = typer.Typer(
    name="inkwitness",
    help="Reads the print on a respirator and says what it says. Not proof of authenticity.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.command("check")(check.check)
app.command("serve")(serve.serve)
app.command("import")(bring.bring)
app.command("typed")(typed.typed)
app.command("find")(find.find)
app.command("report")(give_out.report)
app.command("labels")(give_out.labels)
app.command("message")(give_out.write_message)
app.add_typer(give_out.pack_app, name="pack", help="Evidence packs: make one, look at one.")
app.add_typer(rules.app, name="rules", help="The rule book: show it, check its files.")
app.add_typer(holders.app, name="holders", help="Your list of approval holders.")
app.add_typer(papers.app, name="papers", help="Papers beside the print, from a file.")
app.add_typer(people.app, name="people", help="Accounts, from this machine.")
app.add_typer(records.app, name="records", help="What is kept: audit, head, backup, restore.")
app.add_typer(find.app, name="stock", help="Goods in store: where a lot is, the list.")
app.add_typer(sample.app, name="sample", help="How many to look at, and what that can show.")


def main() -> None:
    """Run the command line; an error becomes a message on stderr and an exit code of its own."""
    careful_output()
    try:
        app()
        _flush()
    except InkwitnessError as error:
        _say(error.said(spoken()))
        _leave(2)
    except BadRules as error:
        _say(error.message)
        _leave(2)
    except SystemExit as ended:
        try:
            _flush()
        except OSError as error:
            _say(f"the answer could not be written whole ({error.strerror}).")
            _leave(CRASHED)
        raise ended
    except OSError as error:
        if error.errno in (errno.ENOSPC, errno.EIO, errno.EPIPE, errno.EFBIG, errno.EDQUOT):
            _say(f"the answer could not be written whole ({error.strerror}).")
        else:
            _say(f"stopped by a fault: {error}")
        _leave(CRASHED)
    except KeyboardInterrupt:
        _say("stopped by the keyboard; what was printed so far stands.")
        _leave(130)
    except Exception as error:
        traceback.print_exc()
        _say(f"stopped by a fault in this program ({type(error).__name__}). Report what you did.")
        _leave(CRASHED)


def careful_output() -> None:
    """Letters that the terminal does not have are written as escapes instead of ending the run."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _flush() -> None:
    sys.stdout.flush()


def _say(what: str) -> None:
    with contextlib.suppress(OSError):
        print(f"inkwitness: {what}", file=sys.stderr, flush=True)


def _leave(code: int) -> None:
    # without the interpreter's own last flush, which would fail again and change the exit code
    with contextlib.suppress(OSError):
        sys.stderr.flush()
    os._exit(code)
