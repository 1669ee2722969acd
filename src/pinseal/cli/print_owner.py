"""`print file` and `print calendar`: what the owner of a site keeps."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import Duty, busy, json_option, named_shop, print_json, say, shop_option
from pinseal.cli.print_files import form_of, out_options, write_files
from pinseal.reasons import Refusal


@click.command()
@click.argument("site")
@click.option("--year", type=int, metavar="YEAR", help="The year told of. This one unless said.")
@out_options
@shop_option
@json_option
@click.pass_obj
def file(app: Any, /, site: str, year: int | None, out: str, preview: str | None, shop: str | None, as_json: bool) -> None:
    """The owner's file of a site: inventory with every date and reason, months, the year, open deficiencies.

    A site of many units comes in parts: the front with its index under the name that you give, the parts beside it.

    Example: pinseal print file "Town Hall" --year 2025 --out town-hall.pdf --shop shop.pinseal
    """
    path = named_shop(shop)
    files: list[str] = []
    notes: list[str] = []
    with busy("Putting the file together"):
        made = app.owner_file(path, site, year=year)
        for paper, drawn in app.draw_owner_papers(path, made, form_of(out)):
            draw = _drawn_or(drawn, form_of(out), paper.draw)
            some, said = write_files(draw, _beside(out, paper.name), _beside(preview, paper.name) if preview else None)
            files += some
            notes += [note for note in said if note not in notes]
    if as_json:
        print_json({"files": files, "notes": notes, **made.as_json()})
        return
    units, gaps, wrong = (_counted(*each) for each in ((len(made.units), "unit"), (made.gaps, "gap"), (made.wrong.end, "open deficiency")))
    say(f"{made.site}, {made.year}: {units}, {gaps} in {len(made.months)} months, {wrong}")
    for line in (*(f"Wrote {each}" for each in files), *(f"note: {each}" for each in notes)):
        say(line)


def _counted(count: int, word: str) -> str:
    """`1 unit`, `2 deficiencies`."""
    plural = f"{word[:-1]}ies" if word.endswith("y") else f"{word}s"
    return f"{count:,} {word if count == 1 else plural}"


def _drawn_or(drawn: Any, form: str, draw: Callable[..., Any]) -> Callable[..., Any]:
    """What is drawn already in its form; anything else, as the preview, is drawn when it is asked for."""
    return lambda asked, **more: drawn if asked == form and not more else draw(asked, **more)


def _beside(out: str, name: str) -> str:
    path = Path(out)
    return str(path.with_name(f"{path.stem}-{name}{path.suffix}")) if name else out


@click.command()
@click.argument("site")
@click.option("--duty", "duties", type=Duty(), multiple=True, metavar="DUTY", help="Only this duty, as in maintenance; may be repeated.")
@click.option("--out", required=True, metavar="FILE.ics", help="Where to write.")
@shop_option
@json_option
@click.pass_obj
def calendar(app: Any, /, site: str, duties: tuple[str, ...], out: str, shop: str | None, as_json: bool) -> None:
    """The dues of a site as a calendar (iCalendar), each on the last day allowed.

    Example: pinseal print calendar "Town Hall" --duty maintenance --out town-hall.ics --shop shop.pinseal
    """
    if Path(out).suffix.lower() != ".ics":
        raise Refusal(what="this kind of file is no calendar", rule="a calendar ends in .ics", got=out, do="say --out dues.ics")
    found = app.site_calendar(named_shop(shop), site, duties=duties)
    Path(out).write_bytes(app.calendar_bytes(found))
    if as_json:
        print_json({"file": out, **found.as_json()})
        return
    say(f"{found.name}: {_counted(len(found.entries), 'entry')}; {_counted(found.undated, 'duty')} without a date")
    say(f"Wrote {out}")


COMMANDS = {"file": file, "calendar": calendar}
