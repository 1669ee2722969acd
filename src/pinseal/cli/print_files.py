"""What the verbs of `print` share: their options, writing the file and the preview, and telling what was printed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Literal

import click

from pinseal.cli.options import F, print_json, say
from pinseal.reasons import Refusal

Form = Literal["pdf", "svg", "png"]
_FORMS: Mapping[str, Form] = {".pdf": "pdf", ".svg": "svg", ".png": "png"}
PREVIEW_PPI = 200


def out_options(command: F) -> F:
    """`--out` and `--preview`."""
    command = click.option("--preview", metavar="FILE.png", help="Also a picture of each page, at 200 dots an inch.")(command)
    return click.option("--out", required=True, metavar="FILE", help="Where to write: .pdf (true scale, archivable), .svg or .png.")(
        command
    )


def stock_options(command: F) -> F:
    """`--stock` and `--start`."""
    command = click.option("--start", default=1, show_default=True, metavar="N", help="The first free cell of the sheet.")(command)
    return click.option(
        "--stock", metavar="NAME", help="The stock: a name of `print stocks`, or a file .toml. The first that fits unless said."
    )(command)


def form_option(command: F) -> F:
    """`--form`."""
    return click.option("--form", metavar="NAME", help="The form of marks, as in us-tx. The one of the unit's site unless said.")(command)


def form_of(out: str) -> Form:
    """The form of a file by its ending. Raises `Refusal`."""
    ending = Path(out).suffix.lower()
    if ending not in _FORMS:
        raise Refusal(
            what="this kind of file is not made here", rule=f"a file ends in {', '.join(_FORMS)}", got=out, do="say --out marks.pdf"
        )
    return _FORMS[ending]


def write_files(draw: Callable[..., Any], out: str, preview: str | None) -> tuple[list[str], list[str]]:
    """Write what `draw` makes, and its preview. Returns the files and the notes. Pages after the first get their number."""
    if preview and form_of(preview) != "png":
        raise Refusal(what="a preview is a PNG", rule="its file ends in .png", got=preview, do="say --preview tag.png")
    made = draw(form_of(out))
    files = _write(out, made.pages.files)
    if preview:
        files += _write(preview, draw("png", ppi=PREVIEW_PPI).pages.files)
    return files, list(made.notes)


def _write(name: str, contents: tuple[bytes, ...]) -> list[str]:
    path, names = Path(name), []
    for number, content in enumerate(contents, start=1):
        target = path if number == 1 else path.with_name(f"{path.stem}-{number}{path.suffix}")
        target.write_bytes(content)
        names.append(str(target))
    return names


def tell_printed(printed: Any, files: list[str], notes: list[str], *, what: str, as_json: bool) -> None:
    """Say what was written, on which stock, and what the person who prints should know."""
    count = len(printed.marks) or len(printed.labels)
    all_notes = [*printed.notes, *notes]
    if as_json:
        marks = [mark.as_json() for mark in printed.marks]
        units = [label.id for label in printed.labels]
        print_json({"files": files, "stock": printed.stock.id, "count": count, "marks": marks, "units": units, "notes": all_notes})
        return
    say(f"{what}: {count}, on {printed.stock.title}")
    for file in files:
        say(f"Wrote {file}")
    for note in all_notes:
        say(f"note: {note}")
