"""`read`, `due`, `explain`, `forecast`: what a list or a shop holds, and what each unit needs."""

from __future__ import annotations

from datetime import date
from typing import Any

import click

from pinseal.cli import wording
from pinseal.cli.options import (
    Duty,
    answers_options,
    assume_option,
    busy,
    json_option,
    on_option,
    packs_option,
    print_json,
    say,
    shop_option,
)

_basis_option = click.option(
    "--maintenance-basis",
    type=click.Choice(["anniversary", "tag-month", "strict-365"]),
    help="How the yearly maintenance is counted: the same day next year, the tag's month, or strict 365 days.",
)


@click.command()
@click.argument("file", metavar="FILE")
@answers_options
@click.option(
    "--date-order", type=click.Choice(["MDY", "DMY", "YMD"]), help="The order of day and month, where the list does not decide it."
)
@json_option
@click.pass_obj
def read(app: Any, /, file: str, answers: str | None, answer: tuple[str, ...], date_order: str | None, as_json: bool) -> None:
    """Read a list of extinguishers (CSV, XLSX) and show what was understood, and what must be asked.

    Every row ends as a unit, a named non-unit or a problem. Nothing is guessed: what a careful person would ask is asked,
    and one answer settles all alike.

    Example: pinseal read list.xlsx --answer date-order=DMY
    """
    with busy("Reading the list"):
        register = app.read(file, answers_file=answers, answers=answer, date_order=date_order)
    if as_json:
        print_json(register.as_json())
    else:
        wording.say_register(register)


@click.command()
@click.argument("file", metavar="FILE-or-SHOP", required=False)
@packs_option
@on_option
@click.option("--horizon", type=click.IntRange(0, 3660), default=None, metavar="DAYS", help="How far ahead a due counts as due (30).")
@assume_option
@_basis_option
@answers_options
@shop_option
@click.option("--top", type=click.IntRange(1), default=12, show_default=True, help="How many rows to print, the most urgent first.")
@click.option("--all", "every", is_flag=True, help="Print every row, by unit.")
@json_option
@click.pass_obj
def due(app: Any, /, top: int, every: bool, as_json: bool, **asked: Any) -> None:
    """Every duty of every unit with its date and its reasons, for a list or a shop.

    Example: pinseal due list.csv --packs us-osha,us-nfpa10 --on 2026-11-24
    """
    with busy("Working out the dues"):
        found = _due_list(app, asked)
    if as_json:
        print_json(found.as_json())
        return
    wording.say_summary(found)
    if not every:
        wording.say_urgent(found, top)
        wording.say_what_would_help(found, top)
        return
    for row in found.all():
        wording.say_due(row, found.states[row.index])


def _due_list(app: Any, asked: dict[str, Any]) -> Any:
    return app.due_list(
        asked.get("file") or asked.get("shop"),
        packs=asked.get("packs"),
        on=asked.get("on"),
        horizon_days=asked.get("horizon"),
        assume=asked.get("assume"),
        basis=asked.get("maintenance_basis"),
        answers_file=asked.get("answers"),
        answers=asked.get("answer", ()),
    )


@click.command()
@click.argument("unit", metavar="UNIT")
@click.option("--list", "file", metavar="FILE", help="Look in this list instead of a shop.")
@click.option("--duty", type=Duty(), metavar="DUTY", help="Only this duty, as in hydrostatic-test.")
@packs_option
@on_option
@assume_option
@_basis_option
@answers_options
@shop_option
@json_option
@click.pass_obj
def explain(app: Any, /, unit: str, duty: str | None, as_json: bool, **asked: Any) -> None:
    """Why one unit owes what it owes, by when, with the clauses. UNIT is an id, a serial or a uid.

    Example: pinseal explain T-014 --shop shop.pinseal --duty hydrostatic-test
    """
    from pinseal.service.duelist import row_json

    found = _due_list(app, asked)
    index = app.find_in(found.states, unit)
    rows = [row for row in found.of_unit(index) if duty in (None, row.duty)]
    if as_json:
        print_json({"on": found.on.isoformat(), "rows": [row_json(row, found.states[index]) for row in rows]})
        return
    wording.say_unit(found.states[index])
    for row in rows:
        wording.say_due(row, found.states[index], whole=True)
    if not rows:
        say("No such duty is owed by this unit." if duty else "This unit owes no duty: it is out of the fleet.")


@click.command()
@click.argument("file", metavar="FILE-or-SHOP", required=False)
@click.option("--years", type=int, default=10, show_default=True, help="How many years, 1 to 40.")
@click.option("--inspections", is_flag=True, help="Also the monthly inspections.")
@click.option("--unit", metavar="UNIT", help="Only this unit.")
@packs_option
@on_option
@assume_option
@_basis_option
@answers_options
@shop_option
@json_option
@click.pass_obj
def forecast(app: Any, /, years: int, inspections: bool, unit: str | None, as_json: bool, **asked: Any) -> None:
    """The jobs of the coming years, if each is done on time.

    Example: pinseal forecast list.csv --packs us-osha --years 12 --unit T-014
    """
    with busy("Looking ahead"):
        found = _due_list(app, asked)
        jobs = app.forecast(found, years=years, inspections=inspections, unit=unit)
    if as_json:
        print_json(_forecast_json(found, jobs))
    elif unit:
        for job in jobs:
            say(f"{wording.day_words(job.on):>12}  {wording.duty_label(job.duty)}")
    else:
        wording.say_forecast(jobs, found.on)


def _forecast_json(found: Any, jobs: Any) -> dict[str, Any]:
    from pinseal.service.duelist import unit_json

    on: date = found.on
    return {
        "on": on.isoformat(),
        "packs": [{"pack": c.pack.id, "edition": c.edition} for c in found.chosen],
        "jobs": [{"unit": unit_json(found.states[j.index]), "duty": j.duty, "on": j.on.isoformat()} for j in jobs],
    }


COMMANDS = {"read": read, "due": due, "explain": explain, "forecast": forecast}
