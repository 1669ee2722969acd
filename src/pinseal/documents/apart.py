"""A long paper set in a process of its own, so that the memory that it takes is given back when it is done.

`python -m pinseal.documents.apart FOLDER` sets what lies in the folder as `paper.json`; `draw_apart` puts it there and asks.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

from pinseal.documents.paper import Drawn, Paper, PaperHead
from pinseal.documents.typeset import Form, Typeset


def draw_apart(paper: Paper, form: Form = "pdf", *, ppi: float = 144) -> Drawn:
    """The same as `paper.draw`, for a paper without pictures. Raises `RuntimeError` with what the process said, where it failed."""
    assert not paper.pictures, "pictures are not handed over"
    with tempfile.TemporaryDirectory(prefix="pinseal-") as folder:
        place = Path(folder)
        asked = {"paper": asdict(paper), "form": form, "ppi": ppi}
        place.joinpath("paper.json").write_text(json.dumps(asked, default=_plain), encoding="utf-8")
        run = subprocess.run([sys.executable, "-m", __name__, folder], capture_output=True, text=True, check=False)  # noqa: S603 - this module
        if run.returncode:
            raise RuntimeError(f"a paper could not be set: {run.stderr.strip()}")
        told = json.loads(place.joinpath("told.json").read_text(encoding="utf-8"))
        files = tuple(place.joinpath(name).read_bytes() for name in told["files"])
    return Drawn(pages=Typeset(files=files, uncovered=tuple(told["uncovered"])))


def _plain(value: Any) -> Any:
    assert isinstance(value, datetime), f"a paper holds plain values, not {type(value).__name__}"
    return value.isoformat()


def main(folder: str) -> None:
    """Set the paper of a folder; the files and what was said of them are left there."""
    place = Path(folder)
    asked = json.loads(place.joinpath("paper.json").read_text(encoding="utf-8"))
    said = asked["paper"]
    head = PaperHead(**{**said["head"], "stamp": datetime.fromisoformat(said["head"]["stamp"])})
    drawn = Paper(template=said["template"], head=head, data=said["data"]).draw(asked["form"], ppi=asked["ppi"])
    names = []
    for number, content in enumerate(drawn.pages.files):
        names.append(f"page-{number}")
        place.joinpath(names[-1]).write_bytes(content)
    told = {"files": names, "uncovered": drawn.pages.uncovered}
    place.joinpath("told.json").write_text(json.dumps(told), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1])
