"""The root command: which commands there are, how they are loaded late, and how every refusal is shown."""

from __future__ import annotations

import errno
import importlib
import io
import os
import sys
from collections.abc import Sequence
from typing import Any, TextIO

import click

from pinseal import __version__
from pinseal.cli.options import json_text
from pinseal.reasons import Refusal

# command: (module, one line of help). The line stands here so that `pinseal --help` loads no command.
COMMANDS: dict[str, tuple[str, str]] = {
    "standards": ("standards", "The rule packs held: provisions, sources, what is only remembered, where packs differ."),
    "read": ("lists", "Read a list of extinguishers (CSV, XLSX) and show what was understood, and what must be asked."),
    "due": ("lists", "Every duty of every unit with its date and its reasons, for a list or a shop."),
    "explain": ("lists", "Why one unit owes what it owes, by when, with the clauses."),
    "forecast": ("lists", "The jobs of the coming years, if each is done on time."),
    "audit": ("shops", "Which duties on record were done late, and by how much."),
    "init": ("shops", "Make a new shop: one file that keeps the record."),
    "settings": ("shops", "Show or change a shop's settings: packs, time zone, units, basis of the year."),
    "import": ("shops", "Take a list into a shop; shows first what it would change."),
    "take-in": ("handing_in", "Take in what a phone saved to a file because it could not send it."),
    "record": ("shops", "Record one thing that was done, found or changed."),
    "history": ("shops", "Everything on record about one unit, in order."),
    "withdrawals": ("shops", "Keep lists of units that are withdrawn by recall or because parts have ended."),
    "bottles": ("bottles", "The supply bottles of a shop: received, read, returned, and what each holds."),
    "instruments": ("registers", "The instruments of a shop: last good check, until when it counts, by which rule."),
    "people": ("registers", "The people of a shop with their papers, and whether these are in date."),
    "doubt": ("registers", "Every reading on record that an instrument puts in doubt."),
    "notices": ("notices", "Impaired units: who must be told, by when, and whether that was done."),
    "agents": ("agents", "Batches of agent in the store: bought, recovered, weighed, tested, certified; and their accounts."),
    "prices": ("prices", "The price book of a shop: what holds today, and keeping a new one."),
    "quotes": ("prices", "The quotes that were made, and what the owners answered."),
    "repair-or-replace": ("prices", "Whether a unit is worth its keep, in figures, with what they take for granted."),
    "verify": ("keeping", "Check every chain of records and the state that is derived from it."),
    "backup": ("keeping", "Copy a shop, restore the copy and verify it before saying that it worked."),
    "restore": ("keeping", "Make a shop from a backup, and verify it."),
    "table": ("tables", "Write the due list, the inventory or the deficiencies as a spreadsheet or CSV."),
    "export": ("keeping", "Write everything that a shop holds as plain CSV and JSON."),
    "gauge": ("gauging", "A gauge reading in any weather: what a full unit shows now, the reading at 70 F, and a verdict with its doubt."),
    "charge": ("charging", "The target pressure at today's temperature, where to stop the gas, or what stands against a charge."),
    "supply": ("supplying", "What the supply bottles hold, how many units they still fill, and in which order to draw them."),
    "jacket": ("pressure_tests", "A water jacket test: how much of the expansion stayed, against the limit of the specification."),
    "proof": ("pressure_tests", "A proof pressure test: the pressure it needs, the hold, the instruments, the verdict."),
    "direct": ("pressure_tests", "A direct expansion test, with the squeezing of the water by the standard's table."),
    "shell": ("shell_guide", "The condemn guide, with sources: what is never tested, fails, is condemned; dents and pits by measure."),
    "weigh": ("weighing", "A weighing: loss in percent of the net agent, against its limit, with the scale's doubt."),
    "leak": ("leaks", "Slow leak, one-off loss or neither, from readings over the years, with what would settle it."),
    "lots": ("leaks", "What the failures of a fleet say about its models and lots, as intervals."),
    "balance": ("masses", "Whether the account of an agent closes: in less out less left, against the scale."),
    "load": ("masses", "Whether the van carries its load as materials of trade."),
    "sheet": ("sheets", "The job sheet of a unit: steps in the safe order, gates, limits, cautions."),
    "work": ("working", "Work a job sheet in the terminal, step by step; it can be broken off and gone on with."),
    "decide": ("sheets", "What a unit needs by a few facts, why not less, why not more."),
    "finish": ("sheets", "Run a filled job sheet in one go, and close it with its records."),
    "sheets": ("sheets", "The job sheets that are kept: open ones, closed ones, who and when."),
    "print": ("printing", "Tags, collars, labels and papers, at true scale, from finished job sheets."),
    "serve": ("serving", "Serve a shop's pages on this machine."),
    "demo": ("serving", "Make the invented demo shop and print its most urgent dues."),
}


class LateGroup(click.Group):
    """A group that knows its commands by name and loads each one when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"pinseal.cli.{COMMANDS[cmd_name][0]}")
        command = module.COMMANDS[cmd_name]
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])


@click.group(cls=LateGroup, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 110})
@click.version_option(__version__, prog_name="pinseal")
@click.pass_context
def root(ctx: click.Context) -> None:
    """What every fire extinguisher of a fleet needs, by when and why, and a record that lasts.

    Pressurised vessels can kill. This tool advises and records; it does not replace the nameplate, the maker's manual,
    the adopted code, the fire authority, or a licensed person.

    Exit codes: 0 answered, 1 a fault of ours, 2 bad input, 3 a shop that cannot be used.
    """
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


def _as_refusal(mistake: Exception) -> Refusal:
    """Turn what click, the disk or the reader of a pipe complains of into the one shape of refusal."""
    if isinstance(mistake, Refusal):
        return mistake
    if isinstance(mistake, click.ClickException):
        command = mistake.ctx.command_path if isinstance(mistake, click.UsageError) and mistake.ctx else "pinseal"
        return Refusal(what="the command is not right", rule=mistake.format_message(), got="", do=f"see `{command} --help`")
    if isinstance(mistake, UnicodeEncodeError):
        return Refusal(
            what="a word of the command holds bytes that are no text",
            rule="numbers, names and fields are plain text; a list may have any file name",
            got=ascii(mistake.object[max(mistake.start - 20, 0) : mistake.end + 20]),
            do="type the word again",
        )
    if isinstance(mistake, PermissionError):
        return Refusal(
            what="no permission", rule=str(mistake.strerror), got=str(mistake.filename), do="check the owner and the rights of the file"
        )
    assert isinstance(mistake, OSError)
    return Refusal(
        what="the system refused", rule=str(mistake.strerror), got=str(mistake.filename or ""), do="check the path and the free space"
    )


def _show(refusal: Refusal, as_json: bool) -> None:
    if as_json:
        click.echo(json_text({"error": refusal.as_json()}))
        return
    got = f" (got {refusal.got})" if refusal.got else ""
    try:
        click.echo(f"pinseal: {refusal.what}{got}\n  rule: {refusal.rule}\n  do:   {refusal.do}", err=True)
    except OSError:  # nobody can be told; the exit code still says it
        sys.stderr = _nowhere()


def run(app: Any, arguments: Sequence[str] | None = None) -> int:
    """Run the command line with `app` as its wiring. Returns the exit code; never lets a traceback out."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    _ready_the_streams()
    try:
        code = _run(app, words)
        sys.stdout.flush()
        return code
    except OSError as lost:
        return _output_lost(lost)


def _ready_the_streams() -> None:
    """A channel that was closed by who called us leads nowhere; a character that a channel cannot carry is shown as its code."""
    sys.stdout = sys.stdout or _nowhere()
    sys.stderr = sys.stderr or _nowhere()
    for channel in (sys.stdout, sys.stderr):
        if isinstance(channel, io.TextIOWrapper):
            channel.reconfigure(errors="backslashreplace")


def _nowhere() -> TextIO:
    return open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123 - lives to the end


def _run(app: Any, words: list[str]) -> int:
    as_json = "--json" in words
    try:
        code = root.main(args=words, prog_name="pinseal", standalone_mode=False, obj=app)
        return code if isinstance(code, int) else 0
    except SystemExit:
        # click ends this way only where the reader of our output has gone, as in `pinseal due … | head`.
        return _output_lost(OSError(errno.EPIPE, "the reader has gone"))
    except (Refusal, click.ClickException, UnicodeEncodeError, OSError) as mistake:
        if isinstance(mistake, OSError) and mistake.filename is None:
            raise  # no file of ours: it is our own output that cannot be written
        refusal = _as_refusal(mistake)
        _show(refusal, as_json)
        return refusal.exit_code
    except (KeyboardInterrupt, click.exceptions.Abort):
        click.echo("pinseal: stopped; nothing half done was kept", err=True)
        return 130
    except Exception as fault:  # noqa: BLE001 - the last door: our own fault is said in words, and as exit code 1
        return _own_fault(fault, as_json)


def _output_lost(lost: OSError) -> int:
    """Our output goes nowhere: nobody's fault where its reader has gone, said on the error channel where it cannot be written."""
    sys.stdout = _nowhere()  # else the rest fails once more
    if lost.errno == errno.EPIPE:
        return 0
    _show(
        Refusal(what="the answer could not be written", rule=str(lost.strerror), got="standard output", do="make room and ask again"),
        as_json=False,
    )
    return 2


def _own_fault(fault: Exception, as_json: bool) -> int:
    if os.environ.get("PINSEAL_TRACE"):
        raise fault
    place = fault.__traceback__
    while place and place.tb_next:
        place = place.tb_next
    where = f"{os.path.basename(place.tb_frame.f_code.co_filename)} line {place.tb_lineno}" if place else "an unknown place"  # noqa: PTH119
    refusal = Refusal(
        what="a fault in pinseal itself",
        rule="this should not happen",
        got=f"{type(fault).__name__} in {where}",
        do="run again with PINSEAL_TRACE=1 and report it",
    )
    _show(refusal, as_json)
    return 1
