"""The command line: what each command takes, and how a refusal is told to a person.

Commands that only read a document import neither the web framework nor the database, so they start fast.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeAlias

from .survey.circuit import PresetValve
from .survey.document import read_document, write_document
from .survey.errors import SurveyError, WattwalkError
from .survey.firm import Article
from .survey.holders import OFFICE, ROLES
from .terminal import UsageError, as_text, list_name, read_input, read_survey, write_output

#: The demo house as a document, without its pictures; its dates are told from one day and stay.
EXAMPLE = Path(__file__).with_name("examples") / "demo-house.json"

#: Exit status for a file or an argument that cannot be taken, and for everything else that went wrong.
BAD_INPUT = 2
FAILED = 1


#: What stands for all papers of a version.
EVERY_PAPER = "every"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    given = _parser().parse_args(arguments)
    try:
        return given.command(given) or 0
    except SurveyError as error:
        for problem in error.problems:
            _say(problem.line())
        return BAD_INPUT
    except UsageError as error:
        _say(str(error))
        return BAD_INPUT
    except WattwalkError as error:
        _say(str(error))
        return FAILED
    except ModuleNotFoundError as error:
        if error.name is None or error.name.split(".")[0] == "wattwalk":
            raise
        _say(
            f"This command needs the server's packages, and {error.name} is not installed here. Install them: "
            "pip install 'wattwalk[server]'"
        )
        return FAILED
    except BrokenPipeError:
        # Whoever read our output has enough; a second complaint at exit is switched off as well.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130


def _say(line: str) -> None:
    print(f"wattwalk: {line}".encode(errors="backslashreplace").decode(), file=sys.stderr)


def show_model(given: argparse.Namespace) -> None:
    """Write the survey model."""
    from .survey.model import survey_model

    write_output(as_text(survey_model()), given.out)


def show_example(given: argparse.Namespace) -> None:
    """Write the example document: the demo house."""
    write_output(EXAMPLE.read_bytes(), given.out)


def show_schema(given: argparse.Namespace) -> None:
    """Write the JSON Schema of a survey document."""
    from .survey.json_schema import document_schema

    write_output(as_text(document_schema()), given.out)


def assess_file(given: argparse.Namespace) -> None:
    """Write the assessment of a survey document."""
    from .engine import assess, to_plain

    write_output(as_text(to_plain(assess(read_survey(given.file)))), given.out)


def add_units(given: argparse.Namespace) -> int | None:
    """Take the units of a firm's list into its book, or write a survey document that has them itself; a unit that is there already is replaced."""
    from .engine.unit.table import UnitTableError
    from .list_file import ListError, read_list
    from .unit_list import unit_records

    if given.file is None:
        if given.out is not None:
            raise UsageError(
                "--out: what goes into the firm's book makes no file; name a survey document to write one."
            )
        return _from_commands("take_list")(given)
    try:
        name = list_name(given.list)
        made = unit_records(name, read_list(name, read_input(given.list)))
    except (ListError, UnitTableError) as error:
        raise UsageError(str(error)) from None
    document = write_document(read_survey(given.file))
    new = {record["id"] for record in made}
    document["records"]["unit"] = [
        record for record in document["records"].get("unit", []) if record["id"] not in new
    ] + made
    read_document(document)
    write_output(as_text(document), given.out)
    return None


def take_or_write_list(given: argparse.Namespace) -> int | None:
    """Take a list of the firm's into its book, or write what its book has as a list."""
    if (given.list is None) == (given.out is None):
        raise UsageError("Name either a list to take in, or with --out a file to write.")
    return _from_commands("take_list" if given.out is None else "write_out_list")(given)


def show_checks(given: argparse.Namespace) -> int:
    """List every case of the check book beside what this program computes; the status says whether all of them are met."""
    from .checks import by_kind, by_subject, check_all

    checks = check_all()
    lines = []
    for item in checks:
        case, verdict = item.case, "ok" if item.is_met else "NOT MET"
        lines.append(
            f"{case.subject}: {case.name}: computed {item.computed:.6g}, expected {case.expected:.6g} \N{PLUS-MINUS SIGN} {case.tolerance:g}, {verdict} [{case.kind}: {case.cited}]"
        )
    lines += [f"{subject}: {met} of {every} met" for subject, every, met in by_subject(checks)]
    failed = [item for item in checks if not item.is_met]
    lines += [f"{words}: {met} of {every} met" for words, every, met in by_kind(checks)]
    lines.append(f"{len(checks) - len(failed)} of {len(checks)} cases met")
    write_output(("\n".join(lines) + "\n").encode(), given.out)
    return FAILED if failed else 0


def report_file(given: argparse.Namespace) -> None:
    """Write the papers of a survey document, without a firm and with its inlined photos: one of them, or each beside the first."""
    from datetime import date

    from .office.paper_names import LABELS, QUOTATION, ending
    from .office.report_inputs import gather
    from .sync.documents import read_pictures

    if given.out == "-":
        raise UsageError("-o: papers are files, so they need one to go to.")
    try:
        date.fromisoformat(given.made_on)
    except ValueError:
        raise UsageError(f"--made-on: found {given.made_on!r}, expected a day such as 2026-03-31.") from None
    survey = read_survey(given.file)
    pictures = read_pictures(survey.photo_data)
    from .office.report import make_paper

    inputs = gather(
        survey,
        firm={"name": given.firm},
        version=given.number,
        made_on=given.made_on,
        photos=pictures,
        with_checks=given.checks,
    )
    if given.paper != EVERY_PAPER:
        write_output(make_paper(inputs, given.paper), given.out)
        return
    first = Path(given.out)
    for name in LABELS:
        path = first if name == QUOTATION else first.with_name(f"{first.stem}-{name}.{ending(name)}")
        write_output(make_paper(inputs, name), str(path))


def _from_commands(name: str, *, apart: bool = False) -> Callable[[argparse.Namespace], int | None]:
    """Return a command that needs the database, imported only when it is run; `apart` when it looks at the tables for itself."""

    def command(given: argparse.Namespace) -> int | None:
        from . import commands

        return (commands.run_apart if apart else commands.run)(getattr(commands, name), given)

    return command


_DOCUMENT = "a survey document, - for standard input"
#: Where an added command's parser is hung.
_Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="wattwalk", description="From a heating surveyor's visit to a quote-ready report."
    )
    parser.add_argument("--version", action=_ShowVersion, nargs=0, help="say which build this is")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    _add_serving(commands)
    _add_files(commands)
    _add_records(commands)
    _add_keeping(commands)
    return parser


def _add(
    commands: _Commands, name: str, command: Callable[[argparse.Namespace], int | None], help: str
) -> argparse.ArgumentParser:
    added = commands.add_parser(name, help=help, description=help)
    added.set_defaults(command=command)
    return added


def _add_serving(commands: _Commands) -> None:
    run = _add(commands, "run", _from_commands("serve_office"), "serve the office and the phone app")
    run.add_argument("--host", default="127.0.0.1", help="address to serve on (%(default)s)")
    run.add_argument("--port", type=_port, default=8000, help="port to serve on (%(default)s); 0 takes a free one")
    run.add_argument("--demo", action="store_true", help="fill in the demo firm and its house first")
    _add(commands, "demo", _from_commands("fill_in_demo"), "fill in the demo firm, its house and its report")


def _add_files(commands: _Commands) -> None:
    """Add what needs a survey document and no database."""
    for name, command, words in (
        ("model", show_model, "write the survey model as JSON"),
        ("schema", show_schema, "write the JSON Schema of a survey document"),
        ("example", show_example, "write the example document: an invented house"),
    ):
        _add(commands, name, command, words).add_argument("--out", help="file to write to (standard output)")
    assessed = _add(commands, "assess", assess_file, "assess a survey document")
    assessed.add_argument("file", help=_DOCUMENT)
    assessed.add_argument("--out", help="file to write to (standard output)")
    units = _add(
        commands, "units", add_units, "take a list of units into the firm's book, or put it into a survey document"
    )
    units.set_defaults(kind="unit")
    units.add_argument(
        "list",
        help="CSV or XLSX with the columns unit, name, outside_c, flow_c, capacity_kw, cop, least_kw, standby_w and a row of their units",
    )
    units.add_argument("file", nargs="?", help=f"{_DOCUMENT}; without one the list goes into the firm's book")
    units.add_argument("--firm", help="name of the firm; not needed when there is only one")
    units.add_argument("--out", help="file to write to (standard output)")
    _add(commands, "checks", show_checks, "work the check book out again and list its cases").add_argument(
        "--out", help="file to write to (standard output)"
    )
    report = _add(commands, "report", report_file, "make the papers of a survey document")
    report.add_argument("file", help=_DOCUMENT)
    report.add_argument(
        "-o",
        "--out",
        required=True,
        help="the quotation's PDF; the other papers go beside it, under its name and theirs",
    )
    report.add_argument(
        "--paper",
        choices=(EVERY_PAPER, "quotation", "file", "sheets", "page"),
        default=EVERY_PAPER,
        help="one paper alone, written to OUT (%(default)s)",
    )
    report.add_argument("--firm", default="", help="name of the firm, as the report gives it")
    report.add_argument("--number", type=_number, default=1, help="number of this version (%(default)s)")
    report.add_argument("--made-on", default=_today(), help="day of the report (today)")
    report.add_argument(
        "--checks",
        action="store_true",
        help="say on the last page how many cases of the check book the program meets, by kind",
    )


def _add_records(commands: _Commands) -> None:
    """Add what goes into the database and out of it."""
    imported = _add(commands, "import", _from_commands("import_file"), "take a survey document into the database")
    imported.add_argument("file", help=_DOCUMENT)
    imported.add_argument("--firm", help="name of the firm; not needed when there is only one")
    exported = _add(
        commands,
        "export",
        _from_commands("export_survey"),
        "write a survey of the database as a document, photos inlined",
    )
    exported.add_argument("survey", help="id of the survey")
    exported.add_argument("--out", help="file to write to (standard output)")
    for command, kind, called, first in (
        ("articles", Article.kind, "articles", "code"),
        ("valves", PresetValve.kind, "valves with settings", "name"),
    ):
        listed = _add(
            commands,
            command,
            take_or_write_list,
            f"take a list of {called} into the firm's book, or write what is there as a list",
        )
        listed.set_defaults(kind=kind.name)
        listed.add_argument(
            "list", nargs="?", help=f"CSV or XLSX with the column {first}; what --out writes shows the others"
        )
        listed.add_argument("--firm", help="name of the firm; not needed when there is only one")
        listed.add_argument("--out", help="file to write instead: XLSX where its name ends so, else CSV")
    user = _add(commands, "user", lambda _: None, "people who sign in").add_subparsers(required=True, metavar="COMMAND")
    added = user.add_parser("add", help="add a person; the password is asked for, or read from standard input")
    added.set_defaults(command=_from_commands("add_person"))
    added.add_argument("email")
    added.add_argument("--firm", required=True, help="name of the firm, made when there is none")
    added.add_argument("--name", help="the person's name (the email's first part)")
    added.add_argument("--role", choices=[*ROLES], default=OFFICE, help="what the person is to the firm (%(default)s)")
    role = user.add_parser("role", help="say what a person is to the firm: a surveyor sees no cost prices")
    role.set_defaults(command=_from_commands("give_role"))
    role.add_argument("email")
    role.add_argument("role", choices=[*ROLES])


def _add_keeping(commands: _Commands) -> None:
    """Add what proves the database, keeps a copy of it and brings it up to date."""
    _add(
        commands,
        "verify",
        _from_commands("verify_everything"),
        "prove that every survey's state is what its log adds up to, and that every photo is as it came",
    )
    backed_up = _add(
        commands,
        "backup",
        _from_commands("back_up", apart=True),
        "write database, photos and papers to one file, while the office serves",
    )
    backed_up.add_argument("file", help="the file to write; one that is there already is left alone")
    restored = _add(
        commands,
        "restore",
        _from_commands("restore", apart=True),
        "put a backup into this home and its database, then verify it",
    )
    restored.add_argument("file", help="a file that `wattwalk backup` has written")
    restored.add_argument(
        "--replace",
        action="store_true",
        help="put it in the place of an office that is here already, which is backed up first",
    )
    _add(
        commands,
        "new-epoch",
        _from_commands("start_epoch"),
        "tell all phones to offer their changes again, after a database was put back by other means than `restore`",
    )
    _add(
        commands,
        "migrate",
        _from_commands("migrate_tables", apart=True),
        "bring the database's tables up to date, after a backup",
    )


class _ShowVersion(argparse.Action):
    """Say which build this is, which is worked out only when it is asked for."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from .version import program_version

        print(f"wattwalk {program_version()}")
        parser.exit()


def _port(written: str) -> int:
    if not written.isascii() or not written.isdigit() or int(written) > 65_535:
        raise argparse.ArgumentTypeError(f"found {written!r}, expected a port from 0 to 65535")
    return int(written)


def _number(written: str) -> int:
    if not written.isascii() or not written.isdigit() or not 1 <= int(written[:6]) <= 99_999:
        raise argparse.ArgumentTypeError(f"found {written!r}, expected a number from 1 to 99999")
    return int(written)


def _today() -> str:
    from datetime import datetime

    return datetime.now().astimezone().date().isoformat()


if __name__ == "__main__":
    sys.exit(main())
