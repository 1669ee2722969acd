"""Two phones and an office on one site: whatever the line does, the shop ends up saying the same, and everything once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from field_day import Template, differences, run
from places import Fuse, fuses


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Template:
    return Template.make(tmp_path_factory.mktemp("template"))


@pytest.fixture(scope="module")
def fuse() -> Iterator[Fuse]:
    with fuses() as found:
        yield found


def _same_end(seed: int, template: Template, folder: Path, fuse: Fuse) -> None:
    log: list[str] = []
    try:
        _, wanted = run(seed, template, folder / "calm", fuse, bad=False)
        site, found = run(seed, template, folder / "bad", fuse, bad=True)
        log = site.log
        assert not (apart := differences(wanted, found)), "\n".join(apart)
    except Exception as error:
        steps = "\n  ".join(log[-30:])
        raise AssertionError(f"seed {seed}: {type(error).__name__}: {error}\n  {steps}") from error


@pytest.mark.parametrize("seed", range(100))
def test_the_same_day_over_a_good_line_and_over_a_bad_one_ends_the_same(seed: int, template: Template, tmp_path: Path, fuse: Fuse) -> None:
    _same_end(seed, template, tmp_path, fuse)


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(1_000, 2_000))
def test_a_thousand_days(seed: int, template: Template, tmp_path: Path, fuse: Fuse) -> None:
    _same_end(seed, template, tmp_path, fuse)


def test_the_bad_line_is_as_bad_as_it_is_meant_to_be(template: Template, tmp_path: Path, fuse: Fuse) -> None:
    """Among a few days there is every fault, so that the days above try what they say."""
    seen = {said.partition(": ")[2] for seed in range(8) for said in run(seed, template, tmp_path / str(seed), fuse, bad=True)[0].log}
    assert seen == {"lost on the way", "sent again later", "cut half-way", "the server was killed", "the answer was lost", "photo lost"}
