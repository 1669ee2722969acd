"""Messages are looked up in the language that is spoken, and English is never missing."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from starlette.testclient import TestClient

from pinseal import catalogue
from pinseal.app import App
from pinseal.store import Settings

INVENTED = "qps"  # a language of nobody; ISO 639-2 keeps qaa to qtz for such use


@pytest.fixture
def invented(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    words = Catalog(locale="pl", domain=catalogue.DOMAIN)  # three forms of a count
    words.add("Today", "Dzonda")
    words.add(("%(n)s unit", "%(n)s units"), ("%(n)s ono", "%(n)s oni", "%(n)s onam"))
    words.add(",", " ", context="between thousands")
    words.add("May", "Mo", context="month")
    folder = tmp_path / "locale" / INVENTED
    folder.mkdir(parents=True)
    with (folder / f"{catalogue.DOMAIN}.mo").open("wb") as file:
        write_mo(file, words)
    monkeypatch.setattr(catalogue, "FOLDER", folder.parent)
    return INVENTED


def test_a_language_is_held_where_its_catalogue_is_ready(invented: str) -> None:
    assert catalogue.held_languages() == ("en", invented)


def test_a_message_is_in_the_language_and_english_where_it_lacks(invented: str) -> None:
    with catalogue.spoken(invented):
        assert catalogue.language() == invented
        assert [catalogue.gettext(each) for each in ("Today", "Dues", "")] == ["Dzonda", "Dues", ""]
    assert catalogue.gettext("Today") == "Today"


def test_a_count_takes_the_form_of_the_language(invented: str) -> None:
    def said(count: int) -> str:
        return catalogue.ngettext("%(n)s unit", "%(n)s units", count)

    assert [said(count) for count in (0, 1, 2, 1240)] == ["0 units", "1 unit", "2 units", "1,240 units"]
    with catalogue.spoken(invented):
        assert [said(count) for count in (1, 2, 5, 1240)] == ["1 ono", "2 oni", "5 onam", "1 240 onam"]


def test_a_context_keeps_words_apart(invented: str) -> None:
    with catalogue.spoken(invented):
        assert catalogue.pgettext("month", "May") == "Mo"
        assert catalogue.pgettext("permission", "May") == "May"


def test_a_language_that_is_not_held_leaves_english(invented: str) -> None:
    with catalogue.spoken("xx"):
        assert catalogue.language() == "en"


def test_each_thread_speaks_its_own_language(invented: str) -> None:
    heard: list[str] = []
    with catalogue.spoken(invented):
        other = threading.Thread(target=lambda: heard.append(catalogue.gettext("Today")))
        other.start()
        other.join()
        assert catalogue.gettext("Today") == "Dzonda"
    assert heard == ["Today"]


def test_the_pages_speak_the_language_of_the_shops_settings(invented: str, tmp_path: Path) -> None:
    from pinseal.app.people import ALONE, ShopPeople

    app, path = App(), tmp_path / "works.pinseal"
    app.init(path, {"packs": "us-nfpa10"}, person="Ida Quill")
    site = app._site(path, ShopPeople(app, path, alone=ALONE), host="127.0.0.1", trusted=None)
    client = TestClient(site, base_url="http://127.0.0.1", client=("127.0.0.1", 50_000))
    assert '<html lang="en">' in client.get("/").text
    app.settings(path, {"language": invented}, person="Ida Quill")
    page = client.get("/").text
    assert f'<html lang="{invented}">' in page and "<h1>Dzonda</h1>" in page
    app.settings(path, {"language": "en"}, person="Ida Quill")
    assert "<h1>Today</h1>" in client.get("/").text


@pytest.mark.parametrize("tag", ["English", "e", "../en", "en_US", ""])
def test_what_is_no_tag_of_a_language_is_refused(tag: str) -> None:
    from pinseal.reasons import Refusal

    with pytest.raises(Refusal, match="BCP 47"):
        Settings(language=tag)
