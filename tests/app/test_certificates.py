"""The shop's own certificate authority: what it may vouch for, how long, who may read its keys, and that browsers' rules hold."""

from __future__ import annotations

import http.client
import ipaddress
import ssl
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, load_pem_private_key
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError
from starlette.responses import PlainTextResponse

from pinseal.app.certificates import certificates, renew_leaf
from pinseal.web import serve as serving

NOW = datetime(2026, 11, 24, 9, 0, tzinfo=UTC)
NAMES = ["localhost", "127.0.0.1", "192.0.2.7", "shop.example"]


def made(folder: Path, *, names=NAMES, now=NOW):
    return certificates(folder / "pier.pinseal", names, now)


def leaf_of(found):
    return x509.load_pem_x509_certificate(found.leaf.read_bytes())


def verified(root_der: bytes, leaf: x509.Certificate, name, now=NOW):
    store = Store([x509.load_der_x509_certificate(root_der)])
    subject = x509.DNSName(name) if name[-1].isalpha() else x509.IPAddress(ipaddress.ip_address(name))
    return PolicyBuilder().store(store).time(now.replace(tzinfo=None)).build_server_verifier(subject).verify(leaf, [])


@pytest.mark.parametrize("name", NAMES)
def test_what_it_signs_is_good_for_the_shops_names(tmp_path, name):
    found = made(tmp_path)
    assert verified(found.root_der, leaf_of(found), name)


def signed_by(found, name):
    """What somebody with the root's key could sign."""
    folder = found.leaf.parent
    root = x509.load_pem_x509_certificate((folder / "root.pem").read_bytes())
    root_key = load_pem_private_key((folder / "root.key").read_bytes(), None)
    key = ec.generate_private_key(ec.SECP256R1())
    good = leaf_of(found)
    builder = x509.CertificateBuilder(
        root.subject, good.subject, key.public_key(), x509.random_serial_number(), NOW - timedelta(hours=1), NOW + timedelta(days=1)
    )
    for each in good.extensions:
        if isinstance(each.value, x509.SubjectAlternativeName):
            builder = builder.add_extension(x509.SubjectAlternativeName([name]), critical=False)
        elif isinstance(each.value, x509.SubjectKeyIdentifier):
            builder = builder.add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        else:
            builder = builder.add_extension(each.value, critical=each.critical)
    return builder.sign(root_key, hashes.SHA256())


@pytest.mark.parametrize(
    ("names", "asked"),
    [
        (NAMES, "bank.example"),
        (NAMES, "192.0.2.8"),
        (["192.0.2.7"], "bank.example"),
        (["shop.example"], "192.0.2.7"),
    ],
)
def test_even_its_key_can_vouch_for_nothing_else(tmp_path, names, asked):
    found = made(tmp_path, names=names)
    name = x509.DNSName(asked) if asked[-1].isalpha() else x509.IPAddress(ipaddress.ip_address(asked))
    with pytest.raises(VerificationError):
        verified(found.root_der, signed_by(found, name), asked)


def test_the_root_may_sign_no_other_authority(tmp_path):
    root = x509.load_der_x509_certificate(made(tmp_path).root_der)
    limits = root.extensions.get_extension_for_class(x509.BasicConstraints)
    assert (limits.value.ca, limits.value.path_length, limits.critical) == (True, 0, True)
    assert root.extensions.get_extension_for_class(x509.NameConstraints).critical


def test_the_root_lasts_a_year_and_what_it_signs_thirty_days(tmp_path):
    found = made(tmp_path)
    assert found.until == NOW + timedelta(days=365)
    assert leaf_of(found).not_valid_after_utc == NOW + timedelta(days=30)


def test_only_the_shops_user_may_read_the_keys_and_no_key_is_handed_out(tmp_path):
    found = made(tmp_path)
    folder = found.leaf.parent
    assert folder.stat().st_mode & 0o777 == 0o700
    assert {path.name: path.stat().st_mode & 0o777 for path in folder.iterdir()} == dict.fromkeys(
        ("root.key", "root.pem", "leaf.key", "leaf.pem"), 0o600
    )
    key = load_pem_private_key((folder / "root.key").read_bytes(), None)
    assert key.private_numbers().private_value.to_bytes(32, "big") not in found.root_der


@pytest.mark.parametrize(("days", "kept"), [(0, True), (19, True), (20, False), (29, False)])
def test_the_leaf_is_made_anew_ten_days_before_its_end_and_the_root_stays(tmp_path, days, kept):
    first = made(tmp_path)
    before = leaf_of(first)
    second = made(tmp_path, now=NOW + timedelta(days=days))
    assert (leaf_of(second) == before) is kept
    assert second.root_der == first.root_der
    assert (first.new_root, second.new_root) == (True, False)


@pytest.mark.parametrize(("days", "kept"), [(334, True), (335, False), (400, False)])
def test_the_root_is_made_anew_thirty_days_before_its_end(tmp_path, days, kept):
    first = made(tmp_path)
    second = made(tmp_path, now=NOW + timedelta(days=days))
    assert (second.root_der == first.root_der) is kept
    assert second.new_root is not kept
    assert verified(second.root_der, leaf_of(second), "shop.example", NOW + timedelta(days=days))


def test_a_running_server_renews_its_leaf_and_never_its_root(tmp_path):
    first = made(tmp_path)
    before = leaf_of(first)
    renew_leaf(tmp_path / "pier.pinseal", NAMES, NOW + timedelta(days=340))
    after = leaf_of(first)
    assert after != before
    assert after.not_valid_after_utc == first.until
    assert verified(first.root_der, after, "192.0.2.7", NOW + timedelta(days=340))


def test_other_names_ask_for_another_root(tmp_path):
    first, same = made(tmp_path), made(tmp_path, names=[*NAMES, "SHOP.example"])
    assert same.root_der == first.root_der
    other = made(tmp_path, names=["localhost", "192.0.2.8"])
    assert other.new_root
    assert verified(other.root_der, leaf_of(other), "192.0.2.8")


@pytest.mark.parametrize("broken", ["root.key", "root.pem", "leaf.key", "leaf.pem"])
def test_a_file_that_cannot_be_read_is_made_anew(tmp_path, broken):
    first = made(tmp_path)
    (first.leaf.parent / broken).write_bytes(b"-----BEGIN NONSENSE-----")
    second = made(tmp_path)
    assert second.new_root is broken.startswith("root")
    assert verified(second.root_der, leaf_of(second), "shop.example")


def test_the_pages_answer_over_tls_and_the_plain_port_says_how_to_trust_them(tmp_path):
    found = certificates(tmp_path / "pier.pinseal", serving.tls_names("127.0.0.1"), datetime.now(UTC))
    told, ready, servers = [], threading.Event(), []
    original = serving._server

    def remembered(site, **more):
        servers.append(original(site, **more))
        return servers[-1]

    def say(address, plainly):
        told.extend((address, plainly))
        ready.set()

    serving._server = remembered
    try:
        running = threading.Thread(
            target=serving.serve_tls,
            args=(lambda a: PlainTextResponse(f"over {a}"), lambda a: PlainTextResponse(f"beside {a}"), "127.0.0.1", (0, 0)),
            kwargs={"files": (found.leaf, found.leaf_key), "renew": lambda: None, "ready": say},
        )
        running.start()
        assert ready.wait(20)
        trusting = ssl.create_default_context(cadata=found.root_der)
        secure = http.client.HTTPSConnection(told[0].removeprefix("https://"), timeout=20, context=trusting)
        secure.request("GET", "/")
        assert secure.getresponse().read().decode() == f"over {told[0]}"
        secure.close()
        plain = http.client.HTTPConnection(told[1].removeprefix("http://"), timeout=20)
        plain.request("GET", "/")
        assert plain.getresponse().read().decode() == f"beside {told[0]}"
        plain.close()
        stranger = http.client.HTTPSConnection(told[0].removeprefix("https://"), timeout=20, context=ssl.create_default_context())
        with pytest.raises(ssl.SSLCertVerificationError):
            stranger.request("GET", "/")
        stranger.close()
    finally:
        serving._server = original
        for server in servers:
            server.should_exit = True
        running.join(20)
    assert not running.is_alive()


def test_the_root_is_der(tmp_path):
    found = made(tmp_path)
    root = x509.load_der_x509_certificate(found.root_der)
    assert root.public_bytes(Encoding.DER) == found.root_der
    assert found.fingerprint.count(":") == 31
