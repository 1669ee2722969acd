"""Write the generated pages of docs/, or with --check tell whether they are up to date."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import click
from procedure_pages import STAMP, cell, procedure_pages

from pinseal import kinds
from pinseal.cli.command import COMMANDS, root
from pinseal.rules.conflicts import clock_words, differences
from pinseal.standards import choose_packs, held_packs
from pinseal.standards.model import Pack, Provision

DOCS = Path(__file__).resolve().parent.parent / "docs"
_AS_OF = date(2026, 11, 24)


def _applies(provision: Provision) -> str:
    parts = []
    for name, codes in provision.applies.items():
        left, words = set(codes), []
        for group, members in kinds.AGENT_GROUPS.items() if name == "agent" else ():
            if set(members) <= left:
                words.append(kinds.AGENT_GROUP_LABELS[group])
                left -= set(members)
        parts.append(f"{name.replace('_', ' ')}: {', '.join(words + sorted(left))}")
    if provision.made_before:
        parts.append(f"made before {provision.made_before.isoformat()}")
    return "; ".join(parts) or "every unit"


def _rule(provision: Provision) -> str:
    if provision.at_next:
        return "withdraw at the next " + " or ".join(kinds.DUTIES[d] for d in provision.at_next)
    if provision.effect == "withdraw":
        return f"withdrawn by {(provision.withdraw_by or provision.in_force_from).isoformat()}"
    if provision.clock is None:
        return {"exempt": "not owed", "gap": "unknown: no interval held"}[provision.effect]
    clock = provision.clock
    first = " or ".join(dict.fromkeys(f"{s.interval} from {kinds.FACTS[s.fact]}" for s in clock.first))
    after = ", ".join(kinds.FACTS[f] for f in clock.after)
    words = [clock_words(clock)] + ([f"first {first}"] if first else []) + ([f"restarted by {after}"] if after else [])
    return "; ".join(words)


def _pack(pack: Pack) -> Iterator[str]:
    yield f"\n## {pack.id}: {pack.title}\n"
    yield f"{pack.document}, for {pack.jurisdiction}. Editions held: {', '.join(e.id for e in pack.editions)}.\n"
    for note in pack.notes:
        yield f"- {note}"
    yield "\n| duty | rule | applies to | clause, editions | in force from | by | how checked |\n|---|---|---|---|---|---|---|"
    for p in pack.provisions:
        editions = "" if len(p.editions) == len(pack.editions) else f" ({', '.join(p.editions)})"
        end = "" if p.in_force_to is None else f" to {p.in_force_to.isoformat()}"
        cells = [
            kinds.DUTIES[p.duty],
            f"**{p.title}.** {_rule(p)}." + (f" {p.note}" if p.note else ""),
            _applies(p),
            p.clause + editions,
            p.in_force_from.isoformat() + end,
            p.by,
            kinds.CHECKED[p.checked] + (f" ({p.source})" if p.source else "") + f", {p.checked_on.isoformat()}",
        ]
        yield "| " + " | ".join(cell(c) for c in cells) + " |"


def standards_page() -> str:
    """docs/standards.md: every pack and provision, what is only remembered, and where packs differ."""
    packs = held_packs()
    lines = [
        "# Rule packs",
        "",
        STAMP,
        "What the clocks rest on, in our own words.",
        "It is no substitute for the document or the law in force: read that, and ask the authority.",
        "How to add a provision: [adding-a-provision.md](adding-a-provision.md).",
    ]
    for pack in packs.values():
        lines += _pack(pack)
    lines += [
        "\n## Only remembered\n",
        "These rest on memory until someone checks them against a licensed or public copy. “Unsure” ones never govern.\n",
    ]
    lines += [
        f"- {pack.id}: {p.title} ({p.clause}), {p.checked}"
        for pack in packs.values()
        for p in pack.provisions
        if p.checked in ("memory", "unsure")
    ]
    lines += ["\n## Where packs differ\n", "Both dues are kept and shown; the stricter governs.\n"]
    for d in differences(choose_packs(packs), _AS_OF):
        lines.append(
            f"- {kinds.DUTIES[d.duty]}, {'; '.join(d.units)}: " + "; ".join(f"{pack} {words}" for pack, words in d.intervals.items())
        )
    return "\n".join(lines) + "\n"


def _command(name: str) -> Iterator[str]:
    ctx = click.Context(root, info_name="pinseal")
    command = root.get_command(ctx, name)
    assert command is not None
    sub = click.Context(command, info_name=name, parent=ctx, max_content_width=100, terminal_width=100)
    yield f"\n## pinseal {name}\n"
    yield "```text"
    yield command.get_help(sub)
    yield "```"
    for part in command.commands.values() if isinstance(command, click.Group) else ():
        yield f"\n### pinseal {name} {part.name}\n"
        yield "```text"
        yield part.get_help(click.Context(part, info_name=part.name, parent=sub, max_content_width=100, terminal_width=100))
        yield "```"


def command_page() -> str:
    """docs/command.md: every command with its options and an example."""
    codes = "Exit codes: 0 answered, 1 a fault of ours, 2 bad input, 3 a shop that cannot be used."
    lines = ["# The command", "", STAMP, codes, "Shapes of `--json`: [contract.md](contract.md)."]
    for name in COMMANDS:
        lines += _command(name)
    return "\n".join(lines) + "\n"


def main() -> int:
    pages = {"standards.md": standards_page(), "command.md": command_page(), **procedure_pages()}
    left_over = [path for path in (DOCS / "procedures").glob("*.md") if path.relative_to(DOCS).as_posix() not in pages]
    stale = [path.relative_to(DOCS).as_posix() for path in left_over]
    for name, text in pages.items():
        path = DOCS / name
        if "--check" not in sys.argv[1:]:
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        elif not path.exists() or path.read_text(encoding="utf-8") != text:
            stale.append(name)
    if "--check" not in sys.argv[1:]:
        for path in left_over:  # a kind of unit that is no longer held
            path.unlink()
        return 0
    if stale:
        print(f"out of date: {', '.join(stale)}; run `make docs` and commit the result")
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main())
