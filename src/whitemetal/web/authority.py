"""The workshop's own authority: certificates for https on a network that has no other.

An authority is a key and a certificate that may sign for the names and addresses it was made for and for
nothing else (name constraints, RFC 5280, 4.2.1.10), so that a device that trusts it trusts no other site by
it. It signs one leaf for the server, valid for less than 398 days (the longest that browsers accept). Both
keys stay in one folder that only the program's user can read.
"""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from whitemetal.errors import InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

LEAF_DAYS = 390
"""Days a leaf is valid: browsers refuse 398 and more (their published policy, from memory)."""

RENEW_DAYS = 30
"""A leaf with fewer days left is made anew at the next start. Our own."""

AUTHORITY_DAYS = 3650
"""Days an authority is valid. Our own: a device must be told again after ten years."""


@dataclass(frozen=True)
class Files:
    """Where the authority, and the server's certificate and key, lie. names: hosts they are for."""

    authority: Path
    certificate: Path
    key: Path
    names: tuple[str, ...]


def prepared(folder: Path, names: Sequence[str], now: datetime) -> Files:
    """The files in ``folder``, made (anew) where they are missing, nearly out of date or for other names.

    An authority that was made for other names is kept beside the new one, since devices may hold it. Raises
    InputError on a name that is neither a host name nor an address.
    """
    wanted = tuple(dict.fromkeys(host_checked(name) for name in names))
    folder.mkdir(parents=True, exist_ok=True)
    with suppress(OSError):
        folder.chmod(0o700)
    root, root_key = folder / "authority.crt", folder / "authority.key"
    if not _serves(root, wanted, now):
        _set_aside(root, root_key, now)
        _make_authority(root, root_key, wanted, now)
    leaf, leaf_key = folder / "server.crt", folder / "server.key"
    if not _serves(leaf, wanted, now) or not _signed_by(leaf, root):
        _make_leaf(leaf, leaf_key, root, root_key, wanted, now)
    return Files(root, leaf, leaf_key, wanted)


def fingerprint(certificate: Path) -> str:
    """SHA-256 of a certificate, in pairs, as phones show it."""
    from cryptography.hazmat.primitives.hashes import SHA256

    return ":".join(f"{byte:02X}" for byte in _read(certificate).fingerprint(SHA256()))


def host_checked(name: str) -> str:
    """A host name or address as it is looked up. Raises InputError."""
    name = name.strip().strip("[]").lower()
    try:
        return str(ipaddress.ip_address(name))
    except ValueError:
        pass
    labels = name.split(".")
    if not name or len(name) > 253 or not all(_is_label(label) for label in labels):
        raise InputError(Problem("--name", name, say("authority.a_name")))
    return name


def _is_label(label: str) -> bool:
    good = label.replace("-", "a").isalnum() and label.isascii() and len(label) <= 63
    return good and not label.startswith("-") and not label.endswith("-")


def _read(path: Path) -> x509.Certificate:
    from cryptography import x509

    return x509.load_pem_x509_certificate(path.read_bytes())


def _serves(path: Path, names: tuple[str, ...], now: datetime) -> bool:
    """Whether the certificate is there, in date for a while, and for exactly these names."""
    from cryptography import x509

    try:
        found = _read(path)
        told = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (OSError, ValueError, x509.ExtensionNotFound):
        return False
    listed = [*told.get_values_for_type(x509.DNSName), *map(str, told.get_values_for_type(x509.IPAddress))]
    return sorted(listed) == sorted(names) and found.not_valid_after_utc - now > timedelta(days=RENEW_DAYS)


def _signed_by(leaf: Path, root: Path) -> bool:
    from cryptography.exceptions import InvalidSignature

    try:
        _read(leaf).verify_directly_issued_by(_read(root))
    except (InvalidSignature, ValueError, TypeError):
        return False
    return True


def _set_aside(root: Path, root_key: Path, now: datetime) -> None:
    for path in (root, root_key):
        if path.exists():
            path.rename(path.with_name(f"{path.stem}-until-{now:%Y%m%dT%H%M%S}{path.suffix}"))


def _make_authority(root: Path, root_key: Path, names: tuple[str, ...], now: datetime) -> None:
    from cryptography import x509
    from cryptography.hazmat.primitives.hashes import SHA256

    key, name = _new_key(), _named(say("authority.name", host=names[0]))
    permitted = [_constraint(one) for one in names]
    made = (
        _builder(name, name, key, now, AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(key_cert_sign=True, crl_sign=True), critical=True)
        .add_extension(x509.NameConstraints(permitted, _excluded(names)), critical=True)
        .add_extension(_alternatives(names), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, SHA256())
    )
    _write_key(root_key, key)
    _write(root, made)


def _make_leaf(
    leaf: Path, leaf_key: Path, root: Path, root_key: Path, names: tuple[str, ...], now: datetime
) -> None:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.hashes import SHA256
    from cryptography.hazmat.primitives.serialization import load_pem_private_key
    from cryptography.x509.oid import ExtendedKeyUsageOID

    above, key = _read(root), _new_key()
    signs = load_pem_private_key(root_key.read_bytes(), None)
    assert isinstance(signs, EllipticCurvePrivateKey)
    identifier = above.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    made = (
        _builder(_named(say("authority.leaf", host=names[0])), above.subject, key, now, LEAF_DAYS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_alternatives(names), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(identifier), False)
        .sign(signs, SHA256())
    )
    _write_key(leaf_key, key)
    _write(leaf, made)


def _builder(
    subject: x509.Name, issuer: x509.Name, key: EllipticCurvePrivateKey, now: datetime, days: int
) -> x509.CertificateBuilder:
    from cryptography import x509

    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now.astimezone(UTC) - timedelta(hours=1))
        .not_valid_after(now.astimezone(UTC) + timedelta(days=days))
    )


def _new_key() -> EllipticCurvePrivateKey:
    from cryptography.hazmat.primitives.asymmetric import ec

    return ec.generate_private_key(ec.SECP256R1())


def _named(text: str) -> x509.Name:
    from cryptography import x509

    return x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, text[:64])])


def _address(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None


def _alternatives(names: tuple[str, ...]) -> x509.SubjectAlternativeName:
    from cryptography import x509

    found = [(name, _address(name)) for name in names]
    return x509.SubjectAlternativeName(
        [x509.IPAddress(address) if address else x509.DNSName(name) for name, address in found]
    )


def _constraint(name: str) -> x509.GeneralName:
    from cryptography import x509

    address = _address(name)
    return x509.IPAddress(ipaddress.ip_network(address)) if address else x509.DNSName(name)


def _excluded(names: tuple[str, ...]) -> list[x509.GeneralName] | None:
    """Kinds of name of which none is permitted must be shut out altogether, or all would be allowed."""
    from cryptography import x509

    addresses = [address for address in map(_address, names) if address]
    shut: list[x509.GeneralName] = []
    if not any(address.version == 4 for address in addresses):
        shut.append(x509.IPAddress(ipaddress.ip_network("0.0.0.0/0")))
    if not any(address.version == 6 for address in addresses):
        shut.append(x509.IPAddress(ipaddress.ip_network("::/0")))
    if len(addresses) == len(names):
        shut.append(x509.DNSName(""))
    return shut or None


def _usage(**wanted: bool) -> x509.KeyUsage:
    from cryptography import x509

    every = dict.fromkeys(
        (
            "digital_signature", "content_commitment", "key_encipherment", "data_encipherment",
            "key_agreement", "key_cert_sign", "crl_sign", "encipher_only", "decipher_only",
        ),
        False,
    )  # fmt: skip
    return x509.KeyUsage(**{**every, **wanted})


def _write(path: Path, certificate: x509.Certificate) -> None:
    from cryptography.hazmat.primitives.serialization import Encoding

    path.write_bytes(certificate.public_bytes(Encoding.PEM))


def _write_key(path: Path, key: EllipticCurvePrivateKey) -> None:
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    path.unlink(missing_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
