"""The field page from the server's side: its own policy, its files under their checksum, its worker, its words."""

from __future__ import annotations

import json
import re
from importlib.resources import files

import pytest
from fake_office import client_of
from fake_rooms import FakeRooms

from pinseal.web.field import Field, held_files
from pinseal.web.guards import FIELD_HEADERS, HEADERS

MODULES = {name: content.decode() for name, content in held_files().items() if name.endswith(".js")}
LINES_MAX = 150
# Classes of the office's style sheet that the field page uses, meaning the same.
SHARED = {"caption", "card", "caution", "cited", "figure", "first", "hands", "odd", "plain", "quiet", "said", "said-list", "shape"}
SHARED |= {"tag", "tag-title", "units", "unseen"}
# Keys that are put together of two parts where they are said.
BUILT = {f"{word}N" for word in ("moved", "missing", "blocked", "unlisted")}
BUILT |= {f"mark{word}" for word in ("Found", "Missing", "Moved", "Blocked")} | {
    f"group-{name}" for name in ("approach", "outside", "finish")
}


@pytest.fixture
def client():
    return client_of(FakeRooms(), more=Field().routes())


def said_by_worker(client):
    text = client.get("/field/worker.js").text
    version = json.loads(re.search(r"^const VERSION = (.*);$", text, re.MULTILINE)[1])
    files = json.loads(re.search(r"^const FILES = (.*);$", text, re.MULTILINE)[1])
    return version, files


@pytest.mark.parametrize("path", ["/field", "/field/worker.js", "/field/app.webmanifest", "/field/nothing-here"])
def test_the_field_page_alone_may_run_scripts_of_ours(client, path):
    headers = client.get(path).headers
    assert {name: headers[name] for name in FIELD_HEADERS} == FIELD_HEADERS
    assert "unsafe" not in headers["content-security-policy"].replace("'wasm-unsafe-eval'", "")


@pytest.mark.parametrize("path", ["/standards", "/fields", "/static/field/main.js"])
def test_every_other_page_runs_none(client, path):
    headers = client.get(path).headers
    assert headers["content-security-policy"] == HEADERS["content-security-policy"]
    assert "script-src" not in headers["content-security-policy"]


def test_the_page_holds_no_script_and_no_style_of_its_own(client):
    page = client.get("/field").text
    assert re.findall(r"<script[^>]*>", page) == [f'<script type="module" src="/field/files/{Field().version}/main.js">']
    assert "<style" not in page and " style=" not in page and " on" not in re.sub(r">[^<]*<", "><", page)
    assert "<noscript>" in page


def test_the_worker_names_every_file_and_each_is_there(client):
    version, files = said_by_worker(client)
    for name in MODULES.keys() - {"worker.js"}:
        assert f"/field/files/{version}/{name}" in files
    for path in files:
        assert client.get(path).status_code == 200, path


def test_the_worker_may_hold_the_page_and_nothing_else(client):
    headers = client.get("/field/worker.js").headers
    assert headers["service-worker-allowed"] == "/field"
    assert headers["cache-control"] == "no-cache"


def test_files_are_kept_for_good_and_only_under_their_own_version(client):
    version, _ = said_by_worker(client)
    good = client.get(f"/field/files/{version}/main.js")
    assert "immutable" in good.headers["cache-control"]
    assert good.headers["content-type"].startswith("text/javascript")
    for path in ("/field/files/0000000000000000/main.js", f"/field/files/{version}/nothing.js", f"/field/files/{version}/worker.js"):
        assert client.get(path).status_code == 404


def test_no_path_leads_out_of_the_folder(client):
    version, _ = said_by_worker(client)
    for trick in ("..%2F..%2Fguards.py", "%2e%2e", "..%5c..%5cguards.py"):
        assert client.get(f"/field/files/{version}/{trick}").status_code == 404


def test_another_content_is_another_version():
    assert Field().version == Field().version != Field(mark="newer").version


def test_it_can_be_installed(client):
    said = client.get("/field/app.webmanifest")
    assert said.headers["content-type"] == "application/manifest+json"
    manifest = said.json()
    assert manifest["start_url"] == manifest["scope"] == "/field"
    assert {icon["sizes"] for icon in manifest["icons"]} >= {"192x192", "512x512"}
    for icon in manifest["icons"]:
        assert client.get(icon["src"]).headers["content-type"] == icon["type"]


@pytest.mark.parametrize("name", sorted(MODULES))
def test_a_module_is_short_and_takes_nothing_from_elsewhere(name):
    text = MODULES[name]
    assert text.count("\n") < LINES_MAX
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", text)
    assert "innerHTML" not in text and "eval(" not in text
    for other in re.findall(r'from "\./([^"]+)"', text):
        assert other in MODULES


def test_every_word_that_is_said_is_in_the_catalogue_and_every_one_there_is_said():
    known = set(re.findall(r'(?:^\s*|, )"?([\w-]+)"?: \[?"', MODULES["words.js"].split("\n};")[0], re.MULTILINE))
    others = "\n".join(text for name, text in MODULES.items() if name != "words.js")
    said = set(re.findall(r'say\("(\w+)"', others))
    assert said <= known, said - known
    unused = {word for word in known if not re.search(rf'["`]{word}["`]', others)}
    assert unused <= BUILT, unused


def test_a_class_of_the_office_changes_the_field_page_only_where_both_mean_it():
    """Both style sheets are on the page: a name that means another thing in the office would move things about on the phone."""
    sheet = (files("pinseal.web") / "static" / "pinseal.css").read_text(encoding="utf-8")
    office = set(re.findall(r"\.([a-z][\w-]+)", re.sub(r"/\*.*?\*/|url\([^)]*\)", "", sheet, flags=re.DOTALL)))
    said = {word for text in MODULES.values() for names in re.findall(r'class: "([^"]+)"', text) for word in names.split()}
    assert said & office <= SHARED, said & office - SHARED


def test_the_whole_page_is_light():
    assert sum(len(text) for text in MODULES.values()) < 250_000
