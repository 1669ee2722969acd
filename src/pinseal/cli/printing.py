"""`print`: the papers and marks of a shop. Each verb is a module of its own, named here and loaded when it is called."""

from __future__ import annotations

import importlib

import click

# verb: (module, one line of help). To add one: a module with a table COMMANDS, and a row here.
VERBS: dict[str, tuple[str, str]] = {
    "tag": ("print_marks", "Service tags."),
    "recharge": ("print_marks", "Recharge tags."),
    "collar": ("print_marks", "Rings that say that the valve was out."),
    "label": ("print_marks", "Six-year, pressure test and hose labels."),
    "red": ("print_marks", "Red tags for units that are out of order."),
    "codes": ("print_codes", "Labels with the number and the codes of units."),
    "places": ("print_codes", "Labels for the wall: what hangs here."),
    "notice": ("print_notices", "The notice of an impaired unit, with who must be told by when; or of a condemned shell."),
    "report": ("print_reports", "The report of a visit: one line, one page, every unit, with a page that proves it."),
    "file": ("print_owner", "The owner's file of a site: inventory, months, the year, deficiencies."),
    "sheet": ("print_tests", "The pressure tests of a day: checks first, each test, the stamp to strike."),
    "calendar": ("print_owner", "The dues of a site as a calendar (iCalendar)."),
    "certificate": ("print_agents", "The certificate of a batch of recycled agent."),
    "return": ("print_agents", "The figures of a year for halogenated agents."),
    "quote": ("print_quotes", "What the work that is due at a site comes to, line by line."),
    "invoice-figures": ("print_quotes", "What was done at a site on a day, in figures for the shop's accounts."),
    "certification": ("print_certification", "That a unit was tested by pressure, or given its yearly maintenance."),
    "stocks": ("print_stocks", "The stocks held, and the check page of one."),
    "forms": ("print_stocks", "What each form asks of each mark, with its source."),
}


class LateVerbs(click.Group):
    """The verbs of `print`, each loaded when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(VERBS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in VERBS:
            return None
        command = importlib.import_module(f"pinseal.cli.{VERBS[cmd_name][0]}").COMMANDS[cmd_name]
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in VERBS.items()])


@click.group("print", cls=LateVerbs)
def print_() -> None:
    """Marks and papers, as PDF at true scale, SVG or PNG. A mark is printed only from a job sheet that is finished,
    or finished but for its marks.

    Example: pinseal print tag PC-9 --stock tag-card --out pc-9.pdf --shop shop.pinseal
    """


COMMANDS = {"print": print_}
