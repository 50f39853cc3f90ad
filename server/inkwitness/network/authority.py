"""A certificate authority made on this machine, that can sign for nothing but this machine.

A phone that trusts an authority believes all that it signs. So this one is bound (RFC 5280,
4.2.1.10, name constraints) to this machine's names and to private addresses. A verifier need not
look at the constraints of the root itself (RFC 5280, 6.1): they stand in the authority below it as
well, and the root's own key signs that one authority, is written nowhere and is gone.

    root (trusted by phones, key thrown away) > authority (signs here) > certificate of the server
"""

import datetime as dt
import ipaddress
import os
import re
import secrets
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from inkwitness.errors import BadInput
from inkwitness.network.addresses import PRIVATE, Address, host_label

AUTHORITY_FOR = dt.timedelta(days=730)
# Some phones take no certificate of a longer time than 825 days, whoever signed it.
SERVER_FOR = dt.timedelta(days=60)
RENEW_BEFORE = dt.timedelta(days=20)
# A phone whose clock is a little slow must not refuse a certificate that was made just now.
_SLOW_CLOCKS = dt.timedelta(days=1)
_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
_LOOPBACK = (ipaddress.ip_network("127.0.0.0/8"), ipaddress.ip_network("::1/128"))


@dataclass(frozen=True, slots=True)
class Authority:
    """What is kept in the folder `network` of the data folder."""

    folder: Path
    root: x509.Certificate
    issuer: x509.Certificate
    key: ec.EllipticCurvePrivateKey
    names: tuple[str, ...]

    @property
    def name(self) -> str:
        """The name that stays, ending in `.local`."""
        return self.names[0]

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the root as phones show it: two hex digits at a time."""
        return self.root.fingerprint(hashes.SHA256()).hex(" ").upper()

    @property
    def chain_file(self) -> Path:
        """The server's certificate and what signed it, as a TLS server reads them."""
        return self.folder / "server.crt"

    @property
    def key_file(self) -> Path:
        """The server's key, readable by its owner only."""
        return self.folder / "server.key"

    def ends(self) -> dt.datetime:
        """When phones have to be told of a new authority."""
        return self.root.not_valid_after_utc


def open_authority(folder: Path, now: dt.datetime) -> tuple[Authority, bool]:
    """The authority kept in a folder, and whether it was made just now.

    It is made anew where there is none or the one there is about to end. Raises BadInput where a
    key can be read by others: then it may have been copied.
    """
    if (folder / "authority.key").exists():
        kept = _load(folder)
        if kept.issuer.not_valid_after_utc - RENEW_BEFORE > now:
            return kept, False
    return _make(folder, now), True


def root_pem(authority: Authority) -> bytes:
    """What a phone installs."""
    return authority.root.public_bytes(serialization.Encoding.PEM)


def certify(authority: Authority, addresses: tuple[Address, ...], now: dt.datetime) -> bool:
    """Have a certificate for these addresses and the authority's names; whether it is a new one.

    A new one is made where there is none, where an address is missing in it, or in its last weeks.
    """
    wanted = {*addresses, ipaddress.ip_address("127.0.0.1"), ipaddress.ip_address("::1")}
    if _still_good(authority, wanted, now):
        return False
    key = ec.generate_private_key(ec.SECP256R1())
    ends = min(now + SERVER_FOR, authority.issuer.not_valid_after_utc)
    alternative: list[x509.GeneralName] = [x509.DNSName(name) for name in authority.names]
    alternative += [x509.IPAddress(one) for one in sorted(wanted, key=lambda one: one.packed)]
    made = (
        _builder(_named(authority.name), authority.issuer.subject, key.public_key(), now, ends)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(alternative), critical=False)
        .add_extension(_issued_by(authority.issuer), critical=False)
        .sign(authority.key, hashes.SHA256())
    )
    # the key first: whoever reads both in between gets a pair that does not fit, and tries again
    _write(authority.key_file, _key_pem(key), 0o600)
    chain = made.public_bytes(serialization.Encoding.PEM)
    chain += authority.issuer.public_bytes(serialization.Encoding.PEM)
    _write(authority.chain_file, chain, 0o644)
    return True


def _still_good(authority: Authority, wanted: set[Address], now: dt.datetime) -> bool:
    if not authority.chain_file.exists() or not authority.key_file.exists():
        return False
    _owners_only(authority.key_file)
    made = x509.load_pem_x509_certificate(authority.chain_file.read_bytes())
    if made.issuer != authority.issuer.subject or made.not_valid_after_utc - RENEW_BEFORE <= now:
        return False
    names = made.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return wanted == set(names.get_values_for_type(x509.IPAddress))


def _make(folder: Path, now: dt.datetime) -> Authority:
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)
    label = "".join(secrets.choice(_LETTERS) for _ in range(4))
    own = host_label()
    # the first stays whatever the machine is called later; a plain label works on some networks
    names = (f"inkwitness-{label}.local", *([f"{own}.local", own] if own else []), "localhost")
    root_key = ec.generate_private_key(ec.SECP256R1())
    key = ec.generate_private_key(ec.SECP256R1())
    ends = now + AUTHORITY_FOR
    root_name = _named(f"Inkwitness on {own or label} ({label})")
    issuer_name = _named(f"Inkwitness on {own or label} ({label}), signs")
    root = (_signing(root_name, root_name, root_key.public_key(), now, ends, names, path=1)).sign(
        root_key, hashes.SHA256()
    )
    issuer = (
        _signing(issuer_name, root_name, key.public_key(), now, ends, names, path=0)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_issued_by(root), critical=False)
        .sign(root_key, hashes.SHA256())
    )
    del root_key  # written nowhere: what the root signs from now on is nothing
    (folder / "server.crt").unlink(missing_ok=True)
    _write(folder / "root.crt", root.public_bytes(serialization.Encoding.PEM), 0o644)
    _write(folder / "authority.crt", issuer.public_bytes(serialization.Encoding.PEM), 0o644)
    _write(folder / "authority.key", _key_pem(key), 0o600)
    return Authority(folder, root, issuer, key, names)


def _load(folder: Path) -> Authority:
    _owners_only(folder / "authority.key")
    key = serialization.load_pem_private_key((folder / "authority.key").read_bytes(), None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    root = x509.load_pem_x509_certificate((folder / "root.crt").read_bytes())
    issuer = x509.load_pem_x509_certificate((folder / "authority.crt").read_bytes())
    bound = issuer.extensions.get_extension_for_class(x509.NameConstraints).value
    names = tuple(
        one.value for one in bound.permitted_subtrees or () if isinstance(one, x509.DNSName)
    )
    return Authority(folder, root, issuer, key, names)


def _signing(
    subject: x509.Name,
    issuer: x509.Name,
    public: ec.EllipticCurvePublicKey,
    now: dt.datetime,
    ends: dt.datetime,
    names: tuple[str, ...],
    *,
    path: int,
) -> x509.CertificateBuilder:
    """A certificate that may sign, bound to these names and to private and loopback addresses."""
    permitted: list[x509.GeneralName] = [x509.DNSName(name) for name in names]
    permitted += [x509.IPAddress(network) for network in (*PRIVATE, *_LOOPBACK)]
    return (
        _builder(subject, issuer, public, now, ends)
        .add_extension(x509.BasicConstraints(ca=True, path_length=path), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(
            x509.NameConstraints(permitted_subtrees=permitted, excluded_subtrees=None),
            critical=True,
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
    )


def _builder(
    subject: x509.Name,
    issuer: x509.Name,
    public: ec.EllipticCurvePublicKey,
    now: dt.datetime,
    ends: dt.datetime,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _SLOW_CLOCKS)
        .not_valid_after(ends)
    )


def _usage(*, signs: bool) -> x509.KeyUsage:
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


def _issued_by(issuer: x509.Certificate) -> x509.AuthorityKeyIdentifier:
    own = issuer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    return x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(own)


def _named(name: str) -> x509.Name:
    clean = re.sub(r"[^\w .,()-]", "", name)[:64]  # RFC 5280, appendix A: ub-common-name is 64
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, clean)])


def _key_pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )


def _write(path: Path, data: bytes, mode: int) -> None:
    """Write beside and put in place, so that nobody reads half of it; never readable too early."""
    beside = path.with_name(f"{path.name}.new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, mode), "wb") as file:
        file.write(data)
    beside.chmod(mode)
    beside.replace(path)


def _owners_only(path: Path) -> None:
    if path.stat().st_mode & 0o077:
        raise BadInput("key_readable", path=str(path), folder=str(path.parent))
