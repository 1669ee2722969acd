"""The options that several commands share, and the way text and JSON are printed."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

from pinseal import kinds
from pinseal.dates import parse_day
from pinseal.reasons import Refusal

# Control characters but for tabs, line ends and our own colours; and the marks that turn the rest of a line around.
_STEERS = re.compile(r"(?!\x1b\[[0-9;]*m)[\x00-\x08\x0b-\x1f\x7f-\x9f\u202d\u202e]")
F = TypeVar("F", bound=Callable[..., Any])


class Day(click.ParamType[date]):
    """A full day, `YYYY-MM-DD`."""

    name = "day"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        return value if isinstance(value, date) else parse_day(value)


class Duty(click.ParamType[str]):
    """The code of a duty."""

    name = "duty"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        if value not in kinds.DUTIES:
            raise Refusal(
                what="there is no such duty", rule=f"a duty is one of {', '.join(kinds.DUTIES)}", got=value, do="use a listed code"
            )
        return str(value)


def json_option(command: F) -> F:
    return click.option("--json", "as_json", is_flag=True, help="Print JSON for programs.")(command)


def on_option(command: F) -> F:
    return click.option("--on", type=Day(), metavar="DATE", help="The day asked, YYYY-MM-DD. Today in the shop's time zone unless said.")(
        command
    )


def packs_option(command: F) -> F:
    return click.option(
        "--packs", metavar="A,B", help="Rule packs, newest edition held; us-nfpa10@2010 picks another. The shop's own unless said."
    )(command)


def shop_option(command: F) -> F:
    return click.option("--shop", envvar="PINSEAL_SHOP", metavar="PATH", help="The shop's file. Or set PINSEAL_SHOP.")(command)


def named_shop(path: str | None) -> Path:
    """The path of the shop that a command is about. Raises `Refusal` where none is named."""
    if not path:
        raise Refusal(
            what="no shop is named", rule="a command on a shop says which", got="nothing", do="say --shop PATH, or set PINSEAL_SHOP"
        )
    return Path(path)


def assume_option(command: F) -> F:
    return click.option(
        "--assume", metavar="NAME=CODE,…", help="Nameplate facts to assume where they are not said, as in shell=mild-steel."
    )(command)


def answers_options(command: F) -> F:
    command = click.option("--answers", metavar="FILE", help="A file of answers to the questions of a list (TOML).")(command)
    return click.option("--answer", "answer", multiple=True, metavar="ID=READING", help="One answer; may be repeated.")(command)


def print_json(value: Any) -> None:
    """One JSON value on standard output."""
    click.echo(json_text(value))


def json_text(value: Any) -> str:
    """A value as JSON: readable where the channel can carry it, else with every other character as its code."""
    text = json.dumps(value, ensure_ascii=False, default=str)
    try:
        text.encode(sys.stdout.encoding or "utf-8")
    except UnicodeEncodeError:
        return json.dumps(value, default=str)
    return text


def say(text: str = "") -> None:
    """One line for people on standard output. Colour survives only on a terminal; what else steers a screen is not let out."""
    click.echo(_STEERS.sub("\ufffd", text))


def name_list(text: str | None) -> list[str] | None:
    """`a,b` as a list; None stays None."""
    return None if text is None else [part for part in (p.strip() for p in text.split(",")) if part]


@contextmanager
def busy(what: str) -> Iterator[None]:
    """A moving sign on a terminal's error channel while something may take over a second; silent everywhere else."""
    if not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(f"{what} …"):
        yield
