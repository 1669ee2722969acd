"""A 6,000-row XLSX with open questions: reading it, and `pinseal due` on it; and the start of the command, as ratios."""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random

import xlsxwriter

ROWS = 6_000
_HEADINGS = ("Tag", "Building", "Location", "Type", "Size", "Serial no.", "Mfg", "Last annual", "6 yr", "Hydro", "Remarks")
_AGENTS = ("ABC", "PK", "CO2", "H2O", "AFFF", "K", "BC", "Halon 1211", "dry chem")


def write_list(path: Path, rows: int = ROWS, seed: int = 20261124) -> None:
    """An invented list of one owner, with dates that leave day and month open and agents that must be asked about."""
    rng = Random(seed)
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Extinguishers")
    sheet.write_row(0, 0, ["Invented list for a benchmark"])
    sheet.write_row(1, 0, _HEADINGS)
    for number in range(rows):
        made = rng.randint(2008, 2025)
        place = [f"A-{number:05d}", f"Hall {number // 400 + 1}", f"Room {rng.randint(1, 60)}"]
        plate = [rng.choice(_AGENTS), f"{rng.choice((5, 10, 20))} lb", f"{rng.randint(10**7, 10**8)}", made]
        done = [f"{rng.randint(1, 12)}/{rng.randint(1, 12)}/{rng.randint(24, 26)}"]
        done += [rng.choice(("", f"{rng.randint(1, 12)}/{made + years}")) for years in (6, 5)]
        row = [*place, *plate, *done, rng.choice(("", "", "check bracket"))]
        sheet.write_row(number + 2, 0, row)
    book.close()


def _median_s(*words: str, runs: int = 5) -> float:
    taken = []
    for _ in range(runs):
        start = time.perf_counter()
        subprocess.run([sys.executable, *words], check=True, capture_output=True)
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def run() -> Iterator[str]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "list.xlsx"
        write_list(path)
        bare = _median_s("-c", "pass")
        opened = _median_s(
            "-c", f"import openpyxl; [list(r) for r in openpyxl.load_workbook({str(path)!r})['Extinguishers'].values]", runs=3
        )
        help_ = _median_s("-m", "pinseal", "--help")
        read = _median_s("-m", "pinseal", "read", str(path), "--json", runs=3)
        due = _median_s("-m", "pinseal", "due", str(path), "--packs", "us-osha,us-nfpa10,us-dot", "--on", "2026-11-24", runs=3)
        full = _median_s("-m", "pinseal", "due", str(path), "--packs", "us-osha,us-nfpa10,us-dot", "--on", "2026-11-24", "--json", runs=3)
    yield "whole commands, median seconds, and as a multiple of a bare Python start:"
    figures = {
        "python -c pass": bare,
        "pinseal --help": help_,
        f"openpyxl alone, {ROWS:,} rows": opened,
        f"pinseal read, {ROWS:,} rows with questions": read,
        "pinseal due on it, twelve rows told": due,
        "pinseal due on it, every row told as JSON": full,
    }
    for name, seconds in figures.items():
        yield f"  {name:<46} {seconds:6.2f} s  {seconds / bare:6.1f} x"
    yield f"  due beyond reading: {due - read:.2f} s for the twelve most urgent, {full - read:.2f} s for every row as JSON"


if __name__ == "__main__":
    for line in run():
        print(line, flush=True)
