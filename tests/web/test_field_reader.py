"""The reader of codes that the field page loads to scan: taken over whole, with its sums and licences, and asking no other host."""

from __future__ import annotations

import hashlib
import json
import re
from importlib.resources import files

import pytest
from fake_office import client_of
from fake_rooms import FakeRooms

from pinseal.web.field import Field, reader_files, reader_folder
from pinseal.web.guards import HEADERS

VENDOR = files("pinseal.web") / "static" / "vendor"
SUMS = dict(reversed(line.split()) for line in (VENDOR / "SHA256SUMS.txt").read_text(encoding="utf-8").splitlines())


@pytest.fixture
def client():
    return client_of(FakeRooms(), more=Field().routes())


def test_every_file_has_the_sum_that_is_written_down():
    assert set(SUMS) == {each.name for each in VENDOR.iterdir()} - {"README.txt", "SHA256SUMS.txt"}
    for name, digest in SUMS.items():
        assert hashlib.sha256((VENDOR / name).read_bytes()).hexdigest() == digest, name


def test_the_script_and_its_makers_agree_on_the_webassembly():
    assert f'"{SUMS["zxing_reader.wasm"]}"' in reader_files()["zxing-exported.js"].decode()


def test_it_names_no_host_and_says_version_and_licence():
    for name, content in reader_files().items():
        if name.endswith(".js"):
            assert not re.search(rb"https?://|\bcdn\b", content), name
    readme = (VENDOR / "README.txt").read_text(encoding="utf-8")
    for word in ("barcode-detector 3.2.2", "zxing-wasm 3.1.3", "MIT", "Apache-2.0", "two lines changed"):
        assert word in readme, word
    assert (VENDOR / "LICENSE-MIT.txt").read_text(encoding="utf-8").startswith("MIT License")


def test_the_worker_holds_it_beside_the_page_and_the_page_does_not_load_it(client):
    worker = client.get("/field/worker.js").text
    held = json.loads(re.search(r"^const READER = (.*);$", worker, re.MULTILINE)[1])
    assert held == [f"{reader_folder()}/{name}" for name in reader_files()]
    for path in held:
        answer = client.get(path)
        assert answer.status_code == 200 and "immutable" in answer.headers["cache-control"]
        if path.endswith(".wasm"):
            assert answer.headers["content-type"] == "application/wasm"
    page = client.get("/field").text
    assert f'<meta name="reader" content="{reader_folder()}">' in page
    assert not re.search(r"<(script|link)[^>]*reader", page)


def test_it_stands_under_its_own_checksum_alone(client):
    assert client.get("/field/reader/0000000000000000/ponyfill.js").status_code == 404
    assert client.get(f"{reader_folder()}/README.txt").status_code == 404
    assert client.get(f"{reader_folder()}/..%2Ffield%2Fmain.js").status_code == 404


@pytest.mark.parametrize("path", ["/field", "/field/worker.js", reader_folder()])
def test_webassembly_starts_on_the_field_page(client, path):
    assert "script-src 'self' 'wasm-unsafe-eval';" in client.get(path).headers["content-security-policy"]


@pytest.mark.parametrize("path", ["/", "/fields", "/trust/check", "/static/vendor/ponyfill.js"])
def test_webassembly_starts_nowhere_else(client, path):
    assert "wasm" not in client.get(path).headers["content-security-policy"]
    assert "wasm" not in HEADERS["content-security-policy"]
