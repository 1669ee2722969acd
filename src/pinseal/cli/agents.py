"""`agents`: the batches of agent in the store, what is recorded of them, and their accounts."""

from __future__ import annotations

from typing import Any

import click

from pinseal import kinds
from pinseal.cli.options import json_option, named_shop, print_json, say, shop_option
from pinseal.cli.registers import inside, said_fields, signed, writing

_AGENT = click.option("--agent", required=True, metavar="AGENT", help="The agent, as in halocarbon-hfc-236fa.")
_MASS = click.option("--mass", required=True, metavar="MASS", help='How much agent, net, as in "50 lb".')
_LOT = click.option("--lot", metavar="TEXT", help="Its lot.")
_DRUM = click.option("--container", metavar="TEXT", help="The drum or cylinder, where its number is not the name of the batch.")
_CAME_FROM = click.option("--came-from", metavar="TEXT", help="Where it came from: a supplier, the units of a site.")
_PAPER = click.option("--certificate", metavar="TEXT", help="The number of the paper.")


@click.group(invoke_without_command=True)
@shop_option
@json_option
@click.pass_context
def agents(ctx: click.Context, /, shop: str | None, as_json: bool) -> None:
    """The batches of agent of a shop: what should lie in each, and whether its account closes.

    Units name a batch as their container or lot, when they are recharged or emptied. The figures of a year: `pinseal print return`.

    Example: pinseal agents --shop shop.pinseal
    """
    if ctx.invoked_subcommand:
        return
    found = ctx.obj.agent_batches(named_shop(shop))
    if as_json:
        print_json({"batches": [each.as_json() for each in found]})
        return
    if not found:
        say('No batch of agent is on record. Put one in with `pinseal agents add ID --agent … --mass "50 lb" --origin virgin`.')
    for each in found:
        _say_account(ctx.obj, each, named_shop(shop))


def _say_account(app: Any, account: Any, where: Any) -> None:
    from pinseal.service.agent_papers import VERDICTS, mass_words

    batch, system = account.batch, app.settings(where, {}, person=None)["units"]
    origin = "recovered" if batch.origin == "recovered" else kinds.AGENT_ORIGINS[batch.origin]
    about = [kinds.AGENTS[batch.agent].label if batch.agent else "never begun", origin]
    about += [text for text in (f"lot {batch.lot}" if batch.lot else "", "recycled" if batch.certificates else "") if text]
    about += (
        [f"used up {batch.used_up.since.for_people()}"] if batch.used_up else [f"{mass_words(account.left_kg, system)} should be there"]
    )
    say(f"{batch.id or batch.uid}: {', '.join(about)}")
    for each in batch.tests:
        say(f"    tested {each.done.for_people()}: {each.purity} % by {each.method}, {'passed' if each.passed else 'FAILED'}")
    for each in account.stretches:
        verdict = VERDICTS[each.balance.verdict if each.balance else "unknown"]
        because = each.balance.because[0] if each.balance else each.why
        say(f"    weighed {each.until.for_people()}: {mass_words(each.weighed_kg, system)}, {verdict}: {because}")
        for one in each.suspects:
            say(f"        look at record {one.entry.record} of {one.entry.done.for_people()}: {one.words}")
    if batch.began and not account.stretches:
        say("    never weighed since it began")


def _tell(ctx: click.Context, deed: str, uid: str, where: Any, as_json: bool) -> None:
    account = next(each for each in ctx.obj.agent_batches(where) if each.batch.uid == uid)
    if as_json:
        print_json(account.as_json())
        return
    say(f"{deed}: {account.batch.id}")
    _say_account(ctx.obj, account, where)


def _begin(ctx: click.Context, kind: str, deed: str, fields: dict[str, str], own: dict[str, Any]) -> None:
    where, as_json = inside(ctx, own)
    _tell(ctx, deed, ctx.obj.begin_batch(where, kind, fields, signed(own)), where, as_json)


def _add(ctx: click.Context, kind: str, deed: str, name: str, fields: dict[str, str], own: dict[str, Any]) -> None:
    where, as_json = inside(ctx, own)
    _tell(ctx, deed, ctx.obj.add_to_batch(where, kind, name, fields, signed(own)), where, as_json)


@agents.command("add")
@click.argument("id_", metavar="ID")
@_AGENT
@_MASS
@click.option("--origin", required=True, metavar="ORIGIN", help=f"One of {', '.join(kinds.AGENT_ORIGINS)}.")
@_LOT
@_DRUM
@_CAME_FROM
@_PAPER
@writing
@click.pass_context
def _received(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """Agent was bought, or lies in the store when the account begins. A batch of 0 lb says that there is none.

    Example: pinseal agents add D-1 --agent halocarbon-hfc-236fa --mass "50 lb" --origin recycled --lot H-88 --shop shop.pinseal
    """
    fields = said_fields(own, "agent", "mass", "origin", "lot", "container", "came_from", "certificate", "note")
    _begin(ctx, "batch-received", "Added", {"id": id_, **fields}, own)


@agents.command("recover")
@click.argument("id_", metavar="ID")
@_AGENT
@click.option("--mass", metavar="MASS", help="Only what came from units that are not on record.")
@_LOT
@_DRUM
@_CAME_FROM
@writing
@click.pass_context
def _recovered(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """Begin a container for recovered agent. Units that name it when they are emptied fill it from their own records.

    Example: pinseal agents recover R-4 --agent halocarbon-hfc-236fa --lot R-2026-4 --came-from "Pier Café" --shop shop.pinseal
    """
    fields = said_fields(own, "agent", "mass", "lot", "container", "came_from", "note")
    _begin(ctx, "batch-recovered", "Begun", {"id": id_, **fields}, own)


@agents.command("weigh")
@click.argument("id_", metavar="ID")
@_MASS
@click.option("--instrument", metavar="ID", help="The scale.")
@writing
@click.pass_context
def _weighed(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """What lies in a batch now, net. Each weighing is held against what should be there.

    Example: pinseal agents weigh R-4 --mass "38.5 lb" --instrument S-1 --shop shop.pinseal
    """
    _add(ctx, "batch-weighed", "Weighed", id_, said_fields(own, "mass", "instrument", "note"), own)


@agents.command("test")
@click.argument("id_", metavar="ID")
@click.option("--purity", required=True, metavar="PERCENT", help="The purity that was found.")
@click.option("--method", "purity_method", required=True, metavar="TEXT", help="By which method.")
@click.option("--result", type=click.Choice(["pass", "fail"]), help="Not said means passed.")
@click.option("--laboratory", metavar="TEXT", help="Who tested it.")
@_PAPER
@writing
@click.pass_context
def _tested(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """The purity of a batch was tested.

    Example: pinseal agents test R-4 --purity 99.6 --method "gas chromatography" --laboratory "Bay Lab" --shop shop.pinseal
    """
    _add(
        ctx, "batch-tested", "Tested", id_, said_fields(own, "purity", "purity_method", "result", "laboratory", "certificate", "note"), own
    )


@agents.command("certify")
@click.argument("id_", metavar="ID")
@click.option("--certificate", required=True, metavar="TEXT", help="The number of the paper.")
@click.option("--recycler", required=True, metavar="TEXT", help="Who recycled it.")
@_MASS
@writing
@click.pass_context
def _certified(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """Somebody vouches for a batch as recycled agent. The paper: `pinseal print certificate`.

    Example: pinseal agents certify R-4 --certificate C-12 --recycler "Quay Works" --mass "38.5 lb" --shop shop.pinseal
    """
    _add(ctx, "batch-certified", "Certified", id_, said_fields(own, "certificate", "recycler", "mass", "note"), own)


@agents.command("send")
@click.argument("id_", metavar="ID")
@_MASS
@click.option("--for", "sent_for", required=True, metavar="WAY", help=f"One of {', '.join(kinds.BATCH_WAYS)}.")
@click.option("--to", "sent_to", metavar="TEXT", help="To whom.")
@_PAPER
@writing
@click.pass_context
def _sent(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """Agent of a batch left the shop, whole or in part.

    Example: pinseal agents send R-4 --mass "10 lb" --for destruction --to "Kiln Works" --shop shop.pinseal
    """
    _add(ctx, "batch-sent", "Sent", id_, said_fields(own, "mass", "sent_for", "sent_to", "certificate", "note"), own)


@agents.command("end")
@click.argument("id_", metavar="ID")
@click.option("--reason", metavar="TEXT", help="Anything to say about it.")
@writing
@click.pass_context
def _used_up(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """A batch is used up: nothing is left in it, which counts as a weighing.

    Example: pinseal agents end D-1 --shop shop.pinseal
    """
    _add(ctx, "batch-used-up", "Ended", id_, said_fields(own, "reason", "note"), own)


COMMANDS = {"agents": agents}
