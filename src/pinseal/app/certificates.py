"""A small certificate authority for one shop: so that phones on its own network talk to it over TLS and can work offline.

The authority may vouch for this shop's addresses and for nothing else (name constraints, RFC 5280, 4.2.1.10). It lasts a
year, what it signs 30 days. Both keys lie beside the shop, readable to its user alone, and never leave that folder.
"""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

ROOT_DAYS, LEAF_DAYS = 365, 30
ROOT_RENEWED_DAYS, LEAF_RENEWED_DAYS = 30, 10  # so long before their end they are made anew
_BACK = timedelta(hours=1)  # a phone's clock may be a little behind


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificates:
    """What a server needs (two files), and what a phone is given: the root in DER, its SHA-256, its last moment.

    `new_root` says that phones must be told to trust this root before they can come in.
    """

    leaf: Path
    leaf_key: Path
    root_der: bytes
    fingerprint: str
    until: datetime
    names: tuple[str, ...]
    new_root: bool


def certificates(shop: Path, names: Sequence[str], now: datetime) -> Certificates:
    """The certificates of a shop for these names and addresses, made or renewed where needed. Raises `OSError`.

    Other names need another root: this one may not vouch for them.
    """
    folder = shop.with_name(f"{shop.name}.tls")
    folder.mkdir(mode=0o700, exist_ok=True)
    wanted = _plain(names)
    root, root_key, new = _root(folder, shop.stem, wanted, now)
    _leaf(folder, root, root_key, wanted, now, anew=new)
    return Certificates(
        leaf=folder / "leaf.pem",
        leaf_key=folder / "leaf.key",
        root_der=_der(root),
        fingerprint=fingerprint_of(root),
        until=root.not_valid_after_utc,
        names=wanted,
        new_root=new,
    )


def renew_leaf(shop: Path, names: Sequence[str], now: datetime) -> None:
    """Sign anew what ends soon, while the server runs. The root stays: a new one begins with a start, when people are told."""
    folder = shop.with_name(f"{shop.name}.tls")
    kept = _kept(folder, "root")
    if kept:
        _leaf(folder, *kept, _plain(names), now, anew=False)


def _plain(names: Sequence[str]) -> tuple[str, ...]:
    """Names as certificates hold them: addresses in their short form, names in ASCII (RFC 5890)."""
    return tuple(sorted({str(ipaddress.ip_address(n)) if _is_address(n) else n.encode("idna").decode().lower() for n in names}))


def fingerprint_of(certificate: x509.Certificate) -> str:
    """SHA-256 of a certificate, in pairs of digits, as phones show it."""
    from cryptography.hazmat.primitives import hashes

    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def _der(certificate: x509.Certificate) -> bytes:
    from cryptography.hazmat.primitives.serialization import Encoding

    return certificate.public_bytes(Encoding.DER)


def _root(folder: Path, shop: str, names: tuple[str, ...], now: datetime) -> tuple[x509.Certificate, EllipticCurvePrivateKey, bool]:
    kept = _kept(folder, "root")
    if kept and _names_of(kept[0]) == names and now + timedelta(days=ROOT_RENEWED_DAYS) < kept[0].not_valid_after_utc:
        return *kept, False
    from cryptography.hazmat.primitives.asymmetric import ec

    key = ec.generate_private_key(ec.SECP256R1())
    certificate = _make_root(key, shop, names, now)
    _keep(folder, "root", certificate, key)
    return certificate, key, True


def _make_root(key: EllipticCurvePrivateKey, shop: str, names: tuple[str, ...], now: datetime) -> x509.Certificate:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes

    named = _name(f"pinseal, the shop {shop}")
    public = key.public_key()
    return (
        x509.CertificateBuilder(named, named, public, x509.random_serial_number(), now - _BACK, now + timedelta(days=ROOT_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints(permitted_subtrees=_permitted(names), excluded_subtrees=None), critical=True)
        .add_extension(x509.SubjectAlternativeName(_general(names)), critical=False)  # read again to see what it is for
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .sign(key, hashes.SHA256())
    )


def _permitted(names: tuple[str, ...]) -> list[x509.GeneralName]:
    """The names that the root may vouch for. Both kinds are named, because a kind that is not named at all is free."""
    from cryptography import x509

    found: list[x509.GeneralName] = [
        x509.IPAddress(ipaddress.ip_network(name)) if _is_address(name) else x509.DNSName(name) for name in names
    ]
    if not any(_is_address(name) for name in names):
        found.append(x509.IPAddress(ipaddress.ip_network("127.0.0.1/32")))
    if all(_is_address(name) for name in names):
        found.append(x509.DNSName("localhost"))
    return found


def _leaf(
    folder: Path, root: x509.Certificate, root_key: EllipticCurvePrivateKey, names: tuple[str, ...], now: datetime, *, anew: bool
) -> None:
    kept = None if anew else _kept(folder, "leaf")
    if kept and _names_of(kept[0]) == names and now + timedelta(days=LEAF_RENEWED_DAYS) < kept[0].not_valid_after_utc:
        return
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import ExtendedKeyUsageOID

    key = ec.generate_private_key(ec.SECP256R1())
    until = min(now + timedelta(days=LEAF_DAYS), root.not_valid_after_utc)
    certificate = (
        x509.CertificateBuilder(root.subject, _name("pinseal"), key.public_key(), x509.random_serial_number(), now - _BACK, until)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(_general(names)), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(root_key.public_key()), critical=False)
        .sign(root_key, hashes.SHA256())
    )
    _keep(folder, "leaf", certificate, key)


def _name(text: str) -> x509.Name:
    from cryptography import x509
    from cryptography.x509.oid import NameOID

    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text[:64])])


def _usage(*, signs: bool) -> x509.KeyUsage:
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not signs,
        key_cert_sign=signs,
        crl_sign=signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def _general(names: tuple[str, ...]) -> list[x509.GeneralName]:
    from cryptography import x509

    return [x509.IPAddress(ipaddress.ip_address(name)) if _is_address(name) else x509.DNSName(name) for name in names]


def _names_of(certificate: x509.Certificate) -> tuple[str, ...]:
    from cryptography import x509

    said = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return tuple(sorted(str(each.value) for each in said))


def _kept(folder: Path, name: str) -> tuple[x509.Certificate, EllipticCurvePrivateKey] | None:
    """What was made before; None where it is not there, or cannot be read and must be made anew."""
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        certificate = x509.load_pem_x509_certificate((folder / f"{name}.pem").read_bytes())
        key = load_pem_private_key((folder / f"{name}.key").read_bytes(), None)
        _names_of(certificate)
    except (OSError, ValueError, x509.ExtensionNotFound):
        return None
    fits = isinstance(key, EllipticCurvePrivateKey) and key.public_key() == certificate.public_key()
    return (certificate, key) if fits and isinstance(key, EllipticCurvePrivateKey) else None


def _keep(folder: Path, name: str, certificate: x509.Certificate, key: EllipticCurvePrivateKey) -> None:
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    _write(folder / f"{name}.key", key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    _write(folder / f"{name}.pem", certificate.public_bytes(Encoding.PEM))


def _write(path: Path, content: bytes) -> None:
    """Write a file that only its user may read, whole or not at all."""
    part = path.with_name(f".{path.name}.part")
    part.unlink(missing_ok=True)
    with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(content)
    part.replace(path)
