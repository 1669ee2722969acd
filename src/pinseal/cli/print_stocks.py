"""`print stocks|forms`: the stocks held, the check page of one, and what each form asks of each mark."""

from __future__ import annotations

from typing import Any

import click

from pinseal.cli.options import json_option, print_json, say
from pinseal.cli.print_files import write_files
from pinseal.reasons import Refusal


@click.command()
@click.argument("stock", metavar="STOCK", required=False)
@click.option("--out", metavar="FILE", help="Write the check page of STOCK: outlines, numbers of the cells, a rule to measure.")
@click.option("--preview", metavar="FILE.png", help="Also a picture of the page.")
@json_option
@click.pass_obj
def stocks(app: Any, /, stock: str | None, out: str | None, preview: str | None, as_json: bool) -> None:
    """The stocks held; with a name and --out, the page that shows whether stock and print meet.

    Example: pinseal print stocks codes-a4 --out check.pdf
    """
    from dataclasses import asdict

    from pinseal.standards.stocks import shipped_stocks, stock_named

    if (stock is None) is not (out is None):
        raise Refusal(
            what="half a question", rule="the check page wants a stock and --out", got=str(stock or out), do="say both, or neither"
        )
    if out:
        files, _ = write_files(app.print_check(stock).draw, out, preview)
        if as_json:
            print_json({"files": files, "stock": asdict(stock_named(str(stock)))})
        else:
            say(f"Wrote {', '.join(files)}: print it at 100 %, lay it on the stock, and measure the rule.")
    elif as_json:
        print_json([asdict(each) for each in shipped_stocks().values()])
    else:
        for each in shipped_stocks().values():
            say(f"{each.id:<16} {each.title}; for {', '.join(each.marks) or 'any mark'}")


@click.command()
@click.argument("form", metavar="FORM", required=False)
@json_option
def forms(form: str | None, as_json: bool) -> None:
    """The forms of marks held; with a name, what it asks of each mark, by which rule, and how that was checked.

    Example: pinseal print forms us-tx
    """
    from pinseal.rules.papers import where
    from pinseal.standards.marks import FIELDS, MADE_BY, PRINTED, form_named, mark_forms

    if form is None:
        held = list(mark_forms().values())
        if as_json:
            print_json([{"id": each.id, "title": each.title, "marks": list(each.marks)} for each in held])
        for each in () if as_json else held:
            say(f"{each.id:<8} {each.title}: {', '.join(PRINTED[mark] for mark in each.marks)}")
        return
    found = form_named(form)
    if as_json:
        asked = {mark: {each.what: each.source.as_json() for each in rule.fields} for mark, rule in found.marks.items()}
        print_json({"id": found.id, "title": found.title, "papers": list(found.signer.papers), "marks": asked})
        return
    say(f"{found.title}. Signed by a holder of: {', '.join(found.signer.papers)} ({where(found.signer.source)}).")
    for mark, rule in found.marks.items():
        say(f"{PRINTED[mark]}: {MADE_BY[rule.made_by]} ({where(rule.source)})")
        for words in rule.texts:
            say(f"  words: {words.what} ({words.source.clause})")
        for ruled in rule.fields:
            how = ", punched" if ruled.what in rule.punched else ""
            say(f"  {FIELDS[ruled.what]}{how} ({ruled.source.clause})")
        for note in (rule.material, f"not read: {rule.not_seen}" if rule.not_seen else "", rule.note):
            if note:
                say(f"  - {note}")


COMMANDS = {"stocks": stocks, "forms": forms}
