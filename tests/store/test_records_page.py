import doctest
from pathlib import Path


def test_the_examples_of_the_records_page_print_what_it_shows(tmp_path, monkeypatch):
    page = Path(__file__).parents[2] / "docs" / "records.md"
    monkeypatch.chdir(tmp_path)
    found = doctest.testfile(str(page), module_relative=False)
    assert (found.failed, found.attempted > 15) == (0, True)
