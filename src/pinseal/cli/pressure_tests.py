"""`jacket`, `proof`, `direct`: the pressure tests at the bench, and the tests that a bad calibration puts in doubt."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import click

from pinseal.cli.bench_words import PERCENT, SECONDS, needed, read_lines, say_verdict, sentences, small_volume_json
from pinseal.cli.expansion_words import draw_expansion, expansion_json, head_of, mark_json, plausibility_of, plausible_json, reasons_of
from pinseal.cli.options import Day, F, json_option, on_option, print_json, say
from pinseal.cli.quantities import (
    EXPANSION,
    LENGTH,
    PRESSURE,
    PRESSURE_DIFFERENCE,
    TEMPERATURE,
    WATER_CAPACITY,
    plot_option,
    units_option,
    write_plot,
)
from pinseal.measures import ATM_PA, Measure
from pinseal.rules.cautions import STAND_CLEAR

if TYPE_CHECKING:
    from pinseal.rules.bench_instruments import Finding, TestGauge

_ATM = Fraction(str(ATM_PA))


def instrument_options(command: F) -> F:
    """What may be said of the test gauge and the pump."""
    for option in (
        click.option("--gauge-range", type=PRESSURE, metavar="P", help="Where the range of the test gauge ends."),
        click.option("--gauge-accuracy", type=PERCENT, metavar="PCT", help="How far it may err, percent of its range."),
        click.option("--gauge-division", type=PRESSURE_DIFFERENCE, metavar="P", help="From one mark of the dial to the next."),
        click.option("--gauge-calibrated", type=Day(), metavar="DATE", help="Its last good calibration."),
        click.option("--pump", type=PRESSURE, metavar="P", help="The highest pressure that the pump can give."),
    ):
        command = option(command)
    return command


def doubt_options(command: F) -> F:
    command = click.option(
        "--interval",
        type=click.Choice(["daily", "quarterly", "half-yearly", "yearly"]),
        help="With --doubt: how often the instrument is checked.",
    )(command)
    return click.option(
        "--doubt", metavar="FILE.csv", help="Judge no test; list the tests of a log that a lapsed or bad check puts in doubt."
    )(command)


def pressure_options(command: F) -> F:
    for option in (
        click.option("--test-pressure", type=PRESSURE, metavar="P", help="The pressure that was held."),
        click.option("--spec", metavar="NAME", help="The specification as marked, for example DOT-3AA1800."),
    ):
        command = option(command)
    return command


def geometry_options(command: F) -> F:
    for option in (
        click.option("--diameter", type=LENGTH, metavar="L", help="Outside diameter, to see whether the elastic reading is plausible."),
        click.option("--wall", type=LENGTH, metavar="L", help="Wall thickness."),
        click.option("--material", type=click.Choice(["steel", "aluminium"]), default="steel", show_default=True, help="Of the shell."),
    ):
        command = option(command)
    return command


def _gauge_exact(pressure: Measure) -> Fraction:
    """A pressure above the air, exact."""
    return pressure.exact - _ATM if pressure.kind == "abs" else pressure.exact


def _maybe(pressure: Measure | None) -> Fraction | None:
    return None if pressure is None else _gauge_exact(pressure)


def _gauge(said: dict[str, Any]) -> TestGauge:
    from pinseal.rules.bench_instruments import TestGauge

    division = said["gauge_division"]
    return TestGauge(
        range_pa=_maybe(said["gauge_range"]),
        accuracy_percent=said["gauge_accuracy"],
        division_pa=None if division is None else division.exact,
        calibrated_on=said["gauge_calibrated"],
    )


def _findings(said: dict[str, Any], test_pa: Fraction, on: date) -> tuple[Finding, ...]:
    from pinseal.rules.bench_instruments import gauge_findings, pump_finding

    found = gauge_findings(_gauge(said), test_pa=test_pa, tested_on=on)
    return found + (() if said["pump"] is None else (pump_finding(test_pa=test_pa, pump_pa=_gauge_exact(said["pump"])),))


def _say_doubt(said: dict[str, Any], as_json: bool) -> None:
    from pinseal.rules.calibration import doubtful_tests, read_log

    if said["interval"] is None:
        needed(said, "interval")
    checks, tests = read_log(read_lines(said["doubt"]))
    found = doubtful_tests(checks=checks, tests=tests, interval=said["interval"])
    because = sentences([f"{len(found)} of {len(tests)} tests in doubt"] + [f"{doubt.test.id}: {doubt.because}" for doubt in found])
    if as_json:
        print_json(
            {
                "interval": said["interval"],
                "checks": len(checks),
                "tests": len(tests),
                "doubtful": [doubt.as_json() for doubt in found],
                "because": because,
            }
        )
        return
    say(because[0] + (" Look at each again before its unit is relied on:" if found else ""))
    for doubt in found:
        say(f"  {doubt.test.on.isoformat()}  {doubt.test.id}  {doubt.test.instrument}  {doubt.because}")


def _daily(said: dict[str, Any]) -> tuple[Finding, ...]:
    if said["calibrated_expansion"] is None and said["calibrated_reading"] is None:
        return ()
    needed(said, "calibrated_expansion", "calibrated_reading")
    from pinseal.rules.bench_instruments import daily_check

    return (daily_check(certified_m3=said["calibrated_expansion"].exact, read_m3=said["calibrated_reading"].exact),)


@click.command()
@click.option("--total", type=EXPANSION, metavar="V", help="Total expansion under the test pressure.")
@click.option("--permanent", type=EXPANSION, metavar="V", help="What stays after the pressure is released.")
@pressure_options
@click.option("--rejection-elastic", type=EXPANSION, metavar="V", help="The rejection elastic expansion where it is marked.")
@click.option("--accuracy", type=EXPANSION, metavar="V", help="How far the instrument may be wrong; else 1 % of the total or 0.1 cm3.")
@click.option("--calibrated-expansion", type=EXPANSION, metavar="V", help="Today's check: what the calibrated cylinder's certificate says.")
@click.option("--calibrated-reading", type=EXPANSION, metavar="V", help="Today's check: what the instrument read for it.")
@click.option("--water-capacity", type=WATER_CAPACITY, metavar="V", help="With --diameter and --wall: volume or mass of water.")
@geometry_options
@instrument_options
@doubt_options
@on_option
@units_option
@plot_option
@json_option
@click.pass_obj
def jacket(app: Any, /, units: str | None, plot: str | None, as_json: bool, on: date | None, **said: Any) -> None:
    """Judge a water jacket test: percent of the total expansion that stayed, against the limit of the specification.

    The figures are compared exactly as typed, before any rounding: exactly 10 % passes. A pass speaks of expansion alone.

    Example: pinseal jacket --total "92.0 mL" --permanent "8.4 mL" --test-pressure "3000 psi" --spec DOT-3AA1800
    """
    if said["doubt"]:
        _say_doubt(said, as_json)
        return
    needed(said, "total", "permanent", "test_pressure", "spec")
    from pinseal.physics.expansion import expansion
    from pinseal.rules.pressure_tests import judge_expansion, parse_specification

    day = on or app.today()
    marking, test_pa = parse_specification(said["spec"]), _gauge_exact(said["test_pressure"])
    rejection = said["rejection_elastic"]
    volumes = expansion(total_m3=said["total"].exact, permanent_m3=said["permanent"].exact)
    found = judge_expansion(
        volumes, marking=marking, test_pa=test_pa, on=day, rejection_m3=rejection and rejection.exact,
        accuracy_m3=said["accuracy"] and said["accuracy"].exact,
    )  # fmt: skip
    findings = _findings(said, test_pa, day) + _daily(said)
    plausible = plausibility_of(said, volumes, said["water_capacity"], test_pa)
    subtitle = f"{marking.text} at {said['test_pressure'].text}, {day.isoformat()}"
    write_plot(plot, lambda: draw_expansion(found, title="Water jacket test", subtitle=subtitle, rejection=rejection))
    if as_json:
        answer = expansion_json(found, marking, findings, units or "si")
        print_json(answer | {"plausibility": plausible_json(plausible, units or "si"), "mark": mark_json(marking, "water-jacket")})
        return
    extra = [*found.cautions, *([plausible["words"]] if plausible else [])]
    say_verdict(head_of(found, findings), reasons_of(found, findings), extra, STAND_CLEAR)


@click.command()
@click.option("--forced-in", type=EXPANSION, metavar="V", help="Water pumped in to reach the test pressure.")
@click.option("--take-up", type=EXPANSION, metavar="V", help="What pump, pipes and gauge take up by themselves at that pressure.")
@click.option("--permanent", type=EXPANSION, metavar="V", help="Water that does not come back when the pressure is released.")
@click.option("--water-capacity", type=WATER_CAPACITY, metavar="V", help="Of the shell: a volume or a mass of water.")
@click.option("--water-at", type=TEMPERATURE, metavar="T", help="Temperature of the water, known to 1 K.")
@click.option("--table", type=click.Choice(["k-form", "gb-t-9251"]), help="The squeezing of water by the standard that you report under.")
@pressure_options
@click.option("--rejection-elastic", type=EXPANSION, metavar="V", help="The rejection elastic expansion where it is marked.")
@click.option("--accuracy", type=EXPANSION, metavar="V", help="How far the instrument may be wrong; else 1 % of the total or 0.1 cm3.")
@geometry_options
@instrument_options
@on_option
@units_option
@plot_option
@json_option
@click.pass_obj
def direct(app: Any, /, units: str | None, plot: str | None, as_json: bool, on: date | None, **said: Any) -> None:
    """Judge a direct expansion test: the water pumped in, less what the pipes take up and what the water itself gives way.

    The squeezing of the water comes from the table of the standard that you report under. IAPWS-95 stands beside it as a flag only.

    Example: pinseal direct --forced-in "790 mL" --take-up "60 mL" --permanent "6 mL" --water-capacity "49 L" --water-at "18 C"
    --table k-form --test-pressure "225 bar" --spec 3AA1957
    """
    needed(said, "forced_in", "take_up", "permanent", "water_capacity", "water_at", "table", "test_pressure", "spec")
    from pinseal.rules.direct_expansion import DirectTest, judge_direct
    from pinseal.rules.pressure_tests import parse_specification

    day = on or app.today()
    marking, test_pa = parse_specification(said["spec"]), _gauge_exact(said["test_pressure"])
    rejection = said["rejection_elastic"]
    found = judge_direct(
        DirectTest(
            forced_in_m3=said["forced_in"].exact, take_up_m3=said["take_up"].exact, permanent_m3=said["permanent"].exact,
            water_capacity_m3=said["water_capacity"].exact, water_k=said["water_at"].si, table=said["table"], marking=marking,
            test_pa=test_pa, on=day, rejection_m3=rejection and rejection.exact, accuracy_m3=said["accuracy"] and said["accuracy"].exact,
        )
    )  # fmt: skip
    verdict, findings = found.verdict, _findings(said, test_pa, day)
    plausible = plausibility_of(said, verdict.expansion, said["water_capacity"], test_pa)
    subtitle = f"{marking.text} at {said['test_pressure'].text}, {day.isoformat()}, water by {found.table.title}"
    write_plot(plot, lambda: draw_expansion(verdict, title="Direct expansion test", subtitle=subtitle, rejection=rejection))
    if as_json:
        answer = expansion_json(verdict, marking, findings, units or "si")
        print_json(
            {"total": small_volume_json(verdict.expansion.total_m3, units or "si")}
            | answer
            | {
                "compression": {
                    "table": found.table.code,
                    "share": found.share,
                    "checked": found.table.checked,
                    "share_iapws_95": found.share_iapws,
                },
                "total_iapws_95": small_volume_json(found.total_iapws_m3, units or "si"),
                "percent_permanent_iapws_95": found.percent_iapws,
                "plausibility": plausible_json(plausible, units or "si"),
                "mark": mark_json(marking, "direct"),
            }
        )
        return
    extra = [*verdict.cautions, *([plausible["words"]] if plausible else [])]
    say_verdict(head_of(verdict, findings), reasons_of(verdict, findings), extra, STAND_CLEAR)


@click.command()
@click.option(
    "--kind",
    type=click.Choice(["shell", "cylinder", "co2-hose", "powder-hose", "au-shell"]),
    default="shell",
    show_default=True,
    help="A shell by its nameplate, a stamped cylinder, a hose, or a shell by the Australian rule.",
)
@pressure_options
@click.option("--factory-test-pressure", type=PRESSURE, metavar="P", help="On the nameplate or in the manual. It wins.")
@click.option("--service-pressure", type=PRESSURE, metavar="P", help="Charging or working pressure.")
@click.option("--held", type=SECONDS, metavar="TIME", help="How long it was held: 60 s, 1 min.")
@click.option("--reached-in", type=SECONDS, metavar="TIME", help="How long the rise took.")
@click.option("--leak", is_flag=True, help="It leaked.")
@click.option("--distortion", is_flag=True, help="It bulged or lost its shape.")
@click.option("--drop", type=PRESSURE_DIFFERENCE, metavar="P", help="How far the pressure fell while it was held.")
@click.option("--medium", type=click.Choice(["water", "gas"]), default="water", show_default=True, help="Gas is refused.")
@click.option(
    "--found",
    type=click.Choice(["repaired", "threads", "pitting", "burned", "calcium-chloride"]),
    multiple=True,
    help="What was found before the test and bars it. May be repeated.",
)
@click.option("--water-capacity", type=WATER_CAPACITY, metavar="V", help="Shows what a test with gas would store.")
@instrument_options
@doubt_options
@on_option
@units_option
@json_option
@click.pass_obj
def proof(app: Any, /, units: str | None, as_json: bool, on: date | None, **said: Any) -> None:
    """Judge a proof pressure test: the pressure it needs, how long it was held, the instruments, and what was seen.

    The factory test pressure of the nameplate wins; that it is above twice the service pressure is a warning. Never gas.

    Example: pinseal proof --test-pressure "585 psi" --factory-test-pressure "585 psi" --service-pressure "195 psi" --held "60 s"
    """
    if said["doubt"]:
        _say_doubt(said, as_json)
        return
    needed(said, "test_pressure")
    from pinseal.cli.proof_words import proof_json, say_proof
    from pinseal.rules.pressure_tests import parse_specification
    from pinseal.rules.proof_tests import ProofTest, judge_proof

    drop = said["drop"]
    test = ProofTest(
        kind=said["kind"], test_pa=_gauge_exact(said["test_pressure"]), on=on or app.today(),
        factory_pa=_maybe(said["factory_test_pressure"]),
        service_pa=_maybe(said["service_pressure"]), marking=parse_specification(said["spec"]) if said["spec"] is not None else None,
        held_s=said["held"], reached_s=said["reached_in"], gas=said["medium"] == "gas", leak=said["leak"], distortion=said["distortion"],
        drop_pa=Fraction(0) if drop is None else drop.exact, found=said["found"], gauge=_gauge(said), pump_pa=_maybe(said["pump"]),
    )  # fmt: skip
    found = judge_proof(test)
    if as_json:
        print_json(proof_json(test, found, said["water_capacity"], units or "si"))
    else:
        say_proof(test, found, said["water_capacity"])


COMMANDS = {"jacket": jacket, "proof": proof, "direct": direct}
