"""The command line: one command a module, each a thin call into the library.

Exit codes: 0 answered; 1 the input or the daybook was refused; 2 the command was misused; 3 faults were found (by
``verify``, or in a note that was not recorded); 130 interrupted.
"""

from __future__ import annotations

import os
import sys
import tempfile
import traceback

import typer

from kg.cli.add import add_command
from kg.cli.audit import audit_command, verify_command
from kg.cli.common import INTERRUPTED, REFUSED
from kg.cli.daybooks import begin_command, demo_command, merge_command
from kg.cli.desk import desk
from kg.cli.essay import essay_app
from kg.cli.essay_audit import audit_essays_command
from kg.cli.essay_publish import publish_command
from kg.cli.essay_sheet import sheet_command
from kg.cli.export import export
from kg.cli.fit import fit_command
from kg.cli.listing import list_command, vocabulary_command
from kg.cli.loose_ends import loose_ends_command
from kg.cli.read_date import read_date_command
from kg.cli.read_mark import read_mark_command
from kg.cli.same_as import same_as_command
from kg.cli.take_in import take_in
from kg.cli.thread import thread_command
from kg.cli.undo import undo_command
from kg.cli.weigh import weigh_command
from kg.cli.who import who_command
from kg.errors import KilnmarkError

app = typer.Typer(
    name="kilnmark",
    help="Research notes on dolls and their makers: claims with sources, and a chronology that tests them.",
    epilog="Exit codes: 0 answered; 1 refused (the message says why); 2 misused; 3 faults found; 130 interrupted.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.command("demo")(demo_command)
app.command("begin")(begin_command)
app.command("add")(add_command)
app.command("fit")(fit_command)
app.command("who")(who_command)
app.command("audit")(audit_command)
app.command("weigh")(weigh_command)
app.command("thread")(thread_command)
app.command("loose-ends")(loose_ends_command)
app.command("desk")(desk)
essay_app.command("publish")(publish_command)
essay_app.command("audit")(audit_essays_command)
essay_app.command("sheet")(sheet_command)
app.add_typer(essay_app, name="essay")
app.command("take-in")(take_in)
app.command("undo")(undo_command)
app.command("same-as")(same_as_command)
app.command("export")(export)
app.command("read-date")(read_date_command)
app.command("read-mark")(read_mark_command)
app.command("list")(list_command)
app.command("vocabulary")(vocabulary_command)
app.command("merge")(merge_command)
app.command("verify")(verify_command)


BROKEN_OFF = "Interrupted; nothing was half recorded."


def main() -> None:
    """Run the command line; whatever goes wrong is told in words, never as a traceback."""
    try:
        app()
    except SystemExit as ended:
        # The command library takes an interruption for itself and only sets the exit code.
        if ended.code == INTERRUPTED:
            print(BROKEN_OFF, file=sys.stderr)
        raise
    except KilnmarkError as error:
        print(error, file=sys.stderr)
        sys.exit(REFUSED)
    except KeyboardInterrupt:
        print(BROKEN_OFF, file=sys.stderr)
        sys.exit(INTERRUPTED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        print(f"{where}{error.strerror or error}. See to the file or folder and try again.", file=sys.stderr)
        sys.exit(REFUSED)
    except Exception:  # the last resort: a fault of the program is reported as one
        with tempfile.NamedTemporaryFile(
            "w", suffix=".txt", prefix="kilnmark-fault-", delete=False
        ) as report:
            report.write(traceback.format_exc())
        print(
            f"A fault of the program, not of yours. The daybook is unharmed; what happened is in {report.name}.",
            file=sys.stderr,
        )
        sys.exit(REFUSED)
