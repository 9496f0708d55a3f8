"""A certificate authority of this machine's own, made on first start: a phone that trusts it may keep our pages.

It can vouch for private addresses only: whoever steals its key still cannot pass for any place on the internet.
"""

from __future__ import annotations

import datetime
import os
from collections.abc import Sequence
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv4Network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

__all__ = ["Authority", "authority", "own_folder", "vouched"]

AUTHORITY_DAYS, SERVER_DAYS, BACK_DAYS = 3650, 90, 1  # a day back, for a clock that is late
PRIVATE = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8")  # RFC 1918, 3927, 1122


@dataclass(frozen=True, slots=True)
class Authority:
    """Certificate and key, and the file that a phone is given."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey
    file: Path

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate in pairs, for a person to compare on the phone."""
        return self.certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def own_folder() -> Path:
    """Where this person's programs keep their data."""
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "spareway"


def authority(folder: Path, now: datetime.datetime) -> Authority:
    """The authority kept in this folder, made there the first time. Its key can be read by its owner only. Errors: OSError."""
    file, key_file = folder / "authority.crt", folder / "authority.key"
    if not file.exists():
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        key_file.unlink(missing_ok=True)  # a key without its certificate: the first start was broken off
        _make(file, key_file, now)
    key = serialization.load_pem_private_key(key_file.read_bytes(), None)
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise OSError(f"{key_file} holds another kind of key than was made")
    return Authority(x509.load_pem_x509_certificate(file.read_bytes()), key, file)


def _make(file: Path, key_file: Path, now: datetime.datetime) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Spareway on this machine, {now:%Y-%m-%d}")])
    built = (
        _begun(name, name, key, now, AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints(_private(), None), critical=True)
    )
    _write(key_file, _pem(key))
    _write(file, built.sign(key, hashes.SHA256()).public_bytes(serialization.Encoding.PEM), 0o644)


def vouched(by: Authority, addresses: Sequence[str], folder: Path, now: datetime.datetime) -> tuple[Path, Path]:
    """(certificate, key) of a server at these private IPv4 addresses, new at each start. Errors: ValueError for any other."""
    found = [IPv4Address(each) for each in addresses]
    for each in found:
        if not any(each in IPv4Network(net) for net in PRIVATE):
            raise ValueError(f"{each} is no private address: this authority does not vouch for it")
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Spareway")])
    names = [*map(x509.IPAddress, found), x509.DNSName("localhost")]
    built = (
        _begun(name, by.certificate.subject, key, now, SERVER_DAYS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(by.key.public_key()), critical=False)
    )
    file, key_file = folder / "server.crt", folder / "server.key"
    key_file.unlink(missing_ok=True)
    _write(key_file, _pem(key))
    file.unlink(missing_ok=True)
    _write(file, built.sign(by.key, hashes.SHA256()).public_bytes(serialization.Encoding.PEM), 0o644)
    return file, key_file


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime.datetime, days: int
) -> x509.CertificateBuilder:
    day = datetime.timedelta(days=1)
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BACK_DAYS * day)
        .not_valid_after(now + days * day)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _private() -> list[x509.GeneralName]:
    return [*(x509.IPAddress(IPv4Network(net)) for net in PRIVATE), x509.DNSName("localhost")]


def _usage(signs: bool) -> x509.KeyUsage:
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


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())


def _write(file: Path, data: bytes, mode: int = 0o600) -> None:
    """A new file that nobody else could read at any moment. Errors: FileExistsError."""
    with os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as out:
        out.write(data)
